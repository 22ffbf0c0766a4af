"""Counts the lists of a DOCX from its XML alone, the way a word processor does, without the code that wrote it.

Rules (ECMA-376 Part 1): a paragraph is in a list by its own `numPr` or by that of its style, or of a style that this one is
based on (17.7.2, 17.9.18); the level is the `ilvl` given, or the level that names the style (17.9.23). Lists that share an
abstract definition share their counters. A paragraph raises the counter of its level and starts the deeper ones anew
(17.9.10); the label is `lvlText` with each %n replaced by the counter of level n in that level's format (17.9.11, 17.9.17).
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache

from lxml import etree

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_REF = re.compile(r"\s*REF (\S+) \\n \\h\s*")
_PARTS = re.compile(r"%(\d)")
_PROPERTIES, _STYLE, _NUMBER = f"{W}pPr", f"{W}pStyle", f"{W}numPr"
_T, _MARK, _CHAR, _CODE, _TAB, _BREAK = (f"{W}{n}" for n in ("t", "bookmarkStart", "fldChar", "instrText", "tab", "br"))
_READ = (_T, _MARK, _CHAR, _CODE, _TAB, _BREAK)
_NAME, _KIND, _RUN = f"{W}name", f"{W}fldCharType", f"{W}r"


@dataclass(frozen=True)
class Level:
    """One level of a list: where it starts, how it counts, what it shows."""

    start: int
    form: str
    text: str


@dataclass
class Line:
    """One paragraph of the body, the cells of tables too: label, full number, bookmarks, and its text with references.

    `label` is what the list shows before it; `full` is how a person cites it: its own label, after those of the paragraphs
    that it stands under. A paragraph without a number is cited by the numbered one before it on the outermost level.
    `pieces` are texts, and (bookmark, shown) for each reference.
    """

    style: str
    label: str
    full: str
    bookmarks: tuple[str, ...]
    pieces: list[str | tuple[str, str]] = field(default_factory=list)
    table: int = 0
    row: int = 0

    @property
    def text(self) -> str:
        """The text as it shows."""
        return "".join(p if isinstance(p, str) else p[1] for p in self.pieces)


@dataclass(frozen=True)
class Paper:
    """A DOCX read: its paragraphs in order, and the map that travels inside it as (id, bookmark, number)."""

    lines: tuple[Line, ...]
    carried: tuple[tuple[str, str, str], ...]

    def by_bookmark(self) -> dict[str, Line]:
        """The paragraph in which each bookmark begins."""
        return {mark: line for line in self.lines for mark in line.bookmarks}


def letters(n: int) -> str:
    """1 is a, 26 is z, 27 is aa, 28 is bb."""
    turns, place = divmod(n - 1, 26)
    return "abcdefghijklmnopqrstuvwxyz"[place] * (turns + 1)


def romans(n: int) -> str:
    """1 is i, 4 is iv, 1990 is mcmxc: digit by digit."""
    digits = ("", "{0}", "{0}{0}", "{0}{0}{0}", "{0}{1}", "{1}", "{1}{0}", "{1}{0}{0}", "{1}{0}{0}{0}", "{0}{2}")
    signs = (("m", "", ""), ("c", "d", "m"), ("x", "l", "c"), ("i", "v", "x"))
    return "".join(digits[int(d)].format(*s) for d, s in zip(f"{n:04d}", signs, strict=True))


FORMS = {
    "decimal": str,
    "lowerLetter": letters,
    "upperLetter": lambda n: letters(n).upper(),
    "lowerRoman": romans,
    "upperRoman": lambda n: romans(n).upper(),
}


def _val(element: etree._Element | None, name: str = "val") -> str:
    return "" if element is None else element.get(f"{W}{name}", "")


@lru_cache(maxsize=8)
def _lists(numbering: bytes) -> tuple[dict[str, str], dict[str, dict[int, Level]], dict[tuple[str, str], int]]:
    """Abstract list of each list, levels of each abstract list, and the level that a style stands on in it."""
    tree = etree.fromstring(numbering)
    levels: dict[str, dict[int, Level]] = {}
    styled: dict[tuple[str, str], int] = {}
    for abstract in tree.iter(f"{W}abstractNum"):
        name = _val(abstract, "abstractNumId")
        levels[name] = {}
        for level in abstract.iter(f"{W}lvl"):
            depth = int(_val(level, "ilvl"))
            levels[name][depth] = Level(
                int(_val(level.find(f"{W}start")) or 1), _val(level.find(f"{W}numFmt")), _val(level.find(f"{W}lvlText"))
            )
            if level.find(f"{W}pStyle") is not None:
                styled[name, _val(level.find(f"{W}pStyle"))] = depth
    of = {_val(num, "numId"): _val(num.find(f"{W}abstractNumId")) for num in tree.iter(f"{W}num")}
    if any(num.find(f"{W}lvlOverride") is not None for num in tree.iter(f"{W}num")):
        raise ValueError("a list overrides its levels, which this reader does not follow")
    return of, levels, styled


@lru_cache(maxsize=8)
def _styles(styles: bytes) -> dict[str, tuple[str, str]]:
    """The list and the level that each style carries, its own or one it is based on."""
    tree = etree.fromstring(styles)
    own: dict[str, tuple[str, str]] = {}
    based: dict[str, str] = {}
    for style in tree.iter(f"{W}style"):
        name = _val(style, "styleId")
        based[name] = _val(style.find(f"{W}basedOn"))
        number = style.find(f"{W}pPr/{W}numPr")
        if number is not None:
            own[name] = (_val(number.find(f"{W}numId")), _val(number.find(f"{W}ilvl")))
    found = {}
    for name in based:
        above = name
        while above and above not in own:
            above = based.get(above, "")
        if above:
            found[name] = own[above]
    return found


class _Counter:
    def __init__(self, numbering: bytes, styles: bytes) -> None:
        self.lists, self.levels, self.styled = _lists(numbering)
        self.styles = _styles(styles)
        self.counts: dict[str, dict[int, int]] = {}

    def label(self, style: str, number: etree._Element | None) -> tuple[str, int]:
        """The label of a paragraph and its level; "" and -1 if it is in no list."""
        of_list, of_level = self.styles.get(style, ("", ""))
        if number is not None:
            of_list, of_level = _val(number.find(f"{W}numId")), _val(number.find(f"{W}ilvl"))
        if of_list in ("", "0"):
            return "", -1
        abstract = self.lists[of_list]
        depth = int(of_level) if of_level else self.styled.get((abstract, style), 0)
        counts, levels = self.counts.setdefault(abstract, {}), self.levels[abstract]
        counts[depth] = counts[depth] + 1 if depth in counts else levels[depth].start
        for deeper in [n for n in counts if n > depth]:
            del counts[deeper]

        def shown(found: re.Match[str]) -> str:
            level = int(found[1]) - 1
            return FORMS[levels[level].form](counts.get(level, levels[level].start))

        return _PARTS.sub(shown, levels[depth].text), depth


def read_paper(document: bytes) -> Paper:
    """Read a DOCX.

    Raises:
        ValueError: one bookmark stands twice, or a list uses what this reader does not follow.
    """
    archive = zipfile.ZipFile(io.BytesIO(document))
    body = etree.fromstring(archive.read("word/document.xml"))[0]
    counter = _Counter(archive.read("word/numbering.xml"), archive.read("word/styles.xml"))
    lines: list[Line] = []
    under: list[tuple[str, int]] = []
    tables = 0
    row = 0

    def walk(holder: etree._Element, table: int) -> None:
        nonlocal tables, row
        for child in holder:
            if child.tag == f"{W}p":
                lines.append(_line(child, counter, under))
                lines[-1].table, lines[-1].row = table, row
            elif child.tag == f"{W}tbl":
                tables += 1
                inside = tables
                for line in child.iter(f"{W}tr"):
                    row += 1
                    for cell in line.iter(f"{W}tc"):
                        walk(cell, inside)
            elif child.tag == f"{W}sdt":
                content = child.find(f"{W}sdtContent")
                if content is not None:
                    walk(content, table)

    walk(body, 0)
    marks = [mark for line in lines for mark in line.bookmarks]
    twice = {mark for mark in marks if marks.count(mark) > 1} if len(set(marks)) != len(marks) else set()
    if twice:
        raise ValueError(f"bookmarks that stand twice: {sorted(twice)}")
    return Paper(tuple(lines), tuple(_carried(archive)))


def _line(paragraph: etree._Element, counter: _Counter, under: list[tuple[str, int]]) -> Line:
    properties = paragraph.find(_PROPERTIES)
    style, number = "", None
    if properties is not None:
        style, number = _val(properties.find(_STYLE)), properties.find(_NUMBER)
    label, depth = counter.label(style, number)
    if label:
        cited = label.removesuffix(".")
        if cited.startswith("("):
            # "(a)" stands under a paragraph with a number of its own, "(i)" under "(a)".
            while under and under[-1][1] >= depth:
                under.pop()
            if not under:
                raise ValueError(f"{label} stands under no numbered paragraph")
            under.append((under[-1][0] + cited, depth))
        else:
            under[:] = [(cited, depth)]
        full = under[-1][0]
    else:
        full = under[0][0] if under else ""
    marks, pieces = _inside(paragraph)
    return Line(style, label, full, marks, pieces)


def _inside(paragraph: etree._Element) -> tuple[tuple[str, ...], list[str | tuple[str, str]]]:
    """The bookmarks that begin in a paragraph, and its text and references in order; the results of other fields are text."""
    state, mark, shown = "", "", ""
    marks: list[str] = []
    pieces: list[str | tuple[str, str]] = []
    for node in paragraph.iter(*_READ):
        tag = node.tag
        if tag == _T:
            if mark and state == "separate":
                shown += node.text or ""
            else:
                pieces.append(node.text or "")
        elif tag == _MARK:
            marks.append(node.get(_NAME, ""))
        elif tag == _CHAR:
            kind = node.get(_KIND, "")
            if kind == "end":
                if mark:
                    pieces.append((mark, shown))
                state, mark, shown = "", "", ""
            else:
                state = kind
        elif tag == _CODE:
            found = _REF.fullmatch(node.text or "")
            mark = found[1] if found else ""
        elif node.getparent().tag == _RUN:  # type: ignore[union-attr]
            pieces.append("\t" if tag == _TAB else "\n")
    return tuple(marks), pieces


def _carried(archive: zipfile.ZipFile) -> Iterator[tuple[str, str, str]]:
    """The nodes of the map inside the file."""
    for node in etree.fromstring(archive.read("customXml/item1.xml")).iter():
        if isinstance(node.tag, str) and node.get("bookmark"):
            yield node.get("id", ""), node.get("bookmark", ""), node.get("number", "")
