"""Picture, schedule and calendar files of parenting time."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime
from typing import Any

import icalendar
import pytest
from dateutil import tz
from dateutil.rrule import rrulestr
from figures.parenting_case import CHILDREN, case, holiday
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree, html

from msadraft.facts.model import Facts
from msadraft.facts.scalars import PartyRole
from msadraft.figures.parenting.clock import CalendarError
from msadraft.figures.parenting.from_facts import read_plans
from msadraft.figures.parenting.measures import PARENTS
from msadraft.figures.parenting.plan import Plan, Timeline, lay_out, lay_out_days
from msadraft.writers.calendar import (
    CalendarFileError,
    Names,
    case_mark,
    exchange_rows,
    holiday_rows,
    write_ics,
    write_schedule_html,
    write_year_svg,
)

STAMP = date(2026, 11, 20)
SVG = "{http://www.w3.org/2000/svg}"
HOLIDAYS: dict[str, Any] = {
    "thanksgiving": holiday("petitioner_odd", named_day="thanksgiving", starts_days_before="1", ends_days_after="3"),
    "wren_birthday": {"title": "Wren's birthday", "even_years": "petitioner", "odd_years": "respondent",
          "window": {"birthday_of": "wren", "from_time": "16:00", "to_time": "19:00"}},
    "winter": {"rule": "halves", "title": "Winter break", "first_half_even": "petitioner", "window": {
        "dates": [{"starts_on": "2027-12-17", "ends_on": "2028-01-04"}], "halves_meet": {"at": "exact_middle"}}},
}  # fmt: skip


def plan_of(facts: Facts) -> Plan:
    plan = read_plans(facts, CHILDREN).plans[0].plan
    assert plan is not None
    return plan


def setup(**parenting: Any) -> tuple[Plan, Timeline, Names]:
    facts = case(**{"holidays": HOLIDAYS, **parenting})
    plan = plan_of(facts)
    return plan, lay_out_days(plan, date(2027, 1, 1), date(2027, 12, 31)), Names.from_facts(facts, CHILDREN)


def ics(timeline: Timeline, parent: PartyRole = "respondent", **more: Any) -> bytes:
    return write_ics(timeline, parent, Names("Ada", "Ben", "Wren and Robin"), case="mark", stamp=STAMP, **more)


# Calendar files


def intervals(data: bytes) -> list[tuple[int, int]]:
    """The events of a file in minutes since 1970, with local times read by dateutil through the file's own time zone."""
    zones = tz.tzical(io.StringIO(data.decode().replace("\r\n ", "").replace("\r\n", "\n")))
    found = []
    for event in icalendar.Calendar.from_ical(data).walk("VEVENT"):
        if event.get("status") == "CANCELLED":
            continue
        edges = []
        for name in ("dtstart", "dtend"):
            value = event[name]
            zone = zones.get(value.params["TZID"]) if "TZID" in value.params else UTC
            rule = event["rrule"].to_ical().decode() if "rrule" in event else "FREQ=DAILY;COUNT=1"
            (once,) = rrulestr(rule, dtstart=value.dt.replace(tzinfo=zone))
            edges.append(round(once.astimezone(UTC).timestamp()) // 60)
        found.append((edges[0], edges[1]))
    return sorted(found)


@pytest.mark.parametrize("parent", PARENTS)
@pytest.mark.parametrize("first_year", [2026, 2027, 2043])
def test_parsed_back_and_expanded_it_gives_the_same_intervals(parent: PartyRole, first_year: int) -> None:
    plan, _, _ = setup()
    timeline = lay_out_days(plan, date(first_year, 1, 1), date(first_year + 1, 12, 31))
    expected = [(s.first, s.last) for s in timeline.whole if s.parent == parent]
    assert len(expected) > 40
    assert intervals(ics(timeline, parent)) == expected


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 20 * 365), st.integers(1, 400 * 24))
def test_any_span_survives_the_file(day: int, hours: int) -> None:
    plan, _, _ = setup()
    first = plan.zone.at(date(2026, 1, 1)) + day * 24 * 60
    timeline = lay_out(plan, first, first + hours * 60)
    for parent in PARENTS:
        assert intervals(ics(timeline, parent)) == [(s.first, s.last) for s in timeline.whole if s.parent == parent]


def test_the_time_zone_of_the_file_changes_at_two_in_the_morning() -> None:
    """RFC 5545, section 3.6.5: the onset in the local time before the change."""
    _, timeline, _ = setup()
    zone = next(part for part in icalendar.Calendar.from_ical(ics(timeline)).walk("VTIMEZONE"))
    for part in zone.subcomponents[1:]:
        days = [part["dtstart"].dt, *(entry.dt for entry in part["rdate"].dts)]
        assert {(day.hour, day.weekday()) for day in days} == {(2, 6)}
        assert {day.month for day in days} == ({3} if part.name == "DAYLIGHT" else {11})
    read = tz.tzical(io.StringIO(ics(timeline).decode().replace("\r\n ", "").replace("\r\n", "\n"))).get()
    other = tz.gettz("America/Los_Angeles")
    for month in range(1, 13):
        for hour in (0, 4, 12):
            moment = datetime(2027, month, 14, hour)
            assert moment.replace(tzinfo=read).utcoffset() == moment.replace(tzinfo=other).utcoffset()


