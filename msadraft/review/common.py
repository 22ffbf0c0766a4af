"""Small questions about a case that many rules ask."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from msadraft.facts.case import Issue
from msadraft.facts.model import Facts
from msadraft.facts.people import Child, Party
from msadraft.facts.scalars import PartyRole
from msadraft.facts.support import SpousalSupport
from msadraft.figures.figure import Figure
from msadraft.review.base import Review

ROLES: tuple[PartyRole, PartyRole] = ("petitioner", "respondent")


def party(facts: Facts, role: PartyRole) -> Party:
    """The party with a role."""
    return facts.petitioner if role == "petitioner" else facts.respondent


def parties(facts: Facts) -> Iterator[tuple[PartyRole, Party]]:
    """Both parties, each with the role, which is also the first part of the paths of that party's facts."""
    return ((role, party(facts, role)) for role in ROLES)


def other(role: PartyRole) -> PartyRole:
    """The other party's role."""
    return "respondent" if role == "petitioner" else "petitioner"


def has_attorney(one: Party) -> bool:
    """Whether a party has an attorney of record, or one for this agreement alone."""
    return one.representation in ("attorney", "limited_scope")


def support_to(facts: Facts, role: PartyRole) -> SpousalSupport:
    """Spousal support paid to the party with a role."""
    both = facts.spousal_support
    return both.to_petitioner if role == "petitioner" else both.to_respondent


def minors(review: Review) -> dict[str, Child]:
    """The children of both spouses under 18, by short name."""
    return {key: review.facts.children[key] for key in review.figures.minor_children.keys}


def supported(review: Review) -> dict[str, Child]:
    """The children of both spouses to whom support is due by law, by short name."""
    return {key: review.facts.children[key] for key in review.figures.supported_children.keys}


def is_reserved(facts: Facts, *issues: Issue) -> bool:
    """Whether one of the issues is left open on purpose."""
    return any(entry.issue in issues for entry in facts.case.reserved_issues)


def custody_decided(review: Review) -> bool:
    """Whether this paper makes a custody order: there are minors, and custody is not left open."""
    return bool(minors(review)) and not is_reserved(review.facts, "custody")


def child_support_decided(review: Review) -> bool:
    """Whether this paper orders child support, be it zero: a mode is chosen for children to whom support is due."""
    return bool(supported(review)) and review.facts.child_support.mode not in (None, "reserved")


def signing_day(facts: Facts, role: PartyRole) -> date | None:
    """The day on which a party signed, or the planned day of signing."""
    return party(facts, role).signed_on or facts.case.signing_on


def last_signing_day(facts: Facts) -> date | None:
    """The later of the two signing days, done or planned."""
    return max((day for role in ROLES if (day := signing_day(facts, role))), default=None)


def counting(figure: Figure | None) -> str:
    """How a date was counted, in a sentence to add to a finding; empty if there is nothing to tell."""
    if figure is None or not figure.steps:
        return ""
    return f" Counted: {'; '.join(f'{step.what}: {step.formula} = {step.result}' for step in figure.steps)}."


def topics(review: Review) -> frozenset[str]:
    """Topics of the court forms that a paragraph of this paper answers."""
    return frozenset(entry.rpartition(":")[2].strip() for c in review.selection.chosen for entry in c.clause.answers)
