// What differs between two systems, row by row.
#include <algorithm>
#include <cmath>

#include "model/pipe_sizes.hpp"
#include "model/plan_length.hpp"
#include "model/position.hpp"
#include "solver/comparison/rows_parts.hpp"

namespace evenhead::solver {
namespace {

using model::ChartRow;
using model::Dimension;
using model::LossKind;
using model::none;
using model::OptionalQuantity;
using model::Quantity;
using model::System;
using Table = ChangeSubject::Table;

bool same(double one, double other) {
    if (std::isnan(one) || std::isnan(other)) return std::isnan(one) && std::isnan(other);
    return std::abs(one - other) <= 1e-9 * std::max(std::abs(one), std::abs(other));
}
bool same(const Quantity& one, const Quantity& other) {
    return same(one.value, other.value);
}
bool same(const OptionalQuantity& one, const OptionalQuantity& other) {
    return one.has_value() == other.has_value() && (!one || same(*one, *other));
}
bool same(const std::vector<ChartRow>& one, const std::vector<ChartRow>& other) {
    return std::equal(
        one.begin(), one.end(), other.begin(), other.end(),
        [](const ChartRow& a, const ChartRow& b) { return same(a.at, b.at) && same(a.value, b.value); });
}

ChangeValue number(double si, Dimension dimension) {
    ChangeValue value;
    value.form = ChangeValue::Form::number;
    value.number = si;
    value.dimension = dimension;
    return value;
}
ChangeValue number(const OptionalQuantity& quantity, Dimension dimension) {
    return quantity ? number(quantity->value, dimension) : ChangeValue{};
}
ChangeValue words(std::string text) {
    ChangeValue value;
    value.form = ChangeValue::Form::words;
    value.words = std::move(text);
    return value;
}
ChangeValue chart(const std::vector<ChartRow>& rows) {
    ChangeValue value;
    if (rows.empty()) return value;
    value.form = ChangeValue::Form::chart;
    value.chart = rows;
    return value;
}
ChangeValue place(const model::Point& of) {
    ChangeValue value;
    if (!of.x || !of.y) return value;
    value.form = ChangeValue::Form::place;
    value.number = of.x->value;
    value.y = of.y->value;
    return value;
}
ChangeValue yes_no(bool yes) {
    return words(yes ? "true" : "false");
}

class Finder {
  public:
    Finder(const System& drawn, const System& built) : drawn_(drawn), built_(built) {}

    std::vector<Change> find() {
        whole();
        const Matched matched = match_rows(drawn_, built_);
        for (const auto& [a, b] : matched.points) point(a, b);
        rows(Table::supply, matched.supplies, [&](Index a, Index b) { supply(a, b); });
        rows(Table::device, matched.devices, [&](Index a, Index b) { device(a, b); });
        rows(Table::valve, matched.valves, [&](Index a, Index b) { valve(a, b); });
        rows(Table::nozzle, matched.nozzles, [&](Index a, Index b) { nozzle(a, b); });
        rows(Table::head, matched.heads, [&](Index a, Index b) { head(a, b); });
        rows(Table::pipe, matched.pipes, [&](Index a, Index b) { pipe(a, b); });
        runs(matched.runs);
        return std::move(changes_);
    }

  private:
    template <class Compare>
    void rows(Table table, const std::vector<Pair>& pairs, const Compare& compare) {
        for (const auto& [a, b] : pairs) {
            subject_ = {table, a, b};
            if (a == none || b == none)
                add(a == none ? ChangeKind::added : ChangeKind::dropped, "", {}, {});
            else
                compare(a, b);
        }
    }

