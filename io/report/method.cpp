// How the numbers are found, by whose rules they are judged, how closely they close, and what they leave out.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "io/report/sections.hpp"
#include "io/write/review.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::RuleId;

/// What each rule asks, in the order of RuleId.
constexpr std::array<std::string_view, solver::rule_count> rule_words{
    "Every running head between the least and the most pressure of its nozzle.",
    "How far the nozzle pressures of one zone lie apart, as a share of the design pressure or of their mean.",
    "The water's velocity in every pipe.",
    "The flow through a device, as a share of its safe flow.",
    "What a meter takes, as a share of the static pressure before it.",
    "The pressure in a pipe, surge included, as a share of its rating at the water's temperature.",
    "The pressure rise from one open valve that closes at once.",
    "No point below the pressure of the air while water runs.",
    "Every chart used inside its rows.",
    "A constant draw gets its whole flow.",
    "Every head gets water in some run.",
    "No head is fed through two valves.",
    "What a drawing states of a head or valve beside what is computed.",
    "The static pressure before a zone that nothing holds down.",
    "The pressure before a regulated head, above what it holds.",
    "The way to the nearest head of the zone, as a share of the throw.",
    "The pressure in a pipe without surge, as a share of its rating.",
};

std::string limit_words(const ReportFacts& facts, const solver::RuleInfo& info,
                        const solver::RuleLimit& limit) {
    const ShownUnits& units = facts.speaker.units;
    const std::string by =
        limit.source.empty() ? ", by this case" : ", by the rule set " + facts.subject.system.rule_set;
    if (limit.not_asked) return "not asked";
    if (limit.off) return "off" + by;
    if (info.id == RuleId::head_pressure)
        return limit.given ? fmt::format("design \xC2\xB1 {}{}", units.limit(limit.value, info.limit), by)
                           : "of the nozzle";
    if (info.takes_fail) return limit.fail ? "fails" + by : "a warning";
    if (!limit.has_value) return info.id == RuleId::surge ? "value only" : "-";
    if (info.limit == Dimension::none) return "-";
    return limit_text(units, info, limit) + (limit.given ? by : "");
}

void write_rules(const ReportParts& parts) {
    const ReportFacts& facts = parts.facts;
    const auto basis = solver::prepare_rules(facts.subject.system, facts.subject.layout);
    std::map<RuleId, std::size_t> counts;
    std::map<RuleId, std::string> sources;
    for (const FindingList::Group* group : facts.found.groups()) {
        ++counts[group->finding.rule];
        std::string& said = sources[group->finding.rule];
        const std::string& source = group->finding.source;
        if (said.find(source) == std::string::npos) said += (said.empty() ? "" : "; ") + source;
    }
    const auto& rules = solver::rule_table();
    write_table(parts.html,
                {"rule-table",
                 "Rules, their limits and sources",
                 {{"Rule"}, {"What it asks"}, {"Limit here"}, {"Source"}, {"Findings", "", true}},
                 false},
                rules.size(), [&](HtmlRow& row, std::size_t i) {
                    const solver::RuleInfo& info = rules[i];
                    const std::string& used = sources[info.id];
                    const std::string& of_set = basis[info.id].source;
                    std::string source = of_set.empty() ? std::string(info.source) : of_set;
                    if (!used.empty() && used != source) source += "; here " + used;
                    row.begin()
                        .head(info.name)
                        .cell(rule_words[static_cast<std::size_t>(info.id)])
                        .cell(limit_words(facts, info, basis[info.id]))
                        .cell(source)
                        .number(std::to_string(counts[info.id]))
                        .end();
                });
}

std::string small(double value) {
    return fmt::format("{:.1e}", value);
}

