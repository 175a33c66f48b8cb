#include "cli/reviewed.hpp"

#include "cli/progress.hpp"
#include "solver/review/chance.hpp"
#include "solver/review/sensitivity.hpp"

namespace evenhead::cli {
namespace {

constexpr std::size_t most_runs = 60;  // of which the others have more to spare

}  // namespace

void add_review_options(CLI::App& verb, ReviewQuestions& questions) {
    verb.add_option(
            "--samples", questions.samples,
            "draws for the chance of too little pressure (default 10,000, fewer of a very large system; "
            "0: leave it out)")
        ->check(CLI::Range(0, 10'000'000).description(""))
        ->type_name("N");
    verb.add_option("--seed", questions.seed, "of the draws: the same seed, the same answer (default 1)")
        ->type_name("N");
    verb.add_option(
            "--spreads", questions.spreads,
            "how far off each kind of number is where the case does not say, instead of the table built in")
        ->type_name("FILE");
}

io::ReviewSubject Reviewed::subject(const io::CheckSubject& of, const model::Spreads& spreads) const {
    io::ReviewSubject subject{of.system, of.layout, found, of.warnings, of.files, of.case_path};
    subject.sensitivity = &sensitivity;
    subject.chance = chance ? &*chance : nullptr;
    subject.spreads = &spreads;
    subject.runs_left_out = runs_left_out;
    return subject;
}

Reviewed ask_review(const model::System& system, const model::Layout& layout,
                    const ReviewQuestions& questions, const model::Spreads& spreads) {
    std::size_t asked = 0;
    std::optional<ProgressLine> progress;
    solver::ReviewOptions options;
    options.threads = questions.threads;
    options.progress = [&](std::string_view what) {
        progress.emplace(!questions.quiet, questions.rules_only ? 4 : 6,
                         std::string("questions: ") + std::string(what));
        progress->show(asked++);
    };
    Reviewed reviewed;
    reviewed.found = solver::review(system, layout, options);
    if (questions.rules_only) return reviewed;

    options.progress("sensitivity");
    const solver::HeadsOfRuns critical = solver::most_critical(reviewed.found.rules.critical, most_runs);
    reviewed.runs_left_out = critical.runs_left_out;
    reviewed.sensitivity = solver::find_sensitivity(system, layout, critical.heads, questions.threads);
    if (questions.samples == 0 || critical.heads.empty()) return reviewed;
    options.progress("chance");
    solver::ChanceOptions of_chance;
    of_chance.samples = questions.samples < 0 ? solver::usual_samples(system) : questions.samples;
    of_chance.seed = questions.seed;
    of_chance.threads = questions.threads;
    of_chance.spreads = &spreads;
    for (const solver::HeadOfRun& head : critical.heads) of_chance.runs.push_back(head.run);
    reviewed.chance = solver::find_chance(system, layout, of_chance);
    return reviewed;
}

}  // namespace evenhead::cli
