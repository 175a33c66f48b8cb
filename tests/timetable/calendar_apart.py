"""The calendar of `evenhead timetable` read by an independent package (icalendar, RFC 5545): its events are the openings
of the JSON answer, on the right days; lines end in CR LF and have no more than 75 octets; names with commas, semicolons
and letters of two bytes come back as they are; the same case gives the same bytes.

usage: calendar_apart.py PROGRAM FOLDER
"""

from __future__ import annotations

import datetime
import subprocess
import sys
from pathlib import Path

import icalendar

from timetable.apart import answer
from timetable.parks import park

CODES = ["MO", "TU", "WE", "TH", "FR", "SA", "SU"]
WORDS = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


def calendar(program: str, path: Path, folder: Path) -> bytes:
    made = folder / "night.ics"
    done = subprocess.run([program, "timetable", str(path), "-o", str(made), "--quiet"], capture_output=True, text=True, timeout=600)
    assert done.returncode in (0, 1), done.stderr
    return made.read_bytes()


def check(program: str, text: str, folder: Path, title: str, date: datetime.date | None) -> int:
    path = folder / "park.toml"
    path.write_text(text, encoding="utf-8")
    content = calendar(program, path, folder)
    assert content == calendar(program, path, folder)
    assert content.endswith(b"\r\n") and b"\n" not in content.replace(b"\r\n", b"") and b"\r" not in content.replace(b"\r\n", b"")
    for line in content.split(b"\r\n"):
        assert len(line) <= 75, line
        line.decode("utf-8")  # folded between characters
    read = icalendar.Calendar.from_ical(content)
    assert not read.errors and read["VERSION"] == "2.0" and str(read["X-WR-CALNAME"]) == title
    made = answer(program, "timetable", str(path))
    expected = [(opening["valve"], opening["start"], opening["end"], night["days"])
                for night in made["nights"] for opening in night["openings"]]
    events = read.walk("VEVENT")
    assert len(events) == len(expected) > 0
    assert len({str(event["UID"]) for event in events}) == len(events)
    for event, (valve, start, end, days) in zip(events, expected):
        assert not event.errors and str(event["SUMMARY"]) == f"Valve {valve}, {end - start} min"
        begins, ends = event["DTSTART"].dt, event["DTEND"].dt
        assert begins.tzinfo is None and ends - begins == datetime.timedelta(minutes=end - start)
        assert begins.hour * 60 + begins.minute == start % 1440
        rule = event["RRULE"]
        assert rule["FREQ"] == ["WEEKLY"]
        on = {(WORDS.index(day) + start // 1440) % 7 for day in days}
        assert {CODES.index(code) for code in rule["BYDAY"]} == on
        assert begins.weekday() in on, "an event begins on a day on which it does not come again"
        first = date or datetime.date(2024, 1, 1)
        assert 0 <= (begins.date() - first).days < 7
        assert event["DTSTAMP"].dt.replace(tzinfo=None) == datetime.datetime.combine(first, datetime.time())
    return len(events)


def main(program: str, folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    text = park(2, 6)
    own = next(line for line in text.splitlines() if line.startswith("title"))
    count = check(program, text, folder, own.split('"')[1], None)
    title = "Grünanlage; Süd, Ost \\ " + "Wiese über dem Bach, " * 6 + "Ende"
    named = text.replace(own, f"title = '{title}'\ndate = 2026-05-14")
    count += check(program, named, folder, title, datetime.date(2026, 5, 14))
    print(f"{count} events read")


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
