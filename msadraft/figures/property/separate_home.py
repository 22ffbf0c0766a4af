"""The community's part in real property that one spouse owned before the marriage.

Community money that pays down principal buys a share in proportion to the purchase price. Growth before the marriage
stays separate; growth since is shared by the percentages. Interest, taxes and insurance buy nothing.
Sources: In re Marriage of Moore (1980) 28 Cal.3d 366; In re Marriage of Marsden (1982) 130 Cal.App.3d 426.

All amounts in dollars. The community part is rounded to the cent, half up; the separate part is the remainder, so
that both add up to the equity.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.figure import Figure, Step
from msadraft.figures.property.working import (
    NOTHING,
    ONE,
    cents,
    halves,
    money,
    not_negative,
    percent,
    require,
    rounded_fraction,
)

MOORE = "In re Marriage of Moore (1980) 28 Cal.3d 366"
MARSDEN = "In re Marriage of Marsden (1982) 130 Cal.App.3d 426"
BRANCO = "In re Marriage of Branco (1996) 47 Cal.App.4th 1621"
BONO = "Bono v. Clark (2002) 103 Cal.App.4th 1409"
FRICK = "In re Marriage of Frick (1986) 181 Cal.App.3d 997"


@dataclass(frozen=True, slots=True)
class Refinance:
    """A new loan that paid off the purchase loan.

    Attributes:
        payoff: what was paid off of the purchase loan out of it.
        amount: the whole new loan.
        balance: what is unpaid of the new loan at division.
        lender_relied_on: whose credit the lender meant to be repaid from (Grinius, from memory); None: not known.
        paid_by_community: principal of the replaced part that community money paid on the new loan. It counts only
            if the new loan is a separate one; a community loan was counted whole when it paid off the old one.
    """

    payoff: Decimal
    amount: Decimal
    balance: Decimal
    lender_relied_on: Literal["community", "separate"] | None
    paid_by_community: Decimal = NOTHING


@dataclass(frozen=True, slots=True)
class Improvement:
    """Money put into improvements during the marriage: how much, whose, and whether it is repaid or buys a share.

    `value_added`, if known, limits what is repaid.
    """

    cost: Decimal
    funds: Literal["community", "separate"]
    treatment: Literal["repaid", "share"] = "repaid"
    value_added: Decimal | None = None


@dataclass(frozen=True, slots=True)
class SeparateHome:
    """What the computation needs to know.

    Attributes:
        price: purchase price, down payment and purchase loan together.
        down: separate down payment.
        principal_before: principal paid with separate money before the marriage.
        principal_community: principal paid with community money from marriage to separation.
        principal_after: principal paid with separate money after the separation.
        value_at_marriage: fair market value at marriage; None: the price (bought just before, no sign of change).
        value_now: fair market value at division.
        value_at_separation: needed only if growth is to stop at separation.
        growth_until: day to which growth is shared; the cases run it to trial.
        basis: percentages of the purchase price, or of the value before the first community money (Bono).
        value_at_first_contribution: that value.
        percent_places: decimals to which the community percentage is rounded first, as some opinions do.
    """

    price: Decimal
    down: Decimal
    principal_community: Decimal
    value_now: Decimal
    principal_before: Decimal = NOTHING
    principal_after: Decimal = NOTHING
    value_at_marriage: Decimal | None = None
    value_at_separation: Decimal | None = None
    growth_until: Literal["division", "separation"] = "division"
    basis: Literal["purchase_price", "value_at_first_contribution"] = "purchase_price"
    value_at_first_contribution: Decimal | None = None
    refinance: Refinance | None = None
    improvements: tuple[Improvement, ...] = ()
    percent_places: int | None = None
    owner: PartyRole = "petitioner"


@dataclass(frozen=True, slots=True)
class HomeShares:
    """The result. `community + separate == equity`, and `owner_receives + other_receives == equity`."""

    owner: PartyRole
    loan_balance: Decimal
    equity: Decimal
    community_fraction: Decimal
    community: Decimal
    separate: Decimal
    owner_receives: Decimal
    other_receives: Decimal
    figure: Figure

    def for_party(self, party: PartyRole) -> Decimal:
        """What a party receives of the equity."""
        return self.owner_receives if party == self.owner else self.other_receives


def home_shares(home: SeparateHome) -> HomeShares:
    """Work out the community and the separate part.

    Raises:
        InputError: a negative amount, more paid than was borrowed, an impossible refinance, a missing value.
    """
    loan = _check(home)
    cautions: list[str] = []
    steps: list[Step] = []
    refinanced = _refinanced_by_community(home, cautions)
    paid = home.principal_before + home.principal_community + home.principal_after
    old_balance = loan - paid - (home.refinance.payoff if home.refinance else NOTHING)
    new_balance = _new_balance(home, steps)
    owed = old_balance + new_balance
    steps.append(Step("Purchase loan", f"{money(home.price)} − {money(home.down)}", money(loan), MOORE))
    steps.append(
        Step(
            "Unpaid at division",
            f"{money(old_balance)} of the purchase loan + {money(new_balance)} of a loan that replaced it",
            money(owed),
            MOORE,
        )
    )

    shared_in = [i for i in home.improvements if i.treatment == "share"]
    community_improvements = sum((i.cost for i in shared_in if i.funds == "community"), NOTHING)
    all_improvements = sum((i.cost for i in shared_in), NOTHING)
    repaid_community = sum(
        (_repaid(i) for i in home.improvements if i.treatment == "repaid" and i.funds == "community"), NOTHING
    )

    bought = home.principal_community + (refinanced.payoff if refinanced else NOTHING)
    if home.refinance and not refinanced:
        bought += home.refinance.paid_by_community
    if refinanced:
        steps.append(
            Step(
                "Community principal",
                f"{money(home.principal_community)} paid + {money(refinanced.payoff)} paid off by the community's loan",
                money(bought),
                BRANCO,
            )
        )
    base = home.price if home.basis == "purchase_price" else home.value_at_first_contribution or NOTHING
    exact = (bought + community_improvements) / (base + all_improvements)
    fraction = rounded_fraction(exact, home.percent_places)
    steps.append(
        Step(
            "Community percentage",
            f"({money(bought)} + {money(community_improvements)}) ÷ ({money(base)} + {money(all_improvements)})",
            percent(fraction, home.percent_places if home.percent_places is not None else 4),
            FRICK if home.basis == "purchase_price" else BONO,
        )
    )
    start = (
        base
        if home.basis == "value_at_first_contribution"
        else (home.value_at_marriage if home.value_at_marriage is not None else home.price)
    )
    growth = home.value_now - start - all_improvements - repaid_community
    later = NOTHING
    if home.growth_until == "separation":
        later = home.value_now - (home.value_at_separation or NOTHING)
        growth -= later
        steps.append(
            Step(
                "Growth after separation, separate",
                f"{money(home.value_now)} − {money(home.value_at_separation or NOTHING)}",
                money(later),
                "one reading of Branco; Moore and Marsden run growth to trial",
            )
        )
    steps.append(
        Step(
            "Growth that is shared",
            f"{money(home.value_now)} − {money(start)} − improvements {money(all_improvements + repaid_community)} − later growth {money(later)}",
            money(growth),
            MARSDEN,
        )
    )
    equity = home.value_now - owed
    shared_new = new_balance if refinanced else NOTHING
    community = cents(bought + community_improvements + repaid_community + fraction * growth - shared_new)
    separate = equity - community
    steps.append(
        Step(
            "Community part",
            f"{money(bought)} + {money(community_improvements + repaid_community)} + {percent(fraction)} × {money(growth)} − loan of the community {money(shared_new)}",
            money(community),
            MARSDEN,
        )
    )
    steps.append(
        Step("Separate part", f"{money(equity)} − {money(community)} (the remainder)", money(separate), MARSDEN)
    )
    half, rest = _signed_halves(community)
    steps.append(
        Step("Owner receives", f"{money(separate)} + {money(half)}", money(separate + half), "Fam. Code § 2550")
    )
    steps.append(Step("Other spouse receives", f"{money(community)} − {money(half)}", money(rest), "Fam. Code § 2550"))
    _warn(home, growth, equity, community, separate, fraction, cautions)
    figure = Figure("community part of separate real property", community, "dollars", tuple(steps), (), tuple(cautions))
    return HomeShares(
        home.owner,
        owed,
        equity,
        exact if home.percent_places is None else fraction,
        community,
        separate,
        separate + half,
        rest,
        figure,
    )


def _check(home: SeparateHome) -> Decimal:
    """Check the input, and give the amount of the purchase loan."""
    not_negative(
        price=home.price, down_payment=home.down, principal_before=home.principal_before, principal_community=home.principal_community,
        principal_after=home.principal_after, value_now=home.value_now, value_at_marriage=home.value_at_marriage,
        value_at_separation=home.value_at_separation, value_at_first_contribution=home.value_at_first_contribution,
    )  # fmt: skip
    require(home.price > 0, "the purchase price is missing")
    require(
        home.down <= home.price, f"the down payment ({money(home.down)}) is more than the price ({money(home.price)})"
    )
    loan = home.price - home.down
    paid = home.principal_before + home.principal_community + home.principal_after
    require(
        paid <= loan,
        f"principal paid ({money(paid)}) is more than was borrowed ({money(loan)}); count principal only, without interest, taxes and insurance",
    )
    require(
        home.growth_until == "division" or home.value_at_separation is not None,
        "growth until separation needs the value at separation",
    )
    require(
        home.basis == "purchase_price" or bool(home.value_at_first_contribution),
        "this basis needs the value before the first community money",
    )
    if home.refinance:
        new = home.refinance
        not_negative(
            refinance_payoff=new.payoff, refinance_amount=new.amount, refinance_balance=new.balance, paid_on_the_refinance=new.paid_by_community
        )  # fmt: skip
        require(new.amount > 0, "the refinance has no amount")
        require(
            new.payoff <= new.amount,
            f"the refinance ({money(new.amount)}) cannot have paid off {money(new.payoff)}; correct one of the two",
        )
        require(
            new.balance <= new.amount,
            f"the unpaid balance ({money(new.balance)}) is more than the new loan ({money(new.amount)})",
        )
        require(
            new.payoff <= loan - paid,
            f"the refinance paid off {money(new.payoff)}, but only {money(loan - paid)} of the purchase loan was unpaid",
        )
        replaced = new.payoff - cents(new.balance * new.payoff / new.amount)
        require(
            new.paid_by_community <= replaced,
            f"only {money(replaced)} of the replaced loan has been paid, so the community cannot have paid {money(new.paid_by_community)} of it",
        )
    for improvement in home.improvements:
        not_negative(improvement_cost=improvement.cost, value_added=improvement.value_added)
    return loan


def _refinanced_by_community(home: SeparateHome, cautions: list[str]) -> Refinance | None:
    new = home.refinance
    if new is None:
        return None
    if new.lender_relied_on is None:
        cautions.append(
            "Whose credit the lender relied on for the refinance is not recorded; it is taken as a separate loan. Ask (Grinius, from memory)."
        )
    if new.amount > new.payoff:
        cautions.append(
            f"{money(new.amount - new.payoff)} of the refinance was spent elsewhere; that part is a debt of its own and is not in this computation."
        )
    return new if new.lender_relied_on == "community" else None


def _new_balance(home: SeparateHome, steps: list[Step]) -> Decimal:
    """The part of the new loan's balance that stands for the purchase loan."""
    new = home.refinance
    if new is None:
        return NOTHING
    part = cents(new.balance * new.payoff / new.amount)
    steps.append(
        Step(
            "Unpaid of the loan that replaced the purchase loan",
            f"{money(new.balance)} × {money(new.payoff)} ÷ {money(new.amount)}",
            money(part),
            BRANCO,
        )
    )
    return part


