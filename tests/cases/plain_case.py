"""Reads a shipped case by itself, knowing nothing of the program's reader, into the plain data of generator/plain.py.

Only what the shipped cases use is understood; anything else is an error, so that nothing is passed over in silence.
"""

import csv
import math
import tomllib
from pathlib import Path

# Outside diameter and minimum wall. Inch kinds: ASTM D1785 (Schedule 40), D2241 (SDR 21 and 26), B88 (type K, nominal
# wall), B36.10 (steel); PE by inside diameter: ASTM D2239; HDPE: wall = diameter / 11 (ASTM F714). Millimetre kinds: ISO 4427.
INCH_PIPES = {
    "pvc-sch40": {"3/4": (1.050, 0.113), "1": (1.315, 0.133), "1-1/4": (1.660, 0.140), "1-1/2": (1.900, 0.145),
                  "2": (2.375, 0.154), "2-1/2": (2.875, 0.203), "3": (3.500, 0.216), "4": (4.500, 0.237)},
    "pvc-cl200": {"3/4": (1.050, 0.060), "1": (1.315, 0.063), "1-1/4": (1.660, 0.079), "1-1/2": (1.900, 0.090),
                  "2": (2.375, 0.113), "2-1/2": (2.875, 0.137), "3": (3.500, 0.167), "4": (4.500, 0.214)},
    "pvc-cl160": {"1": (1.315, 0.060), "1-1/4": (1.660, 0.064), "1-1/2": (1.900, 0.073)},
    "pe-sidr19": {"1": (1.049, 0.0)},
    "hdpe-dr11": {"3": (3.500, 0.318)},
    "copper-k": {"1": (1.125, 0.065), "1-1/4": (1.375, 0.065), "1-1/2": (1.625, 0.072)},
    "steel-sch40": {"1-1/2": (1.900, 0.145)},
}
MILLIMETRE_PIPES = {
    "pe100-sdr11": {"40": (40, 3.7), "50": (50, 4.6), "63": (63, 5.8), "75": (75, 6.8), "90": (90, 8.2)},
    "pe100-sdr17": {"110": (110, 6.6)},
}
C = {"pvc": 150, "pe": 140, "hdpe": 140, "pe100": 140, "copper": 140, "steel": 120}
ROUGHNESS = {"us": 1.5e-6 / 0.0254, "metric": 1.5e-3}     # of plastic and copper, in and mm
ONE_WAY = {"backflow", "regulator", "check", "pump"}
UNITS = {"us": {"psi": 1, "gpm": 1}, "metric": {"bar": 100, "m3/h": 1000 / 60, "kPa": 1, "L/min": 1}}


def rows(document, folder, table):
    """The rows of a table, from the case or the CSV beside it, with its defaults; a chart in CSV becomes a list."""
    content = document.get(table, [])
    if isinstance(content, str):
        merged = []
        with open(folder / content, encoding="utf-8", newline="") as file:
            for line in csv.DictReader(file):
                cells = {key: cell for key, cell in line.items() if cell != ""}
                if merged and "id" in cells and merged[-1].get("id") == cells["id"]:
                    for key, cell in cells.items():
                        if key != "id":
                            merged[-1][key] = as_list(merged[-1][key]) + [cell]
                else:
                    merged.append(cells)
        content = merged
    return [document.get("defaults", {}).get(table, {}) | row for row in content]


def as_list(value):
    return value if isinstance(value, list) else [value]


