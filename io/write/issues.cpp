#include "io/write/issues.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <fstream>

#include "io/write/layout.hpp"
#include "io/write/sentences.hpp"

namespace evenhead::io {
namespace {

// A line longer than this is shown around the place only.
constexpr std::size_t longest_line = 100;

const std::string* file_of(const model::Issue& issue, const std::vector<std::string>& files) {
    const auto file = static_cast<std::size_t>(issue.place.file);
    return issue.place.file >= 0 && file < files.size() ? &files[file] : nullptr;
}

std::vector<std::string> read_lines(const std::string& file, const std::string& case_path) {
    std::ifstream stream(file, std::ios::binary);
    if (!stream) stream.open(std::filesystem::path(case_path).parent_path() / file, std::ios::binary);
    std::vector<std::string> lines;
    for (std::string line; std::getline(stream, line);) {
        if (lines.empty() && line.starts_with("\xEF\xBB\xBF")) line.erase(0, 3);
        if (!line.empty() && line.back() == '\r') line.pop_back();
        lines.push_back(std::move(line));
    }
    return lines;
}

/// Bytes before the place: the column counts characters in TOML and fields in CSV.
std::size_t offset_of(const std::string& line, int column, bool csv) {
    std::size_t offset = 0;
    bool quoted = false;
    for (int passed = 1; passed < column && offset < line.size(); ++offset) {
        const char c = line[offset];
        if (!csv) {
            const bool last_byte =
                offset + 1 == line.size() || (static_cast<unsigned char>(line[offset + 1]) & 0xC0U) != 0x80U;
            if (last_byte) ++passed;
            continue;
        }
        if (c == '"') quoted = !quoted;
        if (c == ',' && !quoted) ++passed;
    }
    return offset;
}

bool is_csv(const std::string& file) {
    std::string ending = std::filesystem::path(file).extension().string();
    for (char& c : ending) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    return ending == ".csv";
}

}  // namespace

std::string IssuePrinter::source_lines(const model::Issue& issue, const std::string& file) {
    const auto [place, fresh] = lines_.try_emplace(file);
    if (fresh) place->second = read_lines(file, case_path_);
    const auto index = static_cast<std::size_t>(issue.place.line) - 1;
    if (issue.place.line <= 0 || index >= place->second.size()) return "";
    std::string line = place->second[index];
    if (line.empty()) return "";
    std::size_t offset = issue.place.column > 0 ? offset_of(line, issue.place.column, is_csv(file)) : 0;
    if (line.size() > longest_line) {
        const auto is_inside = [&](std::size_t i) {
            return (static_cast<unsigned char>(line[i]) & 0xC0U) == 0x80U;
        };
        std::size_t first = offset > longest_line / 2 ? offset - longest_line / 2 : 0;
        while (first > 0 && is_inside(first)) --first;
        std::size_t end = std::min(line.size(), first + longest_line);
        while (end < line.size() && is_inside(end)) ++end;
        line = line.substr(first, end - first);
        offset -= first;
    }
    // Tabs are shown as one blank, so that the mark stands under its place.
    for (char& c : line)
        if (c == '\t') c = ' ';
    const std::string number = std::to_string(issue.place.line);
    std::string text = fmt::format("  {} | {}\n", number, printable(line));
    if (issue.place.column > 0) {
        const int before = display_width(printable(std::string_view(line).substr(0, offset)));
        text += fmt::format("  {} | {}^\n", std::string(number.size(), ' '),
                            std::string(static_cast<std::size_t>(before), ' '));
    }
    return text;
}

std::string IssuePrinter::text(const model::Issue& issue, std::string_view kind) {
    const std::string* file = file_of(issue, files_);
    std::string text = file != nullptr ? *file : case_path_;
    if (issue.place.line > 0) text += fmt::format(":{}", issue.place.line);
    if (issue.place.line > 0 && issue.place.column > 0) text += fmt::format(":{}", issue.place.column);
    text += fmt::format(": {}: ", kind);
    if (!issue.row.empty()) text += issue.row + ": ";
    text = printable(text + with_dot(issue.text)) + "\n";
    if (!issue.mend.empty()) text += "  " + printable(with_dot(issue.mend)) + "\n";
    if (file != nullptr) text += source_lines(issue, *file);
    return text;
}

std::string issue_sentence(const model::Issue& issue, const std::vector<std::string>& files) {
    std::string text;
    if (const std::string* file = file_of(issue, files); file != nullptr && issue.place.line > 0)
        text = fmt::format("{} line {}", std::filesystem::path(*file).filename().string(), issue.place.line);
    if (!issue.row.empty()) text += (text.empty() ? "" : ", ") + issue.row;
    if (!text.empty()) text += ": ";
    text += with_dot(issue.text);
    if (!issue.mend.empty()) text += " " + with_dot(sentence_case(issue.mend));
    return text;
}

std::string printable_lines(std::string_view text) {
    std::string result;
    while (!text.empty()) {
        const std::size_t end = text.find('\n');
        result += printable(text.substr(0, end));
        if (end == std::string_view::npos) break;
        result += '\n';
        text.remove_prefix(end + 1);
    }
    return result;
}

}  // namespace evenhead::io
