"""Rows from a spreadsheet: pasted, or as CSV and XLSX files, honest ones and hostile ones."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Iterator
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient
from support.effort import examples

from msadraft.desk import sheet_files
from msadraft.desk.open_case import OpenCase
from msadraft.desk.pages import desk_app
from msadraft.desk.rows import MOST_ROWS, RowsError, as_text, read_rows
from msadraft.desk.sheet_files import read_sheet
from msadraft.facts.edit import add_entries, add_entry

PORT, TOKEN = 8124, "a-token-for-the-tests"
HOST = f"http://127.0.0.1:{PORT}"
HEAD = ["Short name", "Kind", "Name in the agreement", "Value", "Value on"]


def workbook(*rows: list[Any], title: str = "Assets") -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = title
    for row in rows:
        sheet.append(row)
    return saved(book)


def saved(book: Any) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def remade(content: bytes, change: Callable[[str, bytes], bytes | None], more: dict[str, bytes] | None = None) -> bytes:
    """The same package with some parts changed, left out (None), or added."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = change(name, old.read(name))
            if data is not None:
                new.writestr(name, data)
        for name, data in (more or {}).items():
            new.writestr(name, data)
    return out.getvalue()


def same(name: str, data: bytes) -> bytes:
    return data


def cells(content: bytes, name: str = "list.xlsx") -> list[list[str]]:
    return [line.split("\t") for line in read_sheet(content, name).text.splitlines()]


# What a cell says ------------------------------------------------------------------------------------------------


def test_values_come_as_a_person_would_type_them() -> None:
    found = cells(
        workbook(
            ["a", "b", "c", "d", "e", "f"],
            [date(2026, 9, 30), datetime(2026, 9, 30), time(18, 0), True, 912000, 1234.5],
            [0.1 + 0.2, 1e12, -14380.25, "  text ", "007", None],
        )
    )
    assert found[1] == ["2026-09-30", "2026-09-30", "18:00", "yes", "912000", "1234.5"]
    assert found[2] == ["0.3", "1000000000000", "-14380.25", "text", "007"]


def test_a_percentage_comes_as_it_is_shown() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["share", "plain"])
    sheet.append([0.3571, 0.3571])
    sheet["A2"].number_format = "0.00%"
    sheet["B2"].number_format = '0.00"%"'
    assert cells(saved(book))[1] == ["35.71%", "0.3571"]


def test_a_formula_counts_with_the_result_that_was_saved() -> None:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["Label", "Value"])
    sheet.write_string(1, 0, "the boat")
    sheet.write_formula(1, 1, "=6000+6000", None, 12000)
    sheet.write_string(2, 0, "=1+1")
    book.close()
    assert cells(out.getvalue())[1:] == [["the boat", "12000"], ["=1+1"]]


def test_a_formula_whose_result_was_not_saved_is_refused_and_not_taken_as_empty() -> None:
    with pytest.raises(RowsError, match="B2 holds a formula whose result was not saved"):
        read_sheet(workbook(["Label", "Value"], ["the boat", "=6000+6000"]), "list.xlsx")


def test_an_error_in_a_cell_is_refused() -> None:
    with pytest.raises(RowsError, match=r"B2 shows an error \(#REF!\)"):
        read_sheet(workbook(["Label", "Value"], ["the boat", "#REF!"]), "list.xlsx")


