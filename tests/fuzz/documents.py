"""Documents that come back: damaged and hostile DOCX files are taken in or refused in words, and nothing is lost silently."""

from __future__ import annotations

import copy
import io
import json
import struct
import tempfile
import warnings
import zipfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from random import Random
from typing import Any
from unittest import mock

from fuzz import damage
from fuzz.measure import Count, expect
from lxml import etree
from rounds import edits, trips
from rounds.edits import W
from support.scenarios import drafted, facts_file
from typer.testing import CliRunner

from msadraft import cli
from msadraft.agreement.negotiated import read_wording
from msadraft.draft import Draft, draft
from msadraft.facts.load import read_case
from msadraft.rounds.intake import guard
from msadraft.writers.paragraph_map import write_csv, write_json

KIND = "documents"
FULL = 3000
MOST_SECONDS = 30.0
"""Taking in and verifying one document may take so long at most, both together."""
MOST_MB = guard.MOST_MEMORY_BYTES / 2**20
"""So much memory more than the process had before; the reader states the same for the whole process."""

BASES = (("marrowby", 1), ("marrowby", 2), ("marrowby", 3), ("fennick", 3), ("dunmarsh", 2), ("varnell", 2))
PARTS = (
    "word/document.xml",
    "word/numbering.xml",
    "word/styles.xml",
    "customXml/item1.xml",
    "docProps/custom.xml",
    "word/header1.xml",
    "[Content_Types].xml",
)
GARBAGE = (
    "",
    "-1",
    "0",
    "9" * 60,
    "1.5",
    "NaN",
    "²",
    "١٢",
    "x" * 5000,
    "\u202e",
    "%1%2%3%99",
    "true",
    "../../x",
    "{{ 7*7 }}",
    "none",
    "&<>\"'",
    "\ue0000\ue001",
    "1e9",
)
SIGNS = (
    "\u00a0",
    "\u200b",
    "“",
    "\u2011",
    "\t",
    "\u0301",
    "\ue000",
    "<",
    "{{",
    "}",
    "{b}",
    "{para x}",
    "\u00ad",
    "\ufffd",
)
_R = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


@dataclass
class Made:
    """One document. `tokens` are words that it says and the draft does not; `gone` is text of paragraphs that were taken out."""

    base: tuple[str, int]
    data: bytes
    group: str
    tokens: list[str] = field(default_factory=list)
    gone: list[str] = field(default_factory=list)


@cache
def original(name: str, n: int) -> bytes:
    """The document as it was drafted."""
    return trips.document_of(drafted(name, n), n)


def _zipped(named: list[tuple[str, bytes]], stored: bool = False) -> bytes:
    out = io.BytesIO()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the same name twice is meant
        with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED) as archive:
            for name, data in named:
                archive.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _with(document: bytes, part: str, data: bytes) -> bytes:
    return _zipped(list({**edits.parts(document), part: data}.items()))


# --- the zip file ---------------------------------------------------------------------------------------------------


