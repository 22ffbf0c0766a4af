"""Text of the facts that would be template, markup, formula or field code elsewhere comes out as it was typed, or is refused."""

from __future__ import annotations

import csv
import io
import json
import re
import tempfile
import unicodedata
import zipfile
from contextlib import suppress
from functools import cache
from pathlib import Path
from random import Random

from fuzz.facts_files import check_refusal, library, read_bytes
from fuzz.measure import Count, expect
from lxml import etree, html
from rounds.edits import W
from support.scenarios import ROUNDS, facts_file

from msadraft.draft import draft
from msadraft.facts.load import CaseFile, read_text_case
from msadraft.facts.problems import FactsError
from msadraft.facts.written import quoted
from msadraft.figures.parenting.clock import CalendarError
from msadraft.rounds.packet_files import case_packet, packet_files
from msadraft.rounds.store import files_of
from msadraft.writers.calendar.files import calendar_files
from msadraft.writers.workbook import write_workbook

KIND = "printed"
FULL = 400
MOST_SECONDS = 15.0
MOST_MB = 300.0

TEXTS = (
    "{{ 7*7 }}", "{% raw %}x{% endraw %}", "{{ petitioner }}", "{# gone #}", "{%", "}}", "{b}bold{/b}", "{para recital.parties}", "{child_support.amount}", "${7*7}", "#{7*7}", "%s %d {0}",
    "<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "</title><b>x", "\" onmouseover=\"x", "' onfocus='x", "&lt;b&gt;", "&amp;", "&#8238;", "<!-- x -->", "]]>", "<![CDATA[x]]>", "<?xml x?>", "<w:p/>", "</w:t></w:r>", "<!DOCTYPE x>",
    "=1+1", "=HYPERLINK(\"http://x.example\")", "=cmd|' /C calc'!A0", "+1+1", "-1+1", "@SUM(A1)", "'=1", "\"=1+1\"", "%0A=1", ";=1", "|=1", "=", "==", "＝1+1",
    "*bold*", "**bold**", "_x_", "# head", "- item", "1. item", "> quote", "[label] x", "[x](javascript:alert)", "`code`", "| a | b |", "Table: x", "~~x~~", "\\*x", "![x](y)", "***", "---", "***x", "[total]", "[row:x]",
    "REF _P_x \\n", "{ PAGE }", "INCLUDETEXT \"c:\\\\x\"", "DDEAUTO x y", "\\u202e", "\\x00", "%00", "..\\..\\x", "../../x", "C:\\x", "/etc/passwd", "CON", "a\\nb", "\\N", "\\,;:", "BEGIN:VEVENT", "X-EVIL:1",
    "Müller-Łukasiewicz", "O’Brien", "山田 太郎", "مريم العلي", "מרים כהן", "นภา", "Ñandú", "e\u0301clair", "👩‍👧 x", "a\u00a0b", "a\u200db", "a\u00adb", "\U0001d4d0", "ﬁ", "İstanbul", "ß", "ǅ", "x" * 300, "山" * 250, "word " * 60 + "end", "a  b", "A.", "“quoted”", "\"quoted\"", "it's", "end?", "a;b", "a,b", "a\tb", "a\u2007b", "\u200bx", "\u2060x", "\ue000", "\U000e0041x", "\u061cx", "\u200fx", "\u200ex",
)  # fmt: skip
_TEXT_KEYS = ("first", "middle", "last", "suffix", "label", "place", "branch", "heading", "body", "employer", "street", "city", "description", "notes", "terms", "reason", "basis", "institution", "creditor", "exchange_place", "provider", "county_of_birth", "firm", "name")  # fmt: skip
_LINE = re.compile(rf"^(\s*(?:- )?(?:{'|'.join(_TEXT_KEYS)}):\s+)(\S.*)$")
_INLINE = re.compile(rf"(?<=[{{ ])((?:{'|'.join(_TEXT_KEYS)}): )([^,{{}}\"'\[\]]+)(?=[,}}])")
TOKEN = "Zqtokenq"


