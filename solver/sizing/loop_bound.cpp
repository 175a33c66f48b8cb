// Over a box in which every coordinate of the flows (what heads draw, what passes the chords of a spanning
// tree; the flow of every other element is a sum of them) lies in an interval, the flow of each element lies
// in one too: [q, Q]. Laws rise, so a pipe of choice d loses between d_d(q) and d_d(Q). With x_ed = 1 for the
// choice taken and 0 for the others, heights H at the nodes obey
//
//     sum_d d_d(q_e) x_ed  <=  H_tail - H_head  <=  sum_d d_d(Q_e) x_ed,     sum_d x_ed = 1
//
// for every pipe; an element that is fixed the same with a constant on either side; a regulator takes at
// least its loss, and leaves at most what it holds; a supply stands between its heights at both ends of its
// interval; a head has what it wants and no more than it may have. Every design that keeps its limits, with
// its flows in the box, satisfies all of it, so the least cost  sum c_ed x_ed  over real x in [0, 1] (a
// linear programme: pipes laid partly in one size, partly in another) is a bound of the box. The same x
// serves all runs. Choices that are too fast even at the least flow of the box have x = 0.
//
// Boxes are parted at the coordinate whose interval makes the widest loss, the box of least bound first. The
// bound of the whole is the least of all boxes that are left.
#include "solver/sizing/loop_bound.hpp"

#include <coin/ClpSimplex.hpp>
#include <coin/CoinError.hpp>
#include <coin/CoinPackedMatrix.hpp>

#include <algorithm>
#include <cmath>
#include <memory>
#include <queue>

#include "model/position.hpp"
#include "solver/parallel.hpp"
#include "solver/sizing/flow_boxes.hpp"

namespace evenhead::solver {
namespace {

constexpr double slack = 1e-5;  // m: rounding of heights and of the rules
constexpr double steep = 1e7;   // m: what no system loses; coefficients beyond it would only blur the others

struct Box {
    std::vector<std::vector<Interval>> flows;  // by pair's graph and coordinate
    double bound = 0;
    long order = 0;
};
struct Later {
    bool operator()(const Box& a, const Box& b) const {
        return a.bound != b.bound ? a.bound > b.bound : a.order > b.order;
    }
};

double loss_at(const Law& law, double q) {
    q = std::clamp(q, law.low(), law.high());
    return std::clamp(law.loss(q), -steep, steep);
}

/// The linear programme of a box.
class Programme {
  public:
    Programme(const TrialBasis& basis, const std::vector<FlowGraph>& graphs)
        : basis_(basis), problem_(basis.problem), graphs_(graphs) {}

    /// The bound; infinite where the box holds nothing; NaN where it could not be solved.
    double solve(const Box& box) {
        columns_.clear();
        rows_.clear();
        first_choice_.clear();
        for (const OpenPipe& open : problem_.open) {
            first_choice_.push_back(columns_.size());
            Row row{1, 1, {}};
            for (const SizingChoice& choice : open.choices) {
                row.terms.emplace_back(columns_.size(), 1);
                columns_.push_back({0, 1, choice.cost});
            }
            rows_.push_back(std::move(row));
        }
        for (std::size_t g = 0; g < graphs_.size(); ++g)
            if (!add(graphs_[g], box.flows[g])) return infinity;
        return run();
    }

  private:
    struct Column {
        double low, high, cost;
    };
    struct Row {
        double low, high;
        std::vector<std::pair<std::size_t, double>> terms;
    };

