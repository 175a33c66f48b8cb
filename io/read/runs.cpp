// Runs: which valves are open at once.
#include <fmt/format.h>

#include <algorithm>

#include "io/read/fields.hpp"

namespace evenhead::io {
namespace {

using model::Index;
using model::Run;

constexpr std::string_view runs_keys[] = {"id", "valves"};

void refuse_valve(const Fields& fields, const Cell& cell, std::string_view id) {
    CaseReader& reader = fields.reader();
    if (!reader.undefined_names_count()) return;
    if (const Index other = reader.points.find(id); other != model::none) {
        fields.error(cell,
                     fmt::format("{} is a {}, not a valve", quoted(id),
                                 kind_word(at(reader.system.points, other).kind)),
                     "a run names rows of valves, or heads with own_valve");
        return;
    }
    fields.error(cell, fmt::format("nobody defines the valve {}", quoted(id)),
                 Meant(reader, id).among(reader.system.valves).mend("a run names rows of valves"));
}

void read_valves_of(const Fields& fields, Run& run) {
    const Cell* cell = fields.find("valves");
    if (!cell) {
        fields.missing("valves", "name the valves that are open at once");
        return;
    }
    for (const std::string_view id : fields.references(*cell, "valves")) {
        const Index valve = fields.reader().valve_named(id);
        if (valve == model::none)
            refuse_valve(fields, *cell, id);
        else if (std::find(run.valves.begin(), run.valves.end(), valve) == run.valves.end())
            run.valves.push_back(valve);
        else
            fields.warn(cell->place, fmt::format("the valve {} is named twice", quoted(id)),
                        "once is enough");
    }
    if (cell->kind != Cell::Kind::text && cell->kind != Cell::Kind::integer && cell->kind != Cell::Kind::list)
        return;  // each item is refused already
    if (chart_cells(*cell).empty() || (cell->kind == Cell::Kind::text && cell->text.empty()))
        fields.warn(cell->place, "the run opens no valve",
                    "name at least one valve; only heads upstream of every valve water in it");
}

void add_run(CaseReader& reader, Run run) {
    reader.runs.find_or_add(run.id, last(reader.system.runs) + 1);
    reader.system.runs.push_back(std::move(run));
}

void read_runs(CaseReader& reader) {
    reader.each_row("runs", [&](const Row& row) {
        const Fields fields(reader, runs_table, row);
        const Cell* id_cell = fields.own("id");
        const auto id = id_cell ? fields.as_id(*id_cell, "id") : std::nullopt;
        if (!id_cell) fields.missing("id", "give the run an id of its own, such as id = \"night\"");
        Run run;
        run.given = true;
        run.place = row.place;
        read_valves_of(fields, run);
        if (!id) return;
        run.id = *id;
        if (run.id == "none" || run.id == "all") {
            fields.error(*id_cell, fmt::format("the id {} is reserved", quoted(run.id)),
                         "give the run another id");
            return;
        }
        if (const Index taken = reader.runs.find(run.id); taken != model::none) {
            fields.error(row.place,
                         fmt::format("a run {} is already given on {}", quoted(run.id),
                                     reader.place_words(at(reader.system.runs, taken).place, row.place)),
                         "give one of the two another id");
            return;
        }
        add_run(reader, std::move(run));
    });
    if (reader.count_rows("runs") > 0) return;
    const auto& valves = reader.system.valves;
    for (std::size_t i = 0; i < valves.size(); ++i) {
        Run run;
        run.id = at(reader.system.points, valves[i].point).id;
        run.valves = {static_cast<Index>(i)};
        run.place = valves[i].place;
        add_run(reader, std::move(run));
    }
    if (!valves.empty()) return;
    Run run;
    run.id = "all";
    add_run(reader, std::move(run));
}

}  // namespace

const TableReader runs_table{"runs", runs_keys, read_runs};

}  // namespace evenhead::io
