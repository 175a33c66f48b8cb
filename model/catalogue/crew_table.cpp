#include "model/crew_table.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "model/catalogue/reader.hpp"
#include "model/catalogue/tables.hpp"

namespace evenhead::model {
namespace {

using tables::Line;

constexpr double foot = 0.3048;  // m

[[noreturn]] void refuse(const std::string& why) {
    throw std::invalid_argument(why);
}

double above_zero(std::string_view word) {
    const double value = tables::number(word);
    if (!(value > 0) || !std::isfinite(value)) refuse(std::string(word) + " is not above 0");
    return value;
}

/// What follows the first `count` words of a line.
std::string rest_after(const Line& line, std::size_t count) {
    if (line.words.size() <= count) return "";
    const char* begin = line.words[count].data();
    return {begin, line.words.back().data() + line.words.back().size()};
}

struct CrewReader {
    CrewTable& table;
    std::array<bool, 2> begun{};  ///< wire of this system (us, metric): the rows before these are forgotten

    void wire(const Line& line) {
        constexpr const char* form = "the line is: wire us|metric OHM ohm/1000ft|ohm/km NAME";
        const auto& words = line.words;
        if (words.size() < 4 || (words[0] != "us" && words[0] != "metric")) refuse(form);
        const bool per_foot = words[2] == "ohm/1000ft";
        if (!per_foot && words[2] != "ohm/km") refuse(form);
        WireGauge gauge;
        gauge.metric = words[0] == "metric";
        gauge.resistance = above_zero(words[1]) / 1000 / (per_foot ? foot : 1);
        gauge.name = rest_after(line, 3);
        const std::size_t system = gauge.metric ? 1 : 0;
        if (!begun[system])
            std::erase_if(table.wires, [&](const WireGauge& old) { return old.metric == gauge.metric; });
        begun[system] = true;
        if (table.find(gauge.name)) refuse("wire " + gauge.name + " is given twice");
        for (const WireGauge& old : table.wires)
            if (old.metric == gauge.metric && old.resistance <= gauge.resistance)
                refuse("the thinnest wire comes first: " + gauge.name + " is thinner than " + old.name);
        table.wires.push_back(std::move(gauge));
    }

    static double with_unit(const Line& line, std::size_t first, std::string_view unit) {
        if (line.words.size() != first + 2 || line.words[first + 1] != unit)
            refuse("a number with its unit is wanted here, in " + std::string(unit));
        return above_zero(line.words[first]);
    }

    void flow(const Line& line) {
        const auto& words = line.words;
        if (words.size() < 4 || words[2] != "%") refuse("the line is: flow low|high|leak SHARE % REASON");
        const FlowShare share{above_zero(words[1]) / 100, rest_after(line, 3)};
        if (words[0] == "low" && share.share < 1)
            table.low = share;
        else if (words[0] == "high" && share.share > 1)
            table.high = share;
        else if (words[0] == "leak" && share.share < 1)
            table.leak = share;
        else
            refuse("flow low and leak are below 100 %, flow high is above it");
    }

    void air(const Line& line) {
        const auto& words = line.words;
        if (words.size() < 4 || (words[2] != "psi" && words[2] != "bar"))
            refuse("the line is: air pvc|polyethylene|other PRESSURE psi|bar BASIS");
        const double pressure = tables::in_si(above_zero(words[1]), words[2]);
        if (words[0] == "pvc") {
            table.air_pvc = pressure;
            table.air_basis = rest_after(line, 3);
        } else if (words[0] == "polyethylene") {
            table.air_polyethylene = pressure;
        } else if (words[0] == "other") {
            table.air_other = pressure;
        } else {
            refuse("air is for pvc, polyethylene or other");
        }
    }

    void take(const Line& line) {
        const std::string_view what = line.words.empty() ? std::string_view() : line.words[0];
        if (line.key == "wire") return wire(line);
        if (line.key == "flow") return flow(line);
        if (line.key == "air") return air(line);
        if (line.key == "controller") {
            table.controller = with_unit(line, 0, "V");
        } else if (line.key == "solenoid" && what == "inrush") {
            table.inrush = with_unit(line, 1, "A");
        } else if (line.key == "solenoid" && what == "holding") {
            table.holding = with_unit(line, 1, "A");
        } else if (line.key == "solenoid" && what == "least") {
            table.least = with_unit(line, 1, "V");
        } else if (line.key == "copper" && what == "temperature") {
            table.ground_temperature = with_unit(line, 1, "degC");
        } else if (line.key == "copper" && what == "per-degree" && line.words.size() == 2) {
            table.per_degree = above_zero(line.words[1]);
        } else {
            refuse(
                "a line begins with wire, copper per-degree, copper temperature, solenoid inrush, solenoid "
                "holding, solenoid least, controller, flow or air");
        }
    }
};

}  // namespace

const WireGauge* CrewTable::find(std::string_view name) const {
    const auto found =
        std::find_if(wires.begin(), wires.end(), [&](const WireGauge& wire) { return wire.name == name; });
    return found == wires.end() ? nullptr : &*found;
}

double CrewTable::air_limit(Material material) const {
    if (material == Material::pvc) return air_pvc;
    return material == Material::polyethylene ? air_polyethylene : air_other;
}

CrewTable read_crew_table(std::string_view text) {
    CrewTable table = crew_table();
    CrewReader reader{table};
    int last = 1;
    tables::read(text, [&](const Line& line) {
        reader.take(line);
        last = line.number;
    });
    if (!(table.least < table.controller))
        throw tables::LineFault(last, "the controller gives no more than the solenoid needs to pull in");
    return table;
}

const CrewTable& crew_table() {
    static const CrewTable table = [] {
        CrewTable read;
        CrewReader reader{read};
        tables::read(tables::crew, [&](const Line& line) { reader.take(line); });
        return read;
    }();
    return table;
}

}  // namespace evenhead::model
