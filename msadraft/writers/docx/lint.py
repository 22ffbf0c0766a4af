"""A linter for the DOCX files that we write: faults that a word processor would refuse, repair or read wrongly.

It looks at meaning (links between parts, lists, styles, bookmarks, fields, tables, revisions), where a schema
validator sees nothing; the order of children is left to a schema validator. It is meant for our own output: a
document that was saved by an office suite breaks some of these rules and still opens.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from collections import Counter
from collections.abc import Iterable, Iterator

from lxml import etree

_W = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
_W14 = "http://schemas.microsoft.com/office/word/2010/wordml"
_R = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_MC = "http://schemas.openxmlformats.org/markup-compatibility/2006"
_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_DCTERMS = "http://purl.org/dc/terms/"

_BOOKMARK = re.compile(r"_[A-Za-z0-9_]{1,39}")
_DAY_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ")
_TARGET = re.compile(r"\b(?:REF|PAGEREF)\s+(\S+)")
_BANNED_SWITCH = re.compile(r"\\[wr]\b")
_REVISIONS = (
    "ins",
    "del",
    "moveFrom",
    "moveTo",
    "rPrChange",
    "pPrChange",
    "trPrChange",
    "tblPrChange",
    "cellIns",
    "cellDel",
)
_NUMBER_FORMATS = {"decimal", "upperLetter", "lowerLetter", "upperRoman", "lowerRoman", "bullet", "none"}
_PARENTS = {
    "p": {"body", "tc", "hdr", "ftr", "ins", "del", "sdtContent", "comment", "footnote", "endnote"},
    "r": {"p", "hyperlink", "ins", "del", "moveFrom", "moveTo", "sdtContent", "fldSimple", "smartTag"},
    "tc": {"tr", "sdtContent"},
    "tr": {"tbl", "sdtContent"},
    "tbl": {"body", "tc", "hdr", "ftr", "sdtContent"},
}

Element = etree._Element


def lint(document: bytes) -> list[str]:
    """List the faults of a DOCX file, each with the part it is in; an empty list means that none was found."""
    try:
        archive = zipfile.ZipFile(io.BytesIO(document))
    except zipfile.BadZipFile:
        return ["the file is not a zip archive"]
    return list(_Linter(archive).faults())


def _w(name: str) -> str:
    return f"{{{_W}}}{name}"


def _value(element: Element | None, name: str = "val") -> str:
    return "" if element is None else element.get(_w(name)) or ""


def _local(element: Element | None) -> str:
    if element is None:
        return ""
    tag = element.tag
    return tag.rsplit("}", 1)[-1] if isinstance(tag, str) else ""


def _twice(names: Iterable[str]) -> list[str]:
    return sorted(name for name, count in Counter(names).items() if count > 1)


class _Linter:
    def __init__(self, archive: zipfile.ZipFile) -> None:
        self.names = archive.namelist()
        self.data = {name: archive.read(name) for name in self.names}
        self.trees: dict[str, Element] = {}

    def faults(self) -> Iterator[str]:
        """Yield every fault; parts that cannot be parsed end the search after the package checks."""
        for name in _twice(self.names):
            yield f"{name}: stands twice in the archive"
        yield from self._parse()
        if "[Content_Types].xml" not in self.trees or "word/document.xml" not in self.trees:
            yield "the archive lacks [Content_Types].xml or word/document.xml"
            return
        yield from self._types()
        yield from self._relations()
        yield from self._styles()
        yield from self._lists()
        yield from self._settings()
        yield from self._properties()
        for name, tree in self.trees.items():
            if name.startswith("word/") and _local(tree) in {"document", "hdr", "ftr"}:
                for fault in self._story(name, tree):
                    yield f"{name}: {fault}"

    def _parse(self) -> Iterator[str]:
        parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False)
        for name in self.data:
            if not name.endswith((".xml", ".rels")):
                continue
            try:
                tree = etree.fromstring(self.data[name], parser)
            except (etree.XMLSyntaxError, LookupError) as error:
                yield f"{name}: is not well-formed XML ({error})"
                continue
            if b"<!DOCTYPE" in self.data[name]:
                yield f"{name}: has a document type declaration"
            ignorable = tree.get(f"{{{_MC}}}Ignorable", "").split()
            for prefix in ignorable:
                if prefix not in tree.nsmap:
                    yield f"{name}: ignores the prefix {prefix!r}, which is not declared"
            self.trees[name] = tree

    def _types(self) -> Iterator[str]:
        tree = self.trees["[Content_Types].xml"]
        endings = {child.get("Extension", "").lower() for child in tree.iter(f"{{{_TYPES}}}Default")}
        overrides = [child.get("PartName", "") for child in tree.iter(f"{{{_TYPES}}}Override")]
        for part in overrides:
            if part.lstrip("/") not in self.data:
                yield f"[Content_Types].xml: names {part}, which is not in the archive"
        for part in _twice(overrides):
            yield f"[Content_Types].xml: names {part} twice"
        for name in self.names:
            if name == "[Content_Types].xml" or f"/{name}" in overrides:
                continue
            if name.rsplit(".", 1)[-1].lower() not in endings:
                yield f"{name}: has no content type"
            elif name.startswith(("word/", "docProps/")) and name.endswith(".xml"):
                yield f"{name}: has no content type of its own"

    def _relations(self) -> Iterator[str]:
        for name, tree in self.trees.items():
            if not name.endswith(".rels"):
                continue
            folder, file = posixpath.split(name)
            owner = posixpath.join(posixpath.dirname(folder), file.removesuffix(".rels"))
            base = posixpath.dirname(owner)
            entries = list(tree.iter(f"{{{_RELATIONS}}}Relationship"))
            ids = [entry.get("Id", "") for entry in entries]
            for identity in _twice(ids):
                yield f"{name}: has the relationship {identity} twice"
            for entry in entries:
                target = entry.get("Target", "")
                if entry.get("TargetMode") == "External":
                    continue
                path = (
                    target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join(base, target))
                )
                if path not in self.data:
                    yield f"{name}: points to {path}, which is not in the archive"
            if owner in self.trees:
                yield from self._uses(owner, set(ids))
        related = {name for name in self.trees if name.startswith("word/") and name.endswith(".xml")}
        if related and "word/_rels/document.xml.rels" not in self.trees:
            yield "word/document.xml: has no relationships"

    def _uses(self, owner: str, ids: set[str]) -> Iterator[str]:
        for element in self.trees[owner].iter():
            for key, value in element.attrib.items():
                if str(key).startswith(f"{{{_R}}}") and value not in ids:
                    yield f"{owner}: uses the relationship {value!r}, which does not exist"

    def _style_elements(self) -> list[Element]:
        tree = self.trees.get("word/styles.xml")
        return [] if tree is None else list(tree.iter(_w("style")))

    def _styles(self) -> Iterator[str]:
        elements = self._style_elements()
        ids = [_value(element, "styleId") for element in elements]
        names = [_value(element.find(_w("name"))) for element in elements]
        for identity in _twice(ids):
            yield f"word/styles.xml: has the style id {identity} twice"
        for name in _twice(name.lower() for name in names):
            yield f"word/styles.xml: has two styles of the name {name!r}"
        parents = {}
        lists = self._list_ids()
        for element, identity in zip(elements, ids, strict=True):
            for link in ("basedOn", "next", "link"):
                target = _value(element.find(_w(link)))
                if target and target not in ids:
                    yield f"word/styles.xml: {identity} names the style {target!r}, which does not exist"
            parents[identity] = _value(element.find(_w("basedOn")))
            number = _value(element.find(f"{_w('pPr')}/{_w('numPr')}/{_w('numId')}"))
            if number and number != "0" and number not in lists:
                yield f"word/styles.xml: {identity} uses the list {number}, which does not exist"
        for identity in parents:
            seen, current = {identity}, parents[identity]
            while current:
                if current in seen:
                    yield f"word/styles.xml: {identity} is based on itself"
                    break
                seen.add(current)
                current = parents.get(current, "")

    def _list_ids(self) -> set[str]:
        tree = self.trees.get("word/numbering.xml")
        return set() if tree is None else {_value(element, "numId") for element in tree.iter(_w("num"))}

    def _lists(self) -> Iterator[str]:
        tree = self.trees.get("word/numbering.xml")
        if tree is None:
            return
        where = "word/numbering.xml"
        styles = {_value(element, "styleId") for element in self._style_elements()}
        order = [_local(child) for child in tree]
        if "num" in order and "abstractNum" in order[order.index("num") :]:
            yield f"{where}: a definition stands after the first use"
        definitions = [_value(element, "abstractNumId") for element in tree.iter(_w("abstractNum"))]
        for identity in _twice(definitions):
            yield f"{where}: has the definition {identity} twice"
        for identity in _twice(_value(element, "numId") for element in tree.iter(_w("num"))):
            yield f"{where}: has the list {identity} twice"
        for element in tree.iter(_w("num")):
            target = _value(element.find(_w("abstractNumId")))
            if target not in definitions:
                yield f"{where}: a list uses the definition {target!r}, which does not exist"
        for level in tree.iter(_w("lvl")):
            depth = _value(level, "ilvl")
            style = _value(level.find(_w("pStyle")))
            if style and style not in styles:
                yield f"{where}: level {depth} names the style {style!r}, which does not exist"
            kind = _value(level.find(_w("numFmt")))
            if kind not in _NUMBER_FORMATS:
                yield f"{where}: level {depth} has the unknown number format {kind!r}"
            if level.find(_w("lvlText")) is None:
                yield f"{where}: level {depth} has no pattern"
            for banned in ("isLgl", "lvlRestart"):
                if level.find(_w(banned)) is not None:
                    yield f"{where}: level {depth} uses {banned}, which word processors read differently"

    def _settings(self) -> Iterator[str]:
        tree = self.trees.get("word/settings.xml")
        if tree is None:
            return
        for name in ("updateFields", "rsids"):
            if tree.find(_w(name)) is not None:
                yield f"word/settings.xml: has {name}"

    def _properties(self) -> Iterator[str]:
        tree = self.trees.get("docProps/core.xml")
        if tree is None:
            return
        for name in _twice(_local(child) for child in tree):
            yield f"docProps/core.xml: has {name} twice"
        for child in tree:
            if str(child.tag).startswith(f"{{{_DCTERMS}}}") and not _DAY_TIME.fullmatch(child.text or ""):
                yield f"docProps/core.xml: {_local(child)} is not a date and time"

    def _story(self, part: str, tree: Element) -> Iterator[str]:
        """Yield the faults inside one document, header or footer."""
        yield from self._structure(tree)
        yield from self._references_to_styles(tree)
        yield from self._bookmarks(tree)
        yield from self._fields(tree)
        yield from self._tables(tree)
        yield from self._revisions(tree)
        yield from self._identities(tree)
        if _local(tree) == "document":
            yield from self._ends(tree)

    def _structure(self, tree: Element) -> Iterator[str]:
        for element in tree.iter():
            name = _local(element)
            if not str(element.tag).startswith(f"{{{_W}}}"):
                continue
            parent = element.getparent()
            if parent is not None and name in _PARENTS and _local(parent) not in _PARENTS[name]:
                yield f"w:{name} stands inside w:{_local(parent)}"
            leading = name in {"pPr", "tcPr", "trPr", "tblPr"} or (name == "rPr" and _local(parent) == "r")
            if leading and parent is not None and parent.index(element) != 0:
                yield f"w:{name} is not the first child of w:{_local(parent)}"
            if name not in {"t", "delText", "instrText", "delInstrText"} and (element.text or "").strip():
                yield f"text stands directly in w:{name}"
            if (element.tail or "").strip():
                yield f"text stands behind w:{name}"
            if any("rsid" in str(key) for key in element.attrib):
                yield f"w:{name} carries a revision session id"

    def _references_to_styles(self, tree: Element) -> Iterator[str]:
        styles = {_value(element, "styleId") for element in self._style_elements()}
        lists = self._list_ids()
        for kind in ("pStyle", "rStyle", "tblStyle"):
            for target in sorted({_value(element) for element in tree.iter(_w(kind))} - styles):
                yield f"names the style {target!r}, which does not exist"
        for element in tree.iter(_w("numPr")):
            number, level = _value(element.find(_w("numId"))), _value(element.find(_w("ilvl")))
            if number != "0" and number not in lists:
                yield f"uses the list {number!r}, which does not exist"
            if level and not (level.isdigit() and int(level) <= 8):
                yield f"uses the list level {level!r}"

    def _bookmarks(self, tree: Element) -> Iterator[str]:
        starts = list(tree.iter(_w("bookmarkStart")))
        names = [_value(element, "name") for element in starts]
        for name in _twice(name.lower() for name in names):
            yield f"the bookmark {name} stands twice"
        for name in names:
            if not _BOOKMARK.fullmatch(name):
                yield f"the bookmark name {name!r} is not hidden, too long, or has a forbidden sign"
        for identity in _twice(_value(element, "id") for element in starts):
            yield f"the bookmark id {identity} stands twice"
        opened: set[str] = set()
        closed: set[str] = set()
        for element in tree.iter(_w("bookmarkStart"), _w("bookmarkEnd")):
            identity = _value(element, "id")
            if _local(element) == "bookmarkStart":
                opened.add(identity)
            else:
                if identity not in opened:
                    yield f"the bookmark {identity} ends before it starts"
                if identity in closed:
                    yield f"the bookmark {identity} ends twice"
                closed.add(identity)
        for identity in sorted(opened - closed):
            yield f"the bookmark {identity} does not end"

    def _fields(self, tree: Element) -> Iterator[str]:
        document = self.trees["word/document.xml"]
        names = {_value(element, "name") for element in document.iter(_w("bookmarkStart"))}
        stack: list[bool] = []
        for element in tree.iter(_w("fldChar"), _w("instrText"), _w("delInstrText")):
            if _local(element) != "fldChar":
                text = element.text or ""
                if not stack or stack[-1]:
                    yield f"a field instruction stands outside a field: {text.strip()!r}"
                if _local(element) == "instrText":
                    for target in _TARGET.findall(text):
                        if target not in names:
                            yield f"a reference points to the bookmark {target}, which does not exist"
                if _BANNED_SWITCH.search(text):
                    yield f"a field uses a switch whose result depends on its place: {text.strip()!r}"
                continue
            kind = _value(element, "fldCharType")
            if kind == "begin":
                stack.append(False)
            elif kind not in {"separate", "end"}:
                yield f"a field has the part {kind!r}"
            elif not stack:
                yield f"a field has its {kind} without a beginning"
            elif kind == "end":
                stack.pop()
            elif stack[-1]:
                yield "a field is separated twice"
            else:
                stack[-1] = True
        if stack:
            yield "a field does not end"
        for element in tree.iter(_w("hyperlink")):
            anchor = _value(element, "anchor")
            if anchor and anchor not in names:
                yield f"a link points to the bookmark {anchor}, which does not exist"

    def _tables(self, tree: Element) -> Iterator[str]:
        for table in tree.iter(_w("tbl")):
            grid = table.find(_w("tblGrid"))
            columns = 0 if grid is None else len(grid.findall(_w("gridCol")))
            if not columns:
                yield "a table has no grid"
            rows = table.findall(_w("tr"))
            if not rows:
                yield "a table has no rows"
            for row in rows:
                cells = row.findall(_w("tc"))
                if not cells:
                    yield "a table row has no cells"
                spans = [_value(cell.find(f"{_w('tcPr')}/{_w('gridSpan')}")) or "1" for cell in cells]
                if any(not span.isdigit() or span == "0" for span in spans):
                    yield "a table cell spans no column"
                elif cells and sum(map(int, spans)) != columns:
                    yield f"a table row has {sum(map(int, spans))} columns where its grid has {columns}"
                for cell in cells:
                    if len(cell) == 0 or _local(cell[-1]) != "p":
                        yield "a table cell does not end with a paragraph"
            before = table.getprevious()
            if before is not None and (_local(before) != "p" or self._numbered(before)):
                yield "a table is not preceded by an unnumbered paragraph"

    def _numbered(self, paragraph: Element) -> bool:
        """Say whether a paragraph carries a list number of its own or by its style."""
        own = paragraph.find(f"{_w('pPr')}/{_w('numPr')}/{_w('numId')}")
        if own is not None:
            return _value(own) != "0"
        style = _value(paragraph.find(f"{_w('pPr')}/{_w('pStyle')}"))
        for element in self._style_elements():
            if _value(element, "styleId") == style:
                return element.find(f"{_w('pPr')}/{_w('numPr')}/{_w('numId')}") is not None
        return False

    def _revisions(self, tree: Element) -> Iterator[str]:
        found = list(tree.iter(*map(_w, _REVISIONS)))
        for identity in _twice(_value(element, "id") for element in found):
            yield f"the revision id {identity} stands twice"
        for element in found:
            name = _local(element)
            if not _value(element, "author"):
                yield f"w:{name} has no author"
            date = _value(element, "date")
            if date and not _DAY_TIME.fullmatch(date):
                yield f"w:{name} has the date {date!r}"
            if name.endswith("Change") and len(element) == 0:
                yield f"w:{name} keeps nothing of what was there before"
        for element in tree.iter(_w("t"), _w("delText")):
            deleted = any(_local(parent) == "del" for parent in element.iterancestors())
            if deleted and _local(element) == "t":
                yield "w:t stands in deleted text"
            if not deleted and _local(element) == "delText":
                yield "w:delText stands outside deleted text"

    def _identities(self, tree: Element) -> Iterator[str]:
        marks = [element.get(f"{{{_W14}}}paraId", "") for element in tree.iter(_w("p"))]
        for mark in (mark for mark in marks if mark):
            if not re.fullmatch(r"[0-9A-Fa-f]{8}", mark) or not 0 < int(mark, 16) < 0x80000000:
                yield f"the paragraph id {mark!r} is out of range"
        for mark in _twice(mark for mark in marks if mark):
            yield f"the paragraph id {mark} stands twice"
        controls = (_value(element.find(_w("id"))) for element in tree.iter(_w("sdtPr")))
        for identity in _twice(identity for identity in controls if identity):
            yield f"the content control id {identity} stands twice"
        for element in tree.iter(_w("sdtContent")):
            if len(element) == 0:
                yield "a content control is empty"

    def _ends(self, tree: Element) -> Iterator[str]:
        body = tree.find(_w("body"))
        if body is None or len(body) == 0:
            yield "the document has no body"
            return
        section = body.find(_w("sectPr"))
        if section is None or section.getnext() is not None:
            yield "the section properties are not the last child of the body"
            return
        last = section.getprevious()
        if last is None or _local(last) != "p" or self._numbered(last):
            yield "the document does not end with an unnumbered paragraph"
