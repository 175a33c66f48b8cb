// Each square between four nodes is crossed by the line where its edges change from below the level to above.
// Walking round a square anticlockwise (corners 0 to 3, edge k from corner k to the next), the line goes from
// the edge where the walk leaves the higher ground to one where it comes back: past the corners that are low.
// Where two corners across are high, the mean of the four says whether they are joined.
#include "io/report/contours.hpp"

#include <algorithm>
#include <cmath>
#include <unordered_map>

namespace evenhead::io {
namespace {

constexpr double lowest = -1e30;

class Squares {
  public:
    Squares(const NodeGrid& grid, double level) : grid_(grid), level_(level) {}

    std::vector<ContourRing> rings() {
        // One square beyond the grid on every side closes what reaches the edge.
        for (int row = -1; row < grid_.rows; ++row)
            for (int column = -1; column < grid_.columns; ++column) square(column, row);
        std::vector<ContourRing> found;
        for (const long long start : starts_) {
            if (!next_.contains(start)) continue;  // part of a ring that is walked already
            ContourRing ring;
            long long here = start;
            for (auto step = next_.find(here); step != next_.end(); step = next_.find(here)) {
                ring.push_back(crossing(here));
                here = step->second;
                next_.erase(step);
            }
            if (ring.size() > 2) found.push_back(std::move(ring));
        }
        return found;
    }

  private:
    bool high(int column, int row) const { return grid_.value(column, row) >= level_; }

    // An edge by the node that it begins at, and whether it goes up.
    long long edge(int column, int row, bool up) const {
        return ((row + 1LL) * (grid_.columns + 2LL) + column + 1) * 2 + (up ? 1 : 0);
    }

    std::array<double, 2> crossing(long long of) const {
        const bool up = of % 2 != 0;
        const long long node = of / 2, width = grid_.columns + 2LL;
        const int column = static_cast<int>(node % width) - 1, row = static_cast<int>(node / width) - 1;
        const double here = grid_.value(column, row);
        const double there = up ? grid_.value(column, row + 1) : grid_.value(column + 1, row);
        const double share = std::clamp((level_ - here) / (there - here), 0.0, 1.0);
        return {column + (up ? 0 : share), row + (up ? share : 0)};
    }

    void join(long long from, long long to) {
        next_[from] = to;
        starts_.push_back(from);
    }

    void square(int column, int row) {
        const bool corner[4] = {high(column, row), high(column + 1, row), high(column + 1, row + 1),
                                high(column, row + 1)};
        const long long edges[4] = {edge(column, row, false), edge(column + 1, row, true),
                                    edge(column, row + 1, false), edge(column, row, true)};
        const bool across = corner[0] == corner[2] && corner[1] == corner[3] && corner[0] != corner[1];
        const bool joined = across && (grid_.value(column, row) + grid_.value(column + 1, row) +
                                       grid_.value(column + 1, row + 1) + grid_.value(column, row + 1)) /
                                              4 >=
                                          level_;
        for (int k = 0; k < 4; ++k) {
            if (!corner[k] || corner[(k + 1) % 4]) continue;  // the walk does not leave the high ground here
            int back = k;
            if (across)
                back = joined ? (k + 1) % 4 : (k + 3) % 4;
            else
                while (corner[back] || !corner[(back + 1) % 4]) back = (back + 1) % 4;
            join(edges[k], edges[back]);
        }
    }

    const NodeGrid& grid_;
    const double level_;
    std::unordered_map<long long, long long> next_;
    std::vector<long long> starts_;  // in the order found, so that rings come in the same order everywhere
};

}  // namespace

double NodeGrid::value(int column, int row) const {
    if (column < 0 || row < 0 || column >= columns || row >= rows) return lowest;
    return values[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns) +
                  static_cast<std::size_t>(column)];
}

std::vector<ContourRing> contour_rings(const NodeGrid& grid, double level) {
    return Squares(grid, level).rings();
}

ContourRing thinned(const ContourRing& ring, double tolerance) {
    ContourRing left;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        // Kept where the line from the last one kept to the next would miss it, or another passed over since.
        if (left.empty()) {
            left.push_back(ring[i]);
            continue;
        }
        const auto& from = left.back();
        const auto& to = ring[(i + 1) % ring.size()];
        const double dx = to[0] - from[0], dy = to[1] - from[1], length = std::hypot(dx, dy);
        bool missed = length == 0;
        for (std::size_t k = i; !missed && k > 0 && ring[k] != from; --k) {
            const double off = std::abs(dx * (ring[k][1] - from[1]) - dy * (ring[k][0] - from[0])) / length;
            missed = off > tolerance;
        }
        if (missed) left.push_back(ring[i]);
    }
    return left;
}

}  // namespace evenhead::io
