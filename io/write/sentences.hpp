// Findings, failures and assumptions as sentences: value, limit, unit, and what to try.
#pragma once

#include <string>
#include <vector>

#include "io/write/shown_units.hpp"
#include "model/system.hpp"
#include "solver/balance/result.hpp"
#include "solver/rules/rules.hpp"

namespace evenhead::io {

/// What sentences are made of: the names and numbers of one system.
struct Speaker {
    const model::System& system;
    ShownUnits units;
};

/// The title of a case; where it has none, the name of its file.
std::string case_title(const model::System& system, const std::string& path);

/// The id of an element: "L4"; "" for no element.
std::string element_id(const model::System& system, const solver::ElementRef& element);
/// What it is and its id: "head L4", "meter M1", "pipe T1-lawn"; a device called after its type is "the
/// meter".
std::string element_name(const model::System& system, const solver::ElementRef& element);

/// What it is, without its id: "head", "backflow preventer".
std::string_view element_noun(const model::System& system, const solver::ElementRef& element);

/// The id of a rule: head-pressure ...
std::string_view rule_name(solver::RuleId rule);

/// What is found: "Head L4 gets 24.1 psi where at least 30 psi is wanted (nozzle's min)." `result` (may be
/// null) is the run it was found in, for numbers of the other elements named.
std::string finding_sentence(const Speaker& speaker, const solver::Finding& finding,
                             const solver::RunResult* result);
/// What to try about it: one sentence.
std::string finding_remedy(const Speaker& speaker, const solver::Finding& finding);
/// "%", "psi" ... of the finding's value; "" for none.
std::string finding_unit(const Speaker& speaker, const solver::Finding& finding);

/// Why a run has no proven solution: where, how much against what limit, why, what to try. A sentence each.
std::vector<std::string> failure_sentences(const Speaker& speaker, const solver::Failure& failure);

/// The value of an assumption: "100 ft", or its words.
std::string assumed_value(const ShownUnits& units, const model::Assumption& assumption);

/// What is assumed and its value: "ground 100 ft", "usual loss of a 1 in backflow".
std::string assumption_words(const ShownUnits& units, const model::Assumption& assumption);
/// The same with why: "usual loss of a 1 in backflow (no loss is given)".
std::string assumption_and_reason(const ShownUnits& units, const model::Assumption& assumption);

/// "One head", "3 runs": a number and its noun.
std::string counted(std::size_t number, std::string_view noun);
/// With a capital first letter (ASCII; ids are left alone).
std::string sentence_case(std::string text);
/// With a full stop, unless it ends in one (or in another end of a sentence).
std::string with_dot(std::string text);

}  // namespace evenhead::io
