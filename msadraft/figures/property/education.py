"""Community money spent on the education of one spouse (Fam. Code § 2641).

Each year's sum bears simple interest at the legal rate from the end of its calendar year, by actual days over 365
(common practice), rounded to the cent for each year's line. Ordinary living expenses do not count. Loans that are
still owed go to the spouse who was educated, without offset.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.figure import Figure, Step
from msadraft.figures.property.interest import rate_on, simple_interest
from msadraft.figures.property.working import (
    HUNDRED,
    NOTHING,
    cents,
    halves,
    money,
    not_negative,
    other,
    percent,
    require,
)
from msadraft.law.parameters import law

SECTION = "Fam. Code § 2641(b)(1)"
Presumption = Literal["not_benefited", "benefited", "none"]


@dataclass(frozen=True, slots=True)
class SchoolPayment:
    """Community money paid in one calendar year for tuition, fees, books, or a loan for them."""

    year: int
    amount: Decimal
    paid_on: date | None = None


@dataclass(frozen=True, slots=True)
class SchoolLine:
    """One payment with its interest, and what is presumed about the community's benefit."""

    payment: SchoolPayment
    interest: Decimal
    presumption: Presumption


@dataclass(frozen=True, slots=True)
class EducationClaim:
    """The result. `total` is owed to the community by `educated`; the other spouse's half is `half`.

    `total_other_reading` is the total at the other reading of the legal rate; None where a rate was given.
    """

    educated: PartyRole
    lines: tuple[SchoolLine, ...]
    total: Decimal
    half: Decimal
    total_other_reading: Decimal | None
    figure: Figure

    @property
    def due_to(self) -> PartyRole:
        """Who is paid the half."""
        return other(self.educated)


def education(
    educated: PartyRole,
    payments: Sequence[SchoolPayment],
    divided_on: date,
    *,
    petition_filed_on: date | None = None,
    rate: Decimal | None = None,
    reduced_by_percent: Decimal = NOTHING,
    reason: str = "",
) -> EducationClaim:
    """Work out what is reimbursed.

    Args:
        rate: the legal rate as a fraction; by default the dated parameter `property/legal_rate`.
        petition_filed_on: for the ten-year presumptions; without it none is stated.
        reduced_by_percent: a reduction because full repayment would be unjust (Fam. Code § 2641(c)); needs a reason.

    Raises:
        InputError: a negative amount, a payment after the division or on a day of another year, a reduction without a reason.
    """
    not_negative(
        **{f"payment_of_{p.year}": p.amount for p in payments}, reduced_by_percent=reduced_by_percent, rate=rate
    )
    require(reduced_by_percent <= HUNDRED, "a reduction is above one hundred percent")
    require(not reduced_by_percent or bool(reason.strip()), "a reduction needs a reason")
    yearly = rate_on("property/legal_rate", divided_on) if rate is None else rate
    second = rate_on("property/legal_rate_alternative", divided_on)
    at_second = NOTHING
    lines: list[SchoolLine] = []
    steps: list[Step] = []
    for payment in payments:
        require(
            1900 <= payment.year <= divided_on.year,
            f"the payment of {payment.year} lies after the division ({divided_on})",
        )
        require(
            payment.paid_on is None or payment.paid_on.year == payment.year,
            f"the payment of {payment.year} is dated {payment.paid_on}",
        )
        require(
            payment.paid_on is None or payment.paid_on <= divided_on,
            f"the payment of {payment.paid_on} lies after the division ({divided_on})",
        )
        year_end = date(payment.year, 12, 31)
        days = max(0, (divided_on - year_end).days)
        interest = simple_interest(payment.amount, yearly, days)
        at_second += payment.amount + simple_interest(payment.amount, second, days)
        lines.append(SchoolLine(payment, interest, presumption(payment, petition_filed_on)))
        steps.append(
            Step(
                f"Paid in {payment.year}",
                f"{money(payment.amount)} + {money(payment.amount)} × {percent(yearly, 2)} × {days} ÷ 365",
                money(payment.amount + interest),
                SECTION,
            )
        )
    full = sum((line.payment.amount + line.interest for line in lines), NOTHING)
    cut = cents(full * reduced_by_percent / HUNDRED)
    total = full - cut
    if cut:
        steps.append(
            Step(
                "Reduced",
                f"{money(full)} × {reduced_by_percent}%: {reason.strip()}",
                money(total),
                "Fam. Code § 2641(c)",
            )
        )
    half = halves(total)[1]
    steps.append(Step("Other spouse's half", f"{money(total)} ÷ 2", money(half), "Fam. Code § 2550"))
    other_reading = None if rate is not None else at_second - cents(at_second * reduced_by_percent / HUNDRED)
    cautions = []
    if other_reading is not None:
        source = law("property/legal_rate_alternative", divided_on).source
        cautions.append(
            f"The statute does not define the legal rate. At {percent(second, 0)} ({source}) the total would be {money(other_reading)}; agree on a rate."
        )
    if any(line.presumption == "benefited" for line in lines):
        cautions.append(
            "A contribution lies more than ten years before the case: the community is presumed to have benefited (Fam. Code § 2641(c)(1))."
        )
    if any(line.presumption == "not_benefited" for line in lines):
        cautions.append(
            "A contribution lies less than ten years before the case: the community is presumed not to have benefited (Fam. Code § 2641(c)(1))."
        )
    if petition_filed_on and any(line.presumption == "none" for line in lines):
        cautions.append(
            "For a contribution it cannot be said whether it lies more or less than ten years before the case; enter its day."
        )
    return EducationClaim(
        educated,
        tuple(lines),
        total,
        half,
        other_reading,
        Figure("education contributions", total, "dollars", tuple(steps), (), tuple(cautions)),
    )


def presumption(payment: SchoolPayment, petition_filed_on: date | None) -> Presumption:
    """What is presumed by the time between the contribution and the case; exactly ten years: neither.

    Without a day of payment the whole calendar year has to lie on one side of the line.
    """
    if petition_filed_on is None:
        return "none"
    years = int(law("property/education_presumption", petition_filed_on).number)
    try:
        line = petition_filed_on.replace(year=petition_filed_on.year - years)
    except ValueError:
        line = date(petition_filed_on.year - years, 3, 1)
    first = payment.paid_on or date(payment.year, 1, 1)
    last = payment.paid_on or date(payment.year, 12, 31)
    if first > line:
        return "not_benefited"
    return "benefited" if last < line else "none"
