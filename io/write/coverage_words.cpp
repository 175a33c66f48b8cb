// The sentences about even watering, the same in text, JSON and report.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "io/write/check_answer.hpp"
#include "io/write/coverage.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::HeadCoverage;
using solver::LeftOut;
using solver::Uncovered;
using solver::ZoneCoverage;

constexpr std::size_t most_named = 6;

/// "head A", "heads A, B and 3 more".
std::string named(std::string_view noun, const std::vector<std::string>& ids) {
    std::string text = fmt::format("{}{}", noun, ids.size() == 1 ? " " : "s ");
    const std::size_t names = ids.size() > most_named + 1 ? most_named : ids.size();
    for (std::size_t i = 0; i < names; ++i) {
        const bool last = i + 1 == ids.size();
        text += fmt::format("{}{}", i == 0 ? "" : last ? " and " : ", ", ids[i]);
    }
    if (names < ids.size()) text += fmt::format(" and {} more", ids.size() - names);
    return text;
}

std::string_view mend(LeftOut::Why why) {
    switch (why) {
        case LeftOut::Why::no_coordinates:
            return "give x and y";
        case LeftOut::Why::no_radius:
            return "give the nozzle's radius at each pressure";
        case LeftOut::Why::no_arc:
            return "give the arc in degrees";
        case LeftOut::Why::no_facing:
            return "give facing: degrees clockwise from north to the middle of the arc";
        case LeftOut::Why::no_shape:
            break;
    }
    return "write rows of fraction of the radius and relative rate: [[0, 1], [1, 0]]";
}

std::string_view mend(Uncovered why) {
    switch (why) {
        case Uncovered::covered:
            break;
        case Uncovered::no_run:
            return "add it to a run";
        case Uncovered::unsolved:
            return "evenhead check says why";
        case Uncovered::no_heads:
            return "give them coordinates, a radius and, where the arc is under 360 degrees, facing";
        case Uncovered::few_heads:
        case Uncovered::in_line:
            return "draw its ground: areas = [ { id = \"lawn-area\", valve = \"lawn\", outline = [[0, 0], "
                   "[40, "
                   "0], [40, 30]] } ]";
        case Uncovered::bad_outline:
            return "give the corners in turn, once round the ground";
        case Uncovered::too_many_cells:
            return "give a larger --grid";
        case Uncovered::too_wide_cells:
            return "give a smaller --grid";
    }
    return "";
}

std::string head_id(const Speaker& speaker, Index head) {
    return speaker.system.point_id(speaker.system.heads[at(head)].point);
}

/// The nozzles of counted heads that give no design pressure.
std::vector<std::string> without_design(const Speaker& speaker, const std::vector<ZoneCoverage>& zones) {
    std::vector<char> used(speaker.system.nozzles.size(), 0);
    for (const ZoneCoverage& zone : zones)
        if (zone.covered())
            for (const HeadCoverage& head : zone.heads)
                used[at(speaker.system.heads[at(head.head)].nozzle)] = 1;
    std::vector<std::string> ids;
    for (std::size_t i = 0; i < used.size(); ++i) {
        const auto& design = speaker.system.nozzles[i].design;
        if (used[i] != 0 && !(design && design->known())) ids.push_back(speaker.system.nozzles[i].id);
    }
    return ids;
}

std::string percent(const Speaker& speaker, double share) {
    return speaker.units.text(share, Dimension::share);
}

const ZoneCoverage* least_even(const std::vector<ZoneCoverage>& zones) {
    const ZoneCoverage* least = nullptr;
    for (const ZoneCoverage& zone : zones)
        if (zone.du_lq >= 0 && (least == nullptr || zone.du_lq < least->du_lq))
            least = &zone;  // without water it is not a number
    return least;
}

// Common practice: the throw of each head reaches the next, and heads of a zone apply alike.
constexpr double head_to_head = 1.05, alike = 0.15;

std::string next_step(const CoverageSubject& subject, const ZoneCoverage& zone) {
    const Speaker& speaker = subject.speaker;
    if (!zone.left_out.empty())
        return fmt::format("{} of it {} left out, see below: its figures are too low.",
                           sentence_case(counted(zone.left_out.size(), "head")),
                           zone.left_out.size() == 1 ? "is" : "are");
    if (!zone.dry.empty())
        return fmt::format("Next: head {} gets no water: evenhead check {}",
                           head_id(speaker, zone.dry.front()), shell_word(subject.case_path));
    const HeadCoverage* wide = widest_spacing(zone);
    if (wide != nullptr && wide->spacing() > head_to_head)
        return fmt::format(
            "Next: head {} throws {} and its nearest neighbour {} is {} away: bring them closer, or take a "
            "nozzle that "
            "throws farther.",
            head_id(speaker, wide->head),
            speaker.units.text(wide->thrown.numbers().radius, Dimension::length),
            head_id(speaker, wide->nearest), speaker.units.text(wide->distance, Dimension::length));
    if (!zone.driest.empty() && zone.driest.front().depth < 0.5) {
        const solver::DryPlace& place = zone.driest.front();
        const auto reached =
            std::count_if(zone.heads.begin(), zone.heads.end(),
                          [&](const HeadCoverage& head) { return head.thrown.rate(place.x, place.y) > 0; });
        return fmt::format("Next: {} to where it is driest, x {}, y {}: set heads on that side too.",
                           reached == 0   ? "no head throws"
                           : reached == 1 ? "one head alone throws"
                                          : "little water comes",
                           speaker.units.number(place.x, Dimension::length),
                           speaker.units.text(place.y, Dimension::length));
    }
    if (zone.matched_difference() > alike)
        return fmt::format(
            "Next: head {} applies {} more than head {}: take nozzles whose flow goes with their arc.",
            head_id(speaker, zone.heads[zone.wettest].head), percent(speaker, zone.matched_difference()),
            head_id(speaker, zone.heads[zone.lowest].head));
    if (zone.uniform_du_lq - zone.du_lq > 0.02)
        return fmt::format("Next: bring its heads to their design pressure: evenhead check {}",
                           shell_word(subject.case_path));
    return fmt::format("Next: set out catch cans, and compare: evenhead coverage {} --cans cans.csv",
                       shell_word(subject.case_path));
}

}  // namespace

