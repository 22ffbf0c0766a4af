"""The plain-language summary: easy to read, tied to its paragraphs, and plainly no part of the agreement."""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
import textstat
from hypothesis import HealthCheck, Phase, given, settings
from support.effort import examples
from support.scenarios import NAMES, ROUNDS, drafted
from support.strategies import cases

from attachments.changed import kept, of_facts
from msadraft.agreement.negotiated import Negotiated, Reworded
from msadraft.attachments.filing import filing_list
from msadraft.attachments.packet import packet
from msadraft.attachments.summary import OPEN, OWN_WORDS, Summary, plain_summary
from msadraft.draft import Draft
from msadraft.facts.model import Facts
from msadraft.review.checks import check_table
from msadraft.writers.stamp import Stamp
from msadraft.writers.summary import NOT_PART, write_summary_docx, write_summary_html
from msadraft.writers.text import write_text

HIGHEST_GRADE = 8.0
NO_SHRINKING = (Phase.explicit, Phase.reuse, Phase.generate)  # a whole case takes minutes to make smaller
SLOW_TO_DRAW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


def summary(name: str, n: int = 3, *changes: tuple[str, Any]) -> Summary:
    return plain_summary(kept(name, n, *changes) if changes else drafted(name, n), f"Round {n}")


def said(found: Summary) -> str:
    return "\n".join(
        text for s in found.sections for line in s.lines for text in (line.text, *(item.text for item in line.items))
    )


@pytest.mark.parametrize(("name", "n"), ROUNDS)
def test_it_reads_at_grade_8_or_below(name: str, n: int) -> None:
    found = summary(name, n)
    assert len(found.prose.split()) > 200
    assert textstat.flesch_kincaid_grade(found.prose) <= HIGHEST_GRADE
    for section in found.sections:
        prose = " ".join(line.text for line in section.lines if not line.text.endswith(":"))
        if len(prose.split()) > 40:
            assert textstat.flesch_kincaid_grade(prose) <= HIGHEST_GRADE, section.title


@pytest.mark.parametrize(("name", "n"), ROUNDS)
def test_each_line_points_to_a_paragraph_of_this_version_in_its_order(name: str, n: int) -> None:
    found, draft = summary(name, n), drafted(name, n)
    printed = write_text(draft.agreement, draft.numbering, draft.stamp(f"Round {n}"))
    order = list(draft.numbering.by_id)
    for section in found.sections:
        assert section.lines
        places = [order.index(line.node) for line in section.lines]
        assert places == sorted(places)
        for line in section.lines:
            for number, node in ((line.number, line.node), *((item.number, item.node) for item in line.items)):
                assert draft.numbering[node].full == number
                head = re.split(r"\(", number)[0]
                assert re.search(rf"(?m)^\s*{re.escape(head)}\.?\s", printed), number


@pytest.mark.parametrize("name", NAMES)
def test_amounts_and_days_are_those_of_the_agreement(name: str) -> None:
    found, draft = summary(name), drafted(name, 3)
    printed = " ".join(write_text(draft.agreement, draft.numbering, draft.stamp("Round 3")).split()).replace(
        "\u00a0", " "
    )
    amounts = re.findall(r"\$[\d,]+\.\d\d", said(found))
    days = re.findall(
        r"(?:January|February|March|April|May|June|July|August|September|October|November|December) \d+, \d{4}",
        said(found),
    )
    assert days
    assert [text for text in (*amounts, *days) if text not in printed] == []


def test_what_matters_most_is_said() -> None:
    dunmarsh = said(summary("dunmarsh"))
    assert "Aurelio pays Philippa $1,418.29 a month for the children." in dunmarsh
    assert "The first day it can end is September 23, 2025." in dunmarsh  # Fam. Code § 2339
    assert "Philippa also owes Aurelio $81,254.79 to make the division equal." in dunmarsh
    assert "Aurelio cannot ask a court for support later" in dunmarsh  # Fam. Code § 4336
    assert "Each parent can ask the court to change child support." in dunmarsh
    assert "child" not in said(summary("marrowby")).lower()
    assert "steps" in said(summary("varnell"))


@pytest.mark.parametrize(("amount", "lowers"), [("modifiable", True), ("nonmodifiable", False), ("ceiling", True)])
def test_a_court_lowers_support_only_if_the_agreement_lets_it(amount: str, lowers: bool) -> None:
    """Fam. Code §§ 3651(d), 4330(b): an amount that no court may change is not lowered for want of efforts."""
    plan = "spousal_support.to_petitioner"
    lines = said(summary("dunmarsh", 3, (f"{plan}.amount_may_change", amount), (f"{plan}.self_support.notice", True)))
    assert "should make efforts to become self-supporting." in lines
    assert ("A court can lower support" in lines) is lowers


