"""Cases put on the map and taken back: the file is right for others, and the same system comes back.

    python3 -m geo.round_trip BINARY CASE...

The file is read by the geojson package and by Shapely (GEOS). Places are held to geodesics of GeographicLib (Karney, Algorithms
for geodesics, J. Geodesy 87, 2013). What comes back is balanced again and compared number by number: once as it was
written, and once without the ends that pipes name, so that they have to be found by where they lie.
"""

import json
import math
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import geojson
import shapely.geometry as shapes
from geographiclib.geodesic import Geodesic

ORIGINS = [[-97.7, 30.3], [151.2, -33.9], [24.9, 60.2], [0.0, 0.0], [172.6, -43.5]]
LENGTH = {"us": 0.3048, "metric": 1.0}
faults = []


def check(name, right, words):
    if not right:
        faults.append(f"{name}: {words}")


def run(program, *arguments, allowed=(0, 1)):
    ended = subprocess.run([program, *map(str, arguments)], capture_output=True, text=True, timeout=300)
    if ended.returncode not in allowed:
        raise RuntimeError(f"{arguments}: {ended.returncode} {ended.stderr}")
    return ended.stdout


def positions(geometry):
    kind, coordinates = geometry["type"], geometry["coordinates"]
    if kind == "MultiLineString":
        return [place for part in coordinates for place in part]
    return [coordinates] if kind == "Point" else coordinates if kind == "LineString" else coordinates[0]


def is_right_geojson(name, text):
    read = geojson.loads(text)
    check(name, read.is_valid, f"geojson says {read.errors()[:3] if not read.is_valid else ''}")
    for feature in json.loads(text)["features"]:
        geometry = feature["geometry"]
        if geometry is None:
            continue
        shape = shapes.shape(geometry)
        check(name, shape.is_valid, f"{feature['properties']['id']} is no valid shape")
        check(name, all(-180 <= lon <= 180 and -90 <= lat <= 90 for lon, lat in positions(geometry)), "no degrees")
        if geometry["type"] == "Polygon":
            check(name, shape.exterior.is_ccw, f"the outline of {feature['properties']['id']} runs clockwise")
            check(name, geometry["coordinates"][0][0] == geometry["coordinates"][0][-1], "a ring that is not closed")


def lies_right(name, text, places, origin, metres):
    """Distance and direction from the origin, along the ground. The plane is shorter by r^3 / 6 R^2; coordinates are
    rounded to 1e-10 degrees."""
    for feature in json.loads(text)["features"]:
        key = feature["properties"]["id"]
        if feature["geometry"] is None or feature["geometry"]["type"] != "Point" or key not in places:
            continue
        x, y = (value * metres for value in places[key])
        longitude, latitude = feature["geometry"]["coordinates"]
        line = Geodesic.WGS84.Inverse(origin[1], origin[0], latitude, longitude)
        far = math.hypot(x, y)
        allowed = far ** 3 / (6 * 6.335e6 ** 2) + 2e-5
        check(name, abs(line["s12"] - far) <= allowed, f"{key} lies {line['s12']} m from the origin, not {far}")
        if far > 1:
            turned = (math.degrees(math.atan2(x, y)) - line["azi1"] + 180) % 360 - 180
            check(name, abs(math.radians(turned)) * far <= allowed, f"{key} lies in another direction, by {turned} degrees")


def numbers(value, path=""):
    """Every number of an answer, by where it stands; closure is how closely it was solved, not what."""
    if isinstance(value, dict):
        for key, item in value.items():
            if key not in ("closure", "assumptions", "findings", "warnings", "not_checked", "rules_off"):
                yield from numbers(item, f"{path}.{item.get('id', key) if isinstance(item, dict) else key}")
    elif isinstance(value, list):
        for i, item in enumerate(value):
            yield from numbers(item, f"{path}[{item['id'] if isinstance(item, dict) and 'id' in item else i}]")
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield path, value


def same_balance(name, program, one, other, tolerance, every=True):
    """Heads, valves, devices and supplies of every run; `every`: all that the answer has."""
    answers = [json.loads(run(program, "check", path, "--format", "json", "--quiet")) for path in (one, other)]
    flows = []
    for answer in answers:
        found = dict(numbers(answer["runs"]))
        flows.append({key: value for key, value in found.items()
                      if every or re.search(r"\.(heads|valves|devices|supplies)\[", key)})
    missing = set(flows[0]) ^ set(flows[1])
    check(name, not missing, f"not the same numbers: {sorted(missing)[:4]}")
    worst = max((abs(flows[0][key] - flows[1][key]) / max(1, abs(flows[0][key])), key) for key in set(flows[0]) & set(flows[1])
                if "surge" not in key)
    check(name, worst[0] <= tolerance, f"not the same balance: {worst}")


