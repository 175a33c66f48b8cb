"""Large invented cases with coordinates: a golf course with a valve in every head, or a park of many zones.

    python3 -m report.big_case FILE HEADS --golf     a run for each head
    python3 -m report.big_case FILE HEADS            zones of 17 heads, a run for each
"""

from __future__ import annotations

import sys
from pathlib import Path

SPACING = 65  # ft, between heads on golf
PARK = 30  # ft, in a park


def mainline(rows: int, columns: int, step_x: float, step_y: float, size: str, cross: str) -> tuple[list[str], list[str]]:
    """A ladder: a main along each side and one across at every row, so that every row is on a loop."""
    points, pipes = [], []
    for row in range(rows):
        for column in range(columns + 1):
            x, y = column * step_x, (row + 1) * step_y
            points.append(f'  {{ id = "M{row}-{column}", x = {x}, y = {y}, elev = {100 + (row * 7 + column * 3) % 25} }},')
            if column:
                pipes.append(f'  {{ from = "M{row}-{column - 1}", to = "M{row}-{column}", size = "{cross}" }},')
        if row:
            for column in (0, columns):
                pipes.append(f'  {{ from = "M{row - 1}-{column}", to = "M{row}-{column}", size = "{size}" }},')
    return points, pipes


def golf(heads: int) -> str:
    columns = max(4, round((heads * 1.6) ** 0.5))
    rows = -(-heads // columns)
    points, pipes = mainline(rows, columns, SPACING, SPACING, "pvc-cl200 10", "pvc-cl200 4")
    table = []
    for number in range(heads):
        row, column = divmod(number, columns)
        x, y = (column + 0.5) * SPACING, (row + 1.35) * SPACING
        table.append(f'  {{ id = "{row + 1}-{column + 1}", nozzle = "turf", x = {x}, y = {y}, arc = 360, own_valve = {{ cv = 25 }} }},')
        pipes.append(f'  {{ from = "M{row}-{column}", to = "{row + 1}-{column + 1}", size = "pvc-cl200 1-1/2" }},')
    return case(f"Invented course of {heads} heads", 92, 1500, points, pipes, table, [])


def park(heads: int) -> str:
    zone = 17
    zones = -(-heads // zone)
    columns = max(2, round((zones / 3) ** 0.5))
    rows = -(-zones // columns)
    wide = (zone + 2) * PARK
    points, pipes = mainline(rows, columns, wide, 2 * PARK, "pvc-cl200 8", "pvc-cl200 4")
    table, valves = [], []
    for number in range(heads):
        block, place = divmod(number, zone)
        row, column = divmod(block, columns)
        x, y = column * wide + (place + 1) * PARK, (row + 1) * 2 * PARK + PARK * 0.8
        name, before = f"Z{block}-{place + 1}", f"Z{block}-{place}" if place else f"Z{block}"
        table.append(f'  {{ id = "{name}", nozzle = "turf", x = {x}, y = {y}, arc = 180, facing = {180 * (place % 2)} }},')
        if not place:
            valves.append(f'  {{ id = "Z{block}", x = {column * wide + PARK / 3}, y = {y}, cv = 40 }},')
            pipes.append(f'  {{ from = "M{row}-{column}", to = "Z{block}", size = "pvc-cl200 2" }},')
        size = "2" if place < 6 else "1-1/2" if place < 12 else "1"
        pipes.append(f'  {{ from = "{before}", to = "{name}", size = "pvc-cl200 {size}" }},')
    return case(f"Invented park of {heads} heads", 84, 400, points, pipes, table, valves)


def case(title: str, static: int, flow: int, points: list[str], pipes: list[str], heads: list[str], valves: list[str]) -> str:
    pipes = ['  { from = "plant", to = "M0-0", size = "pvc-cl200 10" },', *pipes]
    flows = (14, 18) if not valves else (1.9, 2.4)
    tables = {"points": points, "valves": valves, "heads": heads, "pipes": pipes}
    return (f'title = "{title}"\njob = "Invented"\nground = 100\n'
            f'supplies = [ {{ id = "plant", x = -40, y = 0, elev = 96, static = {static}, flow = {flow}, residual = {static - 12} }} ]\n'
            f'nozzles = [ {{ id = "turf", pressure = [50, 80], flow = [{flows[0]}, {flows[1]}], radius = [{SPACING if not valves else PARK}, '
            f'{(SPACING if not valves else PARK) + 4}], min = 50, design = 65, max = 85 }} ]\n'
            + "".join(f"{name} = [\n" + "\n".join(rows) + "\n]\n" for name, rows in tables.items() if rows))


def main() -> int:
    path, heads = Path(sys.argv[1]), int(sys.argv[2])
    path.write_text(golf(heads) if "--golf" in sys.argv else park(heads), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
