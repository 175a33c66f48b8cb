#include "bench/drawing.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <utility>

#include "model/catalogue.hpp"

namespace evenhead::bench {

using namespace model;

namespace {

constexpr double most_velocity = 5 * foot;  // m/s
constexpr const char* kind = "pvc-cl200";

OptionalQuantity feet(double value) {
    return exactly(value * foot);
}

}  // namespace

ChartRow row(double at_value, double value) {
    return {exactly(at_value), exactly(value)};
}

const PipeSize& pipe_size(const char* nominal) {
    const PipeSize* found = find_size(*find_kind(kind), nominal);
    if (found == nullptr) throw std::invalid_argument("no such size in the catalogue");
    return *found;
}

const PipeSize& pipe_size_for(double flow) {
    const std::vector<PipeSize>& sizes = find_kind(kind)->sizes;
    for (const PipeSize& size : sizes) {
        const double bore = size.bore.value;
        if (flow <= most_velocity * std::numbers::pi / 4 * bore * bore) return size;
    }
    return sizes.back();
}

Drawing::Drawing(std::string title, double scale) {
    system.title = std::move(title);
    system.files = {"generated"};
    system.ground = exactly(100 * foot);
    const auto add = [&](const char* id, std::vector<ChartRow> rows) {
        Nozzle nozzle;
        nozzle.id = id;
        nozzle.rows = std::move(rows);
        nozzle.min = exactly(25 * psi);
        nozzle.design = exactly(45 * psi);
        nozzle.max = exactly(65 * psi);
        system.nozzles.push_back(std::move(nozzle));
    };
    const double flow = scale * gpm;
    add("quarter", {row(45 * psi, 0.8 * flow)});
    add("third", {row(45 * psi, 1.07 * flow)});
    // Given as a data sheet gives it: by rows that follow no one exponent.
    add("half", {row(25 * psi, 1.21 * flow), row(35 * psi, 1.42 * flow), row(45 * psi, 1.6 * flow),
                 row(60 * psi, 1.83 * flow)});
    add("two-thirds", {row(45 * psi, 2.13 * flow)});
    add("three-quarter", {row(45 * psi, 2.4 * flow)});
    add("full", {row(45 * psi, 3.2 * flow)});
}

Index Drawing::point(std::string id, PointKind of_kind, Index of_row) {
    Point made;
    made.id = std::move(id);
    made.kind = of_kind;
    made.row = of_row;
    system.points.push_back(std::move(made));
    return static_cast<Index>(system.points.size()) - 1;
}

Index Drawing::tee() {
    return point("T" + std::to_string(++tees_), PointKind::plain, none);
}

Index Drawing::supply(double static_pressure, double test_flow, double residual) {
    Supply made;
    const auto number = static_cast<Index>(system.supplies.size());
    made.point = point("S" + std::to_string(number + 1), PointKind::supply, number);
    made.static_pressure = exactly(static_pressure * psi);
    if (test_flow > 0) made.tests = {row(test_flow * gpm, residual * psi)};
    system.supplies.push_back(std::move(made));
    return system.supplies.back().point;
}

Device& Drawing::device(DeviceType type, const char* id) {
    Device made;
    made.type = type;
    made.point = point(id, PointKind::device, static_cast<Index>(system.devices.size()));
    system.devices.push_back(std::move(made));
    return system.devices.back();
}

Index Drawing::valve(double cv) {
    Valve made;
    const auto number = static_cast<Index>(system.valves.size());
    made.point = point("V" + std::to_string(number + 1), PointKind::valve, number);
    made.loss.kind = LossKind::cv;
    made.loss.coefficient = exactly(cv);
    system.valves.push_back(std::move(made));
    return system.valves.back().point;
}

Index Drawing::head(std::string id, double joint_cv, double elevation, Random& random) {
    Head made;
    made.nozzle = random.below(static_cast<int>(system.nozzles.size()));
    made.point = point(std::move(id), PointKind::head, static_cast<Index>(system.heads.size()));
    made.joint.kind = LossKind::cv;
    made.joint.coefficient = exactly(joint_cv);
    system.points.back().elevation = feet(std::round(1000 + 10 * elevation) / 10);
    system.heads.push_back(std::move(made));
    return system.heads.back().point;
}

void Drawing::own_valve(Index head_point, double cv) {
    Valve made;
    made.point = head_point;
    made.head = system.points[at(head_point)].row;
    made.loss.kind = LossKind::cv;
    made.loss.coefficient = exactly(cv);
    system.heads[at(made.head)].valve = static_cast<Index>(system.valves.size());
    system.valves.push_back(std::move(made));
}

void Drawing::pipe(Index from, Index to, double length, const PipeSize& size) {
    Pipe made;
    made.from = from;
    made.to = to;
    made.length = exactly(length * foot);
    made.size = sizes_.try_emplace(&size, size).first->second;
    system.pipes.push_back(std::move(made));
}

double Drawing::design_flow(Index head) const {
    const Nozzle& nozzle = system.nozzles[at(system.heads[at(head)].nozzle)];
    return nozzle.rows[nozzle.rows.size() / 2].value.value;
}

void Drawing::zone(Index valve, int heads, Random& random) {
    // 0 is the valve; mostly from head to head, now and then a new branch.
    std::vector<Index> points{valve};
    std::vector<std::size_t> parent{0};
    std::vector<double> flow{0};
    const double slope = random.between(-0.2, 0.2);  // feet a head
    for (int i = 1; i <= heads; ++i) {
        const std::string id = system.point_id(valve) + "." + std::to_string(i);
        points.push_back(head(id, 5, slope * i + random.between(-0.5, 0.5), random));
        parent.push_back(static_cast<std::size_t>(i > 1 && random.chance(0.2) ? random.below(i) : i - 1));
        flow.push_back(design_flow(static_cast<Index>(system.heads.size()) - 1));
    }
    for (std::size_t i = points.size() - 1; i > 0; --i) flow[parent[i]] += flow[i];
    for (std::size_t i = 1; i < points.size(); ++i) {
        const double length = parent[i] == 0 ? random.between(15, 30) : random.between(12, 18);
        pipe(points[parent[i]], points[i], std::round(length * 10) / 10, pipe_size_for(flow[i]));
    }
}

// Rows of junctions. Each joins the one on its left and the one above: the first row and the first junction
// of every row close no loop, every other junction closes one.
Main draw_main(Drawing& drawing, const MainPlan& plan, Random& random, bool (*large)(int, int)) {
    Main made;
    const int faces = std::max(1, static_cast<int>(std::ceil(std::sqrt(plan.loops))));
    made.columns = faces + 1;
    const int rest = plan.loops % faces;
    const int count = made.columns * (1 + plan.loops / faces) + (rest > 0 ? rest + 1 : 0);
    const int stretches = count - 1 + plan.loops;
    int stretch = 0;
    const auto is_large = [&](int junction) {
        return large != nullptr && large(junction / made.columns, junction % made.columns);
    };
    const auto draw = [&](int from, int to) {
        const PipeSize& size = pipe_size(is_large(from) || is_large(to) ? "8" : plan.size);
        const auto before = [&](int n) {
            return static_cast<int>(static_cast<long>(plan.tees) * n / stretches);
        };
        Index last = made.junctions[at(from)];
        const auto on = [&](Index next) {
            drawing.pipe(last, next, std::round(plan.spacing * random.between(0.7, 1.3)), size);
            last = next;
        };
        for (int i = before(stretch); i < before(stretch + 1); ++i) {
            made.tees.push_back(drawing.tee());
            on(made.tees.back());
        }
        ++stretch;
        on(made.junctions[at(to)]);
    };
    for (int j = 0; j < count; ++j) {
        made.junctions.push_back(drawing.tee());
        if (j % made.columns > 0) draw(j - 1, j);
        if (j >= made.columns) draw(j - made.columns, j);
    }
    return made;
}

}  // namespace evenhead::bench
