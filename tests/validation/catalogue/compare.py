#!/usr/bin/python3
"""Compares the catalogue with the pipe dimensions of a general-purpose library (Debian: python3-fluids).

    python3 compare.py BINARY

Asks BINARY for its kinds and `fluids.nearest_pipe` for the same standard and size; prints what disagrees and ends with
status 1 if anything does. The README beside this file gives the tolerances and their reasons.
"""

from __future__ import annotations

import json
import subprocess
import sys

from fluids import nearest_pipe

MM = 0.001
INCH = 0.0254

# Our kind: schedule of the library, what is compared, tolerance (m). HDPE and steel: see the README.
SCHEDULES = {
    "pvc-sch40": ("40D1785", ("outside", "wall", "bore"), 0.0006 * INCH),
    "pvc-sch80": ("80D1785", ("outside", "wall", "bore"), 0.0006 * INCH),
    "pvc-cl315": ("DR135D2241", ("outside", "wall", "bore"), 0.0006 * INCH),
    "pvc-cl200": ("DR21D2241", ("outside", "wall", "bore"), 0.0006 * INCH),
    "pvc-cl160": ("DR26D2241", ("outside", "wall", "bore"), 0.0006 * INCH),
    "hdpe-dr17": ("DR17F2619IPS", ("outside", "wall", "bore"), 0.0012 * INCH),
    "hdpe-dr11": ("DR11F2619IPS", ("outside", "wall", "bore"), 0.0012 * INCH),
    "steel-sch40": ("40", ("outside", "wall", "bore"), 0.06 * MM),
}
# Controlled inside: only the bore is that of Schedule 40 steel.
INSIDE_CONTROLLED = {"pe-sidr19", "pe-sidr15", "pe-sidr11.5"}
# Sizes that the library does not list for the standard.
MISSING = {("pvc-cl160", "1/2"), ("hdpe-dr17", "1/2"), ("hdpe-dr17", "3/4"), ("hdpe-dr17", "1"),
           ("hdpe-dr17", "1-1/4"), ("hdpe-dr17", "1-1/2")}


def inches(nominal: str) -> float:
    """'1-1/4' -> 1.25"""
    whole, _, fraction = nominal.rpartition("-")
    over, _, under = fraction.partition("/")
    return float(whole or 0) + float(over) / float(under or 1)


def library_size(schedule: str, nominal: str) -> dict[str, float]:
    """Outside, wall and bore (m); raises ValueError where the library has no such size."""
    nps, bore, outside, wall = nearest_pipe(NPS=inches(nominal), schedule=schedule)
    if nps != inches(nominal):
        raise ValueError(f"no {nominal} in {schedule}")
    return {"outside": outside, "wall": wall, "bore": bore}


def compare_kind(kind: dict, schedule: str, figures: tuple[str, ...], tolerance: float) -> tuple[int, list[str]]:
    """How many sizes were compared, and what disagrees."""
    compared, wrong = 0, []
    for size in kind["sizes"]:
        subject = (kind["name"], size["nominal"])
        try:
            library = library_size(schedule, size["nominal"])
        except ValueError:
            if subject not in MISSING:
                wrong.append(f"{subject}: the library has no such size")
            continue
        if subject in MISSING:
            wrong.append(f"{subject}: the library has this size after all: compare it")
        compared += 1
        for figure in figures:
            ours = size[figure] * INCH
            if not abs(ours - library[figure]) <= tolerance:
                wrong.append(f"{subject}: {figure} {ours / MM:.4f} mm, library {library[figure] / MM:.4f} mm")
    return compared, wrong


def main() -> int:
    done = subprocess.run([sys.argv[1], "kinds", "--format", "json"], capture_output=True, check=True, timeout=60)
    kinds = {kind["name"]: kind for kind in json.loads(done.stdout)["kinds"]}
    compared, wrong = 0, []
    for name, (schedule, figures, tolerance) in SCHEDULES.items():
        count, faults = compare_kind(kinds[name], schedule, figures, tolerance)
        compared += count
        wrong += faults
    for name in sorted(INSIDE_CONTROLLED):
        count, faults = compare_kind(kinds[name], "40D1785", ("bore",), 0.0006 * INCH)
        compared += count
        wrong += faults
    for fault in wrong:
        print(fault)
    print(f"catalogue: {compared} sizes compared with the library, {len(wrong)} disagreements")
    return 1 if wrong or compared < 130 else 0


if __name__ == "__main__":
    sys.exit(main())
