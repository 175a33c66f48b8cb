#include <fmt/format.h>

#include <algorithm>

#include "io/write/calibration.hpp"
#include "io/write/check_answer.hpp"
#include "io/write/diagnosis.hpp"
#include "io/write/diagnosis_answer.hpp"
#include "io/write/diagnosis_tables.hpp"
#include "io/write/field_tests.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::Hypothesis;

class DiagnosisText {
  public:
    DiagnosisText(Output& output, const DiagnosisSubject& subject, const Page& page)
        : output_(output),
          subject_(subject),
          diagnosis_(subject.diagnosis),
          page_(page),
          speaker_{subject.diagnosis.survey.part.system, ShownUnits::of_text(subject.system)},
          words_(speaker_, subject.diagnosis.survey) {}

    void write() {
        const DiagnosisAnswer answer(speaker_, diagnosis_);
        std::string what = paragraph(answer.what(), page_.columns());
        what.pop_back();
        const Colour colour = leads_as_drawn(diagnosis_)      ? Colour::good
                              : leads_unexplained(diagnosis_) ? Colour::doubtful
                                                              : Colour::bad;
        output_.write(coloured(what, colour, page_) + "\n");
        for (const std::string& line : {answer.how_sure(), answer.next_step()})
            output_.write(paragraph(line, page_.columns()));
        if (diagnosis_.stopped)
            output_.write(paragraph("Stopped early: not every place was looked at.", page_.columns()));
        readings();
        explanations();
        places();
        tests();
        when_mended();
        further_readings(answer);
        calibrated();
        unused();
        cautions_of_work();
    }

  private:
    const solver::Survey& survey() const { return diagnosis_.survey; }
    void heading(std::string_view title) { output_.write(fmt::format("\n{}\n", title)); }
    void item(std::string_view text, std::string_view first = "- ") {
        output_.write(paragraph(text, page_.columns(), first));
    }

    void readings() {
        const Hypothesis* leading = leading_explanation(diagnosis_);
        const bool drawn = leading == nullptr || leading->faults.empty();
        const std::vector<ReadingLine> lines = reading_lines(speaker_.system, diagnosis_);
        for (const bool flow : {false, true}) {
            const Dimension dimension = flow ? Dimension::flow : Dimension::pressure;
            const std::string unit(speaker_.units.word(dimension));
            std::vector<TextTable::Column> columns{
                {flow ? "Flow at" : "Pressure at", "", 14}, {"Run", "", 8, true}, {"Read", unit, 6}};
            if (!drawn) columns.push_back({"If so", unit, 6});
            columns.push_back({"Drawn", unit, 6});
            columns.push_back({"Off by", "sd", 6});
            columns.push_back({"", "", 0, true});
            TextTable table(std::move(columns));
            for (const ReadingLine& line : lines) {
                if (line.flow != flow) continue;
                const auto number = [&](double si) { return speaker_.units.number(si, dimension); };
                std::vector<std::string> cells{line.place, line.run, number(line.read)};
                if (!drawn) cells.push_back(number(line.here));
                cells.push_back(number(line.drawn));
                cells.push_back(deviations_text(line.off));
                cells.emplace_back(line.wrong ? "wrong?" : "");
                table.add(std::move(cells));
            }
            if (table.size() > 0) output_.write("\n" + table.text(page_));
        }
        output_.write(
            paragraph("sd: the standard deviation of the reading, half of its spread; more than 3 of them is "
                      "no chance.",
                      page_.columns()));
    }

    void explanations() {
        heading("What it could be");
        output_.write(paragraph("In brackets: where the amount lies nine times in ten.", page_.columns()));
        constexpr double least = 0.01;  // less is not worth a line
        std::size_t left_out = 0;
        double rest = 0;
        for (const solver::Group& group : diagnosis_.groups) {
            if (!page_.all && group.probability < least) {
                ++left_out;
                rest += group.probability;
                continue;
            }
            const auto text = [&](std::size_t member) {
                return words_.clause_and_amount(diagnosis_.hypotheses[member]) + ".";
            };
            if (group.members.size() == 1) {
                item(fmt::format("{}: {}", chance(group.probability), text(group.members.front())));
                continue;
            }
            item(fmt::format("{}: one of these {}, which the readings do not tell apart:",
                             chance(group.probability), group.members.size()));
            const std::size_t shown =
                page_.all ? group.members.size() : std::min<std::size_t>(group.members.size(), 6);
            for (std::size_t i = 0; i < shown; ++i)
                item(fmt::format("{}: {}", chance(diagnosis_.hypotheses[group.members[i]].probability),
                                 text(group.members[i])),
                     "  - ");
            if (shown < group.members.size()) output_.write("  " + and_more(group.members.size(), shown));
        }
        if (left_out > 0)
            item(fmt::format("{}: {} (--all).", chance(rest), counted(left_out, "less likely explanation")));
        if (diagnosis_.unexplained >= least || page_.all)
            item(fmt::format("{}: something else, or more than this at once.",
                             chance(diagnosis_.unexplained)));
    }

