"""After the separation: payments on community debts with separate money, and use of a community asset by one spouse.

Whole amounts are worked out between the spouse and the community; they are halved once, at the end.
Sources: In re Marriage of Epstein (1979) 24 Cal.3d 76; In re Marriage of Watts (1985) 171 Cal.App.3d 366;
In re Marriage of Jeffries (1991) 228 Cal.App.3d 548; Fam. Code § 2626. Dollars, rounded once, half a cent up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.figure import Figure, Step
from msadraft.figures.property.working import NOTHING, cents, halves, money, not_negative, number, other

EPSTEIN = "In re Marriage of Epstein (1979) 24 Cal.3d 76"
WATTS = "In re Marriage of Watts (1985) 171 Cal.App.3d 366"
JEFFRIES = "In re Marriage of Jeffries (1991) 228 Cal.App.3d 548"
COOPER = "In re Marriage of Cooper (2016) 247 Cal.App.4th 983"


@dataclass(frozen=True, slots=True)
class Payment:
    """A payment after the separation.

    Attributes:
        whose_debt: the community's, the payer's own, or the other spouse's own.
        not_repaid: why nothing is due for it, if so: agreed, a gift, or paid in place of support.
    """

    by: PartyRole
    amount: Decimal
    money_used: Literal["separate", "community"] = "separate"
    whose_debt: Literal["community", "own", "other"] = "community"
    not_repaid: Literal["agreed", "gift", "support"] | None = None
    what: str = ""


@dataclass(frozen=True, slots=True)
class Use:
    """Use of a community asset by one spouse alone: its value a month, and for how many months."""

    by: PartyRole
    monthly_value: Decimal
    months: Decimal
    what: str = ""


@dataclass(frozen=True, slots=True)
class Account:
    """What comes out. The whole sums are between each spouse and the community; `due` is between the spouses.

    `direct` is what the respondent owes the petitioner whole (below zero: the other way round). `due` is never negative; `payer` is None if nothing is due. `charge` and `credit` go into the equalization whole
    (see `equalize`), or `due` is paid on its own: never both.
    """

    charge_petitioner: Decimal
    charge_respondent: Decimal
    credit_petitioner: Decimal
    credit_respondent: Decimal
    direct: Decimal
    due: Decimal
    payer: PartyRole | None
    figure: Figure

    @property
    def due_to(self) -> PartyRole | None:
        """Who is paid."""
        return other(self.payer) if self.payer else None


def account(payments: Sequence[Payment], uses: Sequence[Use]) -> Account:
    """Settle payments and use after the separation.

    Args:
        payments: monthly payments may be given one by one or summed.

    Raises:
        InputError: a negative amount.
    """
    not_negative(
        **{f"payment_{i}": p.amount for i, p in enumerate(payments, 1)},
        **{f"value_of_use_{i}": u.monthly_value for i, u in enumerate(uses, 1)},
        **{f"months_of_use_{i}": u.months for i, u in enumerate(uses, 1)},
    )
    charge: dict[PartyRole, Decimal] = {"petitioner": NOTHING, "respondent": NOTHING}
    credit: dict[PartyRole, Decimal] = {"petitioner": NOTHING, "respondent": NOTHING}
    direct: dict[PartyRole, Decimal] = {"petitioner": NOTHING, "respondent": NOTHING}
    steps: list[Step] = []
    cautions: list[str] = []
    for use in uses:
        value = cents(use.monthly_value * use.months)
        charge[use.by] += value
        steps.append(
            Step(
                f"Use by the {use.by} {use.what}".rstrip(),
                f"{money(use.monthly_value)} × {number(use.months)} months",
                money(value),
                WATTS,
            )
        )
    for payment in payments:
        what = f"Paid by the {payment.by} {payment.what}".rstrip()
        if payment.money_used == "community" or payment.not_repaid or payment.whose_debt == "own":
            steps.append(Step(what, money(payment.amount), f"nothing due: {_why(payment)}", EPSTEIN))
            if payment.money_used == "community" and payment.whose_debt == "own":
                charge[payment.by] += payment.amount
                steps.append(
                    Step(
                        f"{what}: community money for an own debt",
                        money(payment.amount),
                        "owed to the community",
                        "Fam. Code § 2626",
                    )
                )
        elif payment.whose_debt == "other":
            direct[payment.by] += payment.amount
            steps.append(
                Step(
                    what,
                    money(payment.amount),
                    "due whole from the other spouse, whose debt it was",
                    "Fam. Code § 2626",
                )
            )
        else:
            credit[payment.by] += payment.amount
            steps.append(Step(what, money(payment.amount), "owed by the community", EPSTEIN))
    for party in charge:
        if credit[party] and not charge[party] and uses:
            cautions.append(
                f"The {party} is credited but not charged for use; credits and charges belong to the same months ({COOPER})."
            )
        if charge[party] and credit[party] and credit[party] <= charge[party]:
            cautions.append(
                f"The {party}'s payments are not more than the value of use, so that they may earn no credit of their own; they are set off here ({JEFFRIES})."
            )
    whole = (charge["petitioner"] - credit["petitioner"]) - (charge["respondent"] - credit["respondent"])
    half = halves(abs(whole))[0]
    between = (half if whole >= 0 else -half) - direct["petitioner"] + direct["respondent"]
    payer: PartyRole | None = "petitioner" if between > 0 else "respondent" if between < 0 else None
    steps.append(
        Step("Net owed to the community, petitioner less respondent", _net(charge, credit), money(whole), JEFFRIES)
    )
    steps.append(
        Step(
            "Due between the spouses",
            f"{money(whole)} ÷ 2, then what is due whole",
            money(abs(between)),
            "Fam. Code § 2550",
        )
    )
    figure = Figure("post-separation payments and use", abs(between), "dollars", tuple(steps), (), tuple(cautions))
    return Account(
        charge["petitioner"], charge["respondent"], credit["petitioner"], credit["respondent"],
        direct["petitioner"] - direct["respondent"], abs(between), payer, figure,
    )  # fmt: skip


def _why(payment: Payment) -> str:
    if payment.money_used == "community":
        return "it was community money"
    if payment.whose_debt == "own":
        return "it was the payer's own debt"
    return {"agreed": "so agreed", "gift": "a gift was meant", "support": "it stood for support"}[
        payment.not_repaid or "agreed"
    ]


def _net(charge: dict[PartyRole, Decimal], credit: dict[PartyRole, Decimal]) -> str:
    return " − ".join(f"({money(charge[p])} − {money(credit[p])})" for p in charge)


def occupancy(occupant: PartyRole, monthly_value: Decimal, months: Decimal, monthly_payment: Decimal) -> Account:
    """The common case: one spouse stayed in the home and paid its community debts with separate money."""
    not_negative(monthly_payment=monthly_payment, months=months)
    return account([Payment(occupant, cents(monthly_payment * months))], [Use(occupant, monthly_value, months)])
