"""Compares the answers of two builds.

    python3 -m same.compilers BINARY OTHER FOLDER CASE... [--generated COUNT]
"""

from __future__ import annotations

import sys
from pathlib import Path

from generator.generate import generate, random_features
from generator.plain import write_case
from same.answers import Comparison
from validation import program


def main(binary: str, other: str, folder: Path, cases: list[Path], generated: int) -> int:
    cases = cases + [write_case(generate(seed, random_features(seed)), folder / f"generated-{seed}")
                     for seed in range(1, generated + 1)]
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
    words = sys.argv[1:]
    number = 0
    if "--generated" in words:
        number = int(words[words.index("--generated") + 1])
        del words[words.index("--generated"):]
    sys.exit(main(words[0], words[1], Path(words[2]), [Path(word) for word in words[3:]], number))
