"""Federal and California income tax, payroll taxes and state disability insurance of one household, by rate schedule.

Dollars a year, exact until a caller rounds. Real returns under 100,000 dollars of taxable income use printed tables in
steps, so a return can differ by a few dollars (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, Literal

from msadraft.figures.figure import Step
from msadraft.figures.support_amounts import SupportInputError, check_money, dollars, percent
from msadraft.law.parameters import LawNotKnownError, law, versions

Status = Literal["single", "separate", "head_of_household", "joint"]
FIRST_YEAR, LAST_YEAR = 2024, 2026
NOTHING = Fraction(0)
MOST_CHILDREN = 30


@dataclass(frozen=True, slots=True)
class Household:
    """What the taxes of one parent rest on, for one calendar year. Money: dollars a year.

    `joint` means a return with a spouse who has no income. `self_employment` is profit after expenses. `other_taxable` is
    income without payroll tax (interest, rent, pension). `older_children` are dependents who are 17 or older at the end of the
    year. `itemized_federal` leaves out state and local taxes, which stand in `state_and_local_taxes` and are
    capped; None in both means the standard deduction. `other_federal_deduction` comes beside the standard deduction.
    `retirement_before_tax` and `premiums_before_tax` lower taxable wages, the second also payroll taxes.
    `social_security` and `medicare`: whether wages are under each.
    """

    year: int
    status: Status
    wages: Decimal = Decimal(0)
    self_employment: Decimal = Decimal(0)
    other_taxable: Decimal = Decimal(0)
    children_under_17: int = 0
    older_children: int = 0
    age: int | None = None
    itemized_federal: Decimal | None = None
    state_and_local_taxes: Decimal | None = None
    itemized_california: Decimal | None = None
    other_federal_deduction: Decimal = Decimal(0)
    retirement_before_tax: Decimal = Decimal(0)
    premiums_before_tax: Decimal = Decimal(0)
    social_security: bool = True
    medicare: bool = True

    @property
    def day(self) -> date:
        """The last day of the tax year, on which status and ages are judged."""
        return date(self.year, 12, 31)

    @property
    def taxable_wages(self) -> Fraction:
        """Wages less what is taken out before income tax."""
        before = Fraction(self.retirement_before_tax) + Fraction(self.premiums_before_tax)
        return max(NOTHING, Fraction(self.wages) - before)

    @property
    def payroll_wages(self) -> Fraction:
        """Wages less premiums taken out before payroll taxes."""
        return max(NOTHING, Fraction(self.wages) - Fraction(self.premiums_before_tax))


@dataclass(frozen=True, slots=True)
class Payroll:
    """Payroll taxes. `self_employed` is without Additional Medicare Tax; half of it is deductible for income tax."""

    social_security: Fraction
    medicare: Fraction
    self_employed: Fraction
    additional_medicare: Fraction
    not_covered: Fraction
    steps: tuple[Step, ...]

    @property
    def fica(self) -> Fraction:
        """The employee's Social Security and Medicare tax, and the self-employed equivalent."""
        return self.social_security + self.medicare + self.self_employed


@dataclass(frozen=True, slots=True)
class FederalTax:
    """Federal income tax. `tax` is after credits that cannot be refunded."""

    adjusted_gross: Fraction
    taxable: Fraction
    before_credits: Fraction
    child_credit: Fraction
    refundable_child_credit: Fraction
    earned_income_credit: Fraction
    steps: tuple[Step, ...]

    @property
    def tax(self) -> Fraction:
        """Tax after credits that cannot be refunded."""
        return self.before_credits - self.child_credit


@dataclass(frozen=True, slots=True)
class CaliforniaTax:
    """California income tax, with the behavioral health tax. `rates_of` is the year whose schedule was used."""

    taxable: Fraction
    before_credits: Fraction
    exemption_credits: Fraction
    rates_of: int
    steps: tuple[Step, ...]

    @property
    def tax(self) -> Fraction:
        """Tax after exemption credits."""
        return self.before_credits - self.exemption_credits


