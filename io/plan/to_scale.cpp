// Places points by their coordinates. What has none goes along the pipes by length:
//
// 1. A way of such points between two placed ones is laid straight between them, each point at its share of
//    the length. Of crossing ways the shortest go first: every placed point grows a tree of shortest ways
//    over the points without a place (Dijkstra), and a pipe where two trees meet closes a way. Rounds are
//    repeated until no trees meet.
// 2. What then hangs on one placed point only is laid outward, away from what is already there, with the
//    lengths of its pipes, and branches spread to both sides.
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <queue>

#include "io/plan/placement.hpp"
#include "model/lists.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::none;

/// Of a pipe whose length says nothing, and the least that keeps two marks apart.
constexpr double usual_length = 3, least_length = 0.3;  // m

class Filler {
  public:
    Filler(const model::System& system, Placement& placement, std::vector<char>& placed)
        : system_(system),
          spots_(placement.points),
          placed_(placed),
          pipes_of_(system.points.size(), [&](const auto& put) {
              for (std::size_t i = 0; i < system.pipes.size(); ++i) {
                  put(system.pipes[i].from, static_cast<int>(i));
                  put(system.pipes[i].to, static_cast<int>(i));
              }
          }) {}

    void fill() {
        while (join_trees()) {
        }
        hang_the_rest();
    }

  private:
    double length(Index pipe) const {
        const double given = system_.pipes[at(pipe)].length.value;
        return std::isfinite(given) ? std::max(given, least_length) : usual_length;
    }
    Index other(Index pipe, Index point) const {
        const model::Pipe& row = system_.pipes[at(pipe)];
        return row.from == point ? row.to : row.from;
    }

    /// One round; true where a way was laid.
    bool join_trees() {
        const std::size_t count = system_.points.size();
        std::vector<double> distance(count, std::numeric_limits<double>::infinity());
        std::vector<Index> root(count, none), before(count, none);
        using Step = std::pair<double, Index>;
        std::priority_queue<Step, std::vector<Step>, std::greater<>> queue;
        for (std::size_t i = 0; i < count; ++i)
            if (placed_[i]) {
                distance[i] = 0;
                root[i] = static_cast<Index>(i);
                queue.emplace(0, static_cast<Index>(i));
            }
        while (!queue.empty()) {
            const auto [so_far, point] = queue.top();
            queue.pop();
            if (so_far > distance[at(point)]) continue;
            for (const int pipe : pipes_of_[at(point)]) {
                const Index next = other(pipe, point);
                const double there = so_far + length(pipe);
                if (placed_[at(next)] || !(there < distance[at(next)])) continue;
                distance[at(next)] = there;
                root[at(next)] = root[at(point)];
                before[at(next)] = point;
                queue.emplace(there, next);
            }
        }

        struct Meeting {
            double length;
            Index pipe;
        };
        std::vector<Meeting> meetings;
        for (std::size_t i = 0; i < system_.pipes.size(); ++i) {
            const auto [from, to] = std::pair(system_.pipes[i].from, system_.pipes[i].to);
            if ((placed_[at(from)] && placed_[at(to)]) || root[at(from)] == none ||
                root[at(from)] == root[at(to)])
                continue;
            meetings.push_back({distance[at(from)] + length(static_cast<Index>(i)) + distance[at(to)],
                                static_cast<Index>(i)});
        }
        std::stable_sort(meetings.begin(), meetings.end(),
                         [](const Meeting& one, const Meeting& two) { return one.length < two.length; });
        bool any = false;
        for (const Meeting& meeting : meetings)
            any = lay(meeting.pipe, meeting.length, distance, root, before) || any;
        return any;
    }

    /// Lays the way that closes at this pipe, unless a shorter one has taken a point of it.
    bool lay(Index closing, double whole, const std::vector<double>& distance, const std::vector<Index>& root,
             const std::vector<Index>& before) {
        std::vector<std::pair<Index, double>> way;  // points and their length from the first root
        const model::Pipe& pipe = system_.pipes[at(closing)];
        for (Index point = pipe.from; point != root[at(pipe.from)]; point = before[at(point)])
            way.emplace_back(point, distance[at(point)]);
        for (Index point = pipe.to; point != root[at(pipe.to)]; point = before[at(point)])
            way.emplace_back(point, whole - distance[at(point)]);
        for (const auto& [point, length_here] : way)
            if (placed_[at(point)]) return false;
        const Spot start = spots_[at(root[at(pipe.from)])], end = spots_[at(root[at(pipe.to)])];
        for (const auto& [point, length_here] : way) {
            const double share = length_here / whole;
            spots_[at(point)] = {start.x + (end.x - start.x) * share, start.y + (end.y - start.y) * share};
            placed_[at(point)] = 1;
        }
        return !way.empty();
    }

