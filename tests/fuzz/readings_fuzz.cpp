// The reader of readings in a file of their own: the first byte chooses between TOML and CSV. They are read
// as rows, and against a case.
#include <string>

#include "io/read/readings.hpp"
#include "io/read/rows.hpp"
#include "tests/fuzz/input_folder.hpp"
#include "tests/fuzz/require.hpp"
#include "tests/fuzz/target.hpp"

using namespace evenhead;

namespace {

/// A case with a point of each kind, a pipe, and readings of its own.
io::CaseReading small_case() {
    static const fuzz::InputFolder folder;
    return io::read_case(folder.write("case.toml", R"(
ground = 0
supplies = [ { id = "street", static = 60 } ]
devices = [ { id = "meter", type = "meter", cv = 20 } ]
valves = [ { id = "lawn", cv = 10 } ]
nozzles = [ { id = "n", pressure = 30, flow = 1 } ]
heads = [ { id = "L1", nozzle = "n" } ]
pipes = [ { along = "street 10 meter 10 T1 10 lawn 10 L1", size = "pvc-cl200 1" } ]
readings = [ { run = "lawn", at = "L1", pressure = 30 } ]
seen = [ { what = "wet", at = "T1" } ]
)"));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const fuzz::InputFolder folder;
    if (size == 0) return -1;
    const bool csv = data[0] % 2 == 1;
    const std::string path = folder.write(csv ? "readings.csv" : "readings.toml",
                                          {reinterpret_cast<const char*>(data) + 1, size - 1});
    const io::Document document = io::read_readings_document(path);
    fuzz::require_sound(document.errors, document.files, path);
    fuzz::require(document.complete || !document.errors.empty(), "what is left out is said");
    for (const io::Table& table : document.tables)
        if (document.errors.empty())
            fuzz::require(table.name == "readings" || table.name == "seen",
                          "a file of readings holds readings and what was seen");

    static const io::CaseReading drawn = small_case();
    io::CaseReading against = drawn;
    const io::FileReading reading = io::read_readings(path, against);
    fuzz::require_sound(reading.errors, reading.files, path);
    fuzz::require(against.system.has_value(), "the case is still there");
    fuzz::require(against.system->points.size() == drawn.system->points.size(), "readings add no point");
    fuzz::require(!against.system->readings.empty(), "there are readings: the file's, or those of the case");
    for (const model::Reading& one : against.system->readings) {
        fuzz::require(one.point != model::none && (one.all_shut || one.run != model::none),
                      "every name is resolved");
        fuzz::require(one.pressure.has_value() != one.flow.has_value(), "a reading is a pressure or a flow");
    }
    return 0;
}
