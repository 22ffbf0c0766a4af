"""Route, status, issues, disclosure: the nearest facts that make a rule strike, and the nearest that do not."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from review.cases import CHILD, DROP, clause, hits, paths, review, rules_of, struck

from msadraft.review import route

DEFAULT: dict[str, Any] = {
    "case.path": "default_with_agreement",
    "case.response_filed_on": DROP,
    "case.petition_relief": ["end_spousal_support_to_petitioner", "divide_property"],
    "respondent.notarized": "yes",
}
CAR: dict[str, Any] = {"assets.car": {"kind": "vehicle", "label": "the car", "value": "4000", "goes_to": "petitioner"}}
PLAN: dict[str, Any] = {
    "assets.plan": {
        "kind": "retirement",
        "label": "the plan",
        "goes_to": "order",
        "retirement": {"type": "401k", "method": "split_percent"},
    },
    "case.bifurcation_terms": ["health_cover"],
}
SUMMARY: dict[str, Any] = {
    "marriage.married_on": "2020-06-18",
    "marriage.separated_on": "2025-06-18",
    "assets.savings": {"kind": "account", "label": "savings", "value": "9000", "goes_to": "split"},
    "debts.card": {"kind": "card", "owing": "3000"},
}


def waived(role: str, **more: str) -> dict[str, Any]:
    return {
        f"{role}.disclosure.final_served_on": DROP,
        f"{role}.disclosure.final_waived": {"under_penalty_of_perjury": "yes", **more},
    }


def other_case(kind: str) -> dict[str, Any]:
    return {"case.other_cases": [{"kind": kind}]}


TABLE: list[tuple[str, list[dict[str, Any]], list[str]]] = [
    # Fam. Code § 2310: the paper that ends status needs its clause, rule 5.411(b)
    ("ledger.issue_open", [{"fees": DROP}], ["case.status_mode"]),
    ("ledger.issue_open", [{"fees": DROP, "case.status_mode": "not_ended"}], []),
    (
        "ledger.issue_open",
        [{"fees": DROP, "case.status_mode": "not_ended", "case.petition_relief": ["other"]}],
        ["case.special_terms"],
    ),
    (
        "ledger.issue_open",
        [
            {
                "fees": DROP,
                "case.status_mode": "not_ended",
                "case.petition_relief": ["other"],
                "case.reserved_issues": [{"issue": "other"}],
            }
        ],
        [],
    ),
    # Burtnett v. King: relief beyond the petition
    ("path.default_exceeds", [DEFAULT, {"spousal_support.to_petitioner.outcome": "waived"}], []),
    (
        "path.default_exceeds",
        [DEFAULT, {"spousal_support.to_respondent.outcome": "waived"}],
        ["spousal_support.to_respondent.outcome"],
    ),
    (
        "path.default_exceeds",
        [DEFAULT, {"spousal_support.to_petitioner.outcome": "payable"}],
        ["spousal_support.to_petitioner.outcome"],
    ),
    ("path.default_exceeds", [DEFAULT, CAR], []),
    ("path.default_exceeds", [DEFAULT, CAR, {"case.petition_relief": []}], ["assets"]),
    ("path.default_exceeds", [CAR, {"case.petition_relief": []}], []),
    ("path.default_exceeds", [DEFAULT, CHILD], ["parenting.legal_custody", "child_support.mode"]),
    ("path.default_exceeds", [DEFAULT, CHILD, {"case.petition_relief": ["custody"]}], []),
    ("path.default_exceeds", [DEFAULT, {"fees.plan": "contribution"}], ["fees.plan"]),
    # Eustice: an item that the petition did not list
    ("path.default_asset_unlisted", [DEFAULT, CAR], ["assets.car.goes_to"]),
    ("path.default_asset_unlisted", [DEFAULT, CAR, {"case.petition_assets_listed": ["car"]}], []),
    ("path.default_asset_unlisted", [DEFAULT, CAR, {"assets.car.goes_to": "reserved"}], []),
    ("path.default_asset_unlisted", [CAR], []),
    (
        "path.default_asset_unlisted",
        [DEFAULT, {"debts.card": {"kind": "card", "assigned_to": "respondent"}}],
        ["debts.card.assigned_to"],
    ),
    # 20 January + 30 days = 19 February; default from the 20th
    ("path.default_early", [DEFAULT, {"case.default_entered_on": "2026-02-19"}], ["case.default_entered_on"]),
    ("path.default_early", [DEFAULT, {"case.default_entered_on": "2026-02-20"}], []),
    ("path.default_not_notarised", [DEFAULT], []),
    ("path.default_not_notarised", [DEFAULT, {"respondent.notarized": DROP}], ["respondent.notarized"]),
    ("path.default_not_notarised", [{"respondent.notarized": "no"}], []),
    ("path.default_missing_income", [DEFAULT, {"petitioner.disclosure.income_declaration_on": DROP}], []),
    (
        "path.default_missing_income",
        [DEFAULT, {"petitioner.disclosure.income_declaration_on": DROP, "case.petition_relief": ["fees"]}],
        ["petitioner.disclosure.income_declaration_on"],
    ),
    (
        "path.default_disclosure_shortcut",
        [DEFAULT, waived("petitioner"), {"respondent.disclosure.final_served_on": DROP}],
        ["respondent.disclosure.final_waived"],
    ),
    ("path.default_disclosure_shortcut", [DEFAULT, waived("petitioner"), waived("respondent")], []),
    ("path.default_disclosure_shortcut", [waived("petitioner"), {"respondent.disclosure.final_served_on": DROP}], []),
    ("path.default_service_member", [DEFAULT, {"respondent.military": "active"}], ["respondent.military"]),
    ("path.default_service_member", [DEFAULT, {"petitioner.military": "active"}], []),
    ("path.no_appearance", [{"case.response_filed_on": DROP}], ["case.response_filed_on"]),
    (
        "path.no_appearance",
        [{"case.response_filed_on": DROP, "case.path": "appearance_waiver"}],
        ["case.appearance_on"],
    ),
    ("path.no_appearance", [{"case.response_filed_on": DROP, "case.appearance_on": "2026-05-01"}], []),
    ("path.no_appearance", [{"case.response_filed_on": DROP, "case.path": "joint_petition"}], []),
    # Fam. Code § 2400(a): not more than five years; 60 months and no day over is still five years
    ("path.summary_possible", [SUMMARY], ["marriage.separated_on"]),
    ("path.summary_possible", [SUMMARY, {"marriage.separated_on": "2025-06-19"}], []),
    ("path.summary_possible", [SUMMARY, {"assets.savings.value": "25000"}], []),
    ("path.summary_possible", [SUMMARY, {"assets.savings.value": DROP}], []),
    ("path.summary_possible", [SUMMARY, {"debts.card.owing": "4000.01"}], []),
    (
        "path.summary_possible",
        [SUMMARY, {"debts.card.owing": "4000.01", "debts.card.kind": "auto"}],
        ["marriage.separated_on"],
    ),
    (
        "path.summary_possible",
        [SUMMARY, {"debts.card.owing": "4000.01", "debts.card.incurred_on": "2019-01-01"}],
        ["marriage.separated_on"],
    ),
    ("path.summary_possible", [SUMMARY, CHILD], []),
    ("path.summary_possible", [SUMMARY, {"assets.land": {"kind": "real", "label": "land", "value": "1"}}], []),
    (
        "path.summary_possible",
        [SUMMARY, {"assets.flat": {"kind": "real", "label": "flat", "value": "1", "real": {"use": "lease"}}}],
        ["marriage.separated_on"],
    ),
    ("path.local_notary", [{"case.local_requirements": ["notary"]}], []),
    (
        "path.local_notary",
        [{"case.local_requirements": ["notary"], "petitioner.notarized": "no"}],
        ["petitioner.notarized"],
    ),
    (
        "path.local_notary",
        [{"case.local_requirements": ["notary"], "respondent.signed_on": "2026-11-20"}],
        ["respondent.notarized"],
    ),
    ("path.local_notary", [{"petitioner.notarized": "no"}], []),
    (
        "path.local_notary",
        [
            {
                "case.local_requirements": ["notary"],
                "petitioner.notarized": "no",
                "petitioner.representation": "attorney",
            }
        ],
        [],
    ),
    ("path.separation_status", [{"case.proceeding": "legal_separation"}], []),
    (
        "path.separation_status",
        [{"case.proceeding": "legal_separation", "case.status_mode": "earliest"}],
        ["case.status_mode"],
    ),
    (
        "path.separation_status",
        [{"case.proceeding": "legal_separation", "case.status_on": "2026-12-01"}],
        ["case.status_on"],
    ),
    ("path.separation_status", [{"case.status_on": "2026-12-01"}], []),
    # Fam. Code § 2320: six months in the state and three in the county, by one and the same spouse
    ("path.residence", [], []),
    ("path.residence", [{"case.residence": DROP}], ["case.residence"]),
    ("path.residence", [{"case.residence.petitioner_months_in_state": "5"}], ["case.residence"]),
    (
        "path.residence",
        [{"case.residence": {"petitioner_months_in_state": "6", "respondent_months_in_county": "3"}}],
        ["case.residence"],
    ),
    (
        "path.residence",
        [{"case.residence": {"respondent_months_in_state": "6", "respondent_months_in_county": "3"}}],
        [],
    ),
    ("path.residence", [{"case.residence": DROP, "case.proceeding": "legal_separation"}], []),
    ("path.residence", [{"case.residence": DROP, "case.relationship": "partnership"}], []),
    ("path.other_court", [CHILD, other_case("dependency")], ["case.other_cases.0.kind"]),
    ("path.other_court", [CHILD, other_case("agency")], []),
    ("path.other_court", [other_case("dependency")], []),
    ("path.other_court", [CHILD, other_case("dependency"), {"case.reserved_issues": [{"issue": "custody"}]}], []),
    # served 20 January: six months run out on 20 July, status from the 21st
    ("status.too_early", [{"case.status_on": "2026-07-20"}], ["case.status_on"]),
    ("status.too_early", [{"case.status_on": "2026-07-21"}], []),
    ("status.past_date", [{"case.status_on": "2026-11-19"}], ["case.status_on"]),
    ("status.past_date", [{"case.status_on": "2026-11-20"}], []),
    ("status.year_end", [{"case.status_mode": "on_date", "case.status_on": "2026-11-15"}], []),
    ("status.year_end", [{"case.status_mode": "on_date", "case.status_on": "2026-11-16"}], ["case.status_on"]),
    ("status.year_end", [{"case.status_mode": "on_date", "case.status_on": "2027-02-14"}], ["case.status_on"]),
    ("status.year_end", [{"case.status_mode": "on_date", "case.status_on": "2027-02-15"}], []),
    (
        "status.year_end",
        [{"case.status_mode": "earliest", "case.served_on": "2026-06-25", "case.response_filed_on": "2026-07-01"}],
        ["case.status_mode"],
    ),
    ("status.bifurcated_plan", [PLAN], ["assets.plan.retirement.joined"]),
    ("status.bifurcated_plan", [PLAN, {"case.joined_plans": ["plan"]}], []),
    ("status.bifurcated_plan", [PLAN, {"case.bifurcation_terms": ["retirement"]}], []),
    ("status.bifurcated_plan", [PLAN, {"assets.plan.retirement.type": "ira"}], []),
    ("status.bifurcated_plan", [PLAN, {"assets.plan.retirement.order_status": "qualified"}], []),
    ("status.bifurcated_plan", [PLAN, {"case.bifurcation_terms": []}], []),
    ("disclosure.preliminary_missing", [], []),
    (
        "disclosure.preliminary_missing",
        [{"respondent.disclosure.preliminary_served_on": DROP}],
        ["respondent.disclosure.preliminary_served_on"],
    ),
    (
        "disclosure.final_gap",
        [{"respondent.disclosure.final_served_on": DROP}],
        ["respondent.disclosure.final_served_on"],
    ),
    ("disclosure.final_gap", [waived("petitioner"), waived("respondent")], []),
    (
        "disclosure.final_gap",
        [waived("petitioner"), waived("respondent"), {"petitioner.signed_on": "2026-11-20"}],
        ["petitioner.disclosure.final_waived.signed_on"],
    ),
    (
        "disclosure.final_gap",
        [waived("petitioner", signed_on="2026-11-20"), waived("respondent"), {"petitioner.signed_on": "2026-11-20"}],
        [],
    ),
    ("disclosure.final_gap", [DEFAULT, waived("petitioner"), {"respondent.disclosure.final_served_on": DROP}], []),
    ("disclosure.one_sided_waiver", [waived("petitioner")], ["petitioner.disclosure.final_waived"]),
    ("disclosure.one_sided_waiver", [waived("petitioner"), waived("respondent")], []),
    (
        "disclosure.one_sided_waiver",
        [DEFAULT, waived("petitioner"), {"respondent.disclosure.final_served_on": DROP}],
        [],
    ),
    ("disclosure.after_signing", [{"petitioner.signed_on": "2026-10-05"}], []),
    ("disclosure.after_signing", [{"petitioner.signed_on": "2026-10-04"}], ["petitioner.disclosure.final_served_on"]),
    (
        "disclosure.after_signing",
        [waived("petitioner", signed_on="2026-11-21"), {"petitioner.signed_on": "2026-11-20"}],
        ["petitioner.disclosure.final_waived.signed_on"],
    ),
    # 90 days before 20 November is 22 August
    (
        "disclosure.income_stale",
        [CHILD, {"respondent.disclosure.income_declaration_on": "2026-08-21"}],
        ["respondent.disclosure.income_declaration_on"],
    ),
    ("disclosure.income_stale", [CHILD, {"respondent.disclosure.income_declaration_on": "2026-08-22"}], []),
    ("disclosure.income_stale", [{"respondent.disclosure.income_declaration_on": "2026-08-21"}], []),
    (
        "disclosure.income_stale",
        [CHILD, {"respondent.disclosure.income_declaration_on": DROP}],
        ["respondent.disclosure.income_declaration_on"],
    ),
    (
        "disclosure.income_stale",
        [
            {
                "spousal_support.to_petitioner.outcome": "payable",
                "petitioner.disclosure.income_declaration_on": "2026-01-01",
            }
        ],
        ["petitioner.disclosure.income_declaration_on"],
    ),
    ("disclosure.no_values", [CAR, {"assets.car.value_basis": "none"}], ["assets.car.value_basis"]),
    ("disclosure.no_values", [CAR, {"assets.car.value_basis": "agreed"}], []),
    (
        "disclosure.no_values",
        [CAR, {"assets.car.value_basis": "none", "assets.car.character": "separate_petitioner"}],
        [],
    ),
    (
        "disclosure.no_values",
        [
            CAR,
            {
                "assets.car.value_basis": "none",
                "petitioner.representation": "attorney",
                "respondent.representation": "limited_scope",
            },
        ],
        [],
    ),
]


@pytest.mark.parametrize(("rule_id", "overrides", "expected"), TABLE)
def test_a_rule_strikes_where_it_should(rule_id: str, overrides: list[dict[str, Any]], expected: list[str]) -> None:
    assert paths(rule_id, *overrides) == expected


def test_every_rule_is_seen_to_strike_and_to_keep_still() -> None:
    assert struck(TABLE) == rules_of(route)


def test_an_issue_is_closed_by_its_clause() -> None:
    chosen = [
        clause(name)
        for name in (
            "juris.status_date",
            "custody.legal.sole",
            "custody.physical",
            "custody.schedule.weekends",
            "child_support.guideline",
            "fees.allocation",
        )
    ]
    assert hits("ledger.issue_open", review(CHILD, chosen=tuple(chosen))) == []
    missing = [hit.path for hit in hits("ledger.issue_open", review(CHILD, chosen=tuple(chosen[2:])))]
    assert missing == ["case.status_mode", "parenting.legal_custody"]


def test_spousal_support_is_closed_for_each_party_alone() -> None:
    decided = {"spousal_support.to_petitioner.outcome": "waived", "spousal_support.to_respondent.outcome": "waived"}
    quiet = {"case.status_mode": "not_ended", "fees": DROP}
    one = clause("spousal_support.waived", key="petitioner")
    assert [h.path for h in hits("ledger.issue_open", review(decided, quiet, chosen=(one,)))] == [
        "spousal_support.to_respondent.outcome"
    ]


def test_the_status_clause_of_a_legal_separation_is_seen_in_the_paper() -> None:
    given = review({"case.proceeding": "legal_separation"}, chosen=(clause("juris.status_date"),))
    assert [h.path for h in hits("path.separation_status", given)] == ["case.status_mode"]


def test_a_finding_names_the_days() -> None:
    (hit,) = hits("status.too_early", review({"case.status_on": "2026-03-01"}))
    assert str(date(2026, 7, 21)) in hit.detail


def test_a_date_that_is_too_early_is_told_with_its_counting() -> None:
    # served on 20 January 2026: 30 days end on 19 February; six months end on 20 July
    early = {"case.path": "default_with_agreement", "case.default_entered_on": "2026-02-19"}
    (entered,) = hits("path.default_early", review(early))
    assert entered.detail.startswith("Entered 2026-02-19; the first day was 2026-02-20. Counted: ")
    assert "30 days" in entered.detail
    (status,) = hits("status.too_early", review({"case.status_mode": "on_date", "case.status_on": "2026-07-20"}))
    assert "the first possible day is 2026-07-21. Counted: " in status.detail
