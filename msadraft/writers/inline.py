"""Text, blanks and references of the tree, resolved once for all writers.

A reference is shown by the numbers of its chain, a blank by a line. Characters that no document format can
hold, or that would turn the reading direction of the words around them, are left out here.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import pairwise
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
    for item, following in pairwise((*content, None)):
        if isinstance(item, Text):
            yield Piece("text", _said(item, following), item.source, bold or item.bold, item.italic)
        elif isinstance(item, Blank):
            yield Piece("blank", BLANK, item.source, bold)
        elif item is not None:
            yield _reference(item, numbering, bold)


def _said(item: Text, following: Inline | None) -> str:
    text = item.text
    if isinstance(following, Reference) and text.endswith(" "):
        text = text[:-1] + NO_BREAK
    return clean(text)


def _reference(item: Reference, numbering: Numbering, bold: bool) -> Piece:
    links = _links(item, numbering)
    return Piece("reference", _number(links), "", bold, False, links, numbering[item.target].bookmark)


def _links(item: Reference, numbering: Numbering) -> tuple[tuple[str, str], ...]:
    if item.target not in numbering:
        raise WriterError(f"a reference points to {item.target!r}, which is not in this agreement")
    return numbering.shown(item.target)


def _number(links: tuple[tuple[str, str], ...]) -> str:
    return "".join([text for _, text in links])


def plain(content: tuple[Inline, ...], numbering: Numbering) -> str:
    """Give `content` as one plain string."""
    if len(content) == 1 and isinstance(content[0], Text):
        return clean(content[0].text)
    said = []  # the texts of `pieces`, which makes more than is wanted here
    for item, following in pairwise((*content, None)):
        if isinstance(item, Text):
            said.append(_said(item, following))
        elif isinstance(item, Blank):
            said.append(BLANK)
        elif item is not None:
            said.append(_number(_links(item, numbering)))
    return "".join(said)


def stop(heading: tuple[Inline, ...], numbering: Numbering) -> str:
    """Give what stands between a run-in heading and its text: a full stop unless one is there, then a space."""
    return _stop_after(plain(heading, numbering)) if heading else ""


def run_in(heading: tuple[Inline, ...], numbering: Numbering) -> str:
    """Give a run-in heading with what stands between it and its text; "" for no heading."""
    if not heading:
        return ""
    said = plain(heading, numbering)
    return said + _stop_after(said)


def _stop_after(heading: str) -> str:
    return " " if heading.rstrip().endswith(_ENDS) else ". "


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
            return run_in(block.heading, numbering) + plain(block.content, numbering)
        case Plain():
            return plain(block.content, numbering)
        case Table():
            return plain(block.caption, numbering)
        case Signature():
            parts = (plain(part, numbering) for part in (block.statement, block.name, block.capacity))
            return "\n".join(part for part in parts if part)


@lru_cache(maxsize=4096)  # most of a paper is the wording of the clauses, which comes again in every case
def text_hash(text: str) -> str:
    """Give 16 hex digits that name `text`, every run of white space counted as one space."""
    return hashlib.sha256(" ".join(text.split()).encode()).hexdigest()[:16]
