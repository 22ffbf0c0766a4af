"""Turn a rendered clause body into blocks.

The clause's own words are a small part of Markdown, read by markdown-it-py:

    [label] text                 a numbered paragraph; the label gives it its id inside the clause
    [label] **Heading.** text    the same with a heading of its own
    - [label] text               a paragraph one level down; nested lists go one more level down
    Table: caption               the caption of the table that follows
    | a | b |                    a table; a row's first cell may begin with [row:key], the last with [total]
    > [notice] text              a boxed notice; [place] a place kept free
    *text*, **text**             emphasis

Everything else of Markdown is switched off and comes out as it is written.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

from markdown_it import MarkdownIt
from markdown_it.token import Token

from msadraft.library.environment import Pieces, SignHere, WordingError
from msadraft.tree import Blank, Block, Inline, Paragraph, Plain, Reference, Row, Signature, Table, Text

LABEL = re.compile(r"\s*\[([^\]\s]+)\]\s*")
LABEL_FORM = re.compile(r"[a-z0-9_]+(:[a-z0-9_.-]+)*")
Align = Literal["left", "right", "center"]


@lru_cache(maxsize=1)
def _markdown() -> MarkdownIt:
    return MarkdownIt("zero").enable(["list", "table", "blockquote", "emphasis", "escape", "newline"])


@dataclass(frozen=True, slots=True)
class _Item:
    """A paragraph of a list, before its id is known to be free."""

    label: str
    heading: tuple[Inline, ...]
    content: tuple[Inline, ...]


def read_body(text: str, pieces: Pieces, clause: str, base: str, heading: tuple[Inline, ...]) -> tuple[Block, ...]:
    """Give the blocks of one clause instance.

    Args:
        text: the rendered body, with marks for finished pieces.
        pieces: what the marks stand for.
        clause: the clause's id. `base` is the id of the instance (with its record's key).
        heading: the run-in heading of the first paragraph.
    Raises:
        WordingError: an element that clauses do not use, a list without a paragraph above it, or a bad label.
    """
    return _read(text, tuple(pieces.found), clause, base, heading)


@lru_cache(maxsize=2048)
def _read(
    text: str, found: tuple[Inline | SignHere, ...], clause: str, base: str, heading: tuple[Inline, ...]
) -> tuple[Block, ...]:
    """The blocks follow from these alone, so a clause that reads as before is not read twice in one process."""
    reader = _Reader(Pieces(list(found)), clause, base, heading)
    blocks = reader.blocks(_markdown().parse(_typographic(text)))
    if not any(isinstance(b, Paragraph) for b in blocks) and heading:
        raise WordingError(f"{clause}: has no numbered paragraph that could carry its heading")
    return blocks


class _Reader:
    def __init__(self, pieces: Pieces, clause: str, base: str, heading: tuple[Inline, ...]) -> None:
        self.pieces, self.clause, self.base, self.heading = pieces, clause, base, heading
        self.counter: dict[str, int] = {}

    def blocks(self, tokens: list[Token]) -> tuple[Block, ...]:
        found: list[Block] = []
        caption: tuple[Inline, ...] | None = None
        for kind, inner in _top(tokens):
            if kind == "paragraph":
                line = self.inline(inner[1])
                if line and isinstance(line[0], Text) and line[0].text.startswith("Table:"):
                    caption = _strip((Text(line[0].text.removeprefix("Table:")), *line[1:]))
                    continue
                found.extend(self.paragraph(line, 1, first=not any(isinstance(b, Paragraph) for b in found)))
            elif kind in ("bullet_list", "ordered_list"):
                parent = found[-1] if found else None
                if not isinstance(parent, Paragraph):
                    raise WordingError(f"{self.clause}: a list must follow a numbered paragraph")
                found[-1] = _with_children(parent, self.list_items(inner, parent.level + 1))
            elif kind == "table":
                if caption is None:
                    raise WordingError(f"{self.clause}: a table needs a line `Table: caption` before it")
                found.append(self.table(inner, caption))
                caption = None
            elif kind == "blockquote":
                found.extend(self.box(inner))
            else:
                raise WordingError(f"{self.clause}: clauses do not use the Markdown element {kind}")
        return tuple(found)

    def paragraph(self, line: list[Inline | SignHere], level: int, first: bool) -> Iterator[Block]:
        label, rest = self.label(line)
        signs = [piece for piece in rest if isinstance(piece, SignHere)]
        if signs:
            for sign in signs:
                yield Signature(
                    self.id(label or "signature"), self.clause, sign.name, sign.capacity, sign.statement, sign.lines
                )
            return
        content = tuple(piece for piece in rest if not isinstance(piece, SignHere))
        own_heading, content = _run_in_heading(content)
        heading = own_heading or (self.heading if first and level == 1 else ())
        if not content and not heading:
            raise WordingError(f"{self.clause}: an empty paragraph")
        yield Paragraph(self.id("" if first and level == 1 else label or "p"), self.clause, level, content, heading)

    def list_items(self, tokens: list[Token], level: int) -> tuple[Block, ...]:
        items: list[Block] = []
        for kind, inner in _top(tokens[1:-1]):
            if kind != "list_item":
                continue
            own: list[Block] = []
            for part, part_tokens in _top(inner[1:-1]):
                if part == "paragraph":
                    own.extend(self.paragraph(self.inline(part_tokens[1]), level, first=False))
                elif part in ("bullet_list", "ordered_list") and own and isinstance(own[-1], Paragraph):
                    own[-1] = _with_children(own[-1], self.list_items(part_tokens, level + 1))
                else:
                    raise WordingError(f"{self.clause}: a list item holds text and lists only, not {part}")
            items.extend(own)
        return tuple(items)

    def table(self, tokens: list[Token], caption: tuple[Inline, ...]) -> Table:
        rows: list[list[tuple[Inline, ...]]] = []
        align: list[Align] = []
        for token in tokens:
            if token.type == "tr_open":
                rows.append([])
            elif token.type == "th_open":
                align.append(_align(str(token.attrs.get("style", ""))))
            elif token.type == "inline":
                rows[-1].append(_strip(tuple(p for p in self.inline(token) if not isinstance(p, SignHere))))
        table_id = self.id("table")
        made = [self.row(cells, table_id, n) for n, cells in enumerate(rows[1:], 1)]
        total = made.pop() if made and made[-1].id.endswith("/total") else None
        return Table(table_id, self.clause, caption, tuple(rows[0]), tuple(made), tuple(align), total)

    def row(self, cells: list[tuple[Inline, ...]], table_id: str, n: int) -> Row:
        label, first = self.label(list(cells[0]))
        name = f"{table_id}/{label or f'row:{n}'}"
        return Row(name, (tuple(p for p in first if not isinstance(p, SignHere)), *cells[1:]))

    def box(self, tokens: list[Token]) -> Iterator[Block]:
        for kind, inner in _top(tokens[1:-1]):
            if kind != "paragraph":
                raise WordingError(f"{self.clause}: a box holds text only")
            label, rest = self.label(self.inline(inner[1]))
            kept = tuple(p for p in rest if not isinstance(p, SignHere))
            shape: Literal["text", "notice", "place"] = (
                "place" if label.startswith("place") else "text" if label.startswith("text") else "notice"
            )
            yield Plain(self.id(label or shape), self.clause, kept, shape)

    def inline(self, token: Token) -> list[Inline | SignHere]:
        out: list[Inline | SignHere] = []
        bold = italic = 0
        for child in token.children or []:
            match child.type:
                case "text" | "text_special":
                    out.extend(self.styled(child.content, bold > 0, italic > 0))
                case "softbreak" | "hardbreak":
                    out.append(Text(" "))
                case "strong_open" | "strong_close":
                    bold += 1 if child.type.endswith("open") else -1
                case "em_open" | "em_close":
                    italic += 1 if child.type.endswith("open") else -1
                case _:
                    raise WordingError(f"{self.clause}: clauses do not use the Markdown element {child.type}")
        return _merged(out)

    def styled(self, text: str, bold: bool, italic: bool) -> Iterator[Inline | SignHere]:
        for part in self.pieces.of(text):
            if isinstance(part, str):
                yield Text(part, "", bold, italic)
            elif isinstance(part, Text):
                yield Text(part.text, part.source, bold or part.bold, italic or part.italic)
            else:
                yield part

    def label(self, line: list[Any]) -> tuple[str, list[Inline | SignHere]]:
        """Take a leading [label] off a line. A label may hold values, such as a record's key."""
        flat, taken = "", 0
        for piece in line:
            flat += piece.text if isinstance(piece, Text) else ""
            taken += 1
            if "]" in flat or not isinstance(piece, Text):
                break
        found = LABEL.match(flat)
        if not found:
            return "", line
        if not LABEL_FORM.fullmatch(found[1]):
            raise WordingError(f"{self.clause}: [{found[1]}] is not a label; use lower-case letters, digits, _ and :")
        rest = flat[found.end() :]
        return found[1], [*([Text(rest)] if rest else []), *line[taken:]]

    def id(self, label: str) -> str:
        """The id of a block: the instance, and its label; a label used again gets a count."""
        if not label:
            return self.base
        self.counter[label] = self.counter.get(label, 0) + 1
        return f"{self.base}/{label}" + (f"-{self.counter[label]}" if self.counter[label] > 1 else "")


