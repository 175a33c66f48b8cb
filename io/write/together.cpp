#include "io/write/together.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/write/check_answer.hpp"
#include "io/write/common_json.hpp"
#include "io/write/finding_list.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::BlockedSet;
using solver::BranchFlow;
using solver::ElementKind;
using solver::Together;
using solver::ValveSet;

constexpr std::size_t most_ids = 100;

class TogetherText {
  public:
    TogetherText(Output& output, const TogetherSubject& subject, const Page& page)
        : output_(output),
          subject_(subject),
          together_(subject.together),
          page_(page),
          speaker_{subject.system, ShownUnits::of_text(subject.system)} {}

    void write() {
        answer();
        sets();
        blocked();
        branches();
        output_.write("\n" + cautions(page_));
    }

  private:
    void say(const std::string& text, std::string_view first = "") {
        output_.write(paragraph(text, page_.columns(), first));
    }

    void answer() {
        const bool fine = together_.never.empty();
        std::string what;
        if (subject_.system.valves.empty())
            what = "The case has no valves: every head runs whenever there is water.";
        else if (together_.largest == 0)
            what = "No valve may be open, alone or with others: every set is outside limits.";
        else if (together_.largest == 1)
            what = "Only one valve at a time: no two may be open together within limits.";
        else
            what = fmt::format("Up to {} valves may be open at once within limits, such as {}.",
                               together_.largest, set_words(subject_.system, together_.sets.front()));
        what = paragraph(what, page_.columns());
        what.pop_back();
        output_.write(coloured(what, fine ? Colour::good : Colour::bad, page_) + "\n");
        if (!fine && together_.largest > 0)
            say(fmt::format("In no set within limits: {}.", set_words(subject_.system, together_.never)));
        if (!subject_.system.valves.empty()) say(how_far_words(together_));
        if (!fine) output_.write(fmt::format("Next: evenhead check {}\n", shell_word(subject_.case_path)));
    }

    void sets() {
        if (together_.sets.empty()) return;
        TextTable table({{"Valves", "", 6},
                         {"Flow", std::string(speaker_.units.word(Dimension::flow)), 6},
                         {"Open at once", "", 0, true}});
        const std::size_t shown = std::min(together_.sets.size(), page_.rows());
        for (std::size_t i = 0; i < shown; ++i)
            table.add({fmt::format("{}", together_.sets[i].size()),
                       speaker_.units.number(together_.flows[i], Dimension::flow),
                       fmt::format("{}", fmt::join(set_ids(subject_.system, together_.sets[i]), " "))});
        output_.write(fmt::format("\nMay be open at once, no more beside ({})\n", together_.sets.size()));
        output_.write(table.text(page_));
        output_.write(and_more(together_.sets.size(), shown));
    }

    void blocked() {
        if (together_.blocked.empty()) return;
        output_.write(fmt::format("\nBlocked, worst first ({})\n", together_.blocked.size()));
        const std::size_t shown = std::min(together_.blocked.size(), page_.rows());
        for (std::size_t i = 0; i < shown; ++i) {
            const BlockedSet& set = together_.blocked[i];
            std::string text =
                set_words(subject_.system, set.valves) + (set.valves.size() == 1 ? " alone: " : ": ");
            if (set.failure) {
                text += "no solution. " + set.failure->text;
            } else if (!set.findings.empty()) {
                text += finding_sentence(speaker_, set.findings.front(), nullptr);
                if (set.alike.front() > 1) text += fmt::format(" Likewise {} more.", set.alike.front() - 1);
            }
            say(text, "- ");
        }
        output_.write(and_more(together_.blocked.size(), shown));
    }

    /// Pipes after one another that carry the same in the same set are one line.
    void branches() {
        struct Line {
            const BranchFlow* first;
            Index last;
            std::size_t pipes;
        };
        std::vector<Line> lines;
        for (const BranchFlow& branch : together_.branches) {
            const bool same = !lines.empty() && lines.back().first->valves == branch.valves &&
                              std::abs(lines.back().first->flow - branch.flow) <= 1e-7 * branch.flow;
            if (same) {
                ++lines.back().pipes;
                lines.back().last = branch.pipe;
            } else {
                lines.push_back({&branch, branch.pipe, 1});
            }
        }
        if (lines.empty()) return;
        TextTable table({{"Pipe", "", 14},
                         {"Flow", std::string(speaker_.units.word(Dimension::flow)), 6},
                         {"Velocity", std::string(speaker_.units.word(Dimension::velocity)), 8},
                         {"With", "", 0, true}});
        const std::size_t shown = std::min(lines.size(), page_.rows());
        for (std::size_t i = 0; i < shown; ++i) {
            const BranchFlow& branch = *lines[i].first;
            std::string name = subject_.system.pipe_id(branch.pipe);
            if (lines[i].pipes > 1) name += fmt::format(" and {} more", lines[i].pipes - 1);
            table.add({std::move(name), speaker_.units.number(branch.flow, Dimension::flow),
                       speaker_.units.number(branch.velocity, Dimension::velocity),
                       branch.valves.empty()
                           ? "-"
                           : fmt::format("{}", fmt::join(set_ids(subject_.system, branch.valves), " "))});
        }
        output_.write("\nWhat the mainline carries at most, of all sets within limits\n");
        output_.write(table.text(page_));
        output_.write(and_more(lines.size(), shown));
    }

    Output& output_;
    const TogetherSubject& subject_;
    const Together& together_;
    const Page page_;
    Speaker speaker_;
};

void write_failure(JsonWriter& json, const solver::Failure& failure) {
    json.key("error").begin_object();
    json.text("kind", failure.kind).text("text", failure.text);
    json.text("cause", failure.cause).text("try", failure.remedy).end_object();
}

}  // namespace

