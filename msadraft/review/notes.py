"""Rules about the note that pays the equalization."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from msadraft.facts.money import Note
from msadraft.figures.amortization import rate_limit
from msadraft.figures.figure import Figure
from msadraft.library.wording import money, percent
from msadraft.review.base import Hit, Review, rule

LARGE_NOTE = Decimal("10000.00")
"""From this principal on, a note without security is remarked upon (our own bound)."""


@rule(
    "note.terms",
    "stop",
    message="The note is incomplete, or its terms contradict each other.",
    why="Without rate, first payment, length and a rule for default a note cannot be collected as it was meant, and a payment "
    "that does not pay it off leaves a quarrel about the rest",
    source="common practice",
    mend="Give note.rate, first_payment_on, months and due_at_once with default among its events, and a payment that pays it off.",
)
def note_terms(review: Review) -> Iterator[Hit]:
    equal = review.facts.equalization
    if equal.mode not in ("note", "lump_and_note"):
        return
    if equal.note is None:
        yield Hit("equalization.note", "It has no terms at all.")
        return
    for name, words in _missing_of_note(equal.note):
        yield Hit(f"equalization.note.{name}", f"It lacks {words}.")
    yield from _contradictions(review, equal.note)


def _missing_of_note(note: Note) -> Iterator[tuple[str, str]]:
    if note.principal is None:
        yield "principal", "the principal"
    if note.rate is None:
        yield "rate", "the interest"
    if note.first_payment_on is None:
        yield "first_payment_on", "the day of the first payment"
    if note.months is None:
        yield "months", "its length"
    if "default" not in note.due_at_once:
        yield "due_at_once", "a rule for default"


def _contradictions(review: Review, note: Note) -> Iterator[Hit]:
    """Terms that are all there and do not work together."""
    if note.principal is None or note.rate is None or note.months is None:
        return
    found = review.figures.note_or_why_not
    if isinstance(found, Figure):
        yield Hit("equalization.note.payment" if note.payment is not None else "equalization.note", found.cautions[0])
    elif found is not None and not found.clears:
        yield Hit(
            "equalization.note.payment",
            f"{money(found.payment)} a month leaves {money(found.last)} for payment {len(found.instalments)} of {note.months}; "
            f"{money(found.amortising)} a month would pay it off.",
        )


@rule(
    "note.rate",
    "warn",
    message="The interest on the note is above what may be agreed on a loan for personal use.",
    why="Whether the limit reaches a note that divides property is open to argument; interest above it may be lost",
    source="Cal. Const. art. XV, § 1",
    mend="Lower note.rate, or have an attorney look at it.",
)
def note_rate(review: Review) -> Iterator[Hit]:
    equal, limit = review.facts.equalization, rate_limit(review.figures.as_of)
    rate = equal.note.rate if equal.note and equal.mode in ("note", "lump_and_note") else None
    if rate is not None and limit is not None and rate > limit.number:
        yield Hit("equalization.note.rate", f"It is {percent(rate)} a year; the limit is {percent(limit.number)}.")


@rule(
    "note.unsecured",
    "warn",
    message="A note of this size has no security.",
    why="A judgment on an unsecured note may be hard to collect, and bankruptcy may touch it",
    source="common practice",
    mend="Give equalization.security, or record that the risk is accepted.",
)
def note_unsecured(review: Review) -> Iterator[Hit]:
    equal = review.facts.equalization
    principal = equal.note.principal if equal.note and equal.mode in ("note", "lump_and_note") else None
    if principal is not None and principal > LARGE_NOTE and equal.security is None:
        yield Hit("equalization.security", f"The principal is {money(principal)}.")
