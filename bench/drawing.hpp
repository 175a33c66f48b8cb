// Draws systems for the benchmarks row by row, straight into a model::System: what a reader would make of
// tables.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "model/graph.hpp"
#include "model/position.hpp"
#include "model/system.hpp"
#include "tests/generator/random.hpp"

namespace evenhead::bench {

using model::Index;
using tests::Random;

inline constexpr double psi = 6894.757293168361, gpm = 6.30901964e-5, foot = 0.3048;  // Pa, m3/s, m

/// A number that is known exactly.
inline model::Quantity exactly(double value) {
    return {value, 0};
}
model::ChartRow row(double at, double value);  ///< both SI

class Drawing {
  public:
    /// Nozzles are invented, in the sizes of a family of arcs; `scale` multiplies their flows (1: 0.8 to 3.2
    /// gpm).
    Drawing(std::string title, double scale);

    Index tee();
    Index supply(double static_pressure, double test_flow,
                 double residual);                                  ///< psi, gpm, psi; test_flow 0: none
    model::Device& device(model::DeviceType type, const char* id);  ///< its point is in it
    Index valve(double cv);
    /// Of any nozzle; elevation in feet above the ground. Returns its point.
    Index head(std::string id, double joint_cv, double elevation, Random& random);
    void own_valve(Index head_point, double cv);
    void pipe(Index from, Index to, double feet, const model::PipeSize& size);

    /// The zone of a valve: so many heads on branching laterals, pipes sized for 5 ft/s at design flow.
    void zone(Index valve, int heads, Random& random);
    double design_flow(Index head) const;  ///< m3/s

    model::System system;

  private:
    Index point(std::string id, model::PointKind kind, Index row);
    int tees_ = 0;
    std::map<const model::PipeSize*, decltype(model::Pipe::size)> sizes_;  // by row of the catalogue
};

/// Class 200 PVC of a nominal size, and the smallest that carries a flow (m3/s) at 5 ft/s or less.
const model::PipeSize& pipe_size(const char* nominal);
const model::PipeSize& pipe_size_for(double flow);

/// What a looped main is to be like.
struct MainPlan {
    int loops = 0;           ///< independent ones
    int tees = 0;            ///< besides the junctions
    double spacing = 100;    ///< feet between tees
    const char* size = "6";  ///< nominal
};
struct Main {
    std::vector<Index> junctions;  ///< points, row by row of a grid
    int columns = 0;               ///< junctions in a row; the last row may be shorter
    std::vector<Index> tees;       ///< points, in drawing order
};
/// A grid of pipes with exactly so many independent loops, tees spread evenly. A junction for which `large`
/// says so has 8 in pipe around it.
Main draw_main(Drawing& drawing, const MainPlan& plan, Random& random,
               bool (*large)(int row, int column) = nullptr);

}  // namespace evenhead::bench
