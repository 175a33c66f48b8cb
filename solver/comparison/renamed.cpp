// Rows that bear another name as built and are the same all the same: a nozzle with the same numbers, a run
// of the same valves, and a point whose row says the same and from which the same pipes lead to the same
// neighbours. Names spread along the pipes from points that both systems have: a neighbour that only one
// knows is paired with one that only the other knows where they are alike.
#include <algorithm>
#include <charconv>
#include <map>
#include <queue>
#include <unordered_map>

#include "model/position.hpp"
#include "solver/comparison/rows_parts.hpp"

namespace evenhead::solver {
namespace {

using model::none;
using model::System;
using Table = ChangeSubject::Table;

/// Numbers and words one after another: two rows are alike where their texts are.
class RowText {
  public:
    RowText& add(std::string_view words) {
        text_.append(words);
        text_.push_back('\n');  // no id has one
        return *this;
    }
    RowText& add(double value) {
        char digits[32];
        const auto end =
            std::to_chars(digits, digits + sizeof digits, value, std::chars_format::general, 10).ptr;
        return add(std::string_view(digits, static_cast<std::size_t>(end - digits)));
    }
    RowText& add(const model::Quantity& quantity) { return add(quantity.value); }
    RowText& add(const model::OptionalQuantity& quantity) {
        return quantity ? add(quantity->value) : add(std::string_view("-"));
    }
    RowText& add(const std::vector<model::ChartRow>& chart) {
        add(static_cast<double>(chart.size()));
        for (const model::ChartRow& row : chart) add(row.at).add(row.value);
        return *this;
    }
    RowText& add(const model::Loss& loss) {
        add(static_cast<double>(loss.kind));
        if (loss.kind != model::LossKind::lossless) add(loss.coefficient);
        if (loss.kind == model::LossKind::k) add(loss.bore);
        return add(loss.chart);
    }
    const std::string& text() const { return text_; }

  private:
    std::string text_;
};

std::string nozzle_text(const model::Nozzle& of) {
    RowText row;
    row.add(of.rows).add(of.exponent).add(of.min).add(of.design).add(of.max);
    for (const model::Quantity& radius : of.radius) row.add(radius);
    return row.text();
}

std::string pipe_text(const model::Pipe& of) {
    RowText row;
    row.add(of.size->kind).add(of.size->bore).add(of.size->c).add(of.size->roughness);
    return row.add(of.length).add(of.k).add(of.fittings).add(of.closed ? 1.0 : 0.0).text();
}

/// What the row of a point says, but for its name.
std::string point_text(const System& system, const model::Point& point) {
    RowText row;
    row.add(static_cast<double>(point.kind)).add(point.elevation).add(point.x).add(point.y);
    switch (point.kind) {
        case model::PointKind::plain:
            break;
        case model::PointKind::supply: {
            const model::Supply& of = system.supplies[at(point.row)];
            row.add(of.static_pressure).add(of.tests);
            break;
        }
        case model::PointKind::device: {
            const model::Device& of = system.devices[at(point.row)];
            row.add(static_cast<double>(of.type)).add(of.loss).add(of.rise).add(of.set).add(of.safe_flow);
            row.add(of.one_way ? 1.0 : 0.0).add(of.closed ? 1.0 : 0.0);
            break;
        }
        case model::PointKind::valve: {
            const model::Valve& of = system.valves[at(point.row)];
            row.add(of.loss).add(of.set);
            break;
        }
        case model::PointKind::head: {
            const model::Head& of = system.heads[at(point.row)];
            row.add(of.nozzle == none ? std::string_view("?") : system.nozzles[at(of.nozzle)].id);
            row.add(model::Loss(of.joint)).add(of.set).add(of.at_least).add(of.arc).add(of.facing);
            if (of.valve != none)
                row.add(system.valves[at(of.valve)].loss).add(system.valves[at(of.valve)].set);
            break;
        }
    }
    return row.text();
}

Table table_of(model::PointKind kind) {
    switch (kind) {
        case model::PointKind::supply:
            return Table::supply;
        case model::PointKind::device:
            return Table::device;
        case model::PointKind::valve:
            return Table::valve;
        case model::PointKind::head:
            return Table::head;
        case model::PointKind::plain:
            break;
    }
    return Table::point;
}

/// One of the two systems with what leads where, and which point of the drawn system each point is.
struct Side {
    explicit Side(const System& of) : system(of), drawn(of.points.size(), none), pipes(of.points.size()) {
        for (std::size_t i = 0; i < of.pipes.size(); ++i) {
            pipes[at(of.pipes[i].from)].push_back(static_cast<Index>(i));
            pipes[at(of.pipes[i].to)].push_back(static_cast<Index>(i));
        }
    }
    Index other_end(Index pipe, Index point) const {
        const model::Pipe& of = system.pipes[at(pipe)];
        return of.from == point ? of.to : of.from;
    }
    std::vector<Index> unknown_neighbours(Index point) const {
        std::vector<Index> found;
        for (const Index pipe : pipes[at(point)]) {
            const Index other = other_end(pipe, point);
            if (drawn[at(other)] == none && std::find(found.begin(), found.end(), other) == found.end())
                found.push_back(other);
        }
        return found;
    }
    /// The row of a point, and its pipes to neighbours that both systems have.
    std::string text(Index point) const {
        const model::Point& of = system.points[at(point)];
        const bool sides = of.kind == model::PointKind::device || of.kind == model::PointKind::valve;
        std::vector<std::string> ways;
        for (const Index pipe : pipes[at(point)]) {
            const Index known = drawn[at(other_end(pipe, point))];
            std::string way = known == none ? "?" : std::to_string(known);
            if (sides) way += system.pipes[at(pipe)].to == point ? " in" : " out";
            ways.push_back(way + "\n" + pipe_text(system.pipes[at(pipe)]));
        }
        std::sort(ways.begin(), ways.end());
        std::string text = point_text(system, of);
        for (const std::string& way : ways) text += way;
        return text;
    }

