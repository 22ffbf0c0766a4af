"""The written paragraph map: CSV, JSON, XLSX and DOCX say the same, carry the mark, and hold no live formula."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from dataclasses import replace
from xml.etree import ElementTree

import docx
import pytest
from attachments.sample import ANSWERS, MARK, agreement
from docx.oxml.ns import qn
from hypothesis import given
from hypothesis import strategies as st

from msadraft.agreement.numbering import number
from msadraft.attachments.paragraph_map import ParagraphMap, paragraph_map
from msadraft.writers.paragraph_map import (
    CAUTIONS,
    CSV_COLUMNS,
    form_list,
    safe_cell,
    write_csv,
    write_json,
    write_map_docx,
    write_xlsx,
)
from msadraft.writers.stamp import Stamp

STAMP = Stamp(MARK, ready=True)
SHEET = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


@pytest.fixture(scope="module")
def paragraphs() -> ParagraphMap:
    tree = agreement()
    return paragraph_map(tree, number(tree), ANSWERS, MARK)


def lines(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8"), newline="")))


def sheets(data: bytes) -> list[list[list[str]]]:
    """Read the cells of a workbook from its parts (ECMA-376 Part 1, sections 18.3 and 18.4)."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        shared = ElementTree.fromstring(archive.read("xl/sharedStrings.xml"))
        strings = ["".join(t.text or "" for t in si.iter(f"{SHEET}t")) for si in shared.iter(f"{SHEET}si")]
        out = []
        for name in sorted(n for n in archive.namelist() if n.startswith("xl/worksheets/sheet")):
            root = ElementTree.fromstring(archive.read(name))
            assert not list(root.iter(f"{SHEET}f")), "no cell may hold a formula"
            rows = []
            for row in root.iter(f"{SHEET}row"):
                cells = []
                for cell in row.iter(f"{SHEET}c"):
                    assert cell.get("t") == "s", "every cell is text"
                    cells.append(strings[int(cell.find(f"{SHEET}v").text)])  # type: ignore[union-attr, arg-type]
                rows.append(cells)
            out.append(rows)
        return out


def test_csv_has_one_line_for_each_row_and_item(paragraphs: ParagraphMap) -> None:
    found = lines(write_csv(paragraphs))
    assert tuple(found[0]) == CSV_COLUMNS
    expected = [(row.id, a.form, a.revision, a.item) for row in paragraphs.rows for a in row.forms]
    assert [(x["id"], x["form"], x["revision"], x["item"]) for x in found if x["form"]] == expected
    without = [row.id for row in paragraphs.rows if not row.forms]
    assert [x["id"] for x in found if not x["form"]] == without


def test_csv_reads_back_to_the_same_map(paragraphs: ParagraphMap) -> None:
    rows = {row.id: row for row in paragraphs.rows}
    for line in lines(write_csv(paragraphs)):
        row = rows[line["id"]]
        assert line["mark"] == paragraphs.mark
        assert (line["number"], line["pointer"], line["article"]) == (row.number, row.pointer, row.article)
        assert line["text"].removeprefix("'") == row.text
        if line["form"]:
            answer = next(a for a in row.forms if (a.form, a.item) == (line["form"], line["item"]))
            assert (line["confidence"], line["use"], line["when"]) == (answer.confidence, answer.use, answer.when)
            assert line["label"] == answer.label


def test_csv_lines_end_as_rfc_4180_says(paragraphs: ParagraphMap) -> None:
    data = write_csv(paragraphs)
    assert data.count(b"\r\n") == data.count(b"\n") == len(lines(data)) + 1


def test_csv_never_begins_a_cell_with_a_formula(paragraphs: ParagraphMap) -> None:
    found = lines(write_csv(paragraphs))
    names = next(x for x in found if x["id"] == "names.back")
    assert names["text"] == "'=Ona takes her earlier name back."
    assert names["heading"] == "'+Names"
    for line in found:
        for cell in line.values():
            assert not cell.lstrip().startswith(("=", "+", "-", "@"))


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "  =1", " @x", '=HYPERLINK("x")']
)
def test_what_a_spreadsheet_could_run_is_quoted(text: str) -> None:
    assert safe_cell(text).startswith("'")


@pytest.mark.parametrize("text", ["", "4.10", "4.3(a)", "a=b", "'quoted", "Exhibit A", "8e(4)"])
def test_other_text_is_left_alone(text: str) -> None:
    assert safe_cell(text) == text


@given(st.text(max_size=12))
def test_no_text_at_all_begins_a_formula(text: str) -> None:
    cell = safe_cell(text)
    assert cell.lstrip()[:1] not in {"=", "+", "-", "@"} or not cell
    assert cell[:1] not in {"\t", "\r", "\n"} or not cell


def test_json_is_the_map(paragraphs: ParagraphMap) -> None:
    found = json.loads(write_json(paragraphs))
    assert found == paragraphs.as_dict()
    assert found["mark"] == MARK
    rows = [(row["id"], row["number"], row["bookmark"]) for row in found["rows"]]
    assert rows == [(row.id, row.number, row.bookmark) for row in paragraphs.rows]


def test_xlsx_reads_back_cell_by_cell(paragraphs: ParagraphMap) -> None:
    by_item, by_row = sheets(write_xlsx(paragraphs))
    top = next(n for n, row in enumerate(by_item) if row and row[0] == "Form")
    assert [(r[0], r[1], r[2], r[7], r[8]) for r in by_item[top + 1 :]] == [
        (i.form, i.revision, i.item, i.pointer, i.confidence) for i in paragraphs.items
    ]
    top = next(n for n, row in enumerate(by_row) if row and row[0] == "Paragraph")
    assert [tuple(r) for r in by_row[top + 1 :]] == [
        tuple(x for x in (r.number, r.heading, r.article, r.text, form_list(r), r.id)) for r in paragraphs.rows
    ]


