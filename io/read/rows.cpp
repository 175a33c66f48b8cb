#include "io/read/rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <iterator>
#include <map>
#include <set>
#include <tuple>

#include "io/excerpt.hpp"
#include "io/read/csv.hpp"
#include "io/read/source.hpp"
#include "io/read/toml.hpp"

namespace evenhead::io {

namespace fs = std::filesystem;

namespace {

using Fields = std::vector<std::pair<std::string_view, Cell>>;

bool looks_like_csv(std::string_view name) {
    return name.ends_with(".csv") || name.ends_with(".CSV");
}

/// A list of rows, or the name of a CSV file: a table of rows that stands where some other value might.
bool looks_like_rows(const Cell& cell) {
    if (cell.kind == Cell::Kind::text) return looks_like_csv(cell.text);
    return cell.kind == Cell::Kind::list && !cell.items.empty() &&
           std::all_of(cell.items.begin(), cell.items.end(),
                       [](const Cell& item) { return item.kind == Cell::Kind::table; });
}

bool is_top_key(std::string_view name) {
    constexpr std::array<std::string_view, 12> keys = {"title",  "job",      "date",        "units",
                                                       "show",   "friction", "temperature", "ground",
                                                       "origin", "window",   "defaults",    "limits"};
    return std::find(keys.begin(), keys.end(), name) != keys.end();
}

/// A heading such as [limits] or [[pipes]] takes every key after it for its own, tables of rows too: tells so
/// once and moves them out of `fields` to where they belong.
void free_swallowed(const Heading& heading, Fields& fields, Fields& freed, Document& document) {
    std::string swallowed;
    const auto take = [&](auto& entry) {
        // `heads` is a key of laterals and `pipes` one of defaults, but a list of rows is neither; limits
        // holds no such name.
        const bool rows = is_row_table(entry.first) && looks_like_rows(entry.second);
        const bool stray = heading.name == "limits" && (is_row_table(entry.first) || is_top_key(entry.first));
        if (!rows && !stray) return false;
        swallowed += (swallowed.empty() ? "" : ", ") + std::string(entry.first);
        freed.push_back(std::move(entry));
        return true;
    };
    std::erase_if(fields, take);
    for (auto& [key, cell] : fields)
        if (cell.kind == Cell::Kind::table) std::erase_if(cell.fields, take);
    if (swallowed.empty()) return;
    const std::string written =
        heading.rows ? fmt::format("[[{}]]", heading.name) : fmt::format("[{}]", heading.name);
    std::string mend = fmt::format("put {} before every heading", swallowed);
    if (heading.name == "limits")
        mend = "write limits.velocity = 6 and the like at the top, without a heading";
    if (heading.name == "defaults")
        mend = "write defaults.pipes = { ... } and the like at the top, without a heading";
    document.errors.push_back(
        {{0, heading.line, 1},
         written,
         fmt::format("the heading {} swallows what stands after it: {}", written, swallowed),
         std::move(mend)});
}

class DocumentReader {
  public:
    DocumentReader(const std::string& path, Document& document, CsvTables csv = CsvTables::as_rows)
        : path_(path), document_(document), csv_(csv) {
        document_.files.push_back(path);
    }

    void read_toml_file() {
        const auto text = read_source(path_, 0, {}, false, document_);
        if (!text) return;
        TomlReading reading = read_toml(*text, 0, document_);
        Fields& fields = reading.root.fields;
        Fields freed = free_all(reading);
        std::move(freed.begin(), freed.end(), std::back_inserter(fields));
        for (auto& [name, cell] : fields) {
            if (is_row_table(name))
                read_table(name, cell);
            else
                document_.top.emplace_back(name, std::move(cell));
        }
    }

    void read_csv_file(std::string_view table) {
        if (const auto text = read_source(path_, 0, {}, true, document_))
            read_csv(*text, 0, table_named(table, {0, 1, 1}), document_);
    }

  private:
    fs::path path_;
    Document& document_;
    CsvTables csv_;
    std::set<fs::path> csv_files_;  // read so far, links resolved

    void error(model::Place place, std::string_view row, std::string words, std::string mend) {
        document_.errors.push_back({place, std::string(row), std::move(words), std::move(mend)});
    }

    Fields free_all(TomlReading& reading) {
        std::map<std::string_view, std::vector<const Heading*>> headings;
        for (const Heading& heading : reading.headings) headings[heading.name].push_back(&heading);
        Fields freed;
        for (auto& [name, cell] : reading.root.fields) {
            const auto written = headings.find(name);
            if (written == headings.end()) continue;
            if (cell.kind == Cell::Kind::table)
                free_swallowed(*written->second.front(), cell.fields, freed, document_);
            std::size_t row = 0;  // the items of such a list stand under one [[name]] each
            for (const Heading* heading : written->second)
                if (heading->rows && row < cell.items.size())
                    free_swallowed(*heading, cell.items[row++].fields, freed, document_);
        }
        return freed;
    }

    Table& table_named(std::string_view name, model::Place place) {
        auto& tables = document_.tables;
        const auto known = std::find_if(tables.begin(), tables.end(),
                                        [&](const Table& table) { return table.name == name; });
        if (known != tables.end()) return *known;
        Table& table = tables.emplace_back();
        table.name = name;
        table.place = place;
        return table;
    }

