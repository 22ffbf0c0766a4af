"""Rules about spousal support that give an answer by date or county: its tax treatment, and local formulas for temporary support."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, Literal

from msadraft.figures.amortization import NOTHING
from msadraft.figures.counting import written
from msadraft.figures.figure import Figure, Step
from msadraft.figures.support_amounts import SupportInputError, dollars, rounded
from msadraft.law.parameters import LawNotKnownError, law, versions

Treatment = Literal["deducted_and_taxed", "neither"]
CLOSE = timedelta(days=31)
"""How near to a change of the tax rule the day of signing calls for a look at the day of entry."""

_SAID = {
    "deducted_and_taxed": "the payer deducts it and the recipient reports it",
    "neither": "the payer does not deduct it and the recipient does not report it",
}


@dataclass(frozen=True, slots=True)
class TaxTreatment:
    """How spousal support under an instrument is taxed."""

    executed_on: date
    federal: Treatment
    california: Treatment
    figure: Figure

    @property
    def alike(self) -> bool:
        """Whether federal and California law treat it the same way."""
        return self.federal == self.california


def tax_treatment(
    executed_on: date,
    entered_on: date | None = None,
    relationship: Literal["marriage", "partnership", "both"] = "marriage",
    facts: tuple[str, ...] = (),
) -> TaxTreatment:
    """The tax treatment of spousal support by the day on which the instrument was executed.

    For an older instrument that is changed, give the older one's day: its rule stays unless the change expressly adopts the
    new one (Pub. L. 115-97, § 11051(c)(2); for California, changes after 2025), in which case the day of the change decides.

    Raises:
        LawNotKnownError: the instrument is older than the law data.
    """
    rule = law("spousal_support/tax", executed_on)
    federal, california = rule.value["federal"], rule.value["california"]
    steps = (
        Step(
            "Federal income tax",
            f"instrument executed {written(executed_on)}",
            _SAID[federal],
            "Pub. L. 115-97, § 11051(c)",
        ),
        Step(
            "California income tax",
            f"instrument executed {written(executed_on)}",
            _SAID[california],
            "Stats. 2025, ch. 231 (SB 711)",
        ),
    )
    cautions = []
    for change in (version.in_force_from for version in versions("spousal_support/tax")[1:]):
        crossed = entered_on is not None and (executed_on < change) != (entered_on < change)
        near = abs(executed_on - change) <= CLOSE and entered_on is None
        if crossed or near:
            cautions.append(
                f"The rule changed for instruments executed from {written(change)} on. Signing and entry of judgment can fall on "
                "different sides of it; which of the two counts is open to argument. Ask a tax adviser."
            )
    if relationship == "partnership":
        cautions.append(
            "Federal income-tax law does not treat registered domestic partners as married; the federal line is not for them."
        )
    figure = Figure(
        "spousal_tax", f"federal: {federal}; California: {california}", "treatment", steps, facts, tuple(cautions)
    )
    return TaxTreatment(executed_on, federal, california, figure)


def temporary_support(
    county: str,
    payer_net: Decimal,
    recipient_net: Decimal,
    day: date,
    payer_child_costs: Decimal = NOTHING,
    recipient_child_costs: Decimal = NOTHING,
    facts: tuple[str, ...] = (),
) -> Figure:
    """Temporary spousal support by the formula in a court's own rules; dollars a month, never below zero.

    Only formulas that were read in a rule of court are known. The percentages apply to net monthly income that is not
    allocated to child support or the children's costs. Such a formula is for temporary orders (Fam. Code § 3600); it may not
    fix support in a judgment (§ 4320).

    Raises:
        SupportInputError: an amount is below zero, or no rule of that county is known.
    """
    for name, amount in (
        ("payer's net income", payer_net),
        ("recipient's net income", recipient_net),
        ("payer's child costs", payer_child_costs),
        ("recipient's child costs", recipient_child_costs),
    ):
        if amount < 0:
            raise SupportInputError(f"the {name} of {dollars(amount)} is below zero")
    row = local_formula(county, day)
    if row is None:
        raise SupportInputError(
            f"no formula for temporary spousal support was found in a rule of court of {county} County"
        )
    payer_left = max(NOTHING, payer_net - payer_child_costs)
    recipient_left = max(NOTHING, recipient_net - recipient_child_costs)
    of_payer, of_recipient = payer_left * row["payer_percent"] / 100, recipient_left * row["recipient_percent"] / 100
    exact = of_payer - of_recipient
    amount = max(NOTHING, rounded(exact))
    steps = (
        Step(
            "Payer's net left",
            f"{dollars(payer_net)} - {dollars(payer_child_costs)} for children",
            dollars(payer_left),
            row["source"],
        ),
        Step(
            "Recipient's net left",
            f"{dollars(recipient_net)} - {dollars(recipient_child_costs)} for children",
            dollars(recipient_left),
            row["source"],
        ),
        Step(
            "Formula",
            f"{row['payer_percent']}% x {dollars(payer_left)} - {row['recipient_percent']}% x {dollars(recipient_left)}",
            dollars(exact) if exact > 0 else f"{dollars(exact)}, so no support",
            row["source"],
        ),
    )
    cautions = (
        "For temporary orders only: a judgment's support is set on all the circumstances of Fam. Code § 4320, not by formula.",
        "Check the wording of the local rule in force; it leaves room for tax consequences and for need.",
    )
    return Figure("temporary_support", amount, "dollars a month", steps, facts, cautions)


def local_formula(county: str, day: date) -> dict[str, Any] | None:
    """The formula row of a county, or None if none was read in a rule of court."""
    try:
        rows = law("spousal_support/temporary_formula", day).rows
    except LawNotKnownError:
        return None
    return next((row for row in rows if row["county"] == county), None)
