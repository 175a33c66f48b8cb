// The answer of a diagnosis before the work order: what and where, how sure, what next.
#pragma once

#include <string>
#include <vector>

#include "io/write/fault_words.hpp"

namespace evenhead::io {

class DiagnosisAnswer {
  public:
    /// `part` speaks of the survey's part.
    DiagnosisAnswer(const Speaker& part, const solver::Diagnosis& diagnosis)
        : speaker_(part), diagnosis_(diagnosis), words_(part, diagnosis.survey) {}

    std::string what() const;
    std::string how_sure() const;
    std::string next_step() const;
    /// What to read and what each leading explanation foretells there; empty where it would tell them not
    /// apart.
    std::string reading(const solver::NextReading& reading) const;

  private:
    const solver::Hypothesis& first_of(std::size_t group) const {
        return diagnosis_.hypotheses[diagnosis_.groups[group].members.front()];
    }

    struct Foretold {
        const solver::Hypothesis* hypothesis;
        double value;  // Pa or m3/s
    };
    std::string foretold(const solver::Gauge& gauge, const std::vector<Foretold>& all) const;
    /// What is likeliest is at one place, whatever it is there.
    bool one_place() const;
    double as_drawn() const;
    std::string work() const;

    const Speaker& speaker_;
    const solver::Diagnosis& diagnosis_;
    FaultWords words_;
};

/// Said of values fitted under the leading explanation: as if what, and how sure that is. Empty where nothing
/// was built in.
std::string fitted_remark(const FaultWords& words, const solver::Diagnosis& diagnosis);

}  // namespace evenhead::io
