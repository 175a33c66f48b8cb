// Rules x conditions: every run under every condition, the worst of each rule, and which condition decides.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>

#include "model/position.hpp"
#include "solver/review/review.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

/// Half the width of what the case says of its static pressures, Pa; 0 where it says nothing.
double widest_spread(const model::System& system) {
    double widest = 0;
    for (const model::Supply& supply : system.supplies)
        if (supply.static_pressure.value > 0) widest = std::max(widest, 2 * supply.static_pressure.deviation);
    return widest;
}

bool about_ratings(RuleId rule) {
    return rule == RuleId::pipe_rating || rule == RuleId::surge || rule == RuleId::working_pressure ||
           rule == RuleId::regulator;
}

/// The system under the condition, with the rules off that do not belong there: a drawing states what is as
/// given.
model::System system_under(const model::System& system, const ReviewCondition& condition, bool as_given) {
    model::System changed = model::under_condition(system, condition.change);
    for (const RuleInfo& rule : rule_table()) {
        const bool judged =
            condition.ratings_only ? about_ratings(rule.id) : rule.id != RuleId::stated || as_given;
        if (!judged) changed.limits[std::string(rule.name)].off = true;
    }
    return changed;
}

class Collector {
  public:
    Collector(const model::System& system, RulesReview& review) : system_(system), review_(review) {}

    void begin(std::size_t condition) {
        condition_ = condition;
        rows_.assign(rule_count, {});
        for (std::size_t rule = 0; rule < rule_count; ++rule) rows_[rule].rule = rule_table()[rule].id;
    }
    void add(const RunResult& result, const RunFindings& found) {
        if (result.failure) {
            review_.unsolved.push_back({condition_, result.run, *result.failure});
            return;
        }
        take(found.worst, result.run);
        for (const Finding& finding : found.findings) take(finding, result.run);
        if (condition_ != 0) return;
        if (found.critical_head != model::none) critical(result, found);
        claims(result, found);
    }
    /// `basis`: which rules are on.
    void end(const CheckSummary& summary, const RuleBasis& basis) {
        take(summary.worst, model::none);
        for (const Finding& finding : summary.findings) take(finding, model::none);
        for (RuleRow& row : rows_) {
            const bool whole = row.rule == RuleId::unfed || row.rule == RuleId::two_valves;
            if (basis[row.rule].off || (!row.worst.judged && (!whole || system_.heads.empty()))) continue;
            row.condition = condition_;
            all_.push_back(row);
        }
    }
    void finish() {
        std::stable_sort(all_.begin(), all_.end(),
                         [](const RuleRow& one, const RuleRow& other) { return one.rule < other.rule; });
        mark_deciding();
        review_.rows = std::move(all_);
        std::vector<ReviewFinding> found;
        for (auto& [key, finding] : findings_) found.push_back(std::move(finding));
        std::stable_sort(found.begin(), found.end(),
                         [](const ReviewFinding& one, const ReviewFinding& other) {
                             return severity(one.finding.margin, one.finding.limit) <
                                    severity(other.finding.margin, other.finding.limit);
                         });
        review_.findings = std::move(found);
        for (const auto& [key, claim] : claims_) review_.claims.push_back(claim);
        finish_heads();
    }

  private:
    void take(const std::vector<Worst>& worst, Index run) {
        for (std::size_t rule = 0; rule < worst.size(); ++rule) {
            RuleRow& row = rows_[rule];
            if (!worst[rule].judged || (row.worst.judged && !worse(worst[rule], row.worst))) continue;
            row.worst = worst[rule];
            row.run = run;
        }
    }
    void take(const Finding& finding, Index run) {
        if (!finding.fails) return;
        const auto key = std::tuple(finding.rule, finding.subject.kind, finding.subject.index, finding.upper,
                                    finding.dimension);
        const double share = severity(finding.margin, finding.limit);
        const auto [place, fresh] = findings_.try_emplace(key);
        const Finding& held = place->second.finding;
        if (fresh || share < severity(held.margin, held.limit) - 1e-9)
            place->second = {finding, condition_, run};
        if (finding.rule == RuleId::head_pressure && !finding.upper) failing(finding, run, share);
    }
    /// As given goes before; else the worst counts.
    void failing(const Finding& finding, Index run, double share) {
        const auto [place, fresh] = failing_.try_emplace(finding.subject.index);
        DecidingHead& head = place->second;
        const bool first_choice = fresh || (head.condition != 0 && condition_ == 0);
        const bool as_good = (head.condition == 0) == (condition_ == 0);
        if (first_choice || (as_good && share < head.severity - 1e-9))
            head = {run, finding.subject.index, condition_, share, true};
    }
    void critical(const RunResult& result, const RunFindings& found) {
        const auto wanted = wanted_pressure(system_, found.critical_head);
        review_.critical.push_back({result.run, found.critical_head, found.critical_margin});
        critical_.push_back({result.run, found.critical_head, 0,
                             wanted ? severity(found.critical_margin, *wanted) : unknown, false});
    }
    void claims(const RunResult& result, const RunFindings& found) {
        const auto claim = [&](ElementRef subject, const auto& stated, double computed,
                               model::Dimension dimension) {
            if (!stated || !stated->known() || std::isnan(computed)) return;
            Claim made{subject, dimension, result.run, stated->value, computed, false};
            made.fails =
                std::any_of(found.findings.begin(), found.findings.end(), [&](const Finding& finding) {
                    return finding.rule == RuleId::stated && finding.subject == subject &&
                           finding.dimension == dimension;
                });
            const bool head = subject.kind == ElementKind::head;
            const auto [place, fresh] = claims_.try_emplace({head, subject.index, dimension}, made);
            if (!fresh && std::abs(made.off()) > std::abs(place->second.off())) place->second = made;
        };
        for (const Index valve : result.open) {
            const model::Valve& of = system_.valves[at(valve)];
            const ElementRef subject{ElementKind::valve, valve};
            claim(subject, of.stated_flow, result.valve_flow[at(valve)], model::Dimension::flow);
            claim(subject, of.stated_pressure, result.valve_outlet[at(valve)], model::Dimension::pressure);
        }
        for (std::size_t i = 0; i < system_.heads.size(); ++i) {
            const model::Head& of = system_.heads[i];
            if ((!of.stated_flow && !of.stated_pressure) || !(result.head_flow[i] > 0)) continue;
            const ElementRef subject{ElementKind::head, static_cast<Index>(i)};
            claim(subject, of.stated_flow, result.head_flow[i], model::Dimension::flow);
            claim(subject, of.stated_pressure, result.head_pressure[i], model::Dimension::pressure);
        }
    }
    void finish_heads() {
        std::vector<DecidingHead>& heads = review_.heads;
        for (const auto& [head, failing] : failing_) heads.push_back(failing);
        for (const DecidingHead& critical : critical_) {
            const auto known = failing_.find(critical.head);
            if (known == failing_.end() || known->second.run != critical.run) heads.push_back(critical);
        }
        const auto key = [](const DecidingHead& head) {
            const bool nothing_wanted = std::isnan(head.severity);
            return std::tuple(!head.fails, head.condition != 0, nothing_wanted,
                              nothing_wanted ? 0 : head.severity, head.run, head.head);
        };
        std::sort(heads.begin(), heads.end(),
                  [&](const DecidingHead& one, const DecidingHead& other) { return key(one) < key(other); });
    }
    void mark_deciding() {
        for (std::size_t first = 0; first < all_.size();) {
            std::size_t last = first, deciding = first;
            for (; last < all_.size() && all_[last].rule == all_[first].rule; ++last)
                if (all_[last].worst.judged &&
                    (!all_[deciding].worst.judged || worse(all_[last].worst, all_[deciding].worst)))
                    deciding = last;
            all_[deciding].deciding = true;
            first = last;
        }
    }

