"""Support as a percentage of bonus or other irregular income, by bands of the year's income.

Each band's percentage is due of the part of the year's income that lies in the band; a yearly cap limits the sum.
Percentages on top of a fixed sum: In re Marriage of Ostler & Smith (1990) 223 Cal.App.3d 33; Fam. Code § 4064.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from msadraft.figures.amortization import NOTHING
from msadraft.figures.figure import Figure, Step
from msadraft.figures.support_amounts import SupportInputError, dollars, rounded, shared_out

OSTLER = "In re Marriage of Ostler & Smith (1990) 223 Cal.App.3d 33"
SHOWN_ABOVE = (Decimal(10_000), Decimal(25_000), Decimal(50_000), Decimal(100_000))
"""How far into the last, open band the worksheet looks by itself."""


@dataclass(frozen=True, slots=True)
class Band:
    """Income of the year over one amount and up to another (None: no limit), and the percentage due of it."""

    over: Decimal
    up_to: Decimal | None
    percent: Decimal

    def part(self, income: Decimal) -> Decimal:
        """How much of a year's income lies in the band."""
        top = income if self.up_to is None else min(income, self.up_to)
        return max(NOTHING, top - self.over)


@dataclass(frozen=True, slots=True)
class BonusRow:
    """What is due on one year's irregular income; `by_band` adds up to `before_cap`."""

    income: Decimal
    by_band: tuple[Decimal, ...]
    before_cap: Decimal
    due: Decimal


@dataclass(frozen=True, slots=True)
class Receipt:
    """Irregular income received on a day, and what is due on it given what came before in the same calendar year."""

    received_on: date
    income: Decimal
    income_so_far: Decimal
    due: Decimal


@dataclass(frozen=True, slots=True)
class BonusWorksheet:
    """A table of what is due at several amounts of yearly income. `cap_reached_at` is the income from which the cap holds."""

    bands: tuple[Band, ...]
    cap: Decimal | None
    rows: tuple[BonusRow, ...]
    cap_reached_at: Decimal | None
    figure: Figure


def bonus_due(income: Decimal, bands: Sequence[Band], cap: Decimal | None = None) -> BonusRow:
    """What is due on a year's irregular income: each band's part times its percentage, added up, rounded once, then capped.

    Raises:
        SupportInputError: the bands overlap or are out of order, or an amount is below zero.
    """
    _check(bands, cap)
    if income < 0:
        raise SupportInputError(f"irregular income of {dollars(income)} is below zero; leave a loss out")
    exact = [Fraction(band.part(income)) * Fraction(band.percent) / 100 for band in bands]
    before = rounded(sum(exact, Fraction(0)))
    parts = shared_out(before, exact) if any(exact) else tuple(NOTHING for _ in bands)
    return BonusRow(income, parts, before, before if cap is None else min(before, cap))


def bonus_worksheet(
    bands: Sequence[Band],
    cap: Decimal | None = None,
    incomes: Sequence[Decimal] | None = None,
    facts: tuple[str, ...] = (),
) -> BonusWorksheet:
    """A table over several amounts of yearly income; by itself it takes the edges and middles of the bands.

    Raises:
        SupportInputError: there is no band, or the bands cannot be worked with.
    """
    if not bands:
        raise SupportInputError("there is no band of irregular income to work with")
    _check(bands, cap)
    reached = _cap_reached(bands, cap)
    shown = sorted(set(incomes)) if incomes is not None else _incomes(bands, reached)
    rows = tuple(bonus_due(income, bands, cap) for income in shown)
    steps = tuple(
        Step(
            f"Over {dollars(band.over)}" + ("" if band.up_to is None else f", up to {dollars(band.up_to)}"),
            f"{band.percent} percent of the part in the band", "see the table", f"{OSTLER}; agreement of the parties",
        )
        for band in bands
    )  # fmt: skip
    if cap is not None:
        at = "never" if reached is None else f"from {dollars(reached)} of income on"
        steps = (*steps, Step("Yearly cap", f"never more than {dollars(cap)}", at, "agreement of the parties"))
    cautions = [
        f"Nothing is due of income between {dollars(one.up_to)} and {dollars(two.over)}."
        for one, two in pairwise(bands)
        if one.up_to is not None and one.up_to < two.over
    ]
    table = tuple(
        {"income": row.income, "by_band": row.by_band, "before_cap": row.before_cap, "due": row.due} for row in rows
    )
    figure = Figure(
        "bonus_worksheet", rows[-1].due if rows else None, "dollars a year", steps, facts, tuple(cautions), table
    )
    return BonusWorksheet(tuple(bands), cap, rows, reached, figure)


def settle_receipts(
    receipts: Sequence[tuple[date, Decimal]], bands: Sequence[Band], cap: Decimal | None = None
) -> tuple[Receipt, ...]:
    """What is due on each receipt, so that a year's payments add up to what the whole year's income asks.

    The bands and the cap start again with each calendar year.
    """
    so_far: defaultdict[int, Decimal] = defaultdict(lambda: NOTHING)
    found = []
    for day, income in sorted(receipts):
        before = bonus_due(so_far[day.year], bands, cap).due
        if income < 0:
            raise SupportInputError(f"irregular income of {dollars(income)} on {day} is below zero; leave a loss out")
        so_far[day.year] += income
        found.append(Receipt(day, income, so_far[day.year], bonus_due(so_far[day.year], bands, cap).due - before))
    return tuple(found)


def _check(bands: Sequence[Band], cap: Decimal | None) -> None:
    if cap is not None and cap < 0:
        raise SupportInputError(f"a yearly cap of {dollars(cap)} is below zero")
    reached: Decimal | None = NOTHING
    for band in bands:
        if reached is None or band.over < reached:
            raise SupportInputError(
                f"the band over {dollars(band.over)} overlaps the one before it, or they are out of order"
            )
        if band.up_to is not None and band.up_to <= band.over:
            raise SupportInputError(
                f"the band over {dollars(band.over)} ends at {dollars(band.up_to)}, which is no more than it starts at"
            )
        if not 0 <= band.percent <= 100:
            raise SupportInputError(f"{band.percent} is not a percentage from 0 to 100")
        reached = band.up_to


def _cap_reached(bands: Sequence[Band], cap: Decimal | None) -> Decimal | None:
    """The least income at which the cap is reached; None without a cap, or if the bands never reach it."""
    if cap is None:
        return None
    left = cap
    for band in bands:
        if band.percent == 0:
            continue
        needed = left * 100 / band.percent
        if band.up_to is None or needed <= band.up_to - band.over:
            return rounded(band.over + needed)
        left -= (band.up_to - band.over) * band.percent / 100
    return None


def _incomes(bands: Sequence[Band], reached: Decimal | None) -> list[Decimal]:
    shown: set[Decimal] = set()
    for band in bands:
        if band.over > 0:
            shown.add(band.over)
        if band.up_to is None:
            shown.update(band.over + step for step in SHOWN_ABOVE)
        else:
            shown.update((rounded((band.over + band.up_to) / 2), band.up_to))
    if reached is not None:
        shown.add(reached)
    return sorted(shown)
