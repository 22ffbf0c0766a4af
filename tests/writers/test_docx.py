"""The DOCX file: same bytes for same input, sound structure, true references, literal text."""

from __future__ import annotations

import hashlib
import io
import os
import re
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import docx
import pytest
from hypothesis import given, settings
from writers import reading, sample
from writers.strategies import PAPERS, STYLES, Paper, Style, agreements

from msadraft.agreement.numbering import Numbering, number
from msadraft.tree import Agreement, Paragraph, Plain, Reference, Section, Signature, Table, Text, walk
from msadraft.writers import inline
from msadraft.writers.docx import write_docx
from msadraft.writers.docx.columns import column_widths, text_width
from msadraft.writers.docx.lint import lint
from msadraft.writers.stamp import Stamp

HOSTILE = (
    "<w:t>bold</w:t> & \"quoted\" 'single' ]]> <!-- -->",
    "{{ party.name }} {% raw %} ${HOME} %s \\n",
    "A" * 900,
    "שלום עולם مرحبا",
    "王小明 株式会社 김철수",
    "e\u0301 ﬁ 𝔸 👩‍👧 ½",
    '=HYPERLINK("http://example.org") REF _P_x \\r \\h',
)
SEPARATE = """
import hashlib, sys
sys.path[:0] = sys.argv[1:]
from writers import sample
from msadraft.agreement.numbering import number
from msadraft.writers.docx import write_docx
agreement = sample.agreement()
print(hashlib.sha256(write_docx(agreement, number(agreement), sample.DRAFT)).hexdigest())
"""


def _write(agreement: Agreement, stamp: Stamp = sample.STAMP) -> tuple[bytes, Numbering]:
    numbering = number(agreement)
    return write_docx(agreement, numbering, stamp), numbering


def _paragraphs(agreement: Agreement) -> list[Paragraph]:
    return [b for section in agreement.sections for b in walk(section.blocks) if isinstance(b, Paragraph)]


@pytest.mark.parametrize("seed", ["0", "1", "977"])
def test_another_process_with_another_hash_seed_gives_the_same_bytes(seed: str) -> None:
    root = Path(__file__).parents[2]
    command = [sys.executable, "-c", SEPARATE, str(root), str(root / "tests")]
    out = subprocess.run(
        command, env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, text=True, check=True
    )
    assert out.stdout.strip() == hashlib.sha256(_write(sample.agreement(), sample.DRAFT)[0]).hexdigest()


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("stamp", [sample.STAMP, sample.DRAFT], ids=["ready", "draft"])
def test_sample_is_clean(style: Style, paper: Paper, stamp: Stamp) -> None:
    assert lint(_write(sample.agreement(style, paper), stamp)[0]) == []


@given(agreements())
@settings(max_examples=40, deadline=None)
def test_random_agreement_is_clean_and_every_node_has_one_bookmark(agreement: Agreement) -> None:
    document, numbering = _write(agreement)
    assert lint(document) == []
    marks = [mark.get(f"{reading.W}name") for mark in reading.tree(document).iter(f"{reading.W}bookmarkStart")]
    assert sorted(map(str, marks)) == sorted(entry.bookmark for entry in numbering.by_id.values())


@given(agreements())
@settings(max_examples=40, deadline=None)
def test_references_show_the_number_of_their_target(agreement: Agreement) -> None:
    document, numbering = _write(agreement)
    labels = {entry.bookmark: entry.label.rstrip(".") for entry in numbering.by_id.values()}
    places = reading.by_bookmark(document)
    for block in _paragraphs(agreement):
        found = reading.references(places[numbering[block.id].bookmark])
        assert all(shown == labels[mark] for mark, shown in found)
        wanted = [numbering[piece.target].full for piece in block.content if isinstance(piece, Reference)]
        assert "".join(shown for _, shown in found) == "".join(wanted)


def test_no_break_space_ties_a_reference_to_its_word() -> None:
    document, numbering = _write(sample.agreement())
    text = reading.text(reading.by_bookmark(document)[numbering["background.purpose"].bookmark])
    assert "in paragraph\u00a03.1, and" in text
    assert "in article\u00a02." in text
    assert "is\u00a0Exhibit A." in text


