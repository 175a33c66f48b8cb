#include "io/write/sentences.hpp"
#include "model/position.hpp"

#include <fmt/format.h>

#include <cmath>
#include <filesystem>

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::ElementKind;
using solver::ElementRef;
using solver::Finding;
using solver::RuleId;

std::string_view device_noun(model::DeviceType type) {
    switch (type) {
        case model::DeviceType::meter:
            return "meter";
        case model::DeviceType::backflow:
            return "backflow preventer";
        case model::DeviceType::filter:
            return "filter";
        case model::DeviceType::regulator:
            return "regulator";
        case model::DeviceType::check:
            return "check valve";
        case model::DeviceType::gate:
            return "gate valve";
        case model::DeviceType::pump:
            return "pump";
        case model::DeviceType::master:
            return "master valve";
        case model::DeviceType::flow_sensor:
            return "flow sensor";
        case model::DeviceType::quick_coupler:
            return "quick coupler";
        case model::DeviceType::other:
            break;
    }
    return "device";
}

double head_pressure(const solver::RunResult* result, const ElementRef& element) {
    if (result == nullptr || element.kind != ElementKind::head ||
        at(element.index) >= result->head_pressure.size())
        return std::nan("");
    return result->head_pressure[at(element.index)];
}

/// "head L1 (44.0 psi)".
std::string with_pressure(const Speaker& speaker, const ElementRef& element,
                          const solver::RunResult* result) {
    const double pressure = head_pressure(result, element);
    const std::string name = element_name(speaker.system, element);
    return std::isnan(pressure)
               ? name
               : fmt::format("{} ({})", name, speaker.units.text(pressure, Dimension::pressure));
}

/// "(nozzle's min)", "(common practice; base: mean of the zone)".
std::string basis(const Finding& finding) {
    std::string text = finding.source;
    if (!finding.detail.empty()) text += (text.empty() ? "" : "; ") + finding.detail;
    return text.empty() ? text : " (" + text + ")";
}

std::string names_of(const Speaker& speaker, const std::vector<ElementRef>& elements) {
    std::string text;
    for (std::size_t i = 0; i < elements.size(); ++i) {
        if (i > 0) text += i + 1 == elements.size() ? " and " : ", ";
        text += element_name(speaker.system, elements[i]);
    }
    return text;
}

std::string flow_remedy(const Speaker& speaker, const Finding& finding) {
    if (finding.subject.kind != ElementKind::pipe || finding.limit <= 0) return "Take a larger pipe.";
    const double bore = speaker.system.pipes[at(finding.subject.index)].size->bore.value;
    // The same flow at the limit: velocity goes with the square of the bore.
    const double needed = bore * std::sqrt(finding.value / finding.limit);
    return fmt::format("A bore of {} or more keeps it below; or put fewer heads on at once.",
                       speaker.units.text(needed, Dimension::bore));
}

}  // namespace

std::string_view element_noun(const model::System& system, const ElementRef& element) {
    switch (element.kind) {
        case ElementKind::point:
            return "point";
        case ElementKind::pipe:
            return "pipe";
        case ElementKind::device:
            return device_noun(system.devices[at(element.index)].type);
        case ElementKind::valve:
            return "valve";
        case ElementKind::head:
            return "head";
        case ElementKind::supply:
            return "supply";
        case ElementKind::run:
            return "run";
    }
    return "";
}

std::string case_title(const model::System& system, const std::string& path) {
    return system.title.empty() ? std::filesystem::path(path).filename().string() : system.title;
}

std::string element_id(const model::System& system, const ElementRef& element) {
    if (element.index == model::none) return "";
    const std::size_t i = at(element.index);
    switch (element.kind) {
        case ElementKind::point:
            return system.points[i].id;
        case ElementKind::pipe:
            return system.pipe_id(element.index);
        case ElementKind::device:
            return system.point_id(system.devices[i].point);
        case ElementKind::valve:
            return system.point_id(system.valves[i].point);
        case ElementKind::head:
            return system.point_id(system.heads[i].point);
        case ElementKind::supply:
            return system.point_id(system.supplies[i].point);
        case ElementKind::run:
            return system.runs[i].id;
    }
    return "";
}

std::string element_name(const model::System& system, const ElementRef& element) {
    if (element.index == model::none) return "the system";
    const std::string id = element_id(system, element);
    const std::string_view noun = element_noun(system, element);
    const bool named_after = noun.substr(0, noun.find(' ')) == id || noun.substr(noun.rfind(' ') + 1) == id;
    return named_after ? fmt::format("the {}", noun) : fmt::format("{} {}", noun, id);
}

std::string_view rule_name(RuleId rule) {
    for (const solver::RuleInfo& info : solver::rule_table())
        if (info.id == rule) return info.name;
    return "";
}