    const System& system;
    std::vector<Index> drawn;  // none: of the built system, not found yet; of the drawn, not in the built one
    std::vector<std::vector<Index>> pipes;
};

class Aligning {
  public:
    Aligning(const System& drawn, const System& built) : drawn_(drawn) { aligned_.built = built; }

    Aligned align() {
        nozzles();
        points();
        runs();
        return std::move(aligned_);
    }

  private:
    void renamed(Table table, Index a, Index b, const std::string& from, const std::string& to) {
        Change change;
        change.kind = ChangeKind::changed;
        change.subject = {table, a, b};
        change.key = "id";
        change.from.form = change.to.form = ChangeValue::Form::words;
        change.from.words = from;
        change.to.words = to;
        aligned_.renamed.push_back(std::move(change));
    }

    /// Pairs rows of one table that only one of the two knows by name, where their texts are alike.
    template <class Rows, class Text, class Take>
    static void pair_rows(const Rows& drawn, const Rows& built, const Text& text, const Take& take) {
        std::unordered_map<std::string, std::size_t> ids[2];
        for (const auto& row : drawn) ids[0].emplace(row.id, 0);
        for (const auto& row : built) ids[1].emplace(row.id, 0);
        std::map<std::string, std::pair<std::vector<Index>, std::vector<Index>>> alike;
        for (std::size_t i = 0; i < drawn.size(); ++i)
            if (ids[1].find(drawn[i].id) == ids[1].end())
                alike[text(drawn[i], false)].first.push_back(static_cast<Index>(i));
        for (std::size_t i = 0; i < built.size(); ++i)
            if (ids[0].find(built[i].id) == ids[0].end())
                alike[text(built[i], true)].second.push_back(static_cast<Index>(i));
        for (const auto& [key, rows] : alike)
            for (std::size_t i = 0; i < std::min(rows.first.size(), rows.second.size()); ++i)
                take(rows.first[i], rows.second[i]);
    }

    void nozzles() {
        std::vector<model::Nozzle>& built = aligned_.built.nozzles;
        pair_rows(
            drawn_.nozzles, built, [](const model::Nozzle& of, bool) { return nozzle_text(of); },
            [&](Index a, Index b) {
                const std::string& id = drawn_.nozzles[at(a)].id;
                renamed(Table::nozzle, a, b, id, built[at(b)].id);
                built[at(b)].id = id;
            });
    }

    void points() {
        Side here(drawn_), there(aligned_.built);
        std::unordered_map<std::string, Index> by_id;
        for (std::size_t i = 0; i < drawn_.points.size(); ++i)
            by_id.emplace(drawn_.points[i].id, static_cast<Index>(i));
        std::queue<std::pair<Index, Index>> pairs;
        for (std::size_t i = 0; i < aligned_.built.points.size(); ++i) {
            const auto found = by_id.find(aligned_.built.points[i].id);
            if (found == by_id.end()) continue;
            there.drawn[i] = here.drawn[at(found->second)] = found->second;
            pairs.emplace(found->second, static_cast<Index>(i));
        }
        for (; !pairs.empty(); pairs.pop()) {
            const auto [a, b] = pairs.front();
            const std::vector<Index> only_drawn = here.unknown_neighbours(a);
            if (only_drawn.empty()) continue;
            std::map<std::string, std::pair<std::vector<Index>, std::vector<Index>>> alike;
            for (const Index one : only_drawn) alike[here.text(one)].first.push_back(one);
            for (const Index other : there.unknown_neighbours(b))
                alike[there.text(other)].second.push_back(other);
            for (const auto& [key, rows] : alike)
                for (std::size_t i = 0; i < std::min(rows.first.size(), rows.second.size()); ++i) {
                    take_point(rows.first[i], rows.second[i]);
                    here.drawn[at(rows.first[i])] = there.drawn[at(rows.second[i])] = rows.first[i];
                    pairs.emplace(rows.first[i], rows.second[i]);
                }
        }
    }
    void take_point(Index a, Index b) {
        model::Point& built = aligned_.built.points[at(b)];
        const model::Point& drawn = drawn_.points[at(a)];
        // A tee is no row: what it is called is nobody's business.
        if (built.kind != model::PointKind::plain)
            renamed(table_of(built.kind), drawn.row, built.row, drawn.id, built.id);
        for (model::Run& run : aligned_.built.runs)
            if (!run.given && run.id == built.id) run.id = drawn.id;
        built.id = drawn.id;
    }

    void runs() {
        const auto text = [&](const model::Run& run, bool built) {
            const System& of = built ? aligned_.built : drawn_;
            std::vector<std::string> ids;
            for (const Index valve : run.valves) ids.push_back(of.point_id(of.valves[at(valve)].point));
            std::sort(ids.begin(), ids.end());
            RowText row;
            row.add(run.given ? 1.0 : 0.0);
            for (const std::string& id : ids) row.add(id);
            return row.text();
        };
        std::vector<model::Run>& built = aligned_.built.runs;
        pair_rows(drawn_.runs, built, text, [&](Index a, Index b) {
            if (!built[at(b)].given) return;
            const std::string& id = drawn_.runs[at(a)].id;
            renamed(Table::run, a, b, id, built[at(b)].id);
            built[at(b)].id = id;
        });
    }

    const System& drawn_;
    Aligned aligned_;
};

}  // namespace

Aligned align_names(const System& drawn, const System& built) {
    return Aligning(drawn, built).align();
}

}  // namespace evenhead::solver
