"""The 94 checks before filing: each is decided or left to the eye with a reason, and a broken case opens its own check."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from support.scenarios import NAMES, ROUNDS, drafted

from attachments.changed import DEFAULT, kept
from msadraft.attachments.packet import Packet, Worksheet, packet
from msadraft.review.base import RULES
from msadraft.review.checks import DECIDERS, EYE, ORDER, CheckLine, check_table, counts
from msadraft.review.filing import COVERED, RULE

ALL = tuple(f"JC-{n:02}" for n in range(1, 95))


def table(name: str, *changes: tuple[str, Any]) -> dict[str, CheckLine]:
    found = kept(name, 3, *changes)
    return {line.id: line for line in check_table(found, packet(found, "Round 3"))}


def test_every_check_has_somebody_to_decide_it() -> None:
    assert sorted(set(RULE) | set(COVERED) | set(DECIDERS) | set(EYE)) == sorted(ALL)
    assert not set(EYE) & (set(RULE) | set(COVERED) | set(DECIDERS))
    assert {rule for rules in (*RULE.values(), *COVERED.values()) for rule in rules} <= set(RULES)


@pytest.mark.parametrize(("name", "n"), ROUNDS)
def test_the_table_lists_all_94_in_order_and_every_line_says_why(name: str, n: int) -> None:
    found = drafted(name, n)
    for worksheets in (None, packet(found, f"Round {n}")):
        lines = check_table(found, worksheets)
        assert tuple(line.id for line in lines) == ALL
        assert sum(counts(lines).values()) == 94
        for line in lines:
            assert line.eye if line.outcome == "eye" else line.says, f"{line.id} gives no reason"
            assert line.severity in ORDER
            assert line.source


@pytest.mark.parametrize("name", NAMES)
def test_nothing_that_stops_filing_is_open_in_a_settled_round(name: str) -> None:
    assert [i for i, line in table(name).items() if line.outcome == "open" and line.severity == "stop"] == []


@pytest.mark.parametrize(("name", "n"), ROUNDS)
def test_a_check_is_open_exactly_while_one_of_its_findings_is_there(name: str, n: int) -> None:
    found = drafted(name, n)
    ids = {f.id for f in found.findings}
    for line in check_table(found):
        rules = (*RULE.get(line.id, ()), *COVERED.get(line.id, ()))
        if line.outcome == "not_here" or not rules or line.id in DECIDERS or line.id in ("JC-20", "JC-22"):
            continue
        assert (line.outcome == "open") == bool(ids & set(rules)), line.id


BROKEN: tuple[tuple[str, str, tuple[tuple[str, Any], ...]], ...] = (
    ("JC-01", "dunmarsh", (("case.number", None),)),
    ("JC-02", "dunmarsh", (("case.response_filed_on", None), ("case.served_on", None))),
    ("JC-09", "dunmarsh", (("case.path", "default_with_agreement"),)),
    ("JC-11", "dunmarsh", (*DEFAULT, ("respondent.military", "active"))),
    (
        "JC-12",
        "dunmarsh",
        (*DEFAULT, ("respondent.address", None), ("respondent.attorney", None), ("notices.addresses", None)),
    ),
    ("JC-15", "dunmarsh", (("case.residence.petitioner_months_in_state", 5),)),
    ("JC-16", "dunmarsh", (("case.status_mode", "on_date"), ("case.status_on", date(2025, 9, 22)))),
    ("JC-21", "dunmarsh", (("respondent.disclosure.preliminary_served_on", None),)),
    ("JC-22", "dunmarsh", (*DEFAULT, ("respondent.disclosure.preliminary_served_on", None))),
    ("JC-23", "dunmarsh", (("respondent.disclosure.final_served_on", None),)),
    ("JC-31", "dunmarsh", (*DEFAULT, ("respondent.notarized", False))),
    ("JC-36", "dunmarsh", (("child_support.starts_on", None),)),
    ("JC-46", "dunmarsh", (("children.wren.born_on", None),)),
    ("JC-55", "dunmarsh", (("child_support.declarations", None),)),
    ("JC-56", "dunmarsh", (("child_support.guideline_amount", None),)),
    ("JC-66", "dunmarsh", (("spousal_support.to_respondent.outcome", None),)),
    ("JC-80", "dunmarsh", (("equalization.payer", None),)),
    ("JC-82", "dunmarsh", (("fees.plan", None),)),
    ("JC-84", "marrowby", (("petitioner.restore_name", "Ines"),)),
    ("JC-88", "dunmarsh", (("respondent.address", None), ("notices.addresses", None))),
    ("JC-89", "dunmarsh", (*DEFAULT, ("respondent.address", None), ("notices.addresses", None))),
)


@pytest.mark.parametrize(("check", "name", "changes"), BROKEN, ids=[entry[0] for entry in BROKEN])
def test_a_broken_case_opens_its_check(check: str, name: str, changes: tuple[tuple[str, Any], ...]) -> None:
    before = table(name, *DEFAULT) if changes[: len(DEFAULT)] == DEFAULT else table(name)
    after = table(name, *changes)[check]
    assert before[check].outcome in ("clear", "not_here"), before[check]
    assert after.outcome == "open"
    assert after.says


def test_the_petitioners_disclosure_is_no_fault_of_the_respondents_check() -> None:
    changes = (*DEFAULT, ("petitioner.disclosure.preliminary_served_on", None))
    found = table("dunmarsh", *changes)  # form FL-182 items 2c; Fam. Code § 2104
    assert (found["JC-20"].outcome, found["JC-22"].outcome) == ("open", "clear")


# The checks that read the worksheets: a wrong worksheet opens them


def spoiled(found: Packet, name: str, item: str, **changes: Any) -> Packet:
    """The packet with one line changed."""

    def change(sheet: Worksheet) -> Worksheet:
        if sheet.name != name:
            return sheet
        assert any(line.item == item for line in sheet.lines), f"{name} has no item {item}"
        return replace(
            sheet, lines=tuple(replace(line, **changes) if line.item == item else line for line in sheet.lines)
        )

    return replace(found, worksheets=tuple(change(sheet) for sheet in found.worksheets))


SPOILED = (
    ("JC-06", "FL-180", "3a", {"box": "leave"}),  # form FL-180 item 3
    ("JC-17", "FL-180", "4a(1)", {"box": "check", "answer": "October 1, 2026"}),
    ("JC-25", "FL-170", "5d", {"box": "check"}),
    ("JC-26", "FL-141, petitioner", "4c", {"box": "check"}),
    ("JC-37", "FL-180", "4k(1)", {"ids": ("nowhere",)}),
    ("JC-42", "FL-180", "sig-1", {"box": "check"}),
    ("JC-49", "FL-341", "7", {"box": "check"}),
    ("JC-50", "FL-341", "9a", {"box": "check"}),
    ("JC-72", "FL-343", "1a", {"box": "write"}),
    ("JC-86", "FL-190", "entry-date", {"box": "write"}),
    ("JC-93", "FL-180", "2-decl", {"box": "leave"}),
)


@pytest.mark.parametrize(("check", "form", "item", "changes"), SPOILED, ids=[entry[0] for entry in SPOILED])
def test_a_wrong_worksheet_opens_its_check(check: str, form: str, item: str, changes: dict[str, Any]) -> None:
    found = kept("dunmarsh", 3, ("case.packaging", "hybrid"))
    right = packet(found, "Round 3")
    wrong = spoiled(right, form, item, **changes)
    before, after = ({line.id: line for line in check_table(found, p)}[check] for p in (right, wrong))
    assert (before.outcome, after.outcome) == ("clear", "open"), (before.says, after.says)


def test_a_topic_without_a_form_item_opens_the_pointers() -> None:
    found = drafted("dunmarsh", 3)
    lines = {c.id: c for c in check_table(found, replace(packet(found, "Round 3"), uncovered=("name",)))}
    assert (lines["JC-37"].outcome, "name" in lines["JC-37"].says) == ("open", True)


def test_practice_of_the_trade_stands_in_the_table() -> None:
    found = table("dunmarsh")
    assert (
        "signed original and 4 copies, of which the original and 2 are filed" in found["JC-87"].says
    )  # common practice
    assert found["JC-06"].says.startswith("March 22, 2025, service")  # the earlier of service and appearance
    assert found["JC-69"].outcome == "not_here"


def test_a_true_default_has_its_own_check() -> None:
    found = kept("dunmarsh", 3, *DEFAULT)
    lines = {line.id: line for line in check_table(found, None, "default")}
    assert lines["JC-69"].outcome == "clear"  # form FL-182 items 1o to 1q
    assert lines["JC-31"].outcome == lines["JC-37"].outcome == "not_here"


def test_a_default_beyond_the_petition_is_open() -> None:
    facts = drafted("dunmarsh", 3).case.facts
    whole = ("custody", "child_support", "spousal_support_to_petitioner", "end_spousal_support_to_respondent")
    asked = (*whole, "divide_property")
    listed = (
        ("case.petition_assets_listed", tuple(facts.assets)),
        ("case.petition_debts_listed", tuple(facts.debts)),
    )
    for route in ("default", "default_with_agreement"):
        found = {
            relief: {
                line.id: line
                for line in check_table(
                    kept("dunmarsh", 3, *DEFAULT, *listed, ("case.petition_relief", relief)), None, route
                )
            }["JC-39"]
            for relief in (asked, whole)
        }
        assert found[asked].outcome == "clear"
        assert found[whole].outcome == "open"  # Code Civ. Proc. § 580
        assert "a division of property and debts" in found[whole].says