def test_heading_runs_into_the_text_in_bold_with_one_full_stop() -> None:
    agreement = sample.agreement()
    question = Paragraph("q", "q", 1, (Text("Yes."),), (Text("Who pays?"),))
    section = Section(
        "s", "article", (Text("S"),), (question, Paragraph("n", "n", 1, (Text("No."),), (Text("Costs"),)))
    )
    document, numbering = _write(replace(agreement, sections=(*agreement.sections, section)))
    places = reading.by_bookmark(document)
    asked, plain = (places[numbering[i].bookmark] for i in ("q", "n"))
    assert reading.text(asked) == "Who pays? Yes."
    assert reading.text(plain) == "Costs. No."
    bold = [run for run in plain.iter(f"{reading.W}r") if run.find(f"{reading.W}rPr/{reading.W}b") is not None]
    assert "".join(map(reading.text, bold)) == "Costs."


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_comes_out_literally(text: str, paper: Paper) -> None:
    agreement = replace(sample.with_text(text), layout=paper)
    document, numbering = _write(agreement)
    assert lint(document) == []
    read = docx.Document(io.BytesIO(document))
    shown = [p.text for p in read.paragraphs] + [c.text for t in read.tables for row in t.rows for c in row.cells]
    assert f"{text}. before {text} after" in shown
    assert shown.count(text) >= 4  # heading, caption, notice, table head and cell, statement, name, capacity
    assert read.core_properties.title == f"Title {text}"
    assert reading.text(reading.by_bookmark(document)[numbering["article.extra"].bookmark]) == text


def test_control_characters_and_direction_marks_are_left_out() -> None:
    document, numbering = _write(sample.with_text("a\x00b\x08c\x1bd\ufffee\u202ef\ud800g"))
    assert lint(document) == []
    assert reading.text(reading.by_bookmark(document)[numbering["article.extra"].bookmark]) == "abcdefg"


def test_line_ends_and_tabs_become_breaks_and_tabs() -> None:
    document, numbering = _write(sample.with_text("one\r\ntwo\u2028three\tfour"))
    assert reading.text(reading.by_bookmark(document)[numbering["article.extra"].bookmark]) == "one\ntwo\nthree\tfour"


def test_python_docx_reads_headings_styles_and_properties() -> None:
    read = docx.Document(io.BytesIO(_write(sample.agreement())[0]))
    headings = [p.text for p in read.paragraphs if p.style is not None and p.style.name == "Heading 1"]
    assert headings == ["Background", "Child support", "Property and debts", "General terms", "Signatures"]
    assert [p.text for p in read.paragraphs if p.style is not None and p.style.name == "Exhibit Heading"] == [
        "Property and debts schedule",
        "Holidays",
    ]
    properties = read.core_properties
    assert (properties.author, properties.title) == ("msadraft", "Marital Settlement Agreement")
    assert properties.created is not None
    assert properties.created.date().isoformat() == "2026-09-15"


def test_undated_agreement_has_a_fixed_day() -> None:
    document = _write(replace(sample.agreement(rows=1), dated=""))[0]
    assert b">1980-01-01T00:00:00Z<" in reading.parts(document)["docProps/core.xml"]


def test_numbers_are_lists_and_never_text() -> None:
    document, numbering = _write(sample.agreement())
    places = reading.by_bookmark(document)
    for block in _paragraphs(sample.agreement()):
        assert not reading.text(places[numbering[block.id].bookmark]).startswith(numbering[block.id].label)
        assert not reading.has(places[numbering[block.id].bookmark], "numPr")
    styles = {reading.style(places[numbering[block.id].bookmark]) for block in _paragraphs(sample.agreement())}
    assert styles == {"Para1", "Para2", "Para3", "ExhibitPara1", "ExhibitPara2"}


