// When a valve shuts, the pipes behind it stand full, and every head is a hole. Water runs out of the lowest
// heads, air comes in through the higher ones, and what remains lies below the level z of those lowest heads.
// A pipe of bore D and length L that rises straight from z1 to z2 loses
//
//   pi D^2/4 L f,   f = share of it above z:  1 where z <= min, 0 where z >= max, else (max - z)/(max - min)
//
// with min and max of z1 and z2. A pipe that lies just at z keeps its water.
//
// A zone falls into parts that water passes freely, parted by closed pipes and devices and by what passes one
// way only. Through a one-way device water still runs down into the part behind it, but for the column c that
// it holds shut by itself (its loss at no flow). So the level of a part is the lowest of its own heads and of
// level + c behind each one-way device that leads out of it: a shortest way, found from the lowest level up.
#include "solver/crew/drainage.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <queue>

#include "model/position.hpp"
#include "solver/crew/ways_parts.hpp"
#include "solver/water.hpp"

namespace evenhead::solver {
namespace {

constexpr double endless = std::numeric_limits<double>::infinity();
constexpr double level_with = 1e-4;    // m: heads no farther above the lowest drain with it
constexpr double least_volume = 1e-9;  // m3: less is rounding
constexpr double least_column = 1e-3;  // m

/// Share of a pipe above a level.
double share_above(double one, double other, double level) {
    const double low = std::min(one, other), high = std::max(one, other);
    if (high <= level) return 0;
    if (low >= level) return 1;
    return (high - level) / (high - low);
}

/// The nodes of one zone: points, and of a device the inlet apart from the outlet.
class Zone {
  public:
    Zone(const model::System& system, const model::Layout& layout, Index valve,
         const std::vector<Index>& pipes)
        : system_(system), layout_(layout), valve_(valve), pipes_(pipes) {
        for (const Index pipe : pipes)
            for (const int end : {0, 1}) node_of(pipe, end);
        for (const Index head : layout.zone_heads[at(valve)]) point_node(system.heads[at(head)].point, false);
        part_.resize(nodes_.size());
        std::iota(part_.begin(), part_.end(), 0);
        for (const Index pipe : pipes)
            if (!system.pipes[at(pipe)].closed) join(node_of(pipe, 0), node_of(pipe, 1));
        for (const auto& [device, node] : device_inlets()) {
            const model::Device& of = system.devices[at(device)];
            if (!of.closed && !of.one_way) join(node, point_node(of.point, true));
        }
    }

    void drain(Drainage& result) {
        find_levels();
        std::vector<DrainingPart> parts(nodes_.size());
        for (const Index pipe : pipes_) {
            const double volume = volume_of(system_.pipes[at(pipe)]);
            if (std::isnan(volume)) {
                result.unknown.push_back(pipe);
                continue;
            }
            // A closed pipe is two dead ends; it drains with neither.
            if (system_.pipes[at(pipe)].closed) continue;
            const int top = find(node_of(pipe, 0));
            const double level = level_[at(top)];
            if (!(level < endless)) continue;
            const double from = height(pipe, 0), to = height(pipe, 1);
            const double out = volume * share_above(from, to, level);
            DrainingPart& part = parts[at(top)];
            part.volume += out;
            if (out > 0) part.column = std::max(part.column, std::max(from, to) - level);
        }
        bool any = false;
        for (std::size_t node = 0; node < parts.size(); ++node) {
            DrainingPart& part = parts[node];
            if (!(part.volume > least_volume) || !(part.column > least_column)) continue;
            part.valve = valve_;
            part.level = level_[node];
            part.held = outlet_part_[node] != static_cast<int>(node);
            part.heads = lowest_heads(outlet_part_[node]);
            result.parts.push_back(part);
            any = true;
        }
        if (!any) result.without_drain.push_back(valve_);
    }

  private:
    /// Its outlet side is a node of its own.
    bool has_sides(Index point) const { return system_.points[at(point)].kind == model::PointKind::device; }

    int point_node(Index point, bool outlet) {
        const auto [found, fresh] =
            numbers_.try_emplace(2 * point + (outlet && has_sides(point) ? 1 : 0), nodes_.size());
        if (fresh) nodes_.push_back(point);
        return static_cast<int>(found->second);
    }
    int node_of(Index pipe, int end) {
        const model::Pipe& of = system_.pipes[at(pipe)];
        return point_node(end == 0 ? of.from : of.to, layout_.end_on_outlet[at(pipe)][at(end)]);
    }
    double height(Index pipe, int end) const {
        const model::Pipe& of = system_.pipes[at(pipe)];
        return layout_.elevation[at(end == 0 ? of.from : of.to)];
    }

