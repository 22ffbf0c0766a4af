"""The low-income adjustment of Fam. Code § 4055(b)(7), and the cap of § 4057(b)(5).

A program must show the range, never one figure (§ 4055(c)).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from msadraft.facts.scalars import PartyRole
from msadraft.figures.child_support import Guideline
from msadraft.figures.counting import short
from msadraft.figures.figure import Figure, Step
from msadraft.figures.support_amounts import ESTIMATE, SupportInputError, check_money, dollars, percent, rounded
from msadraft.law.parameters import LawNotKnownError, law

HOURS_A_MONTH = Fraction(40 * 52, 12)
"""Full time: 40 hours a week, 52 weeks a year (Fam. Code § 4055(b)(7))."""
SOURCE = "Fam. Code § 4055(b)(7)"


class ThresholdNeededError(SupportInputError):
    """The low-income threshold of this day is not in the data and must be given."""


@dataclass(frozen=True, slots=True)
class LowIncome:
    """Whether the payer is presumed entitled to the adjustment, and the range of the order, in dollars a month.

    `lowest` to `highest` is the permitted range; both are the guideline amount where the payer does not qualify.
    `beyond_half_from_lowest` and `..._from_highest`: the most by which § 4057(b)(5) allows a further reduction, measured
    from either end, because the statute does not say from which; None where that rule does not apply.
    """

    payer: PartyRole
    payer_net: Decimal
    threshold: Decimal
    qualifies: bool
    lowest: Decimal
    highest: Decimal
    reduction: Decimal
    beyond_half_from_lowest: Decimal | None
    beyond_half_from_highest: Decimal | None
    figure: Figure


def monthly_threshold(found: Guideline, given: Decimal | None = None) -> tuple[Fraction, Step]:
    """The net income below which the adjustment is presumed, unrounded, and the step that found it.

    Args:
        found: the run, whose day chooses the law.
        given: a threshold in dollars a month that the user gives; needed where the data have none.

    Raises:
        ThresholdNeededError: the data have none for that day (1 January 2013 to 31 August 2024; from 2027).
    """
    day = found.run.day
    if given is not None:
        check_money(given, "the low-income threshold")
        if given == 0:
            raise SupportInputError("the low-income threshold is 0.00; give dollars a month above zero")
        return Fraction(given), Step("Threshold", "as given", dollars(given), SOURCE)
    rule = law("child_support/low_income_threshold", day).value
    if isinstance(rule, Decimal):
        return Fraction(rule), Step("Threshold", f"amount in force on {short(day)}", dollars(rule), SOURCE)
    if rule != "minimum_wage":
        raise ThresholdNeededError(
            f"the low-income threshold in force on {short(day)} was adjusted every year and is not in the data; "
            "give the amount that the Judicial Council published for that day"
        )
    try:
        wage = law("child_support/minimum_wage", day).number
    except LawNotKnownError as error:
        raise ThresholdNeededError(
            f"the state minimum wage for {day.year} is not in the data; give the threshold "
            "(hourly wage × 40 × 52 / 12), or add the wage"
        ) from error
    month = Fraction(wage) * HOURS_A_MONTH
    return month, Step(
        "Full-time pay at the state minimum wage",
        f"{wage} × 40 × 52 / 12",
        dollars(month),
        f"{SOURCE}; Lab. Code § 1182.12",
    )


def low_income(found: Guideline, threshold: Decimal | None = None) -> LowIncome | None:
    """Work out the range of the low-income adjustment; None where nothing is due.

    The test is on the payer's net income, whether the higher or the lower earner, strictly below the threshold.

    Raises:
        ThresholdNeededError: see `monthly_threshold`.
    """
    if found.payer is None:
        return None
    limit, step = monthly_threshold(found, threshold)
    net, full = Fraction(found.run.net(found.payer)), abs(found.exact_total)
    qualifies = net < limit
    low = full * net / limit if qualifies else full
    steps = [
        step,
        Step(
            f"Net income of the {found.payer}, who pays",
            f"{dollars(net)} {'<' if qualifies else 'not <'} {dollars(limit)}",
            "presumed entitled to the adjustment" if qualifies else "no adjustment",
            SOURCE,
        ),
    ]
    from_low = from_high = None
    if qualifies:
        steps.append(
            Step(
                "Most by which the amount may fall",
                f"{dollars(full)} × ({dollars(limit)} - {dollars(net)}) / {dollars(limit)}",
                dollars(full - low),
                SOURCE,
            )
        )
        steps.append(
            Step(
                "Range of the order",
                f"from {dollars(full)} × {dollars(net)} / {dollars(limit)} to {dollars(full)}",
                f"{dollars(low)} to {dollars(full)}",
                "Fam. Code § 4055(b)(7), (c)",
            )
        )
        from_low, from_high = _beyond_half(found, net, low, full, steps)
    figure = Figure(
        "Low-income adjustment",
        rounded(low) if qualifies else "does not apply",
        "dollars a month, lowest of the range",
        tuple(steps),
        cautions=(
            ESTIMATE,
            *(
                (
                    "The presumption can be rebutted by evidence that the lowest amount would be unjust and inappropriate "
                    "in this case. It also bears on health insurance (Fam. Code § 3751(a)(2)).",
                )
                if qualifies
                else ()
            ),
        ),
    )
    return LowIncome(
        found.payer, rounded(net), rounded(limit), qualifies, rounded(low), rounded(full), rounded(full - low),
        from_low, from_high, figure,
    )  # fmt: skip


def _beyond_half(
    found: Guideline, net: Fraction, low: Fraction, full: Fraction, steps: list[Step]
) -> tuple[Decimal | None, Decimal | None]:
    """The further adjustment where the amount is over half of the payer's net (Fam. Code § 4057(b)(5))."""
    try:
        share = law("child_support/half_of_income", found.run.day).number
    except LawNotKnownError:
        return None, None
    cap = net * Fraction(share) / 100
    results = []
    for end, amount in (("lowest", low), ("highest", full)):
        beyond = max(Fraction(0), amount - cap)
        if beyond:
            steps.append(
                Step(
                    f"Part over {percent(share)} of the payer's net, from the {end} of the range",
                    f"{dollars(amount)} - {percent(share)} × {dollars(net)}",
                    f"further adjustment of at most {dollars(beyond)}",
                    "Fam. Code § 4057(b)(5)",
                )
            )
        results.append(rounded(beyond))
    return results[0], results[1]