    void add(ChangeKind kind, std::string key, ChangeValue from, ChangeValue to) {
        Change change;
        change.kind = kind;
        change.subject = subject_;
        change.key = std::move(key);
        change.from = std::move(from);
        change.to = std::move(to);
        changes_.push_back(std::move(change));
    }
    void quantity(const char* key, const OptionalQuantity& a, const OptionalQuantity& b,
                  Dimension dimension) {
        if (!same(a, b)) add(ChangeKind::changed, key, number(a, dimension), number(b, dimension));
    }
    void charts(const char* key, const std::vector<ChartRow>& a, const std::vector<ChartRow>& b) {
        if (!same(a, b)) add(ChangeKind::changed, key, chart(a), chart(b));
    }
    void flag(const char* key, bool a, bool b) {
        if (a != b) add(ChangeKind::changed, key, yes_no(a), yes_no(b));
    }

    void whole() {
        subject_ = {Table::system, none, none};
        quantity("temperature", Quantity{drawn_.temperature, 0}, Quantity{built_.temperature, 0},
                 Dimension::temperature);
        quantity("ground", drawn_.ground, built_.ground, Dimension::length);
        const auto friction = [](const System& of) {
            return words(of.friction == model::FrictionLaw::hazen_williams ? "hazen-williams"
                                                                           : "darcy-weisbach");
        };
        if (drawn_.friction != built_.friction)
            add(ChangeKind::changed, "friction", friction(drawn_), friction(built_));
    }

    void point(Index a, Index b) {
        if (a == none || b == none) return;  // a tee is no row: its pipes say it
        subject_ = {Table::point, a, b};
        const model::Point &from = drawn_.points[at(a)], &to = built_.points[at(b)];
        const auto moved = [&](const char* key, const OptionalQuantity& one, const OptionalQuantity& other) {
            if (!same(one, other))
                add(ChangeKind::moved, key, number(one, Dimension::length), number(other, Dimension::length));
        };
        // A point that gives none stands on the ground.
        const auto elevation = [](const System& of, const model::Point& its) {
            return its.elevation || !of.ground ? its.elevation : of.ground;
        };
        if (from.elevation || to.elevation) moved("elev", elevation(drawn_, from), elevation(built_, to));
        if (!same(from.x, to.x) && !same(from.y, to.y)) {
            add(ChangeKind::moved, "x y", place(from), place(to));
            return;
        }
        moved("x", from.x, to.x);
        moved("y", from.y, to.y);
    }

    void supply(Index a, Index b) {
        const model::Supply &from = drawn_.supplies[at(a)], &to = built_.supplies[at(b)];
        quantity("static", from.static_pressure, to.static_pressure, Dimension::pressure);
        charts("residual", from.tests, to.tests);
    }

    static ChangeValue loss_value(const model::Loss& of) {
        static constexpr const char* keys[] = {"no loss", "cv", "kv", "k", ""};
        if (of.kind == LossKind::chart) return chart(of.chart);
        std::string text = keys[static_cast<int>(of.kind)];
        if (of.kind != LossKind::lossless) text += " " + short_number(of.coefficient.value);
        return words(std::move(text));
    }
    void loss(const model::Loss& from, const model::Loss& to) {
        const bool alike = from.kind == to.kind &&
                           (from.kind == LossKind::lossless || same(from.coefficient, to.coefficient)) &&
                           (from.kind != LossKind::k || same(from.bore, to.bore)) &&
                           same(from.chart, to.chart);
        if (alike) return;
        // Of the same coefficient a number; else whatever each of them is.
        static constexpr const char* keys[] = {"", "cv", "kv", "k", "loss"};
        if (from.kind != to.kind || from.kind == LossKind::chart) {
            add(ChangeKind::changed, "loss", loss_value(from), loss_value(to));
            return;
        }
        quantity(keys[static_cast<int>(from.kind)], from.coefficient, to.coefficient, Dimension::none);
        if (from.kind == LossKind::k) quantity("bore", from.bore, to.bore, Dimension::bore);
    }

    /// A loss that is the usual one of a size is told by the size.
    template <class Row>
    void sized_loss(const Row& from, const Row& to) {
        if (from.loss.generic && to.loss.generic && from.size != to.size) {
            if (!same(from.loss.chart, to.loss.chart))
                add(ChangeKind::resized, "size", words(from.size), words(to.size));
            return;
        }
        loss(from.loss, to.loss);
    }

