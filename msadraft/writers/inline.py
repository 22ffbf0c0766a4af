"""Text, blanks and references of the tree, resolved once for all writers.

A reference is shown by the numbers of its chain, a blank by a line. Characters that no document format can
hold, or that would turn the reading direction of the words around them, are left out here.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator
from typing import Literal, NamedTuple

from msadraft.agreement.numbering import Numbering
from msadraft.tree import Blank, Block, Inline, Paragraph, Plain, Reference, Row, Signature, Table, Text

BLANK = "_" * 14
NO_BREAK = "\u00a0"

# Not allowed in XML 1.0 (section 2.2), or an explicit direction mark (Unicode Standard Annex 9, section 2), which
# would reorder the fixed words next to a filled-in value.
_DROPPED = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u202a-\u202e\u2066-\u2069\ufdd0-\ufdef\ufffe\uffff\ud800-\udfff]"
)
_LINE_ENDS = re.compile("\r\n|[\r\x85\u2028\u2029]")
_ENDS = (".", "?", "!", ":", ";")


class WriterError(ValueError):
    """The tree cannot be written: a reference points to nothing in it."""


class Piece(NamedTuple):
    """One stretch of text as it is shown. `links` holds (bookmark, text) for each part of a reference."""

    kind: Literal["text", "blank", "reference"]
    text: str
    source: str = ""
    bold: bool = False
    italic: bool = False
    links: tuple[tuple[str, str], ...] = ()
    bookmark: str = ""


def clean(text: str) -> str:
    """Give `text` without characters that XML forbids or that turn the reading direction; line ends become newlines."""
    if text.isprintable():  # holds for no sign that is dropped, and for no line end; nearly every text is done here
        return text
    return _LINE_ENDS.sub("\n", _DROPPED.sub("", text))


def pieces(content: Iterable[Inline], numbering: Numbering, bold: bool = False) -> Iterator[Piece]:
    """Yield what is shown for `content`.

    The space before a reference becomes a no-break space, so that "paragraph" and its number stay on one line.

    Raises:
        WriterError: a reference has no target.
    """
    held: Text | None = None
    for item in content:
        if isinstance(item, Text):
            if held is not None:
                yield _text(held, held.text, bold)
            held = item
            continue
        if held is not None:
            glue = isinstance(item, Reference) and held.text.endswith(" ")
            yield _text(held, held.text[:-1] + NO_BREAK if glue else held.text, bold)
            held = None
        if isinstance(item, Blank):
            yield Piece("blank", BLANK, item.source, bold)
        else:
            yield _reference(item, numbering, bold)
    if held is not None:
        yield _text(held, held.text, bold)


def _text(item: Text, text: str, bold: bool) -> Piece:
    return Piece("text", clean(text), item.source, bold or item.bold, item.italic)


def _reference(item: Reference, numbering: Numbering, bold: bool) -> Piece:
    if item.target not in numbering:
        raise WriterError(f"a reference points to {item.target!r}, which is not in this agreement")
    links = numbering.shown(item.target)
    return Piece(
        "reference", "".join(text for _, text in links), "", bold, False, links, numbering[item.target].bookmark
    )


def plain(content: tuple[Inline, ...], numbering: Numbering) -> str:
    """Give `content` as one plain string."""
    if len(content) == 1 and isinstance(content[0], Text):
        return clean(content[0].text)
    return "".join(piece.text for piece in pieces(content, numbering))


def stop(heading: tuple[Inline, ...], numbering: Numbering) -> str:
    """Give what stands between a run-in heading and its text: a full stop unless one is there, then a space."""
    if not heading:
        return ""
    return " " if plain(heading, numbering).rstrip().endswith(_ENDS) else ". "


def caption_case(county: tuple[Inline, ...], numbering: Numbering) -> str:
    """Give the court's name in capitals, as the first page shows it (Cal. Rules of Court, rule 2.111(3))."""
    return f"SUPERIOR COURT OF CALIFORNIA, COUNTY OF {plain(county, numbering).upper()}"


def row_text(row: Row, numbering: Numbering) -> str:
    """Give a table row as one string, its cells parted by tabs."""
    return "\t".join(plain(cell, numbering) for cell in row.cells)


def node_text(block: Block, numbering: Numbering) -> str:
    """Give the text that a reader sees in one block, its number, children and rows left out."""
    match block:
        case Paragraph():
            head = plain(block.heading, numbering)
            return head + stop(block.heading, numbering) + plain(block.content, numbering)
        case Plain():
            return plain(block.content, numbering)
        case Table():
            return plain(block.caption, numbering)
        case Signature():
            parts = (plain(part, numbering) for part in (block.statement, block.name, block.capacity))
            return "\n".join(part for part in parts if part)


def text_hash(text: str) -> str:
    """Give 16 hex digits that name `text`, every run of white space counted as one space."""
    return hashlib.sha256(" ".join(text.split()).encode()).hexdigest()[:16]
