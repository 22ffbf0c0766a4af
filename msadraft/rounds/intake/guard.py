"""Open a DOCX that came from elsewhere, within stated limits, or refuse it with a clear message.

Nothing of the file is trusted: sizes are looked at before anything is unpacked and counted again while unpacking, no
part with a DOCTYPE is parsed, no target outside the file is ever followed.
"""

from __future__ import annotations

import io
import os
import stat
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import Any

from lxml import etree

from msadraft.rounds.errors import RoundError

MOST_FILE_BYTES = 32 * 2**20
"""Largest file that is opened at all."""
MOST_ENTRIES = 2000
MOST_TOTAL_BYTES = 64 * 2**20
"""Largest sum of the unpacked parts. A 40-page agreement of ours unpacks to less than 2 MB."""
MOST_PART_BYTES = 16 * 2**20
"""Largest single part that is unpacked. Only parts of text are unpacked; pictures are never."""
MOST_READ_BYTES = 24 * 2**20
"""Largest sum of the parts that are unpacked; the rest is never looked at."""
MOST_MEMORY_BYTES = 400 * 2**20
"""What taking in any file may need at most, with the program itself; the tests hold it."""
MOST_TAGS = 400_000
"""Most tags in one part: a parsed element takes ten times the room of its text. 40 pages from an office suite have 30,000."""
MOST_PARAGRAPHS = 20_000
MOST_RATIO = 200
RATIO_FROM = 2**20
MOST_DEPTH = 200
READ_PARTS = ("word/", "customXml/", "docProps/")
_CHUNK = 2**16


class IntakeError(RoundError):
    """The document cannot be taken in; the message says why and what to do."""


def open_package(path: Path) -> dict[str, bytes]:
    """Give the XML parts of a DOCX by name.

    Raises:
        IntakeError: it is not a DOCX, is encrypted, damaged, too large, or holds what no agreement needs (macros,
            a DOCTYPE, embedded documents).
    """
    return open_bytes(read_file(path), path.name)


def read_file(path: Path) -> bytes:
    """Give the bytes of a file that may be a DOCX. Raises IntakeError if it is too large or cannot be read."""
    name = path.name
    try:
        if not stat.S_ISREG(os.stat(path).st_mode):
            raise IntakeError(f"{name}: this is not an ordinary file; name the edited DOCX")
        with open(path, "rb") as stream:
            content = stream.read(MOST_FILE_BYTES + 1)
    except FileNotFoundError:
        raise IntakeError(f"{path}: there is no such file; check the name") from None
    except OSError as error:
        raise IntakeError(f"{path}: the file cannot be read ({error.strerror}); check its rights") from None
    if len(content) > MOST_FILE_BYTES:
        raise IntakeError(
            f"{name}: the file is larger than {MOST_FILE_BYTES // 2**20} MB; take pictures and other media out of it"
        )
    return content


def open_bytes(content: bytes, name: str) -> dict[str, bytes]:
    """Give the XML parts of a DOCX by name, from its bytes. Raises IntakeError like `open_package`."""
    if not content.startswith(b"PK"):
        raise IntakeError(f"{name}: {_kind_of(content)}; save the document as DOCX without a password and try again")
    try:
        archive = zipfile.ZipFile(io.BytesIO(content))
        entries = archive.infolist()
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError):
        raise IntakeError(f"{name}: the file is damaged or cut off; ask for it again") from None
    _check_entries(entries, name)
    parts: dict[str, bytes] = {}
    left = MOST_READ_BYTES
    for entry in entries:
        if not _is_wanted(entry.filename):
            continue
        data = _unpack(archive, entry, min(left, MOST_PART_BYTES), name)
        left -= len(data)
        parts[entry.filename] = data
    for needed in ("[Content_Types].xml", "word/document.xml"):
        if needed not in parts:
            raise IntakeError(
                f"{name}: this is a zip file, but no DOCX (it has no {needed}); save the document as DOCX"
            )
    _check_parts(parts, name)
    return parts


def _kind_of(content: bytes) -> str:
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        return "this is an encrypted document or one of the old binary format"
    if content.startswith(b"%PDF"):
        return "this is a PDF"
    if content.startswith(b"{\\rtf"):
        return "this is a rich-text file"
    return "the file is empty" if not content else "this is no DOCX"


