"""Parenting time of a case: the share that support uses, three measures, exchanges, and what the plan leaves open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from msadraft.facts.model import Facts
from msadraft.facts.scalars import PartyRole
from msadraft.figures.figure import Figure, Step
from msadraft.figures.parenting.feasts import PROVISIONAL
from msadraft.figures.parenting.from_facts import EQUAL_PATTERNS, read_plans
from msadraft.figures.parenting.holidays import Feast
from msadraft.figures.parenting.measures import PARENTS, Measure, Measures
from msadraft.figures.parenting.plan import Fault, Plan
from msadraft.figures.parenting.share import APPROXIMATE, Share, average, share

RESPONSIBILITY = (
    "The statute asks for the approximate time of primary physical responsibility; a court may weigh more than hours "
    "(In re Marriage of Katzberg (2001) 88 Cal.App.4th 974, 981). Check the county's own way of counting."
)
COUNTED = "counted on the calendar; nights at 3:00 a.m. (common practice)"
PROVISIONAL_DAYS = "The date of {} may differ by a day; the agreement should name whose calendar decides."


@dataclass(frozen=True, slots=True)
class ChildrenTime:
    """The time of children who share a schedule. Measures are of the two years from `first_year`; None if unknown."""

    children: tuple[str, ...]
    share: Share | None
    measures: Measures | None
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class ParentingTime:
    """Parenting time of a case.

    Attributes:
        first_year: first of the two calendar years, one even and one odd, that are laid out.
        unit: the measure that support uses.
        groups: the children by schedule.
        share: the share that support uses, averaged over the children; None while a schedule is not known.
        petitioner_percent, respondent_percent: that share in percent, to two decimals; together 100.
        faults: gaps, overlaps, holidays that nobody has, and what could not be placed.
        figures: the working.
    """

    first_year: int
    unit: Measure
    groups: tuple[ChildrenTime, ...]
    share: Share | None
    petitioner_percent: Decimal | None
    respondent_percent: Decimal | None
    faults: tuple[Fault, ...]
    figures: tuple[Figure, ...]

    def percent(self, parent: PartyRole) -> Decimal | None:
        """A parent's share in percent."""
        return self.petitioner_percent if parent == "petitioner" else self.respondent_percent

    def of_child(self, key: str) -> Share | None:
        """The share of one child."""
        return next((group.share for group in self.groups if key in group.children), None)


def first_whole_year(facts: Facts, as_of: date) -> int:
    """The first calendar year that the plan covers from its first day."""
    start = max(as_of, facts.parenting.cycle_start or as_of)
    return start.year if (start.month, start.day) == (1, 1) else start.year + 1


def parenting_time(
    facts: Facts, children: Sequence[str], as_of: date, unit: Measure | None = None, first_year: int | None = None
) -> ParentingTime:
    """Work out the parenting time of the children named, as of a day.

    Args:
        children: short names of the minor children of both parties.
        as_of: the day the case is taken as of; the two years begin with the first whole year after it.
        unit: the measure that support uses; that of the facts if left out.
        first_year: another first year of the two.
    """
    unit = unit or facts.parenting.time_measure
    year = first_year or first_whole_year(facts, as_of)
    read = read_plans(facts, children)
    groups = [_children_time(facts, found.children, found.plan, unit, year) for found in read.plans]
    shares = {key: group.share for group in groups for key in group.children if group.share}
    complete = bool(shares) and len(shares) == len(set(children))
    total = average(shares, unit) if complete else None
    faults = tuple(dict.fromkeys((*read.faults, *(fault for group in groups for fault in group.faults))))
    cautions = (RESPONSIBILITY, *_cautions(tuple(p.plan for p in read.plans if p.plan), faults))
    return ParentingTime(
        year,
        unit,
        tuple(groups),
        total,
        total.percent("petitioner") if total else None,
        total.percent("respondent") if total else None,
        faults,
        tuple(_figures(facts, groups, total, unit, cautions, partial=any(f.kind == "not_placed" for f in faults))),
    )


