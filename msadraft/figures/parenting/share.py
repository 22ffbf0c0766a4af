"""The share of time that child support uses, and why.

Family Code § 4055(b)(1)(D) asks for the approximate percentage of time in which a parent has primary physical
responsibility, and prescribes no measure. Here: the exact part of the cycle where one cycle is the whole schedule; else
two calendar years, an even and an odd one, since holidays change sides with the year. Children with schedules of their
own are averaged, each child counting once.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.figure import Step
from msadraft.figures.parenting.measures import Measure, Measures, measure, percent_of
from msadraft.figures.parenting.pattern import Cycle
from msadraft.figures.parenting.plan import Plan, Timeline, lay_out_days

Basis = Literal["cycle", "two_years"]
APPROXIMATE = "Fam. Code § 4055(b)(1)(D)"


@dataclass(frozen=True, slots=True)
class Share:
    """The petitioner's exact part of the time, as numerator and denominator, and how it came about."""

    numerator: int
    denominator: int
    measure: Measure
    basis: Basis
    steps: tuple[Step, ...]

    def fraction(self, parent: PartyRole) -> Fraction:
        """A parent's exact part."""
        part = Fraction(self.numerator, self.denominator)
        return part if parent == "petitioner" else 1 - part

    def percent(self, parent: PartyRole) -> Decimal:
        """A parent's part in percent, to two decimals; both always add up to 100."""
        rounded = percent_of(self.fraction("petitioner"))
        return rounded if parent == "petitioner" else Decimal(100) - rounded


def share(plan: Plan, unit: Measure, first_year: int) -> tuple[Share, Timeline, Measures]:
    """The share by one measure; the calendar of two years from `first_year` and what it comes to.

    By the cycle if nothing else decides and the measure is not nights, which are counted on the two years.
    """
    timeline = lay_out_days(plan, date(first_year, 1, 1), date(first_year + 1, 12, 31))
    measures = measure(timeline, plan)
    own = plan.regular[0].pattern if plan.only_regular else None
    plain_hours = plan.school is None or plan.school.credit == "calendar_parent"
    if isinstance(own, Cycle) and unit != "overnights" and plain_hours and not timeline.gaps:
        part = own.share("petitioner", plan.default)
        minutes = part * own.minutes
        step = Step(
            "Petitioner's part of the cycle",
            f"{_hours(minutes)} of {_hours(Fraction(own.minutes))} hours",
            f"{percent_of(part)}%",
            APPROXIMATE,
        )
        return Share(part.numerator, part.denominator, unit, "cycle", (step,)), timeline, measures
    mine = measures.petitioner
    part = mine.fraction(unit)
    span = f"{first_year} and {first_year + 1}, an even and an odd year"
    if unit == "overnights":
        formula = f"{mine.nights} of {mine.counted_nights} nights (at 3:00 a.m.)"
    elif unit == "days":
        formula = f"{mine.days} of {_hours(Fraction(mine.counted_minutes, 24))} days of 24 hours"
    else:
        formula = f"{mine.hours} of {_hours(Fraction(mine.counted_minutes))} hours"
    step = Step(f"Petitioner's part of {span}", formula, f"{percent_of(part)}%", APPROXIMATE)
    return Share(part.numerator, part.denominator, unit, "two_years", (step,)), timeline, measures


def average(shares: dict[str, Share], unit: Measure) -> Share:
    """The average over children, each counting once.

    Raises:
        ValueError: there is no child.
    """
    if not shares:
        raise ValueError("there is no child whose time could be averaged")
    parts = {child: found.fraction("petitioner") for child, found in shares.items()}
    if len(set(parts.values())) == 1:
        return next(iter(shares.values()))
    part = sum(parts.values(), Fraction(0)) / len(parts)
    steps = tuple(dict.fromkeys(step for found in shares.values() for step in found.steps))
    total = Step(
        "Average over the children, whose schedules differ",
        f"({' + '.join(f'{percent_of(value)}%' for value in parts.values())}) / {len(parts)}",
        f"{percent_of(part)}%",
        APPROXIMATE,
    )
    basis: Basis = "cycle" if all(found.basis == "cycle" for found in shares.values()) else "two_years"
    return Share(part.numerator, part.denominator, unit, basis, (*steps, total))


def _hours(minutes: Fraction) -> str:
    hours = minutes / 60
    if hours.denominator == 1:
        return str(hours.numerator)
    return f"{(Decimal(hours.numerator) / Decimal(hours.denominator)).quantize(Decimal('0.01'))}"
