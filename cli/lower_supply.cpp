#include "cli/lower_supply.hpp"

#include "io/write/check_answer.hpp"
#include "model/conditions.hpp"

namespace evenhead::cli {

std::optional<io::LowerSupply> at_lower_supply(const model::System& system, const model::Layout& layout,
                                               const solver::CheckOptions& options) {
    io::LowerSupply lower;
    if (!model::has_supply_pressure(system)) return std::nullopt;
    lower.change = model::usual_supply_drop(system);
    const model::System changed = model::under_condition(system, model::supply_change("", lower.change));
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
