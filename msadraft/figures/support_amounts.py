"""What all support figures share: exact arithmetic, rounding, how numbers are shown in a working, and the caution.

Support is worked out with exact fractions and rounded once, at the end, to the cent, halves away from zero.
Neither Fam. Code § 4055 nor § 4061 has a rounding rule of its own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from msadraft.facts.scalars import PartyRole

ESTIMATE = (
    "This is an estimate, not a certified computation. A court may use only support software that meets "
    "Cal. Rules of Court, rule 5.275 (Fam. Code § 3830); compare it with such a run before signing."
)
"""The caution that every support figure carries."""

Amount = Decimal | Fraction | int


class SupportInputError(ValueError):
    """Something that the support figures cannot work with. The message says what, and how to mend it."""


def rounded(value: Amount, places: int = 2) -> Decimal:
    """Round an exact value to decimal places, halves away from zero."""
    exact = Fraction(value)
    whole = math.floor(abs(exact) * 10**places + Fraction(1, 2))
    return Decimal(-whole if exact < 0 else whole).scaleb(-places) + 0


def shared_out(total: Decimal, weights: Sequence[Fraction], places: int = 2) -> tuple[Decimal, ...]:
    """Share a rounded total by weights so that the parts add up to it: the largest remainders get what is left over.

    Of equal remainders the earlier part comes first.

    Raises:
        SupportInputError: no weight is above zero, or one is below.
    """
    whole = sum(weights, Fraction(0))
    if whole <= 0 or min(weights) < 0:
        raise SupportInputError(
            "there is nothing by which the sum could be shared; every weight is zero or one is negative"
        )
    units = Fraction(abs(total)) * 10**places
    exact = [units * weight / whole for weight in weights]
    floors = [math.floor(part) for part in exact]
    left = int(units) - sum(floors)
    by_remainder = sorted(range(len(exact)), key=lambda n: (floors[n] - exact[n], n))
    for n in by_remainder[:left]:
        floors[n] += 1
    sign = -1 if total < 0 else 1
    return tuple(Decimal(sign * part).scaleb(-places) + 0 for part in floors)


def dollars(value: Amount) -> str:
    """Money as a working shows it: 1,234.50, a leading minus if it is below zero."""
    return f"{rounded(value):,.2f}"


def number(value: Amount, places: int) -> str:
    """A number with a fixed count of decimals."""
    return f"{rounded(value, places):f}"


def percent(value: Amount) -> str:
    """A percentage, at most four decimals, without idle zeros: 14.29%, 20%."""
    text = f"{rounded(value, 4):f}".rstrip("0").rstrip(".")
    return f"{text or '0'}%"


def check_money(value: Decimal, what: str, *, negative: bool = False) -> None:
    """Refuse an amount that is not a finite number of dollars, or is below zero where that makes no sense.

    Raises:
        SupportInputError: names the amount and says what to do.
    """
    if not value.is_finite():
        raise SupportInputError(f"{what} is not a number; give dollars and cents")
    if value < 0 and not negative:
        raise SupportInputError(f"{what} is {value}, which is below zero; give 0.00 or correct it")


def check_percent(value: Decimal, what: str) -> None:
    """Refuse a percentage outside 0 to 100.

    Raises:
        SupportInputError: names the percentage.
    """
    if not value.is_finite() or not 0 <= value <= 100:
        raise SupportInputError(f"{what} is {value}; give a percentage from 0 to 100")


def other(party: PartyRole) -> PartyRole:
    """The other party."""
    return "respondent" if party == "petitioner" else "petitioner"
