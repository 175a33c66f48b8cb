// What the page's script shows of one run: lists of positions and of numbers, as printed, with a blank
// between; a long run then costs little, and is cut apart only when it is chosen.
#include <cmath>
#include <string_view>

#include "io/report/facts.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

/// A list that grows.
class List {
  public:
    void add(std::string_view word) {
        if (!text_.empty()) text_ += ' ';
        text_ += word;
    }
    void add(Index position) { add(std::to_string(position)); }
    const std::string& text() const { return text_; }

  private:
    std::string text_;
};

/// Less is what the balance leaves open, not water: 1e-9 gpm.
constexpr double no_flow = 6.3e-14;  // m3/s

}  // namespace

std::string run_numbers(const Speaker& speaker, const solver::RunResult& result, const RunMarks& marks) {
    const ShownUnits& units = speaker.units;
    std::string text;
    const auto put = [&](std::string_view key, const List& list) {
        if (!list.text().empty())
            text += (text.empty() ? "\"" : ",\"") + std::string(key) + "\":\"" + list.text() + '"';
    };
    List heads, pressures, flows, radii;
    for (const HeadMark& mark : marks.heads) {
        heads.add(mark.head);
        pressures.add(units.number(mark.pressure, Dimension::pressure));
        flows.add(units.number(mark.flow, Dimension::flow));
        radii.add(units.number(mark.radius, Dimension::length));
    }
    put("head", heads);
    put("head_pressure", pressures);
    put("head_flow", flows);
    put("head_radius", radii);
    List pipes, pipe_flows, velocities, losses;
    for_each(result.concerned.pipes, [&](int i) {
        // A large loop moves a little everywhere: what prints as nothing is left out.
        std::string velocity = units.number(result.pipe_velocity[at(i)], Dimension::velocity);
        if (velocity.find_first_of("123456789") == std::string::npos) return;
        pipes.add(i);
        pipe_flows.add(units.number(std::abs(result.pipe_flow[at(i)]), Dimension::flow));
        velocities.add(velocity);
        losses.add(units.number(std::abs(result.pipe_loss[at(i)]), Dimension::pressure, 1));
    });
    put("pipe", pipes);
    put("pipe_flow", pipe_flows);
    put("pipe_velocity", velocities);
    put("pipe_loss", losses);
    const auto passed = [&](const std::string& kind, const solver::Spans& rows,
                            const std::vector<double>& flow, const std::vector<double>& inlet,
                            const std::vector<double>& outlet) {
        List those, their_flows, inlets, outlets;
        for_each(rows, [&](int i) {
            if (!(std::abs(flow[at(i)]) > no_flow)) return;
            those.add(i);
            their_flows.add(units.number(flow[at(i)], Dimension::flow));
            inlets.add(units.number(inlet[at(i)], Dimension::pressure));
            outlets.add(units.number(outlet[at(i)], Dimension::pressure));
        });
        put(kind, those);
        put(kind + "_flow", their_flows);
        put(kind + "_inlet", inlets);
        put(kind + "_outlet", outlets);
    };
    passed("device", result.concerned.devices, result.device_flow, result.device_inlet, result.device_outlet);
    passed("valve", result.concerned.valves, result.valve_flow, result.valve_inlet, result.valve_outlet);
    List supplies, supply_flows, supply_pressures;
    for (std::size_t i = 0; i < result.supply_flow.size(); ++i) {
        supplies.add(static_cast<Index>(i));
        supply_flows.add(units.number(result.supply_flow[i], Dimension::flow));
        supply_pressures.add(units.number(result.supply_pressure[i], Dimension::pressure));
    }
    put("supply", supplies);
    put("supply_flow", supply_flows);
    put("supply_pressure", supply_pressures);
    List points, point_pressures;
    for_each(result.concerned.points, [&](int i) {
        if (std::isnan(result.point_pressure[at(i)]) ||
            speaker.system.points[at(i)].kind != model::PointKind::plain)
            return;
        points.add(i);
        point_pressures.add(units.number(result.point_pressure[at(i)], Dimension::pressure));
    });
    put("point", points);
    put("point_pressure", point_pressures);
    return text;
}

}  // namespace evenhead::io