    void device(Index a, Index b) {
        const model::Device &from = drawn_.devices[at(a)], &to = built_.devices[at(b)];
        const bool other_type = from.type != to.type;
        if (other_type)
            add(ChangeKind::changed, "type", number(static_cast<double>(from.type), Dimension::none),
                number(static_cast<double>(to.type), Dimension::none));
        // What is usual for a type comes along with it.
        const bool usual_loss = from.loss.generic && to.loss.generic && from.size == to.size;
        if (!other_type || !usual_loss) sized_loss(from, to);
        charts("rise", from.rise, to.rise);
        quantity("set", from.set, to.set, Dimension::pressure);
        const bool usual_way =
            from.one_way == usually_one_way(from.type) && to.one_way == usually_one_way(to.type);
        if (!other_type || !usual_way) flag("one_way", from.one_way, to.one_way);
        flag("closed", from.closed, to.closed);
        quantity("safe_flow", from.safe_flow, to.safe_flow, Dimension::flow);
    }

    void valve(Index a, Index b) {
        const model::Valve &from = drawn_.valves[at(a)], &to = built_.valves[at(b)];
        sized_loss(from, to);
        quantity("set", from.set, to.set, Dimension::pressure);
    }

    void nozzle(Index a, Index b) {
        const model::Nozzle &from = drawn_.nozzles[at(a)], &to = built_.nozzles[at(b)];
        charts("flow", from.rows, to.rows);
        if (from.rows.size() == 1 && to.rows.size() == 1)
            quantity("exponent", Quantity{from.exponent, 0}, Quantity{to.exponent, 0}, Dimension::none);
        quantity("min", from.min, to.min, Dimension::pressure);
        quantity("design", from.design, to.design, Dimension::pressure);
        quantity("max", from.max, to.max, Dimension::pressure);
        const bool radius =
            std::equal(from.radius.begin(), from.radius.end(), to.radius.begin(), to.radius.end(),
                       [](const Quantity& one, const Quantity& other) { return same(one, other); });
        if (radius) return;
        std::size_t first = 0;  // that differs; of charts of different length the last
        if (from.radius.size() == to.radius.size())
            while (same(from.radius[first], to.radius[first])) ++first;
        const auto reach = [&](const model::Nozzle& of) {
            if (of.radius.empty()) return ChangeValue{};
            const bool alike = from.radius.size() == to.radius.size();
            return number((alike ? of.radius[first] : of.radius.back()).value, Dimension::length);
        };
        add(ChangeKind::changed, "radius", reach(from), reach(to));
    }

    void head(Index a, Index b) {
        const model::Head &from = drawn_.heads[at(a)], &to = built_.heads[at(b)];
        const auto id = [](const System& of, Index nozzle) {
            return nozzle == none ? std::string("?") : of.nozzles[at(nozzle)].id;
        };
        const std::string one = id(drawn_, from.nozzle), other = id(built_, to.nozzle);
        if (one != other) add(ChangeKind::renozzled, "nozzle", words(one), words(other));
        loss(from.joint, to.joint);
        quantity("set", from.set, to.set, Dimension::pressure);
        quantity("at_least", from.at_least, to.at_least, Dimension::pressure);
        quantity("arc", from.arc, to.arc, Dimension::angle);
        quantity("facing", from.facing, to.facing, Dimension::angle);
    }

    void pipe(Index a, Index b) {
        const model::Pipe &from = drawn_.pipes[at(a)], &to = built_.pipes[at(b)];
        size(*from.size, *to.size);
        if (!moved_along(from, to)) quantity("length", from.length, to.length, Dimension::length);
        quantity("k", from.k, to.k, Dimension::none);
        quantity("fittings", Quantity{from.fittings, 0}, Quantity{to.fittings, 0}, Dimension::share);
        flag("closed", from.closed, to.closed);
    }
    /// Both lengths are from coordinates, and an end of the pipe moved.
    bool moved_along(const model::Pipe& from, const model::Pipe& to) const {
        const auto moved = [&](Index a) {
            const model::Point& drawn = drawn_.points[at(a)];
            for (const Index b : {to.from, to.to})
                if (built_.points[at(b)].id == drawn.id)
                    return !same(drawn.x, built_.points[at(b)].x) || !same(drawn.y, built_.points[at(b)].y);
            return false;
        };
        return length_from_coordinates(drawn_, from) && length_from_coordinates(built_, to) &&
               (moved(from.from) || moved(from.to));
    }

