"""Checks before filing: the nearest facts that make a rule strike, and the nearest that do not."""

from __future__ import annotations

from typing import Any

import pytest
from review.cases import CHILD, DROP, clause, hits, paths, review, rules_of, struck, text

from msadraft.review import filing
from msadraft.review.base import RULES
from msadraft.tree import Paragraph, Reference, Signature, Text

DEFAULT: dict[str, Any] = {"case.path": "default_with_agreement", "case.response_filed_on": DROP}
JOINT: dict[str, Any] = {**CHILD, "parenting": {**CHILD["parenting"], "legal_custody": "joint"}}
PLAN: dict[str, Any] = {
    "assets.plan": {
        "kind": "retirement",
        "label": "the plan",
        "retirement": {
            "plan_name": "Mill Plan",
            "type": "401k",
            "method": "split_percent",
            "order_cost_petitioner_percent": "50",
        },
    }
}
LAND: dict[str, Any] = {
    "assets.home": {"kind": "real", "label": "the home", "real": {"address": "1 Elm Street", "parcel_number": "000-1"}}
}
WAIVED: dict[str, Any] = {"petitioner.disclosure.final_waived": {}, "respondent.disclosure.final_waived": {}}
SUM = "child_support.per_child"


def joint(topic: str, **more: Any) -> list[dict[str, Any]]:
    return [JOINT, {"parenting.joint_topics": [{"topic": topic, "rule": "both_consent"}], **more}]


