"""The judgment packet: forms, boxes, answers and pointers, against the trade's practice and the agreement itself."""

from __future__ import annotations

import re
import time
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from support.fact_edits import EDITS, edited_facts
from support.scenarios import NAMES, ROUNDS, drafted
from support.strategies import cases

from attachments.cases import MODES, changed, in_mode
from attachments.changed import of_facts
from msadraft.attachments.filing import filing_list
from msadraft.attachments.form_rules import rulebook
from msadraft.attachments.holidays import BIRTHDAYS, LINES, OTHER
from msadraft.attachments.items import catalogue
from msadraft.attachments.packet import BACKGROUND, Packet, PacketError, changes, packet
from msadraft.draft import Draft
from msadraft.facts.model import Facts
from msadraft.facts.paths import field_at
from msadraft.facts.people import Party
from msadraft.library import lint
from msadraft.library.environment import environment, expression, template
from msadraft.writers.text import write_text

EVERY = [(name, n, mode) for name, n in ROUNDS for mode in MODES]

# Items with a rule, decided by their printed use alone (preprinted or left empty), and left to the eye.
RULED = {
    ("FL-130", "2023-01-01"): (8, 2, 0),
    ("FL-141", "2013-07-01"): (6, 1, 0),
    ("FL-144", "2007-01-01"): (1, 1, 0),
    ("FL-165", "2023-01-01"): (7, 0, 0),
    ("FL-170", "2020-01-17"): (28, 8, 0),
    ("FL-180", "2012-07-01"): (53, 12, 0),
    ("FL-182", "2012-07-01"): (4, 1, 0),
    ("FL-190", "2005-01-01"): (2, 2, 0),
    ("FL-191", "2005-07-01"): (7, 0, 0),
    ("FL-192", "unconfirmed"): (1, 0, 0),
    ("FL-195", "OMB form, printed expiry 2023-09-30"): (5, 0, 0),
    ("FL-341", "2016-07-01"): (14, 0, 0),
    ("FL-341", "2023-01-01"): (32, 10, 0),
    ("FL-341(A)", "2015-01-01"): (12, 0, 0),
    ("FL-341(B)", "2016-07-01"): (20, 1, 0),
    ("FL-341(C)", "unconfirmed"): (29, 0, 0),
    ("FL-341(D)", "2016-07-01"): (28, 0, 0),
    ("FL-341(E)", "2016-07-01"): (20, 1, 0),
    ("FL-342", "2020-01-01"): (25, 5, 0),
    ("FL-342(A)", "2008-01-01"): (14, 0, 0),
    ("FL-343", "2021-01-01"): (32, 9, 0),
    ("FL-345", "2021-01-01"): (19, 1, 0),
    ("FL-346", "2012-01-01"): (18, 2, 0),
    ("FL-348", "2009-01-01"): (4, 4, 0),
    ("FL-349", "2021-01-01"): (10, 0, 0),
    ("FL-435", "2005-01-01"): (6, 4, 0),
}


def test_counts_of_items_with_rule_by_use_and_by_eye() -> None:
    found = {}
    for key, rule in rulebook().rules.items():
        items = catalogue().edition(*key).items
        free = [i for i in items if i.item not in rule.items]
        by_use = sum(i.use in ("printed", "blank") for i in free)
        found[key] = (len(rule.items), by_use, len(free) - by_use)
    assert dict(sorted(found.items())) == RULED


def test_every_condition_and_text_can_be_read() -> None:
    for rule in rulebook().rules.values():
        expression(rule.joins)
        template(rule.why)
        for item in rule.items.values():
            for condition in (item.check, item.hand_if, *(r.when for _, r in item.remarks)):
                expression(condition)
            for text in (item.write, item.blank, item.hand, *(r.says for _, r in item.remarks)):
                template(text)


MORE_NAMES = (
    "with_outcome", "roles", "left_open", "total", "each_pay", "length", "later", "mail_to", "visiting", "group_home", "packaging",
    "holidays_on", "line_name", "payor_of_children", "month_of", "withheld_for", "packet_forms",
    "topic", "joined", "pages", "pages_behind",
)  # fmt: skip


def test_every_name_in_a_rule_is_a_fact_a_figure_or_a_helper() -> None:
    wrong = []
    for (form, revision), rule in rulebook().rules.items():
        scope = {**dict.fromkeys(MORE_NAMES), "declarant": Party, **({"party": Party} if rule.each else {})}
        sources = [f"{{{{ {rule.joins} }}}}", rule.why]
        for item in rule.items.values():
            conditions = (item.check, item.hand_if, *(r.when for _, r in item.remarks))
            sources += [f"{{{{ {condition} }}}}" for condition in conditions]
            sources += [item.write, item.blank, item.hand, *(r.says for _, r in item.remarks)]
        for source in sources:
            found = lint._unknown(environment().parse(source), dict(scope))
            wrong += [f"{form} {revision}: {what} in {source}" for _, what in found]
        facts = [r.fact for i in rule.items.values() for _, r in i.remarks] + [r.fact for _, r in rule.remarks]
        for path in filter(None, facts):
            field_at(path)
    assert wrong == []


