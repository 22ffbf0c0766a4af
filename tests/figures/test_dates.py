"""Procedural dates, court holidays, and lengths of marriage against tables of worked and published examples."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from dateutil.relativedelta import relativedelta
from figures.rows import table
from hypothesis import given
from hypothesis import strategies as st

from msadraft.facts.case import Case
from msadraft.facts.people import Child
from msadraft.figures import procedure
from msadraft.figures.counting import STATEWIDE, CountingError, CourtCalendar, add_months, court_holidays, whole_months
from msadraft.figures.dates import age, birthday, earliest_default, earliest_status, span, support_end
from msadraft.figures.figure import Figure
from msadraft.figures.marriage_length import half_length, marriage_length
from msadraft.law.parameters import LawNotKnownError

DAYS = st.dates(date(2012, 1, 1), date(2100, 12, 31))
TERM_STARTS = date(2026, 12, 1)


def shown(figure: Figure) -> Figure:
    """A figure with a value has its counting: every step names formula, result and source, and the last one ends at the value."""
    assert figure.value is not None
    assert all(step.what and step.formula and step.result and step.source for step in figure.steps)
    assert isinstance(figure.value, date)
    assert str(figure.value.year) in figure.steps[-1].result
    return figure


@pytest.mark.parametrize("row", table("dates.yaml", "status"))
def test_status(row: dict[str, Any]) -> None:
    revoked = None
    if "summary_filed" in row:
        revoked = procedure.RevokedSummary(row["summary_filed"], row["summary_revoked"], row["new_petition"])
    figure = shown(procedure.status_from(row.get("served"), row.get("appeared"), row.get("joint_filed"), revoked))
    assert figure.value == row["first"]
    start = min(day for day in (row.get("served"), row.get("appeared"), row.get("joint_filed")) if day)
    assert add_months(start, 6) == row["six_months"]
    if "ends" in row:
        assert shown(procedure.status_ends(row["first"], row["entered"])).value == row["ends"]


@pytest.mark.parametrize("row", table("dates.yaml", "service"))
def test_service_response_default_status(row: dict[str, Any]) -> None:
    complete = shown(procedure.service_complete(row["method"], row["day"])).value
    assert complete == row["complete"]
    assert shown(procedure.response_due(complete)).value == row["due"]
    assert shown(procedure.default_from(complete)).value == row["default"]
    assert shown(procedure.status_from(complete)).value == row["status"]


@pytest.mark.parametrize("row", table("dates.yaml", "single"))
def test_single_date(row: dict[str, Any]) -> None:
    assert shown(getattr(procedure, row["figure"])(**row["given"])).value == row["expect"]


@pytest.mark.parametrize("row", table("dates.yaml", "court_holidays"))
def test_court_holidays(row: dict[str, Any]) -> None:
    assert list(court_holidays(int(row["id"]))) == row["days"]
    assert (STATEWIDE.cautions(row["days"][0]) == ()) is row["published"]


def test_court_holidays_before_2022() -> None:
    """The courts' lists of 2012 to 2014 had Columbus Day, and neither Juneteenth nor Native American Day."""
    for year in (2012, 2013, 2014):
        names = list(court_holidays(year).values())
        assert "Columbus Day" in names
        assert not {"Juneteenth", "Native American Day"} & set(names)
    assert STATEWIDE.reason(date(2026, 10, 12)) is None, "Columbus Day is a court day now (Code Civ. Proc. § 135)"


@pytest.mark.parametrize(
    "day",
    [date(2026, 2, 17), date(2026, 4, 24), date(2026, 9, 9), date(2026, 11, 8) + timedelta(days=1), date(2027, 10, 29)],
)
def test_days_that_section_135_leaves_out_are_court_days(day: date) -> None:
    """Lunar New Year, April 24, Admission Day, the Monday after Diwali 2026, Diwali 2027 (Code Civ. Proc. § 135)."""
    assert STATEWIDE.reason(day) is None


