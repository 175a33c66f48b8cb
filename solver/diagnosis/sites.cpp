// Places where faults could be.
//
// A blockage can be in any pipe, valve or device, and in the screen of any head; a leak at any point that is
// buried. A run that is narrow throughout is one pipe, or all pipes of one size that hang together within a
// zone or on the mainline. Wrong or worn nozzles come one at a time, or all of one nozzle's, or all of a
// zone's.
#include <algorithm>
#include <map>
#include <numeric>
#include <set>
#include <tuple>

#include "model/position.hpp"
#include "solver/diagnosis/fault.hpp"

namespace evenhead::solver {
namespace {

using model::DeviceType;
using model::none;
using model::PointKind;

class Finder {
  public:
    Finder(const model::System& part, const model::Layout& layout, const std::vector<Index>& zones,
           const std::vector<Index>& open)
        : system_(part), layout_(layout), zones_(zones), open_(open) {}

    std::vector<Site> find() {
        blockages();
        narrow_runs();
        leaks();
        nozzles();
        sources();
        zones();
        gauge();
        return std::move(sites_);
    }

  private:
    static Index zone(std::span<const Index> zones) { return zones.empty() ? none : zones.front(); }
    Index zone_of_point(Index point) const { return zone(layout_.zone_of_point[at(point)]); }
    Index zone_of_head(Index head) const {
        const model::Head& of = system_.heads[at(head)];
        return of.valve != none ? of.valve : zone_of_point(of.point);
    }

    void add(FaultKind kind, ElementRef at, std::vector<Index> rows, Index valve) {
        const bool elsewhere =
            valve != none && std::find(zones_.begin(), zones_.end(), valve) == zones_.end();
        if (!elsewhere) sites_.push_back({kind, at, std::move(rows), valve, 0});
    }
    template <class Rows, class Visit>
    static void each(const Rows& rows, const Visit& visit) {
        for (std::size_t i = 0; i < rows.size(); ++i) visit(static_cast<Index>(i), rows[i]);
    }

    void blockages() {
        const auto block = [&](ElementKind kind, Index row, Index valve) {
            add(FaultKind::blockage, {kind, row}, {row}, valve);
        };
        each(system_.pipes, [&](Index pipe, const model::Pipe& of) {
            if (!of.closed) block(ElementKind::pipe, pipe, zone(layout_.zone_of_pipe[at(pipe)]));
        });
        each(system_.devices, [&](Index device, const model::Device& of) {
            if (of.closed || of.type == DeviceType::pump || of.type == DeviceType::quick_coupler) return;
            block(ElementKind::device, device, zone_of_point(of.point));
        });
        for (const Index valve : zones_) {
            // A head's own valve and its screen are one behind the other with nowhere for a gauge between
            // them.
            if (system_.valves[at(valve)].head == none) block(ElementKind::valve, valve, valve);
        }
        each(system_.heads,
             [&](Index head, const model::Head&) { block(ElementKind::head, head, zone_of_head(head)); });
    }

    void narrow_runs() {
        each(system_.pipes, [&](Index pipe, const model::Pipe& of) {
            if (!of.closed && of.length.value > 0)
                add(FaultKind::narrow_run, {ElementKind::pipe, pipe}, {pipe},
                    zone(layout_.zone_of_pipe[at(pipe)]));
        });
        // Pipes of one size in one zone that touch: joined point by point.
        std::vector<Index> joined(system_.pipes.size());
        std::iota(joined.begin(), joined.end(), 0);
        const auto root = [&](Index pipe) {
            while (joined[at(pipe)] != pipe) pipe = joined[at(pipe)];
            return pipe;
        };
        std::map<std::tuple<Index, std::string, std::string, Index>, Index> first;
        each(system_.pipes, [&](Index pipe, const model::Pipe& of) {
            if (of.closed || of.size->kind.empty()) return;
            for (const Index point : {of.from, of.to}) {
                const auto [seen, added] = first.try_emplace(
                    {point, of.size->kind, of.size->nominal, zone(layout_.zone_of_pipe[at(pipe)])}, pipe);
                const Index one = root(pipe), other = root(seen->second);
                joined[at(std::max(one, other))] = std::min(one, other);
            }
        });
        std::map<Index, std::vector<Index>> runs;
        each(system_.pipes, [&](Index pipe, const model::Pipe& of) {
            if (!of.closed && of.length.value > 0) runs[root(pipe)].push_back(pipe);
        });
        for (auto& [pipe, pipes] : runs)
            if (pipes.size() > 1)
                add(FaultKind::narrow_run, {ElementKind::pipe, pipes.front()}, pipes,
                    zone(layout_.zone_of_pipe[at(pipe)]));
    }

