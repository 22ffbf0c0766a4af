"""What must hold of the text of any agreement: spacing, punctuation, quotes, money, dates, lists."""

from __future__ import annotations

import re
from collections.abc import Iterator

from msadraft.agreement.numbering import Numbering
from msadraft.tree import Agreement, Blank, Block, Inline, Paragraph, Plain, Reference, Signature, Table, Text, walk

MONTHS = "January|February|March|April|May|June|July|August|September|October|November|December"


def shown(pieces: tuple[Inline, ...], numbering: Numbering, own_words_only: bool = False) -> str:
    """The text of some pieces; with `own_words_only` every fact is shown as the letter X."""
    out = []
    for piece in pieces:
        match piece:
            case Text():
                out.append("X" if own_words_only and piece.source else piece.text)
            case Blank():
                out.append("____")
            case Reference():
                out.append(numbering[piece.target].full)
    return "".join(out)


def lines(agreement: Agreement, numbering: Numbering, own_words_only: bool = False) -> Iterator[tuple[str, str]]:
    """(id, text) of every paragraph, table cell, notice and signature line."""
    for section in agreement.sections:
        for block in walk(section.blocks):
            for part in _parts(block):
                yield block.id, shown(part, numbering, own_words_only)


def _parts(block: Block) -> Iterator[tuple[Inline, ...]]:
    match block:
        case Paragraph():
            if block.heading:
                yield block.heading
            yield block.content
        case Plain():
            yield block.content
        case Table():
            yield block.caption
            yield from block.header
            for row in (*block.rows, *((block.total,) if block.total else ())):
                yield from row.cells
        case Signature():
            yield from (block.statement, block.name, block.capacity)


FAULTS = {
    "a doubled space": re.compile(r"  "),
    "a space before punctuation": re.compile(r" [,;:.!?)](?!\d)"),
    "doubled punctuation": re.compile(r"[,;:]{2}|\.\.(?!\.)|,\.|\.,|;\."),
    "an unfilled value": re.compile(
        r"\b(None(?! (?:is|of|are|was))|True|False|nan|undefined)\b|\{\{|\}\}|\{%|[\ue000-\uf8ff]"
    ),
    "a placeholder word": re.compile(r"\b(TODO|TBD|XXX|FIXME)\b|lorem ipsum", re.IGNORECASE),
    "empty brackets": re.compile(r"\(\s*\)|“\s*”"),
    "a list that ends in nothing": re.compile(r"\b(and|or|the|of|to)[.,;]$"),
    "a or an before the wrong sound": re.compile(r"(?<!Article )(?<!Exhibit )\b[Aa] (?=[aeio]\w)(?!one\b|once\b)"),
    "a doubled word": re.compile(r"\b(the|a|of|to|and|in|is|for|by) \1\b", re.IGNORECASE),
    "an ill-formed date": re.compile(rf"\b\d{{4}}-\d{{2}}-\d{{2}}\b|\b({MONTHS})\s\d{{1,2}} \d{{4}}\b"),
    "ill-formed money": re.compile(r"\$\d+\.\d(?!\d)|\$\d{4,}(?![\d,])|\$\s|\$\d[\d,]*(?:\.\d{2})?\$"),
    "one of something in the plural": re.compile(
        r"\b(?:one|1)[ \u00a0](?:months|days|weeks|hours|years|miles|children|payments)\b"
    ),
}


def faults(text: str) -> list[str]:
    """What is wrong with one line of text."""
    found = [name for name, pattern in FAULTS.items() if pattern.search(text)]
    if text.count("“") != text.count("”"):
        found.append("unbalanced quotation marks")
    if text.count("(") != text.count(")"):
        found.append("unbalanced brackets")
    return found
