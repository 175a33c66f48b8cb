// Limits by rule: a number of the rule's dimension, "off", or "fail" where the rule only warns. `use` names a
// set of them, of the catalogue or in a file beside the case; what the case sets itself goes before.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "io/read/fields.hpp"
#include "io/read/source.hpp"
#include "model/catalogue/reader.hpp"
#include "model/rule_sets.hpp"
#include "solver/rules/rules.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Limit;

std::vector<std::string_view> rule_names() {
    std::vector<std::string_view> names;
    for (const solver::RuleInfo& rule : solver::rule_table()) names.push_back(rule.name);
    names.emplace_back("use");
    return names;
}

constexpr std::string_view material_keys[] = {"pvc", "polyethylene", "copper", "steel"};  // Material 1 to 4

/// limits.velocity = { pvc = 5, copper = 7 }; materials that it does not name keep what the rule set asks.
Limit read_by_material(const Fields& limits, const solver::RuleInfo& rule, const Cell& cell) {
    Limit limit;
    const auto& of_set = limits.reader().system.limits;
    if (const auto known = of_set.find(std::string(rule.name)); known != of_set.end()) {
        limit.value = known->second.value;
        limit.by_material = known->second.by_material;
    }
    const std::string key = fmt::format("limits.{}", rule.name);
    refuse_unknown_keys(limits.reader(), cell.fields, material_keys, key, "limits");
    for (std::size_t material = 0; material < std::size(material_keys); ++material) {
        const Cell* own = find_cell(cell.fields, material_keys[material]);
        if (!own) continue;
        const std::string name = fmt::format("{}.{}", key, material_keys[material]);
        const model::Quantity value = limits.read(*own, name, rule.limit);
        if (own->kind == Cell::Kind::text && own->text == "?")
            limits.error(*own, fmt::format("{} cannot be unknown", name), "write a number, or leave it out");
        else if (value.value <= 0)
            limits.error(*own, fmt::format("{} is not above zero", shown(name, *own)),
                         fmt::format("to drop the rule write {} = \"off\"", key));
        limit.by_material[material + 1] = value;
    }
    return limit;
}

void read_limit(const Fields& limits, const solver::RuleInfo& rule, const Cell& cell) {
    Limit limit;
    const std::string key = fmt::format("limits.{}", rule.name);
    if (cell.kind == Cell::Kind::text && cell.text == "off") {
        limit.off = true;
    } else if (cell.kind == Cell::Kind::text && cell.text == "fail" && rule.takes_fail) {
        limit.fail = true;
    } else if (cell.kind == Cell::Kind::table && rule.id == solver::RuleId::velocity) {
        limit = read_by_material(limits, rule, cell);
    } else if (rule.limit == Dimension::none) {
        limits.error(cell, fmt::format("{} takes no such value", shown(key, cell)),
                     rule.takes_fail ? fmt::format("write {} = \"fail\" or \"off\"", key)
                                     : fmt::format("write {} = \"off\", or leave it out", key));
        return;
    } else {
        limit.value = limits.read(cell, key, rule.limit);
        if (cell.kind == Cell::Kind::text && cell.text == "?")
            limits.error(cell, fmt::format("{} cannot be unknown", key),
                         fmt::format("write a number, or {} = \"off\"", key));
        if (rule.limit == Dimension::share) limits.warn_of_bare_fraction(rule.name);
        // Only a limit on pressure below the atmosphere may be below zero.
        if (limit.value->value <= 0 && rule.id != solver::RuleId::below_atmosphere)
            limits.error(cell, fmt::format("{} is not above zero", shown(key, cell)),
                         fmt::format("to drop the rule write {} = \"off\"", key));
    }
    limits.reader().system.limits.insert_or_assign(std::string(rule.name), limit);
}

/// What is wrong with a line of a set as a limit of its rule; empty where nothing is.
std::string fault_of(const model::RuleOfSet& row) {
    const solver::RuleInfo* rule = solver::find_rule(row.rule);
    if (rule == nullptr) return fmt::format("nobody knows the rule {}", io::quoted(row.rule));
    if (row.limit.fail && !rule->takes_fail)
        return fmt::format("{} has no warning that could fail", row.rule);
    if (row.dimension != Dimension::none && row.dimension != rule->limit)
        return fmt::format("{} takes no limit of this unit", row.rule);
    const bool by_material = std::any_of(row.limit.by_material.begin(), row.limit.by_material.end(),
                                         [](const auto& value) { return value.has_value(); });
    if (by_material && rule->id != solver::RuleId::velocity)
        return fmt::format("{} does not go by material", row.rule);
    if (row.limit.base == Limit::Base::mean && rule->id != solver::RuleId::zone_spread)
        return fmt::format("{} is no share of a mean", row.rule);
    return "";
}

