// What `timetable` writes: the nights, how long each zone runs and why, and what no timetable can beat.
#pragma once

#include <string>
#include <vector>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "model/system.hpp"
#include "model/watering.hpp"
#include "solver/timetable/timetable.hpp"

namespace evenhead::io {

enum class TimetableTable { runs, openings, zones };

struct TimetableSubject {
    const model::System& system;
    const model::WateringPlan& plan;
    const solver::Timetable& timetable;
    std::string case_path;  ///< as the reader of the text would type it
    const std::vector<model::Issue>* warnings = nullptr;
    const std::vector<std::string>* files = nullptr;

    const solver::Night& longest() const { return timetable.nights[timetable.longest]; }
    bool fits() const { return timetable.possible() && timetable.beyond(*plan.window) == 0; }
};

/// Throws WriteError, as all of these.
void write_timetable_text(Output& output, const TimetableSubject& subject, const Page& page);
void write_timetable_json(Output& output, const TimetableSubject& subject);
void write_timetable_csv(Output& output, const TimetableSubject& subject, TimetableTable table);
/// RFC 5545: an event for each time that a valve opens, weekly, in local time.
void write_timetable_calendar(Output& output, const TimetableSubject& subject);

/// "1 / (0.4 + 0.6 DU_lq)".
std::string multiplier_words(const solver::Timetable& timetable);
/// The answer in a sentence or two: how long the longest night takes, and whether it fits.
std::string night_answer(const TimetableSubject& subject);
/// How near the longest night is to its bound.
std::string night_bound_words(const TimetableSubject& subject);
/// What would make it fit, a sentence each; empty where it fits.
std::vector<std::string> what_would_help(const TimetableSubject& subject);

}  // namespace evenhead::io
