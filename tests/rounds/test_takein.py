"""An edited document comes back: every edit is told, and the next draft says what the document says."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from lxml import etree
from rounds import edits, trips
from rounds.edits import W
from support.scenarios import drafted, facts_file
from typer.testing import CliRunner

from msadraft.cli import app
from msadraft.draft import Draft, draft
from msadraft.rounds.intake.guard import IntakeError
from msadraft.rounds.intake.takein import take_in
from msadraft.tree import Paragraph, Reference, Text, inlines, walk

SCRIPTS = 24
"""Two for each round of each scenario, and between them every kind of edit; the slow ones go on from there."""


@pytest.mark.parametrize("seed", range(SCRIPTS))
def test_every_edit_is_told_and_comes_out_or_is_left_over(seed: int) -> None:
    assert trips.trip(seed).problems == []


def test_the_generated_scripts_reach_every_kind_of_edit() -> None:
    kinds = set()
    for seed in range(SCRIPTS):
        kinds |= {kind for kind, _ in trips.edited(seed)[1].told}
    some = [trips.trip(seed) for seed in range(0, SCRIPTS, 2)]
    facts = sum(len(one.taken.facts) for one in some)
    leftovers = sum(bool(one.taken.leftovers) for one in some)
    assert kinds == {
        "typo", "amount", "insert", "paste", "replaced", "delete", "reorder", "article", "cell", "split", "merge",
        "tracked insert", "tracked delete", "tracked paragraph", "tracked removal",
    }  # fmt: skip
    assert facts > 0
    assert leftovers < len(some) / 4, "nearly everything is placed; left over is the exception"


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(SCRIPTS, 300))
def test_many_more_scripts(seed: int) -> None:
    assert trips.trip(seed).problems == []


def _edited(found: Draft, n: int, change: Callable[[etree._Element], object]) -> bytes:
    document = trips.document_of(found, n)
    root = edits.body_of(document)
    change(root)
    return edits.with_body(document, root)


def _replace(old: str, new: str, times: int = 1) -> Callable[[etree._Element], object]:
    def change(root: etree._Element) -> None:
        left = times
        for t in root.iter(W + "t"):
            if left and old in (t.text or ""):
                t.text = (t.text or "").replace(old, new)
                left -= 1
        assert left == 0, f"{old} is not in the document often enough"

    return change


def test_an_unedited_document_has_no_difference() -> None:
    found = drafted("dunmarsh", 2)
    taken = take_in(found, trips.document_of(found, 2), "same.docx")
    assert taken.edits == 0
    assert (taken.case_text, taken.wording_text) == (None, None)


def test_a_changed_amount_is_a_changed_fact_and_every_other_place_follows() -> None:
    found = drafted("dunmarsh", 3)
    path = "child_support.amount"
    amount = found.case.facts.child_support.amount  # type: ignore[union-attr]
    places = [
        (b.id, p.text)
        for s in found.agreement.sections
        for b in walk(s.blocks)
        for p in inlines(b)
        if isinstance(p, Text) and p.source == path
    ]
    old = next(text for _, text in places if "dollars" in text)
    new = "two thousand ten dollars ($2,010.00)"
    taken = take_in(found, _edited(found, 3, _replace(old, new)), "edited.docx")
    (fact,) = taken.facts
    assert (fact.path, fact.written, fact.new) == (path, "2010.00", new)
    assert fact.line == found.case.place(path).line
    assert amount != Decimal("2010.00")
    after = trips.redrafted(found, taken)
    assert after.case.facts.child_support.amount == Decimal("2010.00")  # type: ignore[union-attr]
    others = [text for _, text in places if text != old]
    assert others
    assert all(any(text in f.before for f in taken.follows) for text in others)
    assert all("2,010.00" in f.after for f in taken.follows if old[-12:-1] in f.before)
    assert taken.leftovers == []


def test_a_figure_changed_without_its_words_is_one_fact_and_the_words_follow() -> None:
    found = drafted("dunmarsh", 3)
    pieces = [
        p.text for s in found.agreement.sections for b in walk(s.blocks) for p in inlines(b)
        if isinstance(p, Text) and p.source == "child_support.amount" and "dollars" in p.text
    ]  # fmt: skip
    figure = re.search(r"\$[\d,.]+\d", pieces[0])
    assert figure is not None
    taken = take_in(found, _edited(found, 3, _replace(f"({figure[0]})", "($2,010.00)")), "edited.docx")
    (fact,) = taken.facts
    assert fact.written == "2010.00"
    assert fact.remark == "it will read: two thousand ten dollars ($2,010.00)"


def test_case_yaml_keeps_every_other_byte() -> None:
    found = drafted("dunmarsh", 3)
    assert "#" in found.case.text
    old = next(
        p.text for s in found.agreement.sections for b in walk(s.blocks) for p in inlines(b)
        if isinstance(p, Text) and p.source == "child_support.amount" and "dollars" in p.text
    )  # fmt: skip
    taken = take_in(found, _edited(found, 3, _replace(old, "two thousand ten dollars ($2,010.00)")), "edited.docx")
    assert taken.case_text is not None
    before, after = found.case.text.splitlines(), taken.case_text.splitlines()
    assert len(before) == len(after)
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert len(changed) == 1
    assert changed[0][1].split("#")[0].strip() == "amount: 2010.00"


def test_a_value_that_the_facts_refuse_stays_negotiated_wording() -> None:
    found = drafted("dunmarsh", 2)
    taken = take_in(found, _edited(found, 2, _replace("50%", "350%")), "edited.docx")
    assert taken.facts == []
    assert "350%" in taken.reworded[0].after
    assert "cannot be read as a value" in taken.reworded[0].remark
    assert taken.leftovers == []


def test_a_change_of_a_computed_figure_stays_negotiated_wording_and_says_so() -> None:
    found = drafted("dunmarsh", 2)
    months = next(
        p.text for s in found.agreement.sections for b in walk(s.blocks) for p in inlines(b)
        if isinstance(p, Text) and p.source.startswith("figures.") and p.text.endswith("months")
    )  # fmt: skip
    taken = take_in(found, _edited(found, 2, _replace(months, "99 months")), "edited.docx")
    assert taken.facts == []
    assert "it is computed" in taken.reworded[0].remark


def test_a_slip_in_a_name_that_stands_elsewhere_is_wording_and_not_a_new_name() -> None:
    found = drafted("dunmarsh", 2)

    def change(root: etree._Element) -> None:
        for p in root.iter(W + "p"):
            if edits.style(p) == "Para1":
                for t in p.iter(W + "t"):
                    if t.text == "Philippa":
                        t.text = "Phillippa"
                        return

    taken = take_in(found, _edited(found, 2, change), "edited.docx")
    assert taken.facts == []
    assert "other places" in taken.reworded[0].remark
    assert trips.redrafted(found, taken).case.facts.petitioner.name.first == "Philippa"


def test_a_blank_that_was_filled_in_becomes_the_fact() -> None:
    found = drafted("dunmarsh", 2)
    blanks = [
        (b, p.source) for s in found.agreement.sections for b in walk(s.blocks) if isinstance(b, Paragraph)
        for p in b.content if not isinstance(p, Text) and getattr(p, "source", "").endswith(("_on", "_by"))
    ]  # fmt: skip
    assert blanks
    block, path = blanks[0]
    mark = found.numbering[block.id].bookmark

    def change(root: etree._Element) -> None:
        start = next(b for b in root.iter(W + "bookmarkStart") if b.get(W + "name") == mark)
        line = start.getparent()
        assert line is not None
        t = next(t for t in line.iter(W + "t") if set(t.text or "") == {"_"})
        t.text = "March 3, 2027"

    taken = take_in(found, _edited(found, 2, change), "edited.docx")
    assert [(f.path, f.written) for f in taken.facts] == [(path, "2027-03-03")]
    assert taken.leftovers == []


def test_words_changed_beside_a_value_keep_the_value_alive() -> None:
    found = drafted("dunmarsh", 2)
    block = next(
        b for s in found.agreement.sections for b in walk(s.blocks)
        if isinstance(b, Paragraph) and any(isinstance(p, Text) and p.source == "parenting.vacation.notice_days" for p in b.content)
    )  # fmt: skip
    mark = found.numbering[block.id].bookmark

    def change(root: etree._Element) -> None:
        start = next(b for b in root.iter(W + "bookmarkStart") if b.get(W + "name") == mark)
        line = start.getparent()
        assert line is not None
        run = etree.SubElement(line, W + "r")
        etree.SubElement(run, W + "t").text = " This is of the essence."

    taken = take_in(found, _edited(found, 2, change), "edited.docx")
    assert taken.facts == []
    assert "{parenting.vacation.notice_days" in (taken.wording_text or "")
    after = trips.redrafted(found, taken)
    text = found.case.text.replace("notice_days: 45", "notice_days: 50")
    assert text != found.case.text
    later = draft(trips.read_text_case(text), negotiated=after.negotiated)
    said = next(b for s in later.agreement.sections for b in walk(s.blocks) if b.id == block.id)
    words = "".join(p.text for p in inlines(said) if isinstance(p, Text))
    assert "50\u00a0days" in words
    assert words.endswith("This is of the essence.")


def test_taking_in_the_next_round_builds_on_the_last_one() -> None:
    found = drafted("marrowby", 2)
    first = take_in(found, edits.generated(trips.document_of(found, 2), 101)[0], "a.docx")
    second = trips.redrafted(found, first)
    assert take_in(second, trips.document_of(second, 3), "same.docx").edits == 0
    for seed in (202, 303):
        document, script = edits.generated(trips.document_of(second, 3), seed)
        done = trips.finish(second, 3, document, script)
        assert done.problems == []
        second = done.after


def test_wording_that_goes_back_to_the_library_leaves_no_entry() -> None:
    found = drafted("marrowby", 2)
    first = take_in(found, _edited(found, 2, _replace(" shall ", " will ")), "a.docx")
    second = trips.redrafted(found, first)
    assert len(second.negotiated.reworded) == 1
    back = take_in(second, _edited(second, 3, _replace(" will ", " shall ")), "b.docx")
    assert trips.redrafted(second, back).negotiated.reworded == {}


def test_a_comment_is_kept_with_its_author_and_place() -> None:
    found = drafted("marrowby", 2)
    document = trips.document_of(found, 2)
    root = edits.body_of(document)
    line = next(p for p in root.iter(W + "p") if edits.style(p) == "Para1")
    mark = etree.SubElement(etree.SubElement(line, W + "r"), W + "commentReference")
    mark.set(W + "id", "7")
    comments = (
        f'<w:comments xmlns:w="{W[1:-1]}"><w:comment w:id="7" w:author="M. Reyes" w:date="2026-11-02T09:00:00Z"><w:p><w:r>'
        "<w:t>Please confirm the date.</w:t></w:r></w:p></w:comment></w:comments>"
    )
    parts = edits.parts(edits.with_body(document, root))
    taken = take_in(found, edits.packed({**parts, "word/comments.xml": comments.encode()}), "c.docx")
    (comment,) = taken.comments
    assert (comment.author, comment.text, comment.number) == ("M. Reyes", "Please confirm the date.", "1.1")
    after = trips.redrafted(found, taken)
    assert any("Please confirm the date." in f.message and f.severity == "note" for f in after.findings)


def test_a_picture_and_a_changed_foot_are_left_over() -> None:
    found = drafted("marrowby", 2)
    document = trips.document_of(found, 2)
    root = edits.body_of(document)
    line = next(p for p in root.iter(W + "p") if edits.style(p) == "Para2")
    etree.SubElement(etree.SubElement(line, W + "r"), W + "drawing")
    parts = edits.parts(edits.with_body(document, root))
    foot = parts["word/footer1.xml"].replace(b"Initials", b"Paraphs")
    taken = take_in(found, edits.packed({**parts, "word/footer1.xml": foot}), "c.docx")
    assert {one.what for one in taken.leftovers} >= {
        "it cannot be taken in; put it in by hand", "the head or foot of the page, or a footnote, was changed",
    }  # fmt: skip


def _strip_bookmarks(root: etree._Element) -> None:
    for mark in [*root.iter(W + "bookmarkStart"), *root.iter(W + "bookmarkEnd")]:
        parent = mark.getparent()
        assert parent is not None
        parent.remove(mark)


@pytest.mark.parametrize(("name", "n"), [("dunmarsh", 2), ("fennick", 2)])
def test_a_document_without_any_bookmark_is_read_by_its_words(name: str, n: int) -> None:
    found = drafted(name, n)
    assert take_in(found, _edited(found, n, _strip_bookmarks), "bare.docx").edits == 0


@pytest.mark.parametrize("seed", [2, 6, 10, 14, 18, 22])
def test_edits_of_a_document_without_any_bookmark_come_out(seed: int) -> None:
    name, n = trips.ROUNDS[seed % len(trips.ROUNDS)]
    found = drafted(name, n)
    document, script = edits.generated(trips.document_of(found, n), seed)
    root = edits.body_of(document)
    _strip_bookmarks(root)
    assert trips.finish(found, n, edits.with_body(document, root), script).problems == []


def _first(root: etree._Element, style: str, least: int = 0) -> etree._Element:
    return next(p for p in root.iter(W + "p") if edits.style(p) == style and len(edits._text(p)) > least)


def _said(found: Draft) -> list[str]:
    return edits.lines(edits.body_of(trips.document_of(found, 2)))


def test_a_bookmark_left_in_an_empty_paragraph_is_no_edit_of_the_text() -> None:
    found = drafted("marrowby", 2)

    def change(root: etree._Element) -> None:
        line = _first(root, "Para2", 60)
        empty = etree.Element(W + "p")
        line.addprevious(empty)
        for mark in [*line.iter(W + "bookmarkStart"), *line.iter(W + "bookmarkEnd")]:
            empty.append(mark)

    taken = take_in(found, _edited(found, 2, change), "edited.docx")
    assert (taken.edits, taken.wording_text) == (0, None)


def test_an_unclosed_bookmark_on_both_halves_of_a_split_stays_with_the_larger() -> None:
    # what LibreOffice leaves behind when a paragraph is split
    found = drafted("marrowby", 2)

    def change(root: etree._Element) -> None:
        line = next(
            p for p in root.iter(W + "p") if edits.style(p) == "Para1" and len(edits._own_texts(p)[-1].text or "") > 120
        )
        text = edits._own_texts(line)[-1]
        head, tail = (text.text or "")[:-40], (text.text or "")[-40:]
        text.text = head
        new = etree.Element(W + "p")
        line.addnext(new)
        etree.SubElement(etree.SubElement(new, W + "pPr"), W + "pStyle").set(W + "val", "Para1")
        start = next(line.iter(W + "bookmarkStart"))
        for end in [*line.iter(W + "bookmarkEnd")]:
            line.remove(end)
        etree.SubElement(new, W + "bookmarkStart").set(W + "name", start.get(W + "name", ""))
        etree.SubElement(etree.SubElement(new, W + "r"), W + "t").text = tail

    taken = take_in(found, _edited(found, 2, change), "edited.docx")
    assert (len(taken.reworded), len(taken.inserted), len(taken.removed)) == (1, 1, 0)
    assert taken.inserted[0].remark.startswith("split from")
    assert taken.leftovers == []


def test_a_copied_paragraph_is_new_and_says_of_what() -> None:
    found = drafted("marrowby", 2)

    def change(root: etree._Element) -> None:
        line = _first(root, "Para1", 60)
        copied = edits.copy.deepcopy(line)
        for mark in copied.iter(W + "bookmarkStart"):
            mark.set(W + "name", f"{mark.get(W + 'name')}_Copy_1")
        line.addnext(copied)

    taken = take_in(found, _edited(found, 2, change), "edited.docx")
    assert [n.remark for n in taken.inserted] == ["copied from 1.1"]
    assert taken.leftovers == []


def test_rows_of_a_table_are_taken_out_and_put_in() -> None:
    found = drafted("dunmarsh", 2)

    def rows(root: etree._Element) -> list[etree._Element]:
        return [
            r
            for r in root.iter(W + "tr")
            if any(edits.style(p) in ("ScheduleText", "TableText") for p in r.iter(W + "p"))
        ]

    def change(root: etree._Element) -> None:
        first, second = rows(root)[:2]
        new = edits.copy.deepcopy(first)
        for mark in [*new.iter(W + "bookmarkStart"), *new.iter(W + "bookmarkEnd")]:
            parent = mark.getparent()
            assert parent is not None
            parent.remove(mark)
        for n, cell in enumerate(new.iter(W + "tc")):
            for t in cell.iter(W + "t"):
                t.text = ""
            paragraph = cell.find(W + "p")
            assert paragraph is not None
            etree.SubElement(etree.SubElement(paragraph, W + "r"), W + "t").text = f"New cell {n}"
        first.addnext(new)
        parent = second.getparent()
        assert parent is not None
        parent.remove(second)

    document = _edited(found, 2, change)
    taken = take_in(found, document, "edited.docx")
    assert ["New cell 0" in n.text for n in taken.inserted] == [True]
    assert [g.remark for g in taken.removed] == ["row of a table"]
    assert taken.leftovers == []
    assert _said(trips.redrafted(found, taken)) == edits.lines(edits.body_of(document))


def test_a_new_article_and_a_new_table() -> None:
    found = drafted("dunmarsh", 2)

    def change(root: etree._Element) -> None:
        heading = [p for p in root.iter(W + "p") if edits.style(p) == "Heading1"][3]
        for style, text in (
            ("Heading1", "Pets"),
            ("Para1", "The dog stays with the children."),
            ("Para2", "So does the cat."),
        ):
            new = etree.Element(W + "p")
            heading.addprevious(new)
            etree.SubElement(etree.SubElement(new, W + "pPr"), W + "pStyle").set(W + "val", style)
            etree.SubElement(etree.SubElement(new, W + "r"), W + "t").text = text

    document = _edited(found, 2, change)
    taken = take_in(found, document, "edited.docx")
    assert [n.number for n in taken.inserted] == ["4.", "4.1", "(a)"]
    assert taken.leftovers == []
    after = trips.redrafted(found, taken)
    assert _said(after) == edits.lines(edits.body_of(document))
    assert after.agreement.sections[3].heading == (Text("Pets"),)

    def table(root: etree._Element) -> None:
        line = _first(root, "Para1")
        made = etree.Element(W + "tbl")
        line.addnext(made)
        cell = etree.SubElement(etree.SubElement(made, W + "tr"), W + "tc")
        etree.SubElement(etree.SubElement(etree.SubElement(cell, W + "p"), W + "r"), W + "t").text = "Boat, $900"

    taken = take_in(found, _edited(found, 2, table), "edited.docx")
    assert [(one.what, one.text) for one in taken.leftovers] == [("a new table cannot be taken in", "Boat, $900")]


def test_a_paragraph_set_one_level_deeper() -> None:
    found = drafted("dunmarsh", 2)

    def change(root: etree._Element) -> None:
        every = list(root.iter(W + "p"))
        line = next(
            p for n, p in enumerate(every)
            if edits.style(p) == edits.style(every[n - 1]) == edits.style(every[n + 1]) == "Para2"
            and edits._is_leaf(p, n, every) and not edits._before_table(p)
        )  # fmt: skip
        style = line.find(f"{W}pPr/{W}pStyle")
        assert style is not None
        style.set(W + "val", "Para3")

    document = _edited(found, 2, change)
    taken = take_in(found, document, "edited.docx")
    assert [m.after for m in taken.moved] == ["level 3"]
    assert taken.leftovers == []
    after = trips.redrafted(found, taken)
    assert list(after.negotiated.levels.values()) == [3]


def test_a_reference_to_a_deleted_paragraph_is_told_and_stops_signing() -> None:
    found = drafted("dunmarsh", 2)
    target = next(
        b for s in found.agreement.sections for b in walk(s.blocks)
        if isinstance(b, Paragraph) and not b.children and b.id in {
            p.target for s2 in found.agreement.sections for b2 in walk(s2.blocks) for p in inlines(b2) if isinstance(p, Reference)
        }
    )  # fmt: skip
    mark = found.numbering[target.id].bookmark

    def change(root: etree._Element) -> None:
        start = next(b for b in root.iter(W + "bookmarkStart") if b.get(W + "name") == mark)
        line = start.getparent()
        assert line is not None
        parent = line.getparent()
        assert parent is not None
        parent.remove(line)

    taken = take_in(found, _edited(found, 2, change), "edited.docx")
    assert [g.id for g in taken.removed] == [target.id]
    assert any(f"refers to {target.id}" in one.what for one in taken.leftovers)
    after = trips.redrafted(found, taken)
    assert any(f.id == "negotiation.wording_conflict" and target.id in f.message for f in after.stops)


def test_a_signature_block_cannot_be_edited_away() -> None:
    found = drafted("marrowby", 2)

    def change(root: etree._Element) -> None:
        for p in [p for p in root.iter(W + "p") if edits.style(p).startswith("Signature")]:
            parent = p.getparent()
            assert parent is not None
            parent.remove(p)

    taken = take_in(found, _edited(found, 2, change), "c.docx")
    assert any("place to sign" in one.what for one in taken.leftovers)
    assert trips.redrafted(found, taken).fingerprint == found.fingerprint


def test_a_document_of_another_round_is_refused() -> None:
    older = trips.document_of(drafted("marrowby", 1), 1)
    with pytest.raises(IntakeError, match=r"Round 1 · .* but the case as it stands now drafts as"):
        take_in(drafted("marrowby", 2), older, "older.docx")


# --- the command -----------------------------------------------------------------------------------------------------


@pytest.fixture
def case(tmp_path: Path) -> Path:
    folder = tmp_path / "case"
    folder.mkdir()
    (folder / "case.yaml").write_text(facts_file("marrowby", 2).read_text(encoding="utf-8"), encoding="utf-8")
    CliRunner().invoke(app, ["draft", str(folder)])
    return folder


def _document(case: Path, change: Callable[[etree._Element], object]) -> Path:
    document = (case / "rounds" / "01" / "agreement.docx").read_bytes()
    root = edits.body_of(document)
    change(root)
    file = case.parent / "edited.docx"
    file.write_bytes(edits.with_body(document, root))
    return file


def test_command_reports_first_and_writes_only_when_told(case: Path) -> None:
    file = _document(case, _replace(" shall ", " will "))
    before = (case / "case.yaml").read_bytes()
    said = CliRunner().invoke(app, ["takein", str(case), str(file)])
    assert said.exit_code == 0, said.output
    assert "Negotiated wording:" in said.output
    assert "--apply" in said.output
    assert not (case / "wording.yaml").exists()
    said = CliRunner().invoke(app, ["takein", str(case), str(file), "--apply", "--json"])
    assert said.exit_code == 0, said.output
    assert json.loads(said.output)["written"] == [str(case / "wording.yaml")]
    assert (case / "case.yaml").read_bytes() == before
    drafted_again = CliRunner().invoke(app, ["draft", str(case)])
    assert "rounds/02" in drafted_again.output.replace("\\", "/")
    assert (case / "rounds" / "02" / "wording.yaml").read_text() == (case / "wording.yaml").read_text()


def test_command_lists_tracked_changes_and_takes_them_either_way(case: Path) -> None:
    def change(root: etree._Element) -> None:
        line = next(p for p in root.iter(W + "p") if edits.style(p) == "Para1")
        wrap = etree.SubElement(line, W + "ins")
        for name, text in (("id", "9001"), ("author", "M. Reyes"), ("date", "2026-11-02T09:00:00Z")):
            wrap.set(W + name, text)
        etree.SubElement(etree.SubElement(wrap, W + "r"), W + "t").text = " Added words."

    file = _document(case, change)
    shown = CliRunner().invoke(app, ["takein", str(case), str(file), "--changes", "show"])
    assert "inserted by M. Reyes 2026-11-02: Added words." in shown.output
    refused = CliRunner().invoke(app, ["takein", str(case), str(file), "--changes", "show", "--apply"])
    assert refused.exit_code == 2
    accepted = CliRunner().invoke(app, ["takein", str(case), str(file), "--json"])
    assert len(json.loads(accepted.output)["reworded"]) == 1
    rejected = CliRunner().invoke(app, ["takein", str(case), str(file), "--changes", "reject", "--json"])
    assert json.loads(rejected.output)["edits"] == 0


def test_command_exits_1_when_something_is_left_over(case: Path) -> None:
    def change(root: etree._Element) -> None:
        line = next(p for p in root.iter(W + "p") if edits.style(p) == "Para1")
        etree.SubElement(etree.SubElement(line, W + "r"), W + "drawing")

    said = CliRunner().invoke(app, ["takein", str(case), str(_document(case, change))])
    assert said.exit_code == 1
    assert "Left over" in said.output
