"""`evenhead together` on drawn parks against brute force: every set of valves there is, each judged as a run of a case;
maximal and smallest sets found anew by other code, and the greatest flow of every pipe of the mainline. Heads of the
largest sets are solved once more by SciPy and held to their nozzles' limits.

usage: together_apart.py PROGRAM FOLDER [--parks N] [--zones N]
"""

from __future__ import annotations

import argparse
import itertools
import subprocess
import tomllib
from pathlib import Path

from timetable.apart import Apart, answer, judged, passes
from timetable.parks import park


def brute(program: str, case: str, folder: Path, valves):
    """Allowed sets, blocked sets, and the greatest flow of each pipe in any allowed set."""
    sets = [of for count in range(1, len(valves) + 1) for of in itertools.combinations(valves, count)]
    allowed, blocked, flow = [], [], {}
    for of, run in zip(sets, judged(program, case, folder, sets)):
        (allowed if passes(run) else blocked).append(frozenset(of))
        if passes(run):
            for pipe in run["pipes"]:
                flow[pipe["id"]] = max(flow.get(pipe["id"], 0.0), abs(pipe["flow"]))
    return allowed, blocked, flow


def compare(program: str, seed: int, zones: int, folder: Path) -> tuple[int, int]:
    case = park(seed, zones)
    path = folder / f"park{seed}.toml"
    path.write_text(case, encoding="utf-8")
    valves = [row["id"] for row in tomllib.loads(case)["valves"]]
    ours = answer(program, "together", str(path))
    allowed, blocked, flow = brute(program, case, folder, valves)
    assert ours["every"] and ours["tried"] == 2 ** len(valves) - 1
    maximal = {of for of in allowed if not any(of < other for other in allowed)}
    assert {frozenset(of) for of in ours["sets"]} == maximal, f"seed {seed}: not the maximal sets"
    assert ours["largest"] == max((len(of) for of in allowed), default=0)
    smallest = {of for of in blocked if not any(other < of for other in blocked)}
    assert {frozenset(row["valves"]) for row in ours["blocked"]} == smallest, f"seed {seed}: not the smallest blocked"
    for row in ours["blocked"]:
        assert row.get("error") or any(finding["fails"] for finding in row["findings"]), row
    for branch in ours["branches"]:
        expected = flow.get(branch["pipe"], 0.0)
        assert abs(branch["flow"] - expected) <= 1e-6 * max(1.0, expected), (seed, branch, expected)
    # By growing sets: what is tried must be the same wherever nothing is left out, since these parks have no heads
    # that want less pressure.
    grown = answer(program, "together", str(path), "--most", str(2 ** len(valves) - 2))
    assert not grown["every"]
    if grown["complete"]:
        assert {frozenset(of) for of in grown["sets"]} == maximal, f"seed {seed}: grown sets differ"
        assert {frozenset(row["valves"]) for row in grown["blocked"]} == smallest, f"seed {seed}: grown blocked differ"
    limits = {row["id"]: (row["min"], row["max"]) for row in tomllib.loads(case)["nozzles"]}
    nozzle = {row["id"]: row["nozzle"] for row in tomllib.loads(case)["heads"]}
    apart, heads = Apart(case, folder), 0
    for of in ours["sets"][:2]:
        for head, pressure in apart.nozzle_pressures(of).items():
            low, high = limits[nozzle[head]]
            assert low - 1e-4 <= pressure <= high + 1e-4, (seed, of, head, pressure)
            heads += 1
    return len(allowed) + len(blocked), heads


def budget(program: str, folder: Path) -> None:
    """Where not all can be tried, it is said; what is said allowed is, and the same on any threads."""
    case = park(5, 12)
    path = folder / "many.toml"
    path.write_text(case, encoding="utf-8")
    arguments = [program, "together", str(path), "--format", "json", "--most", "150"]
    texts = {subprocess.run([*arguments, "--threads", threads], capture_output=True, timeout=600).stdout for threads in "124"}
    assert len(texts) == 1, "not the same on any threads"
    ours = answer(program, "together", str(path), "--most", "150")
    assert not ours["every"] and not ours["complete"] and 135 <= ours["tried"] <= 150, ours["tried"]
    for run in judged(program, case, folder, ours["sets"]):
        assert passes(run), run["id"]
    for run in judged(program, case, folder, [row["valves"] for row in ours["blocked"]] or [["V0"]]):
        assert not ours["blocked"] or not passes(run), run["id"]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("program")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--parks", type=int, default=16)
    parser.add_argument("--zones", type=int, default=6)
    given = parser.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    sets = heads = 0
    for seed in range(1, given.parks + 1):
        tried, solved = compare(given.program, seed, given.zones - seed % 2, given.folder)
        sets, heads = sets + tried, heads + solved
    assert heads > 0
    budget(given.program, given.folder)
    print(f"{given.parks} parks: {sets} sets by brute force, {heads} heads by SciPy")


if __name__ == "__main__":
    main()
