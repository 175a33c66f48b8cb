#include "solver/coverage/cells.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

// Of a cell, in sides: from its middle to a corner, and a little.
constexpr double half_diagonal = 0.7072;

/// Calls visit(cell) for the cells with ground that the throw may reach.
template <class Visit>
void each_cell_near(const CellGrid& grid, const ThrowNumbers& of, const Visit& visit) {
    const auto first = [&](double from, double origin) {
        return static_cast<int>(std::max(std::floor((from - origin) / grid.side), 0.0));
    };
    const auto last = [&](double to, double origin, int count) {
        return static_cast<int>(std::min(std::floor((to - origin) / grid.side), count - 1.0));
    };
    const int end_row = last(of.y + of.radius, grid.south, grid.rows);
    const int end_column = last(of.x + of.radius, grid.west, grid.columns);
    for (int row = first(of.y - of.radius, grid.south); row <= end_row; ++row)
        for (int column = first(of.x - of.radius, grid.west); column <= end_column; ++column)
            if (const int cell = row * grid.columns + column; grid.first[at(cell)] >= 0) visit(cell);
}

}  // namespace

void cut_at_edges(CellGrid& grid, const Throw& thrown) {
    const ThrowNumbers& of = thrown.numbers();
    const double near = half_diagonal * grid.side, end = thrown.sudden_end();
    each_cell_near(grid, of, [&](int cell) {
        const auto [x, y] = grid.middle(cell);
        const double east = x - of.x, north = y - of.y, distance = std::hypot(east, north);
        if (distance > of.radius + near) return;
        if (!thrown.full_circle())
            for (const auto& [dx, dy] : {thrown.begins(), thrown.ends()})
                if (std::abs(dx * north - dy * east) < near && dx * east + dy * north > -near)
                    grid.split(cell, -dy, dx, dx * of.y - dy * of.x);
        if (end > 0 && std::abs(distance - end) < near && distance > 0) {
            const double a = east / distance, b = north / distance;
            grid.split(cell, a, b, a * of.x + b * of.y + end);
        }
    });
}

GroundPlaces places_of(CellGrid grid) {
    for (std::size_t cell = 0; cell < grid.first.size(); ++cell) {
        const int piece = grid.first[cell];
        if (piece < 0 || grid.pieces[at(piece)].part < 0) continue;
        const auto [x, y] = grid.middle(static_cast<int>(cell));
        grid.split(static_cast<int>(cell), 1, 0, x);
        grid.split(static_cast<int>(cell), 0, 1, y);
    }
    GroundPlaces ground;
    ground.first.push_back(0);
    const double off = grid.side / std::sqrt(12.0);
    for (std::size_t cell = 0; cell < grid.first.size(); ++cell) {
        for (int i = grid.first[cell]; i >= 0; i = grid.pieces[at(i)].next) {
            const Piece& piece = grid.pieces[at(i)];
            if (piece.part >= 0) {
                ground.places.push_back(piece.ground.middle());
                ground.areas.push_back(piece.ground.area);
                continue;
            }
            const auto [x, y] = grid.middle(piece.cell);
            for (const double dy : {-off, off})
                for (const double dx : {-off, off}) {
                    ground.places.push_back({x + dx, y + dy});
                    ground.areas.push_back(piece.ground.area / 4);
                }
        }
        ground.first.push_back(static_cast<int>(ground.places.size()));
    }
    return ground;
}

void add_throw(const CellGrid& grid, const GroundPlaces& ground, const Throw& thrown,
               std::vector<double>& depths) {
    if (!(thrown.numbers().flow > 0)) return;
    each_cell_near(grid, thrown.numbers(), [&](int cell) {
        for (int i = ground.first[at(cell)]; i < ground.first[at(cell) + 1]; ++i)
            depths[at(i)] += thrown.rate(ground.places[at(i)][0], ground.places[at(i)][1]);
    });
}

Uniformity uniformity_of(const GroundPlaces& ground, const std::vector<double>& depths) {
    std::vector<Depth> places;
    places.reserve(depths.size());
    for (std::size_t i = 0; i < depths.size(); ++i) places.push_back({depths[i], ground.areas[i]});
    return uniformity(std::move(places));
}

double share_below(const GroundPlaces& ground, const std::vector<double>& depths, double limit) {
    double below = 0, all = 0;
    for (std::size_t i = 0; i < depths.size(); ++i) {
        all += ground.areas[i];
        if (depths[i] < limit) below += ground.areas[i];
    }
    return below / all;
}

std::vector<DryPlace> driest_places(const GroundPlaces& ground, const std::vector<double>& depths,
                                    double apart, double least) {
    const double mean = uniformity_of(ground, depths).mean;
    if (!(mean > 0)) return {};
    // What differs by rounding alone is equal, and equal places go by their position.
    std::vector<double> shares;
    shares.reserve(depths.size());
    for (const double depth : depths) shares.push_back(std::round(depth / mean * 1e6) / 1e6);
    std::vector<std::size_t> order(depths.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t one, std::size_t other) { return shares[one] < shares[other]; });
    std::vector<DryPlace> found;
    for (const std::size_t i : order) {
        if (found.size() == 3) break;
        const double x = ground.places[i][0], y = ground.places[i][1];
        if (ground.areas[i] >= least && std::all_of(found.begin(), found.end(), [&](const DryPlace& place) {
                return std::hypot(place.x - x, place.y - y) >= apart;
            }))
            found.push_back({x, y, shares[i]});
    }
    return found;
}

}  // namespace evenhead::solver
