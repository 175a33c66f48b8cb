// A system of the benchmarks as a case that the reader takes: case.toml with the long tables as CSV beside
// it.
#pragma once

#include <filesystem>

#include "model/system.hpp"

namespace evenhead::bench {

/// Writes what the systems of systems.hpp are made of (no more: not every key of the case format) into a
/// folder, which is made where it is missing. Returns the path of case.toml. Throws std::runtime_error where
/// a file cannot be written.
std::filesystem::path write_case(const model::System& system, const std::filesystem::path& folder);

}  // namespace evenhead::bench
