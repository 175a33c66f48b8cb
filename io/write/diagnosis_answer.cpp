#include "io/write/diagnosis_answer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "io/write/diagnosis.hpp"
#include "io/write/diagnosis_tables.hpp"
#include "io/write/field_tests.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

constexpr double worth_a_word = 0.01;  // probability of what else it could be
constexpr std::size_t most_named = 3;
constexpr double likely_place = 0.5;   // from here on it is worth while to dig
constexpr double worth_naming = 0.02;  // ... and of what foretells another value
constexpr double sure = 0.9;           // from here on the next step is to go and look

}  // namespace

double DiagnosisAnswer::as_drawn() const {
    for (const solver::Hypothesis& hypothesis : diagnosis_.hypotheses)
        if (hypothesis.faults.empty()) return hypothesis.probability;
    return 0;
}

std::string DiagnosisAnswer::what() const {
    if (leads_unexplained(diagnosis_)) return "No single fault explains these readings.";
    const solver::Group& group = diagnosis_.groups.front();
    if (group.healthy) return "These readings show nothing wrong: they are as drawn.";
    const solver::Hypothesis& first = first_of(0);
    std::string text = sentence_case(words_.clause_and_amount(first)) + ".";
    if (first.faults.size() > 1)
        text = "No single fault explains these readings; two at once do: " + words_.clause_and_amount(first) +
               ".";
    const std::size_t others = group.members.size() - 1;
    const bool same_kind = std::all_of(group.members.begin(), group.members.end(), [&](std::size_t member) {
        const auto& faults = diagnosis_.hypotheses[member].faults;
        return faults.size() == 1 && first.faults.size() == 1 && faults[0]->kind == first.faults[0]->kind;
    });
    if (others == 1)
        text += fmt::format(" Or {}; these readings do not tell.",
                            words_.clause_and_amount(diagnosis_.hypotheses[group.members.back()]));
    else if (others > 1)
        text += fmt::format(" Or {} {} others that these readings do not tell from it.",
                            same_kind ? "the same at one of" : "one of", others);
    return text;
}

std::string DiagnosisAnswer::how_sure() const {
    std::string text;
    std::vector<std::string> others;
    std::size_t from = 1;
    if (leads_unexplained(diagnosis_)) {
        text = fmt::format("How sure: {} that it is something else, or several things at once",
                           chance(diagnosis_.unexplained));
        from = 0;
    } else {
        const solver::Group& group = diagnosis_.groups.front();
        text = "How sure: " + chance(group.probability);
        if (group.healthy && group.members.size() > 1)
            text += fmt::format(
                " that all is as drawn, or one of {} that the readings do not tell from that; {} that "
                "it is as drawn",
                counted(group.members.size() - 1, "fault"), chance(as_drawn()));
        else if (group.members.size() > 1)
            text += fmt::format(" that it is one of these {}, {} the first", group.members.size(),
                                chance(first_of(0).probability));
    }
    for (std::size_t i = from; i < diagnosis_.groups.size() && others.size() < 2; ++i) {
        if (diagnosis_.groups[i].probability < worth_a_word) break;
        others.push_back(fmt::format("{} ({}{})", words_.clause(first_of(i)),
                                     chance(diagnosis_.groups[i].probability),
                                     diagnosis_.groups[i].members.size() > 1 ? " with its like" : ""));
    }
    if (!leads_unexplained(diagnosis_) && others.size() < 2 && diagnosis_.unexplained >= worth_a_word)
        others.push_back(fmt::format("something else ({})", chance(diagnosis_.unexplained)));
    text += others.empty() ? "." : fmt::format(". Else: {}.", fmt::join(others, "; or "));
    for (const std::size_t reading : diagnosis_.bad_reading) {
        const solver::Gauge& gauge = diagnosis_.survey.gauges[reading];
        text += fmt::format(
            " One reading is likely wrong: {} at {} {}; take it again.",
            speaker_.units.text(gauge.measured, gauge.flow ? Dimension::flow : Dimension::pressure),
            gauge_place(speaker_, gauge),
            situation_words(speaker_.system, diagnosis_.survey.situations[gauge.situation]));
    }
    return text;
}

