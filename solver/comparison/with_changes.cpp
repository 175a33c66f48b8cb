// The drawn system with some of its changes made: numbers are taken over in their rows; where rows come and
// go, the system is put together anew, its rows found again by their ids.
#include <algorithm>
#include <unordered_map>

#include "model/pipe_sizes.hpp"
#include "model/plan_length.hpp"
#include "model/position.hpp"
#include "solver/comparison/rows_parts.hpp"

namespace evenhead::solver {
namespace {

using model::none;
using model::System;
using Table = ChangeSubject::Table;

/// The built size with what the drawn pipe's row says of C and roughness, where the two say different things
/// of it: that is a change of its own.
model::PipeSize size_alone(const System& drawn, const model::PipeSize& from, const System& built,
                           const model::PipeSize& to) {
    model::PipeSize size = to;
    for (const auto which : {&model::PipeSize::c, &model::PipeSize::roughness}) {
        const auto own = own_number(drawn, from, which), other = own_number(built, to, which);
        if (own.has_value() == other.has_value() && (!own || own->value == other->value)) continue;
        if (own)
            size.*which = *own;
        else if (const auto usual = model::usual_size(built, to))
            size.*which = (*usual).*which;
    }
    return size;
}

/// A device or valve whose loss is the usual one of its size.
template <class Row>
void take_size(Row& to, const Row& from) {
    to.loss = from.loss;
    to.size = from.size;
}

/// A type brings along what is usual for it.
void take_type(model::Device& to, const model::Device& from) {
    if (to.loss.generic && from.loss.generic && to.size == from.size) to.loss = from.loss;
    if (to.one_way == usually_one_way(to.type) && from.one_way == usually_one_way(from.type))
        to.one_way = from.one_way;
    to.type = from.type;
}

/// Pipes whose length is from coordinates are as long as their ends now lie apart, unless the built system
/// says a length of its own.
void stretch(System& made, const System& drawn, const std::vector<Change>& changes, std::size_t group) {
    std::vector<char> moved(made.points.size(), 0), own_length(made.pipes.size(), 0);
    for (const Change& change : changes) {
        const bool here = change.group == group && change.kind == ChangeKind::moved && change.key != "elev";
        if (here) moved[at(change.subject.drawn)] = 1;
        if (change.subject.table == Table::pipe && change.key == "length")
            own_length[at(change.subject.drawn)] = 1;
    }
    for (std::size_t i = 0; i < made.pipes.size(); ++i) {
        model::Pipe& pipe = made.pipes[i];
        if (moved[at(pipe.from)] == 0 && moved[at(pipe.to)] == 0) continue;
        if (own_length[i] != 0 || !length_from_coordinates(drawn, drawn.pipes[i])) continue;
        if (const auto way = model::plan_length(made, pipe)) pipe.length.value = *way;
    }
}

/// Takes over what a change of a number is about. Heads take their nozzle later, by its id.
void take_over(System& system, const System& built, const Change& change) {
    const Index a = change.subject.drawn, b = change.subject.built;
    const std::string& key = change.key;
    const auto loss = [&](model::Loss& to, const model::Loss& from) {
        if (key == "k")
            to.coefficient = from.coefficient;
        else if (key == "bore")
            to.bore = from.bore;
        else if (key == "cv" || key == "kv" || key == "loss")
            to = from;
    };
    switch (change.subject.table) {
        case Table::system:
            if (key == "temperature") system.temperature = built.temperature;
            if (key == "ground") system.ground = built.ground;
            if (key == "friction") system.friction = built.friction;
            return;
        case Table::point: {
            model::Point& to = system.points[at(a)];
            const model::Point& from = built.points[at(b)];
            if (key == "elev") to.elevation = from.elevation ? from.elevation : built.ground;
            if (key == "x" || key == "x y") to.x = from.x;
            if (key == "y" || key == "x y") to.y = from.y;
            return;
        }
        case Table::supply: {
            model::Supply& to = system.supplies[at(a)];
            const model::Supply& from = built.supplies[at(b)];
            if (key == "static") to.static_pressure = from.static_pressure;
            if (key == "residual") to.tests = from.tests;
            return;
        }
        case Table::device: {
            model::Device& to = system.devices[at(a)];
            const model::Device& from = built.devices[at(b)];
            loss(to.loss, from.loss);
            if (key == "type") take_type(to, from);
            if (key == "size") take_size(to, from);
            if (key == "rise") to.rise = from.rise;
            if (key == "set") to.set = from.set;
            if (key == "one_way") to.one_way = from.one_way;
            if (key == "closed") to.closed = from.closed;
            if (key == "safe_flow") to.safe_flow = from.safe_flow;
            return;
        }
        case Table::valve:
            loss(system.valves[at(a)].loss, built.valves[at(b)].loss);
            if (key == "size") take_size(system.valves[at(a)], built.valves[at(b)]);
            if (key == "set") system.valves[at(a)].set = built.valves[at(b)].set;
            return;
        case Table::nozzle: {
            model::Nozzle& to = system.nozzles[at(a)];
            const model::Nozzle& from = built.nozzles[at(b)];
            if (key == "flow") to.rows = from.rows;
            if (key == "flow" || key == "radius") to.radius = from.radius;  // as many as there are rows
            if (key == "exponent") to.exponent = from.exponent;
            if (key == "min") to.min = from.min;
            if (key == "design") to.design = from.design;
            if (key == "max") to.max = from.max;
            if (to.radius.size() > 1 && to.radius.size() != to.rows.size()) to.radius.clear();
            return;
        }
        case Table::head: {
            model::Head& to = system.heads[at(a)];
            const model::Head& from = built.heads[at(b)];
            if (key == "cv" || key == "kv" || key == "loss") to.joint = from.joint;
            if (key == "set") to.set = from.set;
            if (key == "at_least") to.at_least = from.at_least;
            if (key == "arc") to.arc = from.arc;
            if (key == "facing") to.facing = from.facing;
            return;
        }
        case Table::pipe: {
            model::Pipe& to = system.pipes[at(a)];
            const model::Pipe& from = built.pipes[at(b)];
            if (key == "size") to.size = size_alone(system, *to.size, built, *from.size);
            if (key == "length") to.length = from.length;
            if (key == "k") to.k = from.k;
            if (key == "fittings") to.fittings = from.fittings;
            if (key == "closed") to.closed = from.closed;
            if (key == "c") to.size.edit().c = from.size->c;
            if (key == "roughness") to.size.edit().roughness = from.size->roughness;
            if (key == "rating") to.size.edit().rating = from.size->rating;
            return;
        }
        case Table::run:
            return;
    }
}

/// Which rows go, and which of the built system come.
struct Rows {
    std::vector<char> supplies, devices, valves, heads, pipes;  // 1: of the drawn, goes; of the built, comes
    explicit Rows(const System& of)
        : supplies(of.supplies.size(), 0),
          devices(of.devices.size(), 0),
          valves(of.valves.size(), 0),
          heads(of.heads.size(), 0),
          pipes(of.pipes.size(), 0) {}
    void mark(Table table, Index row) {
        auto* column = table == Table::supply   ? &supplies
                       : table == Table::device ? &devices
                       : table == Table::valve  ? &valves
                       : table == Table::head   ? &heads
                       : table == Table::pipe   ? &pipes
                                                : nullptr;
        if (column != nullptr) (*column)[at(row)] = 1;
    }
};

/// Nozzles found by their ids; one that is not there is added.
class NozzlesById {
  public:
    explicit NozzlesById(std::vector<model::Nozzle>& nozzles) : nozzles_(nozzles) {
        for (std::size_t i = 0; i < nozzles_.size(); ++i)
            position_.emplace(nozzles_[i].id, static_cast<Index>(i));
    }
    Index find(const model::Nozzle& of) {
        const auto [found, added] = position_.try_emplace(of.id, static_cast<Index>(nozzles_.size()));
        if (added) nozzles_.push_back(of);
        return found->second;
    }

