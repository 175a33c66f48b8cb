// Lines of equal value on a grid of nodes (marching squares).
#pragma once

#include <array>
#include <vector>

namespace evenhead::io {

/// Values on nodes in rows: node (column, row) at row x columns + column.
struct NodeGrid {
    int columns = 0, rows = 0;
    std::vector<double> values;
    double value(int column, int row) const;  ///< outside of the grid lower than everything
};

/// A closed line, in columns and rows.
using ContourRing = std::vector<std::array<double, 2>>;

/// Rings round all that is at least `level`: with the higher ground on their left, so that holes run the
/// other way round. What reaches the edge of the grid is closed along it.
std::vector<ContourRing> contour_rings(const NodeGrid& grid, double level);

/// The ring without corners that lie no farther than `tolerance` off the line past them.
ContourRing thinned(const ContourRing& ring, double tolerance);

}  // namespace evenhead::io
