"""A parenting plan laid out over any span of days: exact stays, and every gap, overlap and holiday that nobody has.

No statute sets an order of schedules. If the plan does not say otherwise, holidays win over vacation, vacation over the
summer schedule, and that over the regular one; agreed trades win over all (common practice).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Literal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.parenting.clock import DAY, CalendarError, Zone
from msadraft.figures.parenting.holidays import STRENGTHS, DayRule, Given, HolidayPlan, Window
from msadraft.figures.parenting.layers import Clash, Gap, Stay, clipped, cover, joined, settle
from msadraft.figures.parenting.pattern import Cycle, NumberedWeekends

LayerName = Literal["holidays", "vacation", "summer", "regular"]
USUAL_ORDER: tuple[LayerName, ...] = ("holidays", "vacation", "summer", "regular")
FaultKind = Literal["gap", "overlap", "nobody", "no_dates", "not_placed", "wrong"]
_PADDING = 21 * DAY


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that the plan leaves open or says twice.

    Attributes:
        kind: time that nobody has; time that both have; a holiday that nobody has in a year; a year without dates for
            a holiday or break; something that stands in the plan but not in the calendar; something that is wrong.
        path: the fact where it is mended.
        what: what it is, in a sentence.
        first, last: from when to when, the first time; None if it has no place in the calendar.
        times: how often within the span.
    """

    kind: FaultKind
    path: str
    what: str
    first: datetime | None = None
    last: datetime | None = None
    times: int = 1


@dataclass(frozen=True, slots=True)
class Regular:
    """A regular schedule and the instants from and up to which it is in force; None for no limit."""

    pattern: Cycle | NumberedWeekends
    first: int | None = None
    last: int | None = None


@dataclass(frozen=True, slots=True)
class Summer:
    """A schedule that replaces the regular one inside a window of every year."""

    window: Window
    pattern: Cycle
    path: str = "parenting.summer"