def _repaid(improvement: Improvement) -> Decimal:
    return improvement.cost if improvement.value_added is None else min(improvement.cost, improvement.value_added)


def _signed_halves(amount: Decimal) -> tuple[Decimal, Decimal]:
    """Halves of an amount of either sign; an odd cent goes to the first."""
    first, second = halves(abs(amount))
    return (first, second) if amount >= 0 else (-second, -first)


def _warn(
    home: SeparateHome,
    growth: Decimal,
    equity: Decimal,
    community: Decimal,
    separate: Decimal,
    fraction: Decimal,
    cautions: list[str],
) -> None:
    if growth < 0:
        cautions.append(
            "The property lost value since the marriage; the formula shares the loss, but no published decision was found. Have it reviewed."
        )
    if equity < 0:
        cautions.append("More is owed than the property is worth.")
    if community < 0 or separate < 0:
        cautions.append(
            "One side's part comes out negative; the formula does not fit these facts without a lawyer's judgment."
        )
    if home.value_at_marriage is None:
        cautions.append(
            "The value at marriage is taken as the purchase price. Get an appraisal as of the day of marriage."
        )
    if fraction > ONE:
        cautions.append(
            "The community percentage is above one hundred; choose the value before the first community money as basis (Bono)."
        )
    if any(i.treatment == "share" for i in home.improvements) and home.basis == "purchase_price":
        cautions.append(
            "Courts differ on whether improvements buy a share of growth (Bono; compare Sherman (2005) 133 Cal.App.4th 795); an attorney decides."
        )


