// Faults and readings in words of the trade.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "io/write/fault_place.hpp"
#include "io/write/sentences.hpp"
#include "solver/diagnosis/diagnosis.hpp"

namespace evenhead::io {

/// A reading's place in words: "head N11", "the inlet of valve north", "the meter".
std::string gauge_place(const Speaker& speaker, const solver::Gauge& gauge);
/// "with north running", "with every valve shut".
std::string situation_words(const model::System& system, const solver::Situation& situation);
/// What to do to take it: "gauge head N11 with north running", "read the meter with every valve shut".
std::string take_reading(const Speaker& speaker, const solver::Survey& survey, const solver::Gauge& gauge);

/// Makes sentences about the faults of one survey. Its speaker speaks of the survey's part.
class FaultWords {
  public:
    FaultWords(const Speaker& part, const solver::Survey& survey) : speaker_(part), survey_(survey) {}

    /// What is the matter, as a clause: "pipe N10-N11 is blocked".
    std::string clause(const solver::Site& site, double severity) const;
    /// How much: "83 % of its opening is shut"; with the band, where it is no point: " (80 to 86 %)". Empty:
    /// none.
    std::string amount(const solver::Site& site, double severity, const std::array<double, 2>& band) const;
    /// Clauses of all its faults: "pipe a-b is blocked, and the supply street is low"; "all is as drawn".
    std::string clause(const solver::Hypothesis& hypothesis) const;
    /// The same with amounts: "pipe a-b is blocked: 83 % of its opening is shut (80 to 86 %)".
    std::string clause_and_amount(const solver::Hypothesis& hypothesis) const;
    /// What it is at: "pipe N10-N11", "the nozzles of zone north (14 heads)".
    std::string place(const solver::Site& site) const;
    /// What to do first about it: "turn the flow control of valve north fully open, then look at ...".
    std::string action(const solver::Site& site) const;

    /// How much that costs: 0 a look, 1 a hand's turn, 2 half an hour, 3 to dig.
    static int effort(const solver::Site& site);

  private:
    std::string name(const solver::ElementRef& element) const {
        return element_name(speaker_.system, element);
    }
    std::string pipes(const solver::Site& site) const;
    std::string nozzles(const solver::Site& site) const;
    std::string leak(const solver::Site& site) const;
    std::string blockage(const solver::Site& site) const;
    std::string blockage_action(const solver::Site& site) const;

    const Speaker& speaker_;
    const solver::Survey& survey_;
};

/// A probability for people: "93 %", "over 99 %", "under 1 %".
std::string chance(double probability);

}  // namespace evenhead::io
