"""The plain-language summary as DOCX and HTML. Every page says that it is no part of the agreement."""

from __future__ import annotations

import html
import io
import zipfile
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from typing import Any

from msadraft.attachments.summary import Summary, SummaryLine, SummarySection
from msadraft.writers.docx import xml
from msadraft.writers.docx.layout import FONT, PAGE_HEIGHT, PAGE_WIDTH
from msadraft.writers.docx.package import pack
from msadraft.writers.inline import clean
from msadraft.writers.stamp import Stamp

NOT_PART = "Plain-language summary. Not part of the agreement."
COLUMN = "Paragraph"

_FIXED = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)
_MARGIN = 1134  # twips: 2 cm
_WIDTHS = (PAGE_WIDTH - 2 * _MARGIN - 1250, 1250)
_SIZE, _SMALL, _TITLE, _HEADING = 21, 18, 32, 24  # half-points
_QUIET, _HAIRLINE, _SHADE = "595959", "BFBFBF", "F2F2F2"

_STYLE = """
:root { color-scheme: light dark; --ink: #16181d; --paper: #ffffff; --quiet: #565b66; --rule: #d4d7dd; --shade: #f1f2f4;
  --alarm: #8f1616; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e7e8ea; --paper: #17191d; --quiet: #a9aeb8; --rule: #3c414b; --shade: #22252b; --alarm: #ff9c9c; }
}
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 1.0625rem/1.5 "Times New Roman", Times, serif; }
main, header, footer { max-width: 44rem; margin: 0 auto; padding: 0 1.25rem; }
h1 { font-size: 1.6rem; margin: 2rem 0 .25rem; }
h2 { font-size: 1.15rem; margin: 1.75rem 0 .25rem; }
.names { margin: 0 0 1rem; }
.mark, footer { color: var(--quiet); font-size: .9rem; }
.not-part { border: 1px solid var(--ink); background: var(--shade); padding: .6rem .9rem; }
.not-part p { margin: .25rem 0; }
.banner { border: 2px solid var(--alarm); color: var(--alarm); font-weight: bold; padding: .5rem .75rem; margin: 1rem 0; }
table { width: 100%; border-collapse: collapse; }
th { text-align: left; font-weight: normal; color: var(--quiet); font-size: .9rem; }
td, th { padding: .3rem 0; vertical-align: top; }
td { border-top: 1px solid var(--rule); }
td:last-child, th:last-child { text-align: right; color: var(--quiet); width: 6.5rem; padding-left: 1rem; white-space: nowrap; }
tr.item td { border-top: 0; padding-top: 0; }
tr.item td:first-child { padding-left: 1.4rem; text-indent: -1rem; }
footer { margin-top: 2rem; margin-bottom: 2rem; }
@media print { body { font-size: 10.5pt; } tr { break-inside: avoid; } h2 { break-after: avoid; } }
"""


def write_summary_html(summary: Summary, stamp: Stamp) -> str:
    """Give the summary as one page that loads nothing.

    Raises:
        ValueError: the stamp and the summary do not carry the same mark.
    """
    _same_mark(summary, stamp)
    banner = "" if stamp.ready else f'<p class="banner" role="note">{_escape(stamp.not_ready_text)}</p>\n'
    cautions = "".join(f"<p>{_escape(caution)}</p>" for caution in summary.cautions)
    sections = "\n".join(_section(section, n) for n, section in enumerate(summary.sections, 1))
    title = _escape(summary.title)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n<header>\n"
        f'<h1>{title}</h1>\n<p class="names">{_escape(" and ".join(summary.names))}</p>\n{banner}'
        f'<div class="not-part">{cautions}</div>\n</header>\n<main>\n{sections}\n</main>\n'
        f"<footer><p>{_escape(NOT_PART)} {_escape(summary.mark)}</p></footer>\n</body>\n</html>\n"
    )


def _section(section: SummarySection, number: int) -> str:
    rows = "\n".join(_rows(section.lines))
    return (
        f'<section aria-labelledby="part-{number}">\n<h2 id="part-{number}">{_escape(section.title)}</h2>\n'
        f'<table>\n<thead><tr><th scope="col">What it says</th><th scope="col">{COLUMN}</th></tr></thead>\n'
        f"<tbody>\n{rows}\n</tbody>\n</table>\n</section>"
    )


def _rows(lines: Iterable[SummaryLine]) -> Iterator[str]:
    for line in lines:
        yield f"<tr><td>{_escape(line.text)}</td><td>{_escape(line.number)}</td></tr>"
        for item in line.items:
            yield f'<tr class="item"><td>• {_escape(item.text)}</td><td>{_escape(item.number)}</td></tr>'


def _escape(text: str) -> str:
    return html.escape(clean(text))


def _same_mark(summary: Summary, stamp: Stamp) -> None:
    if stamp.mark != summary.mark:
        raise ValueError(f"the summary is of {summary.mark!r}, the stamp of {stamp.mark!r}")


# DOCX


