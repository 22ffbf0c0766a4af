"""Working tables as DOCX: letter paper across, headings, plain tables, the mark and the page on every foot.

Shared by the paragraph map and the worksheets. The same content gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from functools import lru_cache

from msadraft.writers.docx import parts, xml
from msadraft.writers.docx.layout import PAGE_HEIGHT, PAGE_WIDTH
from msadraft.writers.docx.package import pack
from msadraft.writers.inline import clean

FIXED = datetime(2000, 1, 1)
"""The day on which every such paper says it was made: nothing here reads the clock."""
_MARGIN = 1080  # twips
_TEXT_TYPE, _TABLE_TYPE = 22, 18  # half-points
_GAP = 115  # twips between the words of two columns
_HAIRLINE, _SHADE = "A6A6A6", "EFEFEF"
_MAP_PARTS = ("/customXml/itemProps1.xml", "/docProps/custom.xml")


class WorkingPaper:
    """One such paper, from its title down. Text is cleaned; a line end in it becomes a break."""

    def __init__(self, title: str, mark: str, warning: str = "") -> None:
        """Begin a paper with its title and mark; `warning` then stands on every page."""
        self.title, self.mark, self.warning = clean(title), clean(mark), clean(warning)
        self._body: list[str] = []
        self.heading(title, 1)
        if warning:
            self.line(warning, bold=True)
        self.line(mark)

    def heading(self, text: str, level: int) -> None:
        """Add a heading of level 1 or 2."""
        self._body.append(xml.paragraph(xml.paragraph_properties(style=f"Heading{level}"), xml.run(clean(text))))

    def line(self, text: str, bold: bool = False, before: int = 0) -> None:
        """Add a line of text; `before` is the room above it in twips."""
        around = xml.paragraph_properties(spacing=xml.spacing(before, 160, 264)) if before else ""
        self._body.append(xml.paragraph(around, xml.run(clean(text), xml.run_properties(bold=True) if bold else "")))

    def bullet(self, text: str) -> None:
        """Add an entry of a list."""
        self._body.append(xml.paragraph(xml.paragraph_properties(style="ListBullet"), xml.run(clean(text))))

    def table(self, columns: Sequence[tuple[str, int]], lines: Iterable[Sequence[str]]) -> None:
        """Add a table: heading and width (twips) of each column, then the cells of each row."""
        widths = tuple(width for _, width in columns)
        rows = [_table_row([name for name, _ in columns], widths, header=True)]
        rows += [_table_row(cells, widths) for cells in lines]
        self._body.append(xml.table("".join(rows), widths, style="TableNormal", first_row=True))

    def save(self) -> bytes:
        """Give the file."""
        files = {
            "[Content_Types].xml": parts.content_types(without=_MAP_PARTS),
            "_rels/.rels": parts.package_relations(custom=False),
            "docProps/core.xml": parts.core_properties(self.title, FIXED.date().isoformat()),
            "word/_rels/document.xml.rels": parts.document_relations(without=("customXml",)),
            "word/document.xml": self._document(),
            "word/fontTable.xml": parts.fonts(),
            "word/footer1.xml": self._footer(),
            "word/header1.xml": parts.header(
                xml.paragraph(xml.paragraph_properties(style="Header"), xml.run(self.warning) if self.warning else "")
            ),
            "word/numbering.xml": _NUMBERING,
            "word/settings.xml": parts.settings(),
            "word/styles.xml": _STYLES,
        }
        return pack({name: text.encode() for name, text in files.items()})

    def _document(self) -> str:
        end = (
            f'<w:sectPr><w:headerReference w:type="default" r:id="{parts.HEADER_RELATION}"/>'
            f'<w:footerReference w:type="default" r:id="{parts.FOOTER_RELATION}"/>'
            f'<w:pgSz w:w="{PAGE_HEIGHT}" w:h="{PAGE_WIDTH}" w:orient="landscape"/>'
            f'<w:pgMar w:top="{_MARGIN}" w:right="{_MARGIN}" w:bottom="{_MARGIN}" w:left="{_MARGIN}" w:header="600"'
            ' w:footer="600" w:gutter="0"/></w:sectPr>'
        )
        return (
            f'{xml.DECLARATION}<w:document xmlns:w="{xml.W}" xmlns:r="{xml.R}"><w:body>{"".join(self._body)}{end}'
            "</w:body></w:document>"
        )

    def _footer(self) -> str:
        """The mark and, at the right edge, "Page X of Y"."""
        around = xml.paragraph_properties(style="Footer", tabs=xml.tab_stops(("right", PAGE_HEIGHT - 2 * _MARGIN, "")))
        return parts.footer(xml.paragraph(around, xml.run(f"{self.mark}\t") + parts.page_of_pages()))


def _table_row(cells: Sequence[str], widths: Sequence[int], header: bool = False) -> str:
    return xml.row("".join([_cell(*each, header) for each in zip(cells, widths, strict=True)]), header=header)


@lru_cache(maxsize=4096)  # what stands in the forms comes again in every case
def _cell(text: str, width: int, header: bool) -> str:
    around = xml.paragraph_properties(spacing=xml.spacing(30, 30, 240))
    within = xml.run_properties(bold=header, size=_TABLE_TYPE)
    rules = xml.border("top", 8) + xml.border("bottom", 6) if header else xml.border("bottom", 4, 0, _HAIRLINE)
    inside = xml.paragraph(around, xml.run(text, within))
    return xml.cell(width, inside, borders=rules, shade=_SHADE if header else "")


def _style(name: str, style_id: str, paragraph: str, run: str = "", priority: int = 99) -> str:
    return xml.style(
        "paragraph", name, based_on="Normal", priority=priority, custom=False, paragraph=paragraph, run=run,
        style_id=style_id,
    )  # fmt: skip


def _styles() -> str:
    p, r, s = xml.paragraph_properties, xml.run_properties, xml.spacing
    return parts.styles_document(
        xml.style(
            "paragraph", "Normal", custom=False, default=True, quick=True, paragraph=p(spacing=s(0, 160, 264)),
            run=r(size=_TEXT_TYPE),
        )
        + xml.style("character", "Default Paragraph Font", custom=False, default=True, priority=1)
        + parts.plain_table_style(gap=_GAP)
        + xml.style("numbering", "No List", custom=False, default=True, priority=99)
        + _style("heading 1", "Heading1", p(keep_next=True, spacing=s(0, 160, 264), outline=0), r(bold=True, size=32), 9)
        + _style("heading 2", "Heading2", p(keep_next=True, spacing=s(280, 120, 264), outline=1), r(bold=True, size=26), 9)
        + _style("List Bullet", "ListBullet", p(list_id=1, spacing=s(0, 100, 264)))
        + _style("header", "Header", p(spacing=s(0, 0, 240)), r(bold=True))
        + _style("footer", "Footer", p(spacing=s(0, 0, 240)), r(size=_TABLE_TYPE))
    )  # fmt: skip


def _numbering() -> str:
    dots = parts.levels((xml.level(0, "bullet", "•", style="ListBullet", left=360, hanging=360),))
    return (
        f'{xml.DECLARATION}<w:numbering xmlns:w="{xml.W}">{xml.abstract_list(1, dots)}'
        '<w:num w:numId="1"><w:abstractNumId w:val="1"/></w:num></w:numbering>'
    )


_STYLES, _NUMBERING = _styles(), _numbering()
