"""What makes a division equal (Fam. Code § 2550), and what a buy-out or a sale comes to.

Charges and credits run between a spouse and the community and are halved once; a separate contribution that sits in
an asset awarded to the other spouse is paid whole. Dollars; the result is rounded to the cent, half up.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.figure import Figure, Step
from msadraft.figures.property.working import CENT, NOTHING, cents, halves, money, not_negative, require

EQUAL = "Fam. Code § 2550"


@dataclass(frozen=True, slots=True)
class Side:
    """One spouse's side of the division.

    Attributes:
        awards: community assets awarded, value less liens and separate credits.
        debts: unsecured community debts assigned.
        charges: what this spouse owes the community (use of assets, education, misappropriation, earlier family).
        credits: what the community owes this spouse (payments on its debts with separate money).
        separate_of_other: the other spouse's separate credits in assets awarded to this one.
        owed_whole: other sums that this spouse owes the other whole, not halved.
    """

    awards: Decimal
    debts: Decimal = NOTHING
    charges: Decimal = NOTHING
    credits: Decimal = NOTHING
    separate_of_other: Decimal = NOTHING
    owed_whole: Decimal = NOTHING

    @property
    def net(self) -> Decimal:
        """Awards less debts."""
        return self.awards - self.debts


@dataclass(frozen=True, slots=True)
class Balance:
    """The result. `payment` is never negative; `payer` is None if nothing is due.

    Where community debts exceed community assets (`negative`), no payment follows from the formula; assets and as much
    debt are divided equally (`assets_each`), and `excess_debt` is assigned as is just, by ability to pay (§ 2622(b)).
    Sums due whole are still due.
    """

    payment: Decimal
    payer: PartyRole | None
    half_of_nets: Decimal
    half_of_adjustments: Decimal
    whole: Decimal
    negative: bool
    assets_each: Decimal
    excess_debt: Decimal
    figure: Figure


def equalize(petitioner: Side, respondent: Side) -> Balance:
    """Work out the equalizing payment. Amounts below zero in the result's parts run from the respondent.

    A difference of a single cent is left where it is, since it cannot be halved.

    Raises:
        InputError: a negative debt, charge, credit, separate credit or whole sum.
    """
    for name, side in (("petitioner", petitioner), ("respondent", respondent)):
        not_negative(
            **{
                f"{name}_debts": side.debts,
                f"{name}_charges": side.charges,
                f"{name}_credits": side.credits,
                f"{name}_holds_of_the_other": side.separate_of_other,
                f"{name}_owes_whole": side.owed_whole,
            }
        )
    adjustments = (petitioner.charges - petitioner.credits) - (respondent.charges - respondent.credits)
    whole = petitioner.separate_of_other + petitioner.owed_whole - respondent.separate_of_other - respondent.owed_whole
    difference = petitioner.net - respondent.net
    total = petitioner.net + respondent.net
    negative = total < 0
    to_halve = adjustments if negative else difference + adjustments
    due = (NOTHING if abs(to_halve) <= CENT else cents(to_halve / 2)) + whole
    payer: PartyRole | None = "petitioner" if due > 0 else "respondent" if due < 0 else None
    assets = petitioner.awards + respondent.awards
    steps = [
        Step(
            "Petitioner's net award",
            f"{money(petitioner.awards)} − {money(petitioner.debts)}",
            money(petitioner.net),
            EQUAL,
        ),
        Step(
            "Respondent's net award",
            f"{money(respondent.awards)} − {money(respondent.debts)}",
            money(respondent.net),
            EQUAL,
        ),
    ]
    if negative:
        steps.append(
            Step(
                "Debts exceed assets",
                f"{money(petitioner.net)} + {money(respondent.net)}",
                f"{money(-total)} of debt is assigned as is just",
                "Fam. Code § 2622(b); In re Marriage of Eastis (1975) 47 Cal.App.3d 459",
            )
        )
        steps.append(
            Step(
                "Assets, and as much debt, to each",
                f"{money(assets)} ÷ 2",
                money(assets / 2),
                "In re Marriage of Eastis (1975) 47 Cal.App.3d 459",
            )
        )
    else:
        steps.append(
            Step(
                "Half the difference",
                f"({money(petitioner.net)} − {money(respondent.net)}) ÷ 2",
                money(difference / 2),
                EQUAL,
            )
        )
    if adjustments:
        steps.append(
            Step(
                "Half of charges less credits",
                f"(({money(petitioner.charges)} − {money(petitioner.credits)}) − ({money(respondent.charges)} − {money(respondent.credits)})) ÷ 2",
                money(adjustments / 2),
                "Fam. Code §§ 2602, 2626, 2641",
            )
        )
    if whole:
        steps.append(
            Step(
                "Due whole",
                f"({money(petitioner.separate_of_other)} + {money(petitioner.owed_whole)}) − ({money(respondent.separate_of_other)} + {money(respondent.owed_whole)})",
                money(whole),
                "Fam. Code § 2640",
            )
        )
    steps.append(Step("Payment", f"from the {payer}" if payer else "none", money(abs(due)), EQUAL))
    cautions = (
        ("Debts exceed assets: no payment follows from the formula. State who bears the excess, and why.",)
        if negative
        else ()
    )
    figure = Figure("equalizing payment", abs(due), "dollars", tuple(steps), (), cautions)
    return Balance(
        abs(due), payer, NOTHING if negative else cents(difference / 2), cents(adjustments / 2), whole, negative,
        cents(assets / 2), -total if negative else NOTHING, figure,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class BuyOut:
    """A buy-out, and beside it what a sale would bring the other owner. The buyer keeps the credit and the rest."""

    equity: Decimal
    divisible: Decimal
    to_other: Decimal
    new_loan: Decimal
    sale_divisible: Decimal
    sale_to_other: Decimal
    figure: Figure


def buy_out(
    value: Decimal, balance: Decimal, credit: Decimal = NOTHING, sale_cost_fraction: Decimal = NOTHING
) -> BuyOut:
    """What one owner pays the other for a half, and the new loan that pays both (Fam. Code §§ 2550, 2601).

    The cost of a sale that is not ordered, and tax on it, are not taken off the buy-out (Fonstein (1976) 17 Cal.3d
    738; Stratton, from memory); they come off only in the sale beside it.

    Raises:
        InputError: a negative amount, a credit above the equity (see `contributions`), a cost above the price.
    """
    not_negative(value=value, balance=balance, credit=credit, cost_of_sale=sale_cost_fraction)
    require(sale_cost_fraction <= 1, "the cost of sale is more than the price")
    equity = value - balance
    require(
        credit <= max(NOTHING, equity),
        f"the credit ({money(credit)}) is more than the equity ({money(equity)}); cut it to the equity first",
    )
    divisible = equity - credit
    half = halves(divisible)[0] if divisible >= 0 else -halves(-divisible)[0]
    cost = cents(value * sale_cost_fraction)
    sold = equity - cost - credit
    sold_half = halves(sold)[0] if sold >= 0 else -halves(-sold)[0]
    steps = (
        Step("Equity", f"{money(value)} − {money(balance)}", money(equity), EQUAL),
        Step("To divide", f"{money(equity)} − separate credit {money(credit)}", money(divisible), "Fam. Code § 2640"),
        Step("Other owner's half", f"{money(divisible)} ÷ 2", money(half), EQUAL),
        Step(
            "New loan that pays the old one and the half",
            f"{money(balance)} + {money(half)}",
            money(balance + half),
            "Fam. Code § 2601",
        ),
        Step(
            "On a sale instead",
            f"({money(equity)} − cost {money(cost)} − {money(credit)}) ÷ 2",
            money(sold_half),
            "Fam. Code § 2553",
        ),
    )
    cautions = ("More is owed than the property is worth.",) if equity < 0 else ()
    return BuyOut(
        equity,
        divisible,
        half,
        balance + half,
        sold,
        sold_half,
        Figure("buy-out", half, "dollars", steps, (), cautions),
    )
