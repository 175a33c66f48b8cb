// `evenhead check CASE...`: many cases in parallel, a line each in the order of their names, and a total.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cstdio>
#include <exception>
#include <functional>
#include <iterator>
#include <memory>
#include <new>
#include <string_view>

#include "cli/check_command.hpp"
#include "cli/in_turn.hpp"
#include "cli/progress.hpp"
#include "io/read/find_cases.hpp"
#include "io/write/case_list.hpp"
#include "io/write/check.hpp"
#include "io/write/row_sinks.hpp"

namespace evenhead::cli {
namespace {

// Bytes of a line that wait in memory for their turn, where lines may be long.
constexpr std::size_t longest_wait = std::size_t{4} << 20U;

/// What has become of one case.
struct Checked {
    io::CaseOutcome outcome;
    std::string text;            ///< for the result: the whole line, or what pass_on() has not taken of it
    std::string errors;          ///< for standard error
    std::exception_ptr refusal;  ///< the command line turns out to be wrong
};

using Cases = InTurn<Checked>;
using PassOn = std::function<void(std::string&)>;

bool is_whole_number(std::string_view words, std::size_t& number) {
    const auto [end, error] = std::from_chars(words.data(), words.data() + words.size(), number);
    return error == std::errc() && end == words.data() + words.size();
}

bool parse_shard(std::string_view words, Shard& shard) {
    const std::size_t slash = words.find('/');
    return slash != std::string_view::npos && is_whole_number(words.substr(0, slash), shard.first) &&
           is_whole_number(words.substr(slash + 1), shard.of) && shard.first >= 1 && shard.first <= shard.of;
}

/// What asks for the insides of one case.
void refuse_what_is_for_one(const CheckCommand& command) {
    const std::string alone = "; here the answer is a line for each case. Name one case alone for that";
    if (!command.run.empty()) throw UsageError("--run picks a run of one case" + alone);
    if (command.verbose) throw UsageError("--verbose follows the balance of one case" + alone);
    if (!command.table.empty()) throw UsageError("--table picks a table of one case" + alone);
    if (!command.detail.empty() && command.output.format != "json")
        throw UsageError(fmt::format("--detail {} of many cases is for --format json alone", command.detail));
}

std::vector<io::FoundCase> cases_to_check(const CheckCommand& command) {
    io::FoundCases found = io::find_cases(command.paths);
    if (!found.refused.empty()) throw UsageError(found.refused);
    Shard shard;
    if (!command.shard.empty()) parse_shard(command.shard, shard);
    std::vector<io::FoundCase> mine;
    for (std::size_t i = shard.first - 1; i < found.cases.size(); i += shard.of)
        mine.push_back(std::move(found.cases[i]));
    for (const io::FoundCase& one : mine) refuse_to_overwrite({}, one.path, command.output.output);
    return mine;
}

/// Checks single cases; the same from any thread.
class Checker {
  public:
    Checker(const CheckCommand& command, const std::vector<std::string>& names, int threads_of_each,
            const io::Page& page)
        : json_(command.output.format == "json"),
          csv_(command.output.format == "csv"),
          detail_(detail_of(command.detail, io::Detail::summary)),
          output_(command.output.output),
          name_width_(io::case_name_width(names)),
          page_(page) {
        options_.threads = threads_of_each;
    }

    /// `pass_on` takes what there is of a line that gets long; empty: the line is kept whole.
    Checked check(const io::FoundCase& found, const PassOn& pass_on) const;

  private:
    void balance(const io::CaseReading& reading, const std::string& path, Checked& checked,
                 const PassOn& pass_on) const;
    void refuse(const std::vector<model::Issue>& errors, const std::vector<std::string>& files,
                const std::string& path, Checked& checked) const;
    void give_up(const std::string& path, const std::string& why, Checked& checked) const;
    std::string line(const io::CaseOutcome& outcome) const;