def same_findings(name, program, one, other):
    """What fails, where, by how much and by whose rule; and what was assumed."""
    answers = [json.loads(run(program, "check", path, "--format", "json", "--quiet")) for path in (one, other)]
    told = []
    for answer in answers:
        found = [dict(finding, run=each["id"]) for each in answer["runs"] for finding in each["findings"]]
        found += answer["findings"]
        told.append(sorted((one["rule"], one["subject"], one.get("run", ""), one["source"], one["fails"],
                            one["limit"] and float(f"{one['limit']:.6g}"), round(one["margin"] or 0, 5)) for one in found))
    check(name, told[0] == told[1], f"not the same findings: {sorted(set(told[0]) ^ set(told[1]))[:3]}")
    check(name, answers[0]["rules_off"] == answers[1]["rules_off"], "other rules are off")
    return len(told[0])


def plain(value):
    """Numbers to nine digits: coordinates pass degrees and a tenth of a thousandth of a foot."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [plain(item) for item in value]
    return float(f"{value:.9g}") if isinstance(value, float) else value


def same_words(name, before, after):
    """All that the case says beside results: features by their properties, and what is no place."""
    check(name, plain(before["case"]) == plain(after["case"]),
          f"the case says something else: {[key for key in before['case'] if plain(before['case'][key]) != plain(after['case'].get(key))]}")
    check(name, before["case"]["not_carried"] == [], "something is left out")
    said = [{(feature["properties"]["type"] == "pipe", feature["properties"]["id"]):
             {key: plain(value) for key, value in feature["properties"].items() if not key.startswith("result_")}
             for feature in document["features"]} for document in (before, after)]
    check(name, said[0].keys() == said[1].keys(), f"other features: {sorted(said[0].keys() ^ said[1].keys())[:3]}")
    for key in said[0].keys() & said[1].keys():
        check(name, said[0][key] == said[1][key], f"{key[1]} says {said[1][key]}, not {said[0][key]}")


def can_be_told(document):
    """No point lies on a pipe that does not end there: from places alone it would be taken for joined."""
    degree = 111_000
    points = {feature["properties"]["id"]: shapes.shape(feature["geometry"]) for feature in document["features"]
              if feature["geometry"] and feature["geometry"]["type"] == "Point"}
    for feature in document["features"]:
        if feature["properties"]["type"] != "pipe" or not feature["geometry"]:
            continue
        line, ends = shapes.shape(feature["geometry"]), {feature["properties"]["from"], feature["properties"]["to"]}
        if any(line.distance(point) * degree < 0.1 for key, point in points.items() if key not in ends):
            return False
    return True


def take(program, path, origin, folder):
    name = f"{Path(path).parent.name} at {origin}"
    words = Path(path).read_text(encoding="utf-8")
    there = folder / "case.toml"
    for table in Path(path).parent.glob("*.csv"):
        (folder / table.name).write_bytes(table.read_bytes())
    there.write_text(f"origin = {origin}\n" + re.sub(r"(?m)^origin.*\n", "", words), encoding="utf-8")
    geo, back = folder / "system.geojson", folder / "back.toml"
    run(program, "export", there, "-o", geo, "--quiet")
    text = geo.read_text(encoding="utf-8")
    is_right_geojson(name, text)
    document = json.loads(text)
    units = document["case"]["units"]
    exported = {feature["properties"]["id"]: feature["properties"] for feature in document["features"]}

    run(program, "import", geo, "-o", back, "--quiet")
    same_balance(name, program, there, back, 1e-6)
    findings = same_findings(name, program, there, back)
    once_more = json.loads(run(program, "export", back, "--quiet"))
    same_words(name, document, once_more)
    from cases_places import places_of
    lies_right(name, text, places_of(back), origin, LENGTH[units])

    again = run(program, "import", geo, "--quiet")
    check(name, again == back.read_text(encoding="utf-8"), "a second import writes something else")
    # Without the names of the ends: found by where they lie.
    if not can_be_told(document):
        return len(exported), False, findings
    for feature in document["features"]:
        properties = feature["properties"]
        if properties["type"] == "pipe" and feature["geometry"] is not None:
            del properties["from"], properties["to"]
    blind = folder / "blind.geojson"
    blind.write_text(json.dumps(document), encoding="utf-8")
    found = folder / "found.toml"
    report = json.loads(run(program, "import", blind, "-o", found, "--snap", "0.05", "--format", "json", "--quiet"))
    check(name, report["unknown_values"] == [], f"values are unknown: {report['unknown_values'][:3]}")
    same_balance(name + ", ends found", program, there, found, 1e-6, every=False)
    return len(exported), True, findings


EVERYTHING = """
title = "Everything a case may say"
job = "Invented 7"
date = 2026-05-02
show = ["bar", "m3/h"]
temperature = "70 degF"
origin = [-97.7, 30.3]
window = { from = "22:00", to = "06:00", days = ["mon", "wed", "sat"] }
limits.use = "florida"
limits.velocity = { pvc = 4.5, copper = "7 ft/s" }
limits.zone-spread = "12.5 %"
limits.surge = "off"
limits.data-range = "fail"
supplies = [{ id = "s", x = 0, y = 0, static = "62 +- 4 psi", flow = 18, residual = 50 }]
devices = [
  { id = "meter", type = "meter", x = 10, y = 0, flow = [10, 20], loss = [1, 4], safe_flow = 20 },
  { id = "pump", type = "pump", x = 20, y = 0, flow = [0, 15, 30], rise = [20, 18, 10] },
  { id = "gate", type = "gate", x = 25, y = 0 },
]
valves = [{ id = "lawn", x = 30, y = 0, cv = 10 }, { id = "beds", x = 30, y = 5, cv = 10, set = 40, stated_flow = 3 }]
nozzles = [{ id = "n", pressure = [20, 40], flow = [1.0, 1.5], radius = [10, 12], min = 20, design = 30, max = 45 }]
kinds = [{ id = "old", size = "1", bore = 1.02, c = 110 }]
heads = [
  { id = "A", x = 50, y = 0, nozzle = "n", arc = 180, facing = 90, at_least = 25 },
  { id = "B", x = 70, y = 0, nozzle = "n" },
  { id = "C", x = 50, y = 9, nozzle = "n", note = "behind the hedge" },
]
pipes = [
  { from = "s", to = "meter", size = "copper-k 1" },
  { from = "meter", to = "pump", size = "copper-k 1" },
  { from = "pump", to = "gate", size = "copper-k 1" },
  { from = "gate", to = "lawn", size = "copper-k 1" },
  { from = "gate", to = "beds", size = "old 1" },
  { from = "lawn", to = "A", size = "pvc-cl200 3/4", fittings = "10 %" },
  { from = "A", to = "B", size = "pvc-cl200 3/4", fittings = "10 %" },
  { id = "to-beds", from = "beds", to = "C", length = 31, bends = [[40, 9]], size = "pvc-cl200 3/4", k = 1.5 },
]
areas = [{ id = "green", valve = "lawn", outline = [[45, -8], [75, -8], [75, 8], [45, 8]] }]
conditions = [
  { id = "dry", supply = "-8 psi", nozzle = "110 %", temperature = 85 },
  { id = "wet", supply = "+5.5 psi", c = 100 },
  { id = "old", c = "90 %", c_by_kind = { old = 80 }, closed = ["to-beds", "meter"] },
  { id = "dark", supply = "90 %", pumps_off = ["pump"] },
]
readings = [
  { run = "lawn", at = "A", pressure = 41, gauge = "riser" },
  { run = "none", at = "lawn", pressure = "80 +- 3 psi", side = "inlet" },
  { run = "beds", at = "meter", flow = 1.5 },
]
seen = [{ what = "wet", at = "A-B" }, { what = "head-count", at = "lawn", value = "2" }, { what = "dry", at = "C" }]
prices = [{ size = "pvc-cl200 3/4", price = 0.31 }, { item = "tee", size = "pvc 3/4", price = 0.55 }, { item = "nozzle", price = 1.4 },
  { item = "mainline-trench", price = 2.8 }]