def _check_entries(entries: list[zipfile.ZipInfo], name: str) -> None:
    if len(entries) > MOST_ENTRIES:
        raise IntakeError(f"{name}: the file holds more than {MOST_ENTRIES} parts; no agreement needs so many")
    seen: set[str] = set()
    total = 0
    for entry in entries:
        if entry.filename.lower() in seen:
            raise IntakeError(
                f"{name}: two parts of the file are called {entry.filename!r}; it is damaged or tampered with"
            )
        seen.add(entry.filename.lower())
        where = PurePosixPath(entry.filename)
        if where.is_absolute() or ".." in where.parts or "\\" in entry.filename or ":" in entry.filename:
            raise IntakeError(f"{name}: a part of the file has a name that leads outside it; it is tampered with")
        if entry.flag_bits & 0x1:
            raise IntakeError(f"{name}: the file is encrypted; save it without a password and try again")
        if entry.filename.lower().endswith("vbaproject.bin"):
            raise IntakeError(f"{name}: the document holds macros; save it as DOCX (not DOCM) and try again")
        total += entry.file_size
        if entry.file_size > RATIO_FROM and entry.file_size > MOST_RATIO * max(1, entry.compress_size):
            raise IntakeError(f"{name}: a part unpacks to more than {MOST_RATIO} times its size; the file is refused")
        if _is_wanted(entry.filename) and entry.file_size > MOST_PART_BYTES:
            raise IntakeError(f"{name}: a part is larger than {MOST_PART_BYTES // 2**20} MB; the file is refused")
    if total > MOST_TOTAL_BYTES:
        raise IntakeError(
            f"{name}: unpacked, the file is larger than {MOST_TOTAL_BYTES // 2**20} MB; take pictures and other media out of it"
        )


def _is_wanted(name: str) -> bool:
    return name == "[Content_Types].xml" or (
        name.startswith(READ_PARTS) and name.endswith((".xml", ".rels")) and "/media/" not in name
    )


def _unpack(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, most: int, name: str) -> bytes:
    """Unpack one part with a counter, because the size that a zip file states may be a lie."""
    out = bytearray()
    try:
        with archive.open(entry) as stream:
            while chunk := stream.read(_CHUNK):
                out += chunk
                if len(out) > most:
                    raise IntakeError(f"{name}: a part unpacks to more than it says; the file is refused")
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, NotImplementedError, RuntimeError) as error:
        if isinstance(error, IntakeError):
            raise
        raise IntakeError(f"{name}: the file is damaged or cut off; ask for it again") from None
    return bytes(out)


def _check_parts(parts: dict[str, bytes], name: str) -> None:
    types = parts["[Content_Types].xml"]
    if b"macroEnabled" in types:
        raise IntakeError(f"{name}: the document holds macros; save it as DOCX (not DOCM) and try again")
    for part, data in parts.items():
        if b"<!DOCTYPE" in data[:4096] or b"<!ENTITY" in data:
            raise IntakeError(f"{name}: {part} holds a DOCTYPE, which no word processor writes; the file is refused")
        if data.count(b"<") > MOST_TAGS:
            raise IntakeError(f"{name}: {part} holds more than {MOST_TAGS:,} tags; no agreement is so large")
    if b"<w:altChunk" in parts["word/document.xml"]:
        raise IntakeError(f"{name}: the document embeds another document; paste its text instead and save again")


def parse(parts: dict[str, bytes], part: str, name: str) -> Any:
    """Parse one part safely.

    Raises:
        IntakeError: it is no XML, carries a DOCTYPE, or nests without end.
    """
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False, remove_comments=True, remove_pis=True
    )
    try:
        root = etree.fromstring(parts[part], parser)
    except (etree.XMLSyntaxError, ValueError):
        raise IntakeError(f"{name}: {part} is damaged; ask for the document again") from None
    if getattr(root.getroottree().docinfo, "doctype", ""):
        raise IntakeError(f"{name}: {part} holds a DOCTYPE, which no word processor writes; the file is refused")
    return root


def parts_like(parts: dict[str, bytes], start: str) -> Iterator[str]:
    """Yield the names of the XML parts that begin with `start`, sorted."""
    return iter(sorted(p for p in parts if p.startswith(start) and p.endswith(".xml")))
