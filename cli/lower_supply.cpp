#include "cli/lower_supply.hpp"

#include "io/write/check_answer.hpp"

namespace evenhead::cli {
namespace {

// A supply falls by about this much from one season to the other: common practice.
constexpr double lower_psi = -10 * 6894.757293168361;  // Pa
constexpr double lower_kpa = -70e3;                    // Pa

}  // namespace

std::optional<io::LowerSupply> at_lower_supply(const model::System& system, const model::Layout& layout,
                                               const solver::CheckOptions& options) {
    io::LowerSupply lower;
    lower.change = system.units == model::UnitSystem::us ? lower_psi : lower_kpa;
    model::System changed = solver::with_supply_changed(system, lower.change);
    bool any = false;
    for (std::size_t i = 0; i < system.supplies.size(); ++i) {
        const bool open_water = system.supplies[i].static_pressure.value <= 0;
        if (open_water) changed.supplies[i] = system.supplies[i];
        any = any || !open_water;
    }
    if (!any) return std::nullopt;
    lower.summary = solver::check_runs(
        changed, layout, options, [&](const solver::RunResult& result, const solver::RunFindings& findings) {
            ++lower.runs;
            if (result.failure)
                ++lower.unsolved;
            else if (io::has_failing(findings.findings))
                ++lower.outside;
        });
    return lower;
}

}  // namespace evenhead::cli
