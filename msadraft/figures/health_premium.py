"""Whether the children's health insurance is of reasonable cost (Fam. Code § 3751(a)(2))."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from msadraft.figures.figure import Figure, Step
from msadraft.figures.support_amounts import ESTIMATE, check_money, dollars, percent, rounded
from msadraft.law.parameters import law

SOURCE = "Fam. Code § 3751(a)(2)"


@dataclass(frozen=True, slots=True)
class PremiumTest:
    """Whether the cost is presumed reasonable, and the limit, in dollars a month."""

    reasonable: bool
    cost: Decimal
    limit: Decimal
    figure: Figure


def premium_test(day: date, gross: Decimal, children_cost: Decimal, *, low_income: bool = False) -> PremiumTest:
    """Test a premium against 5 percent of gross income.

    Args:
        day: chooses the law.
        gross: the insuring parent's gross income a month.
        children_cost: family cover less self-only cover, a month.
        low_income: the insuring parent pays support and is entitled to the low-income adjustment; the cost is then
            deemed not reasonable unless that would be unjust.

    Raises:
        SupportInputError: a negative amount.
    """
    check_money(gross, "gross income")
    check_money(children_cost, "the children's part of the premium")
    share = law("child_support/reasonable_premium", day).number
    limit = Fraction(gross) * Fraction(share) / 100
    within = Fraction(children_cost) <= limit
    reasonable = within and not (low_income and children_cost > 0)
    steps = [
        Step("Limit", f"{percent(share)} × {dollars(gross)}", dollars(limit), SOURCE),
        Step(
            "Cost of covering the children",
            f"{dollars(children_cost)} {'<=' if within else '>'} {dollars(limit)}",
            "presumed of reasonable cost" if within else "not presumed of reasonable cost",
            SOURCE,
        ),
    ]
    cautions = [
        ESTIMATE,
        "A premium that was taken off a parent's income is not shared again as an added cost (Fam. Code §§ 3753, 4059(d)).",
    ]
    if low_income and children_cost > 0:
        steps.append(
            Step("Low-income payer", "entitled to the adjustment of § 4055(b)(7)", "deemed not reasonable", SOURCE)
        )
        cautions.append(
            "The court may still find the cost reasonable where the opposite would be unjust, with reasons on the record."
        )
    figure = Figure(
        "Children's health premium", rounded(limit), "dollars a month, limit", tuple(steps), cautions=tuple(cautions)
    )
    return PremiumTest(reasonable, rounded(children_cost), rounded(limit), figure)
