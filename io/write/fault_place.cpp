#include "io/write/fault_place.hpp"

#include "io/write/sentences.hpp"
#include "model/position.hpp"

namespace evenhead::io {

using model::Dimension;
using model::Index;
using model::none;
using solver::ElementKind;
using solver::FaultKind;
using solver::Site;

Index common_lateral(const solver::Survey& survey, const std::vector<Index>& pipes) {
    Index lateral = none;
    for (const Index pipe : pipes) {
        const Index of = survey.whole->pipes[at(survey.part.pipe[at(pipe)])].lateral;
        if (of == none || (lateral != none && of != lateral)) return none;
        lateral = of;
    }
    return lateral;
}

bool whole_zone(const solver::Survey& survey, const Site& site) {
    return site.valve != none && survey.layout.zone_heads[at(site.valve)].size() == site.rows.size();
}

FaultPlace fault_place(const solver::Survey& survey, const Site& site) {
    const model::System& system = survey.part.system;
    if (site.kind == FaultKind::gauge_off) return {"gauge", {}};
    FaultPlace place{element_id(system, site.at), {}};
    const bool several = site.kind == FaultKind::narrow_run || site.kind == FaultKind::larger_nozzle;
    if (!several || site.rows.size() < 2) return place;
    for (const Index row : site.rows) place.parts.push_back(element_id(system, {site.at.kind, row}));
    if (site.kind == FaultKind::narrow_run) {
        const Index lateral = common_lateral(survey, site.rows);
        if (lateral != none) place.at = survey.whole->laterals[at(lateral)].id;
    } else if (whole_zone(survey, site)) {
        place.at = element_id(system, {ElementKind::valve, site.valve});
    }
    return place;
}

Dimension severity_dimension(FaultKind kind) {
    switch (kind) {
        case FaultKind::blockage:
        case FaultKind::narrow_run:
            return Dimension::share;
        case FaultKind::leak:
            return Dimension::flow;
        case FaultKind::low_supply:
        case FaultKind::regulator_low:
        case FaultKind::gauge_off:
            return Dimension::pressure;
        case FaultKind::higher_ground:
            return Dimension::length;
        default:
            return Dimension::none;
    }
}

std::string severity_unit(const ShownUnits& units, FaultKind kind) {
    return kind == FaultKind::extra_heads ? "heads" : std::string(units.word(severity_dimension(kind)));
}

bool has_severity(FaultKind kind) {
    return kind != FaultKind::second_zone_on;
}

}  // namespace evenhead::io
