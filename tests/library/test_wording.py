"""How values read in the agreement, and the filters that show them."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from msadraft.facts.view import Seen, View
from msadraft.library import wording
from msadraft.library.environment import WordingError, environment
from msadraft.tree import Blank, Text


def shown(filter_name: str, value: Any, path: str = "case.fact", *more: Any) -> tuple[Any, ...]:
    """What a filter makes of a fact."""
    view = View(value, path, Seen(), lambda _: None)
    return environment().filters[filter_name](view, *more).pieces  # type: ignore[no-any-return]


@pytest.mark.parametrize(
    ("day", "words"), [(date(2036, 6, 15), "June 2036"), (date(2029, 1, 1), "January 2029"), (date(1999, 12, 31), "December 1999")]
)  # fmt: skip
def test_a_month_of_a_year_leaves_the_day_out(day: date, words: str) -> None:
    assert wording.month_year(day) == words
    assert shown("month_year", day) == (Text(words, "case.fact"),)


def test_a_year_has_no_comma_and_keeps_its_path() -> None:
    assert wording.year(2036) == "2036"
    assert shown("year", 2036, "taxes.filing.0.year") == (Text("2036", "taxes.filing.0.year"),)


@pytest.mark.parametrize("name", ["month_year", "year", "date", "money", "percent"])
def test_a_fact_that_is_not_known_is_a_blank(name: str) -> None:
    assert shown(name, None) == (Blank("case.fact"),)


@pytest.mark.parametrize(
    ("name", "value"), [("month_year", "June 2036"), ("month_year", 2036), ("year", Decimal("2036")), ("year", True), ("date", 2036)]
)  # fmt: skip
def test_a_filter_refuses_a_value_of_another_kind(name: str, value: Any) -> None:
    with pytest.raises(WordingError, match=r"'case\.fact' is not of a kind"):
        shown(name, value)


@pytest.mark.parametrize(
    ("found", "expected"),
    [
        (wording.money(Decimal("1850")), "$1,850.00"),
        (wording.money(Decimal("-12.5")), "($12.50)"),
        (wording.money_words(Decimal("1.01")), "one dollar and one cent ($1.01)"),
        (wording.day(date(2026, 11, 30)), "November\u00a030, 2026"),
        (wording.percent(Decimal("35.7100")), "35.71%"),
        (wording.count(1, "month"), "one\u00a0month"),
        (wording.count(48, "month"), "48\u00a0months"),
        (wording.count(2, "child", "children"), "two\u00a0children"),
        (wording.ordinal(11), "11th"),
        (wording.ordinal(22), "22nd"),
        (wording.possessive("James"), "James’s"),
        (wording.join_and(["a", "b", "c"], "or"), "a, b, or c"),
    ],
)
def test_values_in_words(found: str, expected: str) -> None:
    assert found == expected