def test_links_to_other_files_are_not_followed() -> None:
    """A formula that names another workbook counts with its saved result like any other."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["Label", "Value"])
    sheet.write_formula(1, 1, "='[http://evil.example/x.xlsx]S'!A1", None, 7)
    sheet.write_url(1, 0, "http://evil.example/", string="the boat")
    book.close()
    assert cells(out.getvalue())[1] == ["the boat", "7"]


def test_hidden_and_empty_sheets_are_passed_over_and_two_full_ones_are_refused() -> None:
    book = openpyxl.Workbook()
    first = book.active
    assert first is not None
    first.append(["Label"])
    book.create_sheet("Empty")
    hidden = book.create_sheet("Hidden")
    hidden.append(["secret"])
    hidden.sheet_state = "hidden"
    assert cells(saved(book)) == [["Label"]]
    book.create_sheet("Other").append(["x"])
    with pytest.raises(RowsError, match="several sheets hold something"):
        read_sheet(saved(book), "list.xlsx")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_csv_is_read_in_the_usual_encodings(encoding: str, sign: str) -> None:
    text = f'Label{sign}Value\r\n"the café{sign} corner"{sign}"12,000"\r\n'
    found = read_sheet(text.encode(encoding), "list.csv")
    rows = read_rows(found.text, "assets", ())
    assert rows.entries == ({"label": f"the café{sign} corner".replace("\t", "\t"), "value": "12,000"},)
    assert ("accents" in found.said) == (encoding == "cp1252")


# Hostile files ---------------------------------------------------------------------------------------------------

BOOK = workbook(["Label"], ["the boat"])


def bomb() -> bytes:
    """A sheet that unpacks to a thousand times its size."""
    return remade(BOOK, same, {"xl/worksheets/sheet9.xml": b" " * 30_000_000})


def in_other_signs(name: str, data: bytes) -> bytes:
    text = b"<?xml version='1.0' encoding='cp037'?>" + '<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'.encode("cp037")
    return text if name.endswith("sheet1.xml") else data


def with_entity(name: str, data: bytes) -> bytes:
    return (
        data.replace(b"<worksheet", b'<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]><worksheet', 1)
        if name.endswith("sheet1.xml")
        else data
    )


HOSTILE: dict[str, tuple[Callable[[], bytes], str]] = {
    "zip bomb": (bomb, "far larger when unpacked"),
    "many small bombs": (
        lambda: remade(BOOK, same, {f"xl/{n}.bin": bytes(900_000) for n in range(60)}),
        "far larger when unpacked",
    ),
    "many parts": (lambda: remade(BOOK, same, {f"xl/{n}.xml": b"<a/>" for n in range(600)}), "so many parts"),
    "macros": (lambda: remade(BOOK, same, {"xl/vbaProject.bin": b"x"}), "macros"),
    "made for macros": (
        lambda: remade(BOOK, lambda n, d: d.replace(b"spreadsheetml.sheet.main", b"x.macroEnabled.main") if n == "[Content_Types].xml" else d),
        "macros",
    ),
    "entity": (lambda: remade(BOOK, with_entity), "written as no spreadsheet program writes it"),
    "entity in other signs": (lambda: remade(BOOK, in_other_signs), "written as no spreadsheet program writes it"),
    "path outside": (lambda: remade(BOOK, same, {"../../evil.xml": b"<a/>"}), "leads elsewhere"),
    "cut off": (lambda: BOOK[: len(BOOK) // 2], "damaged or cut off"),
    "no workbook": (lambda: remade(BOOK, lambda n, d: None if n == "xl/workbook.xml" else d), "no XLSX file"),
    "damaged sheet": (
        lambda: remade(BOOK, lambda n, d: d[: len(d) // 2] if n.endswith("sheet1.xml") else d),
        "damaged",
    ),
    "old format": (lambda: b"\xd0\xcf\x11\xe0" + bytes(600), "old binary format"),
    "a page": (lambda: b"<html><table></table></html>", "no sheet of cells"),
    "bytes": (lambda: b"a,b\n\0\1\2,c", "no sheet of cells"),
    "empty": (lambda: b"  \n", "empty"),
    "too large": (lambda: b"a,b\n" + b"c,d\n" * 2_000_000, "larger than 5 MB"),
}  # fmt: skip


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_or_broken_file_is_refused_with_its_reason(kind: str) -> None:
    make, said = HOSTILE[kind]
    with pytest.raises(RowsError, match=said) as caught:
        read_sheet(make(), "list.xlsx")
    assert "list.xlsx" in str(caught.value)


def test_a_cell_at_the_far_end_of_the_sheet_costs_nothing_and_is_not_lost() -> None:
    def far(name: str, data: bytes) -> bytes:
        end = b'<row r="1048576"><c r="A1048576"><v>1</v></c></row></sheetData>'
        return data.replace(b"</sheetData>", end) if name.endswith("sheet1.xml") else data

    with pytest.raises(RowsError, match="the sheet goes on below row"):
        read_sheet(remade(BOOK, far), "list.xlsx")

    def wide(name: str, data: bytes) -> bytes:
        end = b'<row r="3"><c r="XFD3"><v>1</v></c></row></sheetData>'
        return data.replace(b"</sheetData>", end) if name.endswith("sheet1.xml") else data

    with pytest.raises(RowsError, match="more than 400 columns"):
        read_sheet(remade(BOOK, wide), "list.xlsx")


def test_what_a_sheet_says_of_its_size_is_not_believed() -> None:
    def lie(name: str, data: bytes) -> bytes:
        return data.replace(b'ref="A1:A2"', b'ref="A1"') if name.endswith("sheet1.xml") else data

    changed = remade(BOOK, lie)
    assert changed != BOOK
    assert cells(changed) == [["Label"], ["the boat"]]


def test_too_many_rows_are_refused() -> None:
    with pytest.raises(RowsError, match=f"at most {MOST_ROWS} rows"):
        read_sheet(workbook(["Label"], *([f"row {n}"] for n in range(MOST_ROWS + 2))), "list.xlsx")


@settings(max_examples=examples(60, 1000), deadline=None)
@given(
    st.lists(
        st.lists(st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=12), min_size=2, max_size=4),
        min_size=1,
        max_size=6,
    )
)
def test_cells_survive_as_text(table: list[list[str]]) -> None:
    import csv

    text = as_text(table)
    assert list(csv.reader(io.StringIO(text, newline=""), delimiter="\t")) == [
        [cell.replace("\r\n", "\n").replace("\r", "\n") for cell in row] for row in table
    ]


@settings(max_examples=examples(80, 2000), deadline=None)
@given(st.integers(0, 10**6), st.binary(min_size=1, max_size=4))
def test_a_file_with_changed_bytes_is_read_or_refused_and_never_fails(at: int, put: bytes) -> None:
    at %= len(BOOK)
    changed = BOOK[:at] + put + BOOK[at + len(put) :]
    said = ""
    try:
        said = read_sheet(changed, "list.xlsx").said
    except RowsError as error:
        said = str(error)
    assert "list.xlsx" in said


# What becomes of the rows ----------------------------------------------------------------------------------------


def test_headings_may_be_keys_or_titles_and_rows_get_short_names() -> None:
    rows = read_rows("\n".join("\t".join(row) for row in [HEAD, ["", "vehicle", "the kayak", "900", ""], ["Boat 1", "vehicle", "the boat", "", "2026-09-30"]]), "assets", ["kayak"])  # fmt: skip
    assert rows.columns == ("", "kind", "label", "value", "value_on")
    assert rows.keys == ("kayak_2", "boat_1")
    assert rows.entries[1] == {"kind": "vehicle", "label": "the boat", "value_on": "2026-09-30"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Label\n", "at least one row below"),
        ("Label\tColour\nx\ty\n", "No fact is called “Colour”"),
        ("Label\tlabel\nx\ty\n", "Two columns are called “label”"),
        ("Label\tName in the agreement\nx\ty\n", "Two columns"),
        ("Label\nx\ty\n", "Row 2 holds more cells than there are headings"),
        ("Short name\tLabel\nboat\t\n", "Row 2 has a short name and nothing else"),
        ("Label\n" + "x\n" * (MOST_ROWS + 1), "At most 5000 rows"),
    ],
)
def test_rows_that_would_lose_something_are_refused(text: str, said: str) -> None:
    with pytest.raises(RowsError, match=said):
        read_rows(text, "assets", ())


def test_many_entries_at_once_are_the_same_text_as_one_by_one(middle: Path) -> None:
    for start in ((middle / "case.yaml").read_text(), "# new\n", "assets: {a: {kind: vehicle, label: x}}\n", "assets:\n  a:\n    kind: vehicle\n\n  b:\n    kind: other\n\n# end\n", "debts:\n  x:\n    kind: auto\n"):  # fmt: skip
        entries = [(f"n{n}", {"kind": "vehicle", "label": f"the boat: {n}", "value": "12,000"}) for n in range(7)]
        one = start
        for key, values in entries:
            one = add_entry(one, "assets", key, values)
        assert add_entries(start, "assets", entries) == one
    listed = [(None, {"year": f"20{n}", "status": "joint"}) for n in range(20, 26)]
    one = "taxes:\n  filing:\n    - year: 2019\n      status: joint\n"
    many = add_entries(one, "taxes.filing", listed)
    for _, values in listed:
        one = add_entry(one, "taxes.filing", None, values)
    assert many == one


@pytest.fixture
def table(middle: Path) -> Iterator[tuple[OpenCase, TestClient]]:
    case = OpenCase(middle)
    with TestClient(desk_app(case, TOKEN, PORT), base_url=HOST, cookies={f"msadraft-desk-{PORT}": TOKEN}) as client:
        yield case, client


def look(client: TestClient, content: bytes | None, name: str = "list.xlsx", rows: str = "") -> Any:
    files = {"file": (name, content)} if content is not None else {"file": ("", b"")}
    return client.post("/rows", files=files, data={"path": "assets", "rows": rows}, headers={"Origin": HOST, "HX-Request": "true"})  # fmt: skip


def test_a_file_is_shown_before_anything_is_written_and_one_undo_takes_it_back(table: Any) -> None:
    case, client = table
    before = case.text
    content = workbook(HEAD, ["boat", "vehicle", "the boat", 12000, date(2026, 9, 30)], [None, "vehicle", "the kayak", "lots", None])  # fmt: skip
    answer = look(client, content)
    assert answer.status_code == 200
    assert case.text == before
    assert "2 entries to add" in answer.text
    assert "Row 3, Value: “lots”" in answer.text
    text = answer.text.split("<textarea")[1].split(">", 1)[1].split("</textarea>")[0]
    client.post("/paste", data={"path": "assets", "rows": text.replace("\n", "\r\n")}, headers={"Origin": HOST, "HX-Request": "true"})  # fmt: skip
    assert case.value("assets.boat") == {
        "kind": "vehicle", "label": "the boat", "value": "12000", "value_on": "2026-09-30",
    }  # fmt: skip
    assert case.unfinished == {"assets.kayak.value": "lots"}
    assert case.drafted.case.facts.assets["boat"].value == Decimal(12000)
    assert case.undo() is not None
    assert (case.text, case.unfinished) == (before, {})


def test_rows_in_the_box_are_not_overwritten_by_a_file(table: Any) -> None:
    _, client = table
    answer = look(client, BOOK, rows="Label\nmy own row\n")
    assert "There are rows in the box already" in answer.text
    assert answer.headers["HX-Reswap"] == "none"


def test_pasted_rows_can_be_looked_at_first(table: Any) -> None:
    case, client = table
    before = case.text
    answer = look(client, None, rows="Label\tKind\nthe <b>boat</b>\tvehicle\n")
    assert "1 entry to add" in answer.text
    assert "the &lt;b&gt;boat&lt;/b&gt;" in answer.text
    assert case.text == before


def test_an_empty_file_field_beside_rows_in_the_box_is_no_file(table: Any) -> None:
    _, client = table
    fields = {"path": b"assets", "rows": b"Label\tKind\r\nthe boat\tvehicle\r\n"}
    body = b"".join(
        b'--b\r\nContent-Disposition: form-data; name="%s"\r\n\r\n%s\r\n' % (name.encode(), value)
        for name, value in fields.items()
    )
    body += b'--b\r\nContent-Disposition: form-data; name="file"; filename=""\r\n\r\n\r\n--b--\r\n'
    headers = {"Origin": HOST, "HX-Request": "true", "Content-Type": "multipart/form-data; boundary=b"}
    assert "1 entry to add" in client.post("/rows", content=body, headers=headers).text


def test_a_refused_file_says_why_and_changes_nothing(table: Any) -> None:
    case, client = table
    before = case.text
    answer = look(client, bomb(), name="../../x<b>.xlsx")
    assert "far larger when unpacked" in answer.text
    assert "../.." not in answer.text
    assert "<b>" not in answer.text
    assert case.text == before
    assert sorted(p.name for p in case.folder.iterdir()) == ["case.yaml"]


def test_a_file_larger_than_the_limit_is_refused(table: Any) -> None:
    _, client = table
    answer = look(client, b"a" * (sheet_files.MOST_BYTES + 1), name="list.csv")
    assert "larger than 5 MB" in answer.text
