// How evenly each zone waters its ground, as text, JSON and CSV.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "io/write/sentences.hpp"
#include "solver/coverage/cans.hpp"
#include "solver/coverage/coverage.hpp"

namespace evenhead::io {

struct CoverageSubject {
    const Speaker& speaker;
    const std::vector<solver::ZoneCoverage>& zones;
    const std::vector<solver::ZoneCans>& cans;  ///< empty: nobody has measured
    std::string case_path;
};

/// Always said: what kind of number this is.
inline constexpr std::string_view coverage_caution =
    "An estimate: wind off, level ground, every head upright and turning evenly. Uniformity is measured with "
    "catch cans.";

/// Why zones have no figures and heads are left out, what would mend it, and what was taken instead: a
/// sentence each. What is alike is said once.
std::vector<std::string> coverage_warnings(const Speaker& speaker,
                                           const std::vector<solver::ZoneCoverage>& zones);
/// "it has no area and fewer than three heads with coordinates"; empty where the zone has figures.
std::string uncovered_words(const Speaker& speaker, const solver::ZoneCoverage& zone);
/// "its nozzle gives no radius".
std::string_view left_out_words(solver::LeftOut::Why why);

/// Which zone is least even and by how much, whether spacing or pressure makes it so, and what to try: a
/// sentence each.
struct CoverageAnswer {
    std::string least_even, cause, next;
};
CoverageAnswer coverage_answer(const CoverageSubject& subject);

/// The zone's head that stands farthest from its neighbour, by its own throw; nullptr where none has one.
const solver::HeadCoverage* widest_spacing(const solver::ZoneCoverage& zone);

/// The id of a zone's valve.
std::string zone_id(const model::System& system, const solver::ZoneCoverage& zone);

/// Throws WriteError, as all of these.
void write_coverage_text(Output& output, const CoverageSubject& subject, const Page& page);
/// `{schema, case, units, estimate, zones: [{valve, area, rate, rate_formula, du_lq, cu, lost, run, ground,
/// areas, flow, grid, cells, below_half, uniform_du_lq, uniform_cu, matched, spacing, driest, heads,
/// left_out, dry, cans, why_none}], warnings}`; shares 0 to 1, what is not known null.
void write_coverage_json(Output& output, const CoverageSubject& subject,
                         const std::vector<model::Issue>& warnings, const std::vector<std::string>& files);
/// A line for each zone.
void write_coverage_csv(Output& output, const CoverageSubject& subject);

}  // namespace evenhead::io
