"""What the checks of this folder share: the program's answers, and the same sets of valves judged by another way.

`judged` writes sets out as runs of a case and lets `check` judge them, run by run: another way through the program than
that of `together`. `solved` solves a set by validation/independent with SciPy: nothing of the program takes part.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from cases.plain_case import Reader  # noqa: E402
from validation.independent.balance import US, Run  # noqa: E402

LIMIT = 600  # s


def answer(program: str, *arguments: str, statuses=(0, 1)) -> dict:
    done = subprocess.run([program, *arguments, "--format", "json"], text=True, capture_output=True, timeout=LIMIT)
    if done.returncode not in statuses:
        raise SystemExit(f"{' '.join(arguments)}: exit status {done.returncode}\n{done.stderr}")
    return json.loads(done.stdout)


def judged(program: str, case: str, folder: Path, sets) -> list[dict]:
    """By set: what `check` says of it as a run."""
    rows = "".join(f'  {{ id = "set{i}", valves = {json.dumps(list(of))} }},\n' for i, of in enumerate(sets))
    path = folder / "written-out.toml"
    path.write_text(without_plans(case) + f"runs = [\n{rows}]\n", encoding="utf-8")
    runs = answer(program, "check", str(path), "--detail", "running", statuses=(0, 1, 3))["runs"]
    assert [run["id"] for run in runs] == [f"set{i}" for i in range(len(sets))]
    return runs


def passes(run: dict) -> bool:
    return "error" not in run and run["closure"]["solved"] and not any(f["fails"] for f in run["findings"])


def without_plans(case: str) -> str:
    """The case without what no balance needs."""
    kept, skip = [], False
    for line in case.splitlines():
        if line.startswith(("areas = [", "watering = [")):
            skip = not line.rstrip().endswith("]")
            continue
        if skip:
            skip = line != "]"
            continue
        if not line.startswith("window"):
            kept.append(line)
    return "\n".join(kept) + "\n"


class Apart:
    """A case solved by SciPy, in US units."""

    def __init__(self, case: str, folder: Path):
        path = folder / "plain.toml"
        path.write_text(without_plans(case), encoding="utf-8")
        self.plain = Reader(path).plain()

    def nozzle_pressures(self, valves) -> dict[str, float]:
        """psi, by head that runs."""
        solved = Run(self.plain, list(valves)).solve()
        return {head: p / US["pressure"] for head, p in solved.nozzle.items() if p is not None}
