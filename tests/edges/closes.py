"""Every run of drawn cases (draw.py) and of those kept beside this file closes, in few linear solves.

A case may be refused (exit status 2) with its line: some draws put a valve behind a valve. One that is read must be
balanced, but for flows beyond any system's and regulators that feed each other, which the answer says. What the closure
says is checked by others: tests/agreement, tests/validation.

    python3 -m edges.closes PROGRAM FOLDER [--from SEED] [--count COUNT] [--edge SHARE]
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from collections import Counter
from pathlib import Path

from edges.draw import Draw

MOST, FEW, SHARE_OF_FEW = 120, 40, 0.999   # linear solves of any run; of this share of them
SAID = {"boundless-flow", "several-states", "contradiction"}
MOST_SAID = 0.01                           # of the runs
SECONDS = 20


class Tally:
    def __init__(self) -> None:
        self.wrong: list[str] = []
        self.runs = self.many = self.refused = 0
        self.said: Counter = Counter()

    def judge(self, program: str, case: Path, name: str) -> None:
        try:
            ended = subprocess.run([program, "check", str(case), "--format", "json"], capture_output=True, text=True,
                                   timeout=SECONDS, check=False)
        except subprocess.TimeoutExpired:
            self.wrong.append(f"{name}: more than {SECONDS} s")
            return
        if ended.returncode == 2 and f"{case.name}:" in ended.stderr:
            self.refused += 1
            return
        if ended.returncode not in (0, 1, 3):
            self.wrong.append(f"{name}: exit status {ended.returncode}: {ended.stderr[:300]}")
            return
        for run in json.loads(ended.stdout)["runs"]:
            self.runs += 1
            error, steps = run.get("error"), run["closure"]["steps"]
            if error and error["kind"] in SAID:
                self.said[error["kind"]] += 1
            elif error:
                self.wrong.append(f"{name}, run {run['id']}: {error['kind']}: {error['text']} {error['points'][:1]}")
            elif steps > MOST:
                self.wrong.append(f"{name}, run {run['id']}: {steps} linear solves")
            self.many += steps > FEW

    def report(self) -> int:
        said = ", ".join(f"{kind} {count}" for kind, count in sorted(self.said.items())) or "none"
        print(f"{self.runs} runs, {self.many} above {FEW} linear solves, {self.refused} cases refused; "
              f"without a balance, and said so: {said}")
        if self.many > (1 - SHARE_OF_FEW) * self.runs + 1:   # one may be too many of a few hundred
            self.wrong.append(f"{self.many} of {self.runs} runs take more than {FEW} linear solves")
        if sum(self.said.values()) > MOST_SAID * self.runs:
            self.wrong.append("too many without a balance")
        print(*self.wrong, sep="\n")
        return 1 if self.wrong or not self.runs else 0


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("program")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--from", type=int, default=1, dest="first", metavar="SEED")
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--edge", type=float, default=0.1, metavar="SHARE")
    given = parser.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    tally = Tally()
    for kept in sorted((Path(__file__).parent / "kept").glob("*.toml")):
        tally.judge(given.program, kept, kept.name)
    if tally.refused or not tally.runs:
        tally.wrong.append("a case that is kept is refused, or there is none")
    case = given.folder / "case.toml"
    for seed in range(given.first, given.first + given.count):
        case.write_text(Draw(seed, given.edge).draw(), encoding="utf-8")
        tally.judge(given.program, case, f"seed {seed}")
    return tally.report()


if __name__ == "__main__":
    sys.exit(main())
