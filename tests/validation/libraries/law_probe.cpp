// Answers questions about laws on standard input, one a line, so that a script can compare them with a library:
//   friction-factor REYNOLDS RELATIVE-ROUGHNESS | density DEGC | viscosity DEGC
#include <cstdio>
#include <iostream>
#include <string>

#include "solver/laws/darcy_weisbach.hpp"
#include "solver/water.hpp"

int main() {
    namespace solver = evenhead::solver;
    std::string question;
    double first = 0;
    while (std::cin >> question >> first) {
        double answer = 0;
        if (question == "friction-factor") {
            double roughness = 0;
            std::cin >> roughness;
            answer = solver::friction_factor(first, roughness);
        } else if (question == "density") {
            answer = solver::density(first);
        } else if (question == "viscosity") {
            answer = solver::viscosity(first);
        } else {
            return 1;
        }
        std::printf("%.17g\n", answer);
    }
}
