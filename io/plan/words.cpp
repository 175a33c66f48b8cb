#include "io/plan/words.hpp"

#include <fmt/format.h>

#include <cmath>

#include "io/write/check_answer.hpp"
#include "io/write/finding_list.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::ElementKind;

std::string in_run(const PlanSubject& subject, Index run) {
    return run == model::none ? "" : fmt::format(" (run {})", subject.system.runs[at(run)].id);
}

/// "; at most 6.46 gpm at 2.7 ft/s (run lawn)", of all runs that were added.
std::string passed_text(const PlanSubject& subject, const Passed& passed, bool velocity) {
    if (passed.run == model::none) return "; no flow";
    const ShownUnits& units = subject.speaker.units;
    std::string text = "; at most " + units.text(passed.flow, Dimension::flow);
    if (velocity) text += " at " + units.text(passed.velocity, Dimension::velocity);
    return text + in_run(subject, passed.run);
}

}  // namespace

const RunMarks& drawn_marks(const PlanSubject& subject, const PlanOptions& options) {
    const RunMarks* run = options.run == model::none ? nullptr : subject.marks.of_run(options.run);
    return run == nullptr ? subject.marks.worst() : *run;
}

std::string head_text(const PlanSubject& subject, const RunMarks& marks, Index head) {
    const ShownUnits& units = subject.speaker.units;
    const std::string name = element_name(subject.system, {ElementKind::head, head});
    const HeadMark* mark = marks.mark(head);
    if (mark == nullptr) return name + (marks.run == model::none ? ": in no run" : ": not in this run");
    if (mark->state == HeadState::dry) return name + ": no water" + in_run(subject, mark->run);
    std::string text = fmt::format("{}: {}, {}", name, units.text(mark->pressure, Dimension::pressure),
                                   units.text(mark->flow, Dimension::flow));
    if (!std::isnan(mark->radius)) text += ", throws " + units.text(mark->radius, Dimension::length);
    if (mark->state == HeadState::low) text += ", pressure too low";
    if (mark->state == HeadState::high) text += ", pressure too high";
    const auto wanted = solver::wanted_pressure(subject.system, head);
    if (mark->state == HeadState::low && wanted)
        text += fmt::format(", needs {}", units.limit(*wanted, Dimension::pressure));
    return text + in_run(subject, mark->run);
}

std::string pipe_text(const PlanSubject& subject, Index pipe) {
    const model::Pipe& row = subject.system.pipes[at(pipe)];
    const ShownUnits& units = subject.speaker.units;
    std::string text = element_name(subject.system, {ElementKind::pipe, pipe}) + ": ";
    if (!row.size->kind.empty())
        text += row.size->kind + " " + row.size->nominal;
    else
        text += "bore " +
                (row.size->bore.known() ? units.text(row.size->bore.value, Dimension::bore) : "not known");
    text += ", " + units.text(row.length.value, Dimension::length);
    if (row.closed) return text + "; closed";
    return text + passed_text(subject, subject.marks.pipes()[at(pipe)], true);
}

std::string valve_text(const PlanSubject& subject, Index valve) {
    std::string text = element_name(subject.system, {ElementKind::valve, valve});
    const auto& set = subject.system.valves[at(valve)].set;
    if (set && set->known())
        text += fmt::format(", set to {}", subject.speaker.units.limit(set->value, Dimension::pressure));
    return text + passed_text(subject, subject.marks.valves()[at(valve)], false);
}

std::string device_text(const PlanSubject& subject, Index device) {
    const model::Device& row = subject.system.devices[at(device)];
    std::string text = element_name(subject.system, {ElementKind::device, device});
    if (row.set && row.set->known())
        text += fmt::format(", set to {}", subject.speaker.units.limit(row.set->value, Dimension::pressure));
    return row.closed ? text + "; closed"
                      : text + passed_text(subject, subject.marks.devices()[at(device)], false);
}

std::string supply_text(const PlanSubject& subject, Index supply) {
    const model::Supply& row = subject.system.supplies[at(supply)];
    return fmt::format("{}: static pressure {}", element_name(subject.system, {ElementKind::supply, supply}),
                       row.static_pressure.known()
                           ? subject.speaker.units.limit(row.static_pressure.value, Dimension::pressure)
                           : "not known");
}

std::string point_text(const PlanSubject& subject, Index point) {
    return fmt::format(
        "point {}, elevation {}", subject.system.point_id(point),
        subject.speaker.units.text(
            subject.layout.elevation.empty() ? std::nan("") : subject.layout.elevation[at(point)],
            Dimension::length));
}

std::string plan_title(const PlanSubject& subject) {
    return subject.system.title.empty() ? "Untitled system" : subject.system.title;
}

std::string plan_verdict(const PlanSubject& subject, const PlanOptions& options) {
    const RunMarks& marks = drawn_marks(subject, options);
    const std::string verdict = !marks.solved   ? "no solution"
                                : marks.outside ? "outside limits"
                                                : "within limits";
    if (marks.run != model::none)
        return fmt::format("Run {}: {}", subject.system.runs[at(marks.run)].id, verdict);
    const std::size_t runs = subject.marks.runs().size();
    if (runs == 1)
        return fmt::format("Run {}: {}", subject.system.runs[at(subject.marks.runs().front().run)].id,
                           verdict);
    return fmt::format("All {} runs together: {}", runs, verdict);
}

std::string plan_critical(const PlanSubject& subject, const PlanOptions& options) {
    const RunMarks& marks = drawn_marks(subject, options);
    solver::CheckSummary summary;
    summary.critical_head = marks.critical_head;
    summary.critical_run = marks.critical_run;
    summary.critical_margin = marks.critical_margin;
    return sentence_case(critical_words(subject.speaker, summary)) + ".";
}

std::vector<std::string> plan_notes(const PlanSubject& subject, bool to_scale,
                                    const std::vector<Index>& along_pipe) {
    std::vector<std::string> notes;
    if (!to_scale) notes.emplace_back("Schematic from the pipes of the case, not to scale.");
    if (!along_pipe.empty()) {
        std::vector<std::string> ids;
        ids.reserve(along_pipe.size());
        for (const Index point : along_pipe) ids.push_back(subject.system.point_id(point));
        constexpr std::size_t most = 8;
        notes.push_back("Without coordinates, placed by pipe length: " + id_list(ids, most) + ".");
    }
    return notes;
}

std::string plan_caution() {
    return "An estimate for irrigation sprinklers, not for fire protection, and no survey: have buried "
           "utilities located "
           "before digging.";
}

}  // namespace evenhead::io
