#include "model/takeoff/rules.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "model/catalogue/reader.hpp"
#include "model/catalogue/tables.hpp"
#include "model/position.hpp"

namespace evenhead::model {
namespace {

using tables::Line;
using Words = std::vector<std::string_view>;

constexpr double endless = std::numeric_limits<double>::infinity();

[[noreturn]] void refuse(const std::string& why) {
    throw std::invalid_argument(why);
}

double above_zero(std::string_view word) {
    const double value = tables::number(word);
    if (!(value > 0) || !std::isfinite(value)) refuse(std::string(word) + " is not above 0");
    return value;
}

double zero_or_more(std::string_view word) {
    const double value = tables::number(word);
    if (!(value >= 0) || !std::isfinite(value)) refuse(std::string(word) + " is below 0");
    return value;
}

double metres(std::string_view number, std::string_view unit) {
    const double value = zero_or_more(number);
    if (unit == "ft") return value * 0.3048;
    if (unit == "in" || unit == "mm" || unit == "m") return tables::in_si(value, unit);
    refuse("not a unit of length here: " + std::string(unit));
}

/// A value for US and one for metric cases; "any any" where `open`.
UsualLength usual(const Words& words, std::size_t first, bool open = false) {
    if (open && words[first] == "any" && words[first + 1] == "any") return {endless, endless};
    if (words.size() < first + 4) refuse("two lengths are wanted, for US and for metric cases");
    return {metres(words[first], words[first + 1]), metres(words[first + 2], words[first + 3])};
}

double share(const Words& words, std::size_t first) {
    if (words.size() != first + 2 || words[first + 1] != "%") refuse("a share is written as 5 %");
    const double value = zero_or_more(words[first]) / 100;
    if (value > 1) refuse("a waste of more than 100 %");
    return value;
}

void check(bool right, const char* form) {
    if (!right) refuse(std::string("the line is: ") + form);
}

int count(std::string_view word) {
    const double value = above_zero(word);
    if (value != std::floor(value) || value > 1000) refuse("a whole number from 1 to 1000 is wanted");
    return static_cast<int>(value);
}

struct RuleReader {
    TakeoffRules& rules;
    bool pipes = false, wires = false, inlets = false;  ///< the rows before these are forgotten already

    template <class Rows>
    static void begin(bool& begun, Rows& rows) {
        if (!begun) rows.clear();
        begun = true;
    }

    void pipe(const Words& words) {
        constexpr const char* form =
            "pipe KINDS UP-TO FAMILY PIECE length|coil coupling|fusion|threaded|bell ELBOWS-FROM";
        const bool any = words.size() > 1 && words[1] == "any";
        const std::size_t i = any ? 2 : 3;
        check(words.size() == i + 6, form);
        begin(pipes, rules.pipes);
        PipeRule rule;
        rule.kinds = words[0];
        rule.largest = any ? endless : metres(words[1], words[2]);
        rule.family = words[i];
        rule.piece = metres(words[i + 1], words[i + 2]);
        if (!(rule.piece > 0)) refuse("a piece of pipe has a length");
        check(words[i + 3] == "length" || words[i + 3] == "coil", form);
        rule.coil = words[i + 3] == "coil";
        constexpr std::array<std::string_view, 4> joints{"coupling", "fusion", "threaded", "bell"};
        const auto joined = std::find(joints.begin(), joints.end(), words[i + 4]);
        check(joined != joints.end(), form);
        rule.joined = static_cast<PipeRule::Joined>(joined - joints.begin());
        rule.elbows_from = above_zero(words[i + 5]);
        rules.pipes.push_back(std::move(rule));
    }

    void trench(const Words& words) {
        check(words.size() == 5, "trench width|mainline|lateral US METRIC");
        UsualLength* const lengths[] = {&rules.trench_width, &rules.mainline_depth, &rules.lateral_depth};
        constexpr std::array<std::string_view, 3> names{"width", "mainline", "lateral"};
        const auto name = std::find(names.begin(), names.end(), words[0]);
        if (name == names.end()) refuse("nobody knows the trench " + std::string(words[0]));
        *lengths[name - names.begin()] = usual(words, 1);
    }

    void wire(const Words& words) {
        check(words.size() == 5 && (words[0] == "slack" || words[0] == "spool"),
              "wire slack|spool US METRIC");
        const UsualLength length = usual(words, 1);
        const bool spool = words[0] == "spool";
        if (spool && !(length.us > 0 && length.metric > 0)) refuse("a spool has a length");
        (spool ? rules.wire_spool : rules.wire_slack) = length;
    }

    void box(const Words& words) {
        constexpr const char* form = "box valves N, box reach US METRIC, or box DEVICE standard|round|none";
        check(words.size() >= 2, form);
        if (words[0] == "valves") {
            rules.box_valves = count(words[1]);
        } else if (words[0] == "reach") {
            rules.box_reach = usual(words, 1);
        } else {
            const auto item = find_item(words[0]);
            check(item && *item >= TakeoffItem::meter && *item <= TakeoffItem::other, form);
            constexpr std::array<std::string_view, 3> boxes{"none", "round", "standard"};
            const auto kind = std::find(boxes.begin(), boxes.end(), words[1]);
            check(kind != boxes.end(), form);
            rules.device_box[static_cast<std::size_t>(*item) - static_cast<std::size_t>(TakeoffItem::meter)] =
                static_cast<BoxKind>(kind - boxes.begin());
        }
    }

