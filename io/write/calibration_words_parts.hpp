// How the case calls its inputs, and how their values are written. Not installed: use
// io/write/calibration.hpp.
#pragma once

#include <string>
#include <string_view>

#include "io/write/sentences.hpp"
#include "solver/diagnosis/calibration.hpp"

namespace evenhead::io {

/// How the case calls an input, what measures it, and what it belongs to.
struct Naming {
    std::string_view key, words;
    model::Dimension dimension = model::Dimension::none;   ///< share: a factor on what the case gives
    solver::ElementKind kind = solver::ElementKind::pipe;  ///< run: a nozzle
};

Naming naming(const model::System& system, const solver::Input& input);

/// An input as it is shown. A flow that the case gives as "?" is shown itself, not as a factor on nothing.
struct Found {
    Naming of;
    double after = 0, deviation = 0;
};
Found found(const model::System& system, const solver::CalibratedInput& input);

/// "pvc-cl200 1", or the id of a nozzle.
std::string candidate(const model::System& system, const solver::Choice& choice, std::size_t i);
/// "size" or "nozzle": the key, and the word for people.
std::string_view choice_word(const solver::Choice& choice);
/// "97 +- 4 psi" in the units of the case: the spread (two standard deviations) with two significant digits,
/// the value as fine.
std::string value_text(const model::System& system, const Naming& of, double value, double deviation);

}  // namespace evenhead::io
