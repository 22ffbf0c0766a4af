"""Numbers for a tree: one pure pass. References are looked up in its result.

Takes an `Agreement`, gives a `Numbering`. A paragraph is cited by its full number ("4.3(a)"); a document
shows each level's own label ("4.3", "(a)"), so every number also knows the chain of ids whose labels make it
up. Word processors count a list the same way, and the tests ask one whether it agrees.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from msadraft.tree import Agreement, Block, Paragraph, Reference, Section, Table, inlines, walk

DEEPEST = 3
_ROMAN = (
    (1000, "m"), (900, "cm"), (500, "d"), (400, "cd"), (100, "c"), (90, "xc"), (50, "l"), (40, "xl"), (10, "x"),
    (9, "ix"), (5, "v"), (4, "iv"), (1, "i"),
)  # fmt: skip


class NumberingError(ValueError):
    """The tree cannot be numbered: a level is skipped or too deep, or two nodes share one id."""


@dataclass(frozen=True, slots=True)
class Number:
    """The number of one node.

    `label` is what stands in front of it ("4.", "4.3", "(a)", "Exhibit B"); `full` is how a person cites it
    ("4", "4.3", "4.3(a)", "Exhibit B"); `chain` lists the ids whose own labels, joined, give `full`;
    `level` is 0 for a section. A table has no number of its own: `label` is empty and `full` is that of the
    paragraph before it, or of its section.
    """

    id: str
    bookmark: str
    label: str
    full: str
    chain: tuple[str, ...]
    level: int
    section: str


@dataclass(frozen=True, slots=True)
class Numbering:
    """All numbers of one agreement, by node id."""

    by_id: dict[str, Number]

    def __getitem__(self, node_id: str) -> Number:
        return self.by_id[node_id]

    def __contains__(self, node_id: object) -> bool:
        return node_id in self.by_id

    def shown(self, node_id: str) -> tuple[tuple[str, str], ...]:
        """Give (bookmark, text) for each field of a reference to `node_id`, outermost level first."""
        links = self.by_id[node_id].chain
        return tuple((self.by_id[i].bookmark, self.by_id[i].label.rstrip(".")) for i in links)


@lru_cache(maxsize=4096)  # most ids are those of the clauses, which come again in every case
def bookmark(node_id: str) -> str:
    """Give the bookmark name of a node: at most 40 characters, letters, digits and underscores, unique by hash.

    Microsoft's implementer notes for ECMA-376 Part 4 section 2.13.6.2 give the limit of 40.
    """
    slug = re.sub(r"[^a-z0-9]+", "_", node_id.lower()).strip("_")[:28]
    return f"_P_{slug}_{hashlib.sha256(node_id.encode()).hexdigest()[:8]}"


def letter(n: int) -> str:
    """Count 1, 2, … 26, 27 as a, b, … z, aa: the way a word processor letters a list."""
    return chr(97 + (n - 1) % 26) * ((n - 1) // 26 + 1)


def roman(n: int) -> str:
    """Count 1, 2, 3, 4 as i, ii, iii, iv."""
    out = ""
    for value, sign in _ROMAN:
        while n >= value:
            out, n = out + sign, n - value
    return out


def number(agreement: Agreement) -> Numbering:
    """Number every section, paragraph, table and row.

    Raises:
        NumberingError: two nodes share an id, or a paragraph's level is not its parent's plus one.
    """
    numbers: dict[str, Number] = {}
    for entry in _sections(agreement):
        if entry.id in numbers:
            raise NumberingError(f"two paragraphs have the id {entry.id!r}")
        numbers[entry.id] = entry
    if len({n.bookmark.lower() for n in numbers.values()}) != len(numbers):
        raise NumberingError("two ids give one bookmark name")
    return Numbering(numbers)


def _sections(agreement: Agreement) -> Iterator[Number]:
    continuous = agreement.numbering == "continuous"
    articles = exhibits = running = 0
    for section in agreement.sections:
        if section.kind == "exhibit":
            exhibits += 1
            sign = letter(exhibits).upper()
            own = _section(section, f"Exhibit {sign}", f"Exhibit {sign}")
            yield own
            yield from _paragraphs(section.blocks, own, f"{sign}-{{}}", 0, None)
        elif continuous:
            articles += 1
            sign = letter(articles).upper()
            own = _section(section, f"{sign}.", sign)
            yield own
            found = list(_paragraphs(section.blocks, own, "{}.", running, None))
            running += sum(n.level == 1 and bool(n.label) for n in found)
            yield from found
        else:
            articles += 1
            own = _section(section, f"{articles}.", str(articles))
            yield own
            yield from _paragraphs(section.blocks, own, f"{articles}.{{}}", 0, None)


def _section(section: Section, label: str, full: str) -> Number:
    return Number(section.id, bookmark(section.id), label, full, (section.id,), 0, section.id)


def _paragraphs(
    blocks: tuple[Block, ...], section: Number, pattern: str, before: int, parent: Number | None
) -> Iterator[Number]:
    level = parent.level + 1 if parent else 1
    count, last = before, parent or section
    for block in blocks:
        if isinstance(block, Paragraph):
            if block.level != level or level > DEEPEST:
                raise NumberingError(
                    f"paragraph {block.id!r} has level {block.level} where {min(level, DEEPEST)} is due"
                )
            count += 1
            last = _paragraph(block, section.id, pattern, count, parent)
            yield last
            yield from _paragraphs(block.children, section, pattern, 0, last)
        else:
            yield _beside(block.id, last)
            if isinstance(block, Table):
                rows = (*block.rows, *((block.total,) if block.total else ()))
                yield from (_beside(row.id, last) for row in rows if row.id)


def _paragraph(block: Paragraph, section: str, pattern: str, count: int, parent: Number | None) -> Number:
    if parent is None:
        label = pattern.format(count)
        return Number(block.id, bookmark(block.id), label, label.rstrip("."), (block.id,), 1, section)
    label = f"({letter(count) if block.level == 2 else roman(count)})"
    chain = (*parent.chain, block.id)
    return Number(block.id, bookmark(block.id), label, parent.full + label, chain, block.level, section)


def _beside(node_id: str, last: Number) -> Number:
    """A table, row, notice or signature is cited by the paragraph before it, or by its section if none is."""
    return Number(node_id, bookmark(node_id), "", last.full, last.chain, last.level, last.section)


def dangling(agreement: Agreement, numbering: Numbering) -> list[tuple[str, str]]:
    """List (id of the section or block, id of the target) for every reference whose target is not in the paper."""
    found: list[tuple[str, str]] = []
    for section in agreement.sections:
        found += ((section.id, piece.target) for piece in section.heading if isinstance(piece, Reference))
        for block in walk(section.blocks):
            found += ((block.id, piece.target) for piece in inlines(block) if isinstance(piece, Reference))
    return [(node, target) for node, target in found if target not in numbering]
