"""Checks that the 34-pipe designs cost what was published for them, which shows that data and diameters are the published ones.

    python3 -m validation.design_cost FOLDER

FOLDER holds pipes.csv (length in m, bore "40 in"), costs.csv (diameter_in,cost_per_m) and cost.json {published, within}.
"""

from __future__ import annotations

import csv
import json
import sys
from pathlib import Path


def main() -> int:
    folder = Path(sys.argv[1])
    with (folder / "costs.csv").open(encoding="utf-8") as file:
        per_metre = {float(row["diameter_in"]): float(row["cost_per_m"]) for row in csv.DictReader(file)}
    with (folder / "pipes.csv").open(encoding="utf-8") as file:
        cost = sum(float(row["length"]) * per_metre[float(row["bore"].removesuffix(" in"))] for row in csv.DictReader(file))
    wanted = json.loads((folder / "cost.json").read_text(encoding="utf-8"))
    print(f"{folder.name}: costs {cost:.2f}, published {wanted['published']:.0f}")
    return 0 if abs(cost - wanted["published"]) <= wanted["within"] else 1


if __name__ == "__main__":
    sys.exit(main())
