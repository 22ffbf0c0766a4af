"""Rows copied from a spreadsheet, as entries of a list of facts."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping

from msadraft.facts.paths import FactField, field_at, fields_of

MOST_ROWS = 5000


class RowsError(ValueError):
    """The rows cannot be used; the message says why and how to mend it."""


def read_rows(text: str, path: str, taken: Iterable[str]) -> tuple[list[dict[str, str]], list[str]]:
    """Read pasted rows; the first one names the facts, by their key or label.

    Args:
        text: rows as a spreadsheet copies them (tabs), or with commas or semicolons.
        path: the list or map whose entries they are.
        taken: short names that are in use.

    Returns: the facts of each entry by key, and a short name for each entry of a map (none for a list).

    Raises:
        RowsError: there are no rows, too many, or a column names no fact.
    """
    lines = [line for line in text.splitlines() if line.strip()]
    if len(lines) < 2:
        raise RowsError("Paste a row of headings and at least one row below it.")
    if len(lines) > MOST_ROWS + 1:
        raise RowsError(f"At most {MOST_ROWS} rows at a time.")
    sign = next((sign for sign in "\t;," if sign in lines[0]), "\t")
    head, *rows = csv.reader(lines, delimiter=sign)
    shape = field_at(path).shape
    if shape.item is None or shape.item.record is None:
        raise RowsError("Rows can be pasted only into a list of groups of facts.")
    facts = {name: fact for name, fact in fields_of(shape.item.record).items() if fact.shape.form == "value"}
    columns = [_column(title, facts) for title in head]
    keyed = shape.form == "map"
    used = set(taken)
    found, keys = [], []
    for row in rows:
        given = {name: typed.strip() for name, typed in zip(columns, row, strict=False) if typed.strip()}
        own = given.pop("", "")
        if not given:
            continue
        found.append(given)
        if keyed:
            keys.append(_key(own or next(iter(given.values())), used))
    if not found:
        raise RowsError("The rows below the headings are empty.")
    return found, keys


def _column(title: str, facts: Mapping[str, FactField]) -> str:
    """The fact that a heading names; empty for the short name."""
    plain = re.sub(r"[^a-z0-9]+", "_", title.strip().lower()).strip("_")
    if plain in ("short_name", "key"):
        return ""
    if plain in facts:
        return plain
    raise RowsError(f"No fact is called “{title.strip()}” here. The headings can be: short name, {', '.join(facts)}.")


def _key(wanted: str, used: set[str]) -> str:
    base = re.sub(r"[^a-z0-9]+", "_", wanted.lower()).strip("_")[:24].strip("_")
    if not base or not base[0].isalpha():
        base = f"entry_{base}".rstrip("_")
    key, n = base, 2
    while key in used:
        key, n = f"{base}_{n}", n + 1
    used.add(key)
    return key
