#include "io/write/comparison.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <vector>

#include "io/write/change_words.hpp"
#include "io/write/check_answer.hpp"
#include "io/write/json_writer.hpp"
#include "io/write/row_sinks.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::none;
using solver::Change;
using solver::ChangeEffect;
using solver::ComparedHead;
using solver::ElementKind;

class ComparisonText {
  public:
    ComparisonText(Output& output, const ComparisonSubject& subject, const Page& page)
        : output_(output),
          subject_(subject),
          page_(page),
          drawn_{subject.drawn, ShownUnits::of_text(subject.drawn)},
          built_{subject.built, ShownUnits::of_text(subject.drawn)},
          words_(drawn_, built_) {}

    void write() {
        answer();
        changes();
        deciding();
        output_.write("\n" + cautions(page_));
    }

  private:
    const std::vector<Change>& all() const { return subject_.comparison.changes; }
    std::string gain(double si) const {
        return (si > 0 ? "+" : "") + drawn_.units.text(si, Dimension::pressure);
    }
    std::string head_id(model::Index head) const {
        return element_id(drawn_.system, {ElementKind::head, head});
    }
    std::string run_id(model::Index run) const { return drawn_.system.runs[at(run)].id; }

    void answer() {
        if (all().empty()) {
            output_.write(coloured("Nothing differs.", Colour::good, page_) + "\n");
            return;
        }
        const ComparisonAnswer answer = comparison_answer(drawn_, subject_.comparison);
        std::string text = paragraph(answer.words, page_.columns());
        text.pop_back();
        output_.write(coloured(text, answer.loses ? Colour::bad : Colour::doubtful, page_) + "\n");
        if (answer.look_at != nullptr)
            output_.write(fmt::format(
                "Next: evenhead worksheet {} {} --run {}\n", shell_word(subject_.built_path),
                shell_word(head_id(answer.look_at->head)), shell_word(run_id(answer.look_at->run))));
    }

    void changes() {
        if (all().empty()) return;
        output_.write("\nWhat differs, what costs a deciding head most first\n");
        // What is made together is one line.
        std::vector<const Change*> lines;
        for (const Change& change : all())
            if (std::none_of(lines.begin(), lines.end(),
                             [&](const Change* other) { return other->group == change.group; }))
                lines.push_back(&change);
        const std::size_t shown = std::min(lines.size(), page_.rows());
        for (std::size_t i = 0; i < shown; ++i)
            output_.write(paragraph(sentence(*lines[i]), page_.columns(), "- "));
        output_.write(and_more(lines.size(), shown));
    }

    std::string sentence(const Change& change) const {
        std::string text =
            fmt::format("{}: {}", sentence_case(std::string(ChangeWords::kind(change))), words_.name(change));
        const std::string how = words_.from_to(change);
        if (!how.empty()) text += ", " + how;
        text += ". ";
        std::string with;
        for (const Change& other : all())
            if (&other != &change && other.group == change.group)
                with += fmt::format("{}{} {}", with.empty() ? "" : ", ", words_.name(other),
                                    ChangeWords::kind(other));
        if (!with.empty()) with = " (with " + with + ")";
        if (!change.not_alone.empty())
            return text + fmt::format("It cannot be made alone{}: {}", with, with_dot(change.not_alone));
        const ChangeEffect* effect = main_effect(change);
        if (effect == nullptr) return text + "No deciding head feels it.";
        const std::string where =
            fmt::format("Head {} in run {}", head_id(effect->head), run_id(effect->run));
        const std::string all_together = std::isnan(effect->together)
                                             ? "as built it is not there, or gets none"
                                             : gain(effect->together) + " with all changes";
        if (std::isnan(effect->alone))
            return text + fmt::format("{} gets no water by it alone{}; {}.", where, with, all_together);
        return text + fmt::format("{}: {} alone{}, {}.", where, gain(effect->alone), with, all_together);
    }

