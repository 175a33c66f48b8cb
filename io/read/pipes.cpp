// Pipes: rows from point to point, and stretches along several.
#include <fmt/format.h>

#include <cmath>

#include "io/read/pipes.hpp"
#include "io/read/sizes.hpp"
#include "model/plan_length.hpp"

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

constexpr std::size_t most_words = 20001;  // in one `along`: ten thousand pipes

/// Kind and size, or bore. `size` is the cell that gives the size, nullptr where the row gives none.
void read_size(const Fields& fields, const Cell* size, std::string_view kind, Pipe& pipe) {
    if (size) {
        if (auto found = resolve_size(fields, *size, kind)) pipe.size = std::move(*found);
    } else if (const auto bore = fields.above_zero("bore", Dimension::bore)) {
        model::PipeSize own;
        own.bore = *bore;
        own.given_unknown = !bore->known();
        pipe.size = shared_size(fields.reader(), std::move(own));
    } else {
        fields.missing(
            "size", "give size = \"kind size\" such as \"pvc-cl200 1\", or bore (\"?\" where nobody knows)");
    }
    if (const auto rating = fields.above_zero("rating", Dimension::pressure)) {
        model::PipeSize own = *pipe.size;
        own.rating = rating;
        pipe.size = shared_size(fields.reader(), std::move(own));
    }
}

/// The length along the bends, or straight, between two ends that have coordinates.
Quantity length_from_coordinates(const Fields& fields, const Pipe& pipe) {
    const model::System& system = fields.reader().system;
    const auto length = model::plan_length(system, pipe);
    if (!length) {
        const Point& from = at(system.points, pipe.from);
        const Point& without = from.x && from.y ? at(system.points, pipe.to) : from;
        fields.missing("length", fmt::format("give the length, or x and y to {} (it has none)", without.id));
        return {};
    }
    return {*length, 0};
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
    if (items.size() > most_words) return refuse(fmt::format("along has more than {} words", most_words));
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
            if (stretch.length->value < 0) {
                fields.error(length,
                             fmt::format("the length {} from {} to {} is negative", length.text, *from, *to),
                             "a length is 0 or more");
                stretch.length = Quantity{};
            }
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
    if (auto bends = fields.pairs("bends", Dimension::length, Dimension::length); !bends.empty())
        making.pipe.bends = std::move(bends);
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

void read_pipes(CaseReader& reader) {
    reader.each_row("pipes", [&](const Row& row) { read_row(reader, row); });
    make_lateral_pipes(reader);
}

}  // namespace

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
        fields.warn_of_bare_fraction("fittings");
    }
    return making;
}

std::string_view kind_of(const Fields& fields) {
    return fields.reference("kind").value_or(std::string_view());
}

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
    std::string name;
    name.reserve(id ? id->size() : from.size() + to.size() + 1);
    if (id)
        pipe.own_id = std::string(name.append(*id));
    else
        name.append(from).append("-").append(to);
    pipe.from = reader.point_named(from, pipe.place);
    pipe.to = reader.point_named(to, pipe.place);
    pipe.length = length ? *length : length_from_coordinates(fields, pipe);
    if (std::isnan(pipe.fittings)) {  // an answer that needs the length then refuses the pipe by name
        pipe.length = {};
        pipe.fittings = 0;
    }
    set_friction(fields, pipe.size, name);
    const Index index = last(reader.system.pipes) + 1;
    const Index taken = reader.pipes.find_or_add(name, index);
    reader.system.pipes.push_back(std::move(pipe));
    if (taken != model::none) {
        const Place& first = at(reader.system.pipes, taken).place;
        fields.error(fields.place(),
                     fmt::format("a second pipe is called {} (the first is on {})", quoted(name),
                                 reader.place_words(first, fields.place())),
                     id ? "give one of the two another id"
                        : fmt::format("give this one an id of its own, such as id = \"{}-2\"", name));
    }
    if (making.uphill) reader.rises.push_back({index, *making.uphill, fields.place()});
    return index;
}

const TableReader pipes_table{"pipes", pipes_keys, read_pipes};

}  // namespace evenhead::io
