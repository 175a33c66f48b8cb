#include "io/read/csv.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

#include "io/excerpt.hpp"
#include "io/read/case_reader.hpp"

namespace evenhead::io {

namespace {

constexpr std::size_t most_errors = 200;

class CsvReader {
  public:
    CsvReader(std::string_view text, int file, Table& table, Document& document)
        : text_(text), lines_(text, document.text), file_(file), table_(table), document_(document) {}

    void read() {
        if (text_.find('\n') == std::string_view::npos && text_.find('\r') != std::string_view::npos) {
            error(1, 1, {}, "the lines end with CR alone", "save the file as CSV (UTF-8) with LF or CRLF");
            return give_up();
        }
        CsvRecord record;
        if (text_.starts_with("sep=")) {
            error(1, 1, {}, "the first line is a spreadsheet's own (sep=...)",
                  "remove it: the first line holds the keys");
            lines_.skip_line();
        }
        find_separator();
        if (!next(record)) {
            error(1, 1, {}, "the file is empty", "the first line holds the keys: id, ...");
            return give_up();
        }
        if (record.cells.size() > most_csv_fields) {
            error(record.line, static_cast<int>(most_csv_fields) + 1, {},
                  fmt::format("the first line has more than {} fields", most_csv_fields),
                  "no case needs that");
            return give_up();
        }
        header(record);
        table_.rows.reserve(table_.rows.size() + std::min(lines_.count_ahead(), most_csv_lines));
        std::size_t lines = 0;
        while (next(record) && !enough(record.line)) {
            if (++lines > most_csv_lines) {
                error(record.line, 1, {}, fmt::format("more than {} rows in one file", most_csv_lines),
                      "no case needs that");
                return give_up();
            }
            row(record);
        }
        if (lines == 0) return header_alone(record.line);
        const bool dotted =
            std::any_of(keys_.begin(), keys_.end(), [](auto key) { return key.find('.') != key.npos; });
        if (dotted) std::for_each(table_.rows.begin() + first_row_, table_.rows.end(), gather_dotted_keys);
    }

  private:
    std::string_view text_;
    CsvLines lines_;
    int file_;
    Table& table_;
    Document& document_;
    std::vector<std::string_view> keys_;
    std::vector<bool> sizes_;  // columns that hold a size
    std::ptrdiff_t first_row_ = std::ssize(table_.rows);
    std::size_t errors_before_ = document_.errors.size();

    void error(int line, int field, std::string row, std::string words, std::string mend) {
        document_.errors.push_back({{file_, line, field}, std::move(row), std::move(words), std::move(mend)});
    }
    /// Nobody reads on after so many errors.
    bool enough(int line) {
        if (document_.errors.size() - errors_before_ < most_errors) return false;
        error(line, 1, {}, fmt::format("{} errors so far: the rest of the file is not read", most_errors),
              "mend these first");
        give_up();
        return true;
    }
    void give_up() { document_.complete = false; }

    /// Some spreadsheets part the cells with ; or tabs.
    void find_separator() {
        const std::string_view line = lines_.rest_of_line();
        if (line.find(',') != std::string_view::npos) return;
        for (const auto& [mark, name] :
             {std::pair{';', "; between the cells"}, {'\t', "tabs between the cells"}})
            if (line.find(mark) != std::string_view::npos) {
                error(lines_.line(), 1, {}, name,
                      "save the file with commas between the cells, and points in the numbers");
                lines_.set_separator(mark);
                return;
            }
    }

    bool next(CsvRecord& record) {
        const bool any = lines_.next(record);
        for (const CsvLines::BrokenQuote& broken : lines_.broken) {
            const bool over_lines = broken.rest.find('"') == std::string_view::npos;
            error(broken.line, broken.field, excerpt(broken.rest),
                  over_lines
                      ? "the quote that opens this cell is not closed on its line: a row over two lines?"
                      : "a quote inside a cell that is itself between quotes",
                  over_lines ? "close it, and keep the row on one line"
                             : "write such a quote twice, or leave it out");
            give_up();
        }
        lines_.broken.clear();
        return any;
    }