def test_a_rule_points_where_its_item_belongs() -> None:
    for key, rule in rulebook().rules.items():
        items = {i.item: i for i in catalogue().edition(*key).items}
        for name, own in rule.items.items():
            if own.cites and name in items:
                assert set(own.cites) & set(items[name].topics), (key, name)


def test_the_check_of_names_finds_a_wrong_one() -> None:
    assert list(lint._unknown(environment().parse("{{ case.numbr }}"), {}))


def box(made: Packet, form: str, item: str) -> str:
    line = made.line(form, item)
    assert line is not None, f"{form} item {item} is not in the packet"
    return line.box


def answer(made: Packet, form: str, item: str) -> str:
    line = made.line(form, item)
    assert line is not None, f"{form} item {item} is not in the packet"
    return line.answer


def pointer(made: Packet, form: str, item: str) -> str:
    line = made.line(form, item)
    assert line is not None, f"{form} item {item} is not in the packet"
    return line.pointer


# The agreement and the forms


def assert_stands_alone(made: Packet) -> None:
    """A default without agreement: nothing points to a paper, and no topic that is ordered is without an item."""
    assert made.packaging == "forms_only"
    for sheet in made.worksheets:
        for line in sheet.lines:
            assert (line.ids, line.pointer) == ((), ""), f"{sheet.name} item {line.item}"
    assert made.uncovered == ()
    assert {"FL-144", "FL-141, respondent"}.isdisjoint(made.by_name)


def assert_true_to_the_agreement(found: Draft, made: Packet) -> None:
    if found.figures.true_default:
        assert_stands_alone(made)
        return
    rows = {row.id: row for row in found.map("x").rows}
    for sheet in made.worksheets:
        for line in sheet.lines:
            where = f"{sheet.name} item {line.item}"
            for node in line.ids:
                assert set(rows[node].topics) & set(line.topics), (
                    f"{where} points to {node}, which is on something else"
                )
                number = rows[node].number
                assert (
                    found.numbering[node].full == number or node.split("/")[0] in rows or number.startswith("Exhibit")
                )
            assert bool(line.ids) == bool(line.pointer), where
            if line.use in ("cite", "check") and line.box in ("check", "write") and not line.ids:
                wants = rulebook().rules[sheet.form, sheet.revision].items[line.item]
                assert wants.cites == () or any("no paragraph" in r.says for r in line.remarks), f"{where} says more"
            if line.box in ("leave", "blank"):
                assert not line.pointer, where
    assert made.uncovered == ()


@pytest.mark.parametrize(("name", "n", "mode"), EVERY)
def test_each_pointer_lands_on_its_topic_and_no_topic_is_left_without_an_item(name: str, n: int, mode: str) -> None:
    found, made = in_mode(name, n, mode)
    assert_true_to_the_agreement(found, made)


@pytest.mark.parametrize(("name", "n", "mode"), EVERY)
def test_every_topic_of_the_agreement_has_an_item(name: str, n: int, mode: str) -> None:
    found, made = in_mode(name, n, mode)
    decided = {t for row in found.map("x").rows for t in row.topics} - set(BACKGROUND)
    carried = {
        t for s in made.worksheets for line in s.lines if line.box not in ("leave", "blank") for t in line.topics
    }
    assert decided <= carried


def check_random(facts: Facts, mode: str) -> None:
    case = facts.case.model_copy(update={"packaging": mode, "form_revisions": (), "county_profile": None})
    found = of_facts(facts.model_copy(update={"case": case}))
    assert_true_to_the_agreement(found, packet(found, "x"))


quiet = settings(deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)


@settings(quiet, max_examples=12)
@given(cases(), st.sampled_from(MODES))
def test_some_random_cases(facts: Facts, mode: str) -> None:
    check_random(facts, mode)


@settings(quiet, max_examples=12)
@given(st.sampled_from(NAMES), st.sampled_from(MODES), st.lists(EDITS, min_size=1, max_size=8))
def test_some_changed_scenarios(name: str, mode: str, edits: list[tuple[int, int]]) -> None:
    facts = edited_facts(drafted(name, 3).case.facts, edits)
    if facts is not None:
        check_random(facts, mode)


@pytest.mark.slow
@settings(quiet, max_examples=300, phases=[Phase.generate])  # a case is too large to shrink in useful time
@given(cases(), st.sampled_from(MODES))
def test_many_random_cases(facts: Facts, mode: str) -> None:
    check_random(facts, mode)