TABLE: list[tuple[str, list[dict[str, Any]], list[str]]] = [
    ("filing.case_number", [], []),
    ("filing.case_number", [{"case.number": DROP}], ["case.number"]),
    ("filing.case_number", [{"case.number": DROP, "case.petition_filed_on": DROP}], []),
    # form FL-182 items 2a, 3a
    ("filing.service", [DEFAULT], []),
    ("filing.service", [DEFAULT, {"case.served_on": DROP}], ["case.served_on"]),
    ("filing.service", [{"case.served_on": DROP}], []),
    ("filing.response_on_default", [DEFAULT], []),
    ("filing.response_on_default", [{"case.path": "default_with_agreement"}], ["case.response_filed_on"]),
    ("filing.response_on_default", [DEFAULT, {"case.appearance_on": "2026-05-01"}], ["case.appearance_on"]),
    # rule 5.402(b)
    ("filing.respondent_address", [DEFAULT], []),
    ("filing.respondent_address", [DEFAULT, {"respondent.address": DROP}], ["respondent.address"]),
    ("filing.respondent_address", [DEFAULT, {"respondent.address": DROP, "case.service_method": "publication"}], []),
    (
        "filing.respondent_address",
        [DEFAULT, {"respondent.address": DROP, "notices.addresses": {"to_respondent": "Post Office Box 7"}}],
        [],
    ),
    ("filing.mailing_address", [], []),
    ("filing.mailing_address", [{"petitioner.address": DROP}], ["petitioner.address"]),
    ("filing.mailing_address", [{"petitioner.address.city": DROP}], ["petitioner.address"]),
    (
        "filing.mailing_address",
        [
            {
                "petitioner.address": DROP,
                "petitioner.representation": "attorney",
                "petitioner.attorney": {"address": "9 Law Row"},
            }
        ],
        [],
    ),
    # an attorney for one task is not of record (Cal. Rules of Court, rule 5.425), so the court's post does not go there
    (
        "filing.mailing_address",
        [
            {
                "petitioner.address": DROP,
                "petitioner.representation": "limited_scope",
                "petitioner.attorney": {"address": "9 Law Row"},
            }
        ],
        ["petitioner.address"],
    ),
    # an email address is no place for a stamped envelope (form FL-182 items 2i, 3j)
    (
        "filing.mailing_address",
        [{"petitioner.address": DROP, "notices.addresses": {"to_petitioner": "ann@barrow.example"}}],
        ["petitioner.address"],
    ),
    (
        "filing.mailing_address",
        [{"petitioner.address": DROP, "notices.addresses": {"to_petitioner": "ann@barrow.example; Post Office Box 7"}}],
        [],
    ),
    (
        "filing.respondent_address",
        [DEFAULT, {"respondent.address": DROP, "notices.addresses": {"to_respondent": "ben@barrow.example"}}],
        ["respondent.address"],
    ),
    ("filing.mailing_address", [{"petitioner.address_hidden": "yes"}], ["notices.addresses.to_petitioner"]),
    (
        "filing.mailing_address",
        [{"petitioner.address_hidden": "yes", "notices.addresses": {"to_petitioner": "Post Office Box 7"}}],
        [],
    ),
    ("filing.same_address", [DEFAULT], []),
    (
        "filing.same_address",
        [DEFAULT, {"respondent.address": {"street": "1 Elm  Street.", "city": "OAKLAND"}}],
        ["respondent.address.street"],
    ),
    ("filing.same_address", [{"respondent.address": {"street": "1 Elm Street", "city": "Oakland"}}], []),
    ("filing.effective_day", [], []),
    ("filing.effective_day", [{"case.effective_rule": DROP}], ["case.effective_rule"]),
    ("filing.effective_day", [{"case.effective_rule": "fixed_date"}], ["case.effective_on"]),
    # Fam. Code § 2105(d), form FL-144 item 2
    ("filing.waiver_requirements", [WAIVED], []),
    (
        "filing.waiver_requirements",
        [WAIVED, {"respondent.disclosure.income_declaration_on": DROP}],
        ["respondent.disclosure.income_declaration_on"],
    ),
    (
        "filing.waiver_requirements",
        [WAIVED, {"respondent.disclosure.preliminary_served_on": DROP}],
        ["respondent.disclosure.preliminary_served_on"],
    ),
    (
        "filing.waiver_requirements",
        [WAIVED, {"petitioner.disclosure.final_waived": {"under_penalty_of_perjury": "no"}}],
        ["petitioner.disclosure.final_waived.under_penalty_of_perjury"],
    ),
    ("filing.waiver_requirements", [{"respondent.disclosure.income_declaration_on": DROP}], []),
    ("filing.child_details", [CHILD], []),
    ("filing.child_details", [CHILD, {"children.may.born_on": DROP}], ["children.may.born_on"]),
    ("filing.child_details", [CHILD, {"children.may.born_on": DROP, "children.may.due_on": "2027-02-01"}], []),
    (
        "filing.child_details",
        [CHILD, {"children.al": CHILD["children.may"], "parenting.groups": [{"children": ["al"]}]}],
        ["parenting.groups"],
    ),
    ("filing.habitual_differs", [CHILD], []),
    ("filing.habitual_differs", [CHILD, {"children.may.habitual_country": "the United States of America"}], []),
    ("filing.habitual_differs", [CHILD, {"children.may.habitual_country": "Chile"}], ["children.may.habitual_country"]),
    ("filing.travel_conflict", joint("travel", **{"parenting.travel": {"abroad": "consent"}}), []),
    (
        "filing.travel_conflict",
        joint("travel", **{"parenting.travel": {"abroad": "notice"}}),
        ["parenting.joint_topics.0.rule"],
    ),
    (
        "filing.travel_conflict",
        joint("passport", **{"parenting.passports": {"renewal": "holder_alone"}}),
        ["parenting.joint_topics.0.rule"],
    ),
    ("filing.travel_conflict", joint("passport", **{"parenting.passports": {"renewal": "both_sign"}}), []),
    # Fam. Code § 4056(a)
    ("filing.guideline_figure", [CHILD], []),
    ("filing.guideline_figure", [CHILD, {"child_support.guideline_amount": DROP}], ["child_support.guideline_amount"]),
    ("filing.guideline_figure", [CHILD, {"child_support.guideline_payer": DROP}], ["child_support.guideline_payer"]),
    (
        "filing.guideline_figure",
        [CHILD, {"child_support.guideline_payer": DROP, "child_support.guideline_amount": "0"}],
        [],
    ),
    (
        "filing.guideline_figure",
        [CHILD, {"child_support.guideline_amount": DROP, "child_support.mode": "reserved"}],
        [],
    ),
    ("filing.aid_without_agency", [CHILD, {"case.public_assistance": "receiving"}], ["case.child_support_agency"]),
    (
        "filing.aid_without_agency",
        [CHILD, {"case.public_assistance": "receiving", "case.child_support_agency": "yes"}],
        [],
    ),
    ("filing.aid_without_agency", [CHILD, {"case.public_assistance": "past"}], []),
    ("filing.support_sum", [CHILD], []),
    ("filing.support_sum", [CHILD, {SUM: [{"child": "may", "amount": "700.00"}]}], []),
    ("filing.support_sum", [CHILD, {SUM: [{"child": "may", "amount": "699.99"}]}], [SUM]),
    # form FL-180 item 4l
    ("filing.support_contradiction", [{"spousal_support.to_petitioner.outcome": "payable"}], []),
    (
        "filing.support_contradiction",
        [{"spousal_support.to_petitioner.outcome": "payable", "spousal_support.to_respondent.outcome": "payable"}],
        ["spousal_support.to_respondent.outcome"],
    ),
    (
        "filing.support_contradiction",
        [{"spousal_support.to_petitioner": {"outcome": "waived", "amount": "500"}}],
        ["spousal_support.to_petitioner.amount"],
    ),
    (
        "filing.support_contradiction",
        [
            {
                "spousal_support.to_petitioner": {
                    "outcome": "terminated",
                    "steps": [{"from_day": "2027-01-01", "to_day": "2027-12-31", "amount": "1"}],
                }
            }
        ],
        ["spousal_support.to_petitioner.steps"],
    ),
    # Fam. Code § 5260
    (
        "filing.stay_terms",
        [{"spousal_support.to_petitioner": {"outcome": "payable", "withholding_stay": {"wanted": "yes"}}}],
        [
            "spousal_support.to_petitioner.withholding_stay.reason",
            "spousal_support.to_petitioner.withholding_stay.account",
        ],
    ),
    (
        "filing.stay_terms",
        [
            {
                "spousal_support.to_petitioner": {
                    "outcome": "payable",
                    "method": "transfer",
                    "withholding_stay": {"wanted": "yes", "reason": "agreed"},
                }
            }
        ],
        [],
    ),
    (
        "filing.stay_terms",
        [{"spousal_support.to_petitioner": {"outcome": "waived", "withholding_stay": {"wanted": "yes"}}}],
        [],
    ),
    ("filing.listed_twice", [PLAN, LAND], []),
    ("filing.listed_twice", [PLAN, {"assets.twin": {"kind": "other", "label": "The Plan"}}], ["assets.twin"]),
    (
        "filing.listed_twice",
        [
            {
                "debts.one": {"kind": "card", "creditor": "Mill Bank", "last_four": "1111"},
                "debts.two": {"kind": "card", "creditor": "Mill Bank", "last_four": "1111"},
            }
        ],
        ["debts.two"],
    ),
    (
        "filing.listed_twice",
        [
            {
                "debts.one": {"kind": "card", "creditor": "Mill Bank", "last_four": "1111"},
                "debts.two": {"kind": "card", "creditor": "Hill Bank", "last_four": "1111"},
            }
        ],
        [],
    ),
    ("filing.real_property", [LAND], []),
    ("filing.real_property", [LAND, {"assets.home.real.parcel_number": DROP}], ["assets.home.real.parcel_number"]),
    (
        "filing.real_property",
        [LAND, {"assets.home.real": DROP}],
        ["assets.home.real.address", "assets.home.real.parcel_number"],
    ),
    ("filing.real_property", [LAND, {"assets.home.real": {"use": "lease"}}], []),
    # form FL-345 item 1e
    ("filing.plan_details", [PLAN], []),
    ("filing.plan_details", [PLAN, {"assets.plan.retirement.plan_name": DROP}], ["assets.plan.retirement.plan_name"]),
    (
        "filing.plan_details",
        [PLAN, {"assets.plan.retirement.order_cost_petitioner_percent": DROP}],
        ["assets.plan.retirement.order_cost_petitioner_percent"],
    ),
    (
        "filing.plan_details",
        [PLAN, {"assets.plan.retirement.order_cost_petitioner_percent": DROP, "assets.plan.retirement.type": "ira"}],
        [],
    ),
    ("filing.plan_details", [PLAN, {"assets.plan.retirement": {"method": "keep"}}], []),
    # form FL-345 item 3
    ("filing.equalization_terms", [], []),
    (
        "filing.equalization_terms",
        [{"equalization": {"mode": "lump", "payer": "petitioner", "amount": "10", "due_event": "closing"}}],
        [],
    ),
    (
        "filing.equalization_terms",
        [{"equalization": {"mode": "lump"}}],
        [f"equalization.{name}" for name in ("payer", "amount", "due_on")],
    ),
    (
        "filing.equalization_terms",
        [{"equalization": {"mode": "note", "payer": "petitioner", "amount": "10"}}],
        ["equalization.note"],
    ),
    (
        "filing.equalization_terms",
        [{"equalization": {"mode": "retirement", "payer": "petitioner", "amount": "10"}}],
        ["equalization.from_asset"],
    ),
    ("filing.fees_outcome", [], []),
    ("filing.fees_outcome", [{"fees": {}}], ["fees.plan"]),
    ("filing.fees_outcome", [{"fees": {}, "case.petition_relief": ["fees"]}], []),
    (
        "filing.fees_outcome",
        [{"fees": {"plan": "contribution", "payer": "petitioner", "amount": "10"}}],
        ["fees.due_on"],
    ),
    ("filing.restored_name", [{"petitioner.restore_name": "Ann Lake"}], []),
    ("filing.restored_name", [{"petitioner.restore_name": "Lake"}], ["petitioner.restore_name"]),
    ("filing.restored_name", [{"petitioner.restore_name": "ann barrow"}], ["petitioner.restore_name"]),
]


