"""Workbooks read and changed by their parts (ECMA-376 Part 1, section 18), independently of what wrote them."""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import dataclass
from xml.etree import ElementTree

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
PACKAGE = "{http://schemas.openxmlformats.org/package/2006/relationships}"


@dataclass(frozen=True)
class Cell:
    """One cell: its stored value, a number or a text, and its formula if it has one."""

    value: float | str | None
    formula: str | None


def read_workbook(data: bytes) -> dict[str, dict[str, Cell]]:
    """The cells of every sheet by address."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        strings = _strings(archive)
        return {
            name: {
                cell.attrib["r"]: _cell(cell, strings)
                for cell in ElementTree.fromstring(archive.read(part)).iter(f"{MAIN}c")
            }
            for name, part in _sheets(archive).items()
        }


def _sheets(archive: zipfile.ZipFile) -> dict[str, str]:
    relations = ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))
    targets = {r.attrib["Id"]: r.attrib["Target"] for r in relations.iter(f"{PACKAGE}Relationship")}
    book = ElementTree.fromstring(archive.read("xl/workbook.xml"))
    return {
        s.attrib["name"]: f"xl/{targets[s.attrib[RELATION]].removeprefix('/xl/')}" for s in book.iter(f"{MAIN}sheet")
    }


def _strings(archive: zipfile.ZipFile) -> list[str]:
    if "xl/sharedStrings.xml" not in archive.namelist():
        return []
    root = ElementTree.fromstring(archive.read("xl/sharedStrings.xml"))
    return ["".join(t.text or "" for t in item.iter(f"{MAIN}t")) for item in root.iter(f"{MAIN}si")]


def _cell(cell: ElementTree.Element, strings: list[str]) -> Cell:
    formula, value, kind = cell.find(f"{MAIN}f"), cell.find(f"{MAIN}v"), cell.get("t", "n")
    text = value.text or "" if value is not None else None
    found: float | str | None = text
    if text is not None and kind == "s":
        found = strings[int(text)]
    elif text and kind in ("n", "b"):
        found = float(text)
    return Cell(found, None if formula is None else formula.text or "")


def changed(data: bytes, values: dict[tuple[str, str], float | None]) -> bytes:
    """The workbook with other numbers in some input cells, and without any stored result of a formula.

    A sheet is named by its name and a cell by its address; None empties the cell.
    """
    source = zipfile.ZipFile(io.BytesIO(data))
    parts = {part: name for name, part in _sheets(source).items()}
    out = io.BytesIO()
    with source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for entry in source.namelist():
            text = source.read(entry)
            if entry in parts:
                root = ElementTree.fromstring(text)
                for cell in root.iter(f"{MAIN}c"):
                    _change(cell, values, parts[entry])
                text = ElementTree.tostring(root)
            target.writestr(entry, text)
    return out.getvalue()


def _change(cell: ElementTree.Element, values: dict[tuple[str, str], float | None], sheet: str) -> None:
    stored = cell.find(f"{MAIN}v")
    if cell.find(f"{MAIN}f") is not None:
        if stored is not None:
            cell.remove(stored)
        cell.attrib.pop("t", None)
        return
    key = (sheet, cell.attrib["r"])
    if key not in values:
        return
    if stored is None:
        stored = ElementTree.SubElement(cell, f"{MAIN}v")
    if values[key] is None:
        cell.remove(stored)
    else:
        stored.text = repr(values[key])
        cell.attrib.pop("t", None)


def find(cells: dict[str, Cell], label: str, column: str = "B") -> str:
    """The address in `column` of the row whose first cell begins with `label`."""
    rows = [a for a, cell in cells.items() if re.fullmatch(r"A\d+", a) and str(cell.value).startswith(label)]
    if len(rows) != 1:
        raise LookupError(f"{len(rows)} rows begin with {label!r}")
    return column + rows[0][1:]
