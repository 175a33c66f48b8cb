#include "solver/together/together.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <random>
#include <unordered_map>

#include "model/position.hpp"
#include "solver/parallel.hpp"
#include "solver/runs/judge.hpp"
#include "solver/runs/runs.hpp"
#include "solver/together/maximal_parts.hpp"

namespace evenhead::solver {
namespace {

/// By pipe: 1 where only one valve's water ever flows: in its zone, or on the way to it alone.
std::vector<char> pipes_of_one_valve(const model::System& system, const model::Layout& layout) {
    std::vector<char> own(system.pipes.size(), 0);
    for (std::size_t p = 0; p < own.size(); ++p)
        own[p] = layout.zone_of_pipe[p].size() == 1 && layout.pipe_on_mainline[p] == 0;
    for (const model::Sides& sides : layout.valve_sides)
        for (const Index pipe : sides.inlet)
            if (layout.pipe_in_loop[at(pipe)] == 0) own[at(pipe)] = 1;
    return own;
}

/// What fails where there is too much pressure, not too little: one more valve may mend it.
bool more_water_mends(const Finding& finding, const std::vector<char>& of_one_valve) {
    switch (finding.rule) {
        case RuleId::head_pressure:
        case RuleId::stated:
            return finding.upper;
        case RuleId::velocity:
            return of_one_valve[at(finding.subject.index)] != 0;
        case RuleId::pipe_rating:
        case RuleId::working_pressure:
        case RuleId::regulator:
        case RuleId::regulated_inlet:
        case RuleId::data_range:
            return true;
        default:
            return false;
    }
}

bool may_grow(const Judged& judged, const std::vector<char>& of_one_valve) {
    return !judged.result.failure && judged.result.closure.solved &&
           std::all_of(judged.findings.findings.begin(), judged.findings.findings.end(),
                       [&](const Finding& finding) {
                           return !finding.fails || more_water_mends(finding, of_one_valve);
                       });
}

ValveSet without(const ValveSet& set, std::size_t place) {
    ValveSet less = set;
    less.erase(less.begin() + static_cast<std::ptrdiff_t>(place));
    return less;
}

class Search {
  public:
    Search(const model::System& system, const model::Layout& layout, const TogetherOptions& options)
        : system_(system),
          options_(options),
          basis_(system, layout),
          threads_(at(options.threads > 0 ? options.threads : default_threads())),
          of_one_valve_(pipes_of_one_valve(system, layout)),
          valves_(options.valves),
          greatest_(system.pipes.size(), 0),
          greatest_set_(system.pipes.size()) {
        if (valves_.empty())
            for (std::size_t v = 0; v < system.valves.size(); ++v) valves_.push_back(static_cast<Index>(v));
        for (std::size_t p = 0; p < system.pipes.size(); ++p)
            if (layout.pipe_on_mainline[p] != 0) mainline_.push_back(static_cast<Index>(p));
        slots_.resize(threads_ * 16);
        judges_.resize(threads_);
    }

    Together run() {
        const bool few = valves_.size() < 40 && (1LL << valves_.size()) - 1 <= options_.most;
        found_.every = few;
        for (std::size_t count = 1; count <= valves_.size(); ++count)
            if (!(few ? whole_level(count) : grown_level(count))) break;
        if (!found_.complete) long_sets();
        finish();
        return std::move(found_);
    }

  private:
    struct Known {
        bool allowed = false, grows = false;
        bool holds_blocked = false;  ///< a proper subset is blocked
    };
    struct Slot {
        Judged judged;
        bool allowed = false, grows = false;
    };

    /// Balances and judges all sets, in parallel, and notes them in their order.
    void try_sets(const std::vector<ValveSet>& sets) {
        for (std::size_t first = 0; first < sets.size(); first += slots_.size()) {
            const std::size_t count = std::min(slots_.size(), sets.size() - first);
            in_parallel(threads_, count, [&](std::size_t worker, std::size_t i) {
                if (!judges_[worker]) judges_[worker] = std::make_unique<RunJudge>(basis_);
                Slot& slot = slots_[i];
                slot.allowed = judges_[worker]->passes(sets[first + i], slot.judged);
                slot.grows = slot.allowed || may_grow(slot.judged, of_one_valve_);
            });
            for (std::size_t i = 0; i < count; ++i) note(sets[first + i], slots_[i]);
            if (options_.progress) options_.progress(found_.tried, sets[first].size());
        }
    }

