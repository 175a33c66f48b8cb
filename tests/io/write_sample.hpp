// A small system and its results, made by hand, for the tests of the writers. The numbers are invented and
// need not balance: the writers do not compute.
#pragma once

#include <unistd.h>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <limits>
#include <sstream>
#include <string>
#include <vector>

#include "io/units.hpp"
#include "io/write/check.hpp"

namespace evenhead::io::sample {

inline constexpr double psi = 6894.757293168361;                    // Pa
inline constexpr double gpm = 231 * 0.0254 * 0.0254 * 0.0254 / 60;  // m3/s
inline constexpr double ft = 0.3048;                                // m

/// street - meter - lawn - heads L1, =SUM(A1); a second valve, beds, with no heads.
struct Sample {
    model::System system;
    model::Layout layout;
    std::vector<model::Issue> warnings;
    std::vector<std::string> files{"garden.toml"};

    Sample() {
        using model::PointKind;
        const auto point = [&](const char* id, PointKind kind, model::Index row) {
            model::Point made;
            made.id = id;
            made.kind = kind;
            made.row = row;
            system.points.push_back(made);
            return static_cast<model::Index>(system.points.size() - 1);
        };
        system.title = "Corner \"garden\"";
        model::Supply supply;
        supply.point = point("street", PointKind::supply, 0);
        system.supplies = {supply};
        model::Device meter;
        meter.point = point("meter", PointKind::device, 0);
        meter.type = model::DeviceType::meter;
        system.devices = {meter};
        model::Valve lawn, beds;
        lawn.point = point("lawn", PointKind::valve, 0);
        beds.point = point("beds", PointKind::valve, 1);
        system.valves = {lawn, beds};
        model::Nozzle nozzle;
        nozzle.id = "n";
        nozzle.min = model::Quantity{30 * psi, 0};
        system.nozzles = {nozzle};
        model::Head first, second;
        first.point = point("L1", PointKind::head, 0);
        second.point = point("=SUM(A1)", PointKind::head, 1);
        first.nozzle = second.nozzle = 0;
        system.heads = {first, second};
        const auto pipe = [&](model::Index from, model::Index to) {
            model::Pipe made;
            made.from = from;
            made.to = to;
            made.size.edit().bore = {0.03, 0};
            system.pipes.push_back(made);
        };
        pipe(0, 1);
        pipe(1, 2);
        pipe(1, 3);
        pipe(2, 4);
        pipe(4, 5);
        model::Run run_lawn, run_beds;
        run_lawn.id = "lawn";
        run_lawn.valves = {0};
        run_beds.id = "beds";
        run_beds.valves = {1};
        system.runs = {run_lawn, run_beds};
        system.assumptions.push_back({"street", "pressure holds at any flow", 62 * psi,
                                      model::Dimension::pressure, "", "no flow test"});
        warnings.push_back(
            {{0, 12, 3}, "pipe meter-beds", "ends where nothing else is", "name what it feeds"});
    }

    CheckSubject subject() const { return {system, layout, warnings, files, "garden.toml"}; }

    solver::RunResult lawn() const {
        solver::RunResult result;
        result.run = 0;
        result.open = {0};
        result.flow = 3 * gpm;
        result.supply_flow = {3 * gpm};
        result.supply_pressure = {62 * psi};
        result.head_flow = {1.6 * gpm, 1.4 * gpm};
        result.head_pressure = {33 * psi, 24 * psi};
        const double unknown = std::numeric_limits<double>::quiet_NaN();
        result.head_radius = {12 * ft, unknown};
        result.point_pressure = {62 * psi, unknown, unknown, unknown, 33.5 * psi, 24.5 * psi};
        result.pipe_flow = {3 * gpm, 3 * gpm, 0, 3 * gpm, 1.4 * gpm};
        result.pipe_velocity = {1, 1, 0, 1.2, 0.4};
        result.pipe_loss = {psi, psi, 0, psi, psi};
        result.device_flow = {3 * gpm};
        result.device_inlet = {61 * psi};
        result.device_outlet = {58 * psi};
        result.valve_flow = {3 * gpm, 0};
        result.valve_inlet = {57 * psi, 57 * psi};
        result.valve_outlet = {56 * psi, unknown};
        result.closure = {true, 6, 1e-12 * gpm, 1e-10 * psi, 4, "pipe", 3};
        return result;
    }

    solver::RunFindings lawn_findings() const {
        solver::RunFindings findings;
        solver::Finding low;
        low.rule = solver::RuleId::head_pressure;
        low.subject = {solver::ElementKind::head, 1};
        low.value = 24 * psi;
        low.limit = 30 * psi;
        low.dimension = model::Dimension::pressure;
        low.margin = -6 * psi;
        low.upper = false;
        low.source = "nozzle's min";
        solver::Finding spread = low;
        spread.rule = solver::RuleId::zone_spread;
        spread.subject = {solver::ElementKind::valve, 0};
        spread.value = 0.21;
        spread.limit = 0.2;
        spread.margin = -0.01;
        spread.dimension = model::Dimension::share;
        spread.upper = true;
        spread.source = "common practice";
        spread.detail = "base: mean of the zone";
        spread.also = {{solver::ElementKind::head, 0}, {solver::ElementKind::head, 1}};
        findings.findings = {low, spread};
        findings.critical_head = 1;
        findings.critical_margin = -6 * psi;
        findings.lowest_head = 1;
        findings.highest_head = 0;
        findings.spread = 0.21;
        findings.top_velocity_pipe = 3;
        findings.not_checked = {{solver::RuleId::surge, {solver::ElementKind::pipe, 0}, "no wall"},
                                {solver::RuleId::surge, {solver::ElementKind::pipe, 1}, "no wall"}};
        return findings;
    }

    solver::RunResult beds() const {
        solver::RunResult result;
        result.run = 1;
        result.open = {1};
        result.failure = solver::Failure{"no-supply",
                                         {},
                                         {{solver::ElementKind::valve, 1}},
                                         "no open way leads from a supply to the heads of this run",
                                         "a valve is closed",
                                         "open it or name another run"};
        return result;
    }

    solver::CheckSummary summary() const {
        solver::CheckSummary summary;
        summary.critical_run = 0;
        summary.critical_head = 1;
        summary.critical_margin = -6 * psi;
        summary.within_limits = false;
        summary.not_checked = {{solver::RuleId::surge, {solver::ElementKind::pipe, 0}, "no wall"}};
        return summary;
    }
};

/// What a writer writes: through a file, as the program does.
template <typename Write>
std::string written(const Write& write) {
    char name[] = "/tmp/evenhead-test-XXXXXX";
    const int descriptor = ::mkstemp(name);
    if (descriptor >= 0) ::close(descriptor);
    {
        Output output(name);
        write(output);
        output.finish();
    }
    std::ifstream stream(name, std::ios::binary);
    std::stringstream text;
    text << stream.rdbuf();
    ::unlink(name);
    return text.str();
}

}  // namespace evenhead::io::sample
