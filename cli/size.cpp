// `evenhead size CASE -o FILE`: the size of every pipe written "kind ?", at the least cost within limits.
#include <fmt/format.h>

#include <atomic>
#include <csignal>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <stdexcept>

#include "cli/progress.hpp"
#include "cli/verb.hpp"
#include "io/edit/sized_case.hpp"
#include "io/write/sentences.hpp"
#include "io/write/sizing.hpp"
#include "model/position.hpp"
#include "solver/laws/law.hpp"
#include "solver/network/network.hpp"
#include "solver/sizing/sizing.hpp"

namespace evenhead::cli {
namespace {

namespace fs = std::filesystem;

struct SizeCommand {
    std::string path, output, format = "text";
    solver::SizingQuestion question;
    solver::SizingOptions options;
    bool wide = false, quiet = false, no_limit_prices = false;
};

std::atomic<bool> asked_to_stop = false;
static_assert(std::atomic<bool>::is_always_lock_free);
using Handler = void (*)(int);
Handler handler_before = SIG_DFL;

/// The first interrupt ends the search, with the best so far; the second ends the program.
extern "C" void stop_search(int signal) {
    asked_to_stop = true;
    std::signal(signal, handler_before);
}

/// While it lives, an interrupt stops the search.
class StopOnInterrupt {
  public:
    StopOnInterrupt() {
        asked_to_stop = false;
        handler_before = std::signal(SIGINT, stop_search);
        if (handler_before == SIG_IGN) std::signal(SIGINT, SIG_IGN);  // nohup
    }
    ~StopOnInterrupt() { std::signal(SIGINT, handler_before); }
    StopOnInterrupt(const StopOnInterrupt&) = delete;
    StopOnInterrupt& operator=(const StopOnInterrupt&) = delete;
};

solver::SizingProblem make_problem(const SizeCommand& command, const io::CaseReading& reading) {
    solver::SizingProblemOrIssues made =
        solver::make_sizing_problem(*reading.system, reading.layout, command.question);
    std::vector<model::Issue> issues = std::move(made.issues);
    if (issues.empty()) issues = solver::unknown_values(made.problem.system);
    if (!issues.empty()) refuse(issues, reading.files, command.path);
    if (made.problem.open.empty())
        throw UsageError(fmt::format(
            "{} leaves no size open: write size = \"kind ?\" where one is to be chosen, or size every pipe "
            "with --all",
            command.path));
    return std::move(made.problem);
}

/// The case with its sizes, not yet written. Throws RewriteError.
io::RewrittenCase sized_case(const SizeCommand& command, const model::System& system,
                             const solver::SizingProblem& problem, const solver::Sizing& sizing,
                             const io::CaseStamp& stamp) {
    std::vector<io::WrittenSize> sizes;
    for (std::size_t o = 0; o < problem.open.size(); ++o) {
        const model::PipeSize& size = *problem.open[o].choices[at(sizing.design[o])].size;
        sizes.push_back({problem.open[o].pipe, size.kind, size.nominal});
    }
    io::RewrittenCase sized = io::write_sizes(command.path, command.output, system, sizes, &stamp);
    if (!sized.left_out.empty()) throw std::logic_error("a pipe whose row was not found");
    return sized;
}

void write_files(const io::RewrittenCase& sized) {
    std::error_code error;
    if (const fs::path folder = fs::path(sized.files.front().path).parent_path(); !folder.empty())
        fs::create_directories(folder, error);  // where that fails, so does the next line, and says why
    io::write_case(sized.files);
}

/// The sized case as anybody will read it is within limits: else the program has a fault.
void read_back(const std::string& path) {
    const io::CaseReading reading = read_case_and_unknowns(path);
    bool fine = reading.errors.empty();
    if (fine) {
        solver::CheckOptions options;
        const auto summary = solver::check_runs(*reading.system, reading.layout, options,
                                                [](const solver::RunResult&, const solver::RunFindings&) {});
        fine = summary.within_limits;
    }
    if (!fine) throw std::runtime_error(path + " was written, but read again it is not within limits");
}

class SizingProgressLine {
  public:
    SizingProgressLine(const solver::SizingProblem& problem, bool wanted)
        : problem_(problem), line_(wanted, 0, "") {}

