#include <cmath>

#include "io/write/calibration.hpp"
#include "io/write/diagnosis.hpp"
#include "io/write/fault_words.hpp"
#include "io/write/json_writer.hpp"
#include "io/write/row_sinks.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::PointKind;
using solver::Gauge;
using solver::Hypothesis;

class DiagnosisJson {
  public:
    DiagnosisJson(Output& output, const DiagnosisSubject& subject)
        : output_(output),
          json_(output),
          subject_(subject),
          diagnosis_(subject.diagnosis),
          units_(ShownUnits::of_case(subject.system.units)) {}

    void write() {
        begin();
        groups();
        json_.line().number("unexplained", diagnosis_.unexplained);
        for (const Hypothesis& hypothesis : diagnosis_.hypotheses)
            if (hypothesis.faults.empty()) json_.number("as_drawn", hypothesis.probability);
        next();
        json_.line().key("bad_readings").begin_array();
        for (const std::size_t reading : diagnosis_.bad_reading) {
            json_.begin_object();
            place(survey().gauges[reading]);
            json_.number("measured", value(survey().gauges[reading], survey().gauges[reading].measured));
            json_.end_object();
        }
        json_.end_array();
        unused();
        if (subject_.calibration != nullptr) {
            json_.line().key("calibrated");
            write_calibrated(json_, subject_.calibration->system, *subject_.calibration);
        }
        json_.line().key("stopped").boolean(diagnosis_.stopped).end_object();
        output_.write("\n");
    }

  private:
    const solver::Survey& survey() const { return diagnosis_.survey; }
    const model::System& part() const { return survey().part.system; }
    double value(const Gauge& gauge, double si) const {
        return units_.in_unit(si, gauge.flow ? Dimension::flow : Dimension::pressure);
    }
    std::string run_id(model::Index run) const {
        return run == model::none ? "none" : subject_.system.runs[at(run)].id;
    }

    void begin() {
        const model::System& system = subject_.system;
        json_.begin_object().key("schema").whole(1);
        json_.text("case", case_title(system, subject_.case_path));
        json_.key("units").begin_object();
        for (const auto& [key, dimension] : {std::pair{"pressure", Dimension::pressure},
                                             {"flow", Dimension::flow},
                                             {"length", Dimension::length}})
            json_.text(key, units_.word(dimension));
        json_.end_object();
        json_.text("run", run_id(survey().situations.front().run));
    }

    /// run, at, kind, and of a pressure its side or gauge.
    void where(model::Index run, const model::Point& point, bool flow, model::Side side, model::Gauge gauge) {
        json_.text("run", run_id(run)).text("at", point.id).text("kind", flow ? "flow" : "pressure");
        if (flow) return;
        if (point.kind == PointKind::device || point.kind == PointKind::valve)
            json_.text("side", side == model::Side::inlet ? "inlet" : "outlet");
        if (point.kind == PointKind::head)
            json_.text("gauge", gauge == model::Gauge::riser ? "riser" : "pitot");
    }
    void place(const Gauge& gauge) {
        where(survey().situations[gauge.situation].run, part().points[at(gauge.point)], gauge.flow,
              gauge.side, gauge.way);
    }

    void fault(const Hypothesis& hypothesis, std::size_t i) {
        const solver::Site& site = *hypothesis.faults[i];
        const FaultPlace at_place = fault_place(survey(), site);
        json_.begin_object().text("fault", model::fault_name(site.kind)).text("at", at_place.at);
        const Dimension dimension = severity_dimension(site.kind);
        const auto severity = [&](double si) { return units_.in_unit(si, dimension); };
        json_.key("severity");
        if (has_severity(site.kind))
            json_.number(severity(hypothesis.severities[i]));
        else
            json_.null();
        json_.text("unit", severity_unit(units_, site.kind)).key("band");
        if (has_severity(site.kind))
            json_.begin_array()
                .number(severity(hypothesis.band[i][0]))
                .number(severity(hypothesis.band[i][1]))
                .end_array();
        else
            json_.null();
        if (!at_place.parts.empty()) {
            json_.key("parts").begin_array();
            for (const std::string& id : at_place.parts) json_.text(id);
            json_.end_array();
        }
        json_.end_object();
    }