    void header(const CsvRecord& record) {
        document_.header_lines.resize(static_cast<std::size_t>(file_) + 1, 1);
        document_.header_lines.back() = record.line;
        std::unordered_map<std::string_view, std::size_t> fields;
        for (std::size_t field = 0; field < record.cells.size(); ++field) {
            const std::string_view key = record.cells[field];
            keys_.push_back(key);
            sizes_.push_back(is_size_column(key));
            if (key.empty()) continue;
            const auto [first, is_new] = fields.try_emplace(key, field);
            if (!is_new)
                error(record.line, static_cast<int>(field) + 1, excerpt(key),
                      fmt::format("the key {} heads field {} and field {}", quoted(key), first->second + 1,
                                  field + 1),
                      "keep one of them");
        }
        for (std::size_t field = 0; field < keys_.size(); ++field) {
            const std::string_view outer = keys_[field].substr(0, keys_[field].find('.'));
            if (outer.size() < keys_[field].size() && fields.contains(outer))
                error(record.line, static_cast<int>(field) + 1, excerpt(keys_[field]),
                      fmt::format("{} and {} both head a field", quoted(outer), quoted(keys_[field])),
                      "keep one of them");
        }
    }

    /// Without rows nobody looks at the keys: this may be the only row of a file that has no keys.
    void header_alone(int line) {
        const TableReader* reader = find_table(table_.name);
        for (std::size_t field = 0; reader && field < keys_.size(); ++field) {
            const std::string_view outer = keys_[field].substr(0, keys_[field].find('.'));
            if (outer.empty() ||
                std::find(reader->keys.begin(), reader->keys.end(), outer) != reader->keys.end())
                continue;
            error(line, static_cast<int>(field) + 1, fmt::format("the first line, field {}", field + 1),
                  fmt::format("a row of {} has no key {}", table_.name, quoted(outer)),
                  fmt::format("the first line holds the keys, such as {}, the rows follow",
                              fmt::join(reader->keys.first(2), " and ")));
            return give_up();
        }
    }

    void row(CsvRecord& record) {
        const std::string_view name = record.cells.front();
        if (keys_.size() > 1 && lines_.separator() == ',' && record.cells.size() == 1 &&
            name.find(';') != std::string_view::npos) {
            error(record.line, 1, excerpt(name), "; between the cells of this row",
                  "put commas between the cells, as in the first line");
            split_at_semicolons(record);
        }
        Row row;
        row.place = {file_, record.line, 1};
        row.cells.reserve(record.cells.size());
        bool too_many = false;
        for (std::size_t field = 0; field < record.cells.size(); ++field) {
            std::string_view words = record.cells[field];
            if (words.empty()) continue;
            const int column = static_cast<int>(field) + 1;
            if (field >= keys_.size() || keys_[field].empty()) {
                if (!std::exchange(too_many, true)) extra_cell(record, column, words);
                continue;
            }
            if (sizes_[field])
                if (const auto size = size_behind_date(words))
                    words = date_for_size(record, column, words, *size);
            Cell cell;
            cell.csv = true;
            cell.text = words;
            cell.place = {file_, record.line, column};
            row.cells.emplace_back(keys_[field], std::move(cell));
        }
        if (row.cells.empty()) return;
        if (std::ssize(table_.rows) > first_row_ &&
            continue_chart(table_.name, table_.rows.back(), row, document_.errors))
            return;
        table_.rows.push_back(std::move(row));
    }

    static void split_at_semicolons(CsvRecord& record) {
        std::string_view rest = record.cells.front();
        record.cells.clear();
        for (std::size_t end = rest.find(';'); end != std::string_view::npos; end = rest.find(';')) {
            record.cells.push_back(trimmed(rest.substr(0, end)));
            rest.remove_prefix(end + 1);
        }
        record.cells.push_back(trimmed(rest));
    }

    void extra_cell(const CsvRecord& record, int column, std::string_view words) {
        const bool beyond = static_cast<std::size_t>(column) > keys_.size();
        error(record.line, column, excerpt(record.cells.front()),
              beyond ? fmt::format("{} stands in field {}, but the first line has {} keys", quoted(words),
                                   column, keys_.size())
                     : fmt::format("{} stands in field {}, which has no key in the first line", quoted(words),
                                   column),
              beyond ? "put a cell that holds a comma between quotes, and write 3.5, not 3,5"
                     : "give the field a key, or empty it");
    }

    std::string_view date_for_size(const CsvRecord& record, int column, std::string_view words,
                                   const std::string& size) {
        error(record.line, column, excerpt(record.cells.front()),
              fmt::format("{} is a date where a size must stand", quoted(words)),
              size.empty() ? "type the size again, in a column formatted as text"
                           : fmt::format("was it {}? Format the column as text before typing sizes", size));
        return size.empty() ? words : std::string_view(document_.text.emplace_back(size));
    }
};

}  // namespace

bool is_size_column(std::string_view key) {
    return key == "size" || key.ends_with(".size");
}

void read_csv(std::string_view text, int file, Table& table, Document& document) {
    CsvReader(text, file, table, document).read();
}

}  // namespace evenhead::io