def purchase_shares(price: Decimal, separate: Decimal, balance: Decimal, value: Decimal) -> tuple[Decimal, Decimal]:
    """Separate and community part of a home bought in marriage in agreed shares: each by its part of the price.

    Source: In re Marriage of Aufmuth (1979) 89 Cal.App.3d 446, the formula that Moore took over. Property in joint
    form falls under Fam. Code § 2640 instead (`contributions`), unless an agreement keeps shares.
    """
    not_negative(price=price, separate=separate, balance=balance, value=value)
    require(price > 0, "the purchase price is missing")
    require(separate <= price, "the separate payment is more than the price")
    own = cents(separate + separate / price * (value - price))
    return own, value - balance - own


def by_payments(
    community: Decimal, total: Decimal, amount: Decimal, percent_places: int | None = None
) -> tuple[Decimal, Decimal]:
    """Community and separate part of `amount` by payments alone. For checking another's worksheet, not for use.

    Shares by payments without regard to the price are what Moore, Marsden and In re Marriage of Mohler (2020)
    47 Cal.App.5th 788 disapproved; a worksheet that arrives at these sums made that mistake.
    """
    not_negative(community=community, total=total)
    require(total > 0, "there are no payments")
    part = cents(amount * rounded_fraction(community / total, percent_places))
    return part, amount - part


def converted_credit(home: SeparateHome) -> Decimal:
    """The owner's separate part on the day on which the home was put in joint title: a § 2640 credit from then on.

    `value_now` is the value on that day. Sources: Fam. Code §§ 2581, 2640; In re Marriage of Neal (1984)
    153 Cal.App.3d 117 (from memory).
    """
    return max(NOTHING, home_shares(home).separate)
