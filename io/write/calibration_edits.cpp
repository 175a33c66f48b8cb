// The values that readings determine, as cells of the case.
#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <tuple>

#include "io/units.hpp"
#include "io/write/calibration.hpp"
#include "io/write/calibration_words_parts.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::CalibratedChoice;
using solver::CalibratedInput;
using solver::Choice;
using Kind = solver::Input::Kind;

/// Makes edits, one for each row of the case that holds a value.
class Edits {
  public:
    explicit Edits(const model::System& system) : system_(system) {}

    void add(const CalibratedInput& input) {
        const Naming of = naming(system_, input.input);
        std::set<std::tuple<int, int, int>> done;
        for (const Index row : input.input.rows) {
            const auto [table, place, prefix] = row_of(input.input.kind, row);
            if (!done.insert({place.file, place.line, place.column}).second) continue;
            CellEdit edit{table, place, prefix + std::string(of.key), ""};
            edit.only_if_there = input.input.kind == Kind::pipe_length;  // of `along` it is another thing
            if (input.input.kind == Kind::pipe_bore && input.asked) edit.instead_of = "size";
            if (of.dimension == Dimension::share) {
                scale(edit, input, row);
                continue;
            }
            edit.value = value_text(system_, of, input.after, input.deviation);
            edits_.push_back(edit);
            if (input.input.kind == Kind::supply_pressure) tests(edit, input, row);
        }
    }

    void add(const CalibratedChoice& choice) {
        std::set<std::tuple<int, int, int>> done;
        const bool size = choice.choice.what == Choice::What::size;
        for (const Index row : choice.choice.rows) {
            const model::Place& place =
                size ? system_.pipes[at(row)].place : system_.points[at(system_.heads[at(row)].point)].place;
            if (!done.insert({place.file, place.line, place.column}).second) continue;
            const model::Lateral* lateral = lateral_at(place);
            // Of a lateral that has several sizes or nozzles only a part is meant.
            if (lateral != nullptr &&
                (size ? lateral->pipes.size() : lateral->heads.size()) != choice.choice.rows.size())
                continue;
            CellEdit edit{lateral != nullptr ? "laterals"
                          : size             ? "pipes"
                                             : "heads",
                          place, std::string(choice_word(choice.choice)),
                          candidate(system_, choice.choice, choice.best)};
            if (lateral != nullptr && size) edit.instead_of = "sizes";
            edits_.push_back(edit);
        }
    }

    std::vector<CellEdit> take() { return std::move(edits_); }

  private:
    struct Row {
        std::string table;
        model::Place place;
        std::string prefix;  ///< of its keys
    };

    const model::Lateral* lateral_at(const model::Place& place) const {
        const auto found = std::find_if(
            system_.laterals.begin(), system_.laterals.end(), [&](const model::Lateral& lateral) {
                return std::tie(lateral.place.file, lateral.place.line, lateral.place.column) ==
                       std::tie(place.file, place.line, place.column);
            });
        return found == system_.laterals.end() ? nullptr : &*found;
    }

    Row row_of(Kind kind, Index row) const {
        const auto point = [&](Index of) { return system_.points[at(of)].place; };
        switch (kind) {
            case Kind::supply_pressure:
                return {"supplies", point(system_.supplies[at(row)].point), ""};
            case Kind::nozzle_flow:
                return {"nozzles", system_.nozzles[at(row)].place, ""};
            case Kind::joint:
            case Kind::head_set:
                return {"heads", point(system_.heads[at(row)].point), ""};
            case Kind::device_loss:
            case Kind::device_set:
                return {"devices", point(system_.devices[at(row)].point), ""};
            case Kind::valve_loss:
            case Kind::valve_set: {
                const model::Valve& valve = system_.valves[at(row)];
                if (valve.head != model::none) return {"heads", point(valve.point), "own_valve."};
                return {"valves", valve.place, ""};
            }
            case Kind::elevation: {
                const model::Point& of = system_.points[at(row)];
                constexpr std::string_view tables[] = {"points", "supplies", "devices", "valves", "heads"};
                return {std::string(tables[static_cast<std::size_t>(of.kind)]), of.place, ""};
            }
            default:
                return {"pipes", system_.pipes[at(row)].place, ""};
        }
    }

    /// A number with its share of spread: "1.87 gpm +- 3 %".
    void number(CellEdit edit, int item, double si, Dimension dimension, double share) {
        edit.item = item;
        edit.value = fmt::format("{:.4g} {} +- {:.2g} %", to_units(si, dimension, system_.units),
                                 unit_word(dimension, system_.units), std::max(0.1, 200 * share));
        edits_.push_back(std::move(edit));
    }

    void scale(const CellEdit& edit, const CalibratedInput& input, Index row) {
        const double share = input.deviation / input.after;
        const auto chart = [&](const std::vector<model::ChartRow>& rows, Dimension dimension, double usual) {
            for (std::size_t i = 0; i < rows.size(); ++i)
                if (rows[i].value.value > 0)
                    number(edit, static_cast<int>(i), rows[i].value.value * usual, dimension, share);
        };
        // What the case gives as "?" is filled already.
        const double factor = input.asked ? 1 : input.after;
        if (input.input.kind == Kind::nozzle_flow)
            chart(system_.nozzles[at(row)].rows, Dimension::flow, factor);
        else if (input.input.kind == Kind::device_loss)
            chart(system_.devices[at(row)].loss.chart, Dimension::pressure, factor);
        else
            chart(system_.valves[at(row)].loss.chart, Dimension::pressure, factor);
    }

    /// Residual pressures move with the static one.
    void tests(CellEdit edit, const CalibratedInput& input, Index row) {
        edit.key = "residual";
        const std::vector<model::ChartRow>& rows = system_.supplies[at(row)].tests;
        for (std::size_t i = 0; i < rows.size(); ++i) {
            const double moved = rows[i].value.value + (input.asked ? 0 : input.after - input.input.value);
            edit.item = static_cast<int>(i);
            edit.value = value_text(system_, {"", "", Dimension::pressure}, moved, input.deviation);
            edits_.push_back(edit);
        }
    }

    const model::System& system_;
    std::vector<CellEdit> edits_;
};

}  // namespace

std::vector<CellEdit> calibration_edits(const model::System& system, const solver::Calibration& calibration) {
    Edits edits(system);
    for (const CalibratedInput& input : calibration.inputs)
        if (input.determined) edits.add(input);
    for (const CalibratedChoice& choice : calibration.choices)
        if (choice.determined) edits.add(choice);
    return edits.take();
}

}  // namespace evenhead::io
