"""Stepped and fixed-term spousal support: every month's sum, totals and end dates, cover for what is unpaid, present value.

A step's monthly amount is owed for each calendar month from its first day through its last. Part of a month is owed by
the day, each day an equal share of that calendar month, rounded to the cent. All money is Decimal dollars.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from msadraft.figures.amortization import NOTHING, present_value
from msadraft.figures.counting import ONE_DAY, add_months, counted, written
from msadraft.figures.figure import Figure, Step
from msadraft.figures.support_amounts import SupportInputError, dollars, rounded

UNCERTAIN = (
    "Present value leaves out that death or remarriage may end support sooner (Fam. Code § 4337), that a court may change it, "
    "and tax; the discount rate is a choice of the parties."
)


@dataclass(frozen=True, slots=True)
class MonthlyStep:
    """A monthly amount for all days from the first through the last."""

    from_day: date
    to_day: date
    amount: Decimal


@dataclass(frozen=True, slots=True)
class MonthDue:
    """What is owed for one calendar month or a part of it; it counts as due on the first of its days."""

    from_day: date
    to_day: date
    amount: Decimal


@dataclass(frozen=True, slots=True)
class StepTotal:
    """One step with its sum."""

    from_day: date
    to_day: date
    amount: Decimal
    full_months: int
    part_days: int
    total: Decimal


@dataclass(frozen=True, slots=True)
class StepTable:
    """A table of steps in order of time. `total` is the sum of all months; it assumes that nothing ends support sooner."""

    rows: tuple[StepTotal, ...]
    months: tuple[MonthDue, ...]
    starts_on: date
    ends_on: date
    total: Decimal
    gaps: tuple[tuple[date, date], ...]
    overlaps: tuple[tuple[date, date], ...]
    figure: Figure

    def unpaid_from(self, day: date) -> Decimal:
        """What falls due on a day and after it."""
        return sum((month.amount for month in self.months if month.from_day >= day), NOTHING)


@dataclass(frozen=True, slots=True)
class CoverRow:
    """What is still to fall due from a day on, and its present value on that day if a rate was given."""

    from_day: date
    unpaid: Decimal
    present_value: Decimal | None


@dataclass(frozen=True, slots=True)
class CoverTable:
    """The life insurance that secures unpaid support: it falls each year with what is left (Fam. Code § 4360)."""

    rows: tuple[CoverRow, ...]
    figure: Figure

    @property
    def needed(self) -> Decimal:
        """Cover needed at the start."""
        return self.rows[0].unpaid if self.rows else NOTHING


@dataclass(frozen=True, slots=True)
class PresentWorth:
    """Future support as one sum: what it adds up to, what that is worth on a day, and the difference."""

    valued_on: date
    face: Decimal
    worth: Decimal
    discount: Decimal
    figure: Figure


def months_due(step: MonthlyStep) -> tuple[MonthDue, ...]:
    """Every calendar month, or part of one, of a step.

    Raises:
        SupportInputError: the step ends before it begins, or its amount is below zero.
    """
    if step.to_day < step.from_day:
        raise SupportInputError(
            f"the step from {step.from_day} ends on {step.to_day}, before it begins; correct one of the days"
        )
    if step.amount < 0:
        raise SupportInputError(
            f"the step from {step.from_day} has an amount of {dollars(step.amount)}; support is never below zero"
        )
    found = []
    day = step.from_day
    while day <= step.to_day:
        length = monthrange(day.year, day.month)[1]
        last = min(date(day.year, day.month, length), step.to_day)
        days = (last - day).days + 1
        found.append(MonthDue(day, last, step.amount if days == length else rounded(step.amount * days / length)))
        day = last + ONE_DAY
    return tuple(found)


def step_table(steps: Sequence[MonthlyStep], facts: tuple[str, ...] = ()) -> StepTable:
    """Add up a table of steps. Gaps and overlaps are not mended but named in cautions.

    Raises:
        SupportInputError: there is no step, or one cannot be worked out.
    """
    if not steps:
        raise SupportInputError("there is no step to add up")
    ordered = sorted(steps, key=lambda step: (step.from_day, step.to_day))
    rows: list[StepTotal] = []
    months: list[MonthDue] = []
    for step in ordered:
        due = months_due(step)
        part = [m for m in due if not _whole_month(m)]
        days = sum((m.to_day - m.from_day).days + 1 for m in part)
        total = sum((m.amount for m in due), NOTHING)
        rows.append(StepTotal(step.from_day, step.to_day, step.amount, len(due) - len(part), days, total))
        months.extend(due)
    gaps, overlaps = _seams(ordered)
    total = sum((row.total for row in rows), NOTHING)
    ends_on = max(row.to_day for row in rows)
    steps_shown = tuple(
        Step(
            f"{written(row.from_day)} through {written(row.to_day)}",
            f"{counted(row.full_months, 'month')} x {dollars(row.amount)}"
            + (f" and {counted(row.part_days, 'day')} of part months" if row.part_days else ""),
            dollars(row.total),
            "Fam. Code § 4320; part months by the day of the calendar month (common practice)",
        )
        for row in rows
    )
    added = Step("All steps", " + ".join(dollars(row.total) for row in rows), dollars(total), "sum")
    cautions = [f"Nothing is stated for {written(first)} through {written(last)}." for first, last in gaps]
    cautions += [
        f"Two amounts are stated for {written(first)} through {written(last)}; both are in the total."
        for first, last in overlaps
    ]
    table = tuple(
        {
            "from": row.from_day,
            "through": row.to_day,
            "amount": row.amount,
            "months": row.full_months,
            "days": row.part_days,
            "total": row.total,
        }
        for row in rows
    )
    figure = Figure("spousal_total", total, "dollars", (*steps_shown, added), facts, tuple(cautions), table)
    return StepTable(tuple(rows), tuple(months), ordered[0].from_day, ends_on, total, gaps, overlaps, figure)


def _whole_month(month: MonthDue) -> bool:
    return month.from_day.day == 1 and (month.to_day + ONE_DAY).day == 1


def _seams(ordered: Sequence[MonthlyStep]) -> tuple[tuple[tuple[date, date], ...], tuple[tuple[date, date], ...]]:
    gaps, overlaps = [], []
    reached = ordered[0].to_day
    for step in ordered[1:]:
        if step.from_day > reached + ONE_DAY:
            gaps.append((reached + ONE_DAY, step.from_day - ONE_DAY))
        elif step.from_day <= reached:
            overlaps.append((step.from_day, min(reached, step.to_day)))
        reached = max(reached, step.to_day)
    return tuple(gaps), tuple(overlaps)


def cover_table(
    table: StepTable, secured: Decimal | None = None, rate: Decimal | None = None, facts: tuple[str, ...] = ()
) -> CoverTable:
    """Cover needed at the start of support and on each anniversary: all that is still to fall due.

    `secured` is the cover agreed, to be compared; `rate` (percent a year, compounded monthly) adds the present value, for
    parties who tie the cover to it.
    """
    rows = []
    number, day = 0, table.starts_on
    while (unpaid := table.unpaid_from(day)) > 0:
        left = [(month.from_day, month.amount) for month in table.months if month.from_day >= day]
        rows.append(CoverRow(day, unpaid, None if rate is None else present_value(left, rate, day)))
        number += 1
        day = add_months(table.starts_on, 12 * number)
    steps = tuple(
        Step(
            f"From {written(row.from_day)}",
            "sum of the months still to fall due",
            dollars(row.unpaid),
            "Fam. Code § 4360",
        )
        for row in rows
    )
    cautions = []
    if secured is not None and rows and secured < rows[0].unpaid:
        cautions.append(
            f"The cover of {dollars(secured)} is {dollars(rows[0].unpaid - secured)} less than what is to fall due at the start."
        )
    shown = tuple({"from": row.from_day, "unpaid": row.unpaid, "present_value": row.present_value} for row in rows)
    needed = rows[0].unpaid if rows else NOTHING
    return CoverTable(tuple(rows), Figure("cover_needed", needed, "dollars", steps, facts, tuple(cautions), shown))


def present_worth(table: StepTable, rate: Decimal, valued_on: date, facts: tuple[str, ...] = ()) -> PresentWorth:
    """What the months of a table are worth in one sum on a day, at `rate` percent a year compounded monthly.

    Only months due on or after that day count. Each is taken as due on its first day.
    """
    left = [(month.from_day, month.amount) for month in table.months if month.from_day >= valued_on]
    face = sum((amount for _, amount in left), NOTHING)
    worth = present_value(left, rate, valued_on)
    steps = (
        Step("Still to fall due", f"{counted(len(left), 'sum')} from {written(valued_on)} on", dollars(face), "sum"),
        Step(
            "Present value",
            f"each sum / (1 + {rate} / 1200)^months from {written(valued_on)}",
            dollars(worth),
            "compound discount (common practice)",
        ),
        Step("Discount", f"{dollars(face)} - {dollars(worth)}", dollars(face - worth), "difference"),
    )
    figure = Figure("present_worth", worth, "dollars", steps, facts, (UNCERTAIN,))
    return PresentWorth(valued_on, face, worth, face - worth, figure)
