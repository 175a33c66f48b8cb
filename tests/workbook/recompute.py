"""Every formula of the workbooks of these cases, computed anew: the values beside them, and what check and worksheet say.

    python3 -m workbook.recompute BINARY FOLDER CASE... [--generated COUNT]

The generated cases (tests/generator) hold every kind of element; the shipped ones must come without a line that no formula gives.
"""

import sys
import tomllib

from same.cases import arguments
from workbook.evaluate import Workbook
from workbook.program import CASE_UNITS, FIRST, HEADING, UNITS, answer, run_sheets, write_book

RELATIVE = 1e-6
# A balance closes to 1e-6 psi and 1e-9 of the flow; where two such numbers are subtracted no more can be asked.
CLOSURE = 1e-6 * UNITS["psi"]      # Pa


class Checker:
    def __init__(self):
        self.compared = self.wrong = self.lines = self.by_balance = 0
        self.largest = 0.0

    def same(self, where, got, wanted, absolute):
        self.compared += 1
        if isinstance(wanted, str) or isinstance(got, str):
            good = got == wanted
        else:
            difference = abs(got - wanted)
            good = difference <= RELATIVE * abs(wanted) + absolute
            if abs(wanted) > 1e3 * absolute:
                self.largest = max(self.largest, difference / abs(wanted))
        if not good:
            self.wrong += 1
            if self.wrong < 30:
                print(f"{where}: {got!r}, not {wanted!r}")

    def note(self, where, words):
        self.wrong += 1
        print(f"{where}: {words}")


def check_formulas(checker, case, book, sheets):
    pressure = UNITS[sheets[0].units["pressure"]] if sheets else 1
    for sheet, cell, formula, stored in book.formulas():
        where = f"{case} {sheet}!{cell} {formula}"
        if stored is None:
            checker.note(where, "has no value")
            continue
        try:
            checker.same(where, book.value(sheet, cell), stored, 2 * CLOSURE / pressure)
        except (ValueError, KeyError, ZeroDivisionError, OverflowError, TypeError) as error:
            checker.note(where, f"cannot be computed: {error}")


def check_lines(checker, binary, case, sheet, units, shipped):
    run = sheet.title_run
    told = answer(binary, "worksheet", case, sheet.head, "--run", run)
    pressure = UNITS[units["pressure"]] / UNITS[sheet.units["pressure"]]
    where = f"{case} {sheet.title}"
    if len(told["lines"]) != len(sheet.rows):
        checker.note(where, f"{len(sheet.rows)} lines, not {len(told['lines'])}")
        return
    for row, line in zip(sheet.rows, told["lines"]):
        checker.lines += 1
        if sheet.is_input(row, "change"):
            checker.by_balance += 1
            if shipped:
                checker.note(f"{where} row {row}", "no formula gives the change")
        for column in ("flow", "bore", "length", "velocity", "change", "pressure"):
            if line[column] is None:
                if sheet.given(row, column) not in (None, "") and not sheet.given(row, "k"):
                    checker.note(f"{where} row {row}", f"{column} {sheet.given(row, column)} where there is none")
                continue
            factor = UNITS[units[column]] / UNITS[sheet.units[column]]
            absolute = 2 * CLOSURE / UNITS[sheet.units["pressure"]] if column in ("change", "pressure") else 1e-9
            checker.same(f"{where} row {row} {column}", sheet.value(row, column), line[column] * factor, absolute)
    absolute = 2 * CLOSURE / UNITS[sheet.units["pressure"]]
    checker.same(f"{where} pressure", sheet.pressure(), told["pressure"] * pressure, absolute)
    if told["wanted"] is not None:
        for words, key in (("Pressure wanted", "wanted"), ("Margin", "margin")):
            checker.same(f"{where} {words}", sheet.labelled(words, "pressure")[1], told[key] * pressure, absolute)
    # The nozzle takes the flow that the balance brings, at the pressure that the lines lead to.
    assumed = sheet.labelled("Flow assumed", "flow")[1]
    checker.same(f"{where} nozzle", sheet.labelled("Flow at this pressure", "flow")[1], assumed, 1e-6)


def check_summary(checker, case, book, sheets, checked, units):
    summary = book.book["Summary"]
    runs = {run["id"]: run for run in checked["runs"]}
    by_title = {sheet.title_run: sheet for sheet in sheets}
    row, margins = HEADING + 1, []
    while summary.cell(row, 1).value in runs:
        where, run = f"{case} Summary row {row}", runs.pop(summary.cell(row, 1).value)
        if "error" in run:
            checker.same(where, summary.cell(row, 7).value, "no proven solution", 0)
        else:
            failing = sum(finding["fails"] for finding in run["findings"])
            checker.same(where, summary.cell(row, 8).value, failing, 0)
            sheet = by_title.get(run["id"])
            factor = UNITS[units["flow"]] / UNITS[summary.cell(HEADING, 2).value.split("\n")[1]]
            checker.same(where, book.value("Summary", f"B{row}"), run["flow"] * factor, 1e-9)
            if sheet is not None:
                head = next(head for head in run["heads"] if head["id"] == sheet.head)
                factor = UNITS[units["pressure"]] / UNITS[sheet.units["pressure"]]
                checker.same(where, book.value("Summary", f"D{row}"), head["pressure"] * factor,
                             2 * CLOSURE / UNITS[sheet.units["pressure"]])
                margins.append(book.value("Summary", f"F{row}") if summary[f"F{row}"].value else float("inf"))
        row += 1
    if runs:
        checker.note(case, f"runs missing in the summary: {sorted(runs)}")
    if any(later < earlier - 1e-6 for earlier, later in zip(margins, margins[1:])):
        checker.note(case, f"not worst first: {margins}")


def check_case(checker, binary, folder, case, shipped):
    path = folder / "book.xlsx"
    status = write_book(binary, case, path)
    with open(case, "rb") as file:
        units = CASE_UNITS[tomllib.load(file).get("units", "us") == "metric"]
    book = Workbook(path)
    sheets = run_sheets(book)
    check_formulas(checker, case, book, sheets)
    checked = answer(binary, "check", case)
    names = {f"Run {run['id']}"[:31]: run["id"] for run in checked["runs"]}
    for sheet in sheets:
        sheet.title_run = names[sheet.title]
        check_lines(checker, binary, case, sheet, units, shipped)
    check_summary(checker, case, book, sheets, checked, units)
    low = any(book.stored[sheet.title]["A4"].value == "Too little pressure" for sheet in sheets)
    failed = any("error" in run for run in checked["runs"])
    if status != (3 if failed else 1 if low else 0):
        checker.note(case, f"exit status {status}")


def main(binary, folder, cases, generated):
    folder.mkdir(parents=True, exist_ok=True)
    checker = Checker()
    shipped = len(cases) - generated
    for number, case in enumerate(cases):
        check_case(checker, binary, folder, case, number < shipped)
    (folder / "book.xlsx").unlink()
    print(f"{len(cases)} cases, {checker.lines} lines ({checker.by_balance} by no formula), {checker.compared} numbers compared, "
          f"{checker.wrong} wrong; largest difference {checker.largest:.1e} of the number")
    return 1 if checker.wrong or checker.lines < FIRST * len(cases) else 0


if __name__ == "__main__":
    given = arguments(__doc__, "binary")
    sys.exit(main(given.binary, given.folder, given.cases, given.generated))
