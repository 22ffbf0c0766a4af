"""A case that straddles a change of the law: the nearest days on both sides of each change."""

from __future__ import annotations

from typing import Any

import pytest
from review.cases import CHILD, DROP, clause, hits, paths, review, rules_of, struck

from msadraft.review import changing_law

NEW_FORMULA: dict[str, Any] = {
    **CHILD,
    "case.signing_on": "2024-09-20",
    "child_support.guideline_on": "2024-09-10",
    "child_support.starts_on": "2024-10-01",
}
"""Child support decided under the formula in force from 1 September 2024."""

INPUTS = "child_support.guideline_inputs"
LOW: dict[str, Any] = {
    **CHILD,
    INPUTS: {"petitioner_net": "2000", "respondent_net": "2600", "respondent_time_percent": "20"},
    "child_support.starts_on": "2026-12-01",
}
"""The payer's net income is under the threshold of 2026, 16.90 dollars × 40 × 52 / 12 = 2,929.33."""


def net(amount: str) -> dict[str, Any]:
    return {f"{INPUTS}.respondent_net": amount}


ESTIMATED: dict[str, Any] = {
    **CHILD,
    "petitioner.gross_monthly_income": "4000",
    "respondent.gross_monthly_income": "6000",
    f"{INPUTS}": {"respondent_time_percent": "40"},
    "child_support.starts_on": "2026-12-01",
}
SUPPORTED: dict[str, Any] = {
    "spousal_support.to_petitioner": {"outcome": "payable", "amount": "900.00"},
    "case.signing_on": "2025-12-15",
}
TO_PETITIONER = "spousal_support.to_petitioner"


def start(day: str) -> dict[str, Any]:
    return {"child_support.starts_on": day}


def back_to(day: str) -> dict[str, Any]:
    return {"child_support.retroactive_from": day}


def signed(one: str, other: str) -> dict[str, Any]:
    return {"petitioner.signed_on": one, "respondent.signed_on": other}


TABLE: list[tuple[str, list[dict[str, Any]], list[str]]] = [
    ("law.support_rule", [NEW_FORMULA], []),
    ("law.support_rule", [NEW_FORMULA, back_to("2024-09-01")], []),
    ("law.support_rule", [NEW_FORMULA, back_to("2024-08-31")], ["child_support.retroactive_from"]),
    (
        "law.support_rule",
        [NEW_FORMULA, {"child_support.guideline_on": "2024-08-31"}],
        ["child_support.guideline_on"],
    ),
    ("law.support_rule", [NEW_FORMULA, {"case.signing_on": "2024-08-31"}], ["child_support.guideline_on", "child_support.starts_on"]),
    ("law.support_rule", [NEW_FORMULA, back_to("2024-08-31"), {"child_support.mode": "reserved"}], []),
    ("law.minimum_wage", [LOW], []),
    ("law.minimum_wage", [LOW, start("2026-12-31")], []),
    ("law.minimum_wage", [LOW, start("2027-01-01")], ["child_support.starts_on"]),
    # Unknown for 2027: at most (16.90 × 1.035 + 0.05) × 40 × 52 / 12 = 3,040.53.
    ("law.minimum_wage", [LOW, start("2027-01-01"), net("3040.00")], ["child_support.starts_on"]),
    ("law.minimum_wage", [LOW, start("2027-01-01"), net("3041.00")], []),
    # Lower in 2025, 2,860.00: only the threshold of the figures matters.
    ("law.minimum_wage", [LOW, back_to("2025-12-31"), net("2929.00")], ["child_support.retroactive_from"]),
    ("law.minimum_wage", [LOW, back_to("2025-12-31"), net("2930.00")], []),
    # Before 1 September 2024 no threshold follows the wage.
    ("law.minimum_wage", [LOW, back_to("2024-08-31")], []),
    ("law.minimum_wage", [LOW, back_to("2024-09-01")], ["child_support.retroactive_from"]),
    ("law.tax_year", [ESTIMATED], []),
    ("law.tax_year", [ESTIMATED, start("2026-12-31")], []),
    ("law.tax_year", [ESTIMATED, start("2027-01-01")], ["child_support.starts_on"]),
    (
        "law.tax_year",
        [ESTIMATED, start("2027-01-01"), {"petitioner.net_monthly_income": "3000", "respondent.net_monthly_income": "4500"}],
        [],
    ),
    ("law.tax_year", [ESTIMATED, {"child_support.starts_on": DROP}], []),
    ("law.spousal_tax", [SUPPORTED, {"case.signing_on": "2025-11-30"}], []),
    ("law.spousal_tax", [SUPPORTED, {"case.signing_on": "2025-12-01"}], ["case.signing_on"]),
    ("law.spousal_tax", [SUPPORTED], ["case.signing_on"]),
    ("law.spousal_tax", [SUPPORTED, {"case.signing_on": "2026-01-01"}], []),
    ("law.spousal_tax", [SUPPORTED, {"case.signing_on": "2026-01-02"}, signed("2026-01-01", "2026-01-02")], []),
    (
        "law.spousal_tax",
        [SUPPORTED, {"case.signing_on": "2026-01-02"}, signed("2025-12-31", "2026-01-02")],
        ["petitioner.signed_on"],
    ),
    ("law.spousal_tax", [SUPPORTED, {"case.effective_on": "2026-01-01"}], ["case.effective_on"]),
    ("law.spousal_tax", [SUPPORTED, {f"{TO_PETITIONER}.outcome": "waived"}], []),
    ("law.spousal_tax", [SUPPORTED, {f"{TO_PETITIONER}.tax_rule": "earlier_order_kept"}], []),
    ("law.spousal_tax", [SUPPORTED, {"case.path": "default"}], []),
]  # fmt: skip


