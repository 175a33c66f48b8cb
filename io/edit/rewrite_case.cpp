#include "io/edit/rewrite_case.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <memory>
#include <set>
#include <tuple>
#include <utility>

#include "io/edit/file_text.hpp"
#include "io/edit/patch.hpp"
#include "io/excerpt.hpp"
#include "io/read/rows.hpp"
#include "io/read/toml.hpp"
#include "io/write/output.hpp"
#include "model/rule_sets.hpp"

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

class Rewriter {
  public:
    Rewriter(const std::string& path, const std::string& target, const CaseStamp* stamp)
        : path_(path), target_(target) {
        document_ = read_document(path);
        if (!document_.errors.empty())
            throw RewriteError(fmt::format("{} has changed and can no longer be read: {}", io::quoted(path),
                                           document_.errors.front().text));
        if (const fs::path changed = stamp != nullptr ? stamp->changed() : fs::path(); !changed.empty())
            throw RewriteError(fmt::format("{} has changed since it was read: run the same again",
                                           io::quoted(changed.string())));
        // In a case without errors what is not the name of a set is that of a file.
        const Cell* use = find_cell_of(document_.top, "limits.use");
        if (use != nullptr && use->kind == Cell::Kind::text && model::find_rule_set(use->text) == nullptr) {
            rule_set_ = use;
            document_.files.emplace_back(use->text);
        }
        if (is_of_case(target_))
            throw RewriteError(
                fmt::format("{} is a file of the case itself: write to another name", io::quoted(target)));
        patches_.resize(document_.files.size());
    }

    const Document& document() const { return document_; }

    RewrittenCase rewrite(const CaseEdits& edits) {
        for (const CellEdit& edit : edits.cells) make(edit);
        for (const RowParts& row : edits.parts) part(row);
        for (const auto& [record, fields] : csv_records_) write_record(record, fields);
        result_.files.resize(1);
        add_tables(result_.files);
        result_.files.front() = {target_.string(), patch(0).result()};
        return std::move(result_);
    }

  private:
    using Place = model::Place;
    using Record = std::pair<int, int>;  // file and line

    fs::path path_, target_;
    Document document_;
    RewrittenCase result_;
    const Cell* rule_set_ = nullptr;               // names a file of one, the last of the document's
    std::vector<std::unique_ptr<Patch>> patches_;  // by file, made when first asked for
    std::map<std::tuple<std::string_view, int, int, int>, const Row*> rows_;  // by table and place, if asked
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
    bool is_csv(std::size_t file) const {
        return file > 0 && (rule_set_ == nullptr || file + 1 < document_.files.size());
    }
    Patch& patch(int file) {
        const auto at = static_cast<std::size_t>(file);
        if (!patches_[at]) patches_[at] = std::make_unique<Patch>(named(at), file, is_csv(at), document_);
        return *patches_[at];
    }

    const Row* row_of(std::string_view table, const Place& place) {
        if (rows_.empty())
            for (const Table& of : document_.tables)
                for (const Row& row : of.rows)
                    rows_[{of.name, row.place.file, row.place.line, row.place.column}] = &row;
        const auto found = rows_.find({table, place.file, place.line, place.column});
        return found == rows_.end() ? nullptr : found->second;
    }

