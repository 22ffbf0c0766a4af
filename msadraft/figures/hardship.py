"""Hardship deduction for a parent's other children who live with the parent (Fam. Code §§ 4070-4073).

The deduction for each such child is at most the support for each child of the order, which here is the total ordered
divided by the number of children (§ 4071(b)), not the division of § 4055(b)(8). The deduction lowers the parent's
net, and so changes the order that limits it: the cap is the amount at which both agree.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from msadraft.facts.scalars import PartyRole
from msadraft.figures.child_support import Guideline, Run, guideline
from msadraft.figures.figure import Figure, Step
from msadraft.figures.support_amounts import ESTIMATE, SupportInputError, check_money, dollars, rounded

SOURCE = "Fam. Code § 4071(b)"
PLACES = 8
"""Decimals to which the cap is searched; dollars and cents are rounded from it."""


@dataclass(frozen=True, slots=True)
class Hardship:
    """The deduction for each other child and in all, dollars a month, and the guideline with it."""

    each: Decimal
    total: Decimal
    capped: bool
    guideline: Guideline
    figure: Figure


def hardship(run: Run, party: PartyRole, other_children: int, expenses_each: Decimal | None = None) -> Hardship:
    """Work out the hardship deduction for children of another relationship, and support with it.

    Args:
        run: the case before the deduction.
        party: the parent with whom the other children live.
        other_children: how many there are. Stepchildren do not count (Haggard v. Haggard (1995) 38 Cal.App.4th 1566).
        expenses_each: minimum living expenses of each a month, if known; the lesser of them and the cap is taken.

    Raises:
        SupportInputError: no such child, or negative expenses.
    """
    if other_children < 1:
        raise SupportInputError("a hardship deduction needs at least one other child who lives with the parent")
    if expenses_each is not None:
        check_money(expenses_each, "the living expenses of each child")
    cap = _cap(run, party, other_children)
    capped = expenses_each is None or Fraction(expenses_each) >= cap
    each = cap if capped or expenses_each is None else Fraction(expenses_each)
    found = guideline(_less(run, party, each * other_children))
    children = len(run.children)
    steps = (
        Step(
            "Support without the deduction",
            "see guideline child support",
            dollars(guideline(run).amount),
            "Fam. Code § 4055",
        ),
        Step(
            "Most for each other child",
            f"the amount h at which support with a deduction of {other_children} × h, divided by {children}, is h again",
            dollars(cap),
            SOURCE,
        ),
        Step(
            "Deduction",
            f"{other_children} × {dollars(each)}" + ("" if capped else ", the expenses, which are less than the cap"),
            dollars(each * other_children),
            "Fam. Code § 4071(a)(2)",
        ),
        Step(
            "Support with the deduction",
            f"net of the {party}: {dollars(found.run.net(party))}",
            dollars(found.amount),
            "Fam. Code § 4055",
        ),
        Step("Check", f"{dollars(found.amount)} / {children}", dollars(abs(found.exact_total) / children), SOURCE),
    )
    figure = Figure(
        "Hardship deduction",
        rounded(each * other_children),
        "dollars a month",
        steps,
        cautions=(
            ESTIMATE,
            "A hardship deduction is in the court's discretion and needs reasons on the record (Fam. Code §§ 4070, 4072).",
        ),
    )
    return Hardship(rounded(each), rounded(each * other_children), capped, found, figure)


def _less(run: Run, party: PartyRole, deduction: Fraction) -> Run:
    net = max(Decimal(0), rounded(Fraction(run.net(party)) - deduction, PLACES))
    return replace(run, petitioner_net=net) if party == "petitioner" else replace(run, respondent_net=net)


def _cap(run: Run, party: PartyRole, other_children: int) -> Fraction:
    """The smallest h with h = total(h) / n, by halving; at most what leaves the parent's net at zero."""

    def room(h: Fraction) -> Fraction:
        total = abs(guideline(_less(run, party, h * other_children)).exact_total)
        return total / len(run.children) - h

    low, high = Fraction(0), Fraction(run.net(party)) / other_children
    if room(high) >= 0:
        return high
    while high - low > Fraction(1, 10**PLACES):
        middle = (low + high) / 2
        if room(middle) > 0:
            low = middle
        else:
            high = middle
    return high
