// A sprinkler system as drawn or as found in the ground: points, pipes, valves, heads, nozzles, runs, limits.
// Names and units of the case are resolved: every cross reference is a position in a table below, every number SI.
#pragma once

#include <array>
#include <cstddef>
#include <map>
#include <string>
#include <vector>

#include "model/quantity.hpp"

namespace evenhead::model {

/// Position of a row in a table of System; `none` where a row refers to nothing.
using Index = int;
inline constexpr Index none = -1;

/// Where a row stands: file (position in System::files), line and column from 1; in a CSV file `column` is the field.
struct Place {
    int file = 0;
    int line = 0;
    int column = 0;
};

// ---- losses ---------------------------------------------------------------------------------------------------

/// How a valve, a device or a swing joint takes pressure.
enum class LossKind {
    lossless,  ///< nothing is lost
    cv,        ///< coefficient = US gpm of 60 degF water at 1 psi
    kv,        ///< coefficient = m3/h of 60 degF water at 1 bar
    k,         ///< coefficient x V^2/2g in `bore`
    chart,     ///< rows of flow and loss
};

/// One row of a chart: `at` is the flow (nozzles: the pressure), `value` the loss, rise, residual or flow.
struct ChartRow {
    Quantity at;
    Quantity value;
};

struct Loss {
    LossKind kind = LossKind::lossless;
    Quantity coefficient;         ///< cv, kv or k
    Quantity bore;                ///< m, with k
    std::vector<ChartRow> chart;  ///< flow m3/s rising, loss Pa
    bool generic = false;         ///< taken from the generic table by `size` (an assumption)
};

// ---- points ---------------------------------------------------------------------------------------------------

enum class PointKind { plain, supply, device, valve, head };

/// A place that water passes. Points without a row of their own (tees, dead ends) are here too, in order of first mention.
struct Point {
    std::string id;
    PointKind kind = PointKind::plain;
    Index row = none;              ///< in supplies, devices, valves or heads; none for plain
    OptionalQuantity elevation;    ///< m, as given on the row (or through a pipe's `uphill`)
    OptionalQuantity x, y;         ///< m, east and north
    Seldom<std::string> note;
    Place place;                   ///< its row, or the first pipe that names it
};

struct Supply {
    Index point = none;
    Quantity static_pressure;        ///< Pa, at no flow
    std::vector<ChartRow> tests;     ///< flow m3/s rising -> residual Pa; empty: the pressure holds at any flow
};

enum class DeviceType {
    meter, backflow, filter, regulator, check, gate, pump, master, flow_sensor, quick_coupler, other
};

struct Device {
    Index point = none;
    DeviceType type = DeviceType::other;
    Loss loss;                       ///< not used by pumps
    std::vector<ChartRow> rise;      ///< pumps: flow m3/s rising -> rise Pa
    OptionalQuantity set;            ///< Pa gauge held at the outlet
    bool one_way = false;
    bool closed = false;
    OptionalQuantity safe_flow;      ///< m3/s
    std::string size;                ///< as written, where given
};

/// A zone control valve. A head's own valve is one too: its point is then the head's point.
struct Valve {
    Index point = none;
    Index head = none;               ///< the head whose own valve this is
    Loss loss;
    OptionalQuantity set;            ///< Pa gauge held at the outlet
    std::string size;
    OptionalQuantity stated_flow, stated_pressure;
    Place place;
};

struct Nozzle {
    std::string id;
    std::vector<ChartRow> rows;      ///< pressure Pa rising -> flow m3/s never falling, at least one
    double exponent = 0.5;           ///< used with one row only
    std::vector<Quantity> radius;    ///< m, empty or one for each row
    OptionalQuantity min, design, max;             ///< Pa
    std::vector<std::array<double, 2>> shape;      ///< fraction of radius, relative rate
    Place place;
};

/// What swing joint and body take between lateral and nozzle: a loss without a chart. Long tables are mostly heads.
struct Joint {
    LossKind kind = LossKind::lossless;   ///< or cv, kv
    Quantity coefficient;
    operator Loss() const { return {kind, coefficient, {}, {}, false}; }
};

struct Head {
    Index point = none;
    Index nozzle = none;             ///< none where the case says "?"
    Index valve = none;              ///< its own valve, where it has one
    Joint joint;
    Seldom<Quantity> set;            ///< Pa: the body holds the nozzle to this
    OptionalQuantity arc, facing;    ///< degrees
    Seldom<Quantity> at_least;       ///< Pa wanted, instead of the nozzle's min
    Seldom<Quantity> stated_flow, stated_pressure;
};

// ---- pipes ----------------------------------------------------------------------------------------------------

enum class Material { unknown, pvc, polyethylene, copper, steel };

/// A size "kind nominal" resolved against the catalogue or the case's own kinds.
struct PipeSize {
    std::string kind;                ///< empty for a bare bore
    std::string nominal;             ///< as written, e.g. 1-1/4
    bool given_unknown = false;      ///< the case says "?" for the size (kind may be known)
    Material material = Material::unknown;
    Quantity bore;                   ///< m
    double wall = std::numeric_limits<double>::quiet_NaN();      ///< m; NaN: not known
    double outside = std::numeric_limits<double>::quiet_NaN();   ///< m; NaN: not known
    Quantity c;                      ///< Hazen-Williams C
    Quantity roughness;              ///< m
    OptionalQuantity rating;         ///< Pa at 73.4 degF
    double modulus = std::numeric_limits<double>::quiet_NaN();   ///< Pa; NaN: not known
};

struct Pipe {
    Seldom<std::string> own_id;      ///< absent: the pipe is called from-to, see System::pipe_id
    Index from = none, to = none;    ///< points
    Quantity length;                 ///< m
    Shared<PipeSize> size;
    Quantity k{0, 0};                ///< sum of minor loss coefficients on this bore
    double fittings = 0;             ///< more length, as a share
    bool closed = false;
    Seldom<std::vector<std::array<double, 2>>> bends;   ///< m, x and y on the way from `from` to `to`
    Index lateral = none;            ///< the lateral row that made it
    Place place;
};

/// A `laterals` row, kept for messages and pictures: its heads and pipes are in the other tables.
struct Lateral {
    std::string id;
    Index from = none;
    std::vector<Index> heads, pipes;
    Place place;
};

// ---- what runs, what is asked ---------------------------------------------------------------------------------

struct Run {
    std::string id;
    std::vector<Index> valves;       ///< open at once
    bool given = false;              ///< a row of the case, not the default
    Place place;
};

/// What the case says about one rule. `value` is SI (velocity m/s, pressure Pa, shares 1 = whole).
struct Limit {
    bool off = false;
    bool fail = false;               ///< data-range = "fail"
    OptionalQuantity value;
    enum class Base { usual, design, mean } base = Base::usual;   ///< what a share is of, or an amount is added to
    std::array<OptionalQuantity, 5> by_material;     ///< velocity in pipe of this Material, instead of `value`
    std::string source;              ///< of the rule set that it comes from; empty: the case's own key
};

/// How a condition changes one input: by an amount, by a factor, or to a value.
struct Change {
    enum class How { add, times, to } how = How::add;
    double value = 0;                ///< SI (add, to); factor (times)
};

struct Condition {
    std::string id;
    std::optional<Change> supply, nozzle, c;
    std::optional<double> temperature;              ///< degC
    std::vector<Index> closed_devices, closed_pipes;
    std::vector<Index> pumps_off;                   ///< devices
    std::map<std::string, double> c_by_kind;
    Place place;
};

enum class Gauge { pitot, riser };
enum class Side { inlet, outlet };

struct Reading {
    Index run = none;                ///< none with `all_shut`
    bool all_shut = false;           ///< run = "none"
    Index point = none;
    OptionalQuantity pressure, flow;                ///< one of them
    Gauge gauge = Gauge::pitot;
    Side side = Side::outlet;
    Place place;
};

struct Seen {
    std::string what;                ///< wet head-count nozzle handle dry no-fault
    Index point = none, pipe = none, valve = none;  ///< at: whichever it names
    std::string value;               ///< as written, where given
    Place place;
};

struct Area {
    std::string id;
    Index valve = none;
    std::vector<std::array<double, 2>> outline;     ///< m
    Place place;
};

struct Price {
    std::string size;                ///< "kind size"
    Quantity price;                  ///< per m
    Place place;
};

/// One row of the case's own `kinds`.
struct CustomSize {
    PipeSize size;
    Place place;
};

enum class FrictionLaw { hazen_williams, darcy_weisbach };
enum class UnitSystem { us, metric };

/// A value the case left out and the product filled in. `words` where it is not a number.
struct Assumption {
    std::string subject;
    std::string what;
    double number = std::numeric_limits<double>::quiet_NaN();   ///< SI
    Dimension dimension = Dimension::none;
    std::string words;
    std::string why;
};

struct System {
    std::string title, job, date;
    UnitSystem units = UnitSystem::us;              ///< of the case: io prints in them
    std::vector<std::string> show;                  ///< unit words for text and reports
    FrictionLaw friction = FrictionLaw::hazen_williams;
    double temperature = 15.555555555555555;        ///< degC
    OptionalQuantity ground;                        ///< m
    std::optional<std::array<double, 2>> origin;    ///< longitude, latitude of x = y = 0

