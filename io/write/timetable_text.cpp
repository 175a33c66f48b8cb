#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/week.hpp"
#include "io/write/check_answer.hpp"
#include "io/write/finding_list.hpp"
#include "io/write/timetable.hpp"
#include "io/write/together.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::Night;
using solver::NightBound;
using solver::ZoneTime;

std::string valve_id(const model::System& system, model::Index valve) {
    return element_id(system, {solver::ElementKind::valve, valve});
}

class TimetableText {
  public:
    TimetableText(Output& output, const TimetableSubject& subject, const Page& page)
        : output_(output),
          subject_(subject),
          made_(subject.timetable),
          page_(page),
          speaker_{subject.system, ShownUnits::of_text(subject.system)} {}

    void write() {
        answer();
        for (const Night& night : made_.nights)
            if (night.never.empty()) runs(night);
        zones();
        if (made_.possible()) bound();
        taken();
        output_.write("\n" + cautions(page_));
    }

  private:
    void say(const std::string& text, std::string_view first = "") {
        output_.write(paragraph(text, page_.columns(), first));
    }
    std::string id(std::size_t zone) const { return valve_id(subject_.system, made_.zones[zone].valve); }

    void answer() {
        std::string what = paragraph(night_answer(subject_), page_.columns());
        what.pop_back();
        output_.write(coloured(what, subject_.fits() ? Colour::good : Colour::bad, page_) + "\n");
        if (made_.possible()) say(night_bound_words(subject_));
        for (const std::string& help : what_would_help(subject_)) say(help, "- ");
        if (subject_.fits())
            say(fmt::format("Next: evenhead timetable {} -o night.ics", shell_word(subject_.case_path)));
        else if (!made_.possible())
            say(fmt::format("Next: evenhead together {}", shell_word(subject_.case_path)));
    }

    void runs(const Night& night) {
        output_.write("\n" + paragraph(fmt::format("Night that begins {}: {}, {} to {}",
                                                   days_words(night.days), duration_words(night.length()),
                                                   clock_words(night.start), clock_words(night.end)),
                                       page_.columns()));
        TextTable table({{"From", "", 5},
                         {"To", "", 5, true},
                         {"Time", "min", 4},
                         {"Flow", std::string(speaker_.units.word(Dimension::flow)), 6},
                         {"Open", "", 0, true}});
        const std::size_t shown = std::min(night.runs.size(), page_.rows());
        for (std::size_t i = 0; i < shown; ++i) {
            const solver::TimetableRun& run = night.runs[i];
            table.add({clock_words(run.start), clock_words(run.end), fmt::format("{}", run.end - run.start),
                       speaker_.units.number(run.flow, Dimension::flow),
                       fmt::format("{}", fmt::join(set_ids(subject_.system, run.valves), " "))});
        }
        output_.write(table.text(page_));
        output_.write(and_more(night.runs.size(), shown));
    }

    void zones() {
        TextTable table({{"Valve", "", 12},
                         {"Rate", std::string(speaker_.units.word(Dimension::rate)), 5},
                         {"DU", "", 4},
                         {"Times", "", 5},
                         {"Nights", "", 6},
                         {"Run", "min", 4},
                         {"Cycles", "", 6},
                         {"Soak", "min", 4}});
        const std::size_t shown = std::min(made_.zones.size(), page_.rows());
        for (std::size_t z = 0; z < shown; ++z) {
            const ZoneTime& zone = made_.zones[z];
            int nights = 0;
            for (int day = 0; day < 7; ++day) nights += static_cast<int>(zone.days >> day & 1U);
            const bool soaks = zone.cycles() > 1;
            table.add(
                {id(z), speaker_.units.number(zone.rate, Dimension::rate),
                 std::isnan(zone.du_lq) ? "-" : fmt::format("{:.2f}", zone.du_lq),
                 fmt::format("{:.2f}", zone.multiplier), fmt::format("{}", nights),
                 fmt::format("{}", zone.minutes), fmt::format("{}", zone.cycles()),
                 soaks ? fmt::format("{}", zone.soak(std::min(zone.longest_cycle, zone.minutes))) : "-"});
        }
        output_.write("\nRun times of a night\n" + table.text(page_));
        output_.write(and_more(made_.zones.size(), shown));
        say(
            fmt::format("Times: {}. Run = depth / rate x times, in whole minutes, rounded up. Cycles: "
                        "at the least. Soak: after a whole cycle, before the zone may go on.",
                        multiplier_words(made_)));
        short_zones();
        long_zones();
    }

