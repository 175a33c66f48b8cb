#include "io/write/field_tests.hpp"

#include <algorithm>
#include <array>
#include <optional>

namespace evenhead::io {
namespace {

using solver::ElementKind;
using solver::FaultKind;
using solver::Site;

/// Kinds of fault as a field test sees them.
enum Class : unsigned {
    valve_blocked = 1U << 0U,
    pipe_blocked = 1U << 1U,
    device_blocked = 1U << 2U,
    screen = 1U << 3U,
    narrow = 1U << 4U,
    leak = 1U << 5U,
    clogged = 1U << 6U,
    larger = 1U << 7U,
    missing = 1U << 8U,
    supply = 1U << 9U,
    regulator = 1U << 10U,
    head_regulator = 1U << 11U,
    second_zone = 1U << 12U,
    extra = 1U << 13U,
    higher = 1U << 14U,
    gauge = 1U << 15U,
    main_blocked = 1U << 16U,
    restriction = main_blocked | valve_blocked | pipe_blocked | device_blocked,
    more_water = leak | larger | missing | second_zone | extra,
    anything = (1U << 17U) - 1
};

Class class_of(const Site& site) {
    switch (site.kind) {
        case FaultKind::blockage:
            return site.at.kind == ElementKind::valve    ? valve_blocked
                   : site.at.kind == ElementKind::device ? device_blocked
                   : site.at.kind == ElementKind::head   ? screen
                   : site.valve != model::none           ? pipe_blocked
                                                         : main_blocked;
        case FaultKind::narrow_run:
            return narrow;
        case FaultKind::leak:
            return leak;
        case FaultKind::clogged_nozzle:
            return clogged;
        case FaultKind::larger_nozzle:
            return larger;
        case FaultKind::missing_nozzle:
            return missing;
        case FaultKind::low_supply:
            return supply;
        case FaultKind::regulator_low:
            return site.at.kind == ElementKind::head ? head_regulator : regulator;
        case FaultKind::second_zone_on:
            return second_zone;
        case FaultKind::extra_heads:
            return extra;
        case FaultKind::higher_ground:
            return higher;
        case FaultKind::gauge_off:
            return gauge;
    }
    return gauge;
}

struct Test {
    unsigned one, other;  ///< classes
    std::string_view words;
};

// The first that fits is said. Common practice.
constexpr std::array tests{
    Test{gauge, anything,
         "Gauge or system? Hold a second gauge to the same place: a gauge that is off disagrees with it."},
    Test{valve_blocked, regulator,
         "Throttled or set low? Cap a head of the zone with the valve running: behind a valve that is partly "
         "shut the "
         "pressure rises, behind a regulator it stays."},
    Test{regulator, restriction | narrow | supply,
         "Regulator or something else? Cap a head and watch the gauge behind the regulator: one that works "
         "holds its "
         "pressure."},
    Test{screen, head_regulator,
         "Screen or regulator in the head? Pull and rinse the screen: if the pitot stays low, it is the "
         "body."},
    Test{screen, clogged,
         "Screen or nozzle? Put a pitot to the head: under a clogged screen the pressure at the nozzle is "
         "far down, behind "
         "a clogged nozzle it is not."},
    Test{screen, pipe_blocked | main_blocked | narrow | leak,
         "Head or pipe? Take the head out and let the riser run: a good stream says that the fault is in the "
         "head."},
    Test{leak, missing,
         "Leak or lost nozzle? Look while the zone runs: a head without its nozzle throws a column of water, "
         "a leak makes "
         "the ground wet."},
    Test{leak, second_zone,
         "Leak or second zone? Look at the other zones while this one runs: their heads must be down and "
         "dry."},
    Test{second_zone, anything,
         "Does another zone run? Look at the other zones while this one runs: their heads must be down and "
         "dry."},
    Test{leak, extra,
         "Leak or more heads? Count the heads that run against the drawing; then look for wet ground."},
    Test{leak, larger,
         "Leak or large nozzles? Read the nozzle marks; put a pitot to each head along the line: the "
         "pressure falls in a "
         "step at a leak, and evenly with large nozzles."},
    Test{extra, larger,
         "More heads or larger nozzles? Count the heads that run, and read the mark of each nozzle."},
    Test{missing, larger | extra,
         "Lost nozzle or something else that takes water? Walk the zone while it runs: count heads, "
         "read nozzle marks, look for a column of water."},
    Test{leak, restriction | narrow | supply | regulator,
         "Leak or not? Shut every valve and watch the meter, then the ground along the line while the zone "
         "runs."},
    Test{more_water, restriction | narrow | supply | regulator | higher,
         "More water out, or less in? Add up what the heads should pass at their pitot pressures: with a "
         "restriction the "
         "meter agrees with the sum, with a leak or extra heads it shows more."},
    Test{supply, restriction | narrow,
         "Weak supply or restriction? Read a hose bib or the tap before the meter with no water running: a "
         "weak supply is "
         "low even then, a restriction shows only in flow."},
    Test{supply, higher,
         "Weak supply or higher ground? Read the pressure at the source with every valve shut."},
    Test{higher, restriction | narrow | regulator,
         "Higher ground or a loss? Level the heads against the valve: 2.31 ft (0.70 m) of height is 1 psi "
         "(6.9 kPa), in standing water too."},
    Test{narrow, narrow,
         "Which length is narrow? Records and age of the pipe, or a piece cut out: another flow does not "
         "tell."},
    Test{narrow, restriction,
         "Narrow all along, or blocked at one spot? Put a pitot to each head in turn: over a narrow run the "
         "pressure falls "
         "evenly, at a blockage in one step."},
    Test{valve_blocked, pipe_blocked | main_blocked | device_blocked,
         "Valve or pipe? Turn the flow control fully open and bleed the valve by hand; then gauge both sides "
         "of it."},
    Test{device_blocked, device_blocked | main_blocked | pipe_blocked,
         "Which of them? Turn each handle and gate fully open and count the turns; a gauge between two says "
         "on which side "
         "the loss is."},
    Test{main_blocked, device_blocked | main_blocked,
         "Which of them on the main? Turn each handle and gate fully open and count the turns; a gauge "
         "between two "
         "says on which side the loss is."},
    Test{main_blocked, pipe_blocked,
         "Main or lateral? Run another zone: a blocked main weakens every zone behind it."},
    Test{pipe_blocked, pipe_blocked,
         "Which length of pipe? The last head that does well marks it. Listen at trees and crossings, and "
         "dig there first."},
    Test{clogged, anything,
         "Is a nozzle clogged? Look how far it throws: a clogged nozzle throws short under a good pressure."},
    Test{leak, leak,
         "Where is the leak? Let the zone run for a while, and look and feel along the line for wet ground."},
    Test{larger, larger, "Which nozzles? Read the mark of each."},
    Test{missing, missing, "Which head? Look while the zone runs."},
    Test{screen, screen, "Which head? Pull the screens of those named."},
};

/// The only fault of an explanation; of two, the first.
const Site* first_fault(const solver::Hypothesis& hypothesis) {
    return hypothesis.faults.empty() ? nullptr : hypothesis.faults.front();
}

}  // namespace

std::string field_test(const Site& one, const Site& other) {
    const unsigned a = class_of(one), b = class_of(other);
    const bool same_pipe = one.at.kind == ElementKind::pipe && other.at.kind == ElementKind::pipe &&
                           one.at.index == other.at.index && one.rows == other.rows;
    if (same_pipe) return "";  // what is dug up tells
    for (const Test& test : tests)
        if (((test.one & a) != 0 && (test.other & b) != 0) || ((test.one & b) != 0 && (test.other & a) != 0))
            return std::string(test.words);
    return "";
}

std::vector<std::string> field_tests(const solver::Diagnosis& diagnosis, std::size_t most) {
    std::vector<std::string> found;
    if (diagnosis.groups.empty() || diagnosis.groups.front().healthy) return found;
    std::vector<std::size_t> order = diagnosis.groups.front().members;
    // An explanation that nobody would bet on needs no test.
    constexpr double least = 0.02;
    for (std::size_t i = 1; i < diagnosis.groups.size(); ++i)
        order.push_back(diagnosis.groups[i].members.front());
    std::erase_if(order, [&](std::size_t i) {
        return diagnosis.hypotheses[i].probability < least || diagnosis.hypotheses[i].faults.empty();
    });
    for (std::size_t i = 0; i < order.size(); ++i)
        for (std::size_t j = i + 1; j < order.size() && found.size() < most; ++j) {
            const std::string test = field_test(*first_fault(diagnosis.hypotheses[order[i]]),
                                                *first_fault(diagnosis.hypotheses[order[j]]));
            if (!test.empty() && std::find(found.begin(), found.end(), test) == found.end())
                found.push_back(test);
        }
    return found;
}

}  // namespace evenhead::io