def test_ids_stay_the_same_and_tell_nothing() -> None:
    _, timeline, _ = setup()
    _, changed, _ = setup(holidays={})

    def uids(data: bytes) -> list[str]:
        return [str(event["uid"]) for event in icalendar.Calendar.from_ical(data).walk("VEVENT")]

    before, after = uids(ics(timeline, sequence=1)), uids(ics(changed, sequence=2))
    assert len(before) == len(set(before))
    assert len(set(before) & set(after)) > 20
    assert ics(timeline) == ics(timeline)
    assert not any(word in uid.lower() for uid in before for word in ("ada", "ben", "wren", "robin", "reyes"))
    facts = case()
    assert case_mark(facts) == case_mark(case(holidays=HOLIDAYS))
    assert case_mark(facts) != case_mark(facts.model_copy(update={"children": {}}))


def test_stamp_revision_place_and_what_is_needed() -> None:
    _, timeline, _ = setup()
    data = ics(timeline, sequence=3, place="the library")
    assert all(len(line) <= 75 for line in data.split(b"\r\n"))
    calendar = icalendar.Calendar.from_ical(data)
    assert (str(calendar["version"]), str(calendar["method"])) == ("2.0", "PUBLISH")
    for event in calendar.walk("VEVENT"):
        assert event["dtstamp"].dt == datetime(2026, 11, 20, tzinfo=UTC)
        assert (event["sequence"], str(event["location"])) == (3, "the library")
        assert str(event["summary"]) == "Wren and Robin with Ben"
    assert b"LOCATION" not in ics(timeline)
    spoken = {str(event["description"]) for event in calendar.walk("VEVENT")}
    assert "Wren's birthday" in spoken
    assert "Regular schedule" in spoken
    assert any("Winter break, first half" in words for words in spoken)


def test_what_is_gone_is_cancelled() -> None:
    _, timeline, _ = setup()
    _, changed, _ = setup(holidays={})
    earlier = ics(timeline, sequence=1)
    data = ics(changed, sequence=2, previous=earlier)
    cancelled = {
        str(e["uid"]) for e in icalendar.Calendar.from_ical(data).walk("VEVENT") if e.get("status") == "CANCELLED"
    }
    before = {str(e["uid"]) for e in icalendar.Calendar.from_ical(earlier).walk("VEVENT")}
    now = {str(e["uid"]) for e in icalendar.Calendar.from_ical(ics(changed)).walk("VEVENT")}
    assert cancelled == before - now
    assert any("20270614" in uid for uid in cancelled)
    with pytest.raises(CalendarFileError, match="cannot be read"):
        ics(timeline, previous=b"no calendar")


# The picture


def cells(svg: str) -> dict[str, Any]:
    root = etree.fromstring(svg.encode())
    return {
        g.find(f"{SVG}title").text.split(":")[0]: g for g in root.iter(f"{SVG}g") if g.find(f"{SVG}title") is not None
    }


def test_picture_has_every_day_in_words_and_letters() -> None:
    _, timeline, names = setup()
    svg = write_year_svg(timeline, 2027, names)
    root = etree.fromstring(svg.encode())
    assert (root.get("role"), root.get("aria-labelledby")) == ("img", "title desc")
    ids = {element.get("id") for element in root.iter() if element.get("id")}
    assert {"title", "desc", "petitioner", "respondent"} <= ids
    days = cells(svg)
    assert len(days) == 365
    shown = {day: [t.text for t in g.iter(f"{SVG}text") if t.get("class") in ("p", "q")] for day, g in days.items()}
    friday = days["Friday, January 8"]
    assert friday.find(f"{SVG}title").text == "Friday, January 8: Ada, from 6:00 p.m. Ben"
    assert shown["Friday, January 8"] == ["A", "B"]
    assert shown["Saturday, January 9"] == ["B"]
    assert shown["Tuesday, January 5"] == ["A"]
    fills = [rect.get("fill") for rect in friday.iter(f"{SVG}rect") if rect.get("fill")]
    assert fills == ["url(#petitioner)", "url(#respondent)"]
    assert len(list(friday.iter(f"{SVG}rect"))) == 3
    thanksgiving = days["Thursday, November 25"]
    assert [r.get("class") for r in thanksgiving.iter(f"{SVG}rect")][-1] == "h"
    assert "Nights: Ada" in svg
    assert "nobody (mend" not in svg
    assert write_year_svg(timeline, 2027, names) == svg


