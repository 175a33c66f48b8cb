// `evenhead draw CASE`: the plan of a case as a drawing, with what the runs say of each thing.
#include <memory>

#include "cli/verb.hpp"
#include "io/plan/plan.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::cli {
namespace {

struct DrawCommand {
    std::string path, output, run;
    bool elevations = false;
    double width = 0;
    int threads = 0;
};

Status draw(const DrawCommand& command) {
    const io::CaseReading reading = read_case_to_balance(command.path);
    const model::System& system = *reading.system;
    refuse_to_overwrite(reading.files, command.path, command.output);
    solver::CheckOptions options;
    options.threads = command.threads;
    if (!command.run.empty()) options.only_run = find_run(system, command.run);
    say_warnings(reading, command.path);

    io::PlanMarks marks(system, reading.layout, false);
    const auto summary =
        solver::check_runs(system, reading.layout, options,
                           [&](const solver::RunResult& result, const solver::RunFindings& findings) {
                               marks.add(result, findings);
                           });
    marks.finish(summary);

    const io::Speaker speaker{system, io::ShownUnits::of_text(system)};
    io::PlanOptions plan;
    plan.run = options.only_run;
    plan.elevations = command.elevations;
    plan.width = command.width;
    io::Output output(command.output);
    io::write_plan(output, {system, reading.layout, marks, speaker}, plan);
    output.finish();
    return status_of(summary);
}

}  // namespace

void add_draw(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "draw", "The plan of a case as an SVG picture: to scale where it gives coordinates");
    const auto command = std::make_shared<DrawCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file")->required()->type_name("FILE");
    add_output_file_option(*verb, command->output);
    verb->add_option("--run", command->run,
                     "this run only (default: each thing in its worst state of all runs)")
        ->type_name("ID");
    verb->add_flag("--elevations", command->elevations,
                   "with the elevation of each point, as far as there is room");
    verb->add_option("--width", command->width, "of the picture, in pixels (default: by what is drawn)")
        ->check(CLI::Range(300, 20000).description(""))
        ->type_name("N");
    add_threads_option(*verb, command->threads);
    verb->footer(
        "Exit status as that of check.\n"
        "Example: evenhead draw garden.toml -o plan.svg --run lawn");
    verb->callback([&action, command] { action = [command] { return draw(*command); }; });
}

}  // namespace evenhead::cli
