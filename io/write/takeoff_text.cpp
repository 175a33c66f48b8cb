#include <fmt/format.h>

#include <cmath>

#include "io/write/check_answer.hpp"
#include "io/write/takeoff.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::TakeoffLine;

class TakeoffText {
  public:
    TakeoffText(Output& output, const TakeoffSubject& subject, bool elements, const Page& page)
        : output_(output),
          speaker_(subject.speaker),
          takeoff_(subject.takeoff),
          case_path_(subject.case_path),
          elements_(elements),
          page_(page) {}

    void write() {
        answer();
        for (int section = 0; section < model::takeoff_sections; ++section)
            table(static_cast<model::TakeoffSection>(section));
        shared();
        assumed();
        say(takeoff_cautions());
    }

  private:
    void say(const std::string& words, std::string_view first = "") {
        output_.write(paragraph(words, page_.columns(), first));
    }
    std::string length(double metres) const { return speaker_.units.text(metres, Dimension::length); }

    void answer() {
        say(fmt::format("{}: {} on {}; {} of pipe in {} of trench.",
                        printable(case_title(speaker_.system, case_path_)), counted(takeoff_.heads, "head"),
                        counted(takeoff_.valves, "valve"), length(takeoff_.pipe), length(takeoff_.trench)));
        say(takeoff_cost_sentence(takeoff_));
        say(fmt::format("Next: evenhead takeoff {} -o takeoff.xlsx", shell_word(case_path_)));
    }

    std::string need(const TakeoffLine& line) const {
        return line.by_length() ? length(line.quantity) : fmt::format("{:.0f}", line.quantity);
    }

    std::string price(const TakeoffLine& line) const {
        const bool mark = line.price && line.price->source == model::PriceSource::invented &&
                          takeoff_.invented < takeoff_.priced;
        return money(takeoff_price(speaker_, line)) + (mark ? "*" : "");
    }

    void table(model::TakeoffSection section) {
        std::vector<const TakeoffLine*> lines;
        bool pieces = false;
        for (const TakeoffLine& line : takeoff_.lines)
            if (kind_of(line.item).section == section) {
                lines.push_back(&line);
                pieces = pieces || line.piece > 0;
            }
        if (lines.empty()) return;
        std::vector<TextTable::Column> columns{{std::string(section_title(section)), "", 22},
                                               {"Need", "", 9}};
        if (pieces) columns.push_back({"Order", "", 10});
        columns.push_back({"Price", "", 6});
        columns.push_back({"Cost", "", 8});
        TextTable table(columns);
        for (const TakeoffLine* line : lines) {
            std::vector<std::string> cells{takeoff_label(speaker_, *line), need(*line)};
            if (pieces) cells.push_back(takeoff_order(speaker_, *line));
            cells.push_back(price(*line));
            cells.push_back(money(line->cost));
            table.add(std::move(cells));
        }
        // What is left out would not be bought, so every line is printed.
        Page every = page_;
        every.all = true;
        output_.write("\n" + table.text(every));
        if (!elements_) return;
        for (const TakeoffLine* line : lines)
            say(fmt::format("{}: {}", takeoff_label(speaker_, *line), list(*line)), "- ");
    }

    std::string list(const TakeoffLine& line) const {
        std::string text;
        for (const model::TakeoffElement& element : line.elements) {
            if (!text.empty()) text += ", ";
            text += takeoff_id(speaker_, element);
            if (line.by_length())
                text += " " + length(element.quantity);
            else if (element.quantity > 1)
                text += fmt::format(" ({:.0f})", element.quantity);
        }
        return text;
    }

    void shared() {
        if (takeoff_.shared_trenches.empty()) return;
        output_.write("\n");
        say(fmt::format("{} of pipe shares the trench of another{}", length(takeoff_.shared),
                        elements_ ? ":" : " (--elements says which)."));
        if (!elements_) return;
        for (const model::SharedTrench& trench : takeoff_.shared_trenches)
            say(fmt::format("{} with {}, {}", speaker_.system.pipe_id(trench.pipe),
                            speaker_.system.pipe_id(trench.with), length(trench.length)),
                "- ");
    }

    void assumed() {
        output_.write("\n");
        if (takeoff_.assumptions.empty()) return;
        output_.write("Assumed\n");
        for (const model::Assumption& assumption : takeoff_.assumptions)
            say(fmt::format("{}: {}", assumption.subject, assumption_and_reason(speaker_.units, assumption)),
                "- ");
        output_.write("\n");
    }

    Output& output_;
    const Speaker& speaker_;
    const model::Takeoff& takeoff_;
    const std::string case_path_;
    const bool elements_;
    const Page page_;
};

}  // namespace

void write_takeoff_text(Output& output, const TakeoffSubject& subject, bool elements, const Page& page) {
    TakeoffText(output, subject, elements, page).write();
}

}  // namespace evenhead::io
