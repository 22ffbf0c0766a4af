"""Read a DOCX as paragraphs: text, styles, references, bookmarks, numbers, tracked changes, comments.

Knows nothing of a case. Tracked changes are resolved while reading, the way a word processor accepts or rejects them
(ECMA-376 Part 1, section 17.13.5): a paragraph whose mark goes is joined to the one after it, and vanishes if nothing
of it is left. Generated parts (table of contents, page numbers) are marked or left out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from msadraft.rounds.intake import guard
from msadraft.rounds.intake.guard import IntakeError
from msadraft.rounds.intake.lists import Counter, Lists, Shown, W, value
from msadraft.writers.docx.parts import MAP_NAMESPACE, MARK_PROPERTY
from msadraft.writers.inline import clean

Mode = Literal["accept", "reject"]
OURS = "_P_"
MOST_BODY_DEPTH = 60
_REF = re.compile(r"^\s*REF\s+(\S+)\s+(.*)$", re.DOTALL)
_MARK = re.compile(r"((?:Round \d+|Draft) · [0-9a-f]{8})")
_COPY = re.compile(r"_Copy_\d+$")
_NUMBER = re.compile(r"(?:[^\W\d_]{1,12} )?[\w.()-]{0,16}")
"""What a number field of ours can show: "4.2", "(a)", "Exhibit B", "B-1"."""
_MC = "{http://schemas.openxmlformats.org/markup-compatibility/2006}"
_TEXTS = (W + "t", W + "delText")
_ASIDE = (W + "drawing", W + "pict", W + "object")
_VT = "{http://schemas.openxmlformats.org/officeDocument/2006/docPropsVTypes}"
_CHANGES = {
    W + "ins": "inserted", W + "del": "deleted", W + "moveFrom": "moved away", W + "moveTo": "moved here",
}  # fmt: skip


@dataclass(slots=True)
class Span:
    """One stretch of a paragraph in one style. `refs` are the bookmarks of a chain of number fields."""

    text: str
    bold: bool = False
    italic: bool = False
    refs: tuple[str, ...] = ()


@dataclass(slots=True)
class Par:
    """One paragraph as it reads after the tracked changes are resolved.

    `names` are our bookmarks that begin in it, `copied` those that a copy was made of. `cell` is (table, row, column)
    by count. `contents` marks the table of contents. `shown` is its list number.
    """

    spans: list[Span] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    copied: list[str] = field(default_factory=list)
    style: str = ""
    cell: tuple[int, int, int] | None = None
    contents: bool = False
    shown: Shown | None = None
    comments: list[str] = field(default_factory=list)
    others: list[str] = field(default_factory=list)
    list_place: tuple[str, int] | None = None

    @property
    def text(self) -> str:
        """The text, every run of white space as one space."""
        return fold("".join(span.text for span in self.spans))

    @property
    def key(self) -> str:
        """The text by which paragraphs are compared: a reference counts by its target, not by the number it shows."""
        return fold("".join(f"\ue000{'+'.join(s.refs)}\ue001" if s.refs else s.text for s in self.spans))


@dataclass(frozen=True, slots=True)
class Tracked:
    """One tracked change: what was done, by whom, when, to which words, in which paragraph (a count in the document)."""

    kind: str
    author: str
    date: str
    text: str
    near: str


@dataclass(frozen=True, slots=True)
class Remark:
    """One comment. `id` is the document's own."""

    id: str
    author: str
    date: str
    text: str


@dataclass(frozen=True, slots=True)
class Node:
    """What the map inside the document says about one node."""

    id: str
    kind: str
    clause: str
    bookmark: str
    level: int
    label: str
    number: str
    hash: str


@dataclass(slots=True)
class Document:
    """A document as it was read."""

    name: str
    pars: list[Par]
    mark: str
    title: str
    nodes: dict[str, Node]
    tracked: list[Tracked]
    remarks: dict[str, Remark]
    margins: list[str]
    numbering: str = "decimal"


def fold(text: str) -> str:
    """Give text with every run of white space as one space, without signs that no writer keeps."""
    return " ".join(clean(text).split())


def read_document(path: Path, mode: Mode = "accept") -> Document:
    """Read a DOCX. Raises IntakeError if it cannot be used."""
    return read_parts(guard.open_package(path), path.name, mode)


