#include "io/write/kinds.hpp"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <string_view>

#include "io/units.hpp"

namespace evenhead::io {
namespace {

using Json = nlohmann::ordered_json;
using model::PipeKind;
using model::PipeSize;

/// The unit words of a kind, and how many decimals its standard prints.
struct KindUnits {
    std::string_view length, pressure, modulus, temperature;
    int length_decimals, roughness_decimals;
};

KindUnits units_of(const PipeKind& kind) {
    if (kind.metric) return {"mm", "bar", "MPa", "degC", 1, 4};
    return {"in", "psi", "psi", "degF", 3, 6};
}

std::string_view material_word(model::Material material) {
    switch (material) {
        case model::Material::pvc:
            return "PVC";
        case model::Material::polyethylene:
            return "PE";
        case model::Material::copper:
            return "copper";
        case model::Material::steel:
            return "steel";
        case model::Material::unknown:
            break;
    }
    return "unknown";
}

/// In the unit, without the last bits that the way through SI leaves: 1.049 in, not 1.0490000000000002 in.
double tidy(double si, std::string_view unit) {
    constexpr double last = 1e12;
    return std::round(to_unit(si, unit) * last) / last;
}

Json tidy_json(double si, std::string_view unit) {
    return std::isnan(si) ? Json(nullptr) : Json(tidy(si, unit));
}

/// A whole number with a comma before each three digits: 400,000.
std::string grouped(double value) {
    std::string digits = fmt::format("{:.0f}", value);
    for (auto place = static_cast<std::ptrdiff_t>(digits.size()) - 3; place > 0; place -= 3)
        digits.insert(static_cast<std::size_t>(place), ",");
    return digits;
}

const model::RatingFactors* factors_of(const PipeKind& kind) {
    for (const model::RatingFactors& factors : model::rating_factors())
        if (factors.name == kind.factors) return &factors;
    return nullptr;
}

std::string factors_sentence(const model::RatingFactors& factors, std::string_view unit) {
    std::string list;
    for (const auto& row : factors.rows)
        list += fmt::format("{}{:.2f} at {:g} {}", list.empty() ? "" : ", ", row.factor,
                            tidy(row.temperature, unit), unit);
    return fmt::format("share of the rating left: {}; straight between them ({}).", list, factors.source);
}

TextTable size_table(const PipeKind& kind, const KindUnits& units) {
    const std::string length(units.length);
    TextTable table({{"size", length, 6, true},
                     {"outside", length, 9},
                     {"wall", length, 8},
                     {"bore", length, 8},
                     {"rating", std::string(units.pressure), 8}});
    for (const PipeSize& size : kind.sizes) {
        const auto cell = [&](double si) {
            return fmt::format("{:.{}f}", to_unit(si, units.length), units.length_decimals);
        };
        const std::string rating =
            size.rating ? fmt::format("{:.0f}", to_unit(size.rating->value, units.pressure)) : "-";
        table.add({size.nominal, cell(size.outside), cell(size.wall), cell(size.bore.value), rating});
    }
    return table;
}

Json sizes_json(const PipeKind& kind, const KindUnits& units) {
    Json sizes = Json::array();
    for (const PipeSize& size : kind.sizes)
        sizes.push_back(
            {{"nominal", size.nominal},
             {"outside", tidy_json(size.outside, units.length)},
             {"wall", tidy_json(size.wall, units.length)},
             {"bore", tidy_json(size.bore.value, units.length)},
             {"rating", size.rating ? tidy_json(size.rating->value, units.pressure) : Json(nullptr)}});
    return sizes;
}

Json kind_object(const PipeKind& kind) {
    const KindUnits units = units_of(kind);
    Json object{{"name", kind.name},
                {"standard", kind.standard},
                {"material", material_word(kind.material)},
                {"c", kind.c},
                {"roughness", tidy_json(kind.roughness, units.length)},
                {"modulus", std::round(to_unit(kind.modulus, units.modulus))},
                {"units",
                 {{"length", units.length},
                  {"pressure", units.pressure},
                  {"modulus", units.modulus},
                  {"temperature", units.temperature}}},
                {"bore_rule", kind.bore_rule},
                {"rating_rule", kind.rating_rule.empty() ? Json(nullptr) : Json(kind.rating_rule)},
                {"source", kind.source},
                {"sizes", sizes_json(kind, units)}};
    Json rows = Json::array();
    const model::RatingFactors* factors = factors_of(kind);
    if (factors != nullptr)
        for (const auto& row : factors->rows)
            rows.push_back(
                {{"temperature", tidy(row.temperature, units.temperature)}, {"factor", row.factor}});
    object["rating_factors"] = rows;
    object["rating_factors_source"] = factors == nullptr ? Json(nullptr) : Json(factors->source);
    return object;
}

/// Text of a CSV cell, in quotes where it holds a comma.
std::string csv_cell(std::string_view text) {
    return text.find(',') == std::string_view::npos ? std::string(text) : fmt::format("\"{}\"", text);
}

}  // namespace

std::string kinds_text(const Page& page) {
    TextTable table({{"kind", "", 13, true},
                     {"standard", "", 16, true},
                     {"material", "", 8, true},
                     {"C", "", 3},
                     {"sizes", "", 0, true}});
    for (const PipeKind& kind : model::pipe_kinds())
        table.add({kind.name, kind.standard, std::string(material_word(kind.material)),
                   fmt::format("{:g}", kind.c),
                   fmt::format("{} to {} {}", kind.sizes.front().nominal, kind.sizes.back().nominal,
                               units_of(kind).length)});
    return table.text(page) +
           "\nC: Hazen-Williams coefficient of new pipe.\nBores and ratings: evenhead kinds KIND\n";
}

std::string kinds_json() {
    Json kinds = Json::array();
    for (const PipeKind& kind : model::pipe_kinds()) kinds.push_back(kind_object(kind));
    return Json{{"schema", 1}, {"kinds", kinds}}.dump(2) + '\n';
}

std::string kinds_csv() {
    std::string text = "name,standard,material,c,smallest,largest,unit\n";
    for (const PipeKind& kind : model::pipe_kinds())
        text += fmt::format("{},{},{},{},{},{},{}\n", kind.name, csv_cell(kind.standard),
                            material_word(kind.material), kind.c, kind.sizes.front().nominal,
                            kind.sizes.back().nominal, units_of(kind).length);
    return text;
}

std::string kind_text(const PipeKind& kind, const Page& page) {
    const KindUnits units = units_of(kind);
    std::string text =
        fmt::format("{}: {} pipe, {}\n", kind.name, material_word(kind.material), kind.standard);
    text += paragraph(fmt::format("Hazen-Williams C {:g}, roughness {:.{}f} {}, modulus of elasticity {} {}",
                                  kind.c, to_unit(kind.roughness, units.length), units.roughness_decimals,
                                  units.length, grouped(to_unit(kind.modulus, units.modulus)), units.modulus),
                      page.columns());
    text += '\n' + size_table(kind, units).text(page) + '\n';
    text += paragraph(kind.bore_rule + ".", page.columns(), "Bore: ");
    text += paragraph(
        kind.rating_rule.empty() ? "not rated here; a case may say `rating`." : kind.rating_rule + ".",
        page.columns(), "Rating: ");
    if (const model::RatingFactors* factors = factors_of(kind))
        text += paragraph(factors_sentence(*factors, units.temperature), page.columns(), "Warm water: ");
    return text + paragraph(kind.source + ".", page.columns(), "Source: ");
}

std::string kind_json(const PipeKind& kind) {
    Json object{{"schema", 1}};
    object.update(kind_object(kind));
    return object.dump(2) + '\n';
}

std::string kind_csv(const PipeKind& kind) {
    const KindUnits units = units_of(kind);
    std::string text = "kind,nominal,unit,outside,wall,bore,rating_unit,rating\n";
    for (const PipeSize& size : kind.sizes)
        text += fmt::format("{},{},{},{},{},{},{},{}\n", kind.name, size.nominal, units.length,
                            tidy(size.outside, units.length), tidy(size.wall, units.length),
                            tidy(size.bore.value, units.length), size.rating ? units.pressure : "",
                            size.rating ? fmt::format("{}", tidy(size.rating->value, units.pressure)) : "");
    return text;
}

}  // namespace evenhead::io
