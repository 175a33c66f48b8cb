// A part of a system with faults built in, whose severities can be set again and again.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "solver/diagnosis/fault.hpp"
#include "solver/diagnosis/survey.hpp"

namespace evenhead::solver {

/// Loss coefficient, on the whole bore, of a spot where `closed` (0..1) of the bore's area is shut: the jet
/// narrows behind the edge to Cc = 0.63 + 0.37 (1 - closed)^3 of the opening (Weisbach, from memory) and
/// spreads again with the loss of Borda and Carnot: k = (1 / (Cc (1 - closed)) - 1)^2.
double blockage_coefficient(double closed);

/// What a survey without faults shows; what severities are measured by.
struct Healthy {
    std::vector<std::optional<RunResult>> results;  ///< by situation; empty: not solved
    std::vector<double> shown;                      ///< by gauge
    double run_flow = 0;                            ///< m3/s, in the situation complained of
};

class FaultySystem {
  public:
    /// `healthy` may be null where no severity is measured by it (no fault at all).
    FaultySystem(const Survey& survey, const model::FaultPriors& priors, std::span<const Site* const> faults,
                 const Healthy* healthy);

    /// False where such a fault could not be (a leak where no water stands).
    bool possible() const { return possible_; }
    /// Severity of a fault at this rank (0..1) of its prior: SI, or a share or factor. Of a leak that at
    /// healthy pressure, see `severities`.
    double nominal_severity(std::size_t fault, double rank) const;

    struct Answer {
        bool solved = false;
        std::vector<double> shown;       ///< by gauge
        std::vector<double> severities;  ///< by fault: of a leak its own flow in the situation complained of
    };
    /// Sets every fault to its rank and balances every situation. `keep` (may be null): the balances, by
    /// situation.
    Answer solve(std::span<const double> ranks, std::vector<std::optional<RunResult>>* keep = nullptr);

    /// Balances a survey without any fault.
    static Healthy healthy(const Survey& survey, const model::FaultPriors& priors);

  private:
    struct Built {
        const Site* site = nullptr;
        Index row = model::none;  ///< pipe, head or nozzle that was added
        double base = 1;          ///< what a relative severity is a share of
    };

    Built build(const Site& site, const Healthy* healthy);
    Index add_point_before(Index point, std::span<const Index> inlets);
    Index add_outlet(Index point, Index nozzle, const model::Joint& joint);
    Index add_nozzle(const model::Nozzle& nozzle);
    void set(const Built& built, double severity);
    void set_pipe(const Site& site, double severity);
    void set_nozzles(const Built& built, double factor);
    void lower(const Site& site, double pressure);

    const Survey& survey_;
    const model::FaultPriors& priors_;
    model::System system_;  ///< with the faults
    model::Layout layout_;
    std::vector<Built> built_;
    std::vector<Gauge> gauges_;  ///< of the survey, moved where a blockage stands before the place
    std::vector<Index> also_open_;
    double gauge_shift_ = 0;  ///< Pa
    bool structure_changed_ = false, possible_ = true;
};

}  // namespace evenhead::solver
