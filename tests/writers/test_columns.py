"""Widths of table columns, and the lines that a cell takes in them."""

from __future__ import annotations

import pytest
from writers import reading
from writers.sample import STAMP, words

from msadraft.agreement.numbering import number
from msadraft.tree import Agreement, Caption, Row, Section, Table
from msadraft.writers.docx import write_docx
from msadraft.writers.docx.columns import column_widths, lines_of, text_width

LONG = "a long description of one item that needs far more room than its column has " * 3


def test_figures_are_as_wide_in_bold_and_letters_wider() -> None:
    # Published metrics of Times: a figure is half an em in both weights, the letter a 0.444 em in the regular one.
    assert text_width("1234", 24) == text_width("1234", 24, bold=False) == 4 * 120
    assert text_width("aaaa", 24) > text_width("aaaa", 24, bold=False) == round(4 * 0.444 * 240)


def test_date_keeps_one_line_beside_long_text() -> None:
    columns = [["Item", LONG], ["As of", "September 30, 2026"], ["Remarks", LONG]]
    _, date, _ = column_widths(columns, [False] * 3, 9360, 24, 140)
    assert lines_of("September 30, 2026", date - 140, 24) == 1


def test_header_over_amounts_wraps_before_the_items_do() -> None:
    columns = [["Item", LONG], *([["To the Respondent Oyelaran", "$0.00"]] * 5)]
    widths = column_widths(columns, [False, *[True] * 5], 9360, 24, 140)
    assert all(width < text_width("To the Respondent", 24) for width in widths[1:])
    assert widths[0] > 9360 // 6 + 500
    assert all(width >= text_width("Respondent", 24) + 140 for width in widths[1:])


@pytest.mark.parametrize(
    ("text", "lines"),
    [("", 1), ("word", 1), ("two\nlines", 2), ("0000 " * 4, 2), ("0000 " * 5, 3), ("0" * 25, 3)],
)
def test_lines_of_a_cell(text: str, lines: int) -> None:
    # Ten figures of 12 points are 1,200 twips wide; two words of four with their space are 1,020.
    assert lines_of(text.strip(), 1200, 24) == lines


@pytest.mark.parametrize(("cell", "height"), [("short", 480), ("two\nlines", 480), ("one\ntwo\nthree", 960)])
def test_rows_on_numbered_paper_are_whole_lines_high(cell: str, height: int) -> None:
    # Cal. Rules of Court, rule 2.108: the text stays level with line numbers that are 24 points (480 twips) apart.
    table = Table("t", "clause", words("Schedule"), (words("Item"),), (Row("r", (words(cell),)),), ("left",))
    caption = Caption(words("Yolo"), (), words("A"), words("B"), words("1"))
    agreement = Agreement("Title", caption, (Section("s", "article", words("One"), (table,)),), layout="pleading")
    tree = reading.tree(write_docx(agreement, number(agreement), STAMP))
    heights = [row.get(f"{reading.W}val") for row in tree.iter(f"{reading.W}trHeight")]
    assert heights[-1] == str(height)