def zip_level(document: bytes, random: Random) -> bytes:
    """What can be wrong with the zip file and its list of parts."""
    named = list(edits.parts(document).items())
    part = random.choice(named)[0]
    kind = random.choice(
        (
            "bytes",
            "bytes",
            "cut",
            "bomb",
            "twice",
            "outside",
            "crc",
            "missing",
            "extra",
            "size",
            "method",
            "many",
            "case",
            "comment",
            "empty part",
            "nested",
            "before",
            "stored",
        )
    )
    if kind == "bytes":
        return random.choice(damage.BYTES)(document, random)
    if kind == "cut":
        return document[: random.randrange(len(document))]
    if kind == "bomb":
        size = random.choice((2**20, 2**23, 2**24 + 1, 2**25, 2**26))
        return _with(
            document,
            random.choice((part, "word/media/x.bin", "word/comments.xml", "custom/x.bin")),
            random.choice((b" ", b"\x00", b"<w:p/>")) * size if size <= 2**24 else bytes(size),
        )
    if kind == "twice":
        return _zipped([*named, (random.choice((part, part.upper())), b"<x/>")])
    if kind == "outside":
        return _zipped(
            [
                *named,
                (
                    random.choice(
                        (
                            "/etc/passwd",
                            "../case.yaml",
                            "word/../../x.xml",
                            "C:\\x.xml",
                            "word\\document.xml",
                            "a/../../../b",
                            "..",
                            "word/document.xml/x",
                            "CON",
                            "x\x00y",
                            "\u202e.xml",
                        )
                    ),
                    b"x",
                ),
            ]
        )
    if kind in ("crc", "size", "method"):
        out = bytearray(document)
        places = [
            at
            for sign, offset in (
                (b"PK\x01\x02", {"crc": 16, "size": random.choice((20, 24)), "method": 10}[kind]),
                (b"PK\x03\x04", {"crc": 14, "size": random.choice((18, 22)), "method": 8}[kind]),
            )
            for at in _finds(out, sign, offset)
        ]
        for at in places if random.random() < 0.3 else [random.choice(places)]:
            out[at : at + 2] = struct.pack("<H", random.choice((0, 1, 8, 9, 12, 14, 99, 65535)))
        return bytes(out)
    if kind == "missing":
        return _zipped([entry for entry in named if entry[0] != part])
    if kind == "extra":
        return _zipped(
            [
                *named,
                (
                    random.choice(
                        (
                            "word/comments.xml",
                            "word/footnotes.xml",
                            "word/header9.xml",
                            "customXml/item2.xml",
                            "word/vbaProject.bin",
                            "word/embeddings/x.docx",
                            "x",
                        )
                    ),
                    random.choice((b"", b"<x/>", b"<w:comments/>", random.randbytes(300), named[0][1])),
                ),
            ]
        )
    if kind == "many":
        return _zipped([*named, *((f"word/x{n}.xml", b"<x/>") for n in range(random.choice((100, 1980, 2100))))])
    if kind == "case":
        return _zipped([(name.upper() if name == part else name, data) for name, data in named])
    if kind == "comment":
        return document[:-2] + struct.pack("<H", 60) + random.choice((b"PK\x05\x06", b"x")) * 20
    if kind == "empty part":
        return _with(document, part, b"")
    if kind == "nested":
        return _with(document, "word/document.xml", document)
    if kind == "before":
        return random.choice((b"PK", b"x" * 20, b"\xef\xbb\xbf")) + document
    return _zipped(named, stored=True)


def _finds(data: bytearray, sign: bytes, offset: int) -> list[int]:
    out, at = [], data.find(sign)
    while at >= 0:
        out.append(at + offset)
        at = data.find(sign, at + 4)
    return out


# --- the XML as text ------------------------------------------------------------------------------------------------


