// From gauge readings to the place to dig: what may be the matter, how likely each is, and where to put the
// gauge next.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "solver/diagnosis/hypothesis.hpp"
#include "solver/diagnosis/response.hpp"

namespace evenhead::solver {

struct Evidence;

/// What ends the work early, and how far it is: `done` of `total`. Returns false to stop.
using Progress = std::function<bool(std::size_t done, std::size_t total)>;

struct Diagnosis;

struct DiagnosisOptions {
    int threads = 0;                             ///< 0: as many as the machine has
    const model::FaultPriors* priors = nullptr;  ///< null: the catalogue's
    Index complaint = model::none;               ///< run complained of; none: the first that was read
    bool pairs = true;  ///< two faults at once, where one does not explain the readings
    Progress progress;
    std::function<void()> before_pairs;  ///< called before two faults at once are tried
    /// An earlier diagnosis of the same system, whose responses are used again where the same situations are
    /// surveyed.
    const Diagnosis* before = nullptr;
};

/// Explanations that the readings cannot tell apart.
struct Group {
    double probability = 0;
    bool healthy = false;              ///< "as drawn" is among them
    std::vector<std::size_t> members;  ///< of Diagnosis::hypotheses, likeliest first
};

/// A reading that would tell groups apart.
struct NextReading {
    std::size_t gauge = 0;  ///< of Survey::gauges
    double gain = 0;        ///< expected information, bits, and how sure the leading group becomes
    struct Expected {
        std::size_t group;
        double value, deviation;  ///< Pa or m3/s
    };
    std::vector<Expected> expected;  ///< of the leading groups
};

struct Diagnosis {
    Survey survey;
    Healthy healthy;
    std::vector<Site> sites;                         ///< what the faults of hypotheses point to
    std::vector<std::optional<Response>> responses;  ///< by site; empty: it could not be
    std::vector<Hypothesis> hypotheses;              ///< likeliest first
    std::vector<Group> groups;                       ///< likeliest first
    double unexplained = 0;                          ///< probability that nothing of this is it
    std::vector<NextReading> next;                   ///< best first
    std::vector<std::size_t> bad_reading;  ///< readings that are likely wrong under the leading explanation
    std::vector<Index> unused;  ///< readings of the case that say nothing: water stands there unknown
    bool stopped = false;       ///< by `progress`: not everything was looked at
};

/// Throws std::invalid_argument where there is no reading to go by, or the system as drawn has no solution in
/// a situation that was read.
Diagnosis diagnose(const model::System& system, const model::Layout& layout, const DiagnosisOptions& options);

/// Groups of hypotheses (likeliest first): two share one only if at their best severities no reading differs
/// by more than its standard deviation and their chi-squares by less than 2.
std::vector<Group> make_groups(const std::vector<Hypothesis>& hypotheses, const Evidence& evidence);

/// What each gauge that was not read yet would tell, best first.
std::vector<NextReading> next_readings(const Diagnosis& diagnosis, const Evidence& evidence);

/// How likely what was seen on site is under a hypothesis, over how likely it is under none in particular.
double seen_factor(const model::System& whole, const Survey& survey, const Hypothesis& hypothesis);

}  // namespace evenhead::solver
