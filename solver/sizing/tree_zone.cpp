// What the rest of the system leaves at the root falls as the tree draws more (every law is a rising curve),
// so a height found at a flow holds as an upper bound for every larger flow.
#include "solver/sizing/tree_zone.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

class TreeFinder {
  public:
    TreeFinder(const TrialBasis& basis, int pair)
        : basis_(basis),
          pair_(basis.pairs[at(pair)]),
          situation_(basis.problem.situations[at(pair_.situation)]),
          net_(basis.situations[at(pair_.situation)].networks.front()),
          structure_(prepare_structure(net_)),
          valves_(situation_.system.runs[at(pair_.run)].valves) {
        zone_.pair = pair;
    }

    std::optional<TreeZone> find() {
        if (structure_.core_varies) return std::nullopt;
        state_ = reach(net_, open_elements(net_, valves_));
        if (!find_root() || !gather() || !holds_all() || !sample_supply()) return std::nullopt;
        return std::move(zone_);
    }

  private:
    bool active(int element) const { return element < 0 || state_.active[at(element)] != 0; }
    int open_of(int element) const {
        if (element < net_.first_pipe || element >= net_.first_device) return -1;
        return basis_.problem.open_of_pipe[at(element - net_.first_pipe)];
    }

    /// The deepest place (or core node, as ~node) above every open pipe that may flow, where a draw can be
    /// put.
    bool find_root() {
        std::vector<int> ways;  // upper ends of open pipes
        for (std::size_t place = 0; place < structure_.places(); ++place)
            if (open_of(structure_.element[place]) >= 0 && active(structure_.element[place]))
                ways.push_back(structure_.parent[place]);
        for (const int element : structure_.step_element)
            if (open_of(element) >= 0 && active(element)) return false;  // on a ring, or between supplies
        if (ways.empty()) return false;
        root_ = ways.front();
        for (const int way : ways) root_ = common(root_, way);
        if (root_ == nowhere_common) return false;
        while (!takes_draw(root_)) {
            if (root_ < 0) return false;
            root_ = structure_.parent[at(root_)];
        }
        return true;
    }
    static constexpr int nowhere_common = std::numeric_limits<int>::min();
    int common(int one, int other) const {
        std::set<int> above;
        for (int at_place = one;; at_place = structure_.parent[at(at_place)]) {
            above.insert(at_place);
            if (at_place < 0) break;
        }
        for (int at_place = other;; at_place = structure_.parent[at(at_place)]) {
            if (above.contains(at_place)) return at_place;
            if (at_place < 0) return nowhere_common;
        }
    }
    int node_of(int place) const {
        return place >= 0 ? structure_.node[at(place)] : structure_.core_node[at(~place)];
    }
    bool takes_draw(int place) const {
        const int node = node_of(place);
        const Index index = net_.point_of_node[at(node)];
        const model::Point& point = situation_.system.points[at(index)];
        if (point.kind == model::PointKind::head) return false;
        const bool two_sides =
            point.kind == model::PointKind::device || point.kind == model::PointKind::valve;
        return !two_sides || net_.outlet_node[at(index)] == node;
    }

    bool gather() {
        std::vector<int> tree_of(structure_.places(), -1);
        zone_.nodes.emplace_back().node = node_of(root_);
        // Parents stand behind their children: from the back, every parent is known before.
        for (std::size_t i = structure_.places(); i-- > 0;) {
            const int above = structure_.parent[i];
            int parent = -1;
            if (above == root_) {
                parent = 0;
            } else if (above >= 0) {
                parent = tree_of[at(above)];
            }
            if (parent < 0) continue;
            const int element = structure_.element[i];
            if (element < 0) {  // a head of a core node
                if (active(structure_.head[i]))
                    zone_.nodes[0].heads.push_back(structure_.head[i] - net_.first_head);
                continue;
            }
            if (!active(element) || structure_.shut[i] != 0) continue;
            const int position = static_cast<int>(zone_.nodes.size());
            tree_of[i] = position;
            zone_.nodes.emplace_back();
            TreeNode& made = zone_.nodes.back();
            made.node = structure_.node[i];
            made.parent = parent;
            zone_.nodes[at(parent)].children.push_back(position);
            if (structure_.head[i] >= 0 && active(structure_.head[i]))
                zone_.nodes.back().heads.push_back(structure_.head[i] - net_.first_head);
            if (!set_element(zone_.nodes.back(), element)) return false;
        }
        return zone_.nodes.size() > 1;
    }

    /// Every open pipe that may flow in any run.
    bool holds_all() const {
        std::vector<char> held(basis_.problem.open.size(), 0);
        for (const TreeNode& node : zone_.nodes)
            if (node.open >= 0) held[at(node.open)] = 1;
        for (std::size_t o = 0; o < held.size(); ++o)
            if (!held[o] && !basis_.problem.system.pipes[at(basis_.problem.open[o].pipe)].closed)
                return false;
        return true;
    }