def test_after_a_redraft_every_pointer_follows() -> None:
    # A paragraph more in the middle of the paper moves the numbers behind it.
    before, old = in_mode("marrowby", 3, "hybrid")
    term = {"part": "taxes", "heading": "Estimates", "body": "Each pays the estimates of that party.", "author": None}
    after = changed("marrowby", case__packaging="hybrid", case__special_terms=(term,))
    new = packet(after, "Round 3")
    assert_true_to_the_agreement(after, new)
    assert "tax.special_terms" in {node.partition("/")[0] for node in new.line("FL-345", "7").ids}  # type: ignore[union-attr]
    assert pointer(old, "FL-345", "7") != pointer(new, "FL-345", "7")
    assert before.fingerprint != after.fingerprint


# Practice of the trade


@pytest.mark.parametrize(("name", "n", "mode"), EVERY)
def test_default_or_uncontested_is_marked_when_no_trial_was_held(name: str, n: int, mode: str) -> None:
    # common practice; FL-180 (Rev. 7/1/2012) item 2
    _, made = in_mode(name, n, mode)
    assert [box(made, "FL-180", item) for item in ("2", "2-decl", "2-contested", "2a", "2b")] == [
        "check", "check", "blank", "blank", "blank",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("dates", "day", "by"),
    [
        ({"served_on": date(2025, 3, 22), "response_filed_on": date(2025, 4, 18)}, "March 22, 2025", "3a"),
        ({"served_on": date(2025, 5, 1), "response_filed_on": date(2025, 4, 18)}, "April 18, 2025", "3b"),
        ({"served_on": None, "response_filed_on": date(2025, 4, 18)}, "April 18, 2025", "3b"),
        ({"served_on": date(2025, 5, 1), "response_filed_on": None, "appearance_on": date(2025, 4, 9)}, "April 9, 2025", "3b"),
    ],
)  # fmt: skip
def test_jurisdiction_date_is_service_or_first_appearance_whichever_is_first(
    dates: dict[str, date | None], day: str, by: str
) -> None:
    # common practice; FL-180 item 3; Fam. Code § 2339
    made = packet(changed("dunmarsh", **{f"case__{k}": v for k, v in dates.items()}), "x")
    assert answer(made, "FL-180", "3") == day
    assert {item: box(made, "FL-180", item) for item in ("3a", "3b")} == {
        item: "check" if item == by else "leave" for item in ("3a", "3b")
    }


@pytest.mark.parametrize("mode", ["on_entry", "on_date", "earliest"])
def test_status_date_stays_blank_for_the_court(mode: str) -> None:
    # common practice; FL-180 title and 4a(1), FL-190 box
    made = packet(changed("dunmarsh", case__status_mode=mode, case__status_on=date(2027, 1, 4)), "x")
    assert box(made, "FL-180", "title-e") == "blank"
    assert box(made, "FL-190", "status-box") == "blank"
    assert box(made, "FL-190", "entry-date") == "blank"
    assert box(made, "FL-180", "4a") == box(made, "FL-180", "4a(1)") == "check"
    assert not re.search(r"\d{4}", answer(made, "FL-180", "4a(1)"))


def test_a_status_date_before_six_months_is_stopped() -> None:
    # Fam. Code § 2339: served 22 March 2025, so not before 23 September 2025
    early = packet(changed("dunmarsh", case__status_mode="on_date", case__status_on=date(2025, 9, 22)), "x")
    assert [line.item for _, line, _ in early.stops if line] == ["title-e"]
    due = packet(changed("dunmarsh", case__status_mode="on_date", case__status_on=date(2025, 9, 23)), "x")
    assert due.stops == ()


@pytest.mark.parametrize(
    ("mode", "own", "attachment"),
    [("agreement_only", "check", "leave"), ("hybrid", "check", "check"), ("forms_only", "leave", "check")],
)
def test_each_topic_marks_its_line_and_its_attachment_line(mode: str, own: str, attachment: str) -> None:
    # common practice; FL-180 items 4j to 4m: the line, then (1) or (4) for the agreement, (2) or (3) for the form
    _, made = in_mode("dunmarsh", 3, mode)
    for line, agreement, form in (("4j", "4j(1)", "4j(2)"), ("4k", "4k(1)", "4k(2)"), ("4l", "4l(4)", "4l(3)"), ("4m", "4m(1)", "4m(2)")):  # fmt: skip
        assert (box(made, "FL-180", line), box(made, "FL-180", agreement), box(made, "FL-180", form)) == (
            "check", own, attachment,
        )  # fmt: skip
    attached = {"FL-341", "FL-342", "FL-343", "FL-345"}
    assert (attached <= set(made.forms)) == (attachment == "check")
    assert attached.isdisjoint(made.forms) == (attachment == "leave")


