"""A copy with true tracked changes between two versions of one agreement.

Both versions are written as clean XML first and cut into paragraphs, table rows and words; the redline is put together
from these pieces. So accepting every change gives the new version's words and list styles, and rejecting every change
gives the old one's. Paragraphs are matched by their bookmarks, which are made of their permanent ids, and never by
likeness. Within a paragraph words are compared, and a reference is one word.

Three habits of word processors decide how a change is written:

- A number is counted by the word processor and never a change in itself. Where only the number of a target moved, the
  field stays and shows the new number; where the target itself is another one, the whole field goes and another comes.
- A moved paragraph is deleted at its old place and inserted at its new one. The deleted copy keeps a bookmark under
  another name, and references to the paragraph change with it, so that rejecting leaves no reference without a target.
- A change of list level or of the columns of a table is written as deletion and insertion, because a tracked change of
  paragraph properties is not rejected alike by all word processors.

The contents list is written as plain lines, so that its own changes can be tracked; the clean copy has the live list. (In
a live list with tracked changes elsewhere, LibreOffice lost references in tables when it resolved them.)
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from difflib import SequenceMatcher
from itertools import groupby
from typing import NamedTuple

from msadraft.agreement.numbering import number
from msadraft.tree import Agreement
from msadraft.writers.docx import body_of, document_parts, xml
from msadraft.writers.docx.package import pack
from msadraft.writers.stamp import Stamp

_BLOCK = re.compile(r"<w:tbl>.*?</w:tbl>|<w:p>.*?</w:p>", re.DOTALL)
_PARAGRAPH = re.compile(r"<w:p>(<w:pPr>.*?</w:pPr>)?(.*?)</w:p>", re.DOTALL)
_ROW = re.compile(r"<w:tr>(<w:trPr>.*?</w:trPr>)(.*?)</w:tr>", re.DOTALL)
_CELL = re.compile(r"<w:tc>(<w:tcPr>.*?</w:tcPr>)(.*?)</w:tc>", re.DOTALL)
_STYLE = re.compile(r'<w:pStyle w:val="([^"]*)"/>')
_BOOKMARK = re.compile(r'<w:bookmarkStart w:id="\d+" w:name="([^"]*)"/>')
_ANCHOR = re.compile(r'<w:hyperlink w:anchor="([^"]*)"')
_WIDTH = re.compile(r"<w:tcW [^>]*/>")
_INLINE = re.compile(
    r'<w:r><w:fldChar w:fldCharType="begin"/></w:r><w:r><w:instrText xml:space="preserve"> (?P<field>REF [^<]*?) '
    r'</w:instrText></w:r><w:r><w:fldChar w:fldCharType="separate"/></w:r><w:r>(?P<field_look><w:rPr>.*?</w:rPr>)?'
    r'<w:t xml:space="preserve">(?P<shown>[^<]*)</w:t></w:r><w:r><w:fldChar w:fldCharType="end"/></w:r>'
    r"|<w:r>(?P<look><w:rPr>.*?</w:rPr>)?(?P<words>.*?)</w:r>",
    re.DOTALL,
)
_NOT_RUNS = re.compile(
    r"<w:bookmark[^>]*/>|</?w:hyperlink[^>]*>"
    r'|<w:r><w:fldChar w:fldCharType="begin"/></w:r><w:r><w:instrText[^>]*> TOC [^<]*</w:instrText></w:r>'
    r'<w:r><w:fldChar w:fldCharType="separate"/></w:r>'
    r'|(?<=</w:hyperlink>)<w:r><w:fldChar w:fldCharType="end"/></w:r>'
)
_TARGET = re.compile(r"(?<= REF )\S+")
_WORDS = re.compile(r'<w:t xml:space="preserve">([^<]*)</w:t>|<w:(tab|br)/>')
_TOKEN = re.compile(r"\$[\d,]+(?:\.\d+)?|\w+(?:[-'’/.,]\w+)*|\n|\t|[^\S\n\t]+|[^\w\s]")
_DELETED = (
    ("<w:t ", "<w:delText "),
    ("</w:t>", "</w:delText>"),
    ("<w:instrText ", "<w:delInstrText "),
    ("</w:instrText>", "</w:delInstrText>"),
)
_SIGNS = {"tab": "\t", "br": "\n"}

# LibreOffice takes a change that ends with one paragraph and a change that begins the next for one change, with the mark
# between them in it, if both have one author and times no more than a minute apart. So changed words and changed
# paragraphs have different minutes, and those of two paragraphs that follow each other as well.
_BLOCK_MINUTE, _WORDS_MINUTES = "10", ("00", "20")
# It takes a deleted and an inserted paragraph of one author and the same words for one move, and then resolves them in an
# order that costs the next paragraph its style. So the deleted copy is signed otherwise; that tells a reader, too.
_MOVED = " (moved)"
_UNNUMBERED = ("Caption", "Place", "Unnumbered", "Notice")

# Less of a paragraph than this stays: it is shown as replaced, since islands of old words would not read.
_LEAST_KEPT = 0.3
_ISLAND_LETTERS = 6
_ISLAND_CHANGES = 6


class Token(NamedTuple):
    """One word, space, sign or reference. `look` is the run's properties; `field` the instruction of a reference."""

    look: str
    text: str
    field: str = ""

    @property
    def same_as(self) -> tuple[str, str]:
        """What makes two tokens the same: a reference is the same if it points to the same target."""
        return (self.look, self.field or self.text)