def check(household: Household) -> None:
    """Refuse what cannot be worked with.

    Raises:
        SupportInputError: a year outside the data, an unknown status, a negative amount or count.
    """
    if not FIRST_YEAR <= household.year <= LAST_YEAR:
        raise SupportInputError(
            f"taxes of {household.year} are not in the data, which cover {FIRST_YEAR} to {LAST_YEAR}; "
            "give net disposable income instead of an estimate"
        )
    if household.status not in ("single", "separate", "head_of_household", "joint"):
        raise SupportInputError(
            f"{household.status!r} is not a filing status; use single, separate, head_of_household or joint"
        )
    amounts: Mapping[str, Decimal | None] = {
        "wages": household.wages,
        "profit from self-employment": household.self_employment,
        "other taxable income": household.other_taxable,
        "itemized deductions": household.itemized_federal,
        "state and local taxes": household.state_and_local_taxes,
        "California itemized deductions": household.itemized_california,
        "other federal deductions": household.other_federal_deduction,
        "retirement taken out before tax": household.retirement_before_tax,
        "premiums taken out before tax": household.premiums_before_tax,
    }
    for what, amount in amounts.items():
        if amount is not None:
            check_money(amount, what)
    for what, count in (
        ("children under 17", household.children_under_17),
        ("older children", household.older_children),
    ):
        if not 0 <= count <= MOST_CHILDREN:
            raise SupportInputError(f"the number of {what} is {count}; give 0 to {MOST_CHILDREN}")


def schedule_tax(taxable: Fraction, rates: list[Decimal], ends: list[Decimal]) -> Fraction:
    """Tax by a rate schedule: each rate on the part of the income inside its bracket."""
    tax, start = NOTHING, NOTHING
    for rate, end in zip(rates, [*ends, None], strict=True):
        top = taxable if end is None else min(taxable, Fraction(end))
        if top > start:
            tax += (top - start) * Fraction(rate) / 100
            start = top
    return tax


def payroll(household: Household) -> Payroll:
    """Social Security, Medicare and Additional Medicare Tax (I.R.C. §§ 1401, 1402, 3101)."""
    rule = law("tax/payroll_taxes", household.day).value
    wages, base = household.payroll_wages, Fraction(rule["base"])
    security_full = min(wages, base) * Fraction(rule["social_security"]) / 100
    medicare_full = wages * Fraction(rule["medicare"]) / 100
    security = security_full if household.social_security else NOTHING
    medicare = medicare_full if household.medicare else NOTHING
    earnings = Fraction(household.self_employment) * Fraction(rule["self_employed_part"]) / 100
    if earnings < Fraction(rule["self_employed_least"]):
        earnings = NOTHING
    room = max(NOTHING, base - (wages if household.social_security else NOTHING))
    own = (
        min(earnings, room) * Fraction(rule["self_employed_social_security"])
        + earnings * Fraction(rule["self_employed_medicare"])
    ) / 100
    over = Fraction(rule["additional_over"][household.status])
    covered = wages if household.medicare else NOTHING
    additional = max(NOTHING, covered + earnings - over) * Fraction(rule["additional_medicare"]) / 100
    steps = [
        Step(
            "Social Security",
            f"{percent(rule['social_security'])} × {dollars(min(wages, base))}",
            dollars(security),
            "I.R.C. § 3101(a)",
        ),
        Step("Medicare", f"{percent(rule['medicare'])} × {dollars(wages)}", dollars(medicare), "I.R.C. § 3101(b)(1)"),
    ]
    if earnings:
        steps.append(
            Step(
                "Self-employment tax",
                f"on {percent(rule['self_employed_part'])} of {dollars(household.self_employment)}",
                dollars(own),
                "I.R.C. §§ 1401, 1402 (from memory)",
            )
        )
    if additional:
        steps.append(
            Step(
                "Additional Medicare Tax",
                f"{percent(rule['additional_medicare'])} × ({dollars(covered + earnings)} - {dollars(over)})",
                dollars(additional),
                "I.R.C. § 3101(b)(2)",
            )
        )
    not_covered = security_full - security + medicare_full - medicare
    return Payroll(security, medicare, own, additional, not_covered, tuple(steps))