def test_picture_divides_a_day_at_its_hour() -> None:
    _, timeline, names = setup()
    friday = cells(write_year_svg(timeline, 2027, names))["Friday, January 8"]
    one, two = (float(rect.get("width")) for rect in list(friday.iter(f"{SVG}rect"))[:2])
    assert one / (one + two) == pytest.approx(18 / 24)


def test_picture_shows_time_that_nobody_has() -> None:
    _, timeline, names = setup(primary_home=None, holidays={}, blocks=[
        {"week": "1", "from_day": "monday", "to_week": "2", "to_day": "saturday", "parent": "petitioner"}])  # fmt: skip
    svg = write_year_svg(timeline, 2027, names)
    assert "nobody (mend the schedule)" in svg
    assert "Hours that nobody has" in svg
    sunday = next(
        g for day, g in cells(svg).items() if "nobody" in g.find(f"{SVG}title").text and day.startswith("Sunday")
    )
    assert [t.text for t in sunday.iter(f"{SVG}text") if t.get("class") == "p"] == ["?"]


def test_picture_needs_the_whole_year() -> None:
    _, timeline, names = setup()
    with pytest.raises(CalendarError, match="does not cover the year 2028"):
        write_year_svg(timeline, 2028, names)


def test_names_that_begin_alike_get_other_letters() -> None:
    assert [Names("Ana", "Alex").letter(role) for role in PARENTS] == ["P", "R"]
    assert [Names("Ada", "Ben").letter(role) for role in PARENTS] == ["A", "B"]
    roles = Facts.model_validate({**case().model_dump(), "case": {**case().case.model_dump(), "party_labels": "roles"}})
    assert Names.from_facts(roles, CHILDREN) == Names("Petitioner", "Respondent", "Wren and Robin")
    assert Names.from_facts(case(), ("wren",)).children == "Wren"


def test_text_is_escaped() -> None:
    _, timeline, _ = setup()
    names = Names("<A&da>", '"Ben"')
    assert etree.fromstring(write_year_svg(timeline, 2027, names, title="<2027>").encode()) is not None
    page = write_schedule_html("<x>", (), exchange_rows(timeline, setup()[0], names))
    assert "<A&da>" not in page
    assert "<x>" not in page


# The schedule to print


def plainly(rows: Any) -> dict[str, tuple[str, ...]]:
    return {row.id: tuple(cell.replace("\u00a0", " ") for cell in row.cells) for row in rows}


def test_holiday_rows() -> None:
    plan, _, names = setup()
    rows = plainly(holiday_rows(plan, 2027, 2028, names))
    assert rows["thanksgiving:2027:1"] == (
        "Thanksgiving", "Wednesday, November 24, 2027, 9:00 a.m.", "Sunday, November 28, 2027, 6:00 p.m.", "Ada",
    )  # fmt: skip
    assert rows["thanksgiving:2028:1"][3] == "Ben"
    assert rows["winter:2027:1"][0] == "Winter break, first half"
    assert (rows["winter:2027:1"][3], rows["winter:2027:2"][3]) == ("Ben", "Ada")
    assert rows["winter:2027:1"][2] == rows["winter:2027:2"][1]
    assert not any(row_id.startswith("winter:2028") for row_id in rows)


def test_a_filed_paper_does_not_tell_a_birthday() -> None:
    plan, timeline, names = setup()
    filed = [*holiday_rows(plan, 2027, 2027, names), *exchange_rows(timeline, plan, names)]
    assert not any("June\u00a014" in cell for row in filed for cell in row.cells)
    assert not any("06-14" in row.id for row in filed)
    assert sum("on the birthday" in cell for row in filed for cell in row.cells) == 3
    private = [
        *holiday_rows(plan, 2027, 2027, names, filed=False),
        *exchange_rows(timeline, plan, names, filed=False),
    ]
    assert sum("June\u00a014" in cell for row in private for cell in row.cells) == 4


def test_exchange_rows_are_all_exchanges() -> None:
    plan, timeline, names = setup(holidays={})
    rows = exchange_rows(timeline, plan, names)
    assert len(rows) == 52
    assert plainly(rows)["exchange:2027-01-08:1"] == ("Friday, January 8, 2027", "6:00 p.m.", "Ben", "Regular schedule")
    assert len({row.id for row in rows}) == len(rows)


def test_schedule_page() -> None:
    plan, timeline, names = setup()
    page = write_schedule_html(
        "Parenting time in 2027", holiday_rows(plan, 2027, 2027, names), exchange_rows(timeline, plan, names)
    )
    root = html.fromstring(page)
    assert [caption.text for caption in root.iter("caption")] == ["Holidays and special days", "Exchanges"]
    assert all(cell.get("scope") == "col" for cell in root.iter("th"))
    assert len(list(root.iter("tr"))) == 2 + 4 + len(exchange_rows(timeline, plan, names))
    assert "<script" not in page
    assert "Holidays" not in write_schedule_html("x", (), exchange_rows(timeline, plan, names)[:1])
