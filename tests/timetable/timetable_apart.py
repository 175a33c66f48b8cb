"""`evenhead timetable` on drawn parks, held to everything that can be found without it:

- run times by the published formulas from the printed rate and uniformity (references: run time = 60 depth / rate x
  multiplier; multiplier 1 / (0.4 + 0.6 DU_lq); longest cycle = 60 storage / (rate - intake));
- every zone gets its minutes in its nights, in cycles no longer than allowed with their soaks between;
- every moment is judged as a run of a case by `check`, and the heads of some moments are solved by SciPy;
- the bound is found again from its printed parts, and the linear programme is solved by SciPy over all sets of valves
  that brute force says are allowed;
- the longest night is at most 10 % longer than the bound.

usage: timetable_apart.py PROGRAM FOLDER [--parks N] [--zones N]
"""

from __future__ import annotations

import argparse
import math
import tomllib
from pathlib import Path

import numpy
from scipy.optimize import linprog

from timetable.apart import Apart, answer, judged, passes
from timetable.parks import park
from timetable.together_apart import brute

GAP = 0.10


def check_run_times(made: dict, case: dict) -> None:
    rows = {row["valve"]: row for row in case["watering"]}
    assert [zone["valve"] for zone in made["zones"]] == [row["valve"] for row in case["watering"]]
    for zone in made["zones"]:
        row = rows[zone["valve"]]
        need = row.get("need") or row["eto"] * row["coefficient"]
        nights = len(zone["days"])
        if isinstance(row["days"], int):
            assert nights == row["days"]
        else:
            assert zone["days"] == row["days"]
        multiplier = 1 / (0.4 + 0.6 * zone["du_lq"])
        exact = 60 * need / nights / zone["rate"] * multiplier
        assert abs(exact - zone["exact_minutes"]) < 1e-6 * exact, zone
        assert zone["minutes"] == math.ceil(exact - 1e-9), zone
        if "intake" in row and zone["rate"] > row["intake"]:
            longest = math.floor(60 * row["storage"] / (zone["rate"] - row["intake"]) + 1e-9)
            assert zone["longest_cycle"] == longest, zone
            assert zone["cycles"] == math.ceil(zone["minutes"] / longest)
        else:
            assert zone["longest_cycle"] is None and zone["cycles"] == 1


def check_openings(night: dict, zones: dict, rows: dict, window: dict) -> None:
    """Minutes, cycles and soaks of each zone; the runs are the same openings, seen minute by minute."""
    begin = 60 * int(window["from"][:2]) + int(window["from"][3:])
    by_valve: dict[str, list] = {}
    longer = {row["valve"]: row["minutes"] for row in night["longer"]}
    for opening in night["openings"]:
        by_valve.setdefault(opening["valve"], []).append((opening["start"], opening["end"]))
    assert set(by_valve) == {name for name, zone in zones.items() if set(night["days"]) <= set(zone["days"])}
    for name, times in by_valve.items():
        zone = zones[name]
        assert sum(end - start for start, end in times) == zone["minutes"] + longer.get(name, 0), name
        if zone["longest_cycle"] is None or zone["minutes"] <= zone["longest_cycle"]:
            continue
        intake = rows[name]["intake"]
        for (start, end), (again, _) in zip(times, times[1:]):
            assert (again - end) * intake >= (end - start) * (zone["rate"] - intake) - 1e-6, (name, times)
        assert max(end - start for start, end in times) <= zone["longest_cycle"], name
    minutes = {}
    for run in night["runs"]:
        assert begin <= run["start"] < run["end"] and run["valves"]
        for minute in range(run["start"], run["end"]):
            assert minute not in minutes
            minutes[minute] = set(run["valves"])
    for minute in range(begin, night["end"]):
        open_now = {name for name, times in by_valve.items() if any(a <= minute < b for a, b in times)}
        assert minutes.get(minute, set()) == open_now, minute
    assert night["start"] == begin and night["end"] == max(end for times in by_valve.values() for _, end in times)


