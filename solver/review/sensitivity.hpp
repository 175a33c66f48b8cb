// What the pressure at a head hangs on: its derivative to every input of the case, all from one solve beside
// the balance.
#pragma once

#include <string>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"
#include "solver/inputs/inputs.hpp"
#include "solver/network/network.hpp"
#include "solver/review/review.hpp"
#include "solver/review/tangents.hpp"

namespace evenhead::solver {

/// A number of the case, by the key that it is written under; `loss`, `rise` and the flow of a nozzle with
/// more than one row stand for their whole chart, by a factor on it.
enum class InputName {
    static_pressure,
    residual,
    bore,
    c,
    roughness,
    length,
    elevation,
    cv,
    kv,
    k,
    nozzle_flow,
    set,
    loss,
    rise
};

/// Whose number it is.
struct InputSubject {
    enum class Table { supply, pipe, device, valve, head, nozzle, point } table = Table::pipe;
    Index row = model::none;
    bool operator==(const InputSubject&) const = default;
};

struct Derivative {
    InputName input = InputName::bore;
    InputSubject subject;
    double value = 0;                                     ///< Pa per SI unit of the input, of a factor per 1
    model::Dimension dimension = model::Dimension::none;  ///< of the input
    bool factor = false;                                  ///< on a chart
    double now = 0;                                       ///< SI; of a factor 1
    double step =
        0;  ///< a natural step up, SI: 1 psi, 1 ft, 10 of C, a tenth of a coefficient, one size of pipe ...
    double gain = 0;  ///< Pa for that step: value x step; of a size of pipe by its law at the flow at hand
    std::string
        size;  ///< bore: the next larger size of its kind; empty: there is none, and the step is a tenth
};

/// The derivatives of one head's nozzle pressure at a balance.
class HeadDerivatives {
  public:
    /// `tangents` of a balance of this system. Empty where the head does not run or nothing determines them.
    HeadDerivatives(const model::System& system, const Network& network, const Tangents& tangents,
                    Index head);

    bool empty() const { return weight_.empty(); }
    /// Pa per SI unit of an input, 0 where it has no part in this run. Residual: of all tests of a supply
    /// together; bore: of a pipe, or of a device or valve with k.
    double by(InputName input, const InputSubject& subject) const;
    /// The same for an input that may be other than the case says, in all rows that share it.
    double by(const Input& input) const;
    /// Of a supply's static and residual pressures together.
    double by_supply(Index supply) const;
    /// What the pressure gains (Pa) if a pipe had this size, by its law at the flow at hand.
    double by_other_size(Index pipe, const model::PipeSize& size) const;

  private:
    double weight(int element) const { return weight_[at_element(element)]; }
    static std::size_t at_element(int element) { return static_cast<std::size_t>(element); }
    double supply(InputName input, Index row) const;
    double pipe(InputName input, Index row) const;
    double loss(InputName input, const model::Loss& of, int element) const;
    double set(int element) const;
    double head(InputName input, Index row) const;
    double nozzle(Index row) const;
    double elevation(Index point) const;
    bool curve(int element) const;

    const model::System& system_;
    const Network& net_;
    const Tangents& tangents_;
    Index head_;
    double metres_per_pascal_, kinematic_viscosity_ = 0;
    std::vector<double> weight_;  // by element of the network
};

/// All derivatives that are not 0, what moves the pressure most by its natural step first.
std::vector<Derivative> list_derivatives(const model::System& system, const Network& network,
                                         const Tangents& tangents, const HeadDerivatives& of);

/// What one head hangs on in one run.
struct HeadSensitivity {
    Index run = model::none, head = model::none;
    double pressure = 0;                  ///< Pa
    std::vector<Derivative> derivatives;  ///< the largest gain first; empty: nothing determines them
};
struct HeadOfRun {
    Index run, head;
};
struct HeadsOfRuns {
    std::vector<HeadOfRun> heads;   ///< in the order of the runs
    std::size_t runs_left_out = 0;  ///< whose critical heads have more to spare
};
/// The critical heads of at most so many runs: those with the least to spare.
HeadsOfRuns most_critical(std::vector<CriticalHead> all, std::size_t most);

/// For each of these heads in turn, balanced as the system stands. Runs without a solution are left out, and
/// heads that do not run. The same on any number of threads.
std::vector<HeadSensitivity> find_sensitivity(const model::System& system, const model::Layout& layout,
                                              const std::vector<HeadOfRun>& heads, int threads = 0);

/// The key of the case: "static" ...
std::string_view input_name(InputName input);

}  // namespace evenhead::solver
