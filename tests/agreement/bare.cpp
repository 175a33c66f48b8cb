#include "tests/agreement/bare.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <sstream>

#include "solver/water.hpp"

namespace evenhead::agreement {
namespace {

using namespace model;

constexpr double gpm = 231 * 0.0254 * 0.0254 * 0.0254 / 60;
constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double same_flow = 1e-9;  // relative: the imbalance that the specification allows at a point

template <class Row>
const Row& at(const std::vector<Row>& rows, Index index) {
    return rows[static_cast<std::size_t>(index)];
}

class Maker {
  public:
    Maker(const System& system, const std::vector<Index>& open_valves) : s_(system), open_(open_valves) {
        const double t = s_.temperature;
        bare_.water = {solver::density(t), solver::density(15.555555555555555),
                       solver::viscosity(t) / solver::density(t)};
    }

    Bare make() {
        for (const Point& point : s_.points) {
            inlet_.push_back(node(point));
            const bool own = point.kind == PointKind::head && at(s_.heads, point.row).valve != none;
            const bool two = own || point.kind == PointKind::device || point.kind == PointKind::valve;
            outlet_.push_back(two ? node(point) : inlet_.back());
        }
        supplies();
        pipes();
        devices();
        valves();
        heads();
        find_reached();
        return std::move(bare_);
    }

  private:
    int node(const Point& point) {
        bare_.elevation.push_back(point.elevation->value);
        return static_cast<int>(bare_.elevation.size()) - 1;
    }
    static Element element(Kind kind, std::size_t index, int tail, int head) {
        Element made;
        made.kind = kind;
        made.index = static_cast<Index>(index);
        made.tail = tail;
        made.head = head;
        return made;
    }
    double elevation(Index point) const { return at(s_.points, point).elevation->value; }

    void supplies() {
        for (std::size_t i = 0; i < s_.supplies.size(); ++i) {
            const Supply& supply = s_.supplies[i];
            Element e = element(Kind::supply, i, outside, at(inlet_, supply.point));
            e.outside_height = elevation(supply.point) + bare_.water.metres(supply.static_pressure.value);
            e.law = {supply_law(supply, bare_.water), 0};
            bare_.elements.push_back(e);
        }
    }

    // A pipe ends at the inlet of the device or valve that it names as `to`, and starts at the outlet of the
    // one that it names as `from`; a head's own valve stands in its riser, so pipes meet before it.
    void pipes() {
        for (std::size_t i = 0; i < s_.pipes.size(); ++i) {
            const Pipe& pipe = s_.pipes[i];
            const bool head = at(s_.points, pipe.from).kind == PointKind::head;
            Element e = element(Kind::pipe, i, at(head ? inlet_ : outlet_, pipe.from), at(inlet_, pipe.to));
            e.open = !pipe.closed;
            e.law = pipe_law(pipe, s_.friction, bare_.water);
            bare_.elements.push_back(e);
        }
    }

    void devices() {
        for (std::size_t i = 0; i < s_.devices.size(); ++i) {
            const Device& device = s_.devices[i];
            Element e = element(Kind::device, i, at(inlet_, device.point), at(outlet_, device.point));
            e.open = !device.closed;
            e.one_way = device.one_way || device.type == DeviceType::pump || device.set;
            e.law = device.type == DeviceType::pump ? LossLaw{pump_law(device.rise, bare_.water), 0}
                                                    : loss_law(device.loss, bare_.water);
            if (device.set) e.set = elevation(device.point) + bare_.water.metres(device.set->value);
            bare_.elements.push_back(e);
        }
    }

    void valves() {
        for (std::size_t i = 0; i < s_.valves.size(); ++i) {
            const Valve& valve = s_.valves[i];
            const auto index = static_cast<Index>(i);
            Element e = element(Kind::valve, i, at(inlet_, valve.point), at(outlet_, valve.point));
            e.open = std::find(open_.begin(), open_.end(), index) != open_.end();
            e.one_way = valve.set.has_value();
            e.law = loss_law(valve.loss, bare_.water);
            if (valve.set) e.set = elevation(valve.point) + bare_.water.metres(valve.set->value);
            bare_.elements.push_back(e);
        }
    }

