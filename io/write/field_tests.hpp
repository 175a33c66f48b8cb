// Tests without another gauge reading, that tell two kinds of fault apart: a look, a count, a capped head.
#pragma once

#include <string>
#include <vector>

#include "io/write/sentences.hpp"
#include "solver/diagnosis/diagnosis.hpp"

namespace evenhead::io {

/// What tells these two faults apart, as a sentence; empty where nothing is known but digging.
std::string field_test(const solver::Site& one, const solver::Site& other);

/// The tests for the explanations of the leading group, and between it and the next; no doubles, at most
/// `most`.
std::vector<std::string> field_tests(const solver::Diagnosis& diagnosis, std::size_t most);

}  // namespace evenhead::io
