"""The report of a case in a real browser: nothing asked for, nothing on the console, everything there, and used.

    python3 -m report.page BINARY CASE [OPTION OF REPORT...]
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from report import answers, checks
from report.browser import Browser
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys


def made(binary: str, case: Path, folder: Path, options: list[str]) -> tuple[Path, dict, int]:
    """The report, what `check` says as JSON, and the exit status of both, which must be the same."""
    path = folder / "report.html"
    status = subprocess.run([binary, "report", str(case), "-o", str(path), "--threads", "1", *options], capture_output=True, check=False).returncode
    second = subprocess.run([binary, "report", str(case), "--threads", "2", *options], capture_output=True, check=False).stdout
    assert second == path.read_bytes(), "other bytes with two threads"
    check = subprocess.run([binary, "check", str(case), "--format", "json"], capture_output=True, check=False)
    assert check.returncode == status, f"exit status {status}, check has {check.returncode}"
    return path, json.loads(check.stdout), status


def counts(browser: Browser, check: dict) -> list[str]:
    """As many things are drawn, and as many rows written, as the case has."""
    run = check["runs"][0]
    wrong = []
    for kind, table in (("head", "heads"), ("pipe", "pipes"), ("device", "devices"), ("valve", "valves")):
        here = browser.run("return [...document.querySelectorAll('#map [id]')].filter((e) => new RegExp(`^${arguments[0]}-[0-9]+$`).test(e.id)).length", kind)
        rows = browser.run("return document.querySelectorAll(`tr[id^=row-${arguments[0]}-]`).length", kind)
        if here != len(run[table]) or rows != len(run[table]):
            wrong.append(f"{len(run[table])} {table}, {here} drawn, {rows} in the table")
    rows = browser.run("return document.querySelectorAll('#findings tbody tr').length")
    found = {(f["rule"], f["subject"]) for r in check["runs"] for f in r.get("findings", []) if f["fails"]} | \
            {(f["rule"], f["subject"]) for f in check["findings"]}
    if rows != len(found):
        wrong.append(f"{len(found)} findings, {rows} in the table")
    return wrong


def select(browser: Browser, check: dict) -> list[str]:
    """A click on a head shows its id and numbers; a run lights its heads and dims the others."""
    wrong = []
    run = next(r for r in check["runs"] if r.get("heads"))
    index = check["runs"].index(run)
    running = [i for i, head in enumerate(run["heads"]) if head["flow"] and head["flow"] > 0]
    head = running[0]
    browser.run("document.getElementById('plan').scrollIntoView()")
    element = browser.driver.find_element(By.CSS_SELECTOR, f"#head-{head} > .mark")
    ActionChains(browser.driver).move_to_element(element).click().perform()
    card = browser.run("return document.getElementById('card').innerText")
    name = run["heads"][head]["id"]
    unit = browser.run("return report.data.units.pressure")
    if f"Head {name}" not in card or not re.search(rf"Pressure\s+[\d.]+ {re.escape(unit)}", card):
        wrong.append(f"a click on head {name} shows {card!r}")
    browser.run("const s = document.getElementById('run'); s.value = arguments[0]; s.dispatchEvent(new Event('change'))", str(index))
    lit = browser.run("return [...document.querySelectorAll('#map .head.lit')].map((e) => Number(e.id.slice(5)))")
    if not set(running) <= set(lit):
        wrong.append(f"run {run['id']}: heads {sorted(set(running) - set(lit))} stay dim")
    if len(check["runs"]) > 1 and len(lit) == len(run["heads"]) and len(running) < len(run["heads"]):
        wrong.append(f"run {run['id']}: every head lights up")
    dim, bright = browser.run("const o = (e) => e && getComputedStyle(e.querySelector('.mark')).fillOpacity;"
                              "return [o(document.querySelector('#map .head:not(.lit)')), o(document.querySelector('#map .head.lit'))]")
    if dim is not None and float(dim) >= float(bright):
        wrong.append("what is not of the run does not dim")
    card = browser.run("return document.getElementById('card').innerText")
    if f"In run {run['id']}: pressure" not in card:
        wrong.append(f"the card does not speak of run {run['id']}: {card!r}")
    shown = browser.run("return [...document.querySelectorAll('.sheet')].filter((s) => s.checkVisibility()).map((s) => s.id)")
    if shown != [f"sheet-{index}"]:
        wrong.append(f"run {run['id']} shows {shown}")
    browser.run("const s = document.getElementById('run'); s.value = ''; s.dispatchEvent(new Event('change'))")
    if browser.run("return document.querySelectorAll('#map .lit').length"):
        wrong.append("something stays lit")
    return wrong


def keyboard(browser: Browser, check: dict) -> list[str]:
    """Zoom, move, whole, step and find by keys alone."""
    wrong = []
    window = browser.driver.find_element(By.ID, "plan-window")
    window.send_keys("+")
    near = browser.run("return report.view.state()")
    window.send_keys(Keys.ARROW_RIGHT)
    moved = browser.run("return report.view.state()")
    window.send_keys("0")
    whole = browser.run("return report.view.state()")
    if not (near["scale"] > 1 and moved["x"] < near["x"] and whole == {"scale": 1, "x": 0, "y": 0}):
        wrong.append(f"keys: {near}, {moved}, {whole}")
    window.send_keys(Keys.ESCAPE)
    window.send_keys("n")
    if browser.run("return report.things.chosen()?.id") != "head-0":
        wrong.append("N does not step to the first head")
    last = check["runs"][0]["heads"][-1]["id"]
    field = browser.driver.find_element(By.ID, "find")
    field.send_keys(last + Keys.ENTER)
    card = browser.run("return document.getElementById('card').innerText")
    if f"Head {last}" not in card:
        wrong.append(f"find {last} shows {card!r}")
    return wrong


def tables(browser: Browser) -> list[str]:
    """Sort both ways, filter, and copy what is shown."""
    wrong = []
    column = "const t = document.querySelector('#heads-table table'), k = [...t.tHead.rows[0].cells].findIndex((c) => c.textContent.startsWith('Pressure'));"
    values = column + "return [...document.querySelectorAll('#heads-table tbody tr')].map((r) => parseFloat(r.cells[k].textContent)).filter((v) => !isNaN(v))"
    for down in (False, True):
        browser.run(column + "t.tHead.rows[0].cells[k].querySelector('button').click()")
        seen = browser.run(values)
        if seen != sorted(seen, reverse=down):
            wrong.append(f"sorting gives {seen[:5]} ...")
        if browser.run(column + "return t.tHead.rows[0].cells[k].getAttribute('aria-sort')") != ("descending" if down else "ascending"):
            wrong.append("aria-sort does not say so")
    rows = browser.run("return document.querySelectorAll('#heads-table tbody tr').length")
    text = browser.run("return report.tables.get('heads-table').csv()")
    parsed = checks.csv_rows(text)
    if len(parsed) != rows + 1 or "(" not in text.splitlines()[0]:
        wrong.append(f"{rows} heads, {len(parsed) - 1} copied, heading {text.splitlines()[0]!r}")
    if rows > 5:
        name = browser.run("return document.querySelector('#heads-table tbody tr th').textContent")
        browser.run("const f = document.querySelector('#heads-table input'); f.value = arguments[0]; f.dispatchEvent(new Event('input'))", name)
        left = browser.run("return [...document.querySelectorAll('#heads-table tbody tr')].map((r) => r.textContent)")
        if not left or not all(name.lower() in each.lower() for each in left) or len(left) == rows:
            wrong.append(f"filter {name!r} leaves {len(left)} of {rows}")
        browser.run("const f = document.querySelector('#heads-table input'); f.value = ''; f.dispatchEvent(new Event('input'))")
    browser.run("navigator.clipboard.writeText = async (text) => { window.copied = text; }; document.querySelector('#heads-table .table-tools button').click()")
    if browser.run("return window.copied") != text:
        wrong.append("the button copies something else")
    return wrong


def diagnosis(browser: Browser, binary: str, case: Path) -> list[str]:
    """Where the case has readings: the answer of `diagnose`, its places marked on the plan, in the legend, and a click on
    a mark shows what it is. Nothing of that where there are none."""
    done = subprocess.run([binary, "diagnose", str(case), "--format", "json"], capture_output=True, text=True, check=False)
    here = browser.run("return [document.querySelectorAll('#diagnosis').length, document.querySelectorAll('#map .suspect').length]")
    if done.returncode == 2:
        return [] if here == [0, 0] else [f"no readings, but {here} sections and marks"]
    wrong = []
    answer = json.loads(done.stdout)
    text = subprocess.run([binary, "diagnose", str(case), "--wide"], capture_output=True, text=True, check=False).stdout.splitlines()
    shown = browser.run("return [...document.querySelectorAll('#diagnosis > .verdict p')].map((p) => p.innerText.replaceAll('\u00a0', ' '))")
    if shown != text[:3]:
        wrong.append(f"the answer is {shown}, of diagnose {text[:3]}")
    rows = browser.run("return [...document.querySelectorAll('#groups-table tbody tr')].map((r) => r.innerText)")
    groups = [group for group in answer["groups"] if group["probability"] >= 0.01]
    expected = sum(min(len(group["members"]), 12) + (len(group["members"]) > 12) for group in groups) + (answer["unexplained"] >= 0.01)
    if len(rows) != expected or not re.search(r"\(\d[\d.]* to \d", " ".join(rows)):
        wrong.append(f"{expected} explanations, {len(rows)} in the table, or none has a band: {rows[:2]}")
    readings = browser.run("return document.querySelectorAll('#pressure-readings tbody tr, #flow-readings tbody tr').length")
    if readings != len(answer["groups"][0]["predicted"]):
        wrong.append(f"{readings} readings")
    leading = answer["groups"][0]["members"][0]["faults"]
    places = browser.run("return [...document.querySelectorAll('#suspects-table tbody tr')].map((r) => r.cells[1].innerText)")
    if answer["groups"][0]["healthy"]:
        return wrong if not places and here[1] == 0 else [*wrong, f"all is as drawn, and yet {places}"]
    if not any(leading[0]["at"] in place for place in places):
        wrong.append(f"the places are {places}, of diagnose {leading}")
    for width in (390, 1280):
        browser.resize(width, 900)
        marks = browser.run("return [...document.querySelectorAll('#map .suspect')].map((m) => { const tag = [...m.querySelectorAll('.mark')].find((t) => t.getBoundingClientRect().width > 0),"
                            "b = tag.getBoundingClientRect(), f = document.getElementById('plan-window').getBoundingClientRect();"
                            "return [m.id, b.left - f.left, b.top - f.top, b.right - f.right, b.bottom - f.bottom, b.width] })")
        links = browser.run("return [...document.querySelectorAll('#suspects-table a')].map((a) => a.hash.slice(1))")
        if sorted(mark[0] for mark in marks) != sorted(links) or not links:
            wrong.append(f"{width} px: marks {marks}, numbers {links}")
        wrong += [f"{width} px: {mark[0]} leaves the plan or is too small to hit: {mark[1:]}" for mark in marks
                  if mark[1] < -1 or mark[2] < -1 or mark[3] > 1 or mark[4] > 1 or mark[5] < 14]
        legends = browser.run("return [...document.querySelectorAll('figcaption .legend')].filter((l) => l.checkVisibility()).map((l) => l.textContent)")
        if len(legends) != 1 or "may be at fault" not in legends[0]:
            wrong.append(f"{width} px: the legend does not say what the mark is")
        browser.run("report.things.choose(null); document.getElementById('plan').scrollIntoView()")
        tag = next(e for e in browser.driver.find_elements(By.CSS_SELECTOR, "#suspect-1 .mark") if e.is_displayed())
        ActionChains(browser.driver).move_to_element(tag).click().perform()
        card = browser.run("return document.getElementById('card').innerText")
        if "Suspect 1" not in card or places[0] not in card:
            wrong.append(f"{width} px: a click on the first mark shows {card!r}")
        browser.run("report.things.choose(null); document.querySelector('#suspects-table a').click()")
        if browser.run("return report.things.chosen()?.id") != links[0]:
            wrong.append(f"{width} px: the number in the table does not lead to its mark")
        browser.run("report.things.choose(null)")
    with tempfile.TemporaryDirectory() as folder:
        browser.pdf(Path(folder) / "report.pdf", "A4")
        printed = " ".join("\n".join(checks.pages(Path(folder) / "report.pdf")).split())
    wrong += [f"not printed: {words}" for words in ("Where to look", "Work order", "What it could be", "The readings", "may be at fault")
              if words not in printed]
    return wrong


def coverage(browser: Browser, binary: str, case: Path) -> list[str]:
    """A picture of every zone that has figures (the twelve least even of more), and a row for every zone."""
    done = subprocess.run([binary, "coverage", str(case), "--format", "json"], capture_output=True, check=False)
    zones = json.loads(done.stdout)["zones"]
    covered = [zone for zone in zones if zone["rate"] is not None]
    pictures, rows = browser.run("return [[...document.querySelectorAll('svg.water')].map((s) => s.querySelectorAll('.head').length),"
                                 "[...document.querySelectorAll('#coverage-table tbody tr')].map((r) => r.cells[0].innerText)]")
    if not covered:
        return [] if not pictures and not rows else ["no zone has figures, and yet there is a section"]
    wrong = []
    if rows != [zone["valve"] for zone in zones]:
        wrong.append(f"{len(zones)} zones, rows {rows}")
    if len(covered) <= 12 and pictures != [len(zone["heads"]) for zone in covered] or len(pictures) != min(len(covered), 12):
        wrong.append(f"{len(covered)} zones with figures, heads drawn {pictures}")
    return wrong


def without_script(path: Path, check: dict) -> list[str]:
    wrong = []
    page = checks.Text(path.read_text(encoding="utf-8"))
    wrong += [f"a handler in the markup: {name}" for name in page.handlers]
    wrong += [f"an address outside: {each}" for each in page.addresses if not each.startswith("#")]
    with Browser(width=1280, script=False) as browser:
        browser.open(path)
        seen = browser.cdp("DOM.getDocument", {"depth": 0})["root"]["nodeId"]
        def many(selector: str) -> int:
            return len(browser.cdp("DOM.querySelectorAll", {"nodeId": seen, "selector": selector})["nodeIds"])
        for table, rows in (("#runs-table tbody tr", len(check["runs"])), ("#heads-table tbody tr", len(check["runs"][0]["heads"]))):
            if many(table) != rows:
                wrong.append(f"without script: {many(table)} of {rows} in {table}")
        if many(".table-tools") or not many(".sheet") or many("#plan-tools:not([hidden])"):
            wrong.append("without script: controls that do nothing, or no worksheet")
        wrong += checks.quiet(browser)
    return wrong


def main(binary: str, case: Path, options: list[str]) -> int:
    wrong: list[str] = []
    with tempfile.TemporaryDirectory(prefix="evenhead-report-") as name:
        path, check, _ = made(binary, case, Path(name), options)
        with Browser(width=1280) as browser:
            browser.open(path)
            sheets = browser.run("return [...document.querySelectorAll('.sheet')].map((s) => ({id: s.id, lines: s.querySelectorAll('tbody tr').length}))")
            solved = sum("error" not in run for run in check["runs"])
            if not sheets or len(sheets) > solved:
                wrong.append(f"{len(sheets)} worksheets of {solved} runs")
            for paper in ("A4", "Letter"):
                wrong += checks.printed(browser, paper, sheets)
            wrong += counts(browser, check) + checks.structure(browser) + checks.width(browser) + checks.one_size(browser)
            for dark in (False, True):
                browser.theme(dark)
                wrong += [("dark: " if dark else "light: ") + each for each in checks.contrast(browser)]
            wrong += checks.light_on_paper(browser)
            wrong += select(browser, check) + keyboard(browser, check) + tables(browser)
            wrong += checks.labels(browser) + checks.scale_apart(browser) + coverage(browser, binary, case) + checks.water(browser)
            wrong += diagnosis(browser, binary, case)
            wrong += answers.look(browser, binary, case, options)
            browser.resize(390, 844)
            browser.open(path)
            wrong += [f"390 px: {each}" for each in checks.width(browser) + checks.one_size(browser) + checks.labels(browser) + checks.scale_apart(browser) + checks.water(browser)]
            wrong += checks.quiet(browser)
        wrong += without_script(path, check)
    for each in wrong:
        print(each)
    print(f"{case}: {len(wrong)} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], Path(sys.argv[2]), sys.argv[3:]))
