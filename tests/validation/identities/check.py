"""Identities that hold for every case, whatever its numbers.

    python3 -m validation.identities.check BINARY FOLDER CASE... | --generated COUNT

Of the answer itself: water balances at every point, device and valve; pressures and losses add up along every pipe and so round every
loop, in all runs alike. Of the answer to a changed case: rows in another order, pipes turned round, pipes split in two, a pipe as
two equal parallel ones (Hazen-Williams), the other unit system change nothing; a stronger supply lowers no head's pressure.
"""

from __future__ import annotations

import json
import subprocess
import sys
from functools import lru_cache
from pathlib import Path

from generator.generate import generate
from generator.plain import write_case
from validation import program
from validation.identities import transforms
from validation.identities.case_rows import Case
from validation.independent.systems import SYSTEMS

UNITS = {"psi": 6894.757293168361, "kPa": 1e3, "gpm": 231 * 0.0254**3 / 60, "L/min": 1e-3 / 60}
# Two answers that both close (1e-6 psi for an element) may differ by some elements' worth along the way.
PRESSURE, FLOW, RELATIVE = 2e-5 * UNITS["psi"], 1e-5 * UNITS["gpm"], 1e-6


class Answer:
    """The answer to one case in SI."""

    def __init__(self, binary: str, case: Path):
        answer = program.check(binary, case)
        self.pressure, self.flow = (UNITS[answer["units"][name]] for name in ("pressure", "flow"))
        self.runs = program.runs_by_id(answer)

    def table(self, run: str, table: str, field: str) -> dict[str, float | None]:
        unit = self.flow if field == "flow" else self.pressure
        return {name: None if row[field] is None else row[field] * unit for name, row in self.runs[run][table].items()}


def near(a: float | None, b: float | None, absolute: float) -> bool:
    if a is None or b is None:
        return a is b
    return abs(a - b) <= absolute + RELATIVE * max(abs(a), abs(b))


# ---- the answer itself -------------------------------------------------------------------------------------------

def flow_balance(answer: Answer) -> list[str]:
    wrong = []
    for name, run in answer.runs.items():
        into: dict[str, float] = {}
        largest: dict[str, float] = {}
        inlet: dict[str, float] = {}

        def add(point: str, flow: float) -> None:
            into[point] = into.get(point, 0.0) + flow
            largest[point] = max(largest.get(point, 0.0), abs(flow))

        for pipe in run["pipes"].values():
            add(pipe["from"], -pipe["flow"])
            add(pipe["to"], pipe["flow"])
            inlet[pipe["to"]] = inlet.get(pipe["to"], 0.0) + pipe["flow"]
        for supply in run["supplies"].values():
            add(supply["id"], supply["flow"])
        for head in run["heads"].values():
            add(head["id"], -head["flow"])
        floor = 1e-9 * UNITS["gpm"] / answer.flow
        wrong += [f"run {name}: {rest!r} is left over at {point}" for point, rest in into.items()
                  if abs(rest) > 1.001e-9 * largest[point] + floor]
        for table in ("devices", "valves"):             # a head's own valve has no sides of its own
            wrong += [f"run {name}: {row['id']} passes {row['flow']!r}, its inlet pipes bring {inlet.get(row['id'])!r}"
                      for row in run[table].values() if row["id"] in inlet and row["id"] not in run["heads"]
                      and abs(abs(inlet[row["id"]]) - abs(row["flow"])) > 1.001e-9 * abs(row["flow"]) + floor]
        heads, supplies = (sum(row["flow"] for row in run[table].values()) for table in ("heads", "supplies"))
        if abs(heads - run["flow"]) > 1e-8 * abs(heads) + floor or abs(heads - supplies) > 1e-7 * abs(heads) + 100 * floor:
            wrong.append(f"run {name}: heads give {heads!r}, supplies bring {supplies!r}, the run says {run['flow']!r}")
    return wrong


