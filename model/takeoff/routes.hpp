// Where pipes lie: how deep, under how much cover, and which lies over which where they cross.
#pragma once

#include <array>
#include <limits>
#include <vector>

#include "model/graph.hpp"
#include "model/takeoff/rules.hpp"

namespace evenhead::model {

/// One pipe in the ground. NaN: not known.
struct PipeRoute {
    Index pipe = none;
    double plan = std::numeric_limits<double>::quiet_NaN();   ///< m on the drawing, along its bends
    double depth = 0;                                         ///< m, of the trench that a pipe like it has
    double cover = std::numeric_limits<double>::quiet_NaN();  ///< m of ground above it: depth less outside
    bool outside_known = false;  ///< else the bore stands in for the outside diameter
};

/// Two pipes that cross in plan, away from any point that they have in common.
struct PipeCrossing {
    Index over = none, under = none;
    std::array<double, 2> place{};  ///< m
    /// Ground between the two, m: the upper side of the one beneath, less the bottom of the trench of the one
    /// above. Below 0 they would touch: one has to give way. NaN: a diameter is not known.
    double gap = std::numeric_limits<double>::quiet_NaN();
    bool touches = false;  ///< one ends on the other: a joint that nobody drew?
};

struct PipeRoutes {
    std::vector<PipeRoute> routes;        ///< by pipe
    std::vector<PipeCrossing> crossings;  ///< in the order of the pipes
};

/// Finds them all; pipes without coordinates of both ends cross nothing.
PipeRoutes pipe_routes(const System& system, const Layout& layout,
                       const TakeoffRules& rules = takeoff_rules());

}  // namespace evenhead::model