    bool json_, csv_;
    io::Detail detail_;
    std::string output_;
    int name_width_;
    io::Page page_;
    solver::CheckOptions options_;
};

/// The line of a case that is no JSON object of results.
std::string Checker::line(const io::CaseOutcome& outcome) const {
    if (!csv_) return io::case_line(outcome, name_width_, page_);
    std::string text;
    io::Output taker([&](std::string_view piece) { text += piece; });
    io::CsvRow row(taker);
    io::case_row(row, outcome);
    row.end();
    taker.finish();
    return text;
}

void Checker::refuse(const std::vector<model::Issue>& errors, const std::vector<std::string>& files,
                     const std::string& path, Checked& checked) const {
    checked.outcome = io::refused_case(path, errors, files);
    if (!json_) {
        checked.text = line(checked.outcome);
        checked.errors = refusal_text(errors, files, path, "this case is left out");
        return;
    }
    io::Output taker([&](std::string_view piece) { checked.text += piece; });
    io::refused_case_json(taker, path, errors, files);
    taker.write("\n");
    taker.finish();
}

/// The program itself has failed on this case; the others stand.
void Checker::give_up(const std::string& path, const std::string& why, Checked& checked) const {
    checked = {};
    model::Issue issue;
    issue.place.file = model::none;
    issue.text = why;
    refuse({issue}, {}, path, checked);
    checked.outcome.verdict = io::CaseVerdict::unsolved;
    if (json_) return;
    checked.text = line(checked.outcome);
    checked.errors = fmt::format("evenhead: {}: {}.\n", io::printable(path), why);
}

void Checker::balance(const io::CaseReading& reading, const std::string& path, Checked& checked,
                      const PassOn& pass_on) const {
    const model::System& system = *reading.system;
    // What the writer breaks into lines for people is one line here: no text in JSON holds a line's end.
    io::Output taker([&](std::string_view piece) {
        std::copy_if(piece.begin(), piece.end(), std::back_inserter(checked.text),
                     [](char c) { return c != '\n'; });
        if (pass_on && checked.text.size() > longest_wait) pass_on(checked.text);
    });
    const io::CheckSubject subject{system, reading.layout, reading.warnings, reading.files, path, true};
    const auto writer = json_ ? io::check_json(taker, subject, detail_) : nullptr;
    io::CaseTally tally(system, path, reading.warnings.size());
    const auto summary =
        solver::check_runs(system, reading.layout, options_,
                           [&](const solver::RunResult& result, const solver::RunFindings& findings) {
                               if (writer) writer->add(result, findings);
                               tally.add(result, findings);
                           });
    checked.outcome = tally.finish(summary);
    if (!writer) {
        checked.text = line(checked.outcome);
        return;
    }
    writer->finish(summary, nullptr);
    taker.finish();
    checked.text += '\n';
}

Checked Checker::check(const io::FoundCase& found, const PassOn& pass_on) const {
    Checked checked;
    bool passed = false;
    PassOn pass_piece;
    if (pass_on)
        pass_piece = [&](std::string& piece) {
            passed = true;
            pass_on(piece);
            piece.clear();
        };
    try {
        if (!found.problem.empty()) {
            model::Issue issue;
            issue.place.file = model::none;
            issue.text = "this folder cannot be looked into: " + found.problem;
            issue.mend = "make it readable, or name the others without it";
            refuse({issue}, {}, found.path, checked);
            return checked;
        }
        const io::CaseReading reading = read_case_and_unknowns(found.path);
        refuse_to_overwrite(reading.files, found.path, output_);
        if (reading.errors.empty())
            balance(reading, found.path, checked, pass_piece);
        else
            refuse(reading.errors, reading.files, found.path, checked);
    } catch (const UsageError&) {
        checked.refusal = std::current_exception();
    } catch (const std::bad_alloc&) {
        if (passed) throw;  // half a line cannot be taken back
        give_up(found.path, "this case needs more memory than there is", checked);
    } catch (const std::exception& error) {
        if (passed) throw;
        give_up(found.path, std::string("stopped by a fault of the program's own: ") + error.what(), checked);
    }
    return checked;
}

/// Of two, the one that applies first.
Status first_of(Status one, Status other) {
    for (const Status status : {Status::bad_input, Status::no_solution, Status::outside_limits})
        if (one == status || other == status) return status;
    return Status::within_limits;
}

Status status_of(io::CaseVerdict verdict) {
    switch (verdict) {
        case io::CaseVerdict::within:
            return Status::within_limits;
        case io::CaseVerdict::outside:
            return Status::outside_limits;
        case io::CaseVerdict::unsolved:
            return Status::no_solution;
        case io::CaseVerdict::not_read:
            break;
    }
    return Status::bad_input;
}

}  // namespace

std::string wrong_shard(const std::string& words) {
    Shard shard;
    return parse_shard(words, shard)
               ? ""
               : fmt::format("{} is no shard; 2/4 is the second of four, and counts from 1", words);
}

bool is_list(const CheckCommand& command) {
    return command.paths.size() > 1 || !command.shard.empty() ||
           io::is_folder_of_cases(command.paths.front());
}

Status check_many(const CheckCommand& command) {
    refuse_what_is_for_one(command);
    const std::vector<io::FoundCase> cases = cases_to_check(command);
    std::vector<std::string> names;
    Cases::Job job;
    for (const io::FoundCase& one : cases) {
        names.push_back(one.path);
        job.sizes.push_back(one.size);
    }
    const int threads = command.threads > 0 ? command.threads : solver::default_threads();
    const int at_once =
        static_cast<int>(std::clamp<std::size_t>(cases.size(), 1, static_cast<std::size_t>(threads)));

    io::Output output(command.output.output);
    const bool text = command.output.format == "text";
    const Checker checker(command, names, threads / at_once, page_of(command.output, output));
    ProgressLine progress(!command.quiet, cases.size());
    io::CaseTotal total;
    Status status = Status::within_limits;
    const bool lines = !text || !command.quiet;
    if (command.output.format == "csv") output.write(io::case_row_heading());

    job.threads = at_once;
    // A line with every head of every run is not kept until its turn; for that its turn must come.
    job.largest_first = command.detail.empty() || command.detail == "summary";
    job.work = [&](Cases& all, std::size_t i) {
        return checker.check(
            cases[i],
            job.largest_first ? PassOn() : [&all, i](std::string& piece) { all.pass_on(i, piece); });
    };
    job.weight = [](const Checked& checked) { return checked.text.size() + checked.errors.size(); };
    job.take_piece = [&](const std::string& piece) { output.write(piece); };
    job.take = [&](std::size_t, Checked&& checked) {
        if (checked.refusal) std::rethrow_exception(checked.refusal);
        total.add(checked.outcome);
        status = first_of(status, status_of(checked.outcome.verdict));
        if (output.terminal() || !checked.errors.empty()) ProgressLine::erase();
        if (lines) output.write(checked.text);
        output.flush();
        std::fputs(checked.errors.c_str(), stderr);
    };
    job.tick = [&](std::size_t done) { progress.show(done); };
    Cases(job).run();
    ProgressLine::erase();
    if (text) output.write(total.text(command.shard));
    output.finish();
    if (!text && !command.quiet) std::fputs(total.text(command.shard).c_str(), stderr);
    return status;
}

}  // namespace evenhead::cli
