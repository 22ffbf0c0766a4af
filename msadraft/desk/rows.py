"""Rows of a spreadsheet, pasted or from a file, as entries of a list of facts."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from msadraft.facts.paths import FactField, field_at, fields_of

MOST_ROWS = 5000
MOST_TEXT = 4_000_000
"""The longest text of rows that is taken, in characters."""


class RowsError(ValueError):
    """The rows cannot be used; the message says why and how to mend it."""


@dataclass(frozen=True)
class Rows:
    """Rows that can be added.

    Attributes:
        columns: the facts that the headings name, in the order of the columns; "" for the short name.
        entries: the facts of each entry by key.
        keys: a short name for each entry of a map; none for a list.
        lines: in which row of the sheet each entry stands, counted from 1.
    """

    columns: tuple[str, ...]
    entries: tuple[dict[str, str], ...]
    keys: tuple[str, ...]
    lines: tuple[int, ...]


def read_rows(text: str, path: str, taken: Iterable[str]) -> Rows:
    """Read rows; the first one names the facts, by their key or label.

    Args:
        text: rows as a spreadsheet copies them (tabs), or with commas or semicolons.
        path: the list or map whose entries they are.
        taken: short names that are in use.

    Raises:
        RowsError: there are no rows, too many, a column names no fact or one that is named already, or a row holds
            more than there are headings.
    """
    if len(text) > MOST_TEXT:
        raise RowsError(f"At most {MOST_TEXT // 1_000_000} million characters at a time; add the rows in parts.")
    first = next((line for line in text.splitlines() if line.strip()), "")
    sign = next((sign for sign in "\t;," if sign in first), "\t")
    try:
        found = [
            (n, row)
            for n, row in enumerate(csv.reader(io.StringIO(text, newline=""), delimiter=sign), 1)
            if any(cell.strip() for cell in row)
        ]
    except csv.Error as error:
        raise RowsError(f"The rows cannot be read: {error}.") from None
    if len(found) < 2:
        raise RowsError("Give a row of headings and at least one row below it.")
    if len(found) > MOST_ROWS + 1:
        raise RowsError(f"At most {MOST_ROWS} rows at a time.")
    shape = field_at(path).shape
    if shape.item is None or shape.item.record is None:
        raise RowsError("Rows can be added only to a list of groups of facts.")
    facts = {name: fact for name, fact in fields_of(shape.item.record).items() if fact.shape.form == "value"}
    columns = _columns(found[0][1], facts, shape.form == "map")
    used = set(taken)
    entries, keys, lines = [], [], []
    for n, row in found[1:]:
        if any(cell.strip() for cell in row[len(columns) :]):
            raise RowsError(
                f"Row {n} holds more cells than there are headings. Give each column a heading; put a cell with a "
                f"{'tab' if sign == chr(9) else sign} in it into double quotes."
            )
        given = {name: typed.strip() for name, typed in zip(columns, row, strict=False) if typed.strip()}
        own = given.pop("", "")
        if not given:
            raise RowsError(f"Row {n} has a short name and nothing else. Give at least one fact, or take the row out.")
        entries.append(given)
        lines.append(n)
        if shape.form == "map":
            keys.append(_key(own or given.get("label") or next(iter(given.values())), used))
    return Rows(columns, tuple(entries), tuple(keys), tuple(lines))


def as_text(table: Sequence[Sequence[str]]) -> str:
    """Write cells as a spreadsheet copies them, so that `read_rows` reads the same cells; each line break as a line feed."""
    out = io.StringIO()
    rows = ([re.sub("\r\n?", "\n", cell) for cell in row] for row in table)
    csv.writer(out, delimiter="\t", lineterminator="\n").writerows(rows)
    return out.getvalue()


def _columns(head: Sequence[str], facts: Mapping[str, FactField], keyed: bool) -> tuple[str, ...]:
    """The fact that each heading names; empty for the short name."""
    while head and not head[-1].strip():
        head = head[:-1]
    by_title = {_plain(fact.title): name for name, fact in facts.items()}
    columns: list[str] = []
    for title in head:
        plain = _plain(title)
        if plain in ("short_name", "key") and keyed:
            name = ""
        elif plain in facts or plain in by_title:
            name = plain if plain in facts else by_title[plain]
        else:
            known = "; ".join([*(("Short name",) if keyed else ()), *(fact.title for fact in facts.values())])
            raise RowsError(f"No fact is called “{title.strip()}” here. The headings can be: {known}.")
        if name in columns:
            raise RowsError(f"Two columns are called “{title.strip()}”. Keep one of them.")
        columns.append(name)
    return tuple(columns)


def _plain(title: str) -> str:
    return re.sub(r"[^a-z0-9]+", "_", title.strip().lower()).strip("_")


def _key(wanted: str, used: set[str]) -> str:
    base = _plain(wanted).removeprefix("the_")[:24].strip("_")
    if not base or not base[0].isalpha():
        base = f"entry_{base}".rstrip("_")
    key, n = base, 2
    while key in used:
        key, n = f"{base}_{n}", n + 1
    used.add(key)
    return key
