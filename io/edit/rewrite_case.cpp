#include "io/edit/rewrite_case.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <utility>

#include "io/edit/file_text.hpp"
#include "io/excerpt.hpp"
#include "io/read/rows.hpp"
#include "io/read/toml.hpp"
#include "io/write/output.hpp"

namespace evenhead::io {
namespace {

namespace fs = std::filesystem;

using Fields = std::vector<std::pair<std::string_view, Cell>>;

const Cell* find_field(const Fields& fields, std::string_view key) {
    const auto found =
        std::find_if(fields.begin(), fields.end(), [&](const auto& field) { return field.first == key; });
    return found == fields.end() ? nullptr : &found->second;
}

/// The cell of a key such as own_valve.cv, in the row or in a table of it.
const Cell* find_cell_of(const Fields& fields, std::string_view key) {
    if (const Cell* cell = find_field(fields, key)) return cell;
    const std::size_t dot = key.find('.');
    if (dot == std::string_view::npos) return nullptr;
    const Cell* outer = find_field(fields, key.substr(0, dot));
    return outer && outer->kind == Cell::Kind::table ? find_cell_of(outer->fields, key.substr(dot + 1))
                                                     : nullptr;
}

/// One file of the case: its text, and what shall stand there instead.
class Patch {
  public:
    Patch(const fs::path& path, int file, bool csv, const Document& names) {
        Document document;
        document.files = names.files;
        const auto read = read_source(path, file, {}, csv, document);
        if (!read) throw RewriteError(document.errors.front().text + ": " + document.errors.front().mend);
        const std::string& bytes = document.text.back();
        mark_ = bytes.substr(0, bytes.size() - read->size());
        text_ = *read;
        lines_.emplace(text_);
    }
    Patch(const Patch&) = delete;
    Patch& operator=(const Patch&) = delete;

    std::string_view text() const { return text_; }
    const Lines& lines() const { return *lines_; }
    bool changed() const { return !changes_.empty(); }

    void replace(Span span, std::string words) { changes_.push_back({span, std::move(words)}); }
    /// All changes made. Two at one place follow each other in the order they were asked for.
    std::string result() const {
        std::vector<std::pair<Span, std::string>> changes = changes_;
        std::stable_sort(changes.begin(), changes.end(),
                         [](const auto& a, const auto& b) { return a.first.begin < b.first.begin; });
        std::string whole = mark_;
        std::size_t done = 0;
        for (const auto& [span, words] : changes) {
            if (span.begin < done) throw std::logic_error("two edits of one cell");
            whole += std::string_view(text_).substr(done, span.begin - done);
            whole += words;
            done = span.end;
        }
        return whole + text_.substr(done);
    }

  private:
    std::string mark_;  // the byte order mark, where the file has one
    std::string text_;
    std::optional<Lines> lines_;
    std::vector<std::pair<Span, std::string>> changes_;
};

class Rewriter {
  public:
    Rewriter(const std::string& path, const std::string& target) : path_(path), target_(target) {
        document_ = read_document(path);
        if (!document_.errors.empty())
            throw RewriteError(fmt::format("{} has changed and can no longer be read: {}", io::quoted(path),
                                           document_.errors.front().text));
        for (std::size_t file = 0; file < document_.files.size(); ++file)
            if (same_file(target_, named(file)))
                throw RewriteError(fmt::format("{} is a file of the case itself: write to another name",
                                               io::quoted(target)));
        patches_.resize(document_.files.size());
    }

    RewrittenCase rewrite(const std::vector<CellEdit>& edits) {
        RewrittenCase result;
        for (const CellEdit& edit : edits)
            if (!apply(edit)) result.left_out.push_back(edit);
        for (const auto& [record, fields] : csv_records_) write_record(record, fields);
        result.files.resize(1);
        add_tables(result.files);
        result.files.front() = {target_.string(), patch(0).result()};
        return result;
    }

  private:
    using Record = std::pair<int, int>;  // file and line

    fs::path path_, target_;
    Document document_;
    std::vector<std::unique_ptr<Patch>> patches_;  // by file, made when first asked for
    std::map<Record, std::map<std::size_t, std::string>>
        csv_records_;                                      // by field from 0, as it is to be written
    std::map<int, std::vector<std::string>> new_columns_;  // by file

