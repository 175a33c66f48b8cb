"""Shuffles the rows of every table of a case, in TOML and in CSV, and compares the answers.

    python3 -m same.shuffled BINARY FOLDER CASE... [--generated COUNT]

The cases given, and COUNT generated ones, each shuffled twice and written to FOLDER. Rows of a CSV chart (one id, several
rows) keep their order among themselves. Runs, findings and rows are found by what they say, not by where they stand.
"""

from __future__ import annotations

import csv
import datetime
import json
import random
import sys
import tomllib
from pathlib import Path

from same.answers import Comparison
from same.cases import arguments
from validation import program


def toml(value) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, (datetime.date, datetime.datetime)):
        return value.isoformat()
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(key)} = {toml(item)}" for key, item in value.items()) + " }"
    return repr(value)


def is_table(value) -> bool:
    return isinstance(value, list) and len(value) > 0 and all(isinstance(row, dict) for row in value)


def shuffled_csv(source: Path, target: Path, r: random.Random) -> None:
    with open(source, encoding="utf-8", newline="") as file:
        head, *lines = csv.reader(file)
    named = head.index("id") if "id" in head else None
    groups: list[list[list[str]]] = []
    for line in lines:
        if groups and named is not None and groups[-1][0][named] == line[named] != "":
            groups[-1].append(line)
        else:
            groups.append([line])
    r.shuffle(groups)
    with open(target, "w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([head, *(line for group in groups for line in group)])


def shuffle(source: Path, folder: Path, r: random.Random) -> Path:
    with open(source, "rb") as file:
        document = tomllib.load(file)
    folder.mkdir(parents=True, exist_ok=True)
    lines = []
    for key, value in document.items():
        if isinstance(value, str) and value.endswith(".csv"):
            shuffled_csv(source.parent / value, folder / value, r)
        if is_table(value):
            value = r.sample(value, len(value))
        lines.append(f"{key} = {toml(value)}")
    target = folder / "case.toml"
    target.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return target


def main(binary: str, folder: Path, cases: list[Path]) -> int:
    failures, worst, where, count = 0, 0.0, "", 0
    for case in cases:
        whole = program.check(binary, case, accept=(0, 1, 3))
        for time in (1, 2):
            r = random.Random(f"{case.parent.name} {time}")
            again = shuffle(case, folder / f"{case.parent.name}-shuffled-{time}", r)
            comparison = Comparison()
            comparison.answers(whole, program.check(binary, again, accept=(0, 1, 3)))
            count += comparison.count
            if comparison.worst > worst:
                worst, where = comparison.worst, f"{case.parent.name}: {comparison.where}"
            failures += len(comparison.wrong)
            for line in comparison.wrong[:5]:
                print(f"{again}: {line}")
    print(f"{len(cases)} cases shuffled twice, {count} numbers; largest relative difference {worst:.2g} ({where})")
    print(f"{failures} differ")
    return 1 if failures or not count else 0


if __name__ == "__main__":
    given = arguments(__doc__, "binary")
    sys.exit(main(given.binary, given.folder, given.cases))
