// Water that stands in the pipes: what runs out of the lowest heads when a valve shuts, and what has to come
// out before it freezes.
#pragma once

#include <limits>
#include <vector>

#include "model/graph.hpp"

namespace evenhead::solver {

using model::Index;

/// A part of a zone that drains through its lowest heads.
struct DrainingPart {
    Index valve = model::none;
    std::vector<Index> heads;  ///< those it drains through: the lowest of the part
    double level = 0;          ///< m, height down to which the water goes
    double column = 0;         ///< m of water above it, which a check valve in the head would have to hold
    double volume = 0;         ///< m3 that runs out
    bool held = false;  ///< its water goes out through a one-way device, whose loss at no flow holds it
};

struct Drainage {
    std::vector<DrainingPart> parts;   ///< what loses any water, by valve
    std::vector<Index> unknown;        ///< pipes of zones whose bore or length is not known
    std::vector<Index> without_drain;  ///< valves whose zones lose nothing
};

/// By the elevations of `layout` and the bores of the pipes.
Drainage drainage(const model::System& system, const model::Layout& layout);

/// The mainline or a zone, to be emptied before frost.
struct WinterPart {
    Index valve = model::none;  ///< whose zone; none: the mainline
    double length = 0;          ///< m of pipe
    double volume = 0;          ///< m3
    std::size_t unknown = 0;    ///< pipes whose bore or length is not known: not in `volume`
    double highest = -std::numeric_limits<double>::infinity();  ///< m
    double farthest = 0;  ///< m along the pipes from the supply to the farthest of its points
    /// Where the ways down from all sides end: water stays there. Empty where the part is level.
    std::vector<Index> lowest;
    model::Material weakest = model::Material::unknown;  ///< polyethylene before PVC before the others
};

/// The zones in the order in which they are blown out, the highest first, of equally high ones the farthest;
/// then the mainline.
std::vector<WinterPart> winter_order(const model::System& system, const model::Layout& layout);

/// m3 in a pipe; NaN where bore or length is not known.
double volume_of(const model::Pipe& pipe);

}  // namespace evenhead::solver
