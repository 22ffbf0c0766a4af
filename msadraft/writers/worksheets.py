"""The worksheets of a packet: one HTML page for all, a DOCX for each form, CSV and JSON. Each carries the mark.

A worksheet lists the items of a form in its own plain table. It does not look like the form, so that nobody files it.
The same packet gives the same bytes.
"""

from __future__ import annotations

import csv
import html
import io
import re
from collections.abc import Callable, Iterable, Iterator
from datetime import date
from typing import Any

from msadraft.attachments.items import by_confidence
from msadraft.attachments.packet import BOXES, AnswerChange, Packet, Remark, Worksheet, WorksheetLine
from msadraft.facts.problems import Place
from msadraft.figures.counting import short
from msadraft.writers.data import write_lines
from msadraft.writers.inline import clean
from msadraft.writers.landscape import WorkingPaper
from msadraft.writers.paragraph_map import safe_cell
from msadraft.writers.stamp import NOT_READY

NOT_A_FORM = "A worksheet for filling in the official form by hand. It is not the form: do not file it."
CAUTIONS = (
    "The mark names the version. When the agreement changes, make the worksheets anew before a form is filled in.",
    "Compare the printing named here with the date at the foot of the form in hand; where they differ, items may have moved.",
    "Court rules, the local court and the printed form prevail over this worksheet. It is a drafting aid, not legal advice.",
)
SEVERITIES = {"stop": "Stops filing", "warn": "Look at this", "note": "Worth knowing"}
PACKAGINGS = {
    "agreement_only": "The agreement alone stands behind the judgment form.",
    "hybrid": "The agreement and the attachment forms that point to it stand behind the judgment form.",
    "forms_only": "The forms stand alone; no agreement is attached, so where a line says “Write out” its words have to be copied.",
}
NO_AGREEMENT = "There is no agreement: the forms stand alone and carry every term, as the petition asked for it."
SURE = {"confirmed": "confirmed", "single": "read once", "memory": "from memory"}
"""How sure the data are about an item, in words."""
COPY_THEM = "The words of those paragraphs, copied out"
POINT_THERE = "The words beside this"
_GROUPS = ("assets", "debts", "children", "parenting.holidays", "parenting.exchanges")
_FEW = 3
"""Above so many records of one group only the group is named."""
_MAY_BREAK = "\u200b"
QUIET = ("leave", "blank", "printed")
"""Boxes that ask for nothing."""

CSV_COLUMNS = (
    "mark", "form", "revision", "copy", "item", "label", "box", "answer", "pointer", "paragraph_ids", "facts", "missing",
    "confidence", "source", "ruled", "remarks",
)  # fmt: skip
_COLUMNS = (
    ("Item", 1250), ("Asks for", 2350), ("Do", 1150), ("What to write", 3850), ("Paragraphs", 2200), ("From / how sure", 2880),
)  # fmt: skip
Places = Callable[[str], Place]


def write_csv(packet: Packet) -> bytes:
    """Give all worksheets as CSV (RFC 4180, UTF-8), one line for each item. No cell can act as a formula."""
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer)
    writer.writerow(CSV_COLUMNS)
    for sheet in packet.worksheets:
        for line in sheet.lines:
            cells = (
                packet.mark, sheet.form, sheet.revision, sheet.who, line.item, line.label, line.box, line.answer, line.pointer,
                " ".join(line.ids), " ".join(line.facts), " ".join(line.missing), line.confidence, line.source,
                "yes" if line.ruled else "no", "; ".join(_remark(r) for r in line.remarks),
            )  # fmt: skip
            writer.writerow([safe_cell(cell) for cell in cells])
    return buffer.getvalue().encode()


