"""A sheet of the workbook: written from the top, its inputs marked, every formula with its result."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from msadraft.writers.inline import clean

INPUTS = (
    "Cells with a thick frame are inputs; their label or column says so. Change one and the rest follows. All other "
    "numbers are formulas or figures of the law."
)
DRAFT = (
    "This is an estimate from the facts of the case, a drafting aid and no legal advice. A change made here does not reach "
    "the case: enter it in case.yaml as well."
)
_MONEY, _DAY, _PERCENT = "#,##0.00;-#,##0.00", "yyyy-mm-dd", "0.00##"
_HEAD_HEIGHT = 46  # points: three lines


def styles_of(book: Any) -> dict[str, Any]:
    """Make the styles of a workbook; an input has a thick frame, so that it is seen without colour."""
    frame = {"border": 2, "bg_color": "#FFF8E1", "locked": False}
    numbers = {
        "money": _MONEY,
        "day": _DAY,
        "percent": _PERCENT,
        "plain": "General",
        "exact": "0.000000",
        "whole": "#,##0",
    }
    return {
        "title": book.add_format({"bold": True, "font_size": 14}),
        "note": book.add_format({"italic": True}),
        "head": book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom"}),
        "label": book.add_format({"valign": "top"}),
        "strong": book.add_format({"bold": True}),
        "input_text": book.add_format(frame),
        **{f"input_{name}": book.add_format({**frame, "num_format": form}) for name, form in numbers.items()},
        **{name: book.add_format({"num_format": form}) for name, form in numbers.items()},
        **{
            f"total_{name}": book.add_format({"num_format": form, "bold": True, "top": 1})
            for name, form in numbers.items()
        },
        "count": book.add_format({"align": "left"}),
        "total_text": book.add_format({"bold": True, "top": 1}),
    }


class Sheet:
    """One sheet, written from the top: a cell is named by its column and its row as a person counts it, from 1."""

    def __init__(self, book: Any, name: str, styles: dict[str, Any]) -> None:
        self.sheet, self.styles = book.add_worksheet(name), styles
        self.sheet.set_landscape()
        self.sheet.set_paper(1)
        self.sheet.fit_to_pages(1, 0)
        self.sheet.set_footer(f"&L{name}: an estimate&RPage &P of &N")
        self.row = 1

    def start(self, title: str, *notes: str) -> None:
        """The title and the notes that each sheet has."""
        self.text("A", title, "title")
        self.row += 1
        for note in (*notes, INPUTS):
            self.text("A", note, "note")
            self.row += 1
        self.row += 1

    def widths(self, *widths: int) -> None:
        """Set the widths of the columns, in characters."""
        for n, width in enumerate(widths):
            self.sheet.set_column(n, n, width)

    def head(self, *names: str) -> None:
        """Write a row of column heads."""
        for n, name in enumerate(names):
            self.sheet.write_string(self.row - 1, n, name, self.styles["head"])
        self.sheet.set_row(self.row - 1, _HEAD_HEIGHT)
        self.row += 1

    def text(self, column: str, words: str, style: str = "label") -> None:
        """Write text, whatever it contains."""
        self.sheet.write_string(self.row - 1, _index(column), clean(words), self.styles[style])

    def number(self, column: str, value: Decimal | int | Fraction | None, style: str) -> str:
        """A number, or an empty cell; gives its address."""
        if value is None:
            self.sheet.write_blank(self.row - 1, _index(column), None, self.styles[style])
        else:
            self.sheet.write_number(self.row - 1, _index(column), float(value), self.styles[style])
        return f"${column}${self.row}"

    def day(self, column: str, day: date | None, style: str = "input_day") -> str:
        """Write a day, or an empty cell; gives its address."""
        return self.number(column, None if day is None else serial(day), style)

    def formula(
        self, column: str, formula: str, value: Decimal | int | Fraction | str | date | None, style: str = "money"
    ) -> str:
        """A formula with the result that the figures have; gives its address."""
        stored: float | str
        if isinstance(value, str):
            stored = clean(value)
        elif isinstance(value, date):
            stored = serial(value)
        else:
            stored = "" if value is None else float(value)
        self.sheet.write_formula(self.row - 1, _index(column), f"={formula}", self.styles[style], stored)
        return f"${column}${self.row}"

    def choice(self, column: str, value: str, allowed: Sequence[str]) -> str:
        """An input that is one of some words."""
        self.sheet.write_string(self.row - 1, _index(column), value, self.styles["input_text"])
        self.sheet.data_validation(
            self.row - 1, _index(column), self.row - 1, _index(column), {"validate": "list", "source": list(allowed)}
        )
        return f"${column}${self.row}"


def _index(column: str) -> int:
    return ord(column) - ord("A")


def serial(day: date) -> int:
    """A day as a spreadsheet counts it."""
    return (day - date(1899, 12, 30)).days


def in_cents(amount: str) -> str:
    """An amount in whole cents, free of the binary remainders of a spreadsheet."""
    return f"ROUND({amount}*100,0)"
