"""Reads a DOCX by its XML alone, without the code that wrote it."""

from __future__ import annotations

import io
import re
import zipfile

from lxml import etree

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"


def parts(document: bytes) -> dict[str, bytes]:
    """Give every part by its name."""
    archive = zipfile.ZipFile(io.BytesIO(document))
    return {name: archive.read(name) for name in archive.namelist()}


def tree(document: bytes, part: str = "word/document.xml") -> etree._Element:
    """Parse one part."""
    return etree.fromstring(parts(document)[part])


def text(element: etree._Element) -> str:
    """Give the text that shows: runs, results of fields, tabs and breaks."""
    out = []
    for node in element.iter(f"{W}t", f"{W}tab", f"{W}br"):
        if node.tag == f"{W}t":
            out.append(node.text or "")
        elif node.getparent() is not None and node.getparent().tag == f"{W}r":  # type: ignore[union-attr]
            out.append("\t" if node.tag == f"{W}tab" else "\n")
    return "".join(out)


def by_bookmark(document: bytes) -> dict[str, etree._Element]:
    """Give the paragraph in which each bookmark starts."""
    out = {}
    for mark in tree(document).iter(f"{W}bookmarkStart"):
        parent = mark.getparent()
        assert parent is not None
        out[mark.get(f"{W}name", "")] = parent
    return out


def fields(element: etree._Element) -> list[tuple[str, str]]:
    """Give (instruction, cached result) of the complex fields below an element, in order."""
    out: list[tuple[str, str]] = []
    state = ""
    for node in element.iter(f"{W}fldChar", f"{W}instrText", f"{W}t"):
        if node.tag == f"{W}fldChar":
            state = node.get(f"{W}fldCharType", "")
        elif node.tag == f"{W}instrText":
            out.append(((node.text or "").strip(), ""))
        elif state == "separate":
            instruction, result = out[-1]
            out[-1] = (instruction, result + (node.text or ""))
    return out


def references(element: etree._Element) -> list[tuple[str, str]]:
    """Give (bookmark, cached result) of the number fields below an element."""
    found = []
    for instruction, result in fields(element):
        match = re.fullmatch(r"REF (\S+) \\n \\h", instruction)
        if match:
            found.append((match[1], result))
    return found


def has(element: etree._Element, name: str) -> bool:
    """Say whether a paragraph has a property of its own."""
    return element.find(f"{W}pPr/{W}{name}") is not None


def style(element: etree._Element) -> str:
    """Give the style id of a paragraph."""
    found = element.find(f"{W}pPr/{W}pStyle")
    return "" if found is None else found.get(f"{W}val", "")