@pytest.mark.parametrize(("rule_id", "overrides", "expected"), TABLE)
def test_a_rule_strikes_where_it_should(rule_id: str, overrides: list[dict[str, Any]], expected: list[str]) -> None:
    assert paths(rule_id, *overrides) == expected


PRINTING = "law.form_printing"
HYBRID: dict[str, Any] = {
    **CHILD,
    "case.packaging": "hybrid",
    "case.signing_on": "2022-12-10",
    "case.status_on": "2023-01-01",
}
CUSTODY = (clause("custody.legal", answers=["custody.legal"]),)


@pytest.mark.parametrize(
    ("overrides", "expected"),
    [
        ({}, ["case.status_on"]),
        ({"case.status_on": "2022-12-31"}, []),
        ({"case.signing_on": "2023-01-01", "case.status_on": "2023-02-01"}, []),
        ({"case.packaging": "agreement_only"}, []),
        ({"case.form_revisions": [{"form": "FL-341", "revision": "2016-07-01"}]}, []),
        ({"case.status_on": DROP, "case.effective_on": "2023-03-01"}, ["case.effective_on"]),
    ],
)
def test_a_form_that_is_printed_anew_before_the_end_is_told(overrides: dict[str, Any], expected: list[str]) -> None:
    found = hits(PRINTING, review(HYBRID, overrides, chosen=CUSTODY))
    assert [hit.path for hit in found if "FL-341" in hit.detail] == expected
    assert hits(PRINTING, review(HYBRID, overrides)) == []  # a paper that answers no item of a form needs none


def test_every_rule_is_seen_to_strike_and_to_keep_still() -> None:
    assert struck(TABLE) | {PRINTING} == rules_of(changing_law)


def test_the_message_names_the_parameter_both_values_both_days_and_the_source() -> None:
    (hit,) = hits("law.minimum_wage", review(LOW, back_to("2025-06-01")))
    assert hit.detail == (
        "State minimum wage: on 2026-11-20 16.90 dollars an hour (Lab. Code § 1182.12; Department of Finance letter of "
        "1 August 2025 (2.49 percent)); on 2025-06-01 16.50 dollars an hour (Lab. Code § 1182.12; Department of Finance, 2024)."
    )
    (formula,) = hits("law.support_rule", review(NEW_FORMULA, back_to("2024-08-31")))
    for part in (
        "the version in force from 2004-01-01 (Fam. Code § 4055(b)(3); Fam. Code § 4055 before Stats. 2023",
        "the version in force from 2024-09-01 (Fam. Code § 4055(b)(3); Stats. 2023, ch. 213",
        "on 2024-09-20 net income",
        "on 2024-08-31 equal",
    ):
        assert part in formula.detail


def test_what_is_not_in_the_data_is_said_to_be_missing() -> None:
    (hit,) = hits("law.tax_year", review(ESTIMATED, start("2027-01-01")))
    assert "The figures take 2026; support begins on 2027-01-01." in hit.detail
    assert "Not in the data for that day: Federal income tax brackets" in hit.detail
    assert "Other values" not in hit.detail
    # California's of 2026 are missing already, so they do not differ.
    assert "California" not in hit.detail
    (earlier,) = hits("law.tax_year", review(ESTIMATED, start("2025-07-01"), {"child_support.guideline_on": DROP}))
    assert "Other values on that day: Federal income tax brackets" in earlier.detail
    # For 2026 the estimate takes California's figures of 2025, so that nothing of California's differs here.
    assert "California" not in earlier.detail
