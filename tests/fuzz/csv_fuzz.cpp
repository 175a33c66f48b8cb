// The CSV reader: the first byte chooses the table, the rest is its file.
#include <string>
#include <string_view>

#include "io/read/rows.hpp"
#include "tests/fuzz/input_folder.hpp"
#include "tests/fuzz/require.hpp"
#include "tests/fuzz/target.hpp"

using namespace evenhead;

namespace {

// A cell of a CSV is text, or a list or table of texts.
void require_text(const io::Cell& cell, int depth = 0) {
    using Kind = io::Cell::Kind;
    fuzz::require(cell.kind == Kind::text || cell.kind == Kind::list || cell.kind == Kind::table,
                  "a CSV cell is text");
    fuzz::require(depth < 3, "a CSV cell is not deep");
    for (const io::Cell& item : cell.items) require_text(item, depth + 1);
    for (const auto& [key, field] : cell.fields) require_text(field, depth + 1);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const fuzz::InputFolder folder;
    if (size == 0) return -1;
    const auto& tables = io::row_table_names();
    const std::string table(tables[data[0] % tables.size()]);
    const std::string path = folder.write("case.toml", table + " = \"table.csv\"\n");
    folder.write("table.csv", {reinterpret_cast<const char*>(data) + 1, size - 1});

    const io::Document document = io::read_document(path);
    fuzz::require_sound(document.errors, document.files, path);
    fuzz::require(document.complete || !document.errors.empty(), "what is left out is said");
    fuzz::require(document.tables.size() <= 1, "one table");
    for (const io::Table& read : document.tables) {
        fuzz::require(read.name == table, "the table keeps its name");
        for (const io::Row& row : read.rows) {
            fuzz::require(row.place.file == 1 && row.place.line >= 1, "a row has its place in the CSV");
            for (const auto& [key, cell] : row.cells) require_text(cell);
        }
    }
    return 0;
}