    bool add(const FlowGraph& graph, const std::vector<Interval>& box) {
        const RunPair& pair = basis_.pairs[at(graph.pair)];
        const TrialBasis::SituationBasis& limits = basis_.situations[at(pair.situation)];
        const Network& net = limits.networks.front();
        const std::size_t first = columns_.size();
        const bool no_suction = !limits.rules[RuleId::below_atmosphere].off;
        for (const int node : graph.nodes) {
            const double least = no_suction ? limits.rules[RuleId::below_atmosphere].value - 1 : -infinity;
            columns_.push_back({no_suction
                                    ? net.node_elevation[at(node)] + least * net.metres_per_pascal - slack
                                    : -COIN_DBL_MAX,
                                COIN_DBL_MAX, 0});
        }
        for (const FlowLink& link : graph.links) {
            const Interval flow = graph.flow(link, box);
            const Element& element = net.elements[at(link.element)];
            if (flow.low > flow.high + 1e-12) return false;
            if (element.one_way && flow.high < -1e-12) return false;
            const double low = element.one_way ? std::max(0.0, flow.low) : flow.low,
                         high = std::max(low, flow.high);
            if (link.element >= net.first_head) {
                if (!add_head(graph, link, first + at(link.tail), low, high)) return false;
            } else if (link.tail < 0) {  // a supply
                Column& height = columns_[first + at(link.head)];
                height.low = std::max(height.low, element.fixed_height - loss_at(*element.law, high) - slack);
                height.high =
                    std::min(height.high, element.fixed_height - loss_at(*element.law, low) + slack);
            } else {
                add_link(graph, link, element, first, low, high);
            }
        }
        for (std::size_t i = first; i < columns_.size(); ++i)
            if (columns_[i].low > columns_[i].high) return false;
        add_spread(graph, first);
        return true;
    }

    bool add_head(const FlowGraph& graph, const FlowLink& link, std::size_t column, double low, double high) {
        const RunPair& pair = basis_.pairs[at(graph.pair)];
        const TrialBasis::SituationBasis& limits = basis_.situations[at(pair.situation)];
        const Network& net = limits.networks.front();
        const std::size_t head = at(link.element - net.first_head);
        const HeadLaw& law = *net.head_laws[head];
        const double z = net.elements[at(link.element)].fixed_height;
        Column& height = columns_[column];
        const auto in_lateral = [&](double pressure) {
            return height_in_lateral(law, pressure * net.metres_per_pascal);
        };
        const TrialBasis::HeadLimits& limit = limits.heads[head];
        if (limit.least > -infinity) {
            if (law.set() && limit.least * net.metres_per_pascal > *law.set() + slack) return false;
            height.low = std::max(height.low, z + in_lateral(limit.least) - slack);
        }
        if (limit.most < infinity && !law.set())
            height.high = std::min(height.high, z + in_lateral(limit.most) + slack);
        if (!limit.constant_draw && !law.set()) {  // what flows tells the pressure
            if (low > 0) height.low = std::max(height.low, z + law.losses(low).low - slack);
            height.high = std::min(height.high, z + law.losses(high).high + slack);
        }
        return height.low <= height.high;
    }

    void add_link(const FlowGraph& graph, const FlowLink& link, const Element& element, std::size_t first,
                  double low, double high) {
        const RunPair& pair = basis_.pairs[at(graph.pair)];
        const TrialBasis::SituationBasis& limits = basis_.situations[at(pair.situation)];
        const std::size_t tail = first + at(link.tail), head = first + at(link.head);
        if (link.open < 0) {
            const double least = loss_at(*element.law, low), most = loss_at(*element.law, high);
            const bool shut = element.one_way && low <= 0;  // then any fall against it may stand
            rows_.push_back({shut ? -COIN_DBL_MAX : least - slack,
                             element.regulates() ? COIN_DBL_MAX : most + slack,
                             {{tail, 1}, {head, -1}}});
            if (element.regulates())
                columns_[head].high = std::min(columns_[head].high, element.held_height + slack);
            return;
        }
        const std::size_t open = at(link.open);
        const double flow = low > 0 ? low : high < 0 ? -high : 0;
        Row above{-slack, COIN_DBL_MAX, {{tail, 1}, {head, -1}}},
            below{-COIN_DBL_MAX, slack, {{tail, 1}, {head, -1}}};
        for (std::size_t c = 0; c < problem_.open[open].choices.size(); ++c) {
            const Law& law = *limits.networks[c].elements[at(link.element)].law;
            const std::size_t column = first_choice_[open] + c;
            if (flow / basis_.area[open][c] > basis_.most_velocity[open][c] * (1 + 2e-7))
                columns_[column].high = 0;
            above.terms.emplace_back(column, -loss_at(law, low));
            below.terms.emplace_back(column, -loss_at(law, high));
        }
        rows_.push_back(std::move(above));
        rows_.push_back(std::move(below));
    }

