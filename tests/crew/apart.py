"""The crew's sheets found a second time, from the case's file alone and by other means.

    python3 -m crew.apart BINARY CASE... [--drawn COUNT]

Crossings and lengths by Shapely (GEOS); wire by the geometry of AWG (ASTM B258) and the standard resistivity of copper
(IEC 60028), along ways found here; volumes from the standards' diameters, what drains by cutting every pipe into
thousands of slices; the order of flushing by ways found here. Cases are read by cases/plain_case.py. The drawn ones are made by
takeoff/draw.py, whose pipes cross at every angle.
"""

import argparse
import csv
import heapq
import io
import json
import math
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import shapely.geometry as shapes

from takeoff.draw import draw
from takeoff.plain import Case

FOOT = 0.3048
GALLON = 231 * 0.0254 ** 3
faults = []


def check(name, right, words=""):
    if not right:
        faults.append(f"{name}: {words}")


def near(one, other, tolerance):
    return abs(one - other) <= tolerance * max(1, abs(one), abs(other))


def sheets(program, path, *options):
    ended = subprocess.run([program, "sheets", path, "--format", "json", "--quiet", *options], capture_output=True, text=True, timeout=300)
    if ended.returncode not in (0, 3):
        raise RuntimeError(f"{path}: {ended.stderr}")
    merged = {}
    for sheet in json.loads(ended.stdout)["sheets"]:
        merged.update({key: rows for key, rows in sheet.items() if isinstance(rows, list)})
    return merged


def ways(pipes, sources):
    """Shortest ways along pipes, in the unit of the case."""
    beside = {}
    for pipe in pipes:
        beside.setdefault(pipe["from"], []).append((pipe["to"], pipe["length"]))
        beside.setdefault(pipe["to"], []).append((pipe["from"], pipe["length"]))
    found, previous, heap = {}, {}, [(0.0, source, None) for source in sources]
    while heap:
        far, point, before = heapq.heappop(heap)
        if point in found:
            continue
        found[point], previous[point] = far, before
        for other, length in beside.get(point, []):
            if other not in found:
                heapq.heappush(heap, (far + length, other, point))
    return found, previous


def crossings(name, case, said):
    """Pairs of lines that GEOS finds crossing, but for points that both end at."""
    lines = {pipe["id"]: shapes.LineString([case.place[pipe["from"]], case.place[pipe["to"]]]) for pipe in case.pipes
             if pipe["from"] in case.place and pipe["to"] in case.place and case.place[pipe["from"]] != case.place[pipe["to"]]}
    ends = {pipe["id"]: {pipe["from"], pipe["to"]} for pipe in case.pipes}
    ids, expected = list(lines), {}
    for i, one in enumerate(ids):
        for other in ids[i + 1:]:
            met = lines[one].intersection(lines[other])
            if met.is_empty or met.geom_type != "Point":
                continue
            common = [case.place[point] for point in ends[one] & ends[other] if point in case.place]
            if any(math.hypot(met.x - x, met.y - y) < 1e-5 for x, y in common):
                continue
            expected[frozenset((one, other))] = (met.x, met.y)
    found = {frozenset((row["over"], row["under"])): (row["x"], row["y"]) for row in said["crossings"]}
    # Ends that lie on another line only by rounding are met by one and missed by the other: left out of both.
    def doubtful(pair):
        one, other = pair
        return any(lines[a].distance(shapes.Point(case.place[end])) < 1e-4 for a, b in ((one, other), (other, one))
                   for end in ends[b] - ends[a] if end in case.place)
    sure = {pair for pair in expected if not doubtful(pair)}
    check(name, sure == {pair for pair in found if not doubtful(pair)},
          f"crossings: {sorted(map(sorted, sure ^ {pair for pair in found if not doubtful(pair)}))[:5]}")
    for pair in sure & set(found):
        check(name, math.dist(expected[pair], found[pair]) < 1e-6 * max(1, *map(abs, expected[pair])) + 1e-5, f"place of {sorted(pair)}")
    for row in said["crossings"]:
        deep = {pipe["pipe"]: pipe["depth"] for pipe in said["pipes"]}
        check(name, deep[row["over"]] <= deep[row["under"]], f"{row['over']} lies over a pipe that is less deep")
    return len(sure)


