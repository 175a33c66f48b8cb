// What a rule is, inside the room: its row of the table, and how it judges a run and the system. A new rule
// is a file with a function that returns its Rule, a line here, a line in rules.cpp and an id in rules.hpp.
#pragma once

#include <cmath>

#include "model/position.hpp"
#include "solver/rules/rules.hpp"

namespace evenhead::solver {

/// One balanced run as the rules see it.
struct RunCase {
    const model::System& system;
    const model::Layout& layout;
    const RuleBasis& basis;
    const RunResult& result;
    const RuleContext& context;
    std::vector<Index>
        running;     ///< heads that should water: of the open valves' zones, and those past no valve
    double no_flow;  ///< m3/s: flows up to this are rounding
};

struct SystemCase {
    const model::System& system;
    const model::Layout& layout;
    const RuleBasis& basis;
    const SystemContext& context;
    bool all_shut;  ///< the balance with every valve shut is there
};

/// Above by more than rounding: of equal ones the first in the file is named, whatever the last digits say.
inline bool clearly_above(double value, double other) {
    return value > other + 1e-9 * std::abs(other);
}

struct Rule {
    RuleInfo info;
    void (*judge_run)(const RunCase&, RunFindings&) = nullptr;
    void (*judge_system)(const SystemCase&, SystemFindings&) = nullptr;
};

Rule head_pressure_rule();
Rule zone_spread_rule();
Rule velocity_rule();
Rule meter_flow_rule();
Rule meter_loss_rule();
Rule pipe_rating_rule();
Rule surge_rule();
Rule below_atmosphere_rule();
Rule data_range_rule();
Rule short_flow_rule();
Rule unfed_rule();
Rule two_valves_rule();
Rule stated_rule();
Rule regulator_rule();
Rule regulated_inlet_rule();
Rule spacing_rule();
Rule working_pressure_rule();

/// The largest surge of each pipe, for the rules surge and pipe-rating; computed once a run.
void find_surge(const RunCase& run, RunFindings& found);

/// Beyond its limit by more than rounding: 1e-7 of the limit, and of a pressure 0.01 Pa, the size of the
/// closure.
inline bool outside(double value, double limit, bool upper, model::Dimension dimension) {
    const double excess = upper ? value - limit : limit - value;
    return excess > 1e-7 * std::abs(limit) + (dimension == model::Dimension::pressure ? 0.01 : 0);
}

/// Notes what a rule makes of a subject where it is the worst so far; does nothing unless the worst are kept.
template <class Findings>
void note(Findings& found, RuleId rule, ElementRef subject, double value, double limit, bool upper,
          model::Dimension dimension, bool fails) {
    if (found.worst.empty() || std::isnan(value)) return;
    Worst& worst = found.worst[static_cast<std::size_t>(rule)];
    const Worst here{true, subject, value, limit, upper ? limit - value : value - limit, dimension, fails};
    if (!worst.judged || worse(here, worst)) worst = here;
}

/// `outside`, and noted.
template <class Findings>
bool judge(Findings& found, RuleId rule, ElementRef subject, double value, double limit, bool upper,
           model::Dimension dimension) {
    const bool fails = outside(value, limit, upper, dimension);
    note(found, rule, subject, value, limit, upper, dimension, fails);
    return fails;
}

inline Finding make_finding(RuleId rule, ElementRef subject, double value, double limit, bool upper,
                            model::Dimension dimension) {
    Finding finding;
    finding.rule = rule;
    finding.subject = subject;
    finding.value = value;
    finding.limit = limit;
    finding.upper = upper;
    finding.dimension = dimension;
    finding.margin = upper ? limit - value : value - limit;
    return finding;
}

/// Where a limit comes from: the case, where it sets one, else the rule's own basis.
std::string limit_source(const RuleBasis& basis, RuleId rule);

/// A quantity's value where it is there and known.
inline std::optional<double> known(const model::OptionalQuantity& quantity) {
    return quantity && quantity->known() ? std::optional(quantity->value) : std::nullopt;
}

inline bool balanced(const RunResult* result) {
    return result != nullptr && !result->failure && result->closure.solved;
}

}  // namespace evenhead::solver
