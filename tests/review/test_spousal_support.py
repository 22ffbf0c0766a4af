"""Spousal support: the nearest facts that make a rule strike, and the nearest that do not."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from review.cases import CHILD, DROP, hits, paths, review, rules_of, struck, text

from msadraft.review import spousal_support

TO = "spousal_support.to_petitioner"
LONG: dict[str, Any] = {"marriage.married_on": "2010-01-15"}
PAID: dict[str, Any] = {
    TO: {
        "outcome": "payable",
        "amount": "900.00",
        "starts_on": "2026-12-01",
        "ends_on": "2030-11-30",
        "end_events": ["death_of_payer", "death_of_payee", "remarriage", "date"],
        "power_after_term": "ends",
        "amount_may_change": "modifiable",
        "term_may_change": "modifiable",
    }
}
WAIVED: dict[str, Any] = {TO: {"outcome": "waived"}}
STEPS: dict[str, Any] = {
    f"{TO}.amount": DROP,
    f"{TO}.steps": [
        {"from_day": "2026-12-01", "to_day": "2028-11-30", "amount": "900"},
        {"from_day": "2028-12-01", "to_day": "2030-11-30", "amount": "600"},
    ],
}
ORDER: dict[str, Any] = {"case.prior_orders": [{"subject": "spousal_support", "made_on": "2025-06-02", "fate": "ends"}]}
OLD_ORDER: dict[str, Any] = {
    "case.prior_orders": [{"subject": "spousal_support", "made_on": "2025-06-02", "fate": "continues"}]
}
POLICY: dict[str, Any] = {
    "assets.life": {"kind": "policy", "label": "the policy", "goes_to": "respondent", "policy": {"face": "43199.99"}},
    f"{TO}.security": [{"kind": "insurance", "policy": "life"}],
}


def convicted(level: str, on: str, **more: str) -> dict[str, Any]:
    return {"petitioner.violence_conviction": {"level": level, "convicted_on": on, **more}}


def both(petitioner: str, respondent: str) -> dict[str, Any]:
    return {"petitioner.gross_monthly_income": petitioner, "respondent.gross_monthly_income": respondent}


def term(part: str, body: str) -> dict[str, Any]:
    return {"case.special_terms": [{"part": part, "heading": "Term", "body": body}]}


TABLE: list[tuple[str, list[dict[str, Any]], list[str]]] = [
    # Cal. Rules of Court, rule 5.411(b): decided or kept open, for each of the two
    ("spousal_support.direction", [], [f"{TO}.outcome", "spousal_support.to_respondent.outcome"]),
    ("spousal_support.direction", [WAIVED], ["spousal_support.to_respondent.outcome"]),
    ("spousal_support.direction", [WAIVED, {"spousal_support.to_respondent.outcome": "reserved"}], []),
    # Fam. Code § 4336(a): 120 months or more, and words that end the power
    ("spousal_support.long_waiver_words", [LONG, WAIVED], [f"{TO}.ends_power_words"]),
    ("spousal_support.long_waiver_words", [LONG, WAIVED, {f"{TO}.ends_power_words": "no"}], [f"{TO}.ends_power_words"]),
    ("spousal_support.long_waiver_words", [LONG, WAIVED, {f"{TO}.ends_power_words": "yes"}], []),
    ("spousal_support.long_waiver_words", [LONG, {f"{TO}.outcome": "terminated"}], [f"{TO}.ends_power_words"]),
    ("spousal_support.long_waiver_words", [LONG, {f"{TO}.outcome": "reserved"}], []),
    ("spousal_support.long_waiver_words", [WAIVED], []),
    ("spousal_support.long_waiver_words", [WAIVED, {"marriage.married_on": "2015-01-31"}], [f"{TO}.ends_power_words"]),
    ("spousal_support.long_waiver_words", [WAIVED, {"marriage.married_on": "2015-02-01"}], []),
    ("spousal_support.long_waiver_advice", [LONG, WAIVED], ["petitioner.independent_advice.had"]),
    ("spousal_support.long_waiver_advice", [LONG, WAIVED, {"petitioner.independent_advice.had": "yes"}], []),
    (
        "spousal_support.long_waiver_advice",
        [LONG, WAIVED, {"petitioner.independent_advice.had": "no"}],
        ["petitioner.independent_advice.had"],
    ),
    ("spousal_support.long_waiver_advice", [WAIVED], []),
    # In re Marriage of Ousterman: an end date is not an end of the power
    ("spousal_support.long_term_silent", [LONG, PAID], []),
    ("spousal_support.long_term_silent", [LONG, PAID, {f"{TO}.power_after_term": DROP}], [f"{TO}.power_after_term"]),
    (
        "spousal_support.long_term_silent",
        [LONG, PAID, STEPS, {f"{TO}.power_after_term": DROP, f"{TO}.ends_on": DROP}],
        [f"{TO}.power_after_term"],
    ),
    ("spousal_support.long_term_silent", [LONG, PAID, {f"{TO}.power_after_term": DROP, f"{TO}.ends_on": DROP}], []),
    ("spousal_support.long_term_silent", [PAID, {f"{TO}.power_after_term": DROP}], []),
    ("spousal_support.juris_conflict", [PAID, {f"{TO}.power_after_term": "extendable_by_motion"}], []),
    (
        "spousal_support.juris_conflict",
        [PAID, {f"{TO}.power_after_term": "extendable_by_motion", f"{TO}.term_may_change": "nonmodifiable"}],
        [f"{TO}.power_after_term"],
    ),
    ("spousal_support.no_end_date", [PAID], []),
    ("spousal_support.no_end_date", [PAID, {f"{TO}.ends_on": DROP}], [f"{TO}.ends_on"]),
    ("spousal_support.no_end_date", [PAID, STEPS, {f"{TO}.ends_on": DROP}], []),
    ("spousal_support.no_end_date", [LONG, PAID, {f"{TO}.ends_on": DROP}], []),
    ("spousal_support.no_end_date", [{f"{TO}.outcome": "payable", f"{TO}.lump_sum": {"amount": "5000"}}], []),
    # Fam. Code § 4337: either's death, and remarriage
    ("spousal_support.no_end_events", [PAID], []),
    ("spousal_support.no_end_events", [PAID, {f"{TO}.end_events": []}], [f"{TO}.end_events"]),
    ("spousal_support.no_end_events", [{f"{TO}.outcome": "nominal", f"{TO}.amount": "1"}], [f"{TO}.end_events"]),
    ("spousal_support.no_end_events", [{f"{TO}.outcome": "payable", f"{TO}.lump_sum": {"amount": "5000"}}], []),
    ("spousal_support.no_end_events", [WAIVED], []),
    ("spousal_support.partial_events", [PAID], []),
    ("spousal_support.partial_events", [PAID, {f"{TO}.end_events": []}], []),
    (
        "spousal_support.partial_events",
        [PAID, {f"{TO}.end_events": ["death_of_payer", "remarriage"]}],
        [f"{TO}.end_events"],
    ),
    (
        "spousal_support.partial_events",
        [PAID, {f"{TO}.end_events": ["death_of_payer", "remarriage"], f"{TO}.end_events_waived": ["death_of_payee"]}],
        [],
    ),
    ("spousal_support.waived_event", [PAID, {f"{TO}.end_events_waived": ["remarriage"]}], [f"{TO}.end_events_waived"]),
    (
        "spousal_support.waived_event",
        [PAID, {f"{TO}.end_events_waived": ["remarriage"], f"{TO}.end_events_waived_initialed": "yes"}],
        [],
    ),
    ("spousal_support.waived_event", [PAID, {f"{TO}.end_events_waived": ["partnership"]}], []),
    # The steps follow day by day
    ("spousal_support.step_gap", [PAID, STEPS], []),
    ("spousal_support.step_gap", [PAID, STEPS, {f"{TO}.steps.1.from_day": "2029-01-01"}], [f"{TO}.steps.1.from_day"]),
    ("spousal_support.step_gap", [PAID, STEPS, {f"{TO}.steps.1.from_day": "2028-11-30"}], [f"{TO}.steps.1.from_day"]),
    ("spousal_support.step_gap", [PAID, STEPS, {f"{TO}.starts_on": "2027-01-01"}], [f"{TO}.steps.0.from_day"]),
    ("spousal_support.step_gap", [PAID, STEPS, {f"{TO}.ends_on": "2030-10-31"}], [f"{TO}.steps.1.to_day"]),
    ("spousal_support.step_gap", [PAID, STEPS, {f"{TO}.ends_on": "2030-12-31"}], [f"{TO}.steps.1.to_day"]),
    ("spousal_support.step_gap", [PAID, STEPS, {f"{TO}.ends_on": DROP, f"{TO}.starts_on": DROP}], []),
    # Fam. Code § 4320(l): 48 months are 46 percent of this marriage of 103 months
    ("spousal_support.half_length", [PAID], []),
    ("spousal_support.half_length", [PAID, {f"{TO}.ends_on": "2029-11-30"}], [f"{TO}.term_reason"]),
    ("spousal_support.half_length", [PAID, {f"{TO}.ends_on": "2033-11-30"}], [f"{TO}.term_reason"]),
    ("spousal_support.half_length", [PAID, {f"{TO}.ends_on": "2033-11-30", f"{TO}.term_reason": "retraining"}], []),
    ("spousal_support.half_length", [LONG, PAID], []),
    ("spousal_support.after_child", [PAID, CHILD], [f"{TO}.after_child_support"]),
    ("spousal_support.after_child", [PAID, CHILD, {f"{TO}.after_child_support": "statute"}], []),
    ("spousal_support.after_child", [PAID], []),
    # Fam. Code § 3591(c): specifically
    ("spousal_support.nonmod_vague", [PAID, {f"{TO}.amount_may_change": "nonmodifiable"}], []),
    (
        "spousal_support.nonmod_vague",
        [PAID, {f"{TO}.amount_may_change": "nonmodifiable", f"{TO}.term_may_change": DROP}],
        [f"{TO}.term_may_change"],
    ),
    (
        "spousal_support.nonmod_vague",
        [PAID, {f"{TO}.term_may_change": "nonmodifiable", f"{TO}.amount_may_change": DROP}],
        [f"{TO}.amount_may_change"],
    ),
    (
        "spousal_support.nonmod_vague",
        [PAID, {f"{TO}.amount_may_change": "floor_and_ceiling"}],
        [f"{TO}.floor", f"{TO}.ceiling"],
    ),
    ("spousal_support.nonmod_vague", [PAID, {f"{TO}.amount_may_change": "floor", f"{TO}.floor": "500"}], []),
    ("spousal_support.nonmod_events", [PAID, {f"{TO}.term_may_change": "nonmodifiable"}], []),
    (
        "spousal_support.nonmod_events",
        [PAID, {f"{TO}.term_may_change": "nonmodifiable", f"{TO}.end_events": ["death_of_payer", "death_of_payee"]}],
        [f"{TO}.end_events"],
    ),
    ("spousal_support.nonmod_events", [PAID, {f"{TO}.end_events": ["death_of_payer"]}], []),
    # In re Marriage of Hibbard
    (
        "spousal_support.nonmod_disaster",
        [PAID, {f"{TO}.amount_may_change": "nonmodifiable"}],
        [f"{TO}.hardship_exception"],
    ),
    (
        "spousal_support.nonmod_disaster",
        [PAID, {f"{TO}.amount_may_change": "nonmodifiable", f"{TO}.hardship_exception": "no"}],
        [],
    ),
    ("spousal_support.nonmod_disaster", [PAID, {f"{TO}.amount_may_change": "ceiling", f"{TO}.ceiling": "900"}], []),
    ("spousal_support.nominal", [{f"{TO}.outcome": "reserved", f"{TO}.amount": "1"}], [f"{TO}.amount"]),
    ("spousal_support.nominal", [{f"{TO}.outcome": "nominal"}], [f"{TO}.amount"]),
    ("spousal_support.nominal", [{f"{TO}.outcome": "nominal", f"{TO}.amount": "1"}], []),
    ("spousal_support.nominal", [{f"{TO}.outcome": "reserved"}], []),
    ("spousal_support.self_support_clash", [PAID, {f"{TO}.self_support.notice": "yes"}], []),
    (
        "spousal_support.self_support_clash",
        [PAID, {f"{TO}.self_support.notice": "yes", "petitioner.health_note": "cannot work"}],
        [f"{TO}.self_support.notice"],
    ),
    (
        "spousal_support.self_support_clash",
        [PAID, {f"{TO}.self_support.notice": "yes", "petitioner.benefits": ["ssdi"]}],
        [f"{TO}.self_support.notice"],
    ),
    (
        "spousal_support.self_support_clash",
        [PAID, {f"{TO}.self_support.notice": "yes", "respondent.health_note": "cannot work"}],
        [],
    ),
    # Fam. Code §§ 4324.5, 4325: the petition was filed on 2026-01-12, so five years reach back to 2021-01-12
    ("spousal_support.dv_bar", [PAID, convicted("misdemeanor", "2021-01-12")], [f"{TO}.outcome"]),
    ("spousal_support.dv_bar", [PAID, convicted("misdemeanor", "2021-01-11")], []),
    (
        "spousal_support.dv_bar",
        [PAID, convicted("misdemeanor", "2023-05-01"), {f"{TO}.conviction_rule": "rebutted"}],
        [],
    ),
    (
        "spousal_support.dv_bar",
        [PAID, convicted("misdemeanor", "2023-05-01"), {f"{TO}.conviction_rule": "applied"}],
        [f"{TO}.outcome"],
    ),
    (
        "spousal_support.dv_bar",
        [PAID, convicted("felony", "2023-05-01"), {f"{TO}.conviction_rule": "rebutted"}],
        [f"{TO}.outcome"],
    ),
    ("spousal_support.dv_bar", [PAID, convicted("felony", "2015-05-01")], [f"{TO}.outcome"]),
    ("spousal_support.dv_bar", [PAID, convicted("felony", "2015-05-01"), {f"{TO}.conviction_rule": "rebutted"}], []),
    ("spousal_support.dv_bar", [PAID, convicted("felony", "2023-05-01", against="petitioner")], []),
    ("spousal_support.dv_bar", [WAIVED, convicted("felony", "2023-05-01")], []),
    # In re Marriage of Kumar: the one who was sponsored gives up support
    (
        "spousal_support.sponsor",
        [WAIVED, {"respondent.sponsor_affidavit.sponsor": "respondent"}],
        ["respondent.sponsor_affidavit"],
    ),
    ("spousal_support.sponsor", [WAIVED, {"petitioner.sponsor_affidavit.sponsor": "petitioner"}], []),
    ("spousal_support.sponsor", [PAID, {"respondent.sponsor_affidavit.sponsor": "respondent"}], []),
    # Under a third
    ("spousal_support.lopsided", [WAIVED, both("3000.00", "9000.01")], [f"{TO}.outcome"]),
    ("spousal_support.lopsided", [WAIVED, both("3000.00", "9000.00")], []),
    ("spousal_support.lopsided", [WAIVED, {"petitioner.gross_monthly_income": "3000"}], []),
    ("spousal_support.lopsided", [PAID, both("3000.00", "9000.01")], []),
    ("spousal_support.buyout_order", [WAIVED, {f"{TO}.lump_sum.amount": "9000"}], [f"{TO}.lump_sum"]),
    ("spousal_support.buyout_order", [WAIVED, {f"{TO}.buy_out.value": "9000"}], []),
    ("spousal_support.buyout_order", [PAID, {f"{TO}.lump_sum.amount": "9000"}], []),
    # 48 payments of 900 dollars are 43,200
    ("spousal_support.policy_short", [PAID, POLICY], [f"{TO}.security.0.policy"]),
    ("spousal_support.policy_short", [PAID, POLICY, {"assets.life.policy.face": "43200"}], []),
    ("spousal_support.policy_short", [PAID, POLICY, {f"{TO}.security.0.amount": "40000"}], []),
    ("spousal_support.policy_short", [PAID, POLICY, {f"{TO}.security.0.amount": "43200"}], [f"{TO}.security.0.policy"]),
    # 24 payments of 900 and 24 of 600 are 36,000
    (
        "spousal_support.policy_short",
        [PAID, STEPS, POLICY, {"assets.life.policy.face": "35999.99"}],
        [f"{TO}.security.0.policy"],
    ),
    ("spousal_support.policy_short", [PAID, STEPS, POLICY, {"assets.life.policy.face": "36000"}], []),
    ("spousal_support.cover_short", [PAID, POLICY], []),
    (
        "spousal_support.cover_short",
        [PAID, POLICY, {f"{TO}.security.0.amount": "43199.99"}],
        [f"{TO}.security.0.amount"],
    ),
    ("spousal_support.cover_short", [PAID, POLICY, {f"{TO}.security.0.amount": "43200"}], []),
    ("spousal_support.cover_short", [PAID, {f"{TO}.security": [{"kind": "bond", "amount": "1"}]}], []),
    ("spousal_support.temp_arrears", [PAID, ORDER], ["case.prior_orders.0"]),
    ("spousal_support.temp_arrears", [PAID, ORDER, {f"{TO}.arrears.principal": "100"}], [f"{TO}.arrears.fate"]),
    ("spousal_support.temp_arrears", [PAID, ORDER, {f"{TO}.arrears.fate": "waive"}], []),
    ("spousal_support.temp_arrears", [PAID], []),
    ("spousal_support.start_overlap", [PAID, ORDER], []),
    ("spousal_support.start_overlap", [PAID, ORDER, {f"{TO}.starts_on": "2026-11-01"}], [f"{TO}.starts_on"]),
    ("spousal_support.start_overlap", [PAID, {f"{TO}.starts_on": "2026-11-01"}], []),
    # SB 711: an older order that goes on needs the choice
    ("spousal_support.modify_opt", [PAID, OLD_ORDER], [f"{TO}.tax_rule"]),
    ("spousal_support.modify_opt", [PAID, OLD_ORDER, {f"{TO}.tax_rule": "earlier_order_kept"}], []),
    ("spousal_support.modify_opt", [PAID, OLD_ORDER, {"case.prior_orders.0.made_on": "2026-01-01"}], []),
    ("spousal_support.modify_opt", [PAID, ORDER], []),
    (
        "spousal_support.old_tax",
        [PAID, term("taxes", "Spousal support is deductible by Cole.")],
        ["case.special_terms.0.body"],
    ),
    (
        "spousal_support.old_tax",
        [PAID, term("taxes", "Ann shall report spousal support as income.")],
        ["case.special_terms.0.body"],
    ),
    ("spousal_support.old_tax", [PAID, term("taxes", "Spousal support is not deductible.")], []),
    ("spousal_support.old_tax", [PAID, term("taxes", "Cole may deduct the bank fee from spousal support.")], []),
    (
        "spousal_support.old_tax",
        [PAID, term("taxes", "Spousal support is deductible by Cole."), {f"{TO}.tax_rule": "earlier_order_kept"}],
        [],
    ),
    (
        "spousal_support.old_tax",
        [PAID, term("taxes", "Spousal support is deductible by Cole."), {"case.signing_on": "2025-12-31"}],
        [],
    ),
]


@pytest.mark.parametrize(("rule_id", "overrides", "expected"), TABLE)
def test_a_rule_strikes_where_it_should(rule_id: str, overrides: list[dict[str, Any]], expected: list[str]) -> None:
    assert paths(rule_id, *overrides) == expected


def test_every_rule_is_seen_to_strike_and_to_keep_still() -> None:
    assert struck(TABLE) == rules_of(spousal_support)


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("Cole may deduct the support, and Ann shall report it as income.", [f"{TO}.tax_rule"]),
        ("Cole does not deduct the support, and Ann does not report it as income.", []),
    ],
)
def test_the_drafted_text_does_not_state_the_old_tax_rule(words: str, expected: list[str]) -> None:
    given = review(PAID, blocks={"article.spousal_support": (text("spousal_support.tax", words),)})
    assert [hit.path for hit in hits("spousal_support.old_tax", given)] == expected


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("The right ends when judgment is entered.", [f"{TO}.buy_out"]),
        ("The right ends when all of it has been received.", []),
    ],
)
def test_a_buy_out_ends_the_right_on_receipt(words: str, expected: list[str]) -> None:
    given = review(
        WAIVED, {f"{TO}.buy_out.value": "9000"}, blocks={"article.x": (text("spousal_support.buyout", words),)}
    )
    assert [hit.path for hit in hits("spousal_support.buyout_order", given)] == expected


def test_a_credit_in_the_paper_avoids_a_month_that_is_paid_twice() -> None:
    credit = text("spousal_support.payment", "Temporary support paid for a day counts toward this support.")
    given = review(PAID, ORDER, {f"{TO}.starts_on": "2026-11-01"}, blocks={"article.x": (credit,)})
    assert hits("spousal_support.start_overlap", given) == []


def test_support_that_runs_is_told_from_one_sum() -> None:
    one_sum = review({f"{TO}.outcome": "payable", f"{TO}.lump_sum.amount": "9000"}).facts.spousal_support.to_petitioner
    monthly = review(PAID, {f"{TO}.lump_sum.amount": "9000"}).facts.spousal_support.to_petitioner
    assert (spousal_support.runs(one_sum), spousal_support.runs(monthly)) == (False, True)
    assert monthly.amount == Decimal("900.00")


def test_steps_that_strike_are_those_that_the_figures_find_apart() -> None:
    for from_day in ("2028-11-30", "2028-12-01", "2028-12-02"):
        given = review(PAID, STEPS, {f"{TO}.steps.1.from_day": from_day})
        table = given.figures.support_of_petitioner.steps
        assert table is not None
        assert bool(hits("spousal_support.step_gap", given)) == bool(table.gaps or table.overlaps)


def test_a_term_far_from_half_is_told_with_its_half() -> None:
    (hit,) = hits("spousal_support.half_length", review(PAID, {f"{TO}.ends_on": "2033-11-30"}))
    # 103 months halved are 51 months and 15 days, from 2026-12-01
    assert "2031-03-15" in hit.detail


def test_amounts_are_named() -> None:
    (hit,) = hits("spousal_support.policy_short", review(PAID, POLICY))
    assert "$43,199.99" in hit.detail
    assert "$43,200.00" in hit.detail
