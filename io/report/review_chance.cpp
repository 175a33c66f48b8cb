// What the review says of numbers that may be off: what a critical head's pressure hangs on, and how likely
// heads get too little.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "io/report/review_parts.hpp"
#include "io/write/chance.hpp"
#include "io/write/sensitivity.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::ElementKind;
using solver::HeadChance;
using solver::HeadSensitivity;

constexpr std::size_t most_heads = 5, that_matter = 10, most_bands = 20;

/// Those with the least to spare first.
std::vector<const HeadSensitivity*> by_margin(const model::System& system,
                                              const std::vector<HeadSensitivity>& all) {
    std::vector<const HeadSensitivity*> heads;
    heads.reserve(all.size());
    for (const HeadSensitivity& of : all) heads.push_back(&of);
    const auto margin = [&](const HeadSensitivity* of) {
        const auto wanted = solver::wanted_pressure(system, of->head);
        return wanted ? of->pressure - *wanted : std::numeric_limits<double>::infinity();
    };
    std::stable_sort(heads.begin(), heads.end(),
                     [&](const HeadSensitivity* one, const HeadSensitivity* other) {
                         return margin(one) < margin(other);
                     });
    return heads;
}

void write_inputs(Html& html, const Speaker& speaker, const HeadSensitivity& of, std::size_t number) {
    const std::string id = fmt::format("review-inputs-{}", number);
    const HtmlTable table{
        id,
        fmt::format("Head {} in run {}, {}", element_id(speaker.system, {ElementKind::head, of.head}),
                    element_id(speaker.system, {ElementKind::run, of.run}),
                    speaker.units.text(of.pressure, Dimension::pressure)),
        {{"Input"}, {"Now"}, {"Step"}, {"Gain", std::string(speaker.units.word(Dimension::pressure)), true}},
        false};
    write_table(html, table, std::min(that_matter, of.derivatives.size()), [&](HtmlRow& line, std::size_t i) {
        const SensitivityLine words = sensitivity_line(speaker, of.derivatives[i]);
        line.begin()
            .head(sentence_case(words.input))
            .cell(words.now.empty() ? "-" : words.now)
            .cell(words.step)
            .number(words.gain)
            .end();
    });
}

void write_bands(Html& html, const Speaker& speaker, const std::vector<const HeadChance*>& heads) {
    const std::vector<const HeadChance*> first(
        heads.begin(), heads.begin() + static_cast<std::ptrdiff_t>(std::min(most_bands, heads.size())));
    html.raw("<figure class=\"grade-line\" id=\"review-bands\">\n");
    draw_bands(html, speaker, first, 960, "wide");
    draw_bands(html, speaker, first, 360, "narrow");
    html.raw("<figcaption class=\"about\">");
    html.text(fmt::format(
        "Nine pressures of ten lie within the bar; what lies below the head's lower limit (dashed) is "
        "hollow. The upright stroke is the pressure as drawn; at the right stands the chance of too "
        "little.{}",
        heads.size() > first.size()
            ? fmt::format(" The {} likeliest of {}; the table has all.", first.size(), heads.size())
            : ""));
    html.raw("</figcaption>\n</figure>\n");
}

}  // namespace

void write_hangs_on(Html& html, const Speaker& speaker, const ReviewSubject& subject) {
    if (subject.sensitivity == nullptr || subject.sensitivity->empty()) return;
    html.raw("<h3 id=\"review-sensitivity\">What the pressure hangs on, as given</h3>\n");
    const auto heads = by_margin(speaker.system, *subject.sensitivity);
    const std::size_t shown = std::min(most_heads, heads.size());
    std::string about =
        "What a step of each input gains at the critical head of a run, to first order, all else as given; "
        "the ten that matter most.";
    if (shown < heads.size())
        about += fmt::format(" Of {} those with the least to spare; review --format json has all.",
                             counted(heads.size(), "run"));
    html.element("p class=\"about\"", about).raw("\n");
    for (std::size_t i = 0; i < shown; ++i) {
        if (heads[i]->derivatives.empty())
            html.element("p", fmt::format("Head {}: nothing determines it, as still water stands in a ring "
                                          "that loses nothing.",
                                          element_id(speaker.system, {ElementKind::head, heads[i]->head})))
                .raw("\n");
        else
            write_inputs(html, speaker, *heads[i], i + 1);
    }
}

void write_chances(Html& html, const Speaker& speaker, const ReviewSubject& subject) {
    if (subject.chance == nullptr || subject.chance->heads.empty()) return;
    const solver::Chance& chance = *subject.chance;
    html.raw("<h3 id=\"review-chance\">The chance of too little pressure</h3>\n");
    html.element("p class=\"about\"", chance_words(chance)).raw("\n");
    const std::vector<const HeadChance*> heads = by_chance(chance);
    write_bands(html, speaker, heads);
    const std::string unit(speaker.units.word(Dimension::pressure));
    const HtmlTable table{"review-chances",
                          "Heads by their chance of too little",
                          {{"Head"},
                           {"Run"},
                           {"Drawn", unit, true},
                           {"Low", unit, true},
                           {"High", unit, true},
                           {"Needs", unit, true},
                           {"Too low", "", true},
                           {"First order", "", true}}};
    const auto number = [&](double si) { return speaker.units.number(si, Dimension::pressure); };
    write_table(html, table, heads.size(), [&](HtmlRow& line, std::size_t i) {
        const HeadChance& of = *heads[i];
        line.begin()
            .head(element_id(speaker.system, {ElementKind::head, of.head}))
            .cell(element_id(speaker.system, {ElementKind::run, of.run}))
            .number(number(of.pressure), of.pressure < of.wanted)
            .number(number(of.band[0]), of.band[0] < of.wanted)
            .number(number(of.band[1]), of.band[1] < of.wanted)
            .number(number(of.wanted))
            .number(share_below(of.below))
            .number(share_below(of.first_order_below))
            .end();
    });
    if (chance.unsolved > 0) html.element("p", chance_unsolved_words(chance)).raw("\n");
    html.element("p", spreads_words).raw("\n<ul class=\"sentences\">\n");
    for (const std::string& line : spread_lines(speaker.units, *subject.spreads))
        html.element("li", sentence_case(line)).raw("\n");
    html.raw("</ul>\n");
}

}  // namespace evenhead::io
