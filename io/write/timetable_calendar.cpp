// The timetable as a calendar by RFC 5545: an event for each time that a valve opens, which comes again every
// week on the days of its night. Times are local ("floating", form #1 of section 3.3.5), as a controller's
// clock is. Lines end in CR LF and are folded at 75 octets (3.1); text is escaped by 3.3.11. The first week
// begins at the case's date, without one on a Monday that is always the same; DTSTAMP is that day too, so
// that the same case gives the same bytes.
#include <fmt/format.h>

#include <charconv>
#include <chrono>
#include <cstdint>

#include "io/week.hpp"
#include "io/write/sentences.hpp"
#include "io/write/timetable.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using std::chrono::sys_days;

constexpr std::string_view day_codes[] = {"MO", "TU", "WE", "TH", "FR", "SA", "SU"};
constexpr std::size_t longest_line = 75;  // octets

std::string escaped(std::string_view text) {
    std::string made;
    for (const char c : text) {
        if (c == '\\' || c == ';' || c == ',') made += '\\';
        if (c == '\n')
            made += "\\n";
        else if (static_cast<unsigned char>(c) >= ' ' && c != 0x7f)
            made += c;
    }
    return made;
}

/// A content line, folded between characters of UTF-8.
std::string content_line(std::string_view line) {
    std::string made;
    std::size_t room = longest_line;
    for (std::size_t begin = 0; begin < line.size();) {
        std::size_t end = begin + 1;
        while (end < line.size() && (static_cast<unsigned char>(line[end]) & 0xC0U) == 0x80U) ++end;
        if (end - begin > room) {
            made += "\r\n ";
            room = longest_line - 1;
        }
        made += line.substr(begin, end - begin);
        room -= std::min(room, end - begin);
        begin = end;
    }
    return made + "\r\n";
}

sys_days first_day(const std::string& date) {
    if (date.size() == 10 && date[4] == '-' && date[7] == '-') {
        const auto number = [&](std::size_t from, std::size_t length) {
            unsigned value = 0;
            const char* const end = date.data() + from + length;
            return std::from_chars(date.data() + from, end, value).ptr == end ? value : 0;
        };
        const std::chrono::year_month_day given{std::chrono::year(static_cast<int>(number(0, 4))),
                                                std::chrono::month(number(5, 2)),
                                                std::chrono::day(number(8, 2))};
        if (given.ok()) return given;
    }
    return std::chrono::year(2024) / 1 / 1;  // a Monday
}

std::string date_words(sys_days day) {
    const std::chrono::year_month_day date(day);
    return fmt::format("{:04}{:02}{:02}", static_cast<int>(date.year()), static_cast<unsigned>(date.month()),
                       static_cast<unsigned>(date.day()));
}

/// Monday is 0.
int weekday(sys_days day) {
    return static_cast<int>(std::chrono::weekday(day).iso_encoding()) - 1;
}

std::string moment(sys_days day, int minutes) {
    return date_words(day + std::chrono::days(minutes / 1440)) +
           fmt::format("T{:02}{:02}00", minutes % 1440 / 60, minutes % 60);
}

/// The same for the same words, and hardly ever for others: FNV-1a.
std::uint64_t mark_of(std::string_view text) {
    std::uint64_t mark = 14695981039346656037U;
    for (const char c : text) mark = (mark ^ static_cast<unsigned char>(c)) * 1099511628211U;
    return mark;
}

}  // namespace

void write_timetable_calendar(Output& output, const TimetableSubject& subject) {
    const std::string title = case_title(subject.system, subject.case_path);
    const sys_days begin = first_day(subject.system.date);
    const auto line = [&](const std::string& text) { output.write(content_line(text)); };
    line("BEGIN:VCALENDAR");
    line("VERSION:2.0");
    line("PRODID:-//Evenhead//timetable//EN");
    line("CALSCALE:GREGORIAN");
    line("METHOD:PUBLISH");
    line("X-WR-CALNAME:" + escaped(title));
    for (const solver::Night& night : subject.timetable.nights) {
        for (const solver::Opening& opening : night.openings) {
            const solver::ZoneTime& zone = subject.timetable.zones[opening.zone];
            const std::string valve = element_id(subject.system, {solver::ElementKind::valve, zone.valve});
            // A run after midnight is on the day after that on which the window opens.
            const int later = opening.start / 1440, start = opening.start % 1440;
            std::string days;
            model::Days on = 0;
            for (int day = 0; day < 7; ++day)
                if ((night.days >> day & 1U) != 0) on |= 1U << (day + later) % 7;
            for (int day = 0; day < 7; ++day)
                if ((on >> day & 1U) != 0)
                    days += (days.empty() ? "" : ",") + std::string(day_codes[at(day)]);
            sys_days first = begin;
            while ((on >> weekday(first) & 1U) == 0) first += std::chrono::days(1);
            const int minutes = opening.end - opening.start;
            const std::string words =
                fmt::format("{} {} {} {} {}", title, valve, opening.start, opening.end, days);
            line("BEGIN:VEVENT");
            line(fmt::format("UID:{:016x}-{:016x}@evenhead", mark_of(words), mark_of(words + " again")));
            line("DTSTAMP:" + date_words(begin) + "T000000Z");
            line("DTSTART:" + moment(first, start));
            line("DTEND:" + moment(first, start + minutes));
            line("RRULE:FREQ=WEEKLY;BYDAY=" + days);
            line("SUMMARY:" + escaped(fmt::format("Valve {}, {} min", valve, minutes)));
            line("DESCRIPTION:" +
                 escaped(fmt::format("{}: {} min a night in {}.", title, zone.minutes,
                                     counted(static_cast<std::size_t>(zone.cycles()), "cycle"))));
            line("TRANSP:TRANSPARENT");
            line("END:VEVENT");
        }
    }
    line("END:VCALENDAR");
}

}  // namespace evenhead::io
