// The laws of the specification once more, written for the tests straight from the text and sharing nothing
// with the solver: q in m3/s, losses in m of water.
#pragma once

#include <functional>
#include <optional>
#include <utility>
#include <vector>

#include "model/system.hpp"

namespace evenhead::agreement {

/// Water as the case's temperature makes it. The properties are checked elsewhere against published tables.
struct Water {
    double density, density_60f, kinematic_viscosity;  ///< kg/m3 (also at 60 degF, for cv and kv), m2/s
    double metres(double pascals) const { return pascals / (density * 9.80665); }
    double pascals(double metres) const { return metres * density * 9.80665; }
};

/// A value and its derivative.
struct Value {
    double value, slope;
};
/// Loss over flow for q >= 0 (odd beyond), without what the curve jumps at q = 0.
using Curve = std::function<Value(double)>;

/// Through (x, y), x rising: the monotone piecewise cubic with the slopes of Fritsch & Butland (1984).
Curve monotone_cubic(const std::vector<std::pair<double, double>>& rows);

struct LossLaw {
    Curve above;         ///< loss less `opening` at q >= 0
    double opening = 0;  ///< m: nothing passes below this loss
};

LossLaw pipe_law(const model::Pipe& pipe, model::FrictionLaw friction, const Water& water);
LossLaw loss_law(const model::Loss& loss, const Water& water);
/// -rise, at q >= 0.
Curve pump_law(const std::vector<model::ChartRow>& rise, const Water& water);
/// What is lost from the static pressure.
Curve supply_law(const model::Supply& supply, const Water& water);

/// What a nozzle passes at a gauge pressure (m) at it.
struct NozzleLaw {
    std::vector<std::pair<double, double>> rows;  ///< m, m3/s
    double exponent = 0.5;                        ///< of one row
    bool constant() const { return rows.size() == 1 && exponent == 0; }
    double flow(double pressure) const;  ///< of a constant draw: at any pressure above 0
    /// The least and the most pressure (m) at which q > 0 passes, and the slope of the one over q.
    struct Pressures {
        double least, most, slope;
    };
    Pressures pressures(double q) const;
};

}  // namespace evenhead::agreement
