// What stands in for "?": a usual value with a wide spread, or candidates. From common practice.
#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "model/pipe_sizes.hpp"
#include "model/position.hpp"
#include "solver/diagnosis/calibration.hpp"

namespace evenhead::solver {
namespace {

using model::LossKind;
using model::none;
using model::Quantity;
using Kind = Input::Kind;

constexpr double psi = 6894.757293168361;                   // Pa
constexpr double gallons_per_minute = 0.003785411784 / 60;  // m3/s

// Means and standard deviations; nineteen of twenty lie within two of these.
constexpr Quantity usual_supply{60 * psi, 20 * psi};
constexpr Quantity usual_c{105, 22.5};           // 60 to 150
constexpr Quantity usual_roughness{1e-4, 5e-5};  // m
constexpr Quantity usual_bore{0.026, 0.009};     // m
constexpr Quantity usual_k{2, 1};
constexpr Quantity usual_cv{20, 8};  // valves of 1 to 2 in
constexpr Quantity usual_set{40 * psi, 12 * psi};
constexpr double length_share = 0.5, elevation_spread = 3;  // of the usual pipe; m
constexpr Quantity usual_flow{1.5 * gallons_per_minute, 0.6 * gallons_per_minute};
constexpr double usual_pressure = 30 * psi;  // ... at this pressure
constexpr double kv_of_cv = 0.865;           // m3/h at 1 bar for gpm at 1 psi
constexpr double largest_bore = 0.11;        // m: no larger pipe stands in the ground of a yard or a park

class Filler {
  public:
    Filler(const model::System& system, const model::Layout& layout) {
        filled_.system = system;
        filled_.layout = layout;
    }

    Filled fill() {
        elevations();
        supplies();
        each(system().devices, [&](Index row, model::Device& of) {
            loss(Kind::device_loss, row, of.loss);
            if (of.set) take(Kind::device_set, row, *of.set, usual_set);
        });
        each(system().valves, [&](Index row, model::Valve& of) {
            loss(Kind::valve_loss, row, of.loss);
            if (of.set) take(Kind::valve_set, row, *of.set, usual_set);
        });
        each(system().nozzles, [&](Index row, model::Nozzle& of) { nozzle(row, of); });
        heads();
        pipes();
        return std::move(filled_);
    }

  private:
    model::System& system() { return filled_.system; }
    template <class Rows, class Visit>
    static void each(Rows& rows, const Visit& visit) {
        for (std::size_t i = 0; i < rows.size(); ++i) visit(static_cast<Index>(i), rows[i]);
    }

    void ask(Kind kind, std::vector<Index> rows, double value, double deviation) {
        filled_.asked.push_back({kind, std::move(rows), value, deviation});
    }
    void take(Kind kind, Index row, Quantity& quantity, const Quantity& usual) {
        if (quantity.known()) return;
        quantity = usual;
        ask(kind, {row}, usual.value, usual.deviation);
    }

    void elevations() {
        std::vector<Index> points;
        bool changed = false;
        if (system().ground && !system().ground->known()) {
            system().ground = Quantity{0, 0};  // all that counts is what lies higher than what
            changed = true;
        }
        each(system().points, [&](Index row, model::Point& of) {
            if (!of.elevation || of.elevation->known()) return;
            of.elevation.reset();
            points.push_back(row);
        });
        if (points.empty() && !changed) return;
        filled_.layout = model::find_layout(system());  // of the nearest point that has one
        for (const Index point : points) {
            const double value = filled_.layout.elevation[at(point)];
            system().points[at(point)].elevation = Quantity{value, elevation_spread};
            ask(Kind::elevation, {point}, value, elevation_spread);
        }
        filled_.layout = model::find_layout(system());
    }

    // Static and residual pressures move together: where one of them is known, the others are for whoever
    // knows them.
    void supplies() {
        each(system().supplies, [&](Index row, model::Supply& of) {
            constexpr double left = 0.85;  // of the static pressure, at the flow of a test
            if (of.static_pressure.known() ||
                std::any_of(of.tests.begin(), of.tests.end(),
                            [](const model::ChartRow& test) { return test.value.known(); }))
                return;
            of.static_pressure = usual_supply;
            for (model::ChartRow& test : of.tests)
                test.value = {left * usual_supply.value, usual_supply.deviation};
            ask(Kind::supply_pressure, {row}, usual_supply.value, usual_supply.deviation);
        });
    }

    // A chart is what somebody measured: nothing usual stands in for it.
    void loss(Kind kind, Index row, model::Loss& of) {
        if (of.kind == LossKind::cv) take(kind, row, of.coefficient, usual_cv);
        if (of.kind == LossKind::kv)
            take(kind, row, of.coefficient, {kv_of_cv * usual_cv.value, kv_of_cv * usual_cv.deviation});
        if (of.kind == LossKind::k) take(kind, row, of.coefficient, usual_k);
    }