// Explanations that foretell about the same share a clause, the likeliest of them; "or 2 others" says that
// there are more.
std::string DiagnosisAnswer::foretold(const solver::Gauge& gauge, const std::vector<Foretold>& all) const {
    struct Cluster {
        const Foretold* first;
        std::size_t others = 0;
    };
    std::vector<Cluster> clusters;
    for (const Foretold& one : all) {
        const auto same = std::find_if(clusters.begin(), clusters.end(), [&](const Cluster& cluster) {
            return std::abs(cluster.first->value - one.value) < gauge.deviation;
        });
        if (same != clusters.end())
            ++same->others;
        else
            clusters.push_back({&one});
    }
    if (clusters.size() < 2) return "";
    const Dimension dimension = gauge.flow ? Dimension::flow : Dimension::pressure;
    std::string text = take_reading(speaker_, diagnosis_.survey, gauge) + ": ";
    for (std::size_t i = 0; i < std::min(most_named, clusters.size()); ++i) {
        const Cluster& cluster = clusters[i];
        text += fmt::format("{}{} if {}", i == 0 ? "" : ", ",
                            speaker_.units.text(cluster.first->value, dimension),
                            words_.clause(*cluster.first->hypothesis));
        if (cluster.others > 0) text += fmt::format(" (or {})", counted(cluster.others, "other"));
    }
    return text + ".";
}

std::string DiagnosisAnswer::reading(const solver::NextReading& reading) const {
    const solver::Gauge& gauge = diagnosis_.survey.gauges[reading.gauge];
    std::vector<Foretold> groups, each;
    for (const auto& expected : reading.expected)
        if (diagnosis_.groups[expected.group].probability >= worth_naming && std::isfinite(expected.value))
            groups.push_back({&first_of(expected.group), expected.value});
    // Where one group is all but sure, what matters is where within it.
    const auto row = reading.gauge;
    for (const solver::Hypothesis& hypothesis : diagnosis_.hypotheses)
        if (hypothesis.probability >= worth_naming && std::isfinite(hypothesis.mean[row]))
            each.push_back({&hypothesis, hypothesis.mean[row]});
    const bool one_group = !diagnosis_.groups.empty() && diagnosis_.groups.front().probability >= sure;
    const std::string text = foretold(gauge, one_group ? each : groups);
    return text.empty() ? foretold(gauge, one_group ? groups : each) : text;
}

bool DiagnosisAnswer::one_place() const {
    const solver::Hypothesis& first = first_of(0);
    double sum = 0;
    for (const solver::Hypothesis& hypothesis : diagnosis_.hypotheses)
        if (std::any_of(hypothesis.faults.begin(), hypothesis.faults.end(), [&](const solver::Site* site) {
                return words_.place(*site) == words_.place(*first.faults.front());
            }))
            sum += hypothesis.probability;
    return sum >= likely_place;
}

// What costs least comes first: a handle is turned before anybody digs, if it may well be the handle.
std::string DiagnosisAnswer::work() const {
    constexpr double may_well_be = 0.2;  // of the likeliest
    const solver::Hypothesis& first = first_of(0);
    std::string text;
    if (first.faults.size() == 1) {
        const solver::Site* easiest = first.faults.front();
        for (const std::size_t member : diagnosis_.groups.front().members) {
            const solver::Hypothesis& other = diagnosis_.hypotheses[member];
            if (other.faults.size() == 1 && other.probability >= may_well_be * first.probability &&
                FaultWords::effort(*other.faults.front()) < FaultWords::effort(*easiest))
                easiest = other.faults.front();
        }
        if (easiest != first.faults.front()) text = words_.action(*easiest) + "; if that is not it, ";
    }
    for (std::size_t i = 0; i < first.faults.size(); ++i)
        text += (i == 0 ? "" : ". Then ") + words_.action(*first.faults[i]);
    return text;
}

std::string DiagnosisAnswer::next_step() const {
    std::string best;
    for (const solver::NextReading& next : diagnosis_.next)
        if (best = reading(next); !best.empty()) break;
    const bool unexplained = leads_unexplained(diagnosis_);
    if (unexplained) {
        std::string text =
            "Next: take the readings again that are farthest off, with one gauge and nothing else running";
        return text + (best.empty() ? "." : "; then " + best);
    }
    const solver::Group& group = diagnosis_.groups.front();
    const solver::Hypothesis& first = first_of(0);
    const bool a_look = first.faults.size() == 1 && FaultWords::effort(*first.faults.front()) == 0;
    const bool go =
        !group.healthy && (best.empty() || (group.probability >= sure && (a_look || one_place())));
    std::string text = "Next: ";
    if (go) {
        text += work() + ".";
        if (!best.empty()) text += " To be surer first, " + best;
        return text;
    }
    if (!best.empty()) return text + best;
    return text +
           "nothing that a gauge could tell; where heads are weak all the same, look at what they throw.";
}

std::string fitted_remark(const FaultWords& words, const solver::Diagnosis& diagnosis) {
    const solver::Hypothesis* leading = leading_explanation(diagnosis);
    if (leading == nullptr || leading->faults.empty() || leads_unexplained(diagnosis)) return "";
    return fmt::format("Fitted as if {}; the chance of that is {}, and these values are no surer.",
                       words.clause(*leading), chance(leading->probability));
}

}  // namespace evenhead::io
