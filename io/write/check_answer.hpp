// The answer before the tables: the verdict, what decides it, what to do next, and how it goes at a lower
// supply.
#pragma once

#include <optional>
#include <string>

#include "io/write/check.hpp"

namespace evenhead::io {

bool has_failing(const std::vector<solver::Finding>& findings);

/// The head with the least margin of all, in one clause: "critical head L4 in run lawn: 24.1 psi, needs 30
/// psi (margin -5.9 psi)"; "no head runs".
std::string critical_words(const Speaker& speaker, const solver::CheckSummary& summary);

/// Gathers what the first three lines need, run by run.
class CheckAnswer {
  public:
    CheckAnswer(const Speaker& speaker, std::string case_path)
        : speaker_(speaker), case_path_(std::move(case_path)) {}

    void add(const solver::RunResult& result, const solver::RunFindings& findings);
    std::size_t outside_runs() const { return outside_; }

    std::string verdict(const solver::CheckSummary& summary, const Page& page) const;
    std::string reason(const solver::CheckSummary& summary, const Page& page) const;
    std::string next_step(const solver::CheckSummary& summary, const Page& page) const;
    /// What to try about the worst of it, without a command to type; empty within limits.
    std::string remedy(const solver::CheckSummary& summary) const;
    /// The largest surge of all runs; empty where none is known.
    std::string surge(const Page& page) const;
    std::string lower_supply(const LowerSupply& lower, const Page& page) const;

  private:
    struct Worst {
        solver::Finding finding;
        model::Index run = model::none;
    };
    std::optional<Worst> worst(const solver::CheckSummary& summary) const;
    std::string critical_head(const solver::CheckSummary& summary) const;

    const Speaker& speaker_;
    std::string case_path_;
    std::size_t runs_ = 0, outside_ = 0, unsolved_ = 0;
    model::Index only_run_ = model::none;
    std::optional<Worst> worst_;
    std::optional<std::pair<model::Index, solver::Failure>> first_failure_;
    double surge_ = 0;  ///< Pa
    model::Index surge_run_ = model::none, surge_pipe_ = model::none, surge_valve_ = model::none;
};

/// What the numbers do not cover, and what decides before anybody digs.
std::string cautions(const Page& page);
/// A case path as it can be pasted into a shell; what could steer a terminal is shown as "?".
std::string shell_word(const std::string& text);

}  // namespace evenhead::io
