"""Checks the review of a shipped case without the program: the case is read by cases/plain_case.py, changed here, and solved
anew by SciPy (validation/independent). Compared are the head and the zone that decide under each condition of the supply, the
heads that miss a shut pipe or gate, the drop of the supply that each deciding head stands, and what each change of a pipe or
a nozzle gains.

    facts       tests/cases/NAME.review.json: exit status, and which rules fail under which condition

usage: check_review.py PROGRAM CASE_FOLDER FACTS
"""

import copy
import json
import math
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from cases.plain_case import INCH_PIPES, MILLIMETRE_PIPES, Reader  # noqa: E402
from validation.independent.balance import METRIC, US, Run  # noqa: E402

NEAR = 2e-4     # psi or kPa: two solvers of the same equations, and what differences of their pressures leave


class Apart:
    """The case by nothing of the program's."""

    def __init__(self, folder):
        reader = Reader(f"{folder}/case.toml")
        self.plain = reader.plain()
        self.unit = (US if self.plain["units"] == "us" else METRIC)["pressure"]
        self.ranges = {row["id"]: {key: reader.optional(row, key) for key in ("min", "design", "max")}
                       for row in reader.tables["nozzles"]}
        self.wanted_of = {row["id"]: reader.optional(row, "at_least") for row in reader.tables["heads"]}
        self.nozzle_of = {row["id"]: row["nozzle"] for row in self.plain["heads"]}
        self.open = {run["id"]: run["valves"] for run in self.plain["runs"]}

    def pressures(self, run, plain=None):
        """By head that the run waters, in the case's unit."""
        system = Run(plain or self.plain, self.open[run])
        if not any(link.name[0] == "heads" for link in system.links):
            return {}
        solved = system.solve()
        return {head: pressure / self.unit for head, pressure in solved.nozzle.items()
                if pressure is not None and solved.flow.get(("heads", head), 0) > 1e-9}

    def wanted(self, head, nozzle=None):
        limits = self.ranges[nozzle or self.nozzle_of[head]]
        if self.wanted_of[head] is not None:
            return self.wanted_of[head]
        return limits["min"] if limits["min"] is not None else 0.8 * limits["design"] if limits["design"] is not None else None

    def margins(self, head, pressure):
        """(margin, limit) to either side that is judged."""
        limits = self.ranges[self.nozzle_of[head]]
        low = self.wanted(head)
        high = limits["max"] if limits["max"] is not None else 1.2 * limits["design"] if limits["design"] is not None else None
        return [(pressure - low, low)] * (low is not None) + [(high - pressure, high)] * (high is not None)

    def with_supply(self, change):
        plain = copy.deepcopy(self.plain)
        for row in plain["supplies"]:
            if row["static"] > 0:
                row["static"] += change
                row["tests"] = [(flow, residual + change) for flow, residual in row["tests"]]
        return plain

    def shut(self, element):
        plain = copy.deepcopy(self.plain)
        for row in plain["pipes"] + plain["devices"]:
            if row["id"] == element:
                row["closed"] = True
        return plain


def near(words, ours, expected, allowed=NEAR):
    if not math.isclose(ours, expected, rel_tol=0, abs_tol=allowed):
        raise SystemExit(f"{words}: {ours}, apart {expected}")


def check_worst_heads(apart, review):
    """The head of least margin / limit under each condition of the supply."""
    change = {"as-given": 0, "supply-low": -10 if apart.plain["units"] == "us" else -70}
    rows = [row for row in review["rules"] if row["rule"] == "head-pressure" and row["condition"] in change]
    for row in rows:
        plain = apart.with_supply(change[row["condition"]])
        solved = {run: apart.pressures(run, plain) for run in apart.open}
        worst = min(margin / limit for pressures in solved.values() for head, pressure in pressures.items()
                    for margin, limit in apart.margins(head, pressure))
        near(f"worst head under {row['condition']}", row["margin"] / row["limit"], worst, 1e-5)
        near(f"its pressure under {row['condition']}", row["value"], solved[row["run"]][row["subject"]])
    return len(rows)


def check_outage(apart, review):
    """What is listed misses what is listed, and nothing else misses anything."""
    said = {(row["closed"], row["run"]): (set(row["heads"]), set(row["dry"])) for row in review["outage"]}
    given = {run: apart.pressures(run) for run in apart.open}
    mainline = [row["id"] for row in apart.plain["pipes"] if upstream(apart, row)]
    gates = [row["id"] for row in apart.plain["devices"] if row["type"] == "gate"]
    for element in mainline + gates:
        plain = apart.shut(element)
        for run in apart.open:
            now = apart.pressures(run, plain)
            dry = {head for head in given[run] if head not in now}
            low = {head for head, pressure in now.items() if low_at(apart, head, pressure)
                   and not low_at(apart, head, given[run].get(head, 0))}
            expected = (dry | low, dry) if dry | low else None
            if said.pop((element, run), None) != expected:
                raise SystemExit(f"outage of {element} in run {run}: apart {expected}")
    if said:
        raise SystemExit(f"outages that are none: {said}")
    if review["outage_tried"] != {"gates": len(gates), "pipes": len(mainline), "left_out": 0}:
        raise SystemExit(f"tried: {review['outage_tried']}, not {len(gates)} gates and {len(mainline)} pipes")
    return len(mainline) + len(gates)


