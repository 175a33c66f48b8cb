// Bytes to a system: every kind of element, joined in any way, with numbers from the whole range that a case
// may hold.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>

#include "model/graph.hpp"
#include "model/system.hpp"

namespace evenhead::fuzz {

struct Decoded {
    model::System system;
    model::Layout layout;
    /// False where a number lies beyond what is built: 0.1 to 48 in, 1 to 10,000 ft, 0.1 to 100 gpm ... Then
    /// the balance may end with a reason; else it must close.
    bool buildable = true;
};

/// Nothing where the reader would refuse the system.
std::optional<Decoded> decode_system(std::span<const std::uint8_t> bytes);

/// The system in words, for whoever looks into a find.
std::string describe(const model::System& system);

}  // namespace evenhead::fuzz