    void show(const solver::SizingProgress& progress) {
        std::string words = progress.best < solver::infinity
                                ? "best " + io::cost_words(problem_.basis, progress.best)
                                : "nothing within limits yet";
        if (progress.bound > 0) words += ", not below " + io::cost_words(problem_.basis, progress.bound);
        line_.show(words);
    }

  private:
    const solver::SizingProblem& problem_;
    ProgressLine line_;
};

Status size(SizeCommand command) {
    const io::CaseReading reading = read_case_or_refuse(command.path);
    const io::CaseStamp stamp(command.path, reading.files);
    refuse_to_overwrite(reading.files, command.path, command.output);
    const solver::SizingProblem problem = make_problem(command, reading);
    if (!command.quiet) say_warnings(reading, command.path);
    solver::Sizing sizing;
    {
        const StopOnInterrupt stop;
        SizingProgressLine line(problem, !command.quiet);
        command.options.limit_prices = !command.no_limit_prices;
        command.options.progress = [&](const solver::SizingProgress& progress) {
            line.show(progress);
            return !asked_to_stop;
        };
        sizing = solver::size_pipes(problem, command.options);
    }
    io::SizingSubject subject{problem, sizing, command.path, ""};
    std::string refusal;
    if (sizing.found && !command.output.empty()) {
        try {
            write_files(sized_case(command, *reading.system, problem, sizing, stamp));
            read_back(command.output);
            subject.sized_path = command.output;
        } catch (const io::RewriteError& error) {  // what was found is shown all the same
            refusal = error.what();
        }
    }
    io::Output screen;
    OutputOptions page;
    page.all = true;
    page.wide = command.wide;
    if (command.format == "json")
        io::write_sizing_json(screen, subject);
    else
        io::write_sizing_text(screen, subject, page_of(page, screen));
    screen.finish();
    if (!refusal.empty()) throw UsageError(fmt::format("--output: {}", refusal));
    return sizing.found ? Status::within_limits : Status::outside_limits;
}

}  // namespace

void add_size(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "size",
        "Choose the size of every pipe written \"kind ?\" at the least cost within limits,\n"
        "and write the case with its sizes");
    const auto command = std::make_shared<SizeCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file")->required()->type_name("FILE");
    verb->add_option("-o,--output", command->output,
                     "the case with its sizes: your own text, in which nothing but sizes changes (CSV files "
                     "that change are written beside it)")
        ->check([](const std::string& name) { return name.empty() ? "it names no file" : ""; }, "", "")
        ->type_name("FILE");
    verb->add_flag("--all", command->question.all,
                   "size every pipe of a known kind anew, not only those of size \"?\"");
    verb->add_flag("--may-grow", command->question.may_grow,
                   "a pipe may be larger than the one that feeds it");
    verb->add_flag("--price-list", command->question.price_list,
                   "where the case gives no price, take that of the shipped list (invented prices)");
    verb->add_option("--format", command->format, "of the answer")
        ->check(CLI::IsMember({"text", "json"}).description(""))
        ->type_name("text|json")
        ->default_str("text");
    verb->add_option("--seed", command->options.seed, "of the search: another one may find another design")
        ->check(CLI::Range(0U, 4'000'000'000U).description(""))
        ->type_name("N")
        ->default_str("1");
    verb->add_option("--evaluations", command->options.evaluations,
                     "how many runs the search balances, with the bound's work in proportion (default: by "
                     "the size of the "
                     "system)")
        ->check(CLI::Range(1L, 1'000'000'000'000L).description(""))
        ->type_name("N");
    verb->add_option("--time", command->options.time,
                     "stop after so many seconds with the best so far (default: never)")
        ->check(CLI::PositiveNumber.description(""))
        ->type_name("SECONDS");
    verb->add_flag("--no-limit-prices", command->no_limit_prices,
                   "do not look for what 1 psi more or a tenth more velocity would save");
    add_threads_option(*verb, command->options.threads);
    verb->add_flag("--wide", command->wide, "lines as long as they come, not 60 columns");
    verb->add_flag("--quiet", command->quiet, "nothing on standard error but errors");
    verb->footer(
        "Exit status 0: sized within limits; 1: no sizes keep every limit (nothing is written).\n"
        "An interrupt gives the best so far. The same case, seed and evaluations give the same sizes.\n"
        "Example: evenhead size garden.toml -o sized.toml\n"
        "         evenhead size garden.toml --all --price-list --format json");
    verb->callback([&action, command] { action = [command] { return size(*command); }; });
}

}  // namespace evenhead::cli
