"""All rules of the review, in one list."""

from __future__ import annotations

from msadraft.review import (
    child_support,
    choices,
    custody,
    filing,
    general,
    identity,
    property,
    route,
    spousal_support,
    wording,
)
from msadraft.review.base import RULES, Finding, Review, run

MODULES = (choices, route, identity, custody, child_support, spousal_support, property, general, filing, wording)


def review_case(review: Review) -> tuple[Finding, ...]:
    """Run every rule over one drafted case."""
    return run(review, RULES.values())