def xml_text(document: bytes, random: Random) -> bytes:
    """XML that is damaged, or says what no word processor says."""
    parts = edits.parts(document)
    part = random.choice((*PARTS[:1] * 4, *PARTS))
    data = parts[part]
    head, sep, rest = data.partition(b"?>")
    kind = random.choice(
        (
            "bytes",
            "bytes",
            "entities",
            "external",
            "entity use",
            "deep",
            "encoding",
            "namespace",
            "relation",
            "comment",
            "cdata",
            "attributes",
            "late doctype",
        )
    )
    if kind == "bytes":
        data = random.choice(damage.BYTES)(data, random)
    elif kind == "entities":
        bomb = b"".join(b'<!ENTITY e%d "%s">' % (n, b"&e%d;" % (n - 1) * 10) for n in range(1, 12))
        data = (
            head + sep + b'<!DOCTYPE x [<!ENTITY e0 "aaaa">' + bomb + b"]>" + rest.replace(b"</w:t>", b"&e11;</w:t>", 1)
        )
    elif kind == "external":
        target = random.choice((b"file:///etc/passwd", b"http://127.0.0.1:9/x", b"/dev/zero"))
        data = (
            head
            + sep
            + b'<!DOCTYPE x SYSTEM "'
            + target
            + b'" [<!ENTITY x SYSTEM "'
            + target
            + b'">]>'
            + rest.replace(b"</w:t>", b"&x;</w:t>", 1)
        )
    elif kind == "late doctype":
        data = head + sep + b" " * random.choice((10, 5000)) + b'<!DOCTYPE x [<!ATTLIST x y CDATA "z">]>' + rest
    elif kind == "entity use":
        data = data.replace(
            b"</w:t>",
            random.choice((b"&nbsp;", b"&#0;", b"&#xFFFE;", b"&#x202E;", b"&#55296;", b"&amp;&lt;")) + b"</w:t>",
            random.choice((1, 40)),
        )
    elif kind == "deep":
        tag = random.choice((b"w:p", b"w:sdt", b"w:ins", b"w:tbl", b"w:r", b"w:hyperlink", b"x"))
        n = random.choice((30, 61, 120, 250, 300, 5000))
        data = (
            data.replace(b"<w:body>", b"<w:body>" + b"<" + tag + b">" * n + b"</" + tag + b">" * n, 1)
            if random.random() < 0.1
            else data.replace(b"<w:p>", (b"<" + tag + b">") * n + (b"</" + tag + b">") * n + b"<w:p>", 1)
        )
    elif kind == "encoding":
        data = random.choice((
            lambda: data.decode().encode("utf-16"), lambda: data.replace(b"UTF-8", b"ISO-8859-1", 1), lambda: data.replace(b"UTF-8", b"x-unknown", 1),
            lambda: b"\xef\xbb\xbf" + data, lambda: data.decode().encode("utf-7"), lambda: b"\xff\xfe" + data,
        ))()  # fmt: skip
    elif kind == "namespace":
        data = data.replace(
            b"wordprocessingml/2006/main",
            random.choice((b"wordprocessingml/2006/mainx", b"", b"wordprocessingml/1999/main")),
            random.choice((1, -1)),
        )
    elif kind == "relation":
        part = "word/_rels/document.xml.rels"
        target = random.choice((b"file:///etc/passwd", b"http://127.0.0.1:9/x.dotm", b"../../../../etc/passwd"))
        data = parts[part].replace(
            b"</Relationships>",
            b'<Relationship Id="rId99" Type="'
            + f"{_R}/attachedTemplate".encode()
            + b'" Target="'
            + target
            + b'" TargetMode="External"/></Relationships>',
        )
    elif kind == "comment":
        data = data.replace(b"<w:r>", b"<!-- x --><?x y?><w:r>", 200)
    elif kind == "cdata":
        data = data.replace(b'<w:t xml:space="preserve">', b'<w:t xml:space="preserve"><![CDATA[zqcdata ]]>', 3)
    else:
        data = data.replace(
            b"<w:p>", b"<w:p " + b" ".join(b'a%d="x"' % n for n in range(random.choice((3, 3000)))) + b">", 1
        )
    return _with(document, part, data)


# --- the tree -------------------------------------------------------------------------------------------------------


def _tree(document: bytes, part: str) -> Any:
    return etree.fromstring(edits.parts(document)[part])


def _packed(document: bytes, part: str, root: Any) -> bytes:
    return _with(document, part, etree.tostring(root, xml_declaration=True, encoding="UTF-8"))


TAGS = ("p", "r", "t", "tbl", "tr", "tc", "ins", "del", "moveFrom", "moveTo", "sdt", "sdtContent", "hyperlink", "smartTag", "customXml", "fldSimple", "fldChar", "instrText", "bookmarkStart", "bookmarkEnd", "drawing", "pict", "sectPr", "pPr", "rPr", "numPr", "delText", "commentReference", "footnoteReference", "sym", "body", "altChunk")  # fmt: skip


