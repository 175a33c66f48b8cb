#include "io/write/common_json.hpp"

#include "io/write/sentences.hpp"

namespace evenhead::io {

void assumptions_json(JsonWriter& json, const ShownUnits& units, const std::vector<model::Assumption>& rows) {
    for (const model::Assumption& assumption : rows) {
        json.line().begin_object();
        json.text("subject", assumption.subject).text("what", assumption.what);
        json.text("value", assumed_value(units, assumption)).text("why", assumption.why).end_object();
    }
}

void not_judged_json(JsonWriter& json, const model::System& system, const std::vector<solver::RuleId>& off,
                     const std::vector<solver::NotChecked>& not_checked) {
    json.line().key("rules_off").begin_array();
    for (const solver::RuleId rule : off) json.text(rule_name(rule));
    json.end_array().line().key("not_checked").begin_array();
    for (const solver::NotChecked& row : not_checked) {
        json.line().begin_object();
        json.text("rule", rule_name(row.rule)).text("subject", element_id(system, row.subject));
        json.text("why", row.why).end_object();
    }
    json.end_array();
}

void warnings_json(JsonWriter& json, const std::vector<model::Issue>& warnings,
                   const std::vector<std::string>& files) {
    for (const model::Issue& issue : warnings) {
        json.line().begin_object();
        json.text("text", issue.mend.empty() ? issue.text : issue.text + "; " + issue.mend);
        json.text("row", issue.row);
        const auto file = static_cast<std::size_t>(issue.place.file);
        json.text("file", file < files.size() ? files[file] : std::string());
        json.key("line").whole(issue.place.line).end_object();
    }
}

}  // namespace evenhead::io
