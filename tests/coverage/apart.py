"""Even watering, found a second time by points strewn evenly, with nothing of the program.

    python3 -m coverage.apart BINARY CASE... [--drawn COUNT]

What is taken from the program are the flow and the throw of each head, as `check` gives them; where heads stand, what
their arcs are and what the ground is, is read from the case by cases/plain_case.py or known from the drawing. The ground
is half a million points of a Sobol sequence (scipy.stats.qmc), which know no grid; a point is inside by shapely-free even-odd counting, in an arc by
the compass bearing (numpy.arctan2), and the rate that belongs to a nozzle's shape comes from scipy.integrate.quad. Drawn
layouts have what shipped ones lack: outlines with inward corners, several areas that overlap, shapes, odd arcs.

Bars: rate, du_lq and cu within 1 %, lost within 0.005; the volume on the ground is flow x time x share inside within 0.2 %;
half the grid changes no figure by more than 0.5 %. A share under a tenth (CU goes through 0 where water is very uneven)
may differ as one of a tenth may.
"""

import argparse
import json
import math
import random
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

import numpy
from cases.plain_case import rows
from scipy.integrate import quad
from scipy.spatial import ConvexHull
from scipy.stats.qmc import Sobol

WITHIN, HALVED, CONSERVED, LOST = 0.01, 0.005, 0.002, 0.005
POINTS = Sobol(2, seed=20260511).random_base2(19)
# Rate of one unit of flow on one unit of area: 96.25 is 231 in3 x 60 min / 144 in2; a litre on a square metre is a mm.
RATE = {"us": 231 * 60 / 144, "metric": 60}


def ask(binary, *arguments):
    ended = subprocess.run([binary, *map(str, arguments), "--format", "json"], capture_output=True, check=False)
    if ended.returncode not in (0, 1):
        raise RuntimeError(f"{arguments}: exit status {ended.returncode}: {ended.stderr.decode()}")
    return json.loads(ended.stdout)


def inside(outline, x, y):
    """Even-odd: how many edges a ray to the east crosses."""
    found = numpy.zeros(x.shape, bool)
    for (x1, y1), (x2, y2) in zip(outline, outline[1:] + outline[:1]):
        if y1 == y2:
            continue
        crosses = (y1 > y) != (y2 > y)
        found ^= crosses & (x < x1 + (y - y1) / (y2 - y1) * (x2 - x1))
    return found


def relative(shape, u):
    fractions, rates = zip(*shape) if shape else ((0, 1), (1, 0))
    return numpy.interp(u, fractions, rates, right=0)


def watered(head, x, y):
    """Rate of one head, in flow over area."""
    distance = numpy.hypot(x - head["x"], y - head["y"])
    arc = math.radians(head["arc"])
    kinks = [u for u, _ in head["shape"]] if head["shape"] else []
    moment = quad(lambda u: float(relative(head["shape"], u)) * u, 0, 1, points=[u for u in kinks if 0 < u < 1] or None)[0]
    rate = head["flow"] / (arc * head["radius"] ** 2 * moment) * relative(head["shape"], distance / head["radius"])
    rate[distance > head["radius"]] = 0
    if head["arc"] < 360:
        bearing = numpy.degrees(numpy.arctan2(x - head["x"], y - head["y"]))
        off = (bearing - head["facing"] + 180) % 360 - 180
        rate[numpy.abs(off) > head["arc"] / 2] = 0
    return rate


