"""The filing list: papers, copies, envelopes, steps and their days, against statutes, forms and trade practice."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from support.scenarios import NAMES, drafted

from attachments.changed import DEFAULT, kept, redraft
from msadraft.attachments.filing import ROUTES, FilingList, filing_list
from msadraft.attachments.packet import packet
from msadraft.facts.problems import FactsError
from msadraft.review.checks import check_table
from msadraft.writers.filing import check_rows, filing_rows, write_filing_html, write_rows_csv


def of(name: str, *changes: tuple[str, Any]) -> FilingList:
    return filing_list(kept(name, 3, *changes) if changes else drafted(name, 3))


@pytest.mark.parametrize("name", NAMES)
def test_the_signed_agreement_and_four_copies_of_which_the_original_and_two_are_filed(name: str) -> None:
    agreement = of(name).paper("agreement")  # common practice
    assert agreement is not None
    assert (agreement.originals, agreement.copies, agreement.handed_in) == (1, 4, 2)
    assert agreement.signers[:2] == ("petitioner", "respondent")


@pytest.mark.parametrize("name", NAMES)
def test_five_of_the_judgment_form_and_an_original_with_two_copies_of_the_rest(name: str) -> None:
    papers = {p.key: p for p in of(name).papers}  # form FL-182 items 2g, 3h and its heading
    assert papers["judgment"].originals + papers["judgment"].handed_in == 5
    rest = [
        p for p in papers.values() if p.place in ("file", "on_file") and p.key not in ("judgment", "service_of_final")
    ]
    assert rest
    assert {(p.originals, p.handed_in) for p in rest} == {(1, 2)}


@pytest.mark.parametrize("name", NAMES)
def test_the_list_is_a_table_too(name: str) -> None:
    rows = filing_rows(of(name))
    text = write_rows_csv("Round 3 · 0", rows).decode()
    read = list(csv.DictReader(io.StringIO(text, newline="")))  # RFC 4180
    assert [{k: v for k, v in row.items() if k != "mark"} for row in read] == rows
    assert {row["mark"] for row in read} == {"Round 3 · 0"}
    assert text.endswith("\r\n")
    assert {row["kind"] for row in read} == {"step", "paper", "envelope"}
    assert {row["to"] for row in read if row["kind"] == "envelope"} == {"petitioner", "respondent"}


def test_no_cell_of_the_table_acts_as_a_formula() -> None:
    text = write_rows_csv("x", [{"what": "=1+1", "note": "plain"}]).decode()
    assert text.splitlines()[1] == "x,'=1+1,plain"


@pytest.mark.parametrize("name", NAMES)
def test_two_large_stamped_envelopes_are_addressed_to_the_spouses(name: str) -> None:
    large = [e for e in of(name).envelopes if e.size == "large"]  # form FL-182 items 2i, 3j; common practice
    assert sorted(e.to for e in large) == ["petitioner", "respondent"]
    assert all(e.address or e.why_blank for e in large)


def test_mail_goes_to_the_attorney_of_record_or_home() -> None:
    petitioner, respondent = of("dunmarsh").envelopes
    assert petitioner.address[0] == "Maribel Quillon"
    assert respondent.address == ("Aurelio Trask-Benning", "803 Cannery Walk", "San Leandro, California 94577")


def test_a_hidden_address_is_nowhere_in_the_list() -> None:
    found = kept("marrowby", 3, ("petitioner.address_hidden", True), ("notices.addresses", None))
    filing = filing_list(found)
    envelope = next(e for e in filing.envelopes if e.to == "petitioner")
    assert envelope.address == ()
    assert "by hand" in envelope.why_blank
    page = write_filing_html(filing, check_table(found), found.stamp("Round 3"))
    assert "412 Alder Row" not in page
    assert "412 Alder Row" not in str(filing_rows(filing))
    assert "412 Alder Row" in write_filing_html(of("marrowby"), (), drafted("marrowby", 3).stamp("Round 3"))


@pytest.mark.parametrize("name", NAMES)
def test_disclosures_are_served_and_not_filed(name: str) -> None:
    filing = of(name)  # Fam. Code § 2104(b)
    disclosures = [p for p in filing.papers if p.form in ("FL-140", "FL-142")]
    assert disclosures
    assert {(p.place, p.handed_in) for p in disclosures} == {("serve", 0)}
    assert [p.form for p in filing.papers if p.place == "file"].count("FL-141") == 3  # Fam. Code §§ 2103, 2106


def test_the_uncontested_route_asks_for_the_appearance_and_no_default() -> None:
    filing = of("dunmarsh")
    assert filing.route == "uncontested"
    assert {"FL-120", "FL-170", "FL-180", "FL-190"} <= set(filing.forms)  # form FL-182 item 3
    assert "FL-165" not in filing.forms
    assert len(filing.envelopes) == 2
    agreement = filing.paper("agreement")
    assert agreement is not None
    assert agreement.notarized == ""  # Fam. Code § 2338.5(a) speaks of a defaulted spouse


def test_a_default_with_agreement_needs_the_notary_and_a_third_envelope() -> None:
    filing = of("dunmarsh", *DEFAULT)
    agreement = filing.paper("agreement")
    assert agreement is not None
    assert agreement.notarized == "before a notary: respondent"  # Fam. Code § 2338.5(a)
    assert "FL-165" in filing.forms
    extra = next(e for e in filing.envelopes if e.key == "default_respondent")  # Fam. Code § 2335.5
    assert (extra.to, extra.back) == ("respondent", "The clerk of the court")
    assert {"first_disclosure_petitioner", "first_disclosure_respondent"} <= {s.key for s in filing.steps}
    assert not {"FL-120", "FL-130"} & set(filing.forms)


def test_a_joint_petition_has_no_service_no_response_and_no_default() -> None:
    filing = of("marrowby")  # Fam. Code § 2331(b)
    assert filing.route == "joint"
    assert not {"FL-100", "FL-110", "FL-115", "FL-120", "FL-130", "FL-165"} & set(filing.forms)
    assert not {"service", "response_time", "default", "appearance"} & {s.key for s in filing.steps}


def test_a_true_default_leaves_the_agreement_out_and_asks_for_the_financial_forms() -> None:
    filing = filing_list(kept("dunmarsh", 3, *DEFAULT), "default")
    assert filing.paper("agreement") is None
    assert {"FL-160", "FL-150", "FL-342", "FL-345"} <= set(filing.forms)  # Cal. Rules of Court, rule 5.402(a)
    assert "first_disclosure_respondent" not in {s.key for s in filing.steps}  # Fam. Code § 2110
    assert any("only what the petition asked for" in c for c in filing.cautions)  # Code Civ. Proc. § 580


def test_the_response_is_due_thirty_days_after_service() -> None:
    step = of("dunmarsh", *DEFAULT, ("case.served_on", date(2026, 3, 2))).step("response_time")
    assert step is not None
    assert step.earliest == date(2026, 3, 2) + timedelta(days=30) == date(2026, 4, 1)  # Fam. Code § 2020; a Wednesday
    default = of("dunmarsh", *DEFAULT, ("case.served_on", date(2026, 3, 2))).step("default")
    assert default is not None
    assert default.earliest == date(2026, 4, 2)  # at least 31 days after service (Sacramento default packet, 2018)


def test_status_does_not_end_before_six_months_but_the_packet_need_not_wait() -> None:
    filing = of("dunmarsh")  # served March 22, 2025
    status, lodged = filing.step("status"), filing.step("packet")
    assert status is not None
    assert status.earliest == date(2025, 9, 23)  # Fam. Code § 2339: six months have expired; common practice
    assert lodged is not None
    assert lodged.earliest is None


def test_standing_follows_the_facts() -> None:
    signed = (("petitioner.signed_on", date(2026, 11, 24)), ("respondent.signed_on", date(2026, 11, 24)))
    before, after = of("dunmarsh"), of("dunmarsh", *signed)
    for filing, signing, lodged in ((before, "open", "waits"), (after, "done", "open")):
        steps = {s.key: s for s in filing.steps}
        assert (steps["signing"].standing, steps["packet"].standing) == (signing, lodged)
        assert steps["judgment"].standing == "court"
    assert "Next: Both sign the agreement." in before.standing
    assert "Next: File the packet." in after.standing


def test_a_disclosure_past_its_day_is_overdue_and_an_early_default_is_named() -> None:
    late = of("dunmarsh", ("petitioner.disclosure.preliminary_served_on", None)).step("first_disclosure_petitioner")
    assert late is not None
    assert late.standing == "overdue"
    assert late.latest == date(2025, 5, 9)  # Fam. Code § 2104(f): 60 days after March 10, 2025
    early = of("dunmarsh", *DEFAULT, ("case.default_entered_on", date(2025, 4, 10))).step("default")
    assert early is not None
    assert "before April 22, 2025" in early.says


def test_custody_and_support_papers_come_only_with_children() -> None:
    with_children, without = set(of("dunmarsh").forms), set(of("marrowby").forms)
    family = {"FL-105", "FL-191", "FL-192", "FL-195"}  # form FL-182 items 3k to 3p
    assert family <= with_children
    assert not family & without
    registry = of("dunmarsh").paper("registry")
    assert registry is not None
    assert (registry.originals, registry.place) == (2, "lodge")  # Fam. Code § 4014(c): not in the public file


def test_spousal_support_alone_uses_its_own_assignment() -> None:
    assert "FL-435" in of("varnell").forms  # form FL-435; FL-195 only with child support
    assert "FL-195" not in of("varnell").forms
    assert "FL-435" not in of("dunmarsh").forms


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("mode", ["agreement_only", "hybrid", "forms_only"])
def test_every_form_with_a_worksheet_is_in_the_list_and_no_temporary_form(name: str, mode: str) -> None:
    found = kept(name, 3, ("case.packaging", mode))
    forms = set(filing_list(found).forms)
    assert "FL-344" not in forms  # the form says: temporary orders only
    assert set(packet(found, "Round 3").forms) - forms == set()


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("route", list(ROUTES))
def test_every_route_can_be_listed_and_written_twice_alike(name: str, route: Any) -> None:
    found = drafted(name, 3)
    filing = filing_list(found, route)
    page = write_filing_html(filing, check_table(found, None, route), found.stamp("Round 3"))
    assert page == write_filing_html(filing_list(found, route), check_table(found, None, route), found.stamp("Round 3"))
    assert f"Route: {ROUTES[route]}." in page
    assert {row["kind"] for row in filing_rows(filing)} == {"step", "paper", "envelope"}
    assert len({tuple(row) for row in (*filing_rows(filing),)}) == 1, "all rows have the same columns"
    assert len(check_rows(check_table(found, None, route))) == 94


# The county profile

PROFILE = """
county: Alameda
read_on: 2026-05-01
source: the court's local rules, as read
signatures_notarized: both
parent_class: no
papers:
  judgment: {copies: 3}
  checklist: {not_needed: yes}
  cover_sheet: {title: Cover sheet, place: file, originals: 1, copies: 1, note: On top.}
