// A lower bound of the cost of every design whose flows lie in a box: a linear programme.
#pragma once

#include <vector>

#include "solver/sizing/flow_boxes.hpp"

namespace evenhead::solver {

/// By pair's graph and coordinate.
using FlowBox = std::vector<std::vector<Interval>>;

/// No design with flows in the box that keeps its limits costs less; infinite where there is none, NaN where
/// the programme could not be solved. From any thread.
double least_cost_in(const FlowBox& box, const std::vector<FlowGraph>& graphs, const TrialBasis& basis);

/// By open pipe and choice: how much of the pipe's length is laid in it, 0 to 1.
using Shares = std::vector<std::vector<double>>;

/// What costs least where pipes may change size on their way and everything flows as given (intervals without
/// width), whatever pressure within its limits a head then has. Empty where nothing keeps the limits.
Shares shares_at(const FlowBox& flows, const std::vector<FlowGraph>& graphs, const TrialBasis& basis);

}  // namespace evenhead::solver
