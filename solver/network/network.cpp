#include "solver/network/network.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <stdexcept>
#include <tuple>
#include <utility>

#include <boost/unordered_map.hpp>

#include "model/position.hpp"
#include "solver/laws/chart.hpp"
#include "solver/laws/darcy_weisbach.hpp"
#include "solver/water.hpp"

namespace evenhead::solver {
namespace {

using model::LossKind;

Rows rows_in_metres(const std::vector<model::ChartRow>& chart, double metres_per_pascal) {
    Rows rows;
    for (const model::ChartRow& row : chart)
        rows.emplace_back(row.at.value, row.value.value * metres_per_pascal);
    return rows;
}

class Builder {
  public:
    Builder(const model::System& system, const model::Layout& layout) : system_(system), layout_(layout) {
        net_.metres_per_pascal = metres_per_pascal(system.temperature);
    }

    Network build() {
        make_room();
        place_nodes();
        add_supplies();
        add_pipes();
        add_devices();
        add_valves();
        add_heads();
        note_power_laws();
        link_nodes();
        return std::move(net_);
    }

  private:
    double metres(double pascals) const { return pascals * net_.metres_per_pascal; }
    double elevation(Index point) const { return layout_.elevation[static_cast<std::size_t>(point)]; }
    int inlet(Index point) const { return net_.inlet_node[static_cast<std::size_t>(point)]; }
    int outlet(Index point) const { return net_.outlet_node[static_cast<std::size_t>(point)]; }

    template <class L, class... Arguments>
    const L* make(Arguments&&... arguments) {
        auto law = std::make_unique<L>(std::forward<Arguments>(arguments)...);
        const L* made = law.get();
        net_.laws.push_back(std::move(law));
        return made;
    }

    // Many pipes and valves are alike.
    const Law* power_law(double r, double m, bool one_way) {
        const PowerLaw*& law = power_laws_[{r, m, one_way}];
        if (law == nullptr) law = make<PowerLaw>(r, m, one_way);
        return law;
    }

    const Law* loss_law(const model::Loss& loss, bool one_way) {
        switch (loss.kind) {
            case LossKind::lossless:
                return power_law(0, 0, one_way);
            case LossKind::cv:
                return power_law(0, cv_resistance(loss.coefficient.value), one_way);
            case LossKind::kv:
                return power_law(0, kv_resistance(loss.coefficient.value), one_way);
            case LossKind::k:
                return power_law(0, minor_loss_resistance(loss.coefficient.value, loss.bore.value), one_way);
            case LossKind::chart:
                return make<LossChart>(rows_in_metres(loss.chart, net_.metres_per_pascal), one_way);
        }
        return nullptr;
    }

    void make_room() {
        const std::size_t heads = system_.heads.size(),
                          elements = system_.supplies.size() + system_.pipes.size() + system_.devices.size() +
                                     system_.valves.size() + heads;
        net_.elements.reserve(elements);
        net_.ends.reserve(elements);
        for (auto* column : {&net_.power_r, &net_.power_m}) column->reserve(elements);
        for (auto* column : {&net_.plain, &net_.closed}) column->reserve(elements);
        net_.head_laws.reserve(heads);
        net_.nominal_flow.reserve(heads);
        for (auto* column : {&net_.inlet_node, &net_.outlet_node}) column->reserve(system_.points.size());
    }

    void place_nodes() {
        for (std::size_t point = 0; point < system_.points.size(); ++point) {
            const model::Point& of = system_.points[point];
            const auto add = [&] {
                net_.node_elevation.push_back(layout_.elevation[point]);
                return static_cast<int>(net_.node_elevation.size()) - 1;
            };
            net_.inlet_node.push_back(add());
            const bool two_sides = of.kind == model::PointKind::device ||
                                   of.kind == model::PointKind::valve ||
                                   (of.kind == model::PointKind::head &&
                                    system_.heads[static_cast<std::size_t>(of.row)].valve != model::none);
            net_.outlet_node.push_back(two_sides ? add() : net_.inlet_node.back());
            net_.point_of_node.resize(net_.node_elevation.size(), static_cast<Index>(point));
        }
    }