    /// Where heads stand on the lateral without joint or regulation, their spread is one of heights.
    void add_spread(const FlowGraph& graph, std::size_t first) {
        const RunPair& pair = basis_.pairs[at(graph.pair)];
        const SizingProblem::Situation& situation = problem_.situations[at(pair.situation)];
        const TrialBasis::SituationBasis& limits = basis_.situations[at(pair.situation)];
        const RuleLimit& spread = limits.rules[RuleId::zone_spread];
        if (spread.off) return;
        const Network& net = limits.networks.front();
        for (const Index valve : situation.system.runs[at(pair.run)].valves) {
            std::vector<std::pair<std::size_t, double>> heads;  // column, elevation
            double design = infinity;
            for (const FlowLink& link : graph.links) {
                if (link.element < net.first_head) continue;
                const auto head = static_cast<Index>(link.element - net.first_head);
                const auto& zone = situation.layout.zone_heads[at(valve)];
                const TrialBasis::HeadLimits& limit = limits.heads[at(head)];
                if (limit.constant_draw || std::find(zone.begin(), zone.end(), head) == zone.end()) continue;
                if (!std::isnan(limit.design)) design = std::min(design, limit.design);
                const HeadLaw& law = *net.head_laws[at(head)];
                if (law.set() || law.joint_resistance() > 0) continue;
                heads.emplace_back(first + at(link.tail), net.elements[at(link.element)].fixed_height);
            }
            if (heads.size() < 2 || design == infinity) continue;
            const std::size_t top = columns_.size();
            columns_.push_back({-COIN_DBL_MAX, COIN_DBL_MAX, 0});
            const double most = spread.value * (1 + 1e-6) * design * net.metres_per_pascal + slack;
            for (const auto& [column, z] : heads) rows_.push_back({-z, most - z, {{top, 1}, {column, -1}}});
        }
    }

    /// Whatever the library cannot do leaves the box its parent's bound.
    double run() const {
        try {
            return minimum();
        } catch (const CoinError&) {
            return std::nan("");
        }
    }

    double minimum() const {
        std::vector<double> low, high, cost, row_low, row_high, values;
        std::vector<int> at_row, at_column;
        for (const Column& column : columns_) {
            low.push_back(column.low);
            high.push_back(column.high);
            cost.push_back(column.cost);
        }
        for (const Row& row : rows_) {
            for (const auto& [column, value] : row.terms) {
                at_row.push_back(static_cast<int>(row_low.size()));
                at_column.push_back(static_cast<int>(column));
                values.push_back(value);
            }
            row_low.push_back(row.low);
            row_high.push_back(row.high);
        }
        CoinPackedMatrix matrix(true, at_row.data(), at_column.data(), values.data(),
                                static_cast<CoinBigIndex>(values.size()));
        matrix.setDimensions(static_cast<int>(rows_.size()), static_cast<int>(columns_.size()));
        ClpSimplex model;
        model.setLogLevel(0);
        model.loadProblem(matrix, low.data(), high.data(), cost.data(), row_low.data(), row_high.data());
        model.dual();
        if (model.status() == 1) return infinity;
        if (model.status() != 0) return std::nan("");
        return model.objectiveValue() * (1 - 1e-9);
    }

