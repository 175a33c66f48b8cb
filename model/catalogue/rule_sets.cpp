#include "model/rule_sets.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <set>
#include <stdexcept>

#include "model/catalogue/reader.hpp"
#include "model/catalogue/tables.hpp"

namespace evenhead::model {
namespace {

constexpr std::array<std::string_view, 5> materials{"unknown", "pvc", "polyethylene", "copper", "steel"};

std::invalid_argument form_fault() {
    return std::invalid_argument(
        "a line is: set NAME, about WORDS, rule NAME NUMBER UNIT (with \"of design\", \"of mean\", \"above "
        "design\" or "
        "\"in MATERIAL\" behind it or not), rule NAME off, rule NAME fail, or source WORDS");
}

Dimension read_number(const tables::Line& line, Quantity& number) {
    const double value = tables::number(line.words[1]);
    const std::string_view unit = line.words[2];
    if (!(value > 0) || !(value < 1e9)) throw std::invalid_argument("a limit is a number above 0");
    if (unit == "%") {
        number = {value / 100, 0};
        return Dimension::share;
    }
    if (unit == "ft/s" || unit == "m/s") {
        number = {value * (unit == "m/s" ? 1 : 0.3048), 0};
        return Dimension::velocity;
    }
    if (unit == "psi" || unit == "bar" || unit == "kPa") {
        number = {unit == "kPa" ? value * 1000 : tables::in_si(value, unit), 0};
        return Dimension::pressure;
    }
    throw std::invalid_argument("the unit of a limit is %, ft/s, m/s, psi, kPa or bar");
}

class Reader {
  public:
    void take(const tables::Line& line) {
        if (line.key == "set" && line.words.size() == 1) {
            if (!names_.insert(std::string(line.words[0])).second)
                throw std::invalid_argument("this set is already given");
            sets_.push_back({std::string(line.words[0]), "", {}});
        } else if (sets_.empty()) {
            throw std::invalid_argument("before any other line comes one: set NAME");
        } else if (line.key == "about" && !line.rest.empty()) {
            sets_.back().about = line.rest;
        } else if (line.key == "rule" && line.words.size() >= 2) {
            take_rule(line);
        } else if (line.key == "source" && !line.rest.empty()) {
            if (sets_.back().rules.empty()) throw std::invalid_argument("a source stands below its rule");
            sets_.back().rules.back().limit.source = line.rest;
        } else {
            throw form_fault();
        }
    }
    std::vector<RuleSet> sets() && { return std::move(sets_); }

  private:
    /// A second line of the same rule adds to the first: one material each.
    void take_rule(const tables::Line& line) {
        RuleOfSet row;
        row.rule = line.words[0];
        row.line = line.number;
        const std::size_t words = line.words.size();
        if (words == 2 && line.words[1] == "off") {
            row.limit.off = true;
        } else if (words == 2 && line.words[1] == "fail") {
            row.limit.fail = true;
        } else if (words == 3 || words == 5) {
            Quantity number;
            row.dimension = read_number(line, number);
            if (words == 5 && line.words[3] == "in")
                row.limit.by_material[material(line.words[4])] = number;
            else
                row.limit.value = number;
            if (words == 5 && line.words[3] != "in") row.limit.base = base(line);
        } else {
            throw form_fault();
        }
        row.limit.source = "set " + sets_.back().name;
        sets_.back().rules.push_back(row);
    }
    static Limit::Base base(const tables::Line& line) {
        const std::string_view of = line.words[3], what = line.words[4];
        if ((of == "of" || of == "above") && what == "design") return Limit::Base::design;
        if (of == "of" && what == "mean") return Limit::Base::mean;
        throw form_fault();
    }
    static std::size_t material(std::string_view word) {
        const auto found = std::find(materials.begin() + 1, materials.end(), word);
        if (found == materials.end())
            throw std::invalid_argument("a material is pvc, polyethylene, copper or steel");
        return static_cast<std::size_t>(found - materials.begin());
    }

    std::vector<RuleSet> sets_;
    std::set<std::string> names_;
};

}  // namespace

std::vector<RuleSet> read_rule_sets(std::string_view text) {
    Reader reader;
    tables::read(text, [&](const tables::Line& line) { reader.take(line); });
    return std::move(reader).sets();
}

const std::vector<RuleSet>& rule_sets() {
    static const std::vector<RuleSet> sets = read_rule_sets(tables::rule_sets);
    return sets;
}

const RuleSet* find_rule_set(std::string_view name) {
    const auto& sets = rule_sets();
    const auto found =
        std::find_if(sets.begin(), sets.end(), [&](const RuleSet& set) { return set.name == name; });
    return found == sets.end() ? nullptr : &*found;
}

}  // namespace evenhead::model
