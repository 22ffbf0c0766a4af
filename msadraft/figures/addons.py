"""Additional child support: who bears child care, uninsured health and other added costs (Fam. Code §§ 4061-4063).

Since 1 September 2024 the default is in proportion to adjusted net incomes, before that one half each. Both are
shown. Basic support is worked out first; spousal support between the same two parents counts here, though not there.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.counting import short
from msadraft.figures.figure import Figure, Step
from msadraft.figures.support_amounts import (
    ESTIMATE,
    SupportInputError,
    check_money,
    check_percent,
    dollars,
    percent,
    rounded,
    shared_out,
)
from msadraft.law.parameters import law

PARTIES: tuple[PartyRole, PartyRole] = ("petitioner", "respondent")


@dataclass(frozen=True, slots=True)
class Payment:
    """Support that one parent pays the other, dollars a month."""

    payer: PartyRole
    amount: Decimal


@dataclass(frozen=True, slots=True)
class AddOnInput:
    """What the division of added costs rests on. Nets: dollars a month, before any support between these parents.

    `spousal_tax_effect`: spousal support of this agreement changes a tax (an agreement executed before 2026 in
    California). `nets_after_spousal`, petitioner first, are then the nets worked out again with it.
    """

    day: date
    petitioner_net: Decimal
    respondent_net: Decimal
    child_support: Payment | None = None
    spousal_support: tuple[Payment, ...] = ()
    spousal_tax_effect: bool = False
    nets_after_spousal: tuple[Decimal, Decimal] | None = None


@dataclass(frozen=True, slots=True)
class AddOnShares:
    """The parents' shares in percent. `petitioner_percent` and `respondent_percent` add up to 100 (four decimals).

    `default` says which division the law takes where nobody asks for another: by net income, or one half each.
    """

    default: Literal["net_income", "equal"]
    petitioner_adjusted: Decimal
    respondent_adjusted: Decimal
    petitioner_percent: Decimal
    respondent_percent: Decimal
    figure: Figure

    @property
    def petitioner_printed(self) -> Decimal:
        """The petitioner's share as an order states it: percent to two decimals (common practice)."""
        return rounded(self.petitioner_percent)

    @property
    def respondent_printed(self) -> Decimal:
        """The rest of 100 percent."""
        return 100 - self.petitioner_printed


@dataclass(frozen=True, slots=True)
class CostShare:
    """One added cost divided in dollars a month; the parts add up to the cost."""

    petitioner: Decimal
    respondent: Decimal


def add_on_shares(given: AddOnInput) -> AddOnShares:
    """Work out the shares by adjusted net income (Fam. Code § 4061).

    Raises:
        SupportInputError: an adjusted net is below zero or both are zero, so that no percentage makes sense; a negative
            amount of support.
    """
    check_money(given.petitioner_net, "the petitioner's net income")
    check_money(given.respondent_net, "the respondent's net income")
    for payment in (given.child_support, *given.spousal_support):
        if payment:
            check_money(payment.amount, "support")
    nets = [Fraction(given.petitioner_net), Fraction(given.respondent_net)]
    steps: list[Step] = []
    cautions = [ESTIMATE]
    if given.nets_after_spousal is not None:
        nets = [Fraction(net) for net in given.nets_after_spousal]
        steps.append(
            Step(
                "Net incomes with spousal support and its tax",
                "as given",
                " and ".join(map(dollars, nets)),
                "Fam. Code § 4061(c)",
            )
        )
    else:
        nets = _with_spousal(given, nets, steps, cautions)
    if given.child_support and given.child_support.amount:
        n = PARTIES.index(given.child_support.payer)
        after = nets[n] - Fraction(given.child_support.amount)
        steps.append(
            Step(
                f"The {PARTIES[n]} pays basic child support",
                f"{dollars(nets[n])} - {dollars(given.child_support.amount)}; it is not added to the other parent's net",
                dollars(after),
                "Fam. Code § 4061(d)",
            )
        )
        nets[n] = after
    total = nets[0] + nets[1]
    if min(nets) < 0 or total == 0:
        raise SupportInputError(
            f"adjusted net incomes of {dollars(nets[0])} and {dollars(nets[1])} give no percentages for added costs; "
            "check incomes and support, or agree on shares"
        )
    shares = shared_out(Decimal(100), nets, places=4)
    for party, net, share in zip(PARTIES, nets, shares, strict=True):
        steps.append(
            Step(f"Share of the {party}", f"{dollars(net)} / {dollars(total)}", percent(share), "Fam. Code § 4061(a)")
        )
    default: Literal["net_income", "equal"] = (
        "equal" if law("child_support/add_on_division", given.day).value == "equal" else "net_income"
    )
    steps.append(
        Step(
            "Division where nobody asks for another",
            f"law in force on {short(given.day)}",
            "one half each" if default == "equal" else "in proportion to adjusted net incomes",
            "Fam. Code § 4061",
        )
    )
    if given.spousal_support:
        cautions.append("Work the shares out again on the day on which spousal support changes or ends.")
    figure = Figure("Petitioner's share of added costs", shares[0], "percent", tuple(steps), cautions=tuple(cautions))
    return AddOnShares(default, rounded(nets[0]), rounded(nets[1]), shares[0], shares[1], figure)


