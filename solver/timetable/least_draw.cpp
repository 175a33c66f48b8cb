#include "solver/timetable/least_draw.hpp"

#include <optional>

#include "model/part.hpp"
#include "model/position.hpp"
#include "solver/balance/balance.hpp"

namespace evenhead::solver {
namespace {

/// One valve after the other, open alone behind supplies that stand lower.
class Alone {
  public:
    Alone(const model::System& system, const model::Layout& layout)
        : system_(system), network_(build_network(system, layout)), prepared_(prepare(network_)) {
        for (int supply = 0; supply < network_.first_pipe; ++supply)
            heights_.push_back(network_.elements[at(supply)].fixed_height);
    }

    struct Stand {
        double height = -infinity, flow = 0;  ///< m before the valve; m3/s
    };
    /// Nothing where that has no solution.
    std::optional<Stand> at_drop(Index valve, double drop) {
        balancer_.reset();
        for (std::size_t supply = 0; supply < heights_.size(); ++supply)
            network_.elements[supply].fixed_height = heights_[supply] - drop;
        prepared_.parameters = set_parameters(network_, prepared_.structure);
        balancer_.emplace(system_, network_, prepared_);
        balancer_->balance(model::none, {valve}, result_);
        if (result_.failure || !result_.closure.solved) return std::nullopt;
        const Index point = system_.valves[at(valve)].point;
        const double inlet = result_.valve_inlet[at(valve)] * network_.metres_per_pascal +
                             network_.node_elevation[at(network_.inlet_node[at(point)])];
        return Stand{inlet, result_.valve_flow[at(valve)]};
    }

  private:
    const model::System& system_;
    Network network_;
    Prepared prepared_;
    std::optional<Balancer> balancer_;
    std::vector<double> heights_;
    RunResult result_;
};

/// The mainline with a head behind every valve that draws so much whatever the pressure.
model::System with_draws(const model::System& system, const model::Layout& layout, double flow) {
    model::System made = model::part_of(system, layout, {}).system;
    model::Nozzle& nozzle = made.nozzles.emplace_back();
    nozzle.id = "draw";
    nozzle.rows = {{{1, 0}, {flow, 0}}};
    nozzle.exponent = 0;
    model::PipeSize wide;
    wide.bore = {1, 0};
    wide.c = {150, 0};
    wide.roughness = {1e-6, 0};
    for (model::Valve& valve : made.valves) {
        valve.loss = {};
        valve.set = {};
        if (valve.head != model::none) continue;
        model::Point point;
        point.id = made.point_id(valve.point) + " draws";
        point.kind = model::PointKind::head;
        point.row = static_cast<Index>(made.heads.size());
        point.elevation = made.points[at(valve.point)].elevation;
        model::Head& head = made.heads.emplace_back();
        head.point = static_cast<Index>(made.points.size());
        head.nozzle = static_cast<Index>(made.nozzles.size()) - 1;
        model::Pipe& pipe = made.pipes.emplace_back();
        pipe.from = valve.point;
        pipe.to = head.point;
        pipe.length = {0, 0};
        pipe.size = wide;
        made.points.push_back(std::move(point));
    }
    return made;
}

}  // namespace

std::vector<double> heights_before(const model::System& system, const model::Layout& layout,
                                   const std::vector<Index>& valves, double flow) {
    const model::System drawn = with_draws(system, layout, flow);
    const model::Layout drawn_layout = model::find_layout(drawn);
    Alone alone(drawn, drawn_layout);
    std::vector<double> heights;
    for (const Index valve : valves) {
        const auto stand = alone.at_drop(valve, 0);
        const bool whole = stand && stand->flow >= flow * (1 - 1e-9);
        heights.push_back(whole ? stand->height : -infinity);
    }
    return heights;
}

std::vector<double> draws_at(const model::System& system, const model::Layout& layout,
                             const std::vector<Index>& valves, const std::vector<double>& heights) {
    Alone alone(system, layout);
    std::vector<double> draws;
    for (std::size_t i = 0; i < valves.size(); ++i) {
        const auto whole = alone.at_drop(valves[i], 0);
        double draw = 0;
        if (whole && whole->height <= heights[i]) {
            draw = whole->flow;
        } else if (whole) {
            // The drop at which the height is met, from the side where less is drawn.
            double little = 0, much = whole->height - heights[i] + 1;
            for (int step = 0; step < 24; ++step) {
                const double drop = step == 0 ? much : (little + much) / 2;
                const auto stand = alone.at_drop(valves[i], drop);
                const bool below = !stand || stand->height <= heights[i];
                if (below) {
                    much = drop;
                    draw = stand ? stand->flow : 0;
                } else if (step == 0) {
                    much *= 4;  // the way to the valve loses less with less flow
                    step = much < 1e4 ? -1 : 24;
                } else {
                    little = drop;
                }
            }
        }
        draws.push_back(draw);
    }
    return draws;
}

}  // namespace evenhead::solver
