// What `review` writes: rules under conditions, outages, margins and repairs, in text and JSON.
#pragma once

#include <string>
#include <vector>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "io/write/result_rows.hpp"
#include "io/write/sentences.hpp"
#include "model/graph.hpp"
#include "model/spreads.hpp"
#include "solver/review/chance.hpp"
#include "solver/review/review.hpp"
#include "solver/review/sensitivity.hpp"

namespace evenhead::io {

/// What was reviewed, and what was found.
struct ReviewSubject {
    const model::System& system;
    const model::Layout& layout;
    const solver::Review& review;
    const std::vector<model::Issue>& warnings;
    const std::vector<std::string>& files;
    std::string case_path;
    /// What the critical heads hang on, and how likely heads get too little; null: nobody asked.
    const std::vector<solver::HeadSensitivity>* sensitivity = nullptr;
    const solver::Chance* chance = nullptr;
    const model::Spreads* spreads = nullptr;  ///< of the chance
    std::size_t runs_left_out = 0;            ///< with more to spare, of which neither says anything
};

/// Throw WriteError.
void write_review_json(Output& output, const ReviewSubject& subject);
void write_review_text(Output& output, const ReviewSubject& subject, const Page& page);
/// The rows of rules x conditions as a CSV file.
void write_review_csv(Output& output, const ReviewSubject& subject);

/// "every supply at 10 psi less", "the condition of the case", with what is assumed about it.
std::string condition_words(const Speaker& speaker, const solver::ReviewCondition& condition);

/// "pipe", "nozzle" ...
std::string_view repair_kind(solver::Repair::Kind kind);

/// The margin of a judged row in the unit shown: a difference, also of temperatures.
double margin_in_unit(const ShownUnits& units, const solver::Worst& worst);

/// That margin rounded for reading; "-" where there is none.
std::string margin_number(const ShownUnits& units, const solver::Worst& worst, bool with_unit = false);

/// How far a claim is off: "+12 %".
std::string claim_off(const solver::Claim& claim);

/// "must rise", "holds without any" ...; empty for a plain fall.
std::string_view margin_note(const solver::SupplyMargin& margin);

/// What the case's rule set asks: "velocity: 5 ft/s (source)", a line each; empty where no set is used.
struct SetLimit {
    std::string rule, limit, source;
};
std::vector<SetLimit> limits_of_set(const Speaker& speaker, const model::Layout& layout);
/// A limit that is on, with what it is measured from and what holds for other materials.
std::string limit_text(const ShownUnits& units, const solver::RuleInfo& rule, const solver::RuleLimit& limit);

/// The keys of a row of rules x conditions, the same in JSON and CSV.
void rule_row(RowSink& sink, const Speaker& speaker, const solver::RulesReview& rules,
              const solver::RuleRow& row);

/// Runs without a proven solution, a sentence each.
std::vector<std::string> unsolved_sentences(const Speaker& speaker, const solver::RulesReview& rules);

/// The run of a rule's row: its id; "none" of what is judged with every valve shut; "" of what no run owns.
std::string run_of_row(const model::System& system, const solver::RuleRow& row);

}  // namespace evenhead::io