  private:
    std::vector<model::Nozzle>& nozzles_;
    std::unordered_map<std::string, Index> position_;
};

class Rebuilding {
  public:
    Rebuilding(const System& drawn, const System& built)
        : drawn_(drawn), built_(built), made_(drawn), nozzles_(made_.nozzles) {
        made_.points.clear();
        made_.supplies.clear();
        made_.devices.clear();
        made_.valves.clear();
        made_.heads.clear();
        made_.pipes.clear();
    }

    System make(const Rows& going, const Rows& coming) {
        for (const model::Point& point : drawn_.points) this->point(point);
        std::vector<Index> valve_of(drawn_.valves.size(), none);
        take(drawn_, going, false, valve_of);
        std::vector<Index> new_valve_of(built_.valves.size(), none);
        take(built_, coming, true, new_valve_of);
        join_own_valves();
        for (model::Run& run : made_.runs) {
            std::vector<Index> valves;
            for (const Index valve : run.valves)
                if (valve_of[at(valve)] != none) valves.push_back(valve_of[at(valve)]);
            run.valves = std::move(valves);
        }
        return std::move(made_);
    }

  private:
    Index point(const model::Point& of) {
        const auto [found, added] = point_.try_emplace(of.id, static_cast<Index>(made_.points.size()));
        if (added) {
            made_.points.push_back(of);
            made_.points.back().kind = model::PointKind::plain;
            made_.points.back().row = none;
        }
        return found->second;
    }

    template <class Row>
    Index place(std::vector<Row>& rows, const Row& row, const System& of, model::PointKind kind) {
        const auto position = static_cast<Index>(rows.size());
        rows.push_back(row);
        rows.back().point = point(of.points[at(row.point)]);
        model::Point& its = made_.points[at(rows.back().point)];
        its.kind = kind;
        its.row = position;
        return position;
    }

