// Pipes: rows from point to point, stretches along several, and those of the laterals.
#include <fmt/format.h>

#include <cmath>

#include "io/read/fields.hpp"
#include "io/read/sizes.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using model::Pipe;
using model::Place;
using model::Point;
using model::Quantity;

constexpr std::string_view pipes_keys[] = {"id",     "from",   "to",    "along",     "length", "size",
                                           "kind",   "bore",   "c",     "roughness", "k",      "fittings",
                                           "closed", "rating", "bends", "uphill"};

const Cells no_cells;

/// What every pipe that a row makes has in common, and what its ends still need.
struct Making {
    Pipe pipe;
    model::OptionalQuantity uphill;
};

/// Kind and size, or bore. `size` is the cell that gives the size, nullptr where the row gives none.
void read_size(const Fields& fields, const Cell* size, std::string_view kind, Pipe& pipe) {
    if (size) {
        if (auto found = resolve_size(fields, *size, kind)) pipe.size = std::move(*found);
    } else if (const auto bore = fields.above_zero("bore", Dimension::bore)) {
        pipe.size.bore = *bore;
        pipe.size.given_unknown = !bore->known();
    } else {
        fields.missing(
            "size", "give size = \"kind size\" such as \"pvc-cl200 1\", or bore (\"?\" where nobody knows)");
    }
    if (const auto rating = fields.above_zero("rating", Dimension::pressure)) pipe.size.rating = rating;
}

Making read_making(const Fields& fields, const Cell* size, std::string_view kind) {
    Making making;
    Pipe& pipe = making.pipe;
    read_size(fields, size, kind, pipe);
    pipe.place = fields.place();
    pipe.k = fields.zero_or_more("k", Dimension::none).value_or(Quantity{0, 0});
    pipe.closed = fields.flag("closed", false);
    making.uphill = fields.quantity("uphill", Dimension::length);
    if (const auto fittings = fields.zero_or_more("fittings", Dimension::share)) {
        pipe.fittings = fittings->value;
        const Cell& cell = *fields.find("fittings");
        if (cell.kind == Cell::Kind::number && cell.number > 0 && cell.number < 1)
            fields.warn(cell.place, fmt::format("{} is less than one percent", shown("fittings", cell)),
                        "a bare number is percent: write fittings = \"10 %\" for a tenth");
    }
    return making;
}

std::string_view kind_of(const Fields& fields) {
    return fields.reference("kind").value_or(std::string_view());
}

/// The length along the bends, or straight, between two ends that have coordinates.
Quantity length_from_coordinates(const Fields& fields, const Pipe& pipe) {
    const auto& points = fields.reader().system.points;
    const Point& from = at(points, pipe.from);
    const Point& to = at(points, pipe.to);
    if (!from.x || !from.y || !to.x || !to.y) {
        const Point& without = from.x && from.y ? to : from;
        fields.missing("length", fmt::format("give the length, or x and y to {} (it has none)", without.id));
        return {};
    }
    double length = 0, x = from.x->value, y = from.y->value;
    const auto go = [&](double next_x, double next_y) {
        length += std::hypot(next_x - x, next_y - y);
        x = next_x;
        y = next_y;
    };
    for (const auto& [bend_x, bend_y] : pipe.bends) go(bend_x, bend_y);
    go(to.x->value, to.y->value);
    return {length, 0};
}

