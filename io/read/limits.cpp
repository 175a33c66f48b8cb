// Limits by rule: a number of the rule's dimension, "off", or "fail" where the rule only warns.
#include <fmt/format.h>

#include "io/read/fields.hpp"
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

void read_limit(const Fields& limits, const solver::RuleInfo& rule, const Cell& cell) {
    Limit limit;
    const std::string key = fmt::format("limits.{}", rule.name);
    if (cell.kind == Cell::Kind::text && cell.text == "off") {
        limit.off = true;
    } else if (cell.kind == Cell::Kind::text && cell.text == "fail" && rule.takes_fail) {
        limit.fail = true;
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
    for (const auto& [name, value] : cell->fields)
        if (const solver::RuleInfo* rule = solver::find_rule(name)) read_limit(limits, *rule, value);
    if (const Cell* use = limits.find("use"))
        limits.error(*use, fmt::format("nobody defines the rule set {}", shown(*use)),
                     "leave limits.use out: each rule then has its usual limit");
}

}  // namespace evenhead::io
