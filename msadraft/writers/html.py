"""The agreement as one self-contained, accessible HTML page: no script, nothing loaded from elsewhere.

Ids are the bookmark names of the DOCX. Every filled-in value stands in a span whose `data-source` is the path of the
fact or figure that it shows.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from msadraft.agreement.numbering import Numbering
from msadraft.tree import Agreement, Block, Inline, Paragraph, Plain, Row, Section, Signature, Table
from msadraft.writers.inline import caption_case, clean, pieces, plain, stop
from msadraft.writers.stamp import Stamp

_STYLE = """
:root { color-scheme: light dark; --ink: #16181d; --paper: #ffffff; --quiet: #565b66; --rule: #c3c7cf; --shade: #f1f2f4;
  --fact: #e8f0e4; --alarm: #8f1616; --link: #1a4b8c; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e7e8ea; --paper: #17191d; --quiet: #a9aeb8; --rule: #474c56; --shade: #22252b; --fact: #24321f;
    --alarm: #ff9c9c; --link: #9cc3ff; }
}
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 1.0625rem/1.55 "Times New Roman", Times, serif;
  overflow-wrap: anywhere; }
main, header, footer, nav { max-width: 46rem; margin: 0 auto; padding: 0 1.25rem; }
a { color: var(--link); }
a:focus-visible { outline: 3px solid var(--link); outline-offset: 2px; }
.skip { position: absolute; left: -100rem; }
.skip:focus { left: 1rem; top: 1rem; background: var(--paper); padding: .5rem; }
.banner { border: 2px solid var(--alarm); color: var(--alarm); font-weight: bold; padding: .5rem .75rem; margin: 1rem 0; }
.court { font-weight: bold; border-bottom: 1px solid var(--ink); padding-bottom: .35rem; margin-top: 1.5rem; }
dl.case { display: grid; grid-template-columns: 8rem 1fr; gap: .15rem 1rem; margin: .5rem 0 0; }
dl.case dt { color: var(--quiet); } dl.case dd { margin: 0; }
h1 { text-align: center; font-size: 1.6rem; margin: 2rem 0 1.25rem; }
h2 { font-size: 1.2rem; margin: 2.25rem 0 .75rem; }
nav h2 { font-size: 1.05rem; margin-top: 1rem; }
nav ul { list-style: none; padding: 0; margin: 0; }
.number { display: inline-block; min-width: 3.1rem; padding-right: .5rem; }
nav .number, h2 .number { min-width: 2.85rem; } nav .exhibit .number { min-width: 5.2rem; }
.numbered { padding-left: 3.1rem; text-indent: -3.1rem; margin: .6rem 0; }
.level-2 { margin-left: 3.1rem; } .level-3 { margin-left: 6.2rem; }
.under-1 { margin-left: 3.1rem; } .under-2 { margin-left: 6.2rem; } .under-3 { margin-left: 9.3rem; }
.number, .numbered > * { text-indent: 0; }
.notice { border: 1px solid var(--ink); background: var(--shade); padding: .6rem .8rem; margin-top: 1rem; margin-bottom: 1rem; }
.place { border: 1px solid var(--ink); min-height: 16rem; padding: .6rem .8rem; margin-top: 1rem; margin-bottom: 1rem; }
[data-source] { background: var(--fact); unicode-bidi: isolate; border-radius: 2px; }
.blank { white-space: nowrap; background: var(--shade); }
.scroll { overflow-x: auto; margin-top: 1rem; margin-bottom: 1rem; }
table { border-collapse: collapse; width: 100%; border-top: 2px solid var(--ink); border-bottom: 2px solid var(--ink); }
caption { text-align: left; font-weight: bold; padding: .25rem 0; }
th, td { text-align: left; vertical-align: top; padding: .3rem .5rem; border-top: 1px solid var(--rule); }
thead th { background: var(--shade); vertical-align: bottom; }
tbody th { font-weight: normal; }
tfoot th, tfoot td { font-weight: bold; border-top: 2px solid var(--ink); }
.right { text-align: right; font-variant-numeric: tabular-nums; } .center { text-align: center; }
.signature { display: grid; grid-template-columns: 1fr 1.6fr; gap: 0 2.5rem; margin: 2.5rem 0; break-inside: avoid; }
.signature p { margin: 0; } .signature .wide { grid-column: 1 / -1; margin-bottom: 1.25rem; }
.signature .line { border-bottom: 1px solid var(--ink); min-height: 2.2rem; align-self: end; padding-top: .75rem; }
.signature .who { grid-column: 2; }
td.right { white-space: nowrap; }
.exhibit table { font-size: .9rem; line-height: 1.4; } .exhibit th, .exhibit td { padding: .3rem; }
@media screen and (min-width: 60rem) { .exhibit .scroll { margin-left: -4rem; margin-right: -4rem; } }
@media screen { th, td { overflow-wrap: break-word; } }
footer { color: var(--quiet); border-top: 1px solid var(--rule); margin-top: 3rem; padding-top: .75rem; padding-bottom: 2rem; }
@media print {
  :root { --ink: #000; --paper: #fff; --quiet: #333; --rule: #999; --shade: #f1f2f4; --fact: transparent; --alarm: #8f1616; --link: #000; }
  @page { size: letter; margin: 1in; }
  body { font-size: 12pt; } main, header, footer, nav { max-width: none; padding: 0; }
  .skip { display: none; } a { text-decoration: none; } h2, caption { break-after: avoid; }
  .exhibit { break-before: page; } tr, .notice, .place { break-inside: avoid; } thead { display: table-header-group; }
  .scroll { overflow: visible; }
}
"""


def write_html(agreement: Agreement, numbering: Numbering, stamp: Stamp) -> str:
    """Give the agreement as one HTML page.

    Raises:
        WriterError: a reference points to nothing in the agreement.
    """
    return _Page(agreement, numbering).page(stamp)


@dataclass(frozen=True)
class Unit:
    """A piece of the page that can be swapped alone: a heading of a section, or one block with everything inside it."""

    id: str
    bookmark: str
    number: str
    html: str


def html_units(agreement: Agreement, numbering: Numbering) -> tuple[Unit, ...]:
    """Give the agreement as pieces of HTML in reading order, without the frame of the page.

    Raises:
        WriterError: a reference points to nothing in the agreement.
    """
    page = _Page(agreement, numbering)
    found = []
    for section in agreement.sections:
        entry = numbering[section.id]
        found.append(Unit(section.id, entry.bookmark, entry.label, page.heading(section)))
        for block in section.blocks:
            entry = numbering[block.id]
            found.append(Unit(block.id, entry.bookmark, entry.full, page.block(block, 0)))
    return tuple(found)


@lru_cache(maxsize=8192)  # most of a paper is the wording of the clauses, which comes again in every case
def _escape(text: str) -> str:
    text = clean(text)
    return (
        text.replace("&", "&amp;")
        .replace("<", "&lt;")
        .replace(">", "&gt;")
        .replace('"', "&quot;")
        .replace("'", "&#39;")
    )


class _Page:
    def __init__(self, agreement: Agreement, numbering: Numbering) -> None:
        self.agreement = agreement
        self.numbering = numbering

    def page(self, stamp: Stamp) -> str:
        title, mark = _escape(self.agreement.title), _escape(stamp.mark)
        banner = "" if stamp.ready else f'<p class="banner" role="note">{_escape(stamp.not_ready_text)}</p>'
        sections = "\n".join(self.section(section) for section in self.agreement.sections)
        return (
            '<!DOCTYPE html>\n<html lang="en-US">\n<head>\n<meta charset="utf-8">\n'
            '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
            "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
            f'<meta name="generator" content="msadraft">\n<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n'
            f'<a class="skip" href="#agreement">Skip to the agreement</a>\n<header>\n{banner}{self.case()}\n'
            f"<h1>{title}</h1>\n</header>\n{self.contents()}\n"
            f'<main id="agreement">\n{sections}\n</main>\n'
            f"<footer>{banner}<p>{mark}</p></footer>\n</body>\n</html>\n"
        )

    def inline(self, content: Iterable[Inline]) -> str:
        out = []
        for piece in pieces(content, self.numbering):
            text = _escape(piece.text).replace("\n", "<br>")
            if piece.kind == "reference":
                text = f'<a href="#{piece.bookmark}">{text}</a>'
            elif piece.kind == "blank":
                text = f'<span class="blank" role="img" aria-label="blank to fill in" data-source="{_escape(piece.source)}">{text}</span>'
            elif piece.source:
                text = f'<span data-source="{_escape(piece.source)}">{text}</span>'
            if piece.italic:
                text = f"<em>{text}</em>"
            if piece.bold:
                text = f"<strong>{text}</strong>"
            out.append(text)
        return "".join(out)

    def case(self) -> str:
        caption = self.agreement.caption
        out = []
        for filer in caption.filers:
            lines = [self.inline(line) for line in filer.lines] + [_escape(filer.for_whom)]
            out.append(f"<p>{'<br>'.join(line for line in lines if line)}</p>")
        out.append(f'<p class="court">{_escape(caption_case(caption.county, self.numbering))}</p>')
        rows = (
            ("Branch", caption.branch),
            ("Petitioner", caption.petitioner),
            ("Respondent", caption.respondent),
            ("Case number", caption.case_number),
        )
        inner = "".join(f"<dt>{label}</dt><dd>{self.inline(content)}</dd>" for label, content in rows if content)
        return "".join(out) + f'<dl class="case">{inner}</dl>'

    def contents(self) -> str:
        entries = "".join(
            f'<li class="{section.kind}"><span class="number">{self.numbering[section.id].label}</span> '
            f'<a href="#{self.numbering[section.id].bookmark}">{_escape(plain(section.heading, self.numbering))}</a></li>'
            for section in self.agreement.sections
        )
        if not entries:
            return ""
        return f'<nav aria-labelledby="contents"><h2 id="contents">Contents</h2><ul>{entries}</ul></nav>'

    def heading(self, section: Section) -> str:
        entry = self.numbering[section.id]
        return (
            f'<h2 id="{entry.bookmark}"><span class="number">{entry.label}</span> {self.inline(section.heading)}</h2>'
        )

    def section(self, section: Section) -> str:
        entry = self.numbering[section.id]
        heading = self.heading(section)
        blocks = "\n".join(self.block(block, 0) for block in section.blocks)
        return f'<section class="{section.kind}" aria-labelledby="{entry.bookmark}">\n{heading}\n{blocks}\n</section>'

    def block(self, block: Block, level: int) -> str:
        match block:
            case Paragraph():
                return self.paragraph(block)
            case Plain():
                kind = f"{block.kind} " if block.kind != "text" else ""
                return f'<p class="{kind}under-{level}" id="{self.numbering[block.id].bookmark}">{self.inline(block.content)}</p>'
            case Table():
                return self.table(block, level)
            case Signature():
                return self.signature(block)

    def paragraph(self, block: Paragraph) -> str:
        entry = self.numbering[block.id]
        after = stop(block.heading, self.numbering)
        head = f"<strong>{self.inline(block.heading)}{after.rstrip()}</strong> " if block.heading else ""
        own = (
            f'<p class="numbered level-{block.level}" id="{entry.bookmark}"><span class="number">{entry.label}</span>'
            f"{head}{self.inline(block.content)}</p>"
        )
        return "\n".join((own, *(self.block(child, block.level) for child in block.children)))

    def table(self, table: Table, level: int) -> str:
        rows = (table.header, *(row.cells for row in table.rows), *((table.total.cells,) if table.total else ()))
        columns = max(len(cells) for cells in rows)
        head = "".join(self.cell(table, table.header, n, "th", "col") for n in range(columns))
        body = "\n".join(self.row(table, row, columns) for row in table.rows)
        foot = f"<tfoot>{self.row(table, table.total, columns)}</tfoot>" if table.total else ""
        return (
            f'<div class="scroll under-{level}" role="region" tabindex="0" aria-label="{_escape(plain(table.caption, self.numbering))}">'
            f'<table id="{self.numbering[table.id].bookmark}">\n<caption>{self.inline(table.caption)}</caption>\n'
            f"<thead><tr>{head}</tr></thead>\n<tbody>\n{body}\n</tbody>{foot}</table></div>"
        )

    def row(self, table: Table, row: Row, columns: int) -> str:
        first = self.cell(table, row.cells, 0, "th", "row")
        rest = "".join(self.cell(table, row.cells, n, "td", "") for n in range(1, columns))
        anchor = f' id="{self.numbering[row.id].bookmark}"' if row.id else ""
        return f"<tr{anchor}>{first}{rest}</tr>"

    def cell(self, table: Table, cells: tuple[tuple[Inline, ...], ...], n: int, tag: str, scope: str) -> str:
        align = table.align[n] if n < len(table.align) else "left"
        kind = f' class="{align}"' if align != "left" else ""
        reach = f' scope="{scope}"' if scope else ""
        return f"<{tag}{reach}{kind}>{self.inline(cells[n]) if n < len(cells) else ''}</{tag}>"

    def signature(self, block: Signature) -> str:
        lines = block.lines or ("Date",)
        statement = f'<p class="wide">{self.inline(block.statement)}</p>' if block.statement else ""
        capacity = f'<p class="who">{self.inline(block.capacity)}</p>' if block.capacity else ""
        more = "".join(f'<p class="who line">{_escape(line)}:</p>' for line in lines[1:])
        return (
            f'<div class="signature" id="{self.numbering[block.id].bookmark}">{statement}'
            f'<p class="line">{_escape(lines[0])}:</p><p class="line" aria-hidden="true"></p>'
            f'<p class="who"><strong>{self.inline(block.name)}</strong></p>{capacity}{more}</div>'
        )
