"""What `diagnose` says of values that a case leaves open, against SciPy: the system balanced by validation/independent,
fitted by scipy.optimize.least_squares. Nothing of the program takes part but its answer; and the case that it writes is
read and compared.

usage: scipy_fit.py PROGRAM
"""

from __future__ import annotations

import copy
import csv
import json
import math
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

import numpy as np
from scipy import optimize

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from cases import plain_case as plain_reader  # noqa: E402
from cases.plain_case import Reader  # noqa: E402
from validation.independent.balance import US, Run  # noqa: E402

# Invented. {STATIC}, {C} and {SIZE} are what the case leaves open.
CASE = """# an old yard
title = "Half known"
ground = 100
supplies = [
  {{ id = "street", static = {STATIC}, flow = 20, residual = {RESIDUAL} }},   # at the meter box
]
devices = [ {{ id = "meter", type = "meter", cv = 30 }} ]
valves = [ {{ id = "lawn", cv = 15 }}, {{ id = "beds", cv = 15 }} ]
nozzles = [ {{ id = "n", pressure = 30, flow = 4.0 }} ]
heads = [ {{ id = "L1", nozzle = "n" }}, {{ id = "L2", nozzle = "n" }}, {{ id = "L3", nozzle = "n" }}, {{ id = "B1", nozzle = "n" }} ]
pipes = [
  {{ along = "street 20 meter 600 T", size = "steel-sch40 1-1/2", c = {C} }},   # nobody knows how rough
  {{ along = "T 10 lawn 20 L1 120 L2 120 L3", size = "pvc-cl200 {SIZE}" }},
  {{ along = "T 10 beds 20 B1", size = "pvc-cl200 1" }},
]
"""
TRUTH = {"STATIC": "64", "RESIDUAL": "52", "C": "78", "SIZE": "1"}
LEFT_OPEN = {"STATIC": '"70 +- 10 psi"', "RESIDUAL": '"58 +- 10 psi"', "C": '"?"', "SIZE": "?"}
SIZES = ["3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "3-1/2", "4"]
plain_reader.INCH_PIPES["pvc-cl200"]["3-1/2"] = (4.000, 0.190)  # ASTM D2241
READINGS = [("lawn", "L1", "pressure"), ("lawn", "L3", "pressure"), ("lawn", "meter", "flow"), ("beds", "B1", "pressure"), ("beds", "meter", "flow")]
PRESSURE_SD, FLOW_SHARE, LEAST_FLOW_SD = 1.0, 0.03, 0.1        # of the case format: 2 psi; 6 % and at least 0.2 gpm
STATIC_SD, C_MEAN, C_SD = 5.0, 105.0, 22.5                     # 60 to 150 nineteen times in twenty


def shown(plain: dict) -> np.ndarray:
    values = []
    answers = {valve: Run(plain, [valve]).solve() for valve in ("lawn", "beds")}
    for run, at, kind in READINGS:
        answer = answers[run]
        values.append(answer.nozzle[at] / US["pressure"] if kind == "pressure" else answer.flow[("devices", at)] / US["flow"])
    return np.array(values)


def changed(base: dict, z: np.ndarray) -> dict:
    plain = copy.deepcopy(base)
    supply = plain["supplies"][0]
    supply["static"] += STATIC_SD * z[0]
    supply["tests"] = [(flow, residual + STATIC_SD * z[0]) for flow, residual in supply["tests"]]
    for pipe in plain["pipes"]:
        if pipe["id"] in ("street-meter", "meter-T"):
            pipe["c"] = C_MEAN + C_SD * z[1]
    return plain


def plain_case(folder: Path, values: dict) -> dict:
    path = folder / "plain.toml"
    path.write_text(CASE.format(**values), encoding="utf-8")
    return Reader(path).plain()


def fit(base: dict, read: np.ndarray, sd: np.ndarray):
    """The least, its covariance, and the weight of the candidate (Laplace)."""
    def residuals(z: np.ndarray) -> np.ndarray:
        return np.concatenate([(read - shown(changed(base, z))) / sd, z])
    found = optimize.least_squares(residuals, np.zeros(2), jac="3-point", xtol=1e-12, ftol=1e-12, gtol=1e-12, x_scale=1.0)
    precision = found.jac.T @ found.jac
    return found.x, np.linalg.inv(precision), -found.cost - math.log(np.linalg.det(precision)) / 2


def main(program: str) -> None:
    wrong: list[str] = []
    with tempfile.TemporaryDirectory(prefix="evenhead-calibration-") as name:
        folder = Path(name)
        truth = shown(plain_case(folder, TRUTH))
        # Off by some of their standard deviations, and rounded as a gauge is read.
        sd = np.array([PRESSURE_SD if kind == "pressure" else max(FLOW_SHARE * value, LEAST_FLOW_SD)
                       for (_, _, kind), value in zip(READINGS, truth)])
        read = np.round(truth + sd * np.array([0.6, -0.8, 0.5, -0.4, -0.7]), 1)
        sd = np.array([PRESSURE_SD if kind == "pressure" else max(FLOW_SHARE * value, LEAST_FLOW_SD)
                       for (_, _, kind), value in zip(READINGS, read)])
        with open(folder / "readings.csv", "w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(["run", "at", "pressure", "flow"])
            for (run, at, kind), value in zip(READINGS, read):
                writer.writerow([run, at, value if kind == "pressure" else "", value if kind == "flow" else ""])
        case = folder / "case.toml"
        case.write_text(CASE.format(**LEFT_OPEN), encoding="utf-8")
        done = subprocess.run([program, "diagnose", str(case), str(folder / "readings.csv"), "--no-pairs", "--format", "json",
                               "--write", str(folder / "known.toml")], text=True, capture_output=True, check=False, timeout=300)
        if done.returncode not in (0, 1):
            raise SystemExit(f"exit status {done.returncode}: {done.stderr}")
        ours = {line["input"]: line for line in json.loads(done.stdout)["calibrated"]}

        fits = [fit(plain_case(folder, {"STATIC": "70", "RESIDUAL": "58", "C": str(C_MEAN), "SIZE": size}), read, sd) for size in SIZES]
        weights = np.exp([weight - max(w for _, _, w in fits) for _, _, weight in fits])
        chances = dict(zip(SIZES, weights / weights.sum()))
        z, covariance, _ = fits[int(np.argmax(weights))]
        for key, mean, spread, column in (("static", 70.0, STATIC_SD, 0), ("c", C_MEAN, C_SD, 1)):
            after, deviation = mean + spread * z[column], spread * math.sqrt(covariance[column, column])
            line = ours[key]
            # A hundredth of what is not known: how finely a fit is worth anything.
            if abs(line["after"] - after) > 0.01 * spread or abs(line["sd"] - deviation) > 0.01 * spread:
                wrong.append(f"{key}: {line['after']} +- {line['sd']}, by SciPy {after} +- {deviation}")
            if line["determined"] != (deviation <= spread / 2):
                wrong.append(f"{key}: determined {line['determined']} with {deviation} of {spread}")
        for candidate in ours["size"]["candidates"]:
            size = candidate["value"].removeprefix("pvc-cl200 ")
            if abs(candidate["chance"] - chances[size]) > 0.02:
                wrong.append(f"size {size}: {candidate['chance']}, by SciPy {chances[size]}")

        # The case that it wrote: the old text but for what was determined.
        text = (folder / "known.toml").read_text(encoding="utf-8")
        known = tomllib.loads(text)
        c = known["pipes"][0]["c"]
        if ours["c"]["determined"] and abs(float(c.split("+-")[0]) - ours["c"]["after"]) > ours["c"]["sd"] / 10:
            wrong.append(f"written: c = {c}, found {ours['c']['after']}")
        expected = {"pvc-cl200 " + max(chances, key=chances.get)} if ours["size"]["determined"] else {"pvc-cl200 ?"}
        if {known["pipes"][1]["size"]} != expected:
            wrong.append(f"written: size {known['pipes'][1]['size']}, found {chances}")
        for comment in ("# an old yard", "# at the meter box", "# nobody knows how rough"):
            if comment not in text:
                wrong.append(f"the comment {comment!r} is gone")
        if case.read_text(encoding="utf-8") != CASE.format(**LEFT_OPEN):
            wrong.append("the case itself has changed")
        again = subprocess.run([program, "check", str(folder / "known.toml")], capture_output=True, check=False, timeout=300)
        if all(line["determined"] for line in ours.values()) and again.returncode not in (0, 1):
            wrong.append(f"the case that was written ends in {again.returncode}")
        print({key: (line["after"], line["sd"]) for key, line in ours.items()}, chances)
    if wrong:
        raise SystemExit("\n".join(wrong))


if __name__ == "__main__":
    main(*sys.argv[1:])
