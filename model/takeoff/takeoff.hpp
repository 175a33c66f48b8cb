// The take-off of a system: what has to be bought and dug, counted from the graph alone, each count with the
// points and pipes that it comes from.
#pragma once

#include <array>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "model/graph.hpp"
#include "model/prices.hpp"
#include "model/system.hpp"
#include "model/takeoff/rules.hpp"

namespace evenhead::model {

/// A nominal size. Those of bare bores and of sizes that are not known have no name ("").
struct TakeoffSize {
    std::string nominal;
    bool metric = false;                                         ///< nominal is millimetres; else inches
    double diameter = std::numeric_limits<double>::quiet_NaN();  ///< m, outside where known, else the bore
};

/// A point or a pipe that a line counts, and how much of the line it makes.
struct TakeoffElement {
    bool pipe = false;
    Index index = none;
    double quantity = 1;  ///< as of the line
};

/// One kind of thing.
struct TakeoffLine {
    TakeoffItem item = TakeoffItem::pipe;
    std::string family;  ///< of fittings: "pvc", "pvc to pe"; pipe: its kind, "" for a bare bore
    std::vector<TakeoffSize> sizes;
    std::string of;                                            ///< nozzle's id, gauge of a wire
    double amount = std::numeric_limits<double>::quiet_NaN();  ///< trench: depth, m; head: pressure held, Pa
    double quantity = 0;                                       ///< number, or m along the ground
    double waste = 0;                                          ///< share on top of it
    double piece = 0;    ///< m: sold in lengths, coils or spools of this; 0: as it is
    bool coil = false;   ///< or spool
    double ordered = 0;  ///< pieces; without `piece` the quantity itself
    std::optional<UnitPrice> price;
    double cost = std::numeric_limits<double>::quiet_NaN();  ///< NaN: no price
    std::vector<TakeoffElement> elements;                    ///< in the order in which they were found

    bool by_length() const { return kind_of(item).by_length; }
    /// What is paid for: number, or m.
    double paid() const { return piece > 0 ? ordered * piece : ordered; }
};

/// Where the wires begin.
struct TakeoffController {
    enum class How { asked, in_case, supply, nowhere } how = How::nowhere;
    Index point = none;                          ///< none: a bare place
    std::optional<std::array<double, 2>> place;  ///< m
    Index joins = none;  ///< the point of the mainline from which the wires follow the trench
    double lead = 0;     ///< m from the controller to it, straight
};

/// True where wires begin at a plain point of this id: "controller", "controller-2" ...
bool names_a_controller(const std::string& id);

/// Pipe that lies in the trench of another.
struct SharedTrench {
    Index pipe = none, with = none;
    double length = 0;  ///< m
};

/// A wire from a controller to a valve, a master valve or a flow sensor.
struct TakeoffWire {
    Index point = none;
    bool sensor = false;   ///< a cable of its own, without a share in the common wire
    Index controller = 0;  ///< of Takeoff::controllers: the nearest along the mainline
    bool reached = false;  ///< a way along the mainline leads there
    double length = 0;     ///< m, with slack at both ends
    /// Points of the mainline from where the wires join it to `point`, and m along the way to each of them.
    /// Wires that pass a point have come to it the same way.
    std::vector<Index> way;
    std::vector<double> along;
};

/// Where wires are to begin: a point of the case, or a bare place.
struct TakeoffStart {
    Index point = none;
    std::optional<std::array<double, 2>> place;  ///< m, x and y
};

struct TakeoffOptions {
    std::vector<TakeoffStart> controllers;  ///< none: those of the case
};

struct Takeoff {
    std::vector<TakeoffLine> lines;  ///< in the order of the list
    std::size_t heads = 0, valves = 0;
    double pipe = 0;    ///< m, net
    double trench = 0;  ///< m
    double shared = 0;  ///< m of pipe that lies in the trench of another
    std::vector<SharedTrench> shared_trenches;
    std::vector<TakeoffController> controllers;  ///< none where nothing is wired
    std::vector<TakeoffWire> wires;  ///< valves and masters in the order of the case, then sensors
    std::string wire;                ///< what the wires are, by the longest of them: "18 AWG"
    double wire_slack = 0;           ///< m at either end of each
    std::vector<Index> unrouted;     ///< points of valves to which no mainline leads from there
    std::vector<Index> unknown_sizes, unknown_lengths;  ///< pipes
    std::vector<Index> unused_prices;  ///< rows of `prices` with an item and a size that no line has
    std::size_t pipes_without_place = 0, pipes_with_allowance = 0;  ///< no coordinates; `fittings` given
    double cost = 0;                                                ///< of all lines with a price
    std::size_t priced = 0, invented = 0;                           ///< lines
    std::vector<Assumption> assumptions;
};

/// Counts it all. A pure function of its arguments; throws std::logic_error only where `rules` has no row for
/// some pipe.
Takeoff take_off(const System& system, const Layout& layout, const TakeoffRules& rules = takeoff_rules(),
                 const TakeoffOptions& options = {});

}  // namespace evenhead::model
