#include "io/read/sizes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>

#include "io/units.hpp"
#include "model/catalogue.hpp"
#include "model/takeoff/items.hpp"

namespace evenhead::io {

using model::CustomSize;
using model::Dimension;
using model::Index;
using model::OptionalQuantity;
using model::PipeKind;
using model::PipeSize;

namespace {

// A pipe of which nothing else is known is taken as smooth plastic.
constexpr double usual_c = 150;
constexpr double usual_roughness = 1.5e-6;  // m

/// A size as it is written; empty, and said, where it is none.
std::string_view size_text(const Fields& fields, const Cell& cell, std::string_view key) {
    if (cell.kind == Cell::Kind::text || cell.kind == Cell::Kind::integer ||
        cell.kind == Cell::Kind::number) {
        if (cell.text.empty())
            fields.error(cell, fmt::format("{} is empty", key), "write a size such as \"1-1/4\"");
        return cell.text;
    }
    if (cell.kind == Cell::Kind::date)
        fields.error(cell, fmt::format("{} is a date, not a size", shown(key, cell)),
                     fmt::format("write the size again, in quotes: {} = \"3/4\"", key));
    else
        fields.error(cell, fmt::format("{} is not a size", shown(key, cell)),
                     fmt::format("write {} = \"pvc-cl200 1-1/4\"", key));
    return {};
}

const std::vector<Index>* own_kind(const CaseReader& reader, std::string_view kind) {
    const auto found = reader.own_kinds.find(kind);
    return found == reader.own_kinds.end() ? nullptr : &found->second;
}

bool is_kind(const CaseReader& reader, std::string_view kind) {
    return own_kind(reader, kind) || model::find_kind(kind);
}

/// Two ways to write a size are the same where they read as the same number ("1-1/4", "1 1/4") or letter for
/// letter.
bool same_size(std::string_view left, std::string_view right) {
    if (left == right) return true;
    const auto size = [](std::string_view text) {
        return parse_quantity(text, Dimension::bore, model::UnitSystem::us).quantity.value;
    };
    return size(left) == size(right);  // NaN, where it is no number, is the same as nothing
}

const PipeSize* own_size(const CaseReader& reader, std::string_view kind, std::string_view nominal) {
    if (const auto* rows = own_kind(reader, kind))
        for (const Index row : *rows) {
            const PipeSize& size = at(reader.system.kinds, row).size;
            if (same_size(size.nominal, nominal)) return &size;
        }
    return nullptr;
}

/// What is known of a pipe of this kind whose size is not.
PipeSize any_size(const CaseReader& reader, std::string_view kind) {
    PipeSize size;
    if (const auto* rows = own_kind(reader, kind)) {
        size = at(reader.system.kinds, rows->front()).size;
    } else if (const PipeKind* catalogued = model::find_kind(kind)) {
        size.kind = catalogued->name;
        size.material = catalogued->material;
        size.c = {catalogued->c, 0};
        size.roughness = {catalogued->roughness, 0};
        size.modulus = catalogued->modulus;
    }
    size.nominal = "?";
    size.given_unknown = true;
    size.bore = {};
    size.wall = size.outside = std::nan("");
    size.rating.reset();
    return size;
}

void refuse_kind(const Fields& fields, const Cell& cell, std::string_view kind) {
    if (!fields.reader().undefined_names_count()) return;
    std::vector<std::string_view> kinds;
    for (const auto& [own, rows] : fields.reader().own_kinds) kinds.push_back(own);
    for (const PipeKind& catalogued : model::pipe_kinds()) kinds.push_back(catalogued.name);
    fields.error(cell, fmt::format("nobody defines the kind {} of size {}", quoted(kind), shown(cell)),
                 did_you_mean(model::nearest_name(kind, kinds),
                              fmt::format("the kinds are {}", fmt::join(kinds, " "))));
}

void refuse_size(const Fields& fields, const Cell& cell, std::string_view kind, std::string_view nominal) {
    if (!fields.reader().undefined_names_count()) return;
    std::vector<std::string_view> sizes;
    if (const auto* rows = own_kind(fields.reader(), kind))
        for (const Index row : *rows) sizes.push_back(at(fields.reader().system.kinds, row).size.nominal);
    if (const PipeKind* catalogued = model::find_kind(kind))
        for (const PipeSize& size : catalogued->sizes) sizes.push_back(size.nominal);
    fields.error(cell,
                 nominal.empty() ? fmt::format("{} names a kind but no size", shown("size", cell))
                                 : fmt::format("{} has no size {}", kind, quoted(nominal)),
                 fmt::format("its sizes are {}", fmt::join(sizes, " ")));
}

void read_kinds(CaseReader& reader) {
    reader.each_row("kinds", [&](const Row& row) {
        const Fields fields(reader, kinds_table, row);
        const auto id = fields.id();
        CustomSize made;
        made.place = row.place;
        PipeSize& size = made.size;
        size.nominal = read_size_text(fields, "size");
        if (!fields.has("size")) fields.missing("size", "give the nominal size, such as size = \"1-1/4\"");
        if (const auto bore = fields.above_zero("bore", Dimension::bore))
            size.bore = *bore;
        else
            fields.missing("bore", "give the inside diameter as bore");
        if (const auto outside = fields.above_zero("od", Dimension::bore)) {
            size.outside = outside->value;
            size.wall = (outside->value - size.bore.value) / 2;
            if (size.wall <= 0)
                fields.error(*fields.find("od"), "od is not above bore", "od is the outside diameter");
        }
        size.rating = fields.above_zero("rating", Dimension::pressure);
        if (const auto modulus = fields.above_zero("modulus", Dimension::modulus))
            size.modulus = modulus->value;
        if (!id) return;
        size.kind = *id;
        set_friction(fields, size, fmt::format("{} {}", size.kind, size.nominal));
        if (const PipeSize* other = own_size(reader, *id, size.nominal); other && !size.nominal.empty()) {
            const auto same = [&](const CustomSize& kind) { return &kind.size == other; };
            const auto first = std::find_if(reader.system.kinds.begin(), reader.system.kinds.end(), same);
            fields.error(row.place,
                         fmt::format("size {} of kind {} is already given on {}", quoted(size.nominal),
                                     quoted(*id), reader.place_words(first->place, row.place)),
                         "keep one of the two");
            return;
        }
        reader.system.kinds.push_back(std::move(made));
        reader.own_kinds[std::string(*id)].push_back(last(reader.system.kinds));
    });
}

constexpr std::string_view kinds_keys[] = {"id", "size", "bore", "od", "c", "roughness", "rating", "modulus"};
constexpr std::string_view prices_keys[] = {"item", "size", "price"};

/// What the price is of, and the price: of one, or of a foot or metre. False where the item is not known.
bool read_priced_item(const Fields& fields, model::Price& price) {
    Dimension dimension = Dimension::price;
    if (const Cell* cell = fields.find("item")) {
        const auto item = cell->kind == Cell::Kind::text ? model::find_item(cell->text) : std::nullopt;
        if (!item) {
            std::vector<std::string_view> names;
            for (const model::TakeoffKind& kind : model::takeoff_kinds()) names.push_back(kind.name);
            fields.error(*cell, fmt::format("{} is nothing that a take-off counts", shown("item", *cell)),
                         did_you_mean(model::nearest_name(cell->text, names),
                                      fmt::format("the items are {}", fmt::join(names, " "))));
            return false;
        }
        if (*item != model::TakeoffItem::pipe) price.item = cell->text;
        if (!model::kind_of(*item).by_length) dimension = Dimension::none;
    }
    if (const auto given = fields.zero_or_more("price", dimension))
        price.price = *given;
    else
        fields.missing("price", dimension == Dimension::none
                                    ? "give the price of one"
                                    : fmt::format("give the price of one foot (metric: one metre) of {}",
                                                  price.item.empty() ? "pipe" : price.item));
    return true;
}

void read_prices(CaseReader& reader) {
    std::map<std::string, model::Place> priced;
    reader.each_row("prices", [&](const Row& row) {
        const Fields fields(reader, prices_table, row);
        model::Price price;
        price.place = row.place;
        if (!read_priced_item(fields, price)) return;
        const Cell* cell = fields.find("size");
        if (!price.item.empty()) {
            if (cell) price.size = size_text(fields, *cell, "size");
            const auto [other, first] = priced.try_emplace(price.item + "\n" + price.size, row.place);
            if (!first)
                fields.error(row.place,
                             fmt::format("the price of {} {} is already given on {}", price.item, price.size,
                                         reader.place_words(other->second, row.place)),
                             "keep one of the two");
            reader.system.prices.push_back(std::move(price));
            return;
        }
        if (!cell) {
            fields.missing("size", "name what it is the price of, such as size = \"pvc-cl200 1\"");
            return;
        }
        const auto resolved = resolve_size(fields, *cell, {});
        if (!resolved) return;
        const PipeSize& size = **resolved;
        if (size.given_unknown) {
            fields.error(*cell, "a price is for one size", "give a row for each size");
            return;
        }
        price.size = fmt::format("{} {}", size.kind, size.nominal);
        const auto [other, first] = priced.try_emplace(price.size, row.place);
        if (!first)
            fields.error(*cell,
                         fmt::format("the price of {} is already given on {}", price.size,
                                     reader.place_words(other->second, row.place)),
                         "keep one of the two");
        reader.system.prices.push_back(std::move(price));
    });
}

std::optional<PipeSize> look_up(const Fields& fields, const Cell& cell, std::string_view text,
                                std::string_view kind) {
    CaseReader& reader = fields.reader();
    const std::size_t blank = std::min(text.find_first_of(" \t"), text.size());
    const std::string_view first = text.substr(0, blank);
    std::string_view nominal = text;
    const bool size_alone =
        !first.empty() && (first == "?" || first[0] == '.' || (first[0] >= '0' && first[0] <= '9'));
    if (is_kind(reader, first) || !size_alone) {
        kind = first;
        nominal = text.substr(std::min(text.find_first_not_of(" \t", blank), text.size()));
    } else if (kind.empty() && text != "?") {
        fields.error(
            cell, fmt::format("{} is a size of no kind", shown("size", cell)),
            fmt::format(
                "write the kind before it, such as size = \"pvc-cl200 {}\", or give defaults.pipes.kind",
                text));
        return std::nullopt;
    }
    if (!kind.empty() && !is_kind(reader, kind)) {
        refuse_kind(fields, cell, kind);
        return std::nullopt;
    }
    if (nominal == "?") return any_size(reader, kind);
    if (const PipeSize* own = own_size(reader, kind, nominal)) return *own;
    const PipeKind* catalogued = model::find_kind(kind);
    const PipeSize* size = catalogued ? model::find_size(*catalogued, nominal) : nullptr;
    if (!size) {
        refuse_size(fields, cell, kind, nominal);
        return std::nullopt;
    }
    return *size;
}

}  // namespace

std::string_view read_size_text(const Fields& fields, std::string_view key) {
    const Cell* cell = fields.find(key);
    return cell ? size_text(fields, *cell, key) : std::string_view();
}

void set_friction(const Fields& fields, PipeSize& size, const std::string& subject) {
    CaseReader& reader = fields.reader();
    const bool by_c = reader.system.friction == model::FrictionLaw::hazen_williams;
    if (const auto c = fields.above_zero("c", Dimension::none)) {
        size.c = *c;
    } else if (!size.c.known()) {
        size.c = {usual_c, 0};
        if (by_c)
            reader.assume(subject, "C", usual_c, Dimension::none, "no c is given: as smooth plastic pipe");
    }
    if (const auto roughness = fields.zero_or_more("roughness", Dimension::roughness)) {
        size.roughness = *roughness;
    } else if (!size.roughness.known()) {
        size.roughness = {usual_roughness, 0};
        if (!by_c)
            reader.assume(subject, "roughness", usual_roughness, Dimension::roughness,
                          "no roughness is given: as smooth plastic pipe");
    }
}

void set_friction(const Fields& fields, model::Shared<PipeSize>& size, const std::string& subject) {
    if (size->c.known() && size->roughness.known() && !fields.has("c") && !fields.has("roughness")) return;
    PipeSize own = *size;
    set_friction(fields, own, subject);
    size = shared_size(fields.reader(), std::move(own));
}

std::optional<model::Shared<PipeSize>> resolve_size(const Fields& fields, const Cell& cell,
                                                    std::string_view kind) {
    const std::string_view text = size_text(fields, cell, "size");
    if (text.empty()) return std::nullopt;
    KnownSizes& known = fields.reader().known_sizes;
    if (known.last_text == text && known.last_kind == kind) return known.last;
    const std::string key = fmt::format("{}\n{}", kind, text);  // no kind and no size has a line's end in it
    auto found = known.by_text.find(key);
    if (found == known.by_text.end()) {
        auto size = look_up(fields, cell, text, kind);
        if (!size) return std::nullopt;
        found = known.by_text.emplace(key, std::move(*size)).first;
    }
    known.last_kind = kind;
    known.last_text = text;
    known.last = found->second;
    return known.last;
}

model::Shared<PipeSize> shared_size(CaseReader& reader, PipeSize size) {
    const OptionalQuantity& rating = size.rating;
    // Numbers by their bits: what is not known is then equal to what is not known.
    std::string key = fmt::format("{}\n{}\n{}{}", size.kind, size.nominal, static_cast<int>(size.material),
                                  size.given_unknown);
    for (const double number :
         {size.bore.value, size.bore.deviation, size.wall, size.outside, size.c.value, size.c.deviation,
          size.roughness.value, size.roughness.deviation, rating.has_value() ? rating->value : -1.0,
          rating.has_value() ? rating->deviation : -1.0, size.modulus}) {
        const auto bits = std::bit_cast<std::array<char, sizeof number>>(number);
        key.append(bits.begin(), bits.end());
    }
    auto& known = reader.known_sizes.by_values;
    const auto found = known.find(key);
    return found != known.end() ? found->second
                                : known.emplace(std::move(key), std::move(size)).first->second;
}

const TableReader kinds_table{"kinds", kinds_keys, read_kinds};
const TableReader prices_table{"prices", prices_keys, read_prices};

}  // namespace evenhead::io
