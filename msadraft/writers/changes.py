"""What changed between two rounds, as a page to read (Markdown, HTML) and as data (JSON). It decides nothing."""

from __future__ import annotations

import html
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from msadraft.writers.data import write_json

CAUTION = (
    "This list is for the file of the one who drafts: it names facts that the paper does not print. Read it before you "
    "pass it on. It is a drafting aid and not legal advice; the official forms and the paper itself prevail."
)
KEPT_BACK = "(not shown)"


@dataclass(frozen=True, slots=True)
class Term:
    """A fact that changed. `difference` is new less old for money; restricted facts are named without their values."""

    path: str
    says: str
    old: str
    new: str
    difference: str = ""


@dataclass(frozen=True, slots=True)
class Cause:
    """A fact or figure that a clause's condition reads, and that changed."""

    path: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class ClauseChange:
    """Clauses that came, went, or took another's place, with what turned their conditions."""

    kind: str
    old: tuple[str, ...]
    new: tuple[str, ...]
    because: tuple[Cause, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Renumbered:
    """A paragraph whose words stayed and whose number changed."""

    id: str
    heading: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class Reworded:
    """A paragraph whose words changed. `facts` are those shown in it that changed."""

    id: str
    heading: str
    old_number: str
    new_number: str
    old: str
    new: str
    facts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Whole:
    """A paragraph that came or went."""

    id: str
    heading: str
    number: str


@dataclass(frozen=True, slots=True)
class FormItem:
    """An item of a court form that must be filled again, and why."""

    form: str
    revision: str
    item: str
    label: str
    old: str
    new: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FigureMove:
    """A figure that moved, and by how much where it is a number."""

    name: str
    title: str
    old: str
    new: str
    difference: str = ""


@dataclass(frozen=True, slots=True)
class Offer:
    """A fact on which the sides still differ: what each offers, and what the paper says now."""

    path: str
    says: str
    petitioner: str
    respondent: str
    now: str
    round: str


@dataclass(frozen=True, slots=True)
class Changes:
    """All that changed between two versions."""

    old_mark: str
    new_mark: str
    terms: tuple[Term, ...]
    clauses: tuple[ClauseChange, ...]
    came: tuple[Whole, ...]
    went: tuple[Whole, ...]
    reworded: tuple[Reworded, ...]
    renumbered: tuple[Renumbered, ...]
    forms: tuple[FormItem, ...]
    figures: tuple[FigureMove, ...]
    offers: tuple[Offer, ...]
    notes: tuple[str, ...] = ()

    @property
    def any(self) -> bool:
        """Whether anything changed."""
        return any(
            (self.terms, self.clauses, self.came, self.went, self.reworded, self.renumbered, self.forms, self.figures)
        )


@dataclass(frozen=True, slots=True)
class _Part:
    """One part of the page: a title, a table, and what to say if there is nothing."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    nothing: str


def write_changes_json(changes: Changes) -> str:
    """Give the changes as JSON."""
    return write_json(changes)


def write_changes(changes: Changes) -> str:
    """Give the changes as Markdown."""
    lines = ["# Changes", "", f"From {changes.old_mark} to {changes.new_mark}.", "", _summary(changes), ""]
    lines += [f"- {_plain_markdown(note)}" for note in changes.notes]
    if changes.notes:
        lines.append("")
    for part in _parts(changes):
        lines += [f"## {part.title} ({len(part.rows)})", ""]
        if part.rows:
            lines += [_markdown_row(part.head), _markdown_row(["---"] * len(part.head), escape=False)]
            lines += [_markdown_row(row) for row in part.rows]
        else:
            lines.append(part.nothing)
        lines.append("")
    return "\n".join([*lines, CAUTION, ""])


def write_changes_html(changes: Changes) -> str:
    """Give the changes as one HTML page without scripts or outside parts."""
    out = [
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>Changes</title><style>',
        "body{font:15px/1.5 Georgia,'Times New Roman',serif;max-width:62rem;margin:2rem auto;padding:0 1rem;color:#1c1c1c}",
        "h2{font-size:1.1rem;margin-top:2rem}table{border-collapse:collapse;width:100%}th,td{text-align:left;vertical-align:top;"
        "padding:.3rem .6rem;border-bottom:1px solid #d5d5d5;overflow-wrap:anywhere}th{font-weight:600;border-bottom-color:#767676}",
        "</style></head><body><main>",
        f"<h1>Changes</h1><p>From {_html(changes.old_mark)} to {_html(changes.new_mark)}.</p><p>{_html(_summary(changes))}</p>",
    ]
    if changes.notes:
        out.append("<ul>" + "".join(f"<li>{_html(note)}</li>" for note in changes.notes) + "</ul>")
    for part in _parts(changes):
        out.append(f"<h2>{_html(part.title)} ({len(part.rows)})</h2>")
        if not part.rows:
            out.append(f"<p>{_html(part.nothing)}</p>")
            continue
        head = "".join(f'<th scope="col">{_html(cell)}</th>' for cell in part.head)
        rows = "".join("<tr>" + "".join(f"<td>{_html(c)}</td>" for c in row) + "</tr>" for row in part.rows)
        out.append(f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>")
    out.append(f"<p>{_html(CAUTION)}</p></main></body></html>\n")
    return "\n".join(out)


def screen_lines(changes: Changes) -> list[str]:
    """Give the changes in short for a terminal: the counts, the terms, and the form items to fill again."""
    lines = [f"From {changes.old_mark} to {changes.new_mark}", _summary(changes), *changes.notes]
    for term in changes.terms:
        difference = f" ({term.difference})" if term.difference else ""
        lines.append(f"  {term.path}: {term.old} -> {term.new}{difference}")
    if changes.forms:
        lines.append("Fill again:")
        lines += [f"  {item.form} item {item.item}: {'; '.join(item.reasons)}" for item in changes.forms]
    return lines


def _summary(changes: Changes) -> str:
    if not changes.any:
        return "Nothing changed."
    counts = (
        (len(changes.terms), "term"),
        (len(changes.clauses), "clause change"),
        (len(changes.reworded), "paragraph reworded", "paragraphs reworded"),
        (len(changes.came), "paragraph added", "paragraphs added"),
        (len(changes.went), "paragraph dropped", "paragraphs dropped"),
        (len(changes.renumbered), "paragraph only renumbered", "paragraphs only renumbered"),
        (len(changes.forms), "form item to fill again", "form items to fill again"),
        (len(changes.figures), "figure moved", "figures moved"),
    )
    return (
        ", ".join(
            f"{n} {words[0] if n == 1 else words[-1] if len(words) > 1 else words[0] + 's'}" for n, *words in counts
        )
        + "."
    )


def _parts(changes: Changes) -> Iterator[_Part]:
    yield _Part(
        "Terms that changed",
        ("Fact", "What it is", "Old", "New", "Difference"),
        tuple((t.path, t.says, t.old, t.new, t.difference) for t in changes.terms),
        "No fact changed.",
    )
    if changes.offers:
        yield _Part(
            "Still open between the sides",
            ("Fact", "What it is", "Petitioner offers", "Respondent offers", "In the paper now", "Round"),
            tuple((o.path, o.says, o.petitioner, o.respondent, o.now, o.round) for o in changes.offers),
            "",
        )
    yield _Part(
        "Clauses",
        ("Change", "Old", "New", "Because"),
        tuple((c.kind, ", ".join(c.old), ", ".join(c.new), _because(c)) for c in changes.clauses),
        "The same clauses as before.",
    )
    yield _Part(
        "Form items to fill again",
        ("Form", "Revision", "Item", "What it asks", "Why", "It pointed to", "It points to"),
        tuple((f.form, f.revision, f.item, f.label, "; ".join(f.reasons), f.old, f.new) for f in changes.forms),
        "No form item changed.",
    )
    yield _Part(
        "Paragraphs with other words",
        ("Old number", "New number", "Heading", "Facts", "Old", "New"),
        tuple((p.old_number, p.new_number, p.heading, ", ".join(p.facts), p.old, p.new) for p in changes.reworded),
        "None.",
    )
    yield _Part("Paragraphs added", ("Number", "Heading"), _named(changes.came), "None.")
    yield _Part("Paragraphs dropped", ("Old number", "Heading"), _named(changes.went), "None.")
    yield _Part(
        "Paragraphs that only changed their number",
        ("Old", "New", "Heading"),
        tuple((p.old, p.new, p.heading) for p in changes.renumbered),
        "None.",
    )
    yield _Part(
        "Figures that moved",
        ("Figure", "Old", "New", "Difference"),
        tuple((f.title, f.old, f.new, f.difference) for f in changes.figures),
        "No figure moved.",
    )


def _named(paragraphs: Sequence[Whole]) -> tuple[tuple[str, str], ...]:
    return tuple((p.number, p.heading or p.id) for p in paragraphs)


def _because(change: ClauseChange) -> str:
    said = [f"{c.path}: {c.old} -> {c.new}" for c in change.because]
    return "; ".join([*said, *([change.note] if change.note else [])])


def _markdown_row(cells: Sequence[str], escape: bool = True) -> str:
    return "| " + " | ".join(_plain_markdown(cell) if escape else cell for cell in cells) + " |"


def _plain_markdown(text: str) -> str:
    """Give text that Markdown shows as it is, on one line."""
    return "".join(f"\\{sign}" if sign in "\\`*_{}[]<>|#~" else sign for sign in " ".join(text.split()))


def _html(text: str) -> str:
    return html.escape(text)
