// What the files of the schematic share.
//
// A system is taken apart into branches. A branch hangs on a point (its anchor) and is either a line of
// points, going straight on along what is heaviest, or a looped part with all its points. Every point of a
// branch may have branches of its own. Each branch is laid in a frame of its own: anchor at (0, 0), forward
// along +y, all that belongs to it at y > 0; so that whole branches can be turned and set side by side as
// boxes.
#pragma once

#include <limits>
#include <optional>
#include <vector>

#include "io/plan/placement.hpp"
#include "model/position.hpp"

namespace evenhead::io::schematic {

inline constexpr double no_limit = std::numeric_limits<double>::infinity();
inline constexpr double step = 1, gap = 1, turn_room = 0.5;

/// How far a branch reaches from its anchor, in its own frame.
struct Extent {
    double left = 0, right = 0, depth = 0;
};

/// A branch set at a place of its parent's frame, turned by quarters counterclockwise.
struct Hung {
    int branch = -1;
    Spot place;
    int turn = 0;
    std::optional<Spot> via;  ///< on the way there from the anchor
};

/// A pipe that is not simply straight between its points: bends on the way from `start`. Every pipe that
/// leaves the anchor is one.
struct Way {
    Index pipe = model::none, start = model::none;
    std::vector<Spot> bends;
};

struct Branch {
    Index anchor = model::none;     ///< none: a branch of its own, from a supply
    Index pipe = model::none;       ///< of a line: from the anchor to its first point
    std::vector<Index> line;        ///< its points in order; the first alone until lines are drawn through
    std::vector<Index> line_pipes;  ///< the pipe before each
    std::vector<Index> ring;        ///< or the pipes of a looped part
    int ahead = -1;                 ///< a looped part that goes on at the end of the line
    bool absorbed = false;          ///< goes on in the line of the branch it hangs on
    double weight = 0, valves = 0;

    // As laid, in its own frame.
    Extent extent;
    std::vector<std::pair<Index, Spot>> points;
    std::vector<Way> ways;
    std::vector<Hung> hung;
};

/// How long a line may be before it turns back beside itself.
struct Limits {
    double outermost = no_limit, inner = no_limit;
};

struct Branches {
    std::vector<Branch> all;                 ///< each before those that hang on it
    std::vector<std::vector<int>> of_point;  ///< branches that hang on a point, heaviest not first
    std::vector<int> roots;                  ///< those that hang on nothing
};

/// Takes the system apart (branches.cpp).
Branches take_apart(const model::System& system);

// ---- lines (line.cpp)
// ---------------------------------------------------------------------------------------

/// A point on a line with what hangs on it. `point` none: only a place to hang things on.
struct Item {
    Index point = model::none, pipe = model::none;  ///< pipe: from the item before
    std::vector<int> hung;                          ///< branches
};

enum class Prefer : char { none, left, right };

/// A line in rows that run forward and back in turn.
struct Rows {
    struct Place {
        std::size_t item;
        double along;
    };
    struct Side {
        int branch;
        double along;
        bool left;
    };
    struct Row {
        std::vector<Place> places;
        std::vector<Side> sides;
        double end = 0, left = 0, right = 0;  ///< end: along; how far it reaches to either side
    };
    std::vector<Row> rows;
};

/// Sets items along rows no longer than `limit` (where single branches allow it), each as near to the one
/// before as what hangs on them allows. `start`: of the first item.
Rows set_along(const std::vector<Branch>& branches, const std::vector<Item>& items, double limit,
               double start, Prefer prefer);

/// Where rows lie in a frame: x of each, and the height that all need.
struct RowFrame {
    std::vector<double> x;
    double height = 0;
    static bool forward(std::size_t row) { return row % 2 == 0; }
    Spot spot(std::size_t row, double along) const {
        return {x[row], forward(row) ? along : height + gap - along};
    }
    /// The two bends between a row and the next.
    std::vector<Spot> turn(std::size_t row) const {
        const double y = forward(row) ? height + gap : turn_room;
        return {{x[row], y}, {x[row + 1], y}};
    }
};
RowFrame frame_of(const Rows& rows, Extent& extent);

/// Lays a branch that is a line; what hangs on it is laid already.
void lay_line(Branches& branches, int branch, double limit);

// ---- looped parts (ring.cpp)
// --------------------------------------------------------------------------------

/// Lays a branch that is a looped part; what hangs on it is laid already.
void lay_ring(const model::System& system, Branches& branches, int branch, double limit);

}  // namespace evenhead::io::schematic
