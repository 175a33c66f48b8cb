#include "io/write/row_sinks.hpp"

#include <array>
#include <cmath>

#include "io/units.hpp"

namespace evenhead::io {

void JsonRow::ids(std::string_view key, const std::vector<std::string>& values) {
    json_.key(key).begin_array();
    for (const std::string& value : values) json_.text(value);
    json_.end_array();
}

std::string csv_cell(std::string_view text) {
    std::string cell;
    if (!text.empty()) {
        const char first = text.front();
        const bool signed_call =
            (first == '+' || first == '-') && text.find_first_of("(|!") != std::string_view::npos;
        if (first == '=' || first == '@' || first == '\t' || first == '\r' || signed_call) cell += '\'';
    }
    cell += text;
    if (cell.find_first_of(",\"\r\n") == std::string::npos) return cell;
    std::string quoted = "\"";
    for (const char c : cell) {
        if (c == '"') quoted += '"';
        quoted += c;
    }
    return quoted + '"';
}

void CsvRow::cell(std::string_view value) {
    if (!empty_) line_ += ',';
    line_ += value;
    empty_ = false;
}

void CsvRow::number(std::string_view, double value) {
    std::array<char, 32> room;
    cell(std::isfinite(value) ? shortest(value, room) : std::string_view());
}

void CsvRow::ids(std::string_view, const std::vector<std::string>& values) {
    std::string list;
    for (const std::string& value : values) list += (list.empty() ? "" : " ") + value;
    cell(csv_cell(list));
}

void CsvRow::end() {
    output_.write(line_);
    output_.write("\n");
    line_.clear();
    empty_ = true;
}

}  // namespace evenhead::io
