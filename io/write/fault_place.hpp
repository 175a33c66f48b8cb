// What JSON and CSV call the places of faults, and what their severities measure.
#pragma once

#include <string>
#include <vector>

#include "io/write/shown_units.hpp"
#include "solver/diagnosis/diagnosis.hpp"

namespace evenhead::io {

/// What says where a fault is: `at` the id of a pipe, point, head, valve, device or supply ("gauge": the
/// gauge), and all ids where it is at several things.
struct FaultPlace {
    std::string at;
    std::vector<std::string> parts;  ///< empty: `at` alone
};
FaultPlace fault_place(const solver::Survey& survey, const solver::Site& site);

/// What a severity measures (a share, a pressure ...; none: a factor or a count), and its unit as JSON names
/// it. Of a zone that runs besides there is none.
model::Dimension severity_dimension(solver::FaultKind kind);
std::string severity_unit(const ShownUnits& units, solver::FaultKind kind);
bool has_severity(solver::FaultKind kind);

/// The lateral row that all these pipes of the survey's part come from, or none.
model::Index common_lateral(const solver::Survey& survey, const std::vector<model::Index>& pipes);
/// True where the fault is at every head of its zone.
bool whole_zone(const solver::Survey& survey, const solver::Site& site);

}  // namespace evenhead::io
