"""How single values are read: tables of what is taken and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from msadraft.facts import scalars

GOOD: list[tuple[Callable[[Any], Any], str, Any]] = [
    (scalars.read_money, "1850", Decimal("1850.00")),
    (scalars.read_money, "1,850.5", Decimal("1850.50")),
    (scalars.read_money, "$1,234,567.89", Decimal("1234567.89")),
    (scalars.read_money, "-$5", Decimal("-5.00")),
    (scalars.read_money, "010", Decimal("10.00")),
    (scalars.read_money, " 0.10 ", Decimal("0.10")),
    (scalars.read_money, "999999999999.99", Decimal("999999999999.99")),
    (scalars.read_day, "2024-02-29", date(2024, 2, 29)),
    (scalars.read_day, "1900-01-01", date(1900, 1, 1)),
    (scalars.read_clock, "1:30", time(1, 30)),
    (scalars.read_clock, "01:30", time(1, 30)),
    (scalars.read_clock, "23:59", time(23, 59)),
    (scalars.read_whole, "010", 10),
    (scalars.read_whole, "0", 0),
    (scalars.read_percent, "35.71", Decimal("35.71")),
    (scalars.read_percent, "50 %", Decimal("50")),
    (scalars.read_percent, "100.0000", Decimal("100")),
    (scalars.read_quantity, "0.00000001", Decimal("0.00000001")),
    (scalars.read_yes_no, "no", False),
    (scalars.read_yes_no, "No", False),
    (scalars.read_yes_no, "yes", True),
    (scalars.read_yes_no, "TRUE", True),
    (scalars.read_last_four, "0042", "0042"),
    (scalars.read_last_four, "1e3", "1e3"),
    (scalars.read_key, "joint_savings-2", "joint_savings-2"),
    (scalars.read_key, "n", "n"),
    (scalars.read_text, "no", "no"),
    (scalars.read_text, "010", "010"),
    (scalars.read_text, " Nun\u0303ez ", "Nu\u00f1ez"),
    (scalars.read_text, "two\nlines", "two\nlines"),
    (scalars.read_text, "0x10", "0x10"),
    # Numbers that are not account or Social Security numbers.
    (scalars.read_text, "(415) 555-0123", "(415) 555-0123"),
    (scalars.read_text, "+49 1512 3456789", "+49 1512 3456789"),
    (scalars.read_text, "FL-2026-0012345", "FL-2026-0012345"),
    (scalars.read_text, "parcel 123-456-789", "parcel 123-456-789"),
    (scalars.read_text, "parcel 0123-456-78-0000", "parcel 0123-456-78-0000"),
    (scalars.read_text, "2026-12-24 2026-12-26", "2026-12-24 2026-12-26"),
    (scalars.read_text, "$123,456,789.00", "$123,456,789.00"),
    (scalars.read_text, "1,123456789 units", "1,123456789 units"),
]

BAD: list[tuple[Callable[[Any], Any], list[Any]]] = [
    (
        scalars.read_money,
        ["", "no", "1e3", "0x10", "NaN", "inf", "1,85", "1.850,00", "1850.125", "--5", "$-5", "5 $", "1 850", ".50", "5.", "1_000",
         "\u0661\u0662", "1000000000000", "9" * 500, True, 1.5, 5, ["1"], {"a": "1"}, None, Decimal("NaN"), Decimal("Infinity")],
    ),
    (scalars.read_day, ["", "05/01/2010", "2010-5-1", "2010-02-30", "20100501", "2010-W01-1", "1899-12-31", "2151-01-01", "today",
                        "\u0662\u0660\u0661\u0660-01-01", ["2010-01-01"], datetime(2020, 1, 1, 5)]),
    (scalars.read_clock, ["", "24:00", "6 pm", "18.00", "18:60", "1800", "18:00:00", "\u0661:30"]),
    (scalars.read_whole, ["", "-1", "1.0", "1e3", "0x10", "ten", "1,000", "9" * 10, True, -1, 1.0, "\u0661"]),
    (scalars.read_percent, ["", "-1", "-0", "100.01", "101", "50%%", "half", "1e1", "NaN", "33.33333", "1,5", Decimal("101")]),
    (scalars.read_quantity, ["", "-1", "1e3", "NaN", "0.000000001", "1" * 16, Decimal("-1"), Decimal("NaN")]),
    (scalars.read_yes_no, ["", "y", "n", "on", "off", "0", "1", "none", 1, None]),
    (scalars.read_last_four, ["", "12345", "12-4", "*421", "123-45-6789", ["1234"]]),
    (scalars.read_key, ["", "Wren", "2nd", "-a", "a b", " a", "a.b", "a*", "no", "true", "null", "on", "a" * 32, "\u00e9", 5]),
    (
        scalars.read_text,
        ["", "  ", "\n", "a\x00b", "a\x07b", "a\u202eb", "a\u2028b", "a\ue000b", "a\ud800b", ["a"], {}, None,
         # Full Social Security, card and account numbers, as they are pasted.
         "123-45-6789", "SSN: 123 45 6789.", "123.45.6789", "123\u201345\u20136789", "123456789", "no. 123456789.", "(123456789)",
         "4111 1111 1111 1111", "4111-1111-1111-1111", "acct 000123456789012", "1" * 25],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("reader", "text", "value"), GOOD)
def test_taken(reader: Callable[[Any], Any], text: str, value: Any) -> None:
    found = reader(text)
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize(("reader", "value"), [(reader, value) for reader, values in BAD for value in values])
def test_refused_with_a_mend(reader: Callable[[Any], Any], value: Any) -> None:
    with pytest.raises(ValueError, match=r"; |should be|is empty") as caught:
        reader(value)
    assert len(str(caught.value)) < 250


def test_money_is_never_negative_zero() -> None:
    assert str(scalars.read_money("-0.00")) == "0.00"


def test_typed_values_pass() -> None:
    assert scalars.read_money(Decimal("5")) == Decimal("5.00")
    assert scalars.read_day(date(2020, 1, 2)) == date(2020, 1, 2)
    assert scalars.read_clock(time(1, 2)) == time(1, 2)
    assert scalars.read_whole(7) == 7
    assert scalars.read_percent(Decimal("1E+2")) == 100
    assert scalars.read_quantity(Decimal("1E-8")) == Decimal("0.00000001")
    assert scalars.read_yes_no(True) is True


def test_a_refused_number_is_not_repeated() -> None:
    with pytest.raises(ValueError, match="last four") as caught:
        scalars.read_last_four("000123456789")
    assert "123456789" not in str(caught.value)


@given(st.decimals(-(10**11), 10**11, places=2))
def test_money_survives_being_written_out(amount: Decimal) -> None:
    assert scalars.read_money(str(amount)) == amount
    assert scalars.read_money(f"{amount:,}") == amount


@given(st.text())
def test_readers_raise_nothing_but_value_errors(text: str) -> None:
    for reader, _ in BAD:
        try:
            reader(text)
        except ValueError:
            continue
