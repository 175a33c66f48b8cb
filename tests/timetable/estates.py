"""Estates drawn from a seed, with many valves: mainlines that branch, with a ring, with two supplies, a pump at their
start or on their way, a regulator, hills; tight or roomy by what the supply is made for. Everything is invented. The keys
are those that cases/plain_case.py reads, with areas, watering and window beside."""

from __future__ import annotations

import random

from timetable.parks import nozzles, plant, table

KINDS = ("tree", "ring", "pump", "curve", "two", "booster", "hilly", "regulator")
CHAINS = ("ring", "two")


def estate(seed: int, zones: int, kind: str, room: int, soils: bool = True) -> str:
    """The case as TOML; `room` in gpm."""
    draw = random.Random(f"{seed} {zones} {kind} {room}")
    static = draw.randint(74, 90)
    main = "3" if room >= 100 else "2-1/2" if room >= 70 else "2" if room > 35 else "1-1/2"
    smaller = {"3": "2", "2-1/2": "2", "2": "1-1/2", "1-1/2": "1-1/4"}[main]
    tested = f"flow = {room}, residual = {static - draw.randint(6, 16)}"
    supplies = [f'{{ id = "street", static = {static}{", " + tested if kind in ("curve", *CHAINS) else ""} }}']
    devices, start = entry(room, ""), "street 20"
    if kind == "pump":
        supplies = ['{ id = "street", static = 0, elev = 112 }']
        rise = [static, round(0.96 * static, 1), round(0.86 * static, 1), round(0.6 * static, 1)]
        devices.append(f'{{ id = "pump", type = "pump", flow = [0, {0.4 * room}, {room}, {1.4 * room}], rise = {rise} }}')
        start = "street 6 pump 10"
    pipes = [f'{{ along = "{start} meter 10 backflow 15 T0", size = "pvc-sch40 {main}", k = 0.5 }}']
    heads, areas, valves, watering, points = [], [], [], [], []
    for z in range(zones):
        name = f"V{z}"
        if z > 0:
            before = z - 1 if kind in CHAINS or draw.random() < 0.7 else draw.randrange(max(0, z - 6), z)
            deep = kind not in CHAINS and z > 0.6 * zones and draw.random() < 0.5
            gap = draw.randint(15, 60) if zones > 15 else draw.randint(40, 110)
            way, size = f"T{before} {gap} T{z}", smaller if deep else main
            if kind == "booster" and z == zones // 2:
                way, size = f"T{before} 5 boost {gap} T{z}", main
                devices.append(f'{{ id = "boost", type = "pump", flow = [0, {room / 2}, {room}], rise = [7, 6, 4] }}')
            if kind == "regulator" and z == zones // 3:
                way, size = f"T{before} 5 held {gap} T{z}", main
                devices.append('{ id = "held", type = "regulator", cv = 60, set = 62 }')
            pipes.append(f'{{ along = "{way}", size = "pvc-sch40 {size}" }}')
        if kind == "hilly":
            points.append(f'{{ id = "T{z}", elev = {draw.randint(90, 118)} }}')
        plant(draw, z, heads, pipes, areas, valves)
        row = f'valve = "{name}", need = {draw.choice([0.5, 0.75, 1, 1.25, 1.6])}'
        if soils and draw.random() < 0.6:
            row += f", intake = {draw.choice([0.2, 0.35, 0.5])}, storage = {draw.choice([0.12, 0.2, 0.3])}"
        watering.append(f'{{ {row}, days = ["mon", "wed", "sat"] }}')
    if kind == "ring":
        pipes.append(f'{{ from = "T{zones - 1}", to = "T0", length = {40 * zones}, size = "pvc-sch40 {main}" }}')
    if kind == "two":
        more = static - draw.randint(-4, 6)
        supplies.append(f'{{ id = "well", static = {more}, flow = {room}, residual = {more - draw.randint(10, 16)} }}')
        devices += entry(room, "2")
        pipes.append(f'{{ along = "well 20 meter2 10 backflow2 15 T{zones - 1}", size = "pvc-sch40 {main}", k = 0.5 }}')
    tables = {"supplies": supplies, "devices": devices, "valves": valves, "nozzles": nozzles(), "heads": heads,
              "pipes": pipes, "points": points, "areas": areas, "watering": watering}
    return "\n".join([f'title = "Drawn estate {seed}, {zones} zones, {kind}"', 'units = "us"', "ground = 100",
                      'window = { from = "21:00", to = "07:00" }',
                      *(table(name, rows) for name, rows in tables.items() if rows)])


def entry(room: int, number: str) -> list[str]:
    return [f'{{ id = "meter{number}", type = "meter", flow = [{room / 4}, {room / 2}, {room}], loss = [0.6, 2.2, 7.5], safe_flow = {room} }}',
            f'{{ id = "backflow{number}", type = "backflow", flow = [0, {room / 2}, {room}], loss = [3.0, 4.5, 7.0] }}']
