"""Draws a case for the recount: mains and laterals in bundles a foot or less apart, turns of every angle, mixed sizes and kinds.

What it waters, and whether it could, is of no matter: nothing is balanced.
"""

import math
import random

MAIN = ["pvc-sch40 1-1/2", "pvc-sch40 1-1/4", "pvc-sch40 1", "steel-sch40 1-1/2", "copper-k 1-1/4"]
LATERAL = ["pvc-cl200 1-1/4", "pvc-cl200 1", "pvc-cl200 3/4", "pe-sidr19 1", "pvc-cl160 1"]
NOZZLES = {"small": 1.5, "middle": 8, "large": 20, "golf": 40}


class Drawing:
    def __init__(self, seed):
        self.random = random.Random(seed)
        self.points, self.pipes, self.heads, self.valves = [], [], [], []

    def place(self, x, y):
        """Now and then a point has no coordinates; no two have the same."""
        return f", x = {x:.4f}, y = {y:.4f}" if self.random.random() < 0.93 else ""

    def step(self, x, y, heading):
        """A few feet on, mostly straight, else by a turn that is not near any of those where a rule changes."""
        turn = self.random.choice([0, 0, 0, 3, 30, 45, 60, 88, 90, 120, 135]) * self.random.choice([-1, 1])
        heading += turn
        length = self.random.choice([3, 7, 11, 19.9, 20, 23, 41])
        radians = math.radians(heading)
        return x + length * math.sin(radians), y + length * math.cos(radians), heading, length

    def pipe(self, start, end, length, size):
        self.pipes.append(f'  {{ from = "{start}", to = "{end}", length = {length:.4f}, size = "{size}" }},')

    def lateral(self, valve, x, y, heading):
        last, size = valve, self.random.choice(LATERAL)
        ends = [(last, x, y, heading)]
        for _ in range(self.random.randint(1, 7)):
            last, x, y, heading = ends[-1] if self.random.random() < 0.8 else self.random.choice(ends)
            x, y, heading, length = self.step(x, y, heading)
            if self.random.random() < 0.3:
                size = self.random.choice(LATERAL)
            if self.random.random() < 0.7:
                name = f"h{len(self.heads)}"
                joint = ", cv = 5" if self.random.random() < 0.5 else ""
                self.heads.append(f'  {{ id = "{name}", nozzle = "{self.random.choice(list(NOZZLES))}"{joint}{self.place(x, y)} }},')
            else:
                name = f"p{len(self.points)}"
                self.points.append(f'  {{ id = "{name}"{self.place(x, y)} }},')
            self.pipe(last, name, length * self.random.choice([1, 1, 1.1]), size)
            if sum(f'"{name}"' in pipe for pipe in self.pipes) < 4 and sum(f'"{last}"' in pipe for pipe in self.pipes) < 4:
                ends.append((name, x, y, heading))
            else:
                ends = [(name, x, y, heading)]

    def main(self):
        """A main with valves along it, whose laterals begin side by side with it."""
        last, x, y, heading, size = "street", 0.0, 0.0, self.random.uniform(0, 360), self.random.choice(MAIN)
        for _ in range(self.random.randint(2, 9)):
            x, y, heading, length = self.step(x, y, heading)
            if self.random.random() < 0.3:
                size = self.random.choice(MAIN)
            name = f"p{len(self.points)}"
            self.points.append(f'  {{ id = "{name}"{self.place(x, y)} }},')
            self.pipe(last, name, length, size)
            last = name
            if self.random.random() < 0.6:
                side = math.radians(heading + 90)
                away = self.random.choice([0.4, 0.7, 1.3, 5])
                u, v = x + away * math.sin(side), y + away * math.cos(side)
                valve = f"v{len(self.valves)}"
                self.valves.append(f'  {{ id = "{valve}", cv = 10{self.place(u, v)} }},')
                self.pipe(last, valve, away, self.random.choice(MAIN))
                self.lateral(valve, u, v, heading + self.random.choice([0, 180, 180, 90]))

    def text(self):
        nozzles = [f'  {{ id = "{name}", pressure = [30, 50], flow = [{flow * 0.8}, {flow}], design = 45 }},'
                   for name, flow in NOZZLES.items()]
        tables = {"supplies": ['  { id = "street", static = 60, x = 0, y = 0 },'], "valves": self.valves, "nozzles": nozzles,
                  "heads": self.heads, "points": self.points, "pipes": self.pipes}
        return "ground = 0\n" + "".join(f"{name} = [\n" + "\n".join(rows) + "\n]\n" for name, rows in tables.items() if rows)


def draw(seed):
    drawing = Drawing(seed)
    drawing.main()
    return drawing.text()
