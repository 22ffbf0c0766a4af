"""Every dated parameter says where it comes from, from when to when it applies, and how it came into the data."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml

from msadraft.law.listing import ROOMS, STANDING
from msadraft.law.page import page
from msadraft.law.parameters import Adjustment, LawNotKnownError, law, names, parameter, versions
from msadraft.review.changing_law import DAY_BY_DAY, WATCHED

ROOT = Path(__file__).resolve().parents[2]
DATA = ROOT / "msadraft" / "law" / "data"
KEYS = {"label", "unit", "source", "adjusted", "coming", "versions"}
VERSION_KEYS = {"in_force_from", "in_force_to", "enacted_by", "checked", "read_on", "note", "value"}
DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


def faults(name: str, data: dict[str, Any]) -> list[str]:
    """What a parameter leaves out or says twice. `data` is the file as text."""
    found = [f"{name}: unknown key {key}" for key in data.keys() - KEYS]
    found += [f"{name}: no {key}" for key in ("label", "unit", "source") if not data.get(key)]
    before: date | None = None
    for n, entry in enumerate(data["versions"]):
        at = f"{name}: version {n + 1}"
        found += [f"{at}: unknown key {key}" for key in entry.keys() - VERSION_KEYS]
        found += [f"{at}: no {key}" for key in ("in_force_from", "checked", "value") if entry.get(key) in (None, "")]
        found += [
            f"{at}: {key} is no day"
            for key in ("in_force_from", "in_force_to")
            if not DAY.fullmatch(entry.get(key, "2000-01-01"))
        ]
        checked, read_on = entry.get("checked"), entry.get("read_on")
        if checked not in STANDING:
            found.append(f"{at}: checked is {checked}")
        elif checked in ("read", "reported") and not (read_on == "not_recorded" or DAY.fullmatch(read_on or "")):
            found.append(f"{at}: {checked}, and read_on gives no day and does not say that it is not recorded")
        elif checked in ("computed", "memory") and read_on is not None:
            found.append(f"{at}: {checked}, and yet read on a day")
        if checked == "computed" and not entry.get("note"):
            found.append(f"{at}: computed, and no note says with what")
        first = date.fromisoformat(entry["in_force_from"])
        if n and (before is None or first != before + timedelta(days=1)):
            found.append(f"{at}: does not begin on the day after the version before")
        before = date.fromisoformat(entry["in_force_to"]) if entry.get("in_force_to") else None
        if before and before < first:
            found.append(f"{at}: ends before it begins")
    return found


def raw(name: str) -> dict[str, Any]:
    loaded = yaml.load((DATA / f"{name}.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    assert isinstance(loaded, dict)
    return loaded


@pytest.mark.parametrize("name", names())
def test_a_parameter_says_where_it_comes_from_and_when_it_applies(name: str) -> None:
    assert faults(name, raw(name)) == []


GOOD: dict[str, Any] = {
    "label": "A rate",
    "unit": "percent",
    "source": "An act",
    "versions": [
        {"in_force_from": "2020-01-01", "in_force_to": "2020-12-31", "checked": "memory", "value": "1"},
        {"in_force_from": "2021-01-01", "checked": "read", "read_on": "2021-02-03", "value": "2"},
    ],
}


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("source", "", "a: no source"),
        ("unit", "", "a: no unit"),
        ("sources", "An act", "a: unknown key sources"),
        ("0.checked", "heard", "a: version 1: checked is heard"),
        ("0.read_on", "2020-02-02", "a: version 1: memory, and yet read on a day"),
        ("0.in_force_to", "2020-12-30", "a: version 2: does not begin on the day after the version before"),
        ("1.read_on", "", "a: version 2: read, and read_on gives no day and does not say that it is not recorded"),
        ("1.checked", "computed", "a: version 2: computed, and yet read on a day"),
        ("1.in_force_to", "2020-06-30", "a: version 2: ends before it begins"),
        ("1.value", "", "a: version 2: no value"),
    ],
)
def test_what_is_left_out_is_found(key: str, value: str, said: str) -> None:
    data = {**GOOD, "versions": [dict(entry) for entry in GOOD["versions"]]}
    assert faults("a", data) == []
    place, _, last = key.rpartition(".")
    (data["versions"][int(place)] if place else data)[last] = value
    assert said in faults("a", data)


def test_every_room_of_the_data_has_a_heading() -> None:
    assert {name.split("/")[0] for name in names()} == set(ROOMS)


@pytest.mark.parametrize("name", names())
def test_every_day_of_a_version_finds_it_and_the_days_around_do_not(name: str) -> None:
    for version in versions(name):
        assert law(name, version.in_force_from) is version
        if version.in_force_to:
            assert law(name, version.in_force_to) is version
    first = versions(name)[0].in_force_from
    with pytest.raises(LawNotKnownError, match=name):
        law(name, first - timedelta(days=1))


def test_what_changes_in_the_course_of_a_case_is_watched_or_counted_day_by_day() -> None:
    changing = {name for name in names() if len({repr(version.value) for version in versions(name)}) > 1}
    assert changing == {*WATCHED, *DAY_BY_DAY}


def test_known_changes_have_a_day_words_and_a_source() -> None:
    coming = [(name, change) for name in names() for change in parameter(name).coming]
    assert {name for name, _ in coming} >= {
        "spousal_support/tax",
        "dates/service_substituted",
        "dates/proof_of_service",
    }
    for name, change in coming:
        assert all((change.what, change.source)), name
        assert change.on > parameter(name).versions[-1].in_force_from, name


YEARLY = Adjustment("01-01", "08-01", "somebody", "an act")


@pytest.mark.parametrize(
    ("adjustment", "day", "next_one"),
    [
        (YEARLY, "2026-12-31", ("2027-01-01", "2026-08-01")),
        (YEARLY, "2027-01-01", ("2028-01-01", "2027-08-01")),
        (Adjustment("07-01", "05-15", "somebody", "an act"), "2026-06-30", ("2026-07-01", "2026-05-15")),
    ],
)
def test_the_next_adjustment_is_known_before_it_begins(
    adjustment: Adjustment, day: str, next_one: tuple[str, str]
) -> None:
    assert tuple(map(str, adjustment.next_after(date.fromisoformat(day)))) == next_one


def test_a_yearly_figure_ends_with_its_year_or_follows_another() -> None:
    adjusted = [parameter(name) for name in names() if parameter(name).adjusted]
    for found in adjusted:
        end = found.versions[-1].in_force_to
        if found.name == "child_support/low_income_threshold":
            assert (end, found.versions[-1].value) == (None, "minimum_wage")
        else:
            assert end is not None
            assert (end.month, end.day) == (12, 31), found.name
    assert len(adjusted) == 10


def test_the_page_is_what_the_data_give() -> None:
    written = (ROOT / "docs" / "figures-set-by-law.md").read_text(encoding="utf-8")
    assert written == page(), "make it again: python -m msadraft.law.page docs/figures-set-by-law.md"


def test_the_page_names_every_parameter() -> None:
    assert set(re.findall(r"^`([a-z_]+/[a-z_]+)`; unit: ", page(), re.MULTILINE)) == set(names())
