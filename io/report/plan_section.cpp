#include <fmt/format.h>

#include "io/plan/plan.hpp"
#include "io/report/sections.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

void write_tools(Html& html, const ReportFacts& facts) {
    const model::System& system = facts.subject.system;
    html.raw(
        "<div class=\"plan-tools\" id=\"plan-tools\" hidden>\n<p><label for=\"run\">Run</label> <select "
        "id=\"run\">"
        "<option value=\"\">All runs, each thing at its worst</option>");
    for (const RunFacts& run : facts.runs) {
        const char* state = !run.solved ? "not solved" : run.outside ? "outside limits" : "within limits";
        html.raw(fmt::format("<option value=\"{}\">", run.run));
        html.text(fmt::format("{}: {}", run_id(facts, run.run), state)).raw("</option>");
    }
    html.raw(
        "</select></p>\n"
        "<p class=\"find\"><label for=\"find\">Find</label> <input id=\"find\" type=\"search\" "
        "autocomplete=\"off\" "
        "placeholder=\"id of a head, pipe, valve\" role=\"combobox\" aria-expanded=\"false\" "
        "aria-controls=\"found\" aria-autocomplete=\"list\"><span id=\"found\" role=\"listbox\" "
        "aria-label=\"Things with this id\" hidden></span></p>\n"
        "<p class=\"zoom\"><button type=\"button\" id=\"nearer\" aria-label=\"Nearer\">+</button> "
        "<button type=\"button\" id=\"farther\" aria-label=\"Farther\">\xE2\x88\x92</button> "
        "<button type=\"button\" id=\"whole\">Whole plan</button></p>\n");
    if (plan_offers_elevations(system))
        html.raw(
            "<p class=\"show\"><label for=\"elevations\">Elevations</label> <input type=\"checkbox\" "
            "id=\"elevations\"> <output id=\"elevations-said\" for=\"elevations\"></output></p>\n");
    html.raw("</div>\n");
}

}  // namespace

void write_plan_section(const ReportParts& parts) {
    Html& html = parts.html;
    const ReportFacts& facts = parts.facts;
    const model::System& system = facts.subject.system;
    html.raw("<section id=\"plan\" aria-labelledby=\"plan-title\">\n<h2 id=\"plan-title\">Plan</h2>\n");
    write_tools(html, facts);
    html.raw(
        "<figure class=\"drawing\">\n<div id=\"plan-window\" role=\"group\" tabindex=\"0\" "
        "aria-label=\"Plan. "
        "Arrow keys "
        "move it, plus and minus zoom, zero shows the whole, N and P step from thing to thing.\">\n");
    PlanSubject subject{system, facts.subject.layout, facts.marks, facts.speaker};
    if (parts.diagnosis != nullptr) subject.suspects = parts.diagnosis->suspects;
    PlanOptions options;
    options.standalone = false;
    html.raw("<div id=\"plan-sheet\">\n");
    write_plan(html.output(), subject, options);
    html.raw("</div>\n");
    html.raw(
        "</div>\n<figcaption>\n<div id=\"card\" class=\"card\" role=\"status\" aria-live=\"polite\" "
        "hidden></div>\n");
    for (const std::string& remark : plan_remarks(subject))
        html.element("p class=\"about\"", remark).raw("\n");
    if (facts.numbers.dropped() > 0)
        html.raw(fmt::format(
            "<p class=\"about\" id=\"numbers-kept\">The numbers of single runs are here for the {} "
            "worst of {} runs; of the others, what they water and what is outside its limits.</p>\n",
            facts.numbers.kept().size(), facts.runs.size()));
    html.raw("<div class=\"on-wide\">\n");
    write_plan_legend(html.output(), subject, 1000);
    html.raw("</div>\n<div class=\"on-narrow\">\n");
    write_plan_legend(html.output(), subject, 350);
    html.raw("</div>\n");
    html.raw("</figcaption>\n</figure>\n</section>\n");
}

}  // namespace evenhead::io
