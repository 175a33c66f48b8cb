#include "io/report/report.hpp"

#include <fmt/format.h>

#include <utility>

#include "io/plan/plan.hpp"
#include "io/report/sections.hpp"
#include "io/report/water_colours.hpp"
#include "io/write/layout.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

class ReportPage : public CheckWriter {
  public:
    ReportPage(Output& output, CheckSubject subject, const ReportReadings& readings, ReportAnswers answers)
        : html_(output),
          subject_(std::move(subject)),
          readings_(readings),
          speaker_{subject_.system, ShownUnits::of_text(subject_.system)},
          facts_(subject_, speaker_),
          answers_(std::move(answers)) {
        if (readings.diagnosis != nullptr)
            diagnosis_ = std::make_unique<DiagnosisFacts>(subject_.system, *readings.diagnosis);
    }

    void add(const solver::RunResult& result, const solver::RunFindings& findings) override {
        facts_.add(result, findings);
    }

    void finish(const solver::CheckSummary& summary, const LowerSupply* lower) override {
        facts_.finish(summary);
        const ReportParts parts{html_, facts_, lower, diagnosis_.get(), readings_, answers_};
        // The page can fetch nothing, and runs no script but its own.
        html_.raw("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
        html_.raw(
            fmt::format("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                        "style-src 'unsafe-inline'; script-src 'sha256-{}'; base-uri 'none'; form-action "
                        "'none'\">\n",
                        page_script_hash()));
        html_.raw(
            "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
            "<meta name=\"color-scheme\" content=\"light dark\">\n");
        html_.element("title", "Pressure report: " + case_title(subject_.system, subject_.case_path))
            .raw("\n");
        html_.raw("<style>\n")
            .raw(page_style())
            .raw(plan_style())
            .raw(water_colour_style())
            .raw("</style>\n</head>\n<body>\n");
        html_.raw("<a class=\"skip\" href=\"#findings\">To the findings</a>\n");
        write_cover(parts);
        html_.raw("<main>\n");
        write_diagnosis_section(parts);
        write_plan_section(parts);
        write_worksheets(parts);
        write_findings(parts);
        write_review_section(parts);
        write_acceptance_section(parts);
        write_comparison_section(parts);
        write_coverage_section(parts);
        write_timetable_section(parts);
        write_sheets_section(parts);
        write_tables(parts);
        write_open_points(parts);
        write_method(parts);
        html_.raw("</main>\n");
        html_.raw(
            "<footer><p>Computed by Evenhead from the case named on the cover. For irrigation sprinklers, "
            "not for fire protection.</p></footer>\n");
        write_page_data(parts);
        html_.raw("<script>").raw(page_script()).raw("</script>\n</body>\n</html>\n");
    }

  private:
    Html html_;
    const CheckSubject subject_;
    const ReportReadings readings_;
    Speaker speaker_;
    ReportFacts facts_;
    std::unique_ptr<DiagnosisFacts> diagnosis_;  ///< null: nothing was weighed
    const ReportAnswers answers_;
};

}  // namespace

std::string shown(const Speaker& speaker, double si, model::Dimension dimension, int more) {
    return speaker.units.number(si, dimension, more);
}

std::string run_id(const ReportFacts& facts, Index run) {
    return run == model::none ? "-" : facts.subject.system.runs[at(run)].id;
}

std::string_view state_word(HeadState state) {
    switch (state) {
        case HeadState::low:
            return "low";
        case HeadState::within:
            return "within";
        case HeadState::high:
            return "high";
        case HeadState::dry:
            return "dry";
        case HeadState::off:
            break;
    }
    return "no run";
}

std::unique_ptr<CheckWriter> report_page(Output& output, const CheckSubject& subject,
                                         const ReportReadings& readings, const ReportAnswers& answers) {
    return std::make_unique<ReportPage>(output, subject, readings, answers);
}

}  // namespace evenhead::io