def test_xlsx_names_the_mark_on_both_sheets_and_in_print(paragraphs: ParagraphMap) -> None:
    data = write_xlsx(replace(paragraphs, mark="Round 2 & more"))
    for sheet in sheets(data):
        assert ["Round 2 & more"] in sheet
        assert [CAUTIONS[0]] in sheet
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for n in (1, 2):
            root = ElementTree.fromstring(archive.read(f"xl/worksheets/sheet{n}.xml"))
            footer = root.find(f"{SHEET}headerFooter/{SHEET}oddFooter")
            assert footer is not None
            # "&" is doubled in a printed footer (ECMA-376 Part 1, section 18.3.1.46)
            assert (footer.text or "").startswith("&LRound 2 && more&R")


def cells(table: docx.table.Table) -> list[list[str]]:
    return [[cell.text for cell in row.cells] for row in table.rows]


def test_docx_reads_back(paragraphs: ParagraphMap) -> None:
    document = docx.Document(io.BytesIO(write_map_docx(paragraphs, STAMP)))
    by_item, by_row = (cells(table) for table in document.tables)
    assert by_item[1:] == [
        [i.form, i.revision, i.item, i.label, i.when, i.pointer, i.confidence] for i in paragraphs.items
    ]
    cited = [r for r in paragraphs.rows if r.forms]
    assert by_row[1:] == [[r.number, r.heading, r.article, form_list(r)] for r in cited]
    texts = [p.text for p in document.paragraphs]
    assert MARK in texts
    assert set(CAUTIONS) <= set(texts)
    assert f"Paragraphs that no form item points to: {len(paragraphs.rows) - len(cited)}." in texts


def test_docx_has_the_mark_on_every_page_and_room_for_its_table(paragraphs: ParagraphMap) -> None:
    document = docx.Document(io.BytesIO(write_map_docx(paragraphs, STAMP)))
    section = document.sections[0]
    assert section.footer.paragraphs[0].text.startswith(f"{MARK}\tPage ")
    assert section.header.paragraphs[0].text == ""
    room = section.page_width - section.left_margin - section.right_margin
    for table in document.tables:
        assert sum(column.width for column in table.columns) == room


def test_the_words_of_one_column_keep_off_the_next(paragraphs: ParagraphMap) -> None:
    document = docx.Document(io.BytesIO(write_map_docx(paragraphs, STAMP)))
    margins = document.tables[0].style.element.findall(f".//{qn('w:tblCellMar')}/{qn('w:right')}")
    assert [int(one.get(qn("w:w"))) >= 100 for one in margins] == [True]


def test_a_draft_says_so_on_every_page(paragraphs: ParagraphMap) -> None:
    stamp = Stamp(MARK, ready=False)
    document = docx.Document(io.BytesIO(write_map_docx(paragraphs, stamp)))
    assert document.sections[0].header.paragraphs[0].text == stamp.not_ready_text


def test_without_a_stamp_the_docx_says_nothing_about_being_ready(paragraphs: ParagraphMap) -> None:
    assert write_map_docx(paragraphs) == write_map_docx(paragraphs, STAMP)


def test_docx_refuses_the_stamp_of_another_version(paragraphs: ParagraphMap) -> None:
    with pytest.raises(ValueError, match="Round 3"):
        write_map_docx(paragraphs, Stamp("Round 3 · 00000000", ready=True))


def test_same_map_same_bytes() -> None:
    def once() -> tuple[bytes, ...]:
        tree = agreement()
        made = paragraph_map(tree, number(tree), ANSWERS, MARK)
        return write_csv(made), write_json(made), write_xlsx(made), write_map_docx(made, STAMP)

    assert once() == once()


def test_no_output_names_the_time_it_was_made(paragraphs: ParagraphMap) -> None:
    # the stamps of the entries are the first that a zip file can hold, the documents' own dates are fixed
    for data, part in (
        (write_xlsx(paragraphs), "docProps/core.xml"),
        (write_map_docx(paragraphs, STAMP), "docProps/core.xml"),
    ):
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            assert {info.date_time for info in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
            assert b"2000-01-01T00:00:00Z" in archive.read(part)


def test_control_and_direction_marks_do_not_reach_a_file(paragraphs: ParagraphMap) -> None:
    # XML 1.0 section 2.2; Unicode Standard Annex 9 section 2
    row = replace(paragraphs.rows[0], heading="Legal\x07 \u202ecustody")
    dirty = replace(paragraphs, rows=(row, *paragraphs.rows[1:]))
    assert lines(write_csv(dirty))[0]["heading"] == "Legal custody"
    assert [r[1] for r in sheets(write_xlsx(dirty))[1] if r and r[0] == row.number] == ["Legal custody"]
    document = docx.Document(io.BytesIO(write_map_docx(dirty, STAMP)))
    assert cells(document.tables[1])[1][1] == "Legal custody"


def test_empty_map() -> None:
    empty = ParagraphMap(MARK, "Agreement", "agreement", (), ())
    assert lines(write_csv(empty)) == []
    assert json.loads(write_json(empty))["rows"] == []
    assert all([MARK] in sheet for sheet in sheets(write_xlsx(empty)))
    assert len(docx.Document(io.BytesIO(write_map_docx(empty, STAMP))).tables) == 2