def divide_cost(cost: Decimal, given: AddOnShares) -> CostShare:
    """Divide a cost in proportion to the adjusted nets; the parts add up to it.

    Raises:
        SupportInputError: a cost below zero.
    """
    check_money(cost, "the cost")
    parts = shared_out(cost, [Fraction(given.petitioner_adjusted), Fraction(given.respondent_adjusted)])
    return CostShare(parts[0], parts[1])


def divide_cost_at(cost: Decimal, petitioner_percent: Decimal) -> CostShare:
    """Divide a cost at an agreed percentage; 50 is the even split. The parts add up to it.

    Raises:
        SupportInputError: a cost below zero, or a percentage outside 0 to 100.
    """
    check_money(cost, "the cost")
    check_percent(petitioner_percent, "the petitioner's share")
    mine = Fraction(petitioner_percent)
    parts = shared_out(cost, [mine, 100 - mine])
    return CostShare(parts[0], parts[1])


def statement_due(accrued_on: date) -> date:
    """The last day to send the itemized statement of a cost: 90 days after it accrues (Fam. Code § 4063(b))."""
    days = law("child_support/reimbursement_days", accrued_on).value["statement"]
    return accrued_on + timedelta(days=int(days))


def repayment_due(notice_on: date, agreed_days: int | None = None) -> date:
    """The last day to repay a share: the agreed or ordered days, else 30 from notice (Fam. Code § 4063(b)(3))."""
    days = law("child_support/reimbursement_days", notice_on).value["payment"] if agreed_days is None else agreed_days
    return notice_on + timedelta(days=int(days))


def _with_spousal(given: AddOnInput, nets: list[Fraction], steps: list[Step], cautions: list[str]) -> list[Fraction]:
    for payment in given.spousal_support:
        if not payment.amount:
            continue
        n = PARTIES.index(payment.payer)
        amount = Fraction(payment.amount)
        before = list(nets)
        nets[n], nets[1 - n] = nets[n] - amount, nets[1 - n] + amount
        steps.append(
            Step(
                f"The {payment.payer} pays spousal support",
                f"{dollars(before[n])} - {dollars(amount)}; {dollars(before[1 - n])} + {dollars(amount)}",
                f"{dollars(nets[n])} and {dollars(nets[1 - n])}",
                "Fam. Code § 4061(c)",
            )
        )
        if given.spousal_tax_effect:
            cautions.append(
                "Spousal support under this agreement has a tax effect, which these nets leave out: it moves gross income, "
                "so the nets must be worked out again (Fam. Code § 4061(c))."
            )
    return nets
