#include "io/write/issues.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <utility>

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

bool is_inside_character(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

bool is_csv(const std::string& file) {
    std::string ending = std::filesystem::path(file).extension().string();
    for (char& c : ending) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    return ending == ".csv";
}

}  // namespace

/// A file and the place in it that was last asked for. Issues come in the order of the file, so that a file
/// of millions of lines, or of one line of millions of characters, is walked through once.
class SourceFile {
  public:
    SourceFile(const std::string& file, const std::string& case_path) : csv_(is_csv(file)) {
        std::ifstream stream(file, std::ios::binary);
        if (!stream) stream.open(std::filesystem::path(case_path).parent_path() / file, std::ios::binary);
        if (!stream) return;
        std::ostringstream whole;
        whole << stream.rdbuf();
        text_ = std::move(whole).str();
        if (text_.starts_with("\xEF\xBB\xBF")) text_.erase(0, 3);
        go_to(1, 0);
    }

    /// Line `line` (from 1) without its end; empty beyond the last.
    std::string_view line(int line) {
        if (line < line_) go_to(1, 0);
        while (line_ < line && end_ < text_.size()) go_to(line_ + 1, end_ + 1);
        if (line_ < line) return {};
        std::string_view words = std::string_view(text_).substr(begin_, end_ - begin_);
        if (words.ends_with('\r')) words.remove_suffix(1);
        return words;
    }

    /// Bytes of this line before the place: the column counts characters in TOML and fields in CSV.
    std::size_t offset(int line_number, int column) {
        const std::string_view words = line(line_number);
        if (column < column_) {
            column_ = 1;
            offset_ = 0;
            quoted_ = false;
        }
        for (; column_ < column && offset_ < words.size(); ++offset_) {
            const char c = words[offset_];
            if (csv_) {
                if (c == '"') quoted_ = !quoted_;
                if (c == ',' && !quoted_) ++column_;
            } else if (offset_ + 1 == words.size() || !is_inside_character(words[offset_ + 1])) {
                ++column_;
            }
        }
        return offset_;
    }

  private:
    bool csv_;
    std::string text_;
    int line_ = 1;
    std::size_t begin_ = 0, end_ = 0;  // of that line
    int column_ = 1;
    std::size_t offset_ = 0;  // of that column
    bool quoted_ = false;     // there

    void go_to(int line, std::size_t begin) {
        line_ = line;
        begin_ = begin;
        end_ = std::min(text_.find('\n', begin), text_.size());
        column_ = 1;
        offset_ = 0;
        quoted_ = false;
    }
};

IssuePrinter::IssuePrinter(const std::vector<std::string>& files, std::string case_path)
    : files_(files), case_path_(std::move(case_path)) {}
IssuePrinter::~IssuePrinter() = default;

std::string IssuePrinter::source_lines(const model::Issue& issue, const std::string& file) {
    if (issue.place.line <= 0) return "";
    std::unique_ptr<SourceFile>& source = sources_[file];
    if (!source) source = std::make_unique<SourceFile>(file, case_path_);
    const std::string_view whole = source->line(issue.place.line);
    if (whole.empty()) return "";
    std::size_t offset = issue.place.column > 0 ? source->offset(issue.place.line, issue.place.column) : 0;
    std::size_t first = 0, end = whole.size();
    if (whole.size() > longest_line) {
        first = offset > longest_line / 2 ? offset - longest_line / 2 : 0;
        while (first > 0 && is_inside_character(whole[first])) --first;
        end = std::min(whole.size(), first + longest_line);
        while (end < whole.size() && is_inside_character(whole[end])) ++end;
        offset -= first;
    }
    std::string line(whole.substr(first, end - first));
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
    std::string text = fmt::format("{}: {}: ", issue_place(issue, files_, case_path_), kind);
    if (!issue.row.empty()) text += issue.row + ": ";
    text = printable(text + with_dot(issue.text)) + "\n";
    if (!issue.mend.empty()) text += "  " + printable(with_dot(issue.mend)) + "\n";
    if (const std::string* file = file_of(issue, files_)) text += source_lines(issue, *file);
    return text;
}

const std::string& issue_file(const model::Issue& issue, const std::vector<std::string>& files,
                              const std::string& case_path) {
    const std::string* file = file_of(issue, files);
    return file != nullptr ? *file : case_path;
}

std::string issue_place(const model::Issue& issue, const std::vector<std::string>& files,
                        const std::string& case_path) {
    std::string text = issue_file(issue, files, case_path);
    if (issue.place.line > 0) text += fmt::format(":{}", issue.place.line);
    if (issue.place.line > 0 && issue.place.column > 0) text += fmt::format(":{}", issue.place.column);
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
    return printable(text);
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
