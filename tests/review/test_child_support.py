"""Child support: the nearest facts that make a rule strike, and the nearest that do not."""

from __future__ import annotations

from typing import Any

import pytest
from review.cases import CHILD, DROP, hits, paths, review, rules_of, struck

from msadraft.review import child_support
from msadraft.tree import Signature, Text

BELOW: dict[str, Any] = {
    **CHILD,
    "child_support": {**CHILD["child_support"], "mode": "below", "amount": "500.00", "deviation_reason": "agreement"},
}
TWO: dict[str, Any] = {
    **CHILD,
    "children.al": {
        "name": {"first": "Al", "last": "Dunn"},
        "born_on": "2019-01-01",
        "habitual_country": "United States",
    },
}
SHARES = [{"child": "may", "amount": "250"}, {"child": "al", "amount": "450"}]
INPUTS = "child_support.guideline_inputs"
NEEDY: dict[str, Any] = {**CHILD, "children.may.born_on": "2008-11-20", "children.may.benefits": ["ssi"]}


def inputs(**given: str) -> dict[str, Any]:
    return {INPUTS: given}


def add_on(kind: str, percent: str | None = None) -> dict[str, Any]:
    entry = {"kind": kind} if percent is None else {"kind": kind, "petitioner_percent": percent}
    return {"child_support.add_ons": [entry]}


def special(body: str) -> dict[str, Any]:
    return {"case.special_terms": [{"part": "child_support", "heading": "More", "body": body}]}


RUN = inputs(petitioner_net="4000", respondent_net="6000", respondent_time_percent="40")


def amounts(amount: str) -> dict[str, Any]:
    return {"child_support.amount": amount, "child_support.guideline_amount": amount}


def split(may: str, al: str) -> dict[str, Any]:
    parts = [{"child": "may", "amount": may}, {"child": "al", "amount": al}]
    return {"child_support.per_child": parts, "child_support.amount": "1120.00"}


def share(percent: str, basis: str = "net_income") -> dict[str, Any]:
    return {"child_support.add_ons": [{"kind": "health", "petitioner_percent": percent, "basis": basis}]}


def cover(premium: str) -> dict[str, Any]:
    return {
        "respondent.gross_monthly_income": "8000",
        "child_support.insurance": {"provider": "respondent", "child_premium": premium},
    }