def read_parts(parts: dict[str, bytes], name: str, mode: Mode = "accept") -> Document:
    """Read the parts of a DOCX. Raises IntakeError if they cannot be used."""
    root = guard.parse(parts, "word/document.xml", name)
    body = root.find(W + "body")
    if root.tag != W + "document" or body is None:
        raise IntakeError(f"{name}: word/document.xml holds no text of a document; save the document as DOCX again")

    def part(part_name: str) -> Any:
        return guard.parse(parts, part_name, name) if part_name in parts else None

    lists = Lists(part("word/numbering.xml"), part("word/styles.xml"))
    reader = _Reader(name, lists, mode)
    reader.stray = reader.stray_fields(body)
    reader.blocks(body, None, 0)
    reader.finish()
    mark, title, nodes, numbering = _own_map(parts, name)
    margins = [
        _all_text(guard.parse(parts, p, name))
        for start in ("word/header", "word/footer", "word/footnotes", "word/endnotes")
        for p in guard.parts_like(parts, start)
    ]
    if not mark:
        found = _MARK.search(" ".join(margins))
        mark = found[1] if found else ""
    remarks = _remarks(part("word/comments.xml"))
    return Document(name, reader.pars, mark, title, nodes, _tracked(body), remarks, margins, numbering)


def _own_map(parts: dict[str, bytes], name: str) -> tuple[str, str, dict[str, Node], str]:
    """The mark, title, nodes and numbering style that the document carries about itself; empty where it has none."""
    for part in guard.parts_like(parts, "customXml/item"):
        if MAP_NAMESPACE.encode() not in parts[part]:
            continue
        root = guard.parse(parts, part, name)
        if root.tag != f"{{{MAP_NAMESPACE}}}map":
            continue
        nodes = {}
        for n in root:
            level = n.get("level", "0")
            nodes[n.get("bookmark", "")] = Node(
                n.get("id", ""), n.get("kind", ""), n.get("clause", ""), n.get("bookmark", ""),
                int(level) if level.isdecimal() and len(level) < 3 else 0, n.get("label", ""), n.get("number", ""),
                n.get("hash", ""),
            )  # fmt: skip
        return root.get("mark", ""), root.get("title", ""), nodes, root.get("numbering", "decimal")
    if "docProps/custom.xml" in parts:
        for found in guard.parse(parts, "docProps/custom.xml", name):
            if found.get("name") == MARK_PROPERTY:
                return (found.findtext(_VT + "lpwstr") or "").strip(), "", {}, "decimal"
    return "", "", {}, "decimal"


def _all_text(root: Any) -> str:
    """The text of a header, footer or note, without what the word processor counts itself."""
    out: list[str] = []
    in_field = 0
    for node in root.iter(W + "t", W + "tab", W + "p", W + "fldChar"):
        if node.tag == W + "fldChar":
            kind = node.get(W + "fldCharType")
            in_field += 1 if kind == "begin" else -1 if kind == "end" else 0
        elif node.tag == W + "t":
            if in_field <= 0:
                out.append(node.text or "")
        else:
            out.append(" ")
    return fold("".join(out))


def _remarks(root: Any) -> dict[str, Remark]:
    found: dict[str, Remark] = {}
    for comment in root.iterfind(W + "comment") if root is not None else ():
        number = comment.get(W + "id", "")
        text = " ".join(fold("".join(t.text or "" for t in p.iter(W + "t"))) for p in comment.iter(W + "p")).strip()
        found[number] = Remark(number, comment.get(W + "author", ""), comment.get(W + "date", "")[:10], text)
    return found


def _tracked(body: Any) -> list[Tracked]:
    """Every tracked change, in reading order; neighbours of one kind and author in one paragraph count as one."""
    out: list[Tracked] = []
    for node in body.iter(*_CHANGES):
        parent = node.getparent()
        if parent is None:
            continue
        kind = _CHANGES[node.tag]
        paragraph = next((a for a in node.iterancestors(W + "p")), None)
        near = ""
        if paragraph is not None:
            near = fold("".join(t.text or "" for t in paragraph.iter(W + "t", W + "delText")))[:60]
        if parent.tag == W + "rPr":
            text = ""
            kind = f"paragraph {kind}"
        elif parent.tag == W + "trPr":
            row = parent.getparent()
            text = fold(" ".join(t.text or "" for t in row.iter(W + "t", W + "delText")))
            kind = f"row {kind}"
        else:
            text = fold("".join(t.text or "" for t in node.iter(W + "t", W + "delText")))
        author, date = node.get(W + "author", ""), node.get(W + "date", "")[:10]
        last = out[-1] if out else None
        if last and (last.kind, last.author, last.date, last.near) == (kind, author, date, near) and text:
            out[-1] = Tracked(kind, author, date, f"{last.text} {text}".strip(), near)
        else:
            out.append(Tracked(kind, author, date, text, near))
    return out