def federal(household: Household, taxes: Payroll) -> FederalTax:
    """Federal income tax and its credits for children and earned income (I.R.C. §§ 1, 24, 32, 63)."""
    day, status = household.day, household.status
    earned_self = Fraction(household.self_employment) - taxes.self_employed / 2
    adjusted = max(NOTHING, household.taxable_wages + Fraction(household.other_taxable) + earned_self)
    deduction, deduction_step = _federal_deduction(household)
    taxable = max(NOTHING, adjusted - deduction - Fraction(household.other_federal_deduction))
    brackets = law("tax/federal_income_tax", day).value
    before = schedule_tax(taxable, brackets["rates"], brackets[status])
    earned = household.taxable_wages + max(NOTHING, earned_self)
    nonrefundable, refundable, credit_steps = _child_credits(household, adjusted, earned, before)
    earned_credit = _earned_income_credit(household, adjusted, earned)
    steps = [
        Step(
            "Federal adjusted gross income",
            "taxable income less half of the self-employment tax",
            dollars(adjusted),
            "I.R.C. §§ 62, 164(f)",
        ),
        deduction_step,
        Step(
            "Federal tax before credits",
            f"schedule of {household.year}, {_words(status)}, on {dollars(taxable)}",
            dollars(before),
            "I.R.C. § 1",
        ),
        *credit_steps,
    ]
    if earned_credit:
        steps.append(
            Step("Earned income credit", f"earned income {dollars(earned)}", dollars(earned_credit), "I.R.C. § 32")
        )
    return FederalTax(adjusted, taxable, before, nonrefundable, refundable, earned_credit, tuple(steps))


def california(household: Household, adjusted: Fraction) -> CaliforniaTax:
    """California income tax on the federal adjusted gross income, after exemption credits (Rev. & Tax. Code §§ 17041, 17054).

    A year whose schedule is not in the data takes the latest one before it; `rates_of` says which.
    """
    status = household.status
    brackets, rates_of = _latest("tax/california_income_tax", household.day)
    amounts, _ = _latest("tax/california_deductions", household.day)
    standard = Fraction(amounts["standard"][status])
    itemized = household.itemized_california
    deduction = max(standard, Fraction(itemized)) if itemized is not None else standard
    taxable = max(NOTHING, adjusted - deduction)
    extra = brackets["behavioral_health"]
    before = schedule_tax(taxable, brackets["rates"], brackets[status])
    before += max(NOTHING, taxable - Fraction(extra["over"])) * Fraction(extra["percent"]) / 100
    over = max(NOTHING, adjusted - Fraction(amounts["income_over"][status]))
    lost = math.ceil(over / Fraction(amounts["lost_for_each"][status])) * Fraction(amounts["lost"])
    personal = (2 if status == "joint" else 1) * max(NOTHING, Fraction(amounts["personal_credit"]) - lost)
    dependents = household.children_under_17 + household.older_children
    credits = min(before, personal + dependents * max(NOTHING, Fraction(amounts["dependent_credit"]) - lost))
    steps = (
        Step(
            "California taxable income",
            f"{dollars(adjusted)} - {dollars(deduction)}",
            dollars(taxable),
            "Rev. & Tax. Code § 17073.5",
        ),
        Step(
            "California tax before credits",
            f"schedule of {rates_of}, {_words(status)}, on {dollars(taxable)}",
            dollars(before),
            "Rev. & Tax. Code § 17041",
        ),
        Step(
            "California exemption credits",
            f"own credit and {dependents} dependent(s), at most the tax",
            dollars(credits),
            "Rev. & Tax. Code § 17054",
        ),
    )
    return CaliforniaTax(taxable, before, credits, rates_of, steps)


def disability_insurance(household: Household) -> tuple[Fraction, Step]:
    """State disability insurance on wages, without a cap since 2024 (Unemp. Ins. Code §§ 984, 985(b))."""
    rate = law("tax/disability_insurance", household.day).number
    amount = household.payroll_wages * Fraction(rate) / 100
    step = Step(
        "State disability insurance",
        f"{percent(rate)} × {dollars(household.payroll_wages)}",
        dollars(amount),
        "Unemp. Ins. Code §§ 984, 985(b)",
    )
    return amount, step


