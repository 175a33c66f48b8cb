// data-range: every chart is used inside its rows, supplies inside their flow tests, water between 32 and 104
// degF. A warning, unless the case says that it fails. A single row is a law, not a range.
#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

using Chart = std::vector<model::ChartRow>;

/// Judges one use of data at `value` (flow or pressure) that reach from `low` to `high`.
class Ranges {
  public:
    explicit Ranges(const RuleBasis& basis) : limit_(basis[RuleId::data_range]) {}

    template <class Findings>
    void judge(ElementRef subject, double value, double low, double high, model::Dimension dimension,
               const char* source, Findings& found) const {
        const bool above = outside(value, high, true, dimension);
        const bool below = outside(value, low, false, dimension);
        note(found, RuleId::data_range, subject, value, high, true, dimension, above && limit_.fail);
        if (low > 0)  // the end of the rows at no flow is no limit
            note(found, RuleId::data_range, subject, value, low, false, dimension, below && limit_.fail);
        if (!above && !below) return;
        Finding finding =
            make_finding(RuleId::data_range, subject, value, above ? high : low, above, dimension);
        finding.source = source;
        finding.fails = limit_.fail;
        (limit_.fail ? found.findings : found.warnings).push_back(std::move(finding));
    }
    bool off() const { return limit_.off; }

  private:
    const RuleLimit& limit_;
};

void judge_chart(const RunCase& run, const Ranges& ranges, ElementRef subject, double flow,
                 const Chart& chart, RunFindings& found) {
    flow = std::abs(flow);
    if (chart.size() < 2 || !(flow > run.no_flow)) return;
    ranges.judge(subject, flow, chart.front().at.value, chart.back().at.value, model::Dimension::flow,
                 "the rows of its chart", found);
}

void judge_supplies(const RunCase& run, const Ranges& ranges, RunFindings& found) {
    for (std::size_t s = 0; s < run.system.supplies.size(); ++s) {
        const ElementRef subject{ElementKind::supply, static_cast<Index>(s)};
        const double flow = run.result.supply_flow[s];
        const Chart& tests = run.system.supplies[s].tests;
        if (flow < -run.no_flow) {  // told even where the rule is off: water leaves by a supply
            Finding finding =
                make_finding(RuleId::data_range, subject, flow, 0, false, model::Dimension::flow);
            finding.source = "water flows back into it";
            finding.fails = false;
            found.warnings.push_back(std::move(finding));
        } else if (!tests.empty() && !ranges.off()) {
            ranges.judge(subject, flow, -run.no_flow, tests.back().at.value, model::Dimension::flow,
                         "its flow tests", found);
        }
    }
}

void judge_run(const RunCase& run, RunFindings& found) {
    const Ranges ranges(run.basis);
    judge_supplies(run, ranges, found);
    if (ranges.off()) return;
    const model::System& system = run.system;
    for (std::size_t d = 0; d < system.devices.size(); ++d) {
        const model::Device& device = system.devices[d];
        const Chart& chart = device.type == model::DeviceType::pump ? device.rise : device.loss.chart;
        judge_chart(run, ranges, {ElementKind::device, static_cast<Index>(d)}, run.result.device_flow[d],
                    chart, found);
    }
    for (const Index valve : run.result.open)
        judge_chart(run, ranges, {ElementKind::valve, valve}, run.result.valve_flow[at(valve)],
                    system.valves[at(valve)].loss.chart, found);
    for (const Index head : run.running) {
        const Index nozzle = system.heads[at(head)].nozzle;
        const double pressure = run.result.head_pressure[at(head)];
        if (nozzle == model::none || !(pressure > 0)) continue;
        const Chart& rows = system.nozzles[at(nozzle)].rows;
        if (rows.size() < 2) continue;
        ranges.judge({ElementKind::head, head}, pressure, rows.front().at.value, rows.back().at.value,
                     model::Dimension::pressure, "the rows of its nozzle", found);
    }
}

void judge_system(const SystemCase& whole, SystemFindings& found) {
    constexpr double freezing = 0, warm = 40;  // degC; 32 and 104 degF
    Ranges(whole.basis)
        .judge({ElementKind::run, model::none}, whole.system.temperature, freezing, warm,
               model::Dimension::temperature, "the data of water and pipe", found);
}

}  // namespace

Rule data_range_rule() {
    return {{RuleId::data_range, "data-range", model::Dimension::none, true, false, 0, "the data"},
            judge_run,
            judge_system};
}

}  // namespace evenhead::solver