def test_map_part_holds_every_node_with_the_hash_of_its_text() -> None:
    document, numbering = _write(sample.agreement())
    places = reading.by_bookmark(document)
    nodes = {node.get("id"): node for node in reading.tree(document, "customXml/item1.xml")}
    assert set(nodes) == set(numbering.by_id)
    for node_id, entry in numbering.by_id.items():
        node = nodes[node_id]
        assert (node.get("bookmark"), node.get("number"), node.get("label")) == (
            entry.bookmark,
            entry.full,
            entry.label,
        )
        if node.get("kind") in {"paragraph", "plain", "table", "article", "exhibit"}:
            assert node.get("hash") == inline.text_hash(reading.text(places[entry.bookmark]))


def test_mark_is_in_the_footer_and_in_the_properties() -> None:
    for paper in PAPERS:
        found = reading.parts(_write(sample.agreement(layout=paper, rows=1))[0])
        assert "Round 3 · 7f3a91c2".encode() in found["word/footer1.xml"]
        assert "Round 3 · 7f3a91c2".encode() in found["docProps/custom.xml"]
        footer = reading.text(reading.tree(_write(sample.agreement(layout=paper, rows=1))[0], "word/footer1.xml"))
        assert "Page 1 of 1" in footer
        assert "Initials:  MA ______   DA ______" in footer


@pytest.mark.parametrize("paper", PAPERS)
def test_banner_stands_in_the_header_only_while_not_ready(paper: Paper) -> None:
    agreement = sample.agreement(layout=paper, rows=1)
    draft = reading.text(reading.tree(_write(agreement, sample.DRAFT)[0], "word/header1.xml"))
    ready = reading.text(reading.tree(_write(agreement, sample.STAMP)[0], "word/header1.xml"))
    assert "not ready to sign" in draft
    assert "not ready" not in ready


def test_pleading_header_numbers_28_lines() -> None:
    # Rule 2.108: lines numbered consecutively, at least three numbers an inch; 28 fit between the margins.
    header = reading.tree(_write(sample.agreement(layout="pleading", rows=1))[0], "word/header1.xml")
    assert [reading.text(p) for p in header.iter(f"{reading.W}p")][:28] == [str(n) for n in range(1, 29)]


def test_pleading_footer_has_the_title_below_a_rule_in_ten_points() -> None:
    # Rule 2.110: below the page number, divided by a printed line, the title in at least 10 points.
    document = _write(sample.agreement(layout="pleading", rows=1))[0]
    first, second = reading.tree(document, "word/footer1.xml").iter(f"{reading.W}p")
    assert first.find(f"{reading.W}pPr/{reading.W}pBdr/{reading.W}bottom") is not None
    assert reading.text(second) == "Marital Settlement Agreement"
    size = reading.tree(document, "word/styles.xml").find(
        f"{reading.W}style[@{reading.W}styleId='Footer']/{reading.W}rPr/{reading.W}sz"
    )
    assert size is not None
    assert int(size.get(f"{reading.W}val", "0")) >= 20


def test_pleading_styles_measure_whole_half_lines() -> None:
    document = _write(sample.agreement(layout="pleading", rows=1))[0]
    for spacing in reading.tree(document, "word/styles.xml").iter(f"{reading.W}pPr"):
        found = spacing.find(f"{reading.W}spacing")
        owner = spacing.getparent()
        if found is None or owner is None or owner.get(f"{reading.W}styleId") in {"Header", "Banner"}:
            continue
        assert found.get(f"{reading.W}lineRule") == "exact"
        assert {int(found.get(f"{reading.W}{side}", "0")) % 240 for side in ("before", "after", "line")} == {0}
    heights = [int(h.get(f"{reading.W}val", "0")) for h in reading.tree(document).iter(f"{reading.W}trHeight")]
    assert heights
    assert all(height % 240 == 0 for height in heights)


def test_court_stands_on_line_eight_of_a_pleading() -> None:
    # Rule 2.111: the title of the court on line 8; seven lines of 24 points stand above it.
    body = reading.tree(_write(sample.agreement(layout="pleading", rows=1))[0])[0]
    height = body[0].find(f".//{reading.W}trHeight")
    assert height is not None
    assert height.get(f"{reading.W}val") == str(7 * 480)
    assert height.get(f"{reading.W}hRule") == "exact"
    assert reading.text(body[1]) == "SUPERIOR COURT OF CALIFORNIA, COUNTY OF ALAMEDA"


