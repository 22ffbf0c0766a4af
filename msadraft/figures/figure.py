"""A computed value with its working: what it is, how it came about step by step, and from which facts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a working: what is worked out, the formula with its numbers, the result, and the rule's source."""

    what: str
    formula: str
    result: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """A value, its unit, its steps in order, the paths of the facts used, and cautions that go with it."""

    name: str
    value: Decimal | int | date | str | None
    unit: str
    steps: tuple[Step, ...] = ()
    facts: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    table: tuple[dict[str, Any], ...] = ()