    static bool same_file(const fs::path& one, const fs::path& other) {
        std::error_code failed;
        return fs::weakly_canonical(one, failed) == fs::weakly_canonical(other, failed);
    }
    fs::path named(std::size_t file) const {
        return file == 0 ? path_ : path_.parent_path() / document_.files[file];
    }
    Patch& patch(int file) {
        auto& made = patches_[static_cast<std::size_t>(file)];
        if (!made)
            made = std::make_unique<Patch>(named(static_cast<std::size_t>(file)), file, file > 0, document_);
        return *made;
    }

    const Row* row_of(const CellEdit& edit) const {
        const Table* table = document_.find_table(edit.table);
        if (table == nullptr) return nullptr;
        const auto found = std::find_if(table->rows.begin(), table->rows.end(), [&](const Row& row) {
            return row.place.file == edit.row.file && row.place.line == edit.row.line &&
                   row.place.column == edit.row.column;
        });
        return found == table->rows.end() ? nullptr : &*found;
    }

    /// False where the edit has no place.
    bool apply(const CellEdit& edit) {
        if (edit.table.empty()) {
            const Cell* cell = find_cell_of(document_.top, edit.key);
            return cell != nullptr && put(*cell, edit);
        }
        const Row* row = row_of(edit);
        if (row == nullptr) return false;
        const Cell* instead = edit.instead_of.empty() ? nullptr : find_cell_of(row->cells, edit.instead_of);
        if (const Cell* cell = find_cell_of(row->cells, edit.key)) {
            if (instead != nullptr && row->place.file > 0) csv_field(instead->place, {});
            return put(*cell, edit);
        }
        if (edit.only_if_there) return false;
        if (row->place.file > 0) {
            if (instead != nullptr) csv_field(instead->place, {});
            csv_field({row->place.file, row->place.line, csv_column(row->place.file, edit.key)}, edit.value);
        } else if (instead != nullptr) {
            const Span value = toml_span(instead->place);
            patch(0).replace({toml_begin(instead->key_place()), value.end},
                             fmt::format("{} = {}", edit.key, toml_value(edit)));
        } else {
            insert(*row, edit);
        }
        return true;
    }

    using Place = model::Place;

    bool put(const Cell& whole, const CellEdit& edit) {
        const Cell* cell = &whole;
        if (edit.item >= 0 && (whole.kind == Cell::Kind::list || edit.item > 0)) {
            if (static_cast<std::size_t>(edit.item) >= whole.items.size()) return false;
            cell = &whole.items[static_cast<std::size_t>(edit.item)];
        }
        if (cell->place.file > 0)
            csv_field(cell->place, edit.value);
        else
            patch(0).replace(toml_span(cell->place), toml_value(edit));
        return true;
    }

    // ---- TOML

    static std::string toml_value(const CellEdit& edit) {
        return edit.bare ? edit.value : toml_text(edit.value);
    }
    std::size_t toml_begin(Place place) {
        return toml_offset(patch(0).text(), patch(0).lines(), place.line, place.column);
    }
    Span toml_span(Place place) {
        const std::size_t begin = toml_begin(place);
        return {begin, toml_value_end(patch(0).text(), begin)};
    }

    /// Gives a row a key that it does not have: behind its last one, or under its heading.
    void insert(const Row& row, const CellEdit& edit) {
        const std::string_view text = patch(0).text();
        const std::size_t dot = edit.key.find('.');
        const Cell* outer =
            dot == std::string::npos ? nullptr : find_field(row.cells, edit.key.substr(0, dot));
        if (outer && outer->kind == Cell::Kind::table && has_brackets(*outer))
            return insert_behind(outer->fields, edit.key.substr(dot + 1), edit);
        const std::size_t begin = toml_begin(row.place);
        if (text.substr(begin, 1) != "[") return insert_behind(row.cells, edit.key, edit);
        const std::size_t end = std::min(text.find('\n', begin), text.size());
        const std::size_t here = end > begin && text[end - 1] == '\r' ? end - 1 : end;
        patch(0).replace({here, here}, fmt::format("{}{} = {}", line_end(text), edit.key, toml_value(edit)));
    }
    void insert_behind(const Fields& fields, const std::string& key, const CellEdit& edit) {
        const std::size_t behind = end_of(fields);
        if (behind == 0) throw std::logic_error("a row without any key");
        patch(0).replace({behind, behind}, fmt::format(", {} = {}", key, toml_value(edit)));
    }
    /// False for a table that dotted keys have made: own_valve.cv = 5.
    bool has_brackets(const Cell& table) {
        return table.place.line > 0 && patch(0).text().substr(toml_begin(table.place), 1) == "{";
    }
    std::size_t end_of(const Fields& fields) {
        std::size_t behind = 0;
        for (const auto& [key, cell] : fields)
            behind = std::max(behind, cell.kind != Cell::Kind::table || has_brackets(cell)
                                          ? toml_span(cell.place).end
                                          : end_of(cell.fields));
        return behind;
    }