def packet_data(packet: Packet, place: Places) -> dict[str, Any]:
    """Give the packet as plain data; each remark with the place in the facts."""
    return {
        "mark": packet.mark,
        "title": packet.title,
        "path": packet.path,
        "confidence": by_confidence(line.confidence for sheet in packet.worksheets for line in sheet.lines),
        "packaging": packet.packaging,
        "ready": packet.ready,
        "uncovered": list(packet.uncovered),
        "stops": [f"{_where(s, line)}: {r.says}" for s, line, r in packet.stops],
        "forms": [
            {
                "form": sheet.form,
                "revision": sheet.revision,
                "title": sheet.title,
                "copy": sheet.who,
                "status": sheet.status,
                "optional": sheet.optional,
                "pages": sheet.pages,
                "why": sheet.why,
                "caution": sheet.caution,
                "confidence": by_confidence(line.confidence for line in sheet.lines),
                "remarks": [_remark_data(r, place) for r in sheet.remarks],
                "items": [_line_data(line, place) for line in sheet.lines],
            }
            for sheet in packet.worksheets
        ],
    }


def _line_data(line: WorksheetLine, place: Places) -> dict[str, Any]:
    return {
        "item": line.item,
        "label": line.label,
        "kind": line.kind,
        "use": line.use,
        "box": line.box,
        "answer": line.answer,
        "pointer": line.pointer,
        "ids": list(line.ids),
        "topics": list(line.topics),
        "facts": [{"path": path, "line": _line_of(path, place)} for path in line.facts],
        "missing": list(line.missing),
        "confidence": line.confidence,
        "source": line.source,
        "ruled": line.ruled,
        "remarks": [_remark_data(r, place) for r in line.remarks],
    }


def _remark_data(remark: Remark, place: Places) -> dict[str, Any]:
    return {
        "severity": remark.severity,
        "says": remark.says,
        "mend": remark.mend,
        "fact": remark.fact,
        "line": _line_of(remark.fact, place),
    }


def _line_of(path: str, place: Places) -> int | None:
    return place(path).line if path and not path.startswith("figures.") else None


def write_packet_json(packet: Packet, place: Places) -> bytes:
    """Give the packet as JSON (UTF-8), a line for each form."""
    return write_lines(packet_data(packet, place), "forms").encode()


def docx_name(sheet: Worksheet) -> str:
    """The file name of one worksheet: fl-341a.docx, fl-141-petitioner.docx."""
    form = re.sub(r"[^a-z0-9-]", "", sheet.form.lower())
    return f"{form}-{sheet.who}.docx" if sheet.who else f"{form}.docx"


def write_worksheet_docx(sheet: Worksheet, packet: Packet) -> bytes:
    """Give one worksheet as DOCX, letter paper across. While a finding stops signing every page says so."""
    warning = "" if packet.ready and not packet.stops else NOT_READY
    paper = WorkingPaper(f"Worksheet for {_heading(sheet)}", packet.mark, warning)
    paper.line(NOT_A_FORM, bold=True)
    for text in (*_about(sheet), *(_remark(r) for r in sheet.remarks), *CAUTIONS):
        paper.bullet(text)
    paper.table(_COLUMNS, (_cells(line) for line in sheet.lines))
    paper.line("The item names are our own words, not those of the form.", before=160)
    return paper.save()


def _cells(line: WorksheetLine) -> tuple[str, ...]:
    answer = [_answer(line), *(_remark(r) for r in line.remarks)]
    paths = () if line.box in QUIET else grouped(line.facts)
    source = [SURE[line.confidence], *(path.replace(".", f".{_MAY_BREAK}") for path in paths)]
    return (
        line.item,
        line.label,
        BOXES[line.box],
        "\n".join(a for a in answer if a),
        line.pointer,
        "\n".join(source),
    )


def _answer(line: WorksheetLine) -> str:
    """The answer; for a line that only points, which words to write."""
    if line.answer or line.box != "write":
        return line.answer or (line.advice if line.box == "by_eye" else "")
    return COPY_THEM if line.pointer.startswith("Write out") else POINT_THERE


def _about(sheet: Worksheet) -> Iterator[str]:
    yield f"Why it is here: {sheet.why}"
    standing = {"mandatory": "mandatory form", "optional": "optional form", "federal": "federal form", "": "form"}[
        sheet.status
    ]
    yield f"Printing: {_printing(sheet.revision)}, {standing}{'; the packet may do without it' if sheet.optional else ''}."
    if sheet.caution:
        yield f"About our data: {sheet.caution}"