    void heads() {
        for (std::size_t i = 0; i < s_.heads.size(); ++i) {
            const Head& head = s_.heads[i];
            const Nozzle& nozzle = at(s_.nozzles, head.nozzle);
            Element e = element(Kind::head, i, at(outlet_, head.point), outside);
            e.outside_height = elevation(head.point);
            e.one_way = true;
            e.nozzle.exponent = nozzle.exponent;
            for (const ChartRow& row : nozzle.rows)
                e.nozzle.rows.emplace_back(bare_.water.metres(row.at.value), row.value.value);
            if (head.joint.kind != LossKind::lossless)
                e.joint = loss_law(head.joint, bare_.water).above(1).value;
            if (head.set) e.set = bare_.water.metres(head.set->value);
            const double design = nozzle.design ? bare_.water.metres(nozzle.design->value)
                                                : e.nozzle.rows[e.nozzle.rows.size() / 2].first;
            e.design_flow = e.nozzle.flow(e.set ? std::min(design, *e.set) : design);
            bare_.elements.push_back(e);
        }
    }

    void find_reached() {
        const auto i = [](int node) { return static_cast<std::size_t>(node); };
        std::vector<std::vector<int>> leads_to(bare_.elevation.size());
        std::vector<int> visit;
        bare_.reached.assign(bare_.elevation.size(), 0);
        const auto arrive = [&](int node) {
            if (bare_.reached[i(node)]) return;
            bare_.reached[i(node)] = 1;
            visit.push_back(node);
        };
        for (const Element& e : bare_.elements) {
            if (e.kind == Kind::supply) arrive(e.head);
            if (!e.open || e.tail == outside || e.head == outside) continue;
            leads_to[i(e.tail)].push_back(e.head);
            if (!e.one_way) leads_to[i(e.head)].push_back(e.tail);
        }
        for (std::size_t next = 0; next < visit.size(); ++next) {
            for (const int node : leads_to[i(visit[next])]) arrive(node);
        }
    }