    const model::System& system_;
    RulesReview& review_;
    std::size_t condition_ = 0;
    std::vector<RuleRow> rows_, all_;
    std::map<std::tuple<RuleId, ElementKind, Index, bool, model::Dimension>, ReviewFinding> findings_;
    std::map<std::tuple<bool, Index, model::Dimension>, Claim> claims_;  // by head or not
    std::map<Index, DecidingHead> failing_;                              // by head
    std::vector<DecidingHead> critical_;                                 // by run
};

}  // namespace

std::vector<ReviewCondition> review_conditions(const model::System& system) {
    std::vector<ReviewCondition> conditions(1);
    conditions.front().change.id = "as-given";
    for (const model::Condition& own : system.conditions) conditions.push_back({own});
    if (!system.conditions.empty() || !model::has_supply_pressure(system)) return conditions;
    const double drop = model::usual_supply_drop(system), spread = widest_spread(system);
    conditions.push_back({model::supply_change("supply-low", drop), drop, false, false});
    const double rise = spread > 0 ? spread : -drop;
    conditions.push_back({model::supply_change("static-high", rise), rise, spread > 0, true});
    return conditions;
}

RulesReview review_rules(const model::System& system, const model::Layout& layout, int threads) {
    RulesReview review;
    review.conditions = review_conditions(system);
    Collector collector(system, review);
    CheckOptions options;
    options.threads = threads;
    options.keep_worst = true;
    for (std::size_t c = 0; c < review.conditions.size(); ++c) {
        const model::System changed = system_under(system, review.conditions[c], c == 0);
        const model::Condition& change = review.conditions[c].change;
        const bool closes =
            !change.closed_pipes.empty() || !change.closed_devices.empty() || !change.pumps_off.empty();
        const model::Layout own_layout = closes ? model::find_layout(changed) : model::Layout{};
        const model::Layout& changed_layout = closes ? own_layout : layout;
        collector.begin(c);
        CheckSummary summary = check_runs(
            changed, changed_layout, options, [&](const RunResult& result, const RunFindings& found) {
                collector.add(result, found);
                if (c > 0) return;
                review.not_checked.insert(review.not_checked.end(), found.not_checked.begin(),
                                          found.not_checked.end());
            });
        collector.end(summary, prepare_rules(changed, changed_layout));
        if (c > 0) continue;
        review.not_checked.insert(review.not_checked.end(), summary.not_checked.begin(),
                                  summary.not_checked.end());
        review.rules_off = summary.rules_off;
    }
    collector.finish();
    return review;
}

bool Review::within_limits() const {
    return rules.findings.empty();
}

Review review(const model::System& system, const model::Layout& layout, const ReviewOptions& options) {
    const auto say = [&](std::string_view what) {
        if (options.progress) options.progress(what);
    };
    Review found;
    const int threads = options.threads > 0 ? options.threads : default_threads();
    say("conditions");
    found.rules = review_rules(system, layout, threads);
    say("outages");
    found.outage = review_outages(system, layout, threads);
    say("margins");
    MarginReview margins = review_margins(system, layout, found.rules.heads, threads);
    found.margins = std::move(margins.rows);
    found.margins_left_out = margins.left_out;
    say("repairs");
    found.repairs = review_repairs(system, layout, found.rules, threads);
    return found;
}

}  // namespace evenhead::solver
