#include "io/write/review_answer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "io/write/review.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::ElementKind;

class Answering {
  public:
    Answering(const Speaker& speaker, const solver::Review& review) : speaker_(speaker), review_(review) {}

    ReviewAnswer answer() const {
        ReviewAnswer answer;
        std::map<solver::RuleId, bool> fails;
        std::vector<char> failing(review_.rules.conditions.size(), 0);
        for (const solver::RuleRow& row : review_.rules.rows) {
            fails[row.rule] = fails[row.rule] || row.worst.fails;
            if (row.worst.fails) failing[row.condition] = 1;
        }
        const auto rules =
            std::count_if(fails.begin(), fails.end(), [](const auto& rule) { return rule.second; });
        const auto under = std::count(failing.begin(), failing.end(), 1);
        const std::string of_conditions = counted(failing.size(), "condition");
        answer.within = review_.solved() && rules == 0;
        if (!review_.solved())
            answer.verdict =
                fmt::format("No solution in {}; see below.", counted(review_.rules.unsolved.size(), "run"));
        else if (rules == 0)
            answer.verdict = fmt::format("Within limits {}.",
                                         failing.size() == 1 ? "as given" : "under all " + of_conditions);
        else
            answer.verdict = fmt::format("Outside limits under {} of {}: {} of {} fail.", under,
                                         of_conditions, rules, counted(fails.size(), "rule"));
        if (!review_.rules.findings.empty()) {
            const solver::ReviewFinding& worst = review_.rules.findings.front();
            answer.sentences.push_back("Worst, " +
                                       review_place(speaker_, review_.rules, worst.condition, worst.run) +
                                       ": " + finding_sentence(speaker_, worst.finding, nullptr));
        } else if (!review_.rules.heads.empty()) {
            answer.sentences.push_back("Least to spare as given: " + head_words(review_.rules.heads.front()));
        }
        best_repair(answer);
        return answer;
    }

  private:
    std::string head_id(model::Index head) const {
        return element_id(speaker_.system, {ElementKind::head, head});
    }
    /// Of the worst failing head: what mends it, else what gains most.
    void best_repair(ReviewAnswer& answer) const {
        const auto& rows = review_.repairs.rows;
        if (rows.empty() || !review_.rules.heads.front().fails) return;
        const solver::Repair* best = &rows.front();
        for (const solver::Repair& row : rows)
            if (row.head == rows.front().head && row.run == rows.front().run && row.mends && !best->mends)
                best = &row;
        answer.sentences.push_back(fmt::format(
            "{} head {}: {}, {} more{}.", best->mends ? "A single change mends" : "No single change mends",
            head_id(best->head), repair_words(speaker_, *best),
            speaker_.units.text(best->gain, Dimension::pressure), best->mends ? "" : " at most"));
    }
    std::string head_words(const solver::DecidingHead& head) const {
        const auto wanted = solver::wanted_pressure(speaker_.system, head.head);
        const std::string text = fmt::format("head {} in run {}", head_id(head.head),
                                             element_id(speaker_.system, {ElementKind::run, head.run}));
        if (!wanted || std::isnan(head.severity)) return text + ", of which no pressure is wanted.";
        return text + fmt::format(": {} above the {} that it needs.",
                                  speaker_.units.text(head.severity * *wanted, Dimension::pressure),
                                  speaker_.units.limit(*wanted, Dimension::pressure));
    }

    const Speaker& speaker_;
    const solver::Review& review_;
};

}  // namespace

ReviewAnswer review_answer(const Speaker& speaker, const solver::Review& review) {
    return Answering(speaker, review).answer();
}

std::string review_place(const Speaker& speaker, const solver::RulesReview& rules, std::size_t condition,
                         model::Index run) {
    std::string text = "under " + rules.conditions[condition].change.id;
    return run == model::none ? text
                              : text + ", in run " + element_id(speaker.system, {ElementKind::run, run});
}

std::string repair_words(const Speaker& speaker, const solver::Repair& repair) {
    return fmt::format("{} {} {} in place of {}", repair_kind(repair.kind),
                       element_id(speaker.system, repair.subject), repair.to, repair.from);
}

std::vector<std::string> repairs_left_out(const solver::RepairReview& repairs) {
    std::vector<std::string> sentences;
    if (repairs.left_out > 0)
        sentences.push_back(fmt::format("Nothing was tried for {}: without flow, or behind the worst.",
                                        counted(repairs.left_out, "more failing head")));
    if (!repairs.rows.empty() && repairs.nozzles_left_out > 0)
        sentences.push_back(fmt::format("Of the nozzles of the case the first {} were tried, {} were not.",
                                        solver::most_nozzles, repairs.nozzles_left_out));
    return sentences;
}

}  // namespace evenhead::io
