"""All calendar files of a case: a picture of each year, the schedule to print, and one calendar file for each parent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from icalendar import Calendar

from msadraft.facts.model import Facts
from msadraft.facts.scalars import PartyRole
from msadraft.figures.compute import Figures
from msadraft.figures.parenting.clock import CalendarError
from msadraft.figures.parenting.from_facts import ChildrenPlan, read_plans
from msadraft.figures.parenting.measures import PARENTS, measure
from msadraft.figures.parenting.plan import Fault, Plan, Timeline, lay_out_days
from msadraft.writers.calendar.feed import case_mark, write_ics
from msadraft.writers.calendar.names import Names
from msadraft.writers.calendar.picture import write_year_svg
from msadraft.writers.calendar.schedule import exchange_rows, holiday_rows, write_schedule_html

FIRST_YEAR, LAST_YEAR = 1970, 2199
FAULT_WORDS = {
    "gap": "Nobody has the children",
    "overlap": "Two parents at once",
    "nobody": "Nobody has the holiday",
    "no_dates": "Not placed",
    "not_placed": "Not placed",
    "wrong": "Cannot be read",
}
"""What each kind of fault means for a reader."""
TO_MEND = ("gap", "overlap", "nobody", "wrong")
"""Faults that have to be mended before signing; the others only say what the calendar leaves out."""


@dataclass(frozen=True, slots=True)
class CalendarFiles:
    """The files by name, what could not be placed, and how the time falls over the years, a line for each schedule."""

    files: dict[str, bytes]
    faults: tuple[Fault, ...]
    shares: tuple[str, ...]

    @property
    def to_mend(self) -> bool:
        """Whether something has to be mended before signing."""
        return any(fault.kind in TO_MEND for fault in self.faults)


def calendar_files(facts: Facts, figures: Figures, years: Sequence[int] = ()) -> CalendarFiles:
    """Make all files for the years given; without any, for the two years of the parenting-time figures.

    Children with a schedule of their own get pictures and a printed schedule of their own; a parent's calendar file
    holds the stays of all children. No file is made if no schedule can be laid out; the faults then say why.

    Raises:
        CalendarError: the case has no minor children, or a year is out of range.
    """
    children = figures.minor_children.keys
    if not children:
        raise CalendarError("there are no minor children of both parties, so there is no parenting time to show")
    wanted = sorted(set(years)) or [figures.parenting_time.first_year, figures.parenting_time.first_year + 1]
    for year in wanted:
        if not FIRST_YEAR <= year <= LAST_YEAR:
            raise CalendarError(f"the year {year} is out of range; give one from {FIRST_YEAR} to {LAST_YEAR}")
    read = read_plans(facts, children)
    faults, files = dict.fromkeys(read.faults), dict[str, bytes]()
    feeds: dict[PartyRole, list[bytes]] = {parent: [] for parent in PARENTS}
    shares = []
    for n, group in enumerate(read.plans, 1):
        if group.plan is None:
            continue
        timeline = lay_out_days(group.plan, date(wanted[0], 1, 1), date(wanted[-1], 12, 31))
        faults |= dict.fromkeys(timeline.faults)
        names = Names.from_facts(facts, group.children)
        suffix = "" if len(read.plans) == 1 else f"-{n}"
        files |= _pages(group.plan, timeline, names, wanted, suffix)
        shares.append(_share_words(group.plan, timeline, names, wanted))
        for parent in PARENTS:
            feeds[parent].append(
                write_ics(
                    timeline, parent, names, case=case_mark(facts), group=_group_mark(group), stamp=figures.as_of,
                    sequence=facts.negotiation.round or 0, place=_place(facts, figures),
                )
            )  # fmt: skip
    for parent, found in feeds.items():
        if found:
            files[f"{parent}.ics"] = _together(found)
    return CalendarFiles(files, tuple(faults), tuple(shares))


def _pages(plan: Plan, timeline: Timeline, names: Names, years: Sequence[int], suffix: str) -> dict[str, bytes]:
    together = names.children[:1].upper() + names.children[1:]
    span = f"{years[0]}" if len(years) == 1 else f"{years[0]} to {years[-1]}"
    files = {
        f"parenting-time-{year}{suffix}.svg": write_year_svg(
            timeline, year, names, title=f"{together}: parenting time in {year}"
        ).encode()
        for year in years
    }
    page = write_schedule_html(
        f"{together}: schedule of parenting time, {span}",
        holiday_rows(plan, years[0], years[-1], names),
        exchange_rows(timeline, plan, names),
    )
    return {**files, f"schedule{suffix}.html": page.encode()}


def _share_words(plan: Plan, timeline: Timeline, names: Names, years: Sequence[int]) -> str:
    found = measure(timeline, plan)
    parts = ", ".join(
        f"{names.of(parent)} {found.of(parent).percent()}% of the hours and {found.of(parent).nights} nights"
        for parent in PARENTS
    )
    span = f"{years[0]}" if len(years) == 1 else f"{years[0]} to {years[-1]}"
    return f"{names.children[:1].upper()}{names.children[1:]}, {span}: {parts}"


def _group_mark(group: ChildrenPlan) -> str:
    """A mark of the children of a schedule that names none of them: "all", or the number of their group."""
    return "all" if group.path == "parenting" else f"group{int(group.path.rsplit('.', 1)[1]) + 1}"


def _place(facts: Facts, figures: Figures) -> str | None:
    """The place of exchanges if there is just one; never where there is violence or a hidden address."""
    hidden = figures.violence or facts.petitioner.address_hidden or facts.respondent.address_hidden
    places = facts.parenting.exchanges
    return places[0].place if len(places) == 1 and not hidden else None


def _together(feeds: Sequence[bytes]) -> bytes:
    """One calendar file with the events of all."""
    if len(feeds) == 1:
        return feeds[0]
    whole = Calendar.from_ical(feeds[0])
    for feed in feeds[1:]:
        for event in Calendar.from_ical(feed).walk("VEVENT"):
            whole.add_component(event)
    written: bytes = whole.to_ical()
    return written
