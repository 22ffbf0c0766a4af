"""Counting of days, months and court days: the calendar on which deadlines and terms rest.

Sources: Code Civ. Proc. §§ 10, 12, 12a, 12b, 13, 17(b)(4), 135; Civ. Code § 14; Cal. Rules of Court, rule 1.11.
"""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Any

from msadraft.law.parameters import LawNotKnownError, law

ONE_DAY = timedelta(days=1)

_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December",
)  # fmt: skip
_SATURDAY, _SUNDAY = 5, 6


class CountingError(ValueError):
    """Days that cannot be counted with: the message says which, and what would be right."""


def written(day: date) -> str:
    """A day with its weekday, as a working shows it: Tuesday, February 17, 2026."""
    return f"{_WEEKDAYS[day.weekday()]}, {_MONTHS[day.month - 1]} {day.day}, {day.year}"


def short(day: date) -> str:
    """A day as prose shows it: February 17, 2026."""
    return f"{_MONTHS[day.month - 1]} {day.day}, {day.year}"


def counted(number: int, word: str) -> str:
    """A number with its word in the plural or the singular: 1 day, 12 days."""
    return f"{number:,} {word}" if number == 1 else f"{number:,} {word}s"


def add_months(day: date, months: int) -> date:
    """The same day of the month so many calendar months on (or back); the last day of a month that is too short.

    A month is a calendar month (Civ. Code § 14; Code Civ. Proc. § 17(b)(4)); the last day of a shorter month is
    common practice.
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def whole_months(start: date, end: date) -> int:
    """The most whole months that fit between two days; none if `end` is the earlier one."""
    if end < start:
        return 0
    months = (end.year - start.year) * 12 + end.month - start.month
    return months - 1 if add_months(start, months) > end else months


@lru_cache(maxsize=256)
def court_holidays(year: int) -> dict[date, str]:
    """The full-day court holidays observed in a year, apart from Saturdays and Sundays, with their names.

    A holiday on a Saturday is observed on the Friday before, one on a Sunday on the Monday after (rule 1.11), so
    that New Year's Day of the next year can be observed on December 31.

    Raises:
        LawNotKnownError: the holidays of that year are not known here.
    """
    days: dict[date, str] = {}
    for legal_year in (year, year + 1):
        for row in law("dates/judicial_holidays", date(legal_year, 1, 1)).value["days"]:
            day = _observed(_named_day(legal_year, row))
            if day.year == year:
                days[day] = row["name"]
    return dict(sorted(days.items()))


@lru_cache(maxsize=256)
def list_was_read(year: int) -> bool:
    """Whether a published list of the courts' holidays of that year has been compared with the rules used here."""
    try:
        return year in law("dates/judicial_holidays", date(year, 1, 1)).value["lists_read"]
    except LawNotKnownError:
        return False


def _named_day(year: int, row: dict[str, Any]) -> date:
    month = int(row["month"])
    if "day" in row:
        return date(year, month, int(row["day"]))
    weekday = [name.lower() for name in _WEEKDAYS].index(row["weekday"])
    if row["which"] == "last":
        last = date(year, month, monthrange(year, month)[1])
        return last - timedelta(days=(last.weekday() - weekday) % 7)
    first = date(year, month, 1)
    nth = first + timedelta(days=(weekday - first.weekday()) % 7 + 7 * (int(row["which"]) - 1))
    return nth + timedelta(days=int(row.get("days_after", 0)))


def _observed(day: date) -> date:
    return day + timedelta(days={_SATURDAY: -1, _SUNDAY: 1}.get(day.weekday(), 0))


@dataclass(frozen=True, slots=True)
class CourtCalendar:
    """The days on which one court is closed: weekends, judicial holidays, and closures of its own.

    `closures` are days on which the clerk's office is closed for the whole day; they count as holidays (Code Civ.
    Proc. § 12b). In a year whose judicial holidays are not known here only weekends and closures count, and
    `cautions` says so.
    """

    closures: frozenset[date] = frozenset()

    def reason(self, day: date) -> str | None:
        """Why the court is closed on a day, in words for a working; None if it is open."""
        if day.weekday() >= _SATURDAY:
            return f"a {_WEEKDAYS[day.weekday()]}"
        if day in self.closures:
            return "a day on which the clerk's office is closed"
        try:
            return court_holidays(day.year).get(day)
        except LawNotKnownError:
            return None

    def next_open(self, day: date) -> date:
        """The day itself if the court is open, else the next day on which it is (Code Civ. Proc. § 12a)."""
        while self.reason(day):
            day += ONE_DAY
        return day

    def last_open(self, day: date) -> date:
        """The day itself if the court is open, else the last day before it on which it is."""
        while self.reason(day):
            day -= ONE_DAY
        return day

    def add_court_days(self, day: date, number: int) -> date:
        """So many court days after a day, that day left out."""
        for _ in range(number):
            day = self.next_open(day + ONE_DAY)
        return day

    def cautions(self, *days: date) -> tuple[str, ...]:
        """What a reader should know about the holidays of the years in which these days fall."""
        found = []
        for year in sorted({day.year for day in days}):
            try:
                court_holidays(year)
            except LawNotKnownError:
                found.append(f"The court holidays of {year} are not known here; only weekends were counted.")
                continue
            if not list_was_read(year):
                found.append(
                    f"The court holidays of {year} are worked out from Code Civ. Proc. § 135 and rule 1.11; compare the "
                    "court's own list."
                )
        return tuple(found)


STATEWIDE = CourtCalendar()
"""The calendar without closures of a single court."""
