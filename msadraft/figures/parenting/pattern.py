"""Regular schedules: a cycle of weeks, or numbered weekends of the month.

A cycle is counted from a Monday without a break, in local days; its hours stay the same on the clock face when the
clocks change. The parity of calendar weeks is never used: some years have 53 of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.parenting.clock import DAY, WEEK, CalendarError, Zone
from msadraft.figures.parenting.layers import Stay

LAST_DAY = date.max.toordinal() - 1
FRIDAY = 4 * DAY
SATURDAY = 5 * DAY


@dataclass(frozen=True, slots=True)
class CycleBlock:
    """A stretch of the cycle in minutes from Monday 00:00 of week 1; it may run over the end of the cycle."""

    first: int
    last: int
    parent: PartyRole
    source: str = ""


@dataclass(frozen=True, slots=True)
class Cycle:
    """A schedule that repeats every so many weeks, from the Monday on which week 1 begins.

    Raises:
        CalendarError: no week, a first day that is not a Monday, or a block that is empty or longer than the cycle.
    """

    weeks: int
    monday: date
    blocks: tuple[CycleBlock, ...]

    def __post_init__(self) -> None:
        if self.weeks < 1:
            raise CalendarError("a cycle has at least one week", "parenting.weeks_in_cycle")
        if self.monday.weekday() != 0:
            raise CalendarError(
                f"week 1 of a cycle begins on a Monday, but {self.monday} is not one", "parenting.cycle_start"
            )
        for block in self.blocks:
            if not (0 <= block.first < self.minutes and 0 < block.last - block.first <= self.minutes):
                raise CalendarError(
                    f"a block of the schedule does not fit into its cycle of {self.weeks} weeks", block.source
                )

    @property
    def minutes(self) -> int:
        """Length of the cycle in minutes, without changes of the clocks."""
        return self.weeks * WEEK

    def stays(self, zone: Zone, first: int, last: int, layer: str) -> list[Stay]:
        """The stays that touch the time from `first` up to `last`, whole, in order of their beginning."""
        start, days = self.monday.toordinal(), self.weeks * 7
        lowest = (zone.local(first).toordinal() - start) // days - 2
        highest = (zone.local(last).toordinal() - start) // days + 1
        blocks = sorted(self.blocks, key=lambda block: block.first)
        out = []
        for turn in range(lowest, highest + 1):
            day = start + turn * days
            for block in blocks:
                if day + block.first // DAY < 1 or day + block.last // DAY > LAST_DAY:
                    continue  # a cycle of many years reaches beyond the calendar
                begins, ends = zone.instant(day, block.first), zone.instant(day, block.last)
                if begins < last and ends > first:
                    out.append(Stay(begins, ends, block.parent, layer, block.source))
        return out

    def share(self, parent: PartyRole, default: PartyRole | None) -> Fraction:
        """A parent's exact part of the cycle by time. Time in no block is the default parent's; in two, the first one's."""
        edges = sorted(
            {0, self.minutes} | {edge % self.minutes for block in self.blocks for edge in (block.first, block.last)}
        )
        mine = sum(end - begin for begin, end in pairwise(edges) if self._holder(begin, default) == parent)
        return Fraction(mine, self.minutes)

    def _holder(self, minute: int, default: PartyRole | None) -> PartyRole | None:
        for block in self.blocks:
            if block.first <= minute < block.last or block.first <= minute + self.minutes < block.last:
                return block.parent
        return default


def is_weekend_block(first: int, last: int) -> bool:
    """Whether a block in minutes from Monday 00:00 belongs to a weekend: begins on a Friday or covers part of one.

    A block of numbered weekends that is no weekend block repeats every week.
    """
    return first >= FRIDAY or last > SATURDAY


@dataclass(frozen=True, slots=True)
class NumberedWeekends:
    """Weekends by their number in the month, with blocks in minutes from the Monday 00:00 before the weekend.

    `counts_from` says what makes a weekend the first of its month: a Friday in it, or a Saturday in it.

    Raises:
        CalendarError: a number that is not from 1 to 5.
    """

    numbers: tuple[int, ...]
    counts_from: Literal["first_friday", "first_saturday"]
    blocks: tuple[CycleBlock, ...]

    def __post_init__(self) -> None:
        if any(not 1 <= n <= 5 for n in self.numbers):
            raise CalendarError("weekends of the month have numbers from 1 to 5", "parenting.weekend_numbers")

    def has(self, friday: date) -> bool:
        """Whether the weekend that begins on this Friday is one of those numbered."""
        counted = friday if self.counts_from == "first_friday" else friday + timedelta(days=1)
        return (counted.day - 1) // 7 + 1 in self.numbers

    def stays(self, zone: Zone, first: int, last: int, layer: str) -> list[Stay]:
        """The stays that touch the time from `first` up to `last`, whole, in order of their beginning."""
        begin = zone.local(first).date()
        friday = begin - timedelta(days=(begin.weekday() - 4) % 7 + 14)
        end = zone.local(last).date() + timedelta(days=7)
        out = []
        while friday <= end:
            if self.has(friday):
                monday = friday.toordinal() - 4
                for block in sorted(self.blocks, key=lambda b: b.first):
                    begins, ends = zone.instant(monday, block.first), zone.instant(monday, block.last)
                    if begins < last and ends > first:
                        out.append(Stay(begins, ends, block.parent, layer, block.source))
            friday += timedelta(days=7)
        return out