def tree_level(document: bytes, random: Random) -> bytes:
    """Elements taken out, doubled, moved, wrapped, renamed; attributes and texts of nonsense."""
    part = random.choice((*PARTS[:1] * 6, *PARTS[:6]))
    root = _tree(document, part)
    for _ in range(random.choice((1, 1, 2, 5, 20))):
        every = [e for e in root.iter() if isinstance(e.tag, str) and e.getparent() is not None]
        if not every:
            break
        one = random.choice(every)
        kind = random.choice(
            (
                "delete",
                "double",
                "move",
                "wrap",
                "rename",
                "attribute",
                "attribute",
                "text",
                "bare",
                "swap",
                "foreign",
                "comment",
            )
        )
        if kind == "delete":
            one.getparent().remove(one)
        elif kind == "double":
            for _ in range(random.choice((1, 1, 3, 30))):
                one.addnext(copy.deepcopy(one))
        elif kind == "move":
            to = random.choice(every)
            if to is not one and one not in to.iterancestors():
                random.choice((to.append, to.addnext, to.addprevious))(one)
        elif kind == "wrap":
            wrap = etree.Element(W + random.choice(TAGS))
            one.addprevious(wrap)
            wrap.append(one)
        elif kind == "rename":
            one.tag = random.choice((W + random.choice(TAGS), "x", "{urn:x}y", one.tag.upper().replace("HTTP", "http")))
        elif kind == "attribute":
            names = [*one.attrib] or [W + "val"]
            one.set(
                random.choice(
                    (
                        *names,
                        W
                        + random.choice(
                            ("val", "id", "name", "ilvl", "numId", "type", "fldCharType", "instr", "author", "date")
                        ),
                    )
                ),
                random.choice(GARBAGE),
            )
        elif kind == "text":
            one.text = random.choice(GARBAGE)
        elif kind == "bare":
            one.attrib.clear()
        elif kind == "swap":
            following = one.getnext()
            if following is not None:
                following.addnext(one)
        elif kind == "foreign":
            one.append(etree.fromstring(random.choice((
                '<m:oMath xmlns:m="http://schemas.openxmlformats.org/officeDocument/2006/math"><m:r/></m:oMath>',
                '<mc:AlternateContent xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006"><mc:Choice/></mc:AlternateContent>',
                '<svg xmlns="http://www.w3.org/2000/svg"><script>x</script></svg>', "<x><y/></x>",
            ))))  # fmt: skip
        else:
            one.addnext(random.choice((etree.Comment(" x "), etree.ProcessingInstruction("x", "y"))))
    return _packed(document, part, root)


def lists_and_styles(document: bytes, random: Random) -> bytes:
    """List definitions and styles that point in circles, nowhere, or say nonsense."""
    part = random.choice(("word/numbering.xml", "word/styles.xml", "word/document.xml"))
    root = _tree(document, part)
    for _ in range(random.choice((1, 4, 30))):
        places = [
            e
            for e in root.iter(
                *(
                    W + t
                    for t in (
                        "numId",
                        "ilvl",
                        "abstractNumId",
                        "lvlText",
                        "start",
                        "numFmt",
                        "basedOn",
                        "pStyle",
                        "numStyleLink",
                        "styleLink",
                        "link",
                        "lvlRestart",
                        "name",
                    )
                )
            )
            if e.getparent() is not None
        ]
        if not places:
            break
        one = random.choice(places)
        if random.random() < 0.3 and one.tag == W + "basedOn":
            one.set(W + "val", one.getparent().get(W + "styleId", ""))
        elif random.random() < 0.2:
            for tag in ("numStyleLink", "styleLink"):
                etree.SubElement(one.getparent(), W + tag).set(W + "val", random.choice(GARBAGE))
        else:
            one.set(
                W + "val",
                random.choice(
                    (*GARBAGE, str(random.randrange(40)), "lowerRoman", "chineseCounting", "999999999", "%9.%8")
                ),
            )
    return _packed(document, part, root)


