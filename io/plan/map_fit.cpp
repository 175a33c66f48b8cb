// How large everything is: the drawing on its sheet, and marks by the room that they have.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "io/plan/map.hpp"
#include "io/plan/svg_text.hpp"
#include "io/plan/words.hpp"
#include "model/position.hpp"

namespace evenhead::io {

using model::none;

PlanMap::PlanMap(const PlanSubject& subject, const PlanOptions& options, double width, double tallest,
                 double narrow)
    : subject_(subject),
      options_(options),
      marks_(drawn_marks(subject, options)),
      placement_(place(subject.system)),
      widths_(subject.system),
      narrow_(narrow) {
    std::vector<char> pipes(subject.system.points.size(), 0);
    for (const model::Pipe& pipe : subject.system.pipes)
        for (const Index end : {pipe.from, pipe.to})
            pipes[at(end)] = static_cast<char>(std::min(pipes[at(end)] + 1, 9));
    junction_.resize(pipes.size(), 0);
    for (std::size_t i = 0; i < pipes.size(); ++i) junction_[i] = pipes[i] == 2 ? 0 : 1;
    fit(width, tallest);
    measure_room();
}

double PlanMap::radius(Index head) const {
    const HeadMark* mark = marks_.mark(head);
    if (mark != nullptr && !std::isnan(mark->radius))
        return mark->state == HeadState::dry ? std::nan("") : mark->radius;
    const HeadMark* ever = subject_.marks.worst().mark(head);
    return ever == nullptr || ever->state == HeadState::dry ? std::nan("") : ever->radius;
}

void PlanMap::fit(double width, double tallest) {
    double right = 0, bottom = 0;
    bool any = false;
    const auto take = [&](const Spot& spot) {
        left_ = any ? std::min(left_, spot.x) : spot.x;
        right = any ? std::max(right, spot.x) : spot.x;
        bottom = any ? std::min(bottom, spot.y) : spot.y;
        top_ = any ? std::max(top_, spot.y) : spot.y;
        any = true;
    };
    for (const Spot& spot : placement_.points) take(spot);
    for (const auto& bends : placement_.bends)
        for (const Spot& spot : bends) take(spot);
    if (placement_.to_scale) {
        for (const model::Area& area : subject_.system.areas)
            for (const auto& [x, y] : area.outline) take({x, y});
        for (std::size_t i = 0; i < subject_.system.heads.size(); ++i) {
            const double metres = radius(static_cast<Index>(i));
            const model::Head& head = subject_.system.heads[i];
            const double arc = head.arc && head.arc->known() ? head.arc->value : 360;
            const bool faces = head.facing && head.facing->known();
            if (!(metres > 0) || (arc < 360 && !faces)) continue;
            const double middle = faces ? head.facing->value : 0;
            constexpr int steps = 24;
            for (int step = 0; step <= steps; ++step) {
                const double angle = (middle + arc * (step - steps / 2.0) / steps) * std::numbers::pi / 180;
                const Spot& centre = placement_.points[at(head.point)];
                take({centre.x + metres * std::sin(angle), centre.y + metres * std::cos(angle)});
            }
        }
    }
    width_ = width;
    margin_ = std::min(placement_.to_scale ? 24.0 : 40.0, width * 0.06);
    const double wide = std::max(right - left_, 1e-9), high = std::max(top_ - bottom, 1e-9);
    const double room = width - 2 * margin_;
    if (placement_.to_scale) {
        scale_.x = scale_.y = std::min(room / wide, (tallest - 2 * margin_) / high);
    } else {
        // A schematic of few things is not blown up; names are wider than high, and so may its steps be.
        constexpr double widest_step = 92, highest_step = 46, shape = 0.72, most_uneven = 2.4;
        scale_.x = std::min(widest_step, room / wide);
        scale_.y = std::min(highest_step, shape * room / high);
        scale_.x = std::min(scale_.x, most_uneven * scale_.y);
        scale_.y = std::min(scale_.y, most_uneven * scale_.x);
    }
    left_ -= (room / scale_.x - wide) / 2;  // in the middle of the width
    height_ = high * scale_.y + 2 * margin_;
}

void PlanMap::measure_room() {
    struct Mark {
        Spot spot;
        std::size_t point;
    };
    const double enough = 24 * std::max(1.0, narrow_);  // px: for a mark of full size
    std::vector<Mark> marks;
    for (std::size_t i = 0; i < subject_.system.points.size(); ++i)
        if (subject_.system.points[i].kind != model::PointKind::plain)
            marks.push_back({px_of(placement_.points[i]), i});
    std::sort(marks.begin(), marks.end(), [](const Mark& one, const Mark& two) {
        return std::pair(one.spot.x, one.point) < std::pair(two.spot.x, two.point);
    });
    room_.assign(subject_.system.points.size(), enough);
    for (auto mark = marks.begin(); mark != marks.end(); ++mark)
        for (auto other = mark + 1; other != marks.end() && other->spot.x - mark->spot.x < enough; ++other) {
            const double far = std::hypot(other->spot.x - mark->spot.x, other->spot.y - mark->spot.y);
            room_[mark->point] = std::min(room_[mark->point], far);
            room_[other->point] = std::min(room_[other->point], far);
        }
    std::vector<double> heads;
    for (const model::Head& head : subject_.system.heads) {
        heads.push_back(room_[at(head.point)]);
        if (head.valve != none) head_needs_ = 19;
    }
    head_room_ = enough;
    if (heads.empty()) return;
    const auto tenth = heads.begin() + static_cast<std::ptrdiff_t>(heads.size() / 10);
    std::nth_element(heads.begin(), tenth, heads.end());
    head_room_ = *tenth;
}

double PlanMap::head_size(double larger) const {
    // On a narrow screen a few may rather overlap than be specks.
    constexpr double least = 0.18, least_narrow = 0.5;
    constexpr std::size_t few = 1000;
    const bool narrow = larger > 1 && subject_.system.heads.size() < few;
    return std::clamp(head_room_ / head_needs_, narrow ? least_narrow * larger : least, larger);
}

double PlanMap::thing_size(Index point, double larger) const {
    constexpr double needs = 18;  // px
    return std::clamp(room_[at(point)] / needs, 0.4 * larger, larger);
}

std::string PlanMap::growth(Index point) const {
    return narrow_ > 0
               ? fmt::format(" style=\"--narrow:{}\"", px(thing_size(point, narrow_) / thing_size(point)))
               : std::string();
}

std::string_view PlanMap::density() const {
    return head_size() < 0.35 ? " fine" : head_size() < 0.7 ? " dense" : "";
}

}  // namespace evenhead::io