def loop_sums(answer: Answer, case: Case) -> list[str]:
    """p(from) - p(to) - loss is the difference of elevation: the same round every loop, in every run, and as the case gives it."""
    closed = {row["id"] for row in case.tables.get("pipes", []) if case.value("pipes", row, "closed")}
    gates = {row["id"] for row in case.tables.get("devices", []) if row.get("type") == "gate"}
    rises: list[tuple[str, str, float, str]] = []
    for name, run in answer.runs.items():
        def pressure(point: str, side: str) -> float | None:
            for table in ("devices", "valves"):
                if point in run[table] and point not in run["heads"]:
                    return run[table][point][side]
            return run["points"][point]["pressure"] if point in run["points"] else None
        for pipe in run["pipes"].values():
            start, end = pressure(pipe["from"], "outlet"), pressure(pipe["to"], "inlet")
            if None not in (start, end) and pipe["id"] not in closed and not {pipe["from"], pipe["to"]} & gates:
                rises.append((pipe["from"], pipe["to"], (start - end - pipe["loss"]) * answer.pressure,
                              f"run {name}: pipe {pipe['id']}"))
    neighbours: dict[str, list[tuple[str, float]]] = {}
    for start, end, rise, _ in rises:
        neighbours.setdefault(start, []).append((end, rise))
        neighbours.setdefault(end, []).append((start, -rise))
    height: dict[str, float] = {}
    part: dict[str, str] = {}
    for first in neighbours:
        if first in height:
            continue
        height[first], stack = 0.0, [first]
        while stack:
            point = stack.pop()
            part[point] = first
            for other, rise in neighbours[point]:
                if other not in height:
                    height[other] = height[point] + rise
                    stack.append(other)
    wrong = [f"{what}: {rise:.6f} Pa from {start} to {end}, {height[end] - height[start]:.6f} Pa by another way"
             for start, end, rise, what in rises if abs(height[end] - height[start] - rise) > PRESSURE]
    given = {str(row["id"]): row["elev"] for table in ("supplies", "devices", "valves", "heads", "points")
             for row in case.tables.get(table, []) if isinstance(row.get("elev"), (int, float)) and str(row["id"]) in height}
    pairs = [(given[point] - given[first], height[point] - height[first], point)
             for point, first in ((p, next(q for q in given if part[q] == part[p])) for p in given)]
    if pairs and max(abs(rise) for rise, _, _ in pairs) > 0:
        rise, pascal, _ = max(pairs, key=lambda pair: abs(pair[0]))
        wrong += [f"{point} stands {step} higher in the case, {found:.6f} Pa in the answer (others {pascal / rise:.6f} a unit)"
                  for step, found, point in pairs if abs(step * pascal / rise - found) > 2 * PRESSURE]
    return wrong


def drop(answer: Answer, run: str, table: str, name: str) -> float | None:
    row = answer.runs[run][table][name]
    if table == "pipes":
        return abs(row["loss"]) * answer.pressure
    return None if None in (row["inlet"], row["outlet"]) else abs(row["inlet"] - row["outlet"]) * answer.pressure


def slight(one: Answer, other: Answer, run: str, table: str, name: str, before: float, after: float) -> bool:
    """A trickle (below 0.001 gpm) in a ring of hardly any loss: no loss of its links can tell the two flows apart."""
    if table not in ("pipes", "devices", "valves") or max(abs(before), abs(after)) > 1e-3 * UNITS["gpm"]:
        return False
    drops = drop(one, run, table, name), drop(other, run, table, name)
    return None not in drops and abs(drops[0] - drops[1]) <= 1e-6 * UNITS["psi"]


# ---- the answer to a changed case --------------------------------------------------------------------------------

