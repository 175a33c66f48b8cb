// Many cases, a line each: in text, as a row of CSV, or as a JSON object; and what they come to.
#pragma once

#include <array>
#include <cstddef>
#include <limits>
#include <optional>
#include <set>
#include <string>
#include <tuple>
#include <vector>

#include "io/write/check.hpp"
#include "io/write/layout.hpp"

namespace evenhead::io {

enum class CaseVerdict { within, outside, unsolved, not_read };

/// One case of many, as its line has it.
struct CaseOutcome {
    std::string name;  ///< the path by which it was found
    std::string title;
    CaseVerdict verdict = CaseVerdict::not_read;
    std::size_t heads = 0, runs = 0;
    std::size_t unsolved = 0;  ///< runs
    std::size_t findings = 0;  ///< that fail; the same rule and subject once, however many runs it fails in
    std::size_t warnings = 0;  ///< of the reading, and what is noticed in the runs, likewise once
    std::size_t errors = 0;    ///< of a case that is not read
    std::string words;         ///< critical head with its margin, or why there is none; for people
    std::string critical_run, critical_head;
    double margin = std::numeric_limits<double>::quiet_NaN();  ///< in `unit`; NaN: not known
    std::string unit;                                          ///< of pressure, in the case
};

/// Takes a check run by run as a CheckWriter does, and writes nothing.
class CaseTally {
  public:
    /// `warnings`: of the reading.
    CaseTally(const model::System& system, std::string name, std::size_t warnings);
    void add(const solver::RunResult& result, const solver::RunFindings& findings);
    CaseOutcome finish(const solver::CheckSummary& summary);

  private:
    using Subjects = std::set<std::tuple<solver::RuleId, solver::ElementKind, model::Index>>;
    static void add_to(Subjects& subjects, const std::vector<solver::Finding>& findings);

    Speaker speaker_;
    CaseOutcome outcome_;
    Subjects found_, noticed_;
    std::string first_failure_;
};

/// What the reading of a case has come to where it has errors (at least one).
CaseOutcome refused_case(const std::string& name, const std::vector<model::Issue>& errors,
                         const std::vector<std::string>& files);

/// `parks/oak.toml      24 heads     6 runs  within limits; critical head L4 ...`, however long, with its
/// end. `name_width`: columns for the name.
std::string case_line(const CaseOutcome& outcome, int name_width, const Page& page);
/// Columns that a list of these names gives them.
int case_name_width(const std::vector<std::string>& names);

/// The keys of case_row.
std::string_view case_row_heading();
void case_row(RowSink& sink, const CaseOutcome& outcome);

/// `{"case":...,"ok":false,"errors":[...]}`: what is written of a case that is not read, without a line's
/// end.
void refused_case_json(Output& output, const std::string& name, const std::vector<model::Issue>& errors,
                       const std::vector<std::string>& files);

/// What many cases come to.
class CaseTotal {
  public:
    void add(const CaseOutcome& outcome);
    /// `258 cases, 500000 heads, 29000 runs: 240 within limits, 18 outside limits.` `shard`: `2/4`, or empty.
    std::string text(const std::string& shard) const;

  private:
    std::size_t heads_ = 0, runs_ = 0;
    std::array<std::size_t, 4> cases_{};  // by verdict
};

}  // namespace evenhead::io