    const System& s_;
    const std::vector<Index>& open_;
    Bare bare_;
    std::vector<int> inlet_, outlet_;
};

// How far (q, D) is from a rising curve that starts upright at +-opening, m.
double off_loss_law(const Element& e, double q, double D) {
    const double opening = e.law.opening;
    if (q == 0) {
        const double at_rest = opening + e.law.above(0).value;
        return std::max(D - at_rest, e.one_way ? 0 : -at_rest - D);
    }
    const double lost = opening + e.law.above(std::abs(q)).value;
    return std::abs(D - (q > 0 ? lost : -lost));
}

double off_regulator(const Element& e, double q, double inlet, double outlet) {
    const double lost = e.law.opening + e.law.above(q).value;
    const double open = std::max(off_loss_law(e, q, inlet - outlet), outlet - *e.set);
    const double holding = std::max(std::abs(outlet - *e.set), *e.set - (inlet - lost));
    const double shut = q > 0 ? infinity : std::min(inlet - lost, *e.set) - outlet;
    return std::min({open, holding, shut});
}

double off_head(const Element& e, double q, double D, double limit) {
    if (q == 0) return D;  // any pressure below nothing
    const double p = D - e.joint * q * q;
    double least = 0, most = 0;  // of the pressures that pass q
    if (e.nozzle.constant()) {
        const double full = e.nozzle.rows[0].second;
        if (q > full * (1 + same_flow)) return infinity;
        if (q >= full * (1 - same_flow)) most = infinity;
    } else {
        // Where the curve stands upright it is a range. A flow counts as on it where, by the slope beside it,
        // the pressure that it is off by is within the limit.
        const double x = e.nozzle.rows.size() == 1 ? e.nozzle.exponent : 0.5;
        const double off = std::min(0.5, limit * x / std::max(p, limit)) * q;
        least = e.nozzle.pressures(q - off).least;
        most = e.nozzle.pressures(q + off).most;
    }
    if (e.set) {
        const double full = e.nozzle.flow(*e.set);
        if (q > full * (1 + same_flow)) return infinity;
        if (q >= full * (1 - same_flow)) {
            least = std::min(least, *e.set);
            most = infinity;
        }
    }
    return std::max({0.0, least - p, p - most});
}

}  // namespace

const char* word(Kind kind) {
    constexpr const char* words[] = {"supply", "pipe", "device", "valve", "head"};
    return words[static_cast<std::size_t>(kind)];
}

bool Bare::active(const Element& e) const {
    return e.open && (e.tail == outside || reached[static_cast<std::size_t>(e.tail)]) &&
           (e.head == outside || reached[static_cast<std::size_t>(e.head)]);
}

Bare make_bare(const System& system, const std::vector<Index>& open_valves) {
    return Maker(system, open_valves).make();
}

Answer answer_of(const Bare& bare, const System& system, const solver::RunResult& result) {
    Answer answer;
    answer.height.assign(bare.elevation.size(), std::numeric_limits<double>::quiet_NaN());
    const auto put = [&](int node, double pressure) {
        const auto i = static_cast<std::size_t>(node);
        answer.height[i] = bare.elevation[i] + bare.water.metres(pressure);
    };
    for (const Element& e : bare.elements) {
        const auto i = static_cast<std::size_t>(e.index);
        switch (e.kind) {
            case Kind::supply:
                answer.flow.push_back(result.supply_flow[i]);
                put(e.head, result.supply_pressure[i]);
                break;
            case Kind::pipe:
                answer.flow.push_back(result.pipe_flow[i]);
                for (const auto& [point, node] :
                     {std::pair{system.pipes[i].from, e.tail}, {system.pipes[i].to, e.head}}) {
                    const PointKind kind = at(system.points, point).kind;
                    if (kind != PointKind::device && kind != PointKind::valve)
                        put(node, at(result.point_pressure, point));
                }
                break;
            case Kind::device:
                answer.flow.push_back(result.device_flow[i]);
                put(e.tail, result.device_inlet[i]);
                put(e.head, result.device_outlet[i]);
                break;
            case Kind::valve:
                answer.flow.push_back(result.valve_flow[i]);
                put(e.tail, result.valve_inlet[i]);
                put(e.head, result.valve_outlet[i]);
                break;
            case Kind::head:
                answer.flow.push_back(result.head_flow[i]);
                break;
        }
    }
    return answer;
}

std::string broken_law(const Bare& bare, const Answer& answer, double pressure) {
    std::ostringstream text;
    text.precision(12);
    const auto height = [&](int node) { return answer.height[static_cast<std::size_t>(node)]; };
    std::vector<double> missing(bare.elevation.size(), 0.0), largest(bare.elevation.size(), 0.0);
    for (std::size_t i = 0; i < bare.elements.size(); ++i) {
        const Element& e = bare.elements[i];
        const double q = answer.flow[i];
        for (const auto& [node, sign] : {std::pair{e.tail, -1.0}, {e.head, 1.0}}) {
            if (node == outside) continue;
            const auto n = static_cast<std::size_t>(node);
            missing[n] += sign * q;
            largest[n] = std::max(largest[n], std::abs(q));
        }
        if (!bare.active(e)) {
            if (q != 0)
                text << word(e.kind) << " " << e.index << " is shut off but passes " << q << " m3/s. ";
            continue;
        }
        const double inlet = e.tail == outside ? e.outside_height : height(e.tail);
        const double outlet = e.head == outside ? e.outside_height : height(e.head);
        double off = 0;
        if (e.one_way && q < 0)
            off = infinity;
        else if (e.kind == Kind::head)
            off = off_head(e, q, inlet - outlet, bare.water.metres(pressure));
        else
            off = e.regulates() ? off_regulator(e, q, inlet, outlet) : off_loss_law(e, q, inlet - outlet);
        if (!(bare.water.pascals(off) <= pressure)) {
            text << word(e.kind) << " " << e.index << " misses its law by " << bare.water.pascals(off)
                 << " Pa: " << q << " m3/s from " << inlet << " m to " << outlet << " m. ";
        }
    }
    for (std::size_t n = 0; n < missing.size(); ++n) {
        if (!(std::abs(missing[n]) <= 1e-9 * largest[n] + 1e-9 * gpm))
            text << "At node " << n << " " << missing[n] << " m3/s are missing of " << largest[n] << ". ";
        if (bare.reached[n] && std::isnan(answer.height[n])) text << "Node " << n << " has no pressure. ";
    }
    return text.str();
}

}  // namespace evenhead::agreement