def low_at(apart, head, pressure):
    wanted = apart.wanted(head)
    return wanted is not None and pressure < wanted


def upstream(apart, pipe):
    """On the mainline: reached from a supply past no valve."""
    valves = {row["id"] for row in apart.plain["valves"]}
    reached, grown = {row["id"] for row in apart.plain["supplies"]}, True
    while grown:
        grown = False
        for row in apart.plain["pipes"]:
            for start, end in ((row["from"], row["to"]), (row["to"], row["from"])):
                if start in reached and start not in valves and end not in reached:
                    reached.add(end)
                    grown = True
    return (pipe["from"] in reached and pipe["from"] not in valves) or (pipe["to"] in reached and pipe["to"] not in valves)


def check_margins(apart, review):
    step = 0.01 if apart.plain["units"] == "us" else 0.069
    for row in review["margins"]:
        if row["supply_drop"] is None or row["at_least"]:
            continue
        wanted, head = apart.wanted(row["subject"]), row["subject"]
        for drop, holds in ((row["supply_drop"], True), (row["supply_drop"] + step, False)):
            pressure = apart.pressures(row["run"], apart.with_supply(-drop)).get(head, 0)
            if (pressure >= wanted - NEAR) if holds else (pressure <= wanted + NEAR):
                continue
            raise SystemExit(f"margin of {head} in run {row['run']}: {pressure} at a drop of {drop}, wanted {wanted}")
    return len(review["margins"])


def check_repairs(apart, review):
    tried = 0
    for row in review["repairs"]:
        change = row["change"]
        plain = apart.with_supply({"as-given": 0, "supply-low": -10}[row["condition"]])
        before = apart.pressures(row["run"], plain)[row["head"]]
        nozzle = None
        if change["kind"] == "pipe":
            kind, nominal = change["to"].split()
            outside, wall = (MILLIMETRE_PIPES if apart.plain["units"] == "metric" else INCH_PIPES)[kind][nominal]
            next(pipe for pipe in plain["pipes"] if pipe["id"] == change["subject"])["bore"] = outside - 2 * wall
        elif change["kind"] == "nozzle":
            nozzle = change["to"]
            next(head for head in plain["heads"] if head["id"] == change["subject"])["nozzle"] = nozzle
        else:
            continue
        after = apart.pressures(row["run"], plain)[row["head"]]
        near(f"gain of {change} at {row['head']}", row["gain"], after - before)
        if row["mends"] != (after >= apart.wanted(row["head"], nozzle)):
            raise SystemExit(f"{change} at {row['head']}: mends is {row['mends']} at {after}")
        tried += 1
    gains = [(row["head"], row["run"], row["gain"]) for row in review["repairs"]]
    for one, other in zip(gains, gains[1:]):
        if one[:2] == other[:2] and one[2] < other[2] - NEAR:
            raise SystemExit(f"not by gain: {one} before {other}")
    return tried


def main(program, folder, facts_path):
    with open(facts_path, encoding="utf-8") as file:
        facts = json.load(file)
    done = subprocess.run([program, "review", f"{folder}/case.toml", "--format", "json"],
                          text=True, timeout=300, capture_output=True)
    if done.returncode != facts["status"]:
        raise SystemExit(f"exit status {done.returncode}, not {facts['status']}: {done.stderr}")
    review = json.loads(done.stdout)
    fails = sorted(f"{row['condition']}: {row['rule']} {row['run']} {row['subject']}" for row in review["rules"] if row["fails"])
    if fails != sorted(facts["fails"]):
        raise SystemExit("fails:\n" + "\n".join(fails))
    decides = {row["rule"]: row["condition"] for row in review["rules"] if row["deciding"]}
    for rule, condition in facts["decides"].items():
        if decides.get(rule) != condition:
            raise SystemExit(f"{rule}: {decides.get(rule)} decides, not {condition}")

    apart = Apart(folder)
    counts = {"conditions": check_worst_heads(apart, review), "shut": check_outage(apart, review),
              "margins": check_margins(apart, review), "changes": check_repairs(apart, review)}
    if not all(counts.values()):
        raise SystemExit(f"nothing was compared: {counts}")
    print("agree with the same questions asked apart:", counts)


if __name__ == "__main__":
    main(*sys.argv[1:])