TABLE: list[tuple[str, list[dict[str, Any]], list[str]]] = [
    (
        "child_support.time_sum",
        [CHILD, {INPUTS: {"petitioner_time_percent": "64.29", "respondent_time_percent": "35.71"}}],
        [],
    ),
    (
        "child_support.time_sum",
        [CHILD, {INPUTS: {"petitioner_time_percent": "64.29", "respondent_time_percent": "45.71"}}],
        [f"{INPUTS}.respondent_time_percent"],
    ),
    ("child_support.missing", [CHILD], []),
    ("child_support.missing", [CHILD, {"child_support": {}}], ["child_support.mode"]),
    ("child_support.missing", [CHILD, {"child_support": {}, "case.reserved_issues": [{"issue": "child_support"}]}], []),
    ("child_support.missing", [{"child_support": {}}], []),
    # Fam. Code § 4055: one dollar of rounding is let pass
    ("child_support.not_guideline", [CHILD, {"child_support.amount": "701.00"}], []),
    ("child_support.not_guideline", [CHILD, {"child_support.amount": "701.01"}], ["child_support.amount"]),
    ("child_support.not_guideline", [CHILD, {"child_support.guideline_payer": "petitioner"}], ["child_support.payer"]),
    ("child_support.not_guideline", [CHILD, {"child_support.amount": "900", "child_support.mode": "above"}], []),
    # Fam. Code § 4055 worked by hand: TN 10,000, so 0.25; K = 0.25 × (1 + 0.40) = 0.35;
    # 0.35 × (6,000 - 0.40 × 10,000) = 700.00 from the respondent
    ("child_support.not_guideline", [CHILD, RUN], []),
    ("child_support.not_guideline", [CHILD, RUN, amounts("699.01")], []),
    ("child_support.not_guideline", [CHILD, RUN, amounts("699.00")], ["child_support.amount"]),
    ("child_support.not_guideline", [CHILD, RUN, {**amounts("699.00"), f"{INPUTS}.respondent_time_percent": DROP}], []),
    ("child_support.run_differs", [CHILD, RUN], []),
    (
        "child_support.run_differs",
        [CHILD, RUN, {"child_support.guideline_amount": "701.00"}],
        ["child_support.guideline_amount"],
    ),
    ("child_support.run_differs", [CHILD, RUN, {"child_support.guideline_amount": "700.99"}], []),
    (
        "child_support.run_differs",
        [CHILD, RUN, {"child_support.guideline_payer": "petitioner"}],
        ["child_support.guideline_amount"],
    ),
    ("child_support.run_differs", [CHILD, {"child_support.guideline_amount": "900"}], []),
    ("child_support.wrong_side", [BELOW], []),
    ("child_support.wrong_side", [BELOW, {"child_support.amount": "800"}], ["child_support.mode"]),
    ("child_support.wrong_side", [BELOW, RUN, {"child_support.guideline_amount": "400"}], []),
    ("child_support.wrong_side", [BELOW, RUN, {"child_support.amount": "700.50"}], []),
    ("child_support.wrong_side", [BELOW, RUN, {"child_support.mode": "above"}], ["child_support.mode"]),
    # § 4055(b)(7): minimum wage of 2026, $16.90 × 40 × 52 / 12 = $2,929.33 a month
    ("child_support.low_income", [CHILD, RUN], []),
    (
        "child_support.low_income",
        [CHILD, RUN, {f"{INPUTS}.respondent_net": "2929.33"}],
        [f"{INPUTS}.low_income_adjustment"],
    ),
    ("child_support.low_income", [CHILD, RUN, {f"{INPUTS}.respondent_net": "2929.34"}], []),
    (
        "child_support.low_income",
        [CHILD, RUN, {f"{INPUTS}.low_income_adjustment": "yes"}],
        [f"{INPUTS}.low_income_adjustment"],
    ),
    (
        "child_support.low_income",
        [CHILD, RUN, {f"{INPUTS}.respondent_net": "2929.33", f"{INPUTS}.low_income_adjustment": "yes"}],
        [],
    ),
    (
        "child_support.low_income",
        [CHILD, RUN, {f"{INPUTS}.respondent_net": "2929.33", "child_support.low_income_reason": "free rent"}],
        [],
    ),
    # § 4055(b)(8): 700.00 for the younger child (Al), 0.6 of it for the elder (May), 1,120.00 together
    ("child_support.split_differs", [TWO, RUN, split("420.00", "700.00")], []),
    ("child_support.split_differs", [TWO, RUN, split("419.01", "700.99")], []),
    (
        "child_support.split_differs",
        [TWO, RUN, split("560.00", "560.00")],
        ["child_support.per_child.0.amount", "child_support.per_child.1.amount"],
    ),
    ("child_support.split_differs", [TWO, RUN, split("560.00", "560.00"), {"child_support.mode": "above"}], []),
    # § 4061(d): 4,000 against 6,000 - 700 = 5,300, so 43.01 percent for the petitioner
    ("child_support.addon_share", [CHILD, RUN, share("43")], []),
    ("child_support.addon_share", [CHILD, RUN, share("44.01")], []),
    ("child_support.addon_share", [CHILD, RUN, share("44.02")], ["child_support.add_ons.0.petitioner_percent"]),
    ("child_support.addon_share", [CHILD, RUN, share("50", "agreed")], []),
    # § 3751(a)(2): 5 percent of 8,000 is 400
    ("child_support.premium", [CHILD, cover("400")], []),
    ("child_support.premium", [CHILD, cover("400.01")], ["child_support.insurance.child_premium"]),
    ("child_support.premium", [CHILD, cover("500"), {"child_support.mode": "reserved"}], []),
    ("child_support.no_split", [CHILD], []),
    ("child_support.no_split", [TWO], ["child_support.per_child"]),
    ("child_support.no_split", [TWO, {"child_support.per_child": SHARES}], []),
    ("child_support.no_split", [TWO, {"child_support.per_child": SHARES[:1]}], ["child_support.per_child"]),
    # the base week: 72 of 168 hours = 42.86 percent, 3 of 7 nights = 42.86 percent
    ("child_support.time_mismatch", [CHILD, inputs(respondent_time_percent="43.8")], []),
    (
        "child_support.time_mismatch",
        [CHILD, inputs(respondent_time_percent="44")],
        [f"{INPUTS}.respondent_time_percent"],
    ),
    (
        "child_support.time_mismatch",
        [CHILD, inputs(petitioner_time_percent="50")],
        [f"{INPUTS}.petitioner_time_percent"],
    ),
    (
        "child_support.time_mismatch",
        [CHILD, inputs(respondent_time_percent="44"), {"parenting.summer": {"rule": "alternate weeks"}}],
        [],
    ),
    # Fam. Code § 4065(a)
    ("child_support.below_declarations", [BELOW], []),
    ("child_support.below_declarations", [BELOW, {"child_support.declarations": DROP}], ["child_support.declarations"]),
    (
        "child_support.below_declarations",
        [BELOW, {"child_support.declarations.needs_met": "no"}],
        ["child_support.declarations.needs_met"],
    ),
    ("child_support.below_declarations", [CHILD, {"child_support.declarations": DROP}], []),
    (
        "child_support.below_declarations",
        [BELOW, {"child_support.mode": "zero", "child_support.declarations": DROP}],
        ["child_support.declarations"],
    ),
    (
        "child_support.below_declarations",
        [
            BELOW,
            {"child_support.mode": "zero", "child_support.guideline_amount": "0", "child_support.declarations": DROP},
        ],
        [],
    ),
    ("child_support.below_aid", [BELOW], []),
    ("child_support.below_aid", [BELOW, {"case.public_assistance": "pending"}], ["child_support.mode"]),
    ("child_support.below_aid", [BELOW, {"case.public_assistance": "past"}], []),
    ("child_support.below_aid", [CHILD, {"case.public_assistance": "receiving"}], []),
    ("child_support.agency_sign", [CHILD], []),
    ("child_support.agency_sign", [CHILD, {"case.child_support_agency": "yes"}], ["case.child_support_agency"]),
    # Fam. Code § 4056(a)
    ("child_support.no_reason", [BELOW], []),
    ("child_support.no_reason", [BELOW, {"child_support.deviation_reason": DROP}], ["child_support.deviation_reason"]),
    ("child_support.no_reason", [BELOW, {"child_support.deviation_reason": "other"}], ["child_support.deviation_note"]),
    ("child_support.no_reason", [CHILD], []),
    (
        "child_support.no_reason",
        [
            BELOW,
            {
                "child_support.deviation_reason": DROP,
                "child_support.mode": "zero",
                "child_support.guideline_amount": "0",
            },
        ],
        [],
    ),
    # Alter: the court's power cannot be bargained away
    ("child_support.frozen", [special("Ann waives child support for May.")], ["case.special_terms.0.body"]),
    (
        "child_support.frozen",
        [special("Child support is nonmodifiable for three years.")],
        ["case.special_terms.0.body"],
    ),
    ("child_support.frozen", [special("Child support may not be changed before 2030.")], ["case.special_terms.0.body"]),
    ("child_support.frozen", [special("Neither party waives child support.")], []),
    ("child_support.frozen", [special("Child support may be changed by the court at any time.")], []),
    (
        "child_support.frozen",
        [CHILD, {"child_support.deviation_note": "Ann gives up child support for the car"}],
        ["child_support.deviation_note"],
    ),
    # Fam. Code § 3901: May turns 18 on 5 May 2035, in her last school year
    (
        "child_support.end_rule",
        [CHILD, {"child_support.end": {"kind": "extended", "until": "age 18"}}],
        ["child_support.end.until"],
    ),
    (
        "child_support.end_rule",
        [CHILD, {"child_support.end": {"kind": "extended", "until": "age 18, or graduation but no later than 19"}}],
        [],
    ),
    (
        "child_support.end_rule",
        [CHILD, {"child_support.end": {"kind": "extended", "until": "age 18"}, "children.may.full_time_student": "no"}],
        [],
    ),
    (
        "child_support.medical_excuse",
        [NEEDY, {"children.may.full_time_student": "no"}],
        ["children.may.full_time_student"],
    ),
    ("child_support.medical_excuse", [NEEDY], []),
    (
        "child_support.medical_excuse",
        [NEEDY, {"children.may.full_time_student": "no", "children.may.born_on": "2007-11-20"}],
        [],
    ),
    # Fam. Code § 3910: 24 months before the 18th birthday
    ("child_support.incapacity", [NEEDY, {"children.may.born_on": "2010-11-20"}], ["children.may"]),
    ("child_support.incapacity", [NEEDY, {"children.may.born_on": "2010-11-21"}], []),
    ("child_support.incapacity", [NEEDY, {"children.may.born_on": "2010-11-20", "children.may.benefits": []}], []),
    (
        "child_support.incapacity",
        [NEEDY, {"children.may.born_on": "2010-11-20", "child_support.adult": [{"child": "may"}]}],
        [],
    ),
    (
        "child_support.adult_benefits",
        [NEEDY, {"child_support.adult": [{"child": "may"}]}],
        ["child_support.adult.0.to_trust"],
    ),
    ("child_support.adult_benefits", [NEEDY, {"child_support.adult": [{"child": "may", "to_trust": "yes"}]}], []),
    (
        "child_support.adult_benefits",
        [NEEDY, {"child_support.adult": [{"child": "may"}], "children.may.benefits": []}],
        [],
    ),
    # Rosenfeld & Gross
    (
        "child_support.college_open",
        [CHILD, {"child_support.college": [{"child": "may"}]}],
        [f"child_support.college.0.{name}" for name in ("yearly_cap", "ends", "modifiable")],
    ),
    (
        "child_support.college_open",
        [
            CHILD,
            {"child_support.college": [{"child": "may", "yearly_cap": "9000", "ends": "at 23", "modifiable": "no"}]},
        ],
        [],
    ),
    ("child_support.review_phase", [CHILD, {"parenting.phases": [{}, {}]}], ["child_support.review_on"]),
    (
        "child_support.review_phase",
        [CHILD, {"parenting.phases": [{}, {}], "child_support.change_triggers": ["time_change"]}],
        [],
    ),
    ("child_support.review_phase", [CHILD, {"parenting.phases": [{}]}], []),
    # Fam. Code §§ 3751, 4062
    ("child_support.no_cover", [CHILD], []),
    ("child_support.no_cover", [CHILD, {"child_support.insurance": DROP}], ["child_support.insurance"]),
    ("child_support.no_cover", [CHILD, {"child_support.insurance": DROP, "child_support.mode": "reserved"}], []),
    ("child_support.health_share", [CHILD], []),
    ("child_support.health_share", [CHILD, {"child_support.add_ons": []}], ["child_support.add_ons"]),
    ("child_support.health_share", [CHILD, add_on("health")], ["child_support.add_ons.0.petitioner_percent"]),
    ("child_support.childcare_share", [CHILD], []),
    ("child_support.childcare_share", [CHILD, add_on("child_care")], ["child_support.add_ons.0.petitioner_percent"]),
    ("child_support.childcare_share", [CHILD, add_on("child_care", "40")], []),
    (
        "child_support.childcare_share",
        [CHILD, RUN, {"child_support.add_ons": [{"kind": "child_care", "basis": "net_income"}]}],
        [],
    ),
    (
        "child_support.childcare_share",
        [CHILD, {"child_support.add_ons": [{"kind": "child_care", "basis": "net_income"}]}],
        ["child_support.add_ons.0.petitioner_percent"],
    ),
    # Fam. Code § 4061: 4,500 of 10,000 is ten points below the other's part; 4,499 is more
    (
        "child_support.equal_addon",
        [CHILD, add_on("health", "50"), inputs(petitioner_net="4500", respondent_net="5500")],
        [],
    ),
    (
        "child_support.equal_addon",
        [CHILD, add_on("health", "50"), inputs(petitioner_net="4499", respondent_net="5501")],
        ["child_support.add_ons.0.petitioner_percent"],
    ),
    (
        "child_support.equal_addon",
        [CHILD, add_on("health", "45"), inputs(petitioner_net="4000", respondent_net="6000")],
        [],
    ),
    (
        "child_support.equal_addon",
        [
            CHILD,
            add_on("health", "50"),
            {"petitioner.net_monthly_income": "2000", "respondent.net_monthly_income": "6000"},
        ],
        ["child_support.add_ons.0.petitioner_percent"],
    ),
    (  # a run in which one parent has nothing is a run; the incomes stated elsewhere do not stand in for it
        "child_support.equal_addon",
        [
            CHILD,
            add_on("health", "50"),
            {"petitioner.net_monthly_income": "5500"},
            inputs(petitioner_net="0", respondent_net="6000"),
        ],
        ["child_support.add_ons.0.petitioner_percent"],
    ),
    # Fam. Code §§ 5230, 5260
    ("child_support.withholding", [CHILD], []),
    ("child_support.withholding", [CHILD, {"child_support.method": "transfer"}], ["child_support.method"]),
    (
        "child_support.withholding",
        [
            CHILD,
            {
                "child_support.method": "transfer",
                "child_support.withholding_stay": {"wanted": "yes", "reason": "written agreement"},
            },
        ],
        [],
    ),
    (
        "child_support.withholding",
        [CHILD, {"child_support.withholding_stay": {"wanted": "yes"}}],
        ["child_support.withholding_stay.reason"],
    ),
    ("child_support.withholding", [CHILD, {"child_support.method": "transfer", "child_support.amount": "0"}], []),
    ("child_support.stale_run", [CHILD, {"child_support.guideline_on": "2026-08-22"}], []),
    ("child_support.stale_run", [CHILD, {"child_support.guideline_on": "2026-08-21"}], ["child_support.guideline_on"]),
    # Stats. 2025, ch. 231: agreements from 2026 on
    ("child_support.tax_setting", [CHILD, inputs(alimony_deductible="yes")], [f"{INPUTS}.alimony_deductible"]),
    ("child_support.tax_setting", [CHILD, inputs(alimony_deductible="no")], []),
    ("child_support.tax_setting", [CHILD, inputs(alimony_deductible="yes"), {"case.signing_on": "2025-12-31"}], []),
    (
        "child_support.extra_undefined",
        [CHILD, {"child_support.extra_income": {}}],
        [f"child_support.extra_income.{name}" for name in ("kinds", "pay_within_days", "proof")],
    ),
    (
        "child_support.extra_undefined",
        [CHILD, {"child_support.extra_income": {"kinds": ["bonus"], "settled": "yearly", "proof": "pay stubs"}}],
        [],
    ),
    (
        "child_support.retro_overlap",
        [CHILD, {"child_support.retroactive_from": "2026-03-01", "case.prior_orders": [{"subject": "child_support"}]}],
        ["child_support.retroactive_from"],
    ),
    (
        "child_support.retro_overlap",
        [CHILD, {"child_support.retroactive_from": "2026-03-01", "case.prior_orders": [{"subject": "custody"}]}],
        [],
    ),
    (
        "child_support.retro_overlap",
        [
            CHILD,
            {
                "child_support.retroactive_from": "2026-03-01",
                "case.prior_orders": [{"subject": "child_support"}],
                "child_support.arrears": {"principal": "0"},
            },
        ],
        [],
    ),
]


@pytest.mark.parametrize(("rule_id", "overrides", "expected"), TABLE)
def test_a_rule_strikes_where_it_should(rule_id: str, overrides: list[dict[str, Any]], expected: list[str]) -> None:
    assert paths(rule_id, *overrides) == expected


def test_every_rule_is_seen_to_strike_and_to_keep_still() -> None:
    assert struck(TABLE) == rules_of(child_support)


def test_the_agency_line_is_looked_for_in_the_paper() -> None:
    line = Signature(
        "sign.approval/agency", "sign.approval", (Text("Authorized attorney"),), (Text("Local child support agency"),)
    )
    given = review(CHILD, {"case.child_support_agency": "yes"}, blocks={"article.signatures": (line,)})
    assert hits("child_support.agency_sign", given) == []


def test_a_mismatch_names_both_shares() -> None:
    (hit,) = hits("child_support.time_mismatch", review(CHILD, inputs(respondent_time_percent="20")))
    assert "42.86 percent of the hours and 42.86 percent of the nights" in hit.detail
