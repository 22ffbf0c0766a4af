"""The units in which documents are compared: a paragraph, or a whole row of a table; and the nodes they belong to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from msadraft.agreement.negotiated import node_index
from msadraft.agreement.numbering import Numbering
from msadraft.rounds.intake.read import Document, Par, Span, fold
from msadraft.tree import Agreement, Block, Inline, Paragraph, Plain, Row, Section, Signature, Table, Text
from msadraft.writers.inline import stop

Part = Literal["node", "header", "signature", "front", "place", "closing"]


@dataclass(slots=True)
class Unit:
    """One paragraph, or one row of a table with a paragraph for each cell."""

    pars: list[Par]
    table: int = 0
    names: list[str] = field(default_factory=list)
    copied: list[str] = field(default_factory=list)
    key: str = ""
    text: str = ""

    @property
    def is_row(self) -> bool:
        """Whether it is a row of a table."""
        return self.table > 0

    @property
    def label(self) -> str:
        """The number in front of it, if it has one."""
        shown = self.pars[0].shown
        return shown.label if shown and not self.is_row else ""


@dataclass(slots=True)
class Base:
    """A unit of the document as it was drafted, with the node it shows.

    `parts` are the texts of the node that stand in this unit (of a paragraph its heading and its text); `stop_words` is
    what the writer puts between heading and text.
    """

    unit: Unit
    part: Part
    id: str = ""
    node: Section | Block | Row | None = None
    parts: tuple[tuple[Inline, ...], ...] = ()
    stop_words: str = ""
    level: int = -1

    @property
    def is_node(self) -> bool:
        """Whether it shows a node that wording can be negotiated for."""
        return self.part == "node"


def units_of(document: Document) -> list[Unit]:
    """Give the units of a document in reading order, the table of contents left out."""
    out: list[Unit] = []
    rows: dict[tuple[int, int], Unit] = {}
    for par in document.pars:
        if par.contents:
            continue
        if par.cell is None:
            out.append(Unit([par]))
            continue
        table, row, column = par.cell
        unit = rows.get((table, row))
        if unit is None:
            unit = rows[table, row] = Unit([], table)
            out.append(unit)
        while len(unit.pars) <= column:
            unit.pars.append(Par(cell=(table, row, len(unit.pars))))
        _into(unit.pars[column], par)
    for unit in out:
        for par in unit.pars:
            unit.names += par.names
            unit.copied += par.copied
        unit.key = "\t".join(par.key for par in unit.pars)
        unit.text = "\t".join(par.text for par in unit.pars)
    return out


def _into(cell: Par, par: Par) -> None:
    """Add one paragraph to its cell."""
    if cell.spans and par.spans:
        cell.spans.append(Span("\n"))
    cell.spans += par.spans
    cell.names += par.names
    cell.copied += par.copied
    cell.comments += par.comments
    cell.others += par.others
    cell.style = cell.style or par.style
    cell.shown = cell.shown or par.shown


def link(units: Iterable[Unit], agreement: Agreement, numbering: Numbering) -> list[Base]:
    """Say which node each unit of a freshly written document shows."""
    nodes = dict(node_index(agreement))
    by_bookmark = {numbering[node_id].bookmark: node_id for node_id in nodes}
    current: Section | Block | Row | None = None
    queue: list[tuple[Inline, ...]] = []
    out: list[Base] = []
    for unit in units:
        named = [by_bookmark[name] for name in unit.names if name in by_bookmark]
        if named:
            current = nodes[named[0]]
            base = _base(unit, named[0], current, numbering)
            if isinstance(current, Signature):
                queue = [p for p in (current.statement, (), current.name, current.capacity) if p or p == ()]
                if not current.statement:
                    queue = queue[1:]
                base.parts = (queue.pop(0),)
        elif isinstance(current, Table) and unit.is_row:
            base = Base(unit, "header", current.id, current, current.header)
        elif isinstance(current, Signature) and not unit.is_row and not _is_closing(unit):
            base = Base(unit, "signature", current.id, current, (queue.pop(0) if queue else (),))
        elif isinstance(current, Plain) and unit.is_row:
            base = Base(unit, "place", current.id, current)
        elif current is None:
            base = Base(unit, "front", parts=tuple(_caption_pieces(agreement)))
        else:
            base = Base(unit, "closing")
        out.append(base)
    return out


def _is_closing(unit: Unit) -> bool:
    return unit.pars[0].style.replace(" ", "").lower() == "closingline"


def _base(unit: Unit, node_id: str, node: Section | Block | Row, numbering: Numbering) -> Base:
    match node:
        case Section():
            return Base(unit, "node", node_id, node, (node.heading,), level=0)
        case Paragraph():
            words = stop(node.heading, numbering) if node.heading else ""
            if not node.content:
                words = words.rstrip()
            return Base(unit, "node", node_id, node, (node.heading, node.content), words, node.level)
        case Plain():
            return Base(unit, "node", node_id, node, (node.content,))
        case Table():
            return Base(unit, "node", node_id, node, (node.caption,))
        case Row():
            return Base(unit, "node", node_id, node, node.cells)
        case Signature():
            return Base(unit, "signature", node_id, node)


def _caption_pieces(agreement: Agreement) -> Iterable[tuple[Inline, ...]]:
    caption = agreement.caption
    yield from (caption.branch, caption.petitioner, caption.respondent, caption.case_number)
    for filer in caption.filers:
        yield from filer.lines


def located(base: Base) -> list[tuple[str, Inline | None]]:
    """Give the words of a unit as (text, piece) in order, for a unit whose values must be found in its text.

    A value of the front page or of a signature block is looked for by its words; what lies between has no piece.
    """
    raw = "\t".join("".join(span.text for span in par.spans) for par in base.unit.pars)
    found: list[tuple[int, int, Text]] = []
    taken = [False] * len(raw)
    values = [p for part in base.parts for p in part if isinstance(p, Text) and p.source and p.text.strip()]
    for piece in sorted(values, key=lambda p: -len(p.text)):
        at = raw.find(piece.text)
        if at >= 0 and not any(taken[at : at + len(piece.text)]):
            taken[at : at + len(piece.text)] = [True] * len(piece.text)
            found.append((at, at + len(piece.text), piece))
    out: list[tuple[str, Inline | None]] = []
    end = 0
    for start, stop_at, value in sorted(found, key=lambda f: f[0]):
        if start > end:
            out.append((raw[end:start], None))
        out.append((raw[start:stop_at], value))
        end = stop_at
    if end < len(raw):
        out.append((raw[end:], None))
    return out


def short(text: str, most: int = 90) -> str:
    """Give the beginning of a text for a list."""
    text = fold(text)
    return text if len(text) <= most else text[: most - 2].rsplit(" ", 1)[0] + " …"
