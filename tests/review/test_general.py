"""Taxes, fees, general terms, signing, negotiation: the nearest facts that make a rule strike, and the nearest that do not."""

from __future__ import annotations

from typing import Any

import pytest
from review.cases import CHILD, DROP, hits, paths, review, rules_of, struck, text

from msadraft.review import general
from msadraft.tree import Block, Signature, Text

ANN = {"child": "may", "claimant": "petitioner", "years": "every"}
COLE = {"child": "may", "claimant": "respondent", "years": "every"}
HALVES: dict[str, Any] = {
    "parenting.blocks": [
        {"from_day": "monday", "from_time": "12:00", "to_day": "wednesday", "to_time": "12:00", "parent": "petitioner"},
        {"from_day": "wednesday", "from_time": "12:00", "to_day": "friday", "to_time": "12:00", "parent": "respondent"},
        {
            "week": "1",
            "from_day": "friday",
            "from_time": "12:00",
            "to_week": "2",
            "to_day": "monday",
            "to_time": "12:00",
            "parent": "petitioner",
        },
        {
            "week": "2",
            "from_day": "monday",
            "from_time": "12:00",
            "to_day": "wednesday",
            "to_time": "12:00",
            "parent": "petitioner",
        },
        {
            "week": "2",
            "from_day": "wednesday",
            "from_time": "12:00",
            "to_day": "friday",
            "to_time": "12:00",
            "parent": "respondent",
        },
        {
            "week": "2",
            "from_day": "friday",
            "from_time": "12:00",
            "to_week": "1",
            "to_day": "monday",
            "to_time": "12:00",
            "parent": "respondent",
        },
    ],
    "parenting.weeks_in_cycle": "2",
}
BUSINESS: dict[str, Any] = {
    "assets.shop": {"kind": "business", "label": "the shop", "value": "50000.00", "goes_to": "respondent"}
}
POLICY: dict[str, Any] = {
    "assets.life": {
        "kind": "policy",
        "label": "the policy",
        "goes_to": "respondent",
        "policy": {"owner": "respondent", "beneficiary": "Ann Barrow"},
    }
}
ORDER: dict[str, Any] = {
    "case.protective_orders": [
        {"kind": "domestic_violence", "protected": "petitioner", "restrained": "respondent", "ends_on": "2028-01-01"}
    ]
}
BROUGHT: dict[str, Any] = {"case.drafted_by": "document_assistant"}
ASSISTANT: dict[str, Any] = {
    **BROUGHT,
    "case.preparer_block": {
        "name": "Help Desk", "address": "1 Dock Street", "phone": "(707) 555-0133", "registration": "LDA 1", "county": "Alameda", "expires_on": "2027-08-31",
    },
}  # fmt: skip
DEBT: dict[str, Any] = {
    "debts.card": {"kind": "card", "creditor": "Card Company", "obligors": "both", "assigned_to": "respondent"}
}


def claims(*entries: dict[str, str], **more: Any) -> dict[str, Any]:
    return {"taxes.dependents": [dict(entry) for entry in entries], **more}


def filing(year: str, status: str = "joint") -> dict[str, Any]:
    return {"taxes.filing": [{"year": year, "status": status}]}


def term(body: str) -> dict[str, Any]:
    return {"case.special_terms": [{"part": "general", "heading": "Term", "body": body}]}


def change(path: str, new: str, status: str = "offered") -> dict[str, Any]:
    return {"negotiation.changes": [{"path": path, "new": new, "by": "respondent", "status": status}]}