@dataclass(frozen=True, slots=True)
class _Lines:
    """One paragraph. `content` is its runs alone, without bookmark, links and the frame of the contents list."""

    key: str
    style: str
    properties: str
    content: str
    bookmark: str


@dataclass(frozen=True, slots=True)
class _Row:
    """One row of a table: its properties, and for each cell the properties and the paragraphs."""

    key: str
    properties: str
    cells: tuple[tuple[str, tuple[_Lines, ...]], ...]


@dataclass(frozen=True, slots=True)
class _Grid:
    """One table. `head` is all that stands before its rows."""

    key: str
    head: str
    rows: tuple[_Row, ...]
    columns: int


_Block = _Lines | _Grid


def write_redline(old: Agreement, new: Agreement, stamp: Stamp, author: str, day: date) -> bytes:
    """Give a DOCX file that shows how `new` differs from `old`.

    Args:
        old: the earlier version. It is shown in the layout and the numbering style of `new`.
        new: the later version.
        stamp: the mark of the later version, and the words at the head of each page.
        author: who made the changes, as the word processor will show it.
        day: the day of the changes.

    Raises:
        WriterError: a reference points to nothing in its version.
        NumberingError: a version cannot be numbered.
    """
    old = replace(old, layout=new.layout, numbering=new.numbering)
    numbering = number(new)
    before = _blocks(body_of(old, number(old)))
    after = _blocks(body_of(new, numbering))
    body = _Redline(author, day).body(before, after)
    parts = document_parts(new, numbering, stamp, body)
    # The other side's answer is tracked as well, unless they turn it off.
    settings = parts["word/settings.xml"].replace(b"<w:defaultTabStop", b"<w:trackRevisions/><w:defaultTabStop", 1)
    return pack({**parts, "word/settings.xml": settings})


def old_bookmark(name: str) -> str:
    """Give the name under which the deleted copy of a moved paragraph keeps its bookmark: `_O_` for `_P_`."""
    return f"_O_{name[3:]}"


# Reading our own XML. It is read by patterns because one writer wrote it: paragraphs and tables are not nested.


def _blocks(body: str) -> list[_Block]:
    out: list[_Block] = []
    last, counts = "", dict[str, int]()
    for found in _BLOCK.finditer(body):
        source = found[0]
        if source.startswith("<w:tbl>"):
            kind, name = "table", ""
        else:
            style = _STYLE.search(source)
            kind, name = (style[1] if style else ""), _first(_BOOKMARK, source)
        key = name
        if not name:
            anchor = _first(_ANCHOR, source)
            place = f"contents {anchor}" if anchor else kind if kind == "ClosingLine" else f"{last} {kind}"
            if kind == "CaseLine":
                place = f"{kind} {_first(_WORDS, source)}"  # what the line is: "Petitioner", "Case number"
            counts[place] = counts.get(place, 0) + 1
            key = f"{place} {counts[place]}"
        out.append(_grid(source, key) if kind == "table" else _lines(source, key))
        last = name or last
    return out


def _first(pattern: re.Pattern[str], text: str) -> str:
    found = pattern.search(text)
    return found[1] if found else ""


