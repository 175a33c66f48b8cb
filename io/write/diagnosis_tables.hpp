// What a work order lists of a diagnosis: the readings against the leading explanation, the places to look
// at, and what the heads get once it is mended. Numbers and ids; text and page set them in rows of their own.
#pragma once

#include <string>
#include <vector>

#include "io/write/fault_words.hpp"

namespace evenhead::io {

/// Where a gauge stands, for the cell of a table: "north inlet", "N11", "N11 riser".
std::string gauge_label(const model::System& system, const solver::Gauge& gauge);

/// The likeliest explanation of the leading group ("as drawn" where it is among them); null where there is
/// none.
const solver::Hypothesis* leading_explanation(const solver::Diagnosis& diagnosis);

/// A reading beside what is foretold. Pa or m3/s.
struct ReadingLine {
    bool flow = false;
    std::string place, run;  ///< "north inlet", "north"; "all shut"
    double read = 0;
    double here = 0;     ///< under the leading explanation; as drawn where that is what leads
    double drawn = 0;    ///< nothing being wrong
    double off = 0;      ///< read less here, in standard deviations of the reading
    bool wrong = false;  ///< it is likely wrong itself
};
std::vector<ReadingLine> reading_lines(const model::System& part, const solver::Diagnosis& diagnosis);
/// "+1.3", "0.0".
std::string deviations_text(double off);

/// A place that faults point to, whatever they are there.
struct SuspectPlace {
    std::string name;        ///< "pipe N10-N11"
    double probability = 0;  ///< that one of them is it
    /// What it could be there, likeliest first: a clause each.
    std::vector<std::pair<std::string, double>> faults;
    /// Where it stands on a plan, by position in the whole system: the pipes of a run, or one thing. Empty:
    /// nowhere.
    std::vector<solver::ElementRef> things;
};
/// The likeliest first, without what is below `least`.
std::vector<SuspectPlace> suspect_places(const FaultWords& words, const solver::Diagnosis& diagnosis,
                                         double least);

/// A head of the run complained of, before and after. Pa; NaN: not known.
struct MendedHead {
    model::Index head = model::none;  ///< of the survey's part
    double now = 0, mended = 0, needs = 0;
};
struct AfterMending {
    std::string instead;  ///< a sentence where there is nothing to list: mending changes no head
    std::vector<MendedHead> heads;
    std::size_t judged = 0, enough_now = 0, enough_mended = 0;  ///< heads whose need is known
};
/// Nothing in it where nothing is wrong, or nobody knows what.
AfterMending after_mending(const model::System& part, const solver::Diagnosis& diagnosis);

/// What a diagnosis does not cover, beside the usual cautions.
inline constexpr std::string_view diagnosis_caution =
    "Test and repair of a backflow preventer are for a licensed tester. How often each fault occurs is taken "
    "from a "
    "table (--priors): a probability is no better than that.";

}  // namespace evenhead::io