def test_default_tells_the_respondent_about_the_notary() -> None:
    path = (("case.path", "default_with_agreement"), ("case.response_filed_on", None))
    assert "Aurelio has to sign before a notary." in said(summary("dunmarsh", 3, *path))  # Fam. Code § 2338.5(a)
    assert "notary" not in said(summary("dunmarsh"))


def test_what_is_not_known_is_said_to_be_open() -> None:
    found = summary("dunmarsh", 3, ("child_support.starts_on", None))
    assert f"The first payment is for {OPEN}." in said(found)
    assert "not filled in yet" in said(summary("dunmarsh", 3, ("child_support.amount", None)))


def test_a_line_about_negotiated_words_says_so() -> None:
    draft = drafted("dunmarsh", 3)
    negotiated = Negotiated(reworded={"child_support.changes": Reworded("0" * 64, text="Other words.")})
    found = plain_summary(replace(draft, negotiated=negotiated), "Round 3")
    lines = {line.node: line for section in found.sections for line in section.lines}
    assert lines["child_support.changes"].own_words
    assert lines["child_support.changes"].text.endswith(OWN_WORDS)
    assert not lines["child_support.guideline"].own_words
    assert sum(line.own_words for line in lines.values()) == 1


def test_a_line_about_a_firms_own_clause_says_so() -> None:
    draft = drafted("dunmarsh", 3)
    clause = draft.library.clauses["fees.allocation"]
    own = replace(draft.library, originals={"fees.allocation": clause})
    found = plain_summary(replace(draft, library=own), "Round 3")
    assert [line.node for s in found.sections for line in s.lines if line.own_words] == ["fees.allocation"]


@pytest.mark.parametrize("name", NAMES)
def test_both_papers_say_that_they_are_no_part_of_the_agreement(name: str) -> None:
    found, stamp = summary(name), drafted(name, 3).stamp("Round 3")
    page, paper = write_summary_html(found, stamp), write_summary_docx(found, stamp)
    assert page == write_summary_html(found, stamp)
    assert paper == write_summary_docx(found, stamp)
    assert "not part of the agreement" in page.lower()
    with zipfile.ZipFile(io.BytesIO(paper)) as parts:
        header = next(parts.read(n).decode() for n in parts.namelist() if "header" in n and n.endswith(".xml"))
        footer = next(parts.read(n).decode() for n in parts.namelist() if "footer" in n and n.endswith(".xml"))
        body = parts.read("word/document.xml").decode()
    assert NOT_PART in header
    assert stamp.mark in footer
    for section in found.sections:
        for line in section.lines:
            for text in (line.number, *(item.number for item in line.items)):
                assert f">{text}<" in page
                assert f">{text}<" in body


def test_an_unready_draft_shows_on_both_papers_and_a_foreign_stamp_is_refused() -> None:
    draft = kept("dunmarsh", 3, ("child_support.starts_on", None))
    found, stamp = plain_summary(draft, "Round 3"), draft.stamp("Round 3")
    assert not stamp.ready
    assert "not ready to sign" in write_summary_html(found, stamp)
    with zipfile.ZipFile(io.BytesIO(write_summary_docx(found, stamp))) as parts:
        assert any("not ready to sign" in parts.read(n).decode() for n in parts.namelist() if "header" in n)
    for write in (write_summary_html, write_summary_docx):
        with pytest.raises(ValueError, match="the stamp of"):
            write(found, Stamp("Round 9 · 00000000", True))


def hostile(facts: Facts) -> Draft:
    return of_facts(facts.model_copy(update={"case": facts.case.model_copy(update={"county_profile": None})}))


@given(cases())
@settings(max_examples=examples(10, 40), deadline=None, phases=NO_SHRINKING, suppress_health_check=SLOW_TO_DRAW)
def test_random_cases_have_a_summary_a_list_and_a_table(facts: Facts) -> None:
    draft = hostile(facts)
    found, stamp = plain_summary(draft, "Round 1"), draft.stamp("Round 1")
    for section in found.sections:
        for line in section.lines:
            for node, number in ((line.node, line.number), *((i.node, i.number) for i in line.items)):
                assert draft.numbering[node].full == number
    page = write_summary_html(found, stamp)
    assert "<script" not in page
    filing = filing_list(draft)
    assert isinstance(filing.as_of, date)
    assert len(check_table(draft)) == 94
    assert {step.standing for step in filing.steps} <= {"done", "open", "waits", "overdue", "court"}


@given(cases())
@settings(max_examples=examples(6, 25), deadline=None, phases=NO_SHRINKING, suppress_health_check=SLOW_TO_DRAW)
def test_random_packets_stay_within_the_filing_list(facts: Facts) -> None:
    facts = facts.model_copy(update={"case": facts.case.model_copy(update={"form_revisions": ()})})
    draft = hostile(facts)
    assert set(packet(draft, "Round 1").forms) - set(filing_list(draft).forms) == set()
