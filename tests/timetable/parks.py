"""Parks drawn from a seed: a mainline (a tree, or with a ring) with zones of heads on a grid beside it. Everything is
invented. The keys are those that cases/plain_case.py reads, with areas, watering and window beside."""

from __future__ import annotations

import random

SIZES = {"3": 3.23, "2-1/2": 2.6, "2": 2.15, "1-1/2": 1.72, "1-1/4": 1.5, "1": 1.19, "3/4": 0.93}


def zone(draw: random.Random, name: str, x: float, y: float, far: float):
    """Rows of heads and pipes of one zone, on a grid whose corner is at (x, y); its outline."""
    spray = draw.random() < 0.4
    spacing = draw.choice([11, 12, 14]) if spray else draw.choice([28, 32, 36])
    across, along = draw.randint(2, 3), draw.randint(2, 5 if spray else 3)
    kind = "fan" if spray else "slow"
    heads, pipes = [], []
    for i in range(along):
        for j in range(across):
            left, right, low, high = j == 0, j == across - 1, i == 0, i == along - 1
            facing = {(True, True): 0}.get((left, right), 90 if left else 270 if right else None)
            if low or high:
                middle = 0 if low else 180
                if left or right:
                    arc, facing = 90, (45 if left else 315) if low else (135 if left else 225)
                else:
                    arc, facing = 180, middle
            else:
                arc = 180 if left or right else 360
            nozzle = f"{kind}-{arc}"
            row = f'{{ id = "{name}h{i}{j}", nozzle = "{nozzle}", x = {x + j * spacing}, y = {y + i * spacing}, arc = {arc}'
            heads.append(row + (f", facing = {facing} }}" if arc < 360 else " }"))
    for i in range(along):
        start = f"{name}" if i == 0 else f"{name}h{i - 1}0"
        length = far if i == 0 else spacing
        pipes.append(f'{{ from = "{start}", to = "{name}h{i}0", length = {length}, size = "pvc-cl200 1-1/2" }}')
        for j in range(1, across):
            pipes.append(f'{{ from = "{name}h{i}{j - 1}", to = "{name}h{i}{j}", length = {spacing}, size = "pvc-cl200 1-1/4" }}')
    width, depth = (across - 1) * spacing, (along - 1) * spacing
    outline = [[x, y], [x + width, y], [x + width, y + depth], [x, y + depth]]
    return heads, pipes, outline, kind


def nozzles() -> list[str]:
    made = []
    for kind, full, pressures, radii, low, high in (("fan", 1.85, (20, 30, 40), (12.0, 14.0, 15.0), 20, 46),
                                                    ("slow", 5.2, (35, 45, 60), (33.0, 36.0, 38.0), 35, 85)):
        for arc in (90, 180, 360):
            flows = [round(full * arc / 360 * (p / pressures[1]) ** 0.5, 3) for p in pressures]
            made.append(f'{{ id = "{kind}-{arc}", pressure = {list(pressures)}, flow = {flows}, radius = {list(radii)}, '
                        f"min = {low}, design = {pressures[1]}, max = {high} }}")
    return made


def table(name: str, rows: list[str]) -> str:
    return f"{name} = [\n" + "".join(f"  {row},\n" for row in rows) + "]\n"


def plant(draw: random.Random, z: int, heads: list[str], pipes: list[str], areas: list[str], valves: list[str]) -> str:
    """Adds zone V<z> at tee T<z>, with its ground; its kind."""
    name = f"V{z}"
    pipes.append(f'{{ from = "T{z}", to = "{name}", length = {draw.randint(3, 12)}, size = "pvc-sch40 1-1/2" }}')
    of_zone, of_pipes, outline, kind = zone(draw, name, 200.0 * z, 0.0, draw.randint(8, 60))
    heads += of_zone
    pipes += of_pipes
    areas.append(f'{{ id = "A{z}", valve = "{name}", outline = {outline} }}')
    held = f", set = {38 if kind == 'fan' else 56}" if kind == "fan" or draw.random() < 0.3 else ""
    valves.append(f'{{ id = "{name}", cv = {draw.choice([18, 22, 26])}{held} }}')
    return kind


def park(seed: int, zones: int, soils: bool = True, groups: bool = False) -> str:
    """The case as TOML."""
    draw = random.Random(seed)
    safe = draw.choice([40, 60, 80, 120])
    static = draw.randint(72, 88)
    ring = draw.random() < 0.5
    main = draw.choice(["2", "2-1/2"])
    heads, pipes, areas, valves, watering, points = [], [], [], [], [], []
    pipes.append('{ along = "street 20 meter 10 backflow 15 T0", size = "copper-k 1-1/2", k = 0.5 }'.replace("copper-k 1-1/2", f"pvc-sch40 {main}"))
    for z in range(zones):
        name = f"V{z}"
        gap = draw.randint(40, 110)
        if z > 0:
            size = main if z < zones / 2 or ring else draw.choice(["1-1/2", main])
            pipes.append(f'{{ from = "T{z - 1}", to = "T{z}", length = {gap}, size = "pvc-sch40 {size}" }}')
        kind = plant(draw, z, heads, pipes, areas, valves)
        if draw.random() < 0.5:
            row = f'valve = "{name}", need = {draw.choice([0.75, 1, 1.25])}'
        else:
            row = f'valve = "{name}", eto = {draw.choice([1.2, 1.4])}, coefficient = {draw.choice([0.6, 0.75, 0.9])}'
        if soils and draw.random() < 0.6:
            row += f", intake = {draw.choice([0.2, 0.35, 0.5])}, storage = {draw.choice([0.12, 0.2, 0.3])}"
        if groups:
            row += ', group = "beds", days = 2' if kind == "fan" else ', group = "lawn", days = 3'
        else:
            row += ", days = 3" if draw.random() < 0.3 else ', days = ["mon", "wed", "sat"]'
        watering.append(f"{{ {row} }}")
    if ring:
        pipes.append(f'{{ from = "T{zones - 1}", to = "T0", length = {60 * zones}, size = "pvc-sch40 {main}" }}')
    return "\n".join([
        f'title = "Drawn park {seed}, {zones} zones"', 'units = "us"', "ground = 100",
        'window = { from = "21:00", to = "07:00" }',
        f'supplies = [ {{ id = "street", static = {static}, flow = {safe}, residual = {static - draw.randint(6, 14)} }} ]',
        table("devices", [
            f'{{ id = "meter", type = "meter", flow = [{safe // 4}, {safe // 2}, {safe}], loss = [0.6, 2.2, 7.5], safe_flow = {safe} }}',
            f'{{ id = "backflow", type = "backflow", flow = [0, {safe // 2}, {safe}], loss = [3.0, 4.5, 7.0] }}']),
        table("valves", valves), table("nozzles", nozzles()), table("heads", heads), table("pipes", pipes),
        table("areas", areas), table("watering", watering)])