    void deciding() {
        const auto& heads = subject_.comparison.deciding;
        if (heads.empty()) return;
        const std::string unit(drawn_.units.word(Dimension::pressure));
        TextTable table({{"Run", "", 8},
                         {"Head", "", 6, true},
                         {"Drawn", unit, 6},
                         {"Built", unit, 6},
                         {"Needs", unit, 6},
                         {"Built, lowest", unit, 6}});
        const auto number = [&](double si) { return drawn_.units.number(si, Dimension::pressure); };
        const std::size_t shown = std::min(heads.size(), page_.rows());
        for (std::size_t i = 0; i < shown; ++i) {
            const ComparedHead& of = heads[i];
            std::string lowest = number(of.built_pressure);
            if (of.built_head != none)
                lowest = element_id(built_.system, {ElementKind::head, of.built_head}) + " " + lowest;
            table.add({run_id(of.run), head_id(of.head), number(of.drawn), number(of.built),
                       number(of.wanted), lowest});
        }
        output_.write("\nThe head that decides each run as drawn, and the one as built\n" +
                      table.text(page_) + and_more(heads.size(), shown));
    }

    Output& output_;
    const ComparisonSubject& subject_;
    const Page page_;
    Speaker drawn_, built_;
    ChangeWords words_;
};

/// The deciding head that lost most, first of all one that has no pressure as built; null where none did.
const ComparedHead* lost_most(const solver::Comparison& comparison) {
    const ComparedHead* found = nullptr;
    double most = 0;
    for (const ComparedHead& head : comparison.deciding) {
        if (std::isnan(head.built)) return &head;
        const double by = head.drawn - head.built;
        if (by > most) {
            most = by;
            found = &head;
        }
    }
    return found;
}

/// Both forms of data, in the units of the drawn case.
struct Data {
    explicit Data(const ComparisonSubject& subject)
        : drawn{subject.drawn, ShownUnits::of_case(subject.drawn.units)},
          built{subject.built, ShownUnits::of_case(subject.drawn.units)},
          words(drawn, built) {}
    double pressure(double si) const { return drawn.units.in_unit(si, Dimension::pressure); }
    std::string head(model::Index of) const { return element_id(drawn.system, {ElementKind::head, of}); }
    std::string run(model::Index of) const { return drawn.system.runs[at(of)].id; }
    Speaker drawn, built;
    ChangeWords words;
};

/// The main effect; of a change that does nothing, or cannot be made alone (NaN), where all of them do most.
/// Empty: no run has a critical head as drawn.
std::optional<ChangeEffect> told_effect(const Change& change, const solver::Comparison& comparison) {
    if (const ChangeEffect* effect = main_effect(change)) return *effect;
    const ComparedHead* most = nullptr;
    const auto by = [](const ComparedHead& of) {
        return std::isnan(of.built) ? std::numeric_limits<double>::infinity() : std::abs(of.built - of.drawn);
    };
    for (const ComparedHead& of : comparison.deciding)
        if (most == nullptr || by(of) > by(*most)) most = &of;
    if (most == nullptr) return std::nullopt;
    for (const ChangeEffect& effect : change.effects)
        if (effect.run == most->run) return effect;
    return ChangeEffect{most->run, most->head, std::nan(""), most->built - most->drawn};
}

void write_effect(JsonWriter& json, const Data& data, const ChangeEffect& effect) {
    json.begin_object().text("run", data.run(effect.run)).text("head", data.head(effect.head));
    json.number("alone", data.pressure(effect.alone)).number("together", data.pressure(effect.together));
    json.end_object();
}

}  // namespace

const solver::ChangeEffect* main_effect(const Change& change) {
    const ChangeEffect* most = nullptr;
    for (const ChangeEffect& effect : change.effects) {
        if (std::isnan(effect.alone)) return &effect;
        if (effect.alone != 0 && (most == nullptr || std::abs(effect.alone) > std::abs(most->alone)))
            most = &effect;
    }
    return most;
}

