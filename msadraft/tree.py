"""The agreement as a tree of articles, paragraphs, tables and signature blocks.

Takes nothing and decides nothing: these are the node types alone. A node keeps the id of the clause that
made it; a piece of text keeps the path of the fact or figure it was filled in from. Numbers are not in the
tree: `msadraft.agreement.numbering` works them out, and a reference is only the id of its target.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal


@dataclass(frozen=True, slots=True)
class Text:
    """A piece of literal text. `source` is the path of the fact or figure it shows, or "" for the library's own words."""

    text: str
    source: str = ""
    bold: bool = False
    italic: bool = False


@dataclass(frozen=True, slots=True)
class Blank:
    """A visible line to be filled in, because the fact at `source` is not known yet."""

    source: str


@dataclass(frozen=True, slots=True)
class Reference:
    """The number of the paragraph, article, table or exhibit with id `target`, whatever it turns out to be."""

    target: str


Inline = Text | Blank | Reference


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One numbered paragraph. Level 1 stands directly in its section; children go one level down (at most 3)."""

    id: str
    clause: str
    level: int
    content: tuple[Inline, ...]
    heading: tuple[Inline, ...] = ()
    children: tuple[Block, ...] = ()


@dataclass(frozen=True, slots=True)
class Plain:
    """An unnumbered paragraph. `kind` says how it is set: running text, a boxed notice, or a place kept free."""

    id: str
    clause: str
    content: tuple[Inline, ...]
    kind: Literal["text", "notice", "place"] = "text"


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table. `id` lets a schedule line be followed from round to round."""

    id: str
    cells: tuple[tuple[Inline, ...], ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table with a header row that repeats on every page, and an unnumbered caption before it."""

    id: str
    clause: str
    caption: tuple[Inline, ...]
    header: tuple[tuple[Inline, ...], ...]
    rows: tuple[Row, ...]
    align: tuple[Literal["left", "right", "center"], ...]
    total: Row | None = None


@dataclass(frozen=True, slots=True)
class Signature:
    """A place to sign that never splits over two pages: a statement, a line, the name, the capacity, a date line."""

    id: str
    clause: str
    name: tuple[Inline, ...]
    capacity: tuple[Inline, ...]
    statement: tuple[Inline, ...] = ()
    lines: tuple[str, ...] = ()


Block = Paragraph | Plain | Table | Signature


@dataclass(frozen=True, slots=True)
class Section:
    """An article of the body, or an exhibit after it."""

    id: str
    kind: Literal["article", "exhibit"]
    heading: tuple[Inline, ...]
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Filer:
    """Who appears in the upper left corner of the first page: an attorney, or a party without one."""

    lines: tuple[tuple[Inline, ...], ...]
    for_whom: str


@dataclass(frozen=True, slots=True)
class Caption:
    """The heading of the case: court, parties, number."""

    county: tuple[Inline, ...]
    branch: tuple[Inline, ...]
    petitioner: tuple[Inline, ...]
    respondent: tuple[Inline, ...]
    case_number: tuple[Inline, ...]
    filers: tuple[Filer, ...] = ()


@dataclass(frozen=True, slots=True)
class Agreement:
    """The whole paper, before numbers.

    `numbering` is "decimal" (1, 1.1, (a), (i)) or "continuous" (articles A, B; paragraphs 1 to N; (a); (i)).
    `layout` is "plain" or "pleading" (numbered lines, Cal. Rules of Court, rules 2.100 to 2.119).
    `dated` is an ISO day from the facts, used for document properties only.
    """

    title: str
    caption: Caption
    sections: tuple[Section, ...]
    numbering: Literal["decimal", "continuous"] = "decimal"
    layout: Literal["plain", "pleading"] = "plain"
    initials: tuple[str, str] = ("", "")
    dated: str = ""
    notes: tuple[str, ...] = field(default=())


def walk(blocks: tuple[Block, ...]) -> Iterator[Block]:
    """Yield every block, each paragraph before its children."""
    for block in blocks:
        yield block
        if isinstance(block, Paragraph):
            yield from walk(block.children)


def inlines(block: Block) -> Iterator[Inline]:
    """Yield every piece of text, blank and reference of one block, its children left out."""
    match block:
        case Paragraph():
            yield from block.heading
            yield from block.content
        case Plain():
            yield from block.content
        case Table():
            yield from block.caption
            for cell in block.header:
                yield from cell
            for row in (*block.rows, *((block.total,) if block.total else ())):
                for cell in row.cells:
                    yield from cell
        case Signature():
            yield from block.statement
            yield from block.name
            yield from block.capacity
