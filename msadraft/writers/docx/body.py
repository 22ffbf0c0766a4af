"""The body of the document: headings, numbered paragraphs, tables, notices and signature blocks as XML.

Numbers are not written: paragraphs carry list styles, and the word processor counts them. Every node has a
hidden bookmark, by which references point to it and an edited copy is read back.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from msadraft.agreement.numbering import Numbering
from msadraft.tree import Agreement, Block, Inline, Paragraph, Plain, Section, Signature, Table, Text, walk
from msadraft.writers.docx import xml
from msadraft.writers.docx.columns import column_widths, lines_of
from msadraft.writers.docx.layout import EXHIBIT_HEADING, HALF, LEVELS, PITCH, TEXT_WIDTH, Layout
from msadraft.writers.inline import BLANK, pieces, plain, stop

PLACE_HEIGHT = 10 * PITCH
_PLACE_WORDS = "This space is kept free."
_CELL_MARGINS = 140
_APART = 240
_SMALL_TABLE = 6  # rows; a table of no more is not split over two pages
_SHADE, _BAND = "EFEFEF", "F7F7F7"
_DEFAULT_LINES = ("Date",)

_RUN_PROPERTIES = {
    (bold, italic): xml.run_properties(bold=bold, italic=italic) for bold in (False, True) for italic in (False, True)
}
_BLANK_RUN = xml.run(BLANK, xml.run_properties(style="Blank"))


def _held(section: Section, following: Section | None) -> frozenset[str]:
    """Give the blocks that stay with the next one, so that no page holds only the last line before a page break."""
    if following is not None and following.kind == "article":
        return frozenset()
    last = [block.id for block in walk(section.blocks)][-2:]
    return frozenset(last if following is None else last[:1])


class Body:
    """Writes the blocks of one agreement. Bookmark ids count up in document order."""

    def __init__(self, agreement: Agreement, numbering: Numbering, layout: Layout) -> None:
        self.agreement = agreement
        self.numbering = numbering
        self.layout = layout
        self._bookmarks = 0
        self._exhibit = False
        self._stand_apart = False
        self._held: frozenset[str] = frozenset()

    def xml(self) -> str:
        """Give all sections and the closing line after them."""
        out: list[str] = []
        for section, following in pairwise((*self.agreement.sections, None)):
            if section is not None:
                self._held = _held(section, following)
                self.section(section, out)
        exhibits = any(section.kind == "exhibit" for section in self.agreement.sections)
        ending = "End of the agreement and its exhibits" if exhibits else "End of the agreement"
        # The last paragraph is never a numbered one: a tracked change of it could not be resolved cleanly.
        out.append(xml.paragraph(self.properties("ClosingLine"), xml.run(ending)))
        return "".join(out)

    def runs(self, content: Iterable[Inline], bold: bool = False) -> str:
        """Give the runs of `content`: text, blanks, and a chain of number fields for each reference."""
        out = []
        for piece in pieces(content, self.numbering, bold):
            if piece.kind == "text":
                if piece.text:
                    out.append(xml.run(piece.text, _RUN_PROPERTIES[piece.bold, piece.italic]))
            elif piece.kind == "blank":
                out.append(_BLANK_RUN)
            else:
                properties = _RUN_PROPERTIES[piece.bold, False]
                out.extend(xml.number_of(bookmark, shown, properties) for bookmark, shown in piece.links)
        return "".join(out)

    def marked(self, node_id: str, content: str) -> str:
        """Give `content` inside the bookmark of its node."""
        self._bookmarks += 1
        return xml.bookmarked(self.numbering[node_id].bookmark, self._bookmarks, content)

    def properties(self, style: str, *, keep_next: bool = False, left: int = 0, right: int = 0) -> str:
        """Give the properties of a paragraph; one that follows a table or a signature stands off from it."""
        apart = self._stand_apart and not self.layout.pleading
        self._stand_apart = False
        return xml.paragraph_properties(
            style=style,
            keep_next=keep_next,
            spacing=f'<w:spacing w:before="{_APART}"/>' if apart else "",
            indent=xml.indent(left, right) if left else "",
        )

    def section(self, section: Section, out: list[str]) -> None:
        """Add one article or exhibit to `out`."""
        self._exhibit = section.kind == "exhibit"
        style = "ExhibitHeading" if self._exhibit else "Heading1"
        heading = self.marked(section.id, self.runs(section.heading))
        self._stand_apart = False
        out.append(xml.paragraph(xml.paragraph_properties(style=style), heading))
        self.blocks(section.blocks, 0, out)

    def blocks(self, blocks: tuple[Block, ...], level: int, out: list[str]) -> None:
        """Add `blocks`, which stand in a paragraph of `level` (0: in a section), to `out`."""
        for block, following in pairwise((*blocks, None)):
            if block is not None:
                # A paragraph stays with the table, the signature or the unnumbered words that it leads to.
                self.block(block, level, out, following)

    def block(self, block: Block, level: int, out: list[str], following: Block | None) -> None:
        """Add one block and its children to `out`."""
        leads = isinstance(following, Table | Signature | Plain) or block.id in self._held
        match block:
            case Paragraph():
                prefix = "ExhibitPara" if self._exhibit else "Para"
                properties = self.properties(f"{prefix}{block.level}", keep_next=leads or bool(block.children))
                out.append(xml.paragraph(properties, self.marked(block.id, self.paragraph_runs(block))))
                self.blocks(block.children, block.level, out)
            case Plain():
                self.plain(block, level, out, leads)
            case Table():
                self.table(block, level, out)
            case Signature():
                # Those who sign together stay on one page; what has words of its own may go to the next.
                together = isinstance(following, Signature) and not following.statement
                self.signature(block, out, leads=together or (following is None and block.id in self._held))

    def paragraph_runs(self, block: Paragraph) -> str:
        """Give the runs of a numbered paragraph, its heading run in."""
        if not block.heading:
            return self.runs(block.content)
        after = stop(block.heading, self.numbering)
        head = self.runs((*block.heading, Text("." if after == ". " else "")), bold=True)
        return head + self.runs((Text(" "), *block.content) if block.content else ())

    def plain(self, block: Plain, level: int, out: list[str], leads: bool) -> None:
        """Add an unnumbered paragraph, a boxed notice, or a place kept free under its words."""
        left = self.layout.text_left(level)
        content = self.marked(block.id, self.runs(block.content))
        if block.kind == "notice":
            properties = self.properties("Notice", keep_next=leads, left=left + 144, right=144)
            out.append(xml.paragraph(properties, content))
            return
        style = "Place" if block.kind == "place" else "Unnumbered"
        properties = self.properties(style, keep_next=leads, left=left)
        out.append(xml.paragraph(properties, content))
        if block.kind == "place":
            sides = "".join(xml.border(side, 6) for side in ("top", "left", "bottom", "right"))
            width = TEXT_WIDTH - left
            inside = xml.paragraph(
                xml.paragraph_properties(style="PlaceInside", indent=xml.indent(90)), xml.run(_PLACE_WORDS)
            )
            area = xml.row(xml.cell(width, inside, borders=sides), height=PLACE_HEIGHT, rule="exact")
            out.append(xml.table(area, (width,), style="PageGrid", left=left))
            self._stand_apart = True

    def table(self, table: Table, level: int, out: list[str]) -> None:
        """Add an unnumbered caption and a table whose header row repeats on every page."""
        caption = self.marked(table.id, self.runs(table.caption))
        left = self.layout.text_left(level)
        widths = self._widths(table, TEXT_WIDTH - left)
        out.append(xml.paragraph(self.properties("Caption", left=left), caption))
        kind = "Schedule" if self._exhibit else "Table"
        rows = [self._row(table, table.header, widths, f"{kind}Head", header=True)]
        count = len(table.rows) + (table.total is not None)
        for place, row in enumerate(table.rows, 1):
            keep = place < count and (count <= _SMALL_TABLE or place >= count - 1)
            style = f"{kind}Text"
            rows.append(self._row(table, row.cells, widths, style, row_id=row.id, keep=keep, banded=place % 2 == 0))
        if table.total is not None:
            rows.append(self._row(table, table.total.cells, widths, f"{kind}Text", row_id=table.total.id, total=True))
        out.append(
            xml.table(
                "".join(rows),
                widths,
                style="Schedule",
                left=left,
                caption=plain(table.caption, self.numbering),
                first_row=True,
            )
        )
        self._stand_apart = True

    def _row(
        self,
        table: Table,
        cells: tuple[tuple[Inline, ...], ...],
        widths: tuple[int, ...],
        style: str,
        *,
        row_id: str = "",
        header: bool = False,
        total: bool = False,
        keep: bool = False,
        banded: bool = False,
    ) -> str:
        out = []
        lines = 1
        pleading = self.layout.pleading
        # On numbered paper shade parts the rows, because a rule would add to their height.
        borders = xml.border("top", 6) if total and not pleading else ""
        shade = _SHADE if total and pleading else _BAND if banded and pleading else ""
        for column, width in enumerate(widths):
            content = cells[column] if column < len(cells) else ()
            runs = self.runs(content, bold=total)
            if pleading:
                room = width - _CELL_MARGINS
                lines = max(
                    lines, lines_of(plain(content, self.numbering), room, self._type_size(), bold=header or total)
                )
            if column == 0 and row_id:
                runs = self.marked(row_id, runs)
            align = table.align[column] if column < len(table.align) else "left"
            properties = xml.paragraph_properties(style=style, keep_next=keep, align="" if align == "left" else align)
            out.append(
                xml.cell(
                    width,
                    xml.paragraph(properties, runs),
                    borders=borders,
                    shade=shade,
                    valign="bottom" if header or pleading else "",
                )
            )
        # Two lines of a cell take one numbered line, so the row is as high as a whole number of those.
        return xml.row("".join(out), height=-(-lines // 2) * PITCH if pleading else 0, header=header)

    def _type_size(self) -> int:
        return 21 if self._exhibit else 24

    def _widths(self, table: Table, available: int) -> tuple[int, ...]:
        rows = [table.header, *(row.cells for row in table.rows), *((table.total.cells,) if table.total else ())]
        count = max(len(cells) for cells in rows)
        columns = [[plain(cells[n], self.numbering) for cells in rows if n < len(cells)] for n in range(count)]
        stiff = [n < len(table.align) and table.align[n] != "left" for n in range(count)]
        return column_widths(columns, stiff, available, self._type_size(), _CELL_MARGINS)

    def signature(self, block: Signature, out: list[str], leads: bool) -> None:
        """Add a signature block. Each of its paragraphs but the last stays with the next, so it never splits."""
        lines = block.lines or _DEFAULT_LINES
        parts: list[tuple[str, str]] = []
        if block.statement:
            parts.append(("SignatureText", self.runs(block.statement)))
        parts.append(("SignatureLine", xml.run(f"{lines[0]}:  \t\t\t")))
        parts.append(("SignatureName", self.runs(block.name, bold=True)))
        if block.capacity:
            parts.append(("SignatureName", self.runs(block.capacity)))
        parts.extend(("SignatureName", xml.run(f"{line}:  \t")) for line in lines[1:])
        self._stand_apart = False  # the line to sign on has room above it as it is
        # The lines under a signature are single-spaced: what follows shall be level with a line number again.
        odd = self.layout.pleading and sum(style == "SignatureName" for style, _ in parts) % 2 == 1
        for place, (style, runs) in enumerate(parts, 1):
            last = place == len(parts)
            properties = xml.paragraph_properties(
                style=style,
                keep_next=leads or not last,
                spacing=xml.spacing(0, 0, PITCH, "exact") if odd and last else "",
            )
            out.append(xml.paragraph(properties, self.marked(block.id, runs) if place == 1 else runs))
        self._stand_apart = True

    def contents(self) -> str:
        """Give the table of contents: articles and exhibits, linked, without page numbers that could go stale."""
        sections = self.agreement.sections
        if not sections:
            return ""
        out = [xml.paragraph(xml.paragraph_properties(style="TOCHeading"), xml.run("Contents"))]
        # An odd number of single-spaced lines would leave the text after them between two line numbers.
        odd = self.layout.pleading and len(sections) % 2 == 1
        for place, section in enumerate(sections):
            wide = section.kind == "exhibit"
            properties = xml.paragraph_properties(
                style="TOC1",
                tabs=xml.tab_stops(("clear", LEVELS[0][0], ""), ("left", EXHIBIT_HEADING, "")) if wide else "",
                indent=xml.indent(EXHIBIT_HEADING, 0, EXHIBIT_HEADING) if wide else "",
                spacing=f'<w:spacing w:after="{HALF}"/>' if odd and place == len(sections) - 1 else "",
            )
            entry = self.numbering[section.id]
            text = xml.run(f"{entry.label}\t{plain(section.heading, self.numbering)}")
            line = xml.link(entry.bookmark, text)
            if place == 0:
                line = (
                    '<w:r><w:fldChar w:fldCharType="begin"/></w:r><w:r><w:instrText xml:space="preserve">'
                    ' TOC \\o "1-1" \\n \\h \\z \\u </w:instrText></w:r><w:r><w:fldChar w:fldCharType="separate"/></w:r>'
                    + line
                )
            if place == len(sections) - 1:
                line += '<w:r><w:fldChar w:fldCharType="end"/></w:r>'
            out.append(xml.paragraph(properties, line))
        return "".join(out)