@cache
def _places(name: str, n: int) -> tuple[tuple[int, int], ...]:
    """Where a text of the facts can be set, as stretches of the file."""
    text = facts_file(name, n).read_text(encoding="utf-8")
    found, at = [], 0
    for line in text.splitlines(keepends=True):
        whole = _LINE.match(line.rstrip("\n"))
        if whole and whole[2][0] not in "{[|>&*!":
            found.append((at + whole.start(2), at + len(line.rstrip("\n"))))
        else:
            found += [(at + m.start(2), at + m.end(2)) for m in _INLINE.finditer(line)]
        at += len(line)
    return tuple(found)


def _texts(number: int) -> tuple[tuple[str, int], tuple[int, int], str]:
    random = Random(f"printed {number}")
    base = random.choice(ROUNDS)
    return base, random.choice(_places(*base)), TEXTS[number % len(TEXTS)]


def _set(base: tuple[str, int], place: tuple[int, int], text: str) -> str:
    whole = facts_file(*base).read_text(encoding="utf-8")
    return whole[: place[0]] + quoted(text) + whole[place[1] :]


def made(number: int) -> bytes:
    """The facts of one case, with one hostile text in them."""
    return _set(*_texts(number)).encode()


def papers(file: CaseFile) -> dict[str, bytes]:
    """Every paper that the program makes of a case."""
    found = draft(file, library=library())
    files = {} if found.figures.true_default else files_of(found, "Round 1")
    files |= {
        f"packet/{name}": data
        for name, data in packet_files(found, case_packet(found, "Round 1", 20), "Round 1").items()
    }
    files["figures.xlsx"] = write_workbook(file.facts, found.figures)
    with suppress(CalendarError):
        files |= {
            f"calendar/{name}": data for name, data in calendar_files(file.facts, found.figures, ()).files.items()
        }
    files.pop("facts.yaml", None)
    return files


def said(name: str, data: bytes) -> str:
    """What a paper says to its reader, white space folded; it must be well formed, and do nothing by itself."""
    kind = name.rpartition(".")[2]
    if kind in ("docx", "xlsx"):
        text = _office(name, data)
    elif kind == "html":
        text = _page(name, data.decode())
    elif kind == "svg":
        text = "".join(str(t) for t in etree.fromstring(data).itertext())
    elif kind == "json":
        text = "\n".join(_values(json.loads(data)))
    elif kind == "csv":
        text = _table(name, data.decode("utf-8-sig"))
    elif kind == "ics":
        text = _calendar(name, data.decode())
    else:
        text = data.decode()
    return " ".join(text.split())


def _values(data: object) -> list[str]:
    if isinstance(data, dict):
        return [v for one in data.values() for v in _values(one)]
    if isinstance(data, list):
        return [v for one in data for v in _values(one)]
    return [str(data)]


_FIELDS = re.compile(r"\s*(REF _P_\w+ |TOC |PAGE|NUMPAGES|SECTIONPAGES|DOCPROPERTY |STYLEREF )")


def _office(name: str, data: bytes) -> str:
    archive = zipfile.ZipFile(io.BytesIO(data))
    out = []
    for part in archive.namelist():
        if not part.endswith((".xml", ".rels")):
            continue
        root = etree.fromstring(archive.read(part))
        if part.endswith(".rels"):
            expect(not any(r.get("TargetMode") == "External" for r in root), f"{name}: {part} leads outside")
        for node in root.iter(W + "instrText"):
            expect(_FIELDS.match(node.text or ""), f"{name}: a field with the code {node.text!r}")
        if part.startswith("xl/worksheets/"):
            formulas = [f.text or "" for f in root.iter("{*}f")]
            expect("map" not in name or not formulas, f"{name}: formulas in a map: {formulas[:3]}")
            expect(
                not any(word in f for f in formulas for word in ("HYPERLINK", "cmd", "SUM(A1)")),
                f"{name}: a formula of the facts",
            )
        if part.startswith(("word/", "xl/")):
            for p in root.iter(W + "p", "{*}si", "{*}is"):
                out.append(
                    "".join(
                        " " if t.tag in (W + "tab", W + "br") else t.text or ""
                        for t in p.iter(W + "t", W + "delText", W + "tab", W + "br", "{*}t")
                    )
                )
    return "\n".join(out)