def _packaging(packet: Packet) -> str:
    return NO_AGREEMENT if packet.path == "default" else PACKAGINGS[packet.packaging]


def _printing(revision: str) -> str:
    try:
        return short(date.fromisoformat(revision))
    except ValueError:
        return "not known" if revision == "unconfirmed" else revision


def _heading(sheet: Worksheet) -> str:
    copy = f", {sheet.who}'s {sheet.copy_of}" if sheet.who else ""
    return f"{sheet.form}, {sheet.title}{copy}"


def _remark(remark: Remark) -> str:
    return f"{SEVERITIES[remark.severity]}: {remark.says}{f' {remark.mend}' if remark.mend else ''}"


def _where(sheet: Worksheet, line: WorksheetLine | None) -> str:
    return f"{sheet.name}, item {line.item}" if line else sheet.name


def screen_lines(packet: Packet) -> list[str]:
    """Give the packet as lines for a terminal: the forms with their counts, then what to heed."""
    lines = [f"{packet.mark}  {_packaging(packet)}", ""]
    for sheet in packet.worksheets:
        counts = {box: sum(line.box == box for line in sheet.lines) for box in BOXES}
        told = ", ".join(f"{n} {BOXES[box].lower()}" for box, n in counts.items() if n)
        lines.append(f"{sheet.name:<20} {sheet.revision:<12} {'may be left out; ' if sheet.optional else ''}{told}")
    for severity in ("stop", "warn"):
        found = [(s, line, r) for s, line, r in packet.remarks if r.severity == severity]
        if found:
            lines += ["", f"{SEVERITIES[severity]} ({len(found)}):"]
            lines += [
                f"  {_where(s, line)}: {r.says}{f' {r.mend}' if r.mend else ''}{f' [{r.fact}]' if r.fact else ''}"
                for s, line, r in found
            ]
    sure = by_confidence(line.confidence for sheet in packet.worksheets for line in sheet.lines)
    lines += ["", f"How sure: {', '.join(f'{n} {SURE[confidence]}' for confidence, n in sure.items())}."]
    if packet.uncovered:
        lines += ["", f"Terms that no item of these forms carries: {', '.join(packet.uncovered)}"]
    return lines


def change_lines(mark: str, changed: Iterable[AnswerChange], remade: str = "") -> list[str]:
    """Give the answers that changed since an earlier version as lines for a terminal."""
    found = list(changed)
    lines = ["", f"Changed since {mark}: {len(found)}"] + ([remade] if remade else [])
    for change in found:
        lines.append(f"  {change.form}{f' item {change.item}' if change.item else ''} ({change.label})")
        lines += [f"    before: {change.before}"] if change.before else []
        lines += [f"    now:    {change.now}"]
    return lines


