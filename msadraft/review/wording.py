"""Rules about the drafted text itself: blanks, references, and what must never print."""

from __future__ import annotations

from collections.abc import Iterator

from msadraft.agreement.numbering import dangling
from msadraft.facts.paths import UnknownPathError, describe, field_at, privacy_of
from msadraft.review.base import Hit, Review, rule
from msadraft.tree import Blank, Text


@rule(
    "wording.blank",
    "stop",
    message="There is an empty space in the paper.",
    why="A blank in a signed agreement leaves the term open",
    source="common practice",
    mend="Fill in the fact, or take the term out.",
)
def blank(review: Review) -> Iterator[Hit]:
    seen: dict[str, str] = {}
    for block, piece in review.pieces:
        if isinstance(piece, Blank) and (path := _fact_to_fill_in(piece.source)) not in seen:
            seen[path] = review.numbering[block.id].full
    for path, number in seen.items():
        yield Hit(path, f"Paragraph {number} needs: {_describe(path)}.")


def _fact_to_fill_in(path: str) -> str:
    """The fact to give: for a blank inside a record that is not named yet, the reference that should name it."""
    while path and not path.startswith("figures."):
        try:
            field_at(path)
        except UnknownPathError:
            path = path.rpartition(".")[0]
            continue
        break
    return path


def _describe(path: str) -> str:
    try:
        return describe(path)
    except UnknownPathError:
        return path


@rule(
    "wording.reference",
    "stop",
    message="A reference points to a paragraph that is not in the paper.",
    why="A reader, a clerk and a court follow the pointer",
    source="common practice",
    mend="This is a fault of the clause library; report the two clauses.",
)
def reference(review: Review) -> Iterator[Hit]:
    for block, target in dangling(review.agreement, review.numbering):
        yield Hit("", f"{block} points to {target}.")


@rule(
    "wording.safety_leak",
    "stop",
    message="Safety-protected information is in the text.",
    why="A protected address or detail in a filed paper can be read by anybody",
    source="Fam. Code § 3429 (memory)",
    mend="Take the value out of the clause or the special term that prints it.",
)
def safety_leak(review: Review) -> Iterator[Hit]:
    for block, piece in review.pieces:
        if not isinstance(piece, Text) or not piece.source or piece.source.startswith("figures"):
            continue
        try:
            private = privacy_of(piece.source) == "D"
        except UnknownPathError:
            continue
        if private:
            yield Hit(piece.source, f"Paragraph {review.numbering[block.id].full}.")