    /// Devices of the zone with the node of their inlets, in the order in which they were found.
    std::vector<std::pair<Index, int>> device_inlets() {
        std::vector<std::pair<Index, int>> found;
        const std::size_t count = nodes_.size();
        for (std::size_t node = 0; node < count; ++node) {
            const Index point = nodes_[node];
            if (has_sides(point) && numbers_.at(2 * point) == node && numbers_.contains(2 * point + 1))
                found.emplace_back(system_.points[at(point)].row, static_cast<int>(node));
        }
        return found;
    }

    int find(int node) {
        while (part_[at(node)] != node) node = part_[at(node)] = part_[at(part_[at(node)])];
        return node;
    }
    void join(int one, int other) { part_[at(find(one))] = find(other); }

    /// m of water that a one-way device holds back by itself.
    double holds(const model::Device& device) const {
        if (device.loss.kind != model::LossKind::chart || device.loss.chart.empty()) return 0;
        const model::ChartRow& first = device.loss.chart.front();
        const double loss = first.at.value == 0 ? first.value.value : 0;
        return std::isnan(loss) ? 0 : loss * metres_per_pascal(system_.temperature);
    }

    void find_levels() {
        level_.assign(nodes_.size(), endless);
        outlet_part_.resize(nodes_.size());
        std::iota(outlet_part_.begin(), outlet_part_.end(), 0);
        for (const Index head : layout_.zone_heads[at(valve_)]) {
            const Index point = system_.heads[at(head)].point;
            const int part = find(point_node(point, false));
            level_[at(part)] = std::min(level_[at(part)], layout_.elevation[at(point)]);
        }
        std::vector<std::vector<std::pair<int, double>>> above(nodes_.size());  // parts that lead into this
        for (const auto& [device, node] : device_inlets()) {
            const model::Device& of = system_.devices[at(device)];
            if (of.closed || !of.one_way) continue;
            above[at(find(point_node(of.point, true)))].emplace_back(find(node), holds(of));
        }
        using Level = std::pair<double, int>;
        std::priority_queue<Level, std::vector<Level>, std::greater<>> open;
        for (std::size_t node = 0; node < nodes_.size(); ++node)
            if (level_[node] < endless) open.emplace(level_[node], static_cast<int>(node));
        while (!open.empty()) {
            const auto [level, part] = open.top();
            open.pop();
            if (level > level_[at(part)]) continue;
            for (const auto& [upper, held] : above[at(part)])
                if (level + held < level_[at(upper)]) {
                    level_[at(upper)] = level + held;
                    outlet_part_[at(upper)] = outlet_part_[at(part)];
                    open.emplace(level + held, upper);
                }
        }
    }

    std::vector<Index> lowest_heads(int part) {
        std::vector<Index> heads;
        for (const Index head : layout_.zone_heads[at(valve_)]) {
            const Index point = system_.heads[at(head)].point;
            if (find(point_node(point, false)) == part &&
                layout_.elevation[at(point)] <= level_[at(part)] + level_with)
                heads.push_back(head);
        }
        return heads;
    }

    const model::System& system_;
    const model::Layout& layout_;
    const Index valve_;
    const std::vector<Index>& pipes_;
    std::unordered_map<Index, std::size_t> numbers_;
    std::vector<Index> nodes_;  ///< points
    std::vector<int> part_;     ///< of the part that a node belongs to, or of one on the way there
    std::vector<double> level_;
    std::vector<int> outlet_part_;  ///< by part: the part through whose heads it drains
};

}  // namespace

double volume_of(const model::Pipe& pipe) {
    const double bore = pipe.size->bore.value;
    return std::numbers::pi / 4 * bore * bore * pipe.length.value;
}

Drainage drainage(const model::System& system, const model::Layout& layout) {
    Drainage result;
    const auto pipes = pipes_by_zone(system, layout);
    for (std::size_t valve = 0; valve < system.valves.size(); ++valve)
        Zone(system, layout, static_cast<Index>(valve), pipes[valve]).drain(result);
    std::sort(result.unknown.begin(), result.unknown.end());
    result.unknown.erase(std::unique(result.unknown.begin(), result.unknown.end()), result.unknown.end());
    return result;
}

}  // namespace evenhead::solver
