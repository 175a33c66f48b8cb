// Readings as a system with a fault built in would give them, for the tests of what is said about faults.
#pragma once

#include <stdexcept>
#include <vector>

#include "io/read/case.hpp"
#include "solver/diagnosis/diagnosis.hpp"
#include "solver/diagnosis/gauges.hpp"

namespace evenhead::io {

/// A small system with something of every kind that a fault can be at. Everything in it is invented.
inline constexpr const char* every_kind_case = R"(
title = "One of each"
ground = 100
supplies = [ { id = "street", static = 75, flow = 30, residual = 68 } ]
devices = [
  { id = "meter", type = "meter", cv = 30, safe_flow = 60 },
  { id = "backflow", type = "backflow", flow = [0, 20, 40], loss = [4, 5, 8] },
  { id = "strainer", type = "filter", cv = 40 },
  { id = "main-gate", type = "gate", cv = 60 },
  { id = "house", type = "regulator", cv = 40, set = 60 },
  { id = "mv", type = "master", cv = 30 },
]
valves = [ { id = "lawn", cv = 15 }, { id = "beds", cv = 15, set = 40 }, { id = "side", cv = 15 } ]
nozzles = [
  { id = "n", pressure = 30, flow = 2.0, min = 25, max = 70 },
  { id = "m", pressure = 30, flow = 1.0, min = 25, max = 70 },
]
heads = [
  { id = "B1", nozzle = "n", set = 30, cv = 4 }, { id = "B2", nozzle = "n", cv = 4 },
  { id = "B3", nozzle = "m", cv = 4 }, { id = "B4", nozzle = "m", cv = 4 },
]
laterals = [
  { id = "L", from = "lawn", first = 10, heads = 6, spacing = 30, nozzle = "n", size = "pvc-cl200 1" },
  { id = "S", from = "side", first = 10, heads = 4, spacing = 30, nozzle = "n", size = "pvc-cl200 1" },
]
pipes = [
  { along = "street 10 meter 10 backflow 5 strainer 20 main-gate 20 house 5 mv 40 T1 60 T2", size = "pvc-sch40 1-1/4" },
  { along = "T1 10 lawn", size = "pvc-sch40 1" },
  { along = "T2 10 beds", size = "pvc-sch40 1" },
  { along = "T2 20 side", size = "pvc-sch40 1" },
  { along = "beds 20 B1 30 B2 30 B3 30 B4", size = "pvc-cl200 3/4" },
]
runs = [
  { id = "front", valves = ["lawn"] }, { id = "back", valves = ["beds"] }, { id = "walk", valves = ["side"] },
]
)";

/// Where `system` may fail, and what every gauge there shows with a fault.
class Planted {
  public:
    /// `system` and `layout` must outlive this. Faults are looked for with this run going.
    Planted(const model::System& system, const model::Layout& layout, model::Index run)
        : system_(system), asked_(system) {
        model::Reading any;
        any.run = run;
        any.point = system.supplies.front().point;
        any.pressure = model::Quantity{1, 6894.757};
        asked_.readings = {any};
        std::vector<model::Index> unused;
        survey_ = solver::plan_survey(asked_, layout, run, unused);
        const model::FaultPriors& priors = model::fault_priors();
        healthy_ = solver::FaultySystem::healthy(survey_, priors);
        sites_ = solver::fault_sites(survey_.part.system, survey_.layout, priors, survey_.read_zones,
                                     survey_.situations.front().open);
    }
    Planted(const Planted&) = delete;
    Planted& operator=(const Planted&) = delete;

    const std::vector<solver::Site>& sites() const { return sites_; }
    const solver::Survey& survey() const { return survey_; }

    /// The system with readings at every head, both sides of the valves and of what stands on the main, and
    /// the meter, of the run complained of, and with every valve shut: as if these faults were there, at
    /// these ranks of severity.
    model::System with(const std::vector<const solver::Site*>& faults,
                       const std::vector<double>& ranks) const {
        solver::FaultySystem faulty(survey_, model::fault_priors(), faults, &healthy_);
        if (!faulty.possible()) throw std::invalid_argument("such a fault could not be");
        const auto answer = faulty.solve(ranks);
        if (!answer.solved) throw std::invalid_argument("it does not balance");
        model::System system = system_;
        system.readings.clear();
        for (std::size_t i = survey_.readings; i < survey_.gauges.size(); ++i) {
            const solver::Gauge& gauge = survey_.gauges[i];
            const model::Index run = survey_.situations[gauge.situation].run;
            if (run != model::none && run != survey_.situations.front().run) continue;
            model::Reading reading;
            reading.run = run;
            reading.all_shut = run == model::none;
            reading.point = survey_.part.point[static_cast<std::size_t>(gauge.point)];
            (gauge.flow ? reading.flow : reading.pressure) =
                model::Quantity{answer.shown[i], gauge.deviation};
            reading.gauge = gauge.way;
            reading.side = gauge.side;
            system.readings.push_back(reading);
        }
        return system;
    }

  private:
    const model::System& system_;
    model::System asked_;
    solver::Survey survey_;
    solver::Healthy healthy_;
    std::vector<solver::Site> sites_;
};

}  // namespace evenhead::io
