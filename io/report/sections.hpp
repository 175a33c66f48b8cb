// The sections of the report page, in the order in which they stand.
#pragma once

#include "io/report/diagnosis_facts.hpp"
#include "io/report/facts.hpp"
#include "io/report/html.hpp"
#include "io/report/report.hpp"

namespace evenhead::io {

struct TimetableSubject;

/// What every section writes from.
struct ReportParts {
    Html& html;
    const ReportFacts& facts;
    const LowerSupply* lower;           ///< may be null
    const DiagnosisFacts* diagnosis{};  ///< null: there are no readings, or they could not be weighed
    const ReportReadings& readings;     ///< why not, and what was fitted
    const ReportAnswers& answers;

    bool has_readings() const { return diagnosis != nullptr || !readings.not_weighed.empty(); }
    bool has_acceptance() const { return answers.acceptance != nullptr || !answers.not_judged.empty(); }
    bool has_coverage() const;  ///< some zone has figures
};

void write_cover(const ReportParts& parts);
/// What the readings say is wrong; nothing where there are none.
void write_diagnosis_section(const ReportParts& parts);
/// The layout under its conditions; nothing where nobody asked.
void write_review_section(const ReportParts& parts);
/// Readings beside what the case foretells; likewise.
void write_acceptance_section(const ReportParts& parts);
/// This case beside another; likewise.
void write_comparison_section(const ReportParts& parts);
/// How evenly zones water their ground; nothing where no zone has figures.
void write_coverage_section(const ReportParts& parts);
/// Who waters when; nothing where nobody asked.
void write_timetable_section(const ReportParts& parts);
/// What the crew needs, a printed page each; likewise.
void write_sheets_section(const ReportParts& parts);
/// The plan with what picks a run, finds a thing and shows its numbers.
void write_plan_section(const ReportParts& parts);
/// Grade line and worksheet of each run's critical head, a printed page each.
void write_worksheets(const ReportParts& parts);
void write_findings(const ReportParts& parts);
/// Runs, heads, pipes, devices and valves.
void write_tables(const ReportParts& parts);
/// Assumed, warnings, not checked.
void write_open_points(const ReportParts& parts);
/// Method, sources of the rules, closure, cautions.
void write_method(const ReportParts& parts);
/// What the page's script reads: JSON in which no markup can be.
void write_page_data(const ReportParts& parts);

/// Style and script of the page, compiled in.
std::string_view page_style();
std::string_view page_script();
/// base64 of the script's SHA-256: the page lets no other script run.
std::string page_script_hash();

// ---- what several sections need
// -----------------------------------------------------------------------------

/// "3.2", or "-" where it is not known.
std::string shown(const Speaker& speaker, double si, model::Dimension dimension, int more = 0);
std::string run_id(const ReportFacts& facts, Index run);  ///< "-" for none
/// "low", "within" ... "no run" for off.
std::string_view state_word(HeadState state);

}  // namespace evenhead::io
