"""What the property figures share: rounding, splitting, words for numbers, and the error for unusable input.

Money is Decimal dollars. Percentages and fractions stay unrounded unless a caller asks for places; money is rounded
once, at the end of each named result, half a cent up.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal

from dateutil.relativedelta import relativedelta

from msadraft.facts.scalars import PartyRole

CENT = Decimal("0.01")
NOTHING = Decimal("0.00")
ONE = Decimal(1)
HUNDRED = Decimal(100)
HALF = Decimal("0.5")
DAYS_A_YEAR = Decimal(365)
"""Interest runs by actual days over 365 (common practice)."""


class InputError(ValueError):
    """What was given cannot be computed with. The message says what is wrong and how to mend it."""


def require(condition: bool, message: str) -> None:
    """Raise InputError with `message` unless the condition holds."""
    if not condition:
        raise InputError(message)


def not_negative(**amounts: Decimal | int | None) -> None:
    """Raise InputError if one of the named amounts is negative or not a number. None is passed over."""
    for name, amount in amounts.items():
        if amount is None:
            continue
        if not Decimal(amount).is_finite():
            raise InputError(f"{name.replace('_', ' ')} is not a number")
        if amount < 0:
            raise InputError(f"{name.replace('_', ' ')} is {amount}, but cannot be negative; enter it as zero or more")


def cents(amount: Decimal) -> Decimal:
    """An amount to the cent, half a cent up (away from zero)."""
    return amount.quantize(CENT, ROUND_HALF_UP) + 0


def places(number: Decimal, count: int) -> Decimal:
    """A number to `count` decimals, half up."""
    return number.quantize(ONE.scaleb(-count), ROUND_HALF_UP) + 0


def percent_of(fraction: Decimal, count: int = 4) -> Decimal:
    """A fraction as a percentage with `count` decimals."""
    return places(fraction * HUNDRED, count)


def rounded_fraction(fraction: Decimal, percent_places: int | None) -> Decimal:
    """The fraction itself, or the fraction as its percentage reads once rounded to `percent_places` decimals."""
    return fraction if percent_places is None else percent_of(fraction, percent_places) / HUNDRED


def money(amount: Decimal) -> str:
    """An amount as a working shows it: 1,234.50, a negative one with a leading minus."""
    return f"{cents(amount):,.2f}"


def percent(fraction: Decimal, count: int = 4) -> str:
    """A fraction as a working shows it: 24.0209%."""
    return f"{percent_of(fraction, count)}%"


def number(value: Decimal | int) -> str:
    """A plain number without trailing zeros."""
    text = f"{Decimal(value):,f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def other(party: PartyRole) -> PartyRole:
    """The other of the two parties."""
    return "respondent" if party == "petitioner" else "petitioner"


def divide(total: Decimal, weights: Sequence[Decimal], unit: Decimal = CENT) -> tuple[Decimal, ...]:
    """Divide `total` by weights into parts of whole `unit`s that add up to it exactly.

    Each part is rounded down first; the units left over go one each to the largest remainders, and among equal
    remainders to the larger weight, then to the first. Weights that are all zero give everything to the last part.

    Raises:
        InputError: a negative total or weight, or no weight at all.
    """
    require(bool(weights), "there is nothing to divide by")
    not_negative(total=total, **{f"weight_{index}": weight for index, weight in enumerate(weights, 1)})
    whole = sum(weights, Decimal(0))
    if whole == 0:
        return (*(NOTHING for _ in weights[:-1]), total)
    exact = [total * weight / whole for weight in weights]
    parts = [(amount / unit).to_integral_value(ROUND_FLOOR) * unit for amount in exact]
    over = int((total - sum(parts, Decimal(0))) / unit)
    ranked = sorted(range(len(weights)), key=lambda i: (parts[i] - exact[i], -weights[i], i))
    for index in ranked[:over]:
        parts[index] += unit
    rest = total - sum(parts, Decimal(0))
    parts[-1] += rest  # only if the total itself is not in whole units
    return tuple(parts)


def halves(total: Decimal) -> tuple[Decimal, Decimal]:
    """The two halves of an amount that is not negative, to the cent. An odd cent goes to the first."""
    first, second = divide(total, (HALF, HALF))
    return first, second


def whole_months(start: date, end: date) -> int:
    """Completed calendar months from `start` to `end`; nothing if `end` lies before `start`."""
    if end < start:
        return 0
    return (end.year - start.year) * 12 + end.month - start.month - (1 if end.day < start.day else 0)


def months_and_days(start: date, end: date) -> Decimal:
    """Completed months from `start` to `end`, plus the days left over as a part of the month that is running."""
    if end < start:
        return Decimal(0)
    months = relativedelta(end, start)
    count = months.years * 12 + months.months
    last = start + relativedelta(months=count)
    following = start + relativedelta(months=count + 1)
    return count + Decimal((end - last).days) / Decimal((following - last).days)


def days(start: date, end: date) -> int:
    """Days from `start` to `end`; nothing if `end` lies before `start`."""
    return max(0, (end - start).days)
