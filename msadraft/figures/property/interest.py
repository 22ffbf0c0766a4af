"""Simple interest, present value by the year, and the dated rates that property claims use. Notes: `amortization`.

Day count: actual days over 365 (common practice). Every result is rounded once, to the cent, half up.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from msadraft.figures.property.working import DAYS_A_YEAR, HUNDRED, ONE, cents, not_negative, require
from msadraft.law.parameters import law


def rate_on(name: str, day: date) -> Decimal:
    """A yearly rate of the law as a fraction: `property/judgment_interest`, `property/legal_rate` and the like.

    Raises:
        LawNotKnownError: the parameter has no version for the day.
    """
    return law(name, day).number / HUNDRED


def simple_interest(principal: Decimal, rate: Decimal, days: int) -> Decimal:
    """Simple interest for a number of days, `rate` a year as a fraction. Source: Code Civ. Proc. §§ 685.010, 685.020."""
    not_negative(principal=principal, rate=rate, days=days)
    return cents(principal * rate * days / DAYS_A_YEAR)


def simple_note(principal: Decimal, rate: Decimal, years: Decimal) -> Decimal:
    """What a note at simple interest comes to when all of it falls due after `years`."""
    not_negative(principal=principal, rate=rate, years=years)
    return cents(principal * (ONE + rate * years))


def present_value(amount: Decimal, rate: Decimal, years: Decimal) -> Decimal:
    """What one sum due after `years` is worth today, compounded once a year at `rate`."""
    not_negative(amount=amount, rate=rate, years=years)
    return cents(amount / (ONE + rate) ** years)


def judgment_interest(principal: Decimal, since: date, until: date) -> Decimal:
    """Interest on an unpaid money judgment or instalment from the day it fell due, at the rate of that day.

    Source: Code Civ. Proc. §§ 685.010, 685.020.

    Raises:
        InputError: a negative amount, or days out of order.
    """
    require(since <= until, f"interest would end ({until}) before it begins ({since})")
    return simple_interest(principal, rate_on("property/judgment_interest", since), (until - since).days)
