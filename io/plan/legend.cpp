#include "io/plan/legend.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "io/plan/svg_text.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::none;

constexpr double row_height = 25, mark_width = 32, after_mark = 6;  // px
constexpr double letter = 11, small_letter = 10;

std::string shape(std::string_view path, std::string_view classes = "mark") {
    return fmt::format("<path class=\"{}\" d=\"{}\"/>", classes, path);
}
std::string group(std::string_view classes, const std::string& inside) {
    return fmt::format("<g class=\"{}\">{}</g>", classes, inside);
}
std::string line(std::string_view classes, std::string_view path = "M-14 0H14") {
    return shape(path, classes);
}

}  // namespace

Legend::Legend(const PlanSubject& subject, const RunMarks& marks, bool to_scale) {
    const model::System& system = subject.system;
    if (!system.supplies.empty()) add(group("supply", shape(supply_shape())), "supply");
    for (int i = 0; i <= static_cast<int>(model::DeviceType::other); ++i) {
        const auto type = static_cast<model::DeviceType>(i);
        if (std::any_of(system.devices.begin(), system.devices.end(),
                        [&](const model::Device& device) { return device.type == type; }))
            add(group("device",
                      shape(device_shape()) + fmt::format("<text y=\"3.4\" text-anchor=\"middle\">{}</text>",
                                                          device_letters(type))),
                std::string(device_words(type)));
    }
    const bool run = marks.run != none;
    const auto zone_valve = [](const model::Valve& valve) { return valve.head == none; };
    if (std::any_of(system.valves.begin(), system.valves.end(), zone_valve)) {
        add(group("valve open", shape(valve_shape())), run ? "valve, open" : "zone valve");
        if (run) add(group("valve", shape(valve_shape())), "valve, shut");
    }
    if (std::any_of(system.heads.begin(), system.heads.end(),
                    [](const model::Head& head) { return head.valve != none; }))
        add(group("own open", shape(own_valve_shape(), "plate")), "valve of the head within");
    add_heads(subject, marks);
    add_pipes(subject, marks);
    const auto any_over =
        !marks.over_devices.empty() || !marks.over_valves.empty() || !marks.over_supplies.empty();
    if (!marks.over_pipes.empty() || any_over)
        add(group("valve over", shape("M-13-8h26v16h-26z", "halo")), "outside limits");
    if (!subject.suspects.empty())
        add(group("suspect", shape(suspect_shape())), "may be at fault: 1 the likeliest");
    if (std::any_of(subject.suspects.begin(), subject.suspects.end(),
                    [](const PlanSuspect& suspect) { return suspect.things.size() > 1; }))
        add(group("suspect", line("band")), "run of pipes that may be at fault");
    if (std::any_of(system.devices.begin(), system.devices.end(),
                    [](const auto& row) { return row.closed; }) ||
        std::any_of(system.pipes.begin(), system.pipes.end(), [](const auto& row) { return row.closed; }))
        add(shape("M-2.2-9.5h4.4v19h-4.4z", "bar"), "closed");
    if (to_scale) {
        const auto throws = [&](bool known) {
            return std::any_of(system.heads.begin(), system.heads.end(), [&](const model::Head& head) {
                return (head.arc && head.arc->known()) == known;
            });
        };
        if (throws(true)) add(shape("M0 8L-12-2A15 15 0 0 1 12-2z", "throw"), "throw and arc");
        if (throws(false))
            add(shape("M-10 0a10 10 0 1 1 20 0a10 10 0 1 1-20 0z", "throw open"), "throw, arc not given");
        if (!system.areas.empty()) add(shape("M-13-8h26v16h-26z", "area"), "area");
    }
}

void Legend::add_heads(const PlanSubject& subject, const RunMarks& marks) {
    std::array<bool, 5> present{};
    for (std::size_t i = 0; i < subject.system.heads.size(); ++i)
        present[static_cast<std::size_t>(marks.state(static_cast<Index>(i)))] = true;
    for (const HeadState state :
         {HeadState::within, HeadState::low, HeadState::high, HeadState::dry, HeadState::off})
        if (present[static_cast<std::size_t>(state)]) {
            std::string words(head_words(state));
            if (state == HeadState::off && marks.run == none) words = "head, in no solved run";
            add(group(fmt::format("head {}", head_class(state)), shape(head_shape(state))), words);
        }
    if (marks.critical_head != none)
        add("<circle class=\"critical\" r=\"9.5\"/>", "critical head: least margin");
}

void Legend::add_pipes(const PlanSubject& subject, const RunMarks& marks) {
    const PipeWidths widths(subject.system);
    // Each width by the kinds of pipe that have it.
    for (const bool main : {true, false})
        for (std::size_t width = 0; width < widths.classes(); ++width) {
            bool any = false;
            for (std::size_t i = 0; i < subject.system.pipes.size() && !any; ++i)
                any = (i < subject.layout.pipe_on_mainline.size() && subject.layout.pipe_on_mainline[i]) ==
                          main &&
                      widths.of(subject.system.pipes[i]) == width;
            if (!any) continue;
            std::string words = main ? "mainline" : "lateral";
            if (!std::isnan(widths.most_bore(width)))
                words += ", bore to " +
                         subject.speaker.units.text(widths.most_bore(width), model::Dimension::bore);
            const std::string w = fmt::format("w{}", width);
            add(main ? line("main " + w) + line("core " + w) : line("lateral " + w), words);
        }
    if (!marks.way.empty())
        // Its ends are round and wide.
        add(line("way-edge", "M-9 0H9") + line("way", "M-9 0H9") + line("lateral w1"),
            "way to the critical head");
}

Legend::Grid Legend::grid(double width) const {
    Grid grid;
    constexpr double narrow = 500;
    grid.letter = width < narrow ? small_letter : letter;
    const double between = width < narrow ? 10 : 18;  // px
    for (std::size_t columns = entries_.size(); columns > 0; --columns) {
        grid.rows = (entries_.size() + columns - 1) / columns;
        grid.starts.clear();
        double x = 0;
        for (std::size_t first = 0; first < entries_.size(); first += grid.rows) {
            double widest = 0;
            for (std::size_t i = first; i < std::min(first + grid.rows, entries_.size()); ++i)
                widest = std::max(widest, text_width(entries_[i].words) * grid.letter);
            grid.starts.push_back(x);
            x += mark_width + after_mark + widest + between;
        }
        if (x - between <= width) break;
    }
    return grid;
}

double Legend::height(double width) const {
    return row_height * static_cast<double>(grid(width).rows);
}

void Legend::write(Output& output, double left, double top, double width) const {
    const Grid to = grid(width);
    output.write("<g class=\"legend\">\n");
    for (std::size_t i = 0; i < entries_.size(); ++i) {  // column by column
        const double x = left + to.starts[i / to.rows];
        const double y = top + (static_cast<double>(i % to.rows) + 0.5) * row_height;
        output.write(
            fmt::format("<g transform=\"translate({} {})\"><g transform=\"translate({} 0)\">{}</g>"
                        "<text x=\"{}\" y=\"{}\"{}>{}</text></g>\n",
                        px(x), px(y), px(mark_width / 2), entries_[i].mark, px(mark_width + after_mark),
                        px(to.letter * 0.36), to.letter < letter ? " style=\"font-size:10px\"" : "",
                        escaped(entries_[i].words)));
    }
    output.write("</g>\n");
}

}  // namespace evenhead::io
