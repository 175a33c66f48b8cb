// What generated systems are put together from, one row at a time.
#pragma once

#include <vector>

#include "tests/generator/generator.hpp"
#include "tests/generator/random.hpp"

namespace evenhead::tests {

using model::Index;

inline constexpr double psi = 6894.757293168361, gpm = 6.30901964e-5, foot = 0.3048, inch = 0.0254;

model::ChartRow row(double at, double value);

template <class Row>
Row& at(std::vector<Row>& rows, Index index) {
    return rows[static_cast<std::size_t>(index)];
}
template <class Row>
const Row& at(const std::vector<Row>& rows, Index index) {
    return rows[static_cast<std::size_t>(index)];
}

/// Extremes that a hostile system is made to have, drawn from a stream of their own: ordinary systems do not
/// depend on them.
struct Traits {
    explicit Traits(std::uint64_t seed, bool hostile);

    Random random;
    bool far_flows = false, far_lengths = false, far_bores = false, exponent_zero = false,
         exponent_small = false, even = false, sky_heads = false, ample = false;
    bool series = false, second_supply = false, equal_supply = false, booster = false, own_valves = false,
         lossless = false;
    enum class Still { none, no_run, weak_supply, closed, sky } still = Still::none;
};

class Parts {
  public:
    Parts(std::uint64_t seed, const GeneratorOptions& options);

    model::System& system() { return out.system; }
    Index pick(const std::vector<Index>& from);

    Index point(model::PointKind kind = model::PointKind::plain, Index row = model::none);
    Index pipe(Index from, Index to, double typical_bore);
    Index device(model::DeviceType type);
    model::Device& last_device() { return out.system.devices.back(); }
    Index supply(double pressure, double flow);
    Index head(double zone_bore, Index from);
    Index valve(double flow);
    Index pump(double flow);
    void as_pump(double flow);  ///< what the last device is
    /// Set between `low` and `high` (psi), with a loss of its own in half of the cases.
    Index regulator(double low, double high, double flow);
    void as_regulator(double low, double high, double flow);  ///< what the last device is
    /// A one-way element that opens only above a loss.
    Index spring(double flow);
    void nozzles();

    Random random;
    GeneratorOptions options;
    Traits traits;
    Generated out;
    double hills = 8;  ///< m, spread of elevations to either side

    model::Loss loss(double flow_scale);

  private:
    double length();
    double bore(double typical);
};

}  // namespace evenhead::tests
