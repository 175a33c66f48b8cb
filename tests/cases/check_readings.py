"""The readings of cases/old-commercial are what its README says: those of the drawing with one lateral pinched, rounded
to half a psi as a gauge is read (flow to a tenth of a gpm). Readings with every valve shut are worked out by hand.

usage: check_readings.py PROGRAM CASE_FOLDER
"""

import csv
import json
import pathlib
import shutil
import subprocess
import sys
import tempfile

DRAWN = '{ along = "N1 - N8 - N9 - N10 - N11",  size = "pvc-cl160 1" },'
PINCHED = '{ along = "N1 - N8 - N9 - N10", size = "pvc-cl160 1" }, { from = "N10", to = "N11", size = "pvc-cl160 1", k = 200 },'
# All shut: 70 psi at the street, less 6.2 psi that the backflow preventer takes at no flow, less 3 ft up to the north valve.
ALL_SHUT = {("street", "pressure"): 70, ("north", "pressure"): 70 - 6.2 - 3 * 0.433, ("meter", "flow"): 0}
HALF_A_STEP = {"pressure": 0.25, "flow": 0.05}


def main(program, case_folder):
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(case_folder, folder, dirs_exist_ok=True)
        case = pathlib.Path(folder, "case.toml")
        drawn = case.read_text(encoding="utf-8")
        if DRAWN not in drawn:
            raise SystemExit("the lateral to be pinched is not in the case")
        case.write_text(drawn.replace(DRAWN, PINCHED), encoding="utf-8")
        done = subprocess.run([program, "check", str(case), "--format", "json"], text=True, timeout=300, capture_output=True)
        with open(f"{folder}/readings.csv", encoding="utf-8", newline="") as file:
            readings = list(csv.DictReader(file))
    runs = {run["id"]: run for run in json.loads(done.stdout)["runs"]}

    for reading in readings:
        quantity = "pressure" if reading["pressure"] else "flow"
        if reading["run"] == "none":
            expected = ALL_SHUT[reading["at"], quantity]
        else:
            run = runs[reading["run"]]
            row = next(row for table in ("heads", "devices", "valves") for row in run[table] if row["id"] == reading["at"])
            expected = row[quantity if quantity == "flow" or reading["side"] == "" else reading["side"]]
        if abs(float(reading[quantity]) - expected) > HALF_A_STEP[quantity] + 0.001:
            raise SystemExit(f"{reading['run']} {reading['at']}: {reading[quantity]}, pinched {expected}")
    print(f"{len(readings)} readings as from the pinched lateral")


if __name__ == "__main__":
    main(*sys.argv[1:])
