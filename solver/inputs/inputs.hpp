// The inputs of a system that may be other than the case says: what each is, how far it may be off, and the
// system with it changed. What one row of the case makes shares one draw; a supply's static and residual
// pressures move together.
#pragma once

#include <vector>

#include "solver/balance/result.hpp"

namespace evenhead::solver {

struct Input {
    enum class Kind {
        supply_pressure,  ///< Pa
        pipe_c,           ///< Hazen-Williams C
        pipe_roughness,   ///< m
        pipe_bore,        ///< m
        pipe_length,      ///< m
        pipe_loss,        ///< sum of minor loss coefficients
        nozzle_flow,      ///< a factor on flow
        joint,            ///< cv or kv
        device_loss,      ///< coefficient, or a factor on the losses of its chart
        valve_loss,       ///< likewise
        device_set,       ///< Pa
        valve_set,        ///< Pa
        head_set,         ///< Pa
        elevation,        ///< m
    } kind;
    std::vector<Index> rows;  ///< of the table that the kind belongs to
    double value = 0;         ///< of the first row; 1 for a factor
    double deviation = 0;     ///< standard deviation, in the same unit
};

/// All inputs that the case gives with a spread.
std::vector<Input> uncertain_inputs(const model::System& system);

/// Changes the input by `change` (its own unit; a factor by so much) in every row that shares it. What would
/// fall below a thousandth of itself stays there: a bore or a C is never zero.
void change_input(model::System& system, const Input& input, double change);

/// The numbers that inputs stand for in one system, to be set again and again. The system stays where it is,
/// and nobody else changes it.
class InputNumbers {
  public:
    InputNumbers(model::System& system, const std::vector<Input>& inputs);
    /// As change_input on the system as it was, whatever was set before.
    void set(std::size_t input, double change);

  private:
    struct Number {
        double* value;
        double before;
        int how;
    };
    std::vector<std::vector<Number>> numbers_;  // by input
};

/// Takes the input for exact.
void forget_spread(model::System& system, const Input& input);

}  // namespace evenhead::solver
