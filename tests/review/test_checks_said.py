"""What the checks before filing say, and the rules on a default without agreement, on both sides of their lines."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from attachments.changed import redraft
from attachments.test_checks import spoiled, table
from attachments.test_true_default import beyond, case
from support.scenarios import drafted

from msadraft.attachments.packet import packet
from msadraft.review.checks import CheckLine, check_table

BOXES = ("5a", "5b", "5c", "5d")


def after(form: str, item: str, **changes: Any) -> dict[str, CheckLine]:
    found = drafted("dunmarsh", 3)
    return {line.id: line for line in check_table(found, spoiled(packet(found, "x"), form, item, **changes))}


@pytest.mark.parametrize("box", BOXES)
def test_only_the_box_of_the_route_is_right(box: str) -> None:
    """Form FL-170 item 5: with a response and both final disclosures served it is 5a."""
    found = drafted("dunmarsh", 3)
    made = packet(found, "x")
    for other in BOXES:
        made = spoiled(made, "FL-170", other, box="check" if other == box else "leave")
    line = next(line for line in check_table(found, made) if line.id == "JC-25")
    assert (line.outcome, box in line.says) == ("clear" if box == "5a" else "open", True)


@pytest.mark.parametrize(
    ("kind", "words"),
    [("stipulated_judgment", "on the last attachment"), ("settlement_agreement", "on FL-180")],
)
def test_where_the_judge_signs_is_told(kind: str, words: str) -> None:
    assert words in table("dunmarsh", ("case.agreement_kind", kind))["JC-42"].says


def test_withholding_forms_are_named_as_they_are_listed() -> None:
    assert table("dunmarsh")["JC-73"].says == "The list has FL-195."
    assert table("marrowby")["JC-73"].says == "No withholding order is needed."


def test_copies_are_counted_and_decided_only_by_the_county(tmp_path: Path) -> None:
    said = table("dunmarsh")["JC-87"]
    assert said.outcome == "eye"
    assert said.says.startswith("Judgment: original and ")
    profile = "county: {}\nread_on: 2026-05-01\nsource: the rules\npapers:\n  judgment: {{copies: 3, handed_in: 3}}\n"
    county = drafted("dunmarsh", 3).case.facts.case.county
    (tmp_path / "county.yaml").write_text(profile.format(county), encoding="utf-8")
    found = redraft("dunmarsh", 3, ("case.county_profile", "county.yaml"), beside=tmp_path)
    line = next(line for line in check_table(found, packet(found, "x")) if line.id == "JC-87")
    assert (line.outcome, line.says.endswith("As the county profile says.")) == ("clear", True)


@pytest.mark.parametrize(
    ("asked", "given", "struck"),
    [
        ("petitioner", "respondent", True), ("respondent", "petitioner", True),
        ("petitioner", "petitioner", False), ("respondent", "respondent", False),
    ],
)  # fmt: skip
def test_fees_are_paid_by_whom_the_petition_named(asked: str, given: str, struck: bool) -> None:
    """Code Civ. Proc. § 580(a)."""
    terms = {"fees_payer": asked, "fees_amount": Decimal("500.00")}
    for amount, more in (("500.00", False), ("500.01", True)):
        found = beyond(
            case(
                ("case.petition_terms", terms),
                ("fees.plan", "contribution"),
                ("fees.payer", given),
                ("fees.amount", Decimal(amount)),
            )
        )
        assert (found.get("fees.payer") == "path.default_terms") is struck
        assert (found.get("fees.amount") == "path.default_terms") is more


@pytest.mark.parametrize(("role", "struck"), [("respondent", True), ("petitioner", False)])
def test_only_the_absent_spouse_cannot_waive_support(role: str, struck: bool) -> None:
    """Fam. Code § 4336; Code Civ. Proc. § 580(a): who asks for the default can give up support alone."""
    path = f"spousal_support.to_{role}.outcome"
    assert (beyond(case((path, "waived"))).get(path) == "path.default_needs_agreement") is struck


@pytest.mark.parametrize(
    ("kind", "struck"), [("sole_petitioner", True), ("joint", False), ("joint_tiebreak", False), ("nesting", False)]
)
def test_the_kind_of_custody_is_that_of_the_petition(kind: str, struck: bool) -> None:
    name = "physical" if kind == "nesting" else "legal"
    found = beyond(case(("case.petition_terms", {f"{name}_custody": "joint"}), (f"parenting.{name}_custody", kind)))
    assert (found.get(f"parenting.{name}_custody") == "path.default_terms") is struck


def test_without_worksheets_nothing_of_them_is_called_clear() -> None:
    found = drafted("dunmarsh", 3)
    with_packet = {line.id: line for line in check_table(found, packet(found, "x"))}
    without = {line.id: line for line in check_table(found)}
    other = {name for name, line in without.items() if line.outcome != with_packet[name].outcome}
    assert "JC-25" in other
    assert {without[name].outcome for name in other} == {"eye"}
    assert all("were not made" in without[name].says for name in other)


def test_a_worksheet_of_fl_170_without_a_box_says_so() -> None:
    """Form FL-170 item 5 asks for one box."""
    found = drafted("dunmarsh", 3)
    made = packet(found, "x")
    for box in BOXES:
        made = spoiled(made, "FL-170", box, box="leave")
    none = next(line for line in check_table(found, made) if line.id == "JC-25")
    assert (none.outcome, none.says) == ("open", "The worksheet of FL-170 marks no box in item 5.")
    for box in BOXES[:2]:
        made = spoiled(made, "FL-170", box, box="check")
    two = next(line for line in check_table(found, made) if line.id == "JC-25")
    assert (two.outcome, two.says) == ("open", "The worksheet of FL-170 marks 5a and 5b in item 5.")