/// Adds a pipe between two ids; `length` not given: from coordinates. A pipe without `id` is called from-to.
Index add_pipe(const Fields& fields, const Making& making, std::string_view from, std::string_view to,
               const model::OptionalQuantity& length, std::optional<std::string_view> id) {
    CaseReader& reader = fields.reader();
    if (from == to) {
        fields.error(fields.place(), fmt::format("a pipe from {} to itself", quoted(from)),
                     "a pipe runs between two points");
        reader.graph_sound = false;
        return model::none;
    }
    Pipe pipe = making.pipe;
    pipe.id = id ? std::string(*id) : fmt::format("{}-{}", from, to);
    pipe.from = reader.point_named(from, pipe.place);
    pipe.to = reader.point_named(to, pipe.place);
    pipe.length = length ? *length : length_from_coordinates(fields, pipe);
    if (std::isnan(pipe.fittings)) {  // an answer that needs the length then refuses the pipe by name
        pipe.length = {};
        pipe.fittings = 0;
    }
    set_friction(fields, pipe.size, pipe.id);
    const Index taken = reader.pipes.find(pipe.id);
    reader.system.pipes.push_back(std::move(pipe));
    const Index index = last(reader.system.pipes);
    if (taken == model::none) {
        reader.pipes.add(index);
    } else {
        const Place& first = at(reader.system.pipes, taken).place;
        const std::string& name = reader.system.pipes.back().id;
        fields.error(fields.place(),
                     fmt::format("a second pipe is called {} (the first is on {})", quoted(name),
                                 reader.place_words(first, fields.place())),
                     id ? "give one of the two another id"
                        : fmt::format("give this one an id of its own, such as id = \"{}-2\"", name));
    }
    if (making.uphill) reader.rises.push_back({index, *making.uphill, fields.place()});
    return index;
}

/// Points and lengths in turn.
struct Stretch {
    std::string_view from, to;
    model::OptionalQuantity length;  ///< not given: "-"
};

std::vector<Stretch> read_along(const Fields& fields, const Cell& along) {
    const auto refuse = [&](std::string text) {
        fields.error(along, std::move(text),
                     "write points and lengths in turn, such as along = \"T1 20 T2 5 lawn\" (- for a length "
                     "from coordinates)");
        fields.reader().graph_sound = false;
        return std::vector<Stretch>();
    };
    std::vector<Cell> items;
    if (along.kind == Cell::Kind::text) {
        Cell item = along;
        for (const std::string_view word : fields.references(along, "along")) {
            item.text = word;
            items.push_back(item);
        }
    } else if (along.kind == Cell::Kind::list) {
        items = along.items;
    } else {
        return refuse(fmt::format("{} names no points", shown("along", along)));
    }
    if (items.size() < 3) return refuse("along needs two points and the length between them");
    if (items.size() % 2 == 0)
        return refuse(fmt::format("along ends with a length ({})", shown(items.back())));
    std::vector<Stretch> stretches;
    for (std::size_t i = 0; i + 2 < items.size(); i += 2) {
        const auto from = fields.as_id(items[i], "along");
        const auto to = fields.as_id(items[i + 2], "along");
        if (!from || !to) {
            fields.reader().graph_sound = false;
            continue;
        }
        Stretch stretch{*from, *to, std::nullopt};
        const Cell& length = items[i + 1];
        if (!(length.kind == Cell::Kind::text && length.text == "-")) {
            stretch.length = fields.read(length, "along", Dimension::length);
            if (stretch.length->value < 0)
                fields.error(length,
                             fmt::format("the length {} from {} to {} is negative", length.text, *from, *to),
                             "a length is 0 or more");
        }
        stretches.push_back(stretch);
    }
    return stretches;
}

void read_stretches(const Fields& fields, const Cell& along, const Making& making) {
    for (const std::string_view key : {"from", "to", "length"})
        if (const Cell* cell = fields.own(key))
            fields.error(*cell, fmt::format("both along and {} are given", key),
                         "along names the points and their lengths itself");
    const std::vector<Stretch> stretches = read_along(fields, along);
    if (stretches.size() > 1)
        for (const std::string_view key : {"id", "bends"})
            if (const Cell* cell = fields.own(key))
                fields.error(*cell, fmt::format("{} is given for {} pipes at once", key, stretches.size()),
                             fmt::format("give each pipe that has its own {} a row of its own", key));
    const auto id = stretches.size() == 1 ? fields.reference("id") : std::nullopt;
    for (const Stretch& stretch : stretches)
        add_pipe(fields, making, stretch.from, stretch.to, stretch.length, id);
}