    // ---- CSV

    void csv_field(Place place, std::string words) {
        csv_records_[{place.file, place.line}][static_cast<std::size_t>(place.column - 1)] = std::move(words);
    }

    /// The field of a key, from 1; a key that heads none is given one behind the last.
    int csv_column(int file, const std::string& key) {
        const std::string_view text = patch(file).text();
        const int header = document_.header_lines[static_cast<std::size_t>(file)];
        const std::vector<Span> fields = csv_fields(text, patch(file).lines().begin(header));
        for (std::size_t i = 0; i < fields.size(); ++i) {
            std::string_view head = text.substr(fields[i].begin, fields[i].end - fields[i].begin);
            if (head.starts_with('"')) head = head.substr(1, head.size() - 2);
            if (head == key) return static_cast<int>(i) + 1;
        }
        std::vector<std::string>& added = new_columns_[file];
        auto found = std::find(added.begin(), added.end(), key);
        if (found == added.end()) {
            found = added.insert(added.end(), key);
            csv_field({file, header, static_cast<int>(fields.size() + added.size())}, key);
        }
        return static_cast<int>(fields.size()) + static_cast<int>(found - added.begin()) + 1;
    }

    void write_record(const Record& record, const std::map<std::size_t, std::string>& fields) {
        Patch& file = patch(record.first);
        const std::string_view text = file.text();
        const std::vector<Span> spans = csv_fields(text, file.lines().begin(record.second));
        std::size_t last = spans.size();
        for (const auto& [field, words] : fields) {
            if (field < spans.size()) {
                const Span span = spans[field];
                file.replace(span, csv_text(words, !words.empty() && text.substr(span.begin, 1) == "\"" &&
                                                       span.end > span.begin));
                continue;
            }
            const std::size_t end = spans.back().end;
            file.replace({end, end}, std::string(field - last + 1, ',') + csv_text(words, false));
            last = field + 1;
        }
    }

    // ---- files

    /// The tables that are written beside the new case, named there.
    void add_tables(std::vector<CaseFile>& files) {
        const auto folder = [](const fs::path& path) {
            return path.has_parent_path() ? path.parent_path() : fs::path(".");
        };
        const bool moved = !same_file(folder(path_), folder(target_));
        std::set<std::string> taken(document_.files.begin() + 1, document_.files.end());
        std::map<std::string, std::string, std::less<>> names;  // old, new
        for (std::size_t file = 1; file < document_.files.size(); ++file) {
            Patch& table = patch(static_cast<int>(file));
            if (!moved && !table.changed()) continue;
            std::string name =
                target_.stem().string() + "-" + fs::path(document_.files[file]).filename().string();
            while (!taken.insert(name).second) name = target_.stem().string() + "-" + name;
            names[document_.files[file]] = name;
            files.push_back({(target_.parent_path() / name).string(), table.result()});
        }
        if (names.empty()) return;
        Document scratch;
        const TomlReading reading = read_toml(patch(0).text(), 0, scratch);
        for (const auto& [key, cell] : reading.root.fields)
            if (is_row_table(key)) rename(cell, names);
    }

    void rename(const Cell& cell, const std::map<std::string, std::string, std::less<>>& names) {
        if (cell.kind == Cell::Kind::list) {
            for (const Cell& item : cell.items)
                if (item.kind == Cell::Kind::text) rename(item, names);
        } else if (cell.kind == Cell::Kind::text) {
            if (const auto found = names.find(cell.text); found != names.end())
                patch(0).replace(toml_span(cell.place), toml_text(found->second));
        }
    }
};

}  // namespace

RewrittenCase rewrite_case(const std::string& path, const std::string& target,
                           const std::vector<CellEdit>& edits) {
    return Rewriter(path, target).rewrite(edits);
}

void write_case(const std::vector<CaseFile>& files) {
    for (auto file = files.rbegin(); file != files.rend(); ++file) {
        Output output(file->path);
        output.write(file->text);
        output.finish();
    }
}

}  // namespace evenhead::io