def _children_time(
    facts: Facts, children: tuple[str, ...], plan: Plan | None, unit: Measure, year: int
) -> ChildrenTime:
    if plan is None:
        by_pattern = (
            facts.parenting.pattern in EQUAL_PATTERNS and not facts.parenting.groups and not facts.parenting.blocks
        )
        return ChildrenTime(children, _equal_by_pattern(unit) if by_pattern else None, None, ())
    found, timeline, measures = share(plan, unit, year)
    return ChildrenTime(children, found, measures, timeline.faults)


def _equal_by_pattern(unit: Measure) -> Share:
    step = Step("Each parent's part, as the pattern is defined", "half of the cycle each", "50%", APPROXIMATE)
    return Share(1, 2, unit, "cycle", (step,))


def _cautions(plans: tuple[Plan, ...], faults: tuple[Fault, ...]) -> list[str]:
    out = []
    uncertain = {
        holiday.title
        for plan in plans
        for holiday in plan.holidays
        if isinstance(holiday.window.day, Feast) and holiday.window.day.name in PROVISIONAL
    }
    out += [PROVISIONAL_DAYS.format(title) for title in sorted(uncertain)]
    if any(fault.kind in ("not_placed", "no_dates") for fault in faults):
        out.append("Part of the plan is not in the calendar, so the share is of the rest; see what is not placed.")
    if any(fault.kind in ("gap", "overlap") for fault in faults):
        out.append("The plan has gaps or overlaps; the share is of the time that a parent has.")
    return out


def _figures(
    facts: Facts,
    groups: Sequence[ChildrenTime],
    total: Share | None,
    unit: Measure,
    cautions: tuple[str, ...],
    *,
    partial: bool,
) -> list[Figure]:
    why = {
        "cycle": "Only the repeating cycle can be counted yet, so its exact part is used; the rest of the plan would change it."
        if partial
        else "One repeating cycle is the whole schedule, so its exact part is used.",
        "two_years": "Holidays and the like change sides with the year, so an even and an odd year are averaged.",
    }
    paths = tuple(
        f"parenting.{name}"
        for name in (
            "blocks", "groups", "phases", "cycle_start", "handover_time", "holidays", "summer", "vacation",
            "order_of_precedence", "school_time", "time_measure",
        )
        if getattr(facts.parenting, name)
    )  # fmt: skip
    out = []
    if total:
        reason = Step(
            "Why this share", f"measure: {unit}", why[total.basis], "the choice of measure is common practice"
        )
        for parent in PARENTS:
            value = total.percent(parent)
            name = f"parenting_time.{parent}_percent"
            rest = (
                ()
                if parent == "petitioner"
                else (
                    Step(
                        "The respondent's part is the rest",
                        f"100% - {total.percent('petitioner')}%",
                        f"{value}%",
                        APPROXIMATE,
                    ),
                )
            )
            out.append(Figure(name, value, "percent", (*total.steps, *rest, reason), paths, cautions))
    for n, group in enumerate(groups):
        if group.measures:
            out.append(_measures_figure(f"parenting_time.measures.{n}", group, group.measures, paths))
    return out


def _measures_figure(name: str, group: ChildrenTime, found: Measures, paths: tuple[str, ...]) -> Figure:
    rows = []
    for unit in ("hours", "overnights", "days"):
        one, two = found.petitioner, found.respondent
        rows.append(
            {
                "measure": unit,
                "petitioner": one.hours if unit == "hours" else one.nights if unit == "overnights" else one.days,
                "respondent": two.hours if unit == "hours" else two.nights if unit == "overnights" else two.days,
                "petitioner_percent": one.percent(unit),
                "respondent_percent": two.percent(unit),
            }
        )
    steps = [
        Step("Exchanges in a year", f"{found.exchanges} from {found.first:%Y-%m-%d} to {found.last:%Y-%m-%d}",
             f"{found.exchanges_per_year}", COUNTED),
    ]  # fmt: skip
    for parent in PARENTS:
        away = found.of(parent).longest_away
        if away:
            steps.append(
                Step(
                    f"Longest time away from the {parent}",
                    f"{away.first:%Y-%m-%d %H:%M} to {away.last:%Y-%m-%d %H:%M}",
                    f"{away.hours} hours, {away.nights} nights",
                    COUNTED,
                )
            )
    unit_words = f"hours, nights and days of two years for {', '.join(group.children)}"
    return Figure(name, None, unit_words, tuple(steps), paths, (), tuple(rows))
