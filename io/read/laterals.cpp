// Laterals: a row that makes heads in a line, and the pipes from one to the next.
#include <fmt/format.h>

#include <cmath>
#include <map>

#include "io/read/pipes.hpp"
#include "io/read/points.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using model::Lateral;
using model::OptionalQuantity;
using model::Quantity;

constexpr std::string_view laterals_keys[] = {"id",     "from", "first", "heads", "spacing",
                                              "nozzle", "size", "sizes", "kind",  "uphill"};

constexpr int most_heads = 10000;          // of one lateral: more is a slip of the pen
constexpr int most_heads_of_all = 250000;  // a few lines could else ask for more memory than there is

const Cells no_cells;

/// First look at the laterals: their heads must be known before any row names them.
void read_laterals(CaseReader& reader) {
    std::map<std::string_view, model::Place> known;
    int heads_of_all = 0;
    reader.each_row("laterals", [&](const Row& row) {
        const Fields fields(reader, laterals_table, row);
        const auto id = fields.id();
        const auto count = fields.count("heads", most_heads);
        if (!fields.has("heads")) fields.missing("heads", "give the number of heads");
        if (!id || !count) {
            reader.graph_sound = false;
            return;
        }
        if (const auto [other, first] = known.try_emplace(*id, row.place); !first) {
            fields.error(row.place,
                         fmt::format("a lateral {} is already given on {}", quoted(*id),
                                     reader.place_words(other->second, row.place)),
                         "give one of the two another id");
            reader.graph_sound = false;
            return;
        }
        heads_of_all += *count;
        if (heads_of_all > most_heads_of_all) {
            heads_of_all -= *count;
            fields.error(row.place,
                         fmt::format("the laterals make more than {} heads with this one", most_heads_of_all),
                         "no case needs that: check the numbers of heads");
            reader.graph_sound = false;
            return;
        }
        Lateral lateral;
        lateral.id = *id;
        lateral.place = row.place;
        if (const std::string fault = id_fault(fmt::format("{}{}", *id, *count)); !fault.empty())
            fields.error(row.place, fmt::format("the id of its last head {}", fault),
                         "give the lateral a shorter id");
        for (int i = 1; i <= *count; ++i)
            if (const Index head = add_head(reader, fmt::format("{}{}", *id, i), row.place);
                head != model::none)
                lateral.heads.push_back(head);
        const bool whole = lateral.heads.size() == static_cast<std::size_t>(*count);
        reader.system.laterals.push_back(std::move(lateral));
        if (whole)
            reader.lateral_rows.push_back({&row, last(reader.system.laterals)});  // else an id is taken: said
    });
}

struct Sized {
    int count = 0;
    Cell size;
};

/// `sizes`: [[count, size], ...], or "2 pvc-cl200 1; 2 pvc-cl200 3/4" in a cell.
std::vector<Sized> read_sizes(const Fields& fields, const Cell& cell, int heads) {
    std::vector<Sized> sizes;
    const auto refuse = [&](const Cell& wrong) {
        fields.error(wrong, "sizes is not a list of counts and sizes",
                     cell.csv ? "write 2 pvc-cl200 1; 2 pvc-cl200 3/4"
                              : "write sizes = [[2, \"pvc-cl200 1\"], [2, \"pvc-cl200 3/4\"]]");
        return std::vector<Sized>();
    };
    const auto add = [&](const Cell& count, const Cell& size) {
        const double number = fields.read(count, "sizes", Dimension::none).value;
        if (!(number >= 1 && number <= heads && number == std::floor(number))) return false;
        sizes.push_back({static_cast<int>(number), size});
        return true;
    };
    if (cell.kind == Cell::Kind::text) {
        for (std::string_view rest = cell.text; !rest.empty();) {
            const std::size_t end = std::min(rest.find(';'), rest.size());
            const std::string_view part = trimmed(rest.substr(0, end));
            rest.remove_prefix(std::min(end + 1, rest.size()));
            const std::size_t blank = part.find(' ');
            if (blank == std::string_view::npos) return refuse(cell);
            Cell count = cell, size = cell;
            count.text = part.substr(0, blank);
            size.text = trimmed(part.substr(blank));
            if (!add(count, size)) return refuse(cell);
        }
    } else if (cell.kind == Cell::Kind::list) {
        for (const Cell& pair : cell.items)
            if (pair.items.size() != 2 || !add(pair.items[0], pair.items[1])) return refuse(pair);
    } else {
        return refuse(cell);
    }
    int sum = 0;
    for (const Sized& sized : sizes) sum += sized.count;
    if (sum != heads) {
        fields.error(cell, fmt::format("the counts of sizes add up to {}, not to {} heads", sum, heads),
                     "give every pipe of the lateral a size");
        return {};
    }
    return sizes;
}

