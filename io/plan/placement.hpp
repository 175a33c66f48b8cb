// Where each point of a system goes on the plan, before anybody knows how large the drawing is.
#pragma once

#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"

namespace evenhead::io {

using model::Index;

/// x to the right (east), y up (north). To scale: metres; else steps of a schematic.
struct Spot {
    double x = 0, y = 0;
    bool operator==(const Spot&) const = default;
};

struct Placement {
    bool to_scale = false;
    std::vector<Spot> points;              ///< by point
    std::vector<std::vector<Spot>> bends;  ///< by pipe, on the way from `from` to `to`, the ends left out
    std::vector<Index> along_pipe;         ///< to scale: points without coordinates, placed by pipe length
};

/// To scale where at least half of the points have coordinates that are not all one place; else a schematic.
Placement place(const model::System& system);
bool has_coordinates(const model::System& system);

/// The two ways, each in a file of its own (to_scale.cpp, schematic.cpp).
Placement place_to_scale(const model::System& system);
/// `shape`: width over height that the page would like.
Placement place_schematic(const model::System& system, double shape);

}  // namespace evenhead::io
