"""The law's own numbers, dated: what a statute, a table or a form said from which day on.

Each YAML file under `msadraft/law/data/` holds one parameter; its path is its name (`child_support/income_share`).
A lookup takes a day and gives the version in force on it, never today's by accident. Numbers are Decimal.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from importlib.resources import files
from typing import Any

import yaml

_LOADER: Any = type("_Loader", (getattr(yaml, "CBaseLoader", yaml.BaseLoader),), {})
_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


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


@cache
def versions(name: str) -> tuple[Version, ...]:
    """Every version of a parameter, oldest first."""
    file = files("msadraft.law").joinpath("data", *f"{name}.yaml".split("/"))
    if not file.is_file():
        raise LawNotKnownError(f"there is no law parameter called {name}")
    data = _typed(yaml.load(file.read_text(encoding="utf-8"), Loader=_LOADER))
    found = [
        Version(
            name,
            data["label"],
            data["unit"],
            data["source"],
            entry["in_force_from"],
            entry.get("in_force_to"),
            entry.get("enacted_by", ""),
            entry.get("read_on"),
            entry.get("note", ""),
            entry["value"],
        )
        for entry in data["versions"]
    ]
    return tuple(sorted(found, key=lambda v: v.in_force_from))


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
