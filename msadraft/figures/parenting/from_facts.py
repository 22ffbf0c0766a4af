"""Plans read from the facts. What cannot be read is a fault with the path of its fact, never a guess.

Children with a schedule of their own have a plan of their own; holidays, vacation and summer are the same for all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from functools import partial
from typing import TypeVar

from dateutil.relativedelta import relativedelta

from msadraft.facts.model import Facts
from msadraft.facts.parenting import Block, CalendarWindow, Holiday, Parenting, Phase
from msadraft.facts.scalars import PartyRole
from msadraft.figures.parenting.clock import DAY, WEEK, CalendarError, Zone, exchange_minute, minute_of_day
from msadraft.figures.parenting.holidays import (
    DayRule,
    FixedDay,
    Given,
    HolidayPlan,
    Meeting,
    Strength,
    WeekdayOfMonth,
    Window,
    other,
)  # fmt: skip
from msadraft.figures.parenting.layers import Stay
from msadraft.figures.parenting.named_days import NAMED_DAYS
from msadraft.figures.parenting.pattern import Cycle, CycleBlock, NumberedWeekends, is_weekend_block
from msadraft.figures.parenting.plan import USUAL_ORDER, Fault, LayerName, Plan, Regular, SchoolHours, Summer
from msadraft.figures.parenting.words import MONTHS, WEEKDAYS, WindowWords, window_words

T = TypeVar("T")
DAYS = tuple(name.lower() for name in WEEKDAYS)
ANY_MONDAY = date(2024, 1, 1)
"""Where a schedule of one week is counted from; it is the same from every Monday."""
NTH = {"first": 1, "second": 2, "third": 3, "fourth": 4, "last": -1}
EQUAL_PATTERNS = ("alternate_weeks", "2255", "223")
"""Patterns that give each parent half of the cycle by their own definition."""
ONE_PARENTS_DAY = ("mothers_day", "fathers_day")
_YEARS_TRIED = range(2020, 2061)


@dataclass(frozen=True, slots=True)
class ChildrenPlan:
    """The children who share a schedule, and their plan; None if it cannot be laid out."""

    children: tuple[str, ...]
    path: str
    plan: Plan | None


@dataclass(frozen=True, slots=True)
class ReadPlans:
    """All plans of a case, and what could not be read or placed."""

    plans: tuple[ChildrenPlan, ...]
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class _Common:
    """What all plans of a case share."""

    zone: Zone
    summer: Summer | None
    vacations: tuple[Stay, ...]
    holidays: tuple[HolidayPlan, ...]
    free_days: tuple[DayRule, ...]
    free_dates: tuple[date, ...]
    order: tuple[LayerName, ...]
    school: SchoolHours | None


def read_plans(facts: Facts, children: Sequence[str]) -> ReadPlans:
    """Read the plans for the children named (the minor ones, as a rule)."""
    parenting, faults = facts.parenting, list[Fault]()
    if not children:
        return ReadPlans((), ())
    try:
        zone = Zone(parenting.time_zone)
    except CalendarError as error:
        return ReadPlans((), (_wrong(error, "parenting.time_zone"),))
    common = _Common(
        zone,
        _summer(facts, faults),
        _vacations(parenting, zone, faults),
        tuple(_holidays(facts, zone, faults)),
        tuple(NAMED_DAYS[name][1] for name in parenting.days_without_school)
        if parenting.monday_holidays == "weekend_parent"
        else (),
        parenting.dates_without_school if parenting.monday_holidays == "weekend_parent" else (),
        _order(parenting),
        _school(parenting, faults),
    )
    plans: list[ChildrenPlan] = []
    left = list(children)
    for n, group in enumerate(parenting.groups):
        members = tuple(key for key in group.children if key in children)
        if not members:
            continue
        path = f"parenting.groups.{n}"
        left = [key for key in left if key not in members]
        if not group.blocks:
            what = "This group of children has no schedule, so it is not in the calendar."
            faults.append(Fault("not_placed", f"{path}.blocks", what))
            plans.append(ChildrenPlan(members, path, None))
            continue
        cycle = _attempt(partial(_cycle, parenting, group.blocks, f"{path}.blocks"), path, faults)
        plans.append(ChildrenPlan(members, path, _plan(common, (cycle,) if cycle else None, group.primary_home)))
    if left:
        regular = _attempt(lambda: _regular(facts, left, zone, faults), "parenting.blocks", faults)
        plans.insert(0, ChildrenPlan(tuple(left), "parenting", _plan(common, regular, default_parent(parenting))))
    return ReadPlans(tuple(plans), tuple(faults))


def _plan(common: _Common, regular: tuple[Regular, ...] | None, default: PartyRole | None) -> Plan | None:
    if regular is None:
        return None
    return Plan(
        common.zone, regular, default, common.summer, common.vacations, (), common.holidays, common.free_days,
        common.free_dates, common.order, common.school,
    )  # fmt: skip


def _attempt(read: Callable[[], T], path: str, faults: list[Fault]) -> T | None:
    """What `read` gives, or None with a fault if it objects."""
    try:
        return read()
    except CalendarError as error:
        faults.append(_wrong(error, path))
        return None


def _wrong(error: CalendarError, path: str) -> Fault:
    text = str(error)
    return Fault("wrong", error.path or path, text[0].upper() + text[1:] + ".")


def default_parent(parenting: Parenting) -> PartyRole | None:
    """Who has the time that the schedule does not give, as the paper says it."""
    if parenting.pattern == "numbered_weekends" and parenting.weekend_parent:
        return other(parenting.weekend_parent)
    if parenting.pattern in (*EQUAL_PATTERNS, "custom_equal") and not parenting.phases:
        return None
    return parenting.primary_home


def _order(parenting: Parenting) -> tuple[LayerName, ...]:
    """The schedules from the strongest; one that is not named stands where it usually does."""
    order: list[LayerName] = list(dict.fromkeys(parenting.order_of_precedence))
    for n, name in enumerate(USUAL_ORDER):
        if name not in order:
            weaker = [order.index(later) for later in USUAL_ORDER[n + 1 :] if later in order]
            order.insert(min(weaker, default=len(order)), name)
    return tuple(order)


# The regular schedule


def _regular(facts: Facts, children: Sequence[str], zone: Zone, faults: list[Fault]) -> tuple[Regular, ...] | None:
    parenting = facts.parenting
    phases = _phases(facts, children, zone, faults) if parenting.phases else ()
    if parenting.pattern == "stepup":
        return phases or None
    own = _own_pattern(parenting, faults)
    if own is None or not phases:
        return own
    ends = parenting.phases[-1].ends_on
    if ends is None:
        what = "The last phase has no day on which it ends, so the calendar never reaches the regular schedule."
        faults.append(Fault("not_placed", f"parenting.phases.{len(parenting.phases) - 1}.ends_on", what))
        return phases
    if parenting.phases[-1].done_when:
        what = "The last phase also waits for an event; the calendar counts it as complete on its date."
        faults.append(Fault("not_placed", f"parenting.phases.{len(parenting.phases) - 1}.done_when", what))
    begins = _on(parenting, zone, ends)
    before = tuple(Regular(p.pattern, p.first, begins if p.last is None else p.last) for p in phases)
    return (*before, *(Regular(part.pattern, begins, None) for part in own))


def _own_pattern(parenting: Parenting, faults: list[Fault]) -> tuple[Regular, ...] | None:
    if parenting.pattern == "numbered_weekends":
        return _numbered(parenting, faults)
    if parenting.blocks:
        return (_cycle(parenting, parenting.blocks, "parenting.blocks"),)
    if parenting.pattern == "long_distance" and parenting.primary_home:
        return ()
    if parenting.pattern is not None:
        what = "The regular schedule has no days and times, so there is no calendar."
        faults.append(Fault("not_placed", "parenting.blocks", what))
    return None


def _cycle(parenting: Parenting, blocks: Sequence[Block], path: str) -> Regular:
    weeks = parenting.weeks_in_cycle or max(max(b.week, b.to_week or 1) for b in blocks)
    monday = parenting.cycle_start
    if monday is None and weeks > 1:
        raise CalendarError(
            "the rotation has no first week; give the Monday on which week 1 begins", "parenting.cycle_start"
        )
    return Regular(Cycle(weeks, monday or ANY_MONDAY, read_blocks(blocks, weeks, parenting.handover_time, path)))


def read_blocks(blocks: Sequence[Block], weeks: int, handover: time | None, path: str) -> tuple[CycleBlock, ...]:
    """Blocks in minutes of the cycle. One that does not end after its beginning runs on into the next week, or, if it
    names the week in which it ends, into the next cycle.

    Raises:
        CalendarError: a block has no time, a time that the clocks skip or repeat, or a week outside the cycle.
    """
    found = []
    for n, block in enumerate(blocks):
        own = f"{path}.{n}"
        if not (1 <= block.week <= weeks and 1 <= (block.to_week or 1) <= weeks):
            raise CalendarError(f"this block names a week outside the cycle of {weeks}; correct the week", own)
        first = _minute(block.week, block.from_day, block.from_time or handover, own)
        last = _minute(block.to_week or block.week, block.to_day, block.to_time or handover, own)
        if last <= first:
            last += WEEK if block.to_week is None else weeks * WEEK
        found.append(CycleBlock(first, last, block.parent, own))
    return tuple(found)


def _minute(week: int, day: str, clock: time | None, path: str) -> int:
    if clock is None:
        raise CalendarError("this block has no time; give it one, or give parenting.handover_time", path)
    return (week - 1) * WEEK + DAYS.index(day) * DAY + exchange_minute(clock, path)


def _numbered(parenting: Parenting, faults: list[Fault]) -> tuple[Regular, ...] | None:
    parent = parenting.weekend_parent
    missing = [
        name
        for name, value in (
            ("weekend_parent", parent),
            ("weekend_numbers", parenting.weekend_numbers),
            ("weekend_counts_from", parenting.weekend_counts_from),
            ("blocks", parenting.blocks),
        )
        if not value
    ]
    if missing or parent is None or parenting.weekend_counts_from is None:
        what = "Numbered weekends need this before they can be in the calendar."
        faults.extend(Fault("not_placed", f"parenting.{name}", what) for name in missing)
        return None
    own = [
        CycleBlock(block.first % WEEK, block.last - block.first + block.first % WEEK, block.parent, block.source)
        for block in read_blocks(
            parenting.blocks, max(max(b.week, b.to_week or 1) for b in parenting.blocks), parenting.handover_time,
            "parenting.blocks",
        )
        if block.parent == parent
    ]  # fmt: skip
    weekends = tuple(block for block in own if is_weekend_block(block.first, block.last))
    weekly = tuple(block for block in own if not is_weekend_block(block.first, block.last))
    found = [Regular(NumberedWeekends(parenting.weekend_numbers, parenting.weekend_counts_from, weekends))]
    if weekly:
        found.append(Regular(Cycle(1, ANY_MONDAY, weekly)))
    return tuple(found)


def _phases(facts: Facts, children: Sequence[str], zone: Zone, faults: list[Fault]) -> tuple[Regular, ...]:
    """The phases with the time in which each is in force, as far as dates and ages tell."""
    parenting = facts.parenting
    dated: list[tuple[int, Phase, date | None]] = []
    for n, phase in enumerate(parenting.phases):
        path, begins = f"parenting.phases.{n}", _phase_start(facts, phase, children)
        if begins is None and n == 0:
            what = "Phase 1 has no date on which it begins; the calendar counts it from the beginning."
            faults.append(Fault("not_placed", f"{path}.starts_on", what))
        elif begins is None:
            what = f"Phase {n + 1} begins on an event without a date; the calendar stays in the phase before it."
            faults.append(Fault("not_placed", f"{path}.starts_on", what))
            break
        elif any(before and before >= begins for _, _, before in dated):
            raise CalendarError(
                f"phase {n + 1} begins on {begins}, not after the phase before it; correct the days", path
            )
        if begins is not None and phase.starts_when:
            what = f"Phase {n + 1} also waits for an event; the calendar counts it from its date or age."
            faults.append(Fault("not_placed", f"{path}.starts_when", what))
        dated.append((n, phase, begins))
    found = []
    for position, (n, phase, begins) in enumerate(dated):
        path = f"parenting.phases.{n}.blocks"
        if not phase.blocks:
            faults.append(Fault("not_placed", path, f"Phase {n + 1} has no schedule, so it is not in the calendar."))
            continue
        weeks = max(1, phase.weeks_in_cycle)
        monday = _first_monday(begins) if begins and weeks > 1 else ANY_MONDAY
        if weeks > 1 and begins is None:
            raise CalendarError(
                f"phase {n + 1} rotates and needs the day on which it begins", f"parenting.phases.{n}.starts_on"
            )
        pattern = Cycle(weeks, monday, read_blocks(phase.blocks, weeks, parenting.handover_time, path))
        # A rotation begins on the first Monday of its phase; what lies before it is in no block.
        first = None if begins is None else zone.at(monday) if weeks > 1 else _on(parenting, zone, begins)
        following = dated[position + 1][2] if position + 1 < len(dated) else None
        found.append(Regular(pattern, first, _on(parenting, zone, following) if following else None))
    return tuple(found)


def _phase_start(facts: Facts, phase: Phase, children: Sequence[str]) -> date | None:
    """The day on which a phase begins: its date or the youngest child's age, whichever is later."""
    days = [phase.starts_on] if phase.starts_on else []
    if phase.starts_at_months is not None:
        born = [c.born_on for key in children if (c := facts.children[key]).born_on]
        if not born:
            return None
        days.append(max(born) + relativedelta(months=phase.starts_at_months))
    return max(days, default=None)