def check_bound(night: dict, zones: dict, allowed: list[frozenset]) -> float:
    """The bound from its printed parts; the programme by SciPy, over the sets found by brute force."""
    parts = night["bound_parts"]
    names = [row["valve"] for row in parts["prices"]["zones"]]
    price = {row["valve"]: row["price"] for row in parts["prices"]["zones"]}
    exact = parts["prices"]["exact"]  # no zone runs longer than its minutes: then prices may be below 0
    assert exact == (not night["longer"])
    assert exact or all(value >= 0 for value in price.values())
    of_night = [of & set(names) for of in allowed if of <= set(names)]
    assert max(sum(price[name] for name in of) for of in of_night) <= parts["prices"]["most_together"] + 1e-9
    printed = [frozenset(of) for of in parts["prices"]["sets"]]
    assert set(printed) == {of for of in of_night if not any(of < other for other in of_night)}
    priced = sum(price[name] * zones[name]["minutes"] for name in names)
    assert abs(priced / parts["prices"]["most_together"] - parts["prices"]["bound"]) < 1e-6
    cover = numpy.array([[1.0 if name in of else 0.0 for of in of_night] for name in names])
    minutes = numpy.array([zones[name]["minutes"] for name in names])
    served = {"A_eq": cover, "b_eq": minutes} if exact else {"A_ub": -cover, "b_ub": -minutes}
    solved = linprog(numpy.ones(len(of_night)), **served, method="highs")
    assert solved.status == 0
    assert abs(solved.fun - parts["prices"]["bound"]) < 1e-4 * solved.fun, (solved.fun, parts["prices"]["bound"])
    longest = zones[parts["longest_zone"]["valve"]]
    span = longest["minutes"]
    if longest["longest_cycle"] and span > longest["longest_cycle"]:
        span += math.ceil((span - longest["longest_cycle"]) * longest["soak_share"] - 1e-9)
    assert span == parts["longest_zone"]["bound"]
    apart = [row["valve"] for row in parts["apart"]["zones"]]
    assert not any(len(of & set(apart)) > 1 for of in of_night)
    assert sum(zones[name]["minutes"] for name in apart) == parts["apart"]["bound"]
    bound = max(math.ceil(parts["prices"]["bound"] - 1e-6), span, parts["apart"]["bound"])
    assert bound == night["bound"]
    assert night["end"] - night["start"] == night["length"] >= bound
    gap = night["length"] / bound - 1
    assert abs(gap - night["gap"]) < 1e-12
    return gap


def check_park(program: str, seed: int, count: int, folder: Path) -> tuple[float, int, int]:
    text = park(seed, count, groups=seed % 3 == 0)
    case = tomllib.loads(text)
    path = folder / f"night{seed}.toml"
    path.write_text(text, encoding="utf-8")
    made = answer(program, "timetable", str(path))
    if made["never"]:
        assert not made["ok"] and made["runs"] == [] and made["start"] is None
        return 0.0, 0, 0
    rows = {row["valve"]: row for row in case["watering"]}
    zones = {zone["valve"]: zone for zone in made["zones"]}
    check_run_times(made, case)
    allowed, _, _ = brute(program, text, folder, [row["id"] for row in case["valves"]])
    worst, heads = 0.0, 0
    for night in made["nights"]:
        check_openings(night, zones, rows, made["window"])
        worst = max(worst, check_bound(night, zones, allowed))
        for run, ours in zip(judged(program, text, folder, [run["valves"] for run in night["runs"]]), night["runs"]):
            assert passes(run), (seed, ours)
            assert abs(run["flow"] - ours["flow"]) < 1e-6 * run["flow"]
            for supply, printed in zip(run["supplies"], ours["supplies"]):
                assert abs(supply["flow"] - printed["flow"]) < 1e-6 * run["flow"]
    longest = max(made["nights"], key=lambda night: night["length"])
    assert longest["runs"] == made["runs"] and longest["bound"] == made["bound"]
    groups: dict[str, set] = {}
    for zone in made["zones"]:
        if zone["group"]:
            groups.setdefault(zone["group"], set()).update(zone["days"])
    for name, days in groups.items():
        assert not any(days & other for other_name, other in groups.items() if other_name != name), "groups share a day"
    fits = made["beyond"] == 0
    assert made["ok"] == fits and made["beyond"] == max(0, longest["length"] - made["window"]["minutes"])
    limits = {row["id"]: (row["min"], row["max"]) for row in case["nozzles"]}
    nozzle = {row["id"]: row["nozzle"] for row in case["heads"]}
    apart = Apart(text, folder)
    largest = max(made["runs"], key=lambda run: run["flow"])
    for head, pressure in apart.nozzle_pressures(largest["valves"]).items():
        low, high = limits[nozzle[head]]
        assert low - 1e-4 <= pressure <= high + 1e-4, (seed, largest, head, pressure)
        heads += 1
    return worst, len(made["nights"]), heads


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("program")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--parks", type=int, default=16)
    parser.add_argument("--first", type=int, default=1)
    parser.add_argument("--zones", type=int, default=8)
    given = parser.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    nights = heads = 0
    gaps = []
    for seed in range(given.first, given.first + given.parks):
        gap, planned, solved = check_park(given.program, seed, given.zones - seed % 3, given.folder)
        nights, heads = nights + planned, heads + solved
        if planned:
            gaps.append(gap)
    print(f"{given.parks} parks: {nights} nights, {heads} heads by SciPy; gaps " + " ".join(f"{100 * gap:.1f}" for gap in gaps) + " %")
    assert nights > 0 and heads > 0
    assert max(gaps) <= GAP, f"a night is {100 * max(gaps):.1f} % longer than its bound"


if __name__ == "__main__":
    main()
