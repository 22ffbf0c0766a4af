"""A spreadsheet works out every formula of the workbook anew, from its inputs alone: the results are those of the figures.

LibreOffice Calc is the witness. The stored results are taken out of the file before it opens it.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from pathlib import Path
from types import ModuleType

import pytest
from office.conftest import _missing
from support.scenarios import ROUNDS, facts_file
from support.sheets import Cell, changed, find, read_workbook
from writers.workbook_cases import CASES, note, steps, support

from msadraft.facts.load import read_case
from msadraft.facts.model import Facts
from msadraft.figures.compute import compute
from msadraft.writers.office import OfficeError
from msadraft.writers.workbook import write_workbook

pytestmark = pytest.mark.office

Book = Mapping[str, Mapping[str, Cell]]
LEAST = 0.005
"""Half a cent: results that differ by less are the same to the cent."""


@pytest.fixture(scope="session")
def recalculate(suite: ModuleType, tmp_path_factory: pytest.TempPathFactory):  # type: ignore[no-untyped-def]
    """Give a function that has workbooks worked out anew, all in one process."""

    def run(books: list[bytes]) -> list[Book]:
        source, target = tmp_path_factory.mktemp("given"), tmp_path_factory.mktemp("worked-out")
        files = []
        for n, data in enumerate(books):
            files.append(source / f"book-{n:03}.xlsx")
            files[-1].write_bytes(data)
        try:
            results: list[Path] = suite.convert(files, target, "xlsx:Calc MS Excel 2007 XML", "xlsx")
        except OfficeError:
            _missing("the spreadsheet of LibreOffice (libreoffice-calc)")
        return [read_workbook(path.read_bytes()) for path in results]

    return run


def written(given: Facts) -> bytes:
    return write_workbook(given, compute(given))


def differences(stored: Book, worked_out: Book) -> list[str]:
    wrong = []
    for sheet, cells in stored.items():
        for address, cell in cells.items():
            if cell.formula is None:
                continue
            other = worked_out[sheet].get(address)
            one, two = (found.value if found and found.value is not None else "" for found in (cell, other))
            same = abs(one - two) < LEAST if isinstance(one, float) and isinstance(two, float) else one == two
            if not same:
                wrong.append(f"{sheet} {address}: stored {one!r}, worked out {two!r}")
    return wrong


def test_every_formula_gives_the_result_that_is_stored_with_it(recalculate) -> None:  # type: ignore[no-untyped-def]
    names = [f"{name} {n}" for name, n in ROUNDS] + list(CASES)
    books = [written(read_case(facts_file(name, n)).facts) for name, n in ROUNDS] + [written(f) for f in CASES.values()]
    results = recalculate([changed(book, {}) for book in books])
    counts = 0
    for name, book, result in zip(names, books, results, strict=True):
        stored = read_workbook(book)
        counts += sum(cell.formula is not None for cells in stored.values() for cell in cells.values())
        assert differences(stored, result) == [], name
    assert counts > 9_000


def test_changed_inputs_move_the_results_as_the_figures_do(recalculate) -> None:  # type: ignore[no-untyped-def]
    """Each first case, with the inputs of the second typed in, gives the results of the second."""
    pairs = {
        "note": (
            note(principal="36254.79", rate="5.00", months="36", first_payment_on="2027-07-01"),
            note(principal="41000.00", rate="6.375", months="48", first_payment_on="2028-01-31", balloon="5000.00"),
        ),
        "support": (support("5900.00", "8450.00", "64.29", 3), support("7321.55", "2100.10", "40", 3)),
        "steps": (
            steps(("2026-12-01", "2028-11-30", "3400.00")),
            steps(("2026-12-17", "2029-02-10", "2950.50")),
        ),
        "property": (CASES["one cent"], _other_awards()),
    }  # fmt: skip
    typed = [changed(written(one), _inputs_of(written(one), written(two))) for one, two in pairs.values()]
    for (name, (_, two)), result in zip(pairs.items(), recalculate(typed), strict=True):
        stored = read_workbook(written(two))
        assert differences(stored, result) == [], name


def _other_awards() -> Facts:
    given = CASES["one cent"]
    assets = {
        "a": given.assets["a"].model_copy(update={"value": Decimal("350.07"), "goes_to": "split", "petitioner_percent": Decimal("33.33")}),
        "b": given.assets["b"].model_copy(update={"owing": Decimal("12.34")}),
    }  # fmt: skip
    return given.model_copy(update={"assets": assets})


def _inputs_of(one: bytes, two: bytes) -> dict[tuple[str, str], float | None]:
    """The numbers that are no formula and differ between two workbooks of one shape, as the second has them."""
    first, second = read_workbook(one), read_workbook(two)
    assert {s: set(c) for s, c in first.items()} == {s: set(c) for s, c in second.items()}, "the shapes differ"
    found: dict[tuple[str, str], float | None] = {}
    for sheet, cells in second.items():
        for address, cell in cells.items():
            before = first[sheet][address]
            if cell.formula is None and not isinstance(cell.value, str) and cell.value != before.value:
                found[sheet, address] = cell.value
    return found


def test_witness_sees_a_wrong_result(recalculate) -> None:  # type: ignore[no-untyped-def]
    """The comparison can fail: with another rate the stored schedule is wrong."""
    book = written(note(principal="1000.00", rate="5.00", months="12"))
    rate = find(read_workbook(book)["Note"], "Rate, percent")
    (result,) = recalculate([changed(book, {("Note", rate): 9.0})])
    assert len(differences(read_workbook(book), result)) > 12


def test_dates_after_a_leap_day_are_those_of_the_figures(recalculate) -> None:  # type: ignore[no-untyped-def]
    given = note(principal="9000.00", rate="3.00", months="14", first_payment_on="2028-01-31")
    schedule = compute(given).note
    assert schedule
    (result,) = recalculate([changed(written(given), {})])
    shown = {cell.value for address, cell in result["Note"].items() if address.startswith("B")}
    for row in schedule.instalments:
        assert row.due_on
        assert float((row.due_on - date(1899, 12, 30)).days) in shown
    assert schedule.instalments[1].due_on == date(2028, 2, 29)