def _words(status: Status) -> str:
    return {
        "separate": "married filing separately",
        "joint": "married filing jointly",
        "head_of_household": "head of household",
    }.get(status, status)


def _latest(name: str, day: date) -> tuple[Any, int]:
    """The version of a day, or the latest one before it, and its year."""
    try:
        found = law(name, day)
    except LawNotKnownError:
        found = versions(name)[-1]
    return found.value, found.in_force_from.year


def _federal_deduction(household: Household) -> tuple[Fraction, Step]:
    rule = law("tax/federal_deductions", household.day).value
    standard = Fraction(rule["standard"][household.status])
    if household.itemized_federal is None and household.state_and_local_taxes is None:
        return standard, Step("Federal standard deduction", _words(household.status), dollars(standard), "I.R.C. § 63")
    cap = Fraction(rule["state_and_local_cap"][household.status])
    local = min(cap, Fraction(household.state_and_local_taxes or 0))
    itemized = Fraction(household.itemized_federal or 0) + local
    return max(standard, itemized), Step(
        "Federal deduction",
        f"the larger of {dollars(standard)} and {dollars(itemized)}, state and local taxes capped at {dollars(cap)}",
        dollars(max(standard, itemized)),
        "I.R.C. §§ 63, 164(b)(6)",
    )


def _child_credits(
    household: Household, adjusted: Fraction, earned: Fraction, before: Fraction
) -> tuple[Fraction, Fraction, list[Step]]:
    rule = law("tax/federal_child_credits", household.day).value
    full = household.children_under_17 * Fraction(rule["child"]) + household.older_children * Fraction(
        rule["other_dependent"]
    )
    if not full:
        return NOTHING, NOTHING, []
    over = max(NOTHING, adjusted - Fraction(rule["income_over"][household.status]))
    lost = math.ceil(over / Fraction(rule["lost_for_each"])) * Fraction(rule["lost"])
    credit = max(NOTHING, full - lost)
    used = min(credit, before)
    by_earnings = max(NOTHING, earned - Fraction(rule["earned_over"])) * Fraction(rule["refundable_percent"]) / 100
    refundable = min(credit - used, household.children_under_17 * Fraction(rule["refundable_each"]), by_earnings)
    steps = [
        Step(
            "Credits for children and dependents",
            f"{dollars(full)} - {dollars(min(full, lost))} for high income",
            dollars(credit),
            "I.R.C. § 24",
        ),
        Step(
            "Credit used against the tax",
            f"the lesser of {dollars(credit)} and {dollars(before)}",
            dollars(used),
            "I.R.C. § 24",
        ),
    ]
    if refundable:
        steps.append(
            Step(
                "Refundable child credit",
                f"at most {dollars(by_earnings)} by earnings",
                dollars(refundable),
                "I.R.C. § 24(d), (h)(5)",
            )
        )
    return used, refundable, steps


def _earned_income_credit(household: Household, adjusted: Fraction, earned: Fraction) -> Fraction:
    """The earned income credit; none without children at an unknown or unfitting age.

    None for a separate return: the exception for some separated spouses (I.R.C. § 32(d)(2), from memory) is left out.
    """
    rule = law("tax/federal_earned_income_credit", household.day).value
    n = min(household.children_under_17 + household.older_children, len(rule["most"]) - 1)
    if household.status == "separate":
        return NOTHING
    youngest, oldest = rule["childless_age"]
    if n == 0 and (household.age is None or not youngest <= household.age <= oldest):
        return NOTHING
    most = Fraction(rule["most"][n])
    grown = min(most, earned * Fraction(rule["phase_in"][n]) / 100)
    start = Fraction(rule["income_over"][n]) + (Fraction(rule["joint_adds"][n]) if household.status == "joint" else 0)
    over = max(NOTHING, max(adjusted, earned) - start)
    return min(grown, max(NOTHING, most - over * Fraction(rule["phase_out"][n]) / 100))