ComparisonAnswer comparison_answer(const Speaker& drawn, const solver::Comparison& comparison) {
    ComparisonAnswer answer;
    if (comparison.changes.empty()) {
        answer.words = "Nothing differs.";
        return answer;
    }
    constexpr double little = 50;  // Pa
    const ComparedHead* lost = lost_most(comparison);
    const bool dry = lost != nullptr && std::isnan(lost->built);
    const bool less = !dry && lost != nullptr && lost->drawn - lost->built > little;
    answer.loses = dry || less;
    if (less) answer.look_at = lost;
    std::string text = fmt::format("{}.", counted(comparison.changes.size(), "change"));
    const auto pressure = [&](double si) { return drawn.units.text(si, Dimension::pressure); };
    if (answer.loses) {
        text += fmt::format(" Head {} in run {} loses most: {} drawn, ",
                            element_id(drawn.system, {ElementKind::head, lost->head}),
                            drawn.system.runs[at(lost->run)].id, pressure(lost->drawn));
        text += dry ? "none built (dry, gone, or no solution)." : pressure(lost->built) + " built.";
    } else {
        text += " No head that decides a run loses by them.";
    }
    answer.words = sentence_case(std::move(text));
    return answer;
}

void write_comparison_text(Output& output, const ComparisonSubject& subject, const Page& page) {
    ComparisonText(output, subject, page).write();
}

void write_comparison_json(Output& output, const ComparisonSubject& subject) {
    const Data data(subject);
    JsonWriter json(output);
    json.begin_object().key("schema").whole(1);
    json.text("drawn", case_title(subject.drawn, subject.drawn_path));
    json.text("built", case_title(subject.built, subject.built_path));
    json.key("units").begin_object();
    json.text("pressure", data.drawn.units.word(Dimension::pressure)).end_object();
    json.key("same").boolean(subject.comparison.changes.empty());
    json.line().key("changes").begin_array();
    const auto side = [&](std::string_view key, const Change& change, const solver::ChangeValue& value) {
        json.key(key);
        const std::string text = data.words.value(change, value);
        if (text.empty())
            json.null();
        else
            json.text(text);
    };
    for (const Change& change : subject.comparison.changes) {
        json.line().begin_object().text("kind", ChangeWords::kind(change));
        json.text("subject", data.words.id(change)).text("table", data.words.table(change));
        json.text("key", change.key);
        side("from", change, change.from);
        side("to", change, change.to);
        json.key("with").begin_array();
        for (const Change& other : subject.comparison.changes)
            if (&other != &change && other.group == change.group) json.text(data.words.id(other));
        json.end_array().text("not_alone", change.not_alone).key("effect");
        if (const auto effect = told_effect(change, subject.comparison))
            write_effect(json, data, *effect);
        else
            json.null();
        json.key("effects").begin_array();
        for (const ChangeEffect& effect : change.effects) write_effect(json, data, effect);
        json.end_array().end_object();
    }
    json.end_array().line().key("deciding").begin_array();
    for (const ComparedHead& of : subject.comparison.deciding) {
        json.line().begin_object().text("run", data.run(of.run)).text("head", data.head(of.head));
        json.number("drawn", data.pressure(of.drawn)).number("built", data.pressure(of.built));
        json.number("wanted", data.pressure(of.wanted)).key("built_head");
        if (of.built_head == none)
            json.null();
        else
            json.text(element_id(subject.built, {ElementKind::head, of.built_head}));
        json.number("built_pressure", data.pressure(of.built_pressure)).end_object();
    }
    json.end_array().end_object();
    output.write("\n");
}

void write_comparison_csv(Output& output, const ComparisonSubject& subject) {
    const Data data(subject);
    output.write("kind,table,subject,key,from,to,run,head,alone,together,not_alone\n");
    CsvRow row(output);
    const double nothing = std::nan("");
    for (const Change& change : subject.comparison.changes) {
        const ChangeEffect* effect = main_effect(change);
        row.text("kind", ChangeWords::kind(change));
        row.text("table", data.words.table(change));
        row.text("subject", data.words.id(change));
        row.text("key", change.key);
        row.text("from", data.words.value(change, change.from));
        row.text("to", data.words.value(change, change.to));
        row.text("run", effect == nullptr ? "" : data.run(effect->run));
        row.text("head", effect == nullptr ? "" : data.head(effect->head));
        row.number("alone", effect == nullptr ? nothing : data.pressure(effect->alone));
        row.number("together", effect == nullptr ? nothing : data.pressure(effect->together));
        row.text("not_alone", change.not_alone);
        row.end();
    }
}

}  // namespace evenhead::io