def _top(tokens: list[Token]) -> Iterator[tuple[str, list[Token]]]:
    """Yield (name, its tokens) for each element at the outermost level."""
    start = 0
    depth = 0
    for n, token in enumerate(tokens):
        if token.nesting == 1:
            if depth == 0:
                start = n
            depth += 1
        elif token.nesting == -1:
            depth -= 1
            if depth == 0:
                yield tokens[start].type.removesuffix("_open"), tokens[start : n + 1]
        elif depth == 0:
            yield token.type, [token]


def _align(style: str) -> Align:
    return "right" if "right" in style else "center" if "center" in style else "left"


def _typographic(text: str) -> str:
    """Curly quotes and apostrophes, from straight ones in the clause files. A mark counts as part of a word."""
    text = re.sub(r"(^|[\s(\[\u2014*])\"", "\\1\u201c", text, flags=re.MULTILINE).replace('"', "\u201d")
    return re.sub(r"(^|[\s(\[\u2014\u201c*])'", "\\1\u2018", text, flags=re.MULTILINE).replace("'", "\u2019")


def _merged(line: list[Inline | SignHere]) -> list[Inline | SignHere]:
    """Join neighbouring pieces of the library's own words, and fold runs of spaces."""
    out: list[Inline | SignHere] = []
    for piece in line:
        last = out[-1] if out else None
        if (
            isinstance(piece, Text)
            and isinstance(last, Text)
            and not (piece.source or last.source)
            and (piece.bold, piece.italic) == (last.bold, last.italic)
        ):
            out[-1] = Text(last.text + piece.text, "", piece.bold, piece.italic)
        else:
            out.append(piece)
    return [
        Text(re.sub(r" {2,}", " ", p.text), p.source, p.bold, p.italic) if isinstance(p, Text) and not p.source else p
        for p in _one_stop(out)
    ]


