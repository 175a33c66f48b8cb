// Valves and devices, and the boxes that they stand in.
#include <algorithm>
#include <cmath>

#include "model/catalogue.hpp"
#include "model/takeoff/takeoff_parts.hpp"

namespace evenhead::model::takeoff {
namespace {

/// A size as written on a valve or device, in inches unless it is plainly millimetres.
std::optional<TakeoffSize> written_size(const std::string& text) {
    if (text.empty()) return std::nullopt;
    for (const char* name : {"pvc-sch40", "steel-sch40"})  // iron pipe sizes: their threads
        if (const PipeKind* kind = find_kind(name))
            if (const PipeSize* size = find_size(*kind, text))
                return TakeoffSize{size->nominal, false, size->outside};
    TakeoffSize size;
    size.nominal = text;
    return size;
}

/// The widest of these pipes; an empty size where there is none.
TakeoffSize widest(const Subject& subject, const std::vector<Index>& pipes) {
    TakeoffSize size;
    for (const Index pipe : pipes)
        if (larger(subject.facts_of(pipe).size, size) || size.nominal.empty())
            size = subject.facts_of(pipe).size;
    return size;
}

class Boxes {
  public:
    Boxes(const Subject& subject, Lines& lines) : subject_(subject), lines_(lines) {}

    /// Zone valves share a box where they stand near each other: each takes in those after it.
    void of_valves() {
        const auto& valves = subject_.system.valves;
        std::vector<char> done(valves.size(), 0);
        const double reach = subject_.rules.box_reach.in(subject_.system.units);
        for (std::size_t i = 0; i < valves.size(); ++i) {
            if (done[i] != 0 || valves[i].head != none) continue;
            std::vector<Index> in_box{valves[i].point};
            const auto place = subject_.place(valves[i].point);
            for (std::size_t j = i + 1; place && j < valves.size(); ++j) {
                if (static_cast<int>(in_box.size()) == subject_.rules.box_valves) break;
                if (done[j] != 0 || valves[j].head != none) continue;
                const auto other = subject_.place(valves[j].point);
                if (!other || std::hypot((*other)[0] - (*place)[0], (*other)[1] - (*place)[1]) > reach)
                    continue;
                done[j] = 1;
                in_box.push_back(valves[j].point);
            }
            put(in_box.size() == 1 ? TakeoffItem::valve_box : TakeoffItem::large_valve_box, in_box);
        }
    }

    void of_devices() {
        for (const Device& device : subject_.system.devices) {
            const BoxKind box = subject_.rules.device_box[static_cast<std::size_t>(device.type)];
            if (box == BoxKind::round) put(TakeoffItem::round_valve_box, {device.point});
            if (box == BoxKind::standard) put(TakeoffItem::valve_box, {device.point});
        }
    }

  private:
    /// One box, made up of equal shares by what stands in it.
    void put(TakeoffItem item, const std::vector<Index>& points) {
        for (const Index point : points)
            lines_.add({item, "", {}, ""}, {false, point, 1.0 / static_cast<double>(points.size())});
    }

    const Subject& subject_;
    Lines& lines_;
};

}  // namespace

TakeoffSize size_of_valve(const Subject& subject, Index valve) {
    const Valve& of = subject.system.valves[at(valve)];
    if (const auto size = written_size(of.size)) return *size;
    return widest(subject, subject.layout.valve_sides[at(valve)].inlet);
}

TakeoffSize size_of_device(const Subject& subject, Index device) {
    const Device& of = subject.system.devices[at(device)];
    if (const auto size = written_size(of.size)) return *size;
    return widest(subject, subject.layout.device_sides[at(device)].inlet);
}

void count_control(const Subject& subject, Lines& lines) {
    const System& system = subject.system;
    for (std::size_t i = 0; i < system.valves.size(); ++i) {
        const Valve& valve = system.valves[i];
        if (valve.head != none) continue;  // it is bought with its head
        lines.add({TakeoffItem::zone_valve, "", {size_of_valve(subject, static_cast<Index>(i))}, ""},
                  {false, valve.point, 1});
    }
    for (std::size_t i = 0; i < system.devices.size(); ++i)
        lines.add({item_of(system.devices[i].type), "", {size_of_device(subject, static_cast<Index>(i))}, ""},
                  {false, system.devices[i].point, 1});
    Boxes boxes(subject, lines);
    boxes.of_valves();
    boxes.of_devices();
}

}  // namespace evenhead::model::takeoff
