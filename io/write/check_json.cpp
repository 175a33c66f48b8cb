#include "io/write/check.hpp"
#include "io/write/common_json.hpp"
#include "io/write/not_checked.hpp"
#include "io/write/row_sinks.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::RunFindings;
using solver::RunResult;

class CheckJson : public CheckWriter {
  public:
    CheckJson(Output& output, const CheckSubject& subject, Detail detail)
        : output_(output),
          json_(output),
          row_(json_),
          subject_(subject),
          speaker_{subject.system, ShownUnits::of_case(subject.system.units)},
          detail_(detail) {
        begin();
    }

    void add(const RunResult& result, const RunFindings& findings) override;
    void finish(const solver::CheckSummary& summary, const LowerSupply* lower) override;

  private:
    struct Noticed {
        model::Index run;
        solver::Finding finding;
        std::string text;
    };

    void begin();
    void tables(const RunResult& result, const RunFindings& findings);
    void write_findings(const std::vector<solver::Finding>& findings, const RunResult* result);
    void closure(const solver::Closure& closure);
    void failure(const solver::Failure& failure);
    void assumptions();
    void warnings();

    template <typename Rows, typename Write>
    void table(std::string_view name, const Rows& rows, const Write& write) {
        json_.key(name).begin_array();
        for (const auto& row : rows) {
            json_.line().begin_object();
            write(row);
            json_.end_object();
        }
        json_.end_array();
    }

    Output& output_;
    JsonWriter json_;
    JsonRow row_;
    const CheckSubject subject_;
    Speaker speaker_;
    Detail detail_;
    std::vector<Noticed> noticed_;
    NotCheckedList not_checked_;
};

void CheckJson::begin() {
    const model::System& system = subject_.system;
    json_.begin_object().key("schema").whole(1);
    if (subject_.one_of_many)
        json_.text("case", subject_.case_path).text("title", system.title);
    else
        json_.text("case", case_title(system, subject_.case_path));
    json_.key("units").begin_object();
    for (const auto& [key, dimension] : {std::pair{"pressure", Dimension::pressure},
                                         {"flow", Dimension::flow},
                                         {"length", Dimension::length},
                                         {"velocity", Dimension::velocity},
                                         {"bore", Dimension::bore},
                                         {"temperature", Dimension::temperature}})
        json_.text(key, speaker_.units.word(dimension));
    json_.end_object().line().key("runs").begin_array();
}

void CheckJson::add(const RunResult& result, const RunFindings& findings) {
    json_.line().begin_object();
    not_checked_.add(findings.not_checked);
    if (result.failure) {
        json_.text("id", element_id(subject_.system, {solver::ElementKind::run, result.run}));
        std::vector<std::string> open;
        for (const auto valve : result.open)
            open.push_back(element_id(subject_.system, {solver::ElementKind::valve, valve}));
        row_.ids("open", open);
        failure(*result.failure);
    } else {
        run_row(row_, speaker_, result, findings);
        tables(result, findings);
        json_.line().key("findings");
        write_findings(findings.findings, &result);
        for (const auto& finding : findings.warnings)
            noticed_.push_back({result.run, finding, finding_sentence(speaker_, finding, &result)});
    }
    closure(result.closure);
    json_.end_object();
}

void CheckJson::tables(const RunResult& result, const RunFindings& findings) {
    json_.line();
    std::vector<model::Index> supplies;
    for (std::size_t i = 0; i < subject_.system.supplies.size(); ++i)
        supplies.push_back(static_cast<model::Index>(i));
    table("supplies", supplies, [&](model::Index i) { supply_row(row_, speaker_, result, i); });
    if (detail_ == Detail::summary) return;
    const ListedRows rows = listed_rows(subject_.system, result, detail_);
    json_.line();
    table("heads", rows.heads, [&](model::Index i) { head_row(row_, speaker_, result, i); });
    json_.line();
    table("points", rows.points, [&](model::Index i) { point_row(row_, speaker_, result, i); });
    json_.line();
    table("pipes", rows.pipes, [&](model::Index i) { pipe_row(row_, speaker_, result, findings, i); });
    json_.line();
    table("devices", rows.devices, [&](model::Index i) { device_row(row_, speaker_, result, i); });
    json_.line();
    table("valves", rows.valves, [&](model::Index i) { valve_row(row_, speaker_, result, i); });
}