@dataclass(frozen=True, slots=True)
class SchoolHours:
    """Hours in which the children are with neither parent, and who is credited with them.

    Courts have credited such hours to either parent or imputed them between both (DaSilva v. DaSilva (2004)
    119 Cal.App.4th 1030, 1033), so this is the parents' choice. `weekdays` count from Monday, which is 0; `terms` are
    first and last days, empty for the whole year.
    """

    credit: Literal["calendar_parent", "primary_parent", "excluded"]
    from_minute: int
    to_minute: int
    weekdays: frozenset[int]
    terms: tuple[tuple[date, date], ...] = ()
    primary: PartyRole | None = None

    def __post_init__(self) -> None:
        if self.to_minute <= self.from_minute:
            raise CalendarError("school ends before or when it begins; correct the times", "parenting.school_time")
        if self.credit == "primary_parent" and self.primary is None:
            raise CalendarError(
                "school hours go to the parent whose home counts for school, but none is named",
                "parenting.primary_home",
            )


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that decides with whom the children are at any instant.

    Attributes:
        zone: time zone of all days and hours.
        regular: regular schedules with the time in which each is in force.
        default: who has the time that no schedule gives; None leaves it open, and it is reported as a gap.
        free_days: rules for Mondays and Fridays without school that are not holidays of the plan; each is attached to
            the parent who has the weekend beside it.
        free_dates: such days by date.
        order: the schedules from the strongest.
    """

    zone: Zone
    regular: tuple[Regular, ...] = ()
    default: PartyRole | None = None
    summer: Summer | None = None
    vacations: tuple[Stay, ...] = ()
    trades: tuple[Stay, ...] = ()
    holidays: tuple[HolidayPlan, ...] = ()
    free_days: tuple[DayRule, ...] = ()
    free_dates: tuple[date, ...] = ()
    order: tuple[LayerName, ...] = USUAL_ORDER
    school: SchoolHours | None = None

    @property
    def only_regular(self) -> bool:
        """Whether nothing but one repeating cycle without limits decides."""
        return not (
            self.summer or self.vacations or self.trades or self.holidays or self.free_days or self.free_dates
        ) and (len(self.regular) == 1 and isinstance(self.regular[0].pattern, Cycle) and self.regular[0].first is None)


@dataclass(frozen=True, slots=True)
class Timeline:
    """A plan laid out from one instant up to another. `stays` are exact, in order, and cover all but `gaps`."""

    zone: Zone
    first: int
    last: int
    stays: tuple[Stay, ...]
    gaps: tuple[Gap, ...]
    faults: tuple[Fault, ...]
    whole: tuple[Stay, ...] = field(default=())

    @property
    def minutes(self) -> int:
        """Minutes that really pass."""
        return self.last - self.first

    def parent_at(self, instant: int) -> PartyRole | None:
        """Who has the children at an instant; None in a gap or outside the span."""
        n = bisect_right(self.stays, instant, key=lambda s: s.first) - 1
        return self.stays[n].parent if n >= 0 and instant < self.stays[n].last else None


def lay_out_days(plan: Plan, first_day: date, last_day: date) -> Timeline:
    """Lay a plan out over whole local days, the last one included."""
    if last_day < first_day:
        raise CalendarError(f"the calendar would end on {last_day}, before it begins on {first_day}")
    return lay_out(plan, plan.zone.at(first_day), plan.zone.at(last_day + timedelta(days=1)))


def lay_out(plan: Plan, first: int, last: int) -> Timeline:
    """Lay a plan out from an instant up to another.

    Raises:
        CalendarError: the span is empty, or the point where halves meet lies outside their time.
    """
    if last <= first:
        raise CalendarError("a calendar needs an end after its beginning")
    zone = plan.zone
    early, late = first - _PADDING, last + _PADDING
    faults: list[Fault] = []
    clashes: list[Clash] = []
    named = {
        "regular": _apart(_regular(plan, early, late), clashes),
        "summer": _apart(_summer(plan, early, late, first, last, faults), clashes),
        "vacation": _apart(plan.vacations, clashes),
    }
    trades = _apart(plan.trades, clashes)
    holidays = [_apart(layer, clashes) for layer in _holidays(plan, early, late, first, last, faults)]

    def layers(extended: list[Stay]) -> list[list[Stay]]:
        stack: list[list[Stay]] = [trades]
        for name in plan.order:
            stack += [*holidays, extended] if name == "holidays" else [named[name]]
        return stack

    extended: list[Stay] = []
    if plan.free_days or plan.free_dates:
        base, open_time = cover(early, late, layers([]))
        extended = _extended(plan, _filled(base, open_time, plan.default), early, late)
    stays, open_time = cover(first, last, layers(extended))
    filled = _filled(stays, open_time, plan.default)
    gaps = () if plan.default else tuple(open_time)
    faults += _clash_faults(zone, [c for c in clashes if c.first < last and c.last > first])
    faults += _gap_faults(zone, gaps)
    return Timeline(zone, first, last, tuple(filled), gaps, tuple(faults), tuple(joined(filled)))


def _filled(stays: list[Stay], open_time: list[Gap], default: PartyRole | None) -> list[Stay]:
    if default is None or not open_time:
        return stays
    return sorted([*stays, *(Stay(a, b, default, "default") for a, b in open_time)], key=lambda s: s.first)


def _apart(stays: Iterable[Stay], clashes: list[Clash]) -> list[Stay]:
    out, found = settle(stays)
    clashes += found
    return out


def _regular(plan: Plan, early: int, late: int) -> list[Stay]:
    out: list[Stay] = []
    for part in plan.regular:
        begins = early if part.first is None else max(early, part.first)
        ends = late if part.last is None else min(late, part.last)
        if begins < ends:
            out += clipped(part.pattern.stays(plan.zone, begins, ends, "regular"), part.first, part.last)
    return out


def _years(zone: Zone, early: int, late: int) -> range:
    return range(zone.local(early).year - 1, zone.local(late).year + 2)


def _summer(plan: Plan, early: int, late: int, first: int, last: int, faults: list[Fault]) -> list[Stay]:
    summer = plan.summer
    if summer is None:
        return []
    out: list[Stay] = []
    for year in _years(plan.zone, early, late):
        found = summer.window.occurrences(plan.zone, year)
        if found is None and _whole_year(plan.zone, year, first, last):
            faults.append(
                Fault("no_dates", summer.path, f"Summer has no dates for {year}; the regular schedule is counted.")
            )
        for when in found or ():
            stays = summer.pattern.stays(plan.zone, when.first, when.last, "summer")
            out += [s._replace(label="Summer") for s in clipped(stays, when.first, when.last)]
    return out


def _whole_year(zone: Zone, year: int, first: int, last: int) -> bool:
    return first <= zone.at(date(year, 1, 1)) and zone.at(date(year + 1, 1, 1)) <= last


def _holidays(plan: Plan, early: int, late: int, first: int, last: int, faults: list[Fault]) -> list[list[Stay]]:
    """The holidays in the order of their strength, strongest first; what is missing goes to `faults`."""
    zone, by_strength = plan.zone, {strength: list[Stay]() for strength in STRENGTHS}
    for holiday in plan.holidays:
        for year in _years(zone, early, late):
            unknown = holiday.window.occurrences(zone, year) is None
            if unknown and _whole_year(zone, year, first, last):
                faults.append(_no_dates(holiday, year))
            for begins, ends, parent, label, when in holiday.turns(zone, year):
                if parent is not None:
                    by_strength[holiday.strength].append(Stay(begins, ends, parent, "holidays", holiday.path, label))
                elif begins < last and ends > first:
                    what = f"{label}: nobody has it in {when.first_day.year}."
                    faults.append(Fault("nobody", holiday.path, what, zone.local(begins), zone.local(ends)))
    return [by_strength[strength] for strength in STRENGTHS]


def _no_dates(holiday: HolidayPlan, year: int) -> Fault:
    if isinstance(holiday.window.day, Given):
        what = f"{holiday.title} has no dates for {year}; add those of the school's calendar when they are published."
    else:
        what = f"The day of {holiday.title} in {year} is not in the tables of this program; give it by date."
    return Fault("no_dates", holiday.path, what)


def _extended(plan: Plan, base: list[Stay], early: int, late: int) -> list[Stay]:
    """The stays that free Mondays and Fridays add to the weekend beside them, a day later or earlier at the same hour."""
    zone, whole = plan.zone, joined(base)
    starts = [stay.first for stay in whole]
    days = set(plan.free_dates)
    for rule in plan.free_days:
        for year in _years(zone, early, late):
            days.update(() if isinstance(rule, Given) else rule.days(year) or ())
    out = []
    for day in sorted(days):
        if day.weekday() not in (0, 4) or not early + _PADDING // 2 < zone.at(day) < late - _PADDING // 2:
            continue
        saturday = day - timedelta(days=2) if day.weekday() == 0 else day + timedelta(days=1)
        begin, end = zone.at(saturday), zone.at(saturday + timedelta(days=2))
        beside = whole[max(0, bisect_right(starts, begin) - 1) : bisect_right(starts, end)]
        stay = _weekend_stay(beside, begin, end, last=day.weekday() == 0)
        if stay is None:
            continue
        edge = zone.local(stay.last if day.weekday() == 0 else stay.first)
        minute = edge.hour * 60 + edge.minute
        label, source = "Day without school beside the weekend", "parenting.monday_holidays"
        if day.weekday() == 0 and saturday < edge.date() <= day:
            later = zone.instant(edge.toordinal() + 1, minute)
            out.append(Stay(stay.last, later, stay.parent, "holidays", source, label))
        elif day.weekday() == 4 and day <= edge.date() <= saturday:
            earlier = zone.instant(edge.toordinal() - 1, minute)
            out.append(Stay(earlier, stay.first, stay.parent, "holidays", source, label))
    return settle(out)[0]


def _weekend_stay(stays: Sequence[Stay], begin: int, end: int, *, last: bool) -> Stay | None:
    """The last or first stay, in a weekend, of the parent who has most of it."""
    inside = [stay for stay in stays if stay.first < end and stay.last > begin]
    held: dict[PartyRole, int] = {}
    for stay in inside:
        held[stay.parent] = held.get(stay.parent, 0) + min(stay.last, end) - max(stay.first, begin)
    if not held:
        return None
    parent = max(held, key=lambda role: held[role])
    own = [stay for stay in inside if stay.parent == parent]
    return own[-1] if last else own[0]


def _clash_faults(zone: Zone, clashes: list[Clash]) -> list[Fault]:
    """One fault for each pair of entries that overlap, with the first time and the number of times."""
    groups: dict[tuple[str, str, str, str], list[Clash]] = {}
    for clash in clashes:
        pair = (clash.kept.source, clash.lost.source, clash.kept.label, clash.lost.label)
        groups.setdefault(pair, []).append(clash)
    out = []
    for (kept, lost, kept_label, lost_label), found in groups.items():
        first = min(found)
        names = [label or source for label, source in ((kept_label, kept), (lost_label, lost))]
        what = (
            f"{names[0]} and {names[1]} give the same time to different parents, from {_when(zone, first.first)} to "
            f"{_when(zone, first.last)}{_and_again(len(found))}; the one that begins first is counted."
        )
        out.append(Fault("overlap", lost or kept, what, zone.local(first.first), zone.local(first.last), len(found)))
    return out


def _gap_faults(zone: Zone, gaps: tuple[Gap, ...]) -> list[Fault]:
    """One fault for each gap of the same weekday, hour and length, with the first time and the number of times."""
    groups: dict[tuple[int, int, int, int], list[Gap]] = {}
    for first, last in gaps:
        begins, ends = zone.local(first), zone.local(last)
        days = ends.toordinal() - begins.toordinal()
        shape = (begins.weekday(), begins.hour * 60 + begins.minute, days, ends.hour * 60 + ends.minute)
        groups.setdefault(shape, []).append((first, last))
    return [
        Fault(
            "gap",
            "parenting.blocks",
            f"Nobody has the children from {_when(zone, found[0][0])} to {_when(zone, found[0][1])}{_and_again(len(found))}.",
            zone.local(found[0][0]),
            zone.local(found[0][1]),
            len(found),
        )
        for found in groups.values()
    ]


def _when(zone: Zone, instant: int) -> str:
    return f"{zone.local(instant):%A %Y-%m-%d %H:%M}"


def _and_again(times: int) -> str:
    return f" (and {times - 1} more times)" if times > 2 else " (and once more)" if times == 2 else ""


def overlaps(stays: Sequence[Stay]) -> bool:
    """Whether any two neighbours of a list in order share time; the sweep must never give such a list."""
    return any(one.last > two.first for one, two in pairwise(stays))
