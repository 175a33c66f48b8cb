#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "io/write/check_answer.hpp"
#include "io/write/finding_list.hpp"
#include "io/write/sizing.hpp"
#include "model/position.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::Binding;
using solver::CostBasis;
using solver::LimitPrice;

class SizingText {
  public:
    SizingText(Output& output, const SizingSubject& subject, const Page& page)
        : output_(output),
          subject_(subject),
          problem_(subject.problem),
          sizing_(subject.sizing),
          page_(page),
          speaker_{subject.problem.system, ShownUnits::of_text(subject.problem.system)} {}

    void write() {
        if (sizing_.found) {
            answer();
            sizes();
            binding();
            limit_prices();
        } else {
            obstacle();
        }
        notes();
        output_.write("\n" + cautions(page_));
    }

  private:
    std::string cost(double value) const { return cost_words(problem_.basis, value); }
    void say(const std::string& text, std::string_view first = "") {
        output_.write(paragraph(text, page_.columns(), first));
    }
    void heading(std::string_view title) { output_.write(fmt::format("\n{}\n", title)); }

    std::string how_near() const {
        if (sizing_.proven) return "No choice of sizes costs less: proven.";
        if (!sizing_.bounded())
            return "How far from the least cost that is, is not known: no bound was found beyond every pipe "
                   "at "
                   "its cheapest size.";
        return fmt::format("The least cost is not below {}: at most {:.1f} % could still be saved.",
                           cost(sizing_.bound), 100 * sizing_.gap());
    }

    void answer() {
        std::string what =
            paragraph(fmt::format("{} sized within limits for {}.",
                                  sentence_case(counted(problem_.open.size(), "pipe")), cost(sizing_.cost)),
                      page_.columns());
        what.pop_back();
        output_.write(coloured(what, Colour::good, page_) + "\n");
        say(how_near());
        if (sizing_.stopped)
            say(sizing_.proven ? "Stopped early, before all was known that limits cost."
                               : "Stopped early: a longer search may find less.");
        if (!subject_.sized_path.empty())
            say(fmt::format("Next: evenhead check {}", shell_word(subject_.sized_path)));
        else
            say("Nothing was written; -o FILE writes the case with its sizes.");
    }

    void sizes() {
        std::map<std::pair<std::string, double>, std::pair<std::size_t, double>> schedule;
        TextTable table({{"Pipe", "", 14},
                         {"Size", "", 14, true},
                         {"Length", unit(Dimension::length), 7},
                         {"Velocity", unit(Dimension::velocity), 8}});
        const std::vector<double> velocity = top_velocities();
        for (std::size_t o = 0; o < problem_.open.size(); ++o) {
            const model::Pipe& pipe = problem_.system.pipes[at(problem_.open[o].pipe)];
            const model::PipeSize& size = *problem_.open[o].choices[at(sizing_.design[o])].size;
            table.add({problem_.system.pipe_id(pipe), size.kind + " " + size.nominal,
                       speaker_.units.number(pipe.length.value, Dimension::length),
                       speaker_.units.number(velocity[at(problem_.open[o].pipe)], Dimension::velocity)});
            auto& row = schedule[{size.kind, size.bore.value}];
            ++row.first;
            row.second += pipe.length.value;
        }
        output_.write("\n" + table.text(page_));
        TextTable total({{"Size", "", 16}, {"Pipes", "", 6}, {"Length", unit(Dimension::length), 8}});
        for (const auto& [key, row] : schedule)
            total.add({nominal(key.first, key.second), fmt::format("{}", row.first),
                       speaker_.units.number(row.second, Dimension::length)});
        output_.write("\n" + total.text(page_));
    }
    std::string unit(Dimension dimension) const { return std::string(speaker_.units.word(dimension)); }
    std::string nominal(const std::string& kind, double bore) const {
        for (const solver::OpenPipe& open : problem_.open)
            for (const solver::SizingChoice& choice : open.choices)
                if (choice.size->kind == kind && choice.size->bore.value == bore)
                    return kind + " " + choice.size->nominal;
        return kind;
    }

    /// By pipe, of all runs of the case as given.
    std::vector<double> top_velocities() const {
        std::vector<double> top(problem_.system.pipes.size(), 0);
        solver::CheckOptions options;
        options.threads = 1;
        const model::System sized = problem_.sized(0, sizing_.design);
        solver::check_runs(sized, problem_.layout, options,
                           [&](const solver::RunResult& result, const solver::RunFindings&) {
                               if (result.failure) return;
                               for (std::size_t pipe = 0; pipe < top.size(); ++pipe)
                                   top[pipe] = std::max(top[pipe], result.pipe_velocity[pipe]);
                           });
        return top;
    }

    std::string where(Index run, Index condition) const {
        std::string words;
        if (run != model::none) words += " in run " + problem_.system.runs[at(run)].id;
        if (condition != model::none)
            words += " under condition " + problem_.system.conditions[at(condition)].id;
        return words;
    }