def test_local_closure_counts_as_a_holiday() -> None:
    """Code Civ. Proc. § 12b."""
    closed = CourtCalendar(frozenset({date(2026, 2, 17)}))
    assert procedure.response_due(date(2026, 1, 15), closed).value == date(2026, 2, 18)


def test_later_paper_by_mail_and_by_court_days() -> None:
    """Code Civ. Proc. §§ 1013(a), (c), 1010.6(a)(3); own arithmetic: 12 October 2026 + 30 days is 11 November, a holiday."""
    mailed = procedure.later_paper(
        "amended_joint_response", date(2026, 10, 12), "amended petition mailed", "mail_in_state"
    )
    assert mailed.value == date(2026, 11, 16)
    assert procedure.later_paper("amended_joint_response", date(2026, 10, 12), "served", "electronic").value == date(
        2026, 11, 13
    )
    back = procedure.later_paper("final_disclosure", date(2027, 3, 15), "trial", "mail_in_state")
    assert back.value == date(2027, 1, 22), "29 January less five days is Sunday the 24th; the court day before is safe"
    assert procedure.later_paper("final_disclosure", date(2027, 3, 15), "trial", "overnight").value == date(2027, 1, 27)
    signs = [next(s for s in f.steps if s.what == "Longer for the manner of service").formula for f in (mailed, back)]
    assert ["+ 5 days" in signs[0], "- 5 days" in signs[1]] == [True, True]


def test_backward_count_ends_on_the_court_day_before() -> None:
    """Code Civ. Proc. § 12c counts back; own arithmetic: 45 days before 15 February 2027 is 1 January."""
    figure = procedure.relocation_notice_by(date(2027, 2, 15))
    assert figure.value == date(2026, 12, 31)
    assert any("court day before" in caution for caution in figure.cautions)


def test_dismissal_in_discretion() -> None:
    """Code Civ. Proc. § 583.420(a)."""
    assert procedure.may_be_dismissed_from(date(2026, 2, 28), served=False).value == date(2028, 2, 28)
    assert procedure.may_be_dismissed_from(date(2024, 2, 29), served=True).value == date(2027, 2, 28)


def test_published_service_without_response_has_no_disclosure_day() -> None:
    """Fam. Code §§ 2104, 2110."""
    figure = procedure.petitioner_disclosure_due(date(2026, 1, 5), by_publication=True)
    assert figure.value is None
    assert "2110" in figure.cautions[0]


def test_late_new_petition_loses_the_months_of_the_summary_filing() -> None:
    """Fam. Code § 2342: the 90th day after 6 April 2026 is Sunday 5 July, so Monday the 6th is the last."""
    for day, first in ((date(2026, 7, 6), date(2026, 9, 16)), (date(2026, 7, 7), date(2026, 12, 9))):
        revoked = procedure.RevokedSummary(date(2026, 1, 12), date(2026, 4, 6), day)
        assert procedure.status_from(date(2026, 6, 8), revoked=revoked).value == first


@pytest.mark.parametrize(
    ("work", "words"),
    [
        (lambda: procedure.status_from(), "service"),
        (lambda: procedure.service_complete("pigeon", date(2026, 1, 5)), "manner of service"),  # type: ignore[arg-type]
        (lambda: procedure.set_aside_by("regret", date(2026, 1, 5)), "§ 2122"),  # type: ignore[arg-type]
        (lambda: procedure.appeal_by(date(2026, 2, 2), date(2026, 2, 1)), "before judgment"),
        (lambda: procedure.may_file_from(date(2026, 2, 2), date(2026, 2, 1)), "county"),
        (lambda: procedure.later_paper("response", date(2026, 2, 2), "served", "fax"), "not lengthened"),
        (lambda: procedure.later_paper("final_disclosure", date(2026, 2, 2), "trial", "pigeon"), "manner"),  # type: ignore[arg-type]
        (lambda: procedure.status_from(date(2026, 6, 8), revoked=procedure.RevokedSummary(date(2026, 2, 2), date(2026, 2, 1), date(2026, 3, 1))), "revo"),
        (lambda: marriage_length(date(2026, 2, 2), date(2026, 2, 1)), "before the marriage"),
    ],
)  # fmt: skip
def test_days_that_do_not_fit_are_refused(work: Any, words: str) -> None:
    with pytest.raises(CountingError, match=words):
        work()


