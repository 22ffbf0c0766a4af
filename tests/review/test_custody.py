"""Custody: the nearest facts that make a rule strike, and the nearest that do not."""

from __future__ import annotations

from typing import Any

import pytest
from review.cases import CHILD, DROP, clause, hits, paths, review, rules_of, struck, text

from msadraft.review import custody

JOINT: dict[str, Any] = {**CHILD, "parenting": {**CHILD["parenting"], "legal_custody": "joint"}}
OPEN: dict[str, Any] = {"case.reserved_issues": [{"issue": "custody"}]}
ORDER: dict[str, Any] = {
    "case.protective_orders": [
        {
            "kind": "domestic_violence",
            "restrained": "respondent",
            "protected": "petitioner",
            "issued_on": "2025-05-01",
            "after_hearing": "yes",
        }
    ]
}
BLOCKS = "parenting.blocks"


def holiday(**given: str) -> dict[str, Any]:
    return {"parenting.holidays": {"thanksgiving": {"starts": "Wednesday", "ends": "Sunday", **given}}}


def topic(**given: str) -> dict[str, Any]:
    return {"parenting.joint_topics": [{"topic": "school", "rule": "both_consent", **given}]}


def week(first: str, last: str, **more: str) -> list[dict[str, str]]:
    """A week in which the respondent has the days from `first` to `last`, the petitioner the rest."""
    return [
        {"from_day": first, "to_day": last, "parent": "respondent", **more},
        {"from_day": last, "to_day": first, "parent": "petitioner", **more},
    ]


STEPS: dict[str, Any] = {**CHILD, "parenting": {**CHILD["parenting"], "pattern": "stepup", "blocks": []}}
FOURTH: dict[str, Any] = {
    "parenting.holidays.fourth": {
        "rule": "petitioner_even",
        "window": {"month": "7", "day_of_month": "4", "from_time": "10:00", "to_time": "20:00"},
    }
}
PICNIC: dict[str, Any] = {
    "rule": "petitioner_odd",
    "window": {"month": "7", "day_of_month": "3", "ends_days_after": "2", "from_time": "10:00", "to_time": "20:00"},
}
LONG_STAY: dict[str, Any] = {
    "parenting.holidays.long": {
        "rule": "respondent_always",
        "window": {
            "month": "6",
            "day_of_month": "1",
            "ends_days_after": "90",
            "from_time": "18:00",
            "to_time": "18:00",
        },
    }
}


def spring(first: str, last: str) -> dict[str, Any]:
    """A spring break with the dates of one school year."""
    dates = [{"starts_on": first, "ends_on": last}]
    window = {"dates": dates, "from_time": "15:00", "to_time": "18:00"}
    return {"parenting.holidays.spring": {"rule": "petitioner_even", "window": window}}


