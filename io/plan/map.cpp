#include "io/plan/map.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "io/plan/svg_text.hpp"
#include "io/plan/words.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::none;

bool contains(const std::vector<Index>& rising, Index value) {
    return std::binary_search(rising.begin(), rising.end(), value);
}

std::string path_of(const std::vector<Spot>& line) {
    std::string path;
    for (std::size_t i = 0; i < line.size(); ++i)
        path += (i == 0 ? "M" : "L") + px(line[i].x) + " " + px(line[i].y);
    return path;
}

/// "translate(12.5 30) scale(.8)".
std::string set_at(const Spot& spot, double size) {
    std::string text = "translate(" + px(spot.x) + " " + px(spot.y) + ")";
    return size == 1 ? text : text + " scale(" + px(size) + ")";
}

std::string titled(const std::string& text) {
    return "<title>" + escaped(sentence_case(text)) + "</title>";
}

/// A mark as one group: what it is, in what state, its words, its shape.
void write_mark(Output& output, const std::string& id, const std::string& classes, const Spot& spot,
                double size, const std::string& words, const std::string& inside,
                const std::string& style = "") {
    output.write(fmt::format("<g id=\"{}\" class=\"{}\" transform=\"{}\"{}>{}{}</g>\n", id, classes,
                             set_at(spot, size), style, titled(words), inside));
}

std::string shape(std::string_view path, std::string_view classes) {
    return fmt::format("<path class=\"{}\" d=\"{}\"/>", classes, path);
}

constexpr std::string_view halo_path = "M-12-12h24v24h-24z";

/// A sector around `centre`, or the whole circle.
std::string sector(const Spot& centre, double radius, double arc, double facing) {
    if (!(arc < 360))
        return fmt::format("M{0} {1}a{2} {2} 0 1 1 {3} 0a{2} {2} 0 1 1-{3} 0z", px(centre.x - radius),
                           px(centre.y), px(radius), px(2 * radius));
    const auto rim = [&](double degrees) {  // clockwise from north; y runs down
        const double angle = degrees * std::numbers::pi / 180;
        return px(centre.x + radius * std::sin(angle)) + " " + px(centre.y - radius * std::cos(angle));
    };
    return fmt::format("M{} {}L{}A{} {} 0 {} 1 {}z", px(centre.x), px(centre.y), rim(facing - arc / 2),
                       px(radius), px(radius), arc > 180 ? 1 : 0, rim(facing + arc / 2));
}

}  // namespace

bool PlanMap::head_has_halo(Index head) const {
    const HeadState state = marks_.state(head);
    return contains(marks_.over_heads, head) && (state == HeadState::within || state == HeadState::off);
}

std::vector<Spot> PlanMap::pipe_line(Index pipe) const {
    const model::Pipe& row = subject_.system.pipes[at(pipe)];
    std::vector<Spot> line{px_of_point(row.from)};
    for (const Spot& bend : placement_.bends[at(pipe)]) line.push_back(px_of(bend));
    line.push_back(px_of_point(row.to));
    return line;
}

bool PlanMap::pipe_is_dim(Index pipe) const {
    if (marks_.run == none || pipe >= static_cast<Index>(subject_.layout.zone_of_pipe.size())) return false;
    const auto zones = subject_.layout.zone_of_pipe[at(pipe)];
    return !zones.empty() && std::none_of(zones.begin(), zones.end(),
                                          [&](Index valve) { return contains(marks_.open, valve); });
}

void PlanMap::write(Output& output) const {
    write_areas(output);
    write_throws(output);
    write_pipes(output);
    write_points(output);
    write_heads(output);
    write_valves(output);
    write_devices(output);
    write_supplies(output);
    write_critical(output);
    write_suspects(output);
    write_labels(output, 1, narrow_ > 0 ? "labels wide" : "labels");
    if (narrow_ > 0) write_labels(output, narrow_, "labels narrow");
}

void PlanMap::write_areas(Output& output) const {
    if (!placement_.to_scale || subject_.system.areas.empty()) return;
    output.write("<g class=\"areas\">\n");
    for (const model::Area& area : subject_.system.areas) {
        std::vector<Spot> outline;
        for (const auto& [x, y] : area.outline) outline.push_back(px_of({x, y}));
        if (!outline.empty())
            output.write(fmt::format("<path class=\"area\" d=\"{}z\">{}</path>\n", path_of(outline),
                                     titled("area " + area.id)));
    }
    output.write("</g>\n");
}

