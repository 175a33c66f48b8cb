// A system with something changed, ready to balance its runs; one for each thread.
#pragma once

#include <algorithm>
#include <optional>
#include <vector>

#include "solver/balance/balance.hpp"

namespace evenhead::solver {

/// The layout may be that of the unchanged system: it is about how things are joined. Both must outlive it.
class Trial {
  public:
    Trial(const model::System& system, const model::Layout& layout)
        : system_(system),
          network_(build_network(system, layout)),
          prepared_(prepare(network_)),
          balancer_(std::in_place, system_, network_, prepared_) {
        for (int supply = 0; supply < network_.first_pipe; ++supply)
            supply_heights_.push_back(network_.elements[static_cast<std::size_t>(supply)].fixed_height);
    }
    Trial(const Trial&) = delete;
    Trial& operator=(const Trial&) = delete;

    /// The next call overwrites it.
    const RunResult& balance(Index run) {
        balancer_->balance(run, system_.runs[static_cast<std::size_t>(run)].valves, result_);
        return result_;
    }

    /// From now on every supply that has pressure of its own has so much more at any flow (Pa) than the
    /// system says: its static and residual pressures move together, so that only the height moves at which
    /// it stands.
    void move_supplies(double change) {
        for (std::size_t supply = 0; supply < supply_heights_.size(); ++supply) {
            const bool open_water = !(system_.supplies[supply].static_pressure.value > 0);
            network_.elements[supply].fixed_height =
                supply_heights_[supply] + (open_water ? 0 : change * network_.metres_per_pascal);
        }
        balancer_.reset();
        prepared_.parameters = set_parameters(network_, prepared_.structure);
        balancer_.emplace(system_, network_, prepared_);
    }

  private:
    const model::System& system_;
    Network network_;
    Prepared prepared_;
    std::optional<Balancer> balancer_;
    std::vector<double> supply_heights_;
    RunResult result_;
};

/// The heads that should water in a run: of the open valves' zones, and those past no valve.
inline std::vector<Index> heads_of_run(const model::System& system, const model::Layout& layout, Index run) {
    std::vector<Index> heads = layout.heads_on_mainline;
    for (const Index valve : system.runs[static_cast<std::size_t>(run)].valves) {
        const auto& zone = layout.zone_heads[static_cast<std::size_t>(valve)];
        heads.insert(heads.end(), zone.begin(), zone.end());
    }
    std::sort(heads.begin(), heads.end());
    heads.erase(std::unique(heads.begin(), heads.end()), heads.end());
    return heads;
}

}  // namespace evenhead::solver
