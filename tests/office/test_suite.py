"""What an office suite shows is what we computed: numbers, cached references, and references it works out itself."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path
from random import Random
from types import ModuleType

import docx
import pytest
from writers import reading, sample
from writers.strategies import PAPERS, STYLES, random_agreement

from msadraft.agreement.numbering import Numbering, number
from msadraft.tree import Agreement, Paragraph, Reference, inlines, walk
from msadraft.writers import inline
from msadraft.writers.docx import write_docx
from msadraft.writers.docx.package import pack

pytestmark = pytest.mark.office

Case = tuple[Agreement, Numbering, Path]


@pytest.fixture(scope="module")
def cases(tmp_path_factory: pytest.TempPathFactory) -> list[Case]:
    """Write random agreements and the sample, in both numbering styles and both layouts."""
    folder = tmp_path_factory.mktemp("cases")
    made = [
        (f"{style}-{paper}-{seed}", random_agreement(Random(seed), style, paper))
        for style in STYLES
        for paper in PAPERS
        for seed in range(6)
    ] + [(f"{style}-{paper}-sample", sample.agreement(style, paper)) for style in STYLES for paper in PAPERS]
    out = []
    for name, agreement in made:
        numbering, path = number(agreement), folder / f"{name}.docx"
        path.write_bytes(write_docx(agreement, numbering, sample.DRAFT))
        out.append((agreement, numbering, path))
    return out


def _wanted(numbering: Numbering) -> dict[str, str]:
    return {entry.bookmark: entry.label for entry in numbering.by_id.values()}


def _plain_words(text: str) -> str:
    return " ".join(text.replace("\ufeff", "").split())


def test_labels_are_our_labels_for_every_bookmark(suite: ModuleType, cases: list[Case]) -> None:
    shown = suite.labels_of_many([path for _, _, path in cases])
    for (_, numbering, path), found in zip(cases, shown, strict=True):
        assert found == _wanted(numbering), path.name
    assert sum(map(len, shown)) > 600


def test_exported_text_shows_every_paragraph_with_number_and_references(
    suite: ModuleType, cases: list[Case], tmp_path: Path
) -> None:
    texts = suite.convert([path for _, _, path in cases], tmp_path, "txt:Text (encoded):UTF8", "txt")
    checked = 0
    for (agreement, numbering, path), text in zip(cases, texts, strict=True):
        lines = {_plain_words(line) for line in text.read_text(encoding="utf-8").splitlines()}
        for section in agreement.sections:
            for block in walk(section.blocks):
                if isinstance(block, Paragraph):
                    wanted = f"{numbering[block.id].label} {inline.node_text(block, numbering)}"
                    assert _plain_words(wanted) in lines, (path.name, wanted)
                    checked += 1
    assert checked > 200


def _stale(document: bytes) -> bytes:
    """Replace the cached result of every number field by a wrong one."""
    found = reading.parts(document)
    pattern = rb'(<w:instrText xml:space="preserve"> REF .*?fldCharType="separate"/></w:r><w:r>.*?<w:t xml:space="preserve">)[^<]*'
    body, count = re.subn(pattern, rb"\g<1>STALE", found["word/document.xml"])
    assert count
    return pack({**found, "word/document.xml": body})


def test_references_that_the_suite_works_out_are_ours(
    suite: ModuleType, cases: list[Case], tmp_path: Path, pdf_text: Callable[..., str]
) -> None:
    """The cached results are made wrong first, so that what the PDF shows can only be the suite's own answer."""
    chosen = []
    for agreement, numbering, path in cases:
        pieces = [p for s in agreement.sections for b in walk(s.blocks) for p in inlines(b)]
        if agreement.layout == "plain" and path.stem[-1].isdigit() and any(isinstance(p, Reference) for p in pieces):
            copy = tmp_path / path.name
            copy.write_bytes(_stale(path.read_bytes()))
            chosen.append((pieces, numbering, copy))
    pdfs = suite.convert([path for _, _, path in chosen], tmp_path, "pdf:writer_pdf_Export", "pdf")
    checked = 0
    for (pieces, numbering, path), pdf in zip(chosen, pdfs, strict=True):
        text = _plain_words(pdf_text(pdf, "-raw"))
        assert "STALE" not in text
        assert "Error: Reference source not found" not in text
        for place, piece in enumerate(pieces):
            if not isinstance(piece, Reference):
                continue
            mark = re.search(r"from(\d+)x", getattr(pieces[place - 1], "text", ""))
            assert mark
            found = re.search(rf"from{mark[1]}x paragraph (.*?) to{mark[1]}x", text)
            assert found, (path.name, mark[1])
            assert found[1].replace(" ", "") == numbering[piece.target].full.replace(" ", ""), path.name
            checked += 1
    assert checked > 100


def test_saving_in_the_suite_keeps_bookmarks_numbers_map_and_mark(
    suite: ModuleType, cases: list[Case], tmp_path: Path
) -> None:
    chosen = [case for case in cases if case[2].stem.endswith("sample")]
    saved = suite.convert([path for _, _, path in chosen], tmp_path, "docx:MS Word 2007 XML", "docx")
    for (_, numbering, path), copy, shown in zip(chosen, saved, suite.labels_of_many(saved), strict=True):
        assert shown == _wanted(numbering), path.name
        before, after = reading.parts(path.read_bytes()), reading.parts(copy.read_bytes())
        maps = [data for name, data in after.items() if re.fullmatch(r"customXml/item\d+\.xml", name)]
        assert before["customXml/item1.xml"].split(b"?>\n", 1)[1] in b"".join(maps)
        assert "Round 3 · 7f3a91c2".encode() in after["docProps/custom.xml"]


def test_saving_with_python_docx_keeps_the_numbers(suite: ModuleType, cases: list[Case], tmp_path: Path) -> None:
    copies = []
    for _, _, path in cases:
        document = docx.Document(io.BytesIO(path.read_bytes()))
        document.add_paragraph("A line added by hand.")
        document.save(str(tmp_path / path.name))
        copies.append(tmp_path / path.name)
    for (_, numbering, path), shown in zip(cases, suite.labels_of_many(copies), strict=True):
        assert shown == _wanted(numbering), path.name


def test_title_and_language_reach_the_pdf(suite: ModuleType, cases: list[Case], tmp_path: Path) -> None:
    pdf = suite.to_pdf(cases[-1][2], tmp_path).read_bytes()
    assert b"/Lang" in pdf
    assert b"/MarkInfo<</Marked true>>" in pdf
    assert b"/Outlines" in pdf


def test_page_count_is_that_of_the_pdf(
    suite: ModuleType, cases: list[Case], tmp_path: Path, pdf_text: Callable[..., str]
) -> None:
    path = cases[-1][2]
    pages = pdf_text(suite.to_pdf(path, tmp_path)).count("\f")
    assert suite.page_count(path) == pages
    assert pages > 3


def test_absent_document_is_a_clear_error(suite: ModuleType, tmp_path: Path) -> None:
    with pytest.raises(suite.OfficeError, match=r"did not convert gone\.docx"):
        suite.to_pdf(tmp_path / "gone.docx", tmp_path)


def test_too_little_time_is_a_clear_error(suite: ModuleType, cases: list[Case], tmp_path: Path) -> None:
    with pytest.raises(suite.OfficeError, match=r"within 0\.05 seconds"):
        suite.to_pdf(cases[0][2], tmp_path, seconds=0.05)