void write_closure(const ReportParts& parts) {
    const ReportFacts& facts = parts.facts;
    const ShownUnits& units = facts.speaker.units;
    const std::string flow(units.word(Dimension::flow)), pressure(units.word(Dimension::pressure));
    const RunFacts *worst_flow = nullptr, *worst_pressure = nullptr;
    for (const RunFacts& run : facts.runs) {
        if (!run.solved) continue;
        if (worst_flow == nullptr || run.closure.flow > worst_flow->closure.flow) worst_flow = &run;
        if (worst_pressure == nullptr || run.closure.pressure > worst_pressure->closure.pressure)
            worst_pressure = &run;
    }
    Html& html = parts.html;
    html.raw("<h3 id=\"closure\">How closely the numbers close</h3>\n");
    html.raw(
        "<p>After each balance a second computation, which shares nothing with the first, takes the flows "
        "and "
        "pressures back to the laws. No number is printed unless every point closes to 1e-9 of its flow and "
        "every "
        "element to 1e-6 psi (0.007 Pa).");
    if (worst_flow != nullptr)
        html.text(fmt::format(
            " Here the largest imbalance at a point is {} {} (run {}) and the largest mismatch of an "
            "element {} {} (run {}).",
            small(units.in_unit(worst_flow->closure.flow, Dimension::flow)), flow,
            run_id(facts, worst_flow->run),
            small(units.in_unit(worst_pressure->closure.pressure, Dimension::pressure)), pressure,
            run_id(facts, worst_pressure->run)));
    html.raw("</p>\n");
    write_table(
        html,
        {"closure-table",
         "Closure of each run",
         {{"Run"}, {"Solved"}, {"Steps", "", true}, {"Imbalance", flow, true}, {"Mismatch", pressure, true}}},
        facts.runs.size(), [&](HtmlRow& row, std::size_t i) {
            const RunFacts& run = facts.runs[i];
            row.begin()
                .head(run_id(facts, run.run))
                .cell(run.solved ? "yes" : "no")
                .number(std::to_string(run.closure.steps))
                .number(run.solved ? small(units.in_unit(run.closure.flow, Dimension::flow)) : "-")
                .number(run.solved ? small(units.in_unit(run.closure.pressure, Dimension::pressure)) : "-")
                .end();
        });
}

}  // namespace

void write_method(const ReportParts& parts) {
    Html& html = parts.html;
    const bool darcy = parts.facts.subject.system.friction == model::FrictionLaw::darcy_weisbach;
    html.raw(
        "<section id=\"method\" aria-labelledby=\"method-title\">\n<h2 id=\"method-title\">Method and "
        "sources</h2>\n");
    html.raw(
        "<p>Every element is a never-falling curve of loss over flow. The flows and pressures at which all "
        "curves "
        "and all balances hold are found for all points of a run at once by Newton-Raphson on flows and "
        "heights, "
        "with a line search on the convex function whose minimum they are (E. Todini and S. Pilati, 1988). "
        "Loops, "
        "pumps, regulation and heads whose flow follows their pressure are part of it.</p>\n");
    html.raw(darcy ? "<p>Friction in pipes by Darcy-Weisbach with the friction factor of Colebrook and "
                     "White; laminar "
                     "below a Reynolds number of 2000.</p>\n"
                   : "<p>Friction in pipes by Hazen-Williams, with the C of each pipe's material.</p>\n");
    html.raw(
        "<p>Valves and devices by their coefficients (Cv, Kv, k) or charts; a chart between its rows by a "
        "monotone "
        "piecewise cubic (F. N. Fritsch and J. Butland, 1984). A supply by its flow tests, with the exponent "
        "1.852 "
        "of hydrant flow tests. Nozzles by their data, straight between rows on logarithmic scales. Surge by "
        "Joukowsky with the wave speed of Korteweg. Density of water by G. S. Kell (1975).</p>\n");
    html.raw("<h3 id=\"rules\">Rules</h3>\n");
    write_rules(parts);
    write_closure(parts);
    html.raw(
        "</section>\n<section id=\"cautions\" aria-labelledby=\"cautions-title\">\n"
        "<h2 id=\"cautions-title\">What the numbers leave out, and cautions</h2>\n<ul "
        "class=\"sentences\">\n");
    for (const std::string_view words :
         {"For irrigation sprinklers, not for fire protection.",
          "Velocity head is neglected everywhere; at 5 ft/s (1.5 m/s) it is 0.17 psi (1.2 kPa).",
          "Fittings lose nothing unless the case gives them.",
          "Filling, air and pumps that start are not computed; surge is one figure, for valves that shut at "
          "once.",
          "A head within its pressure still waters badly if it is tilted, blocked or too far from the next.",
          "A result is as good as the static pressure, the bores and the nozzle data in the case. Use the "
          "lowest static "
          "pressure of the season.",
          "Have buried utilities located before you dig. Nothing here shows where they are.",
          "Relieve the pressure before you open a fitting.",
          "Backflow protection is by local rule: its type, its place, its test.",
          "Local plumbing code and a licensed irrigator or engineer decide; this report replaces neither."})
        html.element("li", words).raw("\n");
    html.raw("</ul>\n</section>\n");
}

}  // namespace evenhead::io