    void make(const CellEdit& edit) {
        if (!apply(edit)) result_.left_out.push_back(edit);
    }
    /// False where the edit has no place.
    bool apply(const CellEdit& edit) {
        if (edit.table.empty()) {
            const Cell* cell = find_cell_of(document_.top, edit.key);
            return cell != nullptr && put(*cell, edit);
        }
        const Row* row = row_of(edit.table, edit.row);
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

    /// Copies of a row, one for each part.
    void part(const RowParts& of) {
        const Row* row = row_of(of.table, of.row);
        if (row == nullptr) {
            for (const auto& edits : of.parts)
                result_.left_out.insert(result_.left_out.end(), edits.begin(), edits.end());
            return;
        }
        Patch& file = patch(row->place.file);
        const bool csv = row->place.file > 0;
        const Record record{row->place.file, row->place.line};
        const Span whole = csv ? csv_span(record) : toml_row(*row);
        std::string rows;
        for (const auto& edits : of.parts) {
            const std::size_t before = file.count();
            for (const CellEdit& edit : edits) make(edit);
            if (const auto fields = csv_records_.extract(record)) write_record(record, fields.mapped());
            if (!rows.empty()) rows += csv ? std::string(line_end(file.text())) : toml_between(whole);
            rows += file.take(whole, before);
        }
        file.replace(whole, rows);
    }

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

    /// A row from its bracket, or its heading, to its end.
    Span toml_row(const Row& row) {
        const std::size_t begin = toml_begin(row.place);
        return {begin, patch(0).text().substr(begin, 1) == "[" ? end_of(row.cells)
                                                               : toml_value_end(patch(0).text(), begin)};
    }
    /// What stands between a row and its copy: the row's own indent on a new line.
    std::string toml_between(Span row) {
        const std::string_view text = patch(0).text();
        const std::size_t line = text.rfind('\n', row.begin) + 1;  // 0 where there is none before
        std::string indent(text.substr(line, row.begin - line));
        if (indent.find_first_not_of(" \t") != std::string::npos) indent = "  ";
        const std::string end(line_end(text));
        return (text.substr(row.begin, 1) == "[" ? end + end : "," + end) + indent;
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

    Span csv_span(const Record& record) {
        const Patch& file = patch(record.first);
        const std::vector<Span> fields = csv_fields(file.text(), file.lines().begin(record.second));
        return {fields.front().begin, fields.back().end};
    }
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

    /// The tables, and the file of a rule set, that are written beside the new case, named there.
    void add_tables(std::vector<CaseFile>& files) {
        const auto folder = [](const fs::path& path) {
            return path.has_parent_path() ? path.parent_path() : fs::path(".");
        };
        const bool moved = !same_file(folder(path_), folder(target_));
        std::set<std::string> taken(document_.files.begin() + 1, document_.files.end());
        std::map<std::string, std::string, std::less<>> names;  // old, new
        for (std::size_t file = 1; file < document_.files.size(); ++file) {
            if (!moved && (!patches_[file] || !patches_[file]->changed())) continue;
            std::string name =
                target_.stem().string() + "-" + fs::path(document_.files[file]).filename().string();
            while (!taken.insert(name).second || is_of_case(target_.parent_path() / name))
                name = target_.stem().string() + "-" + name;
            names[document_.files[file]] = name;
            files.push_back(
                {(target_.parent_path() / name).string(), patch(static_cast<int>(file)).result()});
        }
        if (names.empty()) return;
        Document scratch;
        const TomlReading reading = read_toml(patch(0).text(), 0, scratch);
        for (const auto& [key, cell] : reading.root.fields)
            if (is_row_table(key)) rename(cell, names);
        if (rule_set_ != nullptr) rename(*rule_set_, names);
    }
    bool is_of_case(const fs::path& path) const {
        for (std::size_t file = 0; file < document_.files.size(); ++file)
            if (same_file(path, named(file))) return true;
        return false;
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
                           const std::vector<CellEdit>& edits, const CaseStamp* stamp) {
    return Rewriter(path, target, stamp).rewrite({edits, {}});
}

RewrittenCase rewrite_case_as_read(const std::string& path, const std::string& target,
                                   const std::function<CaseEdits(const Document&)>& edits_of,
                                   const CaseStamp* stamp) {
    Rewriter rewriter(path, target, stamp);
    return rewriter.rewrite(edits_of(rewriter.document()));
}

void write_case(const std::vector<CaseFile>& files) {
    for (auto file = files.rbegin(); file != files.rend(); ++file) {
        Output output(file->path);
        output.write(file->text);
        output.finish();
    }
}

}  // namespace evenhead::io
