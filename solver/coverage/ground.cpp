#include "solver/coverage/ground.hpp"

// One of its headers takes in another that will be renamed, which is nothing to us.
#define BOOST_ALLOW_DEPRECATED_HEADERS
#include <algorithm>
#include <boost/geometry.hpp>
#include <boost/geometry/geometries/multi_polygon.hpp>
#include <boost/geometry/geometries/point_xy.hpp>
#include <boost/geometry/geometries/polygon.hpp>
#include <cmath>
#include <limits>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

namespace bg = boost::geometry;
using Point = bg::model::d2::point_xy<double>;
using Polygon =
    bg::model::polygon<Point, false, false>;  // counter-clockwise, not closed by a corner of its own
using Polygons = bg::model::multi_polygon<Polygon>;

constexpr double least_piece = 1e-9;  // of a cell; less is rounding

Ring ring_of(const Polygon::ring_type& ring) {
    Ring places;
    for (const Point& corner : ring) places.push_back({corner.x(), corner.y()});
    return places;
}

Ground ground_of(const Polygons& polygons) {
    Ground ground;
    for (const Polygon& polygon : polygons) {
        ground.rings.push_back(ring_of(polygon.outer()));
        for (const auto& hole : polygon.inners()) ground.rings.push_back(ring_of(hole));
    }
    constexpr double far = std::numeric_limits<double>::infinity();
    ground.bounds = {far, far, -far, -far};
    for (const Ring& ring : ground.rings) {
        ground.area += moments(ring).area;
        for (const auto& [x, y] : ring) {
            ground.bounds[0] = std::min(ground.bounds[0], x);
            ground.bounds[1] = std::min(ground.bounds[1], y);
            ground.bounds[2] = std::max(ground.bounds[2], x);
            ground.bounds[3] = std::max(ground.bounds[3], y);
        }
    }
    return ground;
}

std::vector<Ring> cut_all(const std::vector<Ring>& rings, double a, double b, double c) {
    std::vector<Ring> left;
    for (const Ring& ring : rings)
        if (Ring part = cut(ring, a, b, c); part.size() > 2) left.push_back(std::move(part));
    return left;
}

Moments moments_of(const std::vector<Ring>& rings) {
    Moments sum;
    for (const Ring& ring : rings) sum += moments(ring);
    return sum;
}

/// Between two lines across one axis.
std::vector<Ring> between(const std::vector<Ring>& rings, bool across_x, double low, double high) {
    const double a = across_x ? 1 : 0, b = across_x ? 0 : 1;
    return cut_all(cut_all(rings, a, b, low), -a, -b, -high);
}

}  // namespace

Moments& Moments::operator+=(const Moments& other) {
    area += other.area;
    x += other.x;
    y += other.y;
    return *this;
}

Moments moments(const Ring& ring) {
    if (ring.size() < 3) return {};
    // About the first corner: coordinates of a survey may be large.
    const Place& origin = ring.front();
    Moments sum;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Place &one = ring[i], &other = ring[(i + 1) % ring.size()];
        const double x1 = one[0] - origin[0], y1 = one[1] - origin[1];
        const double x2 = other[0] - origin[0], y2 = other[1] - origin[1];
        const double twice = x1 * y2 - x2 * y1;
        sum.area += twice / 2;
        sum.x += twice * (x1 + x2) / 6;
        sum.y += twice * (y1 + y2) / 6;
    }
    sum.x += sum.area * origin[0];
    sum.y += sum.area * origin[1];
    return sum;
}

Ring cut(const Ring& ring, double a, double b, double c) {
    Ring left;
    const auto beyond = [&](const Place& place) { return a * place[0] + b * place[1] - c; };
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Place &one = ring[i], &other = ring[(i + 1) % ring.size()];
        const double here = beyond(one), there = beyond(other);
        if (here >= 0) left.push_back(one);
        if ((here > 0 && there < 0) || (here < 0 && there > 0)) {
            const double share = here / (here - there);
            left.push_back({one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])});
        }
    }
    return left;
}

std::optional<Ground> ground_of_outlines(const std::vector<const model::Area*>& areas) {
    Polygons together;
    for (const model::Area* area : areas) {
        Polygon polygon;
        for (const auto& [x, y] : area->outline) bg::append(polygon.outer(), Point(x, y));
        bg::unique(polygon);  // a first corner that is given once more as the last
        if (polygon.outer().size() > 1 && bg::equals(polygon.outer().front(), polygon.outer().back()))
            polygon.outer().pop_back();
        bg::correct(polygon);
        if (!bg::is_valid(polygon)) return std::nullopt;
        Polygons more;
        bg::union_(together, polygon, more);
        together = std::move(more);
    }
    Ground ground = ground_of(together);
    return ground.area > 0 ? std::optional(std::move(ground)) : std::nullopt;
}

