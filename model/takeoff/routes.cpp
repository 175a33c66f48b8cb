// Crossings. Two straight pieces a + s u (0 <= s <= 1) and b + t v (0 <= t <= 1) of the ways of two pipes
// meet where
//
//   s = (b - a) x v / (u x v),   t = (b - a) x u / (u x v)     (x: the cross product in the plane)
//
// both lie within 0 and 1. Pieces that run the same way (u x v = 0) share a trench, which is another matter.
// Where the place is a point that both pipes end at, they are joined; where it is an end of one of them, it
// touches the other; else they cross. A bend of either is met by two of its pieces and counts once.
//
// What lies less deep goes over; of pipes equally deep the smaller, which gives way more easily, and of equal
// ones the later.
#include "model/takeoff/routes.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <boost/geometry.hpp>
#include <boost/geometry/index/rtree.hpp>

#include "model/takeoff/takeoff_parts.hpp"

namespace evenhead::model {
namespace takeoff {
namespace {

constexpr double slight = 1e-6;  // m: nearer is the same place

double cross(const Vector& one, const Vector& other) {
    return one[0] * other[1] - one[1] * other[0];
}

Vector minus(const Vector& one, const Vector& other) {
    return {one[0] - other[0], one[1] - other[1]};
}

bool same_place(const Vector& one, const Vector& other) {
    return std::hypot(one[0] - other[0], one[1] - other[1]) <= slight;
}

struct Piece {
    Index pipe = none;
    Vector start{}, end{};
};

class Crossings {
  public:
    Crossings(const Subject& subject, PipeRoutes& result) : subject_(subject), result_(result) {}

    void find() {
        for (std::size_t i = 0; i < subject_.system.pipes.size(); ++i) add_pieces(static_cast<Index>(i));
        std::vector<Entry> entries;
        for (std::size_t i = 0; i < pieces_.size(); ++i) entries.emplace_back(box_around(pieces_[i]), i);
        const Tree tree(entries);
        for (std::size_t i = 0; i < pieces_.size(); ++i) {
            std::vector<Entry> near;
            tree.query(boost::geometry::index::intersects(box_around(pieces_[i])), std::back_inserter(near));
            std::vector<std::size_t> later;
            for (const Entry& entry : near)
                if (pieces_[entry.second].pipe > pieces_[i].pipe) later.push_back(entry.second);
            std::sort(later.begin(), later.end());
            for (const std::size_t other : later) meet(pieces_[i], pieces_[other]);
        }
    }

  private:
    using Corner = boost::geometry::model::point<double, 2, boost::geometry::cs::cartesian>;
    using Box = boost::geometry::model::box<Corner>;
    using Entry = std::pair<Box, std::size_t>;
    using Tree = boost::geometry::index::rtree<Entry, boost::geometry::index::quadratic<16>>;

    static Box box_around(const Piece& piece) {
        const auto low = [&](std::size_t i) { return std::min(piece.start[i], piece.end[i]) - slight; };
        const auto high = [&](std::size_t i) { return std::max(piece.start[i], piece.end[i]) + slight; };
        return {Corner(low(0), low(1)), Corner(high(0), high(1))};
    }

    void add_pieces(Index pipe) {
        const std::vector<Vector> way = subject_.way(pipe);
        for (std::size_t i = 1; i < way.size(); ++i)
            if (!same_place(way[i - 1], way[i])) pieces_.push_back({pipe, way[i - 1], way[i]});
    }

    /// True where the pipe ends there.
    bool ends_at(Index pipe, const Vector& place) const {
        const Pipe& of = subject_.pipe(pipe);
        return same_place(*subject_.place(of.from), place) || same_place(*subject_.place(of.to), place);
    }
    /// True where both pipes end there in the same point of the system.
    bool joined(Index one, Index other, const Vector& place) const {
        const Pipe &first = subject_.pipe(one), &second = subject_.pipe(other);
        return std::ranges::any_of(std::array{first.from, first.to}, [&](Index point) {
            return (point == second.from || point == second.to) && same_place(*subject_.place(point), place);
        });
    }

    void meet(const Piece& one, const Piece& other) {
        const Vector u = minus(one.end, one.start), v = minus(other.end, other.start);
        const double turned = cross(u, v), length = std::hypot(u[0], u[1]), width = std::hypot(v[0], v[1]);
        if (std::abs(turned) <= 1e-12 * length * width) return;
        const Vector between = minus(other.start, one.start);
        const double s = cross(between, v) / turned, t = cross(between, u) / turned;
        if (s * length < -slight || s * length > length + slight || t * width < -slight ||
            t * width > width + slight)
            return;
        const Vector place{one.start[0] + s * u[0], one.start[1] + s * u[1]};
        if (joined(one.pipe, other.pipe, place)) return;
        for (auto known = result_.crossings.rbegin(); known != result_.crossings.rend(); ++known) {
            if (std::min(known->over, known->under) != one.pipe) break;
            if (std::max(known->over, known->under) == other.pipe && same_place(known->place, place)) return;
        }
        result_.crossings.push_back(laid(one.pipe, other.pipe, place));
    }

    PipeCrossing laid(Index one, Index other, const Vector& place) const {
        const auto depth = [&](Index pipe) { return result_.routes[at(pipe)].depth; };
        const auto size = [&](Index pipe) {
            const double diameter = subject_.facts_of(pipe).size.diameter;
            return std::isnan(diameter) ? 0 : diameter;
        };
        PipeCrossing crossing{other, one, place};
        if (depth(one) < depth(other) || (depth(one) == depth(other) && size(one) < size(other)))
            std::swap(crossing.over, crossing.under);
        crossing.gap = result_.routes[at(crossing.under)].cover - depth(crossing.over);
        crossing.touches = ends_at(one, place) || ends_at(other, place);
        return crossing;
    }

    const Subject& subject_;
    PipeRoutes& result_;
    std::vector<Piece> pieces_;
};

PipeRoute route_of(const Subject& subject, Index pipe) {
    PipeRoute route;
    route.pipe = pipe;
    const std::vector<Vector> way = subject.way(pipe);
    if (!way.empty()) route.plan = 0;
    for (std::size_t i = 1; i < way.size(); ++i)
        route.plan += std::hypot(way[i][0] - way[i - 1][0], way[i][1] - way[i - 1][1]);
    const bool main = subject.layout.pipe_on_mainline[at(pipe)] != 0;
    route.depth =
        (main ? subject.rules.mainline_depth : subject.rules.lateral_depth).in(subject.system.units);
    route.cover = route.depth - subject.facts_of(pipe).size.diameter;
    route.outside_known = !std::isnan(subject.pipe(pipe).size->outside);
    return route;
}

}  // namespace
}  // namespace takeoff

PipeRoutes pipe_routes(const System& system, const Layout& layout, const TakeoffRules& rules) {
    const takeoff::Subject subject(system, layout, rules);
    PipeRoutes result;
    for (std::size_t i = 0; i < system.pipes.size(); ++i)
        result.routes.push_back(takeoff::route_of(subject, static_cast<Index>(i)));
    takeoff::Crossings(subject, result).find();
    return result;
}

}  // namespace evenhead::model
