"""The generated systems that the independent solver balances: every kind of element, up to 40 heads, looped and branched."""

from __future__ import annotations

from generator.generate import Features, random_features

SYSTEMS: list[tuple[int, Features]] = [
    (1, Features()),
    (2, Features(zones=2, heads_per_zone=12, hills=15, main_loops=1, exponents=(0.5, "chart"), minor_losses=True)),
    (3, Features(darcy_weisbach=True, meter=True, backflow=True, master=True, hills=10, all_open=True)),
    (4, Features(zones=4, main_loops=2, lateral_loops=1, meter=True, filter=True, exponents=(0.45, 0.6), all_open=True)),
    (5, Features(metric=True, temperature_f=50, backflow=True, regulated_valves=True, swing_joints=True, minor_losses=True)),
    (6, Features(pump=True, meter=True, hills=20, exponents=("chart",), chart_valves=True)),
    (7, Features(regulator=True, backflow=True, tests=2, zones=4, exponents=(0.5, 0.0))),
    (8, Features(idle_regulator=True, regulated_heads=True, tests=3, exponents=(0.5, 1.0), lateral_loops=1)),
    (9, Features(supplies=2, main_loops=1, meter=True, hills=12, zones=3, all_open=True)),
    (10, Features(supplies=3, tests=2, main_loops=2, darcy_weisbach=True, temperature_f=75, backflow=True, zones=4)),
    (11, Features(weak_supply_with="check", backflow=True, tests=0, main_loops=1, exponents=(0.5, 0.5, "chart"))),
    (12, Features(weak_supply_with="regulator", meter=True, hills=8, regulated_valves=True, zones=4)),
    (13, Features(own_valves=3, main_heads=2, swing_joints=True, all_open=True, master=True)),
    (14, Features(dry_heads=True, backflow=True, closed=True, main_loops=2, zero_lengths=True)),
    (15, Features(shorthand=True, zones=4, heads_per_zone=10, metric=True, darcy_weisbach=True, exponents=(0.5, "chart"), all_open=True)),
    (16, Features(exponents=(0.0,), zones=2, lateral_loops=1, main_loops=1, minor_losses=True)),
    (17, Features(exponents=(0.2, 0.8, 1.0), zones=2, heads_per_zone=16, hills=25, regulated_heads=True, all_open=True)),
    (18, Features(spring_meter=True, meter=True, pump=True, regulator=True, chart_valves=True, zero_lengths=True, all_open=True)),
    (19, Features(zones=5, heads_per_zone=8, main_loops=2, lateral_loops=1, meter=True, backflow=True, filter=True, master=True,
                  regulated_valves=True, regulated_heads=True, swing_joints=True, minor_losses=True, chart_valves=True,
                  hills=15, exponents=(0.5, "chart", 0.0), tests=2, all_open=True, own_valves=2)),
    (20, Features(zones=5, heads_per_zone=8, main_loops=3, lateral_loops=2, supplies=2, weak_supply_with="check", pump=True,
                  darcy_weisbach=True, temperature_f=90, hills=20, exponents=(0.5, "chart", 0.7), closed=True,
                  zero_lengths=True, main_heads=2, all_open=True, metric=True)),
    (21, Features(zones=4, supplies=2, weak_supply_with="regulator", idle_regulator=True, main_loops=2, lateral_loops=1,
                  regulated_heads=True, backflow=True, exponents=(0.3, "chart"), dry_heads=True, hills=10, all_open=True)),
    (22, Features(zones=1, heads_per_zone=40, lateral_loops=2, exponents=(0.5, "chart"), swing_joints=True, hills=10, tests=2)),
    (23, Features(exponents=(0.0, 0.0), static=9.0, hills=3, main_loops=1, lateral_loops=1, backflow=True, tests=1)),
]
# Seeds of systems with any mixture of features (generator.generate.random_features). The last ones have regulators that stay
# shut beside stronger supplies, and still water behind a two-way device that opens above a loss.
MIXTURES = [*range(101, 151), 151, 174, 270, 280, 335]

SYSTEMS += [(seed, random_features(seed)) for seed in MIXTURES]
