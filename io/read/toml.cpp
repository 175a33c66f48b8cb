#include "io/read/toml.hpp"

#include <toml++/toml.h>
#include <algorithm>
#include <optional>
#include <set>
#include <unordered_set>

#include "io/excerpt.hpp"

namespace evenhead::io {

namespace {

/// Turns the library's tree into cells, in the order of the file.
class Converter {
  public:
    /// `text` is what the library has read; with `mending` the places lead back to the file itself.
    Converter(std::string_view text, const Mending* mending, int file, Document& document)
        : text_(text), lines_(text), mending_(mending), file_(file), document_(document) {}

    Cell cell(const toml::node& node) {
        Cell cell;
        const toml::source_region& source = node.source();
        cell.place = place(source.begin);
        switch (node.type()) {
            case toml::node_type::string:
                cell.kind = Cell::Kind::text;
                cell.text = keep(node.ref<std::string>(), offset(source.begin));
                break;
            case toml::node_type::integer:
                cell.kind = Cell::Kind::integer;
                cell.number = static_cast<double>(node.ref<std::int64_t>());
                cell.text = written(source);
                break;
            case toml::node_type::floating_point:
                cell.kind = Cell::Kind::number;
                cell.number = node.ref<double>();
                cell.text = written(source);
                break;
            case toml::node_type::boolean:
                cell.kind = Cell::Kind::boolean;
                cell.boolean = node.ref<bool>();
                cell.text = cell.boolean ? "true" : "false";
                break;
            case toml::node_type::array:
                cell.kind = Cell::Kind::list;
                cell.items.reserve(node.as_array()->size());
                for (const toml::node& item : *node.as_array()) cell.items.push_back(this->cell(item));
                break;
            case toml::node_type::table:
                cell.kind = Cell::Kind::table;
                fields(*node.as_table(), cell);
                break;
            default:
                cell.kind = Cell::Kind::date;
                cell.text = written(source);
        }
        return cell;
    }

  private:
    std::string_view text_;
    Lines lines_;
    const Mending* mending_;
    int file_;
    Document& document_;
    std::unordered_set<std::string_view> keys_;  // each key kept once
    LineColumn cursor_;                          // where offset() was last asked, and the answer
    std::size_t cursor_offset_ = 0;

    /// The library sorts a table by its keys.
    void fields(const toml::table& table, Cell& cell) {
        std::vector<std::pair<const toml::key*, const toml::node*>> entries;
        entries.reserve(table.size());
        for (const auto& [key, node] : table) entries.emplace_back(&key, &node);
        std::sort(entries.begin(), entries.end(), [](const auto& a, const auto& b) {
            const auto &left = a.first->source().begin, &right = b.first->source().begin;
            return std::pair(left.line, left.column) < std::pair(right.line, right.column);
        });
        cell.fields.reserve(entries.size());
        for (const auto& [key, node] : entries) {
            const std::string_view name = keep_key(key->str(), offset(key->source().begin));
            Cell& made = cell.fields.emplace_back(name, this->cell(*node)).second;
            const model::Place key_place = place(key->source().begin);
            if (key_place.line == made.place.line) made.key_column = key_place.column;
        }
    }

    /// Columns count characters. Places come in the order of the file, so that a long line is walked through
    /// once.
    std::size_t offset(toml::source_position position) {
        const LineColumn wanted{static_cast<int>(position.line), static_cast<int>(position.column)};
        if (wanted.line < 1 || wanted.line > lines_.count()) return text_.size();
        if (cursor_.line != wanted.line || wanted < cursor_) {
            cursor_ = {wanted.line, 1};
            cursor_offset_ = lines_.begin(wanted.line);
        }
        const auto continues = [&](std::size_t at) {
            return at < text_.size() && (static_cast<unsigned char>(text_[at]) & 0xC0U) == 0x80U;
        };
        while (cursor_.column < wanted.column && cursor_offset_ < text_.size()) {
            ++cursor_offset_;
            while (continues(cursor_offset_)) ++cursor_offset_;
            ++cursor_.column;
        }
        return cursor_offset_;
    }

