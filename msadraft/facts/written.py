"""How facts are written in YAML text: single values, groups and lists, in the style that the facts files keep.

Values are read back as text by `yaml_tree`, so quotes are needed for safety only, not for types. Text that another
YAML reader would take for a number or a truth value is quoted all the same where the fact is text.
"""

from __future__ import annotations

import json
import re
import textwrap

from msadraft.facts.paths import UnknownPathError, field_at
from msadraft.facts.yaml_tree import Tree

WIDTH = 120
"""Columns of a line; a list of plain values that does not fit is written one value a line."""

_PLAIN = re.compile(r"[\w$(][^:#\\`\"]*")
_FLOW_SIGNS = re.compile(r"[,\[\]{}]")
_NOT_GIVEN = ("null", "~")
_PLAIN_KEY = re.compile(r"[A-Za-z_][\w-]*", re.ASCII)
_OTHER_TYPE = re.compile(r"[\d.,_]+|yes|no|true|false|on|off|y|n|null", re.IGNORECASE)


def quoted(text: str) -> str:
    """Give a text in double quotes, hidden signs written out, so that every YAML reader takes it alike."""
    plain = json.dumps(text, ensure_ascii=False)
    if plain.isprintable():
        return plain
    return "".join(
        c if c.isprintable() else f"\\u{ord(c):04x}" if ord(c) < 0x10000 else f"\\U{ord(c):08x}" for c in plain
    )


def key_text(key: str) -> str:
    """A key as it stands before its colon."""
    return key if _PLAIN_KEY.fullmatch(key) and key not in _NOT_GIVEN else quoted(key)


def scalar_text(written: str | None, style: str = "", flow: bool = False, reader: str = "") -> str:
    """One value on one line: plain or in the quotes it had; in quotes where it would not be safe without.

    Args:
        written: the value; None for a fact that is not given.
        style: the sign with which the value that stood here before began.
        flow: whether it stands in braces or brackets.
        reader: the kind of the fact (`paths.Shape.reader`), if known.
    """
    if written is None:
        return "~" if flow else ""
    if style == "'" and written.isprintable():
        return "'" + written.replace("'", "''") + "'"
    plain = _PLAIN.fullmatch(written) and written == written.strip() and written.isprintable()
    if flow and _FLOW_SIGNS.search(written):
        plain = None
    if reader in ("text", "last_four") and _OTHER_TYPE.fullmatch(written):
        plain = None
    return written if plain and style != '"' and written not in _NOT_GIVEN else quoted(written)


def block_scalar(written: str, column: int, folded: bool = False) -> list[str] | None:
    """A text over several lines as a block, its lines indented to a column; None if it cannot be written so.

    Args:
        folded: write a long text of one line, broken at spaces.
    """
    lines = written.removesuffix("\n").split("\n")
    if folded:
        if len(lines) > 1:
            return None
        lines = textwrap.wrap(lines[0], max(WIDTH - column, 40), break_long_words=False, break_on_hyphens=False)
        if " ".join(lines) != written:
            return None
    good = all(line.isprintable() and line == line.rstrip() for line in lines) and lines[0] and lines[-1]
    if not good or lines[0] != lines[0].lstrip():
        return None
    head = (">" if folded else "|") + ("" if written.endswith("\n") else "-")
    return [head, *(" " * column + line if line else "" for line in lines)]


def reader_of(path: str) -> str:
    """The kind of the fact at a path; empty if the facts have no such path."""
    try:
        return field_at(path).shape.reader
    except UnknownPathError:
        return ""


def flow_text(value: Tree, path: str = "") -> str:
    """A value, group or list in braces and brackets on one line, as the fact at a path."""
    if isinstance(value, dict):
        return (
            "{" + ", ".join(f"{key_text(key)}: {flow_text(item, f'{path}.{key}')}" for key, item in value.items()) + "}"
        )
    if isinstance(value, list):
        return "[" + ", ".join(flow_text(item, f"{path}.{n}") for n, item in enumerate(value)) + "]"
    return scalar_text(value, flow=True, reader=reader_of(path))


def block_lines(head: str, value: Tree, column: int, path: str = "") -> list[str]:
    """An entry in block style at a column: its head (`key:` or `-`) and what stands behind and below it."""
    first = " " * column + head
    below: list[str] = []
    if isinstance(value, dict):
        for key, item in value.items():
            below += block_lines(f"{key_text(key)}:", item, column + 2, f"{path}.{key}")
    elif isinstance(value, list):
        one_line = f"{first} {flow_text(value, path)}"
        if all(isinstance(item, str) for item in value) and len(one_line) <= WIDTH:
            return [one_line]
        for n, item in enumerate(value):
            below += block_lines("-", item, column + 2, f"{path}.{n}")
    elif value is not None:
        lines = block_scalar(value, column + 2) if "\n" in value else None
        if lines:
            return [f"{first} {lines[0]}", *lines[1:]]
        return [f"{first} {scalar_text(value, reader=reader_of(path))}"]
    if head == "-" and below:
        return [" " * column + "- " + below[0].lstrip(" "), *below[1:]]
    return [first, *below]
