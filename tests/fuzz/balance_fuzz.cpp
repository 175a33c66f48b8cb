// Bytes -> a system -> a balance of each run, judged -> closure by the laws alone, or a reason. With
// EVENHEAD_DESCRIBE in the environment the system is printed first.
#include <cstdio>
#include <cstdlib>
#include <string>

#include "solver/runs/runs.hpp"
#include "tests/agreement/bare.hpp"
#include "tests/fuzz/decode_system.hpp"
#include "tests/fuzz/require.hpp"
#include "tests/fuzz/target.hpp"

using namespace evenhead;

namespace {

constexpr double closure_pressure = 1e-6 * 6894.757293168361;  // Pa
constexpr int most_solves = 120;

bool regulates(const model::System& system, const solver::ElementRef& element) {
    const auto i = static_cast<std::size_t>(element.index);
    return (element.kind == solver::ElementKind::device && system.devices[i].set) ||
           (element.kind == solver::ElementKind::valve && system.valves[i].set);
}

/// What people may be told who ask for a balance of something that can be built: that regulators feed each
/// other, or that no head is reached; never that the iteration gave up.
void require_good_reason(const model::System& system, const solver::Failure& why) {
    if (why.kind == "several-states" || why.kind == "contradiction") {
        fuzz::require(!why.elements.empty(), "regulators that feed each other are named");
        for (const solver::ElementRef& element : why.elements)
            fuzz::require(regulates(system, element), "what is named are regulators");
        return;
    }
    fuzz::require(why.kind == "no-supply", "what can be built is balanced", why.kind + ": " + why.text);
}

void require_balance(const model::System& system, const solver::RunResult& result) {
    if (result.failure) return require_good_reason(system, *result.failure);
    const auto bare = agreement::make_bare(system, result.open);
    const std::string broken =
        agreement::broken_law(bare, agreement::answer_of(bare, system, result), closure_pressure);
    fuzz::require(broken.empty(), "every law is obeyed", broken);
    fuzz::require(result.closure.steps <= most_solves, "few linear solves",
                  std::to_string(result.closure.steps));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > 4096) return -1;
    const auto decoded = fuzz::decode_system({data, size});
    if (!decoded) return -1;
    const model::System& system = decoded->system;
    if (std::getenv("EVENHEAD_DESCRIBE")) std::fputs(fuzz::describe(system).c_str(), stderr);
    solver::CheckOptions options;
    options.threads = 1;
    solver::check_runs(system, decoded->layout, options,
                       [&](const solver::RunResult& result, const solver::RunFindings&) {
                           fuzz::require_sound(system, result);
                           if (decoded->buildable) require_balance(system, result);
                       });
    return 0;
}
