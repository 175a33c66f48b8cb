"""Changes an input of a workbook and looks whether what depends on it moves as the law says, computed here by other means.

    python3 -m workbook.changes BINARY FOLDER CASES

Sources: Colebrook-White solved by python3-fluids; water by IAPWS (python3-iapws); the cubic of charts by SciPy's
PchipInterpolator, which takes the slopes of Fritsch and Butland; friction by Hazen-Williams as NFPA 13 writes it, 4.52 q^1.852 /
(C^1.852 d^4.8704) psi a foot; 0.433 psi a foot of height (International Plumbing Code, appendix E: 8.66 psi for 20 ft); a valve
takes 1 psi at a flow of its cv, 1 bar at its kv in m3/h; k times the velocity head; the nozzle's square root.
"""

import math
import sys
from pathlib import Path

import fluids
from iapws import IAPWS97
from scipy.interpolate import PchipInterpolator

from workbook.evaluate import Workbook
from workbook.program import UNITS, run_sheets, write_book

LAWS = """
title = "Every law once, invented"
units = "us"
FRICTION
ground = 10
temperature = 50
supplies = [ { id = "pond", static = 90, flow = [20, 40, 70], residual = [86, 79, 64] } ]
devices = [
  { id = "meter", type = "meter", flow = 20, loss = 2 },
  { id = "strainer", type = "filter", flow = [0, 20], loss = [1, 2.5] },
  { id = "preventer", type = "backflow", flow = [0, 10, 20, 30], loss = [3, 4.1, 6.2, 9] },
  { id = "elbowed", type = "other", k = 2.5, bore = 1 },
  { id = "booster", type = "pump", flow = [5, 20, 40, 60], rise = [30, 28, 22, 10] },
  { id = "holder", type = "regulator", cv = 40, set = 85 },
  { id = "kept", type = "filter", kv = 20 },
]
valves = [ { id = "lawn", cv = 12, set = 200 }, { id = "beds", cv = 12, set = 60 } ]
nozzles = [
  { id = "rotor", pressure = [25, 35, 50, 65], flow = [1.9, 2.3, 2.9, 3.2], min = 30 },
  { id = "spray", pressure = 30, flow = 1.5, exponent = 0.55, min = 25 },
  { id = "bubbler", pressure = 20, flow = 0.5, exponent = 0, min = 15 },
]
heads = [ { id = "R1", nozzle = "rotor", cv = 6 }, { id = "R2", nozzle = "rotor", cv = 6, set = 70, elev = 14 },
          { id = "S1", nozzle = "spray", set = 30, kv = 1.2 }, { id = "S2", nozzle = "spray", elev = 4 },
          { id = "B1", nozzle = "bubbler" } ]
pipes = [
  { along = "pond 20 meter 5 strainer 5 preventer 5 elbowed 5 booster 5 holder 5 kept", size = "pvc-sch40 1-1/4" },
  { from = "kept", to = "T", length = 80, size = "pvc-sch40 1-1/2", k = 3, fittings = "10 %" },
  { along = "T 5 lawn", size = "pvc-sch40 1", k = 1 },
  { along = "T 5 beds", size = "pvc-sch40 1" },
  { along = "lawn 30 R1 40 R2", size = "pvc-cl200 3/4", fittings = "5 %" },
  { along = "beds 30 S1 15 S2 15 B1", size = "pvc-cl200 3/4" },
]
"""


class Checker:
    def __init__(self):
        self.count = self.wrong = 0

    def near(self, what, got, wanted, relative, absolute=1e-12):
        self.count += 1
        if not abs(got - wanted) <= relative * abs(wanted) + absolute:
            self.wrong += 1
            print(f"{what}: {got!r}, not {wanted!r}")


class Changed:
    """The same sheet with some inputs changed, for the length of a with block."""

    def __init__(self, sheet, *changes):
        self.sheet, self.changes = sheet, changes

    def __enter__(self):
        for title, cell, value in self.changes:
            self.sheet.book.change(title, cell, value)
        return self.sheet

    def __exit__(self, *_):
        self.sheet.book.restore()


def constant(book, name):
    return book.range("Constants", name)


def held_below(sheet, row):
    """Something below this row holds its outlet, so that nothing above it reaches the nozzle."""
    below = [r for r in sheet.rows if r > row]
    return any(sheet.given(r, "law") == "holds its pressure" for r in below) or sheet.labelled("Its body holds", "set")[0]


def loss_of(sheet, row):
    return -sheet.value(row, "change")


