"""Documents that must be refused: a clear message, bounded memory, the case untouched."""

from __future__ import annotations

import io
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path
from random import Random

import docx
import pytest
from rounds import edits, trips
from support.scenarios import drafted, facts_file
from typer.testing import CliRunner

from msadraft.cli import app
from msadraft.rounds.intake import guard
from msadraft.rounds.intake.guard import IntakeError, open_bytes
from msadraft.rounds.intake.takein import take_in


def _ours() -> dict[str, bytes]:
    return edits.parts(trips.document_of(drafted("marrowby", 2), 2))


def _with(name: str, data: bytes) -> bytes:
    return edits.packed({**_ours(), name: data})


def _without(name: str) -> bytes:
    return edits.packed({n: d for n, d in _ours().items() if n != name})


def _document(before: bytes, after: bytes) -> bytes:
    return _with("word/document.xml", _ours()["word/document.xml"].replace(before, after, 1))


def _twice() -> bytes:
    # a part of another name of the same length is renamed in place
    return _with("word/documenT.xml", b"<other/>").replace(b"word/documenT.xml", b"word/document.xml")


def _encrypted() -> bytes:
    data = bytearray(edits.packed(_ours()))
    for sign, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        place = data.find(sign)
        while place >= 0:
            data[place + at] |= 1
            place = data.find(sign, place + 4)
    return bytes(data)


def _many() -> bytes:
    return edits.packed({**_ours(), **{f"word/extra{n}.xml": b"<x/>" for n in range(guard.MOST_ENTRIES)}})