_STYLE = """
:root { color-scheme: light dark; --ink: #1b1d22; --paper: #fff; --quiet: #5a606b; --rule: #cdd1d8; --shade: #f3f4f6;
  --alarm: #8f1616; --heed: #7a4b00; --do: #174d2b; --link: #1a4b8c; }
@media (prefers-color-scheme: dark) { :root { --ink: #e6e7ea; --paper: #17191d; --quiet: #a4aab5; --rule: #434851;
  --shade: #21242a; --alarm: #ff9c9c; --heed: #f2c277; --do: #a5dcb6; --link: #9cc3ff; } }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 1rem/1.45 system-ui, "Liberation Sans", Arial, sans-serif;
  overflow-wrap: anywhere; }
header, nav, main, footer { max-width: 78rem; margin: 0 auto; padding: 0 1.25rem; }
h1 { font-size: 1.5rem; margin: 1.5rem 0 .5rem; } h2 { font-size: 1.2rem; margin: 2.5rem 0 .25rem; }
h3 { font-size: 1rem; margin: 1.25rem 0 .25rem; }
a { color: var(--link); } a:focus-visible, .scroll:focus-visible { outline: 3px solid var(--link); outline-offset: 2px; }
.skip { position: absolute; left: -100rem; } .skip:focus { left: 1rem; top: 1rem; background: var(--paper); padding: .5rem; }
.banner { border: 2px solid var(--alarm); color: var(--alarm); font-weight: 600; padding: .5rem .75rem; }
.mark { font-variant-numeric: tabular-nums; color: var(--quiet); } .about { color: var(--quiet); margin: .15rem 0; }
nav ul { display: flex; flex-wrap: wrap; gap: .35rem 1.1rem; padding: 0; list-style: none; }
.stop { color: var(--alarm); font-weight: 600; } .warn { color: var(--heed); } .note { color: var(--quiet); }
.remark { display: block; margin-top: .25rem; }
.scroll { overflow-x: auto; margin: .75rem 0 0; }
table { border-collapse: collapse; width: 100%; min-width: 56rem; table-layout: fixed; font-size: .9375rem; }
caption { text-align: left; color: var(--quiet); padding: .25rem 0; }
th, td { text-align: left; vertical-align: top; padding: .4rem .5rem; border-top: 1px solid var(--rule); font-weight: 400; }
thead th { font-weight: 600; background: var(--shade); border-bottom: 1px solid var(--ink); }
tbody th { font-weight: 600; } tr.quiet td, tr.quiet th { color: var(--quiet); font-weight: 400; }
.do { font-weight: 600; } tr.act .do { color: var(--do); } tr.hand .do, tr.by_eye .do { color: var(--heed); }
.answer { white-space: pre-line; } .from { font-size: .8125rem; color: var(--quiet); }
col.item { width: 10%; } col.asks { width: 19%; } col.do { width: 9%; } col.answer { width: 28%; } col.paragraphs { width: 19%; }
footer { color: var(--quiet); border-top: 1px solid var(--rule); margin-top: 3rem; padding-top: .75rem; padding-bottom: 2rem; }
@media print {
  :root { --ink: #000; --paper: #fff; --quiet: #444; --rule: #999; --shade: #eee; --alarm: #8f1616; --heed: #5c3900; --do: #000; }
  @page { size: letter landscape; margin: .6in; } body { font-size: 9.5pt; } table { min-width: 0; font-size: 8.5pt; }
  section.form { break-before: page; } tr { break-inside: avoid; } thead { display: table-header-group; }
  .scroll { overflow: visible; } nav, .skip { display: none; } header, main, footer { max-width: none; padding: 0; }
}
"""


def write_packet_html(packet: Packet, place: Places) -> str:
    """Give all worksheets as one self-contained page without script, a section for each form."""
    ready = packet.ready and not packet.stops
    banner = "" if ready else f'<p class="banner" role="note">{_e(NOT_READY)}</p>\n'
    entries = "".join(f'<li><a href="#{_anchor(s)}">{_e(s.name)}</a></li>' for s in packet.worksheets)
    sections = "\n".join(_form(sheet, place) for sheet in packet.worksheets)
    cautions = "".join(f"<li>{_e(text)}</li>" for text in CAUTIONS)
    title = f"Worksheets: {packet.title}"
    return (
        '<!DOCTYPE html>\n<html lang="en-US">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
        f'<meta name="generator" content="msadraft">\n<title>{_e(title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n'
        f'<a class="skip" href="#forms">Skip to the worksheets</a>\n<header>\n<h1>{_e(title)}</h1>\n'
        f'<p class="mark">{_e(packet.mark)}</p>\n{banner}<p><strong>{_e(NOT_A_FORM)}</strong></p>\n'
        f"<p>{_e(_packaging(packet))}</p>\n<ul>{cautions}</ul>\n</header>\n"
        f'<nav aria-label="Forms"><ul>{entries}</ul></nav>\n<main id="forms">\n{_heed(packet)}{sections}\n</main>\n'
        f'<footer><p class="mark">{_e(packet.mark)}</p></footer>\n</body>\n</html>\n'
    )