TERM = ["case.special_terms.0.body"]
TABLE: list[tuple[str, list[dict[str, Any]], list[str]]] = [
    # I.R.C. § 152: one child, one year, one return; May is nine, so her years run from 2026 to 2035
    ("tax.both_claim", [CHILD, claims(ANN)], []),
    ("tax.both_claim", [CHILD, claims(ANN, COLE)], ["taxes.dependents.1"]),
    ("tax.both_claim", [CHILD, claims({**ANN, "years": "even"}, {**COLE, "years": "odd"})], []),
    ("tax.both_claim", [CHILD, claims({**ANN, "years": "even"}, COLE)], ["taxes.dependents.1"]),
    ("tax.both_claim", [CHILD, claims(ANN, {**COLE, "from_year": "2035"})], ["taxes.dependents.1"]),
    ("tax.both_claim", [CHILD, claims(ANN, {**COLE, "from_year": "2036"})], []),
    ("tax.both_claim", [CHILD, claims(ANN, ANN)], []),
    ("tax.no_claim", [CHILD, claims(ANN)], []),
    ("tax.no_claim", [CHILD], ["taxes.dependents"]),
    ("tax.no_claim", [CHILD, claims({**ANN, "years": "even"})], ["taxes.dependents"]),
    ("tax.no_claim", [CHILD, claims({**ANN, "years": "even"}, {**COLE, "years": "odd"})], []),
    ("tax.no_claim", [CHILD, claims({**ANN, "from_year": "2028"})], []),
    ("tax.no_claim", [], []),
    # I.R.C. § 152(e): four nights of seven with the petitioner
    ("tax.release", [CHILD, claims(COLE)], ["taxes.form_release.by"]),
    ("tax.release", [CHILD, claims(COLE, **{"taxes.form_release": {"by": "February 15"}})], []),
    ("tax.release", [CHILD, claims(ANN)], []),
    ("tax.release", [CHILD, HALVES, claims(COLE)], []),
    ("tax.release", [CHILD, claims(COLE, **{"parenting.blocks": [], "parenting.primary_home": "petitioner"})], ["taxes.form_release.by"]),
    ("tax.release", [CHILD, claims(COLE, **{"parenting.blocks": [], "child_support.guideline_inputs": {"petitioner_time_percent": "40"}})], []),
    ("tax.release", [CHILD, claims(ANN, **{"parenting.blocks": [], "child_support.guideline_inputs": {"petitioner_time_percent": "40"}})], ["taxes.form_release.by"]),
    ("tax.nights_tie", [CHILD, HALVES], ["taxes.tie_break"]),
    ("tax.nights_tie", [CHILD, HALVES, {"taxes.tie_break": "Ann in even years"}], []),
    ("tax.nights_tie", [CHILD], []),
    # I.R.C. § 7703: status on the last day of the year; here the first possible day is 2026-07-21
    ("tax.joint_year", [filing("2026"), {"case.status_mode": "on_date", "case.status_on": "2026-12-31"}], ["taxes.filing.0.status"]),
    ("tax.joint_year", [filing("2025"), {"case.status_mode": "on_date", "case.status_on": "2026-12-31"}], []),
    ("tax.joint_year", [filing("2026", "separate"), {"case.status_mode": "on_date", "case.status_on": "2026-12-31"}], []),
    ("tax.joint_year", [filing("2026"), {"case.status_mode": "earliest"}], ["taxes.filing.0.status"]),
    ("tax.joint_year", [filing("2026")], []),
    ("tax.innocent_waiver", [term("Each party waives innocent spouse relief.")], TERM),
    ("tax.innocent_waiver", [term("Neither party waives innocent spouse relief.")], []),
    ("tax.gain", [BUSINESS], ["assets.shop.unrealized_gain_noted"]),
    ("tax.gain", [BUSINESS, {"assets.shop.value": "49999.99"}], []),
    ("tax.gain", [BUSINESS, {"assets.shop.unrealized_gain_noted": "yes"}], []),
    ("tax.gain", [BUSINESS, {"assets.shop.goes_to": "sell"}], []),
    ("tax.gain", [{"assets.money": {"kind": "account", "label": "cash", "value": "90000", "goes_to": "split", "account": {"type": "savings"}}}], []),
    ("tax.gain", [{"assets.money": {"kind": "account", "label": "fund", "value": "90000", "goes_to": "split", "account": {"type": "brokerage"}}}], ["assets.money.unrealized_gain_noted"]),
    ("tax.gain", [{"assets.home": {"kind": "real", "label": "home", "value": "90000", "goes_to": "petitioner"}}], ["assets.home.unrealized_gain_noted"]),
    ("tax.gain", [{"assets.home": {"kind": "real", "label": "home", "value": "90000", "goes_to": "petitioner", "real": {"tax_basis_note": "bought for 80,000"}}}], []),
    ("fees.silent", [{"case.petition_relief": ["fees"], "fees": DROP}], ["fees.plan"]),
    ("fees.silent", [{"case.petition_relief": ["fees"]}], []),
    ("fees.silent", [{"case.petition_relief": ["fees"], "fees": DROP, "case.reserved_issues": [{"issue": "fees"}]}], []),
    ("fees.silent", [{"fees": DROP}], []),
    # Fam. Code § 2080
    ("name.new", [{"petitioner.restore_name": "Ann Maiden"}], []),
    ("name.new", [{"petitioner.restore_name": "Maiden"}], ["petitioner.restore_name"]),
    ("name.new", [{"petitioner.restore_name": "Ann Barrow"}], ["petitioner.restore_name"]),
    ("name.new", [{"petitioner.restore_name": "Star Maiden"}], ["petitioner.restore_name"]),
    ("name.new", [{"petitioner.restore_name": "Star Maiden", "petitioner.also_known_as": ["Star Maiden"]}], []),
    ("name.legal_separation", [{"petitioner.restore_name": "Ann Maiden"}], []),
    ("name.legal_separation", [{"petitioner.restore_name": "Ann Maiden", "case.proceeding": "legal_separation"}], ["petitioner.restore_name"]),
    ("estate.waiver_open", [], ["estate.waiver"]),
    ("estate.waiver_open", [{"estate.waiver": "none"}], []),
    ("estate.waiver_open", [{"estate.waiver": "one_way"}], ["estate.waiving_party"]),
    ("estate.waiver_open", [{"estate.waiver": "one_way", "estate.waiving_party": "petitioner"}], []),
    ("estate.policy", [POLICY], ["assets.life.policy.beneficiary"]),
    ("estate.policy", [POLICY, {"assets.life.policy.beneficiary": "his wife"}], ["assets.life.policy.beneficiary"]),
    ("estate.policy", [POLICY, {"assets.life.policy.beneficiary": "his estate"}], []),
    ("estate.policy", [POLICY, {"assets.life.policy.owner": "petitioner"}], []),
    ("estate.policy", [POLICY, {"estate.kept_designations": [{"asset": "life"}]}], []),
    ("general.merger", [], []),
    ("general.merger", [{"case.merger": DROP}], ["case.merger"]),
    # Evid. Code § 1123
    ("general.mediation_words", [{"case.mediated": "yes"}], ["case.mediation_admissible"]),
    ("general.mediation_words", [{"case.mediated": "yes", "case.mediation_admissible": "no"}], ["case.mediation_admissible"]),
    ("general.mediation_words", [{"case.mediated": "yes", "case.mediation_admissible": "yes"}], []),
    ("general.mediation_words", [{"case.mediated": "no"}], []),
    ("general.trade_unbundled", [{"equalization.unequal": "yes"}, term("If a term is invalid, the others stand.")], TERM),
    ("general.trade_unbundled", [term("If a term is invalid, the others stand.")], []),
    ("general.trade_unbundled", [{"equalization.unequal": "yes"}, term("If a term is invalid, the promises given for each other end.")], []),
    ("general.advice_recital", [{"petitioner.independent_advice": {"had": "no", "by": "A. Lawyer"}}], ["petitioner.independent_advice.had"]),
    ("general.advice_recital", [{"petitioner.independent_advice": {"had": "yes", "by": "A. Lawyer"}}], []),
    ("general.advice_recital", [{"petitioner.independent_advice": {"had": "no"}}], []),
    (
        "general.advice_recital",
        [{"petitioner.violence_conviction.level": "misdemeanor", "spousal_support.to_petitioner.conviction_rule": "waived"}],
        ["respondent.independent_advice.had"],
    ),
    (
        "general.advice_recital",
        [
            {"petitioner.violence_conviction.level": "misdemeanor", "spousal_support.to_petitioner.conviction_rule": "waived"},
            {"respondent.independent_advice.had": "yes"},
        ],
        [],
    ),
    ("general.language", [{"respondent.language": "Spanish"}], ["respondent.interpreter"]),
    ("general.language", [{"respondent.language": "Spanish", "respondent.interpreter": {"name": "R. Vega"}}], []),
    ("general.language", [], []),
    ("general.capacity", [{"respondent.capacity_issue.kind": "hospital"}], ["respondent.capacity_issue"]),
    ("general.capacity", [], []),
    ("general.stay", [BUSINESS, {"petitioner.bankruptcy.stay": "yes"}], ["petitioner.bankruptcy.stay"]),
    ("general.stay", [BUSINESS, {"petitioner.bankruptcy.stay": "no"}], []),
    ("general.stay", [{"petitioner.bankruptcy.stay": "yes"}], []),
    ("general.dv_release", [ORDER, term("Each party releases claims for injury.")], TERM),
    ("general.dv_release", [ORDER, term("Neither party releases claims for injury.")], []),
    ("general.dv_release", [term("Each party releases claims for injury.")], []),
    ("general.order_trade", [term("Ann shall dismiss the restraining order.")], TERM),
    ("general.order_trade", [term("Ann agrees not to renew the restraining order.")], TERM),
    ("general.order_trade", [term("Nothing here ends the restraining order.")], []),
    ("general.order_trade", [term("The restraining order governs contact.")], []),
    (
        "general.order_trade",
        [{"case.traded_terms": [{"given": "the car", "in_return_for": "consent about the protective order"}]}],
        ["case.traded_terms.0.in_return_for"],
    ),
    ("general.gag", [{"confidentiality": {"wanted": "yes", "covers": "what was told to the police"}}], ["confidentiality.covers"]),
    ("general.gag", [{"confidentiality": {"wanted": "no", "covers": "what was told to the police"}}], []),
    ("general.gag", [{"confidentiality": {"wanted": "yes", "covers": "the amounts in this agreement"}}], []),
    ("general.gag", [term("Ann shall not report the past to the police.")], TERM),
    ("general.gag", [term("Neither party shall call the police.")], TERM),
    ("general.gag", [term("Neither party shall speak badly of the other before the child's doctor.")], []),
    ("general.gag", [term("Ann shall report a change of address to the court.")], []),
    ("general.no_date", [{"equalization": {"mode": "lump", "amount": "9"}}], ["equalization.due_on"]),
    ("general.no_date", [{"equalization": {"mode": "lump", "amount": "9", "due_event": "closing"}}], ["equalization.due_on"]),
    ("general.no_date", [{"equalization": {"mode": "lump", "amount": "9", "due_on": "2027-01-31"}}], []),
    ("general.no_date", [{"fees.plan": "contribution"}], ["fees.due_on"]),
    ("general.no_date", [{"fees.plan": "contribution", "fees.instalments": "in June and July 2027"}], []),
    ("general.no_date", [{"spousal_support.to_petitioner": {"lump_sum": {"amount": "9"}, "buy_out": {"value": "9"}}}], ["spousal_support.to_petitioner.lump_sum.due_on", "spousal_support.to_petitioner.buy_out.due_on"]),
    ("general.no_date", [DEBT], ["debts.card.pay_by"]),
    ("general.no_date", [DEBT, {"debts.card.pay_rule": "in its installments"}], []),
    ("general.no_date", [DEBT, {"debts.card.obligors": "respondent"}], []),
    ("general.placeholder", [term("The amount is [amount].")], TERM),
    ("general.placeholder", [term("The day is ____.")], TERM),
    ("general.placeholder", [term("The day is TBD.")], TERM),
    ("general.placeholder", [term("The day is to be determined.")], TERM),
    ("general.placeholder", [term("The value is to be determined by an appraiser.")], []),
    ("general.placeholder", [{"negotiation.changes": [{"path": "fees.plan", "note": "day TBD"}]}], []),
    ("general.product", [term("The parents use Kalendra™.")], TERM),
    ("general.product", [{"parenting.health_and_school": {"doctor": "see www.example.org"}}], ["parenting.health_and_school.doctor"]),
    ("general.product", [{"notices.addresses.to_petitioner": "ann@mail.example.com"}], []),
    ("general.product", [term("Write to ann@mail.com, or by post.")], []),
    # Rule 5.411(a), Bus. & Prof. Code § 6408
    ("sign.approval", [{"petitioner.representation": "attorney"}], ["petitioner.attorney.name"]),
    ("sign.approval", [{"petitioner.representation": "attorney", "petitioner.attorney.name": "A. Lawyer"}], []),
    ("sign.approval", [{"petitioner.representation": "limited_scope"}], []),
    ("sign.preparer", [BROUGHT], ["case.preparer_block.name"]),
    ("sign.preparer", [ASSISTANT], []),
    ("sign.preparer", [ASSISTANT, {"case.preparer_block.registration": DROP}], ["case.preparer_block.registration"]),
    ("sign.preparer", [ASSISTANT, {"case.preparer_block": DROP, "case.drafted_by": "clinic"}], []),
    # Fam. Code § 2105; the last of the disclosures was served on 2026-10-06
    ("sign.early", [], []),
    ("sign.early", [{"petitioner.signed_on": "2026-10-06"}], []),
    ("sign.early", [{"petitioner.signed_on": "2026-10-05"}], ["petitioner.signed_on"]),
    ("sign.early", [{"petitioner.signed_on": "2026-11-20", "respondent.disclosure.final_served_on": DROP}], ["petitioner.signed_on"]),
    (
        "sign.early",
        [{"petitioner.signed_on": "2026-11-20", "respondent.disclosure.final_served_on": DROP, "respondent.disclosure.final_waived.signed_on": "2026-11-20"}],
        [],
    ),
    # What is offered must not be printed
    ("negotiation.open_offer", [change("fees.plan", "own")], ["negotiation.changes.0.status"]),
    ("negotiation.open_offer", [change("fees.plan", "own", "refused")], ["negotiation.changes.0.status"]),
    ("negotiation.open_offer", [change("fees.plan", "own", "accepted")], []),
    ("negotiation.open_offer", [change("fees.plan", "reserved")], []),
    ("negotiation.open_offer", [CHILD, change("child_support.amount", "$700")], ["negotiation.changes.0.status"]),
    ("negotiation.open_offer", [CHILD, change("child_support.amount", "700.01")], []),
    ("negotiation.open_offer", [change("case.signing_on", "2026-11-20")], ["negotiation.changes.0.status"]),
    ("negotiation.open_offer", [change("case.child_support_agency", "no")], ["negotiation.changes.0.status"]),
    ("negotiation.open_offer", [{"case.petition_relief": ["fees", "custody"]}, change("case.petition_relief", "[fees, custody]")], ["negotiation.changes.0.status"]),
    ("negotiation.open_offer", [{"case.petition_relief": ["fees"]}, change("case.petition_relief", "[fees, custody]")], []),
    ("negotiation.open_offer", [CHILD, change("parenting.blocks", "see letter")], ["negotiation.changes.0.status"]),
    ("negotiation.open_offer", [change("assets.boat.goes_to", "petitioner")], []),
    ("negotiation.open_offer", [{"negotiation.changes": [{"path": "fees.plan", "new": "own", "status": s} for s in ("offered", "accepted")]}], []),
]  # fmt: skip


