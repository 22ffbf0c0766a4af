"""The agreement as plain text: an outline with its numbers and references, wrapped, the same for the same input."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache

from msadraft.agreement.numbering import Numbering
from msadraft.tree import Agreement, Block, Inline, Paragraph, Plain, Section, Signature, Table
from msadraft.writers.inline import NO_BREAK, caption_case, clean, plain, run_in
from msadraft.writers.stamp import Stamp

WIDTH = 100
_STEP = 6
_CELL_GAP = 2
_NARROWEST = 6
_LINE = "_" * 24
_PLAIN_WORD = "[!-~\u00a0-\u00ff\u2010-\u2027]+"
_PLAIN_LINE = re.compile(f"(?:{_PLAIN_WORD}(?: {_PLAIN_WORD})*)?")
"""Letters, digits and usual signs, none wide and none combining, with single spaces between words alone."""


def write_text(agreement: Agreement, numbering: Numbering, stamp: Stamp) -> str:
    """Give the agreement as text of at most 100 columns a line.

    Raises:
        WriterError: a reference points to nothing in the agreement.
    """
    return _Outline(agreement, numbering).text(stamp)


@lru_cache(maxsize=4096)  # mostly words, and most words come again
def columns_of(text: str) -> int:
    """Count the columns that `text` takes on a terminal (Unicode Standard Annex 11: wide signs take two)."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(sign) else 2 if unicodedata.east_asian_width(sign) in "WF" else 1 for sign in text
    )


def wrap(text: str, width: int) -> list[str]:
    """Break `text` at its spaces into lines of at most `width` columns; a word that is longer is cut."""
    lines: list[str] = []
    for source in text.split("\n"):
        if _PLAIN_LINE.fullmatch(source):
            lines += _wrap_plain(source, width)
            continue
        current, used = "", 0
        for word in source.replace("\t", " ").split(" "):
            if not word:
                continue
            size = columns_of(word)
            if current and used + 1 + size <= width:
                current, used = f"{current} {word}", used + 1 + size
                continue
            if current:
                lines.append(current)
            current, used = word, size
            if used > width:
                *whole, current = _cut(word, width)
                lines += whole
                used = columns_of(current)
        lines.append(current)
    return [line.replace(NO_BREAK, " ").rstrip() for line in lines]


def _wrap_plain(text: str, width: int) -> Iterator[str]:
    """`wrap` for one line of signs that take one column each, and of words with one space between them."""
    start = 0
    while len(text) - start > width:
        space = text.rfind(" ", start, start + width + 1)
        end = space if space > start else start + width
        yield text[start:end]
        start = end + 1 if space > start else end
    yield text[start:]


def _cut(word: str, width: int) -> list[str]:
    """The pieces of a long word, each as wide as fits; one sign at least, even where a wide one does not fit."""
    pieces, start, used = [], 0, 0
    for place, sign in enumerate(word):
        size = columns_of(sign)
        if used + size > width and place > start:
            pieces.append(word[start:place])
            start, used = place, 0
        used += size
    return [*pieces, word[start:]]


