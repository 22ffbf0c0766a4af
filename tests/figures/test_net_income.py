"""The estimate of net income against tabulated households (I.R.C. §§ 1, 24, 32, 63, 3101; Rev. & Tax. Code § 17041; Fam. Code § 4059)."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from figures.rows import table
from hypothesis import given
from hypothesis import strategies as st

from msadraft.figures.income_tax import Household
from msadraft.figures.net_income import Deductions, monthly_pay, net_income
from msadraft.figures.support_amounts import ESTIMATE, SupportInputError, rounded

FILE = "net_income.yaml"
STATUSES = st.sampled_from(["single", "separate", "head_of_household", "joint"])


def household(row: dict[str, Any]) -> Household:
    return Household(int(row["year"]), row["status"], row["wages"], children_under_17=int(row["children"]), age=40)


@pytest.mark.parametrize("row", table(FILE, "households"))
def test_tabulated_households_to_the_cent(row: dict[str, Any]) -> None:
    found = net_income(household(row))
    nation, state = found.federal, found.california
    ours = {
        "before": nation.before_credits,
        "child": nation.child_credit,
        "refundable": nation.refundable_child_credit,
        "eitc": nation.earned_income_credit,
        "fica": found.payroll.fica,
        "additional": found.payroll.additional_medicare,
        "ca_before": state.before_credits,
        "ca_credits": state.exemption_credits,
        "ca_tax": state.tax,
        "sdi": found.disability_insurance,
        "net": found.monthly,
        "net_plus": found.with_refundable_credits,
    }
    assert {name: rounded(value) for name, value in ours.items()} == {name: row[name] for name in ours}


@pytest.mark.parametrize("row", table(FILE, "federal_2026"))
def test_federal_tax_of_2026_to_the_cent(row: dict[str, Any]) -> None:
    found = net_income(household(row))
    assert (rounded(found.federal.before_credits), rounded(found.payroll.fica)) == (row["before"], row["fica"])


def test_california_2026_uses_2025_and_says_so() -> None:
    found = net_income(Household(2026, "single", Decimal(60000)))
    assert found.california.tax == net_income(Household(2025, "single", Decimal(60000))).california.tax
    assert any("2026 is not in the data" in caution for caution in found.figure.cautions)
    assert found.disability_insurance == Decimal("780.00")
    assert not any(
        "not in the data" in c for c in net_income(Household(2025, "single", Decimal(60000))).figure.cautions
    )


@pytest.mark.parametrize("row", table(FILE, "pay_periods"))
def test_pay_periods(row: dict[str, Any]) -> None:
    assert monthly_pay(row["amount"], row["period"]) == row["month"]


def test_an_unknown_pay_period_is_refused() -> None:
    with pytest.raises(SupportInputError, match="biweekly"):
        monthly_pay(Decimal(1), "now and then")


def test_refundable_credits_are_a_choice() -> None:
    """Fam. Code § 4059(a) does not settle it; off unless chosen, and both are kept."""
    case = Household(2025, "head_of_household", Decimal(36000), children_under_17=1)
    off, on = net_income(case), net_income(case, refundable_credits=True)
    assert (off.monthly, on.monthly) == (Decimal("2734.50"), Decimal("3006.92"))
    assert (off.with_refundable_credits, on.without_refundable_credits) == (on.monthly, off.monthly)


def test_retirement_counts_in_place_of_fica_up_to_its_amount() -> None:
    """Fam. Code § 4059(b). Social Security on 60,000 is 3,720."""
    outside = Household(2025, "single", Decimal(60000), social_security=False)
    plain = net_income(outside)
    within, beyond = (
        net_income(outside, Deductions(retirement_in_place_of_fica=Decimal(amount))).monthly for amount in (1200, 9000)
    )
    assert plain.payroll.fica == 870
    assert (plain.monthly - within, plain.monthly - beyond) == (Decimal("100.00"), Decimal("310.00"))
    covered = net_income(replace(outside, social_security=True))
    assert (
        net_income(covered.household, Deductions(retirement_in_place_of_fica=Decimal(9000))).monthly == covered.monthly
    )


def test_other_deductions_come_off_in_full_and_untaxed_income_is_added() -> None:
    """Fam. Code §§ 4058, 4059(c)-(g)."""
    case = Household(2025, "single", Decimal(60000))
    taken = Deductions(*(Decimal(0), *[Decimal(120)] * 6))
    assert net_income(case, taken).monthly == net_income(case).monthly - 60
    assert net_income(case, untaxed=Decimal(1200)).monthly == net_income(case).monthly + 100


def test_what_is_taken_out_before_tax_lowers_tax() -> None:
    case = Household(2025, "single", Decimal(60000))
    premiums = net_income(replace(case, premiums_before_tax=Decimal(6000)))
    retirement = net_income(replace(case, retirement_before_tax=Decimal(6000)))
    assert premiums.payroll.fica == Decimal("4131.00")
    assert retirement.payroll.fica == Decimal("4590.00")
    assert premiums.federal.taxable == retirement.federal.taxable == 38250


def test_itemized_deductions_and_the_cap_on_state_taxes() -> None:
    """I.R.C. § 164(b)(6): 10,000 in 2024; 40,000 in 2025."""
    for year, taxable in ((2024, 235400), (2025, 225000)):
        found = net_income(Household(year, "single", Decimal(250000), state_and_local_taxes=Decimal(25000)))
        assert found.federal.taxable == taxable
    more = Household(
        2024, "single", Decimal(250000), itemized_federal=Decimal(20000), state_and_local_taxes=Decimal(25000)
    )
    assert net_income(more).federal.taxable == 220000
    state = net_income(replace(more, itemized_california=Decimal(20000))).california
    assert state.taxable == 230000


def test_high_income_loses_child_credits_by_steps_of_fifty() -> None:
    """I.R.C. § 24(b): 50 dollars for each 1,000 or part over 200,000."""
    used = [
        net_income(Household(2025, "single", Decimal(wages), children_under_17=1)).federal.child_credit
        for wages in (200000, 200001, 201000, 201001, 244000)
    ]
    assert used == [2200, 2150, 2150, 2100, 0]


def test_behavioral_health_tax() -> None:
    """Rev. & Tax. Code § 17043: one percent of taxable income over 1,000,000."""
    low, high = (
        net_income(Household(2025, "single", Decimal(1000000 + 5706 + extra))).california for extra in (0, 1000)
    )
    assert high.before_credits - low.before_credits == Decimal("133.00")


def test_self_employed() -> None:
    """I.R.C. §§ 1401, 1402, 164(f) (from memory): 15.3 percent of 92.35 percent, half deductible."""
    found = net_income(Household(2025, "single", self_employment=Decimal(80000)))
    assert rounded(found.payroll.fica) == Decimal("11303.64")
    assert rounded(found.federal.adjusted_gross) == Decimal("74348.18")
    assert net_income(Household(2025, "single", self_employment=Decimal(400))).payroll.fica == 0
    with_wages = net_income(Household(2025, "single", Decimal(176100), self_employment=Decimal(10000)))
    assert rounded(with_wages.payroll.self_employed) == Decimal(
        "267.82"
    )  # Medicare alone: the base is used up by wages


@pytest.mark.parametrize(
    ("case", "message"),
    [
        (Household(2027, "single", Decimal(1)), "2024 to 2026"),
        (Household(2025, "widowed", Decimal(1)), "filing status"),  # type: ignore[arg-type]
        (Household(2025, "single", Decimal(-1)), "wages is -1"),
        (Household(2025, "single", Decimal(1), children_under_17=-1), "children under 17"),
        (Household(2025, "single", Decimal("Infinity")), "not a number"),
    ],
)
def test_what_cannot_be_estimated_says_why(case: Household, message: str) -> None:
    with pytest.raises(SupportInputError, match=message):
        net_income(case)


@given(st.integers(2024, 2026), STATUSES, st.decimals(0, 2_000_000, places=2), st.integers(0, 6), st.integers(0, 3))
def test_more_wages_leave_more_net(year: int, status: Any, wages: Decimal, children: int, older: int) -> None:
    """Credits fall by steps, so a step of 1,000 dollars is compared: every tax together takes less than all of it."""
    less = Household(year, status, wages, children_under_17=children, older_children=older)
    more = replace(less, wages=wages + 1000)
    one, two = net_income(less), net_income(more)
    assert one.monthly < two.monthly
    assert 0 <= one.monthly <= rounded(wages / 12)
    assert one.federal.tax >= 0
    assert one.california.tax >= 0
    assert one.monthly <= one.with_refundable_credits


def test_the_estimate_says_that_it_is_one() -> None:
    """Fam. Code § 3830; Cal. Rules of Court, rule 5.275."""
    found = net_income(Household(2025, "head_of_household", Decimal(60000), children_under_17=1)).figure
    assert ESTIMATE in found.cautions
    assert any("estimated" in caution for caution in found.cautions)
    assert all(step.source for step in found.steps)
