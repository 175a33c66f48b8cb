"""Compares the answers of two builds.

    python3 -m same.compilers BINARY OTHER FOLDER CASE... [--generated COUNT]
"""

from __future__ import annotations

import sys
from pathlib import Path

from same.answers import Comparison
from same.cases import arguments
from validation import program


def main(binary: str, other: str, cases: list[Path]) -> int:
    comparison = Comparison()
    for case in cases:
        before = len(comparison.wrong)
        comparison.answers(program.check(binary, case, accept=(0, 1, 3)), program.check(other, case, accept=(0, 1, 3)))
        for line in comparison.wrong[before:before + 5]:
            print(f"{case}: {line}")
    print(f"{len(cases)} cases, {comparison.count} numbers; largest relative difference {comparison.worst:.3g} ({comparison.where})")
    print(f"{len(comparison.wrong)} differ")
    return 1 if comparison.wrong or not comparison.count else 0


if __name__ == "__main__":
    given = arguments(__doc__, "binary", "other")
    sys.exit(main(given.binary, given.other, given.cases))
