#include "io/write/chance.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::SpreadKind;
using solver::ElementKind;
using solver::HeadChance;

Dimension dimension_of(SpreadKind kind) {
    switch (kind) {
        case SpreadKind::static_pressure:
        case SpreadKind::device_set:
        case SpreadKind::valve_set:
        case SpreadKind::head_set:
            return Dimension::pressure;
        case SpreadKind::elevation:
            return Dimension::length;
        default:
            return Dimension::none;
    }
}

std::string amount(const ShownUnits& units, SpreadKind kind, const model::Spread& spread) {
    return spread.share ? units.limit(spread.amount, Dimension::share)
                        : units.limit(spread.amount, dimension_of(kind));
}

template <class Visit>
void each_spread(const model::Spreads& spreads, const Visit& visit) {
    for (std::size_t i = 0; i < model::spread_kinds; ++i)
        if (spreads.kinds[i].amount > 0) visit(static_cast<SpreadKind>(i), spreads.kinds[i]);
}

}  // namespace

std::vector<const HeadChance*> by_chance(const solver::Chance& chance) {
    std::vector<const HeadChance*> heads;
    for (const HeadChance& of : chance.heads) heads.push_back(&of);
    const auto rank = [](const HeadChance& of) { return std::isnan(of.below) ? -1 : of.below; };
    const auto margin = [](const HeadChance& of) {
        return std::isnan(of.wanted) ? of.band[0] : of.band[0] - of.wanted;
    };
    std::stable_sort(heads.begin(), heads.end(), [&](const HeadChance* one, const HeadChance* other) {
        if (rank(*one) != rank(*other)) return rank(*one) > rank(*other);
        return margin(*one) < margin(*other);
    });
    return heads;
}

std::string share_below(double share) {
    if (std::isnan(share)) return "-";
    if (share > 0 && share < 0.001) return "<0.1 %";
    if (share < 1 && share > 0.999) return ">99.9 %";
    return fmt::format("{:.{}f} %", 100 * share, share > 0 && share < 0.1 ? 1 : 0);
}

std::string chance_words(const solver::Chance& chance) {
    return fmt::format(
        "{} uncertain inputs, drawn {} times and balanced. Low and high: nine in ten lie between. First: "
        "what the derivatives say of the same.",
        chance.inputs.size(), chance.samples);
}

std::string chance_unsolved_words(const solver::Chance& chance) {
    return fmt::format("{} balances of them had no proven solution and count nowhere.", chance.unsolved);
}

std::vector<std::string> spread_lines(const ShownUnits& units, const model::Spreads& spreads) {
    std::vector<std::string> lines;
    each_spread(spreads, [&](SpreadKind kind, const model::Spread& spread) {
        lines.push_back(fmt::format("{} +-{}: {}", model::spread_name(kind), amount(units, kind, spread),
                                    with_dot(spread.basis.empty() ? "given" : spread.basis)));
    });
    return lines;
}

std::string chance_text(const Speaker& speaker, const solver::Chance& chance, const model::Spreads& spreads,
                        const Page& page) {
    std::string text = paragraph(chance_words(chance), page.columns());
    const std::string unit(speaker.units.word(Dimension::pressure));
    TextTable table({{"Head", "", 8},
                     {"Run", "", 6, true},
                     {"Drawn", unit, 5},
                     {"Low", unit, 5},
                     {"High", unit, 5},
                     {"Needs", unit, 5},
                     {"Too low", "", 7},
                     {"First", "", 6}});
    const std::vector<const HeadChance*> heads = by_chance(chance);
    const std::size_t shown = std::min(heads.size(), page.rows());
    const auto number = [&](double si) { return speaker.units.number(si, Dimension::pressure); };
    for (std::size_t i = 0; i < shown; ++i) {
        const HeadChance& of = *heads[i];
        table.add({element_id(speaker.system, {ElementKind::head, of.head}),
                   element_id(speaker.system, {ElementKind::run, of.run}), number(of.pressure),
                   number(of.band[0]), number(of.band[1]), number(of.wanted), share_below(of.below),
                   share_below(of.first_order_below)});
    }
    text += table.text(page) + and_more(heads.size(), shown);
    if (chance.unsolved > 0) text += paragraph(chance_unsolved_words(chance), page.columns());
    text += paragraph(spreads_words, page.columns());
    for (const std::string& line : spread_lines(speaker.units, spreads))
        text += paragraph(line, page.columns(), "- ");
    return text;
}

void spreads_json(JsonWriter& json, const ShownUnits& units, const model::Spreads& spreads) {
    json.line().key("spreads").begin_array();
    each_spread(spreads, [&](SpreadKind kind, const model::Spread& spread) {
        const Dimension dimension = spread.share ? Dimension::share : dimension_of(kind);
        json.line().begin_object().text("input", model::spread_name(kind));
        json.number("amount", units.in_unit(spread.amount, dimension));
        json.text("unit", units.word(dimension)).text("basis", spread.basis).end_object();
    });
    json.end_array();
}

void chance_json(JsonWriter& json, const Speaker& speaker, const solver::Chance& chance,
                 const model::Spreads& spreads) {
    const auto pressure = [&](double si) { return speaker.units.in_unit(si, Dimension::pressure); };
    const auto band = [&](std::string_view key, const std::array<double, 2>& of) {
        json.key(key).begin_array().number(pressure(of[0])).number(pressure(of[1])).end_array();
    };
    json.line().key("chance").begin_array();
    for (const HeadChance& of : chance.heads) {
        json.line().begin_object();
        json.text("run", element_id(speaker.system, {ElementKind::run, of.run}));
        json.text("head", element_id(speaker.system, {ElementKind::head, of.head}));
        json.number("below", of.below);
        band("band", of.band);
        json.number("pressure", pressure(of.pressure)).number("wanted", pressure(of.wanted));
        json.number("below_first_order", of.first_order_below);
        band("band_first_order", of.first_order_band);
        json.key("samples").whole(static_cast<long long>(of.samples)).end_object();
    }
    json.end_array().line().key("chance_of").begin_object();
    json.key("samples").whole(static_cast<long long>(chance.samples));
    json.key("seed").whole(static_cast<long long>(chance.seed));
    json.key("inputs").whole(static_cast<long long>(chance.inputs.size()));
    json.key("unsolved").whole(static_cast<long long>(chance.unsolved)).end_object();
    spreads_json(json, speaker.units, spreads);
}

}  // namespace evenhead::io