@dataclass(slots=True)
class _Field:
    """A field that is being read."""

    instruction: str = ""
    result: bool = False
    shown: str = ""
    bold: bool = False

    @property
    def target(self) -> str:
        found = _REF.match(self.instruction)
        return found[1] if found and "\\n" in found[2] else ""

    @property
    def is_contents(self) -> bool:
        return _is_contents(self.instruction)


def _is_contents(instruction: str) -> bool:
    return instruction.strip().startswith("TOC")


class _Reader:
    def __init__(self, name: str, lists: Lists, mode: Mode) -> None:
        self.name, self.lists, self.mode = name, lists, mode
        self.counter = Counter(lists)
        self.pars: list[Par] = []
        self.fields: list[_Field] = []
        self.carried: Par | None = None
        self.loose: list[str] = []
        self.unread: list[str] = []
        self.stray: set[Any] = set()
        self.tables = 0
        kept, dropped = ("ins", "del") if mode == "accept" else ("del", "ins")
        self.kept = {W + kept, W + ("moveTo" if mode == "accept" else "moveFrom")}
        self.dropped = {W + dropped, W + ("moveFrom" if mode == "accept" else "moveTo")}

    def stray_fields(self, body: Any) -> set[Any]:
        """The ends of fields that are no whole fields, so that none of them swallows the words behind it.

        A whole field has a beginning and an end, no words before its result, and, if it shows a number, stands in one
        paragraph; a table of contents holds no paragraph of the agreement.
        """
        open_fields: list[list[Any]] = []
        stray: set[Any] = set()
        for node in body.iter(W + "fldChar", W + "instrText", W + "delInstrText", W + "bookmarkStart", *_TEXTS):
            if node.tag == W + "bookmarkStart":
                for one in open_fields if node.get(W + "name", "").startswith(OURS) else ():
                    one[3] = one[3] or _is_contents(one[2])
                continue
            above = list(node.iterancestors())
            if any(a.tag in self.dropped or a.tag in _ASIDE or a.tag.startswith(_MC) for a in above):
                continue
            if node.tag != W + "fldChar":
                if open_fields and node.tag in _TEXTS and (node.text or "").strip():
                    for one in open_fields:
                        one[3] = one[3] or not one[1]
                elif open_fields and node.tag not in _TEXTS and not open_fields[-1][1]:
                    open_fields[-1][2] += node.text or ""
                continue
            kind, paragraph = node.get(W + "fldCharType"), next((a for a in above if a.tag == W + "p"), None)
            if kind == "begin":
                open_fields.append([[node], False, "", False, paragraph])
            elif not open_fields:
                stray.add(node)
            elif kind == "separate":
                open_fields[-1][0].append(node)
                open_fields[-1][1] = True
            elif kind == "end":
                ends, _, instruction, words, began_in = open_fields.pop()
                if words or (began_in is not paragraph and _REF.match(instruction)):
                    stray.update((*ends, node))
        return stray.union(node for one in open_fields for node in one[0])

    # blocks

    def blocks(self, parent: Any, cell: tuple[int, int, int] | None, depth: int) -> None:
        if depth > MOST_BODY_DEPTH:
            raise IntakeError(
                f"{self.name}: tables or frames nest without end; the document is damaged or tampered with; ask for it again"
            )
        for child in parent:
            tag = child.tag
            if tag == W + "p":
                self.paragraph(child, cell)
            elif tag == W + "tbl":
                self.flush()
                self.table(child, cell, depth)
            elif tag in (W + "sdt", W + "customXml", W + "smartTag"):
                inner = child.find(W + "sdtContent") if tag == W + "sdt" else child
                if inner is not None:
                    self.blocks(inner, cell, depth + 1)
            elif tag in self.kept:
                self.blocks(child, cell, depth + 1)
            elif tag == W + "bookmarkStart":
                self.loose.append(child.get(W + "name", ""))
            elif tag not in self.dropped and (words := _words(child)):
                self.unread.append(words)

    def table(self, table: Any, cell: tuple[int, int, int] | None, depth: int) -> None:
        self.tables += 1
        number = self.tables
        for r, row in enumerate(_within(table, "tr")):
            marks = row.find(W + "trPr")
            if marks is not None and any(marks.find(tag) is not None for tag in self.dropped):
                continue
            for c, one in enumerate(_within(row, "tc")):
                # a table inside a cell counts to the outer cell
                self.blocks(one, cell or (number, r, c), depth + 1)
                self.flush()

    def paragraph(self, element: Any, cell: tuple[int, int, int] | None) -> None:
        properties = element.find(W + "pPr")
        shown = properties
        if self.mode == "reject" and properties is not None:
            before = properties.find(f"{W}pPrChange/{W}pPr")
            shown = properties if before is None else before
        par = Par(cell=cell)
        for name in self.loose:
            self.bookmark(name, par)
        self.loose = []
        par.others += self.unread
        self.unread = []
        par.style = value(shown, "pStyle") or ""
        par.list_place = self.lists.of(par.style, shown.find(W + "numPr") if shown is not None else None)
        par.style = self.lists.style_names.get(par.style, par.style)
        par.contents = any(f.is_contents for f in self.fields)
        had_content = self.content(element, par)
        par.contents = (par.contents or any(f.is_contents for f in self.fields)) and not par.names
        mark = properties.find(W + "rPr") if properties is not None else None
        goes = mark is not None and any(mark.find(tag) is not None for tag in self.dropped)
        if self.carried is not None:
            before_par = self.carried
            par.spans[:0] = before_par.spans
            par.names[:0] = before_par.names
            par.comments[:0] = before_par.comments
            par.others[:0] = before_par.others
            self.carried = None
        if len(self.pars) > guard.MOST_PARAGRAPHS:
            raise IntakeError(
                f"{self.name}: the document holds more than {guard.MOST_PARAGRAPHS:,} paragraphs; no agreement is so long"
            )
        if not goes:
            self.pars.append(par)
            return
        if not par.text and not any(s.refs for s in par.spans):
            if not had_content:
                # a paragraph that is gone with its mark; remarks on it are kept
                self.loose_comments(par)
            return
        self.carried = par

    def loose_comments(self, par: Par) -> None:
        if par.comments and self.pars:
            self.pars[-1].comments += par.comments

    def flush(self) -> None:
        """Keep what is left of a paragraph whose mark goes when no paragraph follows it in its cell or body."""
        if self.carried is not None:
            self.pars.append(self.carried)
            self.carried = None

    def finish(self) -> None:
        """Join neighbouring fields of one chain and count the lists."""
        self.flush()
        if self.unread and self.pars:
            self.pars[-1].others += self.unread
        for par in self.pars:
            par.spans = _joined(par.spans)
            if par.list_place is not None:
                par.shown = self.counter.next(*par.list_place)

    # inside a paragraph

    def content(self, parent: Any, par: Par) -> bool:
        found = False
        for child in parent:
            tag = child.tag
            if tag == W + "r":
                found = self.run(child, par) or found
            elif tag == W + "bookmarkStart":
                self.bookmark(child.get(W + "name", ""), par)
            elif tag in self.kept or tag in (W + "hyperlink", W + "smartTag", W + "customXml", W + "dir", W + "bdo"):
                found = self.content(child, par) or found
            elif tag == W + "sdt":
                inner = child.find(W + "sdtContent")
                found = (inner is not None and self.content(inner, par)) or found
            elif tag == W + "fldSimple":
                self.fields.append(_Field(child.get(W + "instr", ""), result=True))
                found = self.content(child, par) or found
                self.end_field(par)
            elif tag == W + "commentRangeStart":
                par.comments.append(child.get(W + "id", ""))
            elif tag.endswith(("}oMath", "}oMathPara")):
                par.others.append("a formula")
            elif tag != W + "pPr" and tag not in self.dropped and (words := _words(child)):
                par.others.append(words)
        return found

    def bookmark(self, name: str, par: Par) -> None:
        if not name.startswith(OURS):
            return
        if _COPY.search(name):
            par.copied.append(_COPY.sub("", name))
        elif name not in par.names:
            par.names.append(name)

    def run(self, run: Any, par: Par) -> bool:
        properties = run.find(W + "rPr")
        bold, italic = _on(properties, "b"), _on(properties, "i")
        found = False
        for child in run:
            tag = child.tag
            if tag in (W + "t", W + "delText"):
                self.add(child.text or "", bold, italic, par)
                found = found or bool(child.text)
            elif tag in (W + "tab", W + "ptab"):
                self.add("\t", bold, italic, par)
            elif tag in (W + "br", W + "cr"):
                self.add("\n", bold, italic, par)
            elif tag == W + "noBreakHyphen":
                self.add("\u2011", bold, italic, par)
            elif tag == W + "fldChar":
                if child not in self.stray:
                    self.field_char(child.get(W + "fldCharType"), par)
            elif tag in (W + "instrText", W + "delInstrText"):
                if self.fields and not self.fields[-1].result:
                    self.fields[-1].instruction += child.text or ""
            elif tag == W + "commentReference":
                if child.get(W + "id", "") not in par.comments:
                    par.comments.append(child.get(W + "id", ""))
            elif tag == W + "sym":
                self.add("\ufffd", bold, italic, par)
                par.others.append("a symbol of a special font")
            elif tag in (W + "footnoteReference", W + "endnoteReference"):
                par.others.append("a footnote or endnote")
            elif tag in (W + "drawing", W + "pict", W + "object") or tag.startswith(_MC):
                words = fold(" ".join(t.text or "" for t in child.iter(W + "t")))
                par.others.append(f"a text box: {words}" if words else "a picture or drawing")
            elif words := _words(child):
                par.others.append(words)
        return found

    def field_char(self, kind: str | None, par: Par) -> None:
        if kind == "begin":
            self.fields.append(_Field())
        elif kind == "separate" and self.fields:
            self.fields[-1].result = True
        elif kind == "end" and self.fields:
            self.end_field(par)

    def end_field(self, par: Par) -> None:
        done = self.fields.pop()
        if done.is_contents:
            par.contents = True
        elif done.target:
            if not _NUMBER.fullmatch(fold(done.shown)):
                par.others.append(f"words in the field of a number: {fold(done.shown)}")
            par.spans.append(Span(done.shown, done.bold, False, (done.target,)))

    def add(self, text: str, bold: bool, italic: bool, par: Par) -> None:
        text = text.replace("\ue000", "").replace("\ue001", "")  # the signs that `key` sets
        if not text:
            return
        for field_ in self.fields:
            if not field_.result:
                return
            if field_.target:
                field_.shown += text
                field_.bold = bold
                return
        last = par.spans[-1] if par.spans else None
        if last is not None and not last.refs and (last.bold, last.italic) == (bold, italic):
            last.text += text
        else:
            par.spans.append(Span(text, bold, italic))


def _words(element: Any) -> str:
    """What an element that is not read says, so that it is told; "" if it says nothing."""
    words = fold(" ".join(t.text or "" for t in element.iter(*_TEXTS)))
    return f"words in {element.tag.rpartition('}')[2]}, which is not read: {words}" if words else ""


def _within(parent: Any, name: str) -> Iterator[Any]:
    """Rows of a table or cells of a row, also those inside content controls."""
    for child in parent:
        if child.tag == W + name:
            yield child
        elif child.tag == W + "sdt":
            inner = child.find(W + "sdtContent")
            if inner is not None:
                yield from _within(inner, name)
        elif child.tag == W + "customXml":
            yield from _within(child, name)


def _on(properties: Any, name: str) -> bool:
    if properties is None:
        return False
    found = properties.find(W + name)
    return found is not None and found.get(W + "val") not in ("0", "false", "off")


def _joined(spans: list[Span]) -> list[Span]:
    """Join the fields of one reference, which stand directly behind each other."""
    out: list[Span] = []
    for span in spans:
        last = out[-1] if out else None
        if span.refs and last is not None and last.refs:
            last.text += span.text
            last.refs += span.refs
        else:
            out.append(span)
    return out
