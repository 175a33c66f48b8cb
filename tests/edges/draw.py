"""Cases at the edges of what can be built, and beyond: a few ordinary numbers and, here and there, one that is not.

Everything is drawn from a seed. `edge` is the share of numbers taken from the edge: a 48 in pipe beside one of 0.1 in,
heads of 0.001 gpm beside heads of 100, flow tests that hardly fall, charts with level stretches, one foot beside a mile.
"""

from __future__ import annotations

from random import Random


def text(value) -> str:
    """TOML of a number, a text, a truth or a list."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list):
        return "[" + ", ".join(text(one) for one in value) + "]"
    return repr(value)


class Draw:
    """A case in US units: trees with a few rings, one to three supplies, every kind of device, one-way and regulating."""

    def __init__(self, seed: int, edge: float) -> None:
        self.random, self.edge = Random(seed), edge
        self.tables: dict[str, list[dict]] = {name: [] for name in ("supplies", "devices", "valves", "nozzles", "heads", "pipes")}
        self.points: list[str] = []

    def chance(self, share: float) -> bool:
        return self.random.random() < share

    def number(self, low: float, high: float, edges: list[float]) -> float:
        return self.random.choice(edges) if self.chance(self.edge) else low * (high / low) ** self.random.random()

    def flows(self, most_rows: int, low: float, high: float, edges: list[float]) -> list[float]:
        return sorted({self.number(low, high, edges) for _ in range(self.random.randint(1, most_rows))})

    def add_supply(self, id: str) -> None:
        row = {"id": id, "static": self.number(10, 150, [0, 1, 1500])}
        if self.chance(0.5):
            row["flow"] = self.flows(3, 1, 3000, [0.001, 0.1, 3e4])
            left, row["residual"] = row["static"], []
            for _ in row["flow"]:
                fall = self.random.choice([1e-15, 1e-9, 1e-5]) if self.chance(self.edge) else self.number(0.5, 30, [0.001, 500])
                left = min(left - fall, left * (1 - 1e-12) - 1e-12)
                row["residual"].append(left)
        if self.chance(0.4):
            row["elev"] = self.random.choice([-5, 10, 100])
        self.tables["supplies"].append(row)

    def add_nozzle(self, id: str) -> None:
        row = {"id": id, "design": 30}
        if self.chance(0.6):
            row |= {"pressure": self.number(15, 70, [1, 700]), "flow": self.number(0.1, 100, [0.001, 0.01, 1000]),
                    "exponent": self.random.choice([0.5, 0.5, 0.5, 0, 0.05, 1, 0.3])}
        else:
            row["pressure"] = sorted({self.number(15, 70, [1, 700]) for _ in range(self.random.randint(2, 4))})
            flow, row["flow"] = self.number(0.1, 30, [0.001, 300]), []
            for _ in row["pressure"]:
                row["flow"].append(flow)
                flow *= 1 + self.random.choice([0.03, 0.1, 0.5])
        self.tables["nozzles"].append(row)

    def add_head(self, id: str) -> None:
        row = {"id": id, "nozzle": self.random.choice(self.tables["nozzles"])["id"]}
        if self.chance(0.3):
            row["cv"] = self.number(0.5, 50, [0.05, 500])
        if self.chance(0.2):
            row["set"] = self.number(10, 60, [1, 600])
        if self.chance(0.3):
            row["elev"] = self.random.choice([0, 3, -20, 200, 500])
        self.tables["heads"].append(row)

    def add_device(self, id: str) -> None:
        kind = self.random.choice(["meter", "backflow", "filter", "regulator", "regulator", "check", "check", "pump", "other"])
        row: dict = {"id": id, "type": kind}
        if kind == "pump":
            row["flow"] = self.flows(4, 1, 500, [0, 0.001, 5000])
            rise, row["rise"] = self.number(5, 100, [0, 0.05, 1000]), []
            for _ in row["flow"]:
                row["rise"].append(rise)
                rise = max(0.0, rise - self.number(0.01, rise / 5 + 0.02, [0, 1e-12, rise / 2, rise]))
        elif self.chance(0.35):
            row["cv"] = self.number(1, 100, [0.1, 1000])
        elif self.chance(0.4):
            row["flow"] = self.flows(4, 1, 500, [0, 0.1, 5000])
            loss, row["loss"] = self.number(0.1, 10, [0, 0.001, 100]), []
            for _ in row["flow"]:
                row["loss"].append(loss)
                loss += self.random.choice([0, 0, 1e-12, 1, 5])
            if row["flow"] == [0]:
                row |= {"flow": [0, 10], "loss": [row["loss"][0], row["loss"][0] + 1]}
        elif self.chance(0.4):
            row |= {"k": self.number(0.1, 20, [0, 0.001, 2000]), "bore": self.number(0.5, 12, [0.1, 48])}
        elif kind != "regulator":
            row["cv"] = 10
        if kind == "regulator" or (kind != "pump" and self.chance(0.15)):
            row["set"] = self.number(5, 90, [0.5, 900])
        if kind != "pump" and self.chance(0.1):
            row["one_way"] = True
        self.tables["devices"].append(row)

    def add_valve(self, id: str) -> None:
        row = {"id": id, "cv": self.number(1, 60, [0.1, 600])}
        if self.chance(0.3):
            row["set"] = self.number(5, 90, [0.5, 900])
        self.tables["valves"].append(row)

    def add_pipe(self, start: str, end: str) -> None:
        if any(pipe["from"] == start and pipe["to"] == end for pipe in self.tables["pipes"]):
            return
        row = {"from": start, "to": end, "bore": self.number(0.5, 12, [0.1, 48]), "length": self.number(1, 500, [0, 0.1, 1e4]),
               "c": self.random.choice([150, 150, 140, 100, 10])}
        if self.chance(0.15):
            row["k"] = self.number(0.1, 10, [0, 0.01, 100])
        self.tables["pipes"].append(row)

    def draw(self) -> str:
        supplies = [f"s{i}" for i in range(self.random.randint(1, 3))]
        for id in supplies:
            self.add_supply(id)
        for i in range(self.random.randint(1, 3)):
            self.add_nozzle(f"n{i}")
        inner = []
        for i in range(self.random.randint(2, 14)):
            kind = self.random.choices(["h", "d", "v", "t"], [40, 22, 13, 25])[0]
            inner.append(f"{kind}{i}")
            add = {"h": self.add_head, "d": self.add_device, "v": self.add_valve}.get(kind)
            if add:
                add(inner[-1])
        if not self.tables["heads"]:
            inner.append("h")
            self.add_head("h")
        placed = list(supplies)
        for point in inner:
            self.add_pipe(self.random.choice(placed if self.chance(0.3) else placed[-4:]), point)
            placed.append(point)
        started = {pipe["from"] for pipe in self.tables["pipes"]}
        for point in inner:   # what has two sides needs a way on
            if point[0] in "dv" and point not in started:
                self.add_head("L" + point)
                self.add_pipe(point, "L" + point)
        for supply in supplies:
            if supply not in started:
                self.add_pipe(supply, self.random.choice(inner))
        for _ in range(self.random.choice([0, 0, 1, 1, 2, 4])):
            self.add_pipe(*self.random.sample(placed, 2))
        lines = ['units = "us"', "ground = 0"] + (['friction = "darcy-weisbach"'] if self.chance(0.3) else [])
        for name, rows in self.tables.items():
            if rows:
                lines.append(f"{name} = [")
                lines += ["  { " + ", ".join(f"{key} = {text(value)}" for key, value in row.items()) + " }," for row in rows]
                lines.append("]")
        return "\n".join(lines) + "\n"