@pytest.mark.parametrize(("rule_id", "overrides", "expected"), TABLE)
def test_a_rule_strikes_where_it_should(rule_id: str, overrides: list[dict[str, Any]], expected: list[str]) -> None:
    assert paths(rule_id, *overrides) == expected


RELEASE = "Each party gives up every claim that arose from the marriage."
UNEQUAL: dict[str, Any] = {"equalization.unequal": "yes"}
PRIVATE: dict[str, Any] = {"confidentiality.wanted": "yes"}
NO_ADVICE: dict[str, Any] = {"petitioner.independent_advice.had": "no"}
PAPERS: list[tuple[str, dict[str, Any], str, str, list[str]]] = [
    ("general.retain_request", {}, "general.enforcement_reserve", "The court keeps its power.", [""]),
    ("general.retain_request", {}, "general.enforcement_reserve", "Both parties ask the court to keep its power.", []),
    (
        "general.trade_unbundled",
        UNEQUAL,
        "general.construction",
        "If a term cannot be enforced, the rest stands.",
        ["equalization.unequal"],
    ),
    (
        "general.trade_unbundled",
        UNEQUAL,
        "general.construction",
        "If a term cannot be enforced, a pair of promises stands or falls.",
        [],
    ),
    ("general.trade_unbundled", {}, "general.construction", "If a term cannot be enforced, the rest stands.", []),
    (
        "general.advice_recital",
        NO_ADVICE,
        "general.counsel_voluntary",
        "Ann had independent legal advice.",
        ["petitioner.independent_advice.had"],
    ),
    (
        "general.advice_recital",
        NO_ADVICE,
        "general.counsel_voluntary",
        "Each party has had legal advice.",
        ["petitioner.independent_advice.had"],
    ),
    (
        "general.advice_recital",
        NO_ADVICE,
        "general.counsel_voluntary",
        "Ann was told of advice and chose to sign without it.",
        [],
    ),
    ("general.advice_recital", NO_ADVICE, "general.counsel_voluntary", "Cole had independent legal advice.", []),
    ("general.dv_release", ORDER, "general.release", RELEASE, ["case.release_scope"]),
    ("general.dv_release", ORDER, "general.release", f"{RELEASE} It does not reach claims for injury.", []),
    ("general.gag", PRIVATE, "general.privacy", "Neither party shall publish the terms.", ["confidentiality.wanted"]),
    ("general.gag", PRIVATE, "general.privacy", "Nothing limits what a party tells the police.", []),
]