    /// Company for zones that may not be open alone.
    void long_zones() {
        std::vector<std::string> words;
        for (const Night& night : made_.nights)
            for (std::size_t i = 0; i < night.longer.size(); ++i)
                if (night.longer[i] > 0)
                    words.push_back(fmt::format("{} {} min", id(night.zones[i]), night.longer[i]));
        if (!words.empty())
            say(
                fmt::format("Some zones may only be open with others; as their company run longer than they "
                            "want: {}.",
                            id_list(words, page_.all ? 1000 : 8)));
    }

    /// In company a zone gets less than alone.
    void short_zones() {
        std::vector<std::string> words;
        for (const Night& night : made_.nights)
            for (std::size_t i = 0; i < night.applied.size(); ++i)
                if (night.applied[i] < 0.97)
                    words.push_back(fmt::format("{} {:.0f} %", id(night.zones[i]), 100 * night.applied[i]));
        std::sort(words.begin(), words.end());
        words.erase(std::unique(words.begin(), words.end()), words.end());
        if (!words.empty())
            say(
                fmt::format("Open with others a zone flows less than alone; of what they want get less than "
                            "97 %: {}.",
                            id_list(words, page_.all ? 1000 : 8)));
    }

    void bound() {
        const Night& night = subject_.longest();
        const NightBound& bound = night.bound;
        output_.write("\nWhat no timetable of the longest night can beat\n");
        std::string priced = fmt::format(
            "prices of the zones' minutes, summed: {:.1f} min. The prices of any "
            "set that may be open at once sum to 1 at most",
            bound.priced);
        if (!bound.every_set)
            priced +=
                fmt::format(" ({:.3f} over all sets, also those that were not tried)", bound.most_together);
        say(priced + ".", "- ");
        const ZoneTime& longest = made_.zones[night.zones[bound.longest]];
        say(fmt::format("the longest zone, {}: {} min with its {}.", id(night.zones[bound.longest]),
                        bound.longest_span,
                        longest.cycles() > 1 ? counted(static_cast<std::size_t>(longest.cycles()), "cycle") +
                                                   " and the soaks between"
                                             : "one cycle"),
            "- ");
        if (bound.apart.size() > 1) {
            std::vector<std::string> ids;
            for (const std::size_t z : bound.apart) ids.push_back(id(night.zones[z]));
            say(fmt::format("{}, of which no two may be open together: {} min.",
                            id_list(ids, page_.all ? 1000 : 8), bound.apart_minutes),
                "- ");
        }
        say(fmt::format("{} sets of valves were balanced and judged for it.", night.tried));
    }

    void taken() {
        if (made_.assumptions.empty()) return;
        output_.write("\nTaken for granted\n");
        for (const model::Assumption& of : made_.assumptions)
            say(fmt::format("{}: {} {} ({})", of.subject, of.what, of.words, of.why), "- ");
    }

    Output& output_;
    const TimetableSubject& subject_;
    const solver::Timetable& made_;
    const Page page_;
    Speaker speaker_;
};

}  // namespace

std::string multiplier_words(const solver::Timetable& timetable) {
    switch (timetable.multiplier) {
        case solver::MultiplierRule::low_half:
            return "1 / (0.4 + 0.6 DU), DU of the driest quarter";
        case solver::MultiplierRule::low_quarter:
            return "1 / DU, DU of the driest quarter";
        case solver::MultiplierRule::none:
            return "1, whatever the uniformity";
        case solver::MultiplierRule::given:
            return "as --multiplier says";
    }
    return "";
}

