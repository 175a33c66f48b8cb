"""A case as the recount sees it: read by cases/plain_case.py, with the rules of its pipes, its mainline, and what meets where."""

import collections
import math
import sys
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "cases"))
from plain_case import Reader, INCH_PIPES, MILLIMETRE_PIPES  # noqa: E402

# Family of fittings, length of a piece (in ft; millimetre kinds in m) and the turn from which on an elbow is needed.
FAMILY = {"pvc": ("pvc", 20, 22.5, "coupling"), "copper": ("copper", 20, 22.5, "coupling"),
          "steel": ("steel", 21, 22.5, "coupling"), "pe": ("pe", 100, 67.5, "coupling")}


def nominal_value(nominal):
    return float(sum(Fraction(part) for part in nominal.split("-")))


class Case:
    def __init__(self, path):
        reader = Reader(path)
        self.metric = reader.units == "metric"
        self.plain = reader.plain()
        tables = reader.tables
        self.place = {row["id"]: (float(row["x"]), float(row["y"])) for table in
                      ("supplies", "devices", "valves", "heads", "points") for row in tables[table] if "x" in row}
        sizes = []
        for row in tables["pipes"]:
            count = (len(row["along"].split()) - 1) // 2 if "along" in row else 1
            sizes += [tuple(row["size"].split())] * count
        self.pipes = [dict(pipe, kind=kind, nominal=nominal) for pipe, (kind, nominal) in zip(self.plain["pipes"], sizes)]
        assert len(sizes) == len(self.plain["pipes"])
        self.heads = {row["id"]: row for row in tables["heads"]}
        self.nozzles = {row["id"]: row for row in tables["nozzles"]}
        self.valves = {row["id"]: row for row in tables["valves"]}
        self.devices = {row["id"]: row for row in tables["devices"]}
        self.supplies = {row["id"] for row in tables["supplies"]}
        self.number = reader.numbers
        self.own_valves = {head for head, row in self.heads.items() if "own_valve" in row}
        self.on_mainline = self.mainline()

    def mainline(self):
        """Pipes that water reaches from the supplies without passing a zone valve."""
        reached, found, todo = set(), set(), list(self.supplies)
        while todo:
            point = todo.pop()
            if point in reached:
                continue
            reached.add(point)
            for pipe in self.pipes:
                if point == pipe["from"] and point not in self.valves:
                    found.add(pipe["id"])
                    todo.append(pipe["to"])
                elif point == pipe["to"] and point not in self.valves and point not in self.devices:
                    found.add(pipe["id"])
                    todo.append(pipe["from"])
                elif point == pipe["to"] and point in self.devices and self.devices[point]["type"] == "gate":
                    found.add(pipe["id"])
                    todo.append(pipe["from"])
        return found

    def rule(self, pipe):
        family, nominal = pipe["kind"].split("-")[0], pipe["nominal"]
        if family == "hdpe":
            return ("hdpe", 500, 67.5, "fusion-joint") if nominal_value(nominal) < 2.1 else ("hdpe", 40, 22.5, "fusion-joint")
        if family == "pe100":
            return ("pe100", 100, 67.5, "coupling") if int(nominal) <= 63 else ("pe100", 12, 22.5, "fusion-joint")
        return FAMILY[family]

    def wide(self, pipe):
        if pipe["kind"] == "pe-sidr19":      # by inside diameter, its wall a nineteenth of that
            return INCH_PIPES["pe-sidr19"][pipe["nominal"]][0] * 21 / 19
        return (MILLIMETRE_PIPES if self.metric else INCH_PIPES)[pipe["kind"]][pipe["nominal"]][0]

    def thread(self, name):
        """Of a valve or device: the size of what enters it (a gate: of its first pipe), since no shipped one gives its own."""
        row = self.valves.get(name) or self.devices.get(name)
        assert "size" not in row
        entering = [pipe for pipe in self.pipes if pipe["to"] == name]
        if row.get("type") == "gate":
            entering = [pipe for pipe in self.pipes if name in (pipe["from"], pipe["to"])][:1]
        return max(entering, key=self.wide)["nominal"]

    def bearing(self, point, pipe):
        other = pipe["to"] if pipe["from"] == point else pipe["from"]
        if point not in self.place or other not in self.place:
            return None
        (x, y), (u, v) = self.place[point], self.place[other]
        return math.degrees(math.atan2(u - x, v - y)) % 360

    def meetings(self):
        """What meets at each point; at a valve or device by side."""
        meetings = collections.OrderedDict()
        for pipe in self.pipes:
            for end in ("from", "to"):
                point = pipe[end]
                side = end if point in self.valves or point in self.devices else ""
                if point in self.devices and self.devices[point]["type"] == "gate":
                    side = pipe["id"]       # it takes any two
                meetings.setdefault((point, side), []).append(pipe)
        return meetings


def turned(one, other):
    """By how much the way turns that leaves a point at two bearings."""
    between = abs(one - other) % 360
    return 180 - min(between, 360 - between)
