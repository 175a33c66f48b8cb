#include "io/week.hpp"
#include "io/write/common_json.hpp"
#include "io/write/row_sinks.hpp"
#include "io/write/timetable.hpp"
#include "io/write/together.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::Night;
using solver::NightBound;
using solver::ZoneTime;

constexpr std::string_view rate_words[] = {"given", "inside", "formula"};
constexpr std::string_view multiplier_names[] = {"low-half", "low-quarter", "none", "given"};

std::vector<std::string> day_list(model::Days days) {
    std::vector<std::string> list;
    for (std::size_t day = 0; day < weekday_words.size(); ++day)
        if ((days >> day & 1U) != 0) list.emplace_back(weekday_words[day]);
    return list;
}

/// Positions of the devices that are pumps.
std::vector<model::Index> pumps_of(const model::System& system) {
    std::vector<model::Index> pumps;
    for (std::size_t d = 0; d < system.devices.size(); ++d)
        if (system.devices[d].type == model::DeviceType::pump) pumps.push_back(static_cast<model::Index>(d));
    return pumps;
}

class TimetableJson {
  public:
    TimetableJson(Output& output, const TimetableSubject& subject)
        : output_(output),
          json_(output),
          row_(json_),
          subject_(subject),
          system_(subject.system),
          made_(subject.timetable),
          speaker_{subject.system, ShownUnits::of_case(subject.system.units)},
          pumps_(pumps_of(subject.system)) {}

    void write() {
        begin();
        longest();
        zones();
        json_.line().key("nights").begin_array();
        for (const Night& of : made_.nights) night(of);
        json_.end_array().line().key("assumptions").begin_array();
        assumptions_json(json_, speaker_.units, made_.assumptions);
        json_.end_array().line().key("warnings").begin_array();
        if (subject_.warnings != nullptr) warnings_json(json_, *subject_.warnings, *subject_.files);
        json_.end_array().end_object();
        output_.write("\n");
    }

  private:
    void begin() {
        const model::Window& window = *subject_.plan.window;
        json_.begin_object().key("schema").whole(1);
        json_.text("case", case_title(system_, subject_.case_path));
        json_.key("units").begin_object();
        json_.text("flow", speaker_.units.word(Dimension::flow));
        json_.text("rate", speaker_.units.word(Dimension::rate));
        json_.text("depth", speaker_.units.word(Dimension::bore)).text("time", "min");
        json_.end_object().key("ok").boolean(subject_.fits());
        json_.line().key("window").begin_object();
        json_.text("from", clock_words(window.from));
        json_.text("to", clock_words(window.from + window.length));
        json_.key("minutes").whole(window.length);
        row_.ids("days", day_list(window.days));
        json_.end_object();
        json_.text("multiplier", multiplier_names[static_cast<std::size_t>(made_.multiplier)]);
        json_.key("beyond").whole(made_.possible() ? made_.beyond(window) : 0);
    }

    void longest() {
        json_.line();
        if (made_.possible()) {
            const Night& of = subject_.longest();
            row_.ids("days", day_list(of.days));
            times(of);
            runs(of);
        } else {
            for (const char* key : {"start", "end", "length", "bound", "gap"}) json_.key(key).null();
            json_.key("runs").begin_array().end_array();
        }
        json_.line().key("never").begin_array();
        for (const Night& of : made_.nights)
            for (const std::string& id : set_ids(system_, of.never)) json_.text(id);
        json_.end_array();
    }

    void times(const Night& of) {
        json_.key("start").whole(of.start).key("end").whole(of.end);
        json_.key("length").whole(of.length()).key("bound").whole(of.bound.bound);
        json_.number("gap", of.gap());
    }

    void flows(std::string_view key, const std::vector<std::string>& ids, const std::vector<double>& flows) {
        json_.key(key).begin_array();
        for (std::size_t i = 0; i < ids.size(); ++i)
            json_.begin_object().text("id", ids[i]).number("flow", flow(flows[i])).end_object();
        json_.end_array();
    }
    double flow(double si) const { return speaker_.units.in_unit(si, Dimension::flow); }

