"""Working tables as DOCX: letter paper across, headings, plain tables, the mark and the page on every foot.

Shared by the paragraph map and the worksheets. The same content gives the same bytes.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from msadraft.writers.docx import xml
from msadraft.writers.docx.layout import FONT, PAGE_HEIGHT, PAGE_WIDTH
from msadraft.writers.docx.package import pack
from msadraft.writers.inline import clean

if TYPE_CHECKING:
    from docx.document import Document

FIXED = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)
"""The day on which every such paper says it was made: nothing here reads the clock."""
_MARGIN = 1080  # twips
_TABLE_TYPE = 18  # half-points
_HAIRLINE, _SHADE = "A6A6A6", "EFEFEF"


def new_document(title: str, mark: str, warning: str = "") -> Document:
    """Begin a paper with its title and mark; `warning` then stands on every page."""
    import docx  # late: only this format needs it
    from docx.enum.section import WD_ORIENT
    from docx.shared import Twips

    document = docx.Document()
    section = document.sections[0]
    section.orientation = WD_ORIENT.LANDSCAPE
    section.page_width, section.page_height = Twips(PAGE_HEIGHT), Twips(PAGE_WIDTH)
    section.left_margin = section.right_margin = section.top_margin = section.bottom_margin = Twips(_MARGIN)
    document.styles["Normal"].font.name = FONT
    for name, size in (("Heading 1", 16), ("Heading 2", 13)):
        _quiet(document.styles[name], size)
    core = document.core_properties
    core.title, core.author, core.comments = clean(title), "", clean(mark)
    core.created = core.modified = FIXED
    document.add_heading(core.title, 1)
    if warning:
        document.add_paragraph().add_run(clean(warning)).bold = True
        section.header.paragraphs[0].text = clean(warning)
    document.add_paragraph(clean(mark))
    return document


def save(document: Document, mark: str) -> bytes:
    """Put the mark on every foot and give the file."""
    _footer(document.sections[0].footer.paragraphs[0]._p, mark)
    saved = io.BytesIO()
    document.save(saved)
    with zipfile.ZipFile(saved) as archive:
        return pack({name: archive.read(name) for name in archive.namelist()})


def add_table(document: Document, columns: Sequence[tuple[str, int]], lines: Iterable[Sequence[str]]) -> None:
    """Add a table after what is there. It is written as XML: building hundreds of rows cell by cell takes seconds.

    Args:
        document: the paper.
        columns: heading and width (twips) of each column.
        lines: the cells of each row; a line end in a cell becomes a break.
    """
    from docx.oxml import parse_xml

    widths = tuple(width for _, width in columns)
    rows = [_table_row([name for name, _ in columns], widths, header=True)]
    rows += [_table_row(cells, widths) for cells in lines]
    table = xml.table("".join(rows), widths, style="TableNormal", first_row=True)
    document.element.body.sectPr.addprevious(parse_xml(_named(table)))


def _quiet(style: Any, points: int) -> None:
    """Set a heading in the typeface of the text, black. A font of the theme would win over a named one, so it goes."""
    from docx.shared import Pt, RGBColor

    style.font.name, style.font.size, style.font.color.rgb = FONT, Pt(points), RGBColor(0, 0, 0)
    names = style.element.rPr.rFonts.attrib
    for name in [name for name in names if name.endswith("Theme")]:
        del names[name]


def _table_row(cells: Sequence[str], widths: Sequence[int], header: bool = False) -> str:
    around = xml.paragraph_properties(spacing=xml.spacing(30, 30, 240))
    within = xml.run_properties(bold=header, size=_TABLE_TYPE)
    rules = xml.border("top", 8) + xml.border("bottom", 6) if header else xml.border("bottom", 4, 0, _HAIRLINE)
    shown = (
        xml.cell(width, xml.paragraph(around, xml.run(cell, within)), borders=rules, shade=_SHADE if header else "")
        for cell, width in zip(cells, widths, strict=True)
    )
    return xml.row("".join(shown), header=header)


def _named(element: str) -> str:
    """Declare the namespace on the outermost element."""
    return element.replace(">", f' xmlns:w="{xml.W}">', 1)


def _footer(paragraph: Any, mark: str) -> None:
    """Write the mark and, at the right edge, "Page X of Y", as fields, into the paragraph of the footer."""
    from docx.oxml import parse_xml

    stops = xml.tab_stops(("clear", 4680, ""), ("clear", 9360, ""), ("right", PAGE_HEIGHT - 2 * _MARGIN, ""))
    paragraph.get_or_add_pPr().append(parse_xml(_named(stops)))
    runs = (
        xml.run(f"{mark}\t") + xml.run("Page ") + xml.field("PAGE", "1") + xml.run(" of ") + xml.field("NUMPAGES", "1")
    )
    for child in parse_xml(_named(f"<w:p>{runs}</w:p>")):
        paragraph.append(child)
