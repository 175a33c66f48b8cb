#include "io/write/check.hpp"
#include "io/write/row_sinks.hpp"

namespace evenhead::io {
namespace {

class CheckCsv : public CheckWriter {
  public:
    CheckCsv(Output& output, const CheckSubject& subject, Detail detail, CheckTable table)
        : row_(output),
          system_(subject.system),
          speaker_{subject.system, ShownUnits::of_case(subject.system.units)},
          detail_(detail),
          table_(table) {
        output.write(csv_heading(table));
        output.write("\n");
    }

    void add(const solver::RunResult& result, const solver::RunFindings& findings) override {
        const std::string& run = system_.runs[static_cast<std::size_t>(result.run)].id;
        if (table_ == CheckTable::runs) {
            row_.text("run", run);
            run_row(row_, speaker_, result, findings);
            row_.boolean("solved", !result.failure.has_value());
            row_.number("findings", static_cast<double>(findings.findings.size()));
            row_.text("error", result.failure ? result.failure->text : "");
            row_.end();
            return;
        }
        if (result.failure) return;
        const ListedRows rows = listed_rows(system_, result, detail_);
        const auto lines = [&](const std::vector<model::Index>& positions, auto write) {
            for (const model::Index position : positions) {
                row_.text("run", run);
                write(row_, speaker_, result, position);
                row_.end();
            }
        };
        switch (table_) {
            case CheckTable::heads:
                lines(rows.heads, head_row);
                break;
            case CheckTable::points:
                lines(rows.points, point_row);
                break;
            case CheckTable::pipes:
                lines(rows.pipes, [&](RowSink& sink, const Speaker& speaker, const solver::RunResult& of,
                                      model::Index pipe) { pipe_row(sink, speaker, of, findings, pipe); });
                break;
            case CheckTable::devices:
                lines(rows.devices, device_row);
                break;
            case CheckTable::valves:
                lines(rows.valves, valve_row);
                break;
            case CheckTable::findings:
                write_findings(run, findings.findings, &result);
                break;
            case CheckTable::runs:
                break;
        }
    }

    void finish(const solver::CheckSummary& summary, const LowerSupply* /*lower: text only*/) override {
        if (table_ == CheckTable::findings) write_findings("", summary.findings, nullptr);
    }

  private:
    void write_findings(const std::string& run, const std::vector<solver::Finding>& findings,
                        const solver::RunResult* result) {
        for (const auto& finding : findings) {
            row_.text("run", run);
            finding_row(row_, speaker_, finding, finding_sentence(speaker_, finding, result));
            row_.end();
        }
    }

    CsvRow row_;
    const model::System& system_;
    Speaker speaker_;
    Detail detail_;
    CheckTable table_;
};

}  // namespace

std::string_view csv_heading(CheckTable table) {
    // The keys of the rows in result_rows.cpp; a test holds the two together.
    switch (table) {
        case CheckTable::runs:
            return "run,id,open,flow,critical_head,critical_margin,lowest_head,lowest_pressure,highest_head,"
                   "highest_pressure,spread,top_velocity_pipe,top_velocity,"
                   "top_surge_pipe,top_surge_valve,top_surge,solved,findings,error";
        case CheckTable::heads:
            return "run,id,pressure,flow,radius";
        case CheckTable::points:
            return "run,id,pressure";
        case CheckTable::pipes:
            return "run,id,from,to,flow,velocity,loss,surge";
        case CheckTable::devices:
        case CheckTable::valves:
            return "run,id,flow,inlet,outlet";
        case CheckTable::findings:
            break;
    }
    return "run,rule,subject,value,limit,unit,margin,fails,source,text,try";
}

std::unique_ptr<CheckWriter> check_csv(Output& output, const CheckSubject& subject, Detail detail,
                                       CheckTable table) {
    return std::make_unique<CheckCsv>(output, subject, detail, table);
}

}  // namespace evenhead::io