watering = [
  { valve = "lawn", eto = 1.4, coefficient = 0.8, intake = "0.4 in/h", storage = 0.2, days = 3, group = "grass", du_lq = "62 %" },
  { valve = "beds", need = "0.7 in", days = ["mon", "sat"], rate = 0.9 },
]
"""


def answers_of(program, path):
    """What other verbs make of what has no place: conditions, readings, prices, watering. (Pipes of one row share what is not
    known of them; they come back in rows of their own, so here each has one to begin with.)"""
    told = {}
    for verb, *options in (["review", "--samples", "0"], ["accept"], ["takeoff"], ["timetable"]):
        text = run(program, verb, path, *options, "--format", "json", allowed=(0, 1, 3))
        told[verb] = plain(json.loads(re.sub(r'"(line|column|file)": ?[^,}]*,?', "", text)))
    return told


def everything(program, folder):
    name, case, geo, back = "everything", folder / "all.toml", folder / "all.geojson", folder / "back.toml"
    case.write_text(EVERYTHING, encoding="utf-8")
    run(program, "export", case, "-o", geo, "--quiet")
    document = json.loads(geo.read_text(encoding="utf-8"))
    for key in ("job", "date", "show", "limits", "conditions", "readings", "seen", "prices", "watering", "window"):
        check(name, document["case"].get(key), f"{key} is left out")
    run(program, "import", geo, "-o", back, "--quiet")
    same_balance(name, program, case, back, 1e-6)
    check(name, same_findings(name, program, case, back) > 0, "nothing is found")
    same_words(name, document, json.loads(run(program, "export", back, "--quiet")))
    before, after = answers_of(program, case), answers_of(program, back)
    for verb in before:
        check(name, before[verb] == after[verb], f"{verb} answers otherwise")


def across_the_meridian(program, folder):
    """A park on both sides of the 180th meridian: lines are cut there (RFC 7946, 3.1.9), and come back whole."""
    name, case, geo, back = "meridian", folder / "park.toml", folder / "park.geojson", folder / "back.toml"
    case.write_text("""
