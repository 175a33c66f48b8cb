// The rules: what is flagged, per run and over all, with value, limit, margin and source.
#pragma once

#include <array>
#include <functional>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"
#include "solver/balance/result.hpp"

namespace evenhead::solver {

enum class RuleId {
    head_pressure,
    zone_spread,
    velocity,
    meter_flow,
    meter_loss,
    pipe_rating,
    surge,
    below_atmosphere,
    data_range,
    short_flow,
    unfed,
    two_valves,
    stated,
    regulator,
    regulated_inlet,
    spacing,
    working_pressure,
};

/// One row of the rule table: its id in the case file, what its limit measures (none: the rule takes no
/// number).
struct RuleInfo {
    RuleId id;
    std::string_view name;     ///< head-pressure ...
    model::Dimension limit;    ///< of `limits.<name>`
    bool takes_fail = false;   ///< data-range = "fail"
    bool has_default = true;   ///< surge has none: value only; head-pressure's is the nozzle's
    double default_limit = 0;  ///< SI
    std::string_view source;   ///< default source
    bool on_request = false;   ///< off unless the case or its rule set gives a limit
};
inline constexpr std::size_t rule_count = 17;
const std::vector<RuleInfo>& rule_table();  ///< in the order of RuleId
const RuleInfo* find_rule(std::string_view name);

/// A row that fails (or, `fails` false, one that io prints as a warning: data-range unless set to "fail").
/// Subject {run, none} is the whole system (temperature).
struct Finding {
    RuleId rule = RuleId::head_pressure;
    ElementRef subject;
    double value = 0, limit = 0;  ///< SI of `dimension`
    model::Dimension dimension = model::Dimension::none;
    double margin = 0;  ///< negative where it fails
    bool upper = true;  ///< value must stay at or below limit; else at or above
    bool fails = true;
    std::string source;            ///< "nozzle's max", "common practice", "ASTM D2241" ...
    std::string detail;            ///< words without numbers in units, e.g. "base: mean of the zone"
    std::vector<ElementRef> also;  ///< others that the text names (highest and lowest head, closing valve)
};

/// What a rule makes of the subject that comes nearest to its limit or is furthest beyond it, by margin /
/// |limit|.
struct Worst {
    bool judged = false;
    ElementRef subject;
    double value = 0, limit = 0, margin = 0;  ///< SI of `dimension`; limit and margin NaN: value only
    model::Dimension dimension = model::Dimension::none;
    bool fails = false;
};

struct NotChecked {
    RuleId rule;
    ElementRef subject;
    std::string why;
};

/// What the rules say of one run.
struct RunFindings {
    std::vector<Finding> findings;  ///< worst first by margin / |limit|, then file order
    std::vector<Finding> warnings;  ///< data-range
    std::vector<NotChecked> not_checked;
    Index critical_head = model::none;  ///< least (pressure - wanted) among the running heads
    double critical_margin = 0;         ///< Pa; NaN where nothing is wanted
    Index lowest_head = model::none, highest_head = model::none;  ///< by nozzle pressure, running heads
    double spread = 0;  ///< worst zone spread of the run (share); NaN: none
    Index top_velocity_pipe = model::none;

    /// By pipe: the largest pressure rise (Pa) from one open valve of the run closing at once; 0 off the
    /// mainline, NaN where the pipe's wall or material is not known. Empty where no valve is open.
    std::vector<double> surge;
    std::vector<Index> surge_valve;  ///< by pipe: the valve that makes it; none where the surge is 0 or NaN
    Index top_surge_pipe = model::none, top_surge_valve = model::none;

    std::vector<Worst> worst;  ///< by RuleId, also where it holds; empty unless keep_worst
};

/// What a rule's limit is in this case.
struct RuleLimit {
    bool off = false;
    bool not_asked = false;  ///< off, because neither the case nor its rule set asks for it
    bool given = false;      ///< by the case or its rule set, not the default
    bool fail = false;       ///< data-range = "fail"
    bool has_value = false;
    double value = 0;  ///< SI
    model::Limit::Base base = model::Limit::Base::usual;
    bool differs_by_material = false;
    std::array<double, 5> by_material{};  ///< by model::Material, SI; `value` where nothing else is given
    std::string source;                   ///< of the rule set; empty: the case's own key, or the default
};

/// All that the rules need to know of a system whatever runs. Made once, read by any number of threads.
struct RuleBasis {
    std::array<RuleLimit, rule_count> limits;  ///< by RuleId
    std::vector<double> allowed;  ///< by pipe, Pa: rating x temperature factor x share; NaN: no rating
    /// Where a pipe's end takes its pressure from: [0 = from, 1 = to].
    struct End {
        enum class At : char { point, device_inlet, device_outlet, valve_inlet, valve_outlet } at = At::point;
        Index row = model::none;
    };
    std::vector<std::array<End, 2>> ends;                            ///< by pipe
    double least_allowed = std::numeric_limits<double>::infinity();  ///< of all pipes, Pa
    std::vector<double> surge_per_flow;  ///< by pipe, Pa per m3/s of change; NaN: no wall or no modulus
    std::vector<Index> surge_pipes;      ///< mainline pipes whose surge is known
    double density = 0;                  ///< kg/m3

