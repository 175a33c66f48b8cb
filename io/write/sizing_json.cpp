#include <tuple>
#include <vector>

#include "io/write/json_writer.hpp"
#include "io/write/row_sinks.hpp"
#include "io/write/sentences.hpp"
#include "io/write/sizing.hpp"
#include "model/position.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::Binding;
using solver::CostBasis;
using solver::Finding;
using solver::LimitPrice;

class SizingJson {
  public:
    SizingJson(Output& output, const SizingSubject& subject)
        : output_(output),
          json_(output),
          row_(json_),
          problem_(subject.problem),
          sizing_(subject.sizing),
          subject_(subject),
          speaker_{subject.problem.system, ShownUnits::of_case(subject.problem.system.units)} {}

    void write() {
        begin();
        costs();
        sizes();
        binding();
        limit_prices();
        findings();
        json_.end_object();
        output_.write("\n");
    }

  private:
    void begin() {
        json_.begin_object().key("schema").whole(1);
        json_.text("case", case_title(problem_.system, subject_.case_path));
        json_.key("units").begin_object();
        for (const auto& [key, dimension] : {std::pair{"pressure", Dimension::pressure},
                                             {"flow", Dimension::flow},
                                             {"length", Dimension::length},
                                             {"velocity", Dimension::velocity}})
            json_.text(key, speaker_.units.word(dimension));
        json_.text("cost", problem_.basis == CostBasis::volume ? "m3 of pipe wall" : "money");
        json_.end_object();
        json_.line().key("ok").boolean(sizing_.found);
    }

    void costs() {
        static constexpr const char* words[] = {"prices", "price-list", "volume"};
        json_.text("cost_basis", words[static_cast<int>(problem_.basis)]);
        json_.key("cost");
        sizing_.found ? json_.number(sizing_.cost) : json_.null();
        json_.number("bound", sizing_.bound);  // null: no sizes keep the limits
        json_.key("gap");
        sizing_.found ? json_.number(sizing_.gap()) : json_.null();
        json_.key("proven").boolean(sizing_.proven);
        json_.key("bounded").boolean(sizing_.proven || sizing_.bounded());
        json_.number("cheapest_sizes", sizing_.smallest);
        json_.key("stopped").boolean(sizing_.stopped);
        json_.key("evaluations").whole(sizing_.evaluations);
        if (!subject_.sized_path.empty()) json_.text("written", subject_.sized_path);
    }

    void sizes() {
        json_.line().key("sizes").begin_array();
        for (std::size_t o = 0; sizing_.found && o < problem_.open.size(); ++o) {
            const solver::SizingChoice& choice = problem_.open[o].choices[at(sizing_.design[o])];
            const model::Pipe& pipe = problem_.system.pipes[at(problem_.open[o].pipe)];
            json_.line().begin_object();
            json_.text("id", problem_.system.pipe_id(pipe));
            json_.text("size", choice.size->kind + " " + choice.size->nominal);
            json_.number("length", speaker_.units.in_unit(pipe.length.value, Dimension::length));
            json_.number("cost", choice.cost);
            json_.end_object();
        }
        json_.end_array();
    }

    void run_and_condition(Index run, Index condition) {
        json_.key("run");
        run == model::none ? json_.null() : json_.text(problem_.system.runs[at(run)].id);
        if (condition != model::none) json_.text("condition", problem_.system.conditions[at(condition)].id);
    }

    void binding() {
        json_.line().key("binding").begin_array();
        for (const Binding& binding : sizing_.binding) {
            json_.line().begin_object();
            json_.text("rule", rule_name(binding.rule));
            json_.text("subject", element_id(problem_.system, binding.subject));
            run_and_condition(binding.run, binding.condition);
            json_.number("margin", speaker_.units.in_unit(binding.margin, binding.dimension));
            json_.text("unit", speaker_.units.word(binding.dimension));
            json_.key("pipes").begin_array();
            for (const Index pipe : binding.pipes) json_.text(problem_.system.pipe_id(pipe));
            json_.end_array().end_object();
        }
        json_.end_array();
    }

    void limit_prices() {
        json_.line().key("limit_prices").begin_array();
        for (const LimitPrice& price : sizing_.limit_prices) {
            const bool head = price.limit == LimitPrice::Limit::critical_head;
            const Dimension dimension = head ? Dimension::pressure : Dimension::velocity;
            json_.line().begin_object();
            json_.text("rule", head ? "head-pressure" : "velocity");
            json_.key("subject");
            head ? json_.text(element_id(problem_.system, {solver::ElementKind::head, price.head}))
                 : json_.null();
            json_.number("moved", speaker_.units.in_unit(price.moved, dimension));
            json_.number("to", speaker_.units.in_unit(price.to, dimension));
            json_.text("unit", speaker_.units.word(dimension));
            json_.number("cost", price.cost).number("saving", price.saving);
            json_.key("proven").boolean(price.proven);
            json_.end_object();
        }
        json_.end_array();
    }

    /// Where nothing was found: what the nearest design leaves outside limits, and its runs without solution.
    void findings() {
        json_.line().key("findings").begin_array();
        std::vector<std::tuple<solver::Failure, Index, Index>> failures;  // run, condition
        if (!sizing_.found) {
            solver::CheckOptions options;
            options.threads = 1;
            for (std::size_t s = 0; s < problem_.situations.size(); ++s) {
                const model::System sized = problem_.sized(s, sizing_.design);
                const Index condition = problem_.situations[s].condition;
                const auto summary = solver::check_runs(
                    sized, problem_.situations[s].layout, options,
                    [&](const solver::RunResult& result, const solver::RunFindings& found) {
                        for (const Finding& of : found.findings) finding(of, &result, result.run, condition);
                        if (result.failure) failures.emplace_back(*result.failure, result.run, condition);
                    });
                for (const Finding& of : summary.findings) finding(of, nullptr, model::none, condition);
            }
        }
        json_.end_array();
        json_.line().key("failures").begin_array();
        for (const auto& [of, run, condition] : failures) failure(of, run, condition);
        json_.end_array();
    }
    void finding(const Finding& of, const solver::RunResult* result, Index run, Index condition) {
        json_.line().begin_object();
        finding_row(row_, speaker_, of, finding_sentence(speaker_, of, result));
        run_and_condition(run, condition);
        json_.end_object();
    }
    void failure(const solver::Failure& of, Index run, Index condition) {
        json_.line().begin_object();
        json_.text("kind", of.kind).text("text", of.text);
        run_and_condition(run, condition);
        json_.text("cause", of.cause).text("try", of.remedy);
        json_.end_object();
    }

    Output& output_;
    JsonWriter json_;
    JsonRow row_;
    const solver::SizingProblem& problem_;
    const solver::Sizing& sizing_;
    const SizingSubject& subject_;
    Speaker speaker_;
};

}  // namespace

void write_sizing_json(Output& output, const SizingSubject& subject) {
    SizingJson(output, subject).write();
}

}  // namespace evenhead::io
