"""Plans for the tests, written the short way."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from msadraft.facts.scalars import PartyRole
from msadraft.figures.parenting.clock import DAY, WEEK, Zone
from msadraft.figures.parenting.pattern import Cycle, CycleBlock, NumberedWeekends
from msadraft.figures.parenting.plan import Plan, Regular

ZONE = Zone()
SHORT_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
WEEK_ONE = date(2025, 12, 29)
"""The Monday before Friday 2 January 2026."""


def minute(week: int, day: str, clock: str) -> int:
    """A point of the cycle in minutes from Monday 00:00 of week 1."""
    hours, minutes = clock.split(":")
    return (week - 1) * WEEK + SHORT_DAYS.index(day) * DAY + int(hours) * 60 + int(minutes)


def blocks(periods: Sequence[Sequence[Any]], weeks: int, parent: PartyRole = "respondent") -> tuple[CycleBlock, ...]:
    """Blocks of one parent; one that ends before it begins runs on over the end of the cycle."""
    out = []
    for week, day, clock, to_week, to_day, to_clock in periods:
        first, last = minute(week, day, clock), minute(to_week, to_day, to_clock)
        out.append(CycleBlock(first, last if last > first else last + weeks * WEEK, parent, "parenting.blocks.0"))
    return tuple(out)


def plan_of(row: dict[str, Any], **more: Any) -> Plan:
    """A plan of a row: the periods are the respondent's, the rest is the petitioner's."""
    if "weekends" in row:
        pattern: Cycle | NumberedWeekends = NumberedWeekends(
            tuple(row["weekends"]), row.get("counts_from", "first_friday"), blocks(row["periods"], 2)
        )
    else:
        pattern = Cycle(row["weeks"], row.get("monday", WEEK_ONE), blocks(row["periods"], row["weeks"]))
    return Plan(ZONE, (Regular(pattern),), "petitioner", **more)
