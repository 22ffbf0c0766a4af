"""All rules of the review, in one list."""

from __future__ import annotations

from msadraft.review import (
    child_support,
    choices,
    custody,
    debts,
    filing,
    general,
    identity,
    notes,
    property,
    retirement,
    route,
    spousal_support,
    wording,
)
from msadraft.review.base import RULES, Finding, Review, run

MODULES = (
    choices, route, identity, custody, child_support, spousal_support, property, retirement, notes, debts, general, filing,
    wording,
)  # fmt: skip


def review_case(review: Review) -> tuple[Finding, ...]:
    """Run every rule over one drafted case."""
    return run(review, RULES.values())
