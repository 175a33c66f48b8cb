// Which labels a plan gets and in what order: where something is outside limits, the critical head, supplies,
// devices and valves first; then heads, sizes of pipes and elevations, as far as there is room.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <span>

#include "io/plan/map.hpp"
#include "io/plan/svg_text.hpp"
#include "io/write/layout.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::none;
using model::PointKind;

constexpr double letter = 11, small_letter = 10;  // px
constexpr double longest = 15;                    // em
constexpr double own_half = 8.5,
                 over_more = 4;  // px: of a head with its own valve; of what is outside limits

bool contains(const std::vector<Index>& rising, Index value) {
    return std::binary_search(rising.begin(), rising.end(), value);
}

std::string size_text(const PlanSubject& subject, const model::Pipe& pipe) {
    const model::PipeSize& size = *pipe.size;
    if (!size.kind.empty()) return size.kind + " " + size.nominal;
    return size.bore.known() ? subject.speaker.units.text(size.bore.value, model::Dimension::bore) : "";
}

}  // namespace

Occupied PlanMap::occupied(double larger) const {
    const model::System& system = subject_.system;
    Occupied occupied(40 * larger);
    const auto block = [&](Index point, double half) {
        const Spot spot = px_of_point(point);
        occupied.add({spot.x - half, spot.y - half, spot.x + half, spot.y + half});
    };
    constexpr double halo = 12.5;
    for (std::size_t i = 0; i < system.heads.size(); ++i) {
        const double half = head_has_halo(static_cast<Index>(i)) ? halo
                            : system.heads[i].valve == none      ? head_half
                                                                 : own_half;
        block(system.heads[i].point, half * head_size(larger));
    }
    const auto block_thing = [&](Index point, bool over, double half) {
        block(point, (over ? halo : half) * thing_size(point, larger));
    };
    for (std::size_t i = 0; i < system.valves.size(); ++i)
        if (system.valves[i].head == none)
            block_thing(system.valves[i].point, contains(marks_.over_valves, static_cast<Index>(i)),
                        valve_half);
    for (std::size_t i = 0; i < system.devices.size(); ++i)
        block_thing(system.devices[i].point, contains(marks_.over_devices, static_cast<Index>(i)),
                    device_half);
    for (std::size_t i = 0; i < system.supplies.size(); ++i)
        block_thing(system.supplies[i].point, contains(marks_.over_supplies, static_cast<Index>(i)),
                    supply_half);
    for (std::size_t i = 0; i < system.pipes.size(); ++i) {
        const std::vector<Spot> line = pipe_line(static_cast<Index>(i));
        const double half = PipeWidths::line(widths_.of(system.pipes[i])) / 2 + 1;
        for (std::size_t k = 1; k < line.size(); ++k) occupied.add_line(line[k - 1], line[k], half * larger);
    }
    return occupied;
}

double PlanMap::half_of_head(Index head, double larger) const {
    return (subject_.system.heads[at(head)].valve == none ? head_half : own_half) * head_size(larger) +
           (head_has_halo(head) ? over_more * larger : 0);
}

double PlanMap::half_of_pipe(Index pipe) const {
    // As the style draws the band of the way and the hatch, where marks are of their full size.
    constexpr double band = 7, hatched = 6;  // px
    const bool on_way =
        std::any_of(marks_.way.begin(), marks_.way.end(), [&](const solver::ElementRef& element) {
            return element.kind == solver::ElementKind::pipe && element.index == pipe;
        });
    return on_way ? band
           : contains(marks_.over_pipes, pipe)
               ? hatched
               : PipeWidths::line(widths_.of(subject_.system.pipes[at(pipe)])) / 2 + 1;
}

std::vector<Label> PlanMap::elevation_labels(double larger) const {
    const model::System& system = subject_.system;
    std::vector<Label> all;
    for (std::size_t i = 0; i < std::min(system.points.size(), subject_.layout.elevation.size()); ++i) {
        Label label;
        label.text = subject_.speaker.units.text(subject_.layout.elevation[i], model::Dimension::length);
        label.at = px_of_point(static_cast<Index>(i));
        const PointKind kind = system.points[i].kind;
        label.half = kind == PointKind::plain  ? point_half * larger
                     : kind == PointKind::head ? half_of_head(system.points[i].row, larger)
                                               : device_half * thing_size(static_cast<Index>(i), larger);
        label.size = small_letter * larger;
        label.style = "elevation";
        all.push_back(std::move(label));
    }
    return all;
}

