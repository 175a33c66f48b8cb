#include "io/read/csv_lines.hpp"

#include <algorithm>

#include "io/excerpt.hpp"

namespace evenhead::io {

namespace {

constexpr std::size_t longest_cell = std::size_t{1}
                                     << 16;  // bytes; a longer one is a quote that nobody closed

std::string_view without_blanks(std::string_view cell) {
    if (!cell.empty() && cell.back() == '\r') cell.remove_suffix(1);
    return trimmed(cell);
}

}  // namespace

std::size_t CsvLines::line_end(std::size_t from) const {
    return std::min(text_.find('\n', from), text_.size());
}

void CsvLines::skip_line() {
    at_ = line_end(at_) + 1;
    ++line_;
}

std::string_view CsvLines::rest_of_line() const {
    const std::size_t begin = std::min(at_, text_.size());
    return text_.substr(begin, line_end(at_) - begin);
}

std::size_t CsvLines::count_ahead() const {
    if (at_ >= text_.size()) return 0;
    const auto begin = text_.begin() + static_cast<std::ptrdiff_t>(at_);
    return static_cast<std::size_t>(std::count(begin, text_.end(), '\n')) + 1;
}

bool CsvLines::next(CsvRecord& record) {
    while (at_ < text_.size()) {
        record.line = line_;
        record.cells.clear();
        bool filled = false;
        while (true) {
            const std::string_view words = cell(record);
            filled = filled || !words.empty();
            record.cells.push_back(words);
            if (at_ >= text_.size() || text_[at_] != separator_) break;
            ++at_;
        }
        ++at_;  // the line's end
        ++line_;
        if (filled) return true;
    }
    return false;
}

/// Reads a cell and stops at the separator or line end behind it.
std::string_view CsvLines::cell(const CsvRecord& record) {
    while (here() == ' ' || (here() == '\t' && separator_ != '\t')) ++at_;
    if (here() == '"') return quoted_cell(record);
    const char separator = separator_;
    const auto begin = text_.begin() + static_cast<std::ptrdiff_t>(std::min(at_, text_.size()));
    const auto end = std::find_if(begin, text_.end(), [&](char c) { return c == separator || c == '\n'; });
    at_ = static_cast<std::size_t>(end - text_.begin());
    return without_blanks({begin, end});
}

std::string_view CsvLines::quoted_cell(const CsvRecord& record) {
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
    std::string& words = kept_.emplace_back();
    for (std::size_t i = 0; i < inside.size(); ++i) {
        words += inside[i];
        if (inside[i] == '"') ++i;
    }
    return trimmed(words);
}

std::string_view CsvLines::broken_quote(const CsvRecord& record, std::size_t begin, int first_line) {
    at_ = line_end(begin);
    const std::string_view rest = without_blanks(text_.substr(begin, at_ - begin));
    broken.push_back({first_line, static_cast<int>(record.cells.size()) + 1, rest});
    return rest;
}

}  // namespace evenhead::io