def revisions(document: bytes, random: Random) -> bytes:
    """Tracked changes in every strange shape."""
    root = _tree(document, "word/document.xml")
    for _ in range(random.choice((1, 3, 12))):
        runs, pars = list(root.iter(W + "r")), list(root.iter(W + "p"))
        run, p = random.choice(runs), random.choice(pars)
        if random.random() < 0.6:
            inner = run
            for _ in range(random.choice((1, 2, 3, 30))):
                wrap = _mark(random.choice(("ins", "del", "moveFrom", "moveTo")), random)
                inner.addprevious(wrap)
                wrap.append(inner)
                inner = wrap
        elif random.random() < 0.6:
            properties = p.find(W + "pPr")
            if properties is None:
                properties = etree.Element(W + "pPr")
                p.insert(0, properties)
            mark = etree.SubElement(properties, W + "rPr")
            for tag in random.sample(("ins", "del", "moveFrom", "moveTo"), random.choice((1, 2))):
                mark.append(_mark(tag, random))
        elif random.random() < 0.5:
            change = etree.SubElement(p, W + "pPrChange")
            etree.SubElement(change, W + "pPr")
            p.append(_mark("moveFromRangeStart", random))
        else:
            rows = list(root.iter(W + "tr"))
            if rows:
                row = random.choice(rows)
                etree.SubElement(row, W + "trPr").append(_mark(random.choice(("ins", "del")), random))
        for t in random.sample(list(root.iter(W + "t")), 1):
            t.tag = random.choice((W + "t", W + "delText"))
    return _packed(document, "word/document.xml", root)


def _mark(tag: str, random: Random) -> Any:
    made = etree.Element(W + tag)
    for name, values in (
        ("id", ("1", "1", "", "x", "99999999999999999999")),
        ("author", ("A. Party", "", "\u202e", "x" * 3000, "{{ x }}")),
        ("date", ("2026-01-01T00:00:00Z", "", "x", "9999-99-99")),
    ):
        if random.random() < 0.7:
            made.set(W + name, random.choice(values))
    return made


def bookmarks(document: bytes, random: Random) -> bytes:
    """Bookmarks and fields renamed, doubled, overlapping, never closed."""
    root = _tree(document, "word/document.xml")
    for _ in range(random.choice((1, 4, 25))):
        starts, fields = list(root.iter(W + "bookmarkStart")), list(root.iter(W + "fldChar", W + "instrText"))
        one, other = random.choice(starts), random.choice(starts)
        kind = random.choice(("rename", "same", "swap", "move", "drop", "field", "field", "instruction", "loose"))
        if kind == "rename":
            one.set(
                W + "name",
                random.choice(("_P_", "_P_x", "_P_" + "x" * 300, one.get(W + "name", "") + "_Copy_1", *GARBAGE)),
            )
        elif kind == "same":
            one.set(W + "name", other.get(W + "name", ""))
        elif kind == "swap":
            a, b = one.get(W + "name", ""), other.get(W + "name", "")
            one.set(W + "name", b)
            other.set(W + "name", a)
        elif kind == "move":
            other.addnext(one)
        elif kind == "drop":
            for end in list(root.iter(W + "bookmarkEnd"))[:20]:
                end.getparent().remove(end)
        elif kind == "field" and fields:
            one = random.choice(fields)
            random.choice(
                (
                    lambda one=one: one.getparent().remove(one),
                    lambda one=one: one.set(W + "fldCharType", random.choice(("begin", "separate", "end", "x"))),
                )
            )()
        elif kind == "instruction" and fields:
            random.choice(fields).text = random.choice(
                (
                    " REF _P_x \\n \\h ",
                    " TOC ",
                    " REF ",
                    "=1/0",
                    ' INCLUDETEXT "/etc/passwd" ',
                    " DDEAUTO c:\\\\x ",
                    "REF " + "x " * 3000,
                )
            )
        else:
            root.find(W + "body").insert(random.randrange(4), copy.deepcopy(one))
    return _packed(document, "word/document.xml", root)


