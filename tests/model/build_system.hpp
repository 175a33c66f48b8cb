// Small systems for tests, put together in a line each. Numbers are SI; ids are given out by the test.
#pragma once

#include <string>
#include <vector>

#include "model/system.hpp"

namespace evenhead::test {

using model::Index;

class SystemBuilder {
  public:
    model::System system;

    Index point(const std::string& id) {
        for (std::size_t i = 0; i < system.points.size(); ++i)
            if (system.points[i].id == id) return static_cast<Index>(i);
        model::Point made;
        made.id = id;
        made.place = {0, ++line_, 1};
        system.points.push_back(made);
        return static_cast<Index>(system.points.size()) - 1;
    }
    model::Point& at(const std::string& id) { return system.points[static_cast<std::size_t>(point(id))]; }

    model::Supply& supply(const std::string& id, double static_pressure = 400e3) {
        row(id, model::PointKind::supply, system.supplies.size());
        model::Supply& made = system.supplies.emplace_back();
        made.point = point(id);
        made.static_pressure = {static_pressure, 0};
        return made;
    }
    model::Device& device(const std::string& id, model::DeviceType type) {
        row(id, model::PointKind::device, system.devices.size());
        model::Device& made = system.devices.emplace_back();
        made.point = point(id);
        made.type = type;
        return made;
    }
    model::Valve& valve(const std::string& id, double cv = 10) {
        row(id, model::PointKind::valve, system.valves.size());
        model::Valve& made = system.valves.emplace_back();
        made.point = point(id);
        made.loss.kind = model::LossKind::cv;
        made.loss.coefficient = {cv, 0};
        made.place = at(id).place;
        return made;
    }
    /// A nozzle of one row; returns its position.
    Index nozzle(double pressure, double flow) {
        model::Nozzle& made = system.nozzles.emplace_back();
        made.id = "nozzle" + std::to_string(system.nozzles.size());
        made.rows = {{{pressure, 0}, {flow, 0}}};
        return static_cast<Index>(system.nozzles.size()) - 1;
    }
    model::Head& head(const std::string& id, Index nozzle = 0) {
        row(id, model::PointKind::head, system.heads.size());
        model::Head& made = system.heads.emplace_back();
        made.point = point(id);
        made.nozzle = nozzle;
        return made;
    }
    /// Gives a head (by position) a valve of its own.
    model::Valve& own_valve(Index head, double cv = 10) {
        model::Head& owner = system.heads[static_cast<std::size_t>(head)];
        owner.valve = static_cast<Index>(system.valves.size());
        model::Valve& made = system.valves.emplace_back();
        made.point = owner.point;
        made.head = head;
        made.loss.kind = model::LossKind::cv;
        made.loss.coefficient = {cv, 0};
        made.place = system.points[static_cast<std::size_t>(owner.point)].place;
        return made;
    }
    model::Pipe& pipe(const std::string& from, const std::string& to, double length = 10,
                      double bore = 0.03) {
        const Index start = point(from), end = point(to);
        model::Pipe& made = system.pipes.emplace_back();
        made.from = start;
        made.to = end;
        made.length = {length, 0};
        made.size.edit().bore = {bore, 0};
        made.size.edit().c = {150, 0};
        made.place = {0, ++line_, 1};
        return made;
    }
    /// Pipes through all these points in turn.
    void line(const std::vector<std::string>& ids, double length = 10, double bore = 0.03) {
        for (std::size_t i = 0; i + 1 < ids.size(); ++i) pipe(ids[i], ids[i + 1], length, bore);
    }
    /// A run for each valve alone, or one of all; nothing where there are runs.
    void default_runs() {
        for (std::size_t v = 0; v < system.valves.size(); ++v)
            system.runs.push_back(
                {system.point_id(system.valves[v].point), {static_cast<Index>(v)}, false, {}});
        if (system.valves.empty()) system.runs.push_back({"all", {}, false, {}});
    }

  private:
    void row(const std::string& id, model::PointKind kind, std::size_t position) {
        model::Point& made = at(id);
        made.kind = kind;
        made.row = static_cast<Index>(position);
    }
    int line_ = 0;
};

}  // namespace evenhead::test