@pytest.mark.parametrize(("rule_id", "overrides", "expected"), TABLE)
def test_a_rule_strikes_where_it_should(rule_id: str, overrides: list[dict[str, Any]], expected: list[str]) -> None:
    assert paths(rule_id, *overrides) == expected


def answering(*topics: str) -> Any:
    return clause("general.further_acts", answers=topics)


PAPER: list[tuple[str, list[dict[str, Any]], Any, list[str]]] = [
    ("filing.waiver_paragraph", [WAIVED], answering("disclosure"), ["petitioner.disclosure.final_waived"]),
    ("filing.waiver_paragraph", [WAIVED], answering("disclosure.waiver"), []),
    ("filing.custody_paragraph", [CHILD], answering("custody.legal"), ["parenting"]),
    ("filing.custody_paragraph", [CHILD], answering("basis: custody.findings"), []),
    ("filing.custody_paragraph", [], answering(), []),
    ("filing.support_declarations", [CHILD], answering("child-support.declarations"), []),
    ("filing.support_declarations", [CHILD], answering(), ["child_support.declarations"]),
    (
        "filing.support_declarations",
        [CHILD, {"child_support.declarations.informed": "no"}],
        answering("child-support.declarations"),
        ["child_support.declarations.informed"],
    ),
    (
        "filing.support_factors",
        [{"marriage.married_on": "2010-01-01", "spousal_support.to_respondent.outcome": "waived"}],
        answering(),
        ["spousal_support.to_respondent.findings"],
    ),
    (
        "filing.support_factors",
        [{"marriage.married_on": "2010-01-01", "spousal_support.to_respondent.outcome": "waived"}],
        answering("spousal-support.factors"),
        [],
    ),
    ("filing.support_factors", [{"spousal_support.to_respondent.outcome": "waived"}], answering(), []),
    ("filing.nothing_to_divide", [], answering(), ["assets", "debts"]),
    ("filing.nothing_to_divide", [], answering("property.none", "debts.general"), []),
    ("filing.nothing_to_divide", [LAND], answering(), ["debts"]),
]


