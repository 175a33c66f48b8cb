#include "io/write/fault_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::DeviceType;
using model::Dimension;
using model::Index;
using model::none;
using model::PointKind;
using solver::ElementKind;
using solver::FaultKind;
using solver::Site;

DeviceType device_type(const model::System& system, const Site& site) {
    return system.devices[at(site.at.index)].type;
}

}  // namespace

std::string gauge_place(const Speaker& speaker, const solver::Gauge& gauge) {
    const model::Point& point = speaker.system.points[at(gauge.point)];
    const auto element = [&](ElementKind kind) { return element_name(speaker.system, {kind, point.row}); };
    const std::string_view side = gauge.side == model::Side::inlet ? "the inlet of " : "the outlet of ";
    switch (point.kind) {
        case PointKind::head: {
            const bool riser = !gauge.flow && gauge.way == model::Gauge::riser;
            return (riser ? "the riser of " : "") + element(ElementKind::head);
        }
        case PointKind::supply:
            return element(ElementKind::supply);
        case PointKind::device:
            return (gauge.flow ? "" : std::string(side)) + element(ElementKind::device);
        case PointKind::valve:
            return (gauge.flow ? "" : std::string(side)) + element(ElementKind::valve);
        case PointKind::plain:
            break;
    }
    return "point " + point.id;
}

std::string situation_words(const model::System& system, const solver::Situation& situation) {
    if (situation.run == none) return "with every valve shut";
    return fmt::format("with {} running", system.runs[at(situation.run)].id);
}

std::string take_reading(const Speaker& speaker, const solver::Survey& survey, const solver::Gauge& gauge) {
    const auto read = survey.gauges.begin() + static_cast<std::ptrdiff_t>(survey.readings);
    const bool again = std::any_of(survey.gauges.begin(), read, [&](const solver::Gauge& other) {
        return other.situation == gauge.situation && other.point == gauge.point && other.flow == gauge.flow &&
               other.way == gauge.way && other.side == gauge.side;
    });
    return fmt::format("{} {}{} {}", gauge.flow ? "read the flow at" : "gauge", gauge_place(speaker, gauge),
                       again ? " again" : "",
                       situation_words(speaker.system, survey.situations[gauge.situation]));
}

std::string FaultWords::pipes(const Site& site) const {
    if (site.rows.size() < 2) return name(site.at);
    const Index lateral = common_lateral(survey_, site.rows);
    if (lateral != none)
        return fmt::format("lateral {} ({})", survey_.whole->laterals[at(lateral)].id,
                           counted(site.rows.size(), "pipe"));
    return fmt::format("the run of {} from {} to {}", counted(site.rows.size(), "pipe"),
                       element_id(speaker_.system, {ElementKind::pipe, site.rows.front()}),
                       element_id(speaker_.system, {ElementKind::pipe, site.rows.back()}));
}

std::string FaultWords::nozzles(const Site& site) const {
    if (site.rows.size() < 2) return fmt::format("the nozzle of {}", name(site.at));
    if (whole_zone(survey_, site))
        return fmt::format("the nozzles of zone {} ({})",
                           element_id(speaker_.system, {ElementKind::valve, site.valve}),
                           counted(site.rows.size(), "head"));
    const Index nozzle = speaker_.system.heads[at(site.rows.front())].nozzle;
    const std::string zone = site.valve == none
                                 ? std::string("on the mainline")
                                 : "of zone " + element_id(speaker_.system, {ElementKind::valve, site.valve});
    return fmt::format("the {} nozzles {} ({})", speaker_.system.nozzles[at(nozzle)].id, zone,
                       counted(site.rows.size(), "head"));
}

std::string FaultWords::place(const Site& site) const {
    switch (site.kind) {
        case FaultKind::narrow_run:
            return pipes(site);
        case FaultKind::larger_nozzle:
            return site.rows.size() > 1 ? nozzles(site) : name(site.at);
        case FaultKind::leak: {
            const std::string where = leak(site);
            return where == element_id(speaker_.system, site.at) ? "point " + where : where;
        }
        case FaultKind::higher_ground:
            return "zone " + element_id(speaker_.system, site.at);
        case FaultKind::gauge_off:
            return "the gauge";
        default:
            return name(site.at);
    }
}

/// Where water leaks: "head L4", "T2".
std::string FaultWords::leak(const Site& site) const {
    const model::Point& point = speaker_.system.points[at(site.at.index)];
    return point.kind == PointKind::head ? name({ElementKind::head, point.row}) : point.id;
}

std::string FaultWords::blockage(const Site& site) const {
    const std::string what = name(site.at);
    switch (site.at.kind) {
        case ElementKind::valve:
            return what + " does not open fully";
        case ElementKind::head:
            return fmt::format("the screen or swing joint of {} is clogged", what);
        case ElementKind::device:
            switch (device_type(speaker_.system, site)) {
                case DeviceType::gate:
                    return what + " is partly shut";
                case DeviceType::master:
                    return what + " does not open fully";
                case DeviceType::filter:
                    return what + " is clogged";
                case DeviceType::check:
                    return what + " does not open fully";
                case DeviceType::backflow:
                    return what + " is half shut or fouled";
                case DeviceType::meter:
                    return what + " or its stop is blocked";
                default:
                    return what + " is blocked";
            }
        default:
            return what + " is blocked";
    }
}

