"""A thin wrapper around LibreOffice, used to check our own documents: labels, PDF, text, page count.

Every call starts its own process with a private profile in a temporary folder, so that calls never meet in one
profile, and ends it after a time limit. What the suite says about a paragraph's number is an independent witness:
it counts the lists itself.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Literal

_PROGRAMS = ("soffice", "libreoffice")
_SECONDS = 120.0
_PAGES = re.compile(rb"/Type\s*/Pages\b[^>]*?/Count\s+(\d+)|/Count\s+(\d+)[^>]*?/Type\s*/Pages\b")

_MODULE = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Module1" script:language="StarBasic">
Sub Labels(jobs As String)
  Dim options(0) As New com.sun.star.beans.PropertyValue
  options(0).Name = "Hidden" : options(0).Value = True
  Dim source As String, target As String
  reading = FreeFile
  Open jobs For Input As #reading
  Do While Not EOF(reading)
    Line Input #reading, source
    Line Input #reading, target
    document = StarDesktop.loadComponentFromURL(ConvertToURL(source), "_blank", 0, options())
    names = document.Bookmarks.ElementNames
    writing = FreeFile
    Open target For Output As #writing
    For i = 0 To UBound(names)
      place = document.Bookmarks.getByName(names(i)).Anchor
      cursor = place.Text.createTextCursorByRange(place.Start)
      Print #writing, names(i) &amp; Chr(9) &amp; cursor.ListLabelString
    Next i
    Close #writing
    document.close(True)
  Loop
  Close #reading
End Sub
Sub Settle(jobs As String)
  Dim options(0) As New com.sun.star.beans.PropertyValue
  options(0).Name = "Hidden" : options(0).Value = True
  Dim filter(1) As New com.sun.star.beans.PropertyValue
  filter(0).Name = "FilterName"
  filter(1).Name = "FilterOptions" : filter(1).Value = "UTF8"
  Dim source As String, target As String, command As String
  helper = createUnoService("com.sun.star.frame.DispatchHelper")
  reading = FreeFile
  Open jobs For Input As #reading
  Do While Not EOF(reading)
    Line Input #reading, source
    Line Input #reading, target
    Line Input #reading, command
    document = StarDesktop.loadComponentFromURL(ConvertToURL(source), "_blank", 0, options())
    If command &lt;&gt; "" Then
      helper.executeDispatch(document.CurrentController.Frame, ".uno:" &amp; command, "", 0, Array())
    End If
    document.TextFields.refresh()
    filter(0).Value = "Text (encoded)"
    document.storeToURL(ConvertToURL(target &amp; ".txt"), filter())
    filter(0).Value = "MS Word 2007 XML"
    document.storeToURL(ConvertToURL(target &amp; ".docx"), filter())
    document.close(True)
  Loop
  Close #reading
End Sub
</script:module>
"""
_SETTLE = {"accept": "AcceptAllTrackedChanges", "reject": "RejectAllTrackedChanges", "keep": ""}


class OfficeError(RuntimeError):
    """LibreOffice is not installed, ran out of time, or did not write what was asked for."""


def program() -> str:
    """Give the path of LibreOffice.

    Raises:
        OfficeError: it is not installed.
    """
    for name in _PROGRAMS:
        found = shutil.which(name)
        if found:
            return found
    raise OfficeError("LibreOffice (soffice) was not found; install its Writer component to render or check documents")


def available() -> bool:
    """Say whether LibreOffice is installed."""
    return any(shutil.which(name) for name in _PROGRAMS)


def labels(document: Path, seconds: float = _SECONDS) -> dict[str, str]:
    """Give the list label that LibreOffice shows at every bookmark; "" where the paragraph has no number."""
    return labels_of_many([document], seconds)[0]


def labels_of_many(documents: Sequence[Path], seconds: float = _SECONDS) -> list[dict[str, str]]:
    """Give `labels` for several documents from one process.

    Raises:
        OfficeError: LibreOffice is absent, too slow, or wrote no result.
    """
    with tempfile.TemporaryDirectory(prefix="msadraft-office-") as folder:
        place = Path(folder)
        _with_macros(place, seconds)
        targets = [place / f"labels-{n}.tsv" for n in range(len(documents))]
        jobs = place / "jobs.txt"
        pairs = zip(documents, targets, strict=True)
        jobs.write_text("".join(f"{source.resolve()}\n{target}\n" for source, target in pairs), encoding="utf-8")
        _run(place, [f'macro:///Standard.Module1.Labels("{jobs}")'], seconds)
        return [_read_labels(target) for target in targets]


