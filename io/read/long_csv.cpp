#include "io/read/long_csv.hpp"

#include <algorithm>

#include "io/read/case_reader.hpp"
#include "io/read/csv.hpp"

namespace evenhead::io {

std::optional<LongCsv> LongCsv::look_through(std::string_view text, int file, std::string_view table) {
    if (text.find('\n') == std::string_view::npos || text.starts_with("sep=")) return std::nullopt;
    LongCsv made;
    made.text_ = text;
    made.file_ = file;
    std::deque<std::string> kept;
    CsvLines lines(text, kept);
    CsvRecord record;
    const std::string_view first = lines.rest_of_line();
    if (first.find(',') == std::string_view::npos && first.find_first_of(";\t") != std::string_view::npos)
        return std::nullopt;
    if (!lines.next(record) || !made.right_header(record, table)) return std::nullopt;
    while (lines.next(record)) {
        if (++made.rows_ > most_csv_lines || !lines.broken.empty() || !made.right_row(record))
            return std::nullopt;
        kept.clear();
    }
    if (made.rows_ == 0 || !lines.broken.empty()) return std::nullopt;
    return made;
}

bool LongCsv::right_header(const CsvRecord& record, std::string_view table) {
    header_line_ = record.line;
    keys_ = record.cells;
    if (keys_.size() > most_csv_fields) return false;
    const TableReader* reader = find_table(table);
    keys_known_ = reader != nullptr;
    for (std::size_t field = 0; field < keys_.size(); ++field) {
        const std::string_view key = keys_[field], outer = key.substr(0, key.find('.'));
        const bool dotted = outer.size() < key.size();
        const auto heads = [&](std::string_view name) {
            return std::count(keys_.begin(), keys_.end(), name);
        };
        if (is_chart_column(table, key) || (!key.empty() && heads(key) > 1) || (dotted && heads(outer) > 0))
            return false;
        sizes_.push_back(is_size_column(key));
        dotted_ = dotted_ || dotted;
        keys_known_ = keys_known_ && reader != nullptr &&
                      std::find(reader->keys.begin(), reader->keys.end(), outer) != reader->keys.end();
    }
    return true;
}

bool LongCsv::right_row(const CsvRecord& record) {
    if (keys_.size() > 1 && record.cells.size() == 1 && record.cells[0].find(';') != std::string_view::npos)
        return false;
    for (std::size_t field = 0; field < record.cells.size(); ++field) {
        const std::string_view words = record.cells[field];
        if (words.empty()) continue;
        if (field >= keys_.size() || keys_[field].empty()) return false;
        if (!sizes_[field] || words == known_size_) continue;
        if (size_behind_date(words)) return false;
        if (words.data() >= text_.data() && words.data() < text_.data() + text_.size()) known_size_ = words;
    }
    return true;
}

LongCsv::Walk::Walk(const LongCsv& file) : file_(file), lines_(file.text_, kept_) {
    lines_.next(record_);  // the header
}

const Row* LongCsv::Walk::next() {
    kept_.clear();
    if (!lines_.next(record_)) return nullptr;
    row_.place = {file_.file_, record_.line, 1};
    row_.keys_known = file_.keys_known_;
    if (file_.dotted_) row_.cells.clear();  // the last row's are gathered, and no longer one for each field
    std::size_t filled = 0;
    for (std::size_t field = 0; field < record_.cells.size(); ++field) {
        if (record_.cells[field].empty()) continue;
        if (filled == row_.cells.size()) row_.cells.emplace_back().second.csv = true;
        auto& [key, cell] = row_.cells[filled++];
        key = file_.keys_[field];
        cell.text = record_.cells[field];
        cell.place = {file_.file_, record_.line, static_cast<int>(field) + 1};
    }
    row_.cells.resize(filled);
    if (file_.dotted_) gather_dotted_keys(row_);
    return &row_;
}

}  // namespace evenhead::io