    void note(const ValveSet& set, const Slot& slot) {
        ++found_.tried;
        Known known{slot.allowed, slot.grows, false};
        for (std::size_t i = 0; set.size() > 1 && i < set.size() && !known.holds_blocked; ++i) {
            const auto less = known_.find(without(set, i));
            // What was not tried holds a blocked set, or is reached by no growing set.
            known.holds_blocked = less == known_.end() || !less->second.allowed || less->second.holds_blocked;
        }
        if (slot.allowed) {
            found_.allowed.push_back(set);
            flows_.push_back(slot.judged.result.flow);
            for (const Index pipe : mainline_) {
                const double flow = std::abs(slot.judged.result.pipe_flow[at(pipe)]);
                if (!(flow > greatest_[at(pipe)] * (1 + 1e-9))) continue;
                greatest_[at(pipe)] = flow;
                greatest_set_[at(pipe)] = found_.allowed.size();  // from 1
            }
        } else {
            if (slot.grows) found_.too_high.push_back(set);
            if (!known.holds_blocked && options_.findings)
                found_.blocked.push_back(blocked_set(set, slot.judged));
            if (set.size() == 1 && slot.judged.result.failure) found_.alone_unsolved = true;
        }
        known_.emplace(set, known);
    }

    /// Every set of so many valves, in the order of the file.
    bool whole_level(std::size_t count) {
        std::vector<std::size_t> places(count);
        for (std::size_t i = 0; i < count; ++i) places[i] = i;
        std::vector<ValveSet> sets;
        for (bool more = true; more;) {
            ValveSet set;
            for (const std::size_t place : places) set.push_back(valves_[place]);
            sets.push_back(std::move(set));
            more = false;
            for (std::size_t i = count; i-- > 0 && !more;) {
                if (places[i] + (count - i) >= valves_.size()) continue;
                ++places[i];
                for (std::size_t j = i + 1; j < count; ++j) places[j] = places[j - 1] + 1;
                more = true;
            }
        }
        try_sets(sets);
        found_.whole_to = count;
        found_.complete = count == valves_.size();
        return true;
    }

    /// Sets of so many valves whose subsets, one valve smaller, may all grow.
    bool grown_level(std::size_t count) {
        std::vector<ValveSet> sets;
        const auto left =
            static_cast<long>(0.9 * static_cast<double>(options_.most)) - static_cast<long>(found_.tried);
        bool whole = true;
        const auto add = [&](ValveSet set) {
            if (static_cast<long>(sets.size()) >= left) return whole = false;
            sets.push_back(std::move(set));
            return true;
        };
        if (count == 1) {
            for (const Index valve : valves_)
                if (!add({valve})) break;
        } else {
            join(add);
        }
        if (sets.empty()) {
            found_.complete = whole;
            return false;
        }
        try_sets(sets);
        growing_.clear();
        for (ValveSet& set : sets)
            if (known_.at(set).grows) growing_.push_back(std::move(set));
        if (whole) found_.whole_to = count;
        found_.complete = whole && growing_.empty();
        return whole && !growing_.empty();
    }

    /// Two growing sets that differ in their last valve make a larger one.
    template <class Add>
    void join(const Add& add) {
        for (std::size_t i = 0; i < growing_.size(); ++i) {
            for (std::size_t j = i + 1; j < growing_.size(); ++j) {
                if (!std::equal(growing_[i].begin(), growing_[i].end() - 1, growing_[j].begin())) break;
                ValveSet set = growing_[i];
                set.push_back(growing_[j].back());
                bool grows = true;
                for (std::size_t k = 0; k + 2 < set.size() && grows; ++k) {
                    const auto less = known_.find(without(set, k));
                    grows = less != known_.end() && less->second.grows;
                }
                if (grows && !add(std::move(set))) return;
            }
        }
    }

    /// With what is left: sets that grow by one valve after the other in a drawn order, begun at each valve
    /// in turn.
    void long_sets() {
        constexpr std::size_t patience = 40;  // valves in a row that did not fit
        Judged judged;
        RunJudge judge(basis_);
        std::mt19937 random(1);
        for (std::size_t round = 0; static_cast<long>(found_.tried) < options_.most; ++round) {
            const std::size_t before = found_.tried;
            std::vector<Index> order = valves_;
            for (std::size_t i = order.size(); i > 1; --i) std::swap(order[i - 1], order[random() % i]);
            ValveSet set{valves_[round % valves_.size()]};
            std::size_t missed = 0;
            for (std::size_t i = 0; i < order.size() && missed < patience; ++i) {
                ValveSet larger = set;
                const auto place = std::lower_bound(larger.begin(), larger.end(), order[i]);
                if (place != larger.end() && *place == order[i]) continue;
                larger.insert(place, order[i]);
                auto known = known_.find(larger);
                if (known == known_.end()) {
                    if (static_cast<long>(found_.tried) >= options_.most) return;
                    Slot& slot = slots_.front();
                    slot.allowed = judge.passes(larger, slot.judged);
                    slot.grows = slot.allowed || may_grow(slot.judged, of_one_valve_);
                    note(larger, slot);
                    known = known_.find(larger);
                }
                if (known->second.grows) {
                    set = std::move(larger);
                    missed = 0;
                } else {
                    ++missed;
                }
            }
            if (options_.progress) options_.progress(found_.tried, set.size());
            if (found_.tried == before && round >= 4 * valves_.size()) return;  // nothing new comes any more
        }
    }

