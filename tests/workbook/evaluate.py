"""Computes the formulas of a workbook anew, by a reader and a calculator that know nothing of the program.

Openpyxl cuts a formula into tokens; what is done with them is written here: operators in the order of ISO/IEC 29500-1, 18.17
(minus before ^, ^ from the left), and the few functions that the program uses. Anything else is an error.
"""

import math
import re

import openpyxl
from openpyxl.formula.tokenizer import Tokenizer

BINARY = [{"=", "<", ">", "<=", ">=", "<>"}, {"&"}, {"+", "-"}, {"*", "/"}, {"^"}]      # weakest first


class Cells(list):
    """The values of a range, row by row."""


class Workbook:
    def __init__(self, path):
        self.book = openpyxl.load_workbook(path)
        self.stored = openpyxl.load_workbook(path, data_only=True)
        self.names = {name.name: name.attr_text for name in self.book.defined_names.definedName}
        self.changed, self.known, self.parsed = {}, {}, {}

    def formulas(self):
        """(sheet, cell, formula, value that stands beside it) of every formula."""
        for sheet in self.book.worksheets:
            for row in sheet.iter_rows():
                for cell in row:
                    if cell.data_type == "f":
                        yield sheet.title, cell.coordinate, cell.value, self.stored[sheet.title][cell.coordinate].value

    def change(self, sheet, cell, value):
        """As somebody does who types a number into a cell."""
        self.changed[sheet, cell] = value
        self.known.clear()

    def restore(self):
        self.changed.clear()
        self.known.clear()

    def value(self, sheet, cell):
        key = sheet, cell
        if key not in self.known:
            self.known[key] = None      # a formula that comes back here has gone round
            if key in self.changed:
                value = self.changed[key]
            else:
                at = self.book[sheet][cell]
                value = at.value if at.value is not None else 0
                if at.data_type == "f":
                    value = self.calculate(sheet, at.value)
            self.known[key] = value
        if self.known[key] is None:
            raise ValueError(f"{sheet}!{cell} depends on itself")
        return self.known[key]

    def calculate(self, sheet, formula):
        if formula not in self.parsed:
            self.parsed[formula] = Parser(formula).parse()
        return self.run(sheet, self.parsed[formula])

    def run(self, sheet, node):
        kind, *parts = node
        if kind == "value":
            return parts[0]
        if kind == "range":
            return self.range(sheet, parts[0])
        if kind == "minus":
            return -self.run(sheet, parts[0])
        if kind == "call":
            return self.call(sheet, *parts)
        left, right = self.run(sheet, parts[1]), self.run(sheet, parts[2])
        return {"+": lambda: left + right, "-": lambda: left - right, "*": lambda: left * right, "/": lambda: left / right,
                "^": lambda: power(left, right), "&": lambda: text(left) + text(right), "=": lambda: left == right,
                "<>": lambda: left != right, "<": lambda: left < right, ">": lambda: left > right, "<=": lambda: left <= right,
                ">=": lambda: left >= right}[parts[0]]()

    def range(self, sheet, reference):
        reference = self.names.get(reference, reference)
        place = re.fullmatch(r"(?:'((?:[^']|'')*)'!|([^'!]+)!)?\$?([A-Z]+)\$?(\d+)(?::\$?([A-Z]+)\$?(\d+))?", reference)
        if not place:
            raise ValueError(f"no name and no cell: {reference}")
        quoted, plain, column, row, last_column, last_row = place.groups()
        of = quoted.replace("''", "'") if quoted is not None else plain or sheet
        if last_row is None:
            return self.value(of, column + row)
        if column != last_column:
            raise ValueError(f"more than one column: {reference}")
        return Cells(self.value(of, f"{column}{i}") if self.book[of][f"{column}{i}"].value is not None else None
                     for i in range(int(row), int(last_row) + 1))

    def call(self, sheet, name, arguments):
        if name == "IF":      # the way not taken may be one that cannot be computed
            return self.run(sheet, arguments[1 if self.run(sheet, arguments[0]) else 2])
        given = [self.run(sheet, argument) for argument in arguments]
        if name in ("MIN", "MAX"):
            return {"MIN": min, "MAX": max}[name](given)
        if name == "INDEX":
            cells = given[0] if isinstance(given[0], Cells) else Cells([given[0]])
            if given[1] != int(given[1]) or not 1 <= given[1] <= len(cells):
                raise ValueError(f"no row {given[1]} of {len(cells)}")
            return cells[int(given[1]) - 1]
        if name == "MATCH":      # the last that is not more
            below = [i + 1 for i, cell in enumerate(given[1]) if cell <= given[0]]
            if given[2] != 1 or not below or list(given[1]) != sorted(given[1]):
                raise ValueError("MATCH finds nothing")
            return below[-1]
        if name == "COUNTIF":
            limit = re.fullmatch(r"<(-?[\d.]+)", given[1])
            return sum(isinstance(cell, (int, float)) and cell < float(limit[1]) for cell in given[0])
        if name == "SUM":
            return sum(cell for cells in given for cell in cells if isinstance(cell, (int, float)))
        if name == "SUMIF":
            return sum(add for cell, add in zip(given[0], given[2], strict=True) if cell == given[1])
        if name == "ROUNDUP":
            return math.copysign(math.ceil(abs(given[0]) * 10 ** given[1]), given[0]) / 10 ** given[1]
        return {"ABS": abs, "LN": math.log, "LOG10": math.log10, "PI": lambda: math.pi, "OR": lambda *all: any(all),
                "ROUND": lambda number, digits: math.copysign(math.floor(abs(number) * 10 ** digits + 0.5), number) / 10 ** digits,
                "SIGN": lambda number: (number > 0) - (number < 0)}[name](*given)


