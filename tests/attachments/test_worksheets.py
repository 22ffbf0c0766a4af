"""The worksheets as files: the mark on each, the same content in each, nothing a spreadsheet could run, no script."""

from __future__ import annotations

import csv
import io
import json
import re
from html.parser import HTMLParser

import docx
import pytest
from support.scenarios import NAMES

from attachments.cases import changed, in_mode
from msadraft.attachments.packet import BOXES, Packet, packet
from msadraft.draft import Draft
from msadraft.writers.stamp import NOT_READY
from msadraft.writers.worksheets import (
    CSV_COLUMNS,
    NOT_A_FORM,
    docx_name,
    grouped,
    screen_lines,
    write_csv,
    write_packet_html,
    write_packet_json,
    write_worksheet_docx,
)


class Cells(HTMLParser):
    """The text of every table row, and every tag."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.inside = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")
        self.inside = tag in ("td", "th", "span") and bool(self.rows)

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.rows[-1][-1] += data

    def handle_endtag(self, tag: str) -> None:
        self.inside = self.inside and tag not in ("td", "th")


def made(name: str, mode: str = "hybrid") -> tuple[Draft, Packet]:
    return in_mode(name, 3, mode)


@pytest.mark.parametrize("name", NAMES)
def test_every_item_stands_in_every_format(name: str) -> None:
    found, packed = made(name)
    lines = [(sheet, line) for sheet in packed.worksheets for line in sheet.lines]
    page = Cells(write_packet_html(packed, found.case.place))
    shown = [row for row in page.rows if row[0] != "Item"]
    assert [row[0] for row in shown] == [line.item for _, line in lines]
    assert [row[2] for row in shown] == [BOXES[line.box] for _, line in lines]
    for row, (_, line) in zip(shown, lines, strict=True):
        assert row[3].startswith(line.answer)
        assert row[4] == line.pointer
    rows = list(csv.DictReader(io.StringIO(write_csv(packed).decode(), newline="")))
    assert tuple(rows[0]) == CSV_COLUMNS
    assert [(row["form"], row["copy"], row["item"], row["box"]) for row in rows] == [
        (sheet.form, sheet.who, line.item, line.box) for sheet, line in lines
    ]
    data = json.loads(write_packet_json(packed, found.case.place))
    assert [i["answer"] for form in data["forms"] for i in form["items"]] == [line.answer for _, line in lines]


def test_each_form_is_a_document_with_the_mark_on_every_page() -> None:
    _, packed = made("varnell")
    names = [docx_name(sheet) for sheet in packed.worksheets]
    assert len(set(names)) == len(names)
    assert {"fl-180.docx", "fl-141-petitioner.docx", "fl-343.docx"} <= set(names)
    for sheet in packed.worksheets:
        document = docx.Document(io.BytesIO(write_worksheet_docx(sheet, packed)))
        assert packed.mark in document.sections[0].footer.paragraphs[0].text
        assert NOT_A_FORM in [p.text for p in document.paragraphs]
        (table,) = document.tables
        cells = [[cell.text for cell in row.cells] for row in table.rows]
        assert [row[0] for row in cells[1:]] == [line.item for line in sheet.lines]
        assert [row[4] for row in cells[1:]] == [line.pointer for line in sheet.lines]
        assert table.rows[0]._tr.xpath("./w:trPr/w:tblHeader"), "the heading repeats on every page"


def test_the_mark_is_on_every_copy() -> None:
    found, packed = made("dunmarsh")
    assert write_packet_html(packed, found.case.place).count(packed.mark) >= 2
    rows = csv.DictReader(io.StringIO(write_csv(packed).decode(), newline=""))
    assert {row["mark"] for row in rows} == {packed.mark}
    assert json.loads(write_packet_json(packed, found.case.place))["mark"] == packed.mark
    assert screen_lines(packed)[0].startswith(packed.mark)


def test_the_same_packet_gives_the_same_bytes() -> None:
    found, packed = made("dunmarsh")
    sheet = packed.by_name["FL-180"]
    assert write_worksheet_docx(sheet, packed) == write_worksheet_docx(sheet, packed)
    assert write_csv(packed) == write_csv(packet(found, "Round 3"))
    assert write_packet_json(packed, found.case.place) == write_packet_json(packet(found, "Round 3"), found.case.place)


def test_a_packet_that_is_not_ready_says_so_on_every_copy() -> None:
    found, packed = made("fennick")
    assert packed.stops
    assert NOT_READY in write_packet_html(packed, found.case.place)
    document = docx.Document(io.BytesIO(write_worksheet_docx(packed.by_name["FL-180"], packed)))
    assert document.sections[0].header.paragraphs[0].text == NOT_READY
    found, packed = made("dunmarsh")
    assert not packed.stops
    assert NOT_READY not in write_packet_html(packed, found.case.place)


def test_the_page_loads_nothing_and_runs_nothing() -> None:
    found, packed = made("dunmarsh")
    page = Cells(write_packet_html(packed, found.case.place))
    assert not [tag for tag, _ in page.tags if tag in ("script", "img", "link", "iframe", "form", "input")]
    assert all(attrs["href"].startswith("#") for tag, attrs in page.tags if tag == "a")  # type: ignore[union-attr]
    ids = [attrs["id"] for _, attrs in page.tags if "id" in attrs]
    assert len(set(ids)) == len(ids)
    targets = {attrs["href"] for tag, attrs in page.tags if tag == "a"}
    assert targets <= {f"#{name}" for name in ids}


def test_what_people_typed_stays_text() -> None:
    hostile = "=HYPERLINK(0) <script>alert(1)</script> {{ case }}"
    found = changed("dunmarsh", case__packaging="hybrid", marriage__living_standard=hostile)
    packed = packet(found, "x")
    assert "<script" not in write_packet_html(packed, found.case.place)
    rows = list(csv.DictReader(io.StringIO(write_csv(packed).decode(), newline="")))
    (answer,) = [row["answer"] for row in rows if (row["form"], row["item"]) == ("FL-343", "2f")]
    assert answer == f"'{hostile}"
    assert not [cell for row in rows for cell in row.values() if re.match(r"\s*[=+@-]", cell)]


def test_paths_of_one_record_are_drawn_together() -> None:
    paths = ("petitioner.attorney.name", "case.county", "petitioner.attorney.firm", "case.number")
    assert grouped(paths) == ("petitioner.attorney", "case.county", "case.number")
    assert grouped(("child_support.amount",)) == ("child_support.amount",)
