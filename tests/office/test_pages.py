"""How the pages fall: headings stay with their text, signatures whole, line numbers level with the lines."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest
from writers import sample
from writers.strategies import PAPERS, Paper

from msadraft.agreement.numbering import number
from msadraft.tree import Agreement, Section
from msadraft.writers.docx import write_docx

pytestmark = pytest.mark.office

# Of pdftotext -bbox: left, top, right and bottom of a word in points.
_WORD = re.compile(r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)</word>')


def _pushed(paper: Paper, lines: int) -> Agreement:
    """Build the sample with `lines` short paragraphs before the signatures, to move them down the page."""
    agreement = sample.agreement(layout=paper, rows=2)
    filler = Section(
        "article.filler",
        "article",
        sample.words("Filler"),
        tuple(sample.paragraph(f"filler.{n}", "", f"Filler line {n}.") for n in range(lines)),
    )
    return replace(agreement, sections=(*agreement.sections[:4], filler, *agreement.sections[4:]))


def _pages(
    suite: ModuleType, read: Callable[..., str], folder: Path, agreements: list[Agreement], *options: str
) -> list[list[str]]:
    paths = []
    for n, agreement in enumerate(agreements):
        path = folder / f"pages-{n}.docx"
        path.write_bytes(write_docx(agreement, number(agreement), sample.STAMP))
        paths.append(path)
    pdfs = suite.convert(paths, folder, "pdf:writer_pdf_Export", "pdf")
    if "-bbox" in options:
        return [read(pdf, *options).split("<page ")[1:] for pdf in pdfs]
    return [read(pdf, *options).split("\f")[:-1] for pdf in pdfs]


@pytest.mark.parametrize("paper", PAPERS)
def test_signature_block_never_splits_and_headings_never_hang(
    paper: Paper, suite: ModuleType, pdf_text: Callable[..., str], tmp_path: Path
) -> None:
    papers = [_pushed(paper, lines) for lines in range(1, 25, 2)]
    headings = {"Background", "Child support", "Property and debts", "General terms", "Filler", "Signatures"}
    places = set()
    for pages in _pages(suite, pdf_text, tmp_path, papers, "-layout"):
        for page in pages:
            lines = [line.strip() for line in page.splitlines() if line.strip()]
            body = [
                line
                for line in lines
                if not re.search(r"Page \d+ of \d+|^Round 3|^Marital Settlement Agreement$", line)
            ]
            last = re.sub(r"^(\d+ +)?[\dA-F]+\.\s+", "", body[-1])
            assert last not in headings, last
        signing = [page for page in pages if "Approved as to form:" in page]
        assert len(signing) == 1
        assert "Attorney for Petitioner" in signing[0].split("Approved as to form:")[1]
        assert "State Bar number:" in signing[0].split("Approved as to form:")[1]
        first = next(page for page in pages if "signs it freely" in page)
        assert re.search(r"signs it freely.*Date:.*Maribel Quintero Ashworth.*Petitioner", first, re.DOTALL)
        places.add(pages.index(signing[0]))
    assert len(places) > 1, "the block did not move over a page edge, so nothing was tried"


def test_pleading_lines_are_24_points_apart_and_level_with_type(
    suite: ModuleType, pdf_text: Callable[..., str], tmp_path: Path
) -> None:
    # Rule 2.108: at least three line numbers to the vertical inch, each aligned with a line of type or evenly spaced.
    (pages,) = _pages(suite, pdf_text, tmp_path, [_pushed("pleading", 30)], "-bbox")
    assert len(pages) > 4
    level = 0
    for page in pages:
        words = [(float(x), float(bottom), word) for x, _, _, bottom, word in _WORD.findall(page)]
        numbers = {int(word): bottom for x, bottom, word in words if x < 95 and word.isdigit()}
        assert sorted(numbers) == list(range(1, 29))
        for n in range(1, 28):
            assert numbers[n + 1] - numbers[n] == pytest.approx(24, abs=0.05)
        for _, bottom, word in (entry for entry in words if entry[2] == "line"):
            distance = min(abs(bottom - line) for line in numbers.values())
            assert distance < 0.3, word
            level += 1
    assert level >= 30


def test_long_table_repeats_its_header_on_every_page(
    suite: ModuleType, pdf_text: Callable[..., str], tmp_path: Path
) -> None:
    (pages,) = _pages(suite, pdf_text, tmp_path, [sample.agreement(rows=120)], "-layout")
    holding = [page for page in pages if "a savings account ending" in page]
    assert len(holding) >= 3
    assert all(page.count("How it was valued") == 1 for page in holding)


@pytest.mark.parametrize("paper", PAPERS)
def test_every_page_says_which_round_it_is(
    paper: Paper, suite: ModuleType, pdf_text: Callable[..., str], tmp_path: Path
) -> None:
    (pages,) = _pages(suite, pdf_text, tmp_path, [sample.agreement(layout=paper)], "-layout")
    for n, page in enumerate(pages, 1):
        assert "Round 3 · 7f3a91c2" in page
        assert f"Page {n} of {len(pages)}" in page
        assert "Initials:" in page