    const RuleLimit& operator[](RuleId rule) const { return limits[static_cast<std::size_t>(rule)]; }
};
RuleBasis prepare_rules(const model::System& system, const model::Layout& layout);

/// Other balances that some rules need, and the prepared basis.
struct RuleContext {
    const RuleBasis* basis = nullptr;     ///< never null
    const RunResult* all_shut = nullptr;  ///< balance with every valve shut; null or failed: rules go without
    /// Balance of this run without one of its open valves; used before the next call. Empty: surge is not
    /// judged.
    std::function<const RunResult&(Index valve)> without_valve;
    bool keep_worst = false;  ///< fill RunFindings::worst
};

/// Judges one balanced run. A run that has failed gives empty findings. Work: what the run concerns, and as
/// much again for each open valve. `found` may hold another run of the same system: its memory is used again.
void judge_run(const model::System& system, const model::Layout& layout, const RunResult& result,
               const RuleContext& context, RunFindings& found);
RunFindings judge_run(const model::System& system, const model::Layout& layout, const RunResult& result,
                      const RuleContext& context);

/// How far a run got.
enum class RunState : char { solved, failed, not_asked };

/// What the system-wide rules need from the runs.
struct SystemContext {
    const RuleBasis* basis = nullptr;  ///< never null
    const RunResult* all_shut = nullptr;
    std::vector<char> head_watered;    ///< by head: 1 = water left it in some run (see add_watered)
    std::vector<RunState> run_states;  ///< by run
    bool keep_worst = false;           ///< fill SystemFindings::worst
};
/// Notes the heads that this run waters.
void add_watered(const RunResult& result, std::vector<char>& head_watered);

/// What the rules say of the whole system: unfed, two-valves, the static part of pipe-rating, temperature.
struct SystemFindings {
    std::vector<Finding> findings;        ///< worst first
    std::vector<Finding> warnings;        ///< data-range
    std::vector<NotChecked> not_checked;  ///< also what no run can judge: pipes without wall ...
    std::vector<RuleId> rules_off;        ///< by the case
    std::vector<Worst> worst;             ///< by RuleId; empty unless keep_worst
};
SystemFindings judge_system(const model::System& system, const model::Layout& layout,
                            const SystemContext& context);

/// Smaller is worse: margin / |limit|; without a limit to measure by, infinite with the sign of the margin.
double severity(double margin, double limit);

/// True where `one` is nearer to its limit, or further beyond it, by more than rounding. Without a limit the
/// larger value is the worse.
bool worse(const Worst& one, const Worst& other);

/// Worst first by severity, then in the order of the file.
void sort_findings(const model::System& system, std::vector<Finding>& findings);

/// Speed of a pressure wave, m/s, by Korteweg: sqrt(K/rho) / sqrt(1 + (K/E)(D/t)). Bulk modulus of water K
/// and modulus of the pipe E in Pa, density in kg/m3, bore / wall without unit.
double wave_speed(double bulk_modulus, double density, double modulus, double bore_over_wall);

/// Gauge pressure, Pa, at an end of a pipe: of a device or valve the side that the end touches.
double pressure_at(const RunResult& result, const RuleBasis::End& end);

/// Lower pressure limit of a head, Pa: at_least, else the share of design that limits.head-pressure sets,
/// else the nozzle's min, else 0.8 x design; empty where there is none.
std::optional<double> wanted_pressure(const model::System& system, Index head);
/// Upper pressure limit of a head, Pa: the share of design that limits.head-pressure sets, else the nozzle's
/// max, else 1.2 x design; empty where there is none.
std::optional<double> allowed_pressure(const model::System& system, Index head);

}  // namespace evenhead::solver
