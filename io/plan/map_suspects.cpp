// Places that may be at fault: a ring or a ticked band where each is, and a numbered call-out beside it, on a
// leader as long as it takes to stand free of marks and of other call-outs. As the names they have a set of
// their own for narrow screens.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "io/plan/map.hpp"
#include "io/plan/svg_text.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using solver::ElementKind;

/// Half of the way along a line.
Spot middle(const std::vector<Spot>& line) {
    double length = 0;
    for (std::size_t i = 1; i < line.size(); ++i)
        length += std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
    double left = length / 2;
    for (std::size_t i = 1; i < line.size(); ++i) {
        const double here = std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
        if (here >= left && here > 0)
            return {line[i - 1].x + (line[i].x - line[i - 1].x) * left / here,
                    line[i - 1].y + (line[i].y - line[i - 1].y) * left / here};
        left -= here;
    }
    return line.back();
}

}  // namespace

Spot PlanMap::spot_of(const solver::ElementRef& thing) const {
    const model::System& system = subject_.system;
    const std::size_t row = at(thing.index);
    switch (thing.kind) {
        case ElementKind::pipe:
            return middle(pipe_line(thing.index));
        case ElementKind::device:
            return px_of_point(system.devices[row].point);
        case ElementKind::valve:
            return px_of_point(system.valves[row].point);
        case ElementKind::head:
            return px_of_point(system.heads[row].point);
        case ElementKind::supply:
            return px_of_point(system.supplies[row].point);
        default:
            return px_of_point(thing.index);
    }
}

const std::vector<PlanMap::CallOut>& PlanMap::call_outs(double larger) const {
    const auto [found, fresh] = call_outs_.try_emplace(larger);
    if (fresh) found->second = find_call_outs(larger);
    return found->second;
}

std::vector<PlanMap::CallOut> PlanMap::find_call_outs(double larger) const {
    std::vector<CallOut> outs;
    if (subject_.suspects.empty()) return outs;
    Occupied around = occupied(larger);
    const double half = suspect_half * larger;
    const Box page{half + 1, half + 1, width_ - half - 1, height_ - half - 1};
    const auto box_at = [&](const Spot& spot) {
        return Box{spot.x - half, spot.y - half, spot.x + half, spot.y + half};
    };
    for (const PlanSuspect& suspect : subject_.suspects) {
        if (suspect.things.empty()) continue;
        const Spot about = spot_of(suspect.things[suspect.things.size() / 2]);
        // Nearest first; rather on a pipe than far away, and anywhere rather than on a mark.
        constexpr std::array<double, 6> far{18, 24, 32, 42, 56, 74};
        constexpr int ways = 12;
        Spot best{std::clamp(about.x, page.left, page.right),
                  std::clamp(about.y - far[0] * larger, page.top, page.bottom)};
        double least = 1e9;
        for (const double distance : far)
            for (int way = 0; way < ways; ++way) {
                // Up first, then to both sides in turn.
                const double turn =
                    (way % 2 == 0 ? way / 2.0 : -(way + 1) / 2.0) * 2 * std::numbers::pi / ways;
                const Spot spot{about.x + distance * larger * std::sin(turn),
                                about.y - distance * larger * std::cos(turn)};
                if (spot.x < page.left || spot.x > page.right || spot.y < page.top || spot.y > page.bottom)
                    continue;
                const Box box = box_at(spot);
                if (!around.is_free(box)) continue;
                constexpr double on_a_line = 26;  // px further away are as bad
                const double cost = distance + (around.free_of_lines(box) ? 0 : on_a_line);
                if (cost < least - 1e-9) {
                    least = cost;
                    best = spot;
                }
            }
        around.add(box_at(best));
        outs.push_back({&suspect, about, best});
    }
    return outs;
}

void PlanMap::write_suspects(Output& output) const {
    if (subject_.suspects.empty()) return;
    const std::vector<CallOut>&wide = call_outs(1), &narrow = narrow_ > 0 ? call_outs(narrow_) : wide;
    output.write("<g class=\"suspects\">\n");
    // The likeliest above all others.
    for (std::size_t i = wide.size(); i-- > 0;) {
        const PlanSuspect& suspect = *wide[i].suspect;
        std::string line;
        if (suspect.things.size() > 1)
            for (const solver::ElementRef& thing : suspect.things)
                for (const std::vector<Spot> pipe = pipe_line(thing.index); const Spot& spot : pipe)
                    line += (&spot == &pipe.front() ? "M" : "L") + px(spot.x) + " " + px(spot.y);
        output.write(fmt::format("<g id=\"suspect-{}\" class=\"suspect\"><title>{}</title>", suspect.number,
                                 escaped(suspect.words)));
        if (!line.empty()) output.write(fmt::format("<path class=\"band\" d=\"{}\"/>", line));
        const auto layer = [&](const CallOut& out, double larger, std::string_view name) {
            const double across = out.at.x - out.about.x, down = out.at.y - out.about.y;
            const double length = std::max(std::hypot(across, down), 1e-9), ring = 4.5 * larger;
            output.write(fmt::format(
                "<g class=\"{0}\"><circle class=\"spot\" cx=\"{1}\" cy=\"{2}\" r=\"{3}\"/>"
                "<path class=\"leader\" d=\"M{4} {5}L{6} {7}\"/><g transform=\"translate({6} {7})"
                "{8}\"><path class=\"mark\" d=\"{9}\"/><text y=\"3.4\" "
                "text-anchor=\"middle\">{10}</text></g></g>",
                name, px(out.about.x), px(out.about.y), px(ring), px(out.about.x + across / length * ring),
                px(out.about.y + down / length * ring), px(out.at.x), px(out.at.y),
                larger == 1 ? "" : " scale(" + px(larger) + ")", suspect_shape(), suspect.number));
        };
        layer(wide[i], 1, narrow_ > 0 ? "wide" : "only");
        if (narrow_ > 0) layer(narrow[i], narrow_, "narrow");
        output.write("</g>\n");
    }
    output.write("</g>\n");
}

}  // namespace evenhead::io
