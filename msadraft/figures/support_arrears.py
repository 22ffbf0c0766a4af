"""Unpaid support with interest: simple interest on each installment from its due date.

Source: Code Civ. Proc. §§ 685.010(a)(1), 685.020(b), 695.221; Fam. Code § 155. A payment counts toward the installment of
its month, then the oldest principal, then interest. A year is counted as 365 days. Interest is rounded once, at the end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from msadraft.figures.counting import short
from msadraft.figures.figure import Figure, Step
from msadraft.figures.support_amounts import ESTIMATE, check_money, dollars, percent, rounded
from msadraft.law.parameters import law

DAYS_A_YEAR = 365
SOURCE = "Code Civ. Proc. §§ 685.010(a)(1), 685.020(b)"


@dataclass(frozen=True, slots=True)
class Dated:
    """An installment that fell due, or a payment that was made, in dollars."""

    day: date
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Balance:
    """What is unpaid on a day, in dollars; `credit` is money paid beyond everything then due."""

    as_of: date
    principal: Decimal
    interest: Decimal
    credit: Decimal
    figure: Figure

    @property
    def total(self) -> Decimal:
        """Principal and interest."""
        return self.principal + self.interest


@dataclass(slots=True)
class _Open:
    """An installment while it is being paid off."""

    due: date
    amount: Fraction
    left: Fraction


def interest(principal: Decimal, from_day: date, to_day: date) -> Fraction:
    """Simple interest on one unpaid sum, unrounded; nothing if `to_day` is not after `from_day`.

    Raises:
        SupportInputError: a negative principal.
    """
    check_money(principal, "the principal")
    return _interest(Fraction(principal), from_day, to_day)


def daily_interest(principal: Decimal, day: date) -> Decimal:
    """What an unpaid principal adds in interest each day, in dollars and cents."""
    check_money(principal, "the principal")
    return rounded(Fraction(principal) * interest_rate(day) / DAYS_A_YEAR)


def balance(installments: Sequence[Dated], payments: Sequence[Dated], as_of: date) -> Balance:
    """Work out what is unpaid on `as_of`. Later installments and payments are left out.

    A payment on the day on which an installment falls due is on time.

    Raises:
        SupportInputError: a negative amount.
    """
    for entry in (*installments, *payments):
        check_money(entry.amount, f"the amount of {entry.day.isoformat()}")
    events = [(entry.day, 0, entry) for entry in installments if entry.day <= as_of]
    events += [(entry.day, 1, entry) for entry in payments if entry.day <= as_of]
    owed: list[_Open] = []
    accrued, credit, steps = Fraction(0), Fraction(0), []
    for day, kind, entry in sorted(events, key=lambda event: event[:2]):
        if kind == 0:
            item = _Open(day, Fraction(entry.amount), Fraction(entry.amount))
            used = min(credit, item.left)
            item.left, credit = item.left - used, credit - used
            owed.append(item)
            continue
        money = Fraction(entry.amount)
        for item in _in_order(owed, day):
            used = min(money, item.left)
            accrued += _interest(used, item.due, day)
            item.left, money = item.left - used, money - used
        to_interest = min(money, accrued)
        accrued, credit = accrued - to_interest, credit + money - to_interest
        steps.append(
            Step(
                f"Payment of {short(day)}",
                f"{dollars(entry.amount)}: {dollars(Fraction(entry.amount) - money)} to principal, {dollars(to_interest)} to interest",
                f"principal left {dollars(sum((item.left for item in owed), Fraction(0)))}",
                "Code Civ. Proc. § 695.221",
            )
        )
    for item in owed:
        if item.left:
            grown = _interest(item.left, item.due, as_of)
            days = (as_of - item.due).days
            steps.append(
                Step(
                    f"Installment of {short(item.due)}",
                    f"{dollars(item.left)} × {percent(interest_rate(item.due) * 100)} × {days} / {DAYS_A_YEAR}",
                    dollars(grown),
                    SOURCE,
                )
            )
            accrued += grown
    principal = sum((item.left for item in owed), Fraction(0))
    steps.append(
        Step(
            "Unpaid",
            f"principal {dollars(principal)} + interest {dollars(accrued)}",
            dollars(rounded(principal) + rounded(accrued)),
            "Fam. Code § 155",
        )
    )
    figure = Figure(
        "Unpaid support",
        rounded(principal) + rounded(accrued),
        "dollars",
        tuple(steps),
        cautions=(
            ESTIMATE,
            "Interest is simple. Periods in which the law stops interest or support (Fam. Code §§ 3651(c)(4), 4007.5, 4508) "
            "are not taken out.",
        ),
    )
    return Balance(as_of, rounded(principal), rounded(accrued), rounded(credit), figure)


def _in_order(owed: list[_Open], day: date) -> list[_Open]:
    """The installment of the payment's month first, then the oldest (Code Civ. Proc. § 695.221)."""
    this_month = [item for item in owed if (item.due.year, item.due.month) == (day.year, day.month)]
    return this_month + sorted((item for item in owed if item not in this_month), key=lambda item: item.due)


def interest_rate(day: date) -> Fraction:
    """Interest a year as a share of the principal, by the law of a day.

    Raises:
        LawNotKnownError: a day before the data begin.
    """
    return Fraction(law("child_support/arrears_interest", day).number) / 100


def _interest(principal: Fraction, from_day: date, to_day: date) -> Fraction:
    return principal * interest_rate(from_day) * max(0, (to_day - from_day).days) / DAYS_A_YEAR