std::string FaultWords::clause(const Site& site, double severity) const {
    switch (site.kind) {
        case FaultKind::blockage:
            return blockage(site);
        case FaultKind::narrow_run:
            return pipes(site) + (site.rows.size() > 1 && common_lateral(survey_, site.rows) == none
                                      ? " is narrower throughout than drawn"
                                      : " is narrower than drawn");
        case FaultKind::leak:
            return fmt::format("water leaks at {}", leak(site));
        case FaultKind::clogged_nozzle:
            return fmt::format("the nozzle of {} is clogged", name(site.at));
        case FaultKind::larger_nozzle:
            return nozzles(site) +
                   (site.rows.size() > 1 ? " are worn or too large" : " is worn or too large");
        case FaultKind::missing_nozzle:
            return name(site.at) + " has lost its nozzle or is broken off";
        case FaultKind::low_supply:
            return fmt::format("the pressure of {} is low", name(site.at));
        case FaultKind::regulator_low:
            return site.at.kind == ElementKind::head
                       ? fmt::format("the regulator in {} holds too little", name(site.at))
                       : name(site.at) + " holds too little pressure";
        case FaultKind::second_zone_on:
            return fmt::format("the zone of {} runs at the same time", name(site.at));
        case FaultKind::extra_heads:
            return fmt::format("heads were added on the line at {}", name(site.at));
        case FaultKind::higher_ground:
            return fmt::format("zone {} lies higher than drawn", element_id(speaker_.system, site.at));
        case FaultKind::gauge_off:
            return severity < 0 ? "the gauge shows too little" : "the gauge shows too much";
    }
    return "";
}

std::string FaultWords::amount(const Site& site, double severity, const std::array<double, 2>& band) const {
    const ShownUnits& units = speaker_.units;
    const Dimension dimension = severity_dimension(site.kind);
    const auto percent = [](double share) { return fmt::format("{:.0f} %", 100 * share); };
    const auto range = [&](const std::string& low, const std::string& high, std::string_view unit) {
        return low == high ? std::string()
                           : fmt::format(" ({} to {}{}{})", low, high, unit.empty() ? "" : " ", unit);
    };
    const auto in_percent = [&](double one, double low, double high, std::string_view of) {
        return fmt::format("{} {}{}", percent(one), of,
                           range(fmt::format("{:.0f}", 100 * low), fmt::format("{:.0f}", 100 * high), "%"));
    };
    const auto in_unit = [&](double one, double low, double high, std::string_view of) {
        if (low > high) std::swap(low, high);
        return fmt::format(
            "{}{}{}{}", units.text(one, dimension), of.empty() ? "" : " ", of,
            range(units.number(low, dimension), units.number(high, dimension), units.word(dimension)));
    };
    switch (site.kind) {
        case FaultKind::blockage:
            return in_percent(severity, band[0], band[1], "of its opening shut");
        case FaultKind::narrow_run:
            return in_percent(severity, band[0], band[1], "of its bore lost");
        case FaultKind::leak:
            return in_unit(severity, band[0], band[1], "lost");
        case FaultKind::clogged_nozzle:
            return in_percent(severity, band[0], band[1], "of its flow left");
        case FaultKind::larger_nozzle:
            return in_percent(severity, band[0], band[1],
                              site.rows.size() > 1 ? "of the flow drawn, each" : "of the flow drawn");
        case FaultKind::missing_nozzle:
            return fmt::format(
                "{:.1f} times its flow{}", severity,
                range(fmt::format("{:.1f}", band[0]), fmt::format("{:.1f}", band[1]), "times"));
        case FaultKind::low_supply:
            return in_unit(severity, band[0], band[1], "below what is given");
        case FaultKind::regulator_low:
            return in_unit(severity, band[0], band[1], "below its setting");
        case FaultKind::second_zone_on:
            return "";
        case FaultKind::extra_heads: {
            const auto whole = [](double count) { return fmt::format("{:.0f}", std::max(1.0, count)); };
            return fmt::format(
                "about {} more{}",
                counted(static_cast<std::size_t>(std::lround(std::max(1.0, severity))), "head"),
                range(whole(band[0]), whole(band[1]), ""));
        }
        case FaultKind::higher_ground:
            return "by " + in_unit(severity, band[0], band[1], "");
        case FaultKind::gauge_off:
            // A gauge that shows too little: by how much, from little to much.
            return severity < 0 ? "by " + in_unit(-severity, -band[1], -band[0], "")
                                : "by " + in_unit(severity, band[0], band[1], "");
    }
    return "";
}