    void runs(const Night& of) {
        std::vector<std::string> supplies, pumps;
        for (const model::Supply& supply : system_.supplies)
            supplies.push_back(system_.point_id(supply.point));
        for (const model::Index pump : pumps_)
            pumps.push_back(system_.point_id(system_.devices[at(pump)].point));
        json_.line().key("runs").begin_array();
        for (const solver::TimetableRun& run : of.runs) {
            json_.line().begin_object();
            row_.ids("valves", set_ids(system_, run.valves));
            json_.key("start").whole(run.start).key("end").whole(run.end).number("flow", flow(run.flow));
            flows("supplies", supplies, run.supply_flow);
            flows("pumps", pumps, run.pump_flow);
            json_.end_object();
        }
        json_.end_array();
    }

    std::string id(std::size_t zone) const {
        return element_id(system_, {solver::ElementKind::valve, made_.zones[zone].valve});
    }

    void zones() {
        const auto rate = [&](double si) { return speaker_.units.in_unit(si, Dimension::rate); };
        const auto depth = [&](double si) { return speaker_.units.in_unit(si, Dimension::bore); };
        json_.line().key("zones").begin_array();
        for (std::size_t z = 0; z < made_.zones.size(); ++z) {
            const ZoneTime& zone = made_.zones[z];
            const model::Watering& of = subject_.plan.rows[zone.row];
            json_.line().begin_object().text("valve", id(z)).text("group", of.group);
            row_.ids("days", day_list(zone.days));
            json_.number("need", depth(of.need)).number("depth", depth(zone.depth));
            json_.number("rate", rate(zone.rate));
            json_.text("rate_from", rate_words[static_cast<std::size_t>(zone.rate_from)]);
            json_.number("du_lq", zone.du_lq).number("multiplier", zone.multiplier);
            json_.number("exact_minutes", zone.exact).key("minutes").whole(zone.minutes);
            json_.key("cycles").whole(zone.cycles()).key("longest_cycle");
            zone.longest_cycle > 0 ? json_.whole(zone.longest_cycle) : json_.null();
            json_.number("soak_share", zone.soak_share).number("flow", flow(zone.alone));
            json_.end_object();
        }
        json_.end_array();
    }

    void night(const Night& of) {
        json_.line().begin_object();
        row_.ids("days", day_list(of.days));
        times(of);
        runs(of);
        json_.line().key("openings").begin_array();
        for (const solver::Opening& opening : of.openings) {
            json_.line().begin_object().text("valve", id(opening.zone));
            json_.key("start").whole(opening.start).key("end").whole(opening.end).end_object();
        }
        json_.end_array().line().key("longer").begin_array();
        for (std::size_t i = 0; i < of.longer.size(); ++i)
            if (of.longer[i] > 0)
                json_.begin_object()
                    .text("valve", id(of.zones[i]))
                    .key("minutes")
                    .whole(of.longer[i])
                    .end_object();
        json_.end_array().line().key("applied").begin_array();
        for (std::size_t i = 0; i < of.applied.size(); ++i)
            json_.begin_object().text("valve", id(of.zones[i])).number("share", of.applied[i]).end_object();
        json_.end_array();
        if (of.never.empty()) bound(of);
        json_.end_object();
    }