def check_pipe(checker, sheet, row):
    where = f"{sheet.title} row {row}"
    si = {key: UNITS[unit] for key, unit in sheet.units.items() if unit in UNITS}
    book = sheet.book
    q, d = sheet.value(row, "flow") * si["flow"], sheet.value(row, "bore") * si["bore"]
    length = sheet.value(row, "length") * si["length"]
    density = IAPWS97(T=273.15 + constant(book, "temperature_C"), P=0.101325).rho
    checker.near(f"{where} density", constant(book, "density"), density, 1e-4)
    velocity = q / (math.pi / 4 * d * d)
    checker.near(f"{where} velocity", sheet.value(row, "velocity") * si["velocity"], velocity, 1e-12)
    old, at_head = loss_of(sheet, row), sheet.pressure()
    if sheet.given(row, "law") == "Darcy-Weisbach":
        roughness = sheet.value(row, "friction") * si["bore"]
        water = IAPWS97(T=273.15 + constant(book, "temperature_C"), P=0.101325)
        checker.near(f"{where} viscosity", constant(book, "kinematic_viscosity"), water.nu, 1e-3)
        reynolds = velocity * d / constant(book, "kinematic_viscosity")

        def factor(re):      # straight in the flow between laminar and turbulent: f Re^2 is
            if re <= 2000:
                return 64 / re
            if re < 4000:
                end = 4000 ** 2 * fluids.friction_factor(4000, roughness / d, Method="Colebrook")
                return (128000 + (end - 128000) * (re - 2000) / 2000) / re ** 2
            return fluids.friction_factor(re, roughness / d, Method="Colebrook")

        wanted = factor(reynolds) * length / d * constant(book, "density") * velocity ** 2 / 2 / si["pressure"]
        checker.near(f"{where} Darcy-Weisbach", old, wanted, 1e-9)
        for times in (0.05, 0.2, 0.35, 2, 20):      # of the flow: through every stretch of the law
            with Changed(sheet, (sheet.title, sheet.cell(row, "flow"), sheet.value(row, "flow") * times)):
                wanted = factor(reynolds * times) * length / d * constant(book, "density") * (velocity * times) ** 2 / 2
                checker.near(f"{where} at {times} of the flow", loss_of(sheet, row), wanted / si["pressure"], 1e-9)
    else:
        c = sheet.value(row, "friction")
        us = 4.52 * (q / UNITS["gpm"]) ** 1.852 / (c ** 1.852 * (d / UNITS["in"]) ** 4.8704) * length / UNITS["ft"]
        checker.near(f"{where} Hazen-Williams", old * si["pressure"] / UNITS["psi"], us, 3e-3)
        with Changed(sheet, (sheet.title, sheet.cell(row, "friction"), 0.8 * c)):
            checker.near(f"{where} C", loss_of(sheet, row), old * 0.8 ** -1.852, 1e-12)
    follows = row + 1 in sheet.rows and sheet.given(row + 1, "share") or 0
    with Changed(sheet, (sheet.title, sheet.cell(row, "length"), 2 * sheet.value(row, "length"))):
        checker.near(f"{where} twice as long", loss_of(sheet, row), 2 * old, 1e-12)
        if not held_below(sheet, row):
            checker.near(f"{where} at the head", sheet.pressure(), at_head - old * (1 + follows / 100), 1e-9)
        else:
            checker.near(f"{where} at a held head", sheet.pressure(), at_head, 1e-9)


def check_static(checker, sheet):
    row, at_head = sheet.rows[0], sheet.pressure()
    held = held_below(sheet, row)
    with Changed(sheet, (sheet.title, sheet.cell(row, "set"), sheet.value(row, "set") - 0.5)):
        checker.near(f"{sheet.title} static", sheet.pressure(), at_head if held else at_head - 0.5, 1e-9)
    # Far below what any regulator holds, the whole fall arrives, less what they took.
    taken = sum(loss_of(sheet, r) for r in sheet.rows if sheet.given(r, "law") == "holds its pressure")
    far = 500 * UNITS["psi"] / UNITS[sheet.units["pressure"]]
    with Changed(sheet, (sheet.title, sheet.cell(row, "set"), sheet.value(row, "set") - far)):
        checker.near(f"{sheet.title} static far lower", sheet.pressure(), at_head - far + taken, 1e-9)


def check_elevation(checker, sheet, row):
    at_head, pressure = sheet.pressure(), UNITS[sheet.units["pressure"]]
    later = [r for r in sheet.rows if r > row and sheet.given(r, "law") == "height of water"]
    rise = 20 * UNITS["ft"] / UNITS[sheet.units["elevation"]]
    with Changed(sheet, (sheet.title, sheet.cell(row, "elevation"), sheet.value(row, "elevation") + rise)):
        if not later and not held_below(sheet, row):
            checker.near(f"{sheet.title} row {row} 20 ft up", (at_head - sheet.pressure()) * pressure / UNITS["psi"], 8.66, 2e-3)
        elif later and not held_below(sheet, row):      # up here, and down again
            checker.near(f"{sheet.title} row {row} up and down", sheet.pressure(), at_head, 1e-9)


