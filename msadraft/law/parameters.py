"""The law's own numbers, dated: what a statute, a table or a form said from which day on.

Each YAML file under `msadraft/law/data/` holds one parameter; its path is its name (`child_support/income_share`).
A lookup takes a day and gives the version in force on it, never today's by accident. Numbers are Decimal.

`checked` says how a version came into the data: `read` in the enactment or the official table itself, `reported` by
somebody else who read it, `computed` with the tool that its note names, or from `memory`. `read_on` is the day of the
text that was read; it is None where nothing was read or the day was not recorded.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from importlib.resources import files
from typing import Any, Literal

import yaml

_LOADER: Any = type("_Loader", (getattr(yaml, "CBaseLoader", yaml.BaseLoader),), {})
_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
NOT_RECORDED = "not_recorded"
"""As `read_on` in the data: a text was read, and nobody wrote down when."""


Checked = Literal["read", "reported", "computed", "memory"]


class LawNotKnownError(LookupError):
    """No version of a parameter is known for a day. The message names the parameter and the day."""


@dataclass(frozen=True, slots=True)
class Version:
    """One version of a parameter: what it says, from which day on, by which enactment, and when it was read."""

    name: str
    label: str
    unit: str
    source: str
    in_force_from: date
    in_force_to: date | None
    enacted_by: str
    checked: Checked
    read_on: date | None
    note: str
    value: Any

    @property
    def number(self) -> Decimal:
        """The value, if it is one number."""
        if not isinstance(self.value, Decimal):
            raise TypeError(f"{self.name} is not one number")
        return self.value

    @property
    def rows(self) -> list[dict[str, Any]]:
        """The value, if it is a table."""
        if not isinstance(self.value, list):
            raise TypeError(f"{self.name} is not a table")
        return self.value


@dataclass(frozen=True, slots=True)
class Adjustment:
    """A yearly adjustment: the day from which each new value counts, and the day of the year before by which it is known.

    Both days are month and day ("01-01"), since they come round every year.
    """

    every_year_on: str
    known_by: str
    by: str
    source: str

    def next_after(self, day: date) -> tuple[date, date]:
        """The first adjustment after `day`, and the day by which it should be known."""
        start = date.fromisoformat(f"{day.year}-{self.every_year_on}")
        if start <= day:
            start = start.replace(year=start.year + 1)
        known = date.fromisoformat(f"{start.year}-{self.known_by}")
        return start, known if known <= start else known.replace(year=start.year - 1)


@dataclass(frozen=True, slots=True)
class Coming:
    """A change that is already enacted or foreseen and is not among the versions."""

    on: date
    what: str
    source: str


@dataclass(frozen=True, slots=True)
class Parameter:
    """One parameter of the law: its versions, oldest first, and what is known to change."""

    name: str
    label: str
    unit: str
    source: str
    versions: tuple[Version, ...]
    adjusted: Adjustment | None
    coming: tuple[Coming, ...]


def law(name: str, day: date) -> Version:
    """Give the version of a parameter that is in force on `day`.

    Raises:
        LawNotKnownError: no such parameter, or no version covers the day.
    """
    for version in reversed(versions(name)):
        if version.in_force_from <= day and (version.in_force_to is None or day <= version.in_force_to):
            return version
    known = versions(name)
    raise LawNotKnownError(
        f"{name} is not known for {day.isoformat()}; the data begin on {known[0].in_force_from.isoformat()}"
        + (f" and end on {known[-1].in_force_to.isoformat()}" if known[-1].in_force_to else "")
    )


def versions(name: str) -> tuple[Version, ...]:
    """Every version of a parameter, oldest first.

    Raises:
        LawNotKnownError: no such parameter.
    """
    return parameter(name).versions


@cache
def parameter(name: str) -> Parameter:
    """A parameter with all its versions and what is known to change.

    Raises:
        LawNotKnownError: no such parameter.
    """
    file = files("msadraft.law").joinpath("data", *f"{name}.yaml".split("/"))
    if not file.is_file():
        raise LawNotKnownError(f"there is no law parameter called {name}")
    text = file.read_text(encoding="utf-8")
    data = _typed(yaml.load(text, Loader=_LOADER))  # noqa: S506  (this loader makes text, lists and mappings only)
    found = [
        Version(
            name,
            data["label"],
            data["unit"],
            data["source"],
            entry["in_force_from"],
            entry.get("in_force_to"),
            entry.get("enacted_by", ""),
            entry["checked"],
            None if entry.get("read_on") == NOT_RECORDED else entry.get("read_on"),
            entry.get("note", ""),
            entry["value"],
        )
        for entry in data["versions"]
    ]
    adjusted = Adjustment(**data["adjusted"]) if "adjusted" in data else None
    coming = tuple(Coming(entry["from"], entry["what"], entry["source"]) for entry in data.get("coming", ()))
    ordered = tuple(sorted(found, key=lambda v: v.in_force_from))
    return Parameter(name, data["label"], data["unit"], data["source"], ordered, adjusted, coming)


def names() -> tuple[str, ...]:
    """The names of all parameters."""
    root = files("msadraft.law").joinpath("data")
    found: list[str] = []

    def visit(folder: Any, prefix: str) -> None:
        for entry in folder.iterdir():
            if entry.is_dir():
                visit(entry, f"{prefix}{entry.name}/")
            elif entry.name.endswith(".yaml"):
                found.append(prefix + entry.name.removesuffix(".yaml"))

    visit(root, "")
    return tuple(sorted(found))


def _typed(value: Any) -> Any:
    """Read numbers as Decimal, days as dates, empty as None; everything else stays text."""
    if isinstance(value, dict):
        return {str(k): _typed(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_typed(v) for v in value]
    if value in ("", "null", "~"):
        return None
    if _DAY.fullmatch(value):
        return date.fromisoformat(value)
    return Decimal(value) if _NUMBER.fullmatch(value) else value