/// What a lateral says of its pipes.
struct LateralPipes {
    OptionalQuantity first, spacing, uphill;
    std::vector<Sized> sizes;
    bool sized = false;  ///< it says a size, or the defaults of pipes do
};

LateralPipes read_lateral_pipes(Fields& fields, const Fields& defaults, int heads) {
    fields.exclude_defaults_if_own({"size", "sizes"});
    fields.at_most_one({"size", "sizes"}, "give one of them");
    LateralPipes pipes;
    pipes.first = fields.zero_or_more("first", Dimension::length);
    pipes.spacing = fields.zero_or_more("spacing", Dimension::length);
    pipes.uphill = fields.quantity("uphill", Dimension::length);
    if (!pipes.first) fields.missing("first", "give the length to the first head");
    if (!pipes.spacing && heads > 1) fields.missing("spacing", "give the length from head to head");
    if (const Cell* sizes = fields.find("sizes")) {
        pipes.sizes = read_sizes(fields, *sizes, heads);
        pipes.sized = true;
        return pipes;
    }
    const Cell* size = fields.find("size") ? fields.find("size") : defaults.find("size");
    pipes.sizes.push_back({heads, size ? *size : Cell{}});
    pipes.sized = size != nullptr;
    return pipes;
}

void make_pipes(CaseReader& reader, const Row& row, Index index) {
    Fields fields(reader, laterals_table, row);
    // Its pipes are pipes like any other: what the lateral does not say, the defaults of pipes do.
    const std::string id = at(reader.system.laterals, index).id;
    const Fields pipe_fields(reader, pipes_table, no_cells, reader.defaults("pipes"), row.place, id);
    const auto heads = static_cast<int>(at(reader.system.laterals, index).heads.size());
    const auto from = fields.reference("from", "name the point where the lateral begins");
    const LateralPipes pipes = read_lateral_pipes(fields, pipe_fields, heads);
    if (!from || pipes.sizes.empty()) {
        reader.graph_sound = false;
        return;
    }
    std::string_view kind = kind_of(fields);
    if (kind.empty()) kind = kind_of(pipe_fields);
    const Index start = reader.point_named(*from, row.place);
    Lateral& lateral = at(reader.system.laterals, index);
    lateral.from = start;
    std::string before(*from);
    std::size_t made = 0;
    for (const Sized& sized : pipes.sizes) {
        Making making = read_making(pipe_fields, pipes.sized ? &sized.size : nullptr, kind);
        making.pipe.lateral = index;
        if (pipes.uphill) making.uphill = pipes.uphill;
        for (int i = 0; i < sized.count; ++i, ++made) {
            const Index point = at(reader.system.heads, lateral.heads[made]).point;
            const std::string head = reader.system.point_id(point);
            const Quantity length = (made == 0 ? pipes.first : pipes.spacing).value_or(Quantity{});
            const Index pipe = add_pipe(pipe_fields, making, before, head, length, std::nullopt);
            if (pipe != model::none) lateral.pipes.push_back(pipe);
            before = head;
        }
    }
}

}  // namespace

void make_lateral_pipes(CaseReader& reader) {
    for (const auto& [row, lateral] : reader.lateral_rows) make_pipes(reader, *row, lateral);
}

const TableReader laterals_table{"laterals", laterals_keys, read_laterals};

}  // namespace evenhead::io