std::optional<Ground> ground_of_hull(const std::vector<Place>& places) {
    bg::model::multi_point<Point> points;
    for (const auto& [x, y] : places) bg::append(points, Point(x, y));
    Polygon hull;
    bg::convex_hull(points, hull);
    Ground ground = ground_of({hull});
    // Heads along a line that is not quite straight: a millionth of its length is no width.
    const double across =
        std::hypot(ground.bounds[2] - ground.bounds[0], ground.bounds[3] - ground.bounds[1]);
    return ground.area > 1e-6 * across * across ? std::optional(std::move(ground)) : std::nullopt;
}

bool holds(const Ground& ground, const Place& place) {
    int rings = 0;  // that go round it, by their sign
    for (const Ring& ring : ground.rings) {
        Polygon polygon;
        for (const auto& [x, y] : ring) bg::append(polygon.outer(), Point(x, y));
        const bool hole = moments(ring).area < 0;
        if (hole) bg::reverse(polygon);
        const Point at_place(place[0], place[1]);
        if (hole ? bg::within(at_place, polygon) : bg::covered_by(at_place, polygon)) rings += hole ? -1 : 1;
    }
    return rings > 0;
}

Place CellGrid::middle(int cell) const {
    const int column = cell % columns, row = cell / columns;
    return {west + (column + 0.5) * side, south + (row + 0.5) * side};
}

std::vector<Ring> CellGrid::rings(const Piece& piece) const {
    if (piece.part >= 0) return parts[at(piece.part)];
    const int column = piece.cell % columns, row = piece.cell / columns;
    const double x = west + column * side, y = south + row * side;
    const double x_end = west + (column + 1) * side, y_end = south + (row + 1) * side;
    return {{{x, y}, {x_end, y}, {x_end, y_end}, {x, y_end}}};
}

void CellGrid::split(int cell, double a, double b, double c) {
    for (int i = first[at(cell)]; i >= 0;) {
        const int after = pieces[at(i)].next;
        const std::vector<Ring> whole = rings(pieces[at(i)]);
        std::vector<Ring> one = cut_all(whole, a, b, c), other = cut_all(whole, -a, -b, -c);
        const Moments of_one = moments_of(one), of_other = moments_of(other);
        if (of_one.area > least_piece * side * side && of_other.area > least_piece * side * side) {
            Piece more{of_other, cell, static_cast<int>(parts.size()), after};
            parts.push_back(std::move(other));
            Piece& kept = pieces[at(i)];
            kept.ground = of_one;
            kept.next = static_cast<int>(pieces.size());
            if (kept.part < 0) {
                kept.part = static_cast<int>(parts.size());
                parts.emplace_back();
            }
            parts[at(kept.part)] = std::move(one);
            pieces.push_back(more);
        }
        i = after;
    }
}

double count_cells(const Ground& ground, double side) {
    return std::max(std::ceil((ground.bounds[2] - ground.bounds[0]) / side), 1.0) *
           std::max(std::ceil((ground.bounds[3] - ground.bounds[1]) / side), 1.0);
}

CellGrid cut_into_cells(const Ground& ground, double side) {
    CellGrid grid;
    grid.west = ground.bounds[0];
    grid.south = ground.bounds[1];
    grid.side = side;
    grid.columns = std::max(static_cast<int>(std::ceil((ground.bounds[2] - grid.west) / side)), 1);
    grid.rows = std::max(static_cast<int>(std::ceil((ground.bounds[3] - grid.south) / side)), 1);
    grid.first.assign(at(grid.columns) * at(grid.rows), -1);
    const double whole = side * side;
    for (int row = 0; row < grid.rows; ++row) {
        const double low = grid.south + row * side;
        std::vector<Ring> strip = between(ground.rings, false, low, low + side);
        for (int column = 0; column < grid.columns && !strip.empty(); ++column) {
            const double right = grid.west + (column + 1) * side;
            std::vector<Ring> part = cut_all(strip, -1, 0, -right);
            strip = cut_all(strip, 1, 0, right);
            Piece piece{moments_of(part), row * grid.columns + column, -1, -1};
            if (!(piece.ground.area > least_piece * whole)) continue;
            if (piece.ground.area < (1 - least_piece) * whole) {
                piece.part = static_cast<int>(grid.parts.size());
                grid.parts.push_back(std::move(part));
            }
            grid.first[at(piece.cell)] = static_cast<int>(grid.pieces.size());
            grid.pieces.push_back(piece);
        }
    }
    grid.cells = grid.pieces.size();
    return grid;
}

}  // namespace evenhead::solver
