"""Runs the program on a case and gives its JSON answer with rows that are found by id.

Nothing here knows hydraulics: it starts the binary, reads the answer and says what was wrong where there is none.
"""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

TABLES = ("supplies", "heads", "points", "pipes", "devices", "valves")


class ProgramError(Exception):
    """The program ended in a way that leaves nothing to compare."""


def check(binary: str, case: Path, *options: str, accept: tuple[int, ...] = (0, 1)) -> dict:
    """Answer of `evenhead check CASE --format json` as a dict; raises ProgramError for any exit status not accepted."""
    command = [str(binary), "check", str(case), "--format", "json", *options]
    done = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", timeout=300, check=False)
    if done.returncode not in accept:
        raise ProgramError(f"exit status {done.returncode}, not one of {accept}: {' '.join(command)}\n"
                           f"{done.stderr[-3000:]}{done.stdout[-1000:] if not done.stderr else ''}")
    try:
        answer = json.loads(done.stdout)
    except json.JSONDecodeError as error:
        raise ProgramError(f"no JSON on standard output ({error}): {' '.join(command)}") from error
    if answer.get("schema") != 1:
        raise ProgramError(f"schema is {answer.get('schema')!r}, these tests read 1")
    answer["exit"] = done.returncode
    return answer


def runs_by_id(answer: dict) -> dict[str, dict]:
    """The runs of an answer by id, every table of rows a dict by id; a run without results raises ProgramError."""
    runs = {}
    for run in answer["runs"]:
        if "error" in run:
            raise ProgramError(f"run {run['id']} has no solution: {run['error']}")
        if not run["closure"]["solved"]:
            raise ProgramError(f"run {run['id']} gives results that do not close: {run['closure']}")
        tables = {name: {row["id"]: row for row in run.get(name, [])} for name in TABLES}
        runs[run["id"]] = {**run, **tables}
    return runs
