"""When a holiday begins, ends and is halved, in words made from the same data as the calendar.

The words fit between "From" and "to": "the Wednesday before Thanksgiving Day at 6:00 p.m.". A birthday is named, never
dated.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from msadraft.figures.parenting.clock import DAY
from msadraft.figures.parenting.holidays import Feast, FixedDay, Given, Meeting, WeekdayOfMonth, Window

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
SPACE = "\u00a0"
"""A space at which no line breaks."""
_LARGEST_BY_WEEKDAY = 6


@dataclass(frozen=True, slots=True)
class WindowWords:
    """When something begins, when it ends, and where its halves meet (None if it has none), in words."""

    starts: str
    ends: str
    midpoint: str | None = None


def clock_words(minute: int) -> str:
    """A minute of the day as a time: 6:00 p.m., noon, midnight."""
    hour, rest = divmod(minute % DAY, 60)
    if rest == 0 and hour in (0, 12):
        return "noon" if hour else "midnight"
    return f"{(hour - 1) % 12 + 1}:{rest:02d}{SPACE}{'a.m.' if hour < 12 else 'p.m.'}"


def day_words(day: date) -> str:
    """A calendar date: November 30, 2026."""
    return f"{MONTHS[day.month - 1]}{SPACE}{day.day}, {day.year}"


def window_words(
    window: Window, name: str, meeting: Meeting | None = None, *, private_day: bool = False
) -> WindowWords:
    """Say when a window begins, ends and is halved. `name` is what the day is called within a sentence."""
    name = name.replace("'", "\u2019")
    starts = _edge(window, name, private_day, begins=True)
    ends = _edge(window, name, private_day, begins=False)
    return WindowWords(starts, ends, _meeting_words(window, meeting) if meeting else None)


def _edge(window: Window, name: str, private_day: bool, *, begins: bool) -> str:
    minute = window.from_minute if begins else window.to_minute
    school = window.from_school if begins else window.to_school
    rule = window.day
    does = "lets out" if begins else "begins"
    if isinstance(rule, Given):
        dates = "; ".join(day_words(first if begins else last) for first, last in rule.dates)
        if school:
            again = f"for {name}" if begins else "again"
            return f"when school {does} {again} ({dates}; {clock_words(minute)} if there is no school that day)"
        return f"the day on which {name} {'begins' if begins else 'ends'} ({dates}) at {clock_words(minute)}"
    shift = window.from_shift if begins else window.to_shift
    if not begins and shift == window.from_shift and not school:
        return f"{clock_words(minute)} on the same day"
    day = "the same day" if not begins and shift == window.from_shift else _shifted(rule, name, shift, private_day)
    if school:
        return f"{day} when school {does} ({clock_words(minute)} if there is no school)"
    return f"{day} at {clock_words(minute)}"


def _shifted(rule: FixedDay | WeekdayOfMonth | Feast, name: str, shift: int, private_day: bool) -> str:
    if isinstance(rule, FixedDay) and not private_day:
        found = {(day.month, day.day) for year in (2027, 2028) for day in _days_after(rule, year, shift)}
        if len(found) == 1:
            month, day = found.pop()
            return f"{MONTHS[month - 1]}{SPACE}{day}"
    if shift == 0:
        return name
    side = "after" if shift > 0 else "before"
    weekday = _weekday(rule)
    if weekday is not None and abs(shift) <= _LARGEST_BY_WEEKDAY:
        return f"the {WEEKDAYS[(weekday + shift) % 7]} {side} {name}"
    if abs(shift) == 1:
        return f"the day {side} {name}"
    return f"{abs(shift)} days {side} {name}"


def _days_after(rule: FixedDay, year: int, shift: int) -> list[date]:
    return [day + timedelta(days=shift) for day in rule.days(year)]


def _weekday(rule: FixedDay | WeekdayOfMonth | Feast) -> int | None:
    """The weekday on which the day always falls, if it does."""
    if isinstance(rule, WeekdayOfMonth):
        return rule.weekday
    if isinstance(rule, Feast) and rule.name in ("easter", "orthodox_easter"):
        return 6
    return None


def _meeting_words(window: Window, meeting: Meeting) -> str:
    if meeting.at == "exact_middle":
        return "the exact middle of that time, to the minute"
    clock = clock_words(meeting.minute)
    if meeting.at == "middle_day":
        return f"{clock} on the middle day (of an even number of days, the earlier of the two in the middle)"
    if meeting.at == "month_day":
        return f"{clock} on {MONTHS[meeting.month - 1]}{SPACE}{meeting.day}"
    if meeting.days_after == 0:
        same_day = not isinstance(window.day, Given) and window.from_shift == window.to_shift
        return f"{clock} on {'that' if same_day else 'the first'} day"
    if meeting.days_after == 1:
        return f"{clock} on the day after the first day"
    return f"{clock} on the day that is {meeting.days_after} days after the first day"
