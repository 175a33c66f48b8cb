"""Runs the program and finds things in the workbooks that it writes."""

import json
import subprocess
from pathlib import Path

# What the numbers of a case are in, and what its workbook may show instead: Pa, m3/s, m, m/s of one.
UNITS = {"psi": 4.4482216152605 / 0.0254 ** 2, "kPa": 1e3, "bar": 1e5, "MPa": 1e6, "mH2O": 9806.65, "ftH2O": 9806.65 * 0.3048,
         "gpm": 231 * 0.0254 ** 3 / 60, "gph": 231 * 0.0254 ** 3 / 3600, "L/min": 1e-3 / 60, "L/s": 1e-3, "m3/h": 1 / 3600,
         "cfs": 0.3048 ** 3, "ft": 0.3048, "in": 0.0254, "m": 1, "cm": 0.01, "mm": 0.001, "ft/s": 0.3048, "m/s": 1}
CASE_UNITS = {True: {"pressure": "kPa", "change": "kPa", "flow": "L/min", "length": "m", "bore": "mm", "velocity": "m/s"},
              False: {"pressure": "psi", "change": "psi", "flow": "gpm", "length": "ft", "bore": "in", "velocity": "ft/s"}}

COLUMNS = {"On the way": "way", "Flow": "flow", "Bore": "bore", "Length": "length", "C": "friction", "Roughness": "friction",
           "k": "k", "Fittings": "share", "cv or kv": "coefficient", "Static, set": "set", "Elevation": "elevation",
           "Velocity": "velocity", "Change": "change", "Pressure": "pressure", "By": "law", "Reynolds": "reynolds",
           "Friction": "factor", "Chart row": "chart_row", "Share of": "chart_share"}
HEADING, FIRST = 5, 6      # rows


def run(binary, *arguments, **options):
    return subprocess.run([str(binary), *map(str, arguments)], capture_output=True, check=False, timeout=120, **options)


def answer(binary, *arguments):
    """The JSON of a command, which must have one."""
    done = run(binary, *arguments, "--format", "json")
    if done.returncode not in (0, 1, 3):
        raise AssertionError(f"{arguments}: {done.stderr.decode()}")
    return json.loads(done.stdout)


def write_book(binary, case, path, *options):
    done = run(binary, "worksheet", case, *options, "-o", path)
    if done.returncode not in (0, 1, 3) or not Path(path).exists():
        raise AssertionError(f"{case}: exit status {done.returncode}: {done.stderr.decode()}")
    return done.returncode


class RunSheet:
    """Where things stand on the sheet of a run."""

    def __init__(self, book, title):
        self.book, self.title, self.sheet = book, title, book.book[title]
        self.columns, self.units = {}, {}
        for cell in self.sheet[HEADING]:
            if not cell.value:
                continue
            name, _, unit = cell.value.partition("\n")
            if name in COLUMNS:
                self.columns[COLUMNS[name]] = cell.column_letter
                self.units[COLUMNS[name]] = unit
        self.rows = []
        row = FIRST
        while not str(self.sheet.cell(row, 1).value).startswith("Pressure at the nozzle of "):
            self.rows.append(row)
            row += 1
        self.nozzle_row = row
        self.head = self.sheet.cell(row, 1).value.removeprefix("Pressure at the nozzle of ")

    def cell(self, row, column):
        return f"{self.columns[column]}{row}"

    def value(self, row, column):
        return self.book.value(self.title, self.cell(row, column))

    def given(self, row, column):
        """What stands in the cell; None where the sheet has no such column."""
        return self.sheet[self.cell(row, column)].value if column in self.columns else None

    def is_input(self, row, column):
        return isinstance(self.given(row, column), (int, float))

    def labelled(self, words, column):
        for row in range(self.nozzle_row, self.sheet.max_row + 1):
            if str(self.sheet.cell(row, 1).value).startswith(words):
                return row, self.value(row, column)
        return None, None

    def pressure(self):
        """At the nozzle, in the unit shown."""
        return self.value(self.nozzle_row, "pressure")


def run_sheets(book):
    return [RunSheet(book, title) for title in book.book.sheetnames if title.startswith("Run ")]