    void groups() {
        json_.line().key("groups").begin_array();
        for (const solver::Group& group : diagnosis_.groups) {
            json_.line().begin_object().number("probability", group.probability);
            json_.key("healthy").boolean(group.healthy).key("members").begin_array();
            for (const std::size_t member : group.members) {
                const Hypothesis& hypothesis = diagnosis_.hypotheses[member];
                json_.line().begin_object().number("probability", hypothesis.probability);
                json_.key("faults").begin_array();
                for (std::size_t i = 0; i < hypothesis.faults.size(); ++i) fault(hypothesis, i);
                json_.end_array().end_object();
            }
            json_.end_array().line().key("predicted").begin_array();
            const Hypothesis& first = diagnosis_.hypotheses[group.members.front()];
            for (std::size_t i = 0; i < survey().readings; ++i) {
                const Gauge& gauge = survey().gauges[i];
                json_.begin_object();
                place(gauge);
                json_.number("measured", value(gauge, gauge.measured));
                json_.number("predicted", value(gauge, first.best[i]));
                json_.number("sd", value(gauge, gauge.deviation)).end_object();
            }
            json_.end_array().end_object();
        }
        json_.end_array();
    }

    void next() {
        json_.line().key("next").begin_array();
        for (const solver::NextReading& reading : diagnosis_.next) {
            const Gauge& gauge = survey().gauges[reading.gauge];
            json_.line().begin_object();
            place(gauge);
            json_.number("gain", reading.gain).key("expected").begin_array();
            for (const auto& expected : reading.expected) {
                json_.begin_object().key("group").whole(static_cast<long long>(expected.group));
                json_.number("value", value(gauge, expected.value));
                json_.number("sd", value(gauge, expected.deviation)).end_object();
            }
            json_.end_array().end_object();
        }
        json_.end_array();
    }

    void unused() {
        json_.line().key("unused").begin_array();
        for (const model::Index i : diagnosis_.unused) {
            const model::Reading& reading = subject_.system.readings[at(i)];
            json_.begin_object();
            where(reading.all_shut ? model::none : reading.run, subject_.system.points[at(reading.point)],
                  reading.flow.has_value(), reading.side, reading.gauge);
            json_.end_object();
        }
        json_.end_array();
    }

    Output& output_;
    JsonWriter json_;
    const DiagnosisSubject& subject_;
    const solver::Diagnosis& diagnosis_;
    ShownUnits units_;
};

}  // namespace

bool leads_unexplained(const solver::Diagnosis& diagnosis) {
    return diagnosis.groups.empty() || diagnosis.unexplained > diagnosis.groups.front().probability;
}

bool leads_as_drawn(const solver::Diagnosis& diagnosis) {
    return !leads_unexplained(diagnosis) && diagnosis.groups.front().healthy;
}

void write_diagnosis_json(Output& output, const DiagnosisSubject& subject) {
    DiagnosisJson(output, subject).write();
}

void write_diagnosis_csv(Output& output, const DiagnosisSubject& subject) {
    const solver::Diagnosis& diagnosis = subject.diagnosis;
    const ShownUnits units = ShownUnits::of_case(subject.system.units);
    output.write(
        "group,group_probability,healthy,member,member_probability,fault,at,severity,unit,low,high,parts\n");
    CsvRow row(output);
    const double unknown = std::nan("");
    for (std::size_t g = 0; g < diagnosis.groups.size(); ++g) {
        const solver::Group& group = diagnosis.groups[g];
        for (std::size_t m = 0; m < group.members.size(); ++m) {
            const Hypothesis& hypothesis = diagnosis.hypotheses[group.members[m]];
            const auto begin = [&] {
                row.number("group", static_cast<double>(g));
                row.number("group_probability", group.probability);
                row.boolean("healthy", group.healthy);
                row.number("member", static_cast<double>(m));
                row.number("member_probability", hypothesis.probability);
            };
            if (hypothesis.faults.empty()) {
                begin();
                for (const std::string_view cell : {"as-drawn", "", "", "", "", "", ""}) row.text("", cell);
                row.end();
            }
            for (std::size_t i = 0; i < hypothesis.faults.size(); ++i) {
                const solver::Site& site = *hypothesis.faults[i];
                const FaultPlace place = fault_place(diagnosis.survey, site);
                const auto severity = [&](double si) {
                    return has_severity(site.kind) ? units.in_unit(si, severity_dimension(site.kind))
                                                   : unknown;
                };
                begin();
                row.text("fault", model::fault_name(site.kind));
                row.text("at", place.at);
                row.number("severity", severity(hypothesis.severities[i]));
                row.text("unit", severity_unit(units, site.kind));
                row.number("low", severity(hypothesis.band[i][0]));
                row.number("high", severity(hypothesis.band[i][1]));
                row.ids("parts", place.parts);
                row.end();
            }
        }
    }
    row.number("group", unknown);
    row.number("group_probability", diagnosis.unexplained);
    for (const std::string_view cell : {"false", "", "", "unexplained", "", "", "", "", "", ""})
        row.text("", cell);
    row.end();
}

}  // namespace evenhead::io
