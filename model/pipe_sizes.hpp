// Which sizes a kind of pipe comes in, by the case and the catalogue.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/system.hpp"

namespace evenhead::model {

/// The sizes of a kind whose bore is known, smallest first: the case's own where it gives any, else those of
/// the catalogue; empty where nobody knows the kind.
std::vector<PipeSize> sizes_of(const System& system, const std::string& kind);

/// What the case or the catalogue says of a size with this kind and nominal; empty where neither has it.
std::optional<PipeSize> usual_size(const System& system, const PipeSize& size);

/// What is said of a pipe of size `given` otherwise than `usual` (what is usual for it) has it, of C,
/// roughness and rating, goes for `size` too.
void take_own_words(const PipeSize& given, const PipeSize& usual, PipeSize& size);

/// The next larger size of its kind for a pipe of this size. What the pipe's row, or a condition, says of C,
/// roughness and rating goes for the larger pipe too. Empty where there is none, or for a bare bore.
std::optional<PipeSize> larger_size(const System& system, const PipeSize& size);

}  // namespace evenhead::model