    void finish() {
        std::vector<std::size_t> order(found_.allowed.size());
        for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
        std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
            const ValveSet &one = found_.allowed[a], &other = found_.allowed[b];
            return one.size() != other.size() ? one.size() < other.size() : one < other;
        });
        std::vector<ValveSet> sorted;
        std::vector<std::size_t> place(order.size());
        for (std::size_t i = 0; i < order.size(); ++i) {
            place[order[i]] = i;
            sorted.push_back(found_.allowed[order[i]]);
        }
        for (const Index pipe : mainline_) {
            BranchFlow branch{pipe, greatest_[at(pipe)], 0, {}};
            if (const std::size_t which = greatest_set_[at(pipe)]; which > 0)
                branch.valves = found_.allowed[which - 1];
            const double bore = system_.pipes[at(pipe)].size->bore.value;
            branch.velocity = branch.flow / (0.785398163397448310 * bore * bore);
            found_.branches.push_back(std::move(branch));
        }
        std::vector<double> flows;
        flows.reserve(order.size());
        for (const std::size_t i : order) flows.push_back(flows_[i]);
        found_.allowed = std::move(sorted);
        std::vector<char> largest(found_.allowed.size(), 0);
        if (options_.sets || found_.complete) largest = maximal_sets(found_.allowed);
        for (std::size_t i = found_.allowed.size(); i-- > 0;) {
            if (largest[i] == 0) continue;
            found_.sets.push_back(found_.allowed[i]);
            found_.flows.push_back(flows[i]);
        }
        sort_sets();
        if (!found_.allowed.empty()) found_.largest = found_.allowed.back().size();
        std::vector<char> opens(system_.valves.size(), 0);
        for (const ValveSet& set : found_.allowed)
            for (const Index valve : set) opens[at(valve)] = 1;
        for (const Index valve : valves_)
            if (opens[at(valve)] == 0) found_.never.push_back(valve);
        sort_blocked();
    }

    /// Largest first, then in the order of the file.
    void sort_sets() {
        std::vector<std::size_t> order(found_.sets.size());
        for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
        std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
            const ValveSet &one = found_.sets[a], &other = found_.sets[b];
            return one.size() != other.size() ? one.size() > other.size() : one < other;
        });
        std::vector<ValveSet> sets;
        std::vector<double> flows;
        for (const std::size_t i : order) {
            sets.push_back(std::move(found_.sets[i]));
            flows.push_back(found_.flows[i]);
        }
        found_.sets = std::move(sets);
        found_.flows = std::move(flows);
    }

    /// What fails in it, the worst of each rule.
    static BlockedSet blocked_set(const ValveSet& set, const Judged& judged) {
        BlockedSet blocked{set, {}, {}, judged.result.failure};
        if (judged.result.failure) return blocked;
        for (const Finding& finding : judged.findings.findings) {
            if (!finding.fails) continue;
            const auto same = std::find_if(blocked.findings.begin(), blocked.findings.end(),
                                           [&](const Finding& other) { return other.rule == finding.rule; });
            if (same != blocked.findings.end()) {
                ++blocked.alike[static_cast<std::size_t>(same - blocked.findings.begin())];
            } else {
                blocked.findings.push_back(finding);
                blocked.alike.push_back(1);
            }
        }
        return blocked;
    }

    void sort_blocked() {
        std::stable_sort(
            found_.blocked.begin(), found_.blocked.end(), [](const BlockedSet& one, const BlockedSet& other) {
                const auto key = [](const BlockedSet& set) {
                    return set.failure || set.findings.empty()
                               ? -std::numeric_limits<double>::infinity()
                               : severity(set.findings.front().margin, set.findings.front().limit);
                };
                return key(one) < key(other);
            });
    }

    const model::System& system_;
    const TogetherOptions& options_;
    const JudgeBasis basis_;
    std::size_t threads_;
    std::vector<char> of_one_valve_;
    std::vector<Index> valves_, mainline_;
    std::vector<double> greatest_;
    std::vector<std::size_t> greatest_set_;
    std::vector<double> flows_;  // by allowed set
    std::vector<Slot> slots_;
    std::vector<std::unique_ptr<RunJudge>> judges_;
    std::unordered_map<ValveSet, Known, ValveSetHash> known_;
    std::vector<ValveSet> growing_;
    Together found_;
};

}  // namespace

Together find_together(const model::System& system, const model::Layout& layout,
                       const TogetherOptions& options) {
    if (system.valves.empty()) {
        Together nothing;
        nothing.every = nothing.complete = true;
        return nothing;
    }
    return Search(system, layout, options).run();
}

}  // namespace evenhead::solver