def _lines(source: str, key: str) -> _Lines:
    found = _PARAGRAPH.fullmatch(source)
    if found is None:
        raise ValueError(f"not a paragraph of our own writer: {source[:80]}")
    properties, content = found[1] or "", found[2]
    return _Lines(key, _first(_STYLE, properties), properties, _NOT_RUNS.sub("", content), _first(_BOOKMARK, content))


def tokens_of(content: str) -> Iterator[Token]:
    """Give the tokens of runs that our own writer wrote."""
    for found in _INLINE.finditer(content):
        if found["field"]:
            yield Token(found["field_look"] or "", _plain(found["shown"]), found["field"])
            continue
        look = found["look"] or ""
        text = "".join(_SIGNS.get(sign, "") or _plain(words) for words, sign in _WORDS.findall(found["words"]))
        yield from (Token(look, part) for part in _TOKEN.findall(text))


def _plain(text: str) -> str:
    return text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")


def _grid(source: str, key: str) -> _Grid:
    head = source[len("<w:tbl>") : source.index("<w:tr>")]
    rows, counts = [], dict[str, int]()
    for found in _ROW.finditer(source):
        name = _first(_BOOKMARK, found[2])
        if not name:
            kind = "head" if "<w:tblHeader/>" in found[1] else "row"
            counts[kind] = counts.get(kind, 0) + 1
            name = f"{kind} {counts[kind]}"
        cells = tuple(
            (cell[1], tuple(_lines(p[0], "") for p in _PARAGRAPH.finditer(cell[2])))
            for cell in _CELL.finditer(found[2])
        )
        rows.append(_Row(name, found[1], cells))
    return _Grid(key, head, tuple(rows), head.count("<w:gridCol "))


def _all_lines(block: _Block) -> Iterator[_Lines]:
    if isinstance(block, _Lines):
        yield block
        return
    for row in block.rows:
        for _, content in row.cells:
            yield from content


def _bookmarks(block: _Block) -> Iterator[str]:
    return (lines.bookmark for lines in _all_lines(block) if lines.bookmark)


def _said(lines: _Lines) -> str:
    """The words of a paragraph, references left out and spaces made one."""
    return " ".join("".join(t.text for t in tokens_of(lines.content) if not t.field).split())


# Which blocks stay


def staying(old: Sequence[str], new: Sequence[str]) -> set[str]:
    """Give the keys that stand in both lists and keep their order: the longest such choice (keys are unique in a list).

    The length is that of the longest increasing subsequence, found by binary search: n log n.
    """
    places = {key: place for place, key in enumerate(old)}
    common = [key for key in new if key in places]
    tails: list[int] = []
    ends: list[int] = []
    before: list[int] = []
    for at, key in enumerate(common):
        place = places[key]
        spot = bisect_left(tails, place)
        tails[spot : spot + 1] = [place]
        ends[spot : spot + 1] = [at]
        before.append(ends[spot - 1] if spot else -1)
    kept: set[str] = set()
    at = ends[-1] if ends else -1
    while at >= 0:
        kept.add(common[at])
        at = before[at]
    return kept


def _unlike(old: Sequence[_Block], new: Sequence[_Block]) -> set[str]:
    """Give the keys whose block has another list style or other columns, and that of the caption of such a table."""
    now = {block.key: block for block in new}
    found: set[str] = set()
    for place, block in enumerate(old):
        other = now.get(block.key)
        if isinstance(block, _Lines) and isinstance(other, _Lines) and block.style != other.style:
            found.add(block.key)
        if isinstance(block, _Grid) and isinstance(other, _Grid) and block.columns != other.columns:
            found |= {block.key, old[place - 1].key}
    return found


# Writing


_Edit = tuple[str, _Block, _Block | None]
"""What happens to a block: "keep", "ins" or "del"; the block as it is written; the old block, if it is kept."""


def _edits(old: Sequence[_Block], new: Sequence[_Block], stay: set[str]) -> list[_Edit]:
    """Give all edits in order. What went stands before what came, but after a table that came."""
    out: list[_Edit] = []
    places = {block.key: place for place, block in enumerate(old)}
    place = 0
    came: list[_Edit] = []
    for block in (*new, None):
        if block is not None and block.key not in stay:
            came.append(("ins", block, None))
            continue
        end = len(old) if block is None else places[block.key]
        went: list[_Edit] = [("del", gone, None) for gone in old[place:end]]
        first = _holds_table(came) and not _holds_table(went)
        out += (*came, *went) if first else (*went, *came)
        if block is not None:
            out.append(("keep", block, old[end]))
        place, came = end + 1, []
    return out


