"""The redline in the page: two versions of the agreement as paragraphs with what went and what came."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from msadraft.agreement.negotiated import flatten, node_index, words
from msadraft.rounds.read import Version
from msadraft.tree import Paragraph, Section
from msadraft.writers.changes import Changes
from msadraft.writers.docx.redline import Token, hunks

_WORD = re.compile(r"\$[\d,]+(?:\.\d+)?|\w+(?:[-'’/.,]\w+)*|\s+|[^\w\s]")


@dataclass(frozen=True)
class Shown:
    """One paragraph of the redline. `how` is same, reworded, came or went; `pieces` are (same, gone, come)."""

    how: str
    number: str
    old_number: str
    section: bool
    pieces: tuple[tuple[str, str, str], ...]


def redline(before: Version, after: Version, changes: Changes) -> Iterator[Shown]:
    """The later version in its order, with what went where it stood."""
    old_nodes, new_nodes = dict(node_index(before.agreement)), dict(node_index(after.agreement))
    reworded = {r.id: r for r in changes.reworded}
    came, went = {w.id for w in changes.came}, [w.id for w in changes.went]
    old_order = list(old_nodes)
    behind: dict[str, list[str]] = {}
    for node_id in went:
        at = old_order.index(node_id) if node_id in old_nodes else 0
        home = next((i for i in reversed(old_order[:at]) if i in new_nodes), "")
        behind.setdefault(home, []).append(node_id)
    sections = {
        entry.id for one in (before, after) for entry in flatten(one.agreement) if isinstance(entry.node, Section)
    }

    def gone(home: str) -> Iterator[Shown]:
        for node_id in behind.get(home, ()):
            text = _words(before, node_id)
            yield Shown("went", "", _shown(before, node_id), node_id in sections, (("", text, ""),))

    yield from gone("")
    for node_id in new_nodes:
        number, section = _shown(after, node_id), node_id in sections
        text = _words(after, node_id)
        if node_id in reworded:
            one = reworded[node_id]
            yield Shown("reworded", number, _shown(before, node_id), section, tuple(pieces(one.old, one.new)))
        elif node_id in came:
            yield Shown("came", number, "", section, (("", "", text),))
        elif text:
            yield Shown(
                "same", number, _shown(before, node_id) if node_id in old_nodes else "", section, ((text, "", ""),)
            )
        yield from gone(node_id)


def pieces(old: str, new: str) -> Iterator[tuple[str, str, str]]:
    """Two texts as pieces: (what stayed, "", "") or ("", what went, what came)."""
    a, b = (tuple(Token("", word) for word in _WORD.findall(text)) for text in (old, new))
    for same, gone, come in hunks(a, b):
        one, other = ("".join(token.text for token in part) for part in (gone, come))
        if same:
            yield other, "", ""
            continue
        yield "", one.rstrip(), other.rstrip()
        if other[-1:].isspace() or one[-1:].isspace():
            yield " ", "", ""


def _words(version: Version, node_id: str) -> str:
    """The text of a node; a reference by the number it shows."""
    node = dict(node_index(version.agreement)).get(node_id)
    if node is None:
        return ""
    by_id = version.numbering.by_id
    text = re.sub(r"\[([^\[\]]+)\]", lambda m: by_id[m[1]].full if m[1] in by_id else m[0], words(node))
    return text.replace(" | ", " ", 1) if isinstance(node, Paragraph) and node.heading else text


def _shown(version: Version, node_id: str) -> str:
    number = version.numbering.by_id.get(node_id)
    return number.full if number is not None and number.label else ""


def without_empty_sections(paragraphs: list[Shown]) -> list[Shown]:
    """Leave out headings that stayed and have nothing that changed below them."""
    following = [*paragraphs[1:], None]
    return [
        p for p, after in zip(paragraphs, following, strict=True)
        if p.how != "same" or (after is not None and not after.section)
    ]  # fmt: skip
