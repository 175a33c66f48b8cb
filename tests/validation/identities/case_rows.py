"""A case as rows that can be changed and written back: TOML and the CSV beside it, `along` spelled out as single pipes.

Only what the identities need: values are kept as they stand (numbers as numbers, "45 ft" as text). `defaults` stay as they are
written, so a row's effective value is `Case.value`.
"""

from __future__ import annotations

import csv
import datetime
import math
import re
import tomllib
from pathlib import Path

TEXT_KEYS = {"id", "from", "to", "nozzle", "size", "kind", "type", "note", "at", "run", "what", "along", "value", "gauge", "side"}
LIST_KEYS = {"valves"}
QUANTITY = re.compile(r"\s*([-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?)\s*(.*)\Z", re.S)


def cell(key: str, text: str):
    """What a CSV cell means."""
    if key in LIST_KEYS:
        return text.split()
    if key in ("bends", "outline"):
        return [[float(part) for part in pair.split()] for pair in text.split(";")]
    if key in TEXT_KEYS:
        return text
    if text in ("true", "false"):
        return text == "true"
    try:
        return float(text)
    except ValueError:
        return text


def csv_rows(path: Path) -> list[dict]:
    """Rows of a CSV table; lines with the id of an earlier one continue its chart."""
    rows: dict[str, dict] = {}
    with path.open(encoding="utf-8-sig", newline="") as file:
        for number, line in enumerate(csv.DictReader(file)):
            values = {key.strip(): text.strip() for key, text in line.items() if text and text.strip()}
            row = {key: cell(key, text) for key, text in values.items()}
            name = values.get("id", f"line {number}")
            if path.stem == "kinds":
                name = f"{name} {values.get('size', number)}"
            if name not in rows:
                rows[name] = row
                continue
            for key, value in row.items():
                if isinstance(rows[name].get(key), list) and key not in LIST_KEYS:
                    rows[name][key].append(value)
                elif key in rows[name] and not isinstance(value, (str, list)):
                    rows[name][key] = [rows[name][key], value]
    return list(rows.values())


class Case:
    def __init__(self, top: dict, tables: dict[str, list[dict]]):
        self.top, self.tables = top, tables

    @classmethod
    def read(cls, path: Path) -> "Case":
        with path.open("rb") as file:
            document = tomllib.load(file)
        top, tables = {}, {}
        for key, value in document.items():
            if isinstance(value, list) and value and isinstance(value[0], dict):
                tables[key] = value
            elif isinstance(value, str) and value.endswith(".csv"):
                tables[key] = csv_rows(path.parent / value)
            else:
                top[key] = value
        case = cls(top, tables)
        case.spell_out()
        return case

    def default(self, table: str, key: str):
        return self.top.get("defaults", {}).get(table, {}).get(key)

    def value(self, table: str, row: dict, key: str):
        return row[key] if key in row else self.default(table, key)

    def spell_out(self) -> None:
        """Every stretch of an `along` as a pipe of its own."""
        pipes = []
        for row in self.tables.get("pipes", []):
            if "along" not in row:
                pipes.append({"id": f"{row['from']}-{row['to']}"} | row)
                continue
            words = str(row["along"]).split()
            rest = {key: value for key, value in row.items() if key not in ("along", "id")}
            for start, length, end in zip(words[0::2], words[1::2], words[2::2]):
                stretch = {"id": f"{start}-{end}", "from": start, "to": end, **rest}
                if length != "-":
                    stretch["length"] = float(length) if re.fullmatch(r"[-+0-9.eE]+", length) else length
                pipes.append(stretch)
        self.tables["pipes"] = pipes
        if not pipes:
            del self.tables["pipes"]

    def position(self, point: str) -> tuple[float, float] | None:
        for table in ("supplies", "devices", "valves", "heads", "points"):
            for row in self.tables.get(table, []):
                if str(row["id"]) == str(point) and isinstance(row.get("x"), (int, float)) and isinstance(row.get("y"), (int, float)):
                    return row["x"], row["y"]
        return None

    def length(self, row: dict):
        """Length of a pipe as written, or straight between its ends; None where it is neither."""
        written = self.value("pipes", row, "length")
        if written is not None:
            return written
        start, end = self.position(row["from"]), self.position(row["to"])
        return None if start is None or end is None or "bends" in row else math.dist(start, end)

    def write(self, folder: Path) -> Path:
        folder.mkdir(parents=True, exist_ok=True)
        lines = [f"{key} = {text(value)}" for key, value in self.top.items()]
        for name, rows in self.tables.items():
            lines += [f"{name} = ["] + [f"  {text(row)}," for row in rows] + ["]"]
        path = folder / "case.toml"
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        return path


def text(value) -> str:
    """A value as TOML, dates and keys that need quotes included."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(text(item) for item in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key if re.fullmatch(r'[A-Za-z0-9_-]+', key) else text(key)} = {text(item)}"
                                for key, item in value.items()) + " }"
    if isinstance(value, (datetime.date, datetime.datetime)):
        return value.isoformat()
    return repr(value)


def scaled(value, change):
    """A number, "number unit" or list of them with `change` applied to each number; anything else as it is."""
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, (int, float)):
        return change(float(value))
    if isinstance(value, list):
        return [scaled(item, change) for item in value]
    found = QUANTITY.match(value) if isinstance(value, str) else None
    return f"{change(float(found.group(1)))!r} {found.group(2)}".strip() if found else value
