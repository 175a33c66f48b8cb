#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/write/review.hpp"
#include "io/write/row_sinks.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Change;
using model::Dimension;
using solver::RuleId;

std::string change_words(const Speaker& speaker, const Change& change, Dimension dimension) {
    if (change.how == Change::How::times)
        return fmt::format("{} of what is given", speaker.units.limit(change.value, Dimension::share));
    if (change.how == Change::How::to) return speaker.units.limit(change.value, dimension);
    return fmt::format("{} {}", speaker.units.limit(std::abs(change.value), dimension),
                       change.value < 0 ? "lower" : "higher");
}

std::string ids_of(const Speaker& speaker, const std::vector<model::Index>& rows, solver::ElementKind kind) {
    std::string ids;
    for (const model::Index row : rows)
        ids += (ids.empty() ? "" : ", ") + element_id(speaker.system, {kind, row});
    return ids;
}

}  // namespace

std::string condition_words(const Speaker& speaker, const solver::ReviewCondition& condition) {
    const model::Condition& change = condition.change;
    std::vector<std::string> parts;
    if (change.supply)
        parts.push_back("static and residual pressures " +
                        change_words(speaker, *change.supply, Dimension::pressure));
    if (change.nozzle)
        parts.push_back("nozzles at " + change_words(speaker, *change.nozzle, Dimension::none));
    if (change.c) parts.push_back("C at " + change_words(speaker, *change.c, Dimension::none));
    for (const auto& [kind, c] : change.c_by_kind) parts.push_back(fmt::format("C of {} at {}", kind, c));
    if (change.temperature)
        parts.push_back("water at " + speaker.units.limit(*change.temperature, Dimension::temperature));
    if (!change.closed_devices.empty())
        parts.push_back("shut: " + ids_of(speaker, change.closed_devices, solver::ElementKind::device));
    if (!change.closed_pipes.empty())
        parts.push_back("shut: " + ids_of(speaker, change.closed_pipes, solver::ElementKind::pipe));
    if (!change.pumps_off.empty())
        parts.push_back("off: " + ids_of(speaker, change.pumps_off, solver::ElementKind::device));
    std::string words;
    for (const std::string& part : parts) words += (words.empty() ? "" : "; ") + part;
    if (words.empty()) words = "the system as given";
    if (condition.supply_change != 0)
        words += condition.by_spread ? " (the spread that the case gives)" : " (assumed)";
    if (condition.ratings_only) words += ", for ratings";
    return words;
}

std::string_view repair_kind(solver::Repair::Kind kind) {
    switch (kind) {
        case solver::Repair::Kind::pipe:
            return "pipe";
        case solver::Repair::Kind::nozzle:
            return "nozzle";
        case solver::Repair::Kind::valve:
            return "valve";
        case solver::Repair::Kind::device:
            return "device";
    }
    return "";
}

double margin_in_unit(const ShownUnits& units, const solver::Worst& worst) {
    const double apart =
        units.in_unit(worst.limit, worst.dimension) - units.in_unit(worst.value, worst.dimension);
    return std::copysign(apart, worst.margin);
}

std::string margin_number(const ShownUnits& units, const solver::Worst& worst, bool with_unit) {
    if (!worst.judged || worst.dimension == Dimension::none || std::isnan(worst.margin)) return "-";
    if (worst.dimension != Dimension::temperature)
        return with_unit ? units.text(worst.margin, worst.dimension)
                         : units.number(worst.margin, worst.dimension);
    const std::string apart = fmt::format("{:.1f}", margin_in_unit(units, worst));
    return with_unit ? apart + " " + std::string(units.word(worst.dimension)) : apart;
}

std::string claim_off(const solver::Claim& claim) {
    return fmt::format("{:+.1f} %", 100 * claim.off());
}

std::string_view margin_note(const solver::SupplyMargin& margin) {
    if (std::isnan(margin.drop)) return "no pressure mends it";
    if (margin.at_least) return "holds without any";
    return margin.drop < 0 ? "must rise" : "";
}