def test_a_schedule_written_in_the_agreement_is_pointed_to_at_other_at_holidays_and_at_joint_legal() -> None:
    # common practice; FL-341 (Rev. 1/1/2023) items 8e(4), 12, 14
    found, made = in_mode("dunmarsh", 3, "hybrid")
    numbers = {row.id: row.number for row in found.map("x").rows}
    for item, clause in (("8e(4)", "custody.schedule.weekends"), ("12", "custody.holidays"), ("14", "custody.legal.joint")):  # fmt: skip
        line = made.line("FL-341", item)
        assert line is not None
        assert line.box in ("check", "write")
        assert line.pointer.startswith("See paragraph")
        assert any(node.partition("/")[0] == clause for node in line.ids)
        assert numbers[line.ids[0]] in line.pointer
    assert box(made, "FL-341", "8b") == "leave"


@pytest.mark.parametrize(("mode", "amount", "word"), [("above", "1600.00", "Raised"), ("below", "1200.00", "Lowered")])
def test_support_off_guideline_calls_for_the_findings_form(mode: str, amount: str, word: str) -> None:
    # common practice; FL-342(A) (Rev. 1/1/2008); Fam. Code §§ 4056, 4057, 4065
    values = {
        "mode": mode, "amount": Decimal(amount), "per_child": (), "guideline_amount": Decimal("1418.29"), "guideline_payer": "respondent",
        "deviation_reason": "other", "deviation_note": "The respondent pays the school directly", "review_on": date(2028, 6, 1),
    }  # fmt: skip
    found = changed("dunmarsh", case__packaging="hybrid", **{f"child_support__{k}": v for k, v in values.items()})
    made = packet(found, "x")
    assert box(made, "FL-342", "6e") == "check"
    assert answer(made, "FL-342(A)", "header") == "FL-342"
    assert answer(made, "FL-342(A)", "2a") == "$1,418.29 a month, paid by the respondent"
    assert answer(made, "FL-342(A)", "2b") == f"{word} to ${Decimal(amount):,.2f} a month"
    assert answer(made, "FL-342(A)", "2c") == "Until June 1, 2028"
    assert answer(made, "FL-342(A)", "2d(4)(iv)") == "The respondent pays the school directly"
    assert pointer(made, "FL-342(A)", "2d(4)(iv)").startswith("See paragraph")
    assert box(made, "FL-342(A)", "2d(2)") == "leave"
    alone = packet(changed("dunmarsh", **{f"child_support__{k}": v for k, v in values.items()}), "x")
    assert answer(alone, "FL-342(A)", "header") == "Judgment (FL-180)"


def test_guideline_support_needs_no_findings_form() -> None:
    _, made = in_mode("dunmarsh", 3, "hybrid")
    assert "FL-342(A)" not in made.forms
    assert box(made, "FL-342", "6e") == "leave"


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("mode", ["hybrid", "forms_only"])
def test_property_form_lists_every_asset_and_debt_with_at_most_the_last_digits(name: str, mode: str) -> None:
    # common practice
    found, made = in_mode(name, 3, mode)
    listed = "\n".join(line.answer for line in made.by_name["FL-345"].lines).lower()
    for asset in found.case.facts.assets.values():
        assert asset.label.lower() in listed, asset.label
        if asset.last_four:
            assert f"ending in {asset.last_four}" in listed
    for debt in found.case.facts.debts.values():
        assert (debt.label or debt.creditor or "").lower() in listed
    assert not re.search(r"\d[\d -]{7,}\d", re.sub(r"\$[\d,.]+", "", listed))


def test_property_form_gives_each_item_to_the_right_spouse() -> None:
    _, made = in_mode("dunmarsh", 3, "hybrid")
    assert "The 2022 SUV" in answer(made, "FL-345", "1c")
    assert "The 2021 truck" in answer(made, "FL-345", "1d")
    assert "The loan on the SUV" in answer(made, "FL-345", "2c")
    assert "The joint credit cards" in answer(made, "FL-345", "2d")
    assert "The 2022 SUV" not in answer(made, "FL-345", "1d")
    assert answer(made, "FL-345", "3").startswith("Petitioner pays $81,254.79")


def test_nothing_to_divide_is_said_and_not_left_blank() -> None:
    # FL-345 1a, 2a; FL-180 4m(3)
    bare = changed("marrowby", case__packaging="hybrid", assets={}, debts={}, household={}, reimbursements={})
    made = packet(bare, "x")
    assert box(made, "FL-345", "1a") == box(made, "FL-345", "2a") == "check"
    assert box(made, "FL-180", "4m(3)") == "write"
    assert_true_to_the_agreement(bare, made)


