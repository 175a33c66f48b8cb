// The way through the program: command line -> verb -> exit status. One function ends every path.
#include <fcntl.h>
#include <unistd.h>

#include <csignal>
#include <cstdio>
#include <memory>
#include <new>

#include <string_view>

#include <fmt/format.h>

#include "cli/progress.hpp"
#include "cli/verb.hpp"
#include "io/write/layout.hpp"
#include "model/nearest.hpp"

namespace evenhead::cli {
namespace {

constexpr const char* program_purpose = "For irrigation sprinklers, not for fire protection.";

constexpr const char* program_footer =
    "Exit status: 0 solved and within limits, 1 a finding fails, 2 the input or the\n"
    "command line is wrong, 3 no solution could be proven.\n"
    "\n"
    "Examples:\n"
    "  evenhead start garden.toml               ask a few questions, write a case\n"
    "  evenhead check garden.toml               every head of every run, what is outside limits\n"
    "  evenhead check parks                     every case in a folder, a line each\n"
    "  evenhead worksheet garden.toml L4        where the pressure of head L4 goes\n"
    "  evenhead diagnose garden.toml read.csv   what is wrong, where, what to read next\n"
    "  evenhead size garden.toml -o s.toml      the sizes of pipes at the least cost\n"
    "  evenhead accept garden.toml read.csv     predicted against measured, accepted or not\n"
    "  evenhead compare drawn.toml built.toml   what differs, and what that does\n"
    "  evenhead review garden.toml              does it work on the worst day, what decides it\n"
    "  evenhead report garden.toml -o g.html    one page to open, print or hand on\n"
    "  evenhead draw garden.toml -o plan.svg    its plan as a picture\n"
    "  evenhead takeoff garden.toml             what to buy and dig, with its cost\n"
    "  evenhead coverage garden.toml            how evenly each zone waters its ground\n"
    "  evenhead together garden.toml            which valves may be open at once\n"
    "  evenhead timetable garden.toml           who waters when: the shortest night\n"
    "  evenhead sheets garden.toml              the crew's sheets: trenches, wire, gauges, winter\n"
    "  evenhead export garden.toml -o g.geojson the system and its results for a map\n"
    "  evenhead import survey.geojson -o g.toml a case from a survey\n"
    "  evenhead kinds pvc-cl200                 bores of a kind of pipe\n"
    "Each verb has more: evenhead check --help";

/// Every help begins with what the program is for.
class HelpText : public CLI::Formatter {
  public:
    HelpText() {
        label("OPTIONS", "OPTION...");
        label("SUBCOMMAND", "VERB");
        label("SUBCOMMANDS", "VERB");
        label("Positionals", "What to name");
    }
    std::string make_description(const CLI::App* app) const override {
        return std::string(program_purpose) + "\n\n" + app->get_description() + "\n";
    }
};

void say(const std::string& text) {
    // Nothing is left to be done where even this fails.
    std::fputs(text.c_str(), stderr);
}

Status say_error(const std::string& what, Status status) {
    say("evenhead: " + io::printable(what) + "\n");
    return status;
}

void print(const std::string& text) {
    io::Output output;
    output.write(text);
    output.finish();
}

/// What was probably meant by an option or verb that nobody knows.
std::string nearest_to(const CLI::App& program, const std::string& word) {
    std::vector<std::string> names;
    const auto chosen = program.get_subcommands();
    const CLI::App* verb = chosen.empty() ? &program : chosen.front();
    for (const CLI::Option* option : verb->get_options())
        for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
    if (chosen.empty())
        for (const CLI::App* sub : program.get_subcommands({})) names.push_back(sub->get_name());
    const auto nearest = model::nearest_name(word.substr(0, word.find('=')), names);
    return nearest ? fmt::format("; the nearest is {}", *nearest) : "";
}

Status command_line_error(const CLI::App& program, const CLI::ParseError& error) {
    const auto chosen = program.get_subcommands();
    const std::string verb = chosen.empty() ? "" : chosen.front()->get_name() + " ";
    std::string what = error.what();
    const auto extras = program.remaining(true);
    const bool no_verb = chosen.empty() && dynamic_cast<const CLI::RequiredError*>(&error) != nullptr;
    if ((no_verb || dynamic_cast<const CLI::ExtrasError*>(&error) != nullptr) && !extras.empty())
        what = fmt::format("\"{}\" is not known here{}", extras.front(), nearest_to(program, extras.front()));
    else if (no_verb)
        what =
            "a verb is missing: check, worksheet, diagnose, size, accept, compare, review, draw, report, "
            "takeoff, coverage, together, timetable, sheets, export, import, kinds or start";
    say_error(what, Status::bad_input);
    say(fmt::format("See: evenhead {}--help\n", verb));
    return Status::bad_input;
}

/// A signal that ends the program: it leaves no half-written file behind, and ends as the sender expects.
extern "C" void interrupted(int signal) {
    constexpr std::string_view plain = "evenhead: interrupted.\n";
    constexpr std::string_view mid_write =
        "evenhead: interrupted. Nothing was written; a file of that name stands as it was.\n";
    const std::string_view words = io::remove_unfinished_outputs() ? mid_write : plain;
    erase_progress();
    // Nothing is left to be done where even this fails.
    [[maybe_unused]] const auto count = ::write(STDERR_FILENO, words.data(), words.size());
    std::signal(signal, SIG_DFL);
    std::raise(signal);
}

void prepare_process() {
    // A reader that goes away, and a file larger than allowed, are errors to handle like any other.
    std::signal(SIGPIPE, SIG_IGN);
    std::signal(SIGXFSZ, SIG_IGN);
    for (const int signal : {SIGINT, SIGTERM, SIGHUP})
        if (std::signal(signal, interrupted) == SIG_IGN) std::signal(signal, SIG_IGN);  // nohup
    // Where a standard stream is closed, the next file opened would take its place and get what is meant for
    // the screen. Open the wrong way round, it still refuses reading or writing.
    for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO})
        if (::fcntl(stream, F_GETFD) < 0)
            static_cast<void>(::open("/dev/null", stream == STDIN_FILENO ? O_WRONLY : O_RDONLY));
}

