#include "io/write/diagnosis_tables.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "io/write/diagnosis.hpp"
#include "model/position.hpp"

namespace evenhead::io {

using model::Index;
using model::none;
using solver::ElementKind;
using solver::ElementRef;
using solver::FaultKind;
using solver::Gauge;
using solver::Hypothesis;

namespace {

double needed(const model::System& part, Index head) {
    const model::Head& of = part.heads[at(head)];
    if (of.at_least) return of.at_least->value;
    if (of.nozzle == none) return std::nan("");
    return part.nozzles[at(of.nozzle)].min.value_or({}).value;
}

/// A thing of the part, as the whole system counts it.
ElementRef of_whole(const model::Part& part, const ElementRef& thing) {
    switch (thing.kind) {
        case ElementKind::point:
            return {thing.kind, part.point[at(thing.index)]};
        case ElementKind::pipe:
            return {thing.kind, part.pipe[at(thing.index)]};
        case ElementKind::head:
            return {thing.kind, part.head[at(thing.index)]};
        default:
            return thing;
    }
}

std::vector<ElementRef> things_of(const solver::Survey& survey, const solver::Site& site) {
    if (site.kind == FaultKind::gauge_off) return {};
    std::vector<ElementRef> things;
    if (site.kind == FaultKind::narrow_run) {
        for (const Index pipe : site.rows) things.push_back(of_whole(survey.part, {ElementKind::pipe, pipe}));
    } else if (site.kind == FaultKind::larger_nozzle && site.rows.size() > 1 && site.valve != none) {
        things.push_back({ElementKind::valve, site.valve});
    } else {
        things.push_back(of_whole(survey.part, site.at));
    }
    return things;
}

}  // namespace

std::string gauge_label(const model::System& system, const Gauge& gauge) {
    const model::Point& point = system.points[at(gauge.point)];
    const bool sides = point.kind == model::PointKind::device || point.kind == model::PointKind::valve;
    std::string text = point.id;
    if (!gauge.flow && sides) text += gauge.side == model::Side::inlet ? " inlet" : " outlet";
    if (!gauge.flow && point.kind == model::PointKind::head && gauge.way == model::Gauge::riser)
        text += " riser";
    return text;
}

const Hypothesis* leading_explanation(const solver::Diagnosis& diagnosis) {
    if (diagnosis.groups.empty()) return nullptr;
    for (const std::size_t member : diagnosis.groups.front().members)
        if (diagnosis.hypotheses[member].faults.empty()) return &diagnosis.hypotheses[member];
    return &diagnosis.hypotheses[diagnosis.groups.front().members.front()];
}

std::vector<ReadingLine> reading_lines(const model::System& part, const solver::Diagnosis& diagnosis) {
    const Hypothesis* leading = leading_explanation(diagnosis);
    const std::vector<double>& drawn = diagnosis.healthy.shown;
    const std::vector<double>& here = leading == nullptr || leading->faults.empty() ? drawn : leading->best;
    std::vector<ReadingLine> lines;
    for (std::size_t i = 0; i < diagnosis.survey.readings; ++i) {
        const Gauge& gauge = diagnosis.survey.gauges[i];
        const Index run = diagnosis.survey.situations[gauge.situation].run;
        const auto& bad = diagnosis.bad_reading;
        lines.push_back({gauge.flow, gauge_label(part, gauge),
                         run == none ? "all shut" : part.runs[at(run)].id, gauge.measured, here[i], drawn[i],
                         (gauge.measured - here[i]) / gauge.deviation,
                         std::find(bad.begin(), bad.end(), i) != bad.end()});
    }
    return lines;
}

std::string deviations_text(double off) {
    return std::abs(off) < 0.05 ? "0.0" : fmt::format("{:+.1f}", off);
}

std::vector<SuspectPlace> suspect_places(const FaultWords& words, const solver::Diagnosis& diagnosis,
                                         double least) {
    std::map<std::string, SuspectPlace> by_name;
    for (const Hypothesis& hypothesis : diagnosis.hypotheses)
        for (std::size_t i = 0; i < hypothesis.faults.size(); ++i) {
            const solver::Site& site = *hypothesis.faults[i];
            SuspectPlace& place = by_name[words.place(site)];
            place.probability += hypothesis.probability;
            const std::string clause = words.clause(site, hypothesis.severities[i]);
            const auto known = std::find_if(place.faults.begin(), place.faults.end(),
                                            [&](const auto& fault) { return fault.first == clause; });
            if (known != place.faults.end())
                known->second += hypothesis.probability;
            else
                place.faults.emplace_back(clause, hypothesis.probability);
            if (place.things.empty()) place.things = things_of(diagnosis.survey, site);
        }
    std::vector<SuspectPlace> places;
    for (auto& [name, place] : by_name) {
        if (place.probability < least) continue;
        place.name = name;
        std::stable_sort(place.faults.begin(), place.faults.end(),
                         [](const auto& one, const auto& other) { return one.second > other.second; });
        places.push_back(std::move(place));
    }
    std::stable_sort(places.begin(), places.end(), [](const SuspectPlace& one, const SuspectPlace& other) {
        return one.probability > other.probability;
    });
    return places;
}

AfterMending after_mending(const model::System& part, const solver::Diagnosis& diagnosis) {
    AfterMending result;
    const Hypothesis* hypothesis = leading_explanation(diagnosis);
    if (hypothesis == nullptr || hypothesis->faults.empty() || leads_unexplained(diagnosis)) return result;
    const auto any = [&](FaultKind kind) {
        return std::any_of(hypothesis->faults.begin(), hypothesis->faults.end(),
                           [&](const solver::Site* site) { return site->kind == kind; });
    };
    if (any(FaultKind::gauge_off)) {
        result.instead = "A gauge that is off changes nothing at the heads: they get what is drawn.";
        return result;
    }
    if (any(FaultKind::higher_ground)) {
        result.instead =
            "Ground is not mended. Put its height into the case (elev) and check what the zone needs.";
        return result;
    }
    const std::vector<Gauge>& gauges = diagnosis.survey.gauges;
    std::map<Index, std::size_t> gauge_of;  // by head
    for (std::size_t i = 0; i < gauges.size(); ++i) {
        const model::Point& point = part.points[at(gauges[i].point)];
        if (gauges[i].situation == 0 && !gauges[i].flow && gauges[i].way == model::Gauge::pitot &&
            point.kind == model::PointKind::head)
            gauge_of.try_emplace(point.row, i);
    }
    for (const auto& [head, gauge] : gauge_of) {
        result.heads.push_back(
            {head, hypothesis->best[gauge], diagnosis.healthy.shown[gauge], needed(part, head)});
        const MendedHead& line = result.heads.back();
        if (std::isnan(line.needs)) continue;
        ++result.judged;
        result.enough_now += line.now >= line.needs ? 1U : 0U;
        result.enough_mended += line.mended >= line.needs ? 1U : 0U;
    }
    return result;
}

}  // namespace evenhead::io
