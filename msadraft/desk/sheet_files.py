"""Files of a spreadsheet, CSV and XLSX, as plain cells.

Nothing of the file is trusted: its size is looked at before it is unpacked, no part with a DOCTYPE is parsed, and only
values are read. A formula counts with the result that was saved with it; links to other files are not followed, and
files with macros are refused.
"""

from __future__ import annotations

import csv
import io
import re
import warnings
import zipfile
import zlib
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import PurePosixPath
from typing import Any

from msadraft.desk.rows import MOST_ROWS, RowsError, as_text

MOST_BYTES = 5_000_000
"""The largest file that is taken."""
MOST_UNPACKED = 40_000_000
MOST_PARTS = 500
MOST_RATIO = 200
RATIO_FROM = 1_000_000
MOST_COLUMNS = 400
_SAVE_AS = "save the sheet as XLSX or CSV and choose that file"
_ENCODINGS = ("utf-8", "utf8", "us-ascii", "iso-8859-1")


@dataclass(frozen=True)
class SheetText:
    """The cells of a sheet as text with tabs, and a word on where they stood."""

    text: str
    said: str


def read_sheet(content: bytes, name: str) -> SheetText:
    """Read a CSV or XLSX file.

    Args:
        content: its bytes.
        name: what messages call it.

    Raises:
        RowsError: it is too large, of another kind, damaged, or holds what cannot be taken as a value.
    """
    if len(content) > MOST_BYTES:
        raise RowsError(f"{name}: the file is larger than {MOST_BYTES // 1_000_000} MB; keep only the rows to add.")
    if not content.strip():
        raise RowsError(f"{name}: the file is empty.")
    if content.startswith(b"PK"):
        return _workbook(content, name)
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        raise RowsError(f"{name}: this file is of the old binary format or has a password; {_SAVE_AS}.")
    if content.startswith((b"%PDF", b"{\\rtf", b"<")):
        raise RowsError(f"{name}: this is no sheet of cells; {_SAVE_AS}.")
    return _separated(content, name)


def _separated(content: bytes, name: str) -> SheetText:
    for start, encoding in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"", "utf-8-sig"), (b"", "cp1252")):
        if not content.startswith(start):
            continue
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        break
    else:
        raise RowsError(f"{name}: the signs of this file cannot be read; save it as CSV in UTF-8.")
    if "\0" in text:
        raise RowsError(f"{name}: this is no sheet of cells; {_SAVE_AS}.")
    first = next((line for line in text.splitlines() if line.strip()), "")
    sign = next((sign for sign in "\t;," if sign in first), ",")
    try:
        table = list(csv.reader(io.StringIO(text, newline=""), delimiter=sign))
    except csv.Error as error:
        raise RowsError(f"{name}: the file cannot be read as CSV ({error}); {_SAVE_AS}.") from None
    said = f"Read from {name}."
    if encoding == "cp1252":
        said += " It is not in UTF-8; look at letters with accents."
    return SheetText(as_text(table), said)


def _workbook(content: bytes, name: str) -> SheetText:
    _check_package(content, name)
    import openpyxl

    sheets: list[tuple[str, list[list[str]]]] = []
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about parts that are not read anyway
            books = [
                openpyxl.load_workbook(io.BytesIO(content), read_only=True, keep_links=False, data_only=data_only)
                for data_only in (True, False)
            ]
            values, formulas = (book.worksheets for book in books)
            for sheet, same in zip(values, formulas, strict=True):
                if sheet.sheet_state != "visible":
                    continue
                table = _cells(sheet, same, name)
                if any(any(row) for row in table):
                    sheets.append((sheet.title, table))
    except RowsError:
        raise
    except Exception as error:  # a file made by somebody else can make the library fail in any way
        raise RowsError(f"{name}: the file is damaged; open it in a spreadsheet program, then {_SAVE_AS}.") from error
    if not sheets:
        raise RowsError(f"{name}: its sheets are empty.")
    if len(sheets) > 1:
        titles = ", ".join(f"“{title}”" for title, _ in sheets)
        raise RowsError(f"{name}: several sheets hold something ({titles}). Keep only the one to add.")
    title, table = sheets[0]
    return SheetText(as_text(table), f"Read from the sheet “{title}” of {name}.")


