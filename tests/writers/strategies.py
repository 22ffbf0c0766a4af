"""Random agreements for property tests: every kind of node, references in every direction, unique words to find them."""

from __future__ import annotations

from random import Random
from typing import Literal

from hypothesis import strategies as st
from writers.sample import caption

from msadraft.tree import (
    Agreement,
    Blank,
    Block,
    Inline,
    Paragraph,
    Plain,
    Reference,
    Row,
    Section,
    Signature,
    Table,
    Text,
)

Style = Literal["decimal", "continuous"]
Paper = Literal["plain", "pleading"]
Align = Literal["left", "right", "center"]
Shape = tuple[str, str, list["Shape"]]
STYLES: tuple[Style, ...] = ("decimal", "continuous")
ALIGNS: tuple[Align, ...] = ("left", "right", "center")
PAPERS: tuple[Paper, ...] = ("plain", "pleading")

_WORDS = (
    "each",
    "party",
    "keeps",
    "what",
    "the",
    "schedule",
    "lists",
    "and",
    "pays",
    "on",
    "a",
    "day",
    "named",
    "here",
)


class _Builder:
    """Builds in two passes: the shape with its ids first, so that text can refer to what comes later."""

    def __init__(self, random: Random) -> None:
        self.random = random
        self.ids: list[str] = []
        self.references = 0

    def new_id(self, kind: str) -> str:
        node_id = f"{kind}.{len(self.ids)}:{self.random.choice('abc')}"
        self.ids.append(node_id)
        return node_id

    def shape(self, level: int) -> list[Shape]:
        """Give (kind, id, children) for the blocks of one container."""
        out: list[Shape] = []
        for _ in range(self.random.randint(0 if level == 1 else 1, 5 if level == 1 else 3)):
            kind = self.random.choice(("paragraph",) * 6 + ("table", "text", "notice", "signature"))
            node_id = self.new_id(kind)
            deeper = kind == "paragraph" and level < 3 and self.random.random() < 0.4
            children = self.shape(level + 1) if deeper else []
            out.append((kind, node_id, children))
        return out

    def text(self, node_id: str) -> tuple[Inline, ...]:
        """Give words that hold a mark for the node, and sometimes references between marks of their own."""
        out: list[Inline] = [
            Text(
                f"mark{self.ids.index(node_id)}x {' '.join(self.random.choices(_WORDS, k=self.random.randint(1, 30)))}"
            )
        ]
        for _ in range(self.random.choice((0, 0, 1, 2))):
            self.references += 1
            number = self.references
            out += [Text(f" from{number}x paragraph "), Reference(self.random.choice(self.ids)), Text(f" to{number}x")]
        if self.random.random() < 0.2:
            out += [Text(" by "), Blank("some.date")]
        out.append(Text(".", source=self.random.choice(("", "some.fact"))))
        return tuple(out)

    def build(self, kind: str, node_id: str, children: list[Shape], level: int) -> Block:
        """Make one block from its shape."""
        if kind == "paragraph":
            heading: tuple[Inline, ...] = (
                (Text(self.random.choice(("Payment", "What happens then?"))),) if self.random.random() < 0.5 else ()
            )
            inner = tuple(self.build(*child, level + 1) for child in children)
            return Paragraph(node_id, "clause", level, self.text(node_id), heading, inner)
        if kind == "table":
            columns = self.random.randint(1, 5)
            rows = tuple(
                Row(
                    f"{node_id}.row{n}" if self.random.random() < 0.5 else "",
                    tuple(self.text(node_id) for _ in range(columns)),
                )
                for n in range(self.random.randint(0, 4))
            )
            total = Row("", tuple((Text("$1.00"),) for _ in range(columns))) if self.random.random() < 0.5 else None
            header = tuple((Text(f"column {n}"),) for n in range(columns))
            align: tuple[Align, ...] = tuple(self.random.choice(ALIGNS) for _ in range(columns))
            return Table(node_id, "clause", self.text(node_id), header, rows, align, total)
        if kind == "signature":
            return Signature(node_id, "clause", (Text("Ada Invented"),), (Text("Petitioner"),), self.text(node_id))
        return Plain(node_id, "clause", self.text(node_id), "notice" if kind == "notice" else "text")


def random_agreement(random: Random, numbering: Style, layout: Paper = "plain") -> Agreement:
    """Build a random agreement of articles and then exhibits."""
    builder = _Builder(random)
    kinds = ["article"] * random.randint(1, 6) + ["exhibit"] * random.randint(0, 3)
    shapes = [(kind, builder.new_id(kind), builder.shape(1)) for kind in kinds]
    sections = tuple(
        Section(
            node_id,
            "exhibit" if kind == "exhibit" else "article",
            (Text(f"Heading mark{builder.ids.index(node_id)}x"),),
            tuple(builder.build(block, block_id, children, 1) for block, block_id, children in blocks),
        )
        for kind, node_id, blocks in shapes
    )
    return Agreement("Random Agreement", caption(), sections, numbering, layout, ("AA", "BB"), "2026-01-31")


def agreements(layouts: tuple[Paper, ...] = PAPERS) -> st.SearchStrategy[Agreement]:
    """Give a strategy over random agreements of both numbering styles."""
    return st.builds(
        random_agreement, st.randoms(use_true_random=False), st.sampled_from(STYLES), st.sampled_from(layouts)
    )