def _first_monday(day: date) -> date:
    return day + timedelta(days=-day.weekday() % 7)


def _on(parenting: Parenting, zone: Zone, day: date) -> int:
    return zone.at(day, parenting.handover_time or time())


# Holidays, summer, vacation, school


def holiday_title(key: str, holiday: Holiday) -> str:
    """What a holiday is called."""
    return holiday.title or key.replace("_", " ").replace("-", " ").title()


def holiday_words(facts: Facts) -> dict[str, WindowWords]:
    """When each holiday begins, ends and is halved, in words; only those whose window is given and sound."""
    out, ignored = {}, list[Fault]()
    for key, holiday in facts.parenting.holidays.items():
        found = _window_of(facts, f"parenting.holidays.{key}", holiday_title(key, holiday), holiday.window, ignored)
        if found is None or holiday.window is None:
            continue
        window, name, private = found
        halved = holiday.rule in ("halves", "split_day")
        try:
            meeting = _meeting(holiday.window, f"parenting.holidays.{key}.window") if halved else None
        except CalendarError:
            continue
        out[key] = window_words(window, name, meeting, private_day=private)
    return out


def holiday_strengths(facts: Facts) -> dict[str, Strength]:
    """Which holidays are special days, holidays or school breaks; only those of which the facts tell."""
    out: dict[str, Strength] = {}
    for key, holiday in facts.parenting.holidays.items():
        if holiday.rule != "regular_schedule" and (holiday.strength or holiday.window):
            out[key] = _strength(holiday)
    return out