def _holds_table(edits: Sequence[_Edit]) -> bool:
    """Say whether a table is among the blocks."""
    return any(isinstance(edit[1], _Grid) for edit in edits)


def _has_table(edits: Sequence[_Edit], start: int) -> bool:
    """Say whether the run of one kind that begins at `start` holds a table."""
    for edit in edits[start:]:
        if edit[0] != edits[start][0]:
            return False
        if isinstance(edit[1], _Grid):
            return True
    return False


class _Redline:
    """Writes one redline. Every revision and bookmark takes the next number."""

    def __init__(self, author: str, day: date) -> None:
        self._author = self._signed = author
        self._day = day.isoformat()
        self._minute = _BLOCK_MINUTE
        self._words = 0
        self._came: set[str] = set()
        self._count = 0
        self._here: set[str] = set()
        self._moved: set[str] = set()

    def body(self, old: Sequence[_Block], new: Sequence[_Block]) -> str:
        """Give the whole body."""
        unlike = _unlike(old, new)
        stay = staying([b.key for b in old], [b.key for b in new if b.key not in unlike])
        self._here = {name for block in new for name in _bookmarks(block)}
        self._moved = {name for block in old if block.key not in stay for name in _bookmarks(block)} & self._here
        edits = _edits(old, new, stay)
        self._came = {_said(lines) for kind, block, _ in edits if kind == "ins" for lines in _all_lines(block)} - {""}
        return "".join(self._written(edits))

    def _written(self, edits: Sequence[_Edit]) -> Iterator[str]:
        """Yield every edit, in runs of one kind."""
        place = 0
        while place < len(edits):
            kind, block, was = edits[place]
            end = place + 1
            if was is not None:
                following = edits[end][0] if end < len(edits) else ""
                leads = following == "ins" and isinstance(block, _Lines) and _has_table(edits, end)
                yield self.kept(was, block, "ins" if leads else "")
                place = end
                if not leads:
                    continue
                kind, end = following, end + 1
            while end < len(edits) and edits[end][0] == kind:
                end += 1
            lead = block if was is not None and isinstance(block, _Lines) else None
            yield from self.run([edit[1] for edit in edits[place:end]], kind, lead)
            place = end

    def run(self, blocks: Sequence[_Block], kind: str, lead: _Lines | None) -> Iterator[str]:
        """Yield blocks that were inserted or deleted together, each table with the paragraphs before it.

        No word processor takes away the mark of a paragraph before a table. So where numbered paragraphs, a caption and
        a table came or went, the mark before them is the one that came or went, as if the words had been typed at the
        end of the paragraph before (`lead`), and the caption's mark stays. Where no paragraph can lead, an empty
        one does.
        """
        start = 0
        for place, block in enumerate(blocks):
            if not isinstance(block, _Grid):
                continue
            words = [lines for lines in blocks[start:place] if isinstance(lines, _Lines)]
            caption = words.pop() if words else None
            if caption is not None:
                first = (words or [caption])[0]
                if kind == "ins" or first.style not in _UNNUMBERED:
                    if lead is None:
                        yield self.empty(kind)
                    yield from (self.whole_lines(kind, lines) for lines in words)
                    yield self.last_lines(kind, caption, lead)
                else:
                    yield from (self.whole_lines(kind, lines) for lines in (*words, caption))
            yield self.whole(kind, block)
            start, lead = place + 1, None
        yield from (self.whole(kind, block) for block in blocks[start:])

    def empty(self, kind: str) -> str:
        """Give an empty unnumbered paragraph whose mark came or went."""
        self._minute = _BLOCK_MINUTE
        mark = f"<w:rPr>{self.mark(kind)}</w:rPr></w:pPr>"
        return xml.paragraph(xml.paragraph_properties(style="Unnumbered").replace("</w:pPr>", mark), "")

    def last_lines(self, kind: str, lines: _Lines, lead: _Lines | None) -> str:
        """Give the caption that ends a run: its words came or went, its mark stays. Rejected, it is the lead's mark."""
        self._minute = _BLOCK_MINUTE
        properties = lines.properties
        if lead is not None:
            old = f"<w:pPrChange {self._stamp()}>{lead.properties}</w:pPrChange></w:pPr>"
            properties = properties.replace("</w:pPr>", old)
        content = self.was(lines.content) if kind == "del" else lines.content
        name = old_bookmark(lines.bookmark) if kind == "del" and lines.bookmark in self._here else lines.bookmark
        return xml.paragraph(properties, self.marked(name, self.changed(kind, content)))

    def _next(self) -> int:
        self._count += 1
        return self._count

    def _stamp(self) -> str:
        when = f"{self._day}T00:{self._minute}:00Z"
        return f'w:id="{self._next()}" w:author="{xml.attribute(self._signed)}" w:date="{when}"'

    def mark(self, kind: str) -> str:
        """Give the empty element that marks a paragraph or row as inserted or deleted."""
        return f"<w:{kind} {self._stamp()}/>"

    def changed(self, kind: str, content: str) -> str:
        """Give runs as inserted or deleted ones."""
        if not content:
            return ""
        if kind == "del":
            for name, other in _DELETED:
                content = content.replace(name, other)
        return f"<w:{kind} {self._stamp()}>{content}</w:{kind}>"

    def was(self, content: str) -> str:
        """Give runs of the old version, their references pointing to the old copies of moved paragraphs."""
        if not self._moved or " REF " not in content:
            return content
        return _TARGET.sub(lambda name: old_bookmark(name[0]) if name[0] in self._moved else name[0], content)

    def whole(self, kind: str, block: _Block) -> str:
        """Give a block that is inserted or deleted as a whole."""
        if isinstance(block, _Lines):
            return self.whole_lines(kind, block)
        rows = "".join(self.whole_row(kind, row) for row in block.rows)
        return f"<w:tbl>{block.head}{rows}</w:tbl>"

    def whole_lines(self, kind: str, lines: _Lines) -> str:
        """Give a paragraph that is inserted or deleted, its mark with it."""
        content = self.was(lines.content) if kind == "del" else lines.content
        self._minute = _BLOCK_MINUTE
        self._signed = self._author + (_MOVED if kind == "del" and _said(lines) in self._came else "")
        mark = f"<w:rPr>{self.mark(kind)}</w:rPr></w:pPr>"
        properties = lines.properties.removesuffix("</w:pPr>") or "<w:pPr>"
        name = lines.bookmark
        if kind == "del" and name in self._here:
            name = old_bookmark(name)
        made = xml.paragraph(properties + mark, self.marked(name, self.changed(kind, content)))
        self._signed = self._author
        return made

    def marked(self, name: str, content: str) -> str:
        """Give content inside its bookmark, if it has one."""
        return xml.bookmarked(name, self._next(), content) if name else content

    def whole_row(self, kind: str, row: _Row, widths: Sequence[str] = ()) -> str:
        """Give a row that is inserted or deleted; `widths` are the columns of the table that it now stands in."""
        cells = []
        for place, (properties, content) in enumerate(row.cells):
            if widths:
                properties = _WIDTH.sub(widths[place], properties)
            inner = "".join(self.whole_lines(kind, lines) for lines in content)
            cells.append(f"<w:tc>{properties}{inner}</w:tc>")
        properties = row.properties.replace("</w:trPr>", f"{self.mark(kind)}</w:trPr>")
        return f"<w:tr>{properties}{''.join(cells)}</w:tr>"

    def kept(self, old: _Block, new: _Block, mark: str = "") -> str:
        """Give a block that stands in both versions, with what changed inside it. `mark`: its mark came or went."""
        if isinstance(old, _Lines) and isinstance(new, _Lines):
            return self.kept_lines(old, new, mark)
        if isinstance(old, _Grid) and isinstance(new, _Grid):
            return self.kept_grid(old, new)
        raise ValueError(f"a paragraph and a table have one key: {new.key}")

    def kept_lines(self, old: _Lines, new: _Lines, mark: str = "") -> str:
        """Give a paragraph with the new version's properties, and its words with their changes."""
        self._words += 1
        self._minute = _WORDS_MINUTES[self._words % 2]
        content = self.marked(new.bookmark, self.words(self.was(old.content), new.content))
        properties = new.properties
        if mark:
            self._minute = _BLOCK_MINUTE
            properties = properties.replace("</w:pPr>", f"<w:rPr>{self.mark(mark)}</w:rPr></w:pPr>")
        return xml.paragraph(properties, content)

    def words(self, old: str, new: str) -> str:
        """Give the runs of two versions of a paragraph as one, with what changed."""
        if old == new:
            return new
        out = []
        for same, a, b in hunks(tuple(tokens_of(old)), tuple(tokens_of(new))):
            out.append(runs(b) if same else self.changed("del", runs(a)) + self.changed("ins", runs(b)))
        return "".join(out)

    def kept_grid(self, old: _Grid, new: _Grid) -> str:
        """Give a table with changed cells, and rows that came or went."""
        stay = staying([row.key for row in old.rows], [row.key for row in new.rows])
        widths = [_WIDTH.search(properties) for properties, _ in new.rows[0].cells] if new.rows else []
        measures = [found[0] if found else "" for found in widths]
        out = []
        place = 0
        for row in (*new.rows, None):
            while place < len(old.rows) and old.rows[place].key not in stay:
                out.append(self.whole_row("del", old.rows[place], measures))
                place += 1
            if row is None:
                break
            if row.key not in stay:
                out.append(self.whole_row("ins", row))
                continue
            pairs = zip(old.rows[place].cells, row.cells, strict=True)
            cells = "".join(f"<w:tc>{now[0]}{self.kept_cell(then[1], now[1])}</w:tc>" for then, now in pairs)
            out.append(f"<w:tr>{row.properties}{cells}</w:tr>")
            place += 1
        return f"<w:tbl>{new.head}{''.join(out)}</w:tbl>"

    def kept_cell(self, old: Sequence[_Lines], new: Sequence[_Lines]) -> str:
        """Give the paragraphs of a cell. They pair off from the last, which a cell cannot do without."""
        shared = min(len(old), len(new))
        first = [self.whole_lines("del", lines) for lines in old[: len(old) - shared]]
        first += [self.whole_lines("ins", lines) for lines in new[: len(new) - shared]]
        pairs = zip(old[len(old) - shared :], new[len(new) - shared :], strict=True)
        return "".join((*first, *(self.kept_lines(a, b) for a, b in pairs)))


