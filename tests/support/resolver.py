"""Accepts or rejects tracked changes by the rules of WordprocessingML, without the code that wrote them.

Rules (ECMA-376 Part 1, 17.13.5): an inserted or deleted run goes or stays with its text; a paragraph whose mark goes is
joined to the next one, whose properties then hold; a row marked as inserted or deleted goes as a whole, and a table
without rows goes; a tracked change of properties keeps the old ones.
"""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import dataclass
from typing import Literal

from lxml import etree

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
UNNUMBERED = ("Unnumbered", "Caption", "Place")
Decision = Literal["accept", "reject"]
Element = etree._Element


@dataclass(frozen=True)
class Line:
    """One paragraph: style, words with references as {bookmark}, the same with the numbers shown, its bookmarks."""

    style: str
    text: str
    shown: str
    bookmarks: tuple[str, ...]


def lines(document: bytes, decision: Decision = "accept") -> list[Line]:
    """Give every paragraph in order, those in tables too, after all changes were accepted or rejected.

    A table is framed by lines of the style "table". Empty unnumbered paragraphs are left out.
    """
    body = etree.fromstring(zipfile.ZipFile(io.BytesIO(document)).read("word/document.xml"))[0]
    dropped, kept = ("del", "ins") if decision == "accept" else ("ins", "del")
    _resolve(body, dropped, kept, decision)
    out: list[Line] = []
    _collect(body, out)
    return [line for line in out if line.text or line.style not in UNNUMBERED]


def _resolve(body: Element, dropped: str, kept: str, decision: Decision) -> None:
    for row in list(body.iter(f"{W}tr")):
        if row.find(f"{W}trPr/{W}{dropped}") is not None:
            _parent(row).remove(row)
    for table in list(body.iter(f"{W}tbl")):
        if table.find(f"{W}tr") is None:
            _parent(table).remove(table)
    for element in list(body.iter(f"{W}pPrChange")):
        properties = _parent(element)
        if decision == "reject":
            old = element[0]
            marks = properties.find(f"{W}rPr")
            _parent(properties).replace(properties, old)
            if marks is not None:
                old.append(marks)
        else:
            properties.remove(element)
    for holder in (body, *body.iter(f"{W}tc")):
        _join(holder, dropped)
    for element in list(body.iter(f"{W}{dropped}")):
        parent = _parent(element)
        if parent.tag == f"{W}p":
            parent.remove(element)
    for element in list(body.iter(f"{W}{kept}")):
        parent = _parent(element)
        if parent.tag == f"{W}p":
            place = parent.index(element)
            parent[place : place + 1] = list(element)


def _join(holder: Element, dropped: str) -> None:
    held: list[Element] = []
    for child in list(holder):
        if child.tag != f"{W}p":
            assert not any(_has_words(part, dropped) for part in held), "words would be joined to a table"
            held = []
            continue
        properties = child.find(f"{W}pPr")
        content = [part for part in child if part.tag != f"{W}pPr"]
        if child.find(f"{W}pPr/{W}rPr/{W}{dropped}") is not None:
            held += content
            holder.remove(child)
        else:
            at = 0 if properties is None else 1
            child[at:at] = held
            held = []
    assert not held, "the last paragraph of a cell or of the body would go"


def _has_words(part: Element, dropped: str) -> bool:
    return part.tag != f"{W}{dropped}" and bool("".join(part.itertext()).strip())


def _parent(element: Element) -> Element:
    parent = element.getparent()
    assert parent is not None
    return parent


def _collect(holder: Element, out: list[Line]) -> None:
    for child in holder:
        if child.tag == f"{W}p":
            out.append(_line(child))
        elif child.tag == f"{W}tbl":
            out.append(Line("table", "begin", "", ()))
            for row in child.iter(f"{W}tr"):
                out.append(Line("table", "row", "", ()))
                for cell in row.iter(f"{W}tc"):
                    _collect(cell, out)
            out.append(Line("table", "end", "", ()))


def _line(paragraph: Element) -> Line:
    style = paragraph.find(f"{W}pPr/{W}pStyle")
    text, shown, state = "", "", ""
    for node in paragraph.iter():
        if node.tag == f"{W}fldChar":
            state = node.get(f"{W}fldCharType", "")
        elif node.tag in (f"{W}instrText", f"{W}delInstrText"):
            found = re.search(r"REF (\S+)", node.text or "")
            text += f"{{{_name(found[1])}}}" if found else ""
        elif node.tag in (f"{W}t", f"{W}delText"):
            shown += node.text or ""
            text += "" if state == "separate" and _is_reference(node) else node.text or ""
        elif node.tag in (f"{W}tab", f"{W}br") and _parent(node).tag == f"{W}r":
            sign = "\t" if node.tag == f"{W}tab" else "\n"
            text, shown = text + sign, shown + sign
    names = tuple(sorted({_name(b.get(f"{W}name", "")) for b in paragraph.iter(f"{W}bookmarkStart")}))
    return Line("" if style is None else style.get(f"{W}val", ""), text, shown, names)


def _is_reference(node: Element) -> bool:
    """Say whether text is the result of a REF field (and not an entry of the contents list)."""
    run = _parent(node)
    before = run.getprevious()
    while before is not None:
        for part in before.iter(f"{W}instrText", f"{W}delInstrText"):
            return " REF " in (part.text or "")
        before = before.getprevious()
    return False


def _name(bookmark: str) -> str:
    """Take the name of a moved paragraph's old copy for the paragraph's own."""
    return re.sub(r"^_O_", "_P_", bookmark)
