// What was seen on site, as evidence: how likely it is to be seen where a fault is, and where it is not. The
// chances are common practice and the judgement of the authors.
#include <algorithm>
#include <charconv>
#include <cmath>
#include <string_view>

#include "model/position.hpp"
#include "solver/diagnosis/diagnosis.hpp"

namespace evenhead::solver {
namespace {

using model::none;

/// What was seen, in the whole system's positions, against one fault in the part's.
class Witness {
  public:
    Witness(const model::System& whole, const Survey& survey, const model::Seen& seen)
        : whole_(whole), survey_(survey), seen_(seen) {}

    /// Chance to see it under these faults.
    double chance(const std::vector<const Site*>& faults, const std::vector<double>& severities) const {
        const auto any = [&](const auto& holds) { return std::any_of(faults.begin(), faults.end(), holds); };
        const auto sprays = [](const Site* site) {
            return site->kind == FaultKind::leak || site->kind == FaultKind::missing_nozzle;
        };
        const auto here = [&](const Site* site) { return stands_at(*site); };
        if (seen_.what == "wet")
            return any([&](const Site* s) { return sprays(s) && near(*s); }) ? 0.6 : 0.03;
        if (seen_.what == "dry")
            return any([&](const Site* s) { return sprays(s) && near(*s); }) ? 0.25 : 0.97;
        if (seen_.what == "no-fault") return any(here) ? 0.05 : 0.95;
        if (seen_.what == "handle")
            return handle(
                any([&](const Site* s) { return s->kind == FaultKind::blockage && stands_at(*s); }));
        if (seen_.what == "head-count") return head_count(faults, severities);
        if (seen_.what == "nozzle") return nozzle(faults);
        return 1;
    }

  private:
    Index whole_point(Index point) const { return survey_.part.point[at(point)]; }
    const model::System& part() const { return survey_.part.system; }

    /// The fault is at the thing that was looked at.
    bool stands_at(const Site& site) const {
        switch (site.at.kind) {
            case ElementKind::pipe:
                return seen_.pipe != none && std::any_of(site.rows.begin(), site.rows.end(), [&](Index pipe) {
                           return survey_.part.pipe[at(pipe)] == seen_.pipe;
                       });
            case ElementKind::point:
                return is_point(site.at.index);
            case ElementKind::head:
                return std::any_of(site.rows.begin(), site.rows.end(),
                                   [&](Index head) { return is_point(part().heads[at(head)].point); });
            case ElementKind::device:
                return is_point(part().devices[at(site.at.index)].point);
            case ElementKind::valve:
                return is_point(part().valves[at(site.at.index)].point);
            case ElementKind::supply:
                return is_point(part().supplies[at(site.at.index)].point);
            case ElementKind::run:
                return false;
        }
        return false;
    }
    bool is_point(Index point) const { return seen_.point != none && whole_point(point) == seen_.point; }

    /// At the place, or at an end of the pipe that was looked at.
    bool near(const Site& site) const {
        if (stands_at(site)) return true;
        if (seen_.pipe == none) return false;
        const Index point = site.at.kind == ElementKind::point  ? site.at.index
                            : site.at.kind == ElementKind::head ? part().heads[at(site.at.index)].point
                                                                : none;
        if (point == none) return false;
        const model::Pipe& pipe = whole_.pipes[at(seen_.pipe)];
        return whole_point(point) == pipe.from || whole_point(point) == pipe.to;
    }

    double handle(bool blocked) const {
        if (seen_.value == "open")
            return blocked ? 0.2 : 0.98;  // an open handle, a gate that has dropped off
        return blocked ? 0.8 : 0.02;
    }

    double head_count(const std::vector<const Site*>& faults, const std::vector<double>& severities) const {
        int counted = 0;
        const auto [end, error] =
            std::from_chars(seen_.value.data(), seen_.value.data() + seen_.value.size(), counted);
        if (error != std::errc{} || seen_.valve == none) return 1;
        const auto drawn = static_cast<int>(survey_.whole_layout->zone_heads[at(seen_.valve)].size());
        for (std::size_t i = 0; i < faults.size(); ++i) {
            if (faults[i]->kind != FaultKind::extra_heads || faults[i]->valve != seen_.valve) continue;
            if (counted <= drawn) return 0.03;
            return std::abs(severities[i] - (counted - drawn)) < 1 ? 0.9 : 0.3;
        }
        return counted > drawn ? 0.05 : 0.97;
    }

    double nozzle(const std::vector<const Site*>& faults) const {
        if (seen_.point == none || whole_.points[at(seen_.point)].kind != model::PointKind::head) return 1;
        const Index head = whole_.points[at(seen_.point)].row;
        const Index drawn = whole_.heads[at(head)].nozzle;
        const bool same = drawn != none && whole_.nozzles[at(drawn)].id == seen_.value;
        for (const Site* site : faults) {
            const bool there = site->at.kind == ElementKind::head && stands_at(*site);
            if (!there) continue;
            if (site->kind == FaultKind::missing_nozzle) return same ? 0.02 : 0.3;
            // The right mark rules out the wrong nozzle, not a worn one.
            if (site->kind == FaultKind::larger_nozzle) return same ? 0.4 : 0.6;
        }
        return same ? 0.97 : 0.03;
    }

    const model::System& whole_;
    const Survey& survey_;
    const model::Seen& seen_;
};

}  // namespace

double seen_factor(const model::System& whole, const Survey& survey, const Hypothesis& hypothesis) {
    double factor = 1;
    for (const model::Seen& seen : whole.seen)
        factor *= Witness(whole, survey, seen).chance(hypothesis.faults, hypothesis.severities);
    return factor;
}

}  // namespace evenhead::solver