def test_spousal_outcome_is_the_same_on_every_form() -> None:
    # FL-180 4l, FL-343 3, FL-170 8
    for name, n in ROUNDS:
        _, made = in_mode(name, n, "hybrid")
        if "FL-343" not in made.forms:
            continue
        for judgment, order, declared in (("4l(1)", "3a", "8b"), ("4l(2)", "3b", "8c")):
            said = {(box(made, f, i), answer(made, f, i)) for f, i in (("FL-180", judgment), ("FL-343", order), ("FL-170", declared))}  # fmt: skip
            assert len(said) == 1, (name, n, said)


def test_a_judgment_uses_the_part_for_judgments() -> None:
    # FL-343 (Rev. 1/1/2021) items 1 and 2
    _, made = in_mode("varnell", 3, "hybrid")
    assert [box(made, "FL-343", item) for item in ("1", "1a", "1b", "1c", "2")] == ["blank"] * 4 + ["check"]
    assert answer(made, "FL-343", "2b").startswith("23 years and seven months (August 11, 2001 to March 31, 2025)")


def test_earnings_assignment_follows_the_kind_of_support() -> None:
    # FL-435 (Rev. 1/1/2005) title: spousal support alone; with child support of the same payor on FL-195 part III
    _, alone = in_mode("varnell", 3, "agreement_only")
    assert "FL-435" in alone.forms
    assert "FL-195" not in alone.forms
    _, both = in_mode("dunmarsh", 3, "agreement_only")
    assert "FL-195" in both.forms
    assert "FL-435" not in both.forms
    assert "In all: $2,168.29 a month" in answer(both, "FL-195", "III")
    # 2,168.29 × 12 / 26 = 1,000.749
    assert "Every two weeks: $1,000.75" in answer(both, "FL-195", "IV")


BACK = {
    "spousal_support__to_respondent__outcome": "payable",
    "spousal_support__to_respondent__amount": Decimal("300.00"),
    "spousal_support__to_respondent__starts_on": date(2026, 12, 1),
    "spousal_support__to_respondent__ends_on": date(2028, 11, 30),
}
"""Support from the petitioner to the respondent."""


def test_support_both_ways_has_an_assignment_for_each_payor() -> None:
    # Fam. Code § 5208: an assignment order takes the earnings of one obligor; FL-195 part III adds only what the same
    # payor owes, FL-435 (Rev. 1/1/2005) names one payor and one payee
    made = packet(changed("dunmarsh", **BACK), "x")
    assert [name for name in made.by_name if name.startswith(("FL-195", "FL-435"))] == ["FL-195", "FL-435, petitioner"]
    assert answer(made, "FL-195", "II").startswith("Payor: Aurelio Trask-Benning")
    assert "In all: $2,168.29 a month" in answer(made, "FL-195", "III")  # 1,418.29 + 750.00, without the 300.00 back
    sheet = "FL-435, petitioner"
    assert answer(made, sheet, "to").startswith("Philippa Dunmarsh, ")
    assert (answer(made, sheet, "1a"), answer(made, sheet, "1c")) == ("$300.00 a month", "$300.00 a month")
    assert answer(made, sheet, "2-3").startswith("Aurelio Trask-Benning\n")
    assert answer(made, sheet, "8") == "Last day November 30, 2028"


def test_child_support_one_way_and_spousal_support_the_other() -> None:
    # Fam. Code §§ 5208, 5230; FL-195 has no spousal support of the other payor
    found = changed("dunmarsh", spousal_support__to_petitioner__outcome="terminated", **BACK)
    made = packet(found, "x")
    assert "spousal" not in answer(made, "FL-195", "III")
    assert "In all: $1,418.29 a month" in answer(made, "FL-195", "III")
    assert "FL-435, petitioner" in made.by_name
    assert "FL-435, respondent" not in made.by_name
    listed = {paper.form for paper in filing_list(found).papers}
    assert {"FL-195", "FL-435"} <= listed


def test_two_assignments_for_two_payors_without_child_support() -> None:
    made = packet(changed("varnell", **BACK), "x")
    assert [name for name in made.by_name if name.startswith("FL-435")] == ["FL-435, petitioner", "FL-435, respondent"]
    assert answer(made, "FL-435, petitioner", "1a") == "$300.00 a month"
    assert answer(made, "FL-435, respondent", "1a") == "$3,400.00 a month"  # the first step
    assert made.by_name["FL-435, petitioner"].why.startswith("The petitioner pays support to the respondent;")


def test_support_without_a_named_way_of_payment_is_withheld_once() -> None:
    # Fam. Code § 5230: every support order has an assignment; the child support of the same payor takes it along
    made = packet(changed("dunmarsh", spousal_support__to_petitioner__method=None), "x")
    assert "FL-435" not in made.forms
    assert "Current spousal support: $750.00 a month" in answer(made, "FL-195", "III")


