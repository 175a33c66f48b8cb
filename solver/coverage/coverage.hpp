// How evenly each zone waters its ground, from what its heads throw at their own solved pressures.
//
//   for (const ZoneCoverage& zone : cover(system, layout)) ...   // one for each valve, in the order of
//   valves
//
// A zone that has no figures says why (`none`); rate, du_lq, cu, lost are then not numbers. area and
// rate_formula are given wherever the ground is known. Rates are m/s of water depth, areas m2, shares 0 to 1.
//
// The ground of a zone is its `areas`, else the hull of its heads. It is cut into square cells (ground.hpp),
// on each of which every head of the zone drops what throw.hpp says; with depth d_i on a cell of area a_i:
//   rate = sum a_i d_i / sum a_i          the water that lands inside, over the area
//   rate_formula = Q / area               Q: all heads of the zone, wherever their water lands
//   lost = 1 - sum a_i d_i / Q            of the heads that are counted
//   du_lq, cu                             uniformity.hpp, over the places
// Still air, level ground, nothing in the way: an estimate. Uniformity is measured with catch cans.
#pragma once

#include <limits>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"
#include "solver/balance/result.hpp"
#include "solver/coverage/ground.hpp"
#include "solver/coverage/throw.hpp"

namespace evenhead::solver {

struct CoverageOptions {
    double grid = 0;  ///< m, the side of a cell; 0: a twentieth of the smallest throw in the zone
    int threads = 0;  ///< 0: as many as the machine has
};

/// Why a zone has no figures.
enum class Uncovered {
    covered,         ///< it has
    no_run,          ///< no run opens its valve
    unsolved,        ///< the run that opens it has no solution
    no_heads,        ///< no head of it can be counted
    few_heads,       ///< no areas, and fewer than three heads with coordinates
    in_line,         ///< no areas, and its heads stand in a line
    bad_outline,     ///< the outline of an area crosses itself or encloses nothing
    too_many_cells,  ///< the grid asked for is too fine for the ground
    too_wide_cells,  ///< the grid asked for is too coarse for the smallest throw
};

/// A head whose water is not counted, since it would have to be guessed where it lands.
struct LeftOut {
    enum class Why {
        no_coordinates,
        no_radius,  ///< its nozzle gives none, or 0
        no_arc,     ///< "?"
        no_facing,  ///< an arc under 360 degrees without facing
        no_shape,   ///< its nozzle's shape drops all water in one point
    };
    Index head = model::none;
    Why why = Why::no_radius;
};

/// A head whose water is counted.
struct HeadCoverage {
    Index head = model::none;
    double pressure = 0;          ///< Pa, at the nozzle
    Throw thrown;                 ///< flow and throw at that pressure
    Index nearest = model::none;  ///< the nearest other head of the zone; none: nowhere else is one
    double distance = std::numeric_limits<double>::quiet_NaN();            ///< m, to it
    double spacing() const { return distance / thrown.numbers().radius; }  ///< 1: head to head
};

struct DryPlace {
    double x = 0, y = 0;  ///< m, the middle of a cell
    double depth = 0;     ///< as a share of the zone's mean
};

struct ZoneCoverage {
    Index valve = model::none;
    Index run = model::none;  ///< the first that opens the valve
    Uncovered why_none = Uncovered::no_run;
    std::vector<Index> areas;  ///< of the case, that make the ground; empty: the hull of its heads
    Ground ground;
    double area = unknown;          ///< m2
    double flow = unknown;          ///< m3/s, of all heads of the zone
    double rate = unknown;          ///< m/s
    double rate_formula = unknown;  ///< m/s
    double du_lq = unknown, cu = unknown;
    double lost = unknown;        ///< share of what the counted heads throw
    double side = unknown;        ///< m, of a cell
    std::size_t cells = 0;        ///< with ground in them
    bool coarse = false;          ///< a twentieth of the smallest throw would have been too many cells
    double below_half = unknown;  ///< share of the ground that gets less than half the mean
    /// The same if every head had its nozzle's design pressure (where a nozzle gives none: the mean pressure
    /// of the zone's heads): what is left is the spacing's doing, the difference is the pressures'.
    double uniform_du_lq = unknown, uniform_cu = unknown;
    bool all_have_design = true;
    std::vector<HeadCoverage> heads;  ///< counted, in the order of the zone
    std::vector<LeftOut> left_out;
    std::vector<Index> dry;               ///< heads counted that get no water in the run
    std::vector<DryPlace> driest;         ///< up to three, no two closer than half of the smallest throw
    std::size_t wettest = 0, lowest = 0;  ///< in heads: the highest and lowest rate of its own
    double matched_difference() const;    ///< highest over lowest own rate, less 1

    bool covered() const { return why_none == Uncovered::covered; }
    /// m/s at a place, from all heads counted.
    double rate_at(double x, double y) const;

    static constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
};

/// Balances what has to be balanced. Throws std::invalid_argument where unknown_values(system) is not empty.
/// The same on any number of threads.
std::vector<ZoneCoverage> cover(const model::System& system, const model::Layout& layout,
                                const CoverageOptions& options = {});

}  // namespace evenhead::solver