class Reader:
    def __init__(self, path):
        path = Path(path)
        with open(path, "rb") as file:
            self.document = tomllib.load(file)
        self.units = self.document.get("units", "us")
        self.tables = {table: rows(self.document, path.parent, table) for table in
                       ("supplies", "devices", "valves", "nozzles", "heads", "points", "pipes", "runs")}
        unread = set(self.document) - set(self.tables) - {
            "title", "job", "date", "units", "show", "friction", "temperature", "ground", "limits", "defaults", "readings",
            "seen", "areas", "watering", "window"}
        if unread:
            raise ValueError(f"{path}: not understood here: {unread}")

    def number(self, value):
        """A bare number, or text with one of a few units; the spread is left out."""
        if not isinstance(value, str):
            return float(value)
        word, *unit = value.split("+-")[0].split()
        return float(word) * (UNITS[self.units][unit[0]] if unit else 1)

    def numbers(self, value):
        return [self.number(item) for item in as_list(value)]

    def loss(self, row):
        for kind in ("cv", "kv"):
            if kind in row:
                return {"kind": kind, "value": self.number(row[kind])}
        if "loss" in row:
            return {"kind": "chart", "flow": self.numbers(row["flow"]), "loss": self.numbers(row["loss"])}
        return {"kind": "none"}

    def optional(self, row, key):
        return self.number(row[key]) if key in row else None

    def pipe(self, row, start, end, length, places):
        kind, nominal = row["size"].split()
        outside, wall = (MILLIMETRE_PIPES if self.units == "metric" else INCH_PIPES)[kind][nominal]
        if length == "-":
            (x, y), (u, v) = places[start], places[end]
            length = math.hypot(u - x, v - y)
        return {"id": f"{start}-{end}", "from": start, "to": end, "length": self.number(length), "bore": outside - 2 * wall,
                "c": self.number(row["c"]) if "c" in row else C[kind.split("-")[0]], "roughness": ROUGHNESS[self.units],
                "k": self.number(row.get("k", 0)), "fittings": float(row.get("fittings", "0 %").split()[0]) / 100,
                "closed": row.get("closed", False)}

    def pipes(self, places):
        for row in self.tables["pipes"]:
            if "along" in row:
                words = row["along"].split()
                for start, length, end in zip(words[0::2], words[1::2], words[2::2]):
                    yield self.pipe(row, start, end, length, places)
            else:
                yield self.pipe(row, row["from"], row["to"], row.get("length", "-"), places)

    def elevations(self, pipes):
        """By point: its own, else the ground. (No shipped case takes one from a neighbour.)"""
        known = {row["id"]: self.number(row["elev"]) for table in ("supplies", "devices", "valves", "heads", "points")
                 for row in self.tables[table] if "elev" in row}
        everywhere = {end for pipe in pipes for end in (pipe["from"], pipe["to"])} | {row["id"] for row in self.tables["heads"]}
        missing = everywhere - set(known)
        if missing and "ground" not in self.document:
            raise ValueError(f"no elevation: {missing}")
        return known | {point: self.number(self.document["ground"]) for point in missing}

    def plain(self):
        places = {row["id"]: (self.number(row["x"]), self.number(row["y"])) for table in
                  ("supplies", "devices", "valves", "heads", "points") for row in self.tables[table] if "x" in row}
        pipes = list(self.pipes(places))
        own = [row["id"] for row in self.tables["heads"] if "own_valve" in row]
        valves = [row["id"] for row in self.tables["valves"]]
        runs = [{"id": row["id"], "valves": row["valves"].split() if isinstance(row["valves"], str) else row["valves"]}
                for row in self.tables["runs"]] or [{"id": valve, "valves": [valve]} for valve in valves + own]
        return {
            "units": self.units,
            "friction": self.document.get("friction", "hazen-williams"),
            "temperature": self.document.get("temperature", 60 if self.units == "us" else 15.6),
            "points": self.elevations(pipes),
            "supplies": [{"id": row["id"], "static": self.number(row["static"]),
                          "tests": list(zip(self.numbers(row.get("flow", [])), self.numbers(row.get("residual", []))))}
                         for row in self.tables["supplies"]],
            "devices": [{"id": row["id"], "type": row["type"], "loss": self.loss(row),
                         "rise": {"flow": self.numbers(row["flow"]), "rise": self.numbers(row["rise"])} if "rise" in row else None,
                         "set": self.optional(row, "set"), "one_way": row.get("one_way", row["type"] in ONE_WAY),
                         "closed": row.get("closed", False)} for row in self.tables["devices"]],
            "valves": [{"id": row["id"], "loss": self.loss(row), "set": self.optional(row, "set")}
                       for row in self.tables["valves"]],
            "nozzles": {row["id"]: {"pressure": self.numbers(row["pressure"]), "flow": self.numbers(row["flow"]),
                                    "exponent": row.get("exponent", 0.5)} for row in self.tables["nozzles"]},
            "heads": [{"id": row["id"], "nozzle": row["nozzle"], "set": self.optional(row, "set"),
                       "joint": self.loss(row) if "cv" in row or "kv" in row else None,
                       "own_valve": self.loss(row["own_valve"]) if "own_valve" in row else None,
                       "own_set": self.optional(row.get("own_valve", {}), "set"), "lateral": None}
                      for row in self.tables["heads"]],
            "pipes": pipes,
            "runs": runs,
        }
