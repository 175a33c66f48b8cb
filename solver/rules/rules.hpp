// The rules: what is flagged, per run and over all, with value, limit, margin and source.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"
#include "solver/balance/result.hpp"

namespace evenhead::solver {

enum class RuleId {
    head_pressure, zone_spread, velocity, meter_flow, meter_loss, pipe_rating, surge, below_atmosphere, data_range,
    short_flow, unfed, two_valves,
};

/// One row of the rule table: its id in the case file, what its limit measures (none: the rule takes no number).
struct RuleInfo {
    RuleId id;
    std::string_view name;            ///< head-pressure ...
    model::Dimension limit;           ///< of `limits.<name>`
    bool takes_fail = false;          ///< data-range = "fail"
    bool has_default = true;          ///< surge has none: value only
    double default_limit = 0;         ///< SI
    std::string_view source;          ///< default source
};
const std::vector<RuleInfo>& rule_table();
const RuleInfo* find_rule(std::string_view name);

/// A row that fails (or, `fails` false, one that io prints as a warning: data-range unless set to "fail").
struct Finding {
    RuleId rule = RuleId::head_pressure;
    ElementRef subject;
    double value = 0, limit = 0;      ///< SI of `dimension`
    model::Dimension dimension = model::Dimension::none;
    double margin = 0;                ///< negative where it fails
    bool upper = true;                ///< value must stay at or below limit; else at or above
    bool fails = true;
    std::string source;               ///< "nozzle's max", "common practice", "ASTM D2241" ...
    std::string detail;               ///< words without numbers in units, e.g. "base: mean of the zone"
    std::vector<ElementRef> also;     ///< other elements that the text names (highest and lowest head, closing valve)
};

struct NotChecked {
    RuleId rule;
    ElementRef subject;
    std::string why;
};

/// What the rules say of one run.
struct RunFindings {
    std::vector<Finding> findings;    ///< worst first by margin / |limit|, then file order
    std::vector<Finding> warnings;    ///< data-range
    std::vector<NotChecked> not_checked;
    Index critical_head = model::none;      ///< least (pressure - wanted) among the running heads
    double critical_margin = 0;             ///< Pa; NaN where nothing is wanted
    Index lowest_head = model::none, highest_head = model::none;   ///< by nozzle pressure, running heads
    double spread = 0;                      ///< worst zone spread of the run (share); NaN: none
    Index top_velocity_pipe = model::none;
};

/// Lower pressure limit of a head (at_least, else min, else 0.8 x design), Pa; empty where there is none.
std::optional<double> wanted_pressure(const model::System& system, Index head);

}  // namespace evenhead::solver