void PlanMap::write_throws(Output& output) const {
    if (!placement_.to_scale) return;
    output.write("<g class=\"throws\">\n");
    for (std::size_t i = 0; i < subject_.system.heads.size(); ++i) {
        const auto head = static_cast<Index>(i);
        const model::Head& row = subject_.system.heads[i];
        const double metres = radius(head);
        if (!(metres > 0)) continue;
        const bool known = row.arc && row.arc->known();
        const double arc = known ? row.arc->value : 360;
        const bool faces = row.facing && row.facing->known();
        if (arc < 360 && !faces) continue;  // which way it waters is not known
        const bool dim = marks_.run != none && marks_.mark(head) == nullptr;
        output.write(fmt::format(
            "<path id=\"throw-{}\" class=\"throw{}{}\" d=\"{}\"/>\n", i, known ? "" : " open",
            dim ? " dim" : "",
            sector(px_of_point(row.point), metres * scale_.x, arc, faces ? row.facing->value : 0)));
    }
    output.write("</g>\n");
}

void PlanMap::write_pipes(Output& output) const {
    const model::System& system = subject_.system;
    std::string way, over;
    for (const auto& element : marks_.way)
        if (element.kind == solver::ElementKind::pipe) way += path_of(pipe_line(element.index));
    for (const Index pipe : marks_.over_pipes) over += path_of(pipe_line(pipe));
    const double size = std::max(head_size(), 0.35);
    // The band of the way twice, so that it has an edge; it is one path, which a page may change.
    output.write(
        fmt::format("<g class=\"pipes{}\">\n<defs><path id=\"way\" d=\"{}\"/></defs>"
                    "<use class=\"way-edge\" xlink:href=\"#way\"/><use class=\"way\" xlink:href=\"#way\"/>\n"
                    "<path id=\"over-pipes\" class=\"over-pipes\" d=\"{}\"/>\n",
                    density(), way.empty() ? "M0 0" : way, over.empty() ? "M0 0" : over));
    std::vector<std::string> cores(widths_.classes());
    for (const bool mainline : {false, true})
        for (std::size_t i = 0; i < system.pipes.size(); ++i) {
            const auto pipe = static_cast<Index>(i);
            const bool main =
                i < subject_.layout.pipe_on_mainline.size() && subject_.layout.pipe_on_mainline[i];
            if (main != mainline) continue;
            const std::size_t width = widths_.of(system.pipes[i]);
            const std::string path = path_of(pipe_line(pipe));
            if (main && !system.pipes[i].closed) cores[width] += path;
            std::string classes = fmt::format("pipe {} w{}", main ? "main" : "lateral", width);
            if (system.pipes[i].closed) classes += " closed-pipe";
            if (contains(marks_.over_pipes, pipe)) classes += " over";
            if (pipe_is_dim(pipe)) classes += " dim";
            output.write(fmt::format("<path id=\"pipe-{}\" class=\"{}\" d=\"{}\">{}</path>\n", i, classes,
                                     path, titled(pipe_text(subject_, pipe))));
        }
    for (std::size_t width = 0; width < cores.size(); ++width)
        if (!cores[width].empty())
            output.write(fmt::format("<path class=\"core w{}\" d=\"{}\"/>\n", width, cores[width]));
    for (std::size_t i = 0; i < system.pipes.size(); ++i) {
        if (!system.pipes[i].closed) continue;
        const std::vector<Spot> line = pipe_line(static_cast<Index>(i));
        const Spot &one = line[line.size() / 2 - 1], &two = line[line.size() / 2];
        const double turn = std::atan2(two.y - one.y, two.x - one.x) * 180 / std::numbers::pi + 90;
        output.write(fmt::format("<g transform=\"{} rotate({})\"><path class=\"bar\" d=\"{}\"/></g>\n",
                                 set_at({(one.x + two.x) / 2, (one.y + two.y) / 2}, size), px(turn),
                                 closed_shape()));
    }
    output.write("</g>\n");
}

void PlanMap::write_points(Output& output) const {
    output.write("<g class=\"points\">\n");
    for (std::size_t i = 0; i < subject_.system.points.size(); ++i) {
        if (subject_.system.points[i].kind != model::PointKind::plain) continue;
        const auto point = static_cast<Index>(i);
        const double half = point_half * (junction_[i] ? 1 : 0.6);
        const bool over = contains(marks_.over_points, point);
        write_mark(output, fmt::format("point-{}", i), over ? "point over" : "point", px_of_point(point),
                   std::max(head_size(), 0.35), point_text(subject_, point),
                   fmt::format("<circle class=\"mark\" r=\"{}\"/>", px(half)));
    }
    output.write("</g>\n");
}

std::string PlanMap::valve_state(Index valve) const {
    std::string state;
    // All together: every valve that runs at some time is open.
    if (contains(marks_.open, valve)) state += " open";
    if (contains(marks_.over_valves, valve)) state += " over";
    if (marks_.run != none && !contains(marks_.open, valve)) state += " dim";
    return state;
}

