"""Whole cases in an office suite: its numbers, what it reads, and what it works out by itself are what we computed."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

import docx
import pytest
from office.papers import Paper, random_papers, scenario_papers
from support.effort import examples
from support.scenarios import ROUNDS
from writers import reading
from writers.strategies import STYLES

from msadraft.tree import Inline, Paragraph, Plain, Reference, Table, inlines, walk
from msadraft.writers import inline
from msadraft.writers.docx.package import pack

pytestmark = pytest.mark.office

RANDOM_CASES = examples(50, 200)
BATCH = 50
SECONDS = 300.0
_FIELD = re.compile(
    rb'(<w:instrText xml:space="preserve"> REF .*?fldCharType="separate"/></w:r><w:r>.*?<w:t xml:space="preserve">)[^<]*'
)


def in_turn(scenario_files: list[tuple[Paper, Path]]) -> list[tuple[Paper, Path]]:
    """Every round of every scenario once, the numbering styles in turn; with MSADRAFT_THOROUGH=1 in both."""
    if examples(0, 1):
        return scenario_files
    assert len(scenario_files) == 2 * len(ROUNDS)
    taken = [scenario_files[2 * n + n % 2] for n in range(len(ROUNDS))]
    assert {paper.agreement.numbering for paper, _ in taken} == set(STYLES)
    return taken


@pytest.fixture(scope="module")
def scenario_files(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[Paper, Path]]:
    """Write every round of every scenario in both numbering styles."""
    folder = tmp_path_factory.mktemp("scenarios")
    return [(paper, paper.write(folder)) for paper in scenario_papers()]


def _mismatches(paper: Paper, shown: dict[str, str]) -> list[str]:
    wanted = paper.labels()
    return [
        f"{paper.name}: {mark}: {wanted.get(mark)!r}, shown {shown.get(mark)!r}"
        for mark in sorted(wanted.keys() | shown.keys())
        if wanted.get(mark) != shown.get(mark)
    ]


def _words(text: str) -> str:
    return " ".join(text.replace("\ufeff", "").split())


def _closed(text: str) -> str:
    return "".join(text.split())


class Line(NamedTuple):
    """What one paragraph or table cell has to show."""

    label: str
    text: str
    references: int
    in_table: bool = False

    @property
    def shown(self) -> str:
        return f"{self.label} {self.text}".strip()


def _line(label: str, content: Iterable[Inline], text: str, in_table: bool = False) -> Line:
    return Line(label, text, sum(isinstance(piece, Reference) for piece in content), in_table)


def _lines(paper: Paper) -> Iterator[Line]:
    numbers = paper.numbering
    for section in paper.agreement.sections:
        for block in walk(section.blocks):
            if isinstance(block, Paragraph | Plain):
                yield _line(
                    numbers[block.id].label if isinstance(block, Paragraph) else "",
                    inlines(block),
                    inline.node_text(block, numbers),
                )
            elif isinstance(block, Table):
                yield _line("", block.caption, inline.plain(block.caption, numbers))
                for row in (*block.rows, *((block.total,) if block.total else ())):
                    yield from (_line("", cell, inline.plain(cell, numbers), True) for cell in row.cells)


def test_labels_of_every_scenario_are_our_labels(suite: ModuleType, scenario_files: list[tuple[Paper, Path]]) -> None:
    shown = suite.labels_of_many([path for _, path in scenario_files], SECONDS)
    wrong = [
        line for (paper, _), found in zip(scenario_files, shown, strict=True) for line in _mismatches(paper, found)
    ]
    count = sum(len(paper.labels()) for paper, _ in scenario_files)
    numbered = sum(label != "" for paper, _ in scenario_files for label in paper.labels().values())
    print(
        f"\n{len(scenario_files)} scenario papers: {count} bookmarks, {numbered} of them numbered, {len(wrong)} mismatches"
    )
    assert wrong == []
    assert len(scenario_files) == 24
    assert numbered > 24 * 150


def test_labels_of_random_cases_are_our_labels(suite: ModuleType, tmp_path: Path) -> None:
    papers = list(random_papers(RANDOM_CASES))
    assert len(papers) == RANDOM_CASES
    wrong: list[str] = []
    for start in range(0, len(papers), BATCH):
        batch = papers[start : start + BATCH]
        shown = suite.labels_of_many([paper.write(tmp_path) for paper in batch], SECONDS)
        wrong += [line for paper, found in zip(batch, shown, strict=True) for line in _mismatches(paper, found)]
    count = sum(len(paper.labels()) for paper in papers)
    print(f"\n{len(papers)} random cases: {count} bookmarks, {len(wrong)} mismatches")
    assert wrong == []
    assert count > RANDOM_CASES * 100


def test_exported_text_shows_every_cached_reference(
    suite: ModuleType, scenario_files: list[tuple[Paper, Path]], tmp_path: Path
) -> None:
    texts = suite.convert([path for _, path in scenario_files], tmp_path, "txt:Text (encoded):UTF8", "txt", SECONDS)
    checked = references = 0
    for (paper, _), text in zip(scenario_files, texts, strict=True):
        lines = {_words(line) for line in text.read_text(encoding="utf-8").splitlines()}
        for line in _lines(paper):
            if line.shown:
                assert _words(line.shown) in lines, (paper.name, line.shown)
                checked, references = checked + 1, references + line.references
    print(f"\n{checked} paragraphs and cells with {references} references in the exported text")
    assert references > 24 * 30


def test_pdf_shows_every_reference_as_the_suite_works_it_out(
    suite: ModuleType, scenario_files: list[tuple[Paper, Path]], tmp_path: Path, pdf_text: Callable[..., str]
) -> None:
    """The cached results are made wrong first, so that what the PDF shows can only be the suite's own answer."""
    chosen = in_turn(scenario_files)
    copies = []
    for _, path in chosen:
        parts = reading.parts(path.read_bytes())
        body, count = _FIELD.subn(rb"\g<1>STALE", parts["word/document.xml"])
        assert count
        copies.append(tmp_path / path.name)
        copies[-1].write_bytes(pack({**parts, "word/document.xml": body}))
    pdfs = suite.convert(copies, tmp_path, "pdf:writer_pdf_Export", "pdf", SECONDS)
    references = 0
    for (paper, _), pdf in zip(chosen, pdfs, strict=True):
        # The text area alone: no line numbers, banner or foot. Points from the upper left corner.
        left, bottom = (106, 745) if paper.agreement.layout == "pleading" else (0, 722)
        area = ("-x", f"{left}", "-y", "70", "-W", f"{612 - left}", "-H", f"{bottom - 70}")
        text = _closed(pdf_text(pdf, "-raw", *area))
        assert "STALE" not in text
        assert "Referencesourcenotfound" not in text
        for line in _lines(paper):
            if line.references and not line.in_table:
                assert _closed(line.shown) in text, (paper.name, line.shown)
                references += line.references
    print(f"\n{references} references worked out by the suite")
    assert references > len(chosen) * 30


def test_saved_scenarios_keep_their_numbers_and_python_docx_reads_them(
    suite: ModuleType, scenario_files: list[tuple[Paper, Path]], tmp_path: Path
) -> None:
    chosen = in_turn(scenario_files)
    saved = suite.convert([path for _, path in chosen], tmp_path, "docx:MS Word 2007 XML", "docx", SECONDS)
    shown = suite.labels_of_many(saved, SECONDS)
    for (paper, path), copy, found in zip(chosen, saved, shown, strict=True):
        assert _mismatches(paper, found) == []
        before, after = docx.Document(str(path)), docx.Document(str(copy))
        assert len(after.tables) == len(before.tables)
        texts = {_words(paragraph.text) for paragraph in after.paragraphs}
        lost = [line.text for line in _lines(paper) if not line.in_table and _words(line.text) not in texts]
        assert lost == [], paper.name
