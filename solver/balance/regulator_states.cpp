#include "solver/balance/regulator_states.hpp"

#include <algorithm>
#include <cmath>

#include "model/position.hpp"

namespace evenhead::solver {

RegulatorStates::RegulatorStates(LinkSolver& solver, const Parts& parts)
    : solver_(solver), network_(solver.network()), parts_(parts), nominal_(parts.elements.size(), 0.0) {
    for (const int r : parts_.regulators) shared_.push_back(!parts_.owned[at(parts_.below(network_, r))]);
    for (std::size_t part = 0; part < nominal_.size(); ++part) {
        for (const int e : parts_.elements[part]) {
            if (e >= network_.first_head)
                nominal_[part] += network_.nominal_flow[at(e - network_.first_head)];
        }
    }
    // Owned parts, those beyond before the ones that they are fed from.
    std::vector<int> order;
    for (std::size_t i = 0; i < parts_.regulators.size(); ++i) {
        const int r = parts_.regulators[i];
        if (!shared_[i] && !parts_.owned[at(parts_.above(network_, r))]) order.push_back(r);
    }
    for (std::size_t i = 0; i < order.size(); ++i) {
        const std::vector<int>& on = parts_.leading_on[at(parts_.below(network_, order[i]))];
        order.insert(order.end(), on.begin(), on.end());
    }
    for (std::size_t i = order.size(); i-- > 0;) {
        nominal_[at(parts_.above(network_, order[i]))] += nominal_[at(parts_.below(network_, order[i]))];
    }
}

bool RegulatorStates::solve(const States& states, Precision precision, bool warm) {
    Links links;
    for (const std::vector<int>& elements : parts_.elements) {
        for (const int e : elements) solver_.add_element(e, links);
    }
    for (std::size_t i = 0; i < states.size(); ++i) {
        const int r = parts_.regulators[i];
        const double nominal = nominal_[at(parts_.below(network_, r))];
        const bool still = !shared_[i] && nominal == 0;  // nothing beyond draws
        if (states[i] == RegulatorState::open) solver_.add_open(r, links);
        if (states[i] == RegulatorState::holding && !still)
            solver_.add_holding(r, nominal, shared_[i], links);
        if (states[i] == RegulatorState::shut || still) solver_.state().flow[at(r)] = 0;
    }
    return solver_.solve(std::move(links), precision, warm);
}

std::vector<StateChange> RegulatorStates::broken(const States& states, Precision precision) const {
    State spread = solver_.state();
    for (std::size_t i = 0; i < states.size(); ++i) {
        if (states[i] == RegulatorState::shut) spread.active[at(parts_.regulators[i])] = 0;
    }
    spread_still_heights(network_, spread);
    std::vector<StateChange> changes;
    for (std::size_t i = 0; i < states.size(); ++i) {
        const RegulatorState to = condition(i, states[i], spread, precision);
        if (to != states[i]) changes.push_back({i, to});
    }
    return changes;
}

// The state that a regulator should take after a solve: the same where it keeps its condition.
RegulatorState RegulatorStates::condition(std::size_t regulator, RegulatorState state, const State& spread,
                                          Precision precision) const {
    const double tolerance = precision == Precision::full ? 1e-7 : 1e-2;  // m
    const int r = parts_.regulators[regulator];
    const Element& of = network_.elements[at(r)];
    const double inlet = spread.height[at(of.tail)], outlet = spread.height[at(of.head)];
    const double at_rest = std::isnan(inlet) ? -infinity : inlet - of.law->losses(0).high;
    switch (state) {
        case RegulatorState::open:
            return outlet > of.held_height + tolerance ? RegulatorState::holding : state;
        case RegulatorState::holding:
            if (!shared_[regulator]) return solver_.draws_all(r, precision) ? state : RegulatorState::open;
            if (solver_.fed(r) < -1e-15) return RegulatorState::shut;
            if (solver_.fed(r) <= 0)
                return at_rest >= of.held_height - tolerance ? state : RegulatorState::open;
            return solver_.draws_all(r, precision) ? state : RegulatorState::open;
        case RegulatorState::shut:
            if (outlet >= std::min(at_rest, of.held_height) - tolerance) return state;
            return at_rest >= of.held_height ? RegulatorState::holding : RegulatorState::open;
    }
    return state;
}

bool RegulatorStates::differ(const State& a, const State& b) const {
    constexpr double share = 1e-6;   // of the flow of everything
    constexpr double height = 1e-6;  // m, more than a balance may miss a law by
    for (std::size_t e = 0; e < a.flow.size(); ++e) {
        if (std::abs(a.flow[e] - b.flow[e]) <= share * solver_.total_flow()) continue;
        const Law& law = *network_.elements[e].law;
        if (std::abs(law.loss(a.flow[e]) - law.loss(b.flow[e])) > height) return true;
    }
    return false;
}

void RegulatorStates::report(const char* kind, const char* text) {
    Failure failure;
    failure.kind = kind;
    for (std::size_t i = 0; i < shared_.size(); ++i) {
        if (!shared_[i]) continue;
        const Element& of = network_.elements[at(parts_.regulators[i])];
        failure.elements.push_back(of.ref);
        const auto pressure = [&](double height) {
            return (height - network_.node_elevation[at(of.head)]) / network_.metres_per_pascal;
        };
        failure.points.push_back({of.ref, pressure(solver_.state().height[at(of.head)]),
                                  pressure(of.held_height), model::Dimension::pressure});
    }
    failure.text = std::string("These regulators feed the same part of the system or each other. ") + text;
    failure.cause = "Pressures set at different regulators of one part work against each other.";
    failure.remedy =
        "Let one regulator feed each part, or set them apart by more than the losses between them.";
    solver_.report().failure = std::move(failure);
}

}  // namespace evenhead::solver
