"""The same content through general-purpose libraries, side by side in one run, and what their papers hold.

Run it as `python tests/benchmarks/bench_peers.py [SCENARIO ROUND]`. The content is a scenario's agreement. python-docx is
always there; docxtpl, typst and python-redlines (`pip install -e '.[peers]'`) and pandoc (from the system) take part where
they are installed, and are named as skipped where they are not.
pandoc is a program of its own, so its time includes its start. typst gives a PDF.

What a paper can do is not claimed but counted in the file that came out: paragraphs that the word processor numbers,
references that are fields, paragraphs that can be found again by a bookmark, and whether a second run gives the same
bytes.
"""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import docx
from benchmarks.bench_redline import DAY, library, milliseconds, wrong
from benchmarks.bench_writer import measure
from support.scenarios import drafted

from msadraft.agreement.numbering import Numbering
from msadraft.tree import Agreement, Paragraph, Plain, Table, walk
from msadraft.writers import inline
from msadraft.writers.docx import write_docx
from msadraft.writers.docx.redline import write_redline
from msadraft.writers.html import write_html
from msadraft.writers.stamp import Stamp

STAMP = Stamp("Round 3 · 00000000", ready=True)
OURS = "msadraft, DOCX"
Way = Callable[[], bytes]
Content = list[tuple[str, object]]
"""The paper as these libraries can take it: ("heading" | "paragraph", text) and ("table", rows of cells)."""


def content_of(agreement: Agreement, numbering: Numbering) -> Content:
    """Give the words of the paper in order, numbers and references typed out as text."""
    out: Content = []
    for section in agreement.sections:
        out.append(("heading", f"{numbering[section.id].label} {inline.plain(section.heading, numbering)}".strip()))
        for block in walk(section.blocks):
            if isinstance(block, Paragraph):
                out.append(("paragraph", f"{numbering[block.id].label} {inline.node_text(block, numbering)}"))
            elif isinstance(block, Plain):
                out.append(("paragraph", inline.node_text(block, numbering)))
            elif isinstance(block, Table):
                rows = (block.header, *(row.cells for row in block.rows))
                out.append(("table", [[inline.plain(cell, numbering) for cell in cells] for cells in rows]))
    return out


def python_docx(content: Content) -> Way:
    """Paragraph by paragraph and cell by cell."""

    def run() -> bytes:
        document = docx.Document()
        for kind, what in content:
            if kind == "heading":
                document.add_heading(str(what), 1)
            elif kind == "paragraph":
                document.add_paragraph(str(what))
            else:
                rows: list[list[str]] = what  # type: ignore[assignment]
                table = document.add_table(0, len(rows[0]))
                for cells in rows:
                    for cell, text in zip(table.add_row().cells, cells, strict=True):
                        cell.text = text
        buffer = io.BytesIO()
        document.save(buffer)
        return buffer.getvalue()

    return run


def docxtpl(content: Content) -> Way | None:
    """A template with one loop for each kind of content; tables are set as lines with tabs, as one template allows."""
    try:
        from docxtpl import DocxTemplate
    except ImportError:
        return None
    template = docx.Document()
    for text in ("{%p for line in lines %}", "{{ line }}", "{%p endfor %}"):
        template.add_paragraph(text)
    source = io.BytesIO()
    template.save(source)
    lines = [str(w) if k != "table" else "\n".join("\t".join(r) for r in w) for k, w in content]  # type: ignore[attr-defined]

    def run() -> bytes:
        filled = DocxTemplate(io.BytesIO(source.getvalue()))
        filled.render({"lines": lines}, autoescape=True)
        buffer = io.BytesIO()
        filled.save(buffer)
        return buffer.getvalue()

    return run


def _markdown(text: str) -> str:
    return re.sub(r"([\\`*_{}\[\]()#+.!|<>$~^@'\"-])", r"\\\1", text).replace("\n", " ")


def pandoc(content: Content) -> Way | None:
    """Markdown to DOCX."""
    command = shutil.which("pandoc")
    if command is None:
        return None
    out = []
    for kind, what in content:
        if kind == "table":
            rows: list[list[str]] = what  # type: ignore[assignment]
            for place, cells in enumerate(rows):
                out.append("| " + " | ".join(map(_markdown, cells)) + " |")
                if place == 0:
                    out.append("|" + "---|" * len(cells))
            out.append("")
        else:
            out.append(f"{'# ' if kind == 'heading' else ''}{_markdown(str(what))}\n")
    source = "\n".join(out).encode()

    def run() -> bytes:
        with tempfile.TemporaryDirectory() as folder:
            target = Path(folder) / "out.docx"
            subprocess.run([command, "-f", "markdown", "-o", str(target)], input=source, check=True)
            return target.read_bytes()

    return run


