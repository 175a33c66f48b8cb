// The questions of a review, for the verbs that ask them.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/verb.hpp"
#include "io/write/check.hpp"
#include "io/write/review.hpp"

namespace evenhead::cli {

struct ReviewQuestions {
    std::string spreads;  ///< path of a table; empty: the catalogue's
    int samples = -1;     ///< -1: as many as serve; 0: the chance is not asked
    unsigned seed = 1;
    int threads = 0;
    bool rules_only = false;  ///< what nobody prints beside the rules is left out: sensitivity and chance
    bool quiet = false;
};
/// Adds --samples, --seed and --spreads.
void add_review_options(CLI::App& verb, ReviewQuestions& questions);

struct Reviewed {
    solver::Review found;
    std::vector<solver::HeadSensitivity> sensitivity;
    std::optional<solver::Chance> chance;
    std::size_t runs_left_out = 0;

    /// For the writers. `this` and all that is handed in must outlive it.
    io::ReviewSubject subject(const io::CheckSubject& of, const model::Spreads& spreads) const;
};
/// Asks them all, with a line of progress.
Reviewed ask_review(const model::System& system, const model::Layout& layout,
                    const ReviewQuestions& questions, const model::Spreads& spreads);

}  // namespace evenhead::cli
