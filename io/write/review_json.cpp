#include "io/write/chance.hpp"
#include "io/write/common_json.hpp"
#include "io/write/json_writer.hpp"
#include "io/write/not_checked.hpp"
#include "io/write/review.hpp"
#include "io/write/row_sinks.hpp"
#include "io/write/sensitivity.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::ElementKind;

class ReviewJson {
  public:
    ReviewJson(Output& output, const ReviewSubject& subject)
        : output_(output),
          json_(output),
          row_(json_),
          subject_(subject),
          speaker_{subject.system, ShownUnits::of_case(subject.system.units)} {}

    void write() {
        const solver::Review& review = subject_.review;
        json_.begin_object().key("schema").whole(1);
        json_.text("case", case_title(subject_.system, subject_.case_path));
        units();
        json_.line().key("ok").boolean(review.solved() && review.within_limits());
        conditions();
        rule_set();
        table("rules", review.rules.rows,
              [&](const solver::RuleRow& row) { rule_row(row_, speaker_, review.rules, row); });
        table("findings", review.rules.findings, [&](const solver::ReviewFinding& row) { finding(row); });
        table("unsolved", review.rules.unsolved, [&](const solver::UnsolvedRun& row) {
            json_.text("condition", condition_id(row.condition)).text("run", run_id(row.run));
            json_.text("kind", row.failure.kind).text("text", row.failure.text);
        });
        table("stated", review.rules.claims, [&](const solver::Claim& row) {
            const auto number = [&](double si) { return speaker_.units.in_unit(si, row.dimension); };
            json_.text("run", run_id(row.run)).text("subject", element_id(subject_.system, row.subject));
            json_.text("kind", row.dimension == Dimension::flow ? "flow" : "pressure");
            json_.number("stated", number(row.stated)).number("computed", number(row.computed));
            json_.text("unit", speaker_.units.word(row.dimension)).key("fails").boolean(row.fails);
        });
        table("outage", review.outage.rows, [&](const solver::Outage& row) {
            json_.text("closed", element_id(subject_.system, row.closed)).text("run", run_id(row.run));
            row_.ids("heads", head_ids(row.heads));
            row_.ids("dry", head_ids(row.dry));
            json_.key("solved").boolean(!row.unsolved);
        });
        json_.line().key("outage_tried").begin_object();
        json_.key("gates").whole(static_cast<long long>(review.outage.gates));
        json_.key("pipes").whole(static_cast<long long>(review.outage.pipes));
        json_.key("left_out").whole(static_cast<long long>(review.outage.left_out)).end_object();
        table("margins", review.margins, [&](const solver::SupplyMargin& row) {
            json_.text("run", run_id(row.run)).text("subject", head_id(row.head));
            json_.number("supply_drop", pressure(row.drop));
            json_.key("at_least").boolean(row.at_least);
        });
        json_.line().key("margins_left_out").whole(static_cast<long long>(review.margins_left_out));
        table("repairs", review.repairs.rows, [&](const solver::Repair& row) { repair(row); });
        json_.line().key("repairs_left_out").whole(static_cast<long long>(review.repairs.left_out));
        json_.key("nozzles_left_out").whole(static_cast<long long>(review.repairs.nozzles_left_out));
        if (subject_.sensitivity != nullptr) sensitivity_json(json_, speaker_, *subject_.sensitivity);
        json_.line().key("runs_left_out").whole(static_cast<long long>(subject_.runs_left_out));
        if (subject_.chance != nullptr) chance_json(json_, speaker_, *subject_.chance, *subject_.spreads);
        rest();
        json_.line().end_object();
        output_.write("\n");
    }

  private:
    template <typename Rows, typename Write>
    void table(std::string_view name, const Rows& rows, const Write& write_row) {
        json_.line().key(name).begin_array();
        for (const auto& row : rows) {
            json_.line().begin_object();
            write_row(row);
            json_.end_object();
        }
        json_.end_array();
    }
    double pressure(double si) const { return speaker_.units.in_unit(si, Dimension::pressure); }
    std::string run_id(Index run) const { return element_id(subject_.system, {ElementKind::run, run}); }
    std::string head_id(Index head) const { return element_id(subject_.system, {ElementKind::head, head}); }
    std::vector<std::string> head_ids(const std::vector<Index>& heads) const {
        std::vector<std::string> ids;
        ids.reserve(heads.size());
        for (const Index head : heads) ids.push_back(head_id(head));
        return ids;
    }
    const std::string& condition_id(std::size_t condition) const {
        return subject_.review.rules.conditions[condition].change.id;
    }

    void units() {
        json_.key("units").begin_object();
        for (const auto& [key, dimension] : {std::pair{"pressure", Dimension::pressure},
                                             {"flow", Dimension::flow},
                                             {"length", Dimension::length},
                                             {"velocity", Dimension::velocity},
                                             {"bore", Dimension::bore},
                                             {"temperature", Dimension::temperature}})
            json_.text(key, speaker_.units.word(dimension));
        json_.end_object();
    }
    void conditions() {
        const auto& rows = subject_.review.rules.conditions;
        table("conditions", rows, [&](const solver::ReviewCondition& condition) {
            json_.text("id", condition.change.id).text("text", condition_words(speaker_, condition));
            json_.key("assumed").boolean(condition.supply_change != 0 && !condition.by_spread);
        });
    }
    void rule_set() {
        json_.line().key("rule_set");
        if (subject_.system.rule_set.empty()) {
            json_.null();
            return;
        }
        json_.begin_object()
            .text("name", subject_.system.rule_set)
            .text("about", subject_.system.rule_set_about);
        json_.key("limits").begin_array();
        for (const SetLimit& limit : limits_of_set(speaker_, subject_.layout)) {
            json_.line().begin_object().text("rule", limit.rule).text("limit", limit.limit);
            json_.text("source", limit.source).end_object();
        }
        json_.end_array().end_object();
    }
    void finding(const solver::ReviewFinding& row) {
        json_.text("condition", condition_id(row.condition));
        row.run == model::none ? json_.key("run").null() : json_.text("run", run_id(row.run));
        finding_row(row_, speaker_, row.finding, finding_sentence(speaker_, row.finding, nullptr));
    }
    void repair(const solver::Repair& row) {
        json_.text("run", run_id(row.run)).text("head", head_id(row.head));
        json_.text("condition", condition_id(row.condition));
        json_.key("change").begin_object().text("kind", repair_kind(row.kind));
        json_.text("subject", element_id(subject_.system, row.subject))
            .text("from", row.from)
            .text("to", row.to);
        json_.end_object().number("gain", pressure(row.gain)).key("mends").boolean(row.mends);
    }
    void rest() {
        json_.line().key("assumptions").begin_array();
        for (const auto* list : {&subject_.system.assumptions, &subject_.layout.assumptions})
            assumptions_json(json_, speaker_.units, *list);
        json_.end_array();
        NotCheckedList not_checked;
        not_checked.add(subject_.review.rules.not_checked);
        not_judged_json(json_, subject_.system, subject_.review.rules.rules_off, not_checked.rows());
        json_.line().key("warnings").begin_array();
        warnings_json(json_, subject_.warnings, subject_.files);
        json_.end_array();
    }

    Output& output_;
    JsonWriter json_;
    JsonRow row_;
    const ReviewSubject& subject_;
    Speaker speaker_;
};

}  // namespace

void write_review_json(Output& output, const ReviewSubject& subject) {
    ReviewJson(output, subject).write();
}

}  // namespace evenhead::io