std::vector<Label> PlanMap::names(double larger) const {
    const model::System& system = subject_.system;
    std::vector<Label> first, second, third;
    const auto add = [&](std::vector<Label>& list, Index point, double half, bool bold, bool over_lines) {
        Label label;
        label.text = cut_to_width(printable(system.point_id(point)), longest);
        label.at = px_of_point(point);
        label.half = half;
        label.size = letter * larger;
        label.bold = bold;
        label.over_lines = over_lines;
        label.style = bold ? "label strong" : "label";
        list.push_back(std::move(label));
    };
    const auto of_head = [&](std::size_t i) { return half_of_head(static_cast<Index>(i), larger); };
    if (marks_.critical_head != none)
        add(first, system.heads[at(marks_.critical_head)].point,
            of_head(at(marks_.critical_head)) + over_more * larger, true, true);
    for (const model::Supply& supply : system.supplies)
        add(first, supply.point, supply_half * thing_size(supply.point, larger), true, true);
    for (std::size_t i = 0; i < system.devices.size(); ++i) {
        const Index point = system.devices[i].point;
        const bool over = contains(marks_.over_devices, static_cast<Index>(i));
        add(over ? first : second, point,
            device_half * thing_size(point, larger) + (over ? over_more * larger : 0), over, true);
    }
    for (std::size_t i = 0; i < system.valves.size(); ++i) {
        if (system.valves[i].head != none) continue;
        const Index point = system.valves[i].point;
        const bool over = contains(marks_.over_valves, static_cast<Index>(i));
        const bool dim = marks_.run != none && !contains(marks_.open, static_cast<Index>(i));
        add(over  ? first
            : dim ? third
                  : second,
            point, valve_half * thing_size(point, larger) + (over ? over_more * larger : 0), over || !dim,
            true);
    }
    // Heads outside limits before the others; where marks are tiny, only the critical one has a name.
    const bool room_for_heads = head_size(larger) > 0.5 * larger;
    for (const bool over : {true, false})
        for (std::size_t i = 0; i < system.heads.size(); ++i) {
            const auto head = static_cast<Index>(i);
            if (head == marks_.critical_head || !room_for_heads || contains(marks_.over_heads, head) != over)
                continue;
            if (marks_.run != none && marks_.mark(head) == nullptr) continue;
            constexpr std::size_t few = 500;
            add(over ? second : third, system.heads[i].point, of_head(i), false,
                over && system.heads.size() < few);
        }
    std::vector<Label> all = std::move(first);
    for (auto* list : {&second, &third}) all.insert(all.end(), list->begin(), list->end());

    return all;
}

std::vector<Label> PlanMap::size_labels(double larger) const {
    const model::System& system = subject_.system;
    // One label for the pipes of a size in each zone and in the mainline: at the longest of them.
    std::map<std::pair<int, std::string>, std::pair<double, Label>> sizes;
    constexpr std::size_t most_pipes = 3000;  // a narrow screen has room for ids only
    for (std::size_t i = 0; i < system.pipes.size() && system.pipes.size() < most_pipes && larger == 1; ++i) {
        if (pipe_is_dim(static_cast<Index>(i))) continue;
        const std::string text = size_text(subject_, system.pipes[i]);
        if (text.empty()) continue;
        const auto zones = i < subject_.layout.zone_of_pipe.size() ? subject_.layout.zone_of_pipe[i]
                                                                   : std::span<const int>();
        const std::vector<Spot> line = pipe_line(static_cast<Index>(i));
        for (std::size_t k = 1; k < line.size(); ++k) {
            const double length = std::hypot(line[k].x - line[k - 1].x, line[k].y - line[k - 1].y);
            auto& longest_yet = sizes[{zones.empty() ? -1 : zones.front(), text}];
            if (length <= longest_yet.first) continue;
            Label label;
            label.text = cut_to_width(printable(text), longest);
            label.at = {(line[k].x + line[k - 1].x) / 2, (line[k].y + line[k - 1].y) / 2};
            label.half = larger * half_of_pipe(static_cast<Index>(i));
            label.size = small_letter * larger;
            label.style = "size";
            longest_yet = {length, std::move(label)};
        }
    }
    std::vector<Label> all;
    all.reserve(sizes.size());
    for (auto& [key, size] : sizes) all.push_back(std::move(size.second));
    return all;
}

void PlanMap::write_labels(Output& output, double larger, std::string_view layer) const {
    Occupied around = occupied(larger);
    const double half = suspect_half * larger;
    for (const CallOut& out : call_outs(larger))
        around.add({out.at.x - half, out.at.y - half, out.at.x + half, out.at.y + half});
    const auto write = [&](std::vector<Label> list, const std::string& classes) {
        place_labels(list, around, {2, 2, width_ - 2, height_ - 2});
        write_layer(output, list, larger, classes);
    };
    write(names(larger), std::string(layer));
    if (options_.elevations) write(elevation_labels(larger), std::string(layer));
    // Names may stand on the band of the way rather than not at all; sizes of pipes, in grey, may not.
    const auto keep_clear = [&](Index pipe) {
        const std::vector<Spot> line = pipe_line(pipe);
        for (std::size_t k = 1; k < line.size(); ++k)
            around.add_line(line[k - 1], line[k], half_of_pipe(pipe) * larger);
    };
    for (const solver::ElementRef& element : marks_.way)
        if (element.kind == solver::ElementKind::pipe) keep_clear(element.index);
    for (const Index pipe : marks_.over_pipes) keep_clear(pipe);
    write(size_labels(larger), std::string(layer));
    // In a page they are there when asked for, where the names have left room.
    if (narrow_ > 0 && plan_offers_elevations(subject_.system))
        write(elevation_labels(larger), fmt::format("elevations {}", layer));
}

void PlanMap::write_layer(Output& output, const std::vector<Label>& list, double larger,
                          std::string_view layer) {
    output.write(fmt::format("<g class=\"{}\">\n", layer));
    for (const Label& label : list) {
        constexpr std::string_view anchors[] = {"", " text-anchor=\"middle\"", " text-anchor=\"end\""};
        output.write(fmt::format("<text class=\"{}\" x=\"{}\" y=\"{}\"{}{}>{}</text>\n", label.style,
                                 px(label.baseline.x), px(label.baseline.y),
                                 anchors[static_cast<std::size_t>(label.anchor)],
                                 larger == 1 ? "" : fmt::format(" style=\"font-size:{}px\"", px(label.size)),
                                 escaped(label.text)));
    }
    output.write("</g>\n");
}

}  // namespace evenhead::io
