// Named sets of limits: what a code, a guide or common practice asks, each with its source.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "model/system.hpp"

namespace evenhead::model {

/// One limit of a set as its table has it; whether such a rule exists, and whether it takes this dimension,
/// is for the reader to say.
struct RuleOfSet {
    std::string rule;                       ///< head-pressure ...
    Limit limit;                            ///< SI, with its source
    Dimension dimension = Dimension::none;  ///< of its numbers; none: off or fail
    int line = 0;
};

struct RuleSet {
    std::string name, about;
    std::vector<RuleOfSet> rules;
};

/// The sets of the catalogue, in its order. Built once; thread safe.
const std::vector<RuleSet>& rule_sets();

/// The set of this name, or nullptr.
const RuleSet* find_rule_set(std::string_view name);

/// Reads a table of the same form. Throws tables::LineFault that names the line.
std::vector<RuleSet> read_rule_sets(std::string_view text);

}  // namespace evenhead::model