    void add_supplies() {
        for (std::size_t i = 0; i < system_.supplies.size(); ++i) {
            const model::Supply& supply = system_.supplies[i];
            Rows drops;
            for (const model::ChartRow& test : supply.tests) {
                drops.emplace_back(test.at.value, metres(supply.static_pressure.value - test.value.value));
            }
            Element element;
            element.ref = {ElementKind::supply, static_cast<Index>(i)};
            element.head = inlet(supply.point);
            element.fixed_height = elevation(supply.point) + metres(supply.static_pressure.value);
            if (drops.empty()) {
                element.law = power_law(0, 0, false);
            } else {
                element.law = make<FlowTests>(drops);
            }
            net_.elements.push_back(element);
        }
        net_.first_pipe = static_cast<int>(net_.elements.size());
    }

    void add_pipes() {
        const double kinematic_viscosity = viscosity(system_.temperature) / density(system_.temperature);
        for (std::size_t i = 0; i < system_.pipes.size(); ++i) {
            const model::Pipe& pipe = system_.pipes[i];
            Element element;
            element.ref = {ElementKind::pipe, static_cast<Index>(i)};
            const auto node = [&](Index point, std::size_t end) {
                return layout_.end_on_outlet[i][end] ? outlet(point) : inlet(point);
            };
            element.tail = node(pipe.from, 0);
            element.head = node(pipe.to, 1);
            element.closed = pipe.closed;
            const double length = pipe.length.value * (1 + pipe.fittings), bore = pipe.size->bore.value;
            const double m = minor_loss_resistance(pipe.k.value, bore);
            if (system_.friction == model::FrictionLaw::hazen_williams) {
                element.law =
                    power_law(hazen_williams_resistance(length, pipe.size->c.value, bore), m, false);
            } else if (length > 0) {
                element.law =
                    make<DarcyWeisbach>(length, bore, pipe.size->roughness.value, kinematic_viscosity, m);
            } else {
                element.law = power_law(0, m, false);
            }
            net_.elements.push_back(element);
        }
        net_.first_device = static_cast<int>(net_.elements.size());
    }

    void add_devices() {
        for (std::size_t i = 0; i < system_.devices.size(); ++i) {
            const model::Device& device = system_.devices[i];
            Element element;
            element.ref = {ElementKind::device, static_cast<Index>(i)};
            element.tail = inlet(device.point);
            element.head = outlet(device.point);
            element.closed = device.closed;
            element.one_way = device.one_way || device.set || device.type == model::DeviceType::pump;
            element.law = device.type == model::DeviceType::pump
                              ? make<PumpLaw>(rows_in_metres(device.rise, net_.metres_per_pascal))
                              : loss_law(device.loss, element.one_way);
            if (device.set) element.held_height = elevation(device.point) + metres(device.set->value);
            net_.elements.push_back(element);
        }
        net_.first_valve = static_cast<int>(net_.elements.size());
    }

    void add_valves() {
        for (std::size_t i = 0; i < system_.valves.size(); ++i) {
            const model::Valve& valve = system_.valves[i];
            Element element;
            element.ref = {ElementKind::valve, static_cast<Index>(i)};
            element.tail = inlet(valve.point);
            element.head = outlet(valve.point);
            element.one_way = valve.set.has_value();
            element.law = loss_law(valve.loss, element.one_way);
            if (valve.set) element.held_height = elevation(valve.point) + metres(valve.set->value);
            net_.elements.push_back(element);
        }
        net_.first_head = static_cast<int>(net_.elements.size());
    }

