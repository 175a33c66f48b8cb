"""Solves a shipped case a second time and compares every head: read by cases/plain_case.py, laws and equations by
validation/independent, root found by SciPy. Nothing of the program takes part.

usage: solved_apart.py PROGRAM CASE_FOLDER
"""

import json
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from cases.plain_case import Reader  # noqa: E402
from validation.independent.balance import METRIC, US, Run  # noqa: E402

# Pressures agree to this much of the largest pressure: the bar between two solvers of the same equations.
RELATIVE = 1e-6


def main(program, folder):
    plain = Reader(f"{folder}/case.toml").plain()
    done = subprocess.run([program, "check", f"{folder}/case.toml", "--format", "json"],
                          text=True, timeout=300, capture_output=True)
    result = json.loads(done.stdout)
    unit = US if plain["units"] == "us" else METRIC
    compared, worst = 0, 0.0
    if [run["id"] for run in result["runs"]] != [run["id"] for run in plain["runs"]]:
        raise SystemExit("the runs are not the same")
    for run, ours in zip(plain["runs"], result["runs"]):
        apart = Run(plain, run["valves"]).solve()
        largest = max(p for p in apart.nozzle.values() if p is not None)
        for head in ours["heads"]:
            expected = apart.nozzle[head["id"]]
            if expected is None:
                if head["flow"] != 0:
                    raise SystemExit(f"{run['id']}: {head['id']} runs here, but not when solved apart")
                continue
            compared += 1
            miss = abs(head["pressure"] * unit["pressure"] - expected) / largest
            worst = max(worst, miss)
            if miss > RELATIVE:
                raise SystemExit(f"{run['id']}: {head['id']} at {head['pressure']}, solved apart {expected / unit['pressure']}")
    if compared == 0:
        raise SystemExit("no head was compared")
    print(f"{compared} heads agree to {worst:.1e} of the largest pressure")


if __name__ == "__main__":
    main(*sys.argv[1:])