    const TrialBasis& basis_;
    const SizingProblem& problem_;
    const std::vector<FlowGraph>& graphs_;
    std::vector<Column> columns_;
    std::vector<Row> rows_;
    std::vector<std::size_t> first_choice_;  // by open pipe
};

class LoopBounding {
  public:
    LoopBounding(const TrialBasis& basis, const LoopBoundOptions& options)
        : basis_(basis), options_(options) {
        for (std::size_t pair = 0; pair < basis.pairs.size(); ++pair)
            graphs_.push_back(make_flow_graph(basis, static_cast<int>(pair)));
    }

    LoopBound run() {
        LoopBound result;
        Box whole = first_box();
        for (const auto& flows : whole.flows)
            for (const Interval& flow : flows)
                if (!(flow.high < infinity)) return result;
        std::priority_queue<Box, std::vector<Box>, Later> waiting;
        const auto threads = static_cast<std::size_t>(std::max(1, options_.threads));
        std::vector<std::unique_ptr<Programme>> programmes(threads);
        for (auto& programme : programmes) programme = std::make_unique<Programme>(basis_, graphs_);
        const double first = programmes[0]->solve(whole);
        ++result.boxes;
        if (first == infinity) {
            result.cost = infinity;
            result.proven = true;
            return result;
        }
        whole.bound = std::isnan(first) ? 0 : first;
        waiting.push(whole);
        long order = 0;
        constexpr std::size_t batch = 8;
        double finest = infinity;  // of boxes that are parted no further
        while (!waiting.empty()) {
            result.cost = std::min(waiting.top().bound, finest);
            if (result.cost >= options_.known * (1 - options_.gap) || finest <= waiting.top().bound) break;
            if (result.boxes >= options_.most_boxes) break;
            if (options_.keep_going && !options_.keep_going(result.cost)) break;
            std::vector<Box> parts;
            for (std::size_t i = 0; i < batch / 2 && !waiting.empty(); ++i) {
                const Box box = waiting.top();
                waiting.pop();
                if (!part(box, parts)) finest = std::min(finest, box.bound);
            }
            std::vector<double> bounds(parts.size());
            in_parallel(threads, parts.size(), [&](std::size_t worker, std::size_t i) {
                bounds[i] = programmes[worker]->solve(parts[i]);
            });
            for (std::size_t i = 0; i < parts.size(); ++i) {
                ++result.boxes;
                if (!std::isnan(bounds[i])) parts[i].bound = std::max(parts[i].bound, bounds[i]);
                parts[i].order = ++order;
                if (parts[i].bound < options_.known * (1 - options_.gap)) waiting.push(std::move(parts[i]));
            }
            if (waiting.empty()) {
                result.cost = std::min(finest, options_.known * (1 - options_.gap));
                if (options_.known == infinity && finest == infinity) {
                    result.cost = infinity;
                    result.proven = true;
                }
            }
        }
        return result;
    }

  private:
    /// A second supply, or a pump on a ring, may drive more round than all heads draw. Else water only runs
    /// down from where it enters to where it is drawn, and never in a circle.
    bool may_circulate(const FlowGraph& graph, const Network& net) const {
        const auto on_ring = [&](const FlowLink& link) {
            if (link.chord >= 0) return graph.of_head[at(link.chord)] == 0;
            return std::any_of(link.sum.begin(), link.sum.end(),
                               [&](const auto& term) { return graph.of_head[at(term.first)] == 0; });
        };
        int supplies = 0;
        for (const FlowLink& link : graph.links) {
            supplies += link.element < net.first_pipe;
            const bool device = link.element >= net.first_device && link.element < net.first_valve;
            if (device && net.elements[at(link.element)].law->losses(0).low < 0 && on_ring(link)) return true;
        }
        return supplies > 1;
    }

