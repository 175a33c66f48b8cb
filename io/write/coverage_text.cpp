#include <fmt/format.h>

#include <cmath>

#include "io/write/check_answer.hpp"
#include "io/write/coverage.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::CanCompared;
using solver::HeadCoverage;
using solver::ZoneCans;
using solver::ZoneCoverage;

class CoverageText {
  public:
    CoverageText(Output& output, const CoverageSubject& subject, const Page& page)
        : output_(output), subject_(subject), speaker_(subject.speaker), page_(page) {}

    void write() {
        const CoverageAnswer answer = coverage_answer(subject_);
        for (const std::string* sentence : {&answer.least_even, &answer.cause, &answer.next})
            if (!sentence->empty()) say(*sentence);
        zones();
        causes();
        driest();
        for (const ZoneCans& cans : subject_.cans) measured(cans);
        const auto warnings = coverage_warnings(speaker_, subject_.zones);
        if (!warnings.empty()) output_.write("\nLeft out or assumed\n");
        for (const std::string& warning : warnings) say(warning, "- ");
        output_.write("\n");
        say(std::string(coverage_caution));
        output_.write("\n" + cautions(page_));
    }

  private:
    void say(const std::string& words, std::string_view first = "") {
        output_.write(paragraph(words, page_.columns(), first));
    }
    std::string unit(Dimension dimension) const { return std::string(speaker_.units.word(dimension)); }
    std::string number(double si, Dimension dimension) const { return speaker_.units.number(si, dimension); }
    std::string percent(double share) const { return number(share, Dimension::share); }
    std::string length(double metres) const { return number(metres, Dimension::length); }
    std::string head(model::Index of) const {
        return of == model::none ? "-" : speaker_.system.point_id(speaker_.system.heads[at(of)].point);
    }
    std::string id(const ZoneCoverage& zone) const { return zone_id(speaker_.system, zone); }

    void zones() {
        if (subject_.zones.empty()) return;
        const std::string rate = unit(Dimension::rate);
        TextTable table({{"Zone", "", 10},
                         {"Area", unit(Dimension::area)},
                         {"Rate", rate},
                         {"Formula", rate},
                         {"DU lq", "%"},
                         {"CU", "%"},
                         {"Lost", "%"}});
        std::size_t shown = 0;
        for (const ZoneCoverage& zone : subject_.zones) {
            if (++shown > page_.rows()) break;
            table.add({id(zone), number(zone.area, Dimension::area), number(zone.rate, Dimension::rate),
                       number(zone.rate_formula, Dimension::rate), percent(zone.du_lq), percent(zone.cu),
                       percent(zone.lost)});
        }
        output_.write("\n" + table.text(page_) + and_more(subject_.zones.size(), page_.rows()));
        output_.write("\n");
        say("Rate: the water that lands inside, over the area. Formula: the flow of the zone over the area. "
            "DU "
            "lq: the driest quarter against the mean. CU: by Christiansen. Lost: lands outside.");
    }

    void causes() {
        TextTable table({{"Spacing, pressure", "", 10},
                         {"Widest", "%"},
                         {"Head", "", 4},
                         {"Unmatched", "%"},
                         {"DU even", "%"},
                         {"CU even", "%"}});
        for (const ZoneCoverage& zone : subject_.zones) {
            if (!zone.covered() || table.size() == page_.rows()) continue;
            const HeadCoverage* wide = widest_spacing(zone);
            table.add({id(zone), wide == nullptr ? "-" : percent(wide->spacing()),
                       wide == nullptr ? "-" : head(wide->head), percent(zone.matched_difference()),
                       percent(zone.uniform_du_lq), percent(zone.uniform_cu)});
        }
        if (table.size() == 0) return;
        output_.write("\n" + table.text(page_) + "\n");
        say("Widest: distance to the nearest head, of the throw; 100 % is head to head. Unmatched: how much "
            "more the "
            "head with the highest rate of its own applies than that with the lowest (0 % is matched "
            "precipitation). "
            "Even: the same with every head at its design pressure, so what differs from DU and CU above is "
            "the "
            "pressures' doing.");
    }

    void driest() {
        std::size_t written = 0;
        for (const ZoneCoverage& zone : subject_.zones) {
            if (zone.driest.empty() || written == page_.rows()) continue;
            if (written++ == 0) output_.write("\nDriest places\n");
            std::string places;
            for (const solver::DryPlace& place : zone.driest)
                places += fmt::format("{}x {}, y {} {} ({}{})", places.empty() ? "" : "; ", length(place.x),
                                      length(place.y), unit(Dimension::length),
                                      speaker_.units.text(place.depth, Dimension::share),
                                      places.empty() ? " of the mean" : "");
            if (zone.below_half >= least_said)
                places += fmt::format("; {} of its ground gets less than half the mean",
                                      speaker_.units.text(zone.below_half, Dimension::share));
            say(fmt::format("{}: {}.", id(zone), places), "- ");
        }
    }
    static constexpr double least_said = 0.0005;  // of the ground

    void measured(const ZoneCans& of) {
        const std::string rate = unit(Dimension::rate);
        const std::string zone = speaker_.system.point_id(speaker_.system.valves[at(of.valve)].point);
        output_.write("\n");
        say(fmt::format("Measured in zone {}, {}; computed at the same places:", zone,
                        counted(of.cans.size(), "can")));
        TextTable table({{"", "", 10}, {"Measured", ""}, {"Computed", ""}, {"", "", 0, true}});
        const auto row = [&](const char* what, double measured, double computed, Dimension dimension) {
            table.add({what, number(measured, dimension), number(computed, dimension), unit(dimension)});
        };
        row("rate", of.measured.mean, of.computed.mean, Dimension::rate);
        row("DU lq", of.measured.du_lq, of.computed.du_lq, Dimension::share);
        row("CU", of.measured.cu, of.computed.cu, Dimension::share);
        output_.write(table.text(page_) + "\n");
        TextTable cans({{"Can at x", unit(Dimension::length), 8},
                        {"y", unit(Dimension::length)},
                        {"Measured", rate},
                        {"Computed", rate}});
        for (const CanCompared& row_of : of.cans) {
            if (cans.size() == page_.rows()) break;
            cans.add({length(row_of.can.x), length(row_of.can.y), number(row_of.can.rate, Dimension::rate),
                      number(row_of.computed, Dimension::rate)});
        }
        output_.write(cans.text(page_) + and_more(of.cans.size(), page_.rows()));
        constexpr std::size_t usual_cans = 24;
        if (of.cans.size() < usual_cans)
            say("Fewer than 24 cans: common practice is 24 or more, in equal distances.");
    }

    Output& output_;
    const CoverageSubject& subject_;
    const Speaker& speaker_;
    const Page page_;
};

}  // namespace

void write_coverage_text(Output& output, const CoverageSubject& subject, const Page& page) {
    CoverageText(output, subject, page).write();
}

}  // namespace evenhead::io
