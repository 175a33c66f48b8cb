#include "solver/timetable/dear_sets_parts.hpp"

#include <algorithm>
#include <random>

#include "model/position.hpp"
#include "solver/parallel.hpp"

namespace evenhead::solver {
namespace {

constexpr std::size_t at_once = 48;  // sets grown with the same prices
constexpr int patience = 2;          // rounds in a row that find nothing
constexpr double clearly = 1e-3;

/// True where one more open valve only makes it worse: heights fall everywhere, and every supply sends more.
bool stays(const Finding& finding, const Network& network, const std::vector<char>& trunk) {
    switch (finding.rule) {
        case RuleId::head_pressure:
        case RuleId::below_atmosphere:
            return !finding.upper;
        case RuleId::velocity:
            return finding.subject.kind == ElementKind::pipe &&
                   trunk[at(network.first_pipe + finding.subject.index)] != 0;
        case RuleId::meter_flow:
        case RuleId::meter_loss:
            return finding.upper && finding.subject.kind == ElementKind::device &&
                   trunk[at(network.first_device + finding.subject.index)] != 0;
        default:
            return false;
    }
}

}  // namespace

DearSets::DearSets(const JudgeBasis& basis, const std::vector<Index>& valves, std::size_t threads, long most,
                   NightZones& night)
    : basis_(basis),
      valves_(valves),
      night_(night),
      rooms_(find_rooms(basis.system, basis.layout, basis.network, basis.rules, night)),
      judges_(threads),
      judged_(threads),
      most_(most) {
    for (const ValveSet& set : night.allowed) known_.emplace(set, Verdict::allowed);
    for (std::size_t one = 0; one < valves.size(); ++one)
        for (std::size_t other = one + 1; other < valves.size(); ++other) {
            ValveSet pair{static_cast<Index>(one), static_cast<Index>(other)};
            if (ask(pair) != Verdict::never) night.perhaps.push_back(std::move(pair));
        }
}

void DearSets::add() {
    constexpr std::ptrdiff_t first = 1000;
    const auto count = static_cast<std::ptrdiff_t>(night_.allowed.size());
    mattered_.assign(night_.allowed.end() - std::min(first, count), night_.allowed.end());  // the largest
    int without = 0;
    for (unsigned number = 1; balanced_ < most_; ++number) {
        const FractionalNight now = fractional_night(night_, true, 0, mattered_);
        keep(now);
        without = round(now.price, number) ? 0 : without + 1;
        if (without < patience) continue;
        const Dearest found = dearest(now.price, true);
        if (found.better.empty()) break;
        night_.allowed.insert(night_.allowed.end(), found.better.begin(), found.better.end());
    }
    keep(fractional_night(night_, true, 0, mattered_));
    std::stable_sort(night_.allowed.begin(), night_.allowed.end(),
                     [](const ValveSet& a, const ValveSet& b) { return a.size() < b.size(); });
}

double DearSets::most_together(const std::vector<double>& price) {
    return dearest(price, false).most;
}

Dearest DearSets::dearest(const std::vector<double>& price, bool look) {
    return find_dearest(
        rooms_, price, [&](const ValveSet& set) { return ask(set); }, look);
}

/// Those whose prices sum to about 1.
void DearSets::keep(const FractionalNight& now) {
    constexpr double about = 0.98;
    mattered_.clear();
    for (const ValveSet& set : now.sets) {
        double worth = 0;
        for (const Index zone : set) worth += now.price[at(zone)];
        if (worth > about) mattered_.push_back(set);
    }
}

/// True where a set was found whose prices sum to clearly more than 1.
bool DearSets::round(const std::vector<double>& price, unsigned number) {
    std::vector<Grown> grown(at_once);
    in_parallel(judges_.size(), at_once, [&](std::size_t worker, std::size_t i) {
        grow(order(price, i, number * 1000 + static_cast<unsigned>(i)), worker, grown[i]);
    });
    bool found = false;
    for (Grown& one : grown) {
        for (auto& [set, verdict] : one.fresh) {
            if (!known_.emplace(set, verdict).second) continue;
            ++balanced_;
            if (verdict == Verdict::allowed) night_.allowed.push_back(set);
        }
        double worth = 0;
        for (const Index zone : one.set) worth += price[at(zone)];
        found = found || worth > 1 + clearly;
    }
    return found;
}

/// Zones, the dearest first: for what they draw in one half of the orders, by themselves in the other.
std::vector<Index> DearSets::order(const std::vector<double>& price, std::size_t number,
                                   unsigned seed) const {
    std::mt19937 random(seed);
    const std::size_t pair = number / 2, pairs = at_once / 2;  // both halves take the same spread
    const double spread = static_cast<double>(pair) / static_cast<double>(pairs);
    std::vector<double> worth(price.size());
    std::vector<Index> zones(price.size());
    for (std::size_t z = 0; z < price.size(); ++z) {
        zones[z] = static_cast<Index>(z);
        const double share = static_cast<double>(random()) / 4294967296.0;
        worth[z] =
            price[z] / (number % 2 == 0 ? night_.zones[z].alone : 1.0) * (1 + spread * (2 * share - 1));
    }
    std::stable_sort(zones.begin(), zones.end(),
                     [&](Index a, Index b) { return worth[at(a)] > worth[at(b)]; });
    return zones;
}

void DearSets::grow(const std::vector<Index>& order, std::size_t worker, Grown& grown) {
    for (const Index zone : order) {
        ValveSet larger = grown.set;
        larger.insert(std::lower_bound(larger.begin(), larger.end(), zone), zone);
        const auto known = known_.find(larger);
        const Verdict verdict = known != known_.end() ? known->second : judge(larger, worker);
        if (known == known_.end()) grown.fresh.emplace_back(larger, verdict);
        if (verdict == Verdict::allowed) grown.set = std::move(larger);
    }
}

Verdict DearSets::judge(const ValveSet& positions, std::size_t worker) {
    if (!judges_[worker]) judges_[worker] = std::make_unique<RunJudge>(basis_);
    ValveSet open;
    for (const Index position : positions) open.push_back(valves_[at(position)]);
    std::sort(open.begin(), open.end());
    Judged& judged = judged_[worker];
    if (judges_[worker]->passes(open, judged)) return Verdict::allowed;
    if (judged.result.failure || !judged.result.closure.solved) return Verdict::unsure;
    const auto& findings = judged.findings.findings;
    const bool for_good = std::any_of(findings.begin(), findings.end(), [&](const Finding& finding) {
        return finding.fails && stays(finding, basis_.network, rooms_.trunk);
    });
    return for_good ? Verdict::never : Verdict::unsure;
}

Verdict DearSets::ask(const ValveSet& positions) {
    const auto known = known_.find(positions);
    if (known != known_.end()) return known->second;
    if (balanced_ >= 2 * most_) return Verdict::unsure;
    ++balanced_;
    return known_.emplace(positions, judge(positions, 0)).first->second;
}

}  // namespace evenhead::solver
