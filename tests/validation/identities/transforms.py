"""Changes of a case that must not change its answer, or only in a known way. Each takes a Case and returns a new one."""

from __future__ import annotations

import copy
import random
import re
from typing import Callable

from validation.identities.case_rows import QUANTITY, Case, scaled

# What a bare number of a key measures, for every key that has a unit; the factor takes US numbers to metric ones.
PSI, GPM, FOOT, INCH = 6.894757293168361, 3.785411784, 0.3048, 25.4
DIMENSIONS = {
    PSI: "static residual pressure loss rise set at_least stated_pressure min design max rating",
    GPM: "flow safe_flow stated_flow",
    FOOT: "elev x y length first spacing radius uphill bends outline ground",
    INCH: "bore od roughness",
    0.006894757293168361: "modulus",
}
FACTORS = {key: factor for factor, keys in DIMENSIONS.items() for key in keys.split()}
LIMITS = {"velocity": FOOT, "below-atmosphere": PSI, "surge": PSI}
PRESSURE_UNITS = {"psi": 1.0, "kPa": PSI, "bar": PSI / 100, "MPa": PSI / 1000, "mH2O": 0.7032, "ftH2O": 2.3072}


def renumbered(case: Case) -> Case:
    """The rows of every table in another order (runs stay: their order is the order of the answer)."""
    shuffled = copy.deepcopy(case)
    for name, rows in shuffled.tables.items():
        if name != "runs":
            random.Random(name).shuffle(rows)
    return shuffled


def two_sided(case: Case) -> set[str]:
    return {str(row["id"]) for table in ("devices", "valves") for row in case.tables.get(table, [])}


def reversed_pipes(case: Case) -> tuple[Case, set[str]]:
    """Every pipe that is free of devices and valves turned round, and which."""
    turned, names, sided = copy.deepcopy(case), set(), two_sided(case)
    for row in turned.tables.get("pipes", []):
        if {str(row["from"]), str(row["to"])} & sided or case.value("pipes", row, "uphill") is not None:
            continue
        row["from"], row["to"] = row["to"], row["from"]
        if "bends" in row:
            row["bends"] = row["bends"][::-1]
        names.add(row["id"])
    return turned, names


def halved(case: Case) -> tuple[Case, set[str]]:
    """Every pipe of known length as two halves with a point between, and which."""
    result, pipes, names = copy.deepcopy(case), [], set()
    for row in result.tables.get("pipes", []):
        length = case.length(row)
        if length is None or case.value("pipes", row, "uphill") is not None or "bends" in row:
            pipes.append(row)
            continue
        half = {"length": scaled(length, lambda value: value / 2)}
        if (k := case.value("pipes", row, "k")) is not None:
            half["k"] = scaled(k, lambda value: value / 2)
        middle = f"{row['id']}~middle"
        pipes += [row | half | {"to": middle}, row | half | {"id": f"{row['id']}~2", "from": middle}]
        names.add(row["id"])
    if pipes:
        result.tables["pipes"] = pipes
    return result, names


