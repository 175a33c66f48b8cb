// The rows of a balanced run, said once for JSON and CSV: keys in order, numbers in the units of the case.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "io/write/sentences.hpp"
#include "solver/balance/result.hpp"
#include "solver/rules/rules.hpp"
#include "solver/worksheet/worksheet.hpp"

namespace evenhead::io {

/// Takes a row key by key. Numbers are as printed (no SI any more); NaN is "not known".
class RowSink {
  public:
    virtual ~RowSink() = default;
    virtual void text(std::string_view key, std::string_view value) = 0;
    virtual void number(std::string_view key, double value) = 0;
    virtual void boolean(std::string_view key, bool value) = 0;
    virtual void ids(std::string_view key, const std::vector<std::string>& values) = 0;
};

/// What a result lists: everything, what water flows through in the run, or no heads, points, pipes, devices,
/// valves.
enum class Detail { all, running, summary };

/// Positions of the rows that a detail lists for a run.
struct ListedRows {
    std::vector<model::Index> heads, points, pipes, devices, valves;
};
ListedRows listed_rows(const model::System& system, const solver::RunResult& result, Detail detail);

/// id, open, flow and the numbers that sum the run up. In a failed run only id and open mean anything.
void run_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result,
             const solver::RunFindings& findings);
void supply_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result, model::Index supply);
void head_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result, model::Index head);
void point_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result, model::Index point);
void pipe_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result,
              const solver::RunFindings& findings, model::Index pipe);
void device_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result, model::Index device);
void valve_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result, model::Index valve);
/// `sentence`: what finding_sentence made of it.
void finding_row(RowSink& sink, const Speaker& speaker, const solver::Finding& finding,
                 std::string_view sentence);
void worksheet_row(RowSink& sink, const Speaker& speaker, const solver::WorksheetLine& line);

}  // namespace evenhead::io
