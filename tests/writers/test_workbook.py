"""The workbook: formulas with the results that the figures have, marked inputs, and text that stays text.

Whether the formulas themselves give these results is asked of a spreadsheet in tests/office/test_workbook_recalculated.py.
"""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date, timedelta
from decimal import Decimal

import pytest
from support.scenarios import ROUNDS, facts_file
from support.sheets import Cell, find, read_workbook
from writers.workbook_cases import CASES, account, facts, many_accounts, support

from msadraft.facts.load import read_case
from msadraft.facts.model import Facts
from msadraft.figures.compute import Figures, compute
from msadraft.writers.inline import clean
from msadraft.writers.workbook import DRAFT, INPUTS, write_workbook

SCENARIOS = {f"{name} {n}": (name, n) for name, n in ROUNDS}


def made(given: Facts) -> tuple[Figures, dict[str, dict[str, Cell]]]:
    figures = compute(given)
    return figures, read_workbook(write_workbook(given, figures))


def scenario(name: str) -> Facts:
    return read_case(facts_file(*SCENARIOS[name])).facts


def amount(cells: dict[str, Cell], label: str, column: str = "B") -> Decimal:
    """The result of a formula, as money."""
    cell = cells[find(cells, label, column)]
    assert cell.formula
    assert isinstance(cell.value, float)
    return Decimal(repr(cell.value)).quantize(Decimal("0.01"))


def column(cells: dict[str, Cell], letter: str, top: int) -> list[float | str | None]:
    """The values of a column from a row down to the first cell that is empty."""
    found = []
    while (cell := cells.get(f"{letter}{top}")) is not None and cell.value not in (None, ""):
        found.append(cell.value)
        top += 1
    return found


@pytest.mark.parametrize("name", SCENARIOS)
def test_results_of_the_scenarios_are_those_of_the_figures(name: str) -> None:
    given = scenario(name)
    figures, sheets = made(given)
    ledger, cells = figures.ledger, sheets["Property"]
    assert amount(cells, "Equalizing payment", "C") == ledger.equalization
    payer = cells[f"C{_row_of(cells, 'Equalizing payment') + 1}"]
    assert payer.value == (ledger.equalization_payer or "nobody")
    assert amount(cells, "Sums of what", "I") == ledger.to_petitioner
    assert amount(cells, "Sums of what", "J") == ledger.to_respondent
    assert amount(cells, "Petitioner's side after it", "C") == ledger.settlement.petitioner_after
    assert ("Note" in sheets) == (figures.note is not None)
    if figures.note:
        _check_note(figures, sheets["Note"])
    guideline = figures.child_support.guideline if figures.supported_children.keys else None
    assert ("Child support" in sheets) == bool(figures.supported_children.keys)
    if guideline:
        cells = sheets["Child support"]
        assert amount(cells, "Guideline support a month") == guideline.amount
        shares = [Decimal(repr(v)) for v in column(cells, "G", _row_of(cells, "Child, youngest first") + 1)]
        assert shares == [share.amount for share in guideline.shares]
    tables = [found.steps for found in (figures.support_of_petitioner, figures.support_of_respondent) if found.steps]
    assert ("Spousal support" in sheets) == bool(tables)
    for table in tables:
        assert amount(sheets["Spousal support"], "All steps", "G") == table.total


def _row_of(cells: dict[str, Cell], label: str) -> int:
    return int(find(cells, label, "A")[1:])


def _check_note(figures: Figures, cells: dict[str, Cell]) -> None:
    assert figures.note
    top = _row_of(cells, "Payment in use") + 8
    for letter, name in (("D", "interest"), ("E", "principal"), ("F", "amount"), ("G", "balance")):
        shown = [Decimal(repr(v)).quantize(Decimal("0.01")) for v in column(cells, letter, top)]
        assert shown == [getattr(row, name) for row in figures.note.instalments], name
    due = [date(1899, 12, 30) + timedelta(days=int(v)) for v in column(cells, "B", top) if isinstance(v, float)]
    assert due == [row.due_on for row in figures.note.instalments if row.due_on]
    assert amount(cells, "Last payment") == figures.note.last
    assert amount(cells, "Interest in all") == figures.note.interest


@pytest.mark.parametrize("name", CASES)
def test_results_of_hard_cases_are_those_of_the_figures(name: str) -> None:
    figures, sheets = made(CASES[name])
    if figures.ledger.lines:
        assert amount(sheets["Property"], "Equalizing payment", "C") == figures.ledger.equalization
    if figures.note:
        _check_note(figures, sheets["Note"])
    if figures.supported_children.keys and figures.child_support.guideline:
        assert amount(sheets["Child support"], "Guideline support a month") == figures.child_support.guideline.amount