def runs(tokens: Iterable[Token]) -> str:
    """Give the runs of tokens, those of one look in one run."""
    out: list[str] = []
    for (look, is_field), group in groupby(tokens, key=lambda t: (t.look, bool(t.field))):
        if is_field:
            out.extend(xml.field(token.field, token.text, look) for token in group)
        else:
            out.append(xml.run("".join(token.text for token in group), look))
    return "".join(out)


Hunk = tuple[bool, tuple[Token, ...], tuple[Token, ...]]


def hunks(old: tuple[Token, ...], new: tuple[Token, ...]) -> list[Hunk]:
    """Give the changes from `old` to `new` in order: (whether they are the same, old tokens, new tokens)."""
    a, b = [t.same_as for t in old], [t.same_as for t in new]
    if a == b:
        return [(True, old, new)]
    found: list[Hunk] = []
    kept = 0
    for kind, i, j, k, m in SequenceMatcher(None, a, b, autojunk=False).get_opcodes():
        found.append((kind == "equal", old[i:j], new[k:m]))
        kept += _weight(new[k:m]) if kind == "equal" else 0
    if kept < _LEAST_KEPT * max(_weight(old), _weight(new)):
        return [(False, old, new)]
    return _joined(found)


def _weight(tokens: Iterable[Token]) -> int:
    return sum(not token.text.isspace() for token in tokens)


def _joined(found: list[Hunk]) -> list[Hunk]:
    """Take what stays between two changes into them if it is only space, or a short word amid many changes."""
    out: list[Hunk] = []
    for place, hunk in enumerate(found):
        same, a, b = hunk
        between = same and 0 < place < len(found) - 1
        if between and _is_island(found[place - 1], b, found[place + 1]):
            same = False
        if out and not same and not out[-1][0]:
            out[-1] = (False, out[-1][1] + a, out[-1][2] + b)
        else:
            out.append((same, a, b))
    return out


def _is_island(before: Hunk, kept: tuple[Token, ...], after: Hunk) -> bool:
    if not _weight(kept):
        return "\n" not in "".join(token.text for token in kept)
    if any(token.field for token in kept):
        return False
    changes = sum(_weight(tokens) for hunk in (before, after) for tokens in hunk[1:])
    return sum(len(token.text) for token in kept) <= _ISLAND_LETTERS and changes >= _ISLAND_CHANGES