std::string night_answer(const TimetableSubject& subject) {
    const solver::Timetable& made = subject.timetable;
    const model::Window& window = *subject.plan.window;
    if (!made.possible()) {
        std::vector<std::string> ids;
        for (const Night& night : made.nights)
            for (const model::Index valve : night.never) {
                const std::string id = valve_id(subject.system, valve);
                if (std::find(ids.begin(), ids.end(), id) == ids.end()) ids.push_back(id);
            }
        return fmt::format("No timetable: {} cannot be watered within limits.", id_list(ids, 20));
    }
    const Night& night = subject.longest();
    const std::string hours =
        fmt::format("{} to {}", clock_words(window.from), clock_words(window.from + window.length));
    const std::string takes =
        fmt::format("{} takes {}, {} to {}", made.nights.size() == 1 ? "The night" : "The longest night",
                    duration_words(night.length()), clock_words(night.start), clock_words(night.end));
    const int beyond = made.beyond(window);
    if (beyond == 0) return fmt::format("{}, within the window ({}).", takes, hours);
    return fmt::format("{}: {} more than the window ({}) has.", takes, duration_words(beyond), hours);
}

std::string night_bound_words(const TimetableSubject& subject) {
    const Night& night = subject.longest();
    if (night.length() <= night.bound.bound) return "No timetable takes less: proven.";
    return fmt::format("No timetable takes less than {}: at most {:.1f} % could still be saved.",
                       duration_words(night.bound.bound),
                       100.0 * (night.length() - night.bound.bound) / night.length());
}

std::vector<std::string> what_would_help(const TimetableSubject& subject) {
    std::vector<std::string> help;
    const solver::Timetable& made = subject.timetable;
    if (!made.possible() || subject.fits()) return help;
    const model::Window& window = *subject.plan.window;
    const Night& night = subject.longest();
    if (night.bound.bound > window.length)
        help.push_back(fmt::format("No other order of these run times fits: they take {} at the least.",
                                   duration_words(night.bound.bound)));
    help.push_back(fmt::format("A window of {} would do: open it {} earlier, or close it later.",
                               duration_words(night.length()), duration_words(made.beyond(window))));
    std::vector<std::string> seldom;
    for (const std::size_t zone : night.zones)
        if (made.zones[zone].days != window.days)
            seldom.push_back(valve_id(subject.system, made.zones[zone].valve));
    if (!seldom.empty())
        help.push_back(fmt::format("More nights would shorten each: {} {} not on every day of the window.",
                                   id_list(seldom, 8), seldom.size() == 1 ? "waters" : "water"));
    std::size_t dearest = 0;
    double most = 0;
    for (std::size_t z = 0; z < night.zones.size(); ++z) {
        const double cost = night.bound.price[z] * made.zones[night.zones[z]].minutes;
        if (cost > most * (1 + 1e-9)) {
            most = cost;
            dearest = z;
        }
    }
    const bool spans = night.bound.longest_span >= night.bound.bound;
    const ZoneTime& zone = made.zones[night.zones[spans ? night.bound.longest : dearest]];
    if (spans)
        help.push_back(
            fmt::format("Most of it is the run of {} with its soaks: a lower rate, more storage or "
                        "more nights shorten that.",
                        valve_id(subject.system, zone.valve)));
    else if (most > 0)
        help.push_back(
            fmt::format("{} takes more of the night than any other, {:.0f} of its minutes: more uniform heads, or "
                        "what lets it run with others (evenhead together) shorten that.",
                        valve_id(subject.system, zone.valve), most));
    return help;
}

void write_timetable_text(Output& output, const TimetableSubject& subject, const Page& page) {
    TimetableText(output, subject, page).write();
}

}  // namespace evenhead::io