def lengths(name, case, said):
    by_id = {row["pipe"]: row for row in said["pipes"]}
    for pipe in case.pipes:
        row = by_id[pipe["id"]]
        check(name, near(row["length"], pipe["length"], 1e-9), f"length of {pipe['id']}: {row['length']}")
        if row["plan"] is not None:
            line = shapes.LineString([case.place[pipe["from"]], case.place[pipe["to"]]])
            check(name, near(row["plan"], line.length, 1e-9), f"plan of {pipe['id']}: {row['plan']}, not {line.length}")
        outside = case.outside(pipe)
        check(name, near(row["cover"], row["depth"] - outside, 1e-3), f"cover of {pipe['id']}: {row['cover']}")


def awg_ohm_per_foot(number, temperature=25):
    """ASTM B258: 0.005 in x 92^((36 - n) / 39); IEC 60028: 1/58 ohm mm2/m at 20 degC, 0.00393 more with each degree."""
    diameter = 0.005 * 0.0254 * 92 ** ((36 - number) / 39)
    area = math.pi / 4 * diameter ** 2 * 1e6
    return 1 / 58 / area * (1 + 0.00393 * (temperature - 20)) * FOOT


def wires(name, case, program, path, several):
    """Each valve with those of its run; with the 18 AWG of the standard geometry."""
    if case.metric:
        return
    start = next((point for point in ("controller",) if point in case.place), None) or next(iter(case.plain["supplies"]))["id"]
    main = [pipe for pipe in case.pipes if pipe["id"] in case.on_mainline]
    far, _ = ways(main, [start])
    wires_from(name, case, program, path, main, [start], [])
    # Two controllers, the second at the farthest point: each valve at the one that is nearer along the pipes.
    other = max((point for point in far if point not in case.valves), key=lambda point: (far[point], point))
    if several and other != start:
        wires_from(f"{name}, two controllers", case, program, path, main, [start, other], ["--controller", start, "--controller", other])


def wires_from(name, case, program, path, main, starts, options):
    said = sheets(program, path, "--wire", "18 AWG", "--sheet", "valves", *options)
    ohm, slack, inrush, holding = awg_ohm_per_foot(18), 3, 0.40, 0.25
    far, before = ways(main, starts)
    masters = [device for device, row in case.devices.items() if row["type"] == "master"]

    def steps(point):
        way = []
        while before.get(point) is not None:
            way.append(point)
            point = before[point]
        return way

    def begin(point):
        while before.get(point) is not None:
            point = before[point]
        return point

    runs = [run["valves"] for run in case.plain["runs"]] + [[valve] for valve in list(case.valves) + sorted(case.own_valves)]
    worst = {}
    for valves in runs:
        together = [valve for valve in dict.fromkeys(masters + list(valves)) if valve in far]
        for last in together:
            beside = sum(begin(valve) == begin(last) for valve in together)
            volts = 24 - ohm * inrush * (far[last] + 2 * slack) - ohm * (slack * inrush + slack * (inrush + holding * (beside - 1)))
            for point in steps(last):
                others = sum(point in steps(other) for other in together if other != last)
                volts -= ohm * (far[point] - far[before[point]]) * (inrush + holding * others)
            worst[last] = min(worst.get(last, 99), volts)
    rows = {row["valve"]: row for row in said["wires"]}
    check(name, {valve for valve, row in rows.items() if row["volts"] is not None} == set(worst), "wires: other valves")
    for valve, volts in worst.items():
        row = rows.get(valve)
        if not row:
            continue
        check(name, near(row["length"], far[valve] + 2 * slack, 1e-9), f"wire to {valve}: {row['length']}")
        check(name, row["controller"] == ("" if len(starts) == 1 else begin(valve)), f"{valve} is wired to {row['controller']}")
        check(name, abs(row["volts"] - volts) < 0.002 * (24 - volts) + 1e-3, f"volts at {valve}: {row['volts']}, not {volts}")
        check(name, (row["enough"] == "yes") == (row["volts"] >= 20), f"{valve} is called {row['enough']} at {row['volts']} V")