def check_coefficient(checker, sheet, row):
    kv = "kv" in sheet.given(row, "law")
    unit, flow = (UNITS["bar"], UNITS["m3/h"]) if kv else (UNITS["psi"], UNITS["gpm"])
    coefficient = sheet.value(row, "coefficient")
    # The loss of water of 60 degF; other water is a little lighter or heavier.
    heavier = constant(sheet.book, "density") / IAPWS97(T=273.15 + (60 - 32) / 1.8, P=0.101325).rho
    with Changed(sheet, (sheet.title, sheet.cell(row, "flow"), coefficient * flow / UNITS[sheet.units["flow"]]),
                 (sheet.title, sheet.cell(row - 1, "pressure"), -1e6)):      # so that nothing is held
        checker.near(f"{sheet.title} row {row} at its coefficient", loss_of(sheet, row) * UNITS[sheet.units["pressure"]] / unit,
                     heavier, 5e-5)


def check_minor(checker, sheet, row):
    k, share = sheet.given(row, "k") or 0, sheet.given(row, "share") or 0
    velocity = sheet.value(row, "velocity") * UNITS[sheet.units["velocity"]]
    head = k * constant(sheet.book, "density") * velocity ** 2 / 2 / UNITS[sheet.units["pressure"]]
    friction = loss_of(sheet, row - 1) if share else 0
    checker.near(f"{sheet.title} row {row} k", loss_of(sheet, row), head + friction * share / 100, 1e-12)


def check_chart(checker, sheet, row):
    """The line at flows all over its chart, against SciPy; beyond its rows by the square of the flow, or straight on."""
    book, number = sheet.book, int(sheet.given(row, "law").split()[1].strip(","))
    flow = book.range("Charts", f"chart_{number}_flow")
    flow = list(flow) if isinstance(flow, list) else [flow]

    def column(name):
        cells = book.range("Charts", f"chart_{number}_{name}")
        return list(cells) if isinstance(cells, list) else [cells]

    def at(q):
        # High above the line, so that nothing is held.
        with Changed(sheet, (sheet.title, sheet.cell(row, "flow"), q), (sheet.title, sheet.cell(row - 1, "pressure"), -1e6)):
            return sheet.value(row, "change")

    if f"chart_{number}_drop" in book.names:
        drop = column("drop")
        for i in range(1, len(flow)):
            for t in (0.1, 0.5, 1, 1.7 if i + 1 == len(flow) else 0.9):
                u = flow[i - 1] ** 1.852 + t * (flow[i] ** 1.852 - flow[i - 1] ** 1.852)
                for sign in (1, -1):
                    checker.near(f"{sheet.title} row {row} tests", at(sign * u ** (1 / 1.852)),
                                 -sign * (drop[i - 1] + t * (drop[i] - drop[i - 1])), 1e-9)
        return
    rise = f"chart_{number}_rise" in book.names
    value = column("rise" if rise else "loss")
    sign = 1 if rise else -1
    if len(flow) > 2 or (rise and len(flow) == 2):
        cubic = PchipInterpolator(flow, value)
        for i in range(len(flow) - 1):
            for t in (0, 0.2, 0.5, 0.9):
                q = flow[i] + t * (flow[i + 1] - flow[i])
                checker.near(f"{sheet.title} row {row} at {q}", at(q), sign * float(cubic(q)), 1e-9)
    beyond = 1.5 * flow[-1]
    if rise and len(flow) > 1:
        last = (value[-1] - value[-2]) / (flow[-1] - flow[-2])
        checker.near(f"{sheet.title} row {row} beyond", at(beyond), value[-1] + last * (beyond - flow[-1]), 1e-9)
    elif not rise:
        checker.near(f"{sheet.title} row {row} beyond", at(beyond), -(value[0] + (value[-1] - value[0]) * 1.5 ** 2), 1e-9)


