#include "solver/water.hpp"

#include <cmath>

namespace evenhead::solver {

double density(double temperature) {
    const double t = temperature;
    const double numerator =
        999.83952 +
        t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))));
    return numerator / (1 + 16.879850e-3 * t);
}

double viscosity(double temperature) {
    const double t = (temperature + 273.15) / 300;
    return 1e-6 * (280.68 * std::pow(t, -1.9) + 511.45 * std::pow(t, -7.7) + 61.131 * std::pow(t, -19.6) +
                   0.45903 * std::pow(t, -40.0));
}

double bulk_modulus(double temperature) {
    const double t = temperature;
    const double sound =
        1402.38742 + t * (5.03821344 + t * (-5.80539349e-2 +
                                            t * (3.32000870e-4 + t * (-1.44537900e-6 + t * 2.99402365e-9))));
    return density(t) * sound * sound;
}

}  // namespace evenhead::solver
