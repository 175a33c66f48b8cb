// Old systems half known: what the readings say of inputs that the case gives with a spread, or as "?".
//
// An input that the case gives as x +- 2 p is taken for normal about x with the standard deviation p; of one
// given as
// "?" all that is known is what such things usually are (open_values.cpp), again a mean and a wide p. With z
// the change of each input in its own p, y(z) what the gauges show then (every situation balanced), r the
// readings and s their standard deviations, the fit is the z where
//     F(z) = sum_i rho((r_i - y_i(z)) / s_i) + sum_j z_j^2
// is least: Gauss and Newton's steps, damped after Levenberg (1944) and Marquardt (1963), the slopes of y by
// central differences of the balance. rho(u) is u^2, but 2 k |u| - k^2 beyond k = 3 (Huber 1964), so that one
// wrong reading does not carry everything away. About the least, z strays by the covariance (J^T W J + 1)^-1,
// J the slopes of y / s and W the weights min(1, k / |u|) of the readings; an input whose standard deviation
// is at most half of what it was is called determined.
//
// A size or a nozzle given as "?" is one of a few: sizes of its kind, nozzles of the case. Each candidate is
// fitted with all other inputs, and weighs (Laplace) exp(-F/2) det(J^T W J + 1)^(-1/2); several such are gone
// through in all combinations where these are few, else one after the other until none changes.
#pragma once

#include <functional>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"
#include "solver/inputs/inputs.hpp"

namespace evenhead::solver {

/// One of several: the size of some pipes, or the nozzle of some heads.
struct Choice {
    enum class What { size, nozzle } what = What::size;
    std::vector<Index> rows;             ///< pipes or heads: those of one line of the case
    std::vector<model::PipeSize> sizes;  ///< candidates, smallest first
    std::vector<Index> nozzles;          ///< candidates
    std::size_t count() const { return what == What::size ? sizes.size() : nozzles.size(); }
};

/// A system with every "?" that can be fitted filled by what such things usually are.
struct Filled {
    model::System system;
    model::Layout layout;
    std::vector<Input> asked;     ///< inputs that the case gives as "?"
    std::vector<Choice> choices;  ///< filled by the middle candidate
};
Filled fill_open_values(const model::System& system, const model::Layout& layout);

struct CalibratedInput {
    Input input;         ///< before, by position in the whole system; of "?" what was assumed of it
    bool asked = false;  ///< the case says "?"
    double after = 0;    ///< in the unit of the input
    double deviation = 0;
    bool determined = false;
};

struct CalibratedChoice {
    Choice choice;
    std::vector<double> chances;  ///< by candidate; together 1
    std::size_t best = 0;
    bool determined = false;  ///< the best has at least `sure_choice`
};
inline constexpr double sure_choice = 0.9;

struct Calibration {
    /// Every "?" filled by what fits best, with the spread of what such things usually are: a diagnosis of it
    /// weighs faults against what nobody knows.
    model::System system;
    model::Layout layout;
    std::vector<CalibratedInput> inputs;
    std::vector<CalibratedChoice> choices;
    std::size_t readings = 0;  ///< that were used
    double chi_squared = 0;    ///< of the readings, at the fit

    bool empty() const { return inputs.empty() && choices.empty(); }
};

struct CalibrationOptions {
    int threads = 0;                ///< 0: as many as the machine has
    Index complaint = model::none;  ///< run complained of; none: the first that was read
    std::function<bool(std::size_t done, std::size_t total)>
        progress;  ///< may be empty; its answer does not count
};

/// What the readings say of what the case leaves open. `filled` must have no unknown_values. Throws
/// std::invalid_argument where there is no reading to go by, or the system has no solution in a situation
/// that was read.
Calibration calibrate(Filled filled, const CalibrationOptions& options);

}  // namespace evenhead::solver