std::vector<std::string> set_ids(const model::System& system, const ValveSet& set) {
    std::vector<std::string> ids;
    for (const Index valve : set) ids.push_back(element_id(system, {ElementKind::valve, valve}));
    return ids;
}

std::string set_words(const model::System& system, const ValveSet& set) {
    return id_list(set_ids(system, set), most_ids);
}

std::string how_far_words(const Together& together) {
    const std::string tried = fmt::format("{} sets were balanced and judged", together.tried);
    if (together.every) return tried + ": every one there is.";
    if (together.complete)
        return tried + ": all but those that hold a smaller one which takes too much water.";
    return fmt::format(
        "{}. That is as many as --most allows: all sets of up to {} (but for those that hold a smaller one "
        "which takes too much water), of larger ones only some; others may be allowed too.",
        tried, counted(together.whole_to, "valve"));
}

void write_together_text(Output& output, const TogetherSubject& subject, const Page& page) {
    TogetherText(output, subject, page).write();
}

void write_together_json(Output& output, const TogetherSubject& subject) {
    const model::System& system = subject.system;
    const Together& together = subject.together;
    const Speaker speaker{system, ShownUnits::of_case(system.units)};
    JsonWriter json(output);
    JsonRow row(json);
    json.begin_object().key("schema").whole(1);
    json.text("case", case_title(system, subject.case_path));
    json.key("units").begin_object();
    for (const auto& [key, dimension] : {std::pair{"pressure", Dimension::pressure},
                                         {"flow", Dimension::flow},
                                         {"velocity", Dimension::velocity}})
        json.text(key, speaker.units.word(dimension));
    json.end_object().key("ok").boolean(together.never.empty());
    json.line().key("largest").whole(static_cast<long long>(together.largest));
    json.key("tried").whole(static_cast<long long>(together.tried));
    json.key("allowed").whole(static_cast<long long>(together.allowed.size()));
    json.key("every").boolean(together.every);
    json.key("complete").boolean(together.every || together.complete);
    json.key("complete_to").whole(static_cast<long long>(together.whole_to));
    row.ids("never", set_ids(system, together.never));
    json.line().key("sets").begin_array();
    for (const ValveSet& set : together.sets) {
        json.line().begin_array();
        for (const std::string& id : set_ids(system, set)) json.text(id);
        json.end_array();
    }
    json.end_array().line().key("flows").begin_array();
    for (const double flow : together.flows) json.number(speaker.units.in_unit(flow, Dimension::flow));
    json.end_array().line().key("blocked").begin_array();
    for (const BlockedSet& set : together.blocked) {
        json.line().begin_object();
        row.ids("valves", set_ids(system, set.valves));
        if (set.failure) write_failure(json, *set.failure);
        json.key("findings").begin_array();
        for (std::size_t i = 0; i < set.findings.size(); ++i) {
            json.begin_object();
            finding_row(row, speaker, set.findings[i], finding_sentence(speaker, set.findings[i], nullptr));
            json.key("alike").whole(static_cast<long long>(set.alike[i])).end_object();
        }
        json.end_array().end_object();
    }
    json.end_array().line().key("branches").begin_array();
    for (const BranchFlow& branch : together.branches) {
        json.line().begin_object().text("pipe", system.pipe_id(branch.pipe));
        json.number("flow", speaker.units.in_unit(branch.flow, Dimension::flow));
        json.number("velocity", speaker.units.in_unit(branch.velocity, Dimension::velocity));
        row.ids("valves", set_ids(system, branch.valves));
        json.end_object();
    }
    json.end_array().line().key("warnings").begin_array();
    if (subject.warnings != nullptr) warnings_json(json, *subject.warnings, *subject.files);
    json.end_array().end_object();
    output.write("\n");
}

void write_together_csv(Output& output, const TogetherSubject& subject, TogetherTable table) {
    const model::System& system = subject.system;
    const Speaker speaker{system, ShownUnits::of_case(system.units)};
    CsvRow row(output);
    if (table == TogetherTable::sets) {
        output.write("valves,count,flow\n");
        for (std::size_t i = 0; i < subject.together.sets.size(); ++i) {
            row.ids("valves", set_ids(system, subject.together.sets[i]));
            row.number("count", static_cast<double>(subject.together.sets[i].size()));
            row.number("flow", speaker.units.in_unit(subject.together.flows[i], Dimension::flow));
            row.end();
        }
    } else if (table == TogetherTable::blocked) {
        output.write("valves,rule,subject,value,limit,unit,margin,fails,source,text,try\n");
        for (const BlockedSet& set : subject.together.blocked) {
            if (set.failure) {
                row.ids("valves", set_ids(system, set.valves));
                for (const char* key :
                     {"rule", "subject", "value", "limit", "unit", "margin", "fails", "source"})
                    row.text(key, "");
                row.text("text", set.failure->text);
                row.text("try", set.failure->remedy);
                row.end();
            }
            for (const solver::Finding& finding : set.findings) {
                row.ids("valves", set_ids(system, set.valves));
                finding_row(row, speaker, finding, finding_sentence(speaker, finding, nullptr));
                row.end();
            }
        }
    } else {
        output.write("pipe,flow,velocity,valves\n");
        for (const BranchFlow& branch : subject.together.branches) {
            row.text("pipe", system.pipe_id(branch.pipe));
            row.number("flow", speaker.units.in_unit(branch.flow, Dimension::flow));
            row.number("velocity", speaker.units.in_unit(branch.velocity, Dimension::velocity));
            row.ids("valves", set_ids(system, branch.valves));
            row.end();
        }
    }
}

}  // namespace evenhead::io