def test_table_repeats_its_header_and_never_splits_a_row() -> None:
    document, _ = _write(sample.agreement(rows=60))
    for table in reading.tree(document).iter(f"{reading.W}tbl"):
        rows = table.findall(f"{reading.W}tr")
        assert all(row.find(f"{reading.W}trPr/{reading.W}cantSplit") is not None for row in rows)
        layout = table.find(f"{reading.W}tblPr/{reading.W}tblLayout")
        assert layout is not None
        assert layout.get(f"{reading.W}type") == "fixed"
        if len(rows) > 1:
            assert rows[0].find(f"{reading.W}trPr/{reading.W}tblHeader") is not None
            widths = [int(c.get(f"{reading.W}w", "0")) for c in table.iter(f"{reading.W}gridCol")]
            assert sum(widths) <= 9360


def test_total_row_is_bold() -> None:
    document, numbering = _write(sample.agreement(rows=2))
    cell = reading.by_bookmark(document)[numbering["schedule.total"].bookmark].getparent()
    assert cell is not None
    runs = list(cell.getparent().iter(f"{reading.W}r"))  # type: ignore[union-attr]
    assert runs
    assert all(run.find(f"{reading.W}rPr/{reading.W}b") is not None for run in runs)


def test_signature_block_holds_together() -> None:
    agreement = sample.agreement(rows=1)
    document, numbering = _write(agreement)
    places = reading.by_bookmark(document)
    everything = list(places[numbering["signatures.read"].bookmark].getroottree().getroot().iter(f"{reading.W}p"))
    blocks = [b for s in agreement.sections for b in s.blocks]
    together = 0
    for block, following in pairwise(blocks):
        if not isinstance(block, Signature):
            continue
        size = 3 + bool(block.statement) + len(block.lines[1:])
        start = everything.index(places[numbering[block.id].bookmark])
        block_paragraphs = everything[start : start + size]
        # Both parties sign one page; who signs with words of their own may sign the next.
        leads = isinstance(following, Signature) and not following.statement
        assert [reading.has(p, "keepNext") for p in block_paragraphs] == [True] * (size - 1) + [leads]
        together += leads
    assert together == 1
    leading = places[numbering["signatures.read"].bookmark]
    assert reading.has(leading, "keepNext")
    styles = reading.tree(document, "word/styles.xml")
    for name in ("SignatureText", "SignatureLine", "SignatureName"):
        keep = styles.find(f"{reading.W}style[@{reading.W}styleId='{name}']/{reading.W}pPr/{reading.W}keepLines")
        assert keep is not None


def test_notice_is_boxed_and_place_leaves_an_empty_area() -> None:
    document, numbering = _write(sample.agreement(rows=1))
    places = reading.by_bookmark(document)
    assert reading.style(places[numbering["background.notice"].bookmark]) == "Notice"
    area = places[numbering["sign.notary"].bookmark].getnext()
    assert area is not None
    assert area.tag == f"{reading.W}tbl"
    height = area.find(f".//{reading.W}trHeight")
    assert height is not None
    assert int(height.get(f"{reading.W}val", "0")) >= 3 * 1440


def test_blank_is_a_visible_line() -> None:
    document, numbering = _write(sample.agreement(rows=1))
    assert "separated on ______" in reading.text(
        reading.by_bookmark(document)[numbering["background.parties"].bookmark]
    )


def test_contents_list_every_section_with_a_link() -> None:
    agreement = sample.agreement(rows=1)
    document, numbering = _write(agreement)
    links = [
        (link.get(f"{reading.W}anchor"), reading.text(link))
        for link in reading.tree(document).iter(f"{reading.W}hyperlink")
    ]
    assert links == [
        (numbering[s.id].bookmark, f"{numbering[s.id].label}\t{inline.plain(s.heading, numbering)}")
        for s in agreement.sections
    ]
    assert any(
        instruction.startswith("TOC") and "\\n" in instruction
        for instruction, _ in reading.fields(reading.tree(document))
    )