@pytest.mark.parametrize(("rule_id", "overrides", "clause_id", "words", "expected"), PAPERS)
def test_a_rule_reads_the_paper(
    rule_id: str, overrides: dict[str, Any], clause_id: str, words: str, expected: list[str]
) -> None:
    given = review(overrides, blocks={"article.general": (text(clause_id, words),)})
    assert [hit.path for hit in hits(rule_id, given)] == expected


def line(name: str, *lines: str) -> Signature:
    return Signature(f"sign/{name}", "sign.signatures", (Text(name),), (Text("signer"),), lines=lines or ("Date",))


REPRESENTED: dict[str, Any] = {"petitioner.representation": "attorney", "petitioner.attorney.name": "A. Lawyer"}
LINES: list[tuple[str, dict[str, Any], tuple[Block, ...], list[str]]] = [
    ("general.attorney_only", {}, (line("Ann Barrow"), line("Cole Dunn")), []),
    ("general.attorney_only", {}, (line("A. Lawyer"), line("Cole Dunn")), ["petitioner.name"]),
    ("sign.undated", {}, (line("Ann Barrow", "Date"), line("Cole Dunn", "Date", "City")), []),
    ("sign.undated", {}, (line("Ann Barrow", "Date"), line("Cole Dunn", "City")), [""]),
    ("sign.approval", REPRESENTED, (line("Ann Barrow"), line("Cole Dunn"), line("A. Lawyer")), []),
    ("sign.approval", REPRESENTED, (line("Ann Barrow"), line("Cole Dunn")), ["petitioner.attorney.name"]),
]