    void binding() {
        if (sizing_.binding.empty()) return;
        heading("What keeps pipes from being cheaper");
        for (const Binding& binding : sizing_.binding) {
            std::vector<std::string> ids;
            for (const Index pipe : binding.pipes) ids.push_back(problem_.system.pipe_id(pipe));
            std::string margin;
            if (!std::isnan(binding.margin))
                margin =
                    fmt::format(" (margin {})", speaker_.units.text(binding.margin, binding.dimension, 1));
            say(fmt::format("{} of {}{}{}: {}", rule_name(binding.rule),
                            element_name(problem_.system, binding.subject),
                            where(binding.run, binding.condition), margin,
                            id_list(ids, page_.all ? 1000 : 8)),
                "- ");
        }
    }

    void limit_prices() {
        if (sizing_.limit_prices.empty()) return;
        heading("What limits cost");
        for (const LimitPrice& price : sizing_.limit_prices) {
            const bool head = price.limit == LimitPrice::Limit::critical_head;
            const Dimension dimension = head ? Dimension::pressure : Dimension::velocity;
            const std::string what =
                head ? fmt::format("With {} more at the critical head {}",
                                   speaker_.units.limit(price.moved, dimension),
                                   element_id(problem_.system, {solver::ElementKind::head, price.head}))
                     : fmt::format("At {}", speaker_.units.limit(price.to, dimension));
            const bool nothing = price.saving <= 1e-9 * sizing_.cost;
            if (nothing)
                say(fmt::format("{} nothing {}.", what,
                                price.proven ? "would be saved" : "was found to be saved"),
                    "- ");
            else
                say(fmt::format("{} the pipes would cost {}, {}{} less.", what, cost(price.cost),
                                price.proven ? "" : "at least ", cost(price.saving)),
                    "- ");
        }
    }

    /// What cannot be met, by how much, what to try.
    void obstacle() {
        const std::string verdict = sizing_.proven ? "No choice of sizes keeps every limit: proven."
                                                   : "No sizes were found that keep every limit.";
        std::string what = paragraph(verdict, page_.columns());
        what.pop_back();
        output_.write(coloured(what, Colour::bad, page_) + "\n");
        say("Nothing was written. The sizes that come nearest still leave:");
        FindingList found(speaker_);
        solver::CheckOptions options;
        options.threads = 1;
        std::vector<std::string> failures;
        for (std::size_t s = 0; s < problem_.situations.size(); ++s) {
            const model::System sized = problem_.sized(s, sizing_.design);
            const auto summary = solver::check_runs(
                sized, problem_.situations[s].layout, options,
                [&](const solver::RunResult& result, const solver::RunFindings& findings) {
                    for (const solver::Finding& finding : findings.findings) found.add(finding, &result);
                    if (result.failure)
                        for (const std::string& sentence : failure_sentences(speaker_, *result.failure))
                            failures.push_back(sentence);
                });
            for (const solver::Finding& finding : summary.findings) found.add(finding, nullptr);
        }
        for (const std::string& sentence : found.sentences(page_)) say(sentence, "- ");
        for (const std::string& sentence : failures) say(sentence, "- ");
        if (found.size() == 0 && failures.empty())
            say("A pipe would have to be larger than the one that feeds it: allow it (--may-grow), or size "
                "the "
                "feeder too (size = \"kind ?\").",
                "- ");
    }

    void notes() {
        output_.write("\n");
        switch (problem_.basis) {
            case CostBasis::prices:
                say("Cost: the case's prices times lengths of the pipes sized; only sizes with a price were "
                    "chosen.");
                break;
            case CostBasis::price_list:
                say("Cost: prices of the case, and where it gives none those of the shipped list, which are "
                    "invented.");
                break;
            case CostBasis::volume:
                say("Cost: the case gives no prices, so the volume of plastic (or metal) in the walls was "
                    "made "
                    "least.");
                break;
        }
        if (!sizing_.found) return;
        std::size_t grown = 0;
        for (const solver::OpenPipe& open : problem_.open) grown += open.feeder != model::none;
        if (grown > 0) say("No pipe was made larger than the one that feeds it (--may-grow allows it).");
        if (problem_.situations.size() > 1)
            say(fmt::format("Limits are kept in every run as given and under {}.",
                            counted(problem_.situations.size() - 1, "condition")));
    }

    Output& output_;
    const SizingSubject& subject_;
    const solver::SizingProblem& problem_;
    const solver::Sizing& sizing_;
    const Page& page_;
    Speaker speaker_;
};

std::string with_commas(double value, int decimals) {
    std::string text = fmt::format("{:.{}f}", value, decimals);
    const std::size_t point = std::min(text.find('.'), text.size());
    for (std::size_t at = point; at > 3 + (text[0] == '-' ? 1U : 0U);) {
        at -= 3;
        text.insert(at, ",");
    }
    return text;
}

}  // namespace

std::string cost_words(CostBasis basis, double cost) {
    if (basis == CostBasis::volume) return fmt::format("{:.4g} m3 of pipe wall", cost);
    return with_commas(cost, 2);
}

void write_sizing_text(Output& output, const SizingSubject& subject, const Page& page) {
    SizingText(output, subject, page).write();
}

}  // namespace evenhead::io