def figures(outlines, heads, flow, units):
    corners = numpy.array([corner for outline in outlines for corner in outline])
    low, high = corners.min(0), corners.max(0)
    x, y = (low + POINTS * (high - low)).T
    ground = numpy.zeros(x.shape, bool)
    for outline in outlines:
        ground |= inside(outline, x, y)
    x, y = x[ground], y[ground]
    depth = sum(watered(head, x, y) for head in heads)
    area, mean = numpy.prod(high - low) * len(depth) / len(POINTS), depth.mean()
    low_quarter = numpy.sort(depth)[: len(depth) // 4].mean()
    thrown = sum(head["flow"] for head in heads)
    return {"area": area, "rate": mean * RATE[units], "rate_formula": flow / area * RATE[units],
            "du_lq": low_quarter / mean, "cu": 1 - numpy.abs(depth - mean).mean() / mean, "lost": 1 - mean * area / thrown}


def slack(key, value):
    """What a bar is a share of."""
    return max(abs(value), 0.1) if key in ("du_lq", "cu") else abs(value)


def compare(where, ours, other):
    wrong = []
    for key, value in other.items():
        bar = LOST if key == "lost" else WITHIN * slack(key, value)
        if ours[key] is None or not abs(ours[key] - value) <= bar:
            wrong.append(f"{where}: {key} {ours[key]}, apart {value:.5f}")
    return wrong


def halved(binary, path, coverage):
    """The same at half of each zone's own grid."""
    wrong = []
    for side in sorted({zone["grid"] for zone in coverage["zones"] if zone["grid"]}):
        finer = ask(binary, "coverage", path, "--grid", repr(side / 2))
        for zone, fine in zip(coverage["zones"], finer["zones"]):
            if zone["grid"] != side:
                continue
            for key in ("rate", "du_lq", "cu"):
                if not abs(fine[key] - zone[key]) <= HALVED * slack(key, zone[key]):
                    wrong.append(f"{path} {zone['valve']}: {key} {zone[key]:.5f}, at half the grid {fine[key]:.5f}")
            if not abs(fine["lost"] - zone["lost"]) <= HALVED:
                wrong.append(f"{path} {zone['valve']}: lost {zone['lost']:.5f}, at half the grid {fine['lost']:.5f}")
    return wrong


def look_at(binary, path, places, nozzles, areas):
    """`places`: what is known of each head from the case; `nozzles`: shapes by id; `areas`: outlines by valve."""
    coverage, check = ask(binary, "coverage", path), ask(binary, "check", path)
    units = "us" if coverage["units"]["flow"] == "gpm" else "metric"
    wrong, looked = [], 0
    for zone in coverage["zones"]:
        if zone["why_none"]:
            continue
        run = next(run for run in check["runs"] if zone["valve"] in run["open"])
        solved = {head["id"]: head for head in run["heads"]}
        heads, flow = [], 0
        for head in zone["heads"] + zone["left_out"]:
            flow += solved[head["id"]]["flow"]
        for head in zone["heads"]:
            own = places[head["id"]]
            arc = float(own.get("arc", 360))
            heads.append({"x": float(own["x"]), "y": float(own["y"]), "arc": arc, "facing": float(own.get("facing", 0)),
                          "shape": nozzles[own["nozzle"]], "flow": solved[head["id"]]["flow"], "radius": solved[head["id"]]["radius"]})
        outlines = areas.get(zone["valve"])
        if outlines is None:
            points = numpy.array([(float(places[id]["x"]), float(places[id]["y"])) for id in
                                  (head["id"] for head in zone["heads"] + zone["left_out"]) if "x" in places[id]])
            outlines = [[tuple(points[i]) for i in ConvexHull(points).vertices]]
        wrong += compare(f"{path} {zone['valve']}", zone, figures(outlines, heads, flow, units))
        thrown = sum(head["flow"] for head in heads)
        landed = zone["rate"] / RATE[units] * zone["area"]
        if not abs(landed - thrown * (1 - zone["lost"])) <= CONSERVED * thrown:
            wrong.append(f"{path} {zone['valve']}: {landed} lands, {thrown * (1 - zone['lost'])} should")
        looked += 1
    return wrong + halved(binary, path, coverage), looked


def shipped(binary, path):
    with open(path, "rb") as file:
        document = tomllib.load(file)
    folder = Path(path).parent
    places = {row["id"]: row for row in rows(document, folder, "heads")}
    nozzles = {row["id"]: row.get("shape", []) for row in rows(document, folder, "nozzles")}
    areas = {}
    for row in rows(document, folder, "areas"):
        areas.setdefault(row["valve"], []).append([tuple(corner) for corner in row["outline"]])
    return look_at(binary, path, places, nozzles, areas)


def draw(seed):
    """A layout of one or two zones that no shipped case has: the text of its case, and what is in it."""
    draws = random.Random(seed)
    units = draws.choice(["us", "metric"])
    foot, psi, gpm = (1, 1, 1) if units == "us" else (0.3048, 6.894757, 3.785412)
    nozzles, heads, pipes, areas, valves = {}, [], [], [], []
    shapes = [[], [], [[0, 0.4], [0.5, 1], [1, 0.1]], [[0.2, 1], [1, 1]], [[0, 2], [0.8, 0.5]], [[0, 0], [0.6, 1], [1, 0]]]
    throw = draws.uniform(12, 40) * foot
    for number in range(draws.randint(1, 3)):
        nozzles[f"N{number}"] = {"pressure": [25 * psi, 60 * psi], "flow": [draws.uniform(0.8, 2) * gpm, draws.uniform(2, 3.5) * gpm],
                                 "radius": [throw * draws.uniform(0.75, 0.9), throw * draws.uniform(0.95, 1.1)], "shape": draws.choice(shapes)}
    for zone in range(draws.randint(1, 2)):
        valve = f"V{zone}"
        valves.append(valve)
        east, spacing = zone * 8 * throw, throw * draws.uniform(0.6, 1.2)
        columns, lines = draws.randint(2, 4), draws.randint(2, 3)
        width, depth = spacing * (columns - 1), spacing * (lines - 1)
        for line in range(lines):
            for column in range(columns):
                at_edge = (line in (0, lines - 1)) + (column in (0, columns - 1))
                head = {"id": f"{valve}-{line}{column}", "nozzle": draws.choice(list(nozzles)),
                        "x": east + column * spacing + draws.uniform(-0.05, 0.05) * spacing,
                        "y": line * spacing + draws.uniform(-0.05, 0.05) * spacing}
                if at_edge or draws.random() < 0.3:
                    head["arc"] = draws.choice([90, 180, 270, draws.uniform(40, 359)])
                    head["facing"] = draws.choice([0, 45, 90, 180, 225, draws.uniform(-180, 400)])
                heads.append(head)
        if draws.random() < 0.7:
            west, south, out = east - 0.1 * throw, -0.1 * throw, 0.2 * throw
            right, top = east + width + out, depth + out
            outlines = [draws.choice([
                [(west, south), (right, south), (right, top), (west, top)],
                [(west, south), (right, south), (right, top / 2), (east + width / 2, top / 2), (east + width / 2, top), (west, top)],
                [(west, south), (right, south + out), (right - out, top), (east + width / 3, top + out), (west, top - out)]])]
            if draws.random() < 0.4:      # a second one over the first
                outlines.append([(east + width / 2, south - out), (right + out, south - out), (right + out, top / 2), (east + width / 2, top / 2)])
            areas += [{"id": f"A{zone}{i}", "valve": valve, "outline": outline} for i, outline in enumerate(outlines)]
    size = "pvc-sch40 2"
    pipes.append({"from": "S", "to": "M", "length": 10 * foot})
    for valve in valves:
        pipes.append({"from": "M", "to": valve, "length": 5 * foot})
        before = valve
        for head in heads:
            if head["id"].startswith(valve + "-"):
                pipes.append({"from": before, "to": head["id"], "length": 25 * foot})
                before = head["id"]

    def toml(value):
        if isinstance(value, dict):
            return "{ " + ", ".join(f"{key} = {toml(item)}" for key, item in value.items() if item != []) + " }"
        if isinstance(value, (list, tuple)):
            return "[" + ", ".join(map(toml, value)) + "]"
        return json.dumps(value)

    text = [f'title = "Drawn {seed}, invented"', f'units = "{units}"', "ground = 0",
            f'supplies = [ {{ id = "S", static = {draws.uniform(45, 80) * psi} }} ]',
            "valves = " + toml([{"id": valve, "cv": 12} for valve in valves]),
            "nozzles = " + toml([{"id": id} | nozzle for id, nozzle in nozzles.items()]),
            "heads = " + toml(heads), "pipes = " + toml([pipe | {"size": size} for pipe in pipes]), "areas = " + toml(areas)]
    by_valve = {}
    for area in areas:
        by_valve.setdefault(area["valve"], []).append(area["outline"])
    return "\n".join(text) + "\n", {head["id"]: head for head in heads}, {id: nozzle["shape"] for id, nozzle in nozzles.items()}, by_valve


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("binary")
    parser.add_argument("cases", nargs="*")
    parser.add_argument("--drawn", type=int, default=0)
    given = parser.parse_args()
    wrong, looked = [], 0
    for path in given.cases:
        found, zones = shipped(given.binary, path)
        wrong, looked = wrong + found, looked + zones
    for seed in range(given.drawn):
        with tempfile.TemporaryDirectory(prefix="evenhead-coverage-") as folder:
            path = Path(folder) / f"drawn-{seed}.toml"
            text, places, nozzles, areas = draw(seed)
            path.write_text(text, encoding="utf-8")
            found, zones = look_at(given.binary, path, places, nozzles, areas)
            wrong, looked = wrong + found, looked + zones
    print("\n".join([*wrong, f"{looked} zones, {len(wrong)} faults"]))
    return 1 if wrong or looked == 0 else 0


if __name__ == "__main__":
    sys.exit(main())
