// The reader of readings in a file of their own: the first byte chooses between TOML and CSV.
#include <string>

#include "io/read/rows.hpp"
#include "tests/fuzz/input_folder.hpp"
#include "tests/fuzz/require.hpp"
#include "tests/fuzz/target.hpp"

using namespace evenhead;

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
    return 0;
}