void read_row(CaseReader& reader, const Row& row) {
    Fields fields(reader, pipes_table, row);
    fields.exclude_defaults_if_own({"size", "bore"});
    fields.at_most_one({"size", "bore"}, "give one of them: size stands for a bore");
    Making making = read_making(fields, fields.find("size"), kind_of(fields));
    making.pipe.bends = fields.pairs("bends", Dimension::length, Dimension::length);
    if (const Cell* along = fields.own("along")) {
        read_stretches(fields, *along, making);
        return;
    }
    const auto from = fields.reference("from", "name the point where the pipe begins, or write along");
    const auto to = fields.reference("to", "name the point where the pipe ends, or write along");
    const auto length = fields.zero_or_more("length", Dimension::length);
    if (from && to)
        add_pipe(fields, making, *from, *to, length, fields.reference("id"));
    else
        reader.graph_sound = false;
}

// ---- laterals
// -------------------------------------------------------------------------------------------------

struct Sized {
    int count = 0;
    Cell size;
};

/// `sizes`: [[count, size], ...], or "2 pvc-cl200 1; 2 pvc-cl200 3/4" in a cell.
std::vector<Sized> read_sizes(const Fields& fields, const Cell& cell, int heads) {
    std::vector<Sized> sizes;
    const auto refuse = [&](const Cell& wrong) {
        fields.error(wrong, fmt::format("{} is not a list of counts and sizes", shown("sizes", cell)),
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

void make_pipes(CaseReader& reader, const Row& row, Index index) {
    Fields fields(reader, laterals_table, row);
    fields.exclude_defaults_if_own({"size", "sizes"});
    fields.at_most_one({"size", "sizes"}, "give one of them");
    const auto from = fields.reference("from", "name the point where the lateral begins");
    const auto first = fields.zero_or_more("first", Dimension::length);
    const auto spacing = fields.zero_or_more("spacing", Dimension::length);
    if (!first) fields.missing("first", "give the length to the first head");
    const std::size_t heads = at(reader.system.laterals, index).heads.size();
    if (fields.count("heads", CaseReader::most_heads_of_a_lateral) != static_cast<int>(heads))
        return;  // some ids are taken: said
    if (!spacing && heads > 1) fields.missing("spacing", "give the length from head to head");
    if (!from) {
        reader.graph_sound = false;
        return;
    }

    // Its pipes are pipes like any other: what the lateral does not say, the defaults of pipes do.
    Fields pipe_fields(reader, pipes_table, no_cells, reader.defaults("pipes"), row.place,
                       at(reader.system.laterals, index).id);
    std::string_view kind = kind_of(fields);
    if (kind.empty()) kind = kind_of(pipe_fields);
    const Cell* size = fields.find("size") ? fields.find("size") : pipe_fields.find("size");
    std::vector<Sized> sizes;
    if (const Cell* cell = fields.find("sizes")) {
        sizes = read_sizes(fields, *cell, static_cast<int>(heads));
        if (sizes.empty()) return;
    } else {
        sizes.push_back({static_cast<int>(heads), size ? *size : Cell{}});
    }
    const auto uphill = fields.quantity("uphill", Dimension::length);
    const Index lateral_from = reader.point_named(*from, row.place);
    model::Lateral& lateral = at(reader.system.laterals, index);
    lateral.from = lateral_from;
    std::string before(*from);
    std::size_t made = 0;
    for (const Sized& sized : sizes) {
        Making making = read_making(pipe_fields, fields.has("sizes") || size ? &sized.size : nullptr, kind);
        making.pipe.lateral = index;
        if (uphill) making.uphill = uphill;
        for (int i = 0; i < sized.count; ++i, ++made) {
            const std::string head =
                at(reader.system.points, at(reader.system.heads, lateral.heads[made]).point).id;
            const auto length = (made == 0 ? first : spacing).value_or(Quantity{});
            const Index pipe = add_pipe(pipe_fields, making, before, head, length, std::nullopt);
            if (pipe != model::none) lateral.pipes.push_back(pipe);
            before = head;
        }
    }
}

void read_pipes(CaseReader& reader) {
    reader.each_row("pipes", [&](const Row& row) { read_row(reader, row); });
    for (const auto& [row, lateral] : reader.lateral_rows) make_pipes(reader, *row, lateral);
}

}  // namespace

const TableReader pipes_table{"pipes", pipes_keys, read_pipes};

}  // namespace evenhead::io