def doubled(case: Case, catalogue: Callable[[str], tuple[float, float] | None]) -> tuple[Case, set[str]]:
    """Every Hazen-Williams pipe without k as two equal parallel ones that carry the same together, and which.

    Two pipes of bore d carry q/2 each at the loss at which one of bore D carries q where d = D 2^(-1.852/4.8704). `catalogue` gives
    bore (in) and C of a size, or None.
    """
    result, pipes, names, sided = copy.deepcopy(case), [], set(), two_sided(case)
    metric = case.top.get("units") == "metric"
    own = {f"{row['id']} {row['size']}": row for row in case.tables.get("kinds", [])}
    shrink = 2 ** (-1.852 / 4.8704)
    for row in result.tables.get("pipes", []):
        pipes.append(row)
        length = case.length(row)
        if (case.top.get("friction", "hazen-williams") != "hazen-williams" or case.value("pipes", row, "k") or row.get("closed")
                or {str(row["from"]), str(row["to"])} & sided or case.value("pipes", row, "uphill") is not None
                or length is None or QUANTITY.match(str(length)).group(1).strip("0.") == ""):
            continue
        bore, c = case.value("pipes", row, "bore"), case.value("pipes", row, "c")
        if bore is None:
            size = str(case.value("pipes", row, "size"))
            kind = case.value("pipes", row, "kind")
            size = f"{kind} {size}" if kind and " " not in size else size
            if size in own:
                bore, c = own[size]["bore"], c or own[size].get("c", 150)
            elif found := catalogue(size):
                bore, c = found[0] * (INCH if metric else 1), c or found[1]
            else:
                continue
        pipes.pop()
        twin = {key: value for key, value in row.items() if key not in ("size", "kind", "rating")}
        twin |= {"bore": scaled(bore, lambda value: value * shrink), "c": c or 150, "length": length}
        pipes += [twin, twin | {"id": f"{row['id']}~2"}]
        names.add(row["id"])
    if pipes:
        result.tables["pipes"] = pipes
    if names:
        for key in ("size", "kind", "bore"):         # a default size would stand beside the bores
            value = result.top.get("defaults", {}).get("pipes", {}).pop(key, None)
            for row in result.tables["pipes"]:
                if value is not None and "bore" not in row:
                    row.setdefault(key, value)
    return result, names


def in_other_units(case: Case) -> Case:
    """The same system in the other unit system: every bare number converted, numbers with a unit as they are."""
    result = copy.deepcopy(case)
    to_metric = case.top.get("units", "us") == "us"
    result.top["units"] = "metric" if to_metric else "us"
    temperature = case.top.get("temperature", 60 if to_metric else 15.555555555555555)
    if isinstance(temperature, (int, float)):
        result.top["temperature"] = (temperature - 32) / 1.8 if to_metric else temperature * 1.8 + 32

    def converted(key: str, value, factors: dict[str, float] = FACTORS):
        if isinstance(value, list):
            return [converted(key, item, factors) for item in value]
        if key not in factors or (isinstance(value, str) and re.search("[A-Za-z]", value)):
            return value
        return scaled(value, lambda number: number * factors[key] if to_metric else number / factors[key])

    def row_converted(row: dict) -> dict:
        return {key: row_converted(value) if isinstance(value, dict) else
                value if key == "k" else converted(key, value) for key, value in row.items()}

    for name, rows in result.tables.items():
        if name not in ("seen", "prices", "conditions"):
            result.tables[name] = [row_converted(row) for row in rows]
    for name in ("seen", "prices", "conditions", "readings"):      # no part of the balance
        result.tables.pop(name, None)
    result.top.pop("conditions", None)
    if "ground" in result.top:
        result.top["ground"] = converted("ground", result.top["ground"])
    if "defaults" in result.top:
        result.top["defaults"] = {table: row_converted(row) for table, row in result.top["defaults"].items()}
    if "limits" in result.top:
        result.top["limits"] = {key: converted(key, value, LIMITS) for key, value in result.top["limits"].items()}
    return result


def raised(case: Case, psi: float) -> Case:
    """Static pressure and residuals of every supply higher by so many psi."""
    result = copy.deepcopy(case)
    bare = "kPa" if case.top.get("units") == "metric" else "psi"

    def more(value):
        if isinstance(value, list):
            return [more(item) for item in value]
        unit = bare
        if isinstance(value, str):
            found = re.search("|".join(PRESSURE_UNITS), value)
            unit = found.group(0) if found else bare
        return scaled(value, lambda number: number + psi * PRESSURE_UNITS[unit])

    for row in result.tables["supplies"]:
        for key in ("static", "residual"):
            value = case.value("supplies", row, key)
            if value is not None:
                row[key] = more(value)
    return result
