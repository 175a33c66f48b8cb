#include "io/write/sized_case.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <optional>
#include <tuple>

#include "io/read/rows.hpp"
#include "io/write/text_edits.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Index;
using model::Issue;
using model::Place;

std::string words_of(const WrittenSize& size) {
    return fmt::format("{} {}", size.kind, size.nominal);
}

/// One file of the case as bytes, with what is to change in it.
struct SourceFile {
    std::string name, before, text;  ///< `before`: a byte order mark, kept
    std::optional<Lines> lines;
    TextEdits edits;
};

/// Pipes one behind the other that get the same size.
struct Group {
    std::size_t first = 0, count = 0;
    std::string size;
};

std::vector<Group> groups_of(const std::vector<std::string>& sizes) {
    std::vector<Group> groups;
    for (std::size_t i = 0; i < sizes.size(); ++i) {
        if (groups.empty() || groups.back().size != sizes[i]) groups.push_back({i, 0, sizes[i]});
        ++groups.back().count;
    }
    return groups;
}

class CaseSizer {
  public:
    CaseSizer(const std::string& path, const model::System& system, const std::vector<WrittenSize>& sizes,
              const std::string& prefix)
        : path_(path),
          system_(system),
          prefix_(prefix),
          document_(read_document(path)),
          size_of_(system.pipes.size()) {
        for (const WrittenSize& size : sizes) size_of_[at(size.pipe)] = words_of(size);
    }

    SizedCase size() {
        load();
        std::map<std::tuple<int, int, int>, std::vector<Index>> pipes_of;
        for (std::size_t pipe = 0; pipe < system_.pipes.size(); ++pipe) {
            const Place& place = system_.pipes[pipe].place;
            pipes_of[{place.file, place.line, place.column}].push_back(static_cast<Index>(pipe));
        }
        for (const Table& table : document_.tables) {
            if (table.name != "pipes" && table.name != "laterals") continue;
            table.visit([&](const Row& row) {
                const auto found = pipes_of.find({row.place.file, row.place.line, row.place.column});
                if (found != pipes_of.end()) edit_row(table, row, found->second);
                return true;
            });
        }
        return finish();
    }

  private:
    void load() {
        const std::filesystem::path folder = std::filesystem::path(path_).parent_path();
        for (std::size_t i = 0; i < document_.files.size(); ++i) {
            SourceFile file;
            file.name = document_.files[i];
            std::ifstream in(i == 0 ? std::filesystem::path(path_) : folder / file.name, std::ios::binary);
            file.text.assign(std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>());
            if (file.text.starts_with("\xEF\xBB\xBF")) {
                file.before = file.text.substr(0, 3);
                file.text.erase(0, 3);
            }
            files_.push_back(std::move(file));
        }
        for (SourceFile& file : files_) file.lines.emplace(file.text);
    }

    SourceFile& file_at(const Place& place) { return files_[at(place.file)]; }
    std::size_t offset(const Place& place) {
        SourceFile& file = file_at(place);
        return offset_of(file.text, *file.lines, place.line, place.column);
    }

    void refuse(const Row& row, const std::vector<Index>& pipes, std::string text, std::string mend) {
        errors_.push_back({row.place, system_.pipe_id(pipes.front()), std::move(text), std::move(mend)});
    }

    /// The sizes of a row's pipes, whether chosen or as they were.
    std::vector<std::string> sizes_of(const std::vector<Index>& pipes) const {
        std::vector<std::string> sizes;
        for (const Index pipe : pipes) {
            const model::PipeSize& as_read = *system_.pipes[at(pipe)].size;
            sizes.push_back(size_of_[at(pipe)].empty() ? fmt::format("{} {}", as_read.kind, as_read.nominal)
                                                       : size_of_[at(pipe)]);
        }
        return sizes;
    }

    void edit_row(const Table& table, const Row& row, const std::vector<Index>& pipes) {
        const bool chosen =
            std::any_of(pipes.begin(), pipes.end(), [&](Index pipe) { return !size_of_[at(pipe)].empty(); });
        if (!chosen) return;
        const std::vector<std::string> sizes = sizes_of(pipes);
        const std::vector<Group> groups = groups_of(sizes);
        const bool csv = !row.cells.empty() && row.cells.front().second.csv;
        if (csv)
            table.name == "laterals" ? edit_csv_lateral(row, pipes, groups)
                                     : edit_csv_pipes(row, pipes, groups);
        else
            table.name == "laterals" ? edit_toml_lateral(row, groups) : edit_toml_pipes(row, groups);
    }

    // ---- TOML ----

    /// A key with its value: from the key on.
    std::pair<std::size_t, std::size_t> entry(const Cell& cell) {
        return {offset(cell.key_place()), toml_value_end(file_at(cell.place).text, offset(cell.place))};
    }

