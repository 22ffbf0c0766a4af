"""A calendar file (iCalendar, RFC 5545) for each parent: one event for each stay of the children.

Stays are written out one by one and not as recurrences, because holidays cut into the regular schedule. An event keeps
its UID when the plan is made again: it comes from the case, the parent and the local day on which the stay begins, and
holds no name and no address. Nothing reads the clock: the time stamp is the day of the facts.
"""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from icalendar import Calendar, Event, Timezone, TimezoneDaylight, TimezoneStandard

from msadraft.facts.model import Facts
from msadraft.facts.scalars import PartyRole
from msadraft.figures.parenting.layers import Stay
from msadraft.figures.parenting.plan import Timeline
from msadraft.writers.calendar.names import OF_THE_SCHEDULE, Names

_PRODUCT = "-//msadraft//parenting time//EN"
_DOMAIN = "parenting.msadraft.invalid"
_ZONE_MARGIN = timedelta(days=370)


class CalendarFileError(ValueError):
    """A file that was to be continued is no calendar file."""


def case_mark(facts: Facts) -> str:
    """A mark of the case that stays the same from round to round and tells nothing about it."""
    text = "|".join((facts.case.county, facts.marriage.married_on.isoformat(), *sorted(facts.children)))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def write_ics(
    timeline: Timeline,
    parent: PartyRole,
    names: Names,
    *,
    case: str,
    group: str = "all",
    stamp: date,
    sequence: int = 0,
    place: str | None = None,
    previous: bytes | None = None,
) -> bytes:
    """Write the stays with one parent.

    Args:
        timeline: the time to write.
        parent: whose calendar it is.
        names: what the parents and children are called.
        case: mark of the case, see `case_mark`.
        group: mark of the children, if brothers and sisters have schedules of their own.
        stamp: the day of the facts, for DTSTAMP.
        sequence: number of the revision; a later round has a higher one.
        place: where exchanges are; leave it out where there is violence or an address is hidden.
        previous: the file of an earlier round; events that are gone are written as cancelled.

    Raises:
        CalendarFileError: `previous` cannot be read.
    """
    calendar = Calendar()
    calendar.add("prodid", _PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", f"Parenting time of {names.of(parent)}")
    calendar.add_component(_zone(timeline))
    stamped = datetime.combine(stamp, time(), UTC)
    counts, used = dict[date, int](), set[str]()
    for stay in (stay for stay in timeline.whole if stay.parent == parent):
        begins = timeline.zone.local(stay.first)
        n = counts[begins.date()] = counts.get(begins.date(), 0) + 1
        uid = f"{case}-{group}-{parent}-{begins:%Y%m%d}-{n}@{_DOMAIN}"
        used.add(uid)
        event = Event()
        event.add("uid", uid)
        event.add("dtstamp", stamped)
        event.add("sequence", sequence)
        event.add("dtstart", _written(begins))
        event.add("dtend", _written(timeline.zone.local(stay.last)))
        event.add("summary", f"{names.children[:1].upper()}{names.children[1:]} with {names.of(parent)}")
        event.add("description", "; ".join(_schedules(timeline, stay)))
        event.add("transp", "TRANSPARENT")
        if place:
            event.add("location", place)
        calendar.add_component(event)
    for event in _gone(previous, used, stamped, sequence):
        calendar.add_component(event)
    written: bytes = calendar.to_ical()
    return written


def _zone(timeline: Timeline) -> Timezone:
    """The time zone with every change of the clocks from a year before the first day to a year after the last.

    The onset of a change is written in the local time that holds before it (RFC 5545, section 3.6.5). The library's own
    generator writes the onset of summer time an hour late, so the zone is made here.
    """
    zone = timeline.zone
    first = zone.local(timeline.first).date() - _ZONE_MARGIN
    last = zone.local(timeline.last).date() + _ZONE_MARGIN
    out = Timezone()
    out.add("tzid", zone.name)
    start = zone.local(zone.at(first))
    offset = start.utcoffset() or timedelta()
    onsets: dict[tuple[timedelta, timedelta, str], list[datetime]] = {}
    onsets[(offset, offset, start.tzname() or "")] = [start.replace(tzinfo=None)]
    for instant, before, after, name in zone.changes(first, last):
        local = (datetime.fromtimestamp(instant * 60, UTC) + before).replace(tzinfo=None)
        onsets.setdefault((before, after, name), []).append(local)
    for (before, after, name), days in onsets.items():
        summer = zone.local(zone.at(days[0].date() + timedelta(days=1))).dst()
        part: TimezoneStandard | TimezoneDaylight = TimezoneDaylight() if summer else TimezoneStandard()
        part.add("dtstart", days[0])
        if days[1:]:
            part.add("rdate", days[1:])
        part.add("tzoffsetfrom", before)
        part.add("tzoffsetto", after)
        part.add("tzname", name)
        out.add_component(part)
    return out


def _written(local: datetime) -> datetime:
    """A local time; in UTC if the clocks show it twice and this is the second time, which local time cannot say."""
    return local.astimezone(UTC) if local.fold else local


def _schedules(timeline: Timeline, whole: Stay) -> list[str]:
    """The schedules and holidays that make up a stay, each once, in order."""
    inside = (s for s in timeline.stays if s.first < whole.last and s.last > whole.first)
    return list(dict.fromkeys(s.label or OF_THE_SCHEDULE.get(s.layer, "Agreed trade") for s in inside))


def _gone(previous: bytes | None, used: set[str], stamped: datetime, sequence: int) -> list[Event]:
    """The events of an earlier file whose stay is no longer there, as cancelled."""
    if previous is None:
        return []
    try:
        earlier: Any = Calendar.from_ical(previous)
    except (ValueError, LookupError) as error:
        raise CalendarFileError(f"the earlier calendar file cannot be read ({error}); leave it out") from None
    out = []
    for old in earlier.walk("VEVENT"):
        if str(old["uid"]) in used:
            continue
        event = Event()
        event.add("uid", str(old["uid"]))
        event.add("dtstamp", stamped)
        event.add("sequence", sequence)
        event.add("dtstart", old.decoded("dtstart"))
        event.add("dtend", old.decoded("dtend"))
        event.add("summary", str(old.get("summary", "")))
        event.add("status", "CANCELLED")
        out.append(event)
    return out
