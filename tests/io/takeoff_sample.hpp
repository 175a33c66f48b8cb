// A take-off of a case written in a test, by what its lines are called.
#pragma once

#include <cmath>
#include <map>
#include <stdexcept>
#include <string>

#include "case_folder.hpp"
#include "io/write/takeoff.hpp"

namespace evenhead::io {

struct Counted {
    model::System system;
    model::Layout layout;
    model::Takeoff takeoff;

    explicit Counted(const std::string& toml, const model::TakeoffRules& rules = model::takeoff_rules(),
                     const model::TakeoffOptions& options = {})
        : system(system_of(toml)),
          layout(model::find_layout(system)),
          takeoff(model::take_off(system, layout, rules, options)) {}

    Speaker speaker() const { return {system, ShownUnits::of_case(system.units)}; }

    /// Number, or ft or m to a hundredth, by the name of the line; only those of one part of the list.
    std::map<std::string, double> of(model::TakeoffSection section) const {
        std::map<std::string, double> counts;
        const Speaker speaker = this->speaker();
        for (const model::TakeoffLine& line : takeoff.lines)
            if (kind_of(line.item).section == section)
                counts[takeoff_label(speaker, line)] =
                    std::round(takeoff_quantity(speaker, line, line.quantity) * 100) / 100;
        return counts;
    }
    const model::TakeoffLine& line(const std::string& name) const {
        const Speaker speaker = this->speaker();
        for (const model::TakeoffLine& line : takeoff.lines)
            if (takeoff_label(speaker, line) == name) return line;
        throw std::out_of_range("no line " + name);
    }
    /// "L1, L2 (2)"
    std::string elements(const std::string& name) const {
        std::string text;
        const Speaker speaker = this->speaker();
        for (const model::TakeoffElement& element : line(name).elements) {
            text += (text.empty() ? "" : ", ") + takeoff_id(speaker, element);
            if (!line(name).by_length() && element.quantity != 1)
                text += " (" + std::to_string(static_cast<int>(element.quantity)) + ")";
        }
        return text;
    }
};

using Counts = std::map<std::string, double>;

/// A row of pipes.
inline std::string along(const std::string& way, const std::string& size) {
    return "  { along = \"" + way + "\", size = \"" + size + "\" },\n";
}

}  // namespace evenhead::io