    model::Place place(toml::source_position position) const {
        LineColumn there{static_cast<int>(position.line), static_cast<int>(position.column)};
        if (mending_) there = mending_->origin(there);
        return {file_, there.line, there.column};
    }

    std::string_view written(const toml::source_region& source) {
        const std::size_t begin = offset(source.begin);
        const std::size_t end = offset(source.end);
        return trimmed(text_.substr(begin, end - begin));
    }

    /// Points into the text itself wherever the value stands there without escapes.
    std::string_view keep(const std::string& value, std::size_t at) {
        const std::string_view there = text_.substr(std::min(at + 1, text_.size()), value.size());
        if (there == value) return there;
        return document_.text.emplace_back(value);
    }
    std::string_view keep_key(std::string_view key, std::size_t at) {
        if (const auto known = keys_.find(key); known != keys_.end()) return *known;
        const std::string_view there = text_.substr(at, key.size());
        return *keys_.insert(there == key ? there : document_.text.emplace_back(key)).first;
    }
};

/// The library's words without its own inner names: "Error while parsing key-value pair: expected ..." ->
/// "expected ...".
std::string plain_words(std::string_view description) {
    if (description.starts_with("Error while parsing "))
        if (const std::size_t colon = description.find(": "); colon != std::string_view::npos)
            description.remove_prefix(colon + 2);
    return excerpt(description, 200);
}

std::string mend_for(std::string_view words) {
    if (words.find("redefine") != std::string_view::npos) return "give each key and table once";
    if (words.find("control character") != std::string_view::npos)
        return "remove the character that cannot be seen";
    if (words.find("escape") != std::string_view::npos || words.find("hex digit") != std::string_view::npos)
        return "write \\\\ for a backslash, or the text between '...'";
    return "a key is written key = value; texts stand between quotes, a row between { and }, a list between "
           "[ and ]";
}

}  // namespace

TomlReading read_toml(std::string_view text, int file, Document& document) {
    // Bytes parsed again and again in search of errors: a large file takes a tenth of a second each time.
    constexpr std::size_t most_work = std::size_t{16} << 20;
    if (text.find('\n') == std::string_view::npos && text.find('\r') != std::string_view::npos) {
        document.errors.push_back(
            {{file, 1, 1}, {}, "the lines end with CR alone", "save the file with LF or CRLF"});
        document.complete = false;
        TomlReading nothing;
        nothing.root.kind = Cell::Kind::table;
        return nothing;
    }
    Slips slips = find_slips(text, file);
    std::set<int> left_out;
    Cell root;
    root.kind = Cell::Kind::table;
    std::size_t work = 0;
    // Each round leaves out the line that the library could not read, and finds the next one.
    while (slips.readable) {
        std::string mended;
        if (!slips.mending.empty()) mended = slips.mending.apply();
        const std::string_view source = slips.mending.empty() ? text : std::string_view(mended);
        try {
            const toml::table table = toml::parse(source);
            const Mending* mending = slips.mending.empty() ? nullptr : &slips.mending;
            const std::string_view kept = mending ? document.text.emplace_back(std::move(mended)) : text;
            root = Converter(kept, mending, file, document).cell(table);
            break;
        } catch (const toml::parse_error& error) {
            const toml::source_position at = error.source().begin;
            const LineColumn there =
                slips.mending.origin({static_cast<int>(at.line), static_cast<int>(at.column)});
            if (!slips.told(there.line)) {
                const std::string words = plain_words(error.description());
                const model::Place spot{file, there.line, there.column};
                slips.issues.push_back(
                    {spot, slips.row(spot), "this cannot be read as TOML: " + words, mend_for(words)});
            }
            slips.complete = false;
            work += source.size();
            if (work > most_work || !left_out.insert(there.line).second || !slips.blank_line(there.line))
                break;
        }
    }
    std::stable_sort(
        slips.issues.begin(), slips.issues.end(), [](const model::Issue& a, const model::Issue& b) {
            return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
        });
    document.errors.insert(document.errors.end(), std::make_move_iterator(slips.issues.begin()),
                           std::make_move_iterator(slips.issues.end()));
    if (!slips.complete) document.complete = false;
    return {std::move(root), std::move(slips.headings)};
}

}  // namespace evenhead::io
