"""The page `docs/figures-set-by-law.md`, made from the law data: `python -m msadraft.law.page docs/figures-set-by-law.md`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import date
from itertools import groupby
from pathlib import Path

from msadraft.law.listing import STANDING, room_name, standing, value_lines
from msadraft.law.parameters import Parameter, Version, names, parameter

INTRODUCTION = """# Figures set by law

Every number that the program takes from the law, with the days between which it applies, what it rests on, and what is
known to change. The page is made from the data (`make law-page`); change the data and not the page.

A lookup takes a day and gives the version in force on it; nothing reads the clock. `msadraft law --on 2026-05-01` shows
one day, `msadraft law CASE` the day of a case.

This is a working list for practitioners and not a statement of the law. Read a figure again in its source before anybody
relies on it. How each version came into the data stands with it:

{standings}

The day given is that of the text that was read; "first day from memory" and the like stand in the notes.
"""


def page() -> str:
    """The page as Markdown: the same data give the same text."""
    found = [parameter(name) for name in names()]
    standings = "\n".join(f"- {key}: {words};" for key, words in STANDING.items()).removesuffix(";") + "."
    parts = [INTRODUCTION.format(standings=standings)]
    for room, members in groupby(found, key=lambda one: one.name.split("/")[0]):
        parts.append(f"## {room_name(room)}\n")
        parts += ["\n".join(_parameter(one)) + "\n" for one in members]
    parts.append("## What is known to change\n\n" + "\n".join(_changes(found)) + "\n")
    parts.append("## What was not read in its own text\n\n" + "\n".join(_unread(found)) + "\n")
    return "\n".join(parts)


def _parameter(found: Parameter) -> Iterator[str]:
    yield f"### {found.label}"
    yield ""
    yield f"`{found.name}`; unit: {found.unit}; source: {found.source}."
    yield ""
    for version in reversed(found.versions):
        until = f" to {version.in_force_to}" if version.in_force_to else " on"
        first, *rest = value_lines(version.value, found.unit, date.max)
        if rest:
            first = "; ".join(line.removeprefix("- ") for line in rest).replace(":;", ":")
        yield f"- **From {version.in_force_from}{until}:** {first}"
        by = f"By {version.enacted_by}. " if version.enacted_by else ""
        note = f" {version.note.rstrip('.')}." if version.note else ""
        yield f"  - {by}{_sentence(standing(version))}{note}"


def _changes(found: list[Parameter]) -> Iterator[str]:
    """What is enacted or foreseen, then the yearly adjustments, then the ends of tables."""
    for day, one, what, source in sorted((c.on, p.name, c.what, c.source) for p in found for c in p.coming):
        yield f"- {day}, `{one}`: {what} Source: {source}."
    for parameter_ in found:
        adjusted, last = parameter_.adjusted, parameter_.versions[-1].in_force_to
        if adjusted:
            known = f"the data end on {last}" if last else "nothing to add here"
            yield (
                f"- Every year on {adjusted.every_year_on}, `{parameter_.name}`: by {adjusted.by}, to be known by "
                f"{adjusted.known_by} before; {known}. Source: {adjusted.source}."
            )
        elif last:
            yield f"- The data of `{parameter_.name}` end on {last}."


def _unread(found: list[Parameter]) -> Iterator[str]:
    for one in found:
        for version in one.versions:
            if version.checked != "read":
                yield f"- `{one.name}`, {_span(version)}: {standing(version)}."


def _span(version: Version) -> str:
    return (
        f"{version.in_force_from} to {version.in_force_to}" if version.in_force_to else f"from {version.in_force_from}"
    )


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:] + "."


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("say which file to write: python -m msadraft.law.page docs/figures-set-by-law.md")
    Path(sys.argv[1]).write_text(page(), encoding="utf-8")
