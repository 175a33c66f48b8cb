// Takes a system apart into branches: from each supply outward, pipe by pipe where the pipe is a bridge,
// whole where pipes form a looped part (biconnected). Lines then go on along what is heaviest: most valves,
// then most points; so that the mainline runs straight and laterals hang on it.
#include <algorithm>
#include <boost/graph/biconnected_components.hpp>
#include <boost/graph/compressed_sparse_row_graph.hpp>
#include <iterator>
#include <utility>

#include "io/plan/schematic_parts.hpp"
#include "model/lists.hpp"

namespace evenhead::io::schematic {
namespace {

using model::none;

using Graph = boost::compressed_sparse_row_graph<boost::directedS, boost::no_property, boost::no_property,
                                                 boost::no_property, int, int>;

/// Of the two directions of an edge the search numbers the one that it takes: written through to the edge.
struct ByLink {
    using key_type = boost::graph_traits<Graph>::edge_descriptor;
    using value_type = int;
    using reference = int;
    using category = boost::writable_property_map_tag;
    const Graph* graph;
    const std::vector<int>* link_of;  ///< by directed edge
    std::vector<int>* parts;          ///< by link
};
template <class Part>
void put(const ByLink& map, const ByLink::key_type& edge, Part part) {
    const auto index = static_cast<std::size_t>(get(boost::edge_index, *map.graph, edge));
    (*map.parts)[at((*map.link_of)[index])] = static_cast<int>(part);
}

/// By pipe: the looped part it belongs to; -1 where it is a bridge. A pipe is a vertex between its points, so
/// that two side by side are a ring of four.
std::vector<int> looped_parts(const model::System& system) {
    const auto points = static_cast<int>(system.points.size());
    const auto pipes = static_cast<int>(system.pipes.size());
    std::vector<std::pair<int, int>> ends;
    std::vector<int> link;  // of each directed edge: 2 * pipe + end
    for (int pipe = 0; pipe < pipes; ++pipe)
        for (const int end : {0, 1}) {
            const model::Pipe& row = system.pipes[at(pipe)];
            const int point = end == 0 ? row.from : row.to;
            ends.emplace_back(point, points + pipe);
            ends.emplace_back(points + pipe, point);
            link.push_back(2 * pipe + end);
            link.push_back(2 * pipe + end);
        }
    // The search wants both directions of an edge to be found by its index: sort them as the graph will.
    std::vector<std::size_t> order(ends.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t one, std::size_t two) { return ends[one].first < ends[two].first; });
    std::vector<std::pair<int, int>> sorted;
    std::vector<int> link_of;
    for (const std::size_t i : order) {
        sorted.push_back(ends[i]);
        link_of.push_back(link[i]);
    }
    const Graph graph(boost::edges_are_sorted, sorted.begin(), sorted.end(), points + pipes);
    std::vector<int> part_of_link(at(2 * pipes), -1);
    boost::biconnected_components(graph, ByLink{&graph, &link_of, &part_of_link});
    std::vector<int> parts(at(pipes), -1);
    for (int pipe = 0; pipe < pipes; ++pipe)
        if (part_of_link[at(2 * pipe)] == part_of_link[at(2 * pipe + 1)])
            parts[at(pipe)] = part_of_link[at(2 * pipe)];
    return parts;
}

class Apart {
  public:
    explicit Apart(const model::System& system)
        : system_(system),
          part_of_(looped_parts(system)),
          pipes_of_(system.points.size(), [&](const auto& put) {
              for (std::size_t i = 0; i < system.pipes.size(); ++i) {
                  put(system.pipes[i].from, static_cast<int>(i));
                  put(system.pipes[i].to, static_cast<int>(i));
              }
          }) {
        int parts = 0;
        for (const int part : part_of_) parts = std::max(parts, part + 1);
        ring_.resize(at(parts));
        for (std::size_t i = 0; i < part_of_.size(); ++i)
            if (part_of_[i] >= 0) ring_[at(part_of_[i])].push_back(static_cast<Index>(i));
        ring_met_.resize(at(parts), 0);
        pipe_met_.resize(system.pipes.size(), 0);
        point_met_.resize(system.points.size(), 0);
        found_.of_point.resize(system.points.size());
    }

