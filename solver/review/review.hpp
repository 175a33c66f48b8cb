// What the verifying engineer asks of a layout: does it work on the worst day, what decides it, how much is
// there to spare, what mends it, and what is lost when something is shut.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "model/conditions.hpp"
#include "model/graph.hpp"
#include "solver/balance/result.hpp"
#include "solver/rules/rules.hpp"

namespace evenhead::solver {

/// A condition that every run is taken under. The first is the system as given.
struct ReviewCondition {
    model::Condition change;
    double supply_change = 0;   ///< Pa; of a default condition, which is an assumption; else 0
    bool by_spread = false;     ///< the change is the spread that the case gives its static pressures
    bool ratings_only = false;  ///< judges what pressure does to pipe, not what heads get
};

/// As given, and the conditions of the case; where it has none: supply 10 psi (70 kPa) lower, and static
/// highest (by its spread, else 10 psi higher), for ratings. Open water keeps its level.
std::vector<ReviewCondition> review_conditions(const model::System& system);

/// The worst of a rule under a condition. Not judged: nothing that the rule is about is wrong.
struct RuleRow {
    RuleId rule = RuleId::head_pressure;
    std::size_t condition = 0;
    Index run = model::none;  ///< none: no run owns it
    Worst worst;
    bool deciding = false;  ///< the worst of the rule under all conditions
};

/// A finding under the condition and in the run where it is worst.
struct ReviewFinding {
    Finding finding;
    std::size_t condition = 0;
    Index run = model::none;
};

struct UnsolvedRun {
    std::size_t condition = 0;
    Index run = model::none;
    Failure failure;
};

/// A head that decides: it fails its lower limit under some condition, or has the least to spare of its run.
struct DecidingHead {
    Index run = model::none, head = model::none;
    std::size_t condition = 0;  ///< where it fails as given, that; else the one where it is worst
    double severity = 0;        ///< margin / limit there; NaN where nothing is wanted
    bool fails = false;
};

/// The head of a run that has the least to spare.
struct CriticalHead {
    Index run = model::none, head = model::none;
    double margin = 0;  ///< Pa above its lower limit; NaN: nothing is wanted
};

/// What a drawing states of a head or valve beside what is computed, in the run where the two lie farthest
/// apart. Pa or m3/s.
struct Claim {
    ElementRef subject;
    model::Dimension dimension = model::Dimension::pressure;
    Index run = model::none;
    double stated = 0, computed = 0;
    bool fails = false;
    double off() const { return (computed - stated) / stated; }  ///< as a share of what is stated
};

struct RulesReview {
    std::vector<ReviewCondition> conditions;
    std::vector<RuleRow> rows;            ///< by rule, then by condition
    std::vector<ReviewFinding> findings;  ///< each rule and subject once; worst first
    std::vector<UnsolvedRun> unsolved;
    std::vector<DecidingHead> heads;     ///< that fail as given, that fail elsewhere, the others; worst first
    std::vector<CriticalHead> critical;  ///< as given, by run; runs without one are none of them
    std::vector<Claim> claims;           ///< as given; valves, then heads
    std::vector<NotChecked> not_checked;  ///< as given
    std::vector<RuleId> rules_off;
};

/// Every run under every condition by every rule.
RulesReview review_rules(const model::System& system, const model::Layout& layout, int threads);

/// What a run loses when one gate or one pipe of the mainline is shut.
struct Outage {
    ElementRef closed;
    Index run = model::none;
    std::vector<Index> heads;  ///< that held their lower limit as given, or ran at all, and no longer do
    std::vector<Index> dry;    ///< those of them that get no water
    bool unsolved = false;     ///< no proven solution: nothing is known
};
struct OutageReview {
    std::vector<Outage> rows;  ///< in the order of the file, gates first; only where something is lost
    std::size_t gates = 0, pipes = 0;  ///< shut in turn
    std::size_t left_out = 0;          ///< of very large systems: not tried
};
OutageReview review_outages(const model::System& system, const model::Layout& layout, int threads);

/// How far every supply's static and residual pressures can fall together before the head misses its limit.
struct SupplyMargin {
    Index run = model::none, head = model::none;
    double drop = 0;        ///< Pa, to 0.01 psi; negative: they must rise. NaN: no rise within reach mends it
    bool at_least = false;  ///< it still holds its limit with no static pressure left
};
struct MarginReview {
    std::vector<SupplyMargin> rows;  ///< in the order of the heads
    std::size_t left_out = 0;        ///< of very large systems: heads, the last of them, that were not tried
};
/// For every deciding head, as the system is given. Heads that want nothing are none of them.
MarginReview review_margins(const model::System& system, const model::Layout& layout,
                            const std::vector<DecidingHead>& heads, int threads);

/// One change, tried by solving.
struct Repair {
    Index run = model::none, head = model::none;
    std::size_t condition = 0;
    enum class Kind { pipe, nozzle, valve, device } kind = Kind::pipe;
    ElementRef subject;
    std::string from, to;  ///< sizes, or names of nozzles
    double gain = 0;       ///< Pa at the head's nozzle
    bool mends = false;    ///< the head then holds its lower limit
};
struct RepairReview {
    std::vector<Repair> rows;  ///< by head, worst first; of each the largest gain first
    /// Failing heads for which nothing was tried: beyond the worst, or without flow.
    std::size_t left_out = 0;
    std::size_t nozzles_left_out = 0;  ///< of the case, behind the first most_nozzles: tried at no head
};
/// For the worst failing heads (most_repaired), or where none fails for the one with the least to spare: each
/// pipe on its way one size up, each other nozzle of the case (of its first most_nozzles), its valve and
/// devices one size up.
RepairReview review_repairs(const model::System& system, const model::Layout& layout,
                            const RulesReview& rules, int threads);
inline constexpr std::size_t most_repaired = 20, most_nozzles = 30;

struct ReviewOptions {
    int threads = 0;                                 ///< 0: as many as the machine has
    std::function<void(std::string_view)> progress;  ///< what is being asked now; may be empty
};
struct Review {
    RulesReview rules;
    OutageReview outage;
    std::vector<SupplyMargin> margins;
    std::size_t margins_left_out = 0;  ///< see MarginReview
    RepairReview repairs;

    bool solved() const { return rules.unsolved.empty(); }
    bool within_limits() const;
};
Review review(const model::System& system, const model::Layout& layout, const ReviewOptions& options);

}  // namespace evenhead::solver
