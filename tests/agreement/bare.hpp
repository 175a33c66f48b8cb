// A run as bare equations, straight from the case and the specification: what joins what, which law, and how
// far an answer is from obeying it. Shares with the solver the tables of the case and the answer only.
#pragma once

#include <string>
#include <vector>

#include "model/system.hpp"
#include "solver/balance/result.hpp"
#include "tests/agreement/laws.hpp"

namespace evenhead::agreement {

using model::Index;

inline constexpr int outside = -1;  ///< instead of a node: a supply's static height, or the air at a nozzle

enum class Kind { supply, pipe, device, valve, head };
const char* word(Kind kind);

struct Element {
    Kind kind = Kind::pipe;
    Index index = model::none;
    int tail = outside, head = outside;  ///< nodes; water runs from tail to head where its flow is above 0
    double outside_height = 0;           ///< m, of the end that is `outside`
    bool open = true, one_way = false;
    LossLaw law;       ///< of all but heads
    NozzleLaw nozzle;  ///< of heads ...
    double joint = 0;  ///< ... m/(m3/s)^2 between lateral and nozzle ...
    std::optional<double>
        set;                 ///< ... and the pressure (m) that the body holds; else: outlet height (m) held
    double design_flow = 0;  ///< m3/s, of heads: what it passes at its design pressure

    bool regulates() const { return kind != Kind::head && set; }
};

struct Bare {
    Water water;
    std::vector<double> elevation;  ///< by node, m
    std::vector<Element> elements;
    std::vector<char> reached;  ///< by node: an open way leads there from a supply

    bool active(const Element& element) const;
};

/// Devices and valves have an inlet node and an outlet node.
Bare make_bare(const model::System& system, const std::vector<Index>& open_valves);

/// An answer in the numbers of Bare: heights (m) by node, NaN where not reached, and flows by element.
struct Answer {
    std::vector<double> height, flow;
};
Answer answer_of(const Bare& bare, const model::System& system, const solver::RunResult& result);

/// What obeys no law, in words; empty where all is within `pressure` (Pa) for laws and within the
/// specification's closure for flows.
std::string broken_law(const Bare& bare, const Answer& answer, double pressure);

}  // namespace evenhead::agreement