def test_every_sheet_says_that_it_is_an_estimate_and_what_an_input_is() -> None:
    _, sheets = made(scenario("dunmarsh 3"))
    assert set(sheets) == {"Property", "Note", "Child support", "Spousal support"}
    for name, cells in sheets.items():
        words = [cell.value for cell in cells.values() if isinstance(cell.value, str)]
        assert DRAFT in words, name
        assert INPUTS in words, name
    for name in ("Child support", "Spousal support"):
        assert any("rule 5.275" in str(cell.value) for cell in sheets[name].values()), name


def test_inputs_are_framed_and_named_so_that_colour_is_not_needed() -> None:
    given = scenario("dunmarsh 3")
    data = write_workbook(given, compute(given))
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        styles = archive.read("xl/styles.xml").decode()
        borders = re.search(r"<borders.*?</borders>", styles, re.S)
        formats = re.search(r"<cellXfs.*?</cellXfs>", styles, re.S)
        assert borders
        assert formats
        thick = [
            n for n, b in enumerate(re.findall(r"<border>.*?</border>", borders[0], re.S)) if b.count('"medium"') == 4
        ]
        assert len(thick) == 1
        framed = {
            n
            for n, xf in enumerate(re.findall(r"<xf .*?(?:/>|</xf>)", formats[0], re.S))
            if f'borderId="{thick[0]}"' in xf
        }
        sheet = archive.read("xl/worksheets/sheet3.xml").decode()
    cells = read_workbook(data)["Child support"]
    inputs = {a for a, style in re.findall(r'<c r="([A-Z]+\d+)" s="(\d+)"', sheet) if int(style) in framed}
    assert len(inputs) == 5  # two nets, two times, the low-income threshold
    for address in inputs:
        row = int(re.sub(r"\D", "", address))
        labels = [cells[f"{c}{r}"].value for c, r in (("A", row), ("B", row - 1), ("B", row - 2)) if f"{c}{r}" in cells]
        assert any("(input)" in str(label) for label in labels), address
        assert cells[address].formula is None


HOSTILE = (
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    '=HYPERLINK("http://example.invalid","x")',
    "{=1}",
    "http://example.invalid",
)


def test_text_of_the_facts_stays_text() -> None:
    assets = {f"a{n}": account(label, "1.00", goes_to="petitioner") for n, label in enumerate(HOSTILE)}
    given = facts(assets=assets)
    data = write_workbook(given, compute(given))
    cells = read_workbook(data)["Property"]
    for label in HOSTILE:
        found = [cell for cell in cells.values() if cell.value == clean(label)]
        assert found, label
        assert all(cell.formula is None for cell in found)
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert b"hyperlink" not in archive.read("xl/worksheets/sheet1.xml").lower()


def test_every_number_that_is_no_input_and_no_law_is_a_formula() -> None:
    _, sheets = made(scenario("dunmarsh 3"))
    for name, letters in (("Property", "FIJ"), ("Spousal support", "DEFG")):
        for address, cell in sheets[name].items():
            if address[0] in letters and isinstance(cell.value, float):
                assert cell.formula, f"{name} {address}"


def test_same_facts_give_the_same_bytes() -> None:
    given = scenario("varnell 3")
    assert write_workbook(given, compute(given)) == write_workbook(given, compute(given))


def test_support_without_its_inputs_says_so() -> None:
    given = support("1000.00", "2000.00", "50")
    bare = given.model_copy(update={"child_support": facts().child_support})
    _, sheets = made(bare)
    assert any("Not worked out" in str(cell.value) for cell in sheets["Child support"].values())


def test_lines_outside_the_sums_are_shown_but_not_counted() -> None:
    _, sheets = made(CASES["separate and open"])
    cells = sheets["Property"]
    for label in ("mine", "open", "disputed"):
        assert cells[find(cells, label, "K")].value == "no"
    assert amount(cells, "Sums of what", "C") == 0
    assert cells[find(cells, "open", "I")].value in (None, "")


def test_large_case_has_a_line_for_each_item() -> None:
    figures, sheets = made(many_accounts(500))
    cells = sheets["Property"]
    assert amount(cells, "Equalizing payment", "C") == figures.ledger.equalization
    assert len([c for a, c in cells.items() if a[0] == "B" and c.value in ("asset", "debt")]) == 550