units = "metric"
origin = [179.9998, -16.8]
supplies = [{ id = "s", x = 0, y = 0, static = 400 }]
valves = [{ id = "v", x = 60, y = 10, cv = 10 }]
nozzles = [{ id = "n", pressure = 200, flow = 4, min = 100, max = 900 }]
heads = [{ id = "A", x = 60, y = 40, nozzle = "n" }, { id = "B", x = -10, y = 42, nozzle = "n" }]
pipes = [
  { from = "s", to = "v", length = "-", bends = [[10, 2], [15, -3], [40, 8]], size = "pvc-sch40 1" },
  { from = "v", to = "A", length = "-", size = "pvc-cl200 1" },
  { from = "A", to = "B", length = "-", size = "pvc-cl200 3/4" },
]
""".replace('length = "-", ', ""), encoding="utf-8")
    run(program, "export", case, "-o", geo, "--quiet")
    document = json.loads(geo.read_text(encoding="utf-8"))
    is_right_geojson(name, geo.read_text(encoding="utf-8"))
    parts = {feature["properties"]["id"]: feature["geometry"] for feature in document["features"] if feature["properties"]["type"] == "pipe"}
    check(name, [parts[key]["type"] for key in ("s-v", "v-A", "A-B")] == ["MultiLineString", "LineString", "MultiLineString"], "not cut where it should be")
    for geometry in parts.values():
        for line in geometry["coordinates"] if geometry["type"] == "MultiLineString" else [geometry["coordinates"]]:
            check(name, max(lon for lon, _ in line) - min(lon for lon, _ in line) < 1, "a line runs around the earth")
    ends = parts["s-v"]["coordinates"]
    check(name, ends[0][-1] == [180, ends[1][0][1]] and ends[1][0][0] == -180, "the parts do not meet on the meridian")
    run(program, "import", geo, "-o", back, "--quiet")
    same_balance(name, program, case, back, 1e-6)
    again = json.loads(run(program, "export", back, "--quiet"))
    same_words(name, document, again)
    for one, other in zip(document["features"], again["features"]):
        check(name, one["geometry"]["type"] == other["geometry"]["type"] and len(positions(one["geometry"])) == len(positions(other["geometry"])) and
              all(math.dist(*pair) < 1e-8 for pair in zip(positions(one["geometry"]), positions(other["geometry"]))), f"{one['properties']['id']} comes back in another shape")
    # A survey has no origin: found on the side where the west begins.
    del document["case"]
    geo.write_text(json.dumps(document), encoding="utf-8")
    report = json.loads(run(program, "import", geo, "-o", back, "--quiet", "--format", "json"))
    check(name, 179.99 < report["origin"][0] < 179.9999, f"the origin lies at {report['origin']}")


def main():
    program, cases = sys.argv[1], sys.argv[2:]
    sys.path.insert(0, str(Path(__file__).parent))
    features = told = findings = 0
    for i, path in enumerate(cases):
        with tempfile.TemporaryDirectory(prefix="evenhead-geo-") as folder:
            count, blind, found = take(program, path, ORIGINS[i % len(ORIGINS)], Path(folder))
            features, told, findings = features + count, told + blind, findings + found
    with tempfile.TemporaryDirectory(prefix="evenhead-geo-") as folder:
        across_the_meridian(program, Path(folder))
        everything(program, Path(folder))
    check("all", findings > 0, "no case has a finding")
    check("all", told >= min(3, len(cases)), f"only {told} cases could be found by where they lie")
    print("\n".join([*faults[:30], f"{len(cases)} cases, {features} features, {told} found by places, {len(faults)} faults"]))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