def test_law_of_long_ago_is_not_guessed() -> None:
    with pytest.raises(LawNotKnownError, match="dates/response"):
        procedure.response_due(date(1950, 1, 5))


def test_years_without_known_holidays_carry_a_caution() -> None:
    figure = procedure.response_due(date(2008, 1, 4))
    assert figure.value == date(2008, 2, 4), "day 30 is Sunday, 3 February 2008"
    assert "only weekends" in figure.cautions[0]


@pytest.mark.parametrize("row", table("dates.yaml", "marriage_length"))
def test_marriage_length(row: dict[str, Any]) -> None:
    length = marriage_length(row["married"], row["separated"])
    assert (length.length.years, length.length.months_over, length.length.days) == (
        row["years"],
        row["months_over"],
        row["days_over"],
    )
    assert (length.length.months, length.days, length.long) == (row["months"], row["days"], row["long"])
    if "five_years" in row:
        assert length.five_years is row["five_years"]
    assert length.look_again is (abs((row["separated"] - length.ten_years_on).days) <= 31)
    if row.get("look_again"):
        assert length.figure.cautions
        assert length.look_again
    half = half_length(length, TERM_STARTS)
    assert (half.by_months_on, half.by_days_on) == (row["by_months"], row["by_days"])
    gap = relativedelta(row["separated"], row["married"])
    assert (gap.years, gap.months, gap.days) == (row["years"], row["months_over"], row["days_over"])


@pytest.mark.parametrize("row", table("dates.yaml", "half_of_months_and_days"))
def test_half_of_months_and_days(row: dict[str, Any]) -> None:
    length = marriage_length(row["married"], row["separated"])
    assert (length.length.months, length.length.days) == (row["months"], row["days_over"])
    half = half_length(length, TERM_STARTS)
    assert (half.half_months, half.half_days) == (row["half_months"], row["half_days"])
    assert half.by_months_and_days_on == add_months(TERM_STARTS, int(row["half_months"])) + timedelta(
        days=int(row["half_days"])
    )


@pytest.mark.parametrize("row", table("dates.yaml", "child_support_end"))
def test_child_support_end(row: dict[str, Any]) -> None:
    child = Child.model_validate(
        {"name": {"first": "May", "last": "Dunn"}, "born_on": row["born"], "graduates_on": row["graduates"]}
    )
    assert support_end(child) == row["ends"]
    assert (birthday(row["born"], 18), birthday(row["born"], 19)) == (row["adult"], row["nineteen"])
    if "other_adult" in row:
        assert (add_months(row["born"], 216), add_months(row["born"], 228)) == (
            row["other_adult"],
            row["other_nineteen"],
        )


@pytest.mark.parametrize(
    ("born", "ends"),
    [
        ("2009-08-02", date(2027, 8, 2)),
        ("2009-09-01", date(2027, 9, 1)),
        ("2009-09-02", date(2028, 6, 15)),
        ("2009-03-14", date(2027, 6, 15)),
    ],
)
def test_unknown_graduation_follows_from_school_entry_at_five(born: str, ends: date) -> None:
    """Educ. Code § 48000(a) (from memory): five by 1 September enters that year; Fam. Code § 3901."""
    assert support_end(Child.model_validate({"name": {"first": "May", "last": "Dunn"}, "born_on": born})) == ends


# What holds for every day


@given(DAYS, st.integers(0, 600))
def test_months_forward_agree_with_an_independent_library(day: date, months: int) -> None:
    assert add_months(day, months) == day + relativedelta(months=months)
    assert whole_months(day, add_months(day, months)) == months


