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
#include "solver/sizing/flow_programme.hpp"

#include <coin/ClpSimplex.hpp>
#include <coin/CoinError.hpp>
#include <coin/CoinPackedMatrix.hpp>

#include <algorithm>
#include <cmath>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

constexpr double slack = 1e-5;  // m: rounding of heights and of the rules
constexpr double steep = 1e7;   // m: what no system loses; coefficients beyond it would only blur the others

double loss_at(const Law& law, double q) {
    q = std::clamp(q, law.low(), law.high());
    return std::clamp(law.loss(q), -steep, steep);
}

/// The linear programme of a box.
class Programme {
  public:
    Programme(const TrialBasis& basis, const std::vector<FlowGraph>& graphs)
        : basis_(basis), problem_(basis.problem), graphs_(graphs) {}

    /// Heads draw what the box says; else, `any_draw`, they have any pressure within their limits whatever
    /// they draw.
    double solve(const FlowBox& box, bool any_draw = false) {
        any_draw_ = any_draw;
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
            if (!add(graphs_[g], box[g])) return infinity;
        return run();
    }

    /// Of the last programme solved.
    Shares shares() const {
        Shares shares;
        for (std::size_t o = 0; o < problem_.open.size(); ++o) {
            const auto first = solution_.begin() + static_cast<std::ptrdiff_t>(first_choice_[o]);
            shares.emplace_back(first, first + static_cast<std::ptrdiff_t>(problem_.open[o].choices.size()));
        }
        return shares;
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
        if (!any_draw_ && !limit.constant_draw && !law.set()) {  // what flows tells the pressure
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
    double run() {
        try {
            return minimum();
        } catch (const CoinError&) {
            return std::nan("");
        }
    }

    double minimum() {
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
        solution_.assign(model.getColSolution(), model.getColSolution() + columns_.size());
        return model.objectiveValue() * (1 - 1e-9);
    }

    const TrialBasis& basis_;
    const SizingProblem& problem_;
    const std::vector<FlowGraph>& graphs_;
    std::vector<Column> columns_;
    std::vector<Row> rows_;
    std::vector<std::size_t> first_choice_;  // by open pipe
    std::vector<double> solution_;           // by column
    bool any_draw_ = false;
};

}  // namespace

double least_cost_in(const FlowBox& box, const std::vector<FlowGraph>& graphs, const TrialBasis& basis) {
    return Programme(basis, graphs).solve(box);
}

Shares shares_at(const FlowBox& flows, const std::vector<FlowGraph>& graphs, const TrialBasis& basis) {
    Programme programme(basis, graphs);
    const double cost = programme.solve(flows, true);
    return cost < infinity ? programme.shares() : Shares();  // NaN: neither
}

}  // namespace evenhead::solver