def _heed(packet: Packet) -> str:
    found = [entry for entry in packet.remarks if entry[2].severity != "note"]
    items = [
        f'<li class="{r.severity}"><a href="#{_anchor(s, line)}">{_e(_where(s, line))}</a>: {_e(_remark(r))}</li>'
        for s, line, r in found
    ]
    if packet.uncovered:
        items.append(
            f'<li class="warn">Terms that no item of these forms carries: {_e(", ".join(packet.uncovered))}</li>'
        )
    if not items:
        return ""
    return f'<section aria-labelledby="heed"><h2 id="heed">Before filing</h2><ul>{"".join(items)}</ul></section>\n'


def _form(sheet: Worksheet, place: Places) -> str:
    about = "".join(f'<p class="about">{_e(text)}</p>' for text in _about(sheet))
    remarks = "".join(f'<p class="{r.severity}">{_e(_remark(r))}</p>' for r in sheet.remarks)
    rows = "\n".join(_row(sheet, line, place) for line in sheet.lines)
    names = ("item", "asks", "do", "answer", "paragraphs", "from")
    columns = "".join(f'<col class="{name}">' for name in names)
    heads = "".join(f'<th scope="col">{name}</th>' for name, _ in _COLUMNS)
    anchor = _anchor(sheet)
    return (
        f'<section class="form" aria-labelledby="{anchor}">\n<h2 id="{anchor}">{_e(_heading(sheet))}</h2>\n{about}{remarks}\n'
        f'<div class="scroll" role="region" tabindex="0" aria-label="{_e(sheet.name)}"><table>\n'
        f"<caption>Items of {_e(sheet.name)} in their own order; names in our words</caption>\n<colgroup>{columns}</colgroup>\n"
        f"<thead><tr>{heads}</tr></thead>\n<tbody>\n{rows}\n</tbody></table></div>\n</section>"
    )


def _row(sheet: Worksheet, line: WorksheetLine, place: Places) -> str:
    kind = "quiet" if line.box in QUIET else "act" if line.box in ("check", "write") else line.box
    remarks = "".join(f'<span class="remark {r.severity}">{_e(_remark(r))}</span>' for r in line.remarks)
    sources = "" if line.box in QUIET else "; ".join(_source(path, place) for path in grouped(line.facts))
    return (
        f'<tr class="{kind}" id="{_anchor(sheet, line)}"><th scope="row">{_e(line.item)}</th><td>{_e(line.label)}</td>'
        f'<td class="do">{BOXES[line.box]}</td><td><span class="answer">{_e(_answer(line))}</span>{remarks}</td>'
        f'<td>{_e(line.pointer)}</td><td class="from">{SURE[line.confidence]}{"; " if sources else ""}{_e(sources)}</td></tr>'
    )


def grouped(paths: Iterable[str]) -> tuple[str, ...]:
    """Give paths with those of one record drawn together (petitioner.attorney), and many records of one group as the group."""
    found = list(dict.fromkeys(paths))
    parents = [path.rpartition(".")[0] for path in found]
    single = ("", "case", "figures", "petitioner", "respondent", "children", "assets", "debts")
    shown = dict.fromkeys(p if g in single or parents.count(g) == 1 else g for p, g in zip(found, parents, strict=True))
    heads = {p: next((g for g in _GROUPS if p.startswith(f"{g}.")), p) for p in shown}
    many = {g for g in _GROUPS if sum(head == g for head in heads.values()) > _FEW}
    return tuple(dict.fromkeys(heads[p] if heads[p] in many else p for p in shown))


def _source(path: str, place: Places) -> str:
    line = _line_of(path, place)
    return f"{path} (line {line})" if line else path


def _anchor(sheet: Worksheet, line: WorksheetLine | None = None) -> str:
    parts: Iterable[str] = (sheet.form, sheet.who, line.item if line else "")
    return "-".join(re.sub(r"[^a-z0-9]+", "-", part.lower()).strip("-") for part in parts if part)


def _e(text: str) -> str:
    return html.escape(clean(text))
