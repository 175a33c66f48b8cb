// What a report says of the runs, gathered while they come one by one: no table of heads times runs.
#pragma once

#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "io/plan/states.hpp"
#include "io/report/worst_first.hpp"
#include "io/write/check.hpp"
#include "io/write/check_answer.hpp"
#include "io/write/finding_list.hpp"
#include "io/write/not_checked.hpp"
#include "solver/worksheet/worksheet.hpp"

namespace evenhead::io {

inline constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

/// One run. SI; NaN: not known.
struct RunFacts {
    Index run = model::none;
    bool solved = false, outside = false, dry = false;
    double flow = not_known, spread = not_known;
    Index lowest_head = model::none, highest_head = model::none, critical_head = model::none;
    double lowest = not_known, highest = not_known, critical = not_known, margin = not_known;
    Index fastest_pipe = model::none;
    double velocity = not_known;
    double surge = not_known;
    solver::Closure closure;
    std::string failure;  ///< why there is no solution, in sentences
};

/// A head in its worst run: the one with the least margin to either limit, else the least pressure.
struct HeadFacts {
    HeadMark mark;                                ///< off: it runs in no run
    double needs = not_known, bears = not_known;  ///< its limits, Pa
    double margin = not_known;
    bool over = false;  ///< something fails about it in some run
};

/// A pipe in the run of its fastest water.
struct PipeFacts {
    Index run = model::none;
    double flow = 0, velocity = 0, loss = 0;
    double surge = not_known;  ///< the largest of all runs
    bool over = false;
};

/// A device or valve in the run of its largest flow.
struct PassedFacts {
    Index run = model::none;
    double flow = 0, inlet = not_known, outlet = not_known;
    bool holding = false;
    bool over = false;
};

class ReportFacts {
  public:
    ReportFacts(const CheckSubject& subject, const Speaker& speaker);

    void add(const solver::RunResult& result, const solver::RunFindings& findings);
    void finish(const solver::CheckSummary& summary);

    const CheckSubject& subject;
    const Speaker& speaker;
    CheckAnswer answer;
    FindingList found, noticed;
    NotCheckedList not_checked;
    std::vector<RunFacts> runs;
    std::vector<HeadFacts> heads;
    std::vector<PipeFacts> pipes;
    std::vector<PassedFacts> devices, valves;
    std::vector<std::pair<Index, double>> supplies;  ///< by supply: largest flow (m3/s) and its run
    WorstFirst<solver::Worksheet> worksheets;        ///< of the critical heads
    WorstFirst<std::string> numbers;                 ///< of single runs, as the page's script reads them
    PlanMarks marks;
    solver::CheckSummary summary;

  private:
    void add_heads(const RunMarks& run);
    void add_pipes(const solver::RunResult& result, const solver::RunFindings& findings);
    void add_passed(const solver::RunResult& result);
    void add_worksheet(const solver::RunResult& result, const Badness& badness, Index head);
    void mark_over(const solver::Finding& finding);
};

/// What water flows through, and how it fares there, in one run: JSON for the page's script.
std::string run_numbers(const Speaker& speaker, const solver::RunResult& result, const RunMarks& marks);

}  // namespace evenhead::io