    /// Away from the placed neighbours; east where there are none.
    double outward(Index point) const {
        double x = 0, y = 0;
        for (const int pipe : pipes_of_[at(point)]) {
            const Index next = other(pipe, point);
            if (!placed_[at(next)]) continue;
            const double dx = spots_[at(point)].x - spots_[at(next)].x;
            const double dy = spots_[at(point)].y - spots_[at(next)].y;
            const double far = std::hypot(dx, dy);
            if (far > 0) {
                x += dx / far;
                y += dy / far;
            }
        }
        // Between neighbours on opposite sides: square to them.
        return std::hypot(x, y) > 1e-6 ? std::atan2(y, x) : std::numbers::pi / 2;
    }

    void hang_the_rest() {
        struct Way {
            Index point;
            double direction;
        };
        std::vector<Way> stack;
        const auto grow = [&](Way from) {
            std::vector<int> open;
            for (const int pipe : pipes_of_[at(from.point)])
                if (!placed_[at(other(pipe, from.point))]) open.push_back(pipe);
            for (std::size_t i = 0; i < open.size(); ++i) {
                const Index next = other(open[i], from.point);
                if (placed_[at(next)]) continue;  // a pipe beside it led there
                const double spread = static_cast<double>(i) - static_cast<double>(open.size() - 1) / 2;
                const double turn = open.size() == 1 ? 0 : spread * std::numbers::pi / 3;
                const double direction = from.direction + turn, far = length(open[i]);
                spots_[at(next)] = {spots_[at(from.point)].x + far * std::cos(direction),
                                    spots_[at(from.point)].y + far * std::sin(direction)};
                placed_[at(next)] = 1;
                stack.push_back({next, direction});
            }
        };
        const auto grow_all = [&](Way from) {
            grow(from);
            while (!stack.empty()) {
                const Way next = stack.back();
                stack.pop_back();
                grow(next);
            }
        };
        double lowest = 0, left = 0;
        bool any = false;
        for (std::size_t i = 0; i < placed_.size(); ++i)
            if (placed_[i]) {
                lowest = any ? std::min(lowest, spots_[i].y) : spots_[i].y;
                left = any ? std::min(left, spots_[i].x) : spots_[i].x;
                any = true;
            }
        const std::vector<char> before = placed_;
        for (std::size_t i = 0; i < before.size(); ++i)
            if (before[i]) grow_all({static_cast<Index>(i), outward(static_cast<Index>(i))});
        // Parts that no pipe joins to anything placed: in rows below all.
        for (std::size_t i = 0; i < placed_.size(); ++i) {
            if (placed_[i]) continue;
            lowest -= 2 * usual_length;
            spots_[i] = {left, lowest};
            placed_[i] = 1;
            grow_all({static_cast<Index>(i), 0});
        }
    }

    const model::System& system_;
    std::vector<Spot>& spots_;
    std::vector<char>& placed_;
    model::Lists pipes_of_;
};

bool given(const model::Point& point) {
    return point.x && point.y && point.x->known() && point.y->known();
}

}  // namespace

bool has_coordinates(const model::System& system) {
    std::size_t count = 0;
    const model::Point* first = nullptr;
    bool apart = false;
    for (const model::Point& point : system.points) {
        if (!given(point)) continue;
        ++count;
        if (first == nullptr) first = &point;
        apart = apart || point.x->value != first->x->value || point.y->value != first->y->value;
    }
    return apart && 2 * count >= system.points.size();
}

Placement place_to_scale(const model::System& system) {
    Placement placement;
    placement.to_scale = true;
    placement.points.resize(system.points.size());
    placement.bends.resize(system.pipes.size());
    std::vector<char> placed(system.points.size(), 0);
    for (std::size_t i = 0; i < placed.size(); ++i) {
        if (given(system.points[i])) {
            placement.points[i] = {system.points[i].x->value, system.points[i].y->value};
            placed[i] = 1;
        } else {
            placement.along_pipe.push_back(static_cast<Index>(i));
        }
    }
    for (std::size_t i = 0; i < system.pipes.size(); ++i)
        if (system.pipes[i].bends)
            for (const auto& [x, y] : *system.pipes[i].bends) placement.bends[i].push_back({x, y});
    if (!placement.along_pipe.empty()) Filler(system, placement, placed).fill();
    return placement;
}

Placement place(const model::System& system) {
    constexpr double page = 1.4;  // width over height of a page on its side
    return has_coordinates(system) ? place_to_scale(system) : place_schematic(system, page);
}

}  // namespace evenhead::io
