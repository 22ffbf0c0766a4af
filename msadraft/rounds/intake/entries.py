"""The words of one unit of a document as the negotiated wording keeps them, and as the draft has them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from msadraft.agreement import negotiated as wording
from msadraft.agreement.negotiated import Inserted, Reworded
from msadraft.agreement.numbering import Numbering
from msadraft.rounds.intake.read import fold
from msadraft.rounds.intake.units import Base
from msadraft.rounds.intake.words import References
from msadraft.tree import Blank, Inline, Paragraph, Plain, Reference, Row, Section, Table, Text
from msadraft.writers.inline import BLANK, stop


def own_parts(base: Base) -> tuple[tuple[Inline, ...], ...]:
    """The texts of a unit as it was drafted, in the form in which edited ones come."""
    return tuple(tuple(p for p in part if not (isinstance(p, Text) and not p.text)) for part in base.parts)


def shown(pieces: Iterable[Inline]) -> str:
    """The text of some pieces, with one sign for what is no text."""
    return "".join(p.text if isinstance(p, Text) else "\ue000" for p in pieces)


def token(piece: Inline, references: References) -> str:
    """A piece as the words of a document are compared: a reference by its target, a blank as a blank."""
    if isinstance(piece, Reference):
        return references.token(piece.target)
    return BLANK if isinstance(piece, Blank) else piece.text


def words_of(node: object, n: int, references: References, numbering: Numbering) -> str:
    """The words of one text of a node, as a unit of a document has them."""
    match node:
        case Paragraph():
            between = stop(node.heading, numbering) if node.heading else ""
            pieces: tuple[Inline, ...] = (*node.heading, Text(between), *node.content)
        case Section():
            pieces = node.heading
        case Plain():
            pieces = node.content
        case Table():
            pieces = node.caption
        case Row():
            pieces = node.cells[n] if n < len(node.cells) else ()
        case _:
            pieces = ()
    return fold("".join(token(p, references) for p in pieces))


def inserted_again(before: Inserted, base: Base, parts: tuple[tuple[Inline, ...], ...]) -> Inserted:
    """New words for a paragraph that was itself inserted in an earlier round."""
    texts = [wording.write_text(part, {}) for part in parts]
    if before.kind == "row":
        return replace(before, cells=tuple(texts))
    if before.kind in ("article", "exhibit"):
        return replace(before, heading=texts[0])
    if before.kind == "plain":
        return replace(before, text=texts[0])
    return replace(before, heading=texts[0], text=texts[1])


def reworded(
    base: Base,
    parts: tuple[tuple[Inline, ...], ...],
    under: Mapping[str, Sequence[Inline]],
    node: object,
    before: Reworded | None,
    round_number: int,
) -> Reworded:
    """The entry of the wording file for one edited unit."""
    texts = tuple(wording.write_text(part, under) for part in parts)
    # Words that replace negotiated words still replace the same wording of the library.
    made = replace(before, round=round_number) if before else Reworded(wording.wording_hash(node), round_number)  # type: ignore[arg-type]
    match base.node:
        case Paragraph():
            return replace(made, heading=texts[0], text=texts[1])
        case Section():
            return replace(made, heading=texts[0])
        case Row():
            return replace(made, cells=texts)
        case Table() if base.part == "header":
            return replace(made, cells=texts)
        case _:
            return replace(made, text=texts[0])


def says_the_same(entry: Reworded, node: object, under: Mapping[str, Sequence[Inline]]) -> bool:
    """Whether the words are the library's own again."""
    match node:
        case Paragraph():
            own = (node.heading, node.content)
            mine: tuple[str | None, ...] = (entry.heading, entry.text)
        case Section():
            own, mine = (node.heading,), (entry.heading,)  # type: ignore[assignment]
        case Row():
            own, mine = node.cells, entry.cells or ()  # type: ignore[assignment]
        case Plain():
            own, mine = (node.content,), (entry.text,)  # type: ignore[assignment]
        case _:
            return False
    return mine == tuple(wording.write_text(part, under) for part in own)


def flat(parts: tuple[tuple[Inline, ...], tuple[Inline, ...]]) -> tuple[Inline, ...]:
    """A heading and a text as one text."""
    heading, content = parts
    return (*heading, *([Text(". ")] if heading else []), *content)