envelopes:
  - {to: petitioner, purpose: A copy of the request to enter default, back: clerk}
remarks: [Two holes at the top.]
"""


def with_profile(tmp_path: Path, text: str) -> FilingList:
    (tmp_path / "county.yaml").write_text(text, encoding="utf-8")
    return filing_list(redraft("dunmarsh", 3, ("case.county_profile", "county.yaml"), beside=tmp_path))


def test_a_county_profile_changes_and_adds_papers(tmp_path: Path) -> None:
    filing = with_profile(tmp_path, PROFILE)
    papers = {p.key: p for p in filing.papers}
    assert (papers["judgment"].copies, papers["judgment"].handed_in, papers["judgment"].local) == (3, 3, True)
    assert "checklist" not in papers
    assert papers["cover_sheet"].source == "the court's local rules, as read"
    assert papers["agreement"].notarized == "before a notary: petitioner and respondent"
    assert [e.back for e in filing.envelopes if e.local] == ["The clerk of the court"]
    assert "Two holes at the top." in filing.cautions
    found = redraft("dunmarsh", 3, ("case.county_profile", "county.yaml"), beside=tmp_path)
    table = {line.id: line for line in check_table(found)}
    assert [table[i].outcome for i in ("JC-52", "JC-87", "JC-91")] == ["clear", "clear", "clear"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("county: Marin\n", r"county.yaml:1:\d+  county\n  This profile is of Marin, but the case is in Alameda"),
        ("county: Alameda\ncopies: 3\n", r"county.yaml:2:\d+  copies\n  This key is not known"),
        ("county: Alameda\npapers: {judgment: {copies: many}}\n", r"county.yaml:2:\d+  papers.judgment.copies"),
        ("- Alameda\n", "should hold keys"),
        ("county: [\n", "county.yaml"),
    ],
)
def test_a_profile_that_cannot_be_used_is_refused_with_its_line(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(FactsError) as error:
        with_profile(tmp_path, text)
    import re

    assert re.search(says, str(error.value)), str(error.value)


def test_a_missing_profile_is_named(tmp_path: Path) -> None:
    with pytest.raises(FactsError, match="no file of ordinary size"):
        filing_list(redraft("dunmarsh", 3, ("case.county_profile", "none.yaml"), beside=tmp_path))
