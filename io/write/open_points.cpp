#include "io/write/open_points.hpp"

#include <fmt/format.h>

#include "io/write/gathered.hpp"

namespace evenhead::io {

std::vector<std::string> assumed_sentences(const Speaker& speaker, const model::Layout& layout,
                                           std::size_t most) {
    Gathered gathered;
    for (const auto* list : {&speaker.system.assumptions, &layout.assumptions})
        for (const auto& assumption : *list)
            gathered.add(assumption_and_reason(speaker.units, assumption), assumption.subject);
    return gathered.sentences(
        [](const std::string& text, const std::string& ids) { return ids + ": " + text + "."; }, most);
}

std::vector<std::string> not_checked_sentences(const model::System& system, const NotCheckedList& rows,
                                               const std::vector<solver::RuleId>& off, std::size_t most) {
    Gathered gathered;
    for (const auto& row : rows.rows()) {
        std::string rule(rule_name(row.rule));
        if (!row.why.empty()) rule += " (" + row.why + ")";
        gathered.add(rule, element_id(system, row.subject));
    }
    auto sentences = gathered.sentences(
        [](const std::string& rule, const std::string& ids) { return rule + ": " + ids + "."; }, most);
    for (const auto rule : off)
        sentences.push_back(fmt::format("{}: off, by the limits of this case.", rule_name(rule)));
    return sentences;
}

}  // namespace evenhead::io
