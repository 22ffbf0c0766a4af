"""A default without agreement: the packet, what stops it, and the papers that go with it, against the law and the forms."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from support.scenarios import drafted, facts_file
from support.strategies import cases
from typer.testing import CliRunner

from attachments.changed import kept, of_facts, redraft
from attachments.test_packet import MORE_NAMES, answer, assert_stands_alone, box
from msadraft.attachments.filing import filing_list
from msadraft.attachments.form_rules import rulebook
from msadraft.attachments.items import catalogue
from msadraft.attachments.packet import BEYOND, Packet, packet
from msadraft.attachments.terms import terms
from msadraft.cli import app
from msadraft.draft import Draft
from msadraft.facts.model import Facts
from msadraft.facts.paths import field_at
from msadraft.facts.people import Party
from msadraft.library import lint
from msadraft.library.environment import environment
from msadraft.review.base import RULES
from msadraft.review.checks import check_table
from msadraft.review.true_default import PAPER_ROOMS, PAPER_RULES, about_the_paper

FACTS = drafted("dunmarsh", 3).case.facts
PAPERS = (
    ("case.path", "default"),
    ("case.response_filed_on", None),
    ("case.default_entered_on", date(2025, 5, 1)),
    ("case.petition_assets_listed", tuple(FACTS.assets)),
    ("case.petition_debts_listed", tuple(FACTS.debts)),
)
NO_CONSENT = (
    ("estate.waiver", "none"),
    ("spousal_support.to_petitioner.amount_may_change", "modifiable"),
    ("spousal_support.to_petitioner.term_may_change", "modifiable"),
)
WITHIN = (*PAPERS, *NO_CONSENT)
"""The middle scenario as a default that asks for nothing beyond its petition."""


def case(*changes: tuple[str, Any]) -> Draft:
    return redraft("dunmarsh", 3, *WITHIN, *changes)


@cache
def within() -> tuple[Draft, Packet]:
    found = case()
    return found, packet(found, "x")


def beyond(found: Draft) -> dict[str, str]:
    """The path and the rule of each finding that keeps the judgment from being entered by default."""
    return {f.path: f.id for f in found.findings if f.id in BEYOND}


# The packet


def test_a_default_within_its_petition_has_no_stop() -> None:
    found, made = within()
    assert beyond(found) == {}
    assert [f.id for f in found.stops] == []
    assert made.stops == ()
    assert made.ready


def test_nothing_points_to_an_agreement_and_no_line_speaks_of_one() -> None:
    _, made = within()
    assert_stands_alone(made)
    for sheet in made.worksheets:
        for line in sheet.lines:
            said = " ".join((line.answer, *(r.says for r in line.remarks))) if line.box != "by_eye" else ""
            assert "the agreement" not in said, (sheet.name, line.item, said)
            assert "attached settlement" not in said


def test_the_judgment_carries_its_terms_on_the_forms() -> None:
    """Form FL-180 items 4j(2), 4k(2), 4l(3), 4m(2): the terms are on the attached forms, not in an agreement."""
    _, made = within()
    assert [box(made, "FL-180", i) for i in ("4j(2)", "4k(2)", "4l(3)", "4m(2)")] == ["check"] * 4
    assert [box(made, "FL-180", i) for i in ("4j(1)", "4k(1)", "4l(4)", "4m(1)", "4n(1)")] == ["leave"] * 5
    assert {"FL-341", "FL-342", "FL-343", "FL-345"} <= set(made.forms)
    assert answer(made, "FL-343", "4a").endswith("$750.00 a month")
    assert "$1,418.29" in answer(made, "FL-342", "6-total")
    assert "The 2022 SUV" in answer(made, "FL-345", "1c")
    assert answer(made, "FL-345", "3").startswith("Petitioner pays $81,254.79")
    schedule = answer(made, "FL-341", "8e(4)")
    assert "From Wednesday of week 1 at 3:00 p.m. to Thursday of week 1 at 8:30 a.m.: with Respondent." in schedule
    assert "Aurelio" not in schedule


def test_the_proof_is_by_declaration_with_the_petitioners_disclosure_alone() -> None:
    """Fam. Code §§ 2110, 2336; forms FL-141 item 4c, FL-170 items 4a and 5b, FL-182 item 1."""
    _, made = within()
    assert [box(made, "FL-170", i) for i in ("4a", "4b", "4c")] == ["check", "leave", "leave"]
    assert [box(made, "FL-170", i) for i in ("5a", "5b", "5c", "5d")] == ["leave", "check", "leave", "leave"]
    assert {name for name in made.by_name if name.startswith("FL-141")} == {"FL-141, petitioner"}
    assert "FL-144" not in made.forms
    assert box(made, "FL-182", "1") == "check"
    assert box(made, "FL-182", "2a-i") == "leave"
    waived = packet(case(("petitioner.disclosure.final_served_on", None)), "x")
    assert box(waived, "FL-141, petitioner", "4c") == "check"
    assert box(made, "FL-141, petitioner", "4c") == "leave"  # the petitioner served the final set as well


def test_after_publication_no_preliminary_disclosure_is_asked_for() -> None:
    """Fam. Code § 2110: not where the papers were served by publication or posting and the respondent defaulted."""
    published = ("case.service_method", "publication")
    bare = ("petitioner.disclosure.preliminary_served_on", None)
    found = case(published, bare)
    made = packet(found, "x")
    assert [box(made, "FL-170", i) for i in ("5b", "5c")] == ["leave", "check"]
    assert not any(name.startswith("FL-141") for name in made.by_name)
    assert filing_list(found).paper("first_disclosure_petitioner") is None
    assert "disclosure.preliminary_missing" not in {f.id for f in found.findings}
    served = case(bare)
    assert "disclosure.preliminary_missing" in {f.id for f in served.findings}
    assert any(sheet.form == "FL-170" for sheet, _, _ in packet(served, "x").stops)


def test_the_request_for_default_comes_with_the_financial_forms() -> None:
    """Cal. Rules of Court, rule 5.402(a): FL-150 where support or fees are asked for, FL-160 where property is."""
    _, made = within()
    assert {"FL-150", "FL-157", "FL-160", "FL-165"} <= set(made.forms)
    assert answer(made, "FL-165", "2-income") == "Attached"
    assert answer(made, "FL-165", "2-property") == "Attached"
    assert box(made, "FL-165", "2-reasons") == "leave"
    listed = answer(made, "FL-160", "1-18")
    assert "The 2022 SUV: value $27,500.00, owing none stated; proposed award petitioner" in listed
    assert "$486,300.42" in answer(made, "FL-160", "19-26")


def test_fees_asked_for_bring_the_income_declaration_and_the_request_says_so() -> None:
    """Rule 5.402(a) looks at what the petition asks for, whatever the judgment then gives."""
    made = packet(
        case(
            ("case.petition_relief", ("fees",)),
            ("children", {}),
            ("child_support.mode", None),
            ("spousal_support.to_petitioner.outcome", "waived"),
            ("spousal_support.to_respondent.outcome", "waived"),
            ("fees.plan", "own"),
        ),
        "x",
    )
    assert "FL-150" in made.forms
    assert answer(made, "FL-165", "2-income") == "Attached"
    assert box(made, "FL-165", "2-reasons") == "leave"


def test_a_member_of_the_armed_forces_stops_the_request() -> None:
    """50 U.S.C. § 3931 (memory); form FL-165 item 5."""
    made = packet(case(("respondent.military", "active")), "x")
    assert any((s.form, line and line.item) == ("FL-165", "5") for s, line, _ in made.stops)


# What goes beyond the petition


@pytest.mark.parametrize(
    ("changes", "path", "rule"),
    [
        # Code Civ. Proc. § 580(a); In re Marriage of Lippel (1990) 51 Cal.3d 1160 (memory): support not asked for
        ((("case.petition_relief", ("divide_property",)),), "child_support.mode", "path.default_exceeds"),
        (
            (("case.petition_relief", ("custody", "divide_property")),),
            "spousal_support.to_petitioner.outcome",
            "path.default_exceeds",
        ),
        ((("fees.plan", "contribution"), ("case.petition_relief", ("custody",))), "fees.plan", "path.default_exceeds"),
        # In re Marriage of Andresen (1994) 28 Cal.App.4th 873: what the papers did not list is not divided
        ((("case.petition_assets_listed", ()),), "assets.suv.goes_to", "path.default_asset_unlisted"),
        ((("case.petition_debts_listed", ()),), "debts.cards.assigned_to", "path.default_asset_unlisted"),
        # Code Civ. Proc. § 580(a): more than the petition named
        (
            (("case.petition_terms", {"support_to_petitioner_amount": Decimal("749.99")}),),
            "spousal_support.to_petitioner.amount",
            "path.default_terms",
        ),
        (
            (("case.petition_terms", {"child_support_amount": Decimal("1418.28")}),),
            "child_support.amount",
            "path.default_terms",
        ),
        ((("case.petition_terms", {"legal_custody": "respondent"}),), "parenting.legal_custody", "path.default_terms"),
        (
            (("case.petition_terms", {"physical_custody": "petitioner"}),),
            "parenting.physical_custody",
            "path.default_terms",
        ),
        ((("case.petition_terms", {"assets_to_respondent": ("suv",)}),), "assets.suv.goes_to", "path.default_terms"),
        (
            (("case.petition_terms", {"debts_to_petitioner": ("cards",)}),),
            "debts.cards.assigned_to",
            "path.default_terms",
        ),
        # Fam. Code § 2550: equal, unless the parties agree in writing
        ((("equalization.mode", "none"), ("equalization.unequal", False)), "equalization.mode", "path.default_unequal"),
        ((("equalization.unequal", True),), "equalization.unequal", "path.default_unequal"),
        # Fam. Code § 2080 (memory): the name comes back to the spouse who asks
        ((("respondent.restore_name", "Aurelio Benning"),), "respondent.restore_name", "path.default_respondent_name"),
        # Fam. Code § 4337: only a written agreement keeps support alive past remarriage
        (
            (("spousal_support.to_petitioner.end_events_waived", ("remarriage",)),),
            "spousal_support.to_petitioner.end_events_waived",
            "path.default_needs_agreement",
        ),
        # Fam. Code § 5260(b): a stay of withholding by agreement
        (
            (("child_support.withholding_stay", {"wanted": True}),),
            "child_support.withholding_stay",
            "path.default_needs_agreement",
        ),
        ((("estate.waiver", "mutual"),), "estate.waiver", "path.default_needs_agreement"),
        (
            (("case.special_terms", ({"part": "general", "heading": "Trip", "body": "One trip."},)),),
            "case.special_terms.0",
            "path.default_needs_agreement",
        ),
    ],
)
def test_a_term_beyond_the_petition_stops_the_judgment(
    changes: tuple[tuple[str, Any], ...], path: str, rule: str
) -> None:
    found = case(*changes)
    assert beyond(found).get(path) == rule
    stops = [(remark.fact, remark) for sheet, _, remark in packet(found, "x").stops if sheet.form == "FL-180"]
    told = dict(stops)[path]
    assert told.mend
    assert RULES[rule].source in told.says
    assert box(packet(found, "x"), "FL-170", "4a") == "check"


@pytest.mark.parametrize(
    "changes",
    [
        (("case.petition_terms", {"support_to_petitioner_amount": Decimal("750.00")}),),
        (("case.petition_terms", {"child_support_amount": Decimal("1418.29")}),),
        (("case.petition_terms", {"legal_custody": "joint", "physical_custody": "joint"}),),
        (("case.petition_terms", {"assets_to_petitioner": ("suv",), "debts_to_respondent": ("cards",)}),),
        # Fam. Code § 2080 (memory): the petitioner's own name, asked for in the petition or not
        (("petitioner.restore_name", "Philippa Ross"),),
    ],
)
def test_what_the_petition_asked_for_can_be_ordered(changes: tuple[tuple[str, Any], ...]) -> None:
    assert beyond(case(*changes)) == {}


def test_with_an_agreement_the_same_facts_raise_none_of_this() -> None:
    agreed = kept("dunmarsh", 3)
    new = set(BEYOND) - {"path.default_exceeds", "path.default_asset_unlisted"}
    assert not new & {f.id for f in agreed.findings}
    assert any(f.id == "path.default_needs_agreement" for f in redraft("dunmarsh", 3, *PAPERS).findings)


def test_rules_that_are_left_out_exist() -> None:
    assert set(RULES) >= PAPER_RULES
    assert all(any(name.startswith(room) for name in RULES) for room in PAPER_ROOMS)
    assert not any(about_the_paper(name) for name in BEYOND)


# The filing list


def test_the_filing_list_of_a_default() -> None:
    """Code Civ. Proc. §§ 585, 587; Fam. Code §§ 2335.5, 2336, 2338.5; Cal. Rules of Court, rule 5.402."""
    found, made = within()
    listed = filing_list(found)
    assert listed.route == "default"
    keys = {paper.key for paper in listed.papers}
    assert {"default_request", "income_declaration", "property_declaration", "support_declaration"} <= keys
    assert {"proof_declaration", "judgment", "entry_notice", "service_of_first_petitioner"} <= keys
    assert {"agreement", "agreement_unfiled", "waiver_of_final", "first_disclosure_respondent"}.isdisjoint(keys)
    assert [paper.key for paper in listed.papers if "respondent" in paper.signers] == ["registry"]
    assert set(made.forms) <= set(listed.forms)
    assert {e.to for e in listed.envelopes if e.size == "large"} == {"petitioner", "respondent"}
    respondent = next(e for e in listed.envelopes if e.to == "respondent")
    assert respondent.back == "The clerk of the court"
    step = listed.step("default")
    assert step is not None
    # served on Saturday, March 22, 2025: the thirtieth day is Monday, April 21, so default from April 22 (Fam. Code § 2020)
    assert step.earliest == date(2025, 4, 22)
    assert listed.step("signing") is None


def test_the_checks_before_filing_know_the_route() -> None:
    found, made = within()
    table = {line.id: line for line in check_table(found, made)}
    assert {name: table[name].outcome for name in ("JC-25", "JC-36", "JC-38", "JC-39", "JC-69")} == dict.fromkeys(
        ("JC-25", "JC-36", "JC-38", "JC-39", "JC-69"), "clear"
    )
    assert {table[name].outcome for name in ("JC-23", "JC-31", "JC-33", "JC-37")} == {"not_here"}
    over = case(("case.petition_assets_listed", ()))
    assert {line.id: line.outcome for line in check_table(over, packet(over, "x"))}["JC-39"] == "open"


# The rules


def test_every_rule_over_another_can_be_read_and_names_what_exists() -> None:
    wrong = []
    for (form, revision), rule in rulebook("default").rules.items():
        scope: Mapping[str, Any] = {
            **dict.fromkeys((*MORE_NAMES, "terms", "beyond")), "declarant": Party, **({"party": Party} if rule.each else {}),
        }  # fmt: skip
        sources = [f"{{{{ {rule.joins} }}}}", rule.why]
        for item in rule.items.values():
            conditions = (item.check, item.hand_if, *(r.when for _, r in item.remarks))
            sources += [f"{{{{ {condition} }}}}" for condition in conditions]
            sources += [item.write, item.blank, item.hand, *(r.says for _, r in item.remarks)]
        for source in sources:
            found = lint._unknown(environment().parse(source), dict(scope))
            wrong += [f"{form} {revision}: {what} in {source}" for _, what in found]
        for path in filter(None, [r.fact for i in rule.items.values() for _, r in i.remarks]):
            field_at(path)
    assert wrong == []


def test_the_second_rulebook_stands_over_the_first() -> None:
    first, second = rulebook(), rulebook("default")
    assert rulebook("response_filed") is first
    more = {form for form, _ in second.rules} - {form for form, _ in first.rules}
    assert more == {"FL-150", "FL-157", "FL-160"}
    assert set(first.rules) <= set(second.rules)
    key = ("FL-170", "2020-01-17")
    assert second.rules[key].items["13"] == first.rules[key].items["13"]
    assert second.rules[key].items["4b"] != first.rules[key].items["4b"]
    for form, revision in second.rules:
        assert catalogue().edition(form, revision)


def test_words_for_an_attachment_leave_out_what_speaks_of_an_agreement() -> None:
    found, _ = within()
    rows = [row for row in found.map("x").rows if row.clause == "general.entire"]
    said = terms(found, rows)
    assert "Left out here:" in said
    assert "agreement" not in said.rsplit("Left out here:", 1)[0].lower()
    assert terms(found, rows, "custody.") == ""


# The command line and random cases


def written(tmp_path: Path) -> Path:
    text = facts_file("dunmarsh", 3).read_text(encoding="utf-8")
    text = text.replace("path: response_filed", "path: default").replace("  response_filed_on: 2025-04-18\n", "")
    file = tmp_path / "case.yaml"
    file.write_text(text, encoding="utf-8")
    return file


def test_draft_refuses_and_the_other_commands_work(tmp_path: Path) -> None:
    file = written(tmp_path)
    for options in ((), ("--out", str(tmp_path / "papers"))):
        refused = CliRunner().invoke(app, ["draft", str(tmp_path), *options])
        assert refused.exit_code == 2, refused.output
        assert f"{file.name}:" in refused.output
        assert "no agreement" in refused.output
        assert "msadraft packet" in refused.output
    assert not (tmp_path / "rounds").exists()
    assert not (tmp_path / "papers").exists()
    made = CliRunner().invoke(app, ["packet", str(tmp_path), "--out", str(tmp_path / "packet")])
    assert made.exit_code == 1, made.output
    names = {path.name for path in (tmp_path / "packet").iterdir()}
    assert {"worksheets.html", "filing-list.html", "fl-160.docx"} <= names
    assert not any(name.startswith("summary") for name in names)
    assert "There is no agreement" in (tmp_path / "packet" / "worksheets.html").read_text(encoding="utf-8")
    reviewed = CliRunner().invoke(app, ["review", str(tmp_path)])
    assert "path.default_asset_unlisted" in reviewed.output
    assert "sign." not in reviewed.output
    assert CliRunner().invoke(app, ["figures", str(tmp_path)]).exit_code in (0, 1)


@settings(
    deadline=None, suppress_health_check=list(HealthCheck), derandomize=True, max_examples=10,
    phases=(Phase.explicit, Phase.generate),  # a whole case takes minutes to make smaller
)  # fmt: skip
@given(cases())
def test_random_defaults_have_a_packet_that_stands_alone(facts: Facts) -> None:
    plain = {"path": "default", "form_revisions": (), "county_profile": None}
    found = of_facts(facts.model_copy(update={"case": facts.case.model_copy(update=plain)}))
    made = packet(found, "x")
    assert_stands_alone(made)
    assert set(made.forms) <= set(filing_list(found).forms)
    assert len(check_table(found, made)) == 94
