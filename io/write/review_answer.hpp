// The answer of a review before its tables: does the layout hold, what is worst, what would mend it.
#pragma once

#include <string>
#include <vector>

#include "io/write/sentences.hpp"
#include "solver/review/review.hpp"

namespace evenhead::io {

struct ReviewAnswer {
    bool within = false;                 ///< every rule holds under every condition
    std::string verdict;                 ///< "Outside limits under 2 of 3 conditions: 4 of 9 rules fail."
    std::vector<std::string> sentences;  ///< what is worst or has the least to spare, and what mends it
};
ReviewAnswer review_answer(const Speaker& speaker, const solver::Review& review);

/// "under supply-low, in run north"; what no run owns has no run.
std::string review_place(const Speaker& speaker, const solver::RulesReview& rules, std::size_t condition,
                         model::Index run);
/// "pipe A-B pvc-cl200 1 in place of pvc-cl200 3/4".
std::string repair_words(const Speaker& speaker, const solver::Repair& repair);

/// Why failing heads or nozzles were not tried, a sentence each.
std::vector<std::string> repairs_left_out(const solver::RepairReview& repairs);

}  // namespace evenhead::io