def weekend_blocks(parenting: Parenting) -> tuple[str, ...]:
    """Positions, counted from 0, of the blocks that belong to a weekend; a block without a time counts from noon to noon."""
    found, noon = [], time(12)
    for n, block in enumerate(parenting.blocks):
        first = DAYS.index(block.from_day) * DAY + minute_of_day(block.from_time or parenting.handover_time or noon)
        last = DAYS.index(block.to_day) * DAY + minute_of_day(block.to_time or parenting.handover_time or noon)
        last += WEEK * ((block.to_week or block.week) - block.week)
        while last <= first:
            last += WEEK
        if is_weekend_block(first, last):
            found.append(str(n))
    return tuple(found)


def summer_words(facts: Facts) -> WindowWords | None:
    """When summer begins and ends, in words, if its window is given and sound."""
    summer = facts.parenting.summer
    found = _window_of(facts, "parenting.summer", "summer", summer.window, []) if summer else None
    return window_words(found[0], found[1], private_day=found[2]) if found else None


def holders(holiday: Holiday) -> tuple[PartyRole | None, PartyRole | None]:
    """Who has a holiday, or its first half, in even and in odd years."""
    match holiday.rule:
        case "petitioner_always":
            return "petitioner", "petitioner"
        case "respondent_always":
            return "respondent", "respondent"
        case "petitioner_even":
            return "petitioner", "respondent"
        case "petitioner_odd":
            return "respondent", "petitioner"
        case "halves" | "split_day":
            first = holiday.first_half_even
            return first, other(first) if first else None
    return holiday.even_years, holiday.odd_years


