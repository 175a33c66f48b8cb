#include "cli/takeoff_options.hpp"

#include <fmt/format.h>

#include <optional>

#include "cli/verb.hpp"
#include "io/read/user_tables.hpp"
#include "io/units.hpp"
#include "model/nearest.hpp"

namespace evenhead::cli {

model::TakeoffRules read_takeoff_rules_or_refuse(const std::string& path) {
    if (path.empty()) return model::takeoff_rules();
    std::optional<model::TakeoffRules> read;
    const io::FileReading reading = io::read_takeoff_table(path, read);
    if (!reading.errors.empty()) refuse(reading.errors, reading.files, path);
    return *read;
}

namespace {

model::TakeoffStart start_at(const std::string& text, const model::System& system) {
    model::NearestName nearest(text);
    for (std::size_t i = 0; i < system.points.size(); ++i) {
        nearest.offer(system.points[i].id);
        if (system.points[i].id == text) return {static_cast<model::Index>(i), {}};
    }
    const auto split = text.find_first_of(" ,");
    if (split == std::string::npos) {
        const auto found = nearest.found();
        throw UsageError(fmt::format(
            "--controller {}: this case has no such point; {}", text,
            found ? fmt::format("the nearest is {}", *found) : "name one, or write its place as \"x y\""));
    }
    std::array<double, 2> place{};
    for (const std::size_t i : {0U, 1U}) {
        const std::string part = i == 0 ? text.substr(0, split) : text.substr(split + 1);
        const auto parsed = io::parse_quantity(part, model::Dimension::length, system.units);
        if (!parsed.error.empty() || !parsed.quantity.known())
            throw UsageError(
                fmt::format("--controller {}: name a point, or write its place as \"x y\"", text));
        place[i] = parsed.quantity.value;
    }
    return {model::none, place};
}

}  // namespace

model::TakeoffOptions wires_from(const std::vector<std::string>& controllers, const model::System& system) {
    model::TakeoffOptions options;
    for (const std::string& text : controllers) options.controllers.push_back(start_at(text, system));
    return options;
}

CLI::Option* add_controller_option(CLI::App& verb, std::vector<std::string>& controllers) {
    return verb
        .add_option(
            "--controller", controllers,
            "where wires begin; may be given again: a valve goes to the nearest (default: points called "
            "controller, controller-2 ..., else the first supply)")
        ->type_name("ID|\"X Y\"");
}

}  // namespace evenhead::cli