    void bound(const Night& of) {
        const NightBound& bound = of.bound;
        json_.line().key("bound_parts").begin_object().key("prices").begin_object();
        json_.number("bound", bound.priced).number("most_together", bound.most_together);
        json_.key("every_set")
            .boolean(bound.every_set)
            .key("exact")
            .boolean(bound.exact)
            .line()
            .key("zones")
            .begin_array();
        for (std::size_t i = 0; i < of.zones.size(); ++i) {
            json_.begin_object().text("valve", id(of.zones[i]));
            json_.key("minutes").whole(made_.zones[of.zones[i]].minutes);
            json_.number("price", bound.price[i]).end_object();
        }
        json_.end_array().line().key("sets").begin_array();
        for (const solver::ValveSet& set : of.sets) {
            json_.begin_array();
            for (const std::string& valve : set_ids(system_, set)) json_.text(valve);
            json_.end_array();
        }
        json_.end_array().end_object();
        const ZoneTime& longest = made_.zones[of.zones[bound.longest]];
        json_.line().key("longest_zone").begin_object().key("bound").whole(bound.longest_span);
        json_.text("valve", id(of.zones[bound.longest])).key("minutes").whole(longest.minutes);
        json_.key("soak").whole(bound.longest_span - longest.minutes).end_object();
        json_.line().key("apart").begin_object().key("bound").whole(bound.apart_minutes);
        json_.key("zones").begin_array();
        for (const std::size_t z : bound.apart) {
            json_.begin_object().text("valve", id(of.zones[z]));
            json_.key("minutes").whole(made_.zones[of.zones[z]].minutes).end_object();
        }
        json_.end_array().end_object().end_object();
    }

    Output& output_;
    JsonWriter json_;
    JsonRow row_;
    const TimetableSubject& subject_;
    const model::System& system_;
    const solver::Timetable& made_;
    Speaker speaker_;
    std::vector<model::Index> pumps_;
};

}  // namespace

void write_timetable_json(Output& output, const TimetableSubject& subject) {
    TimetableJson(output, subject).write();
}

void write_timetable_csv(Output& output, const TimetableSubject& subject, TimetableTable table) {
    const model::System& system = subject.system;
    const solver::Timetable& made = subject.timetable;
    const Speaker speaker{system, ShownUnits::of_case(system.units)};
    CsvRow row(output);
    const auto whole = [&](const char* key, int value) { row.number(key, value); };
    const auto id = [&](std::size_t zone) {
        return element_id(system, {solver::ElementKind::valve, made.zones[zone].valve});
    };
    if (table == TimetableTable::zones) {
        output.write("valve,days,depth,rate,du_lq,multiplier,minutes,cycles,longest_cycle,soak\n");
        for (std::size_t z = 0; z < made.zones.size(); ++z) {
            const ZoneTime& zone = made.zones[z];
            row.text("valve", id(z));
            row.ids("days", day_list(zone.days));
            row.number("depth", speaker.units.in_unit(zone.depth, Dimension::bore));
            row.number("rate", speaker.units.in_unit(zone.rate, Dimension::rate));
            row.number("du_lq", zone.du_lq);
            row.number("multiplier", zone.multiplier);
            whole("minutes", zone.minutes);
            whole("cycles", zone.cycles());
            whole("longest_cycle", zone.longest_cycle);
            whole("soak", zone.cycles() > 1 ? zone.soak(zone.longest_cycle) : 0);
            row.end();
        }
        return;
    }
    output.write(table == TimetableTable::runs ? "days,from,to,start,end,minutes,flow,valves\n"
                                               : "days,from,to,start,end,minutes,valve\n");
    for (const Night& night : made.nights) {
        const auto times = [&](int start, int end) {
            row.ids("days", day_list(night.days));
            row.text("from", clock_words(start));
            row.text("to", clock_words(end));
            whole("start", start);
            whole("end", end);
            whole("minutes", end - start);
        };
        if (table == TimetableTable::runs) {
            for (const solver::TimetableRun& run : night.runs) {
                times(run.start, run.end);
                row.number("flow", speaker.units.in_unit(run.flow, Dimension::flow));
                row.ids("valves", set_ids(system, run.valves));
                row.end();
            }
        } else {
            for (const solver::Opening& opening : night.openings) {
                times(opening.start, opening.end);
                row.text("valve", id(opening.zone));
                row.end();
            }
        }
    }
}

}  // namespace evenhead::io