@pytest.mark.parametrize("name", NAMES)
def test_only_papers_behind_the_judgment_call_the_agreement_attached(name: str) -> None:
    # FL-180 items 4j to 4n attach the agreement to the judgment alone; an employer is sent FL-435 without it
    _, made = in_mode(name, 3, "hybrid")
    for sheet in made.worksheets:
        part = catalogue().edition(sheet.form, sheet.revision).part
        attached = [line.item for line in sheet.lines if " of the attached " in line.pointer]
        assert not attached or part in ("judgment", "attachment"), sheet.name
    assert any(" of the attached " in line.pointer for line in made.by_name["FL-180"].lines)


def test_each_holiday_stands_on_one_line_of_its_form() -> None:
    # FL-341(C), lines from memory
    found, made = in_mode("dunmarsh", 3, "forms_only")
    written = [made.line("FL-341(C)", line) for line in (*LINES, BIRTHDAYS, OTHER)]
    said = [row for line in written if line and line.box == "write" for row in line.answer.split("\n")]
    assert len(said) == len(found.case.facts.parenting.holidays) == 7
    assert answer(made, "FL-341(C)", "1-winter").startswith("Winter break: halves, first half in even years to the pet")
    assert answer(made, "FL-341(C)", "1-mothersday").startswith("Mother's Day: petitioner every year")
    assert made.line("FL-341(C)", "1-halloween").box == "leave"  # type: ignore[union-attr]
    _, other = in_mode("fennick", 3, "forms_only")
    assert answer(other, "FL-341(C)", "1-birthdays")


def test_the_homes_form_says_what_the_clauses_say() -> None:
    # FL-341(D) (Rev. 7/1/2016) items 1, 5b, 8, 12; FL-341(E) (Rev. 7/1/2016) items 5b, 5c, 6
    found, made = in_mode("dunmarsh", 3, "forms_only")
    paper = write_text(found.agreement, found.numbering, found.stamp("x"))
    flat = " ".join(paper.split())
    assert "report a change within seven days" in flat
    assert "within seven days after a change" in answer(made, "FL-341(D)", "1")
    assert "shall say so as soon as that is known" in flat
    assert answer(made, "FL-341(D)", "5b") == "As soon as it is known; at once, if late"
    assert "Neither shall talk with the children about the court case" in flat
    assert box(made, "FL-341(D)", "8") == "check"
    assert "in the other parent’s time without that parent’s written consent" in flat
    assert box(made, "FL-341(D)", "12") == "check"
    assert "Either parent may consent to emergency care" in flat
    assert "give medicine as prescribed" in flat
    assert "Both shall be listed as contacts with the school" in flat
    assert [box(made, "FL-341(E)", item) for item in ("5b", "5c", "6")] == ["check"] * 3


def test_proof_forms_follow_the_route() -> None:
    # FL-182 (New 7/1/2012) items 2 and 3
    default = packet(changed("marrowby", case__path="default_with_agreement", case__service_method="personal"), "x")
    assert "FL-165" in default.forms
    assert "FL-130" not in default.forms
    assert (box(default, "FL-170", "4b"), box(default, "FL-170", "4c")) == ("check", "leave")
    assert "written agreement" in answer(default, "FL-165", "2-reasons")
    _, appeared = in_mode("varnell", 3, "agreement_only")
    assert "FL-130" in appeared.forms
    assert "FL-165" not in appeared.forms
    assert (box(appeared, "FL-170", "4b"), box(appeared, "FL-170", "4c")) == ("leave", "check")
    for name in NAMES:
        assert {"FL-180", "FL-170", "FL-190", "FL-141"} <= set(in_mode(name, 3, "agreement_only")[1].forms)
        assert "FL-344" not in in_mode(name, 3, "hybrid")[1].forms


def test_waiver_of_final_disclosure() -> None:
    # FL-170 5a, 5d; FL-141 4a; FL-144
    waived = {"signed_on": date(2026, 11, 24), "under_penalty_of_perjury": True}
    both = {f"{role}__disclosure__final_waived": waived for role in ("petitioner", "respondent")}
    made = packet(changed("dunmarsh", **both), "x")
    assert (box(made, "FL-170", "5a"), box(made, "FL-170", "5d")) == ("leave", "check")
    assert box(made, "FL-141, petitioner", "4a") == "check"
    assert "FL-144" in made.forms
    _, served = in_mode("dunmarsh", 3, "agreement_only")
    assert (box(served, "FL-170", "5a"), box(served, "FL-170", "5d")) == ("check", "leave")
    assert "FL-144" not in served.forms
    for role in ("petitioner", "respondent"):
        assert box(served, f"FL-141, {role}", "4c") == "blank"