    /// The most that the velocity rule lets through a link, m3/s; infinite: whatever.
    double most_by_velocity(const FlowLink& link, const Network& net) const {
        if (link.element < net.first_pipe || link.element >= net.first_device) return infinity;
        const std::size_t pipe = at(link.element - net.first_pipe);
        if (link.open < 0) return basis_.fixed_area[pipe] * basis_.fixed_most_velocity[pipe] * (1 + 2e-7);
        double most = 0;
        for (std::size_t c = 0; c < basis_.area[at(link.open)].size(); ++c)
            most = std::max(most, basis_.area[at(link.open)][c] * basis_.most_velocity[at(link.open)][c]);
        return most * (1 + 2e-7);
    }

    /// What heads pass between what they want and the most there is; rings whatever all of them draw, or what
    /// the rules let through; infinite where nothing bounds it.
    Box first_box() const {
        Box box;
        for (const FlowGraph& graph : graphs_) {
            const RunPair& pair = basis_.pairs[at(graph.pair)];
            const TrialBasis::SituationBasis& limits = basis_.situations[at(pair.situation)];
            const Network& net = limits.networks.front();
            const double highest = highest_height(net);
            const bool circulates = may_circulate(graph, net);
            std::vector<Interval> flows(graph.coordinate.size());
            double total = 0;
            for (std::size_t c = 0; c < flows.size(); ++c) {
                if (!graph.of_head[c]) continue;
                const int element = graph.links[at(graph.coordinate[c])].element;
                const std::size_t head = at(element - net.first_head);
                const HeadLaw& law = *net.head_laws[head];
                const TrialBasis::HeadLimits& limit = limits.heads[head];
                const double mpp = net.metres_per_pascal;
                if (limit.constant_draw) {
                    const bool full = !limits.rules[RuleId::short_flow].off;
                    flows[c] = {full ? limit.full_flow * (1 - 2e-7) : 0, limit.full_flow};
                } else {
                    double most =
                        law.flow(std::max(0.1, highest - net.elements[at(element)].fixed_height), 1e-4);
                    if (limit.most < infinity && !law.set())
                        most = std::min(most, law.nozzle().flow(limit.most * mpp) * (1 + 1e-6));
                    const double least =
                        limit.least > 0 ? law.nozzle().flow(limit.least * mpp) * (1 - 1e-6) : 0;
                    flows[c] = {std::min(least, most), most};
                }
                total += flows[c].high;
            }
            for (std::size_t c = 0; c < flows.size(); ++c) {
                if (graph.of_head[c]) continue;
                const double most =
                    circulates ? most_by_velocity(graph.links[at(graph.coordinate[c])], net) : total;
                flows[c] = {-most, most};
            }
            box.flows.push_back(std::move(flows));
        }
        return box;
    }

    /// Two halves of the box, parted where that narrows most; false where nothing is wide any more.
    bool part(const Box& box, std::vector<Box>& parts) const {
        std::size_t best_graph = 0, best = 0;
        double widest = 0;
        for (std::size_t g = 0; g < graphs_.size(); ++g) {
            const FlowGraph& graph = graphs_[g];
            for (std::size_t c = 0; c < graph.coordinate.size(); ++c) {
                double width = box.flows[g][c].width();
                if (graph.of_head[c]) width *= 0.3;  // draws are many, and each matters little
                if (width > widest) {
                    widest = width;
                    best = c;
                    best_graph = g;
                }
            }
        }
        if (!(widest > 1e-9)) return false;
        const Interval whole = box.flows[best_graph][best];
        // At zero first, where the direction of the flow is not known.
        const double middle =
            whole.low < 0 && whole.high > 0 && box.bound == 0 ? 0 : (whole.low + whole.high) / 2;
        for (const bool upper : {false, true}) {
            parts.push_back(box);
            Interval& half = parts.back().flows[best_graph][best];
            (upper ? half.low : half.high) = middle;
        }
        return true;
    }

    const TrialBasis& basis_;
    const LoopBoundOptions& options_;
    std::vector<FlowGraph> graphs_;
};

}  // namespace

LoopBound bound_loops(const TrialBasis& basis, const LoopBoundOptions& options) {
    return LoopBounding(basis, options).run();
}

}  // namespace evenhead::solver
