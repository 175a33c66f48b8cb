"""The same bytes on 1, 2 and 8 threads, where decimals have a comma, and run after run.

    python3 -m same.everywhere BINARY FOLDER CASE... [--generated COUNT]

The German locale is made in FOLDER with localedef, so that it is there wherever the test runs.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from same.cases import arguments


def german(folder: Path) -> dict[str, str]:
    """The environment in which decimals have a comma; fails where that cannot be made."""
    folder.mkdir(parents=True, exist_ok=True)
    subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8", str(folder / "de_DE.UTF-8")], check=False, capture_output=True)
    environment = {**os.environ, "LOCPATH": str(folder), "LC_ALL": "de_DE.UTF-8"}
    point = subprocess.run(["locale", "-k", "decimal_point"], env=environment, capture_output=True, text=True, check=True)
    if point.stdout.strip() != 'decimal_point=","':
        raise SystemExit(f"no German locale could be made: {point.stdout}{point.stderr}")
    return environment


def main(binary: str, folder: Path, cases: list[Path]) -> int:
    comma = german(folder / "locale")
    plain = {**os.environ, "LC_ALL": "C.UTF-8"}
    ways = [("2 threads", plain, ["--threads", "2"]), ("8 threads", plain, ["--threads", "8"]),
            ("decimal commas", comma, ["--threads", "1"]), ("a second time", plain, ["--threads", "1"])]
    wrong = size = 0
    for case in cases:
        def answer(environment: dict, options: list[str]) -> tuple[int, bytes]:
            done = subprocess.run([binary, "check", str(case), "--format", "json", *options], env=environment,
                                  capture_output=True, check=False)
            return done.returncode, done.stdout
        first = answer(plain, ["--threads", "1"])
        size += len(first[1])
        if first[0] not in (0, 1, 3) or not first[1]:
            print(f"{case}: exit status {first[0]}, {len(first[1])} bytes")
            wrong += 1
        for what, environment, options in ways:
            if answer(environment, options) != first:
                print(f"{case}: not the same with {what}")
                wrong += 1
    print(f"{len(cases)} cases, {size} bytes, {len(ways)} other ways each; {wrong} differ")
    return 1 if wrong or not size else 0


if __name__ == "__main__":
    given = arguments(__doc__, "binary")
    sys.exit(main(given.binary, given.folder, given.cases))
