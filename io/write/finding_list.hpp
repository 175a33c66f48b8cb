// Findings of many runs as sentences, worst first: the same rule and subject is said once, however many runs
// it fails in.
#pragma once

#include <map>
#include <string>
#include <tuple>
#include <vector>

#include "io/write/layout.hpp"
#include "io/write/sentences.hpp"

namespace evenhead::io {

/// Ids one after another, no more than `most` of them: "A, B and 7 more".
std::string id_list(const std::vector<std::string>& ids, std::size_t most);

/// Smaller is worse: margin / |limit|; a rule without a limit to measure by comes first.
double finding_severity(const solver::Finding& finding);

class FindingList {
  public:
    explicit FindingList(const Speaker& speaker) : speaker_(speaker) {}

    /// `result` may be null: a finding that no run owns.
    void add(const solver::Finding& finding, const solver::RunResult* result);
    /// Different rules and subjects.
    std::size_t size() const { return groups_.size(); }
    /// A sentence each with what to try; unless the page shows all, those that say the same of the same run
    /// are one.
    std::vector<std::string> sentences(const Page& page) const;

    /// One rule and subject, in the run where it is worst.
    struct Group {
        solver::Finding finding;
        std::string sentence, remedy, run, subject;  ///< run: its id; empty where no run owns the finding
        double severity;
        std::size_t runs, order;  ///< runs: in how many it fails
    };
    /// All of them, worst first.
    std::vector<const Group*> groups() const;

  private:
    /// The worst of those that say the same, and the subjects of the others.
    struct Line {
        const Group* worst;
        std::vector<std::string> others;
    };
    /// `none`: nothing is merged. `by_run`: only within the same run.
    static std::vector<Line> merged(const std::vector<const Group*>& sorted, bool none, bool by_run);

    const Speaker& speaker_;
    std::map<std::tuple<solver::RuleId, solver::ElementKind, model::Index>, Group> groups_;
};

}  // namespace evenhead::io
