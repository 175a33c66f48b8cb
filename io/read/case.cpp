#include "io/read/case.hpp"

#include <algorithm>
#include <iterator>

#include "io/read/case_reader.hpp"

namespace evenhead::io {
namespace {

const TableReader* const tables[] = {&kinds_table,    &nozzles_table,  &supplies_table, &devices_table,
                                     &valves_table,   &laterals_table, &heads_table,    &points_table,
                                     &pipes_table,    &prices_table,   &runs_table,     &conditions_table,
                                     &readings_table, &seen_table,     &areas_table,    &watering_table};

/// Room for long tables at once: growing step by step would move every row several times.
void reserve(CaseReader& reader) {
    const std::size_t heads = reader.count_rows("heads"), pipes = reader.count_rows("pipes");
    reader.system.heads.reserve(heads);
    reader.system.pipes.reserve(pipes);
    reader.system.points.reserve(heads + reader.count_rows("points") + reader.count_rows("valves"));
    reader.points.reserve(reader.system.points.capacity());
    reader.pipes.reserve(pipes);
}

void append(std::vector<model::Issue>& all, const std::vector<model::Issue>& more) {
    all.insert(all.end(), more.begin(), more.end());
}

}  // namespace

std::span<const TableReader* const> case_tables() {
    return tables;
}

const TableReader* find_table(std::string_view name) {
    const auto found = std::find_if(std::begin(tables), std::end(tables),
                                    [&](const TableReader* table) { return table->name == name; });
    return found == std::end(tables) ? nullptr : *found;
}

CaseReading read_case(const std::string& path) {
    CaseReader reader(read_document(path, CsvTables::as_text));
    read_top(reader);
    read_defaults(reader);
    reserve(reader);
    for (const TableReader* table : tables) {
        table->read(reader);
        if (table != &laterals_table)
            reader.forget_rows(table->name);  // those are looked at again for their pipes
    }
    read_limits(reader);
    raise_points(reader);

    for (const TableReader* table : tables) reader.forget_rows(table->name);
    reader.points.forget();
    reader.pipes.forget();

    CaseReading reading;
    if (reader.graph_sound) {
        reading.layout = model::find_layout(reader.system);
        append(reader.errors, reading.layout.errors);
        append(reader.warnings, reading.layout.warnings);
    }
    reading.watering = std::move(reader.watering);
    reading.files = reader.document.files;
    reading.errors = reader.take_errors();
    reading.warnings = reader.take_warnings();
    if (reading.errors.empty()) reading.system = std::move(reader.system);
    return reading;
}

}  // namespace evenhead::io