def same(one: Answer, other: Answer, turned: frozenset | set = frozenset(), twins: frozenset | set = frozenset()) -> list[str]:
    """Where two answers differ, but for the pipes that were turned round and those that have a twin beside them now."""
    wrong = []
    for run in one.runs:
        for table, fields in (("heads", ("pressure", "flow")), ("points", ("pressure",)), ("supplies", ("flow", "pressure")),
                              ("devices", ("inlet", "outlet", "flow")), ("valves", ("inlet", "outlet", "flow")),
                              ("pipes", ("flow",))):
            for field in fields:
                before, after = one.table(run, table, field), other.table(run, table, field)
                for name, value in before.items():
                    if name not in after:
                        wrong.append(f"run {run}: {table} {name} is gone")
                        continue
                    if table == "pipes" and name in turned:
                        value = -value
                    elif table == "pipes" and name in twins:
                        half, other_half = after[name], after[f"{name}~2"]
                        after[name] = half + other_half
                        if abs(one.runs[run]["pipes"][name]["loss"]) * one.pressure > 0.01 * UNITS["psi"] and not near(half, other_half, FLOW):
                            wrong.append(f"run {run}: twins {name} carry {half} and {other_half} (SI)")
                    if field == "flow" and slight(one, other, run, table, name, value, after[name]):
                        continue
                    if not near(value, after[name], FLOW if field == "flow" else PRESSURE):
                        wrong.append(f"run {run}: {table} {name} {field} was {value}, became {after[name]} (SI)")
    return wrong


def never_lower(one: Answer, other: Answer) -> list[str]:
    return [f"run {run}: head {name} fell from {before} to {after} Pa"
            for run in one.runs for (name, before), after in
            zip(one.table(run, "heads", "pressure").items(), other.table(run, "heads", "pressure").values())
            if before is not None and (after is None or after < before - PRESSURE)]


def catalogue_of(binary: str):
    """Bore (in) and C of a catalogued size, from the program's own catalogue."""
    @lru_cache
    def kind(name: str) -> dict | None:
        done = subprocess.run([binary, "kinds", name, "--format", "json"], capture_output=True, text=True, check=False)
        return json.loads(done.stdout) if done.returncode == 0 else None

    def find(size: str) -> tuple[float, float] | None:
        name, _, nominal = size.partition(" ")
        data = kind(name)
        for row in (data or {}).get("sizes", []):
            if row["nominal"] == nominal:
                return row["bore"] / (1 if data["units"]["length"] == "in" else 25.4), data["c"]
        return None
    return find


def check_case(binary: str, path: Path, folder: Path) -> tuple[list[str], int]:
    """What breaks, and how many changed cases were solved."""
    case = Case.read(path)
    base = Answer(binary, path)
    wrong = [f"flow balance: {line}" for line in flow_balance(base)] + [f"loop sums: {line}" for line in loop_sums(base, case)]
    turned, turned_names = transforms.reversed_pipes(case)
    halves, _ = transforms.halved(case)
    twins, twin_names = transforms.doubled(case, catalogue_of(binary))
    changed = {
        "as read": (case, lambda a: same(base, a)),
        "renumbered": (transforms.renumbered(case), lambda a: same(base, a)),
        "reversed": (turned, lambda a: same(base, a, turned=turned_names)),
        "halved": (halves, lambda a: same(base, a)),
        "doubled": (twins, lambda a: same(base, a, twins=twin_names)),
        "other units": (transforms.in_other_units(case), lambda a: same(base, a)),
        "raised": (transforms.raised(case, 5), lambda a: never_lower(base, a)),
    }
    for name, (variant, compare) in changed.items():
        try:
            answer = Answer(binary, variant.write(folder / name.replace(" ", "-")))
            wrong += [f"{name}: {line}" for line in compare(answer)]
        except program.ProgramError as error:
            wrong.append(f"{name}: {error}")
    return wrong, len(changed)


def main() -> int:
    binary, folder, wanted = sys.argv[1], Path(sys.argv[2]), sys.argv[3:]
    if wanted[0] == "--generated":
        cases = [write_case(generate(seed, features), folder / f"system-{seed}")
                 for seed, features in SYSTEMS[:int(wanted[1])]]
    else:
        cases = [Path(case) for case in wanted]
    failures = 0
    for path in cases:
        try:
            wrong, count = check_case(binary, path, folder / path.parent.name)
        except program.ProgramError as error:
            wrong, count = [str(error)], 0
        failures += len(wrong)
        print("\n".join(f"{path.parent.name}: {line}" for line in wrong[:20]) +
              f"{chr(10) if wrong else ''}{path.parent.name}: {count} changed cases solved, {len(wrong)} differences", flush=True)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