    Branches take() {
        for (const model::Supply& supply : system_.supplies) grow_from(supply.point);
        for (std::size_t i = 0; i < point_met_.size(); ++i) grow_from(static_cast<Index>(i));
        weigh();
        draw_lines();
        return std::move(found_);
    }

  private:
    void grow_from(Index root) {
        if (point_met_[at(root)]) return;
        Branch first;
        first.line = {root};
        first.line_pipes = {none};
        found_.roots.push_back(static_cast<int>(found_.all.size()));
        found_.all.push_back(std::move(first));
        meet(root);
        while (next_ < queue_.size()) branch_out(queue_[next_++]);
    }
    void meet(Index point) {
        point_met_[at(point)] = 1;
        queue_.push_back(point);
    }

    void branch_out(Index point) {
        for (const int pipe : pipes_of_[at(point)]) {
            if (pipe_met_[at(pipe)]) continue;
            const int part = part_of_[at(pipe)];
            Branch branch;
            branch.anchor = point;
            if (part < 0) {
                pipe_met_[at(pipe)] = 1;
                const model::Pipe& row = system_.pipes[at(pipe)];
                const Index next = row.from == point ? row.to : row.from;
                branch.pipe = pipe;
                branch.line = {next};
                branch.line_pipes = {pipe};
                meet(next);
            } else {
                branch.ring = ring_[at(part)];
                for (const Index of_ring : branch.ring) {
                    pipe_met_[at(of_ring)] = 1;
                    for (const Index end : {system_.pipes[at(of_ring)].from, system_.pipes[at(of_ring)].to})
                        if (!point_met_[at(end)]) meet(end);
                }
            }
            found_.of_point[at(point)].push_back(static_cast<int>(found_.all.size()));
            found_.all.push_back(std::move(branch));
        }
    }

    template <class Visit>
    void each_point(const Branch& branch, const Visit& visit) const {
        if (branch.ring.empty()) return visit(branch.line.front());
        std::vector<Index> points;
        for (const Index pipe : branch.ring)
            for (const Index end : {system_.pipes[at(pipe)].from, system_.pipes[at(pipe)].to})
                if (end != branch.anchor) points.push_back(end);
        std::sort(points.begin(), points.end());
        points.erase(std::unique(points.begin(), points.end()), points.end());
        for (const Index point : points) visit(point);
    }

    void weigh() {
        for (std::size_t i = found_.all.size(); i-- > 0;) {
            Branch& branch = found_.all[i];
            each_point(branch, [&](Index point) {
                branch.weight += 1;
                if (system_.points[at(point)].kind == model::PointKind::valve) branch.valves += 1;
                for (const int hung : found_.of_point[at(point)]) {
                    branch.weight += found_.all[at(hung)].weight;
                    branch.valves += found_.all[at(hung)].valves;
                }
            });
        }
    }

    void draw_lines() {
        for (Branch& branch : found_.all) {
            if (branch.absorbed || !branch.ring.empty()) continue;
            bool alone = true;  // nothing hangs on the line so far
            for (;;) {
                std::vector<int>& hung = found_.of_point[at(branch.line.back())];
                if (hung.empty()) break;
                const auto heaviest = std::max_element(hung.begin(), hung.end(), [&](int one, int two) {
                    const Branch &first = found_.all[at(one)], &second = found_.all[at(two)];
                    return std::pair(first.valves, first.weight) < std::pair(second.valves, second.weight);
                });
                const int next = *heaviest;
                alone = alone && hung.size() == 1;
                Branch& on = found_.all[at(next)];
                // The lateral of a valve hangs on the mainline, also on its last tee.
                if (on.ring.empty() && !alone &&
                    system_.points[at(on.line.front())].kind == model::PointKind::valve)
                    break;
                hung.erase(heaviest);
                if (!on.ring.empty()) {
                    branch.ahead = next;
                    break;
                }
                on.absorbed = true;
                branch.line.push_back(on.line.front());
                branch.line_pipes.push_back(on.pipe);
            }
        }
    }

    const model::System& system_;
    std::vector<int> part_of_;
    model::Lists pipes_of_;
    std::vector<std::vector<Index>> ring_;
    std::vector<char> ring_met_, pipe_met_, point_met_;
    std::vector<Index> queue_;
    std::size_t next_ = 0;
    Branches found_;
};

}  // namespace

Branches take_apart(const model::System& system) {
    return Apart(system).take();
}

}  // namespace evenhead::io::schematic