std::string limit_text(const ShownUnits& units, const solver::RuleInfo& rule,
                       const solver::RuleLimit& limit) {
    constexpr std::string_view materials[] = {"other pipe", "pvc", "polyethylene", "copper", "steel"};
    std::string words = units.limit(limit.value, rule.limit);
    if (limit.differs_by_material)
        for (std::size_t m = 1; m < std::size(materials); ++m)
            if (limit.by_material[m] != limit.value)
                words += fmt::format(", {} {}", materials[m], units.limit(limit.by_material[m], rule.limit));
    if (limit.base == model::Limit::Base::design)
        words += rule.limit == Dimension::share ? " of design" : " above design";
    if (limit.base == model::Limit::Base::mean) words += " of the mean";
    return words;
}

std::vector<SetLimit> limits_of_set(const Speaker& speaker, const model::Layout& layout) {
    std::vector<SetLimit> rows;
    if (speaker.system.rule_set.empty()) return rows;
    const auto basis = solver::prepare_rules(speaker.system, layout);
    for (const solver::RuleInfo& rule : solver::rule_table()) {
        const solver::RuleLimit& limit = basis[rule.id];
        if (limit.source.empty()) continue;
        rows.push_back({std::string(rule.name),
                        limit.off    ? "off"
                        : limit.fail ? "fails"
                                     : limit_text(speaker.units, rule, limit),
                        limit.source});
    }
    return rows;
}

std::vector<std::string> unsolved_sentences(const Speaker& speaker, const solver::RulesReview& rules) {
    std::vector<std::string> sentences;
    for (const solver::UnsolvedRun& run : rules.unsolved) {
        std::string text =
            fmt::format("Run {} under {}:", element_id(speaker.system, {solver::ElementKind::run, run.run}),
                        rules.conditions[run.condition].change.id);
        for (const std::string& sentence : failure_sentences(speaker, run.failure)) text += " " + sentence;
        sentences.push_back(std::move(text));
    }
    return sentences;
}

std::string run_of_row(const model::System& system, const solver::RuleRow& row) {
    if (row.run != model::none) return element_id(system, {solver::ElementKind::run, row.run});
    return row.rule == RuleId::pipe_rating || row.rule == RuleId::working_pressure ||
                   row.rule == RuleId::regulator
               ? "none"
               : "";
}

void rule_row(RowSink& sink, const Speaker& speaker, const solver::RulesReview& rules,
              const solver::RuleRow& row) {
    const solver::Worst& worst = row.worst;
    const double nothing = std::nan("");
    const auto number = [&](const char* key, double si) {
        sink.number(key, worst.judged ? speaker.units.in_unit(si, worst.dimension) : nothing);
    };
    sink.text("rule", rule_name(row.rule));
    sink.text("condition", rules.conditions[row.condition].change.id);
    const std::string run = run_of_row(speaker.system, row);
    run.empty() ? sink.number("run", nothing) : sink.text("run", run);
    sink.text("subject", worst.judged ? element_id(speaker.system, worst.subject) : "");
    number("value", worst.value);
    number("limit", worst.limit);
    sink.text("unit", speaker.units.word(worst.dimension));
    sink.number("margin", worst.judged ? margin_in_unit(speaker.units, worst) : nothing);
    sink.boolean("fails", worst.fails);
    sink.boolean("deciding", row.deciding);
}

void write_review_csv(Output& output, const ReviewSubject& subject) {
    const Speaker speaker{subject.system, ShownUnits::of_case(subject.system.units)};
    output.write("rule,condition,run,subject,value,limit,unit,margin,fails,deciding\n");
    CsvRow sink(output);
    for (const solver::RuleRow& row : subject.review.rules.rows) {
        rule_row(sink, speaker, subject.review.rules, row);
        sink.end();
    }
}

}  // namespace evenhead::io
