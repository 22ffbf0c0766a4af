"""What the law data say for one day: each parameter's value, since when, until when, by what source, and what will change."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, Literal

from msadraft.law.parameters import Checked, LawNotKnownError, Parameter, Version, law, names, parameter

WIDTH = 80
"""Columns of the screen."""

CAUTION = (
    "These are the figures that the program uses, with the day on which each text was read. Look the law up again before "
    "anybody relies on one of them; what a version rests on stands with it."
)
ROOMS: Mapping[str, str] = {
    "calendar": "Feasts that move",
    "child_support": "Child support",
    "dates": "Periods and court days",
    "property": "Property and debts",
    "spousal_support": "Spousal support",
    "tax": "Taxes on income",
}
"""Headings for the first part of the names."""

STANDING: Mapping[Checked, str] = {
    "read": "read in the text itself",
    "reported": "as others report it",
    "computed": "computed, as the note says",
    "memory": "from memory; read in no source",
}
"""What `checked` means, in words."""

_PERIOD = {
    ("forward", "no"): "the first day does not count",
    ("forward", "yes"): "the first day counts",
    ("backward", "no"): "counted backward",
    ("backward", "yes"): "counted backward, the first day counts",
}


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that will change after the day of the listing.

    `kind`: `version` has the later value in the data; `adjusted` is a yearly adjustment whose value is not in the data;
    `ends` says that the data end; `coming` is a change that is enacted or foreseen, in words.
    """

    on: date
    kind: Literal["version", "adjusted", "ends", "coming"]
    what: str
    source: str
    value: Any = None


@dataclass(frozen=True, slots=True)
class Entry:
    """One parameter on one day. `version` is None where the data do not cover the day; `why_not` then says so."""

    parameter: Parameter
    day: date
    version: Version | None
    why_not: str
    changes: tuple[Change, ...]


def listing(day: date) -> tuple[Entry, ...]:
    """Every parameter as it stands on `day`, in the order of the names."""
    return tuple(_entry(parameter(name), day) for name in names())


def _entry(found: Parameter, day: date) -> Entry:
    try:
        version, why_not = law(found.name, day), ""
    except LawNotKnownError as error:
        version, why_not = None, str(error)
    return Entry(found, day, version, why_not, tuple(_changes(found, version, day)))


def _changes(found: Parameter, version: Version | None, day: date) -> Iterator[Change]:
    for one in (v for v in found.versions if v.in_force_from > day):
        yield Change(one.in_force_from, "version", "another version begins", authority(one), one.value)
    last = found.versions[-1]
    if found.adjusted:
        # Where the day lies beyond the data, the first value that is missing is the one to look up.
        on, known_by = found.adjusted.next_after(last.in_force_to or max(day, last.in_force_from))
        known = f"should be known since {known_by}: look it up" if known_by <= day else f"to be known by {known_by}"
        yield Change(
            on,
            "adjusted",
            f"not in the data; adjusted every year by {found.adjusted.by}; {known}",
            found.adjusted.source,
        )
    elif version is not None and last.in_force_to is not None:
        yield Change(last.in_force_to + timedelta(days=1), "ends", "the data end the day before", found.source)
    for one_coming in found.coming:
        if one_coming.on > day:
            yield Change(one_coming.on, "coming", one_coming.what, one_coming.source)


def authority(version: Version) -> str:
    """What a version rests on: the source of the parameter, and the enactment that set this value."""
    if not version.enacted_by or version.enacted_by in version.source:
        return version.source
    return f"{version.source}; {version.enacted_by}"


def standing(version: Version) -> str:
    """How a version came into the data, in words, with the day of the text that was read."""
    day = ""
    if version.checked in ("read", "reported"):
        day = f", text of {version.read_on}" if version.read_on else ", day not recorded"
    return STANDING[version.checked] + day


def listing_data(day: date, entries: tuple[Entry, ...]) -> dict[str, Any]:
    """The listing for programs. Values are as in the data; days and numbers are left to the JSON writer."""
    return {"day": day, "parameters": [_entry_data(entry) for entry in entries]}


def _entry_data(entry: Entry) -> dict[str, Any]:
    found, version = entry.parameter, entry.version
    data: dict[str, Any] = {"name": found.name, "label": found.label, "unit": found.unit, "source": found.source}
    if version is None:
        data |= {"value": None, "why_not": entry.why_not}
    else:
        data |= {
            "value": version.value,
            "since": version.in_force_from,
            "until": version.in_force_to,
            "enacted_by": version.enacted_by,
            "checked": version.checked,
            "read_on": version.read_on,
            "note": version.note,
        }
    return data | {"changes": entry.changes}