    bool set_element(TreeNode& node, int element) {
        const Element& of = net_.elements[at(element)];
        if (of.ref.kind == ElementKind::device &&
            situation_.system.devices[at(of.ref.index)].type == model::DeviceType::pump)
            return false;
        node.pipe = of.ref.kind == ElementKind::pipe;
        node.hands_on = of.ref.kind == ElementKind::device;
        node.held = of.held_height;
        node.open = open_of(element);
        node.convex =
            !std::isnan(net_.power_r[at(element)]) || (of.regulates() && of.law->power() != nullptr);
        const auto& networks = basis_.situations[at(pair_.situation)].networks;
        if (node.open < 0) {
            const double bore = node.pipe ? situation_.system.pipes[at(of.ref.index)].size->bore.value : 0;
            const double area = node.pipe ? basis_.fixed_area[at(of.ref.index)] : 0;
            const double fastest = node.pipe ? basis_.fixed_most_velocity[at(of.ref.index)] : infinity;
            node.options.push_back({of.law, 0, 0, area, bore, fastest});
            return true;
        }
        const OpenPipe& open = basis_.problem.open[at(node.open)];
        for (std::size_t c = 0; c < open.choices.size(); ++c)
            node.options.push_back({networks[c].elements[at(element)].law, static_cast<int>(c),
                                    open.choices[c].cost, basis_.area[at(node.open)][c],
                                    open.choices[c].size->bore.value,
                                    basis_.most_velocity[at(node.open)][c]});
        return true;
    }

    // The system without the tree, and a constant draw in its place.
    bool sample_supply() {
        const Index root_point = net_.point_of_node[at(zone_.nodes[0].node)];
        model::System cut = situation_.system;
        std::vector<Index> valves = valves_;
        for (const int child : zone_.nodes[0].children) {
            const int element = element_to(child);
            const ElementRef& ref = net_.elements[at(element)].ref;
            if (ref.kind == ElementKind::pipe) cut.pipes[at(ref.index)].closed = true;
            if (ref.kind == ElementKind::device) cut.devices[at(ref.index)].closed = true;
            if (ref.kind == ElementKind::valve) std::erase(valves, ref.index);
        }
        for (std::size_t point = 0; point < cut.points.size(); ++point)
            cut.points[point].elevation = model::Quantity{situation_.layout.elevation[point], 0};
        model::Nozzle nozzle;
        nozzle.id = "draw";
        nozzle.exponent = 0;
        nozzle.rows.push_back({model::Quantity{1e3, 0}, model::Quantity{1, 0}});
        cut.nozzles.push_back(nozzle);
        model::Point point;
        point.id = "draw";
        point.kind = model::PointKind::head;
        point.row = static_cast<Index>(cut.heads.size());
        point.elevation = cut.points[at(root_point)].elevation;
        model::Head head;
        head.point = static_cast<Index>(cut.points.size());
        head.nozzle = static_cast<Index>(cut.nozzles.size()) - 1;
        model::Pipe pipe;
        pipe.from = root_point;
        pipe.to = head.point;
        pipe.length = model::Quantity{0, 0};
        model::PipeSize size;
        size.bore = model::Quantity{1, 0};
        size.c = model::Quantity{150, 0};
        size.roughness = model::Quantity{0, 0};
        pipe.size = size;
        cut.points.push_back(point);
        cut.heads.push_back(head);
        cut.pipes.push_back(pipe);
        const model::Layout layout = model::find_layout(cut);

        // The tree draws most with every pipe at its largest.
        const Network& largest = basis_.situations[at(pair_.situation)].networks.back();
        const RunResult full_size = balance_run(situation_.system, largest, model::none, valves_);
        if (full_size.failure || !full_size.closure.solved) return false;
        double most = 0;
        for (const TreeNode& node : zone_.nodes)
            for (const int of : node.heads) most += full_size.head_flow[at(of)];
        if (!(most > 0)) return false;
        most *= 1.02;
        constexpr int samples = 160;
        constexpr double least_share = 0.3;
        const auto drawn = cut.heads.size() - 1;
        const double z = point.elevation->value;
        for (int i = 1; i <= samples; ++i) {
            const double flow = most * (least_share + (1 - least_share) * i / samples);
            cut.nozzles.back().rows.front().value.value = flow;
            const Network network = build_network(cut, layout);
            const RunResult result = balance_run(cut, network, model::none, valves);
            if (result.failure || !result.closure.solved) return false;
            const bool full = result.head_flow[drawn] > flow * (1 - 1e-9) && !too_fast(cut, layout, result);
            zone_.supply_flow.push_back(flow);
            zone_.supply_height.push_back(full ? z + result.head_pressure[drawn] * network.metres_per_pascal
                                               : -infinity);
            if (!full) break;
        }
        return true;
    }
    /// What feeds the tree from one supply, without rings, passes all that the tree draws: where that is too
    /// fast for a fixed pipe, more is too.
    bool too_fast(const model::System& cut, const model::Layout& layout, const RunResult& result) const {
        if (cut.supplies.size() != 1) return false;
        for (std::size_t pipe = 0; pipe + 1 < cut.pipes.size(); ++pipe)
            if (!layout.pipe_in_loop[pipe] &&
                result.pipe_velocity[pipe] > basis_.fixed_most_velocity[pipe] * (1 + 2e-7))
                return true;
        return false;
    }
    int element_to(int child) const {
        const int place = structure_.place_of[at(zone_.nodes[at(child)].node)];
        return structure_.element[at(place)];
    }
    const TrialBasis& basis_;
    const RunPair pair_;
    const SizingProblem::Situation& situation_;
    const Network& net_;
    Structure structure_;
    const std::vector<Index>& valves_;
    State state_;
    TreeZone zone_;
    int root_ = 0;
};

}  // namespace

double TreeZone::most_height(double flow) const {
    const auto above = std::upper_bound(supply_flow.begin(), supply_flow.end(), flow);
    if (above == supply_flow.begin()) return infinity;
    return supply_height[static_cast<std::size_t>(above - supply_flow.begin()) - 1];
}

std::optional<TreeZone> find_tree(const TrialBasis& basis, int pair) {
    return TreeFinder(basis, pair).find();
}

}  // namespace evenhead::solver
