"""How the pages of whole cases fall: no hanging heading, no empty page, signatures whole, amounts unbroken."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

import pytest
from office.papers import Paper, own_papers

from msadraft.tree import Signature, Table, walk
from msadraft.writers import inline

pytestmark = pytest.mark.office

# Of pdftotext -bbox: left edge and bottom of a word in points.
_WORD = re.compile(r'<word xMin="([\d.]+)" yMin="[\d.]+" xMax="[\d.]+" yMax="([\d.]+)">([^<]*)</word>')
_LABEL = re.compile(r"\d+\.|[A-Z]-\d+|\([a-z]\)")


@dataclass(frozen=True)
class Shown:
    """A paper as the office suite prints it: the lines of each page inside the text area, and the file."""

    paper: Paper
    pages: list[list[str]]
    pdf: Path

    def tables(self) -> list[Table]:
        return [b for s in self.paper.agreement.sections for b in walk(s.blocks) if isinstance(b, Table)]

    def page_of(self, line: str) -> int:
        """The page that holds `line` as a whole line, the contents left out."""
        places = [n for n, page in enumerate(self.pages) for shown in page if shown == line]
        assert places, (self.paper.name, line)
        return places[-1]


@pytest.fixture(scope="module")
def printed(suite: ModuleType, pdf_text: Callable[..., str], tmp_path_factory: pytest.TempPathFactory) -> list[Shown]:
    """Print every round of every scenario."""
    folder = tmp_path_factory.mktemp("printed")
    papers = own_papers()
    pdfs = suite.convert([paper.write(folder) for paper in papers], folder, "pdf:writer_pdf_Export", "pdf", 300.0)
    out = []
    for paper, pdf in zip(papers, pdfs, strict=True):
        left, bottom = (106, 745) if paper.agreement.layout == "pleading" else (0, 722)
        text = pdf_text(pdf, "-layout", "-x", f"{left}", "-y", "70", "-W", f"{612 - left}", "-H", f"{bottom - 70}")
        pages = [[_words(line) for line in page.splitlines() if line.strip()] for page in text.split("\f")[:-1]]
        out.append(Shown(paper, pages, pdf))
    return out


def _words(text: str) -> str:
    return " ".join(text.split())


def test_no_page_ends_with_a_heading_or_a_caption(printed: list[Shown]) -> None:
    met = 0
    for shown in printed:
        numbers = shown.paper.numbering
        heads = {
            _words(f"{numbers[s.id].label} {inline.plain(s.heading, numbers)}") for s in shown.paper.agreement.sections
        }
        heads |= {_words(inline.plain(table.caption, numbers)) for table in shown.tables()}
        for page in shown.pages:
            assert page[-1] not in heads, (shown.paper.name, page[-1])
            met += sum(line in heads for line in page)
    assert met > 12 * 15, "the headings were not found on the pages, so nothing was tried"


def test_no_page_is_empty_and_exhibits_begin_pages(printed: list[Shown]) -> None:
    for shown in printed:
        numbers = shown.paper.numbering
        assert all(len(page) > 1 for page in shown.pages), shown.paper.name
        for section in shown.paper.agreement.sections:
            if section.kind == "exhibit":
                head = _words(f"{numbers[section.id].label} {inline.plain(section.heading, numbers)}")
                assert any(page[0] == head for page in shown.pages), (shown.paper.name, head)


def test_signatures_are_whole_and_the_parties_sign_one_page_with_text(printed: list[Shown]) -> None:
    for shown in printed:
        signing: list[int] = []
        for section in shown.paper.agreement.sections:
            for block in (b for b in walk(section.blocks) if isinstance(b, Signature)):
                name = _words(inline.plain(block.name, shown.paper.numbering))
                capacity = _words(inline.plain(block.capacity, shown.paper.numbering))
                places = [
                    n
                    for n, page in enumerate(shown.pages)
                    for line, above, below in zip(page[1:], page, (*page[2:], ""), strict=False)
                    if line == name and above.startswith("Date:") and below == capacity
                ]
                assert len(places) == 1, (shown.paper.name, name)
                page = shown.pages[places[0]]
                start = page.index(name)
                for line in block.lines[1:]:
                    assert any(text.startswith(f"{line}:") for text in page[start : start + 3]), (
                        shown.paper.name,
                        line,
                    )
                if capacity in ("Petitioner", "Respondent"):
                    signing.append(places[0])
                    assert not page[0].startswith("Date:"), "a signature page without any text of the agreement"
        assert len(signing) == 2
        assert signing[0] == signing[1], shown.paper.name


def test_amounts_in_tables_do_not_wrap(printed: list[Shown]) -> None:
    amounts = 0
    for shown in printed:
        text = "\n".join(line for page in shown.pages for line in page)
        for table in shown.tables():
            for row in (*table.rows, *((table.total,) if table.total else ())):
                for cell, align in zip(row.cells, table.align, strict=False):
                    value = _words(inline.plain(cell, shown.paper.numbering))
                    if align == "right" and "$" in value:
                        assert value in text, (shown.paper.name, value)
                        amounts += 1
    assert amounts > 200


def test_small_tables_stay_on_one_page_with_their_caption(printed: list[Shown]) -> None:
    small = 0
    for shown in printed:
        for table in shown.tables():
            rows = (*table.rows, *((table.total,) if table.total else ()))
            if not 1 < len(rows) <= 6:
                continue
            page = shown.pages[shown.page_of(_words(inline.plain(table.caption, shown.paper.numbering)))]
            below = "\n".join(page[page.index(_words(inline.plain(table.caption, shown.paper.numbering))) :])
            for row in rows:
                first = _words(inline.plain(row.cells[0], shown.paper.numbering)).split()
                assert not first or first[0] in below, (shown.paper.name, table.id, first)
            small += 1
    assert small > 12


def test_numbers_on_pleading_paper_are_level_with_the_line_numbers(
    printed: list[Shown], pdf_text: Callable[..., str]
) -> None:
    # Cal. Rules of Court, rule 2.108: each line number is aligned with a line of type, or they are evenly spaced.
    level = 0
    for shown in printed:
        if shown.paper.agreement.layout != "pleading":
            continue
        for page in pdf_text(shown.pdf, "-bbox").split("<page ")[2:]:  # the first page holds the single-spaced contents
            words = [(float(x), float(bottom), word) for x, bottom, word in _WORD.findall(page)]
            lines = [bottom for x, bottom, word in words if x < 95 and word.isdigit()]
            assert len(lines) == 28
            for x, bottom, word in words:
                if 95 < x < 150 and _LABEL.fullmatch(word):
                    assert min(abs(bottom - line) for line in lines) < 0.5, (shown.paper.name, word)
                    level += 1
    assert level > 3 * 200