def power(base, exponent):
    if base < 0 and exponent != int(exponent):
        raise ValueError(f"no power {exponent} of {base}")
    return base ** exponent


def text(value):
    return value if isinstance(value, str) else f"{value:.15g}"


class Parser:
    def __init__(self, formula):
        self.tokens = [token for token in Tokenizer(formula).items if token.type != "WHITE-SPACE"]
        self.formula = formula

    def parse(self):
        node = self.binary(0)
        if self.tokens:
            raise ValueError(f"{self.tokens[0].value} is left over of {self.formula}")
        return node

    def take(self):
        return self.tokens.pop(0)

    def binary(self, level):
        if level == len(BINARY):
            return self.unary()
        node = self.binary(level + 1)
        while self.tokens and self.tokens[0].type == "OPERATOR-INFIX" and self.tokens[0].value in BINARY[level]:
            node = ("binary", self.take().value, node, self.binary(level + 1))
        return node

    def unary(self):
        if self.tokens[0].type == "OPERATOR-PREFIX":
            if self.take().value != "-":
                raise ValueError(f"an unknown sign in {self.formula}")
            return ("minus", self.unary())
        return self.operand()

    def operand(self):
        token = self.take()
        if token.type == "OPERAND":
            if token.subtype == "NUMBER":
                return ("value", float(token.value))
            if token.subtype == "TEXT":
                return ("value", token.value[1:-1].replace('""', '"'))
            if token.subtype == "RANGE":
                return ("range", token.value)
        if token.type == "PAREN" and token.subtype == "OPEN":
            node = self.binary(0)
            self.close()
            return node
        if token.type == "FUNC" and token.subtype == "OPEN":
            arguments = []
            while not (self.tokens[0].type == "FUNC" and self.tokens[0].subtype == "CLOSE"):
                arguments.append(self.binary(0))
                if self.tokens[0].type == "SEP":
                    self.take()
            self.close()
            return ("call", token.value[:-1], arguments)
        raise ValueError(f"{token.value} in {self.formula}")

    def close(self):
        if self.take().subtype != "CLOSE":
            raise ValueError(f"a bracket is missing in {self.formula}")
