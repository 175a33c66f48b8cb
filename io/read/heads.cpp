// Heads: those with a row of their own, and those that laterals make.
#include <fmt/format.h>

#include <algorithm>

#include "io/read/charts.hpp"
#include "io/read/points.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Head;
using model::Index;
using model::PointKind;

constexpr std::string_view heads_keys[] = {
    "id",          "nozzle",          "cv",   "kv", "set", "arc", "facing", "at_least", "own_valve",
    "stated_flow", "stated_pressure", "elev", "x",  "y",   "note"};
const Cells no_cells;

/// The nozzle that a cell names; none where it says "?" or is wrong, which is said.
Index resolve_nozzle(const Fields& fields, const Cell& cell) {
    if (cell.kind == Cell::Kind::text && cell.text == "?") return model::none;
    CaseReader& reader = fields.reader();
    if (cell.kind == Cell::Kind::text || cell.kind == Cell::Kind::integer) {
        const Index found = reader.nozzles.find(cell.text);
        if (found != model::none || !reader.undefined_names_count()) return found;
        fields.error(cell, fmt::format("nobody defines the nozzle {}", shown(cell)),
                     Meant(reader, cell.text)
                         .among(reader.system.nozzles)
                         .mend("add it to nozzles, or write nozzle = \"?\" where nobody knows"));
    } else {
        fields.error(cell, fmt::format("{} is not an id", shown("nozzle", cell)), "name a row of nozzles");
    }
    return model::none;
}

/// The valve that makes a head a zone of its own.
void read_own_valve(const Fields& fields, Index head) {
    CaseReader& reader = fields.reader();
    const Cell* cell = fields.find("own_valve");
    if (!cell) return;
    if (cell->kind != Cell::Kind::table) {
        fields.error(*cell, fmt::format("{} gives no valve", shown("own_valve", *cell)),
                     "own_valve has the keys of a valve, such as own_valve = { cv = 11 }");
        reader.graph_sound = false;
        return;
    }
    Head& made = at(reader.system.heads, head);
    const std::string id = at(reader.system.points, made.point).id;
    Fields valve_fields(reader, own_valve_keys, cell->fields, nullptr, cell->place, id);
    model::Valve valve = read_valve(valve_fields);
    valve.point = made.point;
    valve.head = head;
    made.valve = static_cast<Index>(reader.system.valves.size());
    reader.system.valves.push_back(std::move(valve));
}

/// `nozzle` is what the lateral says, used where the head's row says nothing; nullptr: no lateral, or it says
/// nothing.
void read_head(Fields& fields, Index index, const Cell* nozzle) {
    CaseReader& reader = fields.reader();
    fields.exclude_defaults_if_own({"cv", "kv"});
    Head head = at(reader.system.heads, index);
    if (const Cell* own = fields.own("nozzle"); own || !nozzle) nozzle = own ? own : fields.find("nozzle");
    if (nozzle)
        head.nozzle = resolve_nozzle(fields, *nozzle);
    else
        fields.missing("nozzle", "name the head's nozzle (\"?\" where nobody knows)");
    fields.at_most_one({"cv", "kv"}, "give one of them");
    if (fields.has("cv") || fields.has("kv")) {
        const bool kv = !fields.has("cv");
        head.joint.kind = kv ? model::LossKind::kv : model::LossKind::cv;
        head.joint.coefficient =
            fields.above_zero(kv ? "kv" : "cv", Dimension::none).value_or(model::Quantity{});
    }
    head.set = fields.above_zero("set", Dimension::pressure);
    head.arc = fields.above_zero("arc", Dimension::angle);
    if (head.arc && head.arc->value > 360)
        fields.error(*fields.find("arc"),
                     fmt::format("{} is more than a full circle", shown("arc", *fields.find("arc"))),
                     "an arc has 1 to 360 degrees");
    head.facing = fields.quantity("facing", Dimension::angle);
    head.at_least = fields.zero_or_more("at_least", Dimension::pressure);
    head.stated_flow = fields.zero_or_more("stated_flow", Dimension::flow);
    head.stated_pressure = fields.quantity("stated_pressure", Dimension::pressure);
    at(reader.system.heads, index) = std::move(head);
    read_place(fields, at(reader.system.heads, index).point);
    read_own_valve(fields, index);
}

void read_heads(CaseReader& reader) {
    const std::size_t made = reader.system.heads.size();
    std::vector<bool> own_row(made, false);  // of the heads that laterals made
    std::vector<const Cell*> nozzles(made, nullptr);
    for (const auto& [row, lateral] : reader.lateral_rows) {
        const Fields fields(reader, laterals_table, *row);
        for (const Index head : at(reader.system.laterals, lateral).heads)
            at(nozzles, head) = fields.find("nozzle");
    }
    reader.each_row("heads", [&](const Row& row) {
        Fields fields(reader, heads_table, row);
        const auto id = fields.id();
        if (!id) return;
        const Index point = made > 0 ? reader.points.find(*id) : model::none;
        const bool known = point != model::none && at(reader.system.points, point).kind == PointKind::head;
        const Index head = known ? at(reader.system.points, point).row : model::none;
        if (!known || static_cast<std::size_t>(head) >= made || own_row[static_cast<std::size_t>(head)]) {
            const Index added = add_head(reader, *id, row.place);  // refuses an id that is taken
            if (added != model::none) read_head(fields, added, nullptr);
            return;
        }
        own_row[static_cast<std::size_t>(head)] = true;
        at(reader.system.points, point).place = row.place;
        read_head(fields, head, at(nozzles, head));
    });
    const Cells* defaults = reader.defaults("heads");
    for (const auto& [row, lateral] : reader.lateral_rows) {
        const model::Lateral& of = at(reader.system.laterals, lateral);
        for (const Index head : of.heads) {
            if (own_row[static_cast<std::size_t>(head)]) continue;
            Fields fields(reader, heads_table, no_cells, defaults, row->place, of.id);
            read_head(fields, head, at(nozzles, head));
        }
    }
}

}  // namespace

Index add_head(CaseReader& reader, std::string_view id, const model::Place& place) {
    const auto head = static_cast<Index>(reader.system.heads.size());
    const Index point = reader.add_point(id, PointKind::head, head, place);
    if (point == model::none) return model::none;
    reader.system.heads.emplace_back().point = point;
    return head;
}

const TableReader heads_table{"heads", heads_keys, read_heads};

}  // namespace evenhead::io
