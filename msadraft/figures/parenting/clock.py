"""Local time and elapsed time: every instant is a whole number of minutes since 1 January 1970, 00:00 UTC.

Subtracting such minutes gives the time that really passed, through every change of the clocks. Subtracting two local
times of one zone would give the difference of the clock faces instead.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

DAY = 24 * 60
WEEK = 7 * DAY
NIGHT = 3 * 60
"""A night belongs to the parent who has the child at 3:00 in the morning (common practice)."""

LOS_ANGELES = "America/Los_Angeles"

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MINUTE = timedelta(minutes=1)


class CalendarError(ValueError):
    """A schedule that cannot be laid out. The message says what is wrong and how to mend it; `path` names the fact."""

    def __init__(self, message: str, path: str = "") -> None:
        super().__init__(message)
        self.path = path


def minute_of_day(clock: time) -> int:
    """Minutes since midnight of a time of day."""
    return clock.hour * 60 + clock.minute


def exchange_minute(clock: time, path: str = "") -> int:
    """Minutes since midnight of a time at which a child may change hands.

    Raises:
        CalendarError: between 1:00 and 3:00 in the morning, which come twice or not at all when the clocks change.
    """
    minute = minute_of_day(clock)
    if 60 <= minute < 180:
        raise CalendarError(
            f"an exchange at {clock:%H:%M} does not exist, or comes twice, on the days on which the clocks change; "
            "choose a time before 1:00 or from 3:00 on",
            path,
        )
    return minute


class Zone:
    """A time zone. Turns local days and times into instants and back.

    Raises:
        CalendarError: no such zone is known.
    """

    __slots__ = ("_info", "name")

    def __init__(self, name: str = LOS_ANGELES) -> None:
        try:
            self._info = ZoneInfo(name)
        except (LookupError, ValueError, OSError):
            raise CalendarError(
                f"there is no time zone {name!r}; write it like America/Los_Angeles", "parenting.time_zone"
            ) from None
        self.name = name

    def instant(self, ordinal: int, minute: int) -> int:
        """The instant of a local day (by its proleptic ordinal) and minute of that day; minutes may run over midnight.

        A local time that the clocks skip counts with the offset before the change; of one that comes twice, the first.
        """
        days, rest = divmod(minute, DAY)
        day = date.fromordinal(ordinal + days)
        local = datetime(day.year, day.month, day.day, rest // 60, rest % 60, tzinfo=self._info)
        return int(local.timestamp()) // 60

    def at(self, day: date, clock: time = time()) -> int:
        """The instant of a local day and time of day."""
        return self.instant(day.toordinal(), minute_of_day(clock))

    def local(self, instant: int) -> datetime:
        """The local day and time of an instant, with its zone."""
        return datetime.fromtimestamp(instant * 60, self._info)

    def changes(self, first: date, last: date) -> list[tuple[int, timedelta, timedelta, str]]:
        """The changes of the clocks on local days from `first` to `last`: instant, offset before and after, name after."""
        found = []
        at, end = self.at(first), self.at(last)
        before = self.local(at).utcoffset()
        while at < end:
            later = min(at + DAY, end)
            after = self.local(later).utcoffset()
            if before is not None and after is not None and before != after:
                low, high = at, later
                while high - low > 1:
                    middle = (low + high) // 2
                    low, high = (middle, high) if self.local(middle).utcoffset() == before else (low, middle)
                found.append((high, before, after, self.local(high).tzname() or ""))
            at, before = later, after
        return found

    def mornings_before(self, instant: int) -> int:
        """How many days have their 3:00 in the morning before an instant, counted from the first day of the calendar."""
        local = self.local(instant)
        return local.toordinal() - (0 if local.hour * 60 + local.minute > NIGHT else 1)

    def nights(self, first: int, last: int) -> int:
        """The mornings whose 3:00 lies from `first` on and before `last`."""
        return self.mornings_before(last) - self.mornings_before(first)


def elapsed_minutes(first: datetime, last: datetime) -> int:
    """Minutes that really pass between two times with zones.

    Raises:
        CalendarError: a time has no zone.
    """
    if first.tzinfo is None or last.tzinfo is None:
        raise CalendarError("a time without its zone cannot be measured; give both times their zone")
    return int((last.astimezone(UTC) - first.astimezone(UTC)) // _MINUTE)