def zones(case):
    """Pipes and heads behind each valve."""
    beside = {}
    for pipe in case.pipes:
        if pipe["id"] not in case.on_mainline:
            beside.setdefault(pipe["from"], []).append((pipe["to"], pipe))
            beside.setdefault(pipe["to"], []).append((pipe["from"], pipe))
    for valve in case.valves:
        seen, todo, pipes = {valve}, [valve], {}
        while todo:
            for other, pipe in beside.get(todo.pop(), []):
                pipes[pipe["id"]] = pipe
                if other not in seen:
                    seen.add(other)
                    todo.append(other)
        yield valve, list(pipes.values()), [head for head in case.heads if head in seen]


def volume(case, pipe):
    """Gallons or litres, by the standard's diameters."""
    if case.metric:
        return math.pi / 4 * (pipe["bore"] / 1000) ** 2 * pipe["length"] * 1000
    return math.pi / 4 * (pipe["bore"] * 0.0254) ** 2 * pipe["length"] * FOOT / GALLON


def water(name, case, said):
    height = case.plain["points"]
    held = {row["part"]: row for row in said["winter"]}
    drained = {row["zone"]: row for row in said["drainage"]}
    every = {"mainline": [pipe for pipe in case.pipes if pipe["id"] in case.on_mainline]}
    for valve, pipes, heads in zones(case):
        every[valve] = pipes
        if not heads or not pipes:
            check(name, valve not in drained, f"{valve} drains without heads")
            continue
        lowest = min(height[head] for head in heads)
        slices = 4000
        out = 0
        for pipe in pipes:
            low, high = height[pipe["from"]], height[pipe["to"]]
            above = sum(low + (high - low) * (i + 0.5) / slices > lowest for i in range(slices)) if low != high else slices * (low > lowest)
            out += volume(case, pipe) * above / slices
        if out < 1e-3:
            check(name, valve not in drained or drained[valve]["volume"] < 1e-2, f"{valve} drains {drained.get(valve)}")
            continue
        row = drained.get(valve)
        check(name, row is not None and near(row["volume"], out, 2e-3), f"{valve} drains {row and row['volume']}, not {out}")
        if row:
            check(name, set(row["heads"].split()) == {head for head in heads if height[head] < lowest + 2e-4}, f"heads of {valve}: {row['heads']}")
    for part, pipes in every.items():
        if not pipes:
            continue
        total = sum(volume(case, pipe) for pipe in pipes)
        check(name, part in held and near(held[part]["volume"], total, 2e-3), f"{part} holds {held.get(part)}, not {total}")
    order = [row for row in said["winter"] if row["part"] != "mainline"]
    check(name, all(one["highest"] >= other["highest"] - 0.01 for one, other in zip(order, order[1:])), "winter: not the highest first")
    check(name, not every["mainline"] or said["winter"][-1]["part"] == "mainline", "winter: the mainline is not last")


def flushing(name, case, said):
    far, _ = ways(case.pipes, [row["id"] for row in case.plain["supplies"]])
    parts = list(dict.fromkeys(row["part"] for row in said["flushing"]))
    named = [part for part in parts if part != "mainline"]
    check(name, parts[:1] == ["mainline"], "flushing does not begin with the mainline")
    reach = [far.get(part, math.inf) for part in named]
    check(name, [round(way, 6) for way in reach] == sorted(round(way, 6) for way in reach), "flushing: zones are not from the supply outwards")
    for valve, pipes, heads in zones(case):
        steps = [row for row in said["flushing"] if row["part"] == valve]
        check(name, set(heads) <= {row["open"] for row in steps}, f"flushing of {valve} leaves heads out")
        zone, _ = ways(pipes, [valve])
        for row in steps:
            check(name, near(row["distance"], zone[row["open"]], 1e-9), f"way to {row['open']}: {row['distance']}")
        check(name, [round(row["distance"], 6) for row in steps] == sorted(round(row["distance"], 6) for row in steps), f"{valve}: the farthest is not last")