@pytest.mark.parametrize(("rule_id", "overrides", "chosen", "expected"), PAPER)
def test_a_paragraph_must_answer_what_the_form_rests_on(
    rule_id: str, overrides: list[dict[str, Any]], chosen: Any, expected: list[str]
) -> None:
    assert [hit.path for hit in hits(rule_id, review(*overrides, chosen=(chosen,)))] == expected


def line(name: str, clause_id: str, label: str) -> Signature:
    return Signature(f"{clause_id}/{label}", clause_id, (Text(name),), (Text("Capacity"),))


ANN, COLE = line("Ann Barrow", "sign.signatures", "petitioner"), line("Cole Dunn", "sign.signatures", "respondent")
JUDGE = line("Judicial officer", "sign.judge", "line")


@pytest.mark.parametrize(
    ("lines", "unsigned", "judge_wrong"),
    [
        ((ANN, COLE, JUDGE), [], False),
        ((ANN, JUDGE), ["respondent.name"], False),
        ((ANN, COLE), [], True),
        ((ANN, JUDGE, COLE), [], True),
    ],
)
def test_signature_places(lines: tuple[Signature, ...], unsigned: list[str], judge_wrong: bool) -> None:
    blocks = {"article.signatures": lines}
    given = review({"case.agreement_kind": "stipulated_judgment"}, blocks=blocks)
    assert [hit.path for hit in hits("filing.signature_line", given)] == unsigned
    assert [hit.path for hit in hits("filing.judge_line", given)] == (["case.agreement_kind"] if judge_wrong else [])
    assert hits("filing.judge_line", review(blocks=blocks)) == []


@pytest.mark.parametrize(("target", "expected"), [("exhibit.note", []), ("article.general", ["Exhibit A."])])
def test_an_exhibit_is_referred_to(target: str, expected: list[str]) -> None:
    pointer = Paragraph("general.entire", "general.entire", 1, (Reference(target),))
    given = review(blocks={"article.general": (pointer,), "exhibit.note": (text("exhibit.note_terms", "Terms"),)})
    assert [hit.detail for hit in hits("filing.exhibit_unmentioned", given)] == expected


def test_every_rule_is_seen_to_strike_and_to_keep_still() -> None:
    on_paper = {"filing.signature_line", "filing.judge_line", "filing.exhibit_unmentioned"}
    tables = struck([*TABLE, *((rule_id, overrides, found) for rule_id, overrides, _, found in PAPER)])
    assert tables | on_paper == rules_of(filing)


def test_all_checks_before_filing_are_accounted_for_once() -> None:
    """The list of checks made from forms FL-100 to FL-435 and rules 5.400 to 5.415 has 94 entries."""
    lists = (filing.RULE, filing.COVERED, filing.WAITING)
    assert sorted(name for entry in lists for name in entry) == [f"JC-{n:02d}" for n in range(1, 95)]
    named = {rule_id for entry in (filing.RULE, filing.COVERED) for ids in entry.values() for rule_id in ids}
    assert named <= set(RULES)
    assert rules_of(filing) <= named