def settle(
    documents: Sequence[Path], decision: Literal["accept", "reject", "keep"], folder: Path, seconds: float = _SECONDS
) -> list[tuple[Path, Path]]:
    """Accept, reject or keep every tracked change and work out every field anew.

    Gives for each document the text and the DOCX that LibreOffice then writes into `folder`.

    Raises:
        OfficeError: LibreOffice is absent, too slow, or left a file out.
    """
    with tempfile.TemporaryDirectory(prefix="msadraft-office-") as private:
        place = Path(private)
        _with_macros(place, seconds)
        targets = [folder.resolve() / f"{document.stem}-{decision}" for document in documents]
        jobs = place / "jobs.txt"
        lines = (f"{d.resolve()}\n{t}\n{_SETTLE[decision]}\n" for d, t in zip(documents, targets, strict=True))
        jobs.write_text("".join(lines), encoding="utf-8")
        _run(place, [f'macro:///Standard.Module1.Settle("{jobs}")'], seconds)
    results = [(target.with_name(f"{target.name}.txt"), target.with_name(f"{target.name}.docx")) for target in targets]
    for pair in results:
        if not all(path.exists() for path in pair):
            raise OfficeError(f"LibreOffice did not write {pair[0].stem}")
    return results


def _with_macros(place: Path, seconds: float) -> None:
    """Make a profile in `place` and put the macros of this module into it."""
    _run(place, ["--terminate_after_init"], seconds)
    module = place / "profile" / "user" / "basic" / "Standard" / "Module1.xba"
    module.write_text(_MODULE, encoding="utf-8")


def _read_labels(path: Path) -> dict[str, str]:
    if not path.exists():
        raise OfficeError("LibreOffice did not read the list labels of a document")
    out = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        name, _, label = line.partition("\t")
        out[name] = label
    return out


def to_pdf(document: Path, folder: Path, seconds: float = _SECONDS) -> Path:
    """Convert a document to PDF in `folder`, with its outline and its tags, and give the path."""
    options = '{"UseTaggedPDF":{"type":"boolean","value":"true"},"ExportBookmarks":{"type":"boolean","value":"true"}}'
    return convert([document], folder, f"pdf:writer_pdf_Export:{options}", "pdf", seconds)[0]


def to_text(document: Path, folder: Path, seconds: float = _SECONDS) -> Path:
    """Convert a document to UTF-8 text in `folder`, each list number before its paragraph, and give the path."""
    return convert([document], folder, "txt:Text (encoded):UTF8", "txt", seconds)[0]


def to_docx(document: Path, folder: Path, seconds: float = _SECONDS) -> Path:
    """Open a document and save it again as DOCX in `folder`, and give the path."""
    return convert([document], folder, "docx:MS Word 2007 XML", "docx", seconds)[0]


def convert(
    documents: Sequence[Path], folder: Path, target_format: str, ending: str, seconds: float = _SECONDS
) -> list[Path]:
    """Convert documents in one process into `folder`, which is not theirs, and give the paths in the same order.

    Raises:
        OfficeError: LibreOffice is absent, too slow, or left a file out.
    """
    sources = [document.resolve() for document in documents]
    results = [folder.resolve() / f"{source.stem}.{ending}" for source in sources]
    if any(result in sources for result in results):
        raise OfficeError("a document cannot be converted onto itself; give another folder")
    with tempfile.TemporaryDirectory(prefix="msadraft-office-") as private:
        arguments = ["--convert-to", target_format, "--outdir", str(folder.resolve()), *map(str, sources)]
        _run(Path(private), arguments, seconds)
    for source, result in zip(sources, results, strict=True):
        if not result.exists():
            raise OfficeError(f"LibreOffice did not convert {source.name}")
    return results


def page_count(document: Path, seconds: float = _SECONDS) -> int:
    """Count the pages of a document as LibreOffice lays it out. Another word processor may differ by a page or so."""
    with tempfile.TemporaryDirectory(prefix="msadraft-pages-") as folder:
        return pdf_pages(to_pdf(document, Path(folder), seconds))


def pdf_pages(pdf: Path) -> int:
    """Count the pages of a PDF that LibreOffice wrote, from its page tree.

    Raises:
        OfficeError: the page tree is not readable.
    """
    counts = [int(first or second) for first, second in _PAGES.findall(pdf.read_bytes())]
    if not counts:
        raise OfficeError(f"no page tree was found in {pdf.name}")
    return max(counts)


def _run(private: Path, arguments: list[str], seconds: float) -> None:
    command = [
        program(),
        f"-env:UserInstallation={(private / 'profile').as_uri()}",
        "--headless",
        "--norestore",
        *arguments,
    ]
    process = subprocess.Popen(  # noqa: S603  (a list of words, no shell; the program is found on the path)
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, start_new_session=True
    )
    try:
        output, _ = process.communicate(timeout=seconds)
    except subprocess.TimeoutExpired:
        _end(process)
        raise OfficeError(f"LibreOffice did not finish within {seconds:g} seconds") from None
    if process.returncode != 0:
        said = output.decode("utf-8", "replace").strip()
        raise OfficeError(f"LibreOffice ended with code {process.returncode}: {said or 'no message'}")


def _end(process: subprocess.Popen[bytes]) -> None:
    """End the process and those it started: soffice is a script that starts the real program as its child."""
    os.killpg(process.pid, signal.SIGKILL)
    process.communicate()
