#include <fmt/format.h>

#include "io/write/check.hpp"
#include "io/write/issues.hpp"

namespace evenhead::io {

using model::Dimension;
using solver::ElementKind;

std::string steps_text(const Speaker& speaker, const solver::RunResult& result) {
    const auto exact = [&](double si, Dimension dimension) {
        return fmt::format("{:.3g} {}", speaker.units.in_unit(si, dimension), speaker.units.word(dimension));
    };
    std::string text = fmt::format("run {}: {}\n", element_id(speaker.system, {ElementKind::run, result.run}),
                                   result.closure.solved ? "solved" : "not solved");
    for (const solver::Step& step : result.steps)
        text += fmt::format("  step {}: largest mismatch {} at {}, step length {:.3g}\n", step.number,
                            exact(step.mismatch, Dimension::pressure),
                            element_name(speaker.system, step.where), step.length);
    const solver::Closure& closure = result.closure;
    text +=
        fmt::format("  closed after {}: flow to {}", counted(static_cast<std::size_t>(closure.steps), "step"),
                    exact(closure.flow, Dimension::flow));
    if (closure.worst_point != model::none)
        text += " at point " + speaker.system.point_id(closure.worst_point);
    text += fmt::format(", pressure to {}", exact(closure.pressure, Dimension::pressure));
    for (const auto& [word, kind] : {std::pair{"pipe", ElementKind::pipe},
                                     {"device", ElementKind::device},
                                     {"valve", ElementKind::valve},
                                     {"head", ElementKind::head},
                                     {"supply", ElementKind::supply}})
        if (closure.worst_element == word && closure.worst_index != model::none)
            text += " at " + element_name(speaker.system, {kind, closure.worst_index});
    return printable_lines(text + "\n");
}

}  // namespace evenhead::io
