"""Takes off cases a second time, from their files alone, and compares line by line.

    python3 -m takeoff.recount BINARY CASE... [--drawn COUNT]

Nothing of the program is used: the case is read by cases/plain_case.py, what meets at a point is found here by bearings (whole
degrees of a compass, where the program works with vectors), stretches by walking piece by piece, and trenches by
stepping along every pipe in tenths of a foot and looking for a pipe that is dug already. The rules are those that the
program prints under "assumed"; they are written again here. The drawn cases are made by takeoff/draw.py: pipes side by side,
at every angle, of every size, with and without coordinates, which the shipped ones have little of.
"""

import argparse
import collections
import json
import math
import subprocess
import sys
import tempfile
from pathlib import Path

from takeoff.draw import draw
from takeoff.plain import Case, turned

INLETS = [("1/2", 4), ("3/4", 12), ("1", 26), ("1-1/2", math.inf)]      # gpm
GPM = 231 * 0.0254 ** 3 / 60 * 60000      # L/min of one
STEP = 0.1      # ft, along a pipe that is looked at for trenches


class Count:
    def __init__(self, case):
        self.case, self.lines, self.through = case, collections.Counter(), {}
        self.fittings()
        self.stretches()
        self.rest()

    def add(self, item, family="", sizes=(), of="", number=1):
        if len(set(sizes)) == 1 and item not in ("head-tee", "head-elbow"):
            sizes = sizes[:1]
        self.lines[item, family, " x ".join(sizes), of] += number

    def elbows(self, pipe, degrees):
        family, _, least, _ = self.case.rule(pipe)
        if degrees < least - 1e-9:
            return False
        eighths = math.floor(degrees / 45 + 0.5)
        if eighths // 2:
            self.add("elbow-90", family, [pipe["nominal"]], number=eighths // 2)
        if eighths % 2:
            self.add("elbow-45", family, [pipe["nominal"]])
        return True

    def fittings(self):
        case = self.case
        for (point, side), pipes in case.meetings().items():
            pipes = sorted(pipes, key=lambda pipe: -case.wide(pipe))
            bearings = {pipe["id"]: case.bearing(point, pipe) for pipe in pipes}
            family = case.rule(pipes[0])[0]
            if point in case.supplies:
                self.gather(pipes, bearings)
                self.add("connection", family, [pipes[0]["nominal"]])
            elif side:
                self.gather(pipes, bearings)
                thread = case.thread(point)
                if family != "steel":
                    self.add("thread-adapter", family, [pipes[0]["nominal"], thread])
                elif thread != pipes[0]["nominal"]:
                    self.add("reducer", family, [pipes[0]["nominal"], thread])
            elif point in case.heads:
                self.head(point, pipes, bearings)
            elif len(pipes) == 1:
                self.add("cap", family, [pipes[0]["nominal"]])
            else:
                self.join(pipes, bearings, point)

    def gather(self, pipes, bearings):
        if len(pipes) > 1:
            stub = dict(pipes[0], id="stub")
            self.join([stub, *pipes], bearings | {"stub": None}, None)

    def join(self, pipes, bearings, point):
        case = self.case
        family = case.rule(pipes[0])[0]
        known = all(bearings[pipe["id"]] is not None for pipe in pipes)
        if len(pipes) == 2:
            wide, narrow = pipes
            other = case.rule(narrow)[0]
            turn = turned(*(bearings[pipe["id"]] for pipe in pipes)) if known else 0
            if family == other and wide["nominal"] == narrow["nominal"] and wide["kind"] == narrow["kind"]:
                if not self.elbows(narrow, turn) and point is not None:
                    self.through[point] = (wide["id"], narrow["id"])
                return
            if family != other:
                self.add("transition", f"{family} to {other}", [wide["nominal"], narrow["nominal"]])
            elif wide["nominal"] != narrow["nominal"]:
                self.add("reducer", family, [wide["nominal"], narrow["nominal"]])
            if not self.elbows(narrow, turn) and family == other and wide["nominal"] == narrow["nominal"]:
                self.add(case.rule(wide)[3], family, [wide["nominal"]])
            return
        widest = pipes[0]
        if known and len(pipes) in (3, 4):
            pairs = [(turned(bearings[one["id"]], bearings[other["id"]]), i, j) for i, one in enumerate(pipes)
                     for j, other in enumerate(pipes) if i < j]
            least = min(pairs)[0]
            _, i, j = min((pair for pair in pairs if pair[0] < least + 1), key=lambda pair: (pair[1], pair[2]))
            pipes = [pipes[i], pipes[j], *(pipe for k, pipe in enumerate(pipes) if k not in (i, j))]
        if len(pipes) > 4:
            raise ValueError(f"{point}: more than four pipes meet; no shipped case has that")
        sizes = []
        for pipe in pipes:
            other = case.rule(pipe)[0]
            if other != family:
                self.add("transition", f"{family} to {other}", [pipe["nominal"], pipe["nominal"]])
            sizes.append(pipe["nominal"])
        turn = {(i, j): turned(bearings[pipes[i]["id"]], bearings[pipes[j]["id"]])
                for i in range(len(pipes)) for j in range(i + 1, len(pipes))} if known else {}
        if len(pipes) == 4 and turn.get((2, 3), 0) < 45:
            self.several("cross", family, sizes)
            for i, j in ((0, 1), (2, 3)):
                self.elbows(pipes[j], turn.get((i, j), 0))
            return
        if len(pipes) == 4:
            self.several("tee", family, [sizes[0], sizes[0], sizes[2]])
            sizes = [sizes[0], sizes[1], sizes[3]]
        self.several("tee", family, sizes)
        if not known:
            return
        self.elbows(pipes[1], turn[0, 1])
        # The axis of the run: halfway between one end and the opposite of the other.
        run = [bearings[pipe["id"]] for pipe in pipes[:2]]
        back = (run[1] + 180) % 360
        axis = run[0] + ((back - run[0] + 180) % 360 - 180) / 2
        for branch in pipes[2:]:
            self.elbows(branch, abs(90 - turned(axis % 360, bearings[branch["id"]])))

    def several(self, name, family, sizes):
        self.add(name if len(set(sizes)) == 1 else "reducing-" + name, family, sizes)

    def inlet(self, head):
        nozzle = self.case.nozzles[self.case.heads[head]["nozzle"]]
        pressures, flows = self.case.number(nozzle["pressure"]), self.case.number(nozzle["flow"])
        wanted = self.case.number(nozzle["design"])[0]
        flow = flows[0] if wanted <= pressures[0] else flows[-1]
        for low, high, few, many in zip(pressures, pressures[1:], flows, flows[1:]):
            if low < wanted <= high:
                flow = few + (many - few) * (wanted - low) / (high - low)
        if self.case.metric:
            flow /= GPM
        return next(name for name, most in INLETS if flow <= most)

    def head(self, point, pipes, bearings):
        inlet = self.inlet(point)
        family = self.case.rule(pipes[-1])[0]
        if len(pipes) == 1:
            return self.add("head-elbow", family, [pipes[0]["nominal"], inlet])
        if len(pipes) == 2 and self.case.rule(pipes[0])[0] == family:
            sizes = list(dict.fromkeys(pipe["nominal"] for pipe in pipes))
            self.add("head-tee", family, [*sizes, inlet])
            if None not in bearings.values():
                self.elbows(pipes[1], turned(*(bearings[pipe["id"]] for pipe in pipes)))
            return None
        self.join(pipes, bearings, None)
        return self.add("head-tee", family, [pipes[-1]["nominal"], inlet])

    def stretches(self):
        """Pipes that go on without a fitting are one: walked through, piece by piece."""
        group = {pipe["id"]: pipe["id"] for pipe in self.case.pipes}
        def root(name):
            while group[name] != name:
                name = group[name]
            return name
        for one, other in self.through.values():
            group[root(one)] = root(other)
        length = collections.Counter()
        for pipe in self.case.pipes:
            length[root(pipe["id"])] += pipe["length"]
        by_id = {pipe["id"]: pipe for pipe in self.case.pipes}
        for name, whole in length.items():
            family, piece, _, joint = self.case.rule(by_id[name])
            joints, laid = 0, piece
            while laid < whole - 1e-5:
                laid += piece
                joints += 1
            if joints:
                self.add(joint, family, [by_id[name]["nominal"]], number=joints)

    def rest(self):
        case = self.case
        for pipe in case.pipes:
            self.lines["pipe", pipe["kind"], pipe["nominal"], ""] += pipe["length"]
        for head, row in case.heads.items():
            self.add("valve-in-head" if head in case.own_valves else "head", "", [self.inlet(head)])
            self.add("nozzle", of=row["nozzle"])
            self.add("swing-joint" if "cv" in row or "kv" in row else "riser", "", [self.inlet(head)])
        for table in (case.valves, case.devices):
            for name, row in table.items():
                self.add(row["type"] if table is case.devices else "zone-valve", "", [case.thread(name)])
        self.boxes()
        self.wire()
        self.trenches()

    def boxes(self):
        case, left = self.case, list(self.case.valves)
        reach = 0.6 if case.metric else 2
        while left:
            first, *left = left
            near = [name for name in left if first in case.place and name in case.place
                    and math.dist(case.place[first], case.place[name]) <= reach][:2]
            left = [name for name in left if name not in near]
            self.add("large-valve-box" if near else "valve-box")
        for row in case.devices.values():
            kind = {"gate": "round-valve-box", "quick-coupler": "round-valve-box", "master": "valve-box",
                    "flow-sensor": "valve-box", "regulator": "valve-box"}.get(row["type"])
            if kind:
                self.add(kind)

    def wire(self):
        """Ways by relaxing every pipe of the mainline until nothing gets shorter (Bellman and Ford)."""
        case = self.case
        start = "controller" if "controller" in case.place else next(iter(case.plain["supplies"]))["id"]
        way = collections.defaultdict(lambda: math.inf, {start: 0})
        before = {}
        mainline = [pipe for pipe in case.pipes if pipe["id"] in case.on_mainline]
        for _ in mainline:
            for pipe in mainline:
                for here, there in ((pipe["from"], pipe["to"]), (pipe["to"], pipe["from"])):
                    if way[here] + pipe["length"] < way[there] - 1e-12:
                        way[there], before[there] = way[here] + pipe["length"], (here, pipe["length"])
        slack = 1 if case.metric else 3
        targets = [*case.valves, *(head for head in case.heads if head in case.own_valves),
                   *(name for name, row in case.devices.items() if row["type"] == "master")]
        if not targets:
            return
        longest = max(way[target] for target in targets)
        gauge = (("0.8 mm2", "2 mm2", "4 mm2") if case.metric else ("18 AWG", "14 AWG", "12 AWG"))[
            sum(longest > most for most in ((250, 600) if case.metric else (800, 2000)))]
        steps = {}
        for target in targets:
            while target in before:
                steps[target] = before[target][1]
                target = before[target][0]
        self.add("valve-wire", of=gauge, number=sum(way[target] + 2 * slack for target in targets))
        self.add("common-wire", of=gauge, number=sum(steps.values()) + slack * (len(targets) + 1))
        self.add("wire-connector", number=2 * len(targets))
        for name, row in case.devices.items():
            if row["type"] == "flow-sensor":
                self.add("sensor-cable", number=way[name] + 2 * slack)

    def trenches(self):
        """Steps along every pipe, the mainline first; dug where no earlier pipe that runs the same way is dug beside the step."""
        case, dug = self.case, collections.defaultdict(list)
        width, step = (0.3, STEP * 0.3048) if case.metric else (1, STEP)
        ordered = sorted(case.pipes, key=lambda pipe: pipe["id"] not in case.on_mainline)
        for pipe in ordered:
            item = "mainline-trench" if pipe["id"] in case.on_mainline else "lateral-trench"
            ends = [case.place.get(pipe[end]) for end in ("from", "to")]
            if None in ends or ends[0] == ends[1]:
                self.lines[item, "", "", ""] += pipe["length"]
                continue
            (x, y), (u, v) = ends
            plan = math.dist(*ends)
            count = max(1, math.ceil(plan / step))
            along = ((u - x) / plan, (v - y) / plan)
            own = []
            for i in range(count):
                share = (i + 0.5) / count
                at = (x + share * (u - x), y + share * (v - y))
                if not self.beside(dug, at, along, width, step):
                    own.append((at, along, plan / count / 2))
                    self.lines[item, "", "", ""] += pipe["length"] / count
            for entry in own:
                dug[self.cell(entry[0], width, step)].append(entry)

    @staticmethod
    def cell(at, width, step):
        size = width + step
        return math.floor(at[0] / size), math.floor(at[1] / size)

    def beside(self, dug, at, along, width, step):
        column, row = self.cell(at, width, step)
        for i in (-1, 0, 1):
            for j in (-1, 0, 1):
                for place, way, half in dug.get((column + i, row + j), ()):
                    cosine = along[0] * way[0] + along[1] * way[1]
                    if abs(cosine) < math.cos(math.radians(10)):
                        continue
                    dx, dy = at[0] - place[0], at[1] - place[1]
                    if abs(dx * way[0] + dy * way[1]) <= half * 1.0001 and abs(dx * way[1] - dy * way[0]) <= width:
                        return True
        return False


def compare(binary, path):
    done = subprocess.run([binary, "takeoff", str(path), "--format", "json", "--quiet"], capture_output=True, check=True,
                          timeout=120)
    told = json.loads(done.stdout)
    case = Case(path)
    mine = Count(case).lines
    theirs = collections.Counter()
    for line in told["lines"]:
        theirs[line["item"], line["family"], line["size"], line["of"]] += line["quantity"]
        parts = sum(element["quantity"] for element in line["elements"])
        if abs(parts - line["quantity"]) > 1e-6 * max(1, abs(parts)):
            raise SystemExit(f"{path}: {line['name']}: its elements make {parts}, not {line['quantity']}")
    wrong = 0
    for key in sorted(set(mine) | set(theirs)):
        # A step of the trench is looked at in its middle: each of two ends of a shared stretch may be half a step off.
        slack = 0.01 * mine[key] + 2 if "trench" in key[0] else 1e-6 * abs(mine[key]) + 1e-9
        if abs(mine[key] - theirs[key]) > slack:
            print(f"{path}: {' '.join(filter(None, key))}: {theirs[key]}, counted {mine[key]}")
            wrong += 1
    print(f"{path}: {len(mine)} lines compared, {wrong} differ")
    return wrong


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("binary")
    parser.add_argument("cases", type=Path, nargs="*")
    parser.add_argument("--drawn", type=int, default=0, metavar="COUNT")
    given = parser.parse_args()
    wrong = sum(compare(given.binary, path) for path in given.cases)
    with tempfile.TemporaryDirectory(prefix="evenhead-takeoff-") as folder:
        for seed in range(1, given.drawn + 1):
            path = Path(folder) / f"drawn-{seed}.toml"
            path.write_text(draw(seed), encoding="utf-8")
            wrong += compare(given.binary, path)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