def check_nozzle(checker, sheet):
    row, _ = sheet.labelled("Flow at this pressure", "flow")
    number = int(sheet.sheet.cell(row, 1).value.split("chart ")[1].rstrip(")"))
    pressures, flows = (sheet.book.range("Charts", f"chart_{number}_{name}") for name in ("pressure", "flow"))
    exponents = sheet.book.range("Charts", f"chart_{number}_exponent")
    if not isinstance(pressures, list):
        pressures, flows, exponents = [pressures], [flows], [exponents]

    def at(p):
        with Changed(sheet, (sheet.title, sheet.cell(sheet.nozzle_row, "pressure"), p)):
            return sheet.labelled("Flow at this pressure", "flow")[1]

    for p, q in zip(pressures, flows):
        checker.near(f"{sheet.title} nozzle at {p}", at(p), q, 1e-9)
    if len(pressures) > 1:
        for i in range(len(pressures) - 1):      # half way in the logarithms: the geometric means
            checker.near(f"{sheet.title} nozzle between", at(math.sqrt(pressures[i] * pressures[i + 1])),
                         math.sqrt(flows[i] * flows[i + 1]), 1e-9)
        checker.near(f"{sheet.title} nozzle above", at(4 * pressures[-1]), 2 * flows[-1], 1e-9)
        checker.near(f"{sheet.title} nozzle below", at(pressures[0] / 4), flows[0] / 2, 1e-9)
    else:
        checker.near(f"{sheet.title} nozzle above", at(4 * pressures[0]), flows[0] * 4 ** exponents[0], 1e-9)
    checker.near(f"{sheet.title} nozzle without pressure", at(-1), 0, 0)


def check_shared(checker, book, sheets):
    """A constant and the row of a chart reach every sheet; a change of a sheet reaches the summary."""
    before = {sheet.title: sheet.pressure() for sheet in sheets}
    row = next(cell.row for cell in book.book["Constants"]["A"] if cell.value == "gravity")
    book.change("Constants", f"B{row}", 0)
    for sheet in sheets:
        for r in sheet.rows:
            if sheet.given(r, "law") in ("height of water", "Hazen-Williams"):
                checker.near(f"{sheet.title} row {r} without gravity", sheet.value(r, "change"), 0, 0, 1e-15)
    book.restore()
    if "Summary" not in book.book.sheetnames:
        return
    for sheet in sheets:
        row, wanted = sheet.labelled("Pressure wanted", "pressure")
        if row is None:
            continue
        line = next(cell.row for cell in book.book["Summary"]["A"] if cell.value and sheet.title == f"Run {cell.value}")
        book.change(sheet.title, sheet.cell(row, "pressure"), before[sheet.title] + 1)
        checker.near(f"Summary row {line}", book.value("Summary", f"F{line}"), -1, 1e-9)
        told = (book.value("Summary", f"G{line}"), book.value(sheet.title, "A4"))
        if told != ("Too little pressure",) * 2 or not book.value("Summary", "A4")[0].isdigit():
            checker.wrong += 1
            print(f"{sheet.title}: {told} at a margin of -1, {book.value('Summary', 'A4')}")
        book.restore()


def check_book(checker, path, seen, most=9):
    book = Workbook(path)
    sheets = run_sheets(book)
    for sheet in sheets[:most]:
        check_static(checker, sheet)
        check_nozzle(checker, sheet)
        for row in sheet.rows:
            law = sheet.given(row, "law").split(", at most")[0]
            seen.add(law.split()[0] if law.startswith("chart") else law)
            if law in ("Hazen-Williams", "Darcy-Weisbach") and sheet.value(row, "flow") > 0 and sheet.value(row, "length") > 0:
                check_pipe(checker, sheet, row)
            elif law == "height of water":
                check_elevation(checker, sheet, row)
            elif law.startswith("(flow/"):
                check_coefficient(checker, sheet, row)
            elif "V²" in law or law.startswith("share"):
                check_minor(checker, sheet, row)
            elif law.startswith("chart"):
                check_chart(checker, sheet, row)
    check_shared(checker, book, sheets)


def main(binary, folder, cases):
    folder.mkdir(parents=True, exist_ok=True)
    checker, seen = Checker(), set()
    for friction in ("hazen-williams", "darcy-weisbach"):
        case = folder / f"{friction}.toml"
        case.write_text(LAWS.replace("FRICTION", f'friction = "{friction}"'))
        write_book(binary, case, folder / "book.xlsx")
        check_book(checker, folder / "book.xlsx", seen)
        for head in ("R1", "R2", "S1", "S2", "B1"):
            write_book(binary, case, folder / "book.xlsx", head)
            check_book(checker, folder / "book.xlsx", seen)
        case.unlink()
    for case in cases:
        write_book(binary, case, folder / "book.xlsx")
        check_book(checker, folder / "book.xlsx", seen, most=1)
    (folder / "book.xlsx").unlink()
    missing = {"pressure at no flow", "chart", "holds at any flow", "Hazen-Williams", "Darcy-Weisbach", "share of the friction",
               "k V²/2g", "share of the friction, k V²/2g", "height of water", "loses nothing", "(flow/cv)²", "(flow/kv)²",
               "holds its pressure"} - seen
    print(f"{checker.count} comparisons, {checker.wrong} wrong; laws not met: {sorted(missing) or 'none'}")
    return 1 if checker.wrong or missing else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], Path(sys.argv[2]), [Path(case) for case in sys.argv[3:]]))
