#include "bench/systems.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string>
#include <utility>

#include "bench/drawing.hpp"

namespace evenhead::bench {

using namespace model;

namespace {

Built built(System&& system) {
    Built made{std::move(system), {}};
    made.layout = find_layout(made.system);
    return made;
}

// A supply stands in the middle of every four by four loops.
bool supply_stands_at(int row, int column) {
    return row % 4 == 2 && column % 4 == 2;
}

void add_zones(Drawing& drawing, const std::vector<Index>& tees, int heads, Random& random) {
    const long count = static_cast<long>(tees.size());
    for (long i = 0; i < count; ++i) {
        const auto before = [&](long n) { return static_cast<int>(heads * n / count); };
        const Index valve = drawing.valve(25);
        drawing.pipe(tees[static_cast<std::size_t>(i)], valve, 4, pipe_size("2"));
        drawing.zone(valve, before(i + 1) - before(i), random);
    }
}

template <class Row>
std::vector<Index> shuffle(std::vector<Row>& rows, Random& random) {
    std::vector<Index> from(rows.size()), to(rows.size());
    std::iota(from.begin(), from.end(), 0);
    for (std::size_t i = from.size(); i > 1; --i)
        std::swap(from[i - 1], from[at(random.below(static_cast<int>(i)))]);
    std::vector<Row> moved;
    moved.reserve(rows.size());
    for (std::size_t i = 0; i < from.size(); ++i) {
        moved.push_back(std::move(rows[at(from[i])]));
        to[at(from[i])] = static_cast<Index>(i);
    }
    rows = std::move(moved);
    return to;
}

}  // namespace

void shuffle_rows(System& system, std::uint64_t seed) {
    Random random(seed);
    const std::vector<Index> points = shuffle(system.points, random), heads = shuffle(system.heads, random),
                             valves = shuffle(system.valves, random);
    shuffle(system.pipes, random);
    const auto follow = [](Index& position, const std::vector<Index>& to) {
        if (position != none) position = to[at(position)];
    };
    for (Point& point : system.points) {
        if (point.kind == PointKind::head) follow(point.row, heads);
        if (point.kind == PointKind::valve) follow(point.row, valves);
    }
    for (Pipe& pipe : system.pipes) {
        follow(pipe.from, points);
        follow(pipe.to, points);
    }
    for (Head& head : system.heads) {
        follow(head.point, points);
        follow(head.valve, valves);
    }
    for (Valve& valve : system.valves) {
        follow(valve.point, points);
        follow(valve.head, heads);
    }
    for (Supply& supply : system.supplies) follow(supply.point, points);
    for (Device& device : system.devices) follow(device.point, points);
    for (Run& run : system.runs) {
        for (Index& valve : run.valves) follow(valve, valves);
    }
}

Built looped_system(int heads, std::uint64_t seed, RowOrder order) {
    Random random(seed);
    Drawing drawing("Invented looped main, " + std::to_string(heads) + " heads", 1);
    MainPlan plan;
    plan.loops = std::max(1, heads / heads_a_loop);
    plan.tees = (heads + heads_a_valve - 1) / heads_a_valve;
    const Main main = draw_main(drawing, plan, random, supply_stands_at);
    const auto feed = [&](Index junction) {
        drawing.pipe(drawing.supply(64, 2500, 54), junction, 20, pipe_size("12"));
    };
    for (std::size_t j = 0; j < main.junctions.size(); ++j) {
        const int number = static_cast<int>(j);
        if (supply_stands_at(number / main.columns, number % main.columns)) feed(main.junctions[j]);
    }
    if (drawing.system.supplies.empty()) feed(main.junctions.front());
    add_zones(drawing, main.tees, heads, random);
    System& system = drawing.system;
    Run all{"every-valve", {}, true, {}};
    all.valves.resize(system.valves.size());
    std::iota(all.valves.begin(), all.valves.end(), 0);
    system.runs.push_back(std::move(all));
    if (order == RowOrder::shuffled) shuffle_rows(system, seed + 1);
    return built(std::move(system));
}

Built golf_course(std::uint64_t seed, int stations) {
    Random random(seed);
    Drawing drawing("Invented golf course, " + std::to_string(stations) + " stations", 12);
    MainPlan plan;
    plan.loops = 20;
    plan.tees = stations;
    plan.spacing = 60;
    const Main main = draw_main(drawing, plan, random);
    const Index pond = drawing.supply(0, 0, 0);
    Device& pump = drawing.device(DeviceType::pump, "pump");
    pump.one_way = true;
    pump.rise = {row(0, 88 * psi), row(400 * gpm, 85 * psi), row(800 * gpm, 78 * psi),
                 row(1200 * gpm, 64 * psi)};
    const Index pump_point = pump.point;
    drawing.pipe(pond, pump_point, 10, pipe_size("12"));
    drawing.pipe(pump_point, main.junctions[0], 30, pipe_size("12"));
    for (std::size_t i = 0; i < main.tees.size(); ++i) {
        const Index head = drawing.head("G" + std::to_string(i + 1), 40, random.between(-12, 12), random);
        drawing.own_valve(head, 40);
        drawing.pipe(main.tees[i], head, std::round(random.between(15, 60)), pipe_size("2"));
        drawing.system.runs.push_back({drawing.system.point_id(head), {static_cast<Index>(i)}, false, {}});
    }
    return built(std::move(drawing.system));
}

std::vector<ParkSize> city_sizes(std::uint64_t seed) {
    constexpr int systems = 258, heads = 500000, valves = 29000;
    // Log-normal with a spread of 1.2: the middle one has about half of the mean, the largest ten times it.
    Random random(seed);
    std::vector<double> weight;
    double total = 0;
    for (int i = 0; i < systems; ++i) {
        double normal = -6;  // a sum of twelve uniform draws, less its mean
        for (int draw = 0; draw < 12; ++draw) normal += random.uniform();
        weight.push_back(std::exp(1.2 * normal));
        total += weight.back();
    }
    std::vector<ParkSize> sizes;
    double share = 0;
    int heads_before = 0, valves_before = 0;
    for (const double w : weight) {
        share += w / total;
        const int heads_now = static_cast<int>(std::lround(share * heads));
        const int valves_now = static_cast<int>(std::lround(share * valves));
        sizes.push_back({heads_now - heads_before, valves_now - valves_before});
        heads_before = heads_now;
        valves_before = valves_now;
    }
    return sizes;
}

Built park(ParkSize size, std::uint64_t seed) {
    Random random(seed);
    Drawing drawing("Invented park, " + std::to_string(size.heads) + " heads", 1);
    MainPlan plan;
    plan.loops = size.heads / 500;
    plan.tees = size.valves;
    plan.spacing = 60;
    plan.size = size.heads < 800 ? "3" : size.heads < 3000 ? "4" : size.heads < 10000 ? "6" : "8";
    const Index street = drawing.supply(68, 300, 56);
    Device& meter = drawing.device(DeviceType::meter, "meter");
    meter.loss.kind = LossKind::chart;
    meter.loss.chart = {row(60 * gpm, 0.8 * psi), row(120 * gpm, 2.4 * psi), row(240 * gpm, 8.5 * psi)};
    meter.safe_flow = exactly(240 * gpm);
    const Index meter_point = meter.point;
    Device& backflow = drawing.device(DeviceType::backflow, "backflow");
    backflow.one_way = true;
    backflow.loss.kind = LossKind::chart;
    backflow.loss.chart = {row(0, 2 * psi), row(80 * gpm, 3.1 * psi), row(200 * gpm, 5 * psi)};
    const Index backflow_point = backflow.point;
    const Main main = draw_main(drawing, plan, random);
    drawing.pipe(street, meter_point, 10, pipe_size("4"));
    drawing.pipe(meter_point, backflow_point, 10, pipe_size("4"));
    drawing.pipe(backflow_point, main.junctions[0], 20, pipe_size("4"));
    add_zones(drawing, main.tees, size.heads, random);
    for (Index valve = 0; valve < size.valves;) {
        Run run{"R" + std::to_string(drawing.system.runs.size() + 1), {}, true, {}};
        for (int together = 1 + random.below(3); together > 0 && valve < size.valves; --together)
            run.valves.push_back(valve++);
        drawing.system.runs.push_back(std::move(run));
    }
    return built(std::move(drawing.system));
}

int main_loops(const Built& made) {
    const Layout& layout = made.layout;
    // A device is passed by an element of its own between its two sides: as many elements as further nodes.
    const auto pipes = std::count(layout.pipe_on_mainline.begin(), layout.pipe_on_mainline.end(), 1);
    const auto points = std::count(layout.point_on_mainline.begin(), layout.point_on_mainline.end(), 1);
    return static_cast<int>(pipes - points) + 1;
}

}  // namespace evenhead::bench
