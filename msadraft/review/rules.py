"""All rules of the review, in one list."""

from __future__ import annotations

from msadraft.review import (
    changing_law,
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
    true_default,
    wording,
)
from msadraft.review.base import RULES, Finding, Review, run

MODULES = (
    choices, route, identity, custody, child_support, spousal_support, property, retirement, notes, debts, general, filing,
    wording, true_default, changing_law,
)  # fmt: skip


def review_case(review: Review) -> tuple[Finding, ...]:
    """Run every rule over one drafted case; without an agreement those about its words and signing are left out."""
    rules = RULES.values()
    if review.figures.true_default:
        return run(review, [r for r in rules if not true_default.about_the_paper(r.id)])
    return run(review, rules)
