"""What the rules on property, plans and debts share: the records they look at, and how they name them."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from msadraft.facts.property import Asset, Debt, RealProperty
from msadraft.facts.scalars import PartyRole
from msadraft.review.base import Review

DOLLAR = Decimal("1.00")
SEPARATE = ("separate_petitioner", "separate_respondent")
INDIVIDUAL_ACCOUNTS = ("ira", "roth_ira", "sep_ira")
"""Retirement accounts that are moved by a transfer, without an order."""


def community(review: Review) -> Iterator[tuple[str, str, Asset]]:
    """Assets that are not one party's separate property: short name, path, facts."""
    return ((k, f"assets.{k}", a) for k, a in review.facts.assets.items() if a.character not in SEPARATE)


def homes(review: Review) -> Iterator[tuple[str, str, Asset, RealProperty]]:
    """Community land and homes with their own record; a lease has no title to divide."""
    for key, path, asset in community(review):
        if asset.real is not None and asset.real.use != "lease":
            yield key, f"{path}.real", asset, asset.real


def keeper(asset: Asset) -> PartyRole | None:
    """The one party who receives an asset."""
    if asset.goes_to == "petitioner":
        return "petitioner"
    return "respondent" if asset.goes_to == "respondent" else None


def debts(review: Review) -> Iterator[tuple[str, str, Debt]]:
    """Debts that are not one party's separate debts."""
    return ((k, f"debts.{k}", d) for k, d in review.facts.debts.items() if d.character not in SEPARATE)


def all_assigned(review: Review) -> bool:
    """Whether every community asset and debt has its place, so that the two sides can be compared; a pet needs none."""
    return all(a.goes_to is not None or a.animal for _, _, a in community(review)) and all(
        d.assigned_to is not None for _, _, d in debts(review)
    )


def secured_by(review: Review, key: str) -> list[Debt]:
    """The debts that an asset secures, by their own word."""
    return [debt for debt in review.facts.debts.values() if debt.secured_by == key]


def named(asset: Asset) -> str:
    """The name of an asset, as a sentence begins."""
    return asset.label[0].upper() + asset.label[1:]


def debt_name(key: str, debt: Debt) -> str:
    """The name of a debt, as a sentence begins."""
    name = debt.label or debt.creditor or key
    return name[0].upper() + name[1:]
