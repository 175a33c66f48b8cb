#include "io/edit/sized_case.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <tuple>
#include <utility>

#include "io/edit/file_text.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Index;
using model::Place;

/// Pipes one behind the other that get the same size.
struct Group {
    std::size_t first = 0, count = 0;
    std::string size;
};

class SizeEdits {
  public:
    SizeEdits(const model::System& system, const std::vector<WrittenSize>& sizes)
        : system_(system), size_of_(system.pipes.size()) {
        for (const WrittenSize& size : sizes)
            size_of_[at(size.pipe)] = fmt::format("{} {}", size.kind, size.nominal);
    }

    CaseEdits make(const Document& document) {
        std::map<std::tuple<int, int, int>, std::vector<Index>> pipes_of;
        for (std::size_t pipe = 0; pipe < system_.pipes.size(); ++pipe) {
            const Place& place = system_.pipes[pipe].place;
            pipes_of[{place.file, place.line, place.column}].push_back(static_cast<Index>(pipe));
        }
        for (const Table& table : document.tables) {
            const bool laterals = table.name == "laterals";
            if (table.name != "pipes" && !laterals) continue;
            table.visit([&](const Row& row) {
                const auto found = pipes_of.find({row.place.file, row.place.line, row.place.column});
                if (found == pipes_of.end() || !any_chosen(found->second)) return true;
                const std::vector<Group> groups = groups_of(found->second);
                laterals ? add_lateral(row, groups) : add_pipes(row, groups);
                return true;
            });
        }
        return std::move(edits_);
    }

  private:
    bool any_chosen(const std::vector<Index>& pipes) const {
        return std::any_of(pipes.begin(), pipes.end(),
                           [&](Index pipe) { return !size_of_[at(pipe)].empty(); });
    }

    /// Of a row's pipes, by their sizes, whether chosen or as they were.
    std::vector<Group> groups_of(const std::vector<Index>& pipes) const {
        std::vector<Group> groups;
        for (std::size_t i = 0; i < pipes.size(); ++i) {
            const model::PipeSize& as_read = *system_.pipes[at(pipes[i])].size;
            const std::string& chosen = size_of_[at(pipes[i])];
            std::string size = chosen.empty() ? fmt::format("{} {}", as_read.kind, as_read.nominal) : chosen;
            if (groups.empty() || groups.back().size != size) groups.push_back({i, 0, std::move(size)});
            ++groups.back().count;
        }
        return groups;
    }

    void add_pipes(const Row& row, const std::vector<Group>& groups) {
        if (groups.size() == 1) {
            edits_.cells.push_back({"pipes", row.place, "size", groups.front().size});
            return;
        }
        const Cell& along = *row.find("along");
        RowParts made{"pipes", row.place, {}};
        for (const Group& group : groups)
            made.parts.push_back(
                {{"pipes", row.place, "size", group.size},
                 {"pipes", row.place, "along", stretch(along, group), along.kind == Cell::Kind::list}});
        edits_.parts.push_back(std::move(made));
    }

    /// The points and lengths of a group, in turn.
    static std::string stretch(const Cell& along, const Group& group) {
        const bool list = along.kind == Cell::Kind::list;
        const std::vector<std::string> words = list ? words_of_list(along) : words_of_text(along.text);
        std::string made;
        for (std::size_t i = 2 * group.first; i <= 2 * (group.first + group.count) && i < words.size(); ++i)
            made += (made.empty() ? "" : list ? ", " : " ") + words[i];
        return list ? "[" + made + "]" : made;
    }
    static std::vector<std::string> words_of_list(const Cell& along) {
        std::vector<std::string> words;
        for (const Cell& item : along.items)
            words.push_back(item.kind == Cell::Kind::text ? toml_text(item.text) : std::string(item.text));
        return words;
    }
    static std::vector<std::string> words_of_text(std::string_view text) {
        constexpr std::string_view blanks = " \t\n\r";
        std::vector<std::string> words;
        for (std::size_t begin = text.find_first_not_of(blanks); begin < text.size();) {
            const std::size_t end = std::min(text.find_first_of(blanks, begin), text.size());
            words.emplace_back(text.substr(begin, end - begin));
            begin = text.find_first_not_of(blanks, end);
        }
        return words;
    }

    void add_lateral(const Row& row, const std::vector<Group>& groups) {
        if (groups.size() == 1 && row.find("sizes") == nullptr) {
            edits_.cells.push_back({"laterals", row.place, "size", groups.front().size});
            return;
        }
        const bool csv = row.place.file > 0;
        std::string sizes;
        for (const Group& group : groups)
            sizes += csv ? fmt::format("{}{} {}", sizes.empty() ? "" : "; ", group.count, group.size)
                         : fmt::format("{}[{}, {}]", sizes.empty() ? "" : ", ", group.count,
                                       toml_text(group.size));
        edits_.cells.push_back(
            {"laterals", row.place, "sizes", csv ? sizes : "[" + sizes + "]", true, -1, "size"});
    }

    const model::System& system_;
    std::vector<std::string> size_of_;  // by pipe: "kind size"; empty: as it was
    CaseEdits edits_;
};

}  // namespace

RewrittenCase write_sizes(const std::string& path, const std::string& target, const model::System& system,
                          const std::vector<WrittenSize>& sizes, const CaseStamp* stamp) {
    return rewrite_case_as_read(
        path, target, [&](const Document& document) { return SizeEdits(system, sizes).make(document); },
        stamp);
}

}  // namespace evenhead::io
