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
    from cases_places import places_of
    lies_right(name, text, places_of(back), origin, LENGTH[units])

    again = run(program, "import", geo, "--quiet")
    check(name, again == back.read_text(encoding="utf-8"), "a second import writes something else")
    # Without the names of the ends: found by where they lie.
    if not can_be_told(document):
        return len(exported), False
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
    return len(exported), True


def main():
    program, cases = sys.argv[1], sys.argv[2:]
    sys.path.insert(0, str(Path(__file__).parent))
    features = told = 0
    for i, path in enumerate(cases):
        with tempfile.TemporaryDirectory(prefix="evenhead-geo-") as folder:
            count, blind = take(program, path, ORIGINS[i % len(ORIGINS)], Path(folder))
            features, told = features + count, told + blind
    check("all", told >= min(3, len(cases)), f"only {told} cases could be found by where they lie")
    print("\n".join([*faults[:30], f"{len(cases)} cases, {features} features, {told} found by places, {len(faults)} faults"]))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
