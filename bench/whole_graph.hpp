// A network with every swing joint an element of its own, between the lateral and its nozzle: the graph as it
// is drawn, which a program without the closed form of joint and nozzle together has to solve.
#pragma once

#include "model/system.hpp"
#include "solver/network/network.hpp"

namespace evenhead::bench {

/// The same supplies, pipes, devices, valves and heads in the same order; joints stand behind the devices.
solver::Network whole_graph(const model::System& system, const solver::Network& network);

}  // namespace evenhead::bench
