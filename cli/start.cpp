// `evenhead start [FILE]`: at most ten questions in plain words, and a case that can be checked.
#include <fmt/format.h>

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <functional>
#include <iostream>
#include <map>
#include <memory>
#include <numbers>

#include "cli/verb.hpp"
#include "io/units.hpp"
#include "io/write/check_answer.hpp"
#include "io/write/start_case.hpp"
#include "model/catalogue.hpp"
#include "model/nearest.hpp"

namespace evenhead::cli {
namespace {

using model::Dimension;
using model::UnitSystem;

constexpr int most_heads = 200;
// A little below the 5 ft/s of common practice for plastic pipe: 4.5 ft/s.
constexpr double design_velocity = 1.37;  // m/s
// Heads up to this far apart are taken to spray, others to turn: common practice.
constexpr double farthest_spray = 5;  // m

struct StartCommand {
    std::string path = "first-case.toml";
    std::string units = "us";
    std::map<std::string, std::string> given;  ///< answers by option
    bool yes = false, force = false;
};

/// One question. `wrong` says what is wrong with an answer; empty: nothing.
struct Question {
    std::string option, words, unit, standard;
    std::function<std::string(const std::string&)> wrong;
};

/// Asks on standard error, hears on standard input; an option is an answer given before.
class Interview {
  public:
    explicit Interview(const StartCommand& command) : command_(command) {}

    io::StartAnswer ask(const Question& question) {
        const auto given = command_.given.find(question.option);
        if (given != command_.given.end() && !given->second.empty()) {
            if (given->second == "?") return {question.standard, true};
            const std::string wrong = question.wrong(given->second);
            if (!wrong.empty())
                throw UsageError(fmt::format("--{} {}: {}", question.option, given->second, wrong));
            return {given->second, false};
        }
        if (command_.yes) return {question.standard, true};
        if (asked_++ == 0) std::fputs("\"?\" is an answer; Enter takes the one in brackets.\n", stderr);
        const std::string unit = question.unit.empty() ? "" : ", " + question.unit;
        while (true) {
            std::fputs(fmt::format("{}{} [{}]: ", question.words, unit, question.standard).c_str(), stderr);
            std::fflush(stderr);
            std::string answer;
            if (!std::getline(std::cin, answer))
                throw UsageError(fmt::format("the answers ended before --{}; --yes takes the rest as assumed",
                                             question.option));
            const auto first = answer.find_first_not_of(" \t\r");
            answer = first == std::string::npos
                         ? ""
                         : answer.substr(first, answer.find_last_not_of(" \t\r") + 1 - first);
            if (answer == "?" && question.standard != "?")
                std::fputs(fmt::format("  assumed: {}\n", question.standard).c_str(), stderr);
            if (answer.empty() || answer == "?") return {question.standard, true};
            const std::string wrong = question.wrong(answer);
            if (wrong.empty()) return {answer, false};
            std::fputs(fmt::format("  {}\n", wrong).c_str(), stderr);
        }
    }

