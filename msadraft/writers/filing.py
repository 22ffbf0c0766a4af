"""The filing list and the checks before filing: as one page to read, and as rows for CSV and JSON."""

from __future__ import annotations

import csv
import html
import io
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from msadraft.attachments.filing import PLACES, ROUTES, STANDINGS, FilingList, Paper, Step
from msadraft.figures.counting import short
from msadraft.review.checks import OUTCOMES, CheckLine, counts
from msadraft.writers.inline import clean
from msadraft.writers.paragraph_map import safe_cell
from msadraft.writers.stamp import Stamp

_STYLE = """
:root { color-scheme: light dark; --ink: #16181d; --paper: #ffffff; --quiet: #565b66; --rule: #d4d7dd; --shade: #f1f2f4;
  --alarm: #8f1616; --good: #1d5c2f; --look: #7a5200; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e7e8ea; --paper: #17191d; --quiet: #a9aeb8; --rule: #3c414b; --shade: #22252b; --alarm: #ff9c9c;
    --good: #8fd6a3; --look: #f0c36d; }
}
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 1rem/1.45 "Times New Roman", Times, serif; }
main, header, footer { max-width: 66rem; margin: 0 auto; padding: 0 1.25rem; }
h1 { font-size: 1.5rem; margin: 2rem 0 .25rem; } h2 { font-size: 1.2rem; margin: 2.25rem 0 .5rem; }
.mark, footer, .source, .quiet { color: var(--quiet); font-size: .9rem; }
.banner { border: 2px solid var(--alarm); color: var(--alarm); font-weight: bold; padding: .5rem .75rem; }
.scroll { overflow-x: auto; }
table { width: 100%; border-collapse: collapse; }
caption { text-align: left; color: var(--quiet); font-size: .9rem; padding-bottom: .25rem; }
th { text-align: left; font-weight: normal; color: var(--quiet); font-size: .9rem; }
td, th { padding: .35rem .6rem .35rem 0; vertical-align: top; }
td { border-top: 1px solid var(--rule); }
tr.group td { background: var(--shade); font-weight: bold; padding-left: .4rem; }
.n { text-align: right; white-space: nowrap; }
.check-open, .step-overdue { color: var(--alarm); font-weight: bold; } .check-clear, .step-done { color: var(--good); }
.check-eye { color: var(--look); } .step-open { font-weight: bold; } .row-not_here { color: var(--quiet); }
address { font-style: normal; }
@media print { body { font-size: 9.5pt; } tr { break-inside: avoid; } h2 { break-after: avoid; } }
"""

_PAPER_HEAD = ("Paper", "Signed by", "Original", "Copies", "To the clerk", "Standing", "Source")
_STEP_HEAD = ("Step", "Standing", "Day", "Note", "Source")
_CHECK_HEAD = ("No.", "Check", "Standing", "Why", "Still to look at", "Source")
_ENVELOPE_HEAD = ("To", "Address", "Size", "Upper corner", "For", "Source")


def write_filing_html(filing: FilingList, checks: Sequence[CheckLine], stamp: Stamp) -> str:
    """Give one page: where the case stands, what is filed, the envelopes, and the checks. It loads nothing."""
    banner = "" if stamp.ready else f'<p class="banner" role="note">{_escape(stamp.not_ready_text)}</p>\n'
    cautions = "".join(f"<li>{_escape(caution)}</li>" for caution in filing.cautions)
    parts = (
        _table("steps", "Steps, in order", _STEP_HEAD, (_step(step) for step in filing.steps)),
        _table("papers", "Papers", _PAPER_HEAD, _papers(filing)),
        _table("envelopes", "Stamped envelopes", _ENVELOPE_HEAD, _envelopes(filing)),
        _checks(checks) if checks else "",
    )
    body = "\n".join(part for part in parts if part)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Filing list</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n<header>\n<h1>Filing list</h1>\n"
        f'<p class="mark">{_escape(stamp.mark)}</p>\n{banner}<p>Route: {_escape(ROUTES[filing.route])}.</p>\n'
        f"<p>{_escape(filing.standing)}</p>\n<ul>{cautions}</ul>\n</header>\n<main>\n{body}\n</main>\n"
        f"<footer><p>{_escape(stamp.mark)}</p></footer>\n</body>\n</html>\n"
    )


def _table(key: str, title: str, head: Sequence[str], rows: Iterable[str], caption: str = "") -> str:
    cells = "".join(f'<th scope="col">{name}</th>' for name in head)
    said = f"<caption>{caption}</caption>" if caption else ""
    return (
        f'<section aria-labelledby="{key}">\n<h2 id="{key}">{title}</h2>\n'
        f'<div class="scroll" role="region" tabindex="0" aria-label="{title}"><table>{said}<thead><tr>{cells}</tr></thead>\n'
        f"<tbody>\n{chr(10).join(rows)}\n</tbody></table></div>\n</section>"
    )


def _step(step: Step) -> str:
    counting = f'<br><span class="quiet">{_escape(step.counting)}</span>' if step.counting else ""
    return (
        f'<tr><td>{_escape(step.what)}</td><td class="step-{step.standing}">{STANDINGS[step.standing]}</td>'
        f"<td>{_escape(_days(step))}</td><td>{_escape(step.says)}{counting}</td>"
        f'<td class="source">{_escape(step.source)}</td></tr>'
    )


def _days(step: Step) -> str:
    if step.done_on:
        return short(step.done_on)
    said = [f"from {short(step.earliest)}" if step.earliest else "", f"by {short(step.latest)}" if step.latest else ""]
    return ", ".join(part for part in said if part)