    /// Sets `key = value` in an edit list of its own: in place of the cells named in `instead`, else as one
    /// more key of the row.
    void set_key(const Row& row, std::initializer_list<std::string_view> instead, const std::string& key,
                 const std::string& value, TextEdits& edits) {
        SourceFile& file = file_at(row.place);
        for (const std::string_view name : instead) {
            const Cell* cell = row.find(name);
            if (cell == nullptr) continue;
            auto [begin, end] = entry(*cell);
            if (name == key) begin = offset(cell->place);
            edits.replace(begin, end, name == key ? value : key + " = " + value);
            return;
        }
        const std::size_t begin = offset(row.place);
        if (file.text[begin] == '{') {
            std::size_t end = begin + 1;
            for (const auto& [name, cell] : row.cells) end = std::max(end, entry(cell).second);
            edits.replace(end, end, fmt::format(", {} = {}", key, value));
        } else {  // [[pipes]]: a line of its own below the heading
            const std::size_t end = std::min(file.text.find('\n', begin), file.text.size());
            edits.replace(end, end, fmt::format("\n{} = {}", key, value));
        }
    }

    void edit_toml_pipes(const Row& row, const std::vector<Group>& groups) {
        SourceFile& file = file_at(row.place);
        if (groups.size() == 1)
            return set_key(row, {"size"}, "size", toml_string(groups[0].size), file.edits);
        // A copy of the row for each group of its stretches.
        const std::size_t begin = offset(row.place);
        const bool inline_row = file.text[begin] == '{';
        std::size_t end = begin;
        for (const auto& [name, cell] : row.cells) end = std::max(end, entry(cell).second);
        if (inline_row) end = toml_value_end(file.text, begin);
        std::string rows;
        const std::size_t line = file.text.rfind('\n', begin) + 1;  // 0 where there is none before
        std::string indent = file.text.substr(line, begin - line);
        if (indent.find_first_not_of(" \t") != std::string::npos) indent = "  ";
        for (const Group& group : groups) {
            TextEdits edits;
            set_key(row, {"size"}, "size", toml_string(group.size), edits);
            const Cell& along = *row.find("along");
            edits.replace(offset(along.place), entry(along).second, along_part(along, group));
            if (!rows.empty()) rows += inline_row ? ",\n" + indent : "\n\n" + indent;
            rows += edits.apply(file.text, begin, end);
        }
        file.edits.replace(begin, end, rows);
    }

    /// The stretches of a group: points and lengths in turn.
    std::string along_part(const Cell& along, const Group& group) {
        const std::vector<std::string> words = along_words(along);
        const std::size_t first = 2 * group.first, last = first + 2 * group.count;
        std::string made;
        const bool list = along.kind == Cell::Kind::list;
        for (std::size_t i = first; i <= last && i < words.size(); ++i) {
            if (!made.empty()) made += list ? ", " : " ";
            made += words[i];
        }
        if (list) return "[" + made + "]";
        return along.csv ? quoted_field(made) : toml_string(made);
    }
    std::vector<std::string> along_words(const Cell& along) {
        std::vector<std::string> words;
        if (along.kind == Cell::Kind::list) {
            for (const Cell& item : along.items) {
                const std::size_t begin = offset(item.place);
                const std::string& text = file_at(item.place).text;
                words.push_back(text.substr(begin, toml_value_end(text, begin) - begin));
            }
            return words;
        }
        std::string word;
        for (const char c : along.text) {
            const bool blank = c == ' ' || c == '\t' || c == '\n' || c == '\r';
            if (!blank) {
                word += c;
            } else if (!word.empty()) {
                words.push_back(std::exchange(word, {}));
            }
        }
        if (!word.empty()) words.push_back(word);
        return words;
    }

    void edit_toml_lateral(const Row& row, const std::vector<Group>& groups) {
        SourceFile& file = file_at(row.place);
        if (groups.size() == 1 && row.find("sizes") == nullptr)
            return set_key(row, {"size"}, "size", toml_string(groups[0].size), file.edits);
        std::string sizes;
        for (const Group& group : groups)
            sizes +=
                fmt::format("{}[{}, {}]", sizes.empty() ? "" : ", ", group.count, toml_string(group.size));
        set_key(row, {"sizes", "size"}, "sizes", "[" + sizes + "]", file.edits);
    }

    // ---- CSV ----

