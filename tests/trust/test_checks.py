"""Each check of the random-case trial fails on what it is there to find, and on nothing else."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from support.scenarios import drafted, expected_file
from writers import reading

from msadraft.agreement.numbering import number
from msadraft.draft import Draft
from msadraft.figures.parenting.from_facts import read_plans
from msadraft.figures.parenting.plan import lay_out_days
from msadraft.library import environment as environment_module
from msadraft.library import lint
from msadraft.library.load import read_library
from msadraft.tree import Paragraph, Text
from msadraft.writers.docx import write_docx
from msadraft.writers.docx.package import pack
from msadraft.writers.text import write_text
from trust import checks, page, recipes
from trust.branches import CountingStore
from trust.draw import THEMES, bases, drawn_case
from trust.word_lists import Paper, letters, read_paper, romans
from trust.worked import possible_decisions

FIRST, LAST = date(2027, 1, 1), date(2028, 12, 31)


@pytest.fixture(scope="module")
def draft() -> Draft:
    return drafted("dunmarsh", 3)


@pytest.fixture(scope="module")
def document(draft: Draft) -> bytes:
    return write_docx(draft.agreement, draft.numbering, draft.stamp("Round 3"))


@pytest.fixture(scope="module")
def paper(document: bytes) -> Paper:
    return read_paper(document)


def changed(document: bytes, part: str, old: str, new: str) -> Paper:
    """The paper with the first place of a pattern in one part changed."""
    parts = reading.parts(document)
    text, count = re.subn(old, new, parts[part].decode(), count=1)
    assert count == 1
    return read_paper(pack({**parts, part: text.encode()}))


def said(problems: Iterator[str]) -> str:
    return "\n".join(problems)


@pytest.mark.parametrize(("name", "n"), [("dunmarsh", 3), ("varnell", 3), ("fennick", 3)])
def test_a_scenario_passes_every_check_of_its_paper(name: str, n: int) -> None:
    found = drafted(name, n)
    paper = read_paper(write_docx(found.agreement, found.numbering, found.stamp("Round 3")))
    assert said(checks.references_true(paper)) == ""
    assert said(checks.map_true(paper, found.map("Round 3").rows)) == ""
    assert said(checks.table_sums(paper)) == ""
    assert said(checks.ledger_closes(found.case.facts, found.figures.ledger)) == ""
    assert (
        said(
            checks.money_known(
                (line.text for line in paper.lines), checks.known_amounts(found.case.facts, found.figures)
            )
        )
        == ""
    )
    assert said(checks.text_clean(found.agreement, found.numbering)) == ""
    assert said(checks.findings_have_places(found.findings)) == ""
    assert sum(not isinstance(piece, str) for line in paper.lines for piece in line.pieces) > 30
    assert {line.full for line in paper.lines} >= {entry.full for entry in found.numbering.by_id.values()}


def test_letters_and_romans() -> None:
    assert [letters(n) for n in (1, 26, 27, 28, 53)] == ["a", "z", "aa", "bb", "aaa"]
    assert [romans(n) for n in (1, 4, 9, 14, 40, 90, 400, 1994)] == [
        "i",
        "iv",
        "ix",
        "xiv",
        "xl",
        "xc",
        "cd",
        "mcmxciv",
    ]


def test_a_changed_reference_is_found(document: bytes) -> None:
    found = changed(
        document,
        "word/document.xml",
        r'( REF _P_\S+ \\n \\h .*?fldCharType="separate"/></w:r><w:r>(?:<w:rPr>.*?</w:rPr>)?<w:t[^>]*>)[^<]+',
        r"\g<1>99.9",
    )
    assert "shows '99.9'" in said(checks.references_true(found))


def test_a_reference_to_nowhere_is_found(document: bytes) -> None:
    found = changed(document, "word/document.xml", r" REF _P_\S+ ", " REF _P_nobody ")
    assert "nowhere" in said(checks.references_true(found))


def test_a_reference_to_another_paragraph_is_found(document: bytes, paper: Paper) -> None:
    other = next(mark for line in reversed(paper.lines) if line.label for mark in line.bookmarks)
    found = changed(document, "word/document.xml", r" REF _P_\S+ ", f" REF {other} ")
    assert "has the number" in said(checks.references_true(found))


def test_a_list_that_counts_otherwise_is_found(document: bytes, draft: Draft) -> None:
    found = changed(
        document,
        "word/numbering.xml",
        r'(<w:pStyle w:val="Para1"/><w:suff w:val="tab"/><w:lvlText w:val=)"%1.%2"',
        r'\1"%2"',
    )
    assert said(checks.references_true(found)) != ""
    assert "the document shows" in said(checks.map_true(found, draft.map("Round 3").rows))


def test_a_wrong_left_out_or_doubled_row_of_the_map_is_found(draft: Draft, paper: Paper) -> None:
    rows = draft.map("Round 3").rows
    assert "gives" in said(checks.map_true(paper, (replace(rows[5], number="99.9"), *rows[:5], *rows[6:])))
    assert "leaves out" in said(checks.map_true(paper, rows[1:]))
    assert "twice" in said(checks.map_true(paper, (*rows, rows[0])))
    assert "pointer" in said(
        checks.map_true(paper, (replace(rows[5], pointer="See paragraph 99.9."), *rows[:5], *rows[6:]))
    )


def test_a_number_inside_another_is_not_the_number() -> None:
    assert checks._names("See paragraphs 4.3(a) and 4.31 and 14.3.", "4.3") is False
    assert checks._names("See paragraph 4.3.", "4.3") is True
    assert checks._names("See paragraph 4.3(a) of the attached paper", "4.3(a)") is True


def test_the_map_inside_the_document_is_compared(document: bytes, draft: Draft) -> None:
    found = changed(document, "customXml/item1.xml", r'number="1\.1"', 'number="1.9"')
    assert "the map inside the document gives" in said(checks.map_true(found, draft.map("Round 3").rows))


@pytest.mark.parametrize(
    "damage",
    [
        lambda book: replace(book, to_petitioner=book.to_petitioner + Decimal("0.01")),
        lambda book: replace(book, equalization=book.equalization + Decimal("0.01")),
        lambda book: replace(book, gross=book.gross - 1),
        lambda book: replace(book, lines=book.lines[1:]),
        lambda book: replace(book, lines=(replace(book.lines[0], net=book.lines[0].net + Decimal("0.01")), *book.lines[1:])),
        lambda book: replace(book, lines=(_tilted(book.lines[0]), *book.lines[1:])),
        lambda book: replace(book, settlement=replace(book.settlement, petitioner_after=book.settlement.petitioner_after + 1)),
    ],
)  # fmt: skip
def test_a_ledger_that_is_off_by_a_cent_is_found(draft: Draft, damage: Any) -> None:
    assert said(checks.ledger_closes(draft.case.facts, damage(draft.figures.ledger))) != ""


def _tilted(line: Any) -> Any:
    """Two cents more on one side: the parts still make the whole."""
    return replace(
        line, to_petitioner=line.to_petitioner + Decimal("0.02"), to_respondent=line.to_respondent - Decimal("0.02")
    )


def test_an_unequal_division_that_nobody_speaks_of_is_found(draft: Draft) -> None:
    facts, ledger = draft.case.facts, draft.figures.ledger
    apart = replace(
        ledger, settlement=replace(ledger.settlement, petitioner_after=ledger.settlement.petitioner_after + 5000)
    )
    assert "nobody says" in said(checks.unequal_said(facts, apart, (), True))
    assert said(checks.unequal_said(facts, apart, ("property.equal_sum",), True)) == ""
    meant = facts.model_copy(update={"equalization": facts.equalization.model_copy(update={"unequal": True})})
    assert said(checks.unequal_said(meant, apart, (), True)) == ""


def test_a_printed_total_that_is_off_is_found(paper: Paper) -> None:
    spoilt = [replace(line, pieces=list(line.pieces)) for line in paper.lines]
    last = next(n for n, line in enumerate(spoilt) if line.table and line.text.startswith("Total of counted items"))
    assert spoilt[last + 4].text.startswith("$")
    spoilt[last + 4].pieces = ["$1.00"]
    assert "the schedule ends in" in said(checks.table_sums(replace(paper, lines=tuple(spoilt))))


@pytest.fixture(scope="module")
def timeline(draft: Draft) -> Any:
    plan = read_plans(draft.case.facts, draft.figures.minor_children.keys).plans[0].plan
    assert plan is not None
    return lay_out_days(plan, FIRST, LAST)


def test_a_calendar_with_a_hole_or_an_overlap_is_found(timeline: Any) -> None:
    def check(found: Any, kinds: tuple[str, ...] = ()) -> str:
        return said(checks.calendar_whole(found, None, FIRST, LAST, "America/Los_Angeles", kinds))

    stays = timeline.stays
    assert check(timeline) == ""
    assert "nobody has" in check(replace(timeline, stays=(*stays[:9], *stays[10:])))
    longer = stays[9]._replace(last=stays[9].last + 60)
    assert "both parents have" in check(replace(timeline, stays=(*stays[:9], longer, *stays[10:])))
    assert "ends at minute" in check(replace(timeline, stays=stays[:-1]))
    gap = (stays[9].first, stays[9].last)
    open_time = replace(timeline, stays=(*stays[:9], *stays[10:]), gaps=(gap,))
    assert "no fault says so" in check(open_time)
    assert check(open_time, ("gap",)) == ""


def test_nights_and_minutes_that_are_counted_wrong_are_found(draft: Draft, timeline: Any) -> None:
    measures = draft.figures.parenting_time.groups[0].measures
    assert measures is not None
    span = (
        date(draft.figures.parenting_time.first_year, 1, 1),
        date(draft.figures.parenting_time.first_year + 1, 12, 31),
    )
    assert span == (FIRST, LAST)
    assert said(checks.calendar_whole(timeline, measures, *span, "America/Los_Angeles", ())) == ""
    one_more = replace(measures, petitioner=replace(measures.petitioner, nights=measures.petitioner.nights + 1))
    assert "nights" in said(checks.calendar_whole(timeline, one_more, *span, "America/Los_Angeles", ()))
    assert "minutes" in said(
        checks.calendar_whole(timeline, replace(measures, minutes=1), *span, "America/Los_Angeles", ())
    )
    assert "runs from" in said(checks.calendar_whole(timeline, None, *span, "America/New_York", ()))


def test_shares_that_do_not_make_a_whole_are_found() -> None:
    assert (
        said(checks.share_said(SimpleNamespace(petitioner_percent=Decimal(40), respondent_percent=Decimal(60)))) == ""
    )
    assert (
        said(checks.share_said(SimpleNamespace(petitioner_percent=Decimal(40), respondent_percent=Decimal(61)))) != ""
    )
    assert said(checks.share_said(SimpleNamespace(petitioner_percent=None, respondent_percent=Decimal(60)))) != ""


def test_an_amount_from_nowhere_is_found(draft: Draft) -> None:
    known = checks.known_amounts(draft.case.facts, draft.figures)
    assert draft.case.facts.child_support.amount in known
    assert said(checks.money_known(["pays $1,234,567.89 a month"], known)) != ""
    assert said(checks.money_known(["pays one dollar"], known)) == ""


def test_an_amount_that_is_not_its_fact_is_found(draft: Draft) -> None:
    amount = draft.case.facts.child_support.amount
    assert amount is not None

    def check(text: str) -> str:
        piece = Text(text, "child_support.amount")
        section = replace(draft.agreement.sections[0], blocks=(Paragraph("x", "x", 1, (piece,)),))
        paper = replace(draft.agreement, sections=(section,))
        return said(checks.money_at_its_source(paper, draft.case.facts, lambda path: None))

    assert check(f"${amount:,.2f}") == ""
    assert check(f"${amount + 1:,.2f}") != ""
    assert check(f"(${amount:,.2f})") != ""
    assert check(f"one thousand dollars (${amount:,.2f})") != ""


@pytest.mark.parametrize(
    ("words", "amount"),
    [
        ("two thousand five dollars and ten cents", "2005.10"), ("one dollar", "1"), ("zero dollars", "0"),
        ("one million two hundred thirty-four thousand five hundred sixty-seven dollars and one cent", "1234567.01"),
    ],
)  # fmt: skip
def test_amounts_in_words(words: str, amount: str) -> None:
    assert checks.in_figures(words) == Decimal(amount)
    assert checks.in_figures("some dollars") is None


def test_an_unfilled_word_and_an_empty_sentence_are_found(draft: Draft) -> None:
    for text in ("The sum is None.", "Due on {{ day }}.", "It is is due.", "Two  spaces.", "."):
        section = replace(draft.agreement.sections[0], blocks=(Paragraph("x", "x", 1, (Text(text),)),))
        paper = replace(draft.agreement, sections=(section,))
        assert said(checks.text_clean(paper, number(paper))) != "", text


def test_a_finding_without_a_place_or_words_is_found(draft: Draft) -> None:
    finding = drafted("varnell", 1).findings[0]
    assert said(checks.findings_have_places([finding])) == ""
    assert "no fact" in said(checks.findings_have_places([replace(finding, path="case.weather")]))
    assert "reads" in said(checks.findings_have_places([replace(finding, mend=" ")]))
    assert "reads" in said(checks.findings_have_places([replace(finding, message="Pays None dollars.")]))


def test_a_worksheet_that_points_to_nowhere_is_found() -> None:
    def packet(ids: tuple[str, ...], answer: str) -> Any:
        line = SimpleNamespace(item="1", ids=ids, answer=answer)
        return SimpleNamespace(worksheets=[SimpleNamespace(name="FL-180", lines=[line])])

    assert said(checks.worksheets_true(packet(("a",), "Kern"), {"a": "1.1"})) == ""
    assert "not in the paper" in said(checks.worksheets_true(packet(("b",), ""), {"a": "1.1"}))
    assert "unfilled" in said(checks.worksheets_true(packet((), "{{ case.county }}"), {}))


def test_other_bytes_are_found() -> None:
    assert said(checks.same_bytes({"a": "1"}, {"a": "1"})) == ""
    assert said(checks.same_bytes({"a": "1"}, {"a": "2"})) != ""
    assert said(checks.same_bytes({"a": "1"}, {})) != ""


def test_marks_count_each_branch_and_change_no_word(monkeypatch: pytest.MonkeyPatch) -> None:
    every = read_library()
    some = {name: clause for name, clause in every.clauses.items() if name.startswith(("recital", "general"))}
    store = CountingStore(environment_module.environment.__wrapped__(), replace(every, clauses=some))
    monkeypatch.setattr(environment_module, "store", lambda: store)
    assert len({branch.name for branch in store.branches}) == len(store.branches) > 100
    found = drafted.__wrapped__("marrowby", 3)
    reached = {store.branches[n].name for n in store.take()}
    as_before = expected_file("marrowby", 3, "outline.txt").read_text(encoding="utf-8")
    assert write_text(found.agreement, found.numbering, found.stamp("Round 3")) == as_before
    ways = {"recital.parties | if figures.joint_path | yes"}
    ways |= {f'recital.parties | elif case.party_labels == "given_names" | {outcome}' for outcome in ("yes", "no")}
    assert ways <= {branch.name for branch in store.branches}
    assert len(ways & reached) == 1  # one paper goes one way
    assert len(reached) > 40


def test_a_number_is_a_case() -> None:
    again = [drawn_case(n).tree for n in range(20)]
    assert again == [drawn_case(n).tree for n in range(20)]
    assert len({repr(tree) for tree in again}) == 20
    assert drawn_case(3, seed=1).tree != again[3]
    assert bases()["dunmarsh-3"]["child_support"]  # a beginning is not changed by what is drawn over it
    assert drawn_case(3).tree == again[3]
    assert len(THEMES) > 20


def test_every_recipe_can_be_read() -> None:
    found = recipes.read()
    wrong = [recipe["for"] for n, recipe in enumerate(found) if recipes.facts_of(recipes.case(n, recipe).tree) is None]
    assert wrong == []
    assert len(found) > 50


def test_fewest_changes_keep_what_is_looked_for() -> None:
    changes = [("case.branch", "x"), ("case.number", "y"), ("marriage.place", "z"), ("case.county", "Napa")]
    left = recipes.fewest(
        "empty", changes, lambda tree: tree["case"]["county"] == "Napa" and "place" in tree["marriage"]
    )
    assert left == [("marriage.place", "z"), ("case.county", "Napa")]


def test_decisions_of_forms_are_listed_from_their_rules() -> None:
    found = possible_decisions()
    assert len(found) > 1000
    assert {box for *_, box in found} == {"check", "write", "leave", "blank", "hand", "printed"}


@pytest.mark.slow
def test_guards_that_are_said_to_hold_always_do() -> None:
    """The proof of the clause lint, asked for each reference under such a guard as if the guard were not there."""
    library = read_library()
    proven = 0
    for name, why in page.not_reachable().items():
        if "proof of the clause lint" not in why:
            continue
        clause, test, _ = name.split(" | ")
        asked = re.match(r'(?:el)?if has\("([a-z_.]+)"', test)
        assert asked is not None, name
        under = [
            p for p in lint.pointers(library.clauses[clause].body) if asked[1] in {target for target, _ in p.guards}
        ]
        assert under, name
        for pointer in under:
            others = tuple(t for t in pointer.tests if asked[1] not in {target for target, _ in lint._guards(t)})
            missing = lint._counterexample(library, library.clauses[clause], [library.clauses[asked[1]]], others)
            assert missing == "", f"{name}: {missing}"
            proven += 1
    assert proven > 30