TABLE: list[tuple[str, list[dict[str, Any]], list[str]]] = [
    # Fam. Code § 3048(a)
    ("custody.findings", [CHILD], []),
    ("custody.findings", [CHILD, {"parenting.jurisdiction_basis": DROP}], ["parenting.jurisdiction_basis"]),
    ("custody.findings", [CHILD, {"parenting.notice_basis": DROP}], ["parenting.notice_basis"]),
    ("custody.findings", [CHILD, {"parenting": {}}, OPEN], []),
    (
        "custody.findings",
        [{"children.may": CHILD["children.may"]}],
        [f"parenting.{name}" for name in ("jurisdiction_basis", "notice_basis", "legal_custody", "physical_custody", "pattern")],
    ),
    ("custody.findings", [CHILD, {"children.may.born_on": "2008-11-20"}], []),
    ("custody.habitual_residence", [CHILD], []),
    ("custody.habitual_residence", [CHILD, {"children.may.habitual_country": DROP}], ["children.may.habitual_country"]),
    ("custody.habitual_residence", [CHILD, {"children.may.habitual_country": "California"}], ["children.may.habitual_country"]),
    ("custody.habitual_residence", [CHILD, {"children.may.habitual_country": "Marin County"}], ["children.may.habitual_country"]),
    ("custody.habitual_residence", [CHILD, {"children.may.habitual_country": "Georgia"}], []),
    ("custody.finality", [CHILD], []),
    ("custody.finality", [CHILD, {"parenting.finality": DROP}], ["parenting.finality"]),
    ("custody.adult_in_plan", [CHILD, {"parenting.groups": [{"children": ["may"]}]}], []),
    (
        "custody.adult_in_plan",
        [CHILD, {"children.may.born_on": "2008-11-20", "parenting.groups": [{"children": ["may"]}]}],
        ["parenting.groups.0.children.0"],
    ),
    # Fam. Code § 3083
    ("custody.no_topics", [CHILD], []),
    ("custody.no_topics", [JOINT], ["parenting.joint_topics"]),
    ("custody.no_topics", [JOINT, topic()], []),
    ("custody.no_fallback", [JOINT, topic(reply_days="10", if_no_reply="dispute_steps")], []),
    ("custody.no_fallback", [JOINT, topic(if_no_reply="dispute_steps")], ["parenting.joint_topics.0.reply_days"]),
    ("custody.no_fallback", [JOINT, topic(reply_days="10")], ["parenting.joint_topics.0.if_no_reply"]),
    ("custody.no_fallback", [JOINT, {"parenting.joint_topics": [{"topic": "school", "rule": "notice"}]}], []),
    (
        "custody.no_fallback",
        [JOINT, topic(reply_days="10"), {"parenting.tie_breaks": [{"topic": "school", "decider": "petitioner"}]}],
        [],
    ),
    ("custody.religion", [JOINT, {"parenting.joint_topics": [{"topic": "religion", "note": "raised in one faith"}]}], ["parenting.joint_topics.0.note"]),
    ("custody.religion", [JOINT, {"parenting.joint_topics": [{"topic": "religion"}]}], []),
    (
        "custody.religion",
        [{"case.special_terms": [{"part": "custody", "heading": "Sundays", "body": "May goes to church every week."}]}],
        ["case.special_terms.0.body"],
    ),
    ("custody.religion", [{"case.special_terms": [{"part": "property", "heading": "Pew", "body": "The church pew is sold."}]}], []),
    # Fam. Code §§ 3004, 3007: the base week gives 96 hours and 4 nights to the petitioner, 72 and 3 to the respondent
    ("custody.label_vs_time", [CHILD], []),
    ("custody.label_vs_time", [CHILD, {BLOCKS: week("friday", "saturday")}], ["parenting.physical_custody"]),
    ("custody.label_vs_time", [CHILD, {BLOCKS: week("friday", "saturday"), "parenting.physical_custody": "sole_petitioner"}], []),
    ("custody.label_vs_time", [CHILD, {"parenting.pattern": "2255", BLOCKS: [], "parenting.physical_custody": "sole_petitioner"}], ["parenting.physical_custody"]),
    ("custody.label_vs_time", [CHILD, {BLOCKS: week("friday", "saturday")[:1]}], []),
    # Fam. Code § 3048(a)(3)
    ("custody.grid_gap", [CHILD], []),
    ("custody.grid_gap", [CHILD, {f"{BLOCKS}.1.to_day": "sunday"}], ["parenting.blocks"]),
    ("custody.grid_gap", [CHILD, {f"{BLOCKS}.1.to_day": "tuesday"}], ["parenting.blocks.1"]),
    ("custody.grid_gap", [CHILD, {BLOCKS: []}], ["parenting.blocks"]),
    ("custody.grid_gap", [CHILD, {BLOCKS: [], "parenting.pattern": "2255"}], []),
    ("custody.grid_gap", [CHILD, {"parenting.handover_time": DROP}], ["parenting.blocks.0", "parenting.blocks.1"]),
    ("custody.grid_gap", [CHILD, {f"{BLOCKS}.1.week": "2"}], ["parenting.blocks.1"]),
    ("custody.grid_gap", [CHILD, {"parenting.phases": [{"blocks": week("friday", "sunday")[:1]}]}], ["parenting.phases.0.blocks"]),
    # Fam. Code § 3084
    ("custody.no_anchor", [CHILD], []),
    ("custody.no_anchor", [CHILD, {"parenting.weeks_in_cycle": "2"}], ["parenting.cycle_start"]),
    ("custody.no_anchor", [CHILD, {"parenting.weeks_in_cycle": "2", "parenting.cycle_start": "2026-12-07"}], []),
    # 8 December 2026 is a Tuesday
    ("custody.cycle_start", [CHILD, {"parenting.cycle_start": "2026-12-07"}], []),
    ("custody.cycle_start", [CHILD, {"parenting.cycle_start": "2026-12-08"}], ["parenting.cycle_start"]),
    ("custody.weekend_numbers", [CHILD, {"parenting.weekend_numbers": ["1", "5"]}], []),
    ("custody.weekend_numbers", [CHILD, {"parenting.weekend_numbers": ["1", "6"]}], ["parenting.weekend_numbers.1"]),
    ("custody.calendar", [CHILD, holiday(rule="petitioner_even"), FOURTH], []),
    ("custody.calendar", [CHILD, {**FOURTH, "parenting.holidays.fourth.window.month": DROP}], ["parenting.holidays.fourth.window"]),
    ("custody.calendar", [CHILD, {"parenting.time_zone": "Pacific"}], ["parenting.time_zone"]),
    # the part of a parent who has the rest need not be stated
    ("custody.grid_gap", [CHILD, {BLOCKS: week("friday", "sunday")[:1], "parenting.primary_home": "petitioner"}], []),
    ("custody.grid_gap", [CHILD, {BLOCKS: week("friday", "sunday")[:1], "parenting.pattern": "numbered_weekends", "parenting.weekend_parent": "respondent"}], []),
    ("custody.grid_gap", [CHILD, {"parenting.groups": [{"children": ["may"], "primary_home": "petitioner", "blocks": week("friday", "sunday")[:1]}]}], []),
    ("custody.grid_gap", [CHILD, {"parenting.groups": [{"children": ["may"], "blocks": week("friday", "sunday")[:1]}]}], ["parenting.groups.0.blocks"]),
    # one of seven days, but a quarter of the year besides: the calendar counts it, the week alone does not
    ("custody.label_vs_time", [CHILD, {BLOCKS: week("saturday", "sunday")[:1], "parenting.primary_home": "petitioner", **LONG_STAY}], []),
    ("custody.label_vs_time", [CHILD, {BLOCKS: week("saturday", "sunday")[:1], "parenting.primary_home": "petitioner"}], ["parenting.physical_custody"]),
    ("custody.no_anchor", [CHILD, {"parenting.pattern": "alternate_weeks"}], ["parenting.cycle_start"]),
    ("custody.no_grid", [CHILD, {"parenting.pattern": "by_agreement", BLOCKS: []}], ["parenting.blocks"]),
    ("custody.no_grid", [CHILD, {"parenting.pattern": "by_agreement"}], []),
    ("custody.long_stretch_young", [CHILD, {"children.may.born_on": "2024-11-20", BLOCKS: week("friday", "sunday")}], ["parenting.blocks"]),
    ("custody.long_stretch_young", [CHILD, {"children.may.born_on": "2024-11-20"}], []),
    ("custody.long_stretch_young", [CHILD, {"children.may.born_on": "2023-11-20", BLOCKS: week("friday", "sunday")}], []),
    ("custody.long_stretch_young", [CHILD, {"children.may.born_on": "2024-11-20", BLOCKS: [], "parenting.pattern": "223"}], []),
    ("custody.long_stretch_young", [CHILD, {"children.may.born_on": "2024-11-20", BLOCKS: [], "parenting.pattern": "alternate_weeks"}], ["parenting.blocks"]),
    ("custody.phase_open", [STEPS, {"parenting.phases": [{}, {}]}], ["parenting.phases.0.done_when"]),
    ("custody.phase_open", [STEPS, {"parenting.phases": [{}, {"starts_on": "2027-03-01"}]}], []),
    ("custody.phase_open", [STEPS, {"parenting.phases": [{}, {"starts_at_months": "36"}]}], []),
    ("custody.phase_open", [STEPS, {"parenting.phases": [{"done_when": "when May is ready"}, {}]}], ["parenting.phases.0.done_when"]),
    ("custody.phase_open", [STEPS, {"parenting.phases": [{"done_when": "twelve visits by the provider's log"}, {}]}], []),
    ("custody.phase_open", [CHILD, {"parenting.phases": [{}]}], ["parenting.phases.0.ends_on"]),
    ("custody.phase_open", [CHILD, {"parenting.phases": [{"ends_on": "2027-09-01"}]}], []),
    (
        "custody.siblings",
        [CHILD, {"children.al": CHILD["children.may"], "parenting.groups": [
            {"children": ["may"], "blocks": week("friday", "sunday")},
            {"children": ["al"], "blocks": week("sunday", "friday")},
        ]}],
        ["parenting.groups.1.blocks"],
    ),
    (
        "custody.siblings",
        [CHILD, {"children.al": CHILD["children.may"], "parenting.groups": [
            {"children": ["may"], "blocks": week("friday", "sunday")},
            {"children": ["al"], "blocks": week("saturday", "sunday")},
        ]}],
        [],
    ),
    # Fam. Code § 3048(a)(3), form FL-341(C)
    ("custody.holiday_gap", [CHILD, holiday(rule="petitioner_even")], []),
    ("custody.holiday_gap", [CHILD, holiday(even_years="petitioner", odd_years="petitioner")], []),
    ("custody.holiday_gap", [CHILD, holiday(even_years="petitioner")], ["parenting.holidays.thanksgiving.odd_years"]),
    ("custody.holiday_gap", [CHILD, holiday(odd_years="petitioner")], ["parenting.holidays.thanksgiving.even_years"]),
    ("custody.holiday_gap", [CHILD, holiday()], ["parenting.holidays.thanksgiving.rule"]),
    ("custody.holiday_gap", [CHILD, holiday(rule="halves")], ["parenting.holidays.thanksgiving.first_half_even"]),
    ("custody.holiday_gap", [CHILD, holiday(rule="halves", first_half_even="petitioner")], []),
    ("custody.holiday_gap", [CHILD, holiday(rule="regular_schedule")], []),
    ("custody.holiday_gap", [holiday()], []),
    ("custody.holiday_double", [CHILD, holiday(rule="petitioner_even", odd_years="petitioner")], ["parenting.holidays.thanksgiving.odd_years"]),
    ("custody.holiday_double", [CHILD, holiday(rule="petitioner_even", odd_years="respondent")], []),
    (
        "custody.holiday_double",
        [CHILD, {"parenting.holidays": {
            "first": {"from_month_day": "07-04", "rule": "petitioner_always"},
            "second": {"from_month_day": "07-04", "rule": "petitioner_even"},
        }}],
        ["parenting.holidays.second"],
    ),
    (
        "custody.holiday_double",
        [CHILD, {"parenting.holidays": {
            "first": {"from_month_day": "07-04", "rule": "petitioner_always"},
            "second": {"from_month_day": "07-05", "rule": "petitioner_even"},
        }}],
        [],
    ),
    ("custody.holiday_times", [CHILD, holiday(rule="petitioner_even")], []),
    ("custody.holiday_times", [CHILD, holiday(rule="halves")], ["parenting.holidays.thanksgiving.midpoint"]),
    (
        "custody.holiday_times",
        [CHILD, {"parenting.holidays": {"easter": {"rule": "petitioner_even"}}}],
        ["parenting.holidays.easter.starts", "parenting.holidays.easter.ends"],
    ),
    ("custody.holiday_times", [CHILD, {"parenting.holidays": {"easter": {"rule": "regular_schedule"}}}], []),
    ("custody.holiday_times", [CHILD, FOURTH], []),
    ("custody.holiday_times", [CHILD, {**FOURTH, "parenting.holidays.fourth.rule": "halves", "parenting.holidays.fourth.first_half_even": "petitioner"}], [
        "parenting.holidays.fourth.starts", "parenting.holidays.fourth.ends", "parenting.holidays.fourth.midpoint",
    ]),
    ("custody.holiday_double", [CHILD, {**FOURTH, "parenting.holidays.picnic": {**FOURTH["parenting.holidays.fourth"], "rule": "petitioner_odd"}}], ["parenting.holidays.picnic"]),
    # from 3 to 5 July against 4 July: of the same strength, and the other parent's in every year
    ("custody.holiday_overlap", [CHILD, FOURTH, {"parenting.holidays.picnic": PICNIC}], ["parenting.holidays.fourth"]),
    ("custody.holiday_overlap", [CHILD, FOURTH, {"parenting.holidays.picnic": {**PICNIC, "strength": "school_break"}}], []),
    ("custody.holiday_overlap", [CHILD, FOURTH, {"parenting.holidays.picnic": {**PICNIC, "rule": "petitioner_even"}}], []),
    ("custody.holiday_not_placed", [CHILD, FOURTH], []),
    ("custody.holiday_not_placed", [CHILD, holiday(rule="petitioner_even")], ["parenting.holidays.thanksgiving.window"]),
    ("custody.holiday_not_placed", [CHILD, spring("2027-04-02", "2027-04-11")], []),
    ("custody.holiday_not_placed", [CHILD, spring("2026-04-02", "2026-04-11")], ["parenting.holidays.spring"]),
    ("custody.order_unsaid", [CHILD], []),
    ("custody.order_unsaid", [CHILD, holiday(rule="halves")], ["parenting.order_of_precedence"]),
    ("custody.order_unsaid", [CHILD, holiday(rule="halves"), {"parenting.order_of_precedence": ["holidays", "regular"]}], []),
    (
        "custody.order_unsaid",
        [CHILD, holiday(rule="halves"), {"parenting.order_of_precedence": ["holidays", "regular"], "parenting.vacation": {}}],
        ["parenting.order_of_precedence"],
    ),
    ("custody.vacation_pick", [CHILD, {"parenting.vacation": {"notice_days": "30", "first_pick_even": "petitioner"}}], []),
    ("custody.vacation_pick", [CHILD, {"parenting.vacation": {"notice_days": "30"}}], ["parenting.vacation.first_pick_even"]),
    ("custody.vacation_pick", [CHILD, {"parenting.vacation": {"first_pick_even": "petitioner"}}], ["parenting.vacation.notice_days"]),
    ("custody.school_only", [CHILD, {"parenting.exchanges": [{"place_kind": "school"}]}], ["parenting.exchanges"]),
    ("custody.school_only", [CHILD, {"parenting.exchanges": [{"place_kind": "school"}, {"place_kind": "public"}]}], []),
    ("custody.passport", [CHILD, {"children.may.passports": [{"country": "Chile"}]}], ["parenting.passports"]),
    ("custody.passport", [CHILD, {"children.may.passports": [{"country": "Chile"}], "parenting.passports": {}}], ["parenting.passports.holder"]),
    ("custody.passport", [CHILD, {"children.may.passports": [{"country": "Chile"}], "parenting.passports": {"holder": "petitioner"}}], []),
    ("custody.move_ban", [CHILD, {"parenting.move_limits": {"radius_miles": "0"}}], ["parenting.move_limits.radius_miles"]),
    ("custody.move_ban", [CHILD, {"parenting.move_limits": {"radius_miles": "20"}}], []),
    ("custody.move_ban", [CHILD, {"parenting.move_limits": {"standard": "Neither parent may move before May is 18"}}], ["parenting.move_limits.standard"]),
    ("custody.move_ban", [CHILD, {"parenting.move_limits": {"standard": "the child's best interest, without a presumption for or against a move"}}], []),
    ("custody.coordinator", [CHILD, {"parenting.coordinator": {"topics": ["exchange times"], "term_months": "24", "petitioner_percent": "50"}}], []),
    (
        "custody.coordinator",
        [CHILD, {"parenting.coordinator": {"topics": ["a change of custody"], "petitioner_percent": "50"}}],
        ["parenting.coordinator.topics.0", "parenting.coordinator.term_months"],
    ),
    # Fam. Code § 3044: a finding within five years of 20 November 2026
    ("custody.dv_3044", [CHILD, ORDER], ["parenting.physical_custody"]),
    ("custody.dv_3044", [JOINT, ORDER], ["parenting.legal_custody"]),
    ("custody.dv_3044", [JOINT, ORDER, {"parenting.violence_terms": {"rebuttal_facts": "program completed"}}], []),
    ("custody.dv_3044", [JOINT, ORDER, {"case.protective_orders.0.after_hearing": "no"}], []),
    ("custody.dv_3044", [JOINT, ORDER, {"case.protective_orders.0.issued_on": "2021-11-19"}], []),
    ("custody.dv_3044", [JOINT, ORDER, {"case.protective_orders.0.issued_on": "2021-11-20"}], ["parenting.legal_custody"]),
    ("custody.dv_3044", [CHILD, ORDER, {"parenting.physical_custody": "sole_petitioner"}], []),
    ("custody.dv_3044", [CHILD, ORDER, {"parenting.physical_custody": "sole_respondent"}], ["parenting.physical_custody"]),
    (
        "custody.dv_3044",
        [JOINT, {"respondent.violence_conviction": {"level": "misdemeanor", "convicted_on": "2024-01-10"}}],
        ["parenting.legal_custody"],
    ),
    ("custody.dv_order_clash", [CHILD, ORDER, {"parenting.parent_channel": "text"}], ["parenting.parent_channel"]),
    ("custody.dv_order_clash", [CHILD, ORDER, {"parenting.parent_channel": "through_counsel"}], []),
    ("custody.dv_order_clash", [CHILD, ORDER, {"parenting.parent_channel": "text", "case.protective_orders.0.peaceful_contact": "yes"}], []),
    ("custody.dv_order_clash", [CHILD, ORDER, {"parenting.parent_channel": "text", "case.protective_orders.0.ends_on": "2026-11-19"}], []),
    ("custody.dv_order_clash", [CHILD, ORDER, {"parenting.exchanges": [{"place_kind": "school"}, {"place_kind": "curbside"}]}], ["parenting.exchanges.1.place_kind"]),
    ("custody.dv_order_clash", [CHILD, {"parenting.exchanges": [{"place_kind": "school"}], "parenting.violence_terms": {"exchange": "provider"}}], ["parenting.exchanges.0.place_kind"]),
    ("custody.dv_order_clash", [CHILD, ORDER, {"case.protective_orders.0.covers_children": "yes"}], ["parenting.pattern"]),
    (
        "custody.dv_order_clash",
        [CHILD, ORDER, {"case.protective_orders.0.covers_children": "yes", "parenting.supervision": {"who": "respondent", "kind": "professional"}}],
        [],
    ),
    ("custody.dv_joint_session", [CHILD, ORDER, {"parenting.dispute_steps": [{"step": "meet"}]}], ["parenting.dispute_steps.0.step"]),
    ("custody.dv_joint_session", [CHILD, ORDER, {"parenting.dispute_steps": [{"step": "mediate"}]}], []),
    ("custody.dv_joint_session", [CHILD, {"parenting.dispute_steps": [{"step": "meet"}]}], []),
    ("custody.dv_joint_session", [ORDER, {"disputes.steps": [{"step": "meet"}]}], ["disputes.steps.0.step"]),
    ("custody.dv_loose_plan", [CHILD, ORDER, {"parenting.pattern": "by_agreement"}], ["parenting.pattern"]),
    ("custody.dv_loose_plan", [CHILD, {"parenting.pattern": "by_agreement"}], []),
    ("custody.dv_loose_plan", [CHILD, {"parenting.pattern": "by_agreement", "parenting.abduction_risk": ["threat"]}], ["parenting.pattern"]),
    ("custody.risk_no_steps", [CHILD, {"parenting.abduction_risk": ["threat"]}], ["parenting.abduction_steps"]),
    ("custody.risk_no_steps", [CHILD, {"parenting.abduction_risk": ["threat"], "parenting.abduction_steps": ["bond"]}], []),
    (
        "custody.supervised_exit",
        [CHILD, {"parenting.supervision": {"who": "respondent", "kind": "professional"}}],
        ["parenting.supervision.provider", "parenting.supervision.petitioner_percent", "parenting.supervision.exit"],
    ),
    (
        "custody.supervised_exit",
        [CHILD, {"parenting.supervision": {"who": "respondent", "kind": "nonprofessional", "provider": "an aunt", "review_on": "2027-06-01"}}],
        [],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("rule_id", "overrides", "expected"), TABLE)
def test_a_rule_strikes_where_it_should(rule_id: str, overrides: list[dict[str, Any]], expected: list[str]) -> None:
    assert paths(rule_id, *overrides) == expected


def test_every_rule_is_seen_to_strike_and_to_keep_still() -> None:
    assert struck(TABLE) == rules_of(custody)


@pytest.mark.parametrize(
    ("words", "expected"), [("Breaking it may bring penalties.", []), ("It is an order.", ["parenting"])]
)
def test_the_findings_paragraph_must_speak_of_penalties(words: str, expected: list[str]) -> None:
    given = review(
        CHILD, chosen=(clause("custody.findings"),), blocks={"article.custody": (text("custody.findings", words),)}
    )
    assert [h.path for h in hits("custody.findings", given)] == expected


@pytest.mark.parametrize(
    ("born", "clause_id", "expected"),
    [
        ("2008-11-20", "custody.physical", ["children.may"]),
        ("2008-11-21", "custody.physical", []),
        ("2008-11-20", "custody.adult_children", []),
        ("2008-11-20", "child_support.duration", []),
    ],
)
def test_an_adult_in_a_custody_paragraph_is_found(born: str, clause_id: str, expected: list[str]) -> None:
    paragraph = text(clause_id, "May", "children.may.name.first")
    given = review(CHILD, {"children.may.born_on": born}, blocks={"article.custody": (paragraph,)})
    assert [h.path for h in hits("custody.adult_in_plan", given)] == expected


def test_a_gap_is_told_in_words_and_a_holiday_gap_in_years() -> None:
    (gap,) = hits("custody.grid_gap", review(CHILD, {"parenting.blocks.1.to_day": "sunday"}))
    assert gap.detail == "Nobody has the children from Sunday 18:00 to Monday 18:00."
    (empty,) = hits("custody.holiday_gap", review(CHILD, holiday(even_years="petitioner")))
    assert empty.detail.endswith("in 2027 and 2029.")