def properties(document: bytes, random: Random) -> bytes:
    """What the document says of itself, wrong."""
    part = random.choice(("customXml/item1.xml", "docProps/custom.xml", "word/footer1.xml"))
    data = edits.parts(document)[part]
    kind = random.choice(("mark", "nothing", "attributes", "twice", "gone", "shuffled"))
    if kind == "mark":
        mark = random.choice(
            (
                "Round 1 · 00000000",
                "Draft · x",
                "",
                "Round 99999999999999999999 · 73c9f995",
                "Round \u0662 · 73c9f995",
                "x" * 5000,
                "\u202eRound 2",
                "Round 2 · " + "0" * 8,
            )
        )
        data = etree.tostring(_remarked(data, mark), xml_declaration=True, encoding="UTF-8")
    elif kind == "nothing":
        data = b"<x/>"
    elif kind == "gone":
        return _zipped(
            [
                (n, d)
                for n, d in edits.parts(document).items()
                if not n.startswith(random.choice(("customXml", "docProps")))
            ]
        )
    else:
        root = etree.fromstring(data)
        nodes = list(root)
        if kind == "twice":
            root.extend(copy.deepcopy(nodes[: random.choice((1, 500))]))
        elif kind == "shuffled":
            bookmarks_ = [n.get("bookmark", "") for n in nodes]
            random.shuffle(bookmarks_)
            for node, name in zip(nodes, bookmarks_, strict=True):
                node.set("bookmark", name)
        for node in random.sample(nodes, min(len(nodes), random.choice((1, 8, 60)))) if kind == "attributes" else ():
            node.set(
                random.choice(("id", "kind", "clause", "bookmark", "level", "label", "number", "hash", "name")),
                random.choice(GARBAGE),
            )
        data = etree.tostring(root, xml_declaration=True, encoding="UTF-8")
    return _with(document, part, data)


def _remarked(data: bytes, mark: str) -> Any:
    root = etree.fromstring(data)
    for node in root.iter():
        if node.get("mark") is not None:
            node.set("mark", mark)
        elif node.text and " · " in node.text:
            node.text = mark
    return root


# --- changed words --------------------------------------------------------------------------------------------------


def _sayable(p: Any) -> list[Any]:
    """The texts of a paragraph that a reader takes as its words: no field results, nothing of the contents."""
    return [] if edits.style(p).startswith("TOC") else [t for t in edits._own_texts(p) if (t.text or "").strip()]


