"""Federal tax of the estimator against Tax-Calculator, an open tax model: an extra for tests, run with -m slow."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from msadraft.figures.income_tax import Household
from msadraft.figures.net_income import net_income
from msadraft.figures.support_amounts import rounded

pytestmark = pytest.mark.slow

MARITAL = {"single": 1, "joint": 2, "separate": 3, "head_of_household": 4}
ALWAYS_CLAIMED = {"eitc_claim_prob_scale": {2024: 9e99}, "actc_claim_prob_scale": {2024: 9e99}}
"""The model otherwise draws at random who claims a refundable credit."""

LEFT_OUT = {"PT_qbid_rt": {2024: 0.0}, "PT_qbid_min_ded": {2026: 0.0}, "EITC_sep_filers_elig": {2024: False}}
"""Rules that the estimator leaves out, and says so: the business income deduction, and the earned income credit of some
separated spouses."""
STEP = Decimal(50)
"""The credit falls by 50 dollars for each 1,000 or part (I.R.C. § 24(b)); the model takes 5 percent of the excess, which is up
to one step less."""

CASES = [
    Household(
        2024,
        status,
        Decimal(wages),
        self_employment=Decimal(profit),
        children_under_17=children,
        older_children=older,
        age=40,
    )
    for status in ("single", "joint", "separate", "head_of_household")
    for wages in (0, 9_000, 22_000, 36_000, 60_000, 110_000, 180_000, 245_000, 430_000, 800_000)
    for children, older in ((0, 0), (1, 0), (2, 1), (3, 0))
    for profit in (0, 30_000)
    if not (status == "head_of_household" and children == 0)
]


@pytest.mark.parametrize("year", [2024, 2025, 2026])
def test_federal_tax_and_credits_agree(year: int) -> None:
    model = pytest.importorskip("taxcalc", reason="Tax-Calculator is not installed; it is an extra for this test alone")
    import pandas as pd

    rows = [_record(n, year, case) for n, case in enumerate(CASES, 1)]
    policy = model.Policy()
    policy.implement_reform(ALWAYS_CLAIMED)
    policy.implement_reform(LEFT_OUT)
    records = model.Records(data=pd.DataFrame(rows), start_year=year, gfactors=None, weights=None)
    calculator = model.Calculator(policy=policy, records=records, verbose=False)
    calculator.advance_to_year(year)
    calculator.calc_all()
    names = ["c00100", "c04800", "c05800", "c07220", "odc", "c11070", "eitc", "ptax_was", "setax", "ptax_amc"]
    theirs = calculator.dataframe(names)
    wrong = []
    for case, (_, row) in zip(CASES, theirs.iterrows(), strict=True):
        found = net_income(replace(case, year=year))
        nation, taxes = found.federal, found.payroll
        ours = {
            "agi": nation.adjusted_gross,
            "taxable": nation.taxable,
            "tax": nation.before_credits,
            "child credits": nation.child_credit,
            "refundable": nation.refundable_child_credit,
            "eitc": nation.earned_income_credit,
            "fica": taxes.social_security + taxes.medicare,
            "self-employed": taxes.self_employed,
            "additional": taxes.additional_medicare,
        }
        model_says = (
            row.c00100, row.c04800, row.c05800, row.c07220 + row.odc, row.c11070, row.eitc, row.ptax_was / 2, row.setax, row.ptax_amc,
        )  # fmt: skip
        for (what, mine), other in zip(ours.items(), model_says, strict=True):
            gap = Decimal(str(round(float(other), 4))) - rounded(mine, 4)
            phased_out = what == "child credits" and 0 < nation.child_credit < min(
                _full_credit(year, case), nation.before_credits
            )
            if not (0 <= gap < STEP if phased_out else abs(gap) <= Decimal("0.01")):
                wrong.append((case, what, rounded(mine), float(other)))
    assert wrong == [], wrong[:5]


def _full_credit(year: int, case: Household) -> int:
    return case.children_under_17 * (2000 if year == 2024 else 2200) + case.older_children * 500


def _record(n: int, year: int, case: Household) -> dict[str, Any]:
    children, older = case.children_under_17, case.older_children
    joint = case.status == "joint"
    return {
        "RECID": n, "FLPDYR": year, "MARS": MARITAL[case.status], "XTOT": 1 + joint + children + older,
        "e00200": float(case.wages), "e00200p": float(case.wages), "e00200s": 0.0,
        "e00900": float(case.self_employment), "e00900p": float(case.self_employment), "e00900s": 0.0,
        "age_head": 40, "age_spouse": 40 if joint else 0, "n24": children, "nu18": children + older, "nu13": 0,
        "EIC": min(children + older, 3), "n21": 1 + joint,
    }  # fmt: skip
