"""The property ledger: every asset and debt once, its net value, and who receives it.

Money in Decimal dollars and cents. A debt secured by an asset is counted with that asset. Splits by percentage
are rounded to the cent for the petitioner, and the respondent receives the rest, so that the two parts always
add up to the whole.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Literal

from msadraft.facts.model import Facts
from msadraft.facts.property import Asset, Debt
from msadraft.facts.scalars import PartyRole

CENT = Decimal("0.01")
NOTHING = Decimal("0.00")


@dataclass(frozen=True, slots=True)
class Line:
    """One asset or unsecured debt: what it is worth, and what each party receives of it.

    `net` is value less liens less separate part. `in_sum` is False for what the parties divide in kind or later
    (a sale, co-ownership, a plan order, a reserved item, a child's account), which the equalization leaves out.
    """

    key: str
    kind: Literal["asset", "debt"]
    label: str
    value: Decimal
    owing: Decimal
    separate: Decimal
    net: Decimal
    to_petitioner: Decimal
    to_respondent: Decimal
    in_sum: bool


@dataclass(frozen=True, slots=True)
class Ledger:
    """The community estate in cash terms, and what makes the two sides equal (Fam. Code § 2550)."""

    lines: tuple[Line, ...]
    to_petitioner: Decimal
    to_respondent: Decimal
    total: Decimal
    half: Decimal
    equalization: Decimal
    equalization_payer: PartyRole | None
    complete: bool

    @property
    def counted(self) -> tuple[Line, ...]:
        """The lines that are in the sums."""
        return tuple(line for line in self.lines if line.in_sum)


def share(amount: Decimal, percent: Decimal) -> Decimal:
    """`percent` of `amount`, to the cent."""
    return (amount * percent / 100).quantize(CENT, ROUND_HALF_EVEN)


def liens(key: str, asset: Asset, facts: Facts) -> Decimal:
    """What is owed on an asset: its `owing`, the debts that it secures, and a plan loan."""
    secured = sum((d.owing or NOTHING for d in facts.debts.values() if d.secured_by == key), NOTHING)
    loan = asset.retirement.loan if asset.retirement and asset.retirement.loan else NOTHING
    return (asset.owing or NOTHING) + secured + loan


def separate_part(asset: Asset, equity: Decimal) -> Decimal:
    """The part of an asset that is separate property and is honoured, never more than its net value (Fam. Code § 2640(b))."""
    claims = sum((c.amount or NOTHING for c in asset.separate_claims if c.result != "waived"), NOTHING)
    premarital = (asset.retirement.premarital_balance or NOTHING) if asset.retirement else NOTHING
    return max(NOTHING, min(claims + premarital, equity))


def ledger(facts: Facts) -> Ledger:
    """Set up the ledger. `complete` is False while a value or an award that the sums need is missing."""
    lines = [
        _asset_line(key, asset, facts)
        for key, asset in facts.assets.items()
        if asset.character in ("community", "quasi_community", "mixed")
    ]
    lines += [
        _debt_line(key, debt)
        for key, debt in facts.debts.items()
        if debt.character in ("community", "mixed") and not _rides_with_asset(debt, facts)
    ]
    counted = [line for line in lines if line.in_sum]
    petitioner = sum((line.to_petitioner for line in counted), NOTHING)
    respondent = sum((line.to_respondent for line in counted), NOTHING)
    total = petitioner + respondent
    half = (total / 2).quantize(CENT, ROUND_HALF_EVEN)
    due = ((petitioner - respondent) / 2).quantize(CENT, ROUND_HALF_EVEN)
    payer: PartyRole | None = "petitioner" if due > 0 else "respondent" if due < 0 else None
    return Ledger(tuple(lines), petitioner, respondent, total, half, abs(due), payer, _complete(facts))


def _rides_with_asset(debt: Debt, facts: Facts) -> bool:
    return debt.secured_by is not None and debt.secured_by in facts.assets


def _asset_line(key: str, asset: Asset, facts: Facts) -> Line:
    value, owing = asset.value or NOTHING, liens(key, asset, facts)
    separate = separate_part(asset, value - owing)
    net = value - owing - separate
    in_sum = asset.goes_to in ("petitioner", "respondent", "split") and not asset.outside_equalization
    petitioner = NOTHING
    if asset.goes_to == "petitioner":
        petitioner = net
    elif asset.goes_to == "split":
        petitioner = (
            asset.petitioner_amount
            if asset.petitioner_amount is not None
            else share(net, _percent(asset.petitioner_percent))
        )
    respondent = net - petitioner if in_sum or asset.goes_to in ("respondent", "split") else NOTHING
    return Line(key, "asset", asset.label, value, owing, separate, net, petitioner, respondent, in_sum)


def _debt_line(key: str, debt: Debt) -> Line:
    owing = debt.owing or NOTHING
    label = debt.label or debt.creditor or key
    petitioner = {"petitioner": owing, "split": share(owing, _percent(debt.petitioner_percent))}.get(
        debt.assigned_to or "", NOTHING
    )
    in_sum = debt.assigned_to in ("petitioner", "respondent", "split")
    respondent = owing - petitioner if in_sum else NOTHING
    return Line(key, "debt", label, NOTHING, owing, NOTHING, -owing, -petitioner, -respondent, in_sum)


def _percent(given: Decimal | None) -> Decimal:
    return Decimal(50) if given is None else given


def _complete(facts: Facts) -> bool:
    assets = all(
        a.goes_to is not None
        and (
            a.value is not None
            or a.goes_to in ("order", "reserved", "child", "sell", "co_own")
            or a.outside_equalization
        )
        for a in facts.assets.values()
        if a.character in ("community", "quasi_community", "mixed") and a.kind not in ("animal", "household")
    )
    return assets and all(
        d.assigned_to is not None and d.owing is not None
        for d in facts.debts.values()
        if d.character in ("community", "mixed")
    )
