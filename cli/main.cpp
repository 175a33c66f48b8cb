#include "cli/verb.hpp"

int main(int argc, char** argv) {
    return static_cast<int>(evenhead::cli::run_program(argc, argv));
}