def _papers(filing: FilingList) -> Iterable[str]:
    for place, title in PLACES.items():
        group = [paper for paper in filing.papers if paper.place == place]
        if group:
            yield f'<tr class="group"><td colspan="{len(_PAPER_HEAD)}">{title}</td></tr>'
            yield from (_paper(paper) for paper in group)


def _paper(paper: Paper) -> str:
    note = f'<br><span class="quiet">{_escape(paper.note)}</span>' if paper.note else ""
    notary = f"<br>{_escape(paper.notarized)}" if paper.notarized else ""
    return (
        f"<tr><td>{_escape(paper.name)}{note}</td><td>{_escape(', '.join(paper.signers))}{notary}</td>"
        f'<td class="n">{paper.originals}</td><td class="n">{paper.copies}</td><td class="n">{_escape(_handed(paper))}</td>'
        f'<td>{_escape(paper.standing)}</td><td class="source">{_escape(paper.source)}</td></tr>'
    )


def _handed(paper: Paper) -> str:
    if paper.place in ("serve", "keep"):
        return "none"
    return f"{paper.originals} + {paper.handed_in}"


def _envelopes(filing: FilingList) -> Iterable[str]:
    for envelope in filing.envelopes:
        lines = "<br>".join(_escape(line) for line in envelope.address) or _escape(envelope.why_blank)
        yield (
            f"<tr><td>{envelope.to.capitalize()}</td><td><address>{lines}</address></td><td>{envelope.size}</td>"
            f"<td>{_escape(envelope.back)}</td><td>{_escape(envelope.purpose)}</td>"
            f'<td class="source">{_escape(envelope.source)}</td></tr>'
        )


def _checks(checks: Sequence[CheckLine]) -> str:
    found = counts(checks)
    said = (
        f"{len(checks)} checks: {found['open']} open, {found['clear']} in order, {found['eye']} to look at, "
        f"{found['not_here']} that do not apply here. An open one may bring the packet back; one in order is so as far as "
        "the facts and the worksheets tell."
    )

    def rows() -> Iterable[str]:
        area = ""
        for line in checks:
            if line.area != area:
                area = line.area
                yield f'<tr class="group"><td colspan="{len(_CHECK_HEAD)}">{_escape(area)}</td></tr>'
            yield (
                f'<tr class="row-{line.outcome}"><td class="n">{line.id}</td><td>{_escape(line.what)}</td><td class="check-{line.outcome}">'
                f"{_escape(OUTCOMES[line.outcome])}</td><td>{_escape(line.says)}</td><td>{_escape(line.eye)}</td>"
                f'<td class="source">{_escape(line.source)}</td></tr>'
            )

    return _table("checks", "Checks before filing", _CHECK_HEAD, rows(), said)


def _escape(text: str) -> str:
    return html.escape(clean(text))


# Rows for CSV and JSON


def filing_rows(filing: FilingList) -> list[dict[str, str]]:
    """Give the steps, papers and envelopes as rows with the same columns; `kind` says which one a row is."""
    rows = [
        _row("step", s.key, s.what, "", STANDINGS[s.standing], _iso(s.done_on), _iso(s.earliest), _iso(s.latest), s.says, s.source)
        for s in filing.steps
    ]  # fmt: skip
    for p in filing.papers:
        said = " ".join(text for text in (p.notarized, p.note) if text)
        row = _row("paper", p.key, p.title, p.form, p.standing, "", "", "", said, p.source)
        row |= {
            "place": PLACES[p.place],
            "signers": ", ".join(p.signers),
            "originals": str(p.originals),
            "copies": str(p.copies),
            "copies to the clerk": str(p.handed_in),
        }
        rows.append(row)
    for e in filing.envelopes:
        said = f"{e.size.capitalize()}; upper corner: {e.back}. {e.why_blank}".strip()
        row = _row("envelope", e.key, e.purpose, "", "", "", "", "", said, e.source)
        rows.append(row | {"to": e.to, "address": "\n".join(e.address)})
    return rows


def write_rows_csv(mark: str, rows: Sequence[Mapping[str, str]]) -> bytes:
    """Give rows as CSV (RFC 4180, UTF-8) with the mark first on each line. No cell can act as a formula."""
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer)
    writer.writerow(("mark", *(rows[0] if rows else ())))
    writer.writerows([safe_cell(cell) for cell in (mark, *row.values())] for row in rows)
    return buffer.getvalue().encode()


def _row(
    kind: str, key: str, what: str, form: str, standing: str, done: str, earliest: str, latest: str, note: str, source: str
) -> dict[str, str]:  # fmt: skip
    return {
        "kind": kind, "key": key, "form": form, "what": what, "place": "", "signers": "", "originals": "", "copies": "",
        "copies to the clerk": "", "to": "", "address": "", "standing": standing, "done on": done, "not before": earliest,
        "not after": latest, "note": note, "source": source,
    }  # fmt: skip


def check_rows(checks: Iterable[CheckLine]) -> list[dict[str, str]]:
    """Give the checks as rows."""
    return [
        {
            "check": c.id, "area": c.area, "what": c.what, "severity": c.severity, "outcome": c.outcome,
            "why": c.says, "still to look at": c.eye, "findings": ", ".join(dict.fromkeys(c.findings)), "source": c.source,
        }
        for c in checks
    ]  # fmt: skip


def _iso(day: date | None) -> str:
    return day.isoformat() if day else ""
