"""The plain data of a generated system, and the case file that says the same.

A plain system is a dict; numbers are bare ones in the units of its `units`, every name and number spelled out:

    units, friction, temperature
    points    {id: elevation} of every point
    supplies  [{id, static, tests: [[flow, residual], ...]}]
    devices   [{id, type, loss, rise: {flow, rise} or None, set or None, one_way, closed}]
    valves    [{id, loss, set or None}]
    nozzles   {id: {pressure: [...], flow: [...], exponent}}
    heads     [{id, nozzle, joint: loss or None, set or None, own_valve: loss or None,
               own_set or None, lateral: id or None}]
    pipes     [{id, from, to, length, bore, c, roughness, k, fittings, closed, size or None, lateral: id or None}]
    laterals  [{id, from, first, heads, spacing, nozzle, sizes}]   how some heads and pipes are written in the case
    runs      [{id, valves}]
    loss      {kind: cv|kv, value} | {kind: k, value, bore} | {kind: chart, flow, loss} | {kind: none}
"""

from __future__ import annotations

from pathlib import Path


def text(value) -> str:
    """A value as TOML."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(text(item) for item in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {text(item)}" for key, item in value.items()) + " }"
    return repr(value)


def loss_keys(loss: dict | None) -> dict:
    if loss is None or loss["kind"] == "none":
        return {}
    if loss["kind"] == "chart":
        single = len(loss["flow"]) == 1
        return {"flow": loss["flow"][0] if single else loss["flow"], "loss": loss["loss"][0] if single else loss["loss"]}
    if loss["kind"] == "k":
        return {"k": loss["value"], "bore": loss["bore"]}
    return {loss["kind"]: loss["value"]}


DEFAULT_ONE_WAY = {"backflow", "regulator", "check", "pump"}


def case_tables(plain: dict) -> dict[str, list[dict]]:
    """The rows of every table of the case, by the keys of the case format."""
    points = plain["points"]
    named = {row["id"] for table in ("supplies", "devices", "valves", "heads") for row in plain[table]}
    tables: dict[str, list[dict]] = {name: [] for name in
                                     ("supplies", "devices", "valves", "nozzles", "heads", "laterals", "points", "pipes", "runs")}
    for row in plain["supplies"]:
        keys = {"id": row["id"], "elev": points[row["id"]], "static": row["static"]}
        if row["tests"]:
            flows, residuals = [list(column) for column in zip(*row["tests"])]
            single = len(flows) == 1
            keys |= {"flow": flows[0] if single else flows, "residual": residuals[0] if single else residuals}
        tables["supplies"].append(keys)
    for row in plain["devices"]:
        keys = {"id": row["id"], "elev": points[row["id"]], "type": row["type"], **loss_keys(row["loss"])}
        if row.get("rise"):
            keys |= row["rise"]
        if row["set"] is not None:
            keys["set"] = row["set"]
        if row["one_way"] != (row["type"] in DEFAULT_ONE_WAY):
            keys["one_way"] = row["one_way"]
        if row["closed"]:
            keys["closed"] = True
        tables["devices"].append(keys)
    for row in plain["valves"]:
        keys = {"id": row["id"], "elev": points[row["id"]], **loss_keys(row["loss"])}
        if row["set"] is not None:
            keys["set"] = row["set"]
        tables["valves"].append(keys)
    for name, nozzle in plain["nozzles"].items():
        single = len(nozzle["pressure"]) == 1
        keys = {"id": name, "pressure": nozzle["pressure"][0] if single else nozzle["pressure"],
                "flow": nozzle["flow"][0] if single else nozzle["flow"]}
        if single and nozzle["exponent"] != 0.5:
            keys["exponent"] = nozzle["exponent"]
        tables["nozzles"].append(keys)
    for row in plain["heads"]:
        keys = {"id": row["id"], "elev": points[row["id"]]}
        if row["lateral"] is None:
            keys["nozzle"] = row["nozzle"]
        keys |= loss_keys(row["joint"])
        if row["set"] is not None:
            keys["set"] = row["set"]
        if row["own_valve"] is not None:
            keys["own_valve"] = loss_keys(row["own_valve"]) | ({} if row["own_set"] is None else {"set": row["own_set"]})
        tables["heads"].append(keys)
    tables["laterals"] = plain["laterals"]
    tables["points"] = [{"id": point, "elev": z} for point, z in points.items() if point not in named]
    for row in plain["pipes"]:
        if row["lateral"] is not None:
            continue
        keys = {"id": row["id"], "from": row["from"], "to": row["to"], "length": row["length"]}
        if row["size"] is not None:
            keys["size"] = row["size"]
        else:
            keys |= {"bore": row["bore"], "c": row["c"], "roughness": row["roughness"]}
        if row["k"]:
            keys["k"] = row["k"]
        if row["fittings"]:
            keys["fittings"] = f"{row['fittings'] * 100:.10g} %"
        if row["closed"]:
            keys["closed"] = True
        tables["pipes"].append(keys)
    tables["runs"] = plain["runs"]
    return tables


def case_text(plain: dict) -> str:
    """The case file of a plain system."""
    lines = [f"title = {text(plain['title'])}", f"units = {text(plain['units'])}", f"friction = {text(plain['friction'])}",
             f"temperature = {text(plain['temperature'])}", ""]
    for name, rows in case_tables(plain).items():
        if rows:
            lines += [f"{name} = ["] + [f"  {text(row)}," for row in rows] + ["]"]
    return "\n".join(lines) + "\n"


def write_case(plain: dict, folder: Path) -> Path:
    """Writes the case into the folder and returns its path."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "case.toml"
    path.write_text(case_text(plain), encoding="utf-8")
    return path