def _holidays(facts: Facts, zone: Zone, faults: list[Fault]) -> Iterator[HolidayPlan]:
    for key, holiday in facts.parenting.holidays.items():
        if holiday.rule == "regular_schedule":
            continue
        path, title = f"parenting.holidays.{key}", holiday_title(key, holiday)
        if holiday.window is None:
            what = f"{title} is not in the calendar, because its days and times are given in words only."
            faults.append(Fault("not_placed", f"{path}.window", what))
            continue
        found = _window_of(facts, path, title, holiday.window, faults)
        if found is None:
            continue
        window, _, private = found
        even, odd = holders(holiday)
        halved = holiday.rule in ("halves", "split_day")
        try:
            meeting = _meeting(holiday.window, f"{path}.window") if halved else None
            plan = HolidayPlan(key, title, window, even, odd, halved, meeting, _strength(holiday), private, path)
            for year in _YEARS_TRIED:
                list(plan.turns(zone, year))
        except CalendarError as error:
            faults.append(_wrong(error, path))
            continue
        yield plan


def _strength(holiday: Holiday) -> Strength:
    given = holiday.window
    if holiday.strength:
        return holiday.strength
    if given and given.dates:
        return "school_break"
    if given and (given.birthday_of or given.birthday_of_parent or given.named_day in ONE_PARENTS_DAY):
        return "special_day"
    return "holiday"