def write_summary_docx(summary: Summary, stamp: Stamp) -> bytes:
    """Give the summary as a DOCX of a few pages, for reading and for handing out.

    Raises:
        ValueError: the stamp and the summary do not carry the same mark.
    """
    _same_mark(summary, stamp)
    import docx  # late: only this format needs it
    from docx.oxml import parse_xml
    from docx.shared import Pt, RGBColor, Twips

    document = docx.Document()
    page = document.sections[0]
    page.page_width, page.page_height = Twips(PAGE_WIDTH), Twips(PAGE_HEIGHT)
    page.left_margin = page.right_margin = page.top_margin = page.bottom_margin = Twips(_MARGIN)
    document.styles["Normal"].font.name = FONT
    document.styles["Header"].font.size = document.styles["Footer"].font.size = Pt(_SMALL / 2)
    for name, half_points in (("Heading 1", _TITLE), ("Heading 2", _HEADING)):
        style = document.styles[name]
        style.font.name, style.font.size, style.font.color.rgb = FONT, Pt(half_points / 2), RGBColor(0, 0, 0)
        names = style.element.rPr.rFonts.attrib
        for theme in [key for key in names if key.endswith("Theme")]:
            del names[theme]
    core = document.core_properties
    core.title, core.author, core.comments = clean(summary.title), "", clean(f"{NOT_PART} {summary.mark}")
    core.created = core.modified = _FIXED
    page.header.paragraphs[0].text = NOT_PART if stamp.ready else f"{NOT_PART} {clean(stamp.not_ready_text)}"
    heading = document.add_heading(core.title, 1)
    heading.paragraph_format.space_before = Pt(0)
    end = document.element.body.sectPr
    for part in _document(summary):
        end.addprevious(parse_xml(_named(part)))
    _footer(page.footer.paragraphs[0]._p, summary.mark)
    saved = io.BytesIO()
    document.save(saved)
    with zipfile.ZipFile(saved) as archive:
        return pack({name: archive.read(name) for name in archive.namelist()})


def _document(summary: Summary) -> Iterator[str]:
    normal = xml.run_properties(size=_SIZE)
    yield xml.paragraph(
        xml.paragraph_properties(spacing=xml.spacing(0, 120, 240)), xml.run(" and ".join(summary.names), normal)
    )
    edges = "".join(xml.border(side, 6, 6) for side in ("top", "left", "bottom", "right"))
    around = xml.paragraph_properties(
        borders=edges, shade=_SHADE, spacing=xml.spacing(0, 0, 252), indent=xml.indent(120, 120)
    )
    for n, caution in enumerate(summary.cautions):
        yield xml.paragraph(around, xml.run(caution, xml.run_properties(size=_SIZE, bold=n == 0)))
    for section in summary.sections:
        yield xml.paragraph(
            xml.paragraph_properties(style="Heading2", keep_next=True, spacing=xml.spacing(200, 40, 240)),
            xml.run(section.title),
        )
        rows = [_row("What it says", COLUMN, header=True)]
        for line in section.lines:
            rows.append(_row(line.text, line.number, more=bool(line.items)))
            rows += [
                _row(item.text, item.number, item=True, more=n < len(line.items))
                for n, item in enumerate(line.items, 1)
            ]
        yield xml.table("".join(rows), _WIDTHS, style="TableNormal", first_row=True, caption=section.title)


def _row(text: str, number: str, *, header: bool = False, item: bool = False, more: bool = False) -> str:
    """One row; with `more` it stays on the page of the next, and no rule stands between the two."""
    look = xml.run_properties(size=_SMALL, color=_QUIET) if header else xml.run_properties(size=_SIZE)
    quiet = xml.run_properties(size=_SMALL, color=_QUIET)
    spacing = xml.spacing(10 if item else 30, 30, 245)
    left = xml.paragraph_properties(
        keep_next=header or more, spacing=spacing, indent=xml.indent(340, 0, 200) if item else ""
    )
    right = xml.paragraph_properties(keep_next=header or more, spacing=spacing, align="right")
    rule = "" if more else xml.border("bottom", 4, 0, _HAIRLINE)
    cells = (
        xml.cell(_WIDTHS[0], xml.paragraph(left, xml.run(f"•\u00a0{text}" if item else text, look)), borders=rule),
        xml.cell(_WIDTHS[1], xml.paragraph(right, xml.run(number, quiet)), borders=rule),
    )
    return xml.row("".join(cells), header=header)


def _named(element: str) -> str:
    """Declare the namespace on the outermost element."""
    head, closed, rest = element.partition(">")
    return f'{head} xmlns:w="{xml.W}"{closed}{rest}'


def _footer(paragraph: Any, mark: str) -> None:
    """Write the mark and, at the right edge, "Page X of Y", as fields, into the paragraph of the footer."""
    from docx.oxml import parse_xml

    stops = xml.tab_stops(("clear", 4680, ""), ("clear", 9360, ""), ("right", sum(_WIDTHS), ""))
    paragraph.get_or_add_pPr().append(parse_xml(_named(stops)))
    runs = xml.run(f"{mark}\tPage ") + xml.field("PAGE", "1") + xml.run(" of ") + xml.field("NUMPAGES", "1")
    for child in parse_xml(_named(f"<w:p>{runs}</w:p>")):
        paragraph.append(child)
