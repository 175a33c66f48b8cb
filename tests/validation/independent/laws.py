"""The bare laws of water in a sprinkler system, written from the equations alone: height lost d(q) and its slope d'(q).

SI: q in m3/s, heights in m of water, bores and lengths in m. Every law is a function returning (d, d') for q of either sign;
where water may not pass freely (one-way, regulators, nozzles) the condition is set up in `balance.py`.
The monotone cubic is SciPy's PchipInterpolator: Fritsch & Butland's weighted harmonic mean inside, the one-sided
three-point formula at the ends.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

GRAVITY = 9.80665
INCH, FOOT, PSI = 0.0254, 0.3048, 0.45359237 * 9.80665 / 0.0254**2
GALLON = 231 * INCH**3


def density(celsius: float) -> float:
    """kg/m3 at atmospheric pressure: Kell, J. Chem. Eng. Data 20 (1975) 97-105 (within 1e-5 of IAPWS R7-97)."""
    t = celsius
    top = 999.83952 + 16.945176 * t - 7.9870401e-3 * t**2 - 46.170461e-6 * t**3 + 105.56302e-9 * t**4 - 280.54253e-12 * t**5
    return top / (1 + 16.879850e-3 * t)


def viscosity(celsius: float) -> float:
    """Pa s at 0.1 MPa: IAPWS SR6-08 (within 3e-5 of IAPWS R12-08)."""
    t = (celsius + 273.15) / 300
    return 1e-6 * (280.68 * t**-1.9 + 511.45 * t**-7.7 + 61.131 * t**-19.6 + 0.45903 * t**-40)


def power(coefficient: float, exponent: float):
    """d = coefficient |q|^exponent, odd in q."""
    def law(q: float) -> tuple[float, float]:
        size = abs(q)
        return math.copysign(coefficient * size**exponent, q), coefficient * exponent * size ** (exponent - 1)
    return law


def hazen_williams(length: float, c: float, bore: float):
    return power(10.67 * length / (c**1.852 * bore**4.8704), 1.852)


def colebrook(reynolds: float, relative_roughness: float) -> float:
    """Darcy friction factor: the root of 1/sqrt f = -2 log10(e/3.7 + 2.51/(Re sqrt f))."""
    def miss(x: float) -> float:
        return x + 2 * math.log10(relative_roughness / 3.7 + 2.51 * x / reynolds)
    return 1 / brentq(miss, 0.5, 40, xtol=1e-14, rtol=1e-14) ** 2


def darcy_weisbach(length: float, bore: float, roughness: float, kinematic: float):
    area = math.pi / 4 * bore**2
    relative = roughness / bore

    def at(reynolds: float, factor: float) -> float:
        speed = reynolds * kinematic / bore
        return factor * length / bore * speed**2 / (2 * GRAVITY)

    laminar_end, turbulent_start = 2000 * kinematic / bore * area, 4000 * kinematic / bore * area
    low, high = at(2000, 64 / 2000), at(4000, colebrook(4000, relative))

    def law(q: float) -> tuple[float, float]:
        size = abs(q)
        if size <= laminar_end:
            slope = low / laminar_end
            return slope * q, slope
        if size < turbulent_start:
            slope = (high - low) / (turbulent_start - laminar_end)
            return math.copysign(low + slope * (size - laminar_end), q), slope
        reynolds = size / area * bore / kinematic
        f = colebrook(reynolds, relative)
        x = 1 / math.sqrt(f)
        # With B = e/3.7 + 2.51 x/Re:  x = -2 log10 B  gives  dx/dRe = c x/Re / (Re (1 + c/Re)), c = 2 2.51/(B ln 10).
        c = 2 * 2.51 / ((relative / 3.7 + 2.51 * x / reynolds) * math.log(10))
        x_slope = c * x / reynolds / (reynolds + c)
        loss = at(reynolds, f)
        return math.copysign(loss, q), loss * (2 / size - 2 * x_slope / x * reynolds / size)
    return law


def minor(k: float, bore: float):
    return power(k / (2 * GRAVITY * (math.pi / 4 * bore**2) ** 2), 2)


def coefficient(kind: str, value: float):
    """cv (US gpm of 60 degF water at 1 psi) or kv (m3/h at 1 bar). The pressure scales with density, the height does not."""
    at_one, pressure = {"cv": (GALLON / 60, PSI), "kv": (1 / 3600, 1e5)}[kind]
    return power(pressure / (density((60 - 32) / 1.8) * GRAVITY) / (value * at_one) ** 2, 2)


def loss_chart(flows: list[float], losses: list[float]):
    """(law for q >= 0, L0): rows of flow (m3/s) and loss (m)."""
    losses = list(np.maximum.accumulate(losses))
    at_rest = losses[0] if flows[0] == 0 else 0.0
    rows = [(q, d) for q, d in zip(flows, losses) if q > 0]
    last_flow, last_loss = rows[-1]
    square = (last_loss - at_rest) / last_flow**2
    if len(rows) == 1:
        return (lambda q: (at_rest + square * q * abs(q), 2 * square * abs(q))), at_rest
    curve = PchipInterpolator([0.0] + [q for q, _ in rows], [at_rest] + [d for _, d in rows])
    slope = curve.derivative()

    def law(q: float) -> tuple[float, float]:
        size = abs(q)
        if size > last_flow:
            loss, steep = at_rest + square * size**2, 2 * square * size
        else:
            loss, steep = float(curve(size)), float(slope(size))
        return (loss, steep) if q >= 0 else (2 * at_rest - loss, steep)   # mirrored below 0: only a Newton step goes there
    return law, at_rest


def flow_tests(drops: list[tuple[float, float]]):
    """What a supply loses from its static height; rows (flow, fall of height). Straight in |q|^1.852 between tests."""
    points = [(0.0, 0.0)] + [(q**1.852, d) for q, d in drops]

    def law(q: float) -> tuple[float, float]:
        size = abs(q)
        u = size**1.852
        for (u0, d0), (u1, d1) in zip(points, points[1:]):
            if u <= u1 or (u1, d1) == points[-1]:
                steep = (d1 - d0) / (u1 - u0)
                return math.copysign(d0 + steep * (u - u0), q), steep * 1.852 * size**0.852
        raise AssertionError
    return law


def pump(flows: list[float], rises: list[float]):
    """d = -rise: monotone cubic, beyond its ends straight with the slope of the secant there."""
    if len(flows) == 1:
        return lambda q: (-rises[0], 0.0)
    curve = PchipInterpolator(flows, rises)
    slope = curve.derivative()
    first = (rises[1] - rises[0]) / (flows[1] - flows[0])
    last = (rises[-1] - rises[-2]) / (flows[-1] - flows[-2])

    def law(q: float) -> tuple[float, float]:
        if q > flows[-1]:
            return -(rises[-1] + last * (q - flows[-1])), -last
        if q < flows[0]:
            return -(rises[0] + first * (q - flows[0])), -first
        return -float(curve(q)), -float(slope(q))
    return law


def nozzle(pressures: list[float], flows: list[float], exponent: float):
    """(height at the nozzle that makes it pass q >= 0, flow above which it never goes). Rows: heights (m), flows (m3/s)."""
    if len(pressures) == 1 and exponent == 0:
        return (lambda q: (0.0, 0.0)), flows[0]
    steps = [exponent] if len(pressures) == 1 else [0.5] + [
        math.log(q1 / q0) / math.log(p1 / p0) for p0, p1, q0, q1 in zip(pressures, pressures[1:], flows, flows[1:])] + [0.5]

    def law(q: float) -> tuple[float, float]:
        if q <= 0:
            return 0.0, 0.0
        piece = 0 if len(pressures) == 1 else sum(1 for f in flows if q > f)
        base = max(piece - 1, 0)
        height = pressures[base] * (q / flows[base]) ** (1 / steps[piece])
        return height, height / (steps[piece] * q)
    return law, math.inf


def nozzle_flow(pressures: list[float], flows: list[float], exponent: float, height: float) -> float:
    """Flow at a height: the inverse of `nozzle`, from the definition."""
    if height <= 0:
        return 0.0
    if len(pressures) == 1:
        return flows[0] * (height / pressures[0]) ** exponent
    if height <= pressures[0]:
        return flows[0] * math.sqrt(height / pressures[0])
    if height >= pressures[-1]:
        return flows[-1] * math.sqrt(height / pressures[-1])
    return math.exp(float(np.interp(math.log(height), np.log(pressures), np.log(flows))))
