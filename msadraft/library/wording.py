"""How a value reads in the agreement: money, dates, counts and lists of names, as plain functions.

Nothing here knows the facts; `msadraft.library.environment` offers these to the clauses as filters.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, time
from decimal import Decimal

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December",
)  # fmt: skip
SMALL = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def money(amount: Decimal) -> str:
    """Dollars and cents with separators: $1,850.00. A negative amount stands in parentheses."""
    shown = f"${abs(amount):,.2f}"
    return f"({shown})" if amount < 0 else shown


def money_words(amount: Decimal) -> str:
    """An amount in words and figures: one thousand eight hundred fifty dollars ($1,850.00)."""
    dollars, cents = divmod(int((abs(amount) * 100).to_integral_value()), 100)
    words = f"{number_words(dollars)} dollar{'' if dollars == 1 else 's'}"
    if cents:
        words += f" and {number_words(cents)} cent{'' if cents == 1 else 's'}"
    return f"{words} ({money(amount)})"


def number_words(n: int) -> str:
    """A whole number in words, without commas and without "and"."""
    from num2words import num2words  # late: it costs a cold start more than the rest of this module

    return str(num2words(n)).replace(",", "").replace(" and ", " ")


def day(value: date) -> str:
    """A full calendar date: November 30, 2026. The space inside "November 30" does not break over lines."""
    return f"{MONTHS[value.month - 1]}\u00a0{value.day}, {value.year}"


def month_year(value: date) -> str:
    """A month of a year, for days that do not print or are only expected: June 2036."""
    return f"{MONTHS[value.month - 1]} {value.year}"


def year(value: int) -> str:
    """A calendar year: 2036, without a comma."""
    return str(value)


def clock(value: time) -> str:
    """A time of day: 6:00 p.m., noon, midnight."""
    if value.minute == 0 and value.hour in (0, 12):
        return "noon" if value.hour else "midnight"
    return f"{(value.hour - 1) % 12 + 1}:{value.minute:02d}\u00a0{'a.m.' if value.hour < 12 else 'p.m.'}"


def percent(value: Decimal) -> str:
    """A percentage without idle zeros: 50%, 35.71%."""
    return f"{trim(value)}%"


def trim(value: Decimal) -> str:
    """A decimal number without trailing zeros."""
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def count(n: int, one: str, many: str = "") -> str:
    """A count with its noun: one month, 48 months. Numbers to twelve in words."""
    said = SMALL[n] if 0 <= n < len(SMALL) else f"{n:,}"
    return f"{said}\u00a0{one if n == 1 else many or one + 's'}"


def ordinal(n: int) -> str:
    """1st, 2nd, 3rd, 11th."""
    ending = "th" if n % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(n % 10, "th")
    return f"{n}{ending}"


def possessive(name: str) -> str:
    """Wren's, Aurelio's, James's."""
    return f"{name}’s"


def join_and(parts: Sequence[str], word: str = "and") -> str:
    """a; a and b; a, b, and c."""
    if len(parts) < 3:
        return f" {word} ".join(parts)
    return f"{', '.join(parts[:-1])}, {word} {parts[-1]}"