def gauges(name, case, said, program, path):
    """Every gauge stands where check says; what a supply shows at no flow is its static pressure."""
    checked = json.loads(subprocess.run([program, "check", path, "--format", "json", "--quiet"], capture_output=True, text=True, timeout=300).stdout)
    runs = {run["id"]: run for run in checked["runs"]}
    tables = {run: {kind: {row["id"]: row for row in of[kind]} for kind in ("heads", "points", "devices", "valves")} for run, of in runs.items()}
    for row in said["gauges"]:
        if row["run"] == "none":
            static = {supply["id"]: supply["static"] for supply in case.plain["supplies"]}
            if row["side"] == "supply" and len(static) == 1 and not any(head["run"] == "none" for head in said["heads"]):
                check(name, near(row["predicted"], static[row["at"]], 1e-9), f"static at {row['at']}: {row['predicted']}")
            continue
        of = tables[row["run"]]
        if row["side"] == "supply":
            check(name, near(row["predicted"], of["points"][row["at"]]["pressure"], 1e-12), f"{row}")
        elif row["at"] in of["devices"]:
            check(name, near(row["predicted"], of["devices"][row["at"]][row["side"]], 1e-12), f"{row}")
        else:
            check(name, near(row["predicted"], of["valves"][row["at"]][row["side"]], 1e-12), f"{row}")
    for row in said["heads"]:
        if row["run"] == "none":
            continue
        kind = "heads" if row["gauge"] == "nozzle" else "points"
        check(name, near(row["predicted"], tables[row["run"]][kind][row["at"]]["pressure"], 1e-12), f"{row}")
    for run, of in runs.items():
        critical = of["critical_head"]
        if critical and of["critical_margin"] is not None:
            check(name, any(row["run"] == run and row["at"] == critical and "critical" in row["which"] for row in said["heads"]), f"run {run}: critical head {critical} has no gauge")
    flows = {row["run"]: row for row in said["meters"]}
    for run, of in runs.items():
        check(name, near(flows[run]["predicted"], of["flow"], 1e-6), f"flow of {run}: {flows[run]}")
    for row in said["flow-limits"]:
        check(name, near(row["low"], 0.8 * row["expected"], 1e-12) and near(row["high"], 1.2 * row["expected"], 1e-12), f"{row}")
        smallest = min(head["flow"] for head in runs[row["run"]]["heads"] if head["flow"] > 1e-6)
        check(name, near(row["smallest_head"], 100 * smallest / row["expected"], 1e-6), f"{row}")


def settings(name, case, said):
    """Each head once, with what it is set to; the radius of its nozzle between the rows of its table."""
    check(name, sorted(row["head"] for row in said["settings"]) == sorted(case.heads), "settings: other heads")
    for row in said["settings"]:
        head = case.heads[row["head"]]
        nozzle = case.nozzles[head["nozzle"]]
        check(name, row["nozzle"] == head["nozzle"], f"nozzle of {row['head']}: {row['nozzle']}")
        for key in ("arc", "facing"):
            check(name, row[key] == (float(head[key]) if key in head else None), f"{key} of {row['head']}: {row[key]}")
        if "radius" in nozzle and "design" in nozzle:
            expected = np.interp(case.number(nozzle["design"])[0], case.number(nozzle["pressure"]), case.number(nozzle["radius"]))
            check(name, near(row["radius"], expected, 1e-9), f"radius of {row['head']}: {row['radius']}, not {expected}")


def trenches(name, case, said):
    """What is dug is all the pipe but for what lies in the trench of another (shorter stretches than a thousandth of a
    millimetre are nobody's)."""
    dug = sum(row["length"] for row in said["trenches"])
    laid = sum(row["length"] - (row["shared"] or 0) for row in said["pipes"])
    check(name, abs(dug - laid) < 1e-4, f"{dug} of trench for {laid} of pipe")