std::string sentence_case(std::string text) {
    if (!text.empty() && text.front() >= 'a' && text.front() <= 'z')
        text.front() = static_cast<char>(text.front() - 'a' + 'A');
    return text;
}

std::string with_dot(std::string text) {
    if (!text.empty() && std::string_view(".!?").find(text.back()) == std::string_view::npos) text += '.';
    return text;
}

std::string assumption_words(const ShownUnits& units, const model::Assumption& assumption) {
    std::string value = assumed_value(units, assumption);
    // "loss" goes without saying before "usual loss of a 1 in backflow".
    if (value.find(assumption.what) != std::string::npos) return value;
    return value.empty() ? assumption.what : assumption.what + " " + value;
}

std::string assumption_and_reason(const ShownUnits& units, const model::Assumption& assumption) {
    const std::string words = assumption_words(units, assumption);
    return assumption.why.empty() ? words : words + " (" + assumption.why + ")";
}

std::string counted(std::size_t number, std::string_view noun) {
    return fmt::format("{} {}{}", number, noun, number == 1 ? "" : "s");
}

std::string finding_unit(const Speaker& speaker, const Finding& finding) {
    return std::string(speaker.units.word(finding.dimension));
}

std::string finding_sentence(const Speaker& speaker, const Finding& finding,
                             const solver::RunResult* result) {
    const std::string subject = element_name(speaker.system, finding.subject);
    const std::string value = speaker.units.beside(finding.value, finding.limit, finding.dimension);
    const std::string limit = speaker.units.limit(finding.limit, finding.dimension);
    const std::string why = basis(finding);
    std::string text;
    switch (finding.rule) {
        case RuleId::head_pressure:
            text = finding.upper ? fmt::format("{} gets {}, more than {}{}.", subject, value, limit, why)
                                 : fmt::format("{} gets {}; it needs {}{}.", subject, value, limit, why);
            break;
        case RuleId::zone_spread:
            text = fmt::format("pressures behind {} differ by {}", subject, value);
            if (finding.also.size() >= 2)
                text += fmt::format(", from {} to {}", with_pressure(speaker, finding.also[0], result),
                                    with_pressure(speaker, finding.also[1], result));
            text += fmt::format("; at most {}{}.", limit, why);
            break;
        case RuleId::velocity:
            text = fmt::format("the water in {} runs at {}; at most {}{}.", subject, value, limit, why);
            break;
        case RuleId::meter_flow:
            text =
                finding.dimension == Dimension::share
                    ? fmt::format("{} passes {} of its safe flow; at most {}{}.", subject, value, limit, why)
                    : fmt::format("{} passes {}; at most {}{}.", subject, value, limit, why);
            break;
        case RuleId::meter_loss:
            text = finding.dimension == Dimension::share
                       ? fmt::format("{} takes {} of the static pressure before it; at most {}{}.", subject,
                                     value, limit, why)
                       : fmt::format("{} takes {}; at most {}{}.", subject, value, limit, why);
            break;
        case RuleId::pipe_rating:
            text = fmt::format("{} stands under {}, more than the {} it is rated for{}.", subject, value,
                               limit, why);
            break;
        case RuleId::surge:
            text = fmt::format("a surge of {} runs through {} when {} closes at once; at most {}{}.", value,
                               subject, finding.also.empty() ? "a valve" : names_of(speaker, finding.also),
                               limit, why);
            break;
        case RuleId::below_atmosphere:
            text = fmt::format("{} is at {}, below the pressure of the air{}.", subject, value, why);
            break;
        case RuleId::data_range:
            if (finding.subject.kind == ElementKind::supply && finding.value < 0)
                text = fmt::format("water flows back into {}: {}.", subject,
                                   speaker.units.text(-finding.value, finding.dimension));
            else
                text = fmt::format("{} is at {}, {} the {} of {}.",
                                   finding.dimension == Dimension::temperature ? "the water" : subject, value,
                                   finding.upper ? "above" : "below", limit,
                                   finding.source.empty() ? "its data" : finding.source);
            break;
        case RuleId::short_flow:
            text = fmt::format("{} draws {} of the {} it should{}.", subject, value, limit, why);
            break;
        case RuleId::unfed:
            text = fmt::format("{} gets water in no run{}.", subject, why);
            if (!finding.also.empty()) text += " Closed on the way: " + names_of(speaker, finding.also) + ".";
            break;
        case RuleId::two_valves:
            text = fmt::format("{} is fed through two valves", subject);
            if (!finding.also.empty()) text += ", " + names_of(speaker, finding.also);
            text += why + ".";
            break;
        case RuleId::stated:
            text = fmt::format("{} {} {}, {} the {} that what is stated allows{}.", subject,
                               finding.dimension == Dimension::flow ? "passes" : "is at", value,
                               finding.upper ? "above" : "below", limit, why);
            break;
        case RuleId::regulator:
            text = fmt::format(
                "{} stands under {} with every valve shut, and nothing holds the pressure; without "
                "a regulator at most {}{}.",
                subject, value, limit, why);
            break;
        case RuleId::regulated_inlet:
            text = fmt::format("{} has {} before its regulated body; it needs {}{}.", subject, value, limit,
                               why);
            break;
        case RuleId::spacing:
            text = fmt::format(
                "{} is {} from the nearest of its zone{}; at most {}{}.", subject, value,
                finding.also.empty() ? "" : ", " + element_name(speaker.system, finding.also[0]), limit, why);
            break;
        case RuleId::working_pressure:
            text = fmt::format("{} works under {}; at most {} of its rating is allowed{}.", subject, value,
                               limit, why);
            break;
    }
    return sentence_case(text);
}

