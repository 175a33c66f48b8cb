// Conditions: named changes to the system as given.
#include <fmt/format.h>

#include "io/read/fields.hpp"
#include "model/catalogue.hpp"

namespace evenhead::io {
namespace {

using model::Change;
using model::Condition;
using model::Dimension;
using model::Index;

constexpr std::string_view conditions_keys[] = {"id",     "supply",      "nozzle",    "c",
                                                "closed", "temperature", "pumps_off", "c_by_kind"};

/// A share of what is given ("90 %") is a factor. `by_amount` is the dimension that a signed amount ("-8
/// psi") has, `to_value` allows a number that replaces what is given.
std::optional<Change> read_change(const Fields& fields, std::string_view key,
                                  std::optional<Dimension> by_amount, bool to_value, std::string_view mend) {
    const Cell* cell = fields.find(key);
    if (!cell) return std::nullopt;
    const bool is_text = cell->kind == Cell::Kind::text;
    const bool number = cell->kind == Cell::Kind::integer || cell->kind == Cell::Kind::number;
    Change change;
    if (is_text && cell->text.ends_with('%')) {
        change.how = Change::How::times;
        change.value = fields.read(*cell, key, Dimension::share).value;
        if (change.value > 0) return change;
    } else if (by_amount && (is_text || number) &&
               (cell->text.starts_with('-') || cell->text.starts_with('+'))) {
        Cell unsigned_cell = *cell;
        if (is_text && cell->text.starts_with('+')) unsigned_cell.text.remove_prefix(1);
        change.how = Change::How::add;
        change.value = fields.read(unsigned_cell, key, *by_amount).value;
        if (!std::isnan(change.value)) return change;
    } else if (to_value && (number || is_text)) {
        change.how = Change::How::to;
        change.value = fields.read(*cell, key, Dimension::none).value;
        if (change.value > 0) return change;
    }
    fields.error(*cell, fmt::format("{} does not say how it changes", shown(key, *cell)), std::string(mend));
    return std::nullopt;
}

void read_closed(const Fields& fields, Condition& condition) {
    const Cell* cell = fields.find("closed");
    if (!cell) return;
    CaseReader& reader = fields.reader();
    for (const std::string_view id : fields.references(*cell, "closed")) {
        const Index point = reader.points.find(id);
        if (point != model::none && at(reader.system.points, point).kind == model::PointKind::device) {
            condition.closed_devices.push_back(at(reader.system.points, point).row);
        } else if (const Index pipe = reader.pipes.find(id); pipe != model::none) {
            condition.closed_pipes.push_back(pipe);
        } else if (reader.undefined_names_count()) {
            fields.error(*cell, fmt::format("closed names {}, which is no device and no pipe", quoted(id)),
                         Meant(reader, id)
                             .among(reader.system.devices)
                             .among(reader.system.pipes)
                             .mend("name devices or pipes; valves are shut by the runs"));
        }
    }
}

void read_pumps_off(const Fields& fields, Condition& condition) {
    const Cell* cell = fields.find("pumps_off");
    if (!cell) return;
    CaseReader& reader = fields.reader();
    for (const std::string_view id : fields.references(*cell, "pumps_off")) {
        const Index point = reader.points.find(id);
        const bool device =
            point != model::none && at(reader.system.points, point).kind == model::PointKind::device;
        const Index row = device ? at(reader.system.points, point).row : model::none;
        if (device && at(reader.system.devices, row).type == model::DeviceType::pump) {
            condition.pumps_off.push_back(row);
        } else if (reader.undefined_names_count()) {
            std::vector<model::Device> pumps;
            for (const model::Device& of : reader.system.devices)
                if (of.type == model::DeviceType::pump) pumps.push_back(of);
            fields.error(*cell, fmt::format("pumps_off names {}, which is no pump", quoted(id)),
                         Meant(reader, id).among(pumps).mend("name devices of type pump"));
        }
    }
}

void read_c_by_kind(const Fields& fields, Condition& condition) {
    const Cell* cell = fields.find("c_by_kind");
    if (!cell) return;
    if (cell->kind != Cell::Kind::table) {
        fields.error(*cell, fmt::format("{} names no kinds", shown("c_by_kind", *cell)),
                     "write c_by_kind = { steel-sch40 = 90 }");
        return;
    }
    std::vector<std::string_view> kinds;
    for (const auto& [own, rows] : fields.reader().own_kinds) kinds.push_back(own);
    for (const model::PipeKind& kind : model::pipe_kinds()) kinds.push_back(kind.name);
    if (fields.reader().undefined_names_count())
        refuse_unknown_keys(fields.reader(), cell->fields, kinds, "c_by_kind", fields.row());
    for (const auto& [kind, value] : cell->fields) {
        const double c = fields.read(value, kind, Dimension::none).value;
        if (c <= 0)
            fields.error(value, fmt::format("{} is not above zero", shown(kind, value)),
                         "write a C such as 130");
        condition.c_by_kind.emplace(kind, c);
    }
}

void read_conditions(CaseReader& reader) {
    std::map<std::string_view, model::Place> known;
    reader.each_row("conditions", [&](const Row& row) {
        const Fields fields(reader, conditions_table, row);
        Condition condition;
        condition.place = row.place;
        condition.supply = read_change(
            fields, "supply", Dimension::pressure, false,
            "write a change of pressure with its sign (\"-8 psi\", \"+5 psi\"), or a share (\"90 %\")");
        condition.nozzle =
            read_change(fields, "nozzle", std::nullopt, false, "write a share of the flow (\"110 %\")");
        condition.c = read_change(fields, "c", std::nullopt, true,
                                  "write a share (\"90 %\"), or the C that replaces every pipe's (100)");
        if (const auto temperature = fields.quantity("temperature", Dimension::temperature)) {
            condition.temperature = temperature->value;
            if (!(temperature->value >= 0 && temperature->value <= 100))
                fields.error(*fields.find("temperature"),
                             fmt::format("at {} water is not liquid",
                                         shown("temperature", *fields.find("temperature"))),
                             "write a temperature from 32 to 212 degF (0 to 100 degC)");
        }
        read_closed(fields, condition);
        read_pumps_off(fields, condition);
        read_c_by_kind(fields, condition);
        const auto id =
            fields.reference("id", "give the condition an id of its own, such as id = \"dry-summer\"");
        if (!id) return;
        condition.id = *id;
        if (const auto [other, first] = known.try_emplace(*id, row.place); !first)
            fields.error(row.place,
                         fmt::format("a condition {} is already given on {}", quoted(*id),
                                     reader.place_words(other->second, row.place)),
                         "give one of the two another id");
        reader.system.conditions.push_back(std::move(condition));
    });
}

}  // namespace

const TableReader conditions_table{"conditions", conditions_keys, read_conditions};

}  // namespace evenhead::io
