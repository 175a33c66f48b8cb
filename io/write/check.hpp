// What `check` writes: an answer in text, everything in JSON, one table in CSV. Each takes the runs one by
// one.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "io/write/result_rows.hpp"
#include "model/graph.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::io {

/// What is being checked; it must outlive the writer.
struct CheckSubject {
    const model::System& system;
    const model::Layout& layout;
    const std::vector<model::Issue>& warnings;  ///< of reading and of the layout
    const std::vector<std::string>& files;      ///< Place::file
    std::string case_path;                      ///< as the reader of the text would type it
    bool one_of_many = false;                   ///< JSON: `case` is its path, its title stands apart
};

/// How the runs do at a lower supply.
struct LowerSupply {
    double change = 0;  ///< Pa, negative
    std::size_t runs = 0, outside = 0, unsolved = 0;
    solver::CheckSummary summary;
};

/// Takes a check run by run, in the order of the case.
class CheckWriter {
  public:
    virtual ~CheckWriter() = default;
    virtual void add(const solver::RunResult& result, const solver::RunFindings& findings) = 0;
    /// `lower` may be null. Writes what is left; the output still has to be finished.
    virtual void finish(const solver::CheckSummary& summary, const LowerSupply* lower) = 0;
};

/// Throws WriteError, as all of these.
std::unique_ptr<CheckWriter> check_json(Output& output, const CheckSubject& subject, Detail detail);

enum class CheckTable { runs, heads, points, pipes, devices, valves, findings };
std::unique_ptr<CheckWriter> check_csv(Output& output, const CheckSubject& subject, Detail detail,
                                       CheckTable table);

/// The keys of a table, as its first line has them.
std::string_view csv_heading(CheckTable table);

struct CheckTextOptions {
    Page page;
    bool verdict_only = false;
    Detail tables = Detail::summary;  ///< heads, valves, devices and pipes of each run, where not `summary`
};
std::unique_ptr<CheckWriter> check_text(Output& output, const CheckSubject& subject,
                                        const CheckTextOptions& options);

/// The steps of a run's balance: number, largest mismatch, where, step length; then how closely it closed.
std::string steps_text(const Speaker& speaker, const solver::RunResult& result);

}  // namespace evenhead::io
