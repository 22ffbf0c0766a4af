"""Holidays: the day they turn on, from when to when they run, and who has them in which year.

The year in which a window begins decides whether it is an even or an odd one: a winter break from December 2028 to
January 2029 is an even-year break to its end (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal, NamedTuple

from msadraft.facts.scalars import PartyRole
from msadraft.figures.parenting.clock import DAY, CalendarError, Zone
from msadraft.figures.parenting.feasts import feast, nth_weekday

NOON = 12 * 60

Strength = Literal["school_break", "holiday", "special_day"]
STRENGTHS: tuple[Strength, ...] = ("special_day", "holiday", "school_break")
"""From the strongest: a special day wins over a holiday, a holiday over a school break (common practice)."""


def other(parent: PartyRole) -> PartyRole:
    """The other parent."""
    return "respondent" if parent == "petitioner" else "petitioner"


@dataclass(frozen=True, slots=True)
class FixedDay:
    """The same day every year; 29 February counts as 1 March in common years, as birthdays do."""

    month: int
    day: int

    def __post_init__(self) -> None:
        try:
            date(2028, self.month, self.day)
        except ValueError:
            raise CalendarError(
                f"there is no day {self.day} in month {self.month}; correct month and day_of_month"
            ) from None

    def days(self, year: int) -> tuple[date, ...]:
        """The day in a year."""
        if (self.month, self.day) == (2, 29) and not (year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)):
            return (date(year, 3, 1),)
        return (date(year, self.month, self.day),)


@dataclass(frozen=True, slots=True)
class WeekdayOfMonth:
    """The nth weekday (Monday is 0) of a month, -1 for the last."""

    month: int
    weekday: int
    nth: int

    def __post_init__(self) -> None:
        if not 1 <= self.month <= 12:
            raise CalendarError(f"there is no month {self.month}; write 1 to 12")

    def days(self, year: int) -> tuple[date, ...]:
        """The day in a year."""
        day = nth_weekday(year, self.month, self.weekday, self.nth)
        return (day,) if day else ()


@dataclass(frozen=True, slots=True)
class Feast:
    """A feast that moves, by its name."""

    name: str

    def days(self, year: int) -> tuple[date, ...] | None:
        """The days in a year, or None where no table reaches."""
        return feast(self.name, year)


@dataclass(frozen=True, slots=True)
class Given:
    """First and last days as the parents gave them from the school's calendar; never computed."""

    dates: tuple[tuple[date, date], ...]


DayRule = FixedDay | WeekdayOfMonth | Feast | Given


class Occurrence(NamedTuple):
    """One time that a window occurs: its first and last local days and its first and last instants."""

    first_day: date
    last_day: date
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Window:
    """From when to when: days before or after the day it turns on, and minutes of those days.

    `from_school` and `to_school` say that school letting out or beginning is what counts; the minutes then hold on days
    without school, and for counting.

    Raises:
        CalendarError: the end is not after the beginning.
    """

    day: DayRule
    from_shift: int
    from_minute: int
    to_shift: int
    to_minute: int
    from_school: bool = False
    to_school: bool = False
    path: str = ""

    def __post_init__(self) -> None:
        if isinstance(self.day, Given):
            for first, last in self.day.dates:
                if (last, self.to_minute) <= (first, self.from_minute):
                    raise CalendarError(
                        f"it ends on {last} before or when it begins on {first}; correct the dates or times", self.path
                    )
        elif self.to_shift * DAY + self.to_minute <= self.from_shift * DAY + self.from_minute:
            days = self.to_shift - self.from_shift
            raise CalendarError(
                f"it ends before or when it begins ({days} days later by its days, with its times); correct the days "
                "before and after or the times",
                self.path,
            )

    def occurrences(self, zone: Zone, year: int) -> tuple[Occurrence, ...] | None:
        """The times at which it occurs with a day in `year` (for given dates: a first day in it); None if not known."""
        if isinstance(self.day, Given):
            spans = [(first, last) for first, last in self.day.dates if first.year == year]
            if not spans:
                return None
        else:
            days = self.day.days(year)
            if days is None:
                return None
            spans = [(day + timedelta(days=self.from_shift), day + timedelta(days=self.to_shift)) for day in days]
        return tuple(
            Occurrence(
                first,
                last,
                zone.instant(first.toordinal(), self.from_minute),
                zone.instant(last.toordinal(), self.to_minute),
            )
            for first, last in spans
        )


@dataclass(frozen=True, slots=True)
class Meeting:
    """Where two halves meet. The middle day of an even number of days is the earlier of the two in the middle."""

    at: Literal["middle_day", "exact_middle", "month_day", "days_after"]
    minute: int = NOON
    month: int = 0
    day: int = 0
    days_after: int = 0
    path: str = ""

    def instant(self, zone: Zone, when: Occurrence) -> int:
        """The instant at which the second half begins.

        Raises:
            CalendarError: it does not lie inside the time that is halved.
        """
        if self.at == "exact_middle":
            return (when.first + when.last) // 2
        found = zone.instant(self._day(when).toordinal(), self.minute)
        if not when.first < found < when.last:
            raise CalendarError(
                f"the halves would meet on {zone.local(found):%Y-%m-%d at %H:%M}, outside the time from "
                f"{zone.local(when.first):%Y-%m-%d %H:%M} to {zone.local(when.last):%Y-%m-%d %H:%M}; correct halves_meet",
                self.path,
            )
        return found

    def _day(self, when: Occurrence) -> date:
        if self.at == "middle_day":
            return when.first_day + timedelta(days=(when.last_day - when.first_day).days // 2)
        if self.at == "days_after":
            return when.first_day + timedelta(days=self.days_after)
        rule = FixedDay(self.month, self.day)
        this_year = rule.days(when.first_day.year)[0]
        return this_year if this_year >= when.first_day else rule.days(when.first_day.year + 1)[0]


@dataclass(frozen=True, slots=True)
class HolidayPlan:
    """One holiday: when it is, and who has it (or its first half) in even and in odd years.

    `private_day` marks a birthday, whose date does not print in a paper that is filed.
    """

    key: str
    title: str
    window: Window
    even: PartyRole | None
    odd: PartyRole | None
    halves: bool = False
    meeting: Meeting | None = None
    strength: Strength = "holiday"
    private_day: bool = False
    path: str = ""

    def __post_init__(self) -> None:
        if self.halves and self.meeting is None:
            raise CalendarError("halves need a point where they meet; give window.halves_meet", f"{self.path}.window")

    def holder(self, year: int) -> PartyRole | None:
        """Who has it, or its first half, when it begins in `year`."""
        return self.even if year % 2 == 0 else self.odd

    def turns(self, zone: Zone, year: int) -> Iterator[tuple[int, int, PartyRole | None, str, Occurrence]]:
        """Each time it occurs in a year: from, to, who has it, what it is called; two turns for halves."""
        for when in self.window.occurrences(zone, year) or ():
            first = self.holder(when.first_day.year)
            if not self.halves or self.meeting is None:
                yield when.first, when.last, first, self.title, when
                continue
            middle = self.meeting.instant(zone, when)
            yield when.first, middle, first, f"{self.title}, first half", when
            yield middle, when.last, other(first) if first else None, f"{self.title}, second half", when