  private:
    const StartCommand& command_;
    int asked_ = 0;
};

/// What is wrong with a quantity that has to be at least `least` (SI), or above it.
std::function<std::string(const std::string&)> quantity(Dimension dimension, UnitSystem units, double least,
                                                        bool above = true) {
    return [=](const std::string& text) -> std::string {
        const auto parsed = io::parse_quantity(text, dimension, units);
        if (!parsed.error.empty()) return parsed.error + (parsed.mend.empty() ? "" : "; " + parsed.mend);
        if (above ? parsed.quantity.value > least : parsed.quantity.value >= least) return "";
        return fmt::format("it has to be {} {:g} {}", above ? "above" : "at least",
                           io::to_units(least, dimension, units), io::unit_word(dimension, units));
    };
}

std::string wrong_count(const std::string& text) {
    const bool digits =
        !text.empty() && text.size() <= 4 && text.find_first_not_of("0123456789") == std::string::npos;
    const int count = digits ? std::stoi(text) : 0;
    return count >= 1 && count <= most_heads ? ""
                                             : fmt::format("a whole number from 1 to {}, please", most_heads);
}

const model::PipeSize* pipe_of(const std::string& text) {
    const auto blank = text.find(' ');
    if (blank == std::string::npos) return nullptr;
    const auto* kind = model::find_kind(text.substr(0, blank));
    return kind == nullptr ? nullptr : model::find_size(*kind, text.substr(blank + 1));
}

std::string wrong_pipe(const std::string& text) {
    if (pipe_of(text) != nullptr) return "";
    const std::string name = text.substr(0, text.find(' '));
    if (model::find_kind(name) != nullptr)
        return fmt::format("{} has no such size; `evenhead kinds {}` lists them", name, name);
    model::NearestName nearest(name);
    for (const auto& kind : model::pipe_kinds()) nearest.offer(kind.name);
    const auto found = nearest.found();
    return fmt::format("kind and size, as in \"pvc-cl200 1\"; `evenhead kinds` lists the kinds{}",
                       found ? fmt::format(" (nearest: {})", *found) : "");
}

std::string wrong_yes_no(const std::string& text) {
    return text == "yes" || text == "no" || text == "y" || text == "n" ? "" : "yes or no, please";
}

/// The smallest pipe of the usual kind that keeps to the design velocity.
std::string usual_pipe(UnitSystem units, double flow) {
    const std::string name = units == UnitSystem::us ? "pvc-cl200" : "pe100-sdr17";
    const auto* kind = model::find_kind(name);
    if (kind == nullptr || kind->sizes.empty()) return "";
    for (const auto& size : kind->sizes) {
        const double bore = size.bore.value;
        if (flow / (std::numbers::pi * bore * bore / 4) <= design_velocity) return name + " " + size.nominal;
    }
    return name + " " + kind->sizes.back().nominal;
}

/// The smallest valve with a generic loss that is no smaller than the pipe's bore; the largest where none is.
std::string valve_size(double bore) {
    std::string found;
    for (const auto& [name, inches] : {std::pair{"3/4", 0.75},
                                       {"1", 1.0},
                                       {"1-1/4", 1.25},
                                       {"1-1/2", 1.5},
                                       {"2", 2.0},
                                       {"2-1/2", 2.5},
                                       {"3", 3.0},
                                       {"4", 4.0}}) {
        if (!model::generic_loss("valve", name)) continue;
        found = name;
        // The bore of a pipe is a little larger than the nominal size of the valve that goes with it.
        if (inches * 0.0254 * 1.2 >= bore) break;
    }
    return found;
}

double si_of(const io::StartAnswer& answer, Dimension dimension, UnitSystem units) {
    return io::parse_quantity(answer.text, dimension, units).quantity.value;
}

io::StartAnswers interview(const StartCommand& command) {
    const UnitSystem units = command.units == "metric" ? UnitSystem::metric : UnitSystem::us;
    const bool us = units == UnitSystem::us;
    const auto word = [&](Dimension dimension) { return std::string(io::unit_word(dimension, units)); };
    const std::string psi = word(Dimension::pressure), gpm = word(Dimension::flow),
                      ft = word(Dimension::length);
    Interview talk(command);
    io::StartAnswers answers;
    answers.units = units;

    answers.static_pressure = talk.ask({"static", "Pressure at the supply when nothing runs", psi,
                                        us ? "60" : "420", quantity(Dimension::pressure, units, 0)});
    answers.flow =
        talk.ask({"flow", "Flow of a flow test there", gpm, "?", quantity(Dimension::flow, units, 0)});
    if (answers.flow.text == "?") {
        answers.flow.text.clear();
    } else {
        const double still = si_of(answers.static_pressure, Dimension::pressure, units);
        answers.residual = talk.ask(
            {"residual", "Pressure during that test", psi, "?", [&](const std::string& text) -> std::string {
                 auto wrong = quantity(Dimension::pressure, units, 0)(text);
                 if (!wrong.empty()) return wrong;
                 const bool lower =
                     io::parse_quantity(text, Dimension::pressure, units).quantity.value < still;
                 return lower ? "" : "with water running it is lower than when nothing runs";
             }});
        // Half a test says nothing.
        if (answers.residual.text == "?") answers.flow.text = answers.residual.text = "";
    }
    answers.distance = talk.ask({"distance", "Length of pipe from the supply to the zone's valve", ft,
                                 us ? "40" : "12", quantity(Dimension::length, units, 0, false)});
    answers.rise = talk.ask({"rise", "Height of the heads above the supply (below: -)", ft, "0",
                             quantity(Dimension::length, units, -1e4, false)});
    const auto heads = talk.ask({"heads", "Number of heads on the zone", "", "5", wrong_count});
    answers.heads = std::stoi(heads.text);
    answers.heads_assumed = heads.assumed;
    answers.spacing = talk.ask({"spacing", "Distance from head to head", ft, us ? "12" : "4",
                                quantity(Dimension::length, units, 0)});
    const bool spray = si_of(answers.spacing, Dimension::length, units) <= farthest_spray;
    const auto pressure_given = command.given.find("nozzle-pressure");
    answers.nozzle_pressure = {us ? (spray ? "30" : "45") : (spray ? "210" : "310"), true};
    if (pressure_given != command.given.end() && !pressure_given->second.empty() &&
        pressure_given->second != "?") {
        const auto wrong = quantity(Dimension::pressure, units, 0)(pressure_given->second);
        if (!wrong.empty()) throw UsageError("--nozzle-pressure " + pressure_given->second + ": " + wrong);
        answers.nozzle_pressure = {pressure_given->second, false};
    }
    answers.nozzle_flow = talk.ask(
        {"nozzle-flow",
         fmt::format("Flow of one head at {}{}", answers.nozzle_pressure.text,
                     answers.nozzle_pressure.text.find(' ') == std::string::npos ? " " + psi : ""),
         gpm, us ? (spray ? "1.4" : "2.6") : (spray ? "5.3" : "9.8"), quantity(Dimension::flow, units, 0)});
    const double pressure = si_of(answers.nozzle_pressure, Dimension::pressure, units);
    answers.least_pressure =
        fmt::format("{:.3g}", io::to_units(pressure * 2 / 3, Dimension::pressure, units));
    const double zone_flow = answers.heads * si_of(answers.nozzle_flow, Dimension::flow, units);
    answers.zone_flow = fmt::format("{:.3g}", io::to_units(zone_flow, Dimension::flow, units));
    answers.pipe = talk.ask({"pipe", "Pipe, kind and size", "", usual_pipe(units, zone_flow), wrong_pipe});
    const auto regulated = talk.ask(
        {"regulated", "Do the heads hold their pressure (regulated bodies)", "", "yes", wrong_yes_no});
    answers.regulated = regulated.text.front() == 'y';
    answers.regulated_assumed = regulated.assumed;
    answers.valve_size = valve_size(pipe_of(answers.pipe.text)->bore.value) + (us ? "" : " in");
    return answers;
}

Status start(const StartCommand& command) {
    std::error_code error;
    if (!command.force && std::filesystem::exists(std::filesystem::symlink_status(command.path, error)))
        throw UsageError(
            fmt::format("{} is there already; name another file, or --force to replace it", command.path));
    const std::string text = io::start_case(interview(command));
    io::Output output(command.path);
    output.write(text);
    output.finish();
    io::Output screen;
    screen.write(fmt::format(
        "Wrote {}. Values that nobody gave are marked \"assumed\" in it.\nNext: evenhead check {}\n",
        io::printable(command.path), io::shell_word(command.path)));
    screen.finish();
    return Status::within_limits;
}

}  // namespace

void add_start(CLI::App& program, Action& action) {
    CLI::App* verb =
        program.add_subcommand("start", "Ask a few questions and write a first case that can be checked");
    const auto command = std::make_shared<StartCommand>();
    verb->add_option("FILE", command->path, "the case to write")
        ->type_name("FILE")
        ->default_str("first-case.toml");
    verb->add_option("--units", command->units, "what a bare number means")
        ->check(CLI::IsMember({"us", "metric"}).description(""))
        ->type_name("us|metric")
        ->default_str("us");
    for (const auto& [option, words] : {std::pair{"static", "pressure at the supply when nothing runs"},
                                        {"flow", "flow of a flow test there"},
                                        {"residual", "pressure during that test"},
                                        {"distance", "pipe from the supply to the zone's valve"},
                                        {"rise", "height of the heads above the supply"},
                                        {"heads", "number of heads on the zone"},
                                        {"spacing", "distance from head to head"},
                                        {"nozzle-flow", "flow of one head"},
                                        {"nozzle-pressure", "pressure at which it passes that flow"},
                                        {"pipe", "kind and size, as in \"pvc-cl200 1\""},
                                        {"regulated", "yes or no: the heads hold their pressure"}})
        verb->add_option(std::string("--") + option, command->given[option], words)->type_name("ANSWER");
    verb->add_flag("--yes", command->yes, "ask nothing: what no option answers is assumed");
    verb->add_flag("--force", command->force, "replace a file that is there");
    verb->footer(
        "Example: evenhead start garden.toml\n"
        "         evenhead start garden.toml --static 58 --heads 6 --spacing 12 --yes");
    verb->callback([&action, command] { action = [command] { return start(*command); }; });
}

}  // namespace evenhead::cli