def _liar() -> bytes:
    """A part that says it is small, and is not."""
    big = b"<w:t>" + b"ab" * (guard.MOST_PART_BYTES // 2) + b"</w:t>"
    data = bytearray(_with("word/comments.xml", big))
    for sign, at in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        place = data.find(sign)
        while place >= 0:
            if data[place + at : place + at + 4] == len(big).to_bytes(4, "little"):
                data[place + at : place + at + 4] = (1000).to_bytes(4, "little")
            place = data.find(sign, place + 4)
    return bytes(data)


def _foreign() -> bytes:
    document = docx.Document()
    document.add_paragraph("A letter.")
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


DOCTYPE = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
DECLARATION = b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>'
DEEP = b"<w:sdt><w:sdtContent>" * 90 + b"</w:sdtContent></w:sdt>" * 90

BAD: dict[str, tuple[Callable[[], bytes], str]] = {
    "empty": (lambda: b"", "the file is empty"),
    "text": (lambda: b"Dear all", "this is no DOCX"),
    "pdf": (lambda: b"%PDF-1.7 ...", "this is a PDF"),
    "rich text": (lambda: b"{\\rtf1 x}", "this is a rich-text file"),
    "old or encrypted": (
        lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
        "encrypted document or one of the old",
    ),
    "cut off": (lambda: edits.packed(_ours())[:5000], "damaged or cut off"),
    "broken inside": (lambda: _with("word/document.xml", b"<w:document"), "word/document.xml is damaged"),
    "other zip": (lambda: edits.packed({"a.txt": b"x"}), "no DOCX"),
    "no document": (lambda: _without("word/document.xml"), "no DOCX"),
    "spreadsheet": (lambda: edits.packed({"[Content_Types].xml": b"<x/>", "xl/workbook.xml": b"<x/>"}), "no DOCX"),
    "other root": (lambda: _with("word/document.xml", b"<x/>"), "holds no text of a document"),
    "bomb": (lambda: _with("word/document.xml", b" " * 262_000_000), "unpacks to more than 200 times its size"),
    "large part": (
        lambda: _with("word/document.xml", bytes(range(33, 97)) * (17 * 2**14)),
        "larger than 16 MB|200 times",
    ),
    "liar": (_liar, "unpacks to more than it says|damaged"),
    "doctype": (lambda: _document(DECLARATION, DECLARATION + DOCTYPE), "holds a DOCTYPE"),
    "doctype in styles": (lambda: _with("word/styles.xml", DOCTYPE + b"<x>&b;</x>"), "holds a DOCTYPE"),
    "macros": (lambda: _with("word/vbaProject.bin", b"x"), "holds macros"),
    "macro type": (
        lambda: _with("[Content_Types].xml", b"<Types>application/vnd.ms-word.document.macroEnabled.main+xml</Types>"),
        "holds macros",
    ),
    "embedded document": (lambda: _document(b"<w:p>", b'<w:altChunk r:id="rId9"/><w:p>'), "embeds another document"),
    "twice": (_twice, "two parts of the file are called"),
    "leads outside": (lambda: _with("../evil.xml", b"<x/>"), "leads outside"),
    "encrypted zip": (_encrypted, "is encrypted"),
    "many parts": (_many, "more than 2000 parts"),
    "deep": (lambda: _document(b"<w:body>", b"<w:body>" + DEEP), "nests|damaged"),
    "not ours": (_foreign, "not drafted here"),
    "older round": (lambda: trips.document_of(drafted("marrowby", 1), 1), "came from “Round 1"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_document_is_refused_with_a_clear_message(name: str) -> None:
    make, words = BAD[name]
    with pytest.raises(IntakeError, match=words) as caught:
        take_in(drafted("marrowby", 2), make(), "edited.docx")
    assert str(caught.value).startswith(("edited.docx", "the document"))


def test_sixty_megabytes_of_media_are_refused_before_anything_is_unpacked(tmp_path: Path) -> None:
    noise = bytes(range(256)) * 2**12 * 60
    file = tmp_path / "edited.docx"
    with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as archive:
        for name, data in {**_ours(), "word/media/film.bin": noise}.items():
            archive.writestr(name, data)
    with pytest.raises(IntakeError, match="larger than 32 MB"):
        guard.open_package(file)


def test_a_picture_of_some_megabytes_is_let_through_and_never_unpacked() -> None:
    parts = open_bytes(_with("word/media/photo.jpg", Random(1).randbytes(2**22)), "edited.docx")
    assert "word/document.xml" in parts
    assert "word/media/photo.jpg" not in parts


def test_the_command_leaves_the_case_untouched(tmp_path: Path) -> None:
    folder = tmp_path / "case"
    folder.mkdir()
    (folder / "case.yaml").write_bytes(facts_file("marrowby", 2).read_bytes())
    before = (folder / "case.yaml").read_bytes()
    for name in ("cut off", "doctype", "not ours", "older round", "macros"):
        file = tmp_path / "edited.docx"
        file.write_bytes(BAD[name][0]())
        said = CliRunner().invoke(app, ["takein", str(folder), str(file), "--apply"])
        assert said.exit_code == 2, name
        assert "Traceback" not in said.output
        assert (folder / "case.yaml").read_bytes() == before
        assert [p.name for p in folder.iterdir()] == ["case.yaml"]
    gone = CliRunner().invoke(app, ["takein", str(folder), str(tmp_path / "gone.docx")])
    assert gone.exit_code == 2
    assert "there is no such file" in gone.output


_MEASURE = """
import re, sys
from pathlib import Path
from msadraft.rounds.intake import guard, read
try:
    read.read_document(Path(sys.argv[1]))
except guard.IntakeError as error:
    print("refused:", error)
# the peak of this process alone; getrusage would count that of its parent
peak = int(re.search(r"VmHWM:\\s+(\\d+) kB", Path("/proc/self/status").read_text())[1]) * 1024
print("within" if peak < guard.MOST_MEMORY_BYTES else f"{peak} bytes")
"""


@pytest.mark.skipif(sys.platform != "linux", reason="reads the peak of memory from /proc")
@pytest.mark.parametrize("shape", ["bomb", "full of text", "full of tags", "too many tags"])
def test_memory_stays_within_the_stated_bound(shape: str, tmp_path: Path) -> None:
    head = b'<w:document xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"><w:body>'
    pieces = {
        "full of text": b"<w:p><w:r><w:t>" + b"words " * 140 + b"</w:t></w:r></w:p>",
        "full of tags": b"<w:p><w:r><w:t/></w:r><w:r/><w:r/><w:r/><w:r/><w:r/><w:r/><w:r/><w:r/><w:r/><w:r/><w:r/><w:r/></w:p>",
        "too many tags": b"<w:p/>",
    }
    if shape == "bomb":
        data = BAD["bomb"][0]()
    else:
        piece = pieces[shape]
        count = (guard.MOST_PART_BYTES - 200) // len(piece)
        if shape != "too many tags":
            count = min(count, guard.MOST_PARAGRAPHS - 10, (guard.MOST_TAGS - 10) // piece.count(b"<"))
        # stored, so that its ratio of compression is no ground for refusal
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
            for name, part in {
                **_ours(),
                "word/document.xml": head + piece * count + b"</w:body></w:document>",
            }.items():
                archive.writestr(name, part)
        data = out.getvalue()
    file = tmp_path / "edited.docx"
    file.write_bytes(data)
    done = subprocess.run([sys.executable, "-c", _MEASURE, str(file)], capture_output=True, text=True, timeout=120)
    lines = done.stdout.splitlines()
    assert lines[-1:] == ["within"], done.stdout + done.stderr
    assert (len(lines) == 2) == (shape in ("bomb", "too many tags")), "only these two are refused"
