"""Sizes a published problem and holds the answer to what is known of it.

    python3 check.py PROGRAM FOLDER [--long]

FOLDER holds case.toml with open sizes and expected.json: `cost_at_most`, the interval of the bound (`bound_from`,
`bound_to`: no bound may exceed the cost of a published design that keeps the limits under every law), and the
`evaluations` of the short run. --long gives the program its own budget and asks for the long bars.
"""

from __future__ import annotations

import csv
import json
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path


def rows_of(folder: Path, table) -> list[dict]:
    if isinstance(table, str):
        with (folder / table).open(encoding="utf-8") as file:
            return list(csv.DictReader(file))
    return table


def main() -> int:
    program, folder, long = sys.argv[1], Path(sys.argv[2]), "--long" in sys.argv
    expected = json.loads((folder / "expected.json").read_text(encoding="utf-8"))
    faults = []
    with tempfile.TemporaryDirectory() as where:
        sized = Path(where) / "sized.toml"
        options = [] if long else ["--evaluations", str(expected["evaluations"])]
        ended = subprocess.run(
            [program, "size", str(folder / "case.toml"), "-o", str(sized), "--format", "json", "--quiet", "--no-limit-prices",
             *options], capture_output=True, text=True, check=False)
        if ended.returncode != 0:
            print(ended.stdout, ended.stderr)
            return 1
        answer = json.loads(ended.stdout)
        check = subprocess.run([program, "check", str(sized), "--quiet"], capture_output=True, text=True, check=False)
        if check.returncode != 0:
            faults.append(f"check of the sized case ends with {check.returncode}: {check.stdout}{check.stderr}")
        # The cost again, from the tables of the case.
        case = tomllib.loads((folder / "case.toml").read_text(encoding="utf-8"))
        price = {row["size"]: row["price"] for row in case["prices"]}
        length = {row["id"]: float(row["length"]) for row in rows_of(folder, case["pipes"])}
        written = tomllib.loads(sized.read_text(encoding="utf-8"))
        size = {row["id"]: row["size"] for row in rows_of(sized.parent, written["pipes"])}
        cost = sum(length[pipe] * price[size[pipe]] for pipe in length)
    if abs(cost - answer["cost"]) > 1e-6 * cost:
        faults.append(f"says {answer['cost']}, the tables add up to {cost}")
    most = expected.get("long_cost_at_most", expected["cost_at_most"]) if long else expected["cost_at_most"]
    if cost > most:
        faults.append(f"costs {cost:.0f}, more than {most}")
    if not expected["bound_from"] <= answer["bound"] <= expected["bound_to"]:
        faults.append(f"a bound of {answer['bound']:.0f} is outside {expected['bound_from']} .. {expected['bound_to']}")
    if long and answer["gap"] > expected.get("long_gap_at_most", 1):
        faults.append(f"a gap of {answer['gap']:.3f}")
    print(f"{folder.name}: cost {cost:.0f}, bound {answer['bound']:.0f}, gap {100 * answer['gap']:.2f} %")
    for fault in faults:
        print("  " + fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