def test_exhibit_begins_a_page_by_its_style() -> None:
    styles = reading.tree(_write(sample.agreement(rows=1))[0], "word/styles.xml")
    found = styles.find(
        f"{reading.W}style[@{reading.W}styleId='ExhibitHeading']/{reading.W}pPr/{reading.W}pageBreakBefore"
    )
    assert found is not None


def test_body_has_no_empty_paragraph_outside_the_clerks_space() -> None:
    for paper in PAPERS:
        document, _ = _write(sample.agreement(layout=paper, rows=1))
        body = reading.tree(document)[0]
        empty = [p for p in body.findall(f"{reading.W}p") if not reading.text(p).strip()]
        assert empty == []


def test_agreement_without_sections_or_filers_is_clean() -> None:
    bare = replace(sample.agreement(), sections=(), caption=replace(sample.caption(), filers=(), branch=()))
    for paper in PAPERS:
        assert lint(_write(replace(bare, layout=paper))[0]) == []


def test_table_with_ragged_rows_is_filled_up() -> None:
    table = Table("t", "t", (Text("C"),), ((Text("one"),),), (sample.row("r", "a", "b", "c"),), ("left",))
    section = Section("s", "article", (Text("S"),), (table, Plain("p", "p", (Text("After."),))))
    assert lint(_write(replace(sample.agreement(), sections=(section,)))[0]) == []


def test_reference_to_nothing_is_refused_by_name() -> None:
    section = Section("s", "article", (Text("S"),), (Paragraph("p", "p", 1, (Reference("gone"),)),))
    with pytest.raises(inline.WriterError, match="'gone'"):
        _write(replace(sample.agreement(), sections=(section,)))


def test_no_field_depends_on_where_it_stands() -> None:
    for style in STYLES:
        document, _ = _write(sample.agreement(style))
        for instruction, _result in reading.fields(reading.tree(document)):
            assert not re.search(r"\\[wrtp]\b", instruction)
        for name, data in reading.parts(document).items():
            assert b"updateFields" not in data, name
            assert b"rsid" not in data, name


def test_source_has_no_slow_cell_access_and_no_banned_switch() -> None:
    folder = Path(write_docx.__code__.co_filename).parents[1]
    for path in sorted(folder.rglob("*.py")):
        source = path.read_text(encoding="utf-8")
        assert "table.cell(" not in source, path.name
        if path.name != "lint.py":
            assert "updateFields" not in source, path.name
            assert not re.search(r"\bREF\b[^\n]*\\\\?[wr]\b", source), path.name


@pytest.mark.parametrize(
    ("columns", "stiff", "available"),
    [
        ([["a"], ["b"]], [False, False], 9360),
        ([["word " * 40], ["$1,234,567.00"]], [False, True], 9360),
        ([["W" * 200]] * 9, [False] * 9, 9360),
        ([["", ""], [""]], [True, False], 5000),
    ],
)
def test_column_widths_add_up(columns: list[list[str]], stiff: list[bool], available: int) -> None:
    widths = column_widths(columns, stiff, available, 24, 180)
    assert sum(widths) == available
    assert min(widths) > 0


def test_tied_words_get_room_together() -> None:
    long = [["responsibilities " * 30]] * 3
    tied = column_widths([["see paragraph\u00a02.10(a)(ii)"], *long], [False] * 4, 9360, 24, 180)[0]
    loose = column_widths([["see paragraph 2.10(a)(ii)"], *long], [False] * 4, 9360, 24, 180)[0]
    assert tied >= text_width("paragraph\u00a02.10(a)(ii)", 24) + 180 > loose


def test_amounts_get_room_for_their_longest_cell() -> None:
    narrow, wide = column_widths([["$1,234,567.00"], ["word " * 200]], [True, False], 9360, 24, 180)
    assert narrow < wide
    # 13 signs in 12-point Times are about 78 points wide (from memory: a digit is half an em).
    assert narrow >= 78 * 20


def test_bookmark_ids_count_up_in_document_order() -> None:
    ids = [
        int(m.get(f"{reading.W}id", "0"))
        for m in reading.tree(_write(sample.agreement())[0]).iter(f"{reading.W}bookmarkStart")
    ]
    assert all(later == earlier + 1 for earlier, later in pairwise(ids))
