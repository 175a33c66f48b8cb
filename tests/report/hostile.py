"""A case whose ids, titles and notes try to be markup, script, formulas or commands: in the report they stay text.

    python3 -m report.hostile BINARY

And a case without a proven solution: the report is written all the same, says why, and the exit status is 3.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path

from report import checks
from report.browser import Browser

TITLE = """</title></script><script>window.caught=1</script><img src=x onerror=window.caught=1>]]>"&amp;' \u202eevil"""
HEADS = ["<img/onerror=caught(1)>", '"onclick="caught(1)', "</script><b>", "=HYPERLINK(1)", "@SUM(1)", "+cmd|x!A1", "-2+3", "]]><!--", "'quoted'", "&lt;b&gt;"]
VALVE, SUPPLY, METER = "<svg/onload=caught(1)>", "\u05d0\u05d1</style>", "${caught(1)}`"
NO_BALANCE = """title = "Two regulators"
ground = 0
supplies = [ { id = "street", static = 80, flow = 40, residual = 70 } ]
devices = [
  { id = "R1", type = "regulator", cv = 20, set = 40 },
  { id = "R2", type = "regulator", cv = 20, set = 40 },
]
nozzles = [ { id = "n", pressure = 30, flow = 2 } ]
heads = [ { id = "H1", nozzle = "n" } ]
pipes = [
  { along = "street 10 T 1 R1 0 M 10 H1", size = "pvc-sch40 1" },
  { along = "T 1 R2 0 M", size = "pvc-sch40 1" },
]
"""


def case() -> str:
    quoted = json.dumps  # a TOML string is written like a JSON one
    pipes = [f'{{ from = {quoted(SUPPLY)}, to = {quoted(METER)}, length = 10, size = "pvc-sch40 1" }}',
             f'{{ from = {quoted(METER)}, to = {quoted(VALVE)}, length = 10, size = "pvc-sch40 1" }}']
    for i, head in enumerate(HEADS):
        before = VALVE if i == 0 else HEADS[i - 1]
        pipes.append(f'{{ from = {quoted(before)}, to = {quoted(head)}, length = 9, size = "pvc-cl200 1", id = {quoted("=P" + str(i) + "<i>")} }}')
    heads = [f'{{ id = {quoted(head)}, nozzle = "<n>", note = {quoted(TITLE)} }}' for head in HEADS]
    return (f"title = {quoted(TITLE)}\njob = {quoted(TITLE)}\ndate = {quoted('<u>today</u>')}\nground = 0\n"
            f"supplies = [ {{ id = {quoted(SUPPLY)}, static = 60, flow = 20, residual = 40 }} ]\n"
            f'devices = [ {{ id = {quoted(METER)}, type = "meter", flow = 20, loss = 9, safe_flow = 12 }} ]\n'
            f"valves = [ {{ id = {quoted(VALVE)}, cv = 9 }} ]\n"
            f'nozzles = [ {{ id = "<n>", pressure = 30, flow = 1.5, min = 35 }} ]\n'
            f"heads = [ {', '.join(heads)} ]\npipes = [ {', '.join(pipes)} ]\nruns = [ {{ id = {quoted('<run>&')}, valves = [{quoted(VALVE)}] }} ]\n"
            f"readings = [ {{ run = {quoted('<run>&')}, at = {quoted(HEADS[0])}, pressure = 30 }}, "
            f"{{ run = {quoted('<run>&')}, at = {quoted(HEADS[-1])}, pressure = 12 }} ]\n")


def stays_text(binary: str, folder: Path) -> list[str]:
    source, path = folder / "<b>case.toml", folder / "report.html"
    source.write_text(case(), encoding="utf-8")
    done = subprocess.run([binary, "report", str(source), "--sheets", "-o", str(path)], capture_output=True, text=True, check=False)
    if done.returncode not in (0, 1):
        return [f"exit status {done.returncode}: {done.stderr}"]
    page = checks.Text(path.read_text(encoding="utf-8"))
    wrong = [f"a handler in the markup: {name}" for name in page.handlers]
    wrong += [f"an address outside: {each}" for each in page.addresses if not each.startswith("#")]
    if b"\xe2\x80\xae" in path.read_bytes():
        wrong.append("a mark that turns the direction of writing")
    with Browser() as browser:
        browser.open(path)
        if browser.run("return window.caught ?? document.querySelectorAll('img, b, i, u, iframe, object').length"):
            wrong.append("markup of the case became markup of the page")
        names = browser.run("return [...document.querySelectorAll('#heads-table tbody th')].map((c) => c.textContent)")
        if not browser.run("return document.querySelectorAll('#suspects-table tbody tr').length"):
            wrong.append("no place is suspected")
        if names != HEADS:
            wrong.append(f"heads are called {names}")
        for kind, expected in (("run", "<run>&"), ("valve", VALVE), ("device", METER)):
            name = browser.run(f"return document.querySelector('tr[id^=row-{kind}-] th').textContent")
            if name != expected:
                wrong.append(f"{kind} {expected!r} is called {name!r}")
        for i in range(len(HEADS)):
            browser.run("report.things.choose(document.getElementById('head-' + arguments[0]), true)", i)
            shown = browser.run("return document.querySelector('#card h3').textContent")
            if shown != f"Head {HEADS[i]}":
                wrong.append(f"the card of {HEADS[i]!r} is headed {shown!r}")
        browser.run("const s = document.getElementById('run'); s.value = '0'; s.dispatchEvent(new Event('change'))")
        for table in ("heads-table", "pipes-table", "devices-table", "finding-table"):
            for row in checks.csv_rows(browser.run("return report.tables.get(arguments[0]).csv()", table))[1:]:
                wrong += [f"{table}: a formula: {cell!r}" for cell in row if cell[:1] in tuple("=@\t\r")
                          or (cell[:1] in ("+", "-") and not is_number(cell))]
        if browser.run("return window.caught"):
            wrong.append("something of the case was run")
        wrong += checks.quiet(browser) + checks.width(browser)
        browser.resize(390)
        wrong += [f"390 px: {each}" for each in checks.width(browser)]
    return wrong


def is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def says_why(binary: str, folder: Path) -> list[str]:
    source, path = folder / "twin.toml", folder / "twin.html"
    source.write_text(NO_BALANCE, encoding="utf-8")
    done = subprocess.run([binary, "report", str(source), "-o", str(path)], capture_output=True, text=True, check=False)
    wrong = [] if done.returncode == 3 else [f"exit status {done.returncode}, not 3"]
    with Browser() as browser:
        browser.open(path)
        text = browser.run("return document.body.innerText")
        for words in ("Not solved", "has no proven solution", "R1"):
            if words not in text:
                wrong.append(f"the report does not say {words!r}")
        browser.run("const s = document.getElementById('run'); s.value = '0'; s.dispatchEvent(new Event('change'))")
        wrong += checks.quiet(browser)
    return wrong


def main(binary: str) -> int:
    with tempfile.TemporaryDirectory(prefix="evenhead-report-") as name:
        wrong = stays_text(binary, Path(name)) + says_why(binary, Path(name))
    for each in wrong:
        print(each)
    print(f"{len(wrong)} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
