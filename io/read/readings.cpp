#include "io/read/readings.hpp"

#include <utility>

#include "io/read/case_reader.hpp"

namespace evenhead::io {
namespace {

/// The names of a case that is read already, to resolve those of another file against.
void know_names(CaseReader& reader) {
    const auto note = [](auto& index, const auto& rows) {
        index.reserve(rows.size());
        for (std::size_t i = 0; i < rows.size(); ++i)
            index.find_or_add(rows[i].id, static_cast<model::Index>(i));
    };
    note(reader.points, reader.system.points);
    note(reader.runs, reader.system.runs);
    for (std::size_t i = 0; i < reader.system.pipes.size(); ++i) {
        const auto pipe = static_cast<model::Index>(i);
        reader.pipes.find_or_add(reader.system.pipe_id(pipe), pipe);
    }
}

}  // namespace

FileReading read_readings(const std::string& path, CaseReading& of) {
    CaseReader reader(read_readings_document(path));
    model::System drawn = std::move(*of.system);
    std::swap(reader.system, drawn);
    std::vector<model::Reading> readings = std::exchange(reader.system.readings, {});
    std::vector<model::Seen> seen = std::exchange(reader.system.seen, {});
    know_names(reader);
    readings_table.read(reader);
    seen_table.read(reader);
    if (reader.errors.empty() && reader.system.readings.empty())
        reader.error({0, 1, 1}, "readings", "the file has no reading",
                     "write a row for each reading: run, at, and pressure or flow");

    FileReading reading;
    reading.files = reader.document.files;
    reading.errors = reader.take_errors();
    reading.warnings = reader.take_warnings();
    of.system = std::move(reader.system);
    if (!reading.errors.empty()) {
        of.system->readings = std::move(readings);
        of.system->seen = std::move(seen);
    } else if (of.system->seen.empty()) {
        of.system->seen = std::move(seen);
    }
    return reading;
}

}  // namespace evenhead::io
