"""An estimate of net monthly disposable income for guideline support (Fam. Code §§ 4058-4060), tax years 2024 to 2026.

A net income from certified software or a return is better, and always goes before this one. Spousal support between the
same two parents is left out (§ 4059(a), (e)). Taxes are those actually payable, not what is withheld.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from msadraft.figures.figure import Figure, Step
from msadraft.figures.income_tax import (
    NOTHING,
    CaliforniaTax,
    FederalTax,
    Household,
    Payroll,
    california,
    check,
    disability_insurance,
    federal,
    payroll,
)
from msadraft.figures.support_amounts import ESTIMATE, SupportInputError, check_money, dollars, rounded

MONTHS = 12
HIGH_CAP_SINCE = 2025
"""First year of the higher cap on state and local taxes (Pub. L. 119-21)."""
A_YEAR: dict[str, int] = {
    "weekly": 52, "biweekly": 26, "every two weeks": 26, "semimonthly": 24, "twice a month": 24, "monthly": 12,
    "quarterly": 4, "yearly": 1, "annually": 1, "a week": 52, "a month": 12, "a year": 1,
}  # fmt: skip
"""Pay periods in a year."""

TAX_ESTIMATE = (
    "Net income is estimated from tax rate schedules with the facts given, not taken from a return or certified software; "
    "a real return can differ."
)


@dataclass(frozen=True, slots=True)
class Deductions:
    """The other deductions of Fam. Code § 4059(b)-(g), dollars a year.

    `retirement_in_place_of_fica` counts up to the FICA that is not due. `mandatory_retirement` and `union_dues` count only if
    required for the job; voluntary savings do not. `support_for_others` must be proved.
    """

    retirement_in_place_of_fica: Decimal = Decimal(0)
    union_dues: Decimal = Decimal(0)
    mandatory_retirement: Decimal = Decimal(0)
    health_premiums: Decimal = Decimal(0)
    support_for_others: Decimal = Decimal(0)
    job_expenses: Decimal = Decimal(0)
    hardship: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class NetIncome:
    """The estimate. `monthly` is what the guideline uses; `with_refundable_credits` is the same with refundable federal credits.

    Which of the two counts is not settled by § 4059(a), so both are kept and the figure says which was chosen.
    """

    household: Household
    payroll: Payroll
    federal: FederalTax
    california: CaliforniaTax
    disability_insurance: Fraction
    monthly: Decimal
    without_refundable_credits: Decimal
    with_refundable_credits: Decimal
    figure: Figure


def monthly_pay(amount: Decimal, period: str) -> Decimal:
    """Turn pay for one period into dollars a month: biweekly × 26 / 12, and so on (Fam. Code § 4060).

    Raises:
        SupportInputError: an unknown period.
    """
    times = A_YEAR.get(period.strip().lower())
    if times is None:
        raise SupportInputError(f"{period!r} is not a pay period that is known here; use one of {', '.join(A_YEAR)}")
    return rounded(Fraction(amount) * times / MONTHS)


def net_income(
    household: Household,
    deductions: Deductions | None = None,
    *,
    untaxed: Decimal = Decimal(0),
    refundable_credits: bool = False,
) -> NetIncome:
    """Estimate net monthly disposable income.

    Args:
        household: income and tax facts, by the year.
        deductions: the other deductions of § 4059.
        untaxed: income that counts for support and is not taxed, such as workers' compensation, dollars a year.
        refundable_credits: count the refundable child credit and the earned income credit. Off unless chosen.

    Raises:
        SupportInputError: a year without data, a negative amount.
    """
    check(household)
    check_money(untaxed, "untaxed income")
    taken = deductions or Deductions()
    taxes = payroll(household)
    nation = federal(household, taxes)
    state = california(household, nation.adjusted_gross)
    insurance, insurance_step = disability_insurance(household)
    gross = sum(map(Fraction, (household.wages, household.self_employment, household.other_taxable, untaxed)), NOTHING)
    others = _other_deductions(taken, taxes)
    deducted = (
        nation.tax + taxes.fica + taxes.additional_medicare + state.tax + insurance + sum(others.values(), NOTHING)
    )
    plain = (gross - deducted) / MONTHS
    full = plain + (nation.refundable_child_credit + nation.earned_income_credit) / MONTHS
    chosen = full if refundable_credits else plain
    steps = (
        Step("Gross income", "wages, profit, other and untaxed income of the year", dollars(gross), "Fam. Code § 4058"),
        *taxes.steps,
        *nation.steps,
        *state.steps,
        insurance_step,
        *(Step(what, "as given", dollars(amount), source) for (what, source), amount in others.items() if amount),
        Step(
            "Refundable federal credits",
            "counted" if refundable_credits else "not counted; the law does not settle it",
            dollars(nation.refundable_child_credit + nation.earned_income_credit),
            "Fam. Code § 4059(a)",
        ),
        Step(
            "Net monthly disposable income",
            f"({dollars(gross)} - {dollars(gross - chosen * MONTHS)}) / 12",
            dollars(chosen),
            "Fam. Code §§ 4059, 4060",
        ),
    )
    figure = Figure(
        "Net disposable income, estimated",
        rounded(chosen),
        "dollars a month",
        steps,
        cautions=_cautions(household, state),
    )
    return NetIncome(household, taxes, nation, state, insurance, rounded(chosen), rounded(plain), rounded(full), figure)


def _other_deductions(taken: Deductions, taxes: Payroll) -> dict[tuple[str, str], Fraction]:
    amounts = {
        ("Retirement in place of FICA, up to its amount", "Fam. Code § 4059(b)"): taken.retirement_in_place_of_fica,
        ("Mandatory union dues", "Fam. Code § 4059(c)"): taken.union_dues,
        ("Mandatory retirement", "Fam. Code § 4059(c)"): taken.mandatory_retirement,
        ("Health premiums", "Fam. Code § 4059(d)"): taken.health_premiums,
        ("Support for persons outside this order", "Fam. Code § 4059(e)"): taken.support_for_others,
        ("Job expenses allowed by the court", "Fam. Code § 4059(f)"): taken.job_expenses,
        ("Hardship", "Fam. Code §§ 4059(g), 4070-4073"): taken.hardship,
    }
    for (what, _), amount in amounts.items():
        check_money(amount, what[0].lower() + what[1:])
    found = {name: Fraction(amount) for name, amount in amounts.items()}
    first = next(iter(found))
    found[first] = min(found[first], taxes.not_covered)
    return found


def _cautions(household: Household, state: CaliforniaTax) -> tuple[str, ...]:
    found = [ESTIMATE, TAX_ESTIMATE]
    if state.rates_of != household.year:
        found.append(
            f"California's schedule for {household.year} is not in the data: the one for {state.rates_of} was used, so the tax "
            "is a little too high."
        )
    if household.status == "joint":
        found.append("A joint return is worked out as if the spouse had no income.")
    if household.status == "head_of_household":
        found.append("Only one parent can be head of household for the same child, and equal time does not divide it.")
    if household.self_employment:
        found.append("The federal deduction for business income is not worked out; give it as another deduction.")
    if household.other_taxable:
        found.append(
            "California does not tax some income that is taxed federally, such as unemployment and Social Security benefits."
        )
    if household.state_and_local_taxes is not None and household.year >= HIGH_CAP_SINCE:
        found.append("At high incomes the cap on state and local taxes falls (from memory); this is not worked out.")
    return tuple(found)
