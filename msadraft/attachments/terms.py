"""The words of terms for an attachment, where no agreement carries them."""

from __future__ import annotations

import re
from collections.abc import Iterable

from msadraft.attachments.drafted import Drafted
from msadraft.attachments.paragraph_map import MapRow
from msadraft.tree import Block, Inline, Paragraph, Reference, Text, walk

_SENTENCE = re.compile(r"(?<=[.:;?!])\s+(?=[A-Z0-9“(])")
_OF_A_PAPER = re.compile(r"\b(agree|agrees|agreed|agreeing|agreement|agreements|paragraph|exhibit|stipulat\w*)\b", re.I)
_REFERENCE = "\x00"
BLANK = "____"


def terms(draft: Drafted, rows: Iterable[MapRow], clause: str = "") -> str:
    """Give the words of some paragraphs, a line for each, in the order of the paper.

    `clause` limits them to clauses whose id begins so.

    A court order made by default rests on nobody's consent. A sentence that speaks of an agreement, or points to another
    paragraph, is therefore left out, and a last line says how many were.
    """
    wanted = {row.id for row in rows if row.clause.startswith(clause)}
    lines: list[str] = []
    dropped = 0
    for block in (b for section in draft.agreement.sections for b in walk(section.blocks)):
        if not isinstance(block, Paragraph) or not _inside(block, wanted):
            continue
        sentences = _SENTENCE.split(" ".join(_words(block).split()))
        kept = [s for s in sentences if s and _REFERENCE not in s and not _OF_A_PAPER.search(s)]
        dropped += len([s for s in sentences if s]) - len(kept)
        if kept:
            lines.append(" ".join(kept))
    if dropped:
        lines.append(
            f"Left out here: {dropped} of the library's sentences, which speak of an agreement or a paragraph."
        )
    return "\n".join(lines)


def _inside(block: Block, wanted: set[str]) -> bool:
    """Whether a paragraph, or the one that it stands under, is wanted."""
    return any(block.id == node or block.id.startswith(f"{node}/") for node in wanted)


def _words(block: Paragraph) -> str:
    return "".join(_piece(piece) for piece in block.content)


def _piece(piece: Inline) -> str:
    if isinstance(piece, Text):
        return piece.text
    return _REFERENCE if isinstance(piece, Reference) else BLANK
