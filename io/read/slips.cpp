#include "io/read/slips.hpp"

#include <algorithm>

#include "io/excerpt.hpp"
#include "io/read/rows.hpp"
#include "io/read/slip_scanner.hpp"

namespace evenhead::io {

model::Place Slips::place(std::size_t offset) const {
    const int line = lines.line_of(offset);
    const std::string_view words = lines.text(line);
    return {file, line, 1 + count_characters(words.substr(0, offset - lines.begin(line)))};
}

std::string Slips::row(model::Place place) const {
    const std::string_view line = lines.text(place.line);
    std::string line_as_name = excerpt(trimmed(line));
    const std::size_t end = std::min(line.size(), static_cast<std::size_t>(place.column - 1));  // near enough
    const std::size_t open = line.substr(0, end).rfind('{');
    if (open == std::string_view::npos) return line_as_name;
    std::string_view rest = trimmed(line.substr(open + 1, end - open - 1));
    if (!rest.starts_with("id")) return line_as_name;
    rest = trimmed(rest.substr(2));
    if (!rest.starts_with('=')) return line_as_name;
    rest = trimmed(rest.substr(1));
    const std::size_t close = rest.empty() ? std::string_view::npos : rest.find(rest.front(), 1);
    if (close == std::string_view::npos || (rest.front() != '"' && rest.front() != '\'')) return line_as_name;
    return excerpt(rest.substr(1, close - 1));
}

bool Slips::told(int line) const {
    return std::any_of(issues.rbegin(), issues.rend(),
                       [&](const model::Issue& issue) { return issue.place.line == line; });
}

bool Slips::blank_line(int line) {
    const auto at = static_cast<std::size_t>(line - 1);
    if (at < depth.size() && depth[at] == 1 && trimmed(lines.text(line)).starts_with('[')) {
        blank_section(line);
        return true;
    }
    if (at >= depth.size() || depth[at] == inside_text || lines.text(line).empty()) return false;
    const bool last = at + 1 == depth.size();
    if (last ? depth[at] != 1 : depth[at + 1] != depth[at]) return false;
    mending.remove(lines.begin(line), lines.begin(line) + lines.text(line).size());
    complete = false;
    return true;
}

void Slips::blank_section(int line) {
    const auto begins_another = [&](int next) {
        const auto at = static_cast<std::size_t>(next - 1);
        if (at >= depth.size() || depth[at] != 1) return false;
        const std::string_view words = trimmed(lines.text(next));
        if (words.starts_with('[')) return true;
        const std::size_t equals = std::min(words.find('='), words.size());
        return equals < words.size() && is_row_table(trimmed(words.substr(0, equals)));
    };
    int next = line + 1;
    while (next <= lines.count() && !begins_another(next)) ++next;
    const int last = next - 1;
    mending.remove(lines.begin(line), lines.begin(last) + lines.text(last).size());
    complete = false;
}

Slips find_slips(std::string_view text, int file) {
    Slips slips(text, file);
    scanning::Scanner(text, slips).run();
    return slips;
}

}  // namespace evenhead::io