def _one_stop(line: list[Inline | SignHere]) -> list[Inline | SignHere]:
    """Leave out a full stop of the clause after a value that brings its own ("at 6:00 p.m.", a whole sentence)."""
    out: list[Inline | SignHere] = []
    for piece in line:
        last = out[-1] if out else None
        stops = isinstance(last, Text) and last.source and last.text.endswith(".")
        if stops and isinstance(piece, Text) and not piece.source and piece.text.startswith("."):
            piece = Text(piece.text[1:], "", piece.bold, piece.italic)
            if not piece.text:
                continue
        out.append(piece)
    return out


def _strip(line: tuple[Inline | SignHere, ...]) -> tuple[Inline, ...]:
    """Take blanks off both ends of a line."""
    kept = [p for p in line if not isinstance(p, SignHere)]
    if kept and isinstance(kept[0], Text) and not kept[0].source:
        kept[0] = Text(kept[0].text.lstrip(), "", kept[0].bold, kept[0].italic)
    if kept and isinstance(kept[-1], Text) and not kept[-1].source:
        kept[-1] = Text(kept[-1].text.rstrip(), "", kept[-1].bold, kept[-1].italic)
    return tuple(p for p in kept if not (isinstance(p, Text) and not p.text))


def _run_in_heading(content: tuple[Inline, ...]) -> tuple[tuple[Inline, ...], tuple[Inline, ...]]:
    """Take bold words at the beginning as the paragraph's heading, if other text follows."""
    cut = 0
    while cut < len(content):
        piece = content[cut]
        if not (isinstance(piece, Text) and piece.bold):
            break
        cut += 1
    if not 0 < cut < len(content):
        return (), _strip(content)
    heading = tuple(Text(p.text, p.source) for p in content[:cut] if isinstance(p, Text))
    return _strip(heading), _strip(content[cut:])


def _with_children(parent: Paragraph, children: tuple[Block, ...]) -> Paragraph:
    return Paragraph(
        parent.id, parent.clause, parent.level, parent.content, parent.heading, (*parent.children, *children)
    )


__all__ = ["Blank", "Reference", "read_body"]