def _window_of(
    facts: Facts, path: str, title: str, given: CalendarWindow | None, faults: list[Fault]
) -> tuple[Window, str, bool] | None:
    """The window, what its day is called in a sentence, and whether the day stays unprinted."""
    if given is None:
        return None
    try:
        rule, name, private = _day_rule(facts, given, f"{path}.window")
        times = [
            exchange_minute(clock, f"{path}.window")
            for clock in (
                given.from_time or facts.parenting.handover_time,
                given.to_time or facts.parenting.handover_time,
            )
            if clock is not None
        ]
        if len(times) < 2:
            raise CalendarError(
                "it has no time; give from_time and to_time, or parenting.handover_time", f"{path}.window"
            )
        shifts = (
            _shift(given.starts_days_before, given.starts_days_after, f"{path}.window"),
            _shift(given.ends_days_before, given.ends_days_after, f"{path}.window"),
        )
        if isinstance(rule, Given) and shifts != (0, 0):
            raise CalendarError(
                "dates by school year stand for themselves; leave out the days before and after", f"{path}.window"
            )
        window = Window(
            rule, shifts[0], times[0], shifts[1], times[1], given.from_school, given.to_school, f"{path}.window"
        )
    except CalendarError as error:
        fault = _wrong(error, f"{path}.window")
        faults.append(Fault(fault.kind, fault.path, f"{title}: {fault.what}"))
        return None
    return window, name, private


def _shift(before: int | None, after: int | None, path: str) -> int:
    if before and after:
        raise CalendarError("it cannot be some days before and some days after the same day; keep one", path)
    shift = (after or 0) - (before or 0)
    if abs(shift) > 180:
        raise CalendarError("it lies more than 180 days from the day it turns on; choose a nearer day", path)
    return shift


def _day_rule(facts: Facts, given: CalendarWindow, path: str) -> tuple[DayRule, str, bool]:
    of_year = given.day_of_month is not None
    of_month = given.nth is not None or given.weekday is not None
    ways = [
        given.named_day is not None, of_year, of_month, given.birthday_of is not None,
        given.birthday_of_parent is not None, bool(given.dates),
    ]  # fmt: skip
    if sum(ways) != 1:
        raise CalendarError(
            "give the day in exactly one way: named_day; month and day_of_month; nth, weekday and month; a birthday; or "
            "dates",
            path,
        )
    try:
        if given.named_day:
            name, rule = NAMED_DAYS[given.named_day]
            return rule, name, False
        if given.dates:
            return (
                Given(tuple(sorted((d.starts_on, d.ends_on) for d in given.dates))),
                "the summer break" if path.startswith("parenting.summer") else "the break",
                False,
            )
        if of_year or of_month:
            return _month_rule(given, path)
    except CalendarError as error:
        raise CalendarError(str(error), path) from None
    return _birthday(facts, given, path)


def _month_rule(given: CalendarWindow, path: str) -> tuple[DayRule, str, bool]:
    if given.month is None:
        raise CalendarError("a day of the year or a weekday of a month needs its month, 1 to 12", path)
    if given.day_of_month is not None:
        rule = FixedDay(given.month, given.day_of_month)
        return rule, f"{MONTHS[given.month - 1]} {given.day_of_month}", False
    if given.nth is None or given.weekday is None:
        raise CalendarError("a weekday of a month needs both nth and weekday", path)
    weekday = WeekdayOfMonth(given.month, DAYS.index(given.weekday), NTH[given.nth])
    return weekday, f"the {given.nth} {given.weekday.capitalize()} of {MONTHS[given.month - 1]}", False