    void gauge(const Line& line) {
        const Words& words = line.words;
        check(words.size() >= 5, "gauge US METRIC WIRE / METRIC-WIRE");
        WireRule rule;
        rule.reach = usual(words, 0, true);
        const auto slash = line.rest.find(" / ");
        check(slash != std::string_view::npos, "gauge US METRIC WIRE / METRIC-WIRE");
        const std::string_view name = words[std::isinf(rule.reach.us) ? 2 : 4];
        const auto start = static_cast<std::size_t>(name.data() - line.rest.data());
        check(start < slash, "gauge US METRIC WIRE / METRIC-WIRE");
        rule.us = line.rest.substr(start, slash - start);
        rule.metric = line.rest.substr(slash + 3);
        begin(wires, rules.wires);
        rules.wires.push_back(std::move(rule));
    }

    void inlet(const Words& words) {
        check(words.size() == 3 || (words.size() == 2 && words[1] == "any"),
              "head-inlet THREAD FLOW gpm|any");
        InletRule rule;
        rule.thread = words[0];
        rule.flow = words[1] == "any" ? endless : tables::in_si(above_zero(words[1]), words[2]);
        if (words.size() == 3 && words[2] != "gpm") refuse("a flow here is in gpm");
        begin(inlets, rules.inlets);
        rules.inlets.push_back(std::move(rule));
    }

    void price(const Words& words) {
        check(words.size() == 3, "price ITEM A B");
        const auto item = find_item(words[0]);
        if (!item) refuse("nobody knows the item " + std::string(words[0]));
        if (*item == TakeoffItem::pipe) refuse("prices of pipe are those of the case");
        PriceRule rule{zero_or_more(words[1]), zero_or_more(words[2])};
        if (kind_of(*item).by_length) rule.at_one_inch /= 0.3048;
        rules.prices[static_cast<std::size_t>(*item)] = rule;
    }

    void family(const Words& words) {
        check(words.size() == 2, "family FAMILY FACTOR");
        auto& factors = rules.family_factors;
        const auto found =
            std::find_if(factors.begin(), factors.end(), [&](const auto& f) { return f.first == words[0]; });
        if (found == factors.end())
            factors.emplace_back(words[0], above_zero(words[1]));
        else
            found->second = above_zero(words[1]);
    }

    void take(const Line& line) {
        const Words& words = line.words;
        if (line.key == "pipe") return pipe(words);
        if (line.key == "trench") return trench(words);
        if (line.key == "wire") return wire(words);
        if (line.key == "box") return box(words);
        if (line.key == "gauge") return gauge(line);
        if (line.key == "head-inlet") return inlet(words);
        if (line.key == "price") return price(words);
        if (line.key == "family") return family(words);
        if (line.key == "waste" && words.size() == 3 && words[0] == "pipe") {
            rules.pipe_waste = share(words, 1);
        } else if (line.key == "waste" && words.size() == 3 && words[0] == "wire") {
            rules.wire_waste = share(words, 1);
        } else if (line.key == "connectors" && words.size() == 2 && words[0] == "valve") {
            rules.connectors = static_cast<int>(zero_or_more(words[1]));
        } else {
            refuse(
                "a line begins with pipe, waste pipe, waste wire, trench, wire, box, connectors valve, "
                "gauge, "
                "head-inlet, price or family");
        }
    }
};

bool fits(const PipeRule& rule, const PipeSize& size) {
    const std::string& kinds = rule.kinds;
    const bool open = !kinds.empty() && kinds.back() == '*';
    const bool named = open ? size.kind.starts_with(std::string_view(kinds).substr(0, kinds.size() - 1))
                            : size.kind == kinds;
    // A size that is not known is taken for a small one.
    return named && (std::isnan(size.outside) || size.outside <= rule.largest * (1 + 1e-9));
}

}  // namespace

const PipeRule& TakeoffRules::of(const PipeSize& size) const {
    const auto found =
        std::find_if(pipes.begin(), pipes.end(), [&](const PipeRule& rule) { return fits(rule, size); });
    if (found == pipes.end()) throw std::logic_error("no pipe row of the table fits " + size.kind);
    return *found;
}

double TakeoffRules::family_factor(std::string_view family) const {
    double factor = 1;
    for (const auto& [name, times] : family_factors)
        if (name == family) factor = times;
    return factor;
}

TakeoffRules read_takeoff_rules(std::string_view text) {
    TakeoffRules rules = takeoff_rules();
    const PipeRule last = rules.pipes.back();
    RuleReader reading{rules};
    tables::read(text, [&](const Line& line) { reading.take(line); });
    if (rules.pipes.back().kinds != "*" || !std::isinf(rules.pipes.back().largest))
        rules.pipes.push_back(last);
    return rules;
}

const TakeoffRules& takeoff_rules() {
    static const TakeoffRules rules = [] {
        TakeoffRules made;
        RuleReader reading{made};
        tables::read(tables::takeoff, [&](const Line& line) { reading.take(line); });
        return made;
    }();
    return rules;
}

}  // namespace evenhead::model
