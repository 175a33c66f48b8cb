#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "io/write/check_answer.hpp"
#include "io/write/diagnosis.hpp"
#include "io/write/diagnosis_answer.hpp"
#include "io/write/field_tests.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using model::none;
using solver::FaultKind;
using solver::Gauge;
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
        mending();
        further_readings(answer);
        unused();
        cautions_of_work();
    }

  private:
    const solver::Survey& survey() const { return diagnosis_.survey; }
    /// The likeliest explanation of the leading group ("as drawn" where it is among them); null where there
    /// is none.
    const Hypothesis* leading() const {
        if (diagnosis_.groups.empty()) return nullptr;
        for (const std::size_t member : diagnosis_.groups.front().members)
            if (diagnosis_.hypotheses[member].faults.empty()) return &diagnosis_.hypotheses[member];
        return &diagnosis_.hypotheses[diagnosis_.groups.front().members.front()];
    }
    void heading(std::string_view title) { output_.write(fmt::format("\n{}\n", title)); }
    void item(std::string_view text, std::string_view first = "- ") {
        output_.write(paragraph(text, page_.columns(), first));
    }

    void readings() {
        for (const bool flow : {false, true}) {
            const Dimension dimension = flow ? Dimension::flow : Dimension::pressure;
            const std::string unit(speaker_.units.word(dimension));
            const bool drawn = leading() == nullptr || leading()->faults.empty();
            std::vector<TextTable::Column> columns{
                {flow ? "Flow at" : "Pressure at", "", 14}, {"Run", "", 8, true}, {"Read", unit, 6}};
            if (!drawn) columns.push_back({"If so", unit, 6});
            columns.push_back({"Drawn", unit, 6});
            columns.push_back({"Off by", "sd", 6});
            columns.push_back({"", "", 0, true});
            TextTable table(std::move(columns));
            for (std::size_t i = 0; i < survey().readings; ++i) {
                const Gauge& gauge = survey().gauges[i];
                if (gauge.flow != flow) continue;
                const auto number = [&](double si) { return speaker_.units.number(si, dimension); };
                const double here = drawn ? diagnosis_.healthy.shown[i] : leading()->best[i];
                const double off = (gauge.measured - here) / gauge.deviation;
                std::vector<std::string> cells{short_place(gauge), short_run(gauge), number(gauge.measured)};
                if (!drawn) cells.push_back(number(here));
                cells.push_back(number(diagnosis_.healthy.shown[i]));
                cells.push_back(std::abs(off) < 0.05 ? "0.0" : fmt::format("{:+.1f}", off));
                cells.push_back(std::find(diagnosis_.bad_reading.begin(), diagnosis_.bad_reading.end(), i) !=
                                        diagnosis_.bad_reading.end()
                                    ? "wrong?"
                                    : "");
                table.add(std::move(cells));
            }
            if (table.size() > 0) output_.write("\n" + table.text(page_));
        }
        output_.write(
            paragraph("sd: the standard deviation of the reading, half of its spread; more than 3 of them is "
                      "no chance.",
                      page_.columns()));
    }

    std::string short_place(const Gauge& gauge) const {
        const model::Point& point = speaker_.system.points[at(gauge.point)];
        const bool sides = point.kind == model::PointKind::device || point.kind == model::PointKind::valve;
        std::string text = point.id;
        if (!gauge.flow && sides) text += gauge.side == model::Side::inlet ? " inlet" : " outlet";
        if (!gauge.flow && point.kind == model::PointKind::head && gauge.way == model::Gauge::riser)
            text += " riser";
        return text;
    }
    std::string short_run(const Gauge& gauge) const {
        const Index run = survey().situations[gauge.situation].run;
        return run == none ? "all shut" : speaker_.system.runs[at(run)].id;
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
        std::map<std::string, double> sums;
        for (const Hypothesis& hypothesis : diagnosis_.hypotheses)
            for (const solver::Site* site : hypothesis.faults)
                sums[words_.place(*site)] += hypothesis.probability;
        std::vector<std::pair<std::string, double>> order(sums.begin(), sums.end());
        std::stable_sort(order.begin(), order.end(),
                         [](const auto& one, const auto& other) { return one.second > other.second; });
        constexpr double least = 0.02;
        std::string text;
        std::size_t shown = 0;
        for (const auto& [name, probability] : order) {
            if (probability < least || shown >= (page_.all ? order.size() : 8)) break;
            text += fmt::format("{}{} {}", shown++ == 0 ? "" : ", ", name, chance(probability));
        }
        if (shown < 2 || leads_as_drawn(diagnosis_)) return;
        heading("Where to look, whatever it is");
        output_.write(paragraph(text + ".", page_.columns()));
    }

    void tests() {
        const auto found = field_tests(diagnosis_, page_.all ? 10 : 3);
        if (found.empty()) return;
        heading("What tells them apart without another reading");
        for (const std::string& test : found) item(test);
    }

    void mending() {
        const Hypothesis* hypothesis = leading();
        if (hypothesis == nullptr || hypothesis->faults.empty() || leads_unexplained(diagnosis_)) return;
        const auto any = [&](FaultKind kind) {
            return std::any_of(hypothesis->faults.begin(), hypothesis->faults.end(),
                               [&](const solver::Site* site) { return site->kind == kind; });
        };
        heading("When it is mended");
        if (any(FaultKind::gauge_off)) {
            output_.write(
                paragraph("A gauge that is off changes nothing at the heads: they get what is drawn.",
                          page_.columns()));
            return;
        }
        if (any(FaultKind::higher_ground)) {
            output_.write(
                paragraph("Ground is not mended. Put its height into the case (elev) and check what the "
                          "zone needs.",
                          page_.columns()));
            return;
        }
        const std::string unit(speaker_.units.word(Dimension::pressure));
        TextTable table({{"Head", "", 8}, {"Now", unit, 8}, {"Mended", unit, 8}, {"Needs", unit, 8}});
        std::map<Index, std::size_t> gauge_of;  // by head
        for (std::size_t i = 0; i < survey().gauges.size(); ++i) {
            const Gauge& gauge = survey().gauges[i];
            const model::Point& point = speaker_.system.points[at(gauge.point)];
            if (gauge.situation == 0 && !gauge.flow && gauge.way == model::Gauge::pitot &&
                point.kind == model::PointKind::head)
                gauge_of.try_emplace(point.row, i);
        }
        std::size_t enough_now = 0, enough_mended = 0, judged = 0;
        for (const auto& [head, gauge] : gauge_of) {
            const double now = hypothesis->best[gauge], mended = diagnosis_.healthy.shown[gauge],
                         needs = needed(head);
            const auto number = [&](double si) { return speaker_.units.number(si, Dimension::pressure); };
            table.add({element_id(speaker_.system, {solver::ElementKind::head, head}), number(now),
                       number(mended), number(needs)});
            if (std::isnan(needs)) continue;
            ++judged;
            enough_now += now >= needs ? 1U : 0U;
            enough_mended += mended >= needs ? 1U : 0U;
        }
        output_.write(table.text(page_));
        if (judged == 0) return;
        std::string text = fmt::format("{} of {} get what they need now, {} when it is mended.", enough_now,
                                       counted(judged, "head"), enough_mended);
        if (enough_mended < judged)
            text += fmt::format(" Mending alone is not enough: see evenhead check {}.",
                                shell_word(subject_.case_path));
        output_.write(paragraph(text, page_.columns()));
    }

    double needed(Index head) const {
        const model::Head& of = speaker_.system.heads[at(head)];
        if (of.at_least) return of.at_least->value;
        if (of.nozzle == none) return std::nan("");
        return speaker_.system.nozzles[at(of.nozzle)].min.value_or({}).value;
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
        output_.write(paragraph(
            "Test and repair of a backflow preventer are for a licensed tester. How often each fault "
            "occurs is taken from a table (--priors): a probability is no better than that.",
            page_.columns()));
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
