#include "io/write/change_words.hpp"

#include <fmt/format.h>

#include <array>
#include <map>

#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::Change;
using solver::ChangeValue;
using solver::ElementKind;
using Table = solver::ChangeSubject::Table;

std::string_view key_words(std::string_view key) {
    static const std::map<std::string_view, std::string_view> words{{"static", "static pressure"},
                                                                    {"residual", "flow test"},
                                                                    {"elev", "elevation"},
                                                                    {"set", "set pressure"},
                                                                    {"closed", "being closed"},
                                                                    {"one_way", "being one-way"},
                                                                    {"safe_flow", "safe flow"},
                                                                    {"at_least", "pressure wanted"},
                                                                    {"c", "C"},
                                                                    {"flow", "chart of flow"},
                                                                    {"x y", "place"},
                                                                    {"rise", "pump curve"},
                                                                    {"loss", "loss"}};
    const auto found = words.find(key);
    return found == words.end() ? key : found->second;
}

}  // namespace

std::string_view ChangeWords::kind(const Change& change) {
    static constexpr std::array<std::string_view, 6> words{"added",   "dropped",   "moved",
                                                           "resized", "renozzled", "changed"};
    return words[static_cast<std::size_t>(change.kind)];
}

std::string_view ChangeWords::table(const Change& change) const {
    static constexpr std::array<std::string_view, 9> words{"supply", "device", "valve", "head", "pipe",
                                                           "nozzle", "point",  "run",   "case"};
    if (change.subject.table == Table::point) {
        constexpr std::array<std::string_view, 5> kinds{"point", "supply", "device", "valve", "head"};
        return kinds[static_cast<std::size_t>(drawn_.system.points[at(change.subject.drawn)].kind)];
    }
    return words[static_cast<std::size_t>(change.subject.table)];
}

std::string_view ChangeWords::key(const Change& change) {
    return key_words(change.key);
}

std::string ChangeWords::id(const Change& change) const {
    const bool there = change.subject.drawn != model::none;
    const model::System& system = (there ? drawn_ : built_).system;
    const model::Index row = there ? change.subject.drawn : change.subject.built;
    switch (change.subject.table) {
        case Table::supply:
            return element_id(system, {ElementKind::supply, row});
        case Table::device:
            return element_id(system, {ElementKind::device, row});
        case Table::valve:
            return element_id(system, {ElementKind::valve, row});
        case Table::head:
            return element_id(system, {ElementKind::head, row});
        case Table::pipe:
            return element_id(system, {ElementKind::pipe, row});
        case Table::nozzle:
            return system.nozzles[at(row)].id;
        case Table::point:
            return system.point_id(row);
        case Table::run:
            return system.runs[at(row)].id;
        case Table::system:
            break;
    }
    return "case";
}

std::string ChangeWords::name(const Change& change) const {
    if (change.subject.table == Table::system) return "the whole case";
    if (change.subject.table == Table::device) {
        const bool there = change.subject.drawn != model::none;
        return element_name((there ? drawn_ : built_).system,
                            {ElementKind::device, there ? change.subject.drawn : change.subject.built});
    }
    return fmt::format("{} {}", table(change), id(change));
}

std::string ChangeWords::value(const Change& change, const ChangeValue& of) const {
    const ShownUnits& units = drawn_.units;
    switch (of.form) {
        case ChangeValue::Form::nothing:
            return "";
        case ChangeValue::Form::words:
            return of.words;
        case ChangeValue::Form::number: {
            if (change.subject.table == Table::device && change.key == "type") {
                const bool drawn = &of == &change.from;
                return std::string(
                    element_noun((drawn ? drawn_ : built_).system,
                                 {ElementKind::device, drawn ? change.subject.drawn : change.subject.built}));
            }
            return units.limit(of.number, of.dimension);
        }
        case ChangeValue::Form::place:
            return fmt::format("{}, {}", units.limit(of.number, Dimension::length),
                               units.limit(of.y, Dimension::length));
        case ChangeValue::Form::chart:
            break;
    }
    const bool nozzle = change.subject.table == Table::nozzle;
    const Dimension at_dimension = nozzle ? Dimension::pressure : Dimension::flow,
                    value_dimension = nozzle ? Dimension::flow : Dimension::pressure;
    std::string text;
    for (const model::ChartRow& row : of.chart)
        text +=
            fmt::format("{}{} at {}", text.empty() ? "" : ", ", units.limit(row.value.value, value_dimension),
                        units.limit(row.at.value, at_dimension));
    return text;
}

std::string ChangeWords::from_to(const Change& change) const {
    if (change.key.empty()) return "";
    const auto side = [&](const ChangeValue& of) {
        const std::string text = value(change, of);
        return text.empty() ? "none" : text;
    };
    return fmt::format("its {} from {} to {}", key_words(change.key), side(change.from), side(change.to));
}

}  // namespace evenhead::io