def _cells(sheet: Any, formulas: Any, name: str) -> list[list[str]]:
    """The cells of one sheet as text; `formulas` is the same sheet with formulas instead of their results."""
    for one in (sheet, formulas):
        one.reset_dimensions()  # what the file says of its size may be a lie
    table: list[list[str]] = []
    full = 0
    for n, (row, same) in enumerate(zip(sheet.iter_rows(), formulas.iter_rows(), strict=True), 1):
        if len(row) > MOST_COLUMNS:
            raise RowsError(f"{name}: row {n} has more than {MOST_COLUMNS} columns; keep only those to add.")
        cells = [_text(cell, formula, name) for cell, formula in zip(row, same, strict=True)]
        full += any(cells)
        if full > MOST_ROWS + 1 or n > 4 * MOST_ROWS:
            raise RowsError(f"{name}: at most {MOST_ROWS} rows at a time; the sheet goes on below row {n}.")
        table.append(cells)
    return table


def _text(cell: Any, formula: Any, name: str) -> str:
    """A cell as a person would type it into the field of a fact."""
    value = cell.value
    if value is None:
        if formula.value is not None:
            raise RowsError(
                f"{name}: the cell {formula.coordinate} holds a formula whose result was not saved. Open the file in a "
                "spreadsheet program, save it, and choose it again."
            )
        return ""
    if cell.data_type == "e":
        raise RowsError(f"{name}: the cell {cell.coordinate} shows an error ({value}). Mend it in the sheet.")
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ", "minutes")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return value.isoformat("minutes")
    if isinstance(value, (int, float)):
        # A sheet keeps fifteen digits; what lies beyond them comes from the binary form of a number.
        number = Decimal(format(value, ".15g"))
        if "%" in re.sub(r'"[^"]*"|\\.', "", cell.number_format or ""):
            return f"{_plain_number(number * 100)}%"
        return _plain_number(number)
    return str(value).strip()


def _plain_number(number: Decimal) -> str:
    if not number.is_finite():
        return str(number)
    text = format(number, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _check_package(content: bytes, name: str) -> None:
    """Look at everything in the file before a library unpacks it.

    The library reads no more of a part than the size that the file states for it, so the stated sizes can be held
    against the limits.
    """
    refused = f"{name}: the file is refused"
    try:
        archive = zipfile.ZipFile(io.BytesIO(content))
        parts = archive.infolist()
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError):
        raise RowsError(f"{name}: the file is damaged or cut off; {_SAVE_AS}.") from None
    names = [part.filename.lower() for part in parts]
    if len(parts) > MOST_PARTS or len(set(names)) != len(names):
        raise RowsError(f"{refused}, because no sheet has so many parts or two of one name; {_SAVE_AS}.")
    if "xl/workbook.xml" not in names:
        raise RowsError(f"{name}: this is no XLSX file; {_SAVE_AS}.")
    if any(part.endswith("vbaproject.bin") for part in names):
        raise RowsError(f"{name}: the file holds macros; save it as XLSX without macros and choose that file.")
    total = 0
    for part in parts:
        where = PurePosixPath(part.filename)
        if where.is_absolute() or ".." in where.parts or "\\" in part.filename or part.flag_bits & 0x1:
            raise RowsError(f"{refused}, because a part of it leads elsewhere or has a password; {_SAVE_AS}.")
        total += part.file_size
        packed = max(1, part.compress_size)
        if total > MOST_UNPACKED or (part.file_size > RATIO_FROM and part.file_size > MOST_RATIO * packed):
            raise RowsError(f"{refused}, because it is far larger when unpacked; keep only the rows to add.")
    for part in parts:
        if part.filename.lower().endswith((".xml", ".rels")):
            try:
                data = archive.read(part)
            except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError):
                raise RowsError(f"{name}: the file is damaged or cut off; {_SAVE_AS}.") from None
            _check_part(data, part.filename, refused)


def _check_part(data: bytes, part: str, refused: str) -> None:
    """No part may declare anything of its own: what it declares could unfold without end, or lead elsewhere."""
    said = re.search(rb"""<\?xml[^>]*?encoding\s*=\s*["']([^"']*)""", data[:400])
    encoding = said[1].decode("latin-1").lower() if said else "utf-8"
    if b"\0" in data[:200] or encoding not in _ENCODINGS or b"<!DOCTYPE" in data or b"<!ENTITY" in data:
        raise RowsError(f"{refused}, because {part} is written as no spreadsheet program writes it; {_SAVE_AS}.")
    if b"macroEnabled" in data and part.lower() == "[content_types].xml":
        raise RowsError(f"{refused}, because it is made for macros; save it as XLSX without macros.")