def screen_lines(day: date, entries: tuple[Entry, ...], emphasis: Callable[[str], str] = str) -> list[str]:
    """The listing for a screen of 80 columns. `emphasis` marks the headings."""
    lines = [f"The law on {day}, as far as the program has it", *textwrap.wrap(CAUTION, WIDTH)]
    room = ""
    for entry in entries:
        here = entry.parameter.name.split("/")[0]
        if here != room:
            room = here
            lines += ["", emphasis(room_name(room))]
        lines += ["", *_shown(entry)]
    return lines


def room_name(room: str) -> str:
    """The heading of a group of parameters."""
    return ROOMS.get(room, room.replace("_", " ").capitalize())


def _shown(entry: Entry) -> Iterator[str]:
    found, version = entry.parameter, entry.version
    yield from _wrapped(f"{found.label} ({found.name})", 2)
    if version is None:
        yield from _wrapped(f"{entry.why_not}.", 4)
    else:
        for line in value_lines(version.value, found.unit, entry.day):
            yield from _wrapped(line, 4)
        until = f", until {version.in_force_to}" if version.in_force_to else ""
        yield from _wrapped(f"since {version.in_force_from}{until}", 4)
        yield from _wrapped(f"source: {authority(version)}", 4)
        yield from _wrapped(f"checked: {standing(version)}", 4)
        if version.note:
            yield from _wrapped(f"note: {version.note}", 4)
    for change in entry.changes:
        yield from _wrapped(change_line(change, found.unit), 4)


def change_line(change: Change, unit: str) -> str:
    """One change in a line: the later value itself where it is short."""
    what = change.what
    if change.kind == "version":
        shown = value_lines(change.value, unit, change.on)
        what = shown[0] if len(shown) == 1 else "another version"
    return f"from {change.on}: {what.rstrip('.')} ({change.source})"


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * (indent + 2), break_on_hyphens=False
    )


def value_lines(value: Any, unit: str, day: date) -> list[str]:
    """A value in words, one line for a single value and one for each row of a table. Feasts: the next one after `day`."""
    if isinstance(value, Decimal):
        return [f"{_plain(value)} {unit}"]
    if isinstance(value, str):
        return [_plain(value)]
    if isinstance(value, Mapping) and {"length", "counted"} <= value.keys():
        return [_period(value, unit)]
    if isinstance(value, Mapping):
        return [f"in {unit}:", *(line for key, part in value.items() for line in _rows(_plain(key), part))]
    if all(isinstance(one, date) for one in value):
        coming = [one for one in value if one >= day]
        after = f"next {coming[0]}; " if coming else ""
        return [f"{after}{len(value)} {unit} from {value[0]} to {value[-1]}"]
    if _is_table(value):
        return [f"in {unit}:", *(_row(one) for one in value)]
    return [f"{_plain(value)} {unit}"]


def _rows(name: str, part: Any) -> list[str]:
    if _is_table(part):
        return [f"{name}:", *(f"- {_row(one)}" for one in part)]
    return [f"{name}: {_plain(part)}"]


def _row(row: Mapping[str, Any]) -> str:
    """A row of a table; its name, if it has one, stands first."""
    if "name" not in row:
        return _plain(row)
    return f"{row['name']}: {_plain({key: part for key, part in row.items() if key != 'name'})}"


def _period(value: Mapping[str, Any], unit: str) -> str:
    count = _PERIOD[str(value["counted"]), str(value["first_day_counts"])]
    moves = "moves" if value["moves_off_holidays"] == "yes" else "does not move"
    named = unit.removesuffix("s") if value["length"] == 1 else unit
    return f"{_plain(value['length'])} {named}; {count}; a last day on which the courts are closed {moves}"


def _plain(value: Any) -> str:
    """A part of a value in words: underscores are spaces, parts of a row stand with their names."""
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, Mapping):
        return ", ".join(f"{_plain(key)} {_plain(part)}" for key, part in value.items())
    if isinstance(value, list):
        return ", ".join(_plain(part) for part in value)
    return str(value).replace("_", " ")


def _is_table(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(row, Mapping) for row in value)