    /// What the faults point to, whatever they are.
    void places() {
        constexpr double least = 0.02;
        const std::vector<SuspectPlace> found = suspect_places(words_, diagnosis_, least);
        const std::size_t shown = page_.all ? found.size() : std::min<std::size_t>(found.size(), 8);
        if (shown < 2 || leads_as_drawn(diagnosis_)) return;
        std::string text;
        for (std::size_t i = 0; i < shown; ++i)
            text += fmt::format("{}{} {}", i == 0 ? "" : ", ", found[i].name, chance(found[i].probability));
        heading("Where to look, whatever it is");
        output_.write(paragraph(text + ".", page_.columns()));
    }

    void tests() {
        const auto found = field_tests(diagnosis_, page_.all ? 10 : 3);
        if (found.empty()) return;
        heading("What tells them apart without another reading");
        for (const std::string& test : found) item(test);
    }

    void when_mended() {
        const AfterMending mended = after_mending(speaker_.system, diagnosis_);
        if (mended.instead.empty() && mended.heads.empty()) return;
        heading("When it is mended");
        if (!mended.instead.empty()) {
            output_.write(paragraph(mended.instead, page_.columns()));
            return;
        }
        const std::string unit(speaker_.units.word(Dimension::pressure));
        TextTable table({{"Head", "", 8}, {"Now", unit, 8}, {"Mended", unit, 8}, {"Needs", unit, 8}});
        for (const MendedHead& head : mended.heads) {
            const auto number = [&](double si) { return speaker_.units.number(si, Dimension::pressure); };
            table.add({element_id(speaker_.system, {solver::ElementKind::head, head.head}), number(head.now),
                       number(head.mended), number(head.needs)});
        }
        output_.write(table.text(page_));
        if (mended.judged == 0) return;
        std::string text =
            fmt::format("{} of {} get what they need now, {} when it is mended.", mended.enough_now,
                        counted(mended.judged, "head"), mended.enough_mended);
        if (mended.enough_mended < mended.judged)
            text += fmt::format(" Mending alone is not enough: see evenhead check {}.",
                                shell_word(subject_.case_path));
        output_.write(paragraph(text, page_.columns()));
    }

    void further_readings(const DiagnosisAnswer& answer) {
        std::vector<std::string> lines;
        bool first = true;  // is said above
        for (const solver::NextReading& next : diagnosis_.next) {
            const std::string line = answer.reading(next);
            if (line.empty()) continue;
            if (!first) lines.push_back(line);
            first = false;
            if (lines.size() == (page_.all ? 12U : 3U)) break;
        }
        if (lines.empty()) return;
        heading("Other readings that tell, best first");
        for (const std::string& line : lines) item(line);
    }

    void calibrated() {
        if (subject_.calibration == nullptr) return;
        // A nozzle's flow stands in the system that was fitted.
        const Speaker whole{subject_.calibration->system, ShownUnits::of_text(subject_.system)};
        output_.write(
            calibration_text(whole, *subject_.calibration, fitted_remark(words_, diagnosis_), page_));
    }

    void unused() {
        if (diagnosis_.unused.empty()) return;
        std::string text;
        for (const Index i : diagnosis_.unused) {
            const model::Reading& reading = subject_.system.readings[at(i)];
            text +=
                fmt::format("{}{} ({})", text.empty() ? "" : ", ", subject_.system.point_id(reading.point),
                            reading.all_shut ? "all shut" : subject_.system.runs[at(reading.run)].id);
        }
        output_.write("\n" + paragraph("Not used, as what stands in a pipe that is shut off is not known: " +
                                           text + ".",
                                       page_.columns()));
    }

    void cautions_of_work() {
        output_.write("\n" + cautions(page_));
        output_.write(paragraph(diagnosis_caution, page_.columns()));
    }

    Output& output_;
    const DiagnosisSubject& subject_;
    const solver::Diagnosis& diagnosis_;
    const Page page_;
    Speaker speaker_;
    FaultWords words_;
};

}  // namespace

void write_diagnosis_text(Output& output, const DiagnosisSubject& subject, const Page& page) {
    DiagnosisText(output, subject, page).write();
}

}  // namespace evenhead::io
