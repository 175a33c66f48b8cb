// Two faults at once, where one does not explain the readings.
//
// What two faults do is nearly what each does, added: y(u, v) = y0 + (a(u) - y0) + (b(v) - y0) + c, with a(u)
// and b(v) the responses that are there already, and c what is left of it at one pair of severities. Every
// pair of places is searched so with c = 0; those that fit are balanced at their best severities, which gives
// c, and searched again.
#pragma once

#include <optional>
#include <vector>

#include "solver/diagnosis/evidence_parts.hpp"

namespace evenhead::solver {

/// True where one fault, or none, fits the readings as well as chance would have it nineteen times in twenty.
bool explained(const std::vector<Hypothesis>& hypotheses, const Evidence& evidence);

/// The pairs that fit. `prior`: of all pairs together; a pair's share is the product of its two weights.
std::vector<Hypothesis> two_faults(const Survey& survey, const model::FaultPriors& priors,
                                   const std::vector<Site>& sites,
                                   const std::vector<std::optional<Response>>& responses,
                                   const Healthy& healthy, const Evidence& evidence, double prior,
                                   std::size_t threads);

}  // namespace evenhead::solver