def _birthday(facts: Facts, given: CalendarWindow, path: str) -> tuple[DayRule, str, bool]:
    if given.birthday_of is not None:
        child = facts.children.get(given.birthday_of)
        if child is None or child.born_on is None:
            raise CalendarError("the birth date of this child is not known; give it under children", path)
        return FixedDay(child.born_on.month, child.born_on.day), f"{_owns(child.name.first)} birthday", True
    party = facts.petitioner if given.birthday_of_parent == "petitioner" else facts.respondent
    if party.born_on is None:
        raise CalendarError("the birth date of this parent is not known; give it, or give the day of the year", path)
    called = given.birthday_of_parent or ""
    label = called.capitalize() if facts.case.party_labels == "roles" else party.name.first
    return FixedDay(party.born_on.month, party.born_on.day), f"{_owns(label)} birthday", True


def _owns(name: str) -> str:
    return f"{name}\u2019s"


def _meeting(given: CalendarWindow, path: str) -> Meeting:
    meet = given.halves_meet
    if meet is None:
        raise CalendarError("halves need a point where they meet; give halves_meet", path)
    own = f"{path}.halves_meet"
    if meet.at == "month_day":
        try:
            FixedDay(meet.month or 0, meet.day_of_month or 0)
        except CalendarError as error:
            raise CalendarError(str(error), own) from None
    minute = exchange_minute(meet.time, own) if meet.time else 12 * 60
    return Meeting(meet.at, minute, meet.month or 0, meet.day_of_month or 0, meet.days_after or 0, own)


def _summer(facts: Facts, faults: list[Fault]) -> Summer | None:
    summer, parenting = facts.parenting.summer, facts.parenting
    if summer is None:
        return None
    if not summer.blocks or summer.window is None:
        missing = "blocks" if not summer.blocks else "window"
        what = "The summer schedule is not in the calendar: it needs its window and its blocks."
        faults.append(Fault("not_placed", f"parenting.summer.{missing}", what))
        return None
    found = _window_of(facts, "parenting.summer", "Summer", summer.window, faults)
    regular: Regular | None = _attempt(
        lambda: _cycle(parenting, summer.blocks, "parenting.summer.blocks"), "parenting.summer.blocks", faults
    )
    if found is None or regular is None or not isinstance(regular.pattern, Cycle):
        return None
    return Summer(found[0], regular.pattern)


def _vacations(parenting: Parenting, zone: Zone, faults: list[Fault]) -> tuple[Stay, ...]:
    vacation = parenting.vacation
    if vacation is None:
        return ()
    if not vacation.chosen:
        what = "Vacation is not in the calendar: no dates are chosen yet. Equal vacations bring both shares nearer to half."
        faults.append(Fault("not_placed", "parenting.vacation.chosen", what))
    out = []
    for n, chosen in enumerate(vacation.chosen):
        path = f"parenting.vacation.chosen.{n}"
        try:
            clocks = [c or parenting.handover_time for c in (chosen.from_time, chosen.to_time)]
            first, last = (
                zone.instant(day.toordinal(), exchange_minute(clock or time(), path))
                for day, clock in zip((chosen.starts_on, chosen.ends_on), clocks, strict=True)
            )
            if None in clocks:
                raise CalendarError(
                    "this vacation has no time; give from_time and to_time, or parenting.handover_time", path
                )
            if last <= first:
                raise CalendarError("this vacation ends before or when it begins; correct the days or times", path)
        except CalendarError as error:
            faults.append(_wrong(error, path))
            continue
        out.append(Stay(first, last, chosen.parent, "vacation", path, "Vacation"))
    return tuple(out)


def _school(parenting: Parenting, faults: list[Fault]) -> SchoolHours | None:
    school = parenting.school_time
    if school is None or school.credit == "calendar_parent":
        return None
    if school.from_time is None or school.to_time is None:
        what = "School hours are not counted apart: their times are not given."
        faults.append(Fault("not_placed", "parenting.school_time", what))
        return None
    try:
        return SchoolHours(
            school.credit,
            minute_of_day(school.from_time),
            minute_of_day(school.to_time),
            frozenset(DAYS.index(day) for day in school.days),
            tuple((term.starts_on, term.ends_on) for term in school.terms),
            parenting.primary_home,
        )
    except CalendarError as error:
        faults.append(_wrong(error, "parenting.school_time"))
        return None
