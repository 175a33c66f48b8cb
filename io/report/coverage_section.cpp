// How evenly each zone waters its ground: the answer, a picture of the least even zones, the table, what is
// left out.
#include <fmt/format.h>

#include <algorithm>

#include "io/report/coverage_drawing.hpp"
#include "io/report/sections.hpp"
#include "io/write/coverage.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::HeadCoverage;
using solver::ZoneCoverage;

constexpr std::size_t most_pictures = 12;

class CoverageSection {
  public:
    CoverageSection(Html& html, const ReportFacts& facts, const std::vector<ZoneCoverage>& zones)
        : html_(html), facts_(facts), speaker_(facts.speaker), zones_(zones) {}

    void write() {
        html_.raw(
            "<section id=\"coverage\" aria-labelledby=\"coverage-title\">\n<h2 id=\"coverage-title\">Even "
            "watering</h2>\n");
        const std::vector<solver::ZoneCans> no_cans;
        const CoverageAnswer answer = coverage_answer({speaker_, zones_, no_cans, facts_.subject.case_path});
        for (const std::string* sentence : {&answer.least_even, &answer.cause})
            if (!sentence->empty()) html_.element("p", *sentence).raw("\n");
        html_.element("p class=\"caution\"", coverage_caution).raw("\n");
        pictures();
        table();
        const auto warnings = coverage_warnings(speaker_, zones_);
        if (!warnings.empty()) {
            html_.raw("<h3>Left out or assumed</h3>\n<ul class=\"sentences\">\n");
            for (const std::string& warning : warnings) html_.element("li", warning).raw("\n");
            html_.raw("</ul>\n");
        }
        html_.raw("</section>\n");
    }

  private:
    std::string percent(double share) const { return shown(speaker_, share, Dimension::share); }

    void pictures() {
        std::vector<std::size_t> drawn;
        for (std::size_t i = 0; i < zones_.size(); ++i)
            if (zones_[i].covered()) drawn.push_back(i);
        const std::size_t all = drawn.size();
        if (all > most_pictures) {
            std::stable_sort(drawn.begin(), drawn.end(), [&](std::size_t one, std::size_t other) {
                return zones_[one].du_lq < zones_[other].du_lq;
            });
            drawn.resize(most_pictures);
            std::sort(drawn.begin(), drawn.end());
        }
        html_
            .element("p class=\"about\"",
                     fmt::format("{}North is up. Lines join places that get the same; circles are heads.",
                                 all > most_pictures
                                     ? fmt::format("The {} least even of {} zones. ", most_pictures, all)
                                     : std::string()))
            .raw("\n<div class=\"water-maps\">\n");
        for (const std::size_t i : drawn) {
            const ZoneCoverage& zone = zones_[i];
            html_.raw("<figure>\n<figcaption>")
                .element("strong", zone_id(speaker_.system, zone))
                .text(fmt::format(": {}, driest quarter {}, {} lands outside",
                                  speaker_.units.text(zone.rate, Dimension::rate),
                                  speaker_.units.text(zone.du_lq, Dimension::share),
                                  speaker_.units.text(zone.lost, Dimension::share)))
                .raw("</figcaption>\n");
            draw_coverage(html_, speaker_, zone, i);
            html_.raw("</figure>\n");
        }
        html_.raw("</div>\n");
    }

    void table() {
        const std::string rate(speaker_.units.word(Dimension::rate));
        const HtmlTable table{"coverage-table",
                              "Zones, in the order of the case",
                              {{"Zone"},
                               {"Area", std::string(speaker_.units.word(Dimension::area)), true},
                               {"Rate", rate, true},
                               {"Formula", rate, true},
                               {"DU lq", "%", true},
                               {"CU", "%", true},
                               {"Lost", "%", true},
                               {"Widest", "%", true},
                               {"Unmatched", "%", true},
                               {"DU even", "%", true},
                               {"CU even", "%", true}}};
        write_table(html_, table, zones_.size(), [&](HtmlRow& row, std::size_t i) {
            const ZoneCoverage& zone = zones_[i];
            const HeadCoverage* wide = widest_spacing(zone);
            row.begin()
                .head(zone_id(speaker_.system, zone))
                .number(shown(speaker_, zone.area, Dimension::area))
                .number(shown(speaker_, zone.rate, Dimension::rate))
                .number(shown(speaker_, zone.rate_formula, Dimension::rate))
                .number(percent(zone.du_lq))
                .number(percent(zone.cu))
                .number(percent(zone.lost))
                .number(wide == nullptr ? "-" : percent(wide->spacing()))
                .number(percent(zone.matched_difference()))
                .number(percent(zone.uniform_du_lq))
                .number(percent(zone.uniform_cu))
                .end();
        });
        html_
            .element("p class=\"about\"",
                     "Rate: the water that lands inside, over the area; formula: the flow of the zone over "
                     "the area. DU lq: the "
                     "driest quarter against the mean; CU: by Christiansen; lost: lands outside. Widest: "
                     "distance to the "
                     "nearest head, of the throw (100 % is head to head). Unmatched: how much more the head "
                     "with the highest "
                     "rate of its own applies than that with the lowest (0 % is matched precipitation). "
                     "Even: the same with "
                     "every head at its design pressure; what differs is the pressures' doing, the rest that "
                     "of spacing "
                     "and arcs.")
            .raw("\n");
    }

    Html& html_;
    const ReportFacts& facts_;
    const Speaker& speaker_;
    const std::vector<ZoneCoverage>& zones_;
};

}  // namespace

bool ReportParts::has_coverage() const {
    return answers.coverage != nullptr &&
           std::any_of(answers.coverage->begin(), answers.coverage->end(),
                       [](const ZoneCoverage& zone) { return zone.covered(); });
}

void write_coverage_section(const ReportParts& parts) {
    if (parts.has_coverage()) CoverageSection(parts.html, parts.facts, *parts.answers.coverage).write();
}

}  // namespace evenhead::io
