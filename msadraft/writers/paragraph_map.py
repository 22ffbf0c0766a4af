"""The paragraph map as CSV, JSON, XLSX and DOCX. Every output carries the mark of the version it belongs to.

The writers decide nothing: they show a `ParagraphMap`. The same map gives the same bytes.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

from msadraft.attachments.items import USES
from msadraft.attachments.paragraph_map import MapItem, MapRow, ParagraphMap
from msadraft.writers.data import write_lines
from msadraft.writers.inline import clean
from msadraft.writers.landscape import FIXED, WorkingPaper
from msadraft.writers.stamp import Stamp

CSV_COLUMNS = (
    "mark", "number", "pointer", "heading", "article", "form", "revision", "item", "label", "use", "when", "confidence",
    "text", "id", "clause", "bookmark",
)  # fmt: skip

CAUTIONS = (
    "The numbers are those of the version with this mark. Compare it with the foot of the agreement before filing.",
    "Compare the printing named here with the date at the foot of the form in hand; where they differ, the items may"
    " have moved.",
    "A line marked “memory” was not read from the form. Check it against the form before use.",
    "An item applies only where its condition is met. Court rules and the printed form prevail over this map.",
)

_FORMULA = ("=", "+", "-", "@")
_ITEM_HEAD = ("Form", "Printing", "Item", "Asks for", "Applies if", "What to do", "Advice", "Pointer", "Confidence")
_ROW_HEAD = ("Paragraph", "Heading", "Article", "Begins", "Form items", "Id")
_ITEM_WIDTHS = (11, 12, 12, 34, 28, 34, 34, 46, 12)
_ROW_WIDTHS = (14, 30, 26, 46, 46, 34)
_ITEM_COLUMNS = (
    ("Form", 1250), ("Printing", 1400), ("Item", 1200), ("Asks for", 2700), ("Applies if", 2100), ("Pointer", 3600),
    ("Confidence", 1430),
)  # fmt: skip
_ROW_COLUMNS = (("Paragraph", 1400), ("Heading", 3200), ("Article", 3200), ("Form items", 5880))


def write_csv(paragraphs: ParagraphMap) -> bytes:
    """Give the map as CSV (RFC 4180, UTF-8): one line for each row and form item, one for a row without any.

    A cell that a spreadsheet could take for a formula gets an apostrophe in front. A spreadsheet may show the number
    4.10 as 4.1; the pointer beside it is text and stays whole.
    """
    lines = [_cells(*CSV_COLUMNS)]
    for row in paragraphs.rows:
        before = _cells(paragraphs.mark, row.number, row.pointer, row.heading, row.article)
        after = _cells(row.text, row.id, row.clause, row.bookmark)
        items = [_item(i.form, i.revision, i.item, i.label, i.use, i.when, i.confidence) for i in row.forms]
        lines += [f"{before},{item},{after}" for item in items or [_item(*("",) * 7)]]
    return "".join(f"{line}\r\n" for line in lines).encode()


def _cells(*texts: str) -> str:
    """Neighbouring cells of one line, without its end."""
    buffer = io.StringIO(newline="")
    csv.writer(buffer).writerow([safe_cell(text) for text in texts])
    return buffer.getvalue().removesuffix("\r\n")


_item = lru_cache(maxsize=4096)(_cells)  # what stands in the form itself is the same for every paragraph and case


@lru_cache(maxsize=4096)  # names of forms and articles stand in hundreds of lines
def safe_cell(text: str) -> str:
    """Give `text` so that no spreadsheet runs it: an apostrophe before =, +, -, @, a tab or a line end.

    Spaces before such a sign do not hide it, because some spreadsheets drop them.
    """
    text = clean(text)
    return f"'{text}" if text.lstrip().startswith(_FORMULA) or text.startswith(("\t", "\r", "\n")) else text


def write_json(paragraphs: ParagraphMap) -> bytes:
    """Give the map as JSON (UTF-8), a line for each row and each item."""
    return write_lines(paragraphs.as_dict(), "rows", "items").encode()


def write_xlsx(paragraphs: ParagraphMap) -> bytes:
    """Give the map as a workbook: a sheet by form item, and one by paragraph. Every cell is text."""
    from xlsxwriter.workbook import Workbook  # late: only this format needs it

    buffer = io.BytesIO()
    book = Workbook(buffer, {"in_memory": True})
    book.set_properties(
        {"title": f"Paragraph map: {clean(paragraphs.title)}", "comments": paragraphs.mark, "created": FIXED}
    )
    _sheet(book, "By form item", paragraphs, _ITEM_HEAD, _ITEM_WIDTHS, (_item_cells(i) for i in paragraphs.items))
    _sheet(book, "By paragraph", paragraphs, _ROW_HEAD, _ROW_WIDTHS, (_row_cells(r) for r in paragraphs.rows))
    book.close()
    return buffer.getvalue()


def _sheet(
    book: Any,
    name: str,
    paragraphs: ParagraphMap,
    head: Sequence[str],
    widths: Sequence[int],
    lines: Iterable[Sequence[str]],
) -> None:
    sheet = book.add_worksheet(name)
    bold = book.add_format({"bold": True})
    wrapped = book.add_format({"text_wrap": True, "valign": "top", "num_format": "@"})
    header = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
    _text(sheet, 0, (clean(paragraphs.title),), bold)
    _text(sheet, 1, (paragraphs.mark,), bold)
    for row, caution in enumerate(CAUTIONS, 2):
        _text(sheet, row, (caution,), None)
    top = len(CAUTIONS) + 3
    _text(sheet, top, head, header)
    last = top
    for last, cells in enumerate(lines, top + 1):
        _text(sheet, last, cells, wrapped)
    for column, width in enumerate(widths):
        sheet.set_column(column, column, width)
    sheet.freeze_panes(top + 1, 0)
    sheet.autofilter(top, 0, last, len(head) - 1)
    sheet.ignore_errors({"number_stored_as_text": f"A1:{chr(64 + len(head))}{last + 1}"})
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(top)
    sheet.set_footer(f"&L{clean(paragraphs.mark).replace('&', '&&')}&RPage &P of &N")


def _text(sheet: Any, row: int, cells: Sequence[str], style: Any) -> None:
    for column, cell in enumerate(cells):
        sheet.write_string(row, column, clean(cell), style)


def write_map_docx(paragraphs: ParagraphMap, stamp: Stamp | None = None) -> bytes:
    """Give the map as a readable DOCX: a table by form item, then one by paragraph, landscape.

    With the stamp of a draft that is not ready every page says so.

    Raises:
        ValueError: the stamp and the map do not carry the same mark.
    """
    if stamp and stamp.mark != paragraphs.mark:
        raise ValueError(f"the map is of {paragraphs.mark!r}, the stamp of {stamp.mark!r}")
    warning = stamp.not_ready_text if stamp and not stamp.ready else ""
    paper = WorkingPaper(f"Paragraph map: {paragraphs.title}", paragraphs.mark, warning)
    for caution in CAUTIONS:
        paper.bullet(caution)
    paper.heading("By form item", 2)
    items = ((i.form, i.revision, i.item, i.label, i.when, i.pointer, i.confidence) for i in paragraphs.items)
    paper.table(_ITEM_COLUMNS, items)
    paper.heading("By paragraph", 2)
    cited = [row for row in paragraphs.rows if row.forms]
    paper.table(_ROW_COLUMNS, ((r.number, r.heading, r.article, form_list(r)) for r in cited))
    paper.line(f"Paragraphs that no form item points to: {len(paragraphs.rows) - len(cited)}.", before=200)
    return paper.save()


def form_list(row: MapRow) -> str:
    """Give the items that a paragraph answers in one line: "FL-180 4f, 4f-name; FL-170 12"."""
    by_form: dict[str, list[str]] = {}
    for answer in row.forms:
        by_form.setdefault(answer.form, []).append(answer.item)
    return "; ".join(f"{form} {', '.join(items)}" for form, items in by_form.items())


def _item_cells(i: MapItem) -> tuple[str, ...]:
    return (i.form, i.revision, i.item, i.label, i.when, USES[i.use], i.answer, i.pointer, i.confidence)


def _row_cells(row: MapRow) -> tuple[str, ...]:
    return (row.number, row.heading, row.article, row.text, form_list(row), row.id)