def typst(content: Content) -> Way | None:
    """Typst to PDF."""
    try:
        import typst as compiler
    except ImportError:
        return None

    def quoted(text: str) -> str:
        return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'

    out = []
    for kind, what in content:
        if kind == "table":
            rows: list[list[str]] = what  # type: ignore[assignment]
            cells = ", ".join(quoted(cell) for row in rows for cell in row)
            out.append(f"#table(columns: {len(rows[0])}, {cells})")
        else:
            out.append(f"#{'heading' if kind == 'heading' else 'par'}({quoted(str(what))})")
    source = "\n".join(out).encode()
    return lambda: bytes(compiler.compile(source))


def holds(made: bytes) -> str:
    """Count in the finished file what a paper of this kind lives by."""
    if not made.startswith(b"PK"):
        return "no word-processor file: it cannot be edited or marked up by the other side"
    with zipfile.ZipFile(io.BytesIO(made)) as archive:
        body = archive.read("word/document.xml").decode()
        styles = archive.read("word/styles.xml").decode()
    listed = {s for s, inner in re.findall(r'<w:style [^>]*w:styleId="([^"]+)"[^>]*>(.*?)</w:style>', styles, re.S)
              if "<w:numPr>" in inner}  # fmt: skip
    paragraphs = re.findall(r"<w:p[ >].*?</w:p>", body, re.S)
    used = [m.group(1) if (m := re.search(r'<w:pStyle w:val="([^"]+)"', p)) else "" for p in paragraphs]
    numbered = sum("<w:numPr>" in p or style in listed for p, style in zip(paragraphs, used, strict=True))
    fields = len(re.findall(r"<w:instrText[^>]*>\s*REF ", body))
    marked = sum("<w:bookmarkStart" in p for p in paragraphs)
    return f"{len(paragraphs)} paragraphs: {numbered} numbered by the word processor, {marked} with a bookmark; {fields} live references"


def compare(name: str, n: int) -> None:
    """Print the ways side by side, then what each file holds."""
    draft = drafted(name, n)
    agreement, numbering = draft.agreement, draft.numbering
    content = content_of(agreement, numbering)
    candidates: dict[str, Way | None] = {
        OURS: lambda: write_docx(agreement, numbering, STAMP),
        "msadraft, HTML": lambda: write_html(agreement, numbering, STAMP).encode(),
        "python-docx": python_docx(content),
        "docxtpl": docxtpl(content),
        "pandoc, Markdown to DOCX": pandoc(content),
        "typst, PDF": typst(content),
    }
    ways = {title: way for title, way in candidates.items() if way is not None}
    for title in candidates.keys() - ways.keys():
        print(f"{title}: skipped, because it is not installed here")
    found = measure(dict(ways))
    print(f"The agreement of {name}, round {n}: {len(numbering.by_id)} nodes")
    for title, took in found.items():
        print(f"{title:26} {took:8.1f} ms  {took / found[OURS]:6.2f} x")
    for title, way in ways.items():
        if title == "msadraft, HTML":
            continue
        first = way()
        time.sleep(2.1)  # a zip entry holds even seconds
        print(f"{title:26} {holds(first)}; a second run gives {'the same' if first == way() else 'other'} bytes")


def redlines(name: str) -> None:
    """Print the redline of two rounds beside a general-purpose comparison."""
    old, new = drafted(name, 1), drafted(name, 3)
    papers = [write_docx(d.agreement, d.numbering, STAMP) for d in (old, new)]

    def ours() -> bytes:
        return write_redline(old.agreement, new.agreement, STAMP, "A. Drafter", DAY)

    took = milliseconds(ours, 5)
    print(f"Redline of {name}, rounds 1 and 3 (docxtpl, pandoc and typst make none)")
    print(f"{'msadraft':26} {took:8.1f} ms    1.00 x  {wrong(ours(), *papers)}")
    other = library()
    if other is None:
        print("python-redlines: skipped, because it is not installed here")
        return
    theirs = milliseconds(lambda: other(*papers), 3)
    print(f"{'python-redlines':26} {theirs:8.1f} ms  {theirs / took:6.2f} x  {wrong(other(*papers), *papers)}")


if __name__ == "__main__":
    scenario, number_of_round = (sys.argv[1], int(sys.argv[2])) if len(sys.argv) > 2 else ("dunmarsh", 3)
    compare(scenario, number_of_round)
    redlines(scenario)
