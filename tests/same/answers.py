"""Compares two answers of `check --format json` that should be the same but for the order of rows and the last digits.

A number agrees with its counterpart within 1e-9 of itself, or of the largest number of its column in its run: a small flow
is what is left between large ones, and so is a loss between two pressures. Which of several equal rows is named as the
worst one may change with the order of rows: those names are left out, their numbers are not.
"""

from __future__ import annotations

import json

RELATIVE = 1e-9
TABLES = ("supplies", "heads", "points", "pipes", "devices", "valves")
LISTS = ("findings", "warnings", "not_checked", "assumptions", "rules_off")
NAMES_OF_WORST = {"critical_head", "lowest_head", "highest_head", "top_velocity_pipe", "top_surge_pipe", "top_surge_valve"}
SENTENCES = {"text", "try"}  # they name the first of equals as well


def is_number(value) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def judged(rows: list) -> list:
    """Without what the reader says of a row: it says where the row stands, and names the first of several."""
    return [row for row in rows if not (isinstance(row, dict) and "file" in row)]


class Comparison:
    def __init__(self) -> None:
        self.wrong: list[str] = []
        self.worst, self.where, self.count = 0.0, "", 0

    def value(self, what: str, a, b, scale: float = 0.0) -> None:
        if is_number(a) and is_number(b):
            self.count += 1
            most = max(abs(a), abs(b), scale)
            apart = abs(a - b) / most if most else 0.0
            if apart > self.worst:
                self.worst, self.where = apart, what
            if not apart <= RELATIVE:
                self.wrong.append(f"{what}: {a!r} and {b!r}")
        elif a != b:
            self.wrong.append(f"{what}: {a!r} and {b!r}")

    def row(self, what: str, a: dict, b: dict, scales: dict | None = None, apart_from: frozenset | set = frozenset()) -> None:
        if set(a) != set(b):
            self.wrong.append(f"{what}: not the same keys: {sorted(set(a) ^ set(b))}")
        for key in set(a) & set(b) - set(apart_from):
            scale = (scales or {}).get(key, 0.0)
            if isinstance(a[key], list) and isinstance(b[key], list):
                self.value(f"{what} {key}", sorted(a[key], key=json.dumps), sorted(b[key], key=json.dumps))
            else:
                self.value(f"{what} {key}", a[key], b[key], scale)

    def table(self, what: str, a: list[dict], b: list[dict]) -> None:
        mine, other = ({row["id"]: row for row in rows} for rows in (a, b))
        if set(mine) != set(other) or len(mine) != len(a):
            self.wrong.append(f"{what}: not the same rows")
        scales: dict = {}
        for row in a:
            for key, value in row.items():
                if is_number(value):
                    scales[key] = max(scales.get(key, 0.0), abs(value))
        for name in set(mine) & set(other):
            self.row(f"{what} {name}", mine[name], other[name], scales)

    def listed(self, what: str, a: list, b: list) -> None:
        """Rows without an id, by their words; numbers among them may sit in lists."""
        def words(item) -> str:
            if isinstance(item, dict):
                return json.dumps([[key, words(value)] for key, value in sorted(item.items())
                                   if not is_number(value) and key not in SENTENCES])
            return json.dumps(item)

        def key(item) -> tuple:
            numbers = [value for _, value in sorted(item.items()) if is_number(value)] if isinstance(item, dict) else []
            return words(item), numbers

        if sorted(map(words, a)) != sorted(map(words, b)):
            only = sorted(set(map(words, a)) ^ set(map(words, b)))
            self.wrong.append(f"{what}: not the same ({len(a)} and {len(b)}): {only[:2]}")
            return
        for mine, other in zip(sorted(a, key=key), sorted(b, key=key)):
            if isinstance(mine, dict):
                self.row(f"{what} {words(mine)[:100]}", mine, other, apart_from=SENTENCES)

    def answers(self, a: dict, b: dict) -> None:
        runs_a, runs_b = ({run["id"]: run for run in answer["runs"]} for answer in (a, b))
        if set(runs_a) != set(runs_b):
            self.wrong.append("not the same runs")
        for name in set(runs_a) & set(runs_b):
            mine, other = runs_a[name], runs_b[name]
            apart = {*TABLES, *LISTS, *NAMES_OF_WORST, "closure", "error"}
            self.row(f"run {name}", mine, other, apart_from=apart)
            self.value(f"run {name} solved", mine["closure"]["solved"], other["closure"]["solved"])
            self.value(f"run {name} error", mine.get("error", {}).get("kind"), other.get("error", {}).get("kind"))
            for table in TABLES:
                self.table(f"run {name} {table}", mine.get(table, []), other.get(table, []))
            for rows in LISTS:
                self.listed(f"run {name} {rows}", mine.get(rows, []), other.get(rows, []))
        for rows in LISTS:
            self.listed(rows, judged(a.get(rows, [])), judged(b.get(rows, [])))
        self.value("warnings of the reader", *(len(answer["warnings"]) - len(judged(answer["warnings"])) for answer in (a, b)))
        for key in ("ok", "case", "units", "schema"):
            self.value(key, a[key], b[key])