    void leaks() {
        each(system_.points, [&](Index point, const model::Point& of) {
            if (of.kind != PointKind::plain && of.kind != PointKind::head) return;
            if (of.kind == PointKind::head && system_.heads[at(of.row)].valve != none) return;
            if (layout_.point_on_mainline[at(point)] == 0 && layout_.zone_of_point[at(point)].empty()) return;
            add(FaultKind::leak, {ElementKind::point, point}, {point}, zone_of_point(point));
        });
    }

    void nozzles() {
        std::map<Index, std::vector<Index>> of_zone;
        std::map<std::pair<Index, Index>, std::vector<Index>> of_nozzle;
        std::map<Index, int> pipes_at;
        for (const model::Pipe& pipe : system_.pipes) ++pipes_at[pipe.from], ++pipes_at[pipe.to];
        each(system_.heads, [&](Index head, const model::Head& of) {
            const Index valve = zone_of_head(head);
            for (const FaultKind kind :
                 {FaultKind::clogged_nozzle, FaultKind::larger_nozzle, FaultKind::missing_nozzle})
                add(kind, {ElementKind::head, head}, {head}, valve);
            if (of.set) add(FaultKind::regulator_low, {ElementKind::head, head}, {head}, valve);
            if (pipes_at[of.point] == 1 && of.valve == none)
                add(FaultKind::extra_heads, {ElementKind::head, head}, {head}, valve);
            of_zone[valve].push_back(head);
            of_nozzle[{valve, of.nozzle}].push_back(head);
        });
        for (const auto& [valve, heads] : of_zone)
            if (heads.size() > 1)
                add(FaultKind::larger_nozzle, {ElementKind::head, heads.front()}, heads, valve);
        for (const auto& [key, heads] : of_nozzle)
            if (heads.size() > 1 && heads.size() < of_zone[key.first].size())
                add(FaultKind::larger_nozzle, {ElementKind::head, heads.front()}, heads, key.first);
    }

    void sources() {
        each(system_.supplies, [&](Index supply, const model::Supply&) {
            add(FaultKind::low_supply, {ElementKind::supply, supply}, {supply}, none);
        });
        each(system_.devices, [&](Index device, const model::Device& of) {
            if (of.set)
                add(FaultKind::regulator_low, {ElementKind::device, device}, {device},
                    zone_of_point(of.point));
        });
        for (const Index valve : zones_)
            if (system_.valves[at(valve)].set)
                add(FaultKind::regulator_low, {ElementKind::valve, valve}, {valve}, valve);
    }

    void zones() {
        each(system_.valves, [&](Index valve, const model::Valve&) {
            if (std::find(open_.begin(), open_.end(), valve) == open_.end())
                add(FaultKind::second_zone_on, {ElementKind::valve, valve}, {valve}, none);
        });
        for (const Index valve : zones_) {
            std::vector<Index> heads;
            each(system_.heads, [&](Index head, const model::Head&) {
                if (zone_of_head(head) == valve) heads.push_back(head);
            });
            if (!heads.empty()) add(FaultKind::higher_ground, {ElementKind::valve, valve}, heads, valve);
        }
    }

    void gauge() { add(FaultKind::gauge_off, {ElementKind::run, none}, {}, none); }

    const model::System& system_;
    const model::Layout& layout_;
    const std::vector<Index>& zones_;
    const std::vector<Index>& open_;
    std::vector<Site> sites_;
};

}  // namespace

std::vector<Site> fault_sites(const model::System& part, const model::Layout& layout,
                              const model::FaultPriors& priors, const std::vector<Index>& zones,
                              const std::vector<Index>& open) {
    std::vector<Site> sites = Finder(part, layout, zones, open).find();
    std::array<double, model::fault_kinds> count{};
    for (const Site& site : sites) ++count[static_cast<std::size_t>(site.kind)];
    for (Site& site : sites)
        site.weight = priors[site.kind].weight / count[static_cast<std::size_t>(site.kind)];
    return sites;
}

}  // namespace evenhead::solver
