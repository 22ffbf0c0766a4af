"""How long the DOCX writer takes, beside the floor and the other writers, and how it grows with the rows of a table.

Run it as `python tests/benchmarks/bench_writer.py`. All ways run in one process, turn by turn, so that the ratios mean
something on a noisy machine; the milliseconds do not. The floor is what no writer can avoid: serialising the finished
XML and packing it. General-purpose libraries stand beside it in bench_peers.py.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from lxml import etree  # noqa: E402
from writers import sample  # noqa: E402

from msadraft.agreement.numbering import Numbering, number  # noqa: E402
from msadraft.tree import Agreement, Paragraph, Reference, Row, Section, Table, Text  # noqa: E402
from msadraft.writers.docx import document_parts, write_docx  # noqa: E402
from msadraft.writers.docx.package import pack  # noqa: E402
from msadraft.writers.html import write_html  # noqa: E402
from msadraft.writers.text import write_text  # noqa: E402

ROUNDS = 7
WORDS = (
    "Each party keeps as that party's own property what the schedule lists in that party's column, pays the debts that are "
    "listed there, and holds the other free from them, as the law allows and as this paper says in more detail below."
)


def long_agreement(articles: int = 16, paragraphs: int = 20, tables: int = 6, rows: int = 31) -> Agreement:
    """Build an agreement of about 46 pages: some 330 paragraphs, 6 tables of 31 rows, some 70 references."""
    sections = []
    for a in range(articles):
        blocks: list[Paragraph | Table] = []
        for p in range(paragraphs):
            reference = (Text(" See paragraph "), Reference(f"a0.p{p}"), Text(".")) if p % 4 == 0 else ()
            words = WORDS + " " + WORDS[: 20 + 11 * p]
            blocks.append(Paragraph(f"a{a}.p{p}", "clause", 1, (Text(words), *reference), (Text("Division"),)))
        if a < tables:
            blocks.append(long_table(f"a{a}.t", rows))
        sections.append(Section(f"a{a}", "article", (Text(f"Subject {a}"),), tuple(blocks)))
    return Agreement(
        "Marital Settlement Agreement", sample.caption(), tuple(sections), initials=("A", "B"), dated="2026-01-31"
    )


def long_table(node_id: str, rows: int) -> Table:
    """Build a table of five columns."""
    cells = (
        (Text("A savings account"),),
        (Text("statement"),),
        (Text("$1,000.00"),),
        (Text("$500.00"),),
        (Text("$500.00"),),
    )
    body = tuple(Row(f"{node_id}.r{n}", cells) for n in range(rows))
    return Table(node_id, "clause", (Text("Schedule"),), cells, body, ("left", "left", "right", "right", "right"))


def floor(agreement: Agreement, numbering: Numbering) -> Callable[[], bytes]:
    """Give a call that only serialises the finished XML and packs it."""
    parts = document_parts(agreement, numbering, sample.STAMP)
    trees = {name: etree.fromstring(data) for name, data in parts.items()}

    def run() -> bytes:
        return pack(
            {name: etree.tostring(tree, xml_declaration=True, encoding="UTF-8") for name, tree in trees.items()}
        )

    return run


def measure(ways: dict[str, Callable[[], object]], rounds: int = ROUNDS) -> dict[str, float]:
    """Give the median time of each way in milliseconds, the ways taking turns."""
    times: dict[str, list[float]] = {name: [] for name in ways}
    for call in ways.values():
        call()
    for _ in range(rounds):
        for name, call in ways.items():
            start = time.perf_counter()
            call()
            times[name].append((time.perf_counter() - start) * 1000)
    return {name: statistics.median(values) for name, values in times.items()}


def compare() -> None:
    """Print the writer beside the floor and the general-purpose ways."""
    agreement = long_agreement()
    numbering = number(agreement)
    bare = floor(agreement, numbering)
    ways: dict[str, Callable[[], object]] = {
        "floor: serialise and pack the same XML": bare,
        "write_docx": lambda: write_docx(agreement, numbering, sample.STAMP),
        "number": lambda: number(agreement),
        "write_html": lambda: write_html(agreement, numbering, sample.STAMP),
        "write_text": lambda: write_text(agreement, numbering, sample.STAMP),
    }
    body = document_parts(agreement, numbering, sample.STAMP)["word/document.xml"]
    print(f"{len(numbering.by_id)} nodes, document.xml {len(body) // 1024} KB, file {len(bare()) // 1024} KB")
    found = measure(ways)
    least = found["floor: serialise and pack the same XML"]
    ours = found["write_docx"]
    for name, value in found.items():
        print(f"{name:42} {value:9.1f} ms  {value / least:7.2f} x floor  {value / ours:7.2f} x write_docx")


def growth() -> None:
    """Print how the time grows with the rows of one table."""
    print("\nrows of one table")
    ways: dict[str, Callable[[], object]] = {}
    for rows in (250, 500, 1000):
        section = Section("s", "article", (Text("Schedule"),), (long_table("t", rows),))
        agreement = Agreement("Title", sample.caption(), (section,))
        numbering = number(agreement)
        ways[f"{rows}"] = lambda a=agreement, n=numbering: write_docx(a, n, sample.STAMP)  # type: ignore[misc]
    found = measure(ways)
    first = found["250"] / 250
    for name, value in found.items():
        print(
            f"{name:>5} rows {value:9.1f} ms  {value / int(name) * 1000:7.1f} us a row  {value / int(name) / first:5.2f} x the first"
        )


if __name__ == "__main__":
    compare()
    growth()
