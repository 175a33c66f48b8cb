// What may be the matter, weighed against the readings: nothing, one fault, two faults.
//
// Of one fault at one place the severity is not known, only how severities are spread (rank u evenly over
// 0..1, see FaultPrior) among those that somebody would notice. What the readings r say for it is the mean
// over them,
//     p(r | fault) = mean over u of p(r | y(u)),
// with y(u) what the gauges show (Response) and p(r | y) of Likelihood; and after the readings
//     p(u | r)  is proportional to  p(r | y(u)).
// A fault with many severities that fit badly is thereby taken for less likely than one that fits at all of
// its few: no count of parameters is needed. The mean is a sum over so many steps of u that the narrowest
// peak spans several.
#pragma once

#include <array>
#include <vector>

#include "solver/diagnosis/fault.hpp"

namespace evenhead::solver {

struct Hypothesis {
    std::vector<const Site*> faults;  ///< none: as drawn
    double prior = 0;
    double log_evidence = 0;                  ///< ln p(r | hypothesis)
    double probability = 0;                   ///< of all answers together
    std::vector<double> ranks, severities;    ///< by fault, where the readings fit best
    std::vector<std::array<double, 2>> band;  ///< by fault: 5 % and 95 % of severity after the readings
    double chi_squared = 0;                   ///< at the best severities
    std::vector<double> best;                 ///< by gauge, at the best severities
    std::vector<double> mean,
        variance;  ///< by gauge: what the next reading would show, its own spread included
};

inline constexpr double noticed = 3;  ///< standard deviations: what some gauge must move by for a complaint

}  // namespace evenhead::solver