@given(DAYS, st.integers(0, 30000))
def test_span_is_exact_and_agrees_with_an_independent_library(start: date, days: int) -> None:
    end = start + timedelta(days=days)
    found = span(start, end)
    assert add_months(start, found.months) + timedelta(days=found.days) == end
    assert 0 <= found.days < 31
    gap = relativedelta(end, start)
    assert (found.years, found.months_over, found.days) == (gap.years, gap.months, gap.days)


@given(DAYS)
def test_next_court_day_is_open_and_passes_only_closed_days(day: date) -> None:
    opens = STATEWIDE.next_open(day)
    assert STATEWIDE.reason(opens) is None
    assert all(STATEWIDE.reason(day + timedelta(days=n)) for n in range((opens - day).days))
    assert STATEWIDE.last_open(opens) == opens


@given(st.integers(2023, 2149))
def test_every_year_has_its_holidays_on_weekdays(year: int) -> None:
    """Fourteen holidays, of which New Year's Day can be observed in the year before (rule 1.11)."""
    days = court_holidays(year)
    assert all(day.year == year and day.weekday() < 5 for day in days)
    here = 14 - (date(year, 1, 1).weekday() == 5) + (date(year + 1, 1, 1).weekday() == 5)
    assert len(days) == here


@given(DAYS, st.integers(0, 400))
def test_later_service_never_brings_an_earlier_date(day: date, later: int) -> None:
    other = day + timedelta(days=later)
    for work in (procedure.response_due, procedure.default_from, procedure.status_from):
        assert work(day).value <= work(other).value  # type: ignore[operator]


@given(DAYS, DAYS)
def test_status_looks_at_the_first_event_whatever_it_is_called(one: date, two: date) -> None:
    assert (
        procedure.status_from(one, two).value
        == procedure.status_from(two, one).value
        == procedure.status_from(min(one, two)).value
    )


@given(DAYS)
def test_default_comes_after_the_response_and_after_thirty_full_days(day: date) -> None:
    due, default = procedure.response_due(day).value, procedure.default_from(day).value
    assert isinstance(due, date)
    assert isinstance(default, date)
    assert day + timedelta(days=30) <= due < default
    assert STATEWIDE.reason(default) is None


@given(st.dates(date(2000, 1, 1), date(2040, 1, 1)), st.integers(0, 15000))
def test_longer_marriage_never_has_a_shorter_half(started: date, days: int) -> None:
    one = marriage_length(started, started + timedelta(days=days))
    two = marriage_length(started, started + timedelta(days=days + 1))
    a, b = half_length(one, TERM_STARTS), half_length(two, TERM_STARTS)
    assert a.by_days_on <= b.by_days_on
    assert a.by_months_on <= b.by_months_on
    assert one.long <= two.long


@given(st.dates(date(1960, 1, 1), date(2020, 1, 1)), st.integers(0, 90))
def test_age_turns_on_the_birthday(born: date, years: int) -> None:
    day = birthday(born, years)
    assert age(born, day) == years
    if years:
        assert age(born, day - timedelta(days=1)) == years - 1


# As clauses and findings see them


@pytest.mark.parametrize(
    ("path", "days", "default", "status"),
    [
        ("default_with_agreement", {"served_on": date(2026, 10, 27)}, date(2026, 12, 1), date(2027, 4, 28)),
        ("joint_petition", {"petition_filed_on": date(2026, 8, 31)}, None, date(2027, 3, 1)),
        ("response_filed", {"served_on": date(1950, 1, 5)}, None, None),
        ("response_filed", {}, None, None),
    ],
)
def test_first_days_of_a_case(path: str, days: dict[str, date], default: date | None, status: date | None) -> None:
    """Fam. Code §§ 2020, 2339, 2342.5; Code Civ. Proc. § 12a: day 30 after 27 October 2026 is Thanksgiving."""
    case = Case.model_validate({"county": "Alameda", "path": path, **days})
    assert earliest_default(case) == default
    assert earliest_status(case) == status