std::string zone_id(const model::System& system, const ZoneCoverage& zone) {
    return system.point_id(system.valves[at(zone.valve)].point);
}

const HeadCoverage* widest_spacing(const ZoneCoverage& zone) {
    const HeadCoverage* widest = nullptr;
    for (const HeadCoverage& head : zone.heads)
        if (head.nearest != model::none && (widest == nullptr || head.spacing() > widest->spacing()))
            widest = &head;
    return widest;
}

std::string_view left_out_words(LeftOut::Why why) {
    switch (why) {
        case LeftOut::Why::no_coordinates:
            return "no coordinates";
        case LeftOut::Why::no_radius:
            return "a nozzle without radius";
        case LeftOut::Why::no_arc:
            return "an arc that nobody knows";
        case LeftOut::Why::no_facing:
            return "an arc under 360 degrees without facing";
        case LeftOut::Why::no_shape:
            break;
    }
    return "a nozzle whose shape drops all water in one point";
}

std::string uncovered_words(const Speaker& speaker, const ZoneCoverage& zone) {
    switch (zone.why_none) {
        case Uncovered::covered:
            break;
        case Uncovered::no_run:
            return "no run opens its valve";
        case Uncovered::unsolved:
            return fmt::format("run {} has no solution", speaker.system.runs[at(zone.run)].id);
        case Uncovered::no_heads:
            return "none of its heads can be counted";
        case Uncovered::few_heads:
            return "it has no area, and fewer than three heads with coordinates";
        case Uncovered::in_line:
            return "it has no area, and its heads stand in a line";
        case Uncovered::bad_outline:
            return "the outline of an area crosses itself or encloses nothing";
        case Uncovered::too_many_cells:
            return "the grid would have more than a million cells";
        case Uncovered::too_wide_cells:
            return "the cells of the grid would be wider than half the smallest throw";
    }
    return "";
}

std::vector<std::string> coverage_warnings(const Speaker& speaker, const std::vector<ZoneCoverage>& zones) {
    std::map<std::pair<Uncovered, std::string>, std::vector<std::string>> without;
    std::map<LeftOut::Why, std::vector<std::string>> left_out;
    std::vector<std::string> dry, coarse, warnings;
    for (const ZoneCoverage& zone : zones) {
        const std::string id = zone_id(speaker.system, zone);
        if (!zone.covered()) without[{zone.why_none, uncovered_words(speaker, zone)}].push_back(id);
        if (zone.coarse) coarse.push_back(id);
        for (const LeftOut& row : zone.left_out) left_out[row.why].push_back(head_id(speaker, row.head));
        for (const Index head : zone.dry) dry.push_back(head_id(speaker, head));
    }
    for (const auto& [why, ids] : without)
        warnings.push_back(fmt::format("{} {} no figures: {}; {}.", sentence_case(named("zone", ids)),
                                       ids.size() == 1 ? "has" : "have", why.second, mend(why.first)));
    for (const auto& [why, ids] : left_out)
        warnings.push_back(fmt::format("{} left out: {}; {}.", sentence_case(named("head", ids)),
                                       left_out_words(why), mend(why)));
    if (!dry.empty())
        warnings.push_back(fmt::format("{} counted as dry: no water reaches {} in the run.",
                                       sentence_case(named("head", dry)), dry.size() == 1 ? "it" : "them"));
    if (!coarse.empty())
        warnings.push_back(
            fmt::format("The grid of {} is coarser than a twentieth of the smallest throw, which "
                        "would be too many cells.",
                        named("zone", coarse)));
    if (const auto ids = without_design(speaker, zones); !ids.empty())
        warnings.push_back(
            fmt::format("{} no design pressure: at even pressure taken at the mean of the zone (assumed).",
                        sentence_case(named("nozzle", ids)) + (ids.size() == 1 ? " gives" : " give")));
    return warnings;
}

CoverageAnswer coverage_answer(const CoverageSubject& subject) {
    const Speaker& speaker = subject.speaker;
    const ZoneCoverage* zone = least_even(subject.zones);
    if (zone == nullptr)
        return {subject.zones.empty() ? "The case has no valve, so no zone either."
                                      : "No zone has figures; why not stands below.",
                "", ""};
    CoverageAnswer answer;
    answer.least_even = fmt::format("Least even: zone {}, whose driest quarter gets {} of its mean.",
                                    zone_id(speaker.system, *zone), percent(speaker, zone->du_lq));
    const double costs = zone->uniform_du_lq - zone->du_lq;
    answer.cause = fmt::format(
        "With every head at its design pressure {}: {}.", percent(speaker, zone->uniform_du_lq),
        costs > 0.02 ? fmt::format("pressure costs {:.1f} points, spacing and arcs the rest", costs * 100)
                     : "spacing and arcs make it so, pressure hardly");
    answer.next = next_step(subject, *zone);
    return answer;
}

}  // namespace evenhead::io
