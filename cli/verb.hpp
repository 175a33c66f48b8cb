// What the verbs share. A verb is one file: it registers its options, reads, asks one question of the solver,
// writes.
#pragma once

#include <CLI/CLI.hpp>

#include <functional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "io/read/case.hpp"
#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::cli {

/// How the program ends; of several, the first that applies of bad_input, no_solution, outside_limits,
/// within_limits.
enum class Status {
    within_limits = 0,   ///< solved and within limits
    outside_limits = 1,  ///< solved, some finding fails
    bad_input = 2,       ///< the input or the command line is wrong, or the result could not be written
    no_solution = 3,     ///< no solution could be proven
};

/// How a check of one case ends.
Status status_of(const solver::CheckSummary& summary);

/// The command line asks for something that is not there. what() says what is wrong and what would be right;
/// status 2.
struct UsageError : std::runtime_error {
    using std::runtime_error::runtime_error;
};

/// What the chosen verb does once the command line is read.
using Action = std::function<Status()>;

/// Options that several verbs take.
struct OutputOptions {
    std::string format = "text";  ///< text json csv xlsx
    std::string output;           ///< file; empty: standard output
    bool all = false;             ///< every row, not the first 20
    bool wide = false;            ///< lines as long as they come, not 60 columns
};

/// Adds --format (one of `formats`), --output (-o), --all and --wide to a verb.
void add_output_options(CLI::App& verb, OutputOptions& options,
                        const std::vector<std::string>& formats = {"text", "json", "csv"});

/// Adds --output (-o) alone.
void add_output_file_option(CLI::App& verb, std::string& file);

/// True where the file is to be a workbook by its name.
bool names_a_workbook(std::string file);

/// Adds --threads.
void add_threads_option(CLI::App& verb, int& threads);

/// How text is laid out: colour only on a terminal that shows it, and where nobody said NO_COLOR.
io::Page page_of(const OutputOptions& options, const io::Output& output);

/// The errors of a case as they are listed on standard error, and at the end what follows from them ("nothing
/// was written").
std::string refusal_text(const std::vector<model::Issue>& errors, const std::vector<std::string>& files,
                         const std::string& path, std::string_view consequence);

/// Reads the case to balance it: values that it leaves as "?" are errors of the reading too.
io::CaseReading read_case_and_unknowns(const std::string& path);

/// Reads the case. Where it has errors, lists them all on standard error and throws CaseRefused.
io::CaseReading read_case_or_refuse(const std::string& path);
/// The same for a verb that balances (read_case_and_unknowns).
io::CaseReading read_case_to_balance(const std::string& path);

/// The case has errors, and they are already printed; status 2.
struct CaseRefused : std::exception {
    const char* what() const noexcept override { return "the case has errors"; }
};

/// Lists the errors of the file at `path` on standard error and throws CaseRefused.
[[noreturn]] void refuse(const std::vector<model::Issue>& errors, const std::vector<std::string>& files,
                         const std::string& path);

/// The warnings of a reading, on standard error (where the result has no place for them).
void say_warnings(const io::CaseReading& reading, const std::string& path);

/// Refuses an output that is one of the files read (UsageError). `files` may be named as seen from the case's
/// folder; `option` is what named the output.
void refuse_to_overwrite(const std::vector<std::string>& files, const std::string& case_path,
                         const std::string& output, std::string_view option = "--output");

/// Position of the run of this id; UsageError names the nearest.
model::Index find_run(const model::System& system, const std::string& id);

// The verbs, each in the file of its name: registers itself on the program and sets `action` where it is
// chosen.
void add_check(CLI::App& program, Action& action);
void add_worksheet(CLI::App& program, Action& action);
void add_diagnose(CLI::App& program, Action& action);
void add_size(CLI::App& program, Action& action);
void add_accept(CLI::App& program, Action& action);
void add_compare(CLI::App& program, Action& action);
void add_review(CLI::App& program, Action& action);
void add_report(CLI::App& program, Action& action);
void add_draw(CLI::App& program, Action& action);
void add_takeoff(CLI::App& program, Action& action);
void add_coverage(CLI::App& program, Action& action);
void add_together(CLI::App& program, Action& action);
void add_timetable(CLI::App& program, Action& action);
void add_sheets(CLI::App& program, Action& action);
void add_export(CLI::App& program, Action& action);
void add_import(CLI::App& program, Action& action);
void add_kinds(CLI::App& program, Action& action);
void add_start(CLI::App& program, Action& action);

/// Reads the command line, does what it asks, and ends every path of the program: no exception leaves it.
Status run_program(int argc, const char* const* argv);

}  // namespace evenhead::cli
