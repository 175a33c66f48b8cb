#include "io/write/calibration.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>

#include "io/units.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using model::LossKind;
using solver::CalibratedChoice;
using solver::CalibratedInput;
using solver::Choice;
using solver::ElementKind;
using Kind = solver::Input::Kind;

std::string_view loss_key(LossKind kind) {
    switch (kind) {
        case LossKind::cv:
            return "cv";
        case LossKind::kv:
            return "kv";
        case LossKind::k:
            return "k";
        default:
            return "loss";
    }
}

/// How the case calls an input, what measures it, and what it belongs to.
struct Naming {
    std::string_view key, words;
    Dimension dimension = Dimension::none;  ///< share: a factor on what the case gives
    ElementKind kind = ElementKind::pipe;   ///< run: a nozzle
};

Naming naming(const model::System& system, const solver::Input& input) {
    const std::size_t row = at(input.rows.front());
    const auto loss = [](const model::Loss& of, ElementKind kind) {
        const bool chart = of.kind == LossKind::chart;
        return Naming{loss_key(of.kind), chart ? "loss" : loss_key(of.kind),
                      chart ? Dimension::share : Dimension::none, kind};
    };
    switch (input.kind) {
        case Kind::supply_pressure:
            return {"static", "static pressure", Dimension::pressure, ElementKind::supply};
        case Kind::pipe_c:
            return {"c", "C"};
        case Kind::pipe_roughness:
            return {"roughness", "roughness", Dimension::roughness};
        case Kind::pipe_bore:
            return {"bore", "bore", Dimension::bore};
        case Kind::pipe_length:
            return {"length", "length", Dimension::length};
        case Kind::pipe_loss:
            return {"k", "k"};
        case Kind::nozzle_flow:
            return {"flow", "flow", Dimension::share, ElementKind::run};
        case Kind::joint:
            return {loss_key(system.heads[row].joint.kind), loss_key(system.heads[row].joint.kind),
                    Dimension::none, ElementKind::head};
        case Kind::device_loss:
            return loss(system.devices[row].loss, ElementKind::device);
        case Kind::valve_loss:
            return loss(system.valves[row].loss, ElementKind::valve);
        case Kind::device_set:
            return {"set", "set pressure", Dimension::pressure, ElementKind::device};
        case Kind::valve_set:
            return {"set", "set pressure", Dimension::pressure, ElementKind::valve};
        case Kind::head_set:
            return {"set", "set pressure", Dimension::pressure, ElementKind::head};
        case Kind::elevation:
            return {"elev", "elevation", Dimension::length, ElementKind::point};
    }
    return {};
}

std::string id_of(const model::System& system, ElementKind kind, Index row) {
    return kind == ElementKind::run ? system.nozzles[at(row)].id : element_id(system, {kind, row});
}

std::string place_words(const model::System& system, ElementKind kind, const std::vector<Index>& rows) {
    if (kind == ElementKind::run) return "nozzle " + id_of(system, kind, rows.front());
    if (rows.size() == 1) return element_name(system, {kind, rows.front()});
    return fmt::format("{} from {} to {}", counted(rows.size(), element_noun(system, {kind, rows.front()})),
                       id_of(system, kind, rows.front()), id_of(system, kind, rows.back()));
}

ElementKind kind_of(const Choice& choice) {
    return choice.what == Choice::What::size ? ElementKind::pipe : ElementKind::head;
}
std::string candidate(const model::System& system, const Choice& choice, std::size_t i) {
    if (choice.what == Choice::What::nozzle) return system.nozzles[at(choice.nozzles[i])].id;
    return choice.sizes[i].kind + " " + choice.sizes[i].nominal;
}
std::string_view choice_word(const Choice& choice) {
    return choice.what == Choice::What::size ? "size" : "nozzle";
}

/// "97 +- 4 psi": the spread (two standard deviations) with two significant digits, the value as fine.
std::string spread_text(double value, double deviation, std::string_view unit) {
    const double spread = 2 * deviation;
    int decimals = 2;
    if (spread > 0) decimals = std::clamp(1 - static_cast<int>(std::floor(std::log10(spread))), 0, 8);
    return fmt::format("{:.{}f} +- {:.{}f}{}{}", value, decimals, spread, decimals, unit.empty() ? "" : " ",
                       unit);
}
std::string percent_text(double factor, double deviation) {
    return fmt::format("{:.0f} +- {:.0f} %", 100 * factor, std::max(1.0, 200 * deviation));
}

std::string value_text(const model::System& system, const Naming& of, double value, double deviation) {
    if (of.dimension == Dimension::share) return percent_text(value, deviation);
    const auto in_case = [&](double si) { return to_units(si, of.dimension, system.units); };
    // A difference of elevations or pressures has the unit's size, not its zero.
    return spread_text(in_case(value), in_case(deviation) - in_case(0),
                       unit_word(of.dimension, system.units));
}

