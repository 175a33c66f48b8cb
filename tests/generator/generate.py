"""Makes sprinkler systems at random: mains, valves, laterals, every kind of element, loops; the same seed, the same system.

    from generator.generate import Features, generate
    plain = generate(seed=7, features=Features(regulated_valves=True))

`Features` is the list of knobs; `generate` returns the plain data of generator/plain.py. Sizes follow the flow they will carry at
about 4 ft/s and the supply is made strong enough for the largest run, so that most heads get water and nothing is absurd.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

PSI, GPM, FOOT, INCH = 6.894757293168361, 3.785411784, 0.3048, 25.4      # us number -> metric number

# Bores in inches (least bore of ASTM D1785 Schedule 40 and of ASTM D2241 SDR 21), by nominal size.
SIZES = {"pvc-sch40": {"1/2": 0.622, "3/4": 0.824, "1": 1.049, "1-1/4": 1.380, "1-1/2": 1.610, "2": 2.067, "3": 3.068, "4": 4.026},
         "pvc-cl200": {"3/4": 0.930, "1": 1.189, "1-1/4": 1.502, "1-1/2": 1.720, "2": 2.149, "3": 3.166, "4": 4.072}}


@dataclass
class Features:
    """Knobs. Counts are upper bounds or exact numbers, flags switch an element kind on."""
    metric: bool = False
    darcy_weisbach: bool = False
    temperature_f: float = 60.0
    zones: int = 3
    heads_per_zone: int = 8
    supplies: int = 1
    tests: int = 1                    # flow tests of each supply
    main_loops: int = 0
    lateral_loops: int = 0
    hills: float = 0.0                # ft, spread of elevations
    meter: bool = False               # chart of three rows
    backflow: bool = False            # chart with a row at flow 0
    filter: bool = False              # kv
    master: bool = False
    pump: bool = False
    regulator: bool = False           # a device that holds
    idle_regulator: bool = False      # one whose set lies above what comes
    weak_supply_with: str = ""        # "check" or "regulator": a second, weaker supply behind it that stays shut
    regulated_valves: bool = False
    regulated_heads: bool = False
    swing_joints: bool = False
    own_valves: int = 0
    main_heads: int = 0               # heads upstream of every valve
    chart_valves: bool = False
    minor_losses: bool = False
    closed: bool = False              # a closed gate and a closed pipe
    exponents: tuple = (0.5,)         # of one-row nozzles; "chart" stands for several rows
    dry_heads: bool = False           # a head above everything
    zero_lengths: bool = False
    shorthand: bool = False           # zones written as `laterals`
    all_open: bool = False            # a run with every valve open
    spring_meter: bool = False        # two-way device that opens above a loss
    static: float = 0.0               # psi of the supplies; 0: enough for the system


class Maker:
    def __init__(self, seed: int, features: Features):
        self.random = random.Random(seed)
        self.f = features
        self.plain = {"title": f"Generated system {seed}", "units": "us",
                      "friction": "darcy-weisbach" if features.darcy_weisbach else "hazen-williams",
                      "temperature": features.temperature_f, "points": {}, "supplies": [], "devices": [], "valves": [],
                      "nozzles": {}, "heads": [], "pipes": [], "laterals": [], "runs": []}

    # ---- rows --------------------------------------------------------------------------------------------------
    def point(self, name: str, near: str | None = None) -> str:
        base = self.plain["points"].get(near, 100.0)
        spread = self.f.hills
        self.plain["points"][name] = round(base + self.random.uniform(-spread, spread) / 3, 1)
        return name

    def pipe(self, start: str, end: str, length: float, flow: float, kind: str = "pvc-sch40", **keys) -> dict:
        """A pipe that carries about `flow` gpm: the first size of the kind at no more than 5 ft/s."""
        sizes = SIZES[kind]
        nominal = next((n for n, bore in sizes.items() if 0.4085 * flow / bore**2 <= 5), list(sizes)[-1])
        row = {"id": f"p{len(self.plain['pipes']) + 1}", "from": start, "to": end, "length": length, "bore": sizes[nominal],
               "c": 150.0, "roughness": 0.0015 / INCH, "k": 0.0, "fittings": 0.0, "closed": False,
               "size": f"{kind} {nominal}", "lateral": None} | keys
        if row["size"] and row["lateral"] is None and self.random.random() < 0.4:
            row |= {"size": None, "bore": round(row["bore"] * self.random.uniform(0.97, 1.1), 3),
                    "c": float(self.random.choice([120, 130, 140, 150])),
                    "roughness": self.random.choice([0.0001, 0.0005, 0.002, 0.006])}
        if self.f.minor_losses and row["lateral"] is None and self.random.random() < 0.5:
            row |= self.random.choice([{"k": round(self.random.uniform(0.2, 6), 2)}, {"fittings": 0.1},
                                       {"k": 1.5, "fittings": 0.05}])
        self.plain["pipes"].append(row)
        return row

    def device(self, name: str, kind: str, near: str, loss: dict | None = None, **keys) -> str:
        self.point(name, near)
        self.plain["devices"].append({"id": name, "type": kind, "loss": loss or {"kind": "none"}, "rise": None, "set": None,
                                      "one_way": kind in {"backflow", "regulator", "check", "pump"}, "closed": False} | keys)
        return name

    def span(self, low: float, high: float) -> float:
        return round(self.random.uniform(low, high), 1)

    def short(self) -> float:
        return 0.0 if self.f.zero_lengths and self.random.random() < 0.5 else self.span(1, 10)

    # ---- nozzles and heads -------------------------------------------------------------------------------------
    def make_nozzles(self) -> None:
        for i, exponent in enumerate(self.f.exponents):
            flow, pressure = round(self.random.uniform(0.8, 3.0), 2), self.random.choice([25, 30, 40, 45])
            if exponent == "chart":
                pressures = [pressure - 15, pressure - 5, pressure + 5, pressure + 15]
                flows = [round(flow * (p / pressure) ** self.random.uniform(0.4, 0.55), 2) for p in pressures]
                row = {"pressure": pressures, "flow": sorted(flows), "exponent": 0.5}
            else:
                row = {"pressure": [pressure], "flow": [flow], "exponent": exponent}
            self.plain["nozzles"][f"nozzle-{i + 1}"] = row

    def head(self, name: str, near: str, **keys) -> str:
        self.point(name, near)
        row = {"id": name, "nozzle": self.random.choice(list(self.plain["nozzles"])), "joint": None, "set": None,
               "own_valve": None, "own_set": None, "lateral": None} | keys
        if row["lateral"] is None:
            if self.f.swing_joints and self.random.random() < 0.5:
                row["joint"] = self.random.choice([{"kind": "cv", "value": round(self.random.uniform(2.5, 6), 2)},
                                                   {"kind": "kv", "value": round(self.random.uniform(2, 5), 2)}])
            if self.f.regulated_heads and self.random.random() < 0.5:
                row["set"] = self.random.choice([25, 30, 40, 70])
        self.plain["heads"].append(row)
        return name

    def nominal(self) -> float:
        """gpm of an average head."""
        flows = [n["flow"][-1] for n in self.plain["nozzles"].values()]
        return sum(flows) / len(flows)

    # ---- zones -------------------------------------------------------------------------------------------------
    def valve_loss(self) -> dict:
        if self.f.chart_valves and self.random.random() < 0.5:
            return {"kind": "chart", "flow": [5.0, 15.0, 30.0], "loss": [1.5, self.span(2.5, 3.5), self.span(6, 9)]}
        return self.random.choice([{"kind": "cv", "value": self.span(9, 30)}, {"kind": "kv", "value": self.span(8, 25)},
                                   {"kind": "k", "value": self.span(3, 9), "bore": 1.049},
                                   {"kind": "chart", "flow": [20.0], "loss": [self.span(2, 4)]}])

    def zone(self, index: int, inlet: str) -> float:
        """A valve and what lies downstream of it; returns its nominal flow (gpm)."""
        f, valve = self.f, f"valve-{index}"
        heads = self.random.randint(max(1, f.heads_per_zone // 2), f.heads_per_zone)
        flow = heads * self.nominal()
        self.point(valve, inlet)
        self.plain["valves"].append({"id": valve, "loss": self.valve_loss(),
                                     "set": self.random.choice([30, 40, 45]) if f.regulated_valves and index % 2 == 0 else None})
        self.pipe(inlet, valve, self.short(), flow)
        if f.shorthand and index % 2 == 1:
            self.shorthand_zone(index, valve, heads)
            return flow
        ends, left = [valve], heads
        for i in range(heads):
            start = ends[-1] if self.random.random() < 0.7 else self.random.choice(ends)
            name = self.head(f"head-{index}-{i + 1}", start)
            self.pipe(start, name, self.span(8, 25), max(left, 1) * self.nominal(), "pvc-cl200")
            ends.append(name)
            left -= 1
        for _ in range(f.lateral_loops if heads > 3 else 0):
            start, end = self.random.sample(ends[1:], 2)
            self.pipe(start, end, self.span(15, 40), self.nominal(), "pvc-cl200")
        return flow

    def shorthand_zone(self, index: int, valve: str, heads: int) -> None:
        name, nozzle = f"lateral-{index}-", self.random.choice(list(self.plain["nozzles"]))
        first, spacing = self.span(5, 30), self.span(8, 20)
        large = heads // 2
        sizes = [[count, size] for count, size in ((large, "pvc-cl200 1-1/4"), (heads - large, "pvc-cl200 1")) if count]
        self.plain["laterals"].append({"id": name, "from": valve, "first": first, "heads": heads, "spacing": spacing,
                                       "nozzle": nozzle, "sizes": sizes})
        start = valve
        for i in range(heads):
            head = self.head(f"{name}{i + 1}", valve, nozzle=nozzle, lateral=name)
            size = sizes[0][1] if i < sizes[0][0] else sizes[-1][1]
            kind, nominal = size.split(" ", 1)
            self.pipe(start, head, first if i == 0 else spacing, self.nominal(), id=f"{start}-{head}", lateral=name,
                      size=size, bore=SIZES[kind][nominal])
            start = head

    # ---- mains -------------------------------------------------------------------------------------------------
    def mains(self) -> list[str]:
        """Points of the mainline, first the one that the supply joins; loops among them."""
        f = self.f
        points = [self.point("main-1")]
        flow = f.zones * f.heads_per_zone * self.nominal() * (1.0 if f.all_open else 0.6)
        for i in range(1, f.zones + 1 + f.main_loops):
            start = points[-1] if self.random.random() < 0.7 else self.random.choice(points)
            points.append(self.point(f"main-{i + 1}", start))
            self.pipe(start, points[-1], self.span(20, 120), flow)
        for i in range(f.main_loops):
            start, end = self.random.sample(points, 2)
            if f.closed and i == 0:
                gate = self.device("gate-closed", "gate", start, closed=True)
                self.pipe(start, gate, self.span(5, 50), flow)
                self.pipe(gate, end, self.span(5, 50), flow)
            elif i % 2 == 1:
                gate = self.device(f"gate-{i}", "gate", start)
                self.pipe(start, gate, self.span(5, 50), flow)
                self.pipe(gate, end, self.span(5, 50), flow)
            else:
                self.pipe(start, end, self.span(20, 120), flow)
        if f.closed:
            start, end = self.random.sample(points, 2)
            self.pipe(start, end, self.span(20, 50), flow, closed=True)
        return points

    def chain(self, supply: str, first: bool, flow: float) -> list[tuple[str, str, dict | None, dict]]:
        """Devices between a supply and the main: (name, type, loss, more keys)."""
        f, low, high = self.f, round(flow * 0.4, 1), round(flow * 1.3, 1)
        middle, row = round((low + high) / 2, 1), []
        if f.meter:
            row.append(("meter", "meter", {"kind": "chart", "flow": [low, middle, high], "loss": [self.span(0.5, 1.5), self.span(2, 4), self.span(5, 8)]}, {}))
        if f.spring_meter and first:
            row.append(("sensor", "flow-sensor", {"kind": "chart", "flow": [0.0, high], "loss": [0.8, 2.5]}, {}))
        if f.pump and first:
            rise = [self.span(48, 55), self.span(44, 47), self.span(36, 40), self.span(20, 26)]
            row.append(("pump", "pump", None, {"rise": {"flow": [0.0, low, middle, high], "rise": rise}}))
        if f.backflow:
            row.append(("backflow", "backflow", self.random.choice([
                {"kind": "chart", "flow": [0.0, middle], "loss": [2.0, 5.0]},
                {"kind": "chart", "flow": [0.0, low, middle, high], "loss": [3.0, 3.5, 4.5, self.span(5, 8)]}]), {}))
        if f.filter:
            row.append(("filter", "filter", {"kind": "kv", "value": round(flow * 0.25, 1)}, {}))
        if f.regulator and first:
            row.append(("regulator", "regulator", {"kind": "cv", "value": round(flow * 0.7, 1)}, {"set": self.random.choice([55, 60])}))
        if f.idle_regulator:
            row.append(("idle-regulator", "regulator", {"kind": "cv", "value": round(flow * 0.6, 1)}, {"set": 150}))
        if f.master:
            row.append(("master", "master", self.random.choice([None, {"kind": "cv", "value": round(flow * 0.8, 1)}]), {}))
        return [(f"{name}-{supply}", kind, loss, keys) for name, kind, loss, keys in row]

    def supply(self, name: str, join: str, static: float, flow: float, first: bool, devices: list) -> None:
        self.point(name, join)
        tests = []
        for i in range(self.f.tests):
            at = flow * (0.6 + 0.7 * i)
            fall = (9 * ((i + 1) / self.f.tests) ** 1.5 + self.random.uniform(1, 3)) * min(1, static / 60)
            tests.append([round(at, 1), round(static - fall, 1)])
        self.plain["supplies"].append({"id": name, "static": static, "tests": tests})
        start = name
        for device, kind, loss, keys in devices:
            self.device(device, kind, start, loss, **keys)
            self.pipe(start, device, self.short(), flow)
            start = device
        self.pipe(start, join, self.span(10, 60), flow)

    def make(self) -> dict:
        f = self.f
        self.make_nozzles()
        points = self.mains()
        flows = [self.zone(i + 1, self.random.choice(points)) for i in range(f.zones)]
        for i in range(f.main_heads):
            start = self.random.choice(points)
            self.pipe(start, self.head(f"main-head-{i + 1}", start), self.span(10, 40), self.nominal(), "pvc-cl200")
        for i in range(f.own_valves):
            start = self.random.choice(points)
            name = self.head(f"own-{i + 1}", start, own_valve={"kind": "cv", "value": self.span(4, 12)},
                             own_set=35 if i % 2 == 1 else None)
            self.pipe(start, name, self.span(10, 40), self.nominal(), "pvc-cl200")
        if f.dry_heads:
            self.pipe(points[-1], self.head("dry", points[-1]), 30.0, 1.0, "pvc-cl200")
            self.plain["points"]["dry"] = 400.0
        whole = (sum(flows) if f.all_open else max(flows[0], sum(flows[1:3]))) + (f.main_heads + f.own_valves) * self.nominal()
        static = f.static or float(self.random.randint(62, 85)) - (25 if f.pump else 0)
        for i in range(f.supplies):
            name = f"supply-{i + 1}"
            self.supply(name, points[0] if i == 0 else self.random.choice(points), static + (self.random.choice([-2, 3]) if i else 0),
                        whole / f.supplies, i == 0, self.chain(name, i == 0, whole / f.supplies))
        if f.weak_supply_with:
            keys = {"set": 20} if f.weak_supply_with == "regulator" else {}
            loss = {"kind": "cv", "value": 30.0} if f.weak_supply_with == "regulator" else None
            self.supply("weak", points[-1], 22.0, whole, False, [("weak-shut", f.weak_supply_with, loss, keys)])
        self.make_runs()
        return self.in_metric() if f.metric else self.plain

    def make_runs(self) -> None:
        valves = [row["id"] for row in self.plain["valves"]]
        own = [row["id"] for row in self.plain["heads"] if row["own_valve"] is not None]
        if self.f.all_open:
            self.plain["runs"].append({"id": "everything", "valves": valves + own})
        self.plain["runs"] += [{"id": f"only-{valve}", "valves": [valve]} for valve in valves[:1] + own[:1]]
        if len(valves) > 2:
            self.plain["runs"].append({"id": "two", "valves": valves[1:3]})

    def in_metric(self) -> dict:
        """The same numbers of a designer who works in metric units: converted, then rounded."""
        def number(value: float, factor: float) -> float:
            return float(f"{value * factor:.6g}")

        def loss(row: dict | None) -> dict | None:
            if row is None or row["kind"] in ("none", "cv", "kv"):
                return row
            if row["kind"] == "k":
                return row | {"bore": number(row["bore"], INCH)}
            return row | {"flow": [number(q, GPM) for q in row["flow"]], "loss": [number(p, PSI) for p in row["loss"]]}

        def held(row: dict) -> dict:
            return row | {key: None if row[key] is None else number(row[key], PSI) for key in ("set", "own_set") if key in row}

        p = self.plain
        return p | {
            "units": "metric", "temperature": round((p["temperature"] - 32) / 1.8, 2),
            "points": {name: number(z, FOOT) for name, z in p["points"].items()},
            "supplies": [row | {"static": number(row["static"], PSI),
                                "tests": [[number(q, GPM), number(r, PSI)] for q, r in row["tests"]]} for row in p["supplies"]],
            "devices": [held(row) | {"loss": loss(row["loss"]), "rise": row["rise"] and {
                "flow": [number(q, GPM) for q in row["rise"]["flow"]],
                "rise": [number(r, PSI) for r in row["rise"]["rise"]]}} for row in p["devices"]],
            "valves": [held(row) | {"loss": loss(row["loss"])} for row in p["valves"]],
            "nozzles": {name: row | {"pressure": [number(x, PSI) for x in row["pressure"]],
                                     "flow": [number(x, GPM) for x in row["flow"]]} for name, row in p["nozzles"].items()},
            "heads": [held(row) for row in p["heads"]],
            "pipes": [row | {"length": number(row["length"], FOOT),
                             "bore": row["bore"] * INCH if row["size"] else number(row["bore"], INCH),
                             "roughness": row["roughness"] * INCH} for row in p["pipes"]],
            "laterals": [row | {"first": number(row["first"], FOOT), "spacing": number(row["spacing"], FOOT)} for row in p["laterals"]],
        }


def random_features(seed: int) -> Features:
    """Any mixture of the knobs, some of each kind."""
    r = random.Random(f"features {seed}")

    def now_and_then(share: float = 0.35) -> bool:
        return r.random() < share

    exponents = r.sample([0.5, 0.5, "chart", "chart", 0.0, 0.3, 0.45, 0.6, 0.8, 1.0], r.randint(1, 3))
    return Features(
        metric=now_and_then(0.3), darcy_weisbach=now_and_then(), temperature_f=r.choice([40.0, 60.0, 60.0, 75.0, 95.0]),
        zones=r.randint(1, 5), heads_per_zone=r.randint(1, 10), supplies=r.choice([1, 1, 1, 2, 3]), tests=r.randint(0, 3),
        main_loops=r.randint(0, 3), lateral_loops=r.randint(0, 2), hills=r.choice([0, 5, 20]), meter=now_and_then(),
        backflow=now_and_then(), filter=now_and_then(), master=now_and_then(), pump=now_and_then(0.25),
        regulator=now_and_then(0.25), idle_regulator=now_and_then(0.2),
        weak_supply_with=r.choice(["", "", "", "check", "regulator"]), regulated_valves=now_and_then(0.25),
        regulated_heads=now_and_then(0.25), swing_joints=now_and_then(), own_valves=r.choice([0, 0, 1, 2]),
        main_heads=r.choice([0, 0, 1]), chart_valves=now_and_then(), minor_losses=now_and_then(), closed=now_and_then(0.2),
        exponents=tuple(exponents), dry_heads=now_and_then(0.1), zero_lengths=now_and_then(), shorthand=now_and_then(),
        all_open=now_and_then(0.5), spring_meter=now_and_then(0.15), static=r.choice([0.0] * 9 + [12.0]))


def generate(seed: int, features: Features) -> dict:
    """The plain data of one system (see generator/plain.py)."""
    return Maker(seed, features).make()