    /// Rows of a system that stay (`marked` false: those not marked) or come (true: those marked).
    void take(const System& of, const Rows& rows, bool marked, std::vector<Index>& valve_of) {
        const auto each = [&](const auto& table, const std::vector<char>& column, const auto& visit) {
            for (std::size_t i = 0; i < table.size(); ++i)
                if ((column[i] != 0) == marked) visit(static_cast<Index>(i), table[i]);
        };
        each(of.supplies, rows.supplies, [&](Index, const model::Supply& row) {
            place(made_.supplies, row, of, model::PointKind::supply);
        });
        each(of.devices, rows.devices, [&](Index, const model::Device& row) {
            place(made_.devices, row, of, model::PointKind::device);
        });
        each(of.valves, rows.valves, [&](Index i, const model::Valve& row) {
            valve_of[at(i)] = place(made_.valves, row, of, model::PointKind::valve);
        });
        each(of.heads, rows.heads, [&](Index, const model::Head& row) {
            place(made_.heads, row, of, model::PointKind::head);
            model::Head& made = made_.heads.back();
            made.nozzle = row.nozzle == none ? none : nozzles_.find(of.nozzles[at(row.nozzle)]);
            made.valve = none;
        });
        each(of.pipes, rows.pipes, [&](Index, const model::Pipe& row) {
            model::Pipe& made = made_.pipes.emplace_back(row);
            made.from = point(of.points[at(row.from)]);
            made.to = point(of.points[at(row.to)]);
            made.lateral = none;
        });
    }

    /// A valve at the point of a head is the head's own, whichever of the two stayed and whichever came.
    void join_own_valves() {
        std::vector<Index> head_at(made_.points.size(), none);
        for (std::size_t i = 0; i < made_.heads.size(); ++i)
            head_at[at(made_.heads[i].point)] = static_cast<Index>(i);
        for (std::size_t i = 0; i < made_.valves.size(); ++i) {
            model::Valve& valve = made_.valves[i];
            valve.head = head_at[at(valve.point)];
            if (valve.head == none) continue;
            made_.heads[at(valve.head)].valve = static_cast<Index>(i);
            made_.points[at(valve.point)].kind = model::PointKind::head;
            made_.points[at(valve.point)].row = valve.head;
        }
    }

    const System &drawn_, &built_;
    System made_;
    NozzlesById nozzles_;
    std::unordered_map<std::string, Index> point_;
};

/// Which valves a run opens, by the ids of the built system; runs that are dropped go.
void set_runs(System& made, const System& built, const std::vector<Change>& changes, std::size_t group) {
    for (const Change& change : changes) {
        const ChangeSubject& subject = change.subject;
        if (change.group != group || subject.table != Table::run || subject.built == none) continue;
        const model::Run& of = built.runs[at(subject.built)];
        std::vector<Index> valves;
        for (const Index valve : of.valves)
            for (std::size_t i = 0; i < made.valves.size(); ++i)
                if (made.point_id(made.valves[i].point) == built.point_id(built.valves[at(valve)].point))
                    valves.push_back(static_cast<Index>(i));
        if (subject.drawn != none) {
            made.runs[at(subject.drawn)].valves = std::move(valves);
        } else {
            made.runs.push_back(of);
            made.runs.back().valves = std::move(valves);
        }
    }
    std::vector<char> goes(made.runs.size(), 0);
    for (const Change& change : changes)
        if (change.group == group && change.subject.table == Table::run && change.kind == ChangeKind::dropped)
            goes[at(change.subject.drawn)] = 1;
    std::size_t position = 0;
    std::erase_if(made.runs, [&](const model::Run&) { return goes[position++] != 0; });
}

}  // namespace

System with_changes(const System& drawn, const System& built, const std::vector<Change>& changes,
                    std::size_t group) {
    System made = drawn;
    made.laterals.clear();
    made.readings.clear();
    made.seen.clear();
    made.areas.clear();
    made.conditions.clear();
    Rows going(drawn), coming(built);
    std::vector<const Change*> renozzled;
    for (const Change& change : changes) {
        if (change.group != group) continue;
        if (change.kind == ChangeKind::dropped)
            going.mark(change.subject.table, change.subject.drawn);
        else if (change.kind == ChangeKind::added)
            coming.mark(change.subject.table, change.subject.built);
        else if (change.kind == ChangeKind::renozzled)
            renozzled.push_back(&change);
        else
            take_over(made, built, change);
    }
    stretch(made, drawn, changes, group);
    NozzlesById nozzles(made.nozzles);
    for (const Change* change : renozzled) {
        const Index nozzle = built.heads[at(change->subject.built)].nozzle;
        made.heads[at(change->subject.drawn)].nozzle =
            nozzle == none ? none : nozzles.find(built.nozzles[at(nozzle)]);
    }
    System whole = Rebuilding(made, built).make(going, coming);
    set_runs(whole, built, changes, group);
    return whole;
}

}  // namespace evenhead::solver