std::string input_words(const model::System& system, const CalibratedInput& input) {
    const Naming of = naming(system, input.input);
    return fmt::format("{} of {}", of.words, place_words(system, of.kind, input.input.rows));
}
std::string choice_words(const model::System& system, const CalibratedChoice& choice) {
    return fmt::format("{} of {}", choice_word(choice.choice),
                       place_words(system, kind_of(choice.choice), choice.choice.rows));
}

std::string before_text(const model::System& system, const CalibratedInput& input) {
    return input.asked
               ? "\"?\""
               : value_text(system, naming(system, input.input), input.input.value, input.input.deviation);
}

/// The likeliest candidates, until little is left.
std::string candidates_text(const model::System& system, const CalibratedChoice& choice) {
    std::vector<std::size_t> order(choice.chances.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::stable_sort(order.begin(), order.end(), [&](std::size_t one, std::size_t other) {
        return choice.chances[one] > choice.chances[other];
    });
    constexpr double enough = 0.95;
    constexpr std::size_t most = 3;
    std::string text;
    double sum = 0;
    for (std::size_t i = 0; i < std::min(most, order.size()) && sum < enough; ++i) {
        text += fmt::format("{}{} {:.0f} %", i == 0 ? "" : ", ", candidate(system, choice.choice, order[i]),
                            100 * choice.chances[order[i]]);
        sum += choice.chances[order[i]];
    }
    return text;
}

}  // namespace

std::string calibration_text(const Speaker& speaker, const solver::Calibration& calibration, bool certain,
                             const Page& page) {
    if (calibration.empty()) return "";
    const model::System& system = speaker.system;
    std::string text = "\nWhat the readings say of the case\n";
    std::vector<std::string> open;
    for (const CalibratedInput& input : calibration.inputs) {
        const Naming of = naming(system, input.input);
        if (input.determined)
            text += paragraph(
                fmt::format("{}: {} (the case: {}).", sentence_case(input_words(system, input)),
                            value_text(system, of, input.after, input.deviation), before_text(system, input)),
                page.columns(), "- ");
        else
            open.push_back(input_words(system, input));
    }
    for (const CalibratedChoice& choice : calibration.choices) {
        if (choice.determined)
            text += paragraph(
                fmt::format("{}: {} (the case: \"?\").", sentence_case(choice_words(system, choice)),
                            candidate(system, choice.choice, choice.best)),
                page.columns(), "- ");
        else
            open.push_back(
                fmt::format("{} ({})", choice_words(system, choice), candidates_text(system, choice)));
    }
    if (!open.empty()) {
        constexpr std::size_t most = 8;
        const std::size_t shown = page.all ? open.size() : std::min(most, open.size());
        std::string list;
        for (std::size_t i = 0; i < shown; ++i) list += (i == 0 ? "" : "; ") + open[i];
        if (shown < open.size()) list += fmt::format("; and {} more (--all)", open.size() - shown);
        text += paragraph("Not determined by these readings: " + list + ".", page.columns());
    }
    if (!certain)
        text += paragraph(
            "These values are fitted as if nothing else were wrong: mend first, read again, and then believe "
            "them.",
            page.columns());
    return text;
}

void write_calibrated(JsonWriter& json, const model::System& system, const solver::Calibration& calibration) {
    const auto place = [&](ElementKind kind, const std::vector<Index>& rows) {
        json.text("at", id_of(system, kind, rows.front()));
        if (rows.size() < 2) return;
        json.key("parts").begin_array();
        for (const Index row : rows) json.text(id_of(system, kind, row));
        json.end_array();
    };
    json.begin_array();
    for (const CalibratedInput& input : calibration.inputs) {
        const Naming of = naming(system, input.input);
        const auto value = [&](double si) { return to_units(si, of.dimension, system.units); };
        const auto size = [&](double si) { return value(si) - value(0); };
        json.line().begin_object().text("input", of.key);
        place(of.kind, input.input.rows);
        const double unknown = std::nan("");
        json.number("before", input.asked ? unknown : value(input.input.value));
        json.number("before_sd", input.asked ? unknown : size(input.input.deviation));
        json.number("after", value(input.after)).number("sd", size(input.deviation));
        json.text("unit", unit_word(of.dimension, system.units)).key("determined").boolean(input.determined);
        json.end_object();
    }
    for (const CalibratedChoice& choice : calibration.choices) {
        json.line().begin_object().text("input", choice_word(choice.choice));
        place(kind_of(choice.choice), choice.choice.rows);
        json.key("before").null().key("before_sd").null();
        json.text("after", candidate(system, choice.choice, choice.best)).key("sd").null();
        json.text("unit", "").key("determined").boolean(choice.determined);
        json.key("candidates").begin_array();
        for (std::size_t i = 0; i < choice.chances.size(); ++i)
            json.begin_object()
                .text("value", candidate(system, choice.choice, i))
                .number("chance", choice.chances[i])
                .end_object();
        json.end_array().end_object();
    }
    json.end_array();
}

namespace {

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