/// A rule of several lines has the source of each, said of the material that its line is about.
std::string joined_source(const std::string& before, const Limit& line) {
    constexpr std::array<std::string_view, 5> materials{"", "pvc", "polyethylene", "copper", "steel"};
    if (before.empty()) return line.source;
    if (before == line.source || before.starts_with(line.source + ";")) return before;
    for (std::size_t m = 1; m < materials.size(); ++m)
        if (line.by_material[m]) return fmt::format("{}; in {}: {}", before, materials[m], line.source);
    return before + "; " + line.source;
}

void take_set(model::System& system, std::string_view name, const model::RuleSet& set) {
    system.rule_set = name;
    system.rule_set_about = set.about;
    for (const model::RuleOfSet& row : set.rules) {
        Limit& limit = system.limits[row.rule];
        const auto materials = limit.by_material;
        const model::OptionalQuantity value = limit.value;
        const std::string before = limit.source;
        limit = row.limit;
        limit.source = joined_source(before, row.limit);
        for (std::size_t material = 0; material < materials.size(); ++material)
            if (!limit.by_material[material]) limit.by_material[material] = materials[material];
        if (!limit.value && !limit.off) limit.value = value;
    }
}

constexpr std::string_view set_form =
    "write lines such as: set town, about WORDS, rule velocity 5 ft/s, source WORDS";

void read_set_file(const Fields& limits, const Cell& cell) {
    CaseReader& reader = limits.reader();
    Document& document = reader.document;
    const FileBeside beside = file_beside(document.files.front(), cell.text, "a file of a rule set");
    if (!beside.fault.empty()) return limits.error(cell, beside.fault, beside.mend);
    const int position = static_cast<int>(document.files.size());
    document.files.emplace_back(cell.text);
    const auto text = read_source(beside.file, position, cell.place, false, document);
    if (!text) {
        // What is wrong with the file is among the errors of the document, which were taken already.
        const model::Issue issue = document.errors.back();
        document.errors.pop_back();
        return reader.error(issue.place, "limits", issue.text, issue.mend);
    }
    std::vector<model::RuleSet> sets;
    try {
        sets = model::read_rule_sets(*text);
    } catch (const model::tables::LineFault& fault) {
        return reader.error({position, fault.line, 1}, "limits", fault.words, std::string(set_form));
    }
    if (sets.size() != 1)
        return reader.error({position, 1, 1}, "limits",
                            fmt::format("this file holds {} rule sets", sets.size()),
                            "write one set in a file");
    for (const model::RuleOfSet& row : sets.front().rules)
        if (const std::string fault = fault_of(row); !fault.empty())
            reader.error({position, row.line, 1}, "limits", fault, std::string(set_form));
    take_set(reader.system, cell.text, sets.front());
}

void read_use(const Fields& limits, const Cell& cell) {
    if (cell.kind != Cell::Kind::text)
        return limits.error(cell, fmt::format("{} names no rule set", shown("use", cell)),
                            "write limits.use = \"careful\"");
    if (const model::RuleSet* set = model::find_rule_set(cell.text))
        return take_set(limits.reader().system, cell.text, *set);
    if (cell.text.find_first_of("./\\") != std::string_view::npos) return read_set_file(limits, cell);
    model::NearestName nearest(cell.text);
    std::string names;
    for (const model::RuleSet& set : model::rule_sets()) {
        nearest.offer(set.name);
        names += (names.empty() ? "" : ", ") + set.name;
    }
    limits.error(
        cell, fmt::format("nobody defines the rule set {}", shown(cell)),
        did_you_mean(
            nearest.found(),
            fmt::format(
                "name one of {}; or a file of such a set beside the case, as limits.use = \"town.txt\"",
                names)));
}

}  // namespace

void read_limits(CaseReader& reader) {
    const Cell* cell = reader.document.find_top("limits");
    if (!cell) return;
    if (cell->kind != Cell::Kind::table) {
        reader.error(cell->place, "limits", fmt::format("{} names no rule", shown("limits", *cell)),
                     "write limits.velocity = 5");
        return;
    }
    const std::vector<std::string_view> names = rule_names();
    const TableReader table{"limits", names, nullptr};
    const Fields limits(reader, table, cell->fields, nullptr, cell->place, "limits");
    if (const Cell* use = limits.find("use")) read_use(limits, *use);
    for (const auto& [name, value] : cell->fields)
        if (const solver::RuleInfo* rule = solver::find_rule(name)) read_limit(limits, *rule, value);
}

}  // namespace evenhead::io
