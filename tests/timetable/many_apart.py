"""`evenhead timetable` where not every set of valves is tried, on drawn estates:

- small ones, all of whose sets are judged here one by one by `check`, with a budget of balances far below their number:
  no set within limits may be dearer than what is printed, and no bound above SciPy's linear programme over all of them;
- larger ones: the bound is added up again from its printed parts, the programme over the printed sets is solved by
  SciPy, drawn sets within limits are held to the prices, every moment of the night is judged by `check`, and the
  heads of the fullest are solved by SciPy; the night is at most 10 % longer than its bound.

usage: many_apart.py PROGRAM FOLDER [--small N] [--zones N]
"""

from __future__ import annotations

import argparse
import math
import random
import tomllib
from pathlib import Path

import numpy
from scipy.optimize import linprog

from timetable.apart import Apart, answer, judged, passes
from timetable.estates import KINDS, estate
from timetable.together_apart import brute

GAP = 0.10


def programme(sets, minutes: dict[str, int]):
    """The least minutes in which sets give each zone its own."""
    cover = numpy.array([[1.0 if name in of else 0.0 for of in sets] for name in minutes])
    return linprog(numpy.ones(len(sets)), A_eq=cover, b_eq=list(minutes.values()), method="highs")


def added_up(night: dict) -> tuple[dict[str, float], dict[str, int]]:
    """Prices and minutes by valve; the bound from nothing but what is printed."""
    parts = night["bound_parts"]
    prices, longest, apart = parts["prices"], parts["longest_zone"], parts["apart"]
    priced = sum(row["price"] * row["minutes"] for row in prices["zones"]) / prices["most_together"]
    assert abs(priced - prices["bound"]) < 1e-6
    bound = max(math.ceil(priced - 1e-6), longest["minutes"] + longest["soak"], sum(row["minutes"] for row in apart["zones"]))
    assert bound == night["bound"] <= night["length"] == night["end"] - night["start"]
    assert abs(night["length"] / bound - 1 - night["gap"]) < 1e-12
    return ({row["valve"]: row["price"] for row in prices["zones"]}, {row["valve"]: row["minutes"] for row in prices["zones"]})


def check_small(program: str, seed: int, folder: Path) -> int:
    """How many sets were held to the prices."""
    count, kind = 6 + seed % 3, KINDS[seed % len(KINDS)]
    text = estate(seed, count, kind, (40, 60, 90)[seed % 3])
    path = folder / "small.toml"
    path.write_text(text, encoding="utf-8")
    allowed, held = None, 0
    for most in (count + 6, count * count // 2 + 8):
        made = answer(program, "timetable", str(path), "--most", str(most))
        if made["never"]:
            return 0
        allowed = allowed or brute(program, text, folder, [f"V{z}" for z in range(count)])[0]
        for night in made["nights"]:
            parts = night["bound_parts"]
            price, minutes = added_up(night)
            dearest = max(sum(price[name] for name in of) for of in allowed)
            assert not parts["prices"]["every_set"]
            assert dearest <= parts["prices"]["most_together"] * (1 + 1e-9), (seed, kind, most, dearest)
            solved = programme(allowed, minutes)
            if solved.status == 0:
                assert parts["prices"]["bound"] <= solved.fun + 1e-6 and night["length"] >= solved.fun - 1e-6, (seed, kind, most)
            apart = {row["valve"] for row in parts["apart"]["zones"]}
            assert not any(len(of & apart) > 1 for of in allowed), (seed, kind, apart)
            held += len(allowed)
    return held


def check_large(program: str, seed: int, count: int, kind: str, folder: Path) -> float:
    """The gap."""
    text = estate(seed, count, kind, 60)
    path = folder / f"{kind}.toml"
    path.write_text(text, encoding="utf-8")
    made = answer(program, "timetable", str(path), "--most", "3000")
    assert not made["never"], (kind, made["never"])
    draw, names, gap = random.Random(seed), [row["valve"] for row in made["zones"]], 0.0
    drawn = [tuple(draw.sample(names, draw.randint(2, 7))) for _ in range(400)]
    within = [of for of, run in zip(drawn, judged(program, text, folder, drawn)) if passes(run)]
    assert within
    for night in made["nights"]:
        prices = night["bound_parts"]["prices"]
        assert not prices["every_set"]
        price, minutes = added_up(night)
        for of in within:
            assert sum(price[name] for name in of) <= prices["most_together"] * (1 + 1e-9), (kind, of)
        solved = programme(prices["sets"], minutes)
        assert solved.status == 0
        assert abs(solved.fun / prices["most_together"] - prices["bound"]) < 1e-4 * solved.fun, (kind, solved.fun, prices["bound"])
        for run, ours in zip(judged(program, text, folder, [run["valves"] for run in night["runs"]]), night["runs"]):
            assert passes(run), (kind, ours["valves"])
        gap = max(gap, night["gap"])
    limits = {row["id"]: (row["min"], row["max"]) for row in tomllib.loads(text)["nozzles"]}
    nozzle = {row["id"]: row["nozzle"] for row in tomllib.loads(text)["heads"]}
    fullest = max(made["runs"], key=lambda run: run["flow"])["valves"]
    for head, pressure in Apart(text, folder).nozzle_pressures(fullest).items():
        low, high = limits[nozzle[head]]
        assert low - 1e-4 <= pressure <= high + 1e-4, (kind, fullest, head, pressure)
    return gap


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("program")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--small", type=int, default=16)
    parser.add_argument("--zones", type=int, default=20)
    parser.add_argument("--large", default="tree ring")
    given = parser.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    held = sum(check_small(given.program, seed, given.folder) for seed in range(1, given.small + 1))
    gaps = {kind: check_large(given.program, 1, given.zones, kind, given.folder) for kind in given.large.split()}
    print(f"{given.small} small estates, {held} sets held to prices; gaps of larger ones "
          + ", ".join(f"{kind} {100 * gap:.1f} %" for kind, gap in gaps.items()))
    assert held > 0 and gaps
    assert max(gaps.values()) <= GAP


if __name__ == "__main__":
    main()