    void size(const model::PipeSize& from, const model::PipeSize& to) {
        const bool same_name = from.kind == to.kind && from.nominal == to.nominal;
        const auto name = [&](const model::PipeSize& of) {
            return of.kind.empty() || of.nominal.empty() || same_name ? number(of.bore.value, Dimension::bore)
                                                                      : words(of.kind + " " + of.nominal);
        };
        const bool resized = from.kind != to.kind || !same(from.bore, to.bore);
        if (resized) add(ChangeKind::resized, "size", name(from), name(to));
        roughness("c", from, to, resized, &model::PipeSize::c, Dimension::none);
        roughness("roughness", from, to, resized, &model::PipeSize::roughness, Dimension::roughness);
        quantity("rating",
                 from.kind == to.kind && same(from.bore, to.bore) ? from.rating : OptionalQuantity{},
                 from.kind == to.kind && same(from.bore, to.bore) ? to.rating : OptionalQuantity{},
                 Dimension::pressure);
    }

    /// What a size brings along is said with it; what the pipe's row says of itself is not.
    void roughness(const char* key, const model::PipeSize& from, const model::PipeSize& to, bool resized,
                   Quantity model::PipeSize::*which, Dimension dimension) {
        if (!resized)
            quantity(key, from.*which, to.*which, dimension);
        else if (!same(own_number(drawn_, from, which), own_number(built_, to, which)))
            add(ChangeKind::changed, key, number((from.*which).value, dimension),
                number((to.*which).value, dimension));
    }

    void runs(const std::vector<Pair>& pairs) {
        const auto opened = [](const System& of, Index run) {
            std::vector<std::string> ids;
            for (const Index valve : of.runs[at(run)].valves)
                ids.push_back(of.point_id(of.valves[at(valve)].point));
            std::sort(ids.begin(), ids.end());
            std::string text;
            for (const std::string& id : ids) text += (text.empty() ? "" : " ") + id;
            return text;
        };
        for (const auto& [a, b] : pairs) {
            subject_ = {Table::run, a, b};
            const bool given =
                (a != none && drawn_.runs[at(a)].given) || (b != none && built_.runs[at(b)].given);
            if (!given) continue;  // a run for each valve: the valves say it
            if (a == none || b == none)
                add(a == none ? ChangeKind::added : ChangeKind::dropped, "", {}, {});
            else if (opened(drawn_, a) != opened(built_, b))
                add(ChangeKind::changed, "valves", words(opened(drawn_, a)), words(opened(built_, b)));
        }
    }

    const System &drawn_, &built_;
    ChangeSubject subject_;
    std::vector<Change> changes_;
};

}  // namespace

OptionalQuantity own_number(const System& system, const model::PipeSize& size,
                            Quantity model::PipeSize::*which) {
    const auto usual = model::usual_size(system, size);
    if (!usual || same(size.*which, (*usual).*which)) return {};
    return size.*which;
}

bool length_from_coordinates(const System& system, const model::Pipe& pipe) {
    const auto way = model::plan_length(system, pipe);
    return way && same(*way, pipe.length.value);
}

bool usually_one_way(model::DeviceType type) {
    return type == model::DeviceType::backflow || type == model::DeviceType::regulator ||
           type == model::DeviceType::check || type == model::DeviceType::pump;
}

std::vector<Change> find_changes(const System& drawn, const System& built) {
    std::vector<Change> changes = Finder(drawn, built).find();
    group_changes(drawn, built, changes);
    return changes;
}

}  // namespace evenhead::solver
