"""The counting of one legal period, with its working: how long it is, which days count, and when it ends.

The first day is left out and the last counted, unless the last is a holiday (Code Civ. Proc. §§ 12, 12a). Periods
before an event are counted back from it, the day of the event left out (§ 12c). How long each period is, and
whether its end moves off a holiday, stands in the law data under `dates/`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from msadraft.figures.counting import ONE_DAY, STATEWIDE, CountingError, CourtCalendar, add_months, written
from msadraft.figures.figure import Figure, Step
from msadraft.law.parameters import law

FIRST_DAY_OUT = "Code Civ. Proc. § 12"
HOLIDAYS = "Code Civ. Proc. §§ 10, 12, 12a, 135"
COUNTED_BACK = "Code Civ. Proc. §§ 12, 12c"
CALENDAR_MONTH = "Civ. Code § 14; Code Civ. Proc. § 17(b)(4)"


@dataclass(frozen=True, slots=True)
class Period:
    """A length of time that the law sets."""

    name: str
    label: str
    length: int
    unit: str
    backward: bool
    first_day_counts: bool
    moves: bool
    source: str

    @property
    def words(self) -> str:
        """The length in words: 30 days."""
        return f"{self.length} {self.unit if self.length != 1 else self.unit.removesuffix('s')}"


@dataclass(frozen=True, slots=True)
class Counted:
    """The end of a period: as counted, and as moved off holidays, with steps and cautions."""

    counted_on: date
    day: date
    steps: tuple[Step, ...]
    cautions: tuple[str, ...] = ()

    def figure(self, name: str, facts: tuple[str, ...] = (), cautions: tuple[str, ...] = ()) -> Figure:
        """The day as a figure."""
        return Figure(name, self.day, "date", self.steps, facts, (*self.cautions, *cautions))


def period(name: str, day: date) -> Period:
    """The period of that name in the version in force on `day`.

    Raises:
        LawNotKnownError: no such period, or its length on that day is not known here.
    """
    version = law(f"dates/{name}", day)
    value = version.value
    return Period(
        name,
        version.label,
        int(value["length"]),
        version.unit,
        value["counted"] == "backward",
        value["first_day_counts"] == "yes",
        value["moves_off_holidays"] == "yes",
        version.source,
    )


def deadline(name: str, start: date, event: str, calendar: CourtCalendar = STATEWIDE) -> Counted:
    """Count a period from (or back from) `start`; `event` says in words what happens on that day.

    A period that is counted back and ends on a holiday is moved to the court day before. No statute says so in terms;
    the earlier day is the safe one, and a caution says it.
    """
    rule = period(name, start)
    end = _plain_end(rule, start)
    steps = [Step(rule.label, _formula(rule, start, event), written(end), _basis(rule))]
    if rule.unit != "days" and end.day != start.day:
        last = f"there is no day {start.day} in that month"
        steps.append(
            Step("Shorter month", f"{last}; its last day counts (common practice)", written(end), CALENDAR_MONTH)
        )
    if not rule.moves:
        return Counted(end, end, tuple(steps))
    moved = calendar.last_open(end) if rule.backward else calendar.next_open(end)
    cautions = list(calendar.cautions(end, moved))
    if moved != end:
        steps.append(off_holiday(end, moved, calendar))
        if rule.backward:
            cautions.append(f"{written(end)} is no court day; the court day before it is the safe one.")
    return Counted(end, moved, tuple(steps), tuple(cautions))


def off_holiday(day: date, moved: date, calendar: CourtCalendar = STATEWIDE) -> Step:
    """The step that moves a last day off a holiday, naming every closed day passed."""
    way = 1 if moved > day else -1
    passed = [day + timedelta(days=way * n) for n in range(abs((moved - day).days))]
    closed = "; ".join(f"{written(d)} is {calendar.reason(d)}" for d in passed)
    return Step("Last day on a holiday", closed, written(moved), HOLIDAYS if way > 0 else COUNTED_BACK)


def first(figures: tuple[Counted, ...], what: str, source: str) -> Counted:
    """The earliest of several ends of periods."""
    if not figures:
        raise CountingError(f"{what}: there is no day to count from")
    best = min(figures, key=lambda f: f.day)
    steps = tuple(step for figure in figures for step in figure.steps)
    if len(figures) > 1:
        compared = " and ".join(written(f.day) for f in figures)
        steps = (*steps, Step(what, f"the earlier of {compared}", written(best.day), source))
    return Counted(best.counted_on, best.day, steps, _once(c for f in figures for c in f.cautions))


def _once(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(texts))


def _plain_end(rule: Period, start: date) -> date:
    way = -1 if rule.backward else 1
    if rule.unit == "days":
        end = start + timedelta(days=way * rule.length)
        return end - way * ONE_DAY if rule.first_day_counts else end
    return add_months(start, way * rule.length * (12 if rule.unit == "years" else 1))


def _formula(rule: Period, start: date, event: str) -> str:
    if rule.backward:
        return f"{rule.words} back from {written(start)} ({event}), that day left out"
    if rule.first_day_counts:
        return f"day {rule.length}, with {written(start)} ({event}) as day 1"
    return f"{written(start)} ({event}) + {rule.words}, the first day left out"


def _basis(rule: Period) -> str:
    if rule.first_day_counts:
        return rule.source
    if rule.backward:
        return rule.source if "12c" in rule.source else f"{rule.source}; {COUNTED_BACK}"
    return f"{rule.source}; {FIRST_DAY_OUT if rule.unit == 'days' else CALENDAR_MONTH}"
