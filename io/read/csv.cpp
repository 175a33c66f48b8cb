#include "io/read/csv.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

#include "io/excerpt.hpp"
#include "io/read/case_reader.hpp"

namespace evenhead::io {

namespace {

constexpr std::size_t most_errors = 200;
// More of these no case has; a file that has would only take memory.
constexpr std::size_t most_lines = 1'000'000;
constexpr std::size_t most_fields = 1000;
constexpr std::size_t longest_cell = std::size_t{1}
                                     << 16;  // bytes; a longer one is a quote that nobody closed

struct Record {
    int line = 0;
    std::vector<std::string_view> cells;
};

class CsvReader {
  public:
    CsvReader(std::string_view text, int file, Table& table, Document& document)
        : text_(text), file_(file), table_(table), document_(document) {}

    void read() {
        if (text_.find('\n') == std::string_view::npos && text_.find('\r') != std::string_view::npos) {
            error(1, 1, {}, "the lines end with CR alone", "save the file as CSV (UTF-8) with LF or CRLF");
            return give_up();
        }
        Record record;
        if (text_.starts_with("sep=")) {
            error(1, 1, {}, "the first line is a spreadsheet's own (sep=...)",
                  "remove it: the first line holds the keys");
            skip_line();
        }
        find_separator();
        if (!next(record)) {
            error(1, 1, {}, "the file is empty", "the first line holds the keys: id, ...");
            return give_up();
        }
        if (record.cells.size() > most_fields) {
            error(record.line, static_cast<int>(most_fields) + 1, {},
                  fmt::format("the first line has more than {} fields", most_fields), "no case needs that");
            return give_up();
        }
        header(record);
        table_.rows.reserve(table_.rows.size() + std::min(rows_ahead(), most_lines));
        std::size_t lines = 0;
        while (next(record) && !enough(record.line)) {
            if (++lines > most_lines) {
                error(record.line, 1, {}, fmt::format("more than {} rows in one file", most_lines),
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
    int file_;
    Table& table_;
    Document& document_;
    std::size_t at_ = 0;
    int line_ = 1;
    char separator_ = ',';
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

    // ---- cells
    // ------------------------------------------------------------------------------------------------

    char here() const { return at_ < text_.size() ? text_[at_] : '\n'; }
    std::size_t line_end(std::size_t from) const { return std::min(text_.find('\n', from), text_.size()); }
    void skip_line() {
        at_ = line_end(at_) + 1;
        ++line_;
    }
    std::size_t rows_ahead() const {
        return at_ < text_.size()
                   ? static_cast<std::size_t>(
                         std::count(text_.begin() + static_cast<std::ptrdiff_t>(at_), text_.end(), '\n')) +
                         1
                   : 0;
    }

    /// Some spreadsheets part the cells with ; or tabs.
    void find_separator() {
        const std::string_view line =
            text_.substr(std::min(at_, text_.size()), line_end(at_) - std::min(at_, text_.size()));
        if (line.find(',') != std::string_view::npos) return;
        for (const auto& [mark, name] :
             {std::pair{';', "; between the cells"}, {'\t', "tabs between the cells"}})
            if (line.find(mark) != std::string_view::npos) {
                error(line_, 1, {}, name,
                      "save the file with commas between the cells, and points in the numbers");
                separator_ = mark;
                return;
            }
    }

    /// The next line with something in it.
    bool next(Record& record) {
        while (at_ < text_.size()) {
            record.line = line_;
            record.cells.clear();
            record.cells.push_back(cell(record));
            while (at_ < text_.size() && text_[at_] == separator_) {
                ++at_;
                record.cells.push_back(cell(record));
            }
            ++at_;  // the line's end
            ++line_;
            if (std::any_of(record.cells.begin(), record.cells.end(),
                            [](auto cell) { return !cell.empty(); }))
                return true;
        }
        return false;
    }

    static std::string_view without_blanks(std::string_view cell) {
        if (!cell.empty() && cell.back() == '\r') cell.remove_suffix(1);
        return trimmed(cell);
    }

    /// Reads a cell and stops at the separator or line end behind it.
    std::string_view cell(const Record& record) {
        while (here() == ' ' || (here() == '\t' && separator_ != '\t')) ++at_;
        if (here() == '"') return quoted_cell(record);
        const std::size_t begin = at_;
        while (at_ < text_.size() && text_[at_] != separator_ && text_[at_] != '\n') ++at_;
        return without_blanks(text_.substr(begin, at_ - begin));
    }

    std::string_view quoted_cell(const Record& record) {
        const std::size_t begin = ++at_;
        const int first_line = line_;
        std::size_t end = begin;
        bool doubled = false;
        while (true) {
            end = text_.substr(0, std::min(text_.size(), begin + longest_cell)).find('"', end);
            if (end == std::string_view::npos) return broken_quote(record, begin, first_line);
            if (end + 1 >= text_.size() || text_[end + 1] != '"') break;
            doubled = true;
            end += 2;
        }
        const std::string_view inside = text_.substr(begin, end - begin);
        at_ = end + 1;
        while (here() == ' ' || here() == '\t' || here() == '\r') {
            if (here() == separator_) break;
            ++at_;
        }
        if (here() != separator_ && here() != '\n') return broken_quote(record, begin, first_line);
        line_ += static_cast<int>(std::count(inside.begin(), inside.end(), '\n'));
        if (!doubled) return without_blanks(inside);
        std::string& words = document_.text.emplace_back();
        for (std::size_t i = 0; i < inside.size(); ++i) {
            words += inside[i];
            if (inside[i] == '"') ++i;
        }
        return trimmed(words);
    }

    /// A quote that is never closed, or closed in the middle of a cell: the cell is taken to end with its
    /// line.
    std::string_view broken_quote(const Record& record, std::size_t begin, int first_line) {
        at_ = line_end(begin);
        const std::string_view rest = text_.substr(begin, at_ - begin);
        const bool over_lines = rest.find('"') == std::string_view::npos;
        error(first_line, static_cast<int>(record.cells.size()) + 1, excerpt(without_blanks(rest)),
              over_lines ? "the quote that opens this cell is not closed on its line: a row over two lines?"
                         : "a quote inside a cell that is itself between quotes",
              over_lines ? "close it, and keep the row on one line"
                         : "write such a quote twice, or leave it out");
        give_up();
        return without_blanks(rest);
    }

    // ---- rows
    // -------------------------------------------------------------------------------------------------

    void header(const Record& record) {
        document_.header_lines.resize(static_cast<std::size_t>(file_) + 1, 1);
        document_.header_lines.back() = record.line;
        std::unordered_map<std::string_view, std::size_t> fields;
        for (std::size_t field = 0; field < record.cells.size(); ++field) {
            const std::string_view key = record.cells[field];
            keys_.push_back(key);
            sizes_.push_back(key == "size" || key.ends_with(".size"));
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

    void row(Record& record) {
        const std::string_view name = record.cells.front();
        if (keys_.size() > 1 && separator_ == ',' && record.cells.size() == 1 &&
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

    static void split_at_semicolons(Record& record) {
        std::string_view rest = record.cells.front();
        record.cells.clear();
        for (std::size_t end = rest.find(';'); end != std::string_view::npos; end = rest.find(';')) {
            record.cells.push_back(trimmed(rest.substr(0, end)));
            rest.remove_prefix(end + 1);
        }
        record.cells.push_back(trimmed(rest));
    }

    void extra_cell(const Record& record, int column, std::string_view words) {
        const bool beyond = static_cast<std::size_t>(column) > keys_.size();
        error(record.line, column, excerpt(record.cells.front()),
              beyond ? fmt::format("{} stands in field {}, but the first line has {} keys", quoted(words),
                                   column, keys_.size())
                     : fmt::format("{} stands in field {}, which has no key in the first line", quoted(words),
                                   column),
              beyond ? "put a cell that holds a comma between quotes, and write 3.5, not 3,5"
                     : "give the field a key, or empty it");
    }

    std::string_view date_for_size(const Record& record, int column, std::string_view words,
                                   const std::string& size) {
        error(record.line, column, excerpt(record.cells.front()),
              fmt::format("{} is a date where a size must stand", quoted(words)),
              size.empty() ? "type the size again, in a column formatted as text"
                           : fmt::format("was it {}? Format the column as text before typing sizes", size));
        return size.empty() ? words : std::string_view(document_.text.emplace_back(size));
    }
};

}  // namespace

void read_csv(std::string_view text, int file, Table& table, Document& document) {
    CsvReader(text, file, table, document).read();
}

}  // namespace evenhead::io