void CheckJson::write_findings(const std::vector<solver::Finding>& findings, const RunResult* result) {
    json_.begin_array();
    for (const auto& finding : findings) {
        json_.line().begin_object();
        finding_row(row_, speaker_, finding, finding_sentence(speaker_, finding, result));
        json_.end_object();
    }
    json_.end_array();
}

void CheckJson::closure(const solver::Closure& closure) {
    json_.line().key("closure").begin_object();
    json_.key("solved").boolean(closure.solved);
    json_.key("steps").whole(closure.steps);
    json_.number("flow", speaker_.units.in_unit(closure.flow, Dimension::flow));
    json_.number("pressure", speaker_.units.in_unit(closure.pressure, Dimension::pressure));
    json_.end_object();
}

void CheckJson::failure(const solver::Failure& failure) {
    json_.line().key("error").begin_object();
    json_.text("kind", failure.kind).text("text", failure.text);
    table("points", failure.points, [&](const solver::Failure::Worst& worst) {
        json_.text("id", element_id(subject_.system, worst.at));
        json_.number("value", speaker_.units.in_unit(worst.value, worst.dimension));
        json_.number("limit", speaker_.units.in_unit(worst.limit, worst.dimension));
        json_.text("unit", speaker_.units.word(worst.dimension));
    });
    std::vector<std::string> elements;
    for (const auto& element : failure.elements) elements.push_back(element_id(subject_.system, element));
    row_.ids("elements", elements);
    json_.text("cause", failure.cause).text("try", failure.remedy);
    json_.end_object();
}

void CheckJson::assumptions() {
    json_.line().key("assumptions").begin_array();
    for (const auto* list : {&subject_.system.assumptions, &subject_.layout.assumptions})
        assumptions_json(json_, speaker_.units, *list);
    json_.end_array();
}

void CheckJson::warnings() {
    json_.line().key("warnings").begin_array();
    warnings_json(json_, subject_.warnings, subject_.files);
    for (const Noticed& noticed : noticed_) {
        json_.line().begin_object();
        json_.text("run", element_id(subject_.system, {solver::ElementKind::run, noticed.run}));
        finding_row(row_, speaker_, noticed.finding, noticed.text);
        json_.end_object();
    }
    json_.end_array();
}

void CheckJson::finish(const solver::CheckSummary& summary, const LowerSupply* /*lower: text only*/) {
    json_.end_array().line().key("ok").boolean(summary.solved && summary.within_limits);
    json_.line().key("critical");
    if (summary.critical_run == model::none || summary.critical_head == model::none) {
        json_.null();
    } else {
        json_.begin_object();
        json_.text("run", element_id(subject_.system, {solver::ElementKind::run, summary.critical_run}));
        json_.text("head", element_id(subject_.system, {solver::ElementKind::head, summary.critical_head}));
        json_.number("margin", speaker_.units.in_unit(summary.critical_margin, Dimension::pressure))
            .end_object();
    }
    json_.line().key("findings");
    write_findings(summary.findings, nullptr);
    assumptions();
    not_checked_.add(summary.not_checked);
    not_judged_json(json_, subject_.system, summary.rules_off, not_checked_.rows());
    for (const auto& finding : summary.warnings)
        noticed_.push_back({model::none, finding, finding_sentence(speaker_, finding, nullptr)});
    warnings();
    json_.line().end_object();
    output_.write("\n");
}

}  // namespace

std::unique_ptr<CheckWriter> check_json(Output& output, const CheckSubject& subject, Detail detail) {
    return std::make_unique<CheckJson>(output, subject, detail);
}

}  // namespace evenhead::io
