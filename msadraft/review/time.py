"""The parents' parts of the time by the dated calendar, where the plan can be laid out."""

from __future__ import annotations

from decimal import Decimal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.parenting.plan import Fault
from msadraft.review.base import Review

UNPLANNED = "parenting.vacation.chosen"
"""Vacation whose dates are not chosen yet is the usual case, and equal for both."""


def calendar_shares(review: Review, parent: PartyRole) -> tuple[Decimal, Decimal] | None:
    """A parent's part of the hours and of the nights of two years, in percent, averaged over the children.

    None while a part of the plan, other than vacation, cannot be laid out, or leaves time to nobody.
    """
    time = review.figures.parenting_time
    if not time.groups or any(fault.kind in ("gap", "wrong", "not_placed") and _counts(fault) for fault in time.faults):
        return None
    measured = [(len(group.children), group.measures) for group in time.groups if group.measures]
    if len(measured) < len(time.groups):
        return None
    children = sum(n for n, _ in measured)
    hours, nights = (
        sum((n * found.of(parent).percent(unit) for n, found in measured), Decimal(0)) / children
        for unit in ("hours", "overnights")
    )
    return hours, nights


def longest_away(review: Review, child: str) -> int | None:
    """The most nights in a row that a child is away from one of the parents in two years; None if not known."""
    time = review.figures.parenting_time
    if any(fault.kind in ("gap", "wrong", "not_placed") and _counts(fault) for fault in time.faults):
        return None
    for group in time.groups:
        if child in group.children and group.measures:
            found = (group.measures.of(parent).longest_away for parent in ("petitioner", "respondent"))
            return max((stretch.nights for stretch in found if stretch), default=0)
    return None


def _counts(fault: Fault) -> bool:
    return fault.path != UNPLANNED