def readings(name, said, program, path):
    """The form for readings, filled in with what was foretold, is accepted with nothing off."""
    form = subprocess.run([program, "sheets", path, "--format", "csv", "--table", "readings", "--quiet"], capture_output=True, text=True, timeout=300).stdout
    rows = list(csv.DictReader(io.StringIO(form)))
    places = {(row["run"], row["at"], "flow", ""): row["predicted"] for row in said["meters"]}
    places |= {(row["run"], row["at"], "", row["side"] if row["side"] != "supply" else ""): row["predicted"] for row in said["gauges"]}
    places |= {(row["run"], row["at"], "riser" if row["gauge"] == "riser" else "pitot", ""): row["predicted"] for row in said["heads"]}
    for i, row in enumerate(rows):
        flow = i < len([meter for meter in said["meters"] if meter["at"] != "all supplies"])
        row["flow" if flow else "pressure"] = places[row["run"], row["at"], "flow" if flow else row["gauge"], row["side"]]
    check(name, len(rows) == len([row for row in said["meters"] if row["at"] != "all supplies"]) + len(said["gauges"]) + len(said["heads"]), "the form has other rows")
    with tempfile.TemporaryDirectory(prefix="evenhead-crew-") as folder:
        filled = Path(folder) / "read.csv"
        with open(filled, "w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, rows[0])
            writer.writeheader()
            writer.writerows(rows)
        ended = subprocess.run([program, "accept", path, filled, "--format", "json"], capture_output=True, text=True, timeout=300)
        if ended.returncode not in (0, 1):
            check(name, False, f"the form is not accepted: {ended.returncode} {ended.stderr[:500]} {ended.stdout[:300]}")
            return
        off = [row for row in json.loads(ended.stdout)["acceptance"] if abs(row["difference"]) > 1e-6 * max(1, abs(row["predicted"]))]
        check(name, not off, f"foretold otherwise: {off[:2]}")


def outside_of(case):
    from plain_case import INCH_PIPES, MILLIMETRE_PIPES
    table = MILLIMETRE_PIPES if case.metric else INCH_PIPES
    sidr_wall = 0.060   # ASTM D2239: the inside diameter is the standard's, and no wall is thinner than this

    def outside(pipe):
        diameter = table[pipe["kind"]][pipe["nominal"]][0]
        return diameter + 2 * sidr_wall if pipe["kind"] == "pe-sidr19" else diameter
    return outside


def take(program, path, balanced, several=True):
    name = Path(path).parent.name if balanced else path
    case = Case(path)
    case.outside = outside_of(case)
    said = sheets(program, path, *([] if balanced else [word for sheet in ("pipes", "valves", "flushing", "drainage", "winter") for word in ("--sheet", sheet)]))
    count = crossings(name, case, said)
    lengths(name, case, said)
    wires(name, case, program, path, several)
    flushing(name, case, said)
    water(name, case, said)
    settings(name, case, said)
    trenches(name, case, said)
    if balanced:
        gauges(name, case, said, program, path)
        readings(name, said, program, path)
    return count


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("program")
    arguments.add_argument("cases", nargs="+")
    arguments.add_argument("--drawn", type=int, default=0)
    asked = arguments.parse_args()
    count = 0
    for path in asked.cases:
        count += take(asked.program, path, True)
    with tempfile.TemporaryDirectory(prefix="evenhead-crew-") as folder:
        for seed in range(asked.drawn):
            path = Path(folder) / f"drawn-{seed}.toml"
            path.write_text(draw(seed))
            count += take(asked.program, str(path), False, several=seed % 4 == 0)
    check("all", asked.drawn < 20 or count > 20, f"only {count} crossings in all the drawn cases")
    print("\n".join([*faults[:40], f"{len(asked.cases)} cases, {asked.drawn} drawn, {count} crossings, {len(faults)} faults"]))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
