"""The law on one day: what applies, since when, by what source, and what will change."""

from __future__ import annotations

from datetime import date

import pytest

from msadraft.law.listing import Entry, listing, listing_data, screen_lines, value_lines
from msadraft.law.parameters import names, versions

NOVEMBER = date(2026, 11, 24)


def entry(name: str, day: date) -> Entry:
    (found,) = [one for one in listing(day) if one.parameter.name == name]
    return found


def shown(name: str, day: date) -> str:
    return " ".join(line.strip() for line in screen_lines(day, (entry(name, day),)))


def test_every_parameter_is_listed_once() -> None:
    assert [one.parameter.name for one in listing(NOVEMBER)] == list(names())


def test_a_value_stands_with_its_unit_days_source_and_standing() -> None:
    text = shown("child_support/minimum_wage", NOVEMBER)
    assert "16.90 dollars an hour since 2026-01-01, until 2026-12-31" in text
    assert "source: Lab. Code § 1182.12; Department of Finance letter of 1 August 2025" in text
    assert "checked: as others report it, day not recorded" in text


def test_a_day_decides_which_version_is_shown() -> None:
    assert "0.20, divisor 16000" in shown("child_support/income_share", date(2024, 8, 31))
    new = shown("child_support/income_share", date(2024, 9, 1))
    assert "0.165, divisor 82857" in new
    assert "16000" not in new


@pytest.mark.parametrize(
    ("name", "day", "kind", "on", "words"),
    [
        ("child_support/minimum_wage", date(2026, 7, 1), "adjusted", date(2027, 1, 1), "to be known by 2026-08-01"),
        ("child_support/minimum_wage", date(2026, 8, 1), "adjusted", date(2027, 1, 1), "known since 2026-08-01: look"),
        ("child_support/minimum_wage", date(2028, 3, 1), "adjusted", date(2027, 1, 1), "known since 2026-08-01: look"),
        ("tax/california_income_tax", NOVEMBER, "adjusted", date(2026, 1, 1), "known since 2025-12-31: look"),
        ("calendar/diwali", NOVEMBER, "ends", date(2036, 1, 1), "the data end"),
        ("dates/service_substituted", NOVEMBER, "coming", date(2027, 1, 1), "three different days"),
        ("spousal_support/tax", NOVEMBER, "coming", date(2027, 12, 1), "repealed"),
    ],
)
def test_what_will_change(name: str, day: date, kind: str, on: date, words: str) -> None:
    (change,) = entry(name, day).changes
    assert (change.kind, change.on) == (kind, on)
    assert words in change.what


def test_a_later_version_comes_first_and_what_follows_it_is_said_too() -> None:
    changes = entry("child_support/minimum_wage", date(2024, 6, 1)).changes
    assert [(change.kind, str(change.on)) for change in changes] == [
        ("version", "2025-01-01"),
        ("version", "2026-01-01"),
        ("adjusted", "2027-01-01"),
    ]


def test_what_has_come_is_no_longer_coming() -> None:
    assert entry("dates/service_substituted", date(2026, 12, 31)).changes != ()
    assert entry("dates/service_substituted", date(2027, 1, 1)).changes == ()


def test_a_later_value_is_shown_itself() -> None:
    assert "from 2026-01-01: 16.90 dollars an hour (Lab. Code § 1182.12" in shown(
        "child_support/minimum_wage", date(2025, 6, 1)
    )


def test_a_day_outside_the_data_is_said_and_has_no_value() -> None:
    found = entry("tax/california_income_tax", NOVEMBER)
    assert found.version is None
    assert "is not known for 2026-11-24" in shown("tax/california_income_tax", NOVEMBER)
    (data,) = listing_data(NOVEMBER, (found,))["parameters"]
    assert data["value"] is None
    assert "end on 2025-12-31" in data["why_not"]


@pytest.mark.parametrize("day", [date(1900, 1, 1), date(2012, 12, 31), date(2024, 8, 31), NOVEMBER, date(2150, 12, 31)])
def test_the_screen_has_eighty_columns_on_any_day(day: date) -> None:
    lines = screen_lines(day, listing(day))
    assert max(map(len, lines)) <= 80
    assert len(lines) > len(names())


def test_every_version_can_be_shown() -> None:
    for name in names():
        for version in versions(name):
            lines = value_lines(version.value, version.unit, version.in_force_from)
            assert lines
            assert not any(sign in line for line in lines for sign in "_{}[]"), name


def test_a_period_is_said_in_words() -> None:
    (line,) = value_lines(versions("dates/response")[0].value, "days", NOVEMBER)
    assert line == "30 days; the first day does not count; a last day on which the courts are closed moves"
    (year,) = value_lines(versions("dates/set_aside_fraud")[0].value, "years", NOVEMBER)
    assert year.startswith("1 year; ")


def test_a_feast_shows_the_next_one() -> None:
    assert "next 2026-11-08; 16 dates" in shown("calendar/diwali", date(2026, 11, 8))
    assert "next 2027-10-29; 16 dates" in shown("calendar/diwali", date(2026, 11, 9))
