"""Three measures of parenting time over a span, exchanges, and the longest time away from each parent.

Hours are elapsed hours, through every change of the clocks. A night is a morning of the span on which the parent has
the children at 3:00. Days are hours divided by 24, so that an evening of three hours is an eighth of a day and not half
of one. Percentages are exact fractions of the time of both parents; they are rounded once, to two decimals, half up.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.parenting.holidays import Given
from msadraft.figures.parenting.plan import Plan, Timeline

Measure = Literal["hours", "overnights", "days"]
PARENTS: tuple[PartyRole, PartyRole] = ("petitioner", "respondent")
_YEAR = Fraction(36525 * 24 * 60, 100)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of time: from when to when, elapsed hours, nights."""

    first: datetime
    last: datetime
    hours: Decimal
    nights: int


@dataclass(frozen=True, slots=True)
class ParentTime:
    """One parent's part of a span. `minutes` follow the rule for school hours; nights and stretches do not.

    Percentages are of the time that counts for either parent.
    """

    parent: PartyRole
    minutes: int
    counted_minutes: int
    nights: int
    counted_nights: int
    longest_away: Stretch | None

    @property
    def hours(self) -> Decimal:
        """Elapsed hours, to two decimals."""
        return _rounded(Fraction(self.minutes, 60))

    @property
    def days(self) -> Decimal:
        """Whole-day equivalents of 24 hours, to two decimals."""
        return _rounded(Fraction(self.minutes, 24 * 60))

    def fraction(self, measure: Measure = "hours") -> Fraction:
        """The exact part by one measure; 0 where nothing counts."""
        if measure == "overnights":
            return Fraction(self.nights, self.counted_nights or 1)
        return Fraction(self.minutes, self.counted_minutes or 1)

    def percent(self, measure: Measure = "hours") -> Decimal:
        """The part in percent, to two decimals."""
        return percent_of(self.fraction(measure))


@dataclass(frozen=True, slots=True)
class Measures:
    """What a timeline comes to."""

    first: datetime
    last: datetime
    minutes: int
    petitioner: ParentTime
    respondent: ParentTime
    open_minutes: int
    exchanges: int

    def of(self, parent: PartyRole) -> ParentTime:
        """One parent's part."""
        return self.petitioner if parent == "petitioner" else self.respondent

    @property
    def exchanges_per_year(self) -> Decimal:
        """Exchanges in an average year of 365.25 days, to one decimal."""
        return _rounded(Fraction(self.exchanges) * _YEAR / self.minutes, "0.1")


def _rounded(value: Fraction, unit: str = "0.01") -> Decimal:
    return (Decimal(value.numerator) / Decimal(value.denominator)).quantize(Decimal(unit), ROUND_HALF_UP)


def percent_of(part: Fraction) -> Decimal:
    """An exact fraction in percent, to two decimals, half up."""
    return _rounded(part * 100)


def measure(timeline: Timeline, plan: Plan | None = None) -> Measures:
    """Measure a timeline. With a plan that has school hours, those are credited as it says."""
    zone = timeline.zone
    minutes: dict[PartyRole, int] = {"petitioner": 0, "respondent": 0}
    nights: dict[PartyRole, int] = {"petitioner": 0, "respondent": 0}
    for stay in timeline.whole:
        minutes[stay.parent] += stay.last - stay.first
        nights[stay.parent] += zone.nights(stay.first, stay.last)
    open_minutes = timeline.minutes - sum(minutes.values())
    if plan and plan.school and plan.school.credit != "calendar_parent":
        credited = _school_minutes(timeline, plan)
        for parent, amount in credited.items():
            minutes[parent] -= amount
        if plan.school.credit == "primary_parent" and plan.school.primary:
            minutes[plan.school.primary] += sum(credited.values())
    counted, counted_nights = sum(minutes.values()), sum(nights.values())
    parts = {
        parent: ParentTime(
            parent, minutes[parent], counted, nights[parent], counted_nights, _longest_away(timeline, parent)
        )
        for parent in PARENTS
    }
    return Measures(
        zone.local(timeline.first),
        zone.local(timeline.last),
        timeline.minutes,
        parts["petitioner"],
        parts["respondent"],
        open_minutes,
        sum(one.parent != two.parent for one, two in pairwise(timeline.whole)),
    )


def _longest_away(timeline: Timeline, parent: PartyRole) -> Stretch | None:
    """The longest time without a parent, gaps included; the earliest of several; None if there is none."""
    own = [(stay.first, stay.last) for stay in timeline.whole if stay.parent == parent]
    edges = [timeline.first, *(edge for stay in own for edge in stay), timeline.last]
    away = [(edges[n + 1] - edges[n], edges[n]) for n in range(0, len(edges), 2)]
    length, first = max(away, key=lambda found: (found[0], -found[1]))
    if length <= 0:
        return None
    zone = timeline.zone
    return Stretch(
        zone.local(first),
        zone.local(first + length),
        _rounded(Fraction(length, 60)),
        zone.nights(first, first + length),
    )


def _school_minutes(timeline: Timeline, plan: Plan) -> dict[PartyRole, int]:
    """Minutes of each parent that lie in school hours, school breaks, summer and days without school left out."""
    school, zone = plan.school, timeline.zone
    found: dict[PartyRole, int] = {"petitioner": 0, "respondent": 0}
    if school is None:
        return found
    free = _free_days(timeline, plan)
    first, last = zone.local(timeline.first).toordinal(), zone.local(timeline.last).toordinal()
    stays, n = timeline.whole, 0
    for ordinal in range(first, last + 1):
        day = date.fromordinal(ordinal)
        if day.weekday() not in school.weekdays or ordinal in free:
            continue
        if school.terms and not any(begins <= day <= ends for begins, ends in school.terms):
            continue
        begin, end = zone.instant(ordinal, school.from_minute), zone.instant(ordinal, school.to_minute)
        while n < len(stays) and stays[n].last <= begin:
            n += 1
        m = n
        while m < len(stays) and stays[m].first < end:
            found[stays[m].parent] += max(0, min(stays[m].last, end) - max(stays[m].first, begin))
            m += 1
    return found


def _free_days(timeline: Timeline, plan: Plan) -> set[int]:
    """Ordinals of days on which there is no school: inside given breaks and summer, and the listed free days."""
    zone, out = timeline.zone, {day.toordinal() for day in plan.free_dates}
    years = range(zone.local(timeline.first).year - 1, zone.local(timeline.last).year + 2)
    windows = [h.window for h in plan.holidays if isinstance(h.window.day, Given)]
    if plan.summer:
        windows.append(plan.summer.window)
    for year in years:
        for rule in plan.free_days:
            out.update(day.toordinal() for day in (() if isinstance(rule, Given) else rule.days(year) or ()))
        for window in windows:
            for when in window.occurrences(zone, year) or ():
                # The day of the exchange at either end is still a school day if school lets out or begins on it.
                begins = when.first_day.toordinal() + window.from_school
                ends = when.last_day.toordinal() - window.to_school
                out.update(range(begins, ends + 1))
    return out
