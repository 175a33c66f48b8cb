// The system as the solver sees it: positions and SI numbers, one element for each thing that takes pressure.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"
#include "solver/balance/result.hpp"
#include "solver/laws/law.hpp"
#include "solver/laws/nozzle.hpp"

namespace evenhead::solver {

/// A fixed height instead of a node: a supply's static pressure, the air outside a nozzle, a held outlet.
inline constexpr int fixed = -1;

struct Element {
    ElementRef ref;
    int tail = fixed, head = fixed;  ///< nodes; flow is positive from tail to head
    double fixed_height = 0;         ///< m, of the end that is `fixed`
    const Law* law = nullptr;
    double held_height =
        infinity;  ///< regulating valve or device: outlet held at this height (m), else infinite
    bool one_way = false;
    bool closed = false;  ///< by the case; valves open and close by run

    bool regulates() const { return held_height < infinity; }
};

/// Built once for a system; every run uses the same. Elements stand in the order supplies, pipes, devices,
/// valves, heads.
struct Network {
    double metres_per_pascal = 0;
    std::vector<double> node_elevation;        ///< m
    std::vector<int> inlet_node, outlet_node;  ///< by point; the same node except for devices and valves
    std::vector<Index> point_of_node;
    std::vector<Element> elements;
    struct Ends {
        int tail, head;
    };
    std::vector<Ends> ends;  ///< the nodes of each element once more, close together
    /// By element: its law where it is r |q|^0.852 q + m |q| q (r = 0: an orifice or square law) and
    /// regulates nothing, else not a number.
    std::vector<double> power_r, power_m;
    std::vector<char> plain;                       ///< by element: such a law between two nodes, either way
    std::vector<char> closed;                      ///< by element: by the case
    std::vector<std::unique_ptr<const Law>> laws;  ///< elements of the same numbers share theirs
    std::vector<const HeadLaw*> head_laws;         ///< by head
    std::vector<double> nominal_flow;  ///< by head, m3/s: at design pressure, the start of the iteration
    int first_pipe = 0, first_device = 0, first_valve = 0, first_head = 0;  ///< supplies start at 0

    std::vector<int> link_start, links;  ///< elements at each node, in order (CSR)
};

/// What has to be known before anything can be balanced and is "?" in the case; empty: all is known.
std::vector<model::Issue> unknown_values(const model::System& system);

/// Throws std::invalid_argument where unknown_values is not empty.
Network build_network(const model::System& system, const model::Layout& layout);

}  // namespace evenhead::solver