    std::vector<std::string> files;                 ///< as named on the command line or in the case
    std::vector<Point> points;
    std::vector<Supply> supplies;
    std::vector<Device> devices;
    std::vector<Valve> valves;
    std::vector<Nozzle> nozzles;
    std::vector<Head> heads;
    std::vector<Pipe> pipes;
    std::vector<Lateral> laterals;
    std::vector<CustomSize> kinds;
    std::vector<Run> runs;                          ///< never empty: defaults are filled in by io
    std::map<std::string, Limit> limits;            ///< by rule id
    std::string rule_set, rule_set_about;           ///< limits.use, and what the set says of itself
    std::vector<Condition> conditions;
    std::vector<Reading> readings;
    std::vector<Seen> seen;
    std::vector<Area> areas;
    std::vector<Price> prices;
    std::vector<Assumption> assumptions;            ///< made while reading; the graph adds its own

    const std::string& point_id(Index point) const { return points[static_cast<std::size_t>(point)].id; }
    std::string pipe_id(const Pipe& pipe) const {
        return pipe.own_id ? *pipe.own_id : point_id(pipe.from) + "-" + point_id(pipe.to);
    }
    std::string pipe_id(Index pipe) const { return pipe_id(pipes[static_cast<std::size_t>(pipe)]); }
};

/// Something wrong (or suspicious) about a case. `row` is the row's id or text, `mend` what would be right.
struct Issue {
    Place place;
    std::string row;
    std::string text;
    std::string mend;
};

}  // namespace evenhead::model
