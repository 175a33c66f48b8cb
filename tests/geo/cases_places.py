"""Where the points of a case lie, read from its TOML alone."""

import tomllib


def places_of(path):
    with open(path, "rb") as file:
        case = tomllib.load(file)
    return {row["id"]: (row["x"], row["y"]) for table in ("supplies", "devices", "valves", "heads", "points")
            for row in case.get(table, []) if "x" in row}