def words(document: bytes, random: Random) -> tuple[bytes, list[str], list[str]]:
    """Words put in, changed and taken out, also where bookmarks are lost and paragraphs are moved about."""
    root = _tree(document, "word/document.xml")
    tokens: list[str] = []
    gone: list[str] = []
    pars = [p for p in root.iter(W + "p") if _sayable(p)]
    random.shuffle(pars)
    for p in pars[: random.choice((1, 2, 5, 15))]:
        token = f"zq{random.randrange(10**9)}"
        kind = random.choice(
            (
                "word",
                "word",
                "start",
                "all",
                "new",
                "unmarked",
                "moved",
                "delete",
                "split",
                "signs",
                "run",
                "box",
                "link",
                "control",
                "cellpar",
                "sdt",
                "turned",
                "unknown",
                "aside",
                "in field",
            )
        )
        texts = _sayable(p)
        t = random.choice(texts)
        if kind == "delete":
            if edits.style(p) not in edits.NUMBERED or len(pars) < 5:
                continue
            gone.append("".join(max((x.text or "" for x in texts), key=len).split())[:30])
            p.getparent().remove(p)
            continue
        tokens.append(token)
        if kind == "word":
            said = (t.text or "").split(" ")
            said.insert(random.randrange(len(said) + 1), token)
            t.text = " ".join(said)
        elif kind == "start":
            texts[0].text = f"{token} {texts[0].text}"
        elif kind == "all":
            for x in texts:
                x.text = ""
            texts[0].text = f"{token} is all that is left."
        elif kind == "signs":
            t.text = f"{t.text} {random.choice(SIGNS)} {token}"
        elif kind in ("new", "cellpar"):
            new = etree.Element(W + "p")
            p.addnext(new)
            if kind == "new" and p.find(W + "pPr") is not None:
                new.append(copy.deepcopy(p.find(W + "pPr")))
            etree.SubElement(etree.SubElement(new, W + "r"), W + "t").text = f"New words {token}."
        elif kind in ("unmarked", "moved"):
            for mark in [*p.iter(W + "bookmarkStart"), *p.iter(W + "bookmarkEnd")]:
                mark.getparent().remove(mark)
            t.text = f"{t.text} {token}"
            other = random.choice(pars)
            if (
                kind == "moved"
                and other is not p
                and other.getparent() is not None
                and other.getparent().tag == W + "body"
                and p.getparent().tag == W + "body"
            ):
                other.addnext(p)
        elif kind == "split":
            new = copy.deepcopy(p)
            p.addnext(new)
            for x in _sayable(new):
                x.text = token
        elif kind == "run":
            run = etree.SubElement(p, W + "r")
            etree.SubElement(
                etree.SubElement(run, W + "rPr"), W + random.choice(("b", "i", "vanish", "strike", "highlight"))
            )
            etree.SubElement(run, W + "t").text = f" {token}"
        elif kind == "box":
            run = etree.SubElement(p, W + "r")
            box = etree.SubElement(etree.SubElement(run, W + "pict"), W + "p")
            etree.SubElement(etree.SubElement(box, W + "r"), W + "t").text = token
        elif kind == "aside":
            p.addprevious(etree.Element("{urn:x}aside"))
            etree.SubElement(
                etree.SubElement(etree.SubElement(p.getprevious(), W + "p"), W + "r"), W + "t"
            ).text = token
        elif kind == "in field":
            fields = [
                r
                for r in root.iter(W + "r")
                if (c := r.find(W + "fldChar")) is not None
                and c.get(W + "fldCharType") == "separate"
                and "TOC" not in edits.style(next(r.iterancestors(W + "p")))
            ]
            if not fields:
                tokens.pop()
                continue
            run = etree.Element(W + "r")
            random.choice(fields).addnext(run)
            etree.SubElement(run, W + "t").text = f"{token} and more "
        elif kind in ("link", "control", "turned", "unknown"):
            tag = {
                "link": W + "hyperlink",
                "control": W + "smartTag",
                "turned": W + random.choice(("bdo", "dir")),
                "unknown": "{urn:x}y",
            }[kind]
            wrap = etree.SubElement(p, tag)
            etree.SubElement(etree.SubElement(wrap, W + "r"), W + "t").text = f" {token}"
        else:
            holder = etree.Element(W + "sdt")
            p.addprevious(holder)
            etree.SubElement(holder, W + "sdtContent").append(p)
            t.text = f"{t.text} {token}"
    for t in root.iter(W + "t"):
        t.set("{http://www.w3.org/XML/1998/namespace}space", "preserve")
    return _packed(document, "word/document.xml", root), tokens, gone


GROUPS: dict[str, Callable[[bytes, Random], bytes]] = {
    "zip": zip_level, "xml": xml_text, "tree": tree_level, "lists": lists_and_styles, "revisions": revisions, "bookmarks": bookmarks,
    "properties": properties,
}  # fmt: skip


def made(number: int) -> Made:
    """One document; the same number gives the same bytes."""
    random = Random(f"documents {number}")
    base = random.choice((*BASES[:3] * 2, *BASES))
    document = original(*base)
    group = random.choices((*GROUPS, "words", "words after"), (9, 9, 14, 6, 8, 8, 6, 30, 10))[0]
    if group == "words":
        data, tokens, gone = words(document, random)
        return Made(base, data, group, tokens, gone)
    if group == "words after":
        # words changed in a document whose bookmarks and tracked changes are strange already
        data, tokens, _ = words(random.choice((bookmarks, properties))(document, random), random)
        return Made(base, data, group, tokens)
    return Made(base, GROUPS[group](document, random), group)


# --- judging --------------------------------------------------------------------------------------------------------


@cache
def _placed(name: str, n: int) -> tuple[dict[str, bytes], bytes, bytes]:
    """The files of the case folder, and the maps of the draft."""
    rows = drafted(name, n).map(f"Round {n}")
    files = {"case.yaml": facts_file(name, n).read_bytes(), "notes.txt": b"not ours", "rounds/01/manifest.json": b"{}"}
    return files, write_json(rows), write_csv(rows)


@cache
def _drafted_in(name: str, n: int, folder: str) -> Draft:
    return draft(Path(folder))