    void read_table(std::string_view name, Cell& cell) {
        Table& table = table_named(name, cell.place);
        if (cell.kind != Cell::Kind::list) return read_item(table, cell);
        table.rows.reserve(table.rows.size() + cell.items.size());
        for (Cell& item : cell.items) {
            if (item.kind == Cell::Kind::table)
                add_row(table, item);
            else
                read_item(table, item);
        }
    }

    static void add_row(Table& table, Cell& cell) {
        Row& row = table.rows.emplace_back();
        row.cells = std::move(cell.fields);
        row.place = cell.place;
    }

    /// What stands where a list of rows is wanted, or inside that list in place of a row.
    void read_item(Table& table, Cell& cell) {
        if (cell.kind == Cell::Kind::text) return read_csv_beside(table, cell);
        const std::string mend = fmt::format(
            "write {0} = [ {{ ... }}, {{ ... }} ], or {0} = \"{0}.csv\" for a CSV file", table.name);
        if (cell.kind == Cell::Kind::table) {
            error(cell.place, table.name,
                  fmt::format("{} is one row where a list of rows must stand", table.name), mend);
            return add_row(table, cell);
        }
        error(cell.place, table.name, fmt::format("{} holds rows only, or names a CSV file", table.name),
              mend);
        document_.complete = false;
    }

    void read_csv_beside(Table& table, const Cell& cell) {
        const auto refuse = [&](std::string words, std::string mend) {
            error(cell.place, table.name, std::move(words), std::move(mend));
            document_.complete = false;
        };
        const std::string name(cell.text);
        const std::string shown = io::quoted(cell.text);
        if (name.empty() || std::any_of(name.begin(), name.end(),
                                        [](char c) { return static_cast<unsigned char>(c) < 0x20; }))
            return refuse(fmt::format("{} is no file name", shown),
                          fmt::format("write {0} = \"{0}.csv\" or a list of rows", table.name));
        const auto [file, fault, mend] = file_beside(path_, name, "a CSV file");
        if (!fault.empty()) return refuse(fault, mend);
        if (!csv_files_.insert(file).second)
            return refuse(fmt::format("{} is named twice", shown), "name every CSV file once");
        const int position = static_cast<int>(document_.files.size());
        document_.files.push_back(name);
        const auto text = read_source(file, position, cell.place, true, document_);
        if (!text) {
            document_.errors.back().row = table.name;
            return;
        }
        // The rows of laterals are looked at twice, and kept in between.
        if (csv_ == CsvTables::as_text && table.name != "laterals")
            if (auto csv = LongCsv::look_through(*text, position, table.name)) {
                document_.header_lines.resize(static_cast<std::size_t>(position) + 1, 1);
                document_.header_lines.back() = csv->header_line();
                table.files.push_back({table.rows.size(), std::move(*csv)});
                return;
            }
        read_csv(*text, position, table, document_);
    }
};

void sort_errors(Document& document) {
    std::stable_sort(document.errors.begin(), document.errors.end(),
                     [](const model::Issue& a, const model::Issue& b) {
                         return std::tie(a.place.file, a.place.line, a.place.column) <
                                std::tie(b.place.file, b.place.line, b.place.column);
                     });
}

}  // namespace

const Cell* Row::find(std::string_view key) const {
    const auto found =
        std::find_if(cells.begin(), cells.end(), [&](const auto& cell) { return cell.first == key; });
    return found == cells.end() ? nullptr : &found->second;
}

const Table* Document::find_table(std::string_view name) const {
    const auto found =
        std::find_if(tables.begin(), tables.end(), [&](const Table& table) { return table.name == name; });
    return found == tables.end() ? nullptr : &*found;
}

const Cell* Document::find_top(std::string_view key) const {
    const auto found =
        std::find_if(top.begin(), top.end(), [&](const auto& cell) { return cell.first == key; });
    return found == top.end() ? nullptr : &found->second;
}

const std::vector<std::string_view>& row_table_names() {
    static const std::vector<std::string_view> names = {
        "supplies", "devices", "valves", "nozzles",    "heads",    "pipes", "laterals", "points",
        "kinds",    "prices",  "runs",   "conditions", "readings", "seen",  "areas",    "watering"};
    return names;
}

bool is_row_table(std::string_view name) {
    const auto& names = row_table_names();
    return std::find(names.begin(), names.end(), name) != names.end();
}

std::size_t Table::count() const {
    std::size_t sum = rows.size();
    for (const File& file : files) sum += file.csv.rows();
    return sum;
}

Document read_document(const std::string& path, CsvTables csv) {
    Document document;
    DocumentReader(path, document, csv).read_toml_file();
    sort_errors(document);
    return document;
}

Document read_readings_document(const std::string& path) {
    Document document;
    DocumentReader reader(path, document);
    if (looks_like_csv(path)) {
        reader.read_csv_file("readings");
    } else {
        reader.read_toml_file();
        const auto refuse = [&](std::string_view name, model::Place place) {
            document.errors.push_back({place, excerpt(name),
                                       fmt::format("a file of readings has no {}", io::quoted(name)),
                                       "it holds the tables readings and seen only"});
        };
        for (const auto& [name, cell] : document.top) refuse(name, cell.place);
        for (const Table& table : document.tables)
            if (table.name != "readings" && table.name != "seen") refuse(table.name, table.place);
    }
    sort_errors(document);
    return document;
}

Document read_cans_document(const std::string& path) {
    Document document;
    DocumentReader(path, document).read_csv_file("cans");
    sort_errors(document);
    return document;
}

}  // namespace evenhead::io
