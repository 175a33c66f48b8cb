// What an answer rests on and what it leaves open, as sentences: assumed, and not checked.
#pragma once

#include <string>
#include <vector>

#include "io/write/not_checked.hpp"
#include "io/write/sentences.hpp"
#include "model/graph.hpp"

namespace evenhead::io {

/// What was assumed of which things; no more than `most` ids in a sentence.
std::vector<std::string> assumed_sentences(const Speaker& speaker, const model::Layout& layout,
                                           std::size_t most);

/// Which rules could not be held against what, and which are off.
std::vector<std::string> not_checked_sentences(const model::System& system, const NotCheckedList& rows,
                                               const std::vector<solver::RuleId>& off, std::size_t most);

}  // namespace evenhead::io
