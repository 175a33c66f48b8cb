"""The workbook of a take-off: every formula computed anew, against the values beside it and the program's JSON; then inputs
are changed, and orders and costs have to follow.

    python3 -m workbook.takeoff BINARY FOLDER CASE...
"""

import math
import sys
from pathlib import Path

from workbook.evaluate import Workbook
from workbook.program import UNITS, answer, run

FIRST = 7
COLUMNS = {"number": "A", "item": "B", "need": "C", "unit": "D", "waste": "E", "piece": "F", "order": "G", "price": "I",
           "cost": "J"}


class Checker:
    def __init__(self, case):
        self.case, self.compared, self.wrong = case, 0, 0

    def same(self, where, got, wanted):
        self.compared += 1
        if got != wanted and not (isinstance(got, (int, float)) and isinstance(wanted, (int, float))
                                  and math.isclose(got, wanted, rel_tol=1e-9, abs_tol=1e-6)):
            self.wrong += 1
            print(f"{self.case} {where}: {got!r}, not {wanted!r}")


def lines_of(book):
    """Row of each line, by its number."""
    sheet = book.book["Take-off"]
    return {sheet.cell(row, 1).value: row for row in range(FIRST, sheet.max_row + 1)
            if isinstance(sheet.cell(row, 1).value, (int, float))}


def value(book, row, column):
    return book.value("Take-off", f"{COLUMNS[column]}{row}")


def check(binary, folder, case):
    checker = Checker(case)
    path = folder / f"{case.parent.name}.xlsx"
    done = run(binary, "takeoff", case, "-o", path, "--quiet")
    if done.returncode != 0:
        raise AssertionError(f"{case}: exit status {done.returncode}: {done.stderr.decode()}")
    book, told = Workbook(path), answer(binary, "takeoff", case)
    for sheet, cell, formula, stored in book.formulas():
        checker.same(f"{sheet}!{cell} {formula}", book.value(sheet, cell), stored)

    rows = lines_of(book)
    checker.same("lines", len(rows), len(told["lines"]))
    for number, line in enumerate(told["lines"], 1):
        row = rows[number]
        unit = book.book["Take-off"][f"D{row}"].value
        factor = 1 if unit == "each" else UNITS[line["unit"]] / UNITS[unit]
        checker.same(f"need of {line['name']}", value(book, row, "need"), line["quantity"] * factor)
        order = line["ordered"] * (1 if line["piece"] else factor)
        checker.same(f"order of {line['name']}", value(book, row, "order"), order)
        checker.same(f"cost of {line['name']}", value(book, row, "cost"), line["cost"] or 0)
    checker.same("cost", book.value("Take-off", "J4"), told["cost"])

    # Every price doubled: twice the cost. A waste of half: the orders by hand.
    before = book.value("Take-off", "J4")
    for row in rows.values():
        book.change("Take-off", f"I{row}", 2 * (book.book["Take-off"][f"I{row}"].value or 0))
    checker.same("cost at twice the prices", book.value("Take-off", "J4"), 2 * before)
    book.restore()
    for number, line in enumerate(told["lines"], 1):
        row = rows[number]
        if not line["piece"]:
            continue
        book.change("Take-off", f"E{row}", 50)
        need, piece = value(book, row, "need"), value(book, row, "piece")
        checker.same(f"order of {line['name']} with half wasted", value(book, row, "order"),
                     math.ceil(need * 1.5 / piece - 1e-9))
        book.restore()
    # An element more: its line counts one more.
    elements = book.book["Elements"]
    first = elements.cell(4, 1).value
    grown = value(book, rows[first], "need") + 7
    book.change("Elements", "E4", elements["E4"].value + 7)
    checker.same("need with more of an element", value(book, rows[first], "need"), grown)
    print(f"{case}: {checker.compared} compared, {checker.wrong} wrong")
    return checker.wrong


def main(binary, folder, *cases):
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    wrong = sum(check(binary, folder, Path(case)) for case in cases)
    # The same bytes, run after run.
    twice = []
    for name in ("once.xlsx", "again.xlsx"):
        run(binary, "takeoff", cases[0], "-o", folder / name, "--quiet")
        twice.append((folder / name).read_bytes())
    if twice[0] != twice[1]:
        print("two workbooks of the same case differ")
        wrong += 1
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