def _page(name: str, text: str) -> str:
    root = html.document_fromstring(text)
    for node in root.iter():
        if not isinstance(node.tag, str):
            continue
        expect(
            node.tag not in ("script", "iframe", "object", "embed", "form", "base", "img"),
            f"{name}: an element {node.tag}",
        )
        for key, value in node.attrib.items():
            expect(not key.startswith("on"), f"{name}: an attribute {key}")
            expect("javascript:" not in value.lower(), f"{name}: {key} is {value!r}")
    return "\n".join(
        str(t)
        for node in root.iter()
        if isinstance(node.tag, str) and node.tag != "style"
        for t in ("".join(node.itertext()),)
        if node.getparent() is None
    )


def _table(name: str, text: str) -> str:
    out = []
    for row in csv.reader(io.StringIO(text)):
        for cell in row:
            expect(
                not cell.startswith(("=", "+", "-", "@", "\t", "\r")) or re.fullmatch(r"-?[\d.,]+", cell),
                f"{name}: a cell begins as a formula: {cell[:60]!r}",
            )
            out.append(cell.removeprefix("'") if cell[1:2] in tuple("=+-@\t\r'") else cell)
    return "\n".join(out)


def _calendar(name: str, text: str) -> str:
    lines = text.replace("\r\n ", "").split("\r\n")
    for line in lines:
        expect(not line or re.match(r"[A-Z][A-Z-]*[;:]", line), f"{name}: a line that is none: {line[:80]!r}")
        expect(not line.startswith("X-EVIL"), f"{name}: an entry of the facts")
    begun = [line for line in lines if line.startswith(("BEGIN:", "END:"))]
    expect(sum(x.startswith("BEGIN:") for x in begun) * 2 == len(begun), f"{name}: events do not close")
    return re.sub(r"\\([\\,;])", r"\1", "\n".join(lines).replace("\\n", "\n"))


@cache
def _where(base: tuple[str, int], place: tuple[int, int]) -> dict[str, int] | None:
    """The papers that print the fact at a place, and how often; None if it cannot be any text."""
    try:
        file = read_text_case(_set(base, place, TOKEN))
    except FactsError:
        return None
    return {name: count for name, data in papers(file).items() if (count := said(name, data).count(TOKEN))}


def judge(number: int, count: Count) -> str:
    """Draft every paper with one hostile text, and look for it where a harmless one stands."""
    base, place, text = _texts(number)
    content = made(number)
    with tempfile.TemporaryDirectory() as folder:
        try:
            file = read_bytes(content, Path(folder))
        except FactsError as error:
            check_refusal(error, content)
            return "refused"
    # The reader composes signs (NFC); a paper may break a long word over two lines.
    wanted = _close(unicodedata.normalize("NFC", text))
    where = _where(base, place)
    files = papers(file)
    for name, data in files.items():
        words = said(name, data)
        short = name.startswith("paragraph-map") and " " in text  # says only the first words of a paragraph
        if where and name in where and not short and (text.isprintable() or name != "selection.json"):
            count.also("papers in which it stands as typed")
            shown = _close(words)
            says = wanted.casefold() in shown.casefold() or wanted in _close(_plainly(words))
            expect(says or wanted.removeprefix("'") in shown, f"{name} does not say {wanted!r}")
        count.also("papers looked through")
    return "accepted"


def _close(text: str) -> str:
    return "".join(text.split())


def _plainly(words: str) -> str:
    """Markdown without the backslashes that keep a sign from being markup."""
    return re.sub(r"\\([\\`*_{}\[\]()#+.!|<>~-])", r"\1", words).replace("&lt;", "<").replace("&amp;", "&")