class _Outline:
    def __init__(self, agreement: Agreement, numbering: Numbering) -> None:
        self.agreement = agreement
        self.numbering = numbering
        self.lines: list[str] = []

    def text(self, stamp: Stamp) -> str:
        if not stamp.ready:
            self.put(f"*** {stamp.not_ready_text} ***")
            self.lines.append("")
        self.case()
        for section in self.agreement.sections:
            self.section(section)
        self.lines.append("")
        self.put(f"[{clean(stamp.mark)}]")
        return "\n".join(self.lines) + "\n"

    def words(self, content: tuple[Inline, ...]) -> str:
        return plain(content, self.numbering)

    def put(self, text: str, left: int = 0, label: str = "", hang: int = 0) -> None:
        """Add `text` wrapped at column `left` + `hang`, with `label` at `left` on its first line."""
        for place, line in enumerate(wrap(text, WIDTH - left - hang)):
            start = f"{label:<{hang}}" if place == 0 else " " * hang
            self.lines.append((" " * left + start + line).rstrip())

    def case(self) -> None:
        caption = self.agreement.caption
        for filer in caption.filers:
            for line in (*map(self.words, filer.lines), filer.for_whom):
                if line:
                    self.put(clean(line))
            self.lines.append("")
        self.put(caption_case(caption.county, self.numbering))
        rows = (
            ("Branch", caption.branch),
            ("Petitioner", caption.petitioner),
            ("Respondent", caption.respondent),
            ("Case number", caption.case_number),
        )
        for label, content in rows:
            if content:
                self.put(self.words(content), 0, f"{label}:", 14)
        self.lines.append("")
        self.put(clean(self.agreement.title).upper())

    def section(self, section: Section) -> None:
        label = self.numbering[section.id].label
        hang = max(len(label) + 1, _STEP) if section.kind == "article" else len(label) + 2
        self.lines.append("")
        start = len(self.lines)
        self.put(self.words(section.heading), 0, label, hang)
        self.lines.append("=" * max(columns_of(line) for line in self.lines[start:]))
        for block in section.blocks:
            self.block(block, 0)

    def block(self, block: Block, level: int) -> None:
        left = level * _STEP
        self.lines.append("")
        match block:
            case Paragraph():
                head = run_in(block.heading, self.numbering)
                label = self.numbering[block.id].label
                self.put((head + self.words(block.content)).rstrip(" "), left, label, max(_STEP, len(label) + 1))
                for child in block.children:
                    self.block(child, block.level)
            case Plain():
                sign = {"text": "", "notice": "| ", "place": "[ ] "}[block.kind]
                for line in wrap(self.words(block.content), WIDTH - left - len(sign)):
                    self.lines.append((" " * left + sign + line).rstrip())
            case Table():
                self.table(block, left)
            case Signature():
                self.signature(block, left)

    def table(self, table: Table, left: int) -> None:
        self.put(self.words(table.caption), left)
        rows = [table.header, *(row.cells for row in table.rows), *((table.total.cells,) if table.total else ())]
        count = max(len(cells) for cells in rows)
        texts = [[self.words(cells[n]) if n < len(cells) else "" for n in range(count)] for cells in rows]
        widths = _table_widths(texts, WIDTH - left)
        rule = " " * left + (" " * _CELL_GAP).join("-" * width for width in widths)
        for place, cells in enumerate(texts):
            if table.total is not None and place == len(texts) - 1:
                self.lines.append(rule)
            wrapped = [wrap(text, width) for text, width in zip(cells, widths, strict=True)]
            for line in range(max(len(cell) for cell in wrapped)):
                shown = [
                    _aligned(
                        cell[line] if line < len(cell) else "",
                        width,
                        table.align[n] if n < len(table.align) else "left",
                    )
                    for n, (cell, width) in enumerate(zip(wrapped, widths, strict=True))
                ]
                self.lines.append((" " * left + (" " * _CELL_GAP).join(shown)).rstrip())
            if place == 0:
                self.lines.append(rule)

    def signature(self, block: Signature, left: int) -> None:
        lines = block.lines or ("Date",)
        if block.statement:
            self.put(self.words(block.statement), left)
        first = f"{clean(lines[0])}: {_LINE}"
        self.lines.append(" " * left + first + "   " + "_" * 36)
        under = left + len(first) + 3 if left + len(first) < WIDTH // 2 else left
        self.put(self.words(block.name), under)
        if block.capacity:
            self.put(self.words(block.capacity), under)
        for line in lines[1:]:
            self.put(f"{clean(line)}: {_LINE}", under)


def _table_widths(texts: list[list[str]], available: int) -> list[int]:
    """Give column widths: what each column would like, the widest ones cut back until the row fits."""
    wanted = [
        max(1, *(columns_of(line) for cells in texts for line in cells[n].split("\n"))) for n in range(len(texts[0]))
    ]
    room = available - _CELL_GAP * (len(wanted) - 1)
    while sum(wanted) > room and max(wanted) > _NARROWEST:
        widest = wanted.index(max(wanted))
        rest = sum(wanted) - wanted[widest]
        second = max([w for n, w in enumerate(wanted) if n != widest], default=0)
        wanted[widest] = max(_NARROWEST, min(wanted[widest] - 1, max(room - rest, min(second, wanted[widest] - 1))))
    return wanted


def _aligned(text: str, width: int, align: str) -> str:
    gap = max(0, width - columns_of(text))
    if align == "right":
        return " " * gap + text
    if align == "center":
        return " " * (gap // 2) + text + " " * (gap - gap // 2)
    return text + " " * gap