std::string FaultWords::clause(const solver::Hypothesis& hypothesis) const {
    if (hypothesis.faults.empty()) return "all is as drawn";
    std::string text;
    for (std::size_t i = 0; i < hypothesis.faults.size(); ++i)
        text += (i == 0 ? "" : ", and ") + clause(*hypothesis.faults[i], hypothesis.severities[i]);
    return text;
}

std::string FaultWords::clause_and_amount(const solver::Hypothesis& hypothesis) const {
    if (hypothesis.faults.empty()) return "all is as drawn";
    std::string text;
    for (std::size_t i = 0; i < hypothesis.faults.size(); ++i) {
        const std::string how_much =
            amount(*hypothesis.faults[i], hypothesis.severities[i], hypothesis.band[i]);
        text += (i == 0 ? "" : "; and ") + clause(*hypothesis.faults[i], hypothesis.severities[i]);
        if (!how_much.empty()) text += ": " + how_much;
    }
    return text;
}

std::string FaultWords::blockage_action(const Site& site) const {
    const std::string what = name(site.at);
    switch (site.at.kind) {
        case ElementKind::valve:
            return fmt::format(
                "turn the flow control of {} fully open; if that does not help, open the valve and look "
                "at seat and diaphragm",
                what);
        case ElementKind::head:
            return fmt::format("pull the screen of {} and rinse it, then look at its swing joint", what);
        case ElementKind::device:
            switch (device_type(speaker_.system, site)) {
                case DeviceType::gate:
                    return fmt::format("turn {} fully open and count the turns", what);
                case DeviceType::master:
                    return fmt::format("open {} by hand and see whether the pressure comes", what);
                case DeviceType::filter:
                    return fmt::format("open and clean {}", what);
                case DeviceType::backflow:
                    return fmt::format(
                        "see that both handles of {} lie along the pipe; its checks are a licensed "
                        "tester's",
                        what);
                default:
                    return fmt::format("see that the stop at {} is fully open, then look at its screen",
                                       what);
            }
        default:
            return fmt::format("dig at {}, and look for a root, a pinch or debris", what);
    }
}

std::string FaultWords::action(const Site& site) const {
    const auto id = [&] { return element_id(speaker_.system, site.at); };
    switch (site.kind) {
        case FaultKind::blockage:
            return blockage_action(site);
        case FaultKind::narrow_run:
            return site.rows.size() > 1
                       ? fmt::format("dig at one pipe of {}, and look at its size and its wall", pipes(site))
                       : fmt::format("dig at {}, and look whether it is scaled, pinched or a size too small",
                                     name(site.at));
        case FaultKind::leak:
            return fmt::format("look for wet or sunken ground at {}, and dig there", leak(site));
        case FaultKind::clogged_nozzle:
            return fmt::format("take out the nozzle of {} and clean it", name(site.at));
        case FaultKind::larger_nozzle:
            return site.rows.size() > 1
                       ? "read the marks on those nozzles, and try the bore of some with a drill of "
                         "their size"
                       : fmt::format(
                             "read the mark on the nozzle of {}, and try its bore with a "
                             "drill of its size",
                             name(site.at));
        case FaultKind::missing_nozzle:
            return fmt::format("look at {} while it runs", name(site.at));
        case FaultKind::low_supply:
            return fmt::format(
                "read the static pressure at {} again at another hour, and ask who supplies the water",
                name(site.at));
        case FaultKind::regulator_low:
            return site.at.kind == ElementKind::head
                       ? fmt::format("change the body of {}", name(site.at))
                       : fmt::format("set {} anew with a gauge at its outlet", name(site.at));
        case FaultKind::second_zone_on:
            return fmt::format("see whether the heads of {} run, and shut it by hand", name(site.at));
        case FaultKind::extra_heads:
            return fmt::format("count the heads on the line at {}", name(site.at));
        case FaultKind::higher_ground:
            return fmt::format("level the ground of zone {} against its valve", id());
        case FaultKind::gauge_off:
            return "hold a second gauge to one of the places read";
    }
    return "";
}

int FaultWords::effort(const Site& site) {
    switch (site.kind) {
        case FaultKind::gauge_off:
        case FaultKind::second_zone_on:
        case FaultKind::missing_nozzle:
        case FaultKind::extra_heads:
            return 0;
        case FaultKind::blockage:
            return site.at.kind == ElementKind::pipe ? 3 : 1;
        case FaultKind::regulator_low:
            return site.at.kind == ElementKind::head ? 2 : 1;
        case FaultKind::narrow_run:
            return 3;
        case FaultKind::leak:
        case FaultKind::higher_ground:
            return 2;
        case FaultKind::clogged_nozzle:
        case FaultKind::larger_nozzle:
        case FaultKind::low_supply:
            return 1;
    }
    return 3;
}

std::string chance(double probability) {
    if (probability > 0.99) return "over 99 %";
    if (probability < 0.01) return "under 1 %";
    return fmt::format("{:.0f} %", 100 * probability);
}

}  // namespace evenhead::io
