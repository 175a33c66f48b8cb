#include "tests/fuzz/require.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <utility>

namespace evenhead::fuzz {
namespace {

bool finite(double number) {
    return std::isfinite(number);
}
bool known_or_nowhere(double number) {
    return !std::isinf(number);
}

}  // namespace

void require(bool kept, std::string_view promise, std::string_view more) {
    if (kept) return;
    std::fprintf(stderr, "not kept: %s %s\n", std::string(promise).c_str(), std::string(more).c_str());
    std::abort();
}

void require_sound(const model::System& system, const solver::RunResult& result) {
    if (result.failure) {
        const solver::Failure& why = *result.failure;
        constexpr std::array kinds = {"no-supply",     "several-states", "contradiction",
                                      "lossless-ring", "unknown-value",  "not-converged"};
        require(std::find(kinds.begin(), kinds.end(), why.kind) != kinds.end(), "a failure has a known kind",
                why.kind);
        require(!why.text.empty() && !why.cause.empty() && !why.remedy.empty(),
                "a failure has words, a cause and a remedy", why.kind);
        return;
    }
    require(result.closure.solved, "numbers close, or there is a reason");
    require(finite(result.closure.flow) && finite(result.closure.pressure), "the closure is a number");
    require(finite(result.flow), "the flow of a run is a number");
    using Numbers = std::pair<const char*, const std::vector<double>*>;
    for (const auto& [what, numbers] :
         {Numbers{"supply flow", &result.supply_flow}, Numbers{"supply pressure", &result.supply_pressure},
          Numbers{"head flow", &result.head_flow}, Numbers{"pipe flow", &result.pipe_flow},
          Numbers{"velocity", &result.pipe_velocity}, Numbers{"pipe loss", &result.pipe_loss},
          Numbers{"device flow", &result.device_flow}, Numbers{"valve flow", &result.valve_flow}})
        require(std::all_of(numbers->begin(), numbers->end(), finite), "flows and losses are numbers", what);
    for (const auto& [what, numbers] :
         {Numbers{"head pressure", &result.head_pressure}, Numbers{"radius", &result.head_radius},
          Numbers{"point pressure", &result.point_pressure}, Numbers{"device inlet", &result.device_inlet},
          Numbers{"device outlet", &result.device_outlet}, Numbers{"valve inlet", &result.valve_inlet},
          Numbers{"valve outlet", &result.valve_outlet}})
        require(std::all_of(numbers->begin(), numbers->end(), known_or_nowhere),
                "pressures are finite, or not known where no supply reaches", what);
    require(result.head_flow.size() == system.heads.size() && result.pipe_flow.size() == system.pipes.size(),
            "every row has an answer");
    for (std::size_t head = 0; head < system.heads.size(); ++head)
        require(result.head_flow[head] == 0 || finite(result.head_pressure[head]),
                "a head that runs has a pressure");
}

}  // namespace evenhead::fuzz
