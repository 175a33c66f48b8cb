"""Balances a generated system from the bare equations with a general-purpose root finder (scipy.optimize.root).

Unknown: a flow q for every link and a height H for every node. Equations: at each node inflow = outflow (+ a vanishing draw, so
that heights where nothing flows are the limit that is reported there); for each link, with D = H(tail) - H(head),

    free link           D - d(q) = 0
    one way             min(q, d(q) - D) = 0
    spring both ways    mid(q, d(q) - D, d(q) - 2 L0 - D) = 0           d(0+) = L0
    set pressure        min(q, H(head) - min(set, H(tail) - d(q))) = 0
    head                mid(min(q, F), q - most) = 0, F = nozzle height + joint - (H - elevation), most = its flow at `set`

Each `min` is smoothed at first, min(a, b) ~ (a + b - sqrt((a - b)^2 + 4 m^2)) / 2, with m falling to 0; SciPy's root finder is called
for each m, and the last time on the equations as they stand. Flows are counted in L/s so that all unknowns have like size.
The input is the plain data of tests/generator (see generator/plain.py), never a case file or anything of the program's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Callable

import numpy as np
from scipy import optimize, sparse
from scipy.sparse.linalg import splu

from validation.independent import laws

LITRE = 1e-3          # m3/s of one unit of flow
WEIGHT = 10.0         # m that one L/s counts in a comparison of a flow with a height
VANISHING = 1e-12     # m3/s drawn at every node: 1e-9 L/s, which CLOSED must be able to see
CLOSED = 1e-11        # largest residual (m or L/s) of a root
LEAST_SLOPE = 1e-6    # s/m2, added to every free link: 1e-9 m at 1 L/s
US = {"pressure": laws.PSI, "flow": laws.GALLON / 60, "length": laws.FOOT, "bore": laws.INCH, "roughness": laws.INCH}
METRIC = {"pressure": 1e3, "flow": LITRE / 60, "length": 1.0, "bore": 1e-3, "roughness": 1e-3}


class NotFound(Exception):
    """The root finder did not come to an end; says nothing about the system."""


@dataclass
class Link:
    name: tuple[str, str]                     # (table, id)
    tail: int
    head: int                                 # -1: the air or the source at a fixed height
    law: Callable[[float], tuple[float, float]]
    kind: str = "free"                        # free, one-way, spring, set, head, source
    fixed: float = 0.0                        # height of the air or the source; of `set`
    at_rest: float = 0.0                      # L0 of a spring
    most: float = math.inf                    # m3/s, of a head


@dataclass
class Balance:
    """Flows in m3/s and gauge pressures in Pa; None where no water can come."""
    flow: dict[tuple[str, str], float]
    pressure: dict[str, float | None]         # by point
    inlet: dict[str, float | None]            # by device or valve
    outlet: dict[str, float | None]
    nozzle: dict[str, float | None]           # by head
    miss: float                               # m or L/s, largest residual of the bare equations
    notes: set[str] = field(default_factory=set)


def smooth_min(a: float, b: float, m: float) -> tuple[float, float]:
    """min(a, b), smoothed over m, and its derivative by a (that by b is 1 less it)."""
    if m == 0:
        return (a, 1.0) if a <= b else (b, 0.0)
    root = math.hypot(a - b, 2 * m)
    return (a + b - root) / 2, (1 - (a - b) / root) / 2


class Run:
    """One run of a plain system: open valves, links, nodes, and the equations between them."""

    def __init__(self, plain: dict, open_valves: list[str]):
        self.plain = plain
        self.unit = US if plain["units"] == "us" else METRIC
        celsius = (plain["temperature"] - 32) / 1.8 if plain["units"] == "us" else plain["temperature"]
        self.density = laws.density(celsius)
        self.kinematic = laws.viscosity(celsius) / self.density
        self.elevation = {point: z * self.unit["length"] for point, z in plain["points"].items()}
        self.two_sided = {row["id"] for table in ("devices", "valves") for row in plain[table]}
        self.nodes: dict[tuple[str, str], int] = {}
        self.links: list[Link] = []
        self.open = set(open_valves)
        self.build()
        self.drop_unreached()

    # ---- units -------------------------------------------------------------------------------------------------
    def height(self, pressure: float) -> float:
        return pressure * self.unit["pressure"] / (self.density * laws.GRAVITY)

    def flow(self, value: float) -> float:
        return value * self.unit["flow"]

    # ---- building ----------------------------------------------------------------------------------------------
    def node(self, point: str, side: str) -> int:
        return self.nodes.setdefault((point, side if point in self.two_sided else ""), len(self.nodes))

    def loss(self, loss: dict) -> tuple[Callable, float]:
        """(law, L0) of a valve's, device's or joint's loss."""
        kind = loss["kind"]
        if kind in ("cv", "kv"):
            return laws.coefficient(kind, loss["value"]), 0.0
        if kind == "k":
            return laws.minor(loss["value"], loss["bore"] * self.unit["bore"]), 0.0
        if kind == "chart":
            return laws.loss_chart([self.flow(q) for q in loss["flow"]], [self.height(p) for p in loss["loss"]])
        return (lambda q: (0.0, 0.0)), 0.0

    def build(self) -> None:
        for row in self.plain["supplies"]:
            top = self.elevation[row["id"]] + self.height(row["static"])
            drops = [(self.flow(q), self.height(row["static"] - p)) for q, p in row["tests"]]
            law = laws.flow_tests(drops) if drops else (lambda q: (0.0, 0.0))
            self.links.append(Link(("supplies", row["id"]), self.node(row["id"], ""), -1, law, "source", top))
        for row in self.plain["devices"]:
            if not row["closed"]:
                self.add_two_sided("devices", row, row["one_way"])
        for row in self.plain["valves"]:
            if row["id"] in self.open:
                self.add_two_sided("valves", row, False)
        for row in self.plain["pipes"]:
            if not row["closed"]:
                self.links.append(Link(("pipes", row["id"]), self.node(row["from"], "out"), self.node(row["to"], "in"),
                                       self.pipe(row)))
        for row in self.plain["heads"]:
            if row["own_valve"] is None or row["id"] in self.open:
                self.add_head(row)

    def add_two_sided(self, table: str, row: dict, one_way: bool) -> None:
        if row.get("rise"):
            law, at_rest, one_way = laws.pump([self.flow(q) for q in row["rise"]["flow"]],
                                              [self.height(p) for p in row["rise"]["rise"]]), 0.0, True
        else:
            law, at_rest = self.loss(row["loss"])
        kind = "one-way" if one_way else "spring" if at_rest > 0 else "free"
        fixed = 0.0
        if row["set"] is not None:
            kind, fixed = "set", self.elevation[row["id"]] + self.height(row["set"])
        self.links.append(Link((table, row["id"]), self.node(row["id"], "in"), self.node(row["id"], "out"), law, kind,
                               fixed, at_rest))

    def pipe(self, row: dict) -> Callable:
        bore = row["bore"] * self.unit["bore"]
        length = row["length"] * self.unit["length"] * (1 + row["fittings"])
        if self.plain["friction"] == "hazen-williams":
            friction = laws.hazen_williams(length, row["c"], bore)
        else:
            friction = laws.darcy_weisbach(length, bore, row["roughness"] * self.unit["roughness"], self.kinematic)
        if not row["k"]:
            return friction
        local = laws.minor(row["k"], bore)

        def both(q: float) -> tuple[float, float]:
            (d, s), (e, t) = friction(q), local(q)
            return d + e, s + t
        return both

    def nozzle_rows(self, row: dict) -> tuple[list[float], list[float], float]:
        nozzle = self.plain["nozzles"][row["nozzle"]]
        return [self.height(p) for p in nozzle["pressure"]], [self.flow(q) for q in nozzle["flow"]], nozzle["exponent"]

    def add_head(self, row: dict) -> None:
        rows = self.nozzle_rows(row)
        height, most = laws.nozzle(*rows)
        if row["set"] is not None:
            most = min(most, laws.nozzle_flow(*rows, self.height(row["set"])))
        joint = [self.loss(row["joint"])[0]] if row["joint"] is not None else []
        if row["own_set"] is not None:      # the valve holds what joint and nozzle take together
            held = self.height(row["own_set"])

            def over(q: float) -> float:
                return height(q)[0] + sum(loss(q)[0] for loss in joint) - held
            ceiling = laws.nozzle_flow(*rows, held)
            most = min(most, ceiling if over(ceiling) <= 0 else optimize.brentq(over, 0, ceiling, xtol=1e-18, rtol=1e-15))
        before = joint + ([self.loss(row["own_valve"])[0]] if row["own_valve"] is not None else [])

        def law(q: float) -> tuple[float, float]:
            parts = [height(q)] + [loss(q) for loss in before]
            return sum(d for d, _ in parts), sum(s for _, s in parts)
        self.links.append(Link(("heads", row["id"]), self.node(row["id"], ""), -1, law, "head", self.elevation[row["id"]],
                               most=most))

    def drop_unreached(self) -> None:
        """Keeps what some supply reaches in the direction that one-way links allow."""
        reached = {link.tail for link in self.links if link.kind == "source"}
        grown = True
        while grown:
            grown = False
            for link in self.links:
                if link.head < 0:
                    continue
                ends = [(link.tail, link.head)] + ([(link.head, link.tail)] if link.kind in ("free", "spring") else [])
                for start, end in ends:
                    if start in reached and end not in reached:
                        reached.add(end)
                        grown = True
        self.links = [link for link in self.links if link.tail in reached and (link.head < 0 or link.head in reached)]
        self.reached = {key: index for key, index in self.nodes.items() if index in reached}
        order = {old: new for new, old in enumerate(sorted(reached))}
        order[-1] = -1
        for link in self.links:
            link.tail, link.head = order[link.tail], order[link.head]
        self.reached = {key: order[index] for key, index in self.reached.items()}
        self.count = len(order) - 1

    # ---- equations ---------------------------------------------------------------------------------------------
    def equations(self, z: np.ndarray, m: float, jacobian: bool = True):
        """Residuals and (sparse) Jacobian at z = (flows in L/s, heights in m) with the smoothing m."""
        n = len(self.links)
        miss = np.zeros(n + self.count)
        miss[n:] = VANISHING / LITRE
        rows, columns, values = [], [], []

        def put(row: int, column: int, value: float) -> None:
            rows.append(row)
            columns.append(column)
            values.append(value)

        for i, link in enumerate(self.links):
            q, tail = z[i], n + link.tail
            head_height = z[n + link.head] if link.head >= 0 else link.fixed
            d, steep = link.law(q * LITRE)
            steep *= LITRE
            sign = 1 if link.kind != "source" else -1            # a source's flow runs from the fixed height to the node
            D = sign * (z[tail] - head_height)
            miss[tail] += sign * q
            put(tail, i, sign)
            if link.head >= 0:
                miss[n + link.head] -= q
                put(n + link.head, i, -1)
            if link.kind in ("free", "source"):
                miss[i] = d + LEAST_SLOPE * LITRE * q - D
                by_q, by_D = steep + LEAST_SLOPE * LITRE, -1.0
            elif link.kind == "one-way":
                miss[i], share = smooth_min(WEIGHT * q, d - D, m)
                by_q, by_D = share * WEIGHT + (1 - share) * steep, share - 1
            elif link.kind == "spring":
                low, share = smooth_min(WEIGHT * q, d - D, m)
                top, other = smooth_min(-low, 2 * link.at_rest - d + D, m)      # max(a, b) = -min(-a, -b)
                miss[i] = -top
                by_q = other * (share * WEIGHT + (1 - share) * steep) + (1 - other) * steep
                by_D = other * (share - 1) + (other - 1)
            elif link.kind == "head":
                low, share = smooth_min(WEIGHT * q, d - D, m)
                by_q, by_D = share * WEIGHT + (1 - share) * steep, share - 1
                miss[i] = low
                if math.isfinite(link.most):
                    top, other = smooth_min(-low, -WEIGHT * (q - link.most / LITRE), m)
                    miss[i] = -top
                    by_q, by_D = other * by_q + (1 - other) * WEIGHT, other * by_D
            elif link.kind == "set":
                outlet, share = smooth_min(link.fixed, z[tail] - d, m)
                miss[i], mine = smooth_min(WEIGHT * q, head_height - outlet, m)
                put(i, i, mine * WEIGHT + (1 - mine) * (1 - share) * steep)
                put(i, tail, -(1 - mine) * (1 - share))
                put(i, n + link.head, 1 - mine)
                continue
            put(i, i, by_q)
            put(i, tail, sign * by_D)
            if link.head >= 0:
                put(i, n + link.head, -sign * by_D)
        if not jacobian:
            return miss
        return miss, sparse.csc_matrix((values, (rows, columns)), shape=(len(miss), len(miss)))

    # ---- solving -----------------------------------------------------------------------------------------------
    def approach(self, z: np.ndarray, m: float, rounds: int) -> np.ndarray:
        """Damped Newton steps towards the root for one m: only a first guess for the root finder."""
        miss, slopes = self.equations(z, m)
        size = np.linalg.norm(miss)
        for _ in range(rounds):
            step = splu(slopes + 1e-12 * sparse.identity(len(z), format="csc")).solve(-miss)
            if not np.all(np.isfinite(step)):
                break
            share = 1.0
            while share > 1e-4:
                trial = z + share * step
                trial_miss, trial_slopes = self.equations(trial, m)
                trial_size = np.linalg.norm(trial_miss)
                if trial_size < (1 - 0.1 * share) * size:
                    break
                share /= 2
            else:
                break
            z, miss, slopes, size = trial, trial_miss, trial_slopes, trial_size
            if size < 1e-13:
                break
        return z

    def solve(self) -> Balance:
        n = len(self.links)
        tops = [link.fixed for link in self.links if link.kind == "source"]
        best = None
        for start_height, start_flow in ((max(tops), 0.05), (min(tops), 0.3), (max(tops) - 20, 1.0)):
            z = np.concatenate([np.full(n, start_flow), np.full(self.count, start_height)])
            for m in (10, 3, 1, 0.3, 0.1, 0.03, 0.01, 1e-3, 1e-4, 1e-5, 1e-6, 1e-7, 1e-8, 0.0):
                z = self.approach(z, m, 60)
            found = optimize.root(lambda x: self.equations(x, 0.0, False), z, jac=lambda x: self.equations(x, 0.0)[1].toarray(),
                                  method="hybr", options={"xtol": 1e-15})
            for x in (z, found.x):
                miss = float(np.max(np.abs(self.equations(x, 0.0, False))))
                if best is None or miss < best[1]:
                    best = x, miss
            if best[1] < CLOSED:
                return self.report(*best)
        raise NotFound(f"largest residual {best[1]:.3g}")

    # ---- reporting ---------------------------------------------------------------------------------------------
    def report(self, z: np.ndarray, miss: float) -> Balance:
        n = len(self.links)
        flow = {link.name: z[i] * LITRE for i, link in enumerate(self.links)}
        weight = self.density * laws.GRAVITY

        def pressure(point: str, side: str) -> float | None:
            index = self.reached.get((point, side if point in self.two_sided else ""))
            return None if index is None else (z[n + index] - self.elevation[point]) * weight

        heads = {row["id"]: row for row in self.plain["heads"]}
        nozzle = {}
        for name, row in heads.items():
            below = pressure(name, "")
            q = flow.get(("heads", name))
            if below is None or q is None:
                nozzle[name] = None
                continue
            def lost(loss: dict | None) -> float:
                return 0.0 if loss is None else self.loss(loss)[0](q)[0] * weight
            body = below - lost(row["own_valve"])
            if row["own_set"] is not None:
                body = min(body, row["own_set"] * self.unit["pressure"])
            body -= lost(row["joint"])
            nozzle[name] = body if row["set"] is None else min(body, row["set"] * self.unit["pressure"])
        points = {point for point, _ in self.nodes} - self.two_sided
        return Balance(flow, {p: pressure(p, "") for p in points}, {p: pressure(p, "in") for p in self.two_sided},
                       {p: pressure(p, "out") for p in self.two_sided}, nozzle, miss)