@pytest.mark.parametrize(("rule_id", "overrides", "blocks", "expected"), LINES)
def test_a_rule_reads_the_places_to_sign(
    rule_id: str, overrides: dict[str, Any], blocks: tuple[Block, ...], expected: list[str]
) -> None:
    given = review(overrides, blocks={"article.signatures": blocks})
    assert [hit.path for hit in hits(rule_id, given)] == expected


def test_every_rule_is_seen_to_strike_and_to_keep_still() -> None:
    papers = [(rule_id, [], expected) for rule_id, _, _, _, expected in PAPERS]
    lines = [(rule_id, [], expected) for rule_id, _, _, expected in LINES]
    assert struck([*TABLE, *papers, *lines]) == rules_of(general)


def test_the_matrix_of_claims_covers_every_year_of_support() -> None:
    given = review(CHILD, claims({**ANN, "years": "even"}, {**COLE, "years": "odd", "from_year": "2029"}))
    found = general.dependents_matrix(given)["may"]
    # May turns 18 on 2035-05-05 and, as a student, is supported to the end of 12th grade that year (Fam. Code § 3901).
    assert list(found) == list(range(2026, 2036))
    assert [found[year] for year in range(2026, 2031)] == [(0,), (), (0,), (1,), (0,)]


def test_a_preparer_sees_all_that_is_missing() -> None:
    (hit,) = hits(
        "sign.preparer", review(BROUGHT, {"case.preparer_block.name": "Help Desk", "case.preparer_block.phone": "1"})
    )
    assert hit.detail == "Missing: address, registration, county, and expires on."


def test_an_early_signature_names_the_disclosures() -> None:
    (hit,) = hits("sign.early", review({"respondent.signed_on": "2026-10-05"}))
    assert hit.detail == "Not there on 2026-10-05: Cole's final disclosure."