def _snapshot(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@cache
def _room() -> tempfile.TemporaryDirectory[str]:
    return tempfile.TemporaryDirectory()


def _folder(base: tuple[str, int]) -> Path:
    """The case folder of a base, as it was in the beginning."""
    folder = Path(_room().name) / f"{base[0]}-{base[1]}"
    files = _placed(*base)[0]
    for path in sorted(folder.rglob("*")) if folder.is_dir() else ():
        if path.is_file() and str(path.relative_to(folder)) not in files:
            path.unlink()
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    return folder


RUN = CliRunner()


def _said(arguments: list[str], found: Draft) -> tuple[int, str, str]:
    """Run a command in this process, on a draft that is made once, and give exit code, output and messages."""
    with mock.patch.object(cli, "_drafted", return_value=found):
        done = RUN.invoke(cli.app, arguments)
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done.exit_code, done.stdout, done.stderr


def _all_words(data: Any) -> str:
    if isinstance(data, dict):
        return " ".join(_all_words(v) for v in data.values())
    if isinstance(data, list):
        return " ".join(_all_words(v) for v in data)
    return str(data)


def judge(number: int, count: Count) -> str:
    """Judge one document through takein, verify, and now and then a fresh map of it."""
    case = made(number)
    random = Random(f"judged {number}")
    folder = _folder(case.base)
    found = _drafted_in(*case.base, str(folder))
    before = _snapshot(folder)
    edited = Path(_room().name) / "edited.docx"
    edited.write_bytes(case.data)
    maps = Path(_room().name) / random.choice(("map.json", "map.csv"))
    maps.write_bytes(_placed(*case.base)[1 if maps.suffix == ".json" else 2])
    count.also(f"group {case.group}")

    code, out, err = _said(["verify", str(edited), str(maps), *random.choice(((), ("--json",)))], found)
    _check_exit(code, err, "verify")
    expect(_snapshot(folder) == before, "verify changed the case folder")
    if number % 10 == 0:
        code, out, err = _said(["map", str(edited)], found)
        _check_exit(code, err, "map")
        count.also("fresh maps")

    applied = random.random() < 0.5
    changes = "accept" if case.tokens or case.gone else random.choice(("accept", "accept", "reject"))
    code, out, err = _said(
        ["takein", str(folder), str(edited), "--json", "--changes", changes, *(["--apply"] if applied else [])], found
    )
    _check_exit(code, err, "takein")
    after = _snapshot(folder)
    if code == 2 or not applied:
        expect(after == before, "takein changed the case folder")
    else:
        expect(
            {n: d for n, d in after.items() if n not in ("case.yaml", "wording.yaml")}
            == {n: d for n, d in before.items() if n != "case.yaml"},
            "takein touched another file",
        )
    if code == 2:
        return "refused"
    told = " ".join(_all_words(json.loads(out)).split())
    if not set(case.tokens) <= set(_words_of(case.data)):
        raise AssertionError("the case does not say its own words")
    for token in case.tokens:
        count.also("changed paragraphs looked for in the report")
        expect(token in told, f"lost: {token} stands nowhere in the report")
    for text in case.gone:
        count.also("removed paragraphs looked for in the report")
        expect(text in "".join(told.split()), f"lost: the report does not say that {text!r} was taken out")
    if applied:
        read_case(folder)
        read_wording(folder)
        if number % 4 == 0:
            draft(folder)
            count.also("drafted again after taking in")
    return "accepted"


def _words_of(data: bytes) -> Counter[str]:
    body = edits.body_of(data)
    return Counter(word.strip(".,;") for t in body.iter(W + "t") for word in (t.text or "").split())


def _check_exit(code: int, err: str, what: str) -> None:
    expect(code in (0, 1, 2), f"{what}: exit code {code}")
    expect(
        code != 2 or ("edited.docx" in err or "the document" in err or "Round" in err),
        f"{what}: refused without naming the document: {err[:300]!r}",
    )
    expect("Traceback" not in err, f"{what}: a traceback")
    expect(len(err) < 6000, f"{what}: a message of {len(err)} signs")
