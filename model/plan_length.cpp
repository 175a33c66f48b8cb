#include "model/plan_length.hpp"

#include <cmath>

#include "model/position.hpp"

namespace evenhead::model {

std::optional<double> plan_length(const System& system, const Pipe& pipe) {
    const Point &from = system.points[at(pipe.from)], &to = system.points[at(pipe.to)];
    if (!from.x || !from.y || !to.x || !to.y) return std::nullopt;
    double length = 0, x = from.x->value, y = from.y->value;
    const auto go = [&](double next_x, double next_y) {
        length += std::hypot(next_x - x, next_y - y);
        x = next_x;
        y = next_y;
    };
    if (pipe.bends)
        for (const auto& [bend_x, bend_y] : *pipe.bends) go(bend_x, bend_y);
    go(to.x->value, to.y->value);
    return length;
}

}  // namespace evenhead::model
