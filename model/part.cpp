#include "model/part.hpp"

#include <algorithm>

#include "model/position.hpp"

namespace evenhead::model {
namespace {

class Parting {
  public:
    Parting(const System& system, const Layout& layout, const std::vector<Index>& valves)
        : system_(system), layout_(layout), chosen_(system.valves.size(), 0) {
        for (const Index valve : valves) chosen_[at(valve)] = 1;
    }

    Part part() {
        copy_what_stays();
        add_points();
        add_heads();
        add_pipes();
        return std::move(part_);
    }

  private:
    template <class Zones>
    bool in_chosen(const Zones& zones) const {
        return std::any_of(zones.begin(), zones.end(), [&](Index valve) { return chosen_[at(valve)] != 0; });
    }

    bool keeps_point(std::size_t point) const {
        const PointKind kind = system_.points[point].kind;
        if (kind == PointKind::supply || kind == PointKind::device || kind == PointKind::valve) return true;
        if (kind == PointKind::head && system_.heads[at(system_.points[point].row)].valve != none) {
            return chosen_[at(system_.heads[at(system_.points[point].row)].valve)] != 0 ||
                   layout_.point_on_mainline[point] != 0;
        }
        return layout_.point_on_mainline[point] != 0 || in_chosen(layout_.zone_of_point[point]);
    }

    void copy_what_stays() {
        System& to = part_.system;
        to.title = system_.title;
        to.units = system_.units;
        to.show = system_.show;
        to.friction = system_.friction;
        to.temperature = system_.temperature;
        to.supplies = system_.supplies;
        to.devices = system_.devices;
        to.valves = system_.valves;
        to.nozzles = system_.nozzles;
        to.runs = system_.runs;
        to.limits = system_.limits;
    }

    void add_points() {
        part_.point_of.assign(system_.points.size(), none);
        for (std::size_t point = 0; point < system_.points.size(); ++point) {
            if (!keeps_point(point)) continue;
            part_.point_of[point] = static_cast<Index>(part_.point.size());
            part_.point.push_back(static_cast<Index>(point));
            Point copy = system_.points[point];
            copy.elevation =
                Quantity{layout_.elevation[point], copy.elevation ? copy.elevation->deviation : 0};
            part_.system.points.push_back(std::move(copy));
        }
        repoint(part_.system.supplies);
        repoint(part_.system.devices);
        repoint(part_.system.valves);
    }
    template <class Row>
    void repoint(std::vector<Row>& rows) const {
        for (Row& row : rows) row.point = part_.point_of[at(row.point)];
    }

    void add_heads() {
        part_.head_of.assign(system_.heads.size(), none);
        for (std::size_t head = 0; head < system_.heads.size(); ++head) {
            const Index point = part_.point_of[at(system_.heads[head].point)];
            if (point == none) continue;
            const auto position = static_cast<Index>(part_.head.size());
            part_.head_of[head] = position;
            part_.head.push_back(static_cast<Index>(head));
            part_.system.heads.push_back(system_.heads[head]);
            part_.system.heads.back().point = point;
            part_.system.points[at(point)].row = position;
        }
        for (Valve& valve : part_.system.valves)
            if (valve.head != none) valve.head = part_.head_of[at(valve.head)];
    }

    void add_pipes() {
        part_.pipe_of.assign(system_.pipes.size(), none);
        for (std::size_t pipe = 0; pipe < system_.pipes.size(); ++pipe) {
            if (layout_.pipe_on_mainline[pipe] == 0 && !in_chosen(layout_.zone_of_pipe[pipe])) continue;
            part_.pipe_of[pipe] = static_cast<Index>(part_.pipe.size());
            part_.pipe.push_back(static_cast<Index>(pipe));
            Pipe copy = system_.pipes[pipe];
            copy.from = part_.point_of[at(copy.from)];
            copy.to = part_.point_of[at(copy.to)];
            copy.lateral = none;
            copy.bends.reset();
            part_.system.pipes.push_back(std::move(copy));
        }
    }

    const System& system_;
    const Layout& layout_;
    std::vector<char> chosen_;
    Part part_;
};

}  // namespace

Part part_of(const System& system, const Layout& layout, const std::vector<Index>& valves) {
    return Parting(system, layout, valves).part();
}

}  // namespace evenhead::model