def test_kind_of_judgment_is_the_same_on_every_form() -> None:
    made = packet(changed("dunmarsh", case__proceeding="legal_separation"), "x")
    assert answer(made, "FL-180", "title-a") == "Legal separation"
    assert (box(made, "FL-180", "4a"), box(made, "FL-180", "4b")) == ("leave", "check")
    assert box(made, "FL-170", "18") == "check"
    assert answer(made, "FL-190", "1-8").startswith("Legal separation")


# Printed words that the agreement contradicts


def stopped(found: Draft) -> set[tuple[str, str]]:
    return {(sheet.form, line.item if line else "") for sheet, line, _ in packet(found, "x").stops}


def test_a_form_that_opens_records_against_the_agreement_stops() -> None:
    # FL-341 item 15, preprinted
    assert ("FL-341", "15") in stopped(changed("fennick", case__packaging="hybrid"))
    assert stopped(changed("fennick", case__packaging="agreement_only")) == set()


def test_a_form_that_withholds_against_the_agreement_stops() -> None:
    # FL-342 item 8, preprinted; Fam. Code § 5260
    direct = {"case__packaging": "hybrid", "child_support__method": "transfer"}
    assert ("FL-342", "8") in stopped(changed("dunmarsh", **direct))
    stay = {"wanted": True, "reason": "The parents agree on transfers"}
    found = changed("dunmarsh", **direct, child_support__withholding_stay=stay)
    assert ("FL-342", "8") not in stopped(found)
    assert "stayed by written agreement" in answer(packet(found, "x"), "FL-342", "11")


def test_support_that_outlives_remarriage_takes_the_override_line() -> None:
    # FL-343 items 6a (preprinted) and 6b; Fam. Code § 4337
    support = {"case__packaging": "hybrid", "spousal_support__to_petitioner__end_events_waived": ("remarriage",)}
    made = packet(changed("dunmarsh", **support), "x")
    assert box(made, "FL-343", "6b") == "write"
    assert answer(made, "FL-343", "6b") == "Does not end on: remarriage of the payee"
    assert pointer(made, "FL-343", "6b").startswith("See paragraph")
    assert box(in_mode("dunmarsh", 3, "hybrid")[1], "FL-343", "6b") == "leave"


def test_another_ground_than_the_printed_one_stops() -> None:
    # FL-170 item 13, preprinted
    assert ("FL-170", "13") in stopped(changed("dunmarsh", case__grounds="permanent_incapacity"))


def test_sworn_declarations_that_were_not_made_stop() -> None:
    # FL-342(A) item 1, preprinted; Fam. Code § 4065(a)
    support = {
        "child_support__mode": "above",
        "child_support__amount": Decimal("1600.00"),
        "child_support__per_child": (),
    }
    assert ("FL-342(A)", "1-statements") not in stopped(changed("dunmarsh", **support))
    missing = changed("dunmarsh", **support, child_support__declarations__needs_met=False)
    assert ("FL-342(A)", "1-statements") in stopped(missing)


def test_a_service_member_stops_default() -> None:
    # FL-165 item 5; 50 U.S.C. § 3931 (memory)
    default = {"case__path": "default_with_agreement", "case__response_filed_on": None}
    assert ("FL-165", "5") in stopped(changed("dunmarsh", **default, respondent__military="active"))
    assert ("FL-165", "5") not in stopped(changed("dunmarsh", **default))


def test_forms_alone_are_refused_where_the_agreement_must_be_attached() -> None:
    # FL-182 item 2f; Cal. Rules of Court, rule 5.411(a)
    default = {"case__path": "default_with_agreement", "case__packaging": "forms_only"}
    assert ("FL-180", "") in stopped(changed("marrowby", **default))
    assert ("FL-180", "") in stopped(changed("fennick", case__packaging="forms_only"))
    assert ("FL-180", "") not in stopped(changed("dunmarsh", case__packaging="forms_only"))


def test_forms_alone_write_out_what_they_would_point_to() -> None:
    _, made = in_mode("dunmarsh", 3, "forms_only")
    for sheet in made.worksheets:
        for line in sheet.lines:
            assert "attached marital" not in line.pointer
    assert pointer(made, "FL-341", "8e(4)").startswith("Write out paragraph")


# What is never prefilled


@pytest.mark.parametrize("mode", MODES)
def test_restricted_facts_stay_out(mode: str) -> None:
    # Fam. Code § 6225 and following (confidential addresses, memory); Cal. Rules of Court, rule 1.201 (memory)
    found, made = in_mode("fennick", 3, mode)
    facts = found.case.facts
    said = "\n".join(line.answer for s in made.worksheets for line in s.lines)
    assert facts.case.protective_orders[0].number not in said
    assert "1987" not in said, "the petitioner's birth date is restricted"
    hidden = changed(
        "fennick", case__packaging=mode, notices__addresses=None,
        petitioner__address={"street": "1 Secret Way", "city": "Eureka"},
    )  # fmt: skip
    lines = [line for s in packet(hidden, "x").worksheets for line in s.lines]
    assert not any("Secret Way" in line.answer for line in lines)
    assert any("safe mailing address" in line.answer for line in lines)
    for line in lines:
        assert not any(path.startswith("case.protective_orders") for path in line.facts)


