"""Days that move: weekdays of a month, Easter, and feasts of the Hebrew, Islamic, Chinese and Hindu calendars.

Every day is a civil day. A Jewish or Islamic day begins at sunset on the evening before. Islamic dates follow the
Umm al-Qura calendar and may differ by a day where the moon is sighted; Diwali may differ by a day by place: the
agreement should name whose calendar decides.
"""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta
from functools import cache

from dateutil.easter import EASTER_ORTHODOX, EASTER_WESTERN, easter

from msadraft.law.parameters import versions

PARTS_OF_DAY = 24 * 1080
"""The Hebrew calendar divides the hour into 1080 parts."""
_MONTH_PARTS = 29 * PARTS_OF_DAY + 12 * 1080 + 793
_FIRST_MOLAD = 1 * PARTS_OF_DAY + 5 * 1080 + 204
_HEBREW_EPOCH = -1373428
"""The Sunday before 1 Tishri of year 1, as a day number in which 1 January of year 1 (Gregorian) is 1."""

IN_TABLES = ("lunar_new_year", "ramadan", "eid_al_fitr", "eid_al_adha", "diwali")
PROVISIONAL = ("ramadan", "eid_al_fitr", "eid_al_adha", "diwali")
"""Feasts whose civil day may differ by one from the computed day."""


def nth_weekday(year: int, month: int, weekday: int, nth: int) -> date | None:
    """The nth weekday (Monday is 0) of a month, or the last for -1; None if the month has no fifth."""
    if nth == -1:
        last = date(year, month, monthrange(year, month)[1])
        return last - timedelta(days=(last.weekday() - weekday) % 7)
    first = date(year, month, 1)
    day = 1 + (weekday - first.weekday()) % 7 + 7 * (nth - 1)
    return date(year, month, day) if day <= monthrange(year, month)[1] else None


@cache
def feast(name: str, year: int) -> tuple[date, ...] | None:
    """The days in a civil year on which a feast falls: none, one or two. None if the table does not reach that year."""
    if name in IN_TABLES:
        known = _table(name)
        if not known or not known[0].year <= year <= known[-1].year:
            return None
        return tuple(day for day in known if day.year == year)
    return (_computed(name, year),)


@cache
def _table(name: str) -> tuple[date, ...]:
    return tuple(sorted(day for version in versions(f"calendar/{name}") for day in version.value))


def _computed(name: str, year: int) -> date:
    if name == "easter":
        return easter(year, EASTER_WESTERN)
    if name == "orthodox_easter":
        return easter(year, EASTER_ORTHODOX)
    autumn = hebrew_new_year(year + 3761)
    passover = autumn - timedelta(days=163)  # from 15 Nisan to the next 1 Tishri it is always 163 days
    match name:
        case "rosh_hashanah":
            return autumn
        case "yom_kippur":
            return autumn + timedelta(days=9)
        case "hanukkah":
            length = (hebrew_new_year(year + 3762) - autumn).days
            return autumn + timedelta(days=84 if length % 10 == 5 else 83)
        case "passover":
            return passover
        case "purim":
            return passover - timedelta(days=30)
    raise LookupError(f"there is no feast called {name}")


def hebrew_new_year(year: int) -> date:
    """1 Tishri of a Hebrew year: the day of the mean new moon, put off by the four traditional rules.

    It is put off when the moon is new at noon or later; never falls on a Sunday, Wednesday or Friday; and is put off in
    the two cases (a Tuesday in a common year, a Monday after a leap year) that would give a year an impossible length.
    """
    months = 235 * ((year - 1) // 19) + 12 * ((year - 1) % 19) + (7 * ((year - 1) % 19) + 1) // 19
    day, part = divmod(_FIRST_MOLAD + months * _MONTH_PARTS, PARTS_OF_DAY)
    weekday = day % 7  # Sunday is 0; the Hebrew day begins at 6 p.m. of the evening before
    if (
        part >= 18 * 1080
        or (weekday == 2 and not _hebrew_leap(year) and part >= 9 * 1080 + 204)
        or (weekday == 1 and _hebrew_leap(year - 1) and part >= 15 * 1080 + 589)
    ):
        day += 1
    if day % 7 in (0, 3, 5):
        day += 1
    return date.fromordinal(day + _HEBREW_EPOCH)


def _hebrew_leap(year: int) -> bool:
    return (7 * year + 1) % 19 < 7
