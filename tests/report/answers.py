"""What a report says of questions that were asked beside it: as many rows as the verb's own JSON has, the verb's first
sentence, and a drawing of the bands whose words do not touch."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

from report import checks
from report.browser import Browser


def asked(binary: str, verb: str, *arguments: str) -> dict:
    done = subprocess.run([binary, verb, *arguments, "--format", "json"], capture_output=True, text=True, check=False)
    return json.loads(done.stdout)


def rows(browser: Browser, *tables: str) -> int:
    return browser.run("return document.querySelectorAll(arguments[0]).length", ", ".join(f"#{table} tbody tr" for table in tables))


def count(browser: Browser, name: str, expected: int, *tables: str) -> list[str]:
    here = rows(browser, *tables)
    return [] if here == expected else [f"{expected} {name}, {here} in the table"]


def verdict(browser: Browser, binary: str, section: str, *command: str) -> list[str]:
    text = subprocess.run([binary, *command, "--wide"], capture_output=True, text=True, check=False).stdout.splitlines()[0]
    here = browser.run("return document.querySelector(arguments[0])?.innerText", f"#{section} > .verdict .what")
    return [] if here == text else [f"{section} says {here!r}, the verb {text!r}"]


def bands(browser: Browser) -> list[str]:
    """In each row the bar lies between its ends by the table, on the drawing's own scale; words do not touch."""
    wrong = [f"bands: {words}" for words in checks.touching(browser.run(checks.BOXES, "#review-bands svg text"))]
    drawn = browser.run("""
      const svg = [...document.querySelectorAll('#review-bands svg')].find((s) => s.checkVisibility());
      const ticks = [...svg.querySelectorAll('.tick')].slice(0, 2).map((t) => [Number(t.getAttribute('x')), Number(t.textContent)]);
      const per = (ticks[1][1] - ticks[0][1]) / (ticks[1][0] - ticks[0][0]);
      const rows = new Map();
      for (const bar of svg.querySelectorAll('rect')) {
        const y = bar.getAttribute('y'), left = Number(bar.getAttribute('x')), right = left + Number(bar.getAttribute('width'));
        const [low, high] = rows.get(y) ?? [left, right];
        rows.set(y, [Math.min(low, left), Math.max(high, right)]);
      }
      return [...rows.values()].map((ends) => ends.map((x) => ticks[0][1] + (x - ticks[0][0]) * per));
    """)
    table = browser.run("return [...document.querySelectorAll('#review-chances tbody tr')].map((r) => [Number(r.cells[3].innerText.replace(/[^0-9.-]/g, '')), Number(r.cells[4].innerText.replace(/[^0-9.-]/g, ''))])")
    wide = [ends for ends in table[:20] if ends[1] - ends[0] > 0.5]
    drawn = [ends for ends in drawn if ends[1] - ends[0] > 0.5]
    if len(wide) != len(drawn) or any(abs(a - b) > 0.3 for one, other in zip(wide, drawn) for a, b in zip(one, other)):
        wrong.append(f"bands are drawn at {drawn}, the table has {wide}")
    return wrong


def look(browser: Browser, binary: str, case: Path, options: list[str]) -> list[str]:
    wrong: list[str] = []
    if "--review" in options:
        samples = options[options.index("--samples") + 1] if "--samples" in options else "10000"
        found = asked(binary, "review", str(case), "--samples", samples)
        wrong += verdict(browser, binary, "review", "review", str(case), "--samples", "0")
        wrong += count(browser, "rows of rules", len(found["rules"]), "review-rules")
        wrong += count(browser, "outages", len(found["outage"]), "review-outage")
        wrong += count(browser, "changes tried", len(found["repairs"]), "review-repairs")
        wrong += count(browser, "chances", len(found["chance"]), "review-chances")
        for width in (390, 1280):
            browser.resize(width, 900)
            wrong += [f"{width} px: {each}" for each in bands(browser)]
    if "--accept" in options:
        found = asked(binary, "accept", str(case))
        wrong += verdict(browser, binary, "acceptance", "accept", str(case))
        wrong += count(browser, "readings judged", len(found["acceptance"]), "accepted-pressures", "accepted-flows")
    if "--compare" in options:
        built = options[options.index("--compare") + 1]
        found = asked(binary, "compare", str(case), built)
        wrong += verdict(browser, binary, "comparison", "compare", str(case), built)
        wrong += count(browser, "changes", len(found["changes"]), "changes-table")
    if "--sheets" in options:
        for sheet in asked(binary, "sheets", str(case))["sheets"]:
            expected = sum(len(rows) for key, rows in sheet.items() if key not in ("sheet", "title", "answer", "notes", "cautions"))
            here = browser.run("return document.querySelectorAll(arguments[0]).length", f"#sheet-{sheet['sheet']} tbody tr")
            wrong += [] if here == expected else [f"{expected} rows of the sheet {sheet['sheet']}, {here} in the report"]
    if "--timetable" in options:
        found = asked(binary, "timetable", str(case))
        runs = sum(len(night["runs"]) for night in found["nights"])
        drawings = browser.run("return [...document.querySelectorAll('#timetable svg.night')].filter((e) => e.checkVisibility()).length")
        if drawings != len(found["nights"]):
            wrong.append(f"{len(found['nights'])} nights, {drawings} drawn")
        here = browser.run("return document.querySelectorAll('#timetable tbody tr').length")
        if here != runs + len(found["zones"]):
            wrong.append(f"{runs} runs and {len(found['zones'])} zones, {here} rows")
        cut = browser.run("return [...document.querySelectorAll('#timetable svg text')].filter((t) => t.checkVisibility() &&"
                          " t.getBoundingClientRect().right > t.ownerSVGElement.getBoundingClientRect().right).map((t) => t.textContent)")
        wrong += [f"night: {words!r} is cut" for words in cut]
        wrong += [f"night: {words}" for words in checks.touching(browser.run(checks.BOXES, "#timetable svg text"))]
    for word, section in (("--sheets", "sheets"), ("--review", "review"), ("--accept", "acceptance"), ("--compare", "comparison"), ("--timetable", "timetable")):
        here = browser.run("return document.querySelectorAll(arguments[0]).length", f"#{section}, nav a[href='#{section}']")
        if here != (2 if word in options else 0):
            wrong.append(f"{section}: {here} sections and links with {options}")
    return wrong