def test_social_security_numbers_are_by_hand_and_say_so() -> None:
    _, made = in_mode("dunmarsh", 3, "agreement_only")
    for form, item in (("FL-191, petitioner", "4"), ("FL-195", "II")):
        assert "by hand only" in answer(made, form, item)
    assert box(made, "FL-191, petitioner", "5-6") == "hand"
    assert "Social Security" in answer(made, "FL-191, petitioner", "5-6")


def test_an_unknown_fact_leaves_a_line_and_a_warning() -> None:
    made = packet(changed("dunmarsh", case__packaging="hybrid", child_support__starts_on=None), "x")
    line = made.line("FL-342", "6a")
    assert line is not None
    assert line.missing == ("child_support.starts_on",)
    assert "____" in line.answer
    assert [r.severity for r in line.remarks] == ["warn"]


def test_lines_from_memory_say_so() -> None:
    _, made = in_mode("dunmarsh", 3, "forms_only")
    for line in made.by_name["FL-341(C)"].lines:
        assert line.confidence == "memory"
        asked = any("Not read from the form" in r.says for r in line.remarks)
        assert asked == (line.box != "leave")  # a line to leave alone needs no comparing
    assert made.by_name["FL-343"].caution  # a later printing is reported


# Printings, versions, speed


def test_two_printings_stand_side_by_side() -> None:
    old = changed(
        "dunmarsh", case__packaging="hybrid", case__form_revisions=({"form": "FL-341", "revision": "2016-07-01"},)
    )
    made = packet(old, "x")
    sheet = made.by_name["FL-341"]
    assert sheet.revision == "2016-07-01"
    assert [line.item for line in sheet.lines[:7]] == ["header", "1", "2", "3", "4", "5", "6"]
    new = in_mode("dunmarsh", 3, "hybrid")[1]
    # the 2023 printing put a new item 7 in: visitation 7 to 8, holidays 11 to 12, joint legal 13 to 14
    for before, after in (("7e(4)", "8e(4)"), ("11", "12"), ("12", "13"), ("13", "14")):
        assert made.line("FL-341", before).ids == new.line("FL-341", after).ids  # type: ignore[union-attr]
    assert all(line.confidence == "memory" for line in sheet.lines)
    assert_true_to_the_agreement(old, made)


def test_an_unknown_printing_is_refused_by_its_fact() -> None:
    for choice, path in (
        ({"form": "FL-341", "revision": "1999-01-01"}, "case.form_revisions.0.revision"),
        ({"form": "FL-999", "revision": "2023-01-01"}, "case.form_revisions.0.revision"),
        ({"form": "FL-100", "revision": "2020-01-01"}, "case.form_revisions.0.form"),
    ):
        with pytest.raises(PacketError) as error:
            packet(changed("dunmarsh", case__form_revisions=(choice,)), "x")
        assert error.value.path == path


def test_changes_since_an_earlier_version() -> None:
    _, old = in_mode("dunmarsh", 3, "hybrid")
    assert changes(old, old) == ()
    support = {"amount": Decimal("800.00")}
    new = packet(
        changed("dunmarsh", case__packaging="hybrid", **{f"spousal_support__to_petitioner__{k}": v for k, v in support.items()}), "Round 4",
    )  # fmt: skip
    found = {(c.form, c.item): (c.before, c.now) for c in changes(old, new)}
    assert set(found) == {("FL-343", "4a"), ("FL-195", "III"), ("FL-195", "IV")}
    before, now = found["FL-343", "4a"]
    assert "$750.00" in before
    assert "$800.00" in now
    alone = in_mode("dunmarsh", 3, "agreement_only")[1]
    gone = {c.form for c in changes(old, alone) if not c.item}
    assert gone == {"FL-341", "FL-342", "FL-343", "FL-345"}


@pytest.mark.parametrize(("name", "n", "mode"), EVERY)
def test_the_same_facts_give_the_same_packet(name: str, n: int, mode: str) -> None:
    found, made = in_mode(name, n, mode)
    assert packet(found, f"Round {n}") == made
    assert made.mark == found.stamp(f"Round {n}").mark


def test_the_largest_packet_is_quick() -> None:
    found, _ = in_mode("dunmarsh", 3, "forms_only")
    started = time.perf_counter()
    packet(found, "x")
    assert time.perf_counter() - started < 1
