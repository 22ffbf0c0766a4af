"""How an agreed amount stands to the guideline, and what the law asks for then (Fam. Code §§ 4056, 4057, 4065)."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.child_support import Guideline
from msadraft.figures.figure import Figure, Step
from msadraft.figures.low_income import LowIncome
from msadraft.figures.support_amounts import ESTIMATE, check_money, dollars

WHOLE_DOLLAR = Decimal("1.00")
"""Orders in whole dollars are common practice, so a difference under one dollar is shown as rounding."""

Standing = Literal["at", "above", "below"]


@dataclass(frozen=True, slots=True)
class Deviation:
    """The agreed amount against the guideline, in dollars a month.

    `difference` is agreed less guideline, counted in the direction in which the guideline runs: payment the other way
    counts below zero. `rounding`: the difference is not zero but under a dollar; it then asks for nothing more here.
    `declarations_needed`: the five of § 4065(a). `findings_needed`: the three of § 4056(a). `in_range`: inside the
    low-income range of § 4055(b)(7).
    """

    standing: Standing
    difference: Decimal
    rounding: bool
    in_range: bool
    declarations_needed: bool
    findings_needed: bool
    figure: Figure


def deviation(found: Guideline, amount: Decimal, payer: PartyRole | None, low: LowIncome | None = None) -> Deviation:
    """Compare an agreed amount with the guideline.

    Where the guideline gives nothing in either direction, any payment is above it.

    Raises:
        SupportInputError: a negative amount.
    """
    check_money(amount, "the agreed amount")
    direction = found.payer or payer
    paid = amount if payer in (None, direction) else -amount
    difference = paid - found.amount
    in_range = bool(low and low.qualifies and low.lowest <= paid <= low.highest)
    standing: Standing = "at" if difference == 0 or in_range else "above" if difference > 0 else "below"
    rounding = standing != "at" and abs(difference) < WHOLE_DOLLAR
    steps = [
        Step(
            "Guideline",
            "see guideline child support",
            f"{dollars(found.amount)}" + (f" from the {found.payer}" if found.payer else ""),
            "Fam. Code § 4055",
        ),
        Step(
            "Agreed, in the same direction",
            f"{dollars(amount)}" + (f" from the {payer}" if payer else ""),
            dollars(paid),
            "Fam. Code § 4065",
        ),
        Step("Difference", f"{dollars(paid)} - {dollars(found.amount)}", dollars(difference), "Fam. Code § 4056(a)"),
    ]
    if in_range and low and difference:
        steps.append(
            Step(
                "Low-income range",
                f"{dollars(low.lowest)} to {dollars(low.highest)}",
                "inside the range",
                "Fam. Code § 4055(b)(7)",
            )
        )
    if standing != "at" and not rounding:
        steps.append(
            Step(
                "Statements of the court",
                f"the amount is {standing} guideline",
                "the guideline amount, why the order differs, and why that is in the children's best interests",
                "Fam. Code § 4056(a)",
            )
        )
    if standing == "below" and not rounding:
        steps.append(
            Step(
                "Declarations of both parents",
                "the amount is below guideline",
                "all five are needed; the court may raise it later without a change of circumstances",
                "Fam. Code § 4065(a), (d)",
            )
        )
    cautions = [ESTIMATE]
    if rounding:
        cautions.append(
            "The difference is under one dollar, as when an order or a share of time is rounded (common practice)."
        )
    figure = Figure("Difference from guideline", difference, "dollars a month", tuple(steps), cautions=tuple(cautions))
    return Deviation(
        standing,
        difference,
        rounding,
        in_range,
        standing == "below" and not rounding,
        standing != "at" and not rounding,
        figure,
    )