Action read_command_line(CLI::App& program, int argc, const char* const* argv) {
    Action action;
    program.formatter(std::make_shared<HelpText>());
    program.footer(program_footer);
    program.set_version_flag("--version", "evenhead " EVENHEAD_VERSION, "print the version");
    program.set_help_flag("-h,--help", "print this");
    program.require_subcommand(1);
    add_check(program, action);
    add_worksheet(program, action);
    add_diagnose(program, action);
    add_size(program, action);
    add_accept(program, action);
    add_compare(program, action);
    add_review(program, action);
    add_report(program, action);
    add_draw(program, action);
    add_takeoff(program, action);
    add_coverage(program, action);
    add_together(program, action);
    add_timetable(program, action);
    add_sheets(program, action);
    add_export(program, action);
    add_import(program, action);
    add_kinds(program, action);
    add_start(program, action);
    for (CLI::App* verb : program.get_subcommands({})) verb->group("Verbs");
    program.parse(argc, argv);
    return action;
}

}  // namespace

Status run_program(int argc, const char* const* argv) {
    prepare_process();
    try {
        CLI::App program("What every head of a sprinkler system really gets: pressure and flow, run by run.",
                         "evenhead");
        try {
            const Action action = read_command_line(program, argc, argv);
            return action ? action() : Status::bad_input;
        } catch (const CLI::CallForVersion& version) {
            print(std::string(version.what()) + "\n");
            return Status::within_limits;
        } catch (const CLI::Success&) {
            print(program.help());
            return Status::within_limits;
        } catch (const CLI::ParseError& error) {
            return command_line_error(program, error);
        }
    } catch (const CaseRefused&) {
        return Status::bad_input;
    } catch (const UsageError& error) {
        return say_error(error.what(), Status::bad_input);
    } catch (const io::ReaderGone&) {
        return Status::bad_input;
    } catch (const io::WriteError& error) {
        return say_error(error.what(), Status::bad_input);
    } catch (const std::bad_alloc&) {
        return say_error("this case needs more memory than there is.", Status::no_solution);
    } catch (const std::exception& error) {
        return say_error(std::string("stopped by a fault of its own, nothing is proven: ") + error.what(),
                         Status::no_solution);
    } catch (...) {
        return say_error("stopped by a fault of its own, nothing is proven.", Status::no_solution);
    }
}

}  // namespace evenhead::cli
