"""Compares one validation folder with what the program answers.

    python3 -m validation.run_case FOLDER BINARY

The folder holds `case.toml` and `expected.json`:

    { "exit": 0,                    optional: the exit status wanted; without it 0 or 1
      "xfail": "why",               optional: known to disagree; the test then fails as soon as it agrees
      "checks": [ { "run": "all",
                    "each": "{pipes.*.loss} / 0.4331",      .*. stands for the ids of `values`
                    "relative": 0.025, "absolute": 0.001,   allowed: absolute + relative x |value|
                    "reason": "where the tolerance comes from",
                    "values": { "1-at-5-gpm": 1.52 } },
                  { "run": "all", "what": "{supplies.A.flow}", "value": 2.5, "absolute": 1e-6, "reason": "..." } ] }

An expression is arithmetic (+ - * / **, brackets, numbers) on results written {table.id.field}; run fields are {run.flow}.
"""

from __future__ import annotations

import ast
import json
import math
import operator
import re
import sys
from pathlib import Path

from validation import program

OPERATORS = {ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv,
             ast.Pow: operator.pow, ast.USub: operator.neg}


def result(run: dict, reference: str) -> float:
    """The number that `table.id.field` (or `run.field`) names; an id may hold dots itself."""
    table, rest = reference.split(".", 1)
    if table == "run":
        return float(run[rest])
    identity, field = rest.rsplit(".", 1)
    value = run[table][identity][field]
    if value is None:
        raise KeyError(f"{reference} has no value")
    return float(value)


def evaluate(expression: str, run: dict) -> float:
    """Arithmetic on results of one run."""
    values: list[float] = []

    def keep(match: re.Match) -> str:
        values.append(result(run, match.group(1)))
        return f"_{len(values) - 1}"

    def walk(node: ast.AST) -> float:
        if isinstance(node, ast.Constant):
            return float(node.value)
        if isinstance(node, ast.Name):
            return values[int(node.id[1:])]
        if isinstance(node, ast.BinOp):
            return OPERATORS[type(node.op)](walk(node.left), walk(node.right))
        if isinstance(node, ast.UnaryOp):
            return OPERATORS[type(node.op)](walk(node.operand))
        raise ValueError(f"not arithmetic: {expression}")

    return walk(ast.parse(re.sub(r"\{([^{}]+)\}", keep, expression), mode="eval").body)


def lines_of(checks: list[dict]):
    """(run, expression, value, allowed) for every single comparison."""
    for check in checks:
        if not check.get("reason"):
            raise ValueError(f"a tolerance without a reason: {check}")
        values = check.get("values") or {"": check["value"]}
        for identity, value in values.items():
            expression = check["what"] if "what" in check else check["each"].replace(".*.", f".{identity}.")
            allowed = check.get("absolute", 0) + check.get("relative", 0) * abs(value)
            yield check["run"], expression, value, allowed


def compare(folder: Path, binary: str) -> tuple[list[str], int]:
    """What disagrees, and how many numbers were compared."""
    expected = json.loads((folder / "expected.json").read_text(encoding="utf-8"))
    accept = (expected["exit"],) if "exit" in expected else (0, 1)
    answer = program.check(binary, folder / "case.toml", accept=accept)
    runs = program.runs_by_id(answer)
    wrong, count = [], 0
    for run, expression, value, allowed in lines_of(expected["checks"]):
        count += 1
        try:
            found = evaluate(expression, runs[run])
        except KeyError as error:
            wrong.append(f"run {run}: {expression}: {error} is not in the answer")
            continue
        if not (math.isfinite(found) and abs(found - value) <= allowed):
            wrong.append(f"run {run}: {expression} is {found!r}, published {value!r} +- {allowed:.3g} "
                         f"(off by {found - value:.6g})")
    if count == 0:
        wrong.append("expected.json compares nothing")
    return wrong, count


def main() -> int:
    folder, binary = Path(sys.argv[1]), sys.argv[2]
    xfail = json.loads((folder / "expected.json").read_text(encoding="utf-8")).get("xfail")
    try:
        wrong, count = compare(folder, binary)
    except program.ProgramError as error:
        print(error)        # never what an xfail means
        return 1
    for line in wrong:
        print(line)
    if xfail:
        print(f"known to disagree: {xfail}" if wrong else "agrees although expected.json says xfail: take the mark out")
        return 0 if wrong else 1
    print(f"{folder.name}: {count - len(wrong)} of {count} numbers agree")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
