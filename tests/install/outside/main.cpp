// Reads a case, checks every run and prints the worst head of each: what somebody else's program would do first.
#include <cstdio>
#include <cstdlib>

#include "io/read/case.hpp"
#include "io/units.hpp"
#include "solver/runs/runs.hpp"

int main(int argc, char** argv) {
    if (argc != 2) return EXIT_FAILURE;
    const evenhead::io::CaseReading reading = evenhead::io::read_case(argv[1]);
    for (const auto& error : reading.errors)
        std::fprintf(stderr, "%d: %s: %s\n", error.place.line, error.row.c_str(), error.text.c_str());
    if (!reading.system) return 2;

    const evenhead::model::System& system = *reading.system;
    const auto print_run = [&](const evenhead::solver::RunResult& run, const evenhead::solver::RunFindings& found) {
        const auto head = static_cast<std::size_t>(found.critical_head);
        std::printf("%s: %s at %s psi\n", system.runs[static_cast<std::size_t>(run.run)].id.c_str(),
                    system.point_id(system.heads[head].point).c_str(),
                    evenhead::io::shortest(evenhead::io::to_unit(run.head_pressure[head], "psi")).c_str());
    };
    const evenhead::solver::CheckSummary summary =
        evenhead::solver::check_runs(system, reading.layout, {}, print_run);
    if (!summary.solved) return 3;
    return summary.within_limits ? 0 : 1;
}