    /// Position of a column of the row's file, if it has that column.
    std::optional<std::size_t> column(const Row& row, std::string_view key) {
        SourceFile& file = file_at(row.place);
        const std::size_t header = at(row.place.file) < document_.header_lines.size()
                                       ? at(document_.header_lines[at(row.place.file)])
                                       : 1;
        const auto fields = csv_fields(file.text, file.lines->begin(static_cast<int>(header)));
        for (std::size_t i = 0; i < fields.size(); ++i) {
            std::string name = file.text.substr(fields[i].begin, fields[i].end - fields[i].begin);
            std::erase_if(name, [](char c) { return c == '"' || c == ' ' || c == '\t'; });
            if (name == key) return i;
        }
        return std::nullopt;
    }
    void set_field(const std::vector<CsvField>& fields, std::size_t column, const std::string& value,
                   TextEdits& edits) {
        if (column < fields.size()) {
            edits.replace(fields[column].begin, fields[column].end, value);
        } else {  // a short line: the cells that it leaves out come first
            const std::size_t end = fields.back().end;
            edits.replace(end, end, std::string(column + 1 - fields.size(), ',') + value);
        }
    }

    void edit_csv_pipes(const Row& row, const std::vector<Index>& pipes, const std::vector<Group>& groups) {
        SourceFile& file = file_at(row.place);
        const auto size = column(row, "size");
        if (!size)
            return refuse(row, pipes, "its file has no column for the size that it gets",
                          "add a column size to the first line (its cells may stay empty)");
        const auto fields = csv_fields(file.text, file.lines->begin(row.place.line));
        const std::size_t begin = fields.front().begin, end = fields.back().end;
        const std::string line_end = file.text.find("\r\n") == std::string::npos ? "\n" : "\r\n";
        std::string rows;
        for (const Group& group : groups) {
            TextEdits edits;
            set_field(fields, *size, quoted_field(group.size), edits);
            if (groups.size() > 1)
                set_field(fields, *column(row, "along"), along_part(*row.find("along"), group), edits);
            if (!rows.empty()) rows += line_end;
            rows += edits.apply(file.text, begin, end);
        }
        file.edits.replace(begin, end, rows);
    }

    void edit_csv_lateral(const Row& row, const std::vector<Index>& pipes, const std::vector<Group>& groups) {
        SourceFile& file = file_at(row.place);
        const auto size = column(row, "size"), sizes = column(row, "sizes");
        const auto fields = csv_fields(file.text, file.lines->begin(row.place.line));
        if (groups.size() == 1 && size && row.find("sizes") == nullptr)
            return set_field(fields, *size, quoted_field(groups[0].size), file.edits);
        if (!sizes)
            return refuse(row, pipes, "its pipes get several sizes, and its file has no column for them",
                          "add a column sizes to the first line (its cells may stay empty)");
        std::string words;
        for (const Group& group : groups)
            words += fmt::format("{}{} {}", words.empty() ? "" : "; ", group.count, group.size);
        set_field(fields, *sizes, quoted_field(words), file.edits);
        if (size && row.find("size") != nullptr) set_field(fields, *size, "", file.edits);
    }

    // ---- the files ----

    SizedCase finish() {
        SizedCase made;
        made.errors = std::move(errors_);
        if (!made.errors.empty()) return made;
        std::vector<std::string> names;
        for (std::size_t i = 0; i < files_.size(); ++i) {
            names.push_back(files_[i].name);
            if (i == 0 || files_[i].edits.empty()) continue;
            const std::filesystem::path name(files_[i].name);
            names.back() = (name.parent_path() / (prefix_ + name.filename().string())).generic_string();
        }
        for (const Table& table : document_.tables) rename_files(table, names);
        for (std::size_t i = 0; i < files_.size(); ++i)
            made.files.push_back({i, names[i], files_[i].before + files_[i].edits.apply(files_[i].text),
                                  !files_[i].edits.empty()});
        return made;
    }

    /// Where a table names CSV files that changed, it names the new ones.
    void rename_files(const Table& table, const std::vector<std::string>& names) {
        if (table.place.file != 0 || table.place.line < 1) return;
        SourceFile& file = files_.front();
        const std::size_t begin = offset(table.place);
        if (begin >= file.text.size() || file.text.substr(begin, 2) == "[[") return;
        const std::size_t end = toml_value_end(file.text, begin);
        for (std::size_t i = 1; i < files_.size(); ++i) {
            if (names[i] == files_[i].name) continue;
            for (const char quote : {'"', '\''}) {
                const std::string written = quote + files_[i].name + quote;
                const std::size_t found = file.text.find(written, begin);
                if (found == std::string::npos || found + written.size() > end) continue;
                file.edits.replace(found, found + written.size(), toml_string(names[i]));
                break;
            }
        }
    }

    std::string path_;
    const model::System& system_;
    std::string prefix_;
    Document document_;
    std::vector<std::string> size_of_;  // by pipe: "kind size"; empty: as it was
    std::vector<SourceFile> files_;
    std::vector<Issue> errors_;
};

}  // namespace

SizedCase write_sizes(const std::string& path, const model::System& system,
                      const std::vector<WrittenSize>& sizes, const std::string& prefix) {
    return CaseSizer(path, system, sizes, prefix).size();
}

}  // namespace evenhead::io
