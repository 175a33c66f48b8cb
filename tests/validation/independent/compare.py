"""Balances generated systems independently and compares the program's answers with it.

    python3 -m validation.independent.compare BINARY FOLDER [SEED ...]

Every gauge pressure (nozzles, points, inlets, outlets) has to agree to 1e-6 relative (+ 1e-6 psi, the closure's own limit), every
flow to 1e-6 relative (+ 1e-6 gpm); where a link carries so little that 1e-6 psi is worth more flow than that, its losses are
compared instead. The cases are written to FOLDER so that a difference can be looked at.
"""

from __future__ import annotations

import sys
from pathlib import Path

from generator.generate import generate
from generator.plain import write_case
from validation import program
from validation.independent.balance import METRIC, US, Balance, Run
from validation.independent.laws import GRAVITY
from validation.independent.systems import SYSTEMS

RELATIVE = 1e-6
PSI, GPM = US["pressure"], US["flow"]


def pairs(run: dict, balance: Balance, unit: dict):
    """(what, found, wanted, allowed) in SI for everything both sides know."""
    def pressures(table: str, field: str, wanted: dict):
        for name, value in wanted.items():
            row = run[table].get(name)
            found = None if row is None else row[field]
            yield f"{table} {name} {field}", None if found is None else found * unit["pressure"], value, 1e-6 * PSI

    yield from pressures("heads", "pressure", balance.nozzle)
    yield from pressures("points", "pressure", balance.pressure)
    for table in ("devices", "valves"):
        names = set(run[table])
        yield from pressures(table, "inlet", {k: v for k, v in balance.inlet.items() if k in names})
        yield from pressures(table, "outlet", {k: v for k, v in balance.outlet.items() if k in names})
    for table in ("supplies", "heads", "pipes", "devices", "valves"):
        for name, row in run[table].items():
            wanted = balance.flow.get((table, name))
            if wanted is None and table == "valves":       # a head's own valve bears the head's id
                wanted = balance.flow.get(("heads", name))
            yield f"{table} {name} flow", row["flow"] * unit["flow"], wanted or 0.0, 1e-6 * GPM


def differences(run: dict, balance: Balance, unit: dict, solved: Run) -> tuple[list[str], float, int]:
    """What disagrees, the largest relative difference of a pressure, and how many numbers were compared."""
    psi = PSI / (solved.density * GRAVITY)      # m
    laws = {f"{link.name[0]} {link.name[1]} flow": link.law for link in solved.links}
    wrong, worst, count = [], 0.0, 0
    for what, found, wanted, floor in pairs(run, balance, unit):
        count += 1
        if (found is None) != (wanted is None):
            wrong.append(f"{what}: program {found}, independent {wanted}")
        elif wanted is not None:
            miss = abs(found - wanted)
            if "flow" not in what and abs(wanted) > PSI:
                worst = max(worst, miss / abs(wanted))
            if miss > floor + RELATIVE * abs(wanted):
                if what in laws and abs(laws[what](found)[0] - laws[what](wanted)[0]) < 1e-6 * psi:
                    continue
                wrong.append(f"{what}: program {found:.9g}, independent {wanted:.9g} (SI; off by {found - wanted:.3g})")
    return wrong, worst, count


def compare(binary: str, folder: Path, seed: int, features) -> list[str]:
    plain = generate(seed, features)
    unit = US if plain["units"] == "us" else METRIC
    case = write_case(plain, folder / f"system-{seed}")
    answers = program.runs_by_id(program.check(binary, case))
    failures, worst, count = [], 0.0, 0
    for row in plain["runs"]:
        solved = Run(plain, row["valves"])
        wrong, most, compared = differences(answers[row["id"]], solved.solve(), unit, solved)
        failures += [f"system {seed}, run {row['id']}: {line}" for line in wrong]
        worst, count = max(worst, most), count + compared
    print(f"system {seed}: {len(plain['heads'])} heads, {len(plain['runs'])} runs, {count} numbers, "
          f"largest relative difference of a pressure {worst:.2g}, {len(failures)} disagree", flush=True)
    return failures


def main() -> int:
    binary, folder, wanted = sys.argv[1], Path(sys.argv[2]), {int(seed) for seed in sys.argv[3:]}
    failures = []
    for seed, features in SYSTEMS:
        if not wanted or seed in wanted:
            try:
                failures += compare(binary, folder, seed, features)
            except program.ProgramError as error:
                failures.append(f"system {seed}: {error}")
    print("\n".join(failures[:60]))
    print(f"{len(failures)} disagreements")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
