"""What the comparisons of tests/same are given: programs, a folder to write to, cases, and how many to generate besides."""

from __future__ import annotations

import argparse
from pathlib import Path

from generator.generate import generate, random_features
from generator.plain import write_case


def arguments(about: str, *programs: str) -> argparse.Namespace:
    """PROGRAM... FOLDER CASE... [--generated COUNT]; `cases` holds the generated ones, written to the folder, too."""
    parser = argparse.ArgumentParser(description=about.splitlines()[0])
    for name in programs:
        parser.add_argument(name)
    parser.add_argument("folder", type=Path)
    parser.add_argument("cases", type=Path, nargs="+")
    parser.add_argument("--generated", type=int, default=0, metavar="COUNT")
    given = parser.parse_args()
    given.cases += [write_case(generate(seed, random_features(seed)), given.folder / f"generated-{seed}")
                    for seed in range(1, given.generated + 1)]
    return given