std::string finding_remedy(const Speaker& speaker, const Finding& finding) {
    switch (finding.rule) {
        case RuleId::head_pressure:
            return finding.upper
                       ? "Hold the pressure down: a regulated head or valve (set), or another nozzle."
                       : "See where the pressure goes in its worksheet; then larger pipe there, or fewer "
                         "heads on the valve.";
        case RuleId::zone_spread:
            return "Larger pipe on the way to the low head, feed the zone nearer its middle, or regulated "
                   "heads.";
        case RuleId::velocity:
            return flow_remedy(speaker, finding);
        case RuleId::meter_flow:
            return "Run fewer heads at once, or ask for a larger one.";
        case RuleId::meter_loss:
            return "Run fewer heads at once, or ask for a larger meter.";
        case RuleId::pipe_rating:
            return "Take pipe of a higher rating, or lower the pressure with a regulator.";
        case RuleId::surge:
            return "Larger pipe (slower water), a valve that closes slowly, or a higher rating.";
        case RuleId::below_atmosphere:
            return "Look for a high point, a long suction or a pipe too small before it; backflow rules "
                   "apply.";
        case RuleId::data_range:
            return "Add a row of data that covers it, or treat the result with care.";
        case RuleId::short_flow:
            return "More pressure at this point, or a smaller draw.";
        case RuleId::unfed:
            return "Name its valve in a run, or look for a pipe that is missing or closed.";
        case RuleId::two_valves:
            return "Separate the two zones, or make one of the valves a device of type master.";
        case RuleId::stated:
            return "Ask where the stated number comes from: another nozzle, pressure or pipe than is drawn.";
        case RuleId::regulator:
            return "Put a regulator before it, or take a valve or heads that hold their pressure (set).";
        case RuleId::regulated_inlet:
            return "More pressure before it, or a body that holds less.";
        case RuleId::spacing:
            return "Bring the heads closer, or a nozzle that throws further at this pressure.";
        case RuleId::working_pressure:
            return "Take pipe of a higher rating, or lower the pressure with a regulator.";
    }
    return "";
}

namespace {

// What the numbers of a failure's points are.
std::string_view words_of_points(const solver::Failure& failure) {
    if (failure.kind == "several-states" || failure.kind == "contradiction")
        return "{}: its outlet is at {}, set to {}.";
    if (failure.kind == "boundless-flow") return "{} would pass {}; at most {} is believed.";
    return "{} is {} off balance; at most {} is allowed.";
}

}  // namespace

std::vector<std::string> failure_sentences(const Speaker& speaker, const solver::Failure& failure) {
    std::vector<std::string> sentences;
    if (!failure.text.empty()) sentences.push_back(with_dot(sentence_case(failure.text)));
    for (const auto& worst : failure.points) {
        const auto amount = [&](double value) {
            return fmt::format("{:.3g} {}", speaker.units.in_unit(value, worst.dimension),
                               speaker.units.word(worst.dimension));
        };
        sentences.push_back(sentence_case(fmt::format(fmt::runtime(words_of_points(failure)),
                                                      element_name(speaker.system, worst.at),
                                                      amount(worst.value), amount(worst.limit))));
    }
    if (!failure.elements.empty())
        sentences.push_back(fmt::format("It concerns {}.", names_of(speaker, failure.elements)));
    if (!failure.cause.empty()) sentences.push_back(with_dot(sentence_case(failure.cause)));
    if (!failure.remedy.empty()) sentences.push_back("Try: " + with_dot(failure.remedy));
    return sentences;
}

std::string assumed_value(const ShownUnits& units, const model::Assumption& assumption) {
    if (std::isnan(assumption.number)) return assumption.words;
    std::string text = units.limit(assumption.number, assumption.dimension);
    if (!assumption.words.empty()) text += " " + assumption.words;
    return text;
}

}  // namespace evenhead::io