    void add_heads() {
        for (std::size_t i = 0; i < system_.heads.size(); ++i) {
            const model::Head& head = system_.heads[i];
            const model::Nozzle& nozzle = system_.nozzles[static_cast<std::size_t>(head.nozzle)];
            Rows rows;
            for (const model::ChartRow& row : nozzle.rows)
                rows.emplace_back(metres(row.at.value), row.value.value);
            const auto joint = [&] {
                switch (head.joint.kind) {
                    case LossKind::cv:
                        return cv_resistance(head.joint.coefficient.value);
                    case LossKind::kv:
                        return kv_resistance(head.joint.coefficient.value);
                    default:
                        return 0.0;
                }
            };
            std::optional<double> set;
            if (head.set) set = metres(head.set->value);
            const HeadLaw*& law = head_laws_[{head.nozzle, joint(), set}];
            if (law == nullptr) law = make<HeadLaw>(NozzleCurve(rows, nozzle.exponent), joint(), set);
            Element element;
            element.ref = {ElementKind::head, static_cast<Index>(i)};
            element.tail = outlet(head.point);
            element.fixed_height = elevation(head.point);
            element.law = law;
            element.one_way = true;
            net_.elements.push_back(element);
            net_.head_laws.push_back(law);
            const double design = nozzle.design && nozzle.design->known() ? metres(nozzle.design->value)
                                                                          : rows[rows.size() / 2].first;
            net_.nominal_flow.push_back(law->nozzle().flow(set ? std::min(*set, design) : design));
        }
    }

    void note_power_laws() {
        constexpr double another = std::numeric_limits<double>::quiet_NaN();
        for (const Element& element : net_.elements) {
            net_.ends.push_back({element.tail, element.head});
            const PowerLaw* law = element.regulates() ? nullptr : element.law->power();
            net_.plain.push_back(law != nullptr && !element.one_way && element.tail != fixed &&
                                 element.head != fixed);
            net_.closed.push_back(element.closed);
            net_.power_r.push_back(law != nullptr ? law->r() : another);
            net_.power_m.push_back(law != nullptr ? law->m() : another);
        }
        for (std::size_t head = 0; head < net_.head_laws.size(); ++head) {
            const std::optional<double> orifice = net_.head_laws[head]->orifice();
            if (!orifice) continue;
            net_.power_r[at(net_.first_head) + head] = 0;
            net_.power_m[at(net_.first_head) + head] = *orifice;
        }
    }

    void link_nodes() {
        std::vector<int>& start = net_.link_start;
        start.assign(net_.node_elevation.size() + 1, 0);
        const auto each_end = [&](auto&& visit) {
            for (std::size_t e = 0; e < net_.elements.size(); ++e) {
                if (net_.elements[e].tail != fixed) visit(net_.elements[e].tail, static_cast<int>(e));
                if (net_.elements[e].head != fixed) visit(net_.elements[e].head, static_cast<int>(e));
            }
        };
        each_end([&](int node, int) { ++start[static_cast<std::size_t>(node) + 1]; });
        for (std::size_t i = 1; i < start.size(); ++i) start[i] += start[i - 1];
        net_.links.resize(static_cast<std::size_t>(start.back()));
        std::vector<int> next(start.begin(), start.end() - 1);
        each_end([&](int node, int element) {
            net_.links[static_cast<std::size_t>(next[static_cast<std::size_t>(node)]++)] = element;
        });
    }

    const model::System& system_;
    const model::Layout& layout_;
    Network net_;
    std::map<std::tuple<Index, double, std::optional<double>>, const HeadLaw*> head_laws_;
    boost::unordered_map<std::tuple<double, double, bool>, const PowerLaw*> power_laws_;
};

}  // namespace

Network build_network(const model::System& system, const model::Layout& layout) {
    if (!unknown_values(system).empty())
        throw std::invalid_argument("a value that the balance needs is not known");
    return Builder(system, layout).build();
}

}  // namespace evenhead::solver