    void nozzle(Index row, model::Nozzle& of) {
        if (std::any_of(of.rows.begin(), of.rows.end(), [](const model::ChartRow& entry) {
                return !entry.at.known() || entry.value.known();
            }))
            return;  // some of it is known: then the rest is for whoever knows it
        const double share = usual_flow.deviation / usual_flow.value;
        for (model::ChartRow& entry : of.rows) {
            const double value = usual_flow.value * std::sqrt(entry.at.value / usual_pressure);
            entry.value = {value, share * value};
        }
        if (!of.rows.empty()) ask(Kind::nozzle_flow, {row}, 1, share);
    }

    void heads() {
        std::map<std::tuple<int, int, int>, std::size_t> of_line;
        each(system().heads, [&](Index row, model::Head& of) {
            if (of.joint.kind == LossKind::cv) take(Kind::joint, row, of.joint.coefficient, {6, 2.5});
            if (of.joint.kind == LossKind::kv) take(Kind::joint, row, of.joint.coefficient, {5.2, 2.2});
            if (of.set && !of.set->known()) {
                of.set = usual_set;
                ask(Kind::head_set, {row}, usual_set.value, usual_set.deviation);
            }
            if (of.nozzle != none || system().nozzles.empty()) return;
            const model::Place& place = system().points[at(of.point)].place;
            const auto [line, added] =
                of_line.try_emplace({place.file, place.line, place.column}, filled_.choices.size());
            if (added) {
                Choice& choice = filled_.choices.emplace_back();
                choice.what = Choice::What::nozzle;
                for (std::size_t i = 0; i < system().nozzles.size(); ++i)
                    choice.nozzles.push_back(static_cast<Index>(i));
            }
            Choice& choice = filled_.choices[line->second];
            choice.rows.push_back(row);
            of.nozzle = choice.nozzles[choice.count() / 2];
        });
    }

    double usual_length() {
        std::vector<double> lengths;
        for (const model::Pipe& pipe : system().pipes)
            if (pipe.length.known() && pipe.length.value > 0) lengths.push_back(pipe.length.value);
        if (lengths.empty()) return 10;
        std::sort(lengths.begin(), lengths.end());
        return lengths[lengths.size() / 2];
    }

    std::vector<model::PipeSize> candidates(const model::PipeSize& open) const {
        std::vector<model::PipeSize> sizes = model::sizes_of(filled_.system, open.kind);
        std::erase_if(sizes, [](const model::PipeSize& size) { return !(size.bore.value < largest_bore); });
        for (model::PipeSize& size : sizes) {
            size.c = open.c;
            size.roughness = open.roughness;
        }
        return sizes;
    }

    // Pipes of one line of the case that leave the same open share the answer.
    void pipes() {
        using Line = std::tuple<int, int, int>;
        std::map<std::pair<Line, Kind>, std::size_t> of_line;               // inputs
        std::map<std::pair<Line, std::string>, std::size_t> sizes_of_line;  // choices, by kind
        const bool hazen_williams = system().friction == model::FrictionLaw::hazen_williams;
        const double length = usual_length();
        each(system().pipes, [&](Index row, model::Pipe& of) {
            const Line line{of.place.file, of.place.line, of.place.column};
            const auto share = [&](Kind kind, Quantity& quantity, const Quantity& usual) {
                if (quantity.known()) return;
                quantity = usual;
                const auto [seen, added] = of_line.try_emplace({line, kind}, filled_.asked.size());
                if (added)
                    ask(kind, {row}, usual.value, usual.deviation);
                else
                    filled_.asked[seen->second].rows.push_back(row);
            };
            share(Kind::pipe_length, of.length, {length, length_share * length});
            share(Kind::pipe_loss, of.k, usual_k);
            if (hazen_williams && !of.size->c.known()) share(Kind::pipe_c, of.size.edit().c, usual_c);
            if (!hazen_williams && !of.size->roughness.known())
                share(Kind::pipe_roughness, of.size.edit().roughness, usual_roughness);
            if (!of.size->given_unknown && of.size->bore.known()) return;
            std::vector<model::PipeSize> sizes = candidates(*of.size);
            if (sizes.empty()) {
                of.size.edit().given_unknown = false;
                share(Kind::pipe_bore, of.size.edit().bore, usual_bore);
                return;
            }
            const auto [seen, added] =
                sizes_of_line.try_emplace({line, of.size->kind}, filled_.choices.size());
            if (added) filled_.choices.emplace_back().sizes = std::move(sizes);
            Choice& choice = filled_.choices[seen->second];
            choice.rows.push_back(row);
            of.size.edit() = choice.sizes[choice.count() / 2];
        });
    }

    Filled filled_;
};

}  // namespace

Filled fill_open_values(const model::System& system, const model::Layout& layout) {
    return Filler(system, layout).fill();
}

}  // namespace evenhead::solver
