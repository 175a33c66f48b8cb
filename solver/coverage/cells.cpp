#include "solver/coverage/cells.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

/// Ground within an arc. Under half a circle the arc is what lies clockwise of where it begins and
/// anticlockwise of where it ends; a larger one is the ground without the arc that is missing.
Moments within_arc(const Ring& ring, const Throw& thrown) {
    const auto& numbers = thrown.numbers();
    // Anticlockwise of direction (e, n) from the head: e (y - y0) - n (x - x0) >= 0.
    const auto side_of = [&](const Ring& of, const std::array<double, 2>& direction, double sign) {
        const double a = -sign * direction[1], b = sign * direction[0];
        return cut(of, a, b, a * numbers.x + b * numbers.y);
    };
    if (numbers.arc <= 180) return moments(side_of(side_of(ring, thrown.begins(), -1), thrown.ends(), 1));
    Moments all = moments(ring);
    all -= moments(side_of(side_of(ring, thrown.ends(), -1), thrown.begins(), 1));
    return all;
}

/// Waters the cells near one head.
class ThrownOnCells {
  public:
    ThrownOnCells(const CellGrid& grid, const Throw& thrown, std::vector<double>& depths)
        : grid_(grid), thrown_(thrown), depths_(depths) {}

    void add() {
        const ThrowNumbers& numbers = thrown_.numbers();
        const auto first = [&](double from, double origin) {
            return static_cast<int>(std::max(std::floor((from - origin) / grid_.side), 0.0));
        };
        const auto last = [&](double to, double origin, int count) {
            return static_cast<int>(std::min(std::floor((to - origin) / grid_.side), count - 1.0));
        };
        const double reach = numbers.radius;
        const int end_row = last(numbers.y + reach, grid_.south, grid_.rows);
        const int end_column = last(numbers.x + reach, grid_.west, grid_.columns);
        for (int row = first(numbers.y - reach, grid_.south); row <= end_row; ++row)
            for (int column = first(numbers.x - reach, grid_.west); column <= end_column; ++column) {
                const int cell = grid_.position[at(row) * at(grid_.columns) + at(column)];
                if (cell >= 0) add_to(at(cell));
            }
    }

  private:
    void add_to(std::size_t position) {
        const Cell& cell = grid_.cells[position];
        const Moments wetted = part_within(cell);
        if (!(wetted.area > 1e-12 * cell.ground.area)) return;
        const Place middle = wetted.middle();
        const double distance = std::hypot(middle[0] - thrown_.numbers().x, middle[1] - thrown_.numbers().y);
        depths_[position] += wetted.area / cell.ground.area * thrown_.mean_rate(distance, wetted.area);
    }

    Moments part_within(const Cell& cell) const {
        if (thrown_.full_circle() || !near_an_edge(cell)) {
            const Place middle = cell.ground.middle();
            return thrown_.full_circle() || in_arc(middle) ? cell.ground : Moments{};
        }
        Moments sum;
        if (cell.part < 0) return within_arc(grid_.square(cell.column, cell.row), thrown_);
        for (const Ring& ring : grid_.parts[at(cell.part)]) sum += within_arc(ring, thrown_);
        return sum;
    }

    // Which side of the line through the head in a direction, and how far: anticlockwise is positive.
    double beside(const std::array<double, 2>& direction, double east, double north) const {
        return direction[0] * north - direction[1] * east;
    }

    bool near_an_edge(const Cell& cell) const {
        const double east = grid_.west + (cell.column + 0.5) * grid_.side - thrown_.numbers().x;
        const double north = grid_.south + (cell.row + 0.5) * grid_.side - thrown_.numbers().y;
        const double half_diagonal = 0.7072 * grid_.side;
        return std::abs(beside(thrown_.begins(), east, north)) < half_diagonal ||
               std::abs(beside(thrown_.ends(), east, north)) < half_diagonal;
    }

    bool in_arc(const Place& place) const {
        const double east = place[0] - thrown_.numbers().x, north = place[1] - thrown_.numbers().y;
        const bool past_begin = beside(thrown_.begins(), east, north) <= 0;
        const bool before_end = beside(thrown_.ends(), east, north) >= 0;
        return thrown_.numbers().arc <= 180 ? past_begin && before_end : past_begin || before_end;
    }

    const CellGrid& grid_;
    const Throw& thrown_;
    std::vector<double>& depths_;
};

}  // namespace

void add_throw(const CellGrid& grid, const Throw& thrown, std::vector<double>& depths) {
    if (thrown.numbers().flow > 0) ThrownOnCells(grid, thrown, depths).add();
}

Uniformity uniformity_of(const CellGrid& grid, const std::vector<double>& depths) {
    std::vector<Depth> places;
    places.reserve(depths.size());
    for (std::size_t i = 0; i < depths.size(); ++i) places.push_back({depths[i], grid.cells[i].ground.area});
    return uniformity(std::move(places));
}

double share_below(const CellGrid& grid, const std::vector<double>& depths, double limit) {
    double below = 0, all = 0;
    for (std::size_t i = 0; i < depths.size(); ++i) {
        const double area = grid.cells[i].ground.area;
        all += area;
        if (depths[i] < limit) below += area;
    }
    return below / all;
}

std::vector<DryPlace> driest_places(const CellGrid& grid, const std::vector<double>& depths, double apart) {
    const double mean = uniformity_of(grid, depths).mean;
    if (!(mean > 0)) return {};
    // What differs by rounding alone is equal, and equal cells go by their position.
    std::vector<double> shares;
    for (const double depth : depths) shares.push_back(std::round(depth / mean * 1e6) / 1e6);
    std::vector<std::size_t> order(depths.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t one, std::size_t other) { return shares[one] < shares[other]; });
    std::vector<DryPlace> found;
    const double least = grid.side * grid.side / 2;  // a sliver at the edge is no place
    for (const std::size_t i : order) {
        if (found.size() == 3) break;
        if (grid.cells[i].ground.area < least) continue;
        const Place middle = grid.cells[i].ground.middle();
        if (std::all_of(found.begin(), found.end(), [&](const DryPlace& place) {
                return std::hypot(place.x - middle[0], place.y - middle[1]) >= apart;
            }))
            found.push_back({middle[0], middle[1], shares[i]});
    }
    return found;
}

}  // namespace evenhead::solver