void PlanMap::write_heads(Output& output) const {
    output.write(fmt::format("<g class=\"heads\"{}>\n",
                             narrow_ > 0
                                 ? fmt::format(" style=\"--narrow:{}\"", px(head_size(narrow_) / head_size()))
                                 : std::string()));
    for (std::size_t i = 0; i < subject_.system.heads.size(); ++i) {
        const auto head = static_cast<Index>(i);
        const model::Head& row = subject_.system.heads[i];
        const HeadState state = marks_.state(head);
        std::string classes = fmt::format("head {}", head_class(state));
        if (contains(marks_.over_heads, head)) classes += " over";
        if (state == HeadState::off && marks_.run != none) classes += " dim";
        std::string inside;
        if (head_has_halo(head)) inside += shape(halo_path, "halo");
        if (row.valve != none)
            inside +=
                fmt::format("<g id=\"valve-{}\" class=\"own{}\">{}{}</g>", row.valve, valve_state(row.valve),
                            titled(valve_text(subject_, row.valve)), shape(own_valve_shape(), "plate"));
        inside += shape(head_shape(state), "mark");
        write_mark(output, fmt::format("head-{}", i), classes, px_of_point(row.point), head_size(),
                   head_text(subject_, marks_, head), inside);
    }
    output.write("</g>\n");
}

void PlanMap::write_valves(Output& output) const {
    output.write("<g class=\"valves\">\n");
    for (std::size_t i = 0; i < subject_.system.valves.size(); ++i) {
        const auto valve = static_cast<Index>(i);
        if (subject_.system.valves[i].head != none) continue;  // part of its head
        write_mark(output, fmt::format("valve-{}", i), "valve" + valve_state(valve),
                   px_of_point(subject_.system.valves[i].point), thing_size(subject_.system.valves[i].point),
                   valve_text(subject_, valve), shape(halo_path, "halo") + shape(valve_shape(), "mark"),
                   growth(subject_.system.valves[i].point));
    }
    output.write("</g>\n");
}

void PlanMap::write_devices(Output& output) const {
    output.write("<g class=\"devices\">\n");
    for (std::size_t i = 0; i < subject_.system.devices.size(); ++i) {
        const auto device = static_cast<Index>(i);
        const model::Device& row = subject_.system.devices[i];
        std::string classes = fmt::format("device {}", device_class(row.type));
        if (contains(marks_.over_devices, device)) classes += " over";
        // Letters where they can be read.
        constexpr double readable = 0.6;
        if (narrow_ > 0 && thing_size(row.point, narrow_) < readable * narrow_) classes += " small";
        std::string inside = shape(halo_path, "halo") + shape(device_shape(), "mark");
        if (thing_size(row.point) >= readable)
            inside +=
                fmt::format("<text y=\"3.4\" text-anchor=\"middle\">{}</text>", device_letters(row.type));
        if (row.closed) inside += shape(closed_shape(), "bar");
        write_mark(output, fmt::format("device-{}", i), classes, px_of_point(row.point),
                   thing_size(row.point), device_text(subject_, device), inside, growth(row.point));
    }
    output.write("</g>\n");
}

void PlanMap::write_supplies(Output& output) const {
    output.write("<g class=\"supplies\">\n");
    for (std::size_t i = 0; i < subject_.system.supplies.size(); ++i) {
        const auto supply = static_cast<Index>(i);
        const bool over = contains(marks_.over_supplies, supply);
        write_mark(output, fmt::format("supply-{}", i), over ? "supply over" : "supply",
                   px_of_point(subject_.system.supplies[i].point),
                   thing_size(subject_.system.supplies[i].point), supply_text(subject_, supply),
                   shape(halo_path, "halo") +
                       fmt::format("<circle class=\"ground\" r=\"{}\"/>", px(supply_hole)) +
                       shape(supply_shape(), "mark"),
                   growth(subject_.system.supplies[i].point));
    }
    output.write("</g>\n");
}

void PlanMap::write_critical(Output& output) const {
    const Index head = marks_.critical_head;
    if (head == none) return;
    const double half =
        (subject_.system.heads[at(head)].valve == none ? 9.5 : 12.5) * std::max(head_size(), 0.5);
    const std::string style =
        narrow_ > 0
            ? fmt::format(" style=\"--narrow:{}\"",
                          px(std::max(head_size(narrow_), 0.5 * narrow_) / std::max(head_size(), 0.5)))
            : std::string();
    output.write(
        fmt::format("<g id=\"critical\" transform=\"{}\"{}>{}<circle class=\"critical\" r=\"{}\"/></g>\n",
                    set_at(px_of_point(subject_.system.heads[at(head)].point), 1), style,
                    titled(plan_critical(subject_, options_)), px(half)));
}

}  // namespace evenhead::io
