"""Rules about custody and parenting time."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from itertools import pairwise

from msadraft.facts.case import ProtectiveOrder
from msadraft.facts.parenting import Holiday
from msadraft.facts.scalars import PartyRole
from msadraft.figures.dates import birthday
from msadraft.figures.parenting.from_facts import default_parent, holders, holiday_title
from msadraft.review.base import Hit, Review, rule
from msadraft.review.common import ROLES, custody_decided, minors, other, parties, supported
from msadraft.review.grid import Grid, grids, read_grid, regular_shares
from msadraft.review.time import calendar_shares, longest_away
from msadraft.tree import Text, inlines

WAITING: dict[str, str] = {}
"""Rules that are decided only in part, and what the rest waits for."""

ROTATING = ("alternate_weeks", "2255", "223", "custom_equal", "alternate_weekends")
YEARS_AHEAD = 4
YOUNG = 3
LONG_STRETCH_NIGHTS = 4
PRESUMPTION_YEARS = 5
MEETING_PLACES = ("curbside", "public")
"""Exchange places where the parents would see each other."""

STATES = frozenset(
    ["alabama", "alaska", "arizona", "arkansas", "california", "colorado", "connecticut", "delaware", "florida", "hawaii", "idaho", "illinois", "indiana", "iowa", "kansas", "kentucky", "louisiana", "maine", "maryland", "massachusetts", "michigan", "minnesota", "mississippi", "missouri", "montana", "nebraska", "nevada", "ohio", "oklahoma", "oregon", "pennsylvania", "tennessee", "texas", "utah", "vermont", "virginia", "washington", "wisconsin", "wyoming"]
) | {
    "new hampshire", "new jersey", "new mexico", "new york", "north carolina", "north dakota", "rhode island",
    "south carolina", "south dakota", "west virginia",
}  # fmt: skip
"""States of the United States that are not also the name of a country."""

_RELIGION = re.compile(
    r"\b(relig|church|mosque|synagogue|temple|baptis|faith|kosher|halal|sunday school)", re.IGNORECASE
)
_NO_MOVE = re.compile(
    r"\b(may|shall|must|can|will) (never|not) (move|relocate)|\bno (move|relocation)s? (is|are|may|shall)\b"
    r"|\bneither (parent|party) (may|shall)( ever)? (move|relocate)",
    re.IGNORECASE,
)
_UNCHECKED = re.compile(
    r"\b(ready|comfortable|appropriate|satisf\w+|adjust\w*|matur\w+|improv\w+|feels?|reasonabl\w+|settled|trust\w*)\b",
    re.IGNORECASE,
)
_COUNTY = re.compile(r"\bcounty\b", re.IGNORECASE)


# What every custody order contains


@rule(
    "custody.findings",
    "stop",
    message="A custody statement that every custody order must contain is missing:",
    why="An order without the basis of jurisdiction, the notice given, each parent's rights, the penalties and the habitual residence is sent back",
    source="Fam. Code § 3048(a)",
    mend="Give the fact.",
)
def findings(review: Review) -> Iterator[Hit]:
    if not custody_decided(review):
        return
    plan = review.facts.parenting
    if plan.jurisdiction_basis is None:
        yield Hit("parenting.jurisdiction_basis", "the basis of the court's jurisdiction.")
    if plan.notice_basis is None:
        yield Hit("parenting.notice_basis", "how notice and a chance to be heard were given.")
    if plan.legal_custody is None:
        yield Hit("parenting.legal_custody", "each parent's rights: legal custody.")
    if plan.physical_custody is None:
        yield Hit("parenting.physical_custody", "each parent's rights: physical custody.")
    if plan.pattern is None and not plan.groups:
        yield Hit("parenting.pattern", "each parent's rights: the schedule.")
    if "custody.findings" in review.present and "penalt" not in review.text_of("custody.findings"):
        yield Hit("parenting", "that breaking the order may bring civil or criminal penalties.")


@rule(
    "custody.habitual_residence",
    "stop",
    message="State the country in which each child habitually lives.",
    why="The treaty on abducted children asks for a country; a state or county does not answer it",
    source="Fam. Code § 3048(a)(5)",
    mend="Write the country, such as United States.",
)
def habitual_residence(review: Review) -> Iterator[Hit]:
    if not custody_decided(review):
        return
    for key, child in minors(review).items():
        country = child.habitual_country
        if country is None:
            yield Hit(f"children.{key}.habitual_country", f"It is missing for {child.name.first}.")
        elif country.casefold().rstrip(".") in STATES or _COUNTY.search(country):
            yield Hit(f"children.{key}.habitual_country", f"{country} is not a country.")


@rule(
    "custody.finality",
    "warn",
    message="Say whether this is meant as a final custody determination.",
    why="If it is final, a later change needs changed circumstances; silence leaves both parents guessing",
    source="Montenegro v. Diaz (2001) 26 Cal.4th 249",
    mend="Set parenting.finality to final or not_final.",
)
def finality(review: Review) -> Iterator[Hit]:
    if custody_decided(review) and review.facts.parenting.finality is None:
        yield Hit("parenting.finality")


@rule(
    "custody.adult_in_plan",
    "stop",
    message="Custody orders cover minors only, and this person is 18 or over:",
    why="A court has no custody power over an adult",
    source="Fam. Code § 3022 (memory)",
    mend="Take the adult child out of the parenting facts; support for an adult child belongs under child_support.adult.",
)
def adult_in_plan(review: Review) -> Iterator[Hit]:
    adults = {key for key, age in review.figures.ages.items() if age >= 18}
    children = review.facts.children
    for n, group in enumerate(review.facts.parenting.groups):
        for m, key in enumerate(group.children):
            if key in adults:
                yield Hit(f"parenting.groups.{n}.children.{m}", f"{children[key].name.first}.")
    for block in review.blocks:
        if not block.clause.startswith("custody.") or block.clause == "custody.adult_children":
            continue
        named = [
            p.source.split(".")[1] for p in inlines(block) if isinstance(p, Text) and p.source.startswith("children.")
        ]
        for key in dict.fromkeys(named):
            if key in adults:
                yield Hit(
                    f"children.{key}", f"{children[key].name.first}, in paragraph {review.numbering[block.id].full}."
                )


# Decisions


@rule(
    "custody.no_topics",
    "warn",
    message="Say which decisions need both parents.",
    why="Under joint legal custody either parent may act alone in whatever the order does not list",
    source="Fam. Code § 3083",
    mend="List the decisions under parenting.joint_topics.",
)
def no_topics(review: Review) -> Iterator[Hit]:
    plan = review.facts.parenting
    if custody_decided(review) and plan.legal_custody in ("joint", "joint_tiebreak") and not plan.joint_topics:
        yield Hit("parenting.joint_topics")


@rule(
    "custody.no_fallback",
    "warn",
    message="Say what happens if the parents cannot agree on a decision that needs both.",
    why="The order must give the consequence of a missing consent, and a request without a reply time never fails",
    source="Fam. Code § 3083",
    mend="Give reply_days and if_no_reply, or a tie-break for the topic.",
)
def no_fallback(review: Review) -> Iterator[Hit]:
    plan = review.facts.parenting
    if not custody_decided(review) or plan.legal_custody not in ("joint", "joint_tiebreak"):
        return
    breaks = {b.topic: b for b in plan.tie_breaks if b.decider or b.professional}
    for n, topic in enumerate(plan.joint_topics):
        if topic.rule != "both_consent":
            continue
        tie_break = next((b for name, b in breaks.items() if name == topic.topic), None)
        if topic.reply_days is None and (tie_break is None or tie_break.after_days is None):
            yield Hit(
                f"parenting.joint_topics.{n}.reply_days",
                f"{topic.topic.replace('_', ' ').capitalize()}: no reply time.",
            )
        elif topic.if_no_reply is None and tie_break is None:
            yield Hit(
                f"parenting.joint_topics.{n}.if_no_reply",
                f"{topic.topic.replace('_', ' ').capitalize()}: no consequence.",
            )


@rule(
    "custody.religion",
    "warn",
    message="Courts do not enforce promises about a child's religious upbringing.",
    why="Such a promise would have the court choose between beliefs",
    source="In re Marriage of Weiss (1996) 42 Cal.App.4th 106",
    mend="Take the promise out, or make it a decision on which the parents only consult.",
)
def religion(review: Review) -> Iterator[Hit]:
    if custody_decided(review):
        for n, topic in enumerate(review.facts.parenting.joint_topics):
            if topic.topic == "religion" and topic.note:
                yield Hit(f"parenting.joint_topics.{n}.note")
    for n, term in enumerate(review.facts.case.special_terms):
        if term.part == "custody" and (_RELIGION.search(term.heading) or _RELIGION.search(term.body)):
            yield Hit(f"case.special_terms.{n}.body")


# The regular schedule


@rule(
    "custody.label_vs_time",
    "warn",
    message="The custody label does not fit the schedule.",
    why="Joint physical custody means significant time with both parents; the label also bears on a later move",
    source="Fam. Code §§ 3004, 3007 (the percentages are common practice)",
    mend="Change parenting.physical_custody or the schedule, or record why the label stays.",
)
def label_vs_time(review: Review) -> Iterator[Hit]:
    plan = review.facts.parenting
    if not custody_decided(review):
        return
    for role in ROLES:
        shares = calendar_shares(review, role) or regular_shares(review.facts, role)
        if shares is None:
            return
        hours = f"{shares[0]:.2f} percent of the time"
        if plan.physical_custody == "joint" and max(shares) < 20:
            yield Hit("parenting.physical_custody", f"The {role} has {hours}.")
        elif plan.physical_custody == f"sole_{other(role)}" and min(shares) > 45:
            yield Hit(
                "parenting.physical_custody", f"Custody is the {other(role)}'s alone, but the {role} has {hours}."
            )


@rule(
    "custody.grid_gap",
    "stop",
    message="The weekly grid has a gap or an overlap.",
    why="Each minute of the cycle must belong to one parent, or nobody can enforce the schedule",
    source="Fam. Code §§ 3048(a)(3), 3084",
    mend="Let each block begin where the one before it ends, through the whole cycle.",
)
def grid_gap(review: Review) -> Iterator[Hit]:
    plan = review.facts.parenting
    if not custody_decided(review):
        return
    if plan.pattern in ("custom_equal", "custom_grid") and not plan.blocks and not any(g.blocks for g in plan.groups):
        yield Hit("parenting.blocks", "No block is given.")
    for grid in grids(review.facts):
        yield from _grid_faults(grid, _has_the_rest(review, grid) is not None)


def _has_the_rest(review: Review, grid: Grid) -> PartyRole | None:
    """Who has the time that a schedule does not state, as the paper says it."""
    plan = review.facts.parenting
    _, part, *number = grid.path.split(".")
    if part == "groups":
        return plan.groups[int(number[0])].primary_home
    return None if part == "summer" else default_parent(plan)


def _grid_faults(grid: Grid, rest_is_given: bool) -> Iterator[Hit]:
    for n in grid.untimed:
        yield Hit(f"{grid.path}.{n}", "This block has no time, and parenting.handover_time is not given.")
    for n in grid.outside:
        yield Hit(f"{grid.path}.{n}", f"This block names a week outside the cycle of {grid.weeks}.")
    if grid.untimed or grid.outside:
        return
    for piece in () if rest_is_given else grid.gaps:
        yield Hit(grid.path, f"Nobody has the children from {grid.span(piece)}.")
    for piece in grid.overlaps:
        yield Hit(f"{grid.path}.{max(piece.blocks)}", f"Both parents have the children from {grid.span(piece)}.")


@rule(
    "custody.no_anchor",
    "stop",
    message="The rotation has no starting week.",
    why="Without a dated first week nobody knows whose week it is after the first holiday",
    source="Fam. Code § 3084",
    mend="Set parenting.cycle_start to the Monday on which week 1 begins.",
)
def no_anchor(review: Review) -> Iterator[Hit]:
    plan = review.facts.parenting
    if not custody_decided(review):
        return
    weeks = max([plan.weeks_in_cycle or 1, *(max(b.week, b.to_week or 1) for b in plan.blocks)])
    rotates = plan.pattern in ROTATING or (plan.pattern in ("custom_grid", "long_distance") and weeks > 1)
    if not rotates:
        return
    if plan.cycle_start is None:
        yield Hit("parenting.cycle_start")


@rule(
    "custody.cycle_start",
    "warn",
    message="Week 1 of the schedule does not begin on a Monday.",
    why="The paper counts its weeks from a Monday, so the first week would be a different one for each parent",
    source="Fam. Code § 3084; common practice",
    mend="Set parenting.cycle_start to the Monday on which week 1 begins.",
)
def cycle_start(review: Review) -> Iterator[Hit]:
    start = review.facts.parenting.cycle_start
    if custody_decided(review) and start and start.weekday() != 0:
        yield Hit("parenting.cycle_start", f"{start} is a {start:%A}.")


@rule(
    "custody.weekend_numbers",
    "stop",
    message="A month has no such weekend.",
    why="The weekends of a month are numbered from the first to the fifth",
    source="Fam. Code § 3048(a)(3); logic",
    mend="Give numbers from 1 to 5 under parenting.weekend_numbers.",
)
def weekend_numbers(review: Review) -> Iterator[Hit]:
    if custody_decided(review):
        for n, number in enumerate(review.facts.parenting.weekend_numbers):
            if not 1 <= number <= 5:
                yield Hit(f"parenting.weekend_numbers.{n}", f"It says {number}.")


@rule(
    "custody.calendar",
    "warn",
    message="A part of the plan cannot be laid out in a calendar.",
    why="What no calendar can hold, nobody can keep to, and it is left out of the shares of time",
    source="Fam. Code § 3048(a)(3); common practice",
    mend="Correct the fact.",
)
def calendar(review: Review) -> Iterator[Hit]:
    told = ("parenting.cycle_start", "parenting.weekend_numbers", "parenting.weeks_in_cycle")
    if not custody_decided(review):
        return
    for fault in review.figures.parenting_time.faults:
        in_grid = fault.path.startswith(("parenting.blocks", "parenting.groups"))
        if fault.kind == "wrong" and not in_grid and not fault.path.startswith(told):
            yield Hit(fault.path, fault.what)


@rule(
    "custody.no_grid",
    "warn",
    message="A plan left to agreement gives the support worksheet nothing to work with.",
    why="Guideline support needs the share of time, and the police and the court need a schedule to fall back on",
    source="Fam. Code §§ 3048(a)(3), 4055",
    mend="Give a default schedule under parenting.blocks for when the parents do not agree.",
)
def no_grid(review: Review) -> Iterator[Hit]:
    plan = review.facts.parenting
    if custody_decided(review) and plan.pattern == "by_agreement" and not plan.blocks and supported(review):
        yield Hit("parenting.blocks")


@rule(
    "custody.long_stretch_young",
    "note",
    message="Consider a step-up plan for a very young child.",
    why="A child under three holds on to each parent by seeing both often",
    source="common practice",
    mend="Nothing need change; phases under parenting.phases let the stretches grow with the child.",
)
def long_stretch_young(review: Review) -> Iterator[Hit]:
    plan = review.facts.parenting
    young = [key for key in minors(review) if review.figures.ages.get(key, YOUNG) < YOUNG]
    if not custody_decided(review) or not young or plan.phases:
        return
    away = {
        key: found if (found := longest_away(review, key)) is not None else _longest_stretch(review) for key in young
    }
    longest = max(away.values())
    if longest > LONG_STRETCH_NIGHTS:
        names = ", ".join(review.facts.children[key].name.first for key in young if away[key] > LONG_STRETCH_NIGHTS)
        yield Hit("parenting.blocks", f"{names} would be away from one parent for up to {longest} nights.")


def _longest_stretch(review: Review) -> int:
    plan = review.facts.parenting
    if not plan.blocks:
        return {"alternate_weeks": 7, "2255": 5, "223": 3}.get(plan.pattern or "", 0)
    grid = read_grid("parenting.blocks", plan.blocks, plan.weeks_in_cycle, plan.handover_time)
    return max((piece.nights for piece in grid.joined), default=0) if grid.complete else 0


@rule(
    "custody.phase_open",
    "warn",
    message="This step of the step-up plan cannot be verified.",
    why="A step that depends on a feeling stops the plan, and no third person may decide it in the court's place",
    source="common practice; Ruisi v. Thieriot (1997) 53 Cal.App.4th 1197 (memory)",
    mend="Tie the step to a date, an age, or a paper such as a certificate.",
)
def phase_open(review: Review) -> Iterator[Hit]:
    if not custody_decided(review):
        return
    phases = review.facts.parenting.phases
    for n, (phase, following) in enumerate(pairwise(phases)):
        starts = following.starts_on or following.starts_when or following.starts_at_months is not None
        if not (phase.done_when or starts):
            yield Hit(f"parenting.phases.{n}.done_when", f"Nothing says when phase {n + 1} ends.")
    if phases and review.facts.parenting.pattern != "stepup" and not (phases[-1].done_when or phases[-1].ends_on):
        last = len(phases)
        yield Hit(
            f"parenting.phases.{last - 1}.ends_on",
            f"Nothing says when phase {last} ends and the regular schedule begins.",
        )
    for n, phase in enumerate(phases):
        for name, words in (("done_when", phase.done_when), ("starts_when", phase.starts_when)):
            vague = _UNCHECKED.search(words or "")
            if vague:
                yield Hit(f"parenting.phases.{n}.{name}", f'"{vague.group()}" is a matter of opinion.')


@rule(
    "custody.siblings",
    "note",
    message="Brothers and sisters have no time together in this plan.",
    why="Courts keep siblings together where they can",
    source="Fam. Code § 3020; common practice",
    mend="Nothing need change; a shared weekend or dinner in both schedules is enough.",
)
def siblings(review: Review) -> Iterator[Hit]:
    plan = review.facts.parenting
    read = [
        (n, read_grid("", g.blocks, plan.weeks_in_cycle, plan.handover_time))
        for n, g in enumerate(plan.groups)
        if g.blocks
    ]
    if not custody_decided(review) or len(read) < 2 or not all(grid.complete for _, grid in read):
        return
    for (_, one), (n, two) in pairwise(read):
        if one.weeks == two.weeks and not _share_time(one, two):
            yield Hit(f"parenting.groups.{n}.blocks", f"Groups {n} and {n + 1} are never with the same parent at once.")


def _share_time(one: Grid, two: Grid) -> bool:
    return any(
        a.parents == b.parents and max(a.first, b.first) < min(a.last, b.last) for a in one.pieces for b in two.pieces
    )


# Holidays and vacation


def _holders(holiday: Holiday) -> dict[bool, PartyRole | None] | None:
    """Who has a holiday in even (True) and odd (False) years; None if it is shared or falls as the schedule does."""
    if holiday.rule in ("halves", "split_day", "regular_schedule"):
        return None
    even, odd = holders(holiday)
    return {True: even, False: odd}


def _years(review: Review, even: bool) -> str:
    first = review.figures.as_of.year
    return " and ".join(str(y) for y in range(first, first + YEARS_AHEAD) if (y % 2 == 0) == even)


@rule(
    "custody.holiday_gap",
    "stop",
    message="A holiday is not assigned in at least one year.",
    why="The schedule must describe each parent's rights clearly; a gap is a quarrel every second year",
    source="Fam. Code § 3048(a)(3); form FL-341(C)",
    mend="Name the parent for even and for odd years, or choose a rule that covers both.",
)
def holiday_gap(review: Review) -> Iterator[Hit]:
    if not custody_decided(review):
        return
    for key, holiday in review.facts.parenting.holidays.items():
        path, title = f"parenting.holidays.{key}", holiday_title(key, holiday)
        holders = _holders(holiday)
        if holders is None:
            if holiday.rule != "regular_schedule" and holiday.first_half_even is None:
                yield Hit(f"{path}.first_half_even", f"{title}: nobody is named for the first part.")
            continue
        if holders == {True: None, False: None}:
            yield Hit(f"{path}.rule", f"{title}: no parent is named.")
            continue
        for even, holder in holders.items():
            if holder is None:
                yield Hit(
                    f"{path}.{'even' if even else 'odd'}_years", f"{title}: nobody has it in {_years(review, even)}."
                )


@rule(
    "custody.holiday_double",
    "stop",
    message="Both parents have the same holiday.",
    why="The schedule must describe each parent's rights clearly",
    source="Fam. Code § 3048(a)(3); form FL-341(C)",
    mend="Give it to one parent in each year, or split it.",
)
def holiday_double(review: Review) -> Iterator[Hit]:
    if not custody_decided(review):
        return
    known: list[tuple[str, Holiday]] = list(review.facts.parenting.holidays.items())
    for n, (key, holiday) in enumerate(known):
        holders = _holders(holiday)
        if holders is None:
            continue
        for even, given in ((True, holiday.even_years), (False, holiday.odd_years)):
            if given and holders[even] and given != holders[even]:
                name = "even" if even else "odd"
                yield Hit(
                    f"parenting.holidays.{key}.{name}_years", f"Its rule gives {name} years to the {holders[even]}."
                )
        for earlier_key, earlier in known[:n]:
            before = _holders(earlier)
            if before is None or not _same_days(earlier, holiday):
                continue
            clash = [even for even in (True, False) if before[even] and holders[even] and before[even] != holders[even]]
            if clash:
                years = ", ".join(_years(review, even) for even in clash)
                yield Hit(
                    f"parenting.holidays.{key}",
                    f"{earlier_key} is the same time, and goes to the other parent in {years}.",
                )


def _same_days(one: Holiday, two: Holiday) -> bool:
    if one.window and two.window:
        return one.window == two.window
    if one.from_month_day and two.from_month_day:
        return one.from_month_day == two.from_month_day and one.starts == two.starts
    return bool(one.title and two.title) and (one.title or "").casefold() == (two.title or "").casefold()


@rule(
    "custody.holiday_overlap",
    "warn",
    message="Two holidays cover the same time and go to different parents.",
    why="Neither is stronger than the other, so each parent can claim the time",
    source="Fam. Code § 3048(a)(3); common practice",
    mend="Change a day or an hour, or give one of them a different strength.",
)
def holiday_overlap(review: Review) -> Iterator[Hit]:
    if not custody_decided(review):
        return
    told = {hit.path for hit in holiday_double(review)}
    for fault in review.figures.parenting_time.faults:
        if fault.kind == "overlap" and fault.path.startswith("parenting.holidays.") and fault.path not in told:
            yield Hit(fault.path, fault.what)


@rule(
    "custody.holiday_not_placed",
    "note",
    message="This holiday is not in the calendar yet.",
    why="The shares of time and the printed calendar leave it out",
    source="common practice",
    mend="Give its window; for a school break add the dates of the school's calendar when they are published.",
)
def holiday_not_placed(review: Review) -> Iterator[Hit]:
    if not custody_decided(review):
        return
    undated: dict[str, int] = {}
    for fault in review.figures.parenting_time.faults:
        if not fault.path.startswith("parenting.holidays."):
            continue
        if fault.kind == "not_placed":
            yield Hit(fault.path)
        elif fault.kind == "no_dates":
            undated[fault.path] = undated.get(fault.path, 0) + 1
    first = review.figures.parenting_time.first_year
    for path, years in undated.items():
        # Schools publish a year or so ahead: only a break without any date in both years is worth a word.
        if years > 1:
            yield Hit(path, f"It has no dates for {first} and {first + 1}.")


@rule(
    "custody.holiday_times",
    "warn",
    message="Say when the holiday begins and ends.",
    why="Where the paper names no hour, the exchange is argued at the door",
    source="form FL-341(C)",
    mend="Give its window, or starts and ends, and for halves the midpoint, in words with day and time.",
)
def holiday_times(review: Review) -> Iterator[Hit]:
    if not custody_decided(review):
        return
    for key, holiday in review.facts.parenting.holidays.items():
        if holiday.rule == "regular_schedule" or key in review.figures.holiday_words:
            continue
        title = holiday_title(key, holiday)
        wanted = {"starts": holiday.starts, "ends": holiday.ends}
        if holiday.rule in ("halves", "split_day"):
            wanted["midpoint"] = holiday.midpoint
        for name, words in wanted.items():
            if words is None:
                yield Hit(f"parenting.holidays.{key}.{name}", f"{title}: {name}.")


@rule(
    "custody.order_unsaid",
    "warn",
    message="Say which schedule wins when they collide.",
    why="A vacation week that covers the other parent's holiday is the commonest quarrel of the year",
    source="common practice",
    mend="List every schedule of the plan in parenting.order_of_precedence, strongest first.",
)
def order_unsaid(review: Review) -> Iterator[Hit]:
    plan = review.facts.parenting
    if not custody_decided(review):
        return
    layers = {
        "holidays": bool(plan.holidays),
        "vacation": plan.vacation is not None,
        "summer": plan.summer is not None,
    }
    used = [name for name, there in layers.items() if there]
    missing = [name for name in (*used, "regular") if name not in plan.order_of_precedence]
    if used and missing:
        yield Hit("parenting.order_of_precedence", f"Missing: {', '.join(missing)}.")


@rule(
    "custody.vacation_pick",
    "warn",
    message="Both parents could pick the same weeks.",
    why="Without notice and a first pick nobody's choice counts",
    source="common practice",
    mend="Give notice_days and first_pick_even under parenting.vacation.",
)
def vacation_pick(review: Review) -> Iterator[Hit]:
    vacation = review.facts.parenting.vacation
    if not custody_decided(review) or vacation is None:
        return
    if vacation.notice_days is None:
        yield Hit("parenting.vacation.notice_days", "No notice is asked for.")
    if vacation.first_pick_even is None:
        yield Hit("parenting.vacation.first_pick_even", "Nobody picks first.")


# Exchanges, moves, travel


@rule(
    "custody.school_only",
    "warn",
    message="Add a place for exchanges on days without school.",
    why="In vacations and on sick days there is no school to exchange at",
    source="common practice",
    mend="Add an entry under parenting.exchanges for days without school.",
)
def school_only(review: Review) -> Iterator[Hit]:
    places = review.facts.parenting.exchanges
    if custody_decided(review) and places and all(place.place_kind == "school" for place in places):
        yield Hit("parenting.exchanges")


@rule(
    "custody.passport",
    "warn",
    message="Say who keeps the passport.",
    why="The parent without it cannot travel, and the parent with it can leave",
    source="22 C.F.R. § 51.28 (memory)",
    mend="Give parenting.passports with the holder.",
)
def passport(review: Review) -> Iterator[Hit]:
    rules = review.facts.parenting.passports
    held = [child.name.first for child in minors(review).values() if child.passports]
    if custody_decided(review) and held and (rules is None or rules.holder is None):
        yield Hit("parenting.passports.holder" if rules else "parenting.passports", f"{', '.join(held)} has one.")


@rule(
    "custody.move_ban",
    "warn",
    message="A flat ban on moving will not hold.",
    why="A parent may move with a child unless a court finds that the move would harm the child",
    source="Fam. Code §§ 3024, 7501 (memory)",
    mend="Use notice, a radius, or an agreed standard for a contested move.",
)
def move_ban(review: Review) -> Iterator[Hit]:
    limits = review.facts.parenting.move_limits
    if not custody_decided(review) or limits is None:
        return
    if limits.radius_miles == 0:
        yield Hit("parenting.move_limits.radius_miles", "A radius of 0 miles forbids every move.")
    if limits.standard and _NO_MOVE.search(limits.standard):
        yield Hit("parenting.move_limits.standard")


@rule(
    "custody.coordinator",
    "stop",
    message="A parenting coordinator may not be given the court's power, and needs a term and a cost split.",
    why="Only the court can change custody; an open-ended or unpaid coordinator cannot act",
    source="Ruisi v. Thieriot (1997) 53 Cal.App.4th 1197 (memory)",
    mend="Take changes of custody out of the topics, and give term_months and petitioner_percent.",
)
def coordinator(review: Review) -> Iterator[Hit]:
    named = review.facts.parenting.coordinator
    if not custody_decided(review) or named is None:
        return
    for n, topic in enumerate(named.topics):
        if re.search(r"\bcustody\b", topic, re.IGNORECASE):
            yield Hit(f"parenting.coordinator.topics.{n}", f"Topic: {topic}.")
    if named.term_months is None:
        yield Hit("parenting.coordinator.term_months", "No term.")
    if named.petitioner_percent is None:
        yield Hit("parenting.coordinator.petitioner_percent", "No split of the cost.")


# Safety


def _in_force(order: ProtectiveOrder, day: date) -> bool:
    return order.ends_on is None or order.ends_on >= day


def _violence_findings(review: Review) -> Iterator[PartyRole]:
    """The parties against whom there is a finding of domestic violence of the last five years."""
    since = birthday(review.figures.as_of, -PRESUMPTION_YEARS)
    for order in review.facts.case.protective_orders:
        recent = order.issued_on is None or order.issued_on >= since
        if order.after_hearing and order.restrained and order.kind != "civil" and recent:
            yield order.restrained
    for role, one in parties(review.facts):
        conviction = one.violence_conviction
        if conviction and (conviction.convicted_on is None or conviction.convicted_on >= since):
            yield role


@rule(
    "custody.dv_3044",
    "stop",
    message="The court must first be shown facts that overcome the legal presumption against custody.",
    why="After a finding of domestic violence within five years, joint or sole custody for that parent is presumed harmful, even by agreement",
    source="Fam. Code § 3044; C.C. v. D.V. (2024) 105 Cal.App.5th 101 (volume from memory)",
    mend="Give custody to the other parent, or state the facts for the judge in parenting.violence_terms.rebuttal_facts.",
)
def dv_3044(review: Review) -> Iterator[Hit]:
    plan = review.facts.parenting
    if not custody_decided(review) or (plan.violence_terms and plan.violence_terms.rebuttal_facts):
        return
    for role in dict.fromkeys(_violence_findings(review)):
        labels = {
            "legal custody": plan.legal_custody in ("joint", "joint_tiebreak", f"sole_{role}"),
            "physical custody": plan.physical_custody in ("joint", "per_group", "nesting", f"sole_{role}"),
        }
        given = " and ".join(name for name, there in labels.items() if there)
        if given:
            path = "parenting.legal_custody" if labels["legal custody"] else "parenting.physical_custody"
            yield Hit(path, f"The {role} would have {given}.")


@rule(
    "custody.dv_order_clash",
    "stop",
    message="This term would break the restraining order or the safety terms.",
    why="The police follow the order, and who keeps to the agreement could be arrested",
    source="Fam. Code § 3100; Pen. Code § 136.2 (memory)",
    mend="Change the term, or have the issuing court allow peaceful contact about the children.",
)
def dv_order_clash(review: Review) -> Iterator[Hit]:
    plan, safety = review.facts.parenting, review.facts.parenting.violence_terms
    if not custody_decided(review):
        return
    orders = [o for o in review.facts.case.protective_orders if _in_force(o, review.figures.as_of)]
    no_contact = any(not order.peaceful_contact for order in orders)
    by_terms = safety is not None and safety.no_contact and safety.channel is None
    if plan.parent_channel not in (None, "none", "through_counsel") and (no_contact or by_terms):
        yield Hit("parenting.parent_channel", "The parents would write or speak to each other.")
    for n, place in enumerate(plan.exchanges):
        barred = safety is not None and safety.exchange is not None and place.place_kind != safety.exchange
        apart = no_contact or (safety is not None and safety.no_contact)
        if barred or (apart and place.place_kind in MEETING_PLACES):
            yield Hit(f"parenting.exchanges.{n}.place_kind", "The parents could meet there.")
    for order in orders:
        supervised = plan.supervision is not None and plan.supervision.who == order.restrained
        if order.covers_children and not order.peaceful_contact and plan.pattern and not supervised:
            yield Hit("parenting.pattern", "The order protects the children too and allows no contact.")


@rule(
    "custody.dv_joint_session",
    "warn",
    message="Joint sessions should not be required where there is domestic violence.",
    why="The law lets the hurt parent ask for separate sessions at separate times",
    source="Fam. Code § 3181 (memory)",
    mend="Take the step meet out, or say that sessions are held apart.",
)
def dv_joint_session(review: Review) -> Iterator[Hit]:
    if not review.figures.violence:
        return
    if custody_decided(review):
        for n, step in enumerate(review.facts.parenting.dispute_steps):
            if step.step == "meet":
                yield Hit(f"parenting.dispute_steps.{n}.step")
    for n, general_step in enumerate(review.facts.disputes.steps):
        if general_step.step == "meet":
            yield Hit(f"disputes.steps.{n}.step")


@rule(
    "custody.dv_loose_plan",
    "stop",
    message="An open plan is not safe on these facts.",
    why="Where there is violence or a risk of abduction the order must name time, day, place and manner of exchange",
    source="Fam. Code §§ 3011(a)(5), 3031, 3048(b)",
    mend="Choose a pattern with fixed times, such as custom_grid, and give its blocks.",
)
def dv_loose_plan(review: Review) -> Iterator[Hit]:
    danger = review.figures.violence or review.figures.abduction_risk
    if custody_decided(review) and danger and review.facts.parenting.pattern == "by_agreement":
        yield Hit("parenting.pattern")


@rule(
    "custody.risk_no_steps",
    "warn",
    message="Facts that point to a risk of abduction are recorded, but nothing addresses them.",
    why="The court must consider measures, and a missing one cannot be added after the child is gone",
    source="Fam. Code § 3048(b)",
    mend="Choose measures under parenting.abduction_steps, or record why none is needed.",
)
def risk_no_steps(review: Review) -> Iterator[Hit]:
    if custody_decided(review) and review.figures.abduction_risk and not review.facts.parenting.abduction_steps:
        yield Hit("parenting.abduction_steps")


@rule(
    "custody.supervised_exit",
    "warn",
    message="Supervised time needs a provider, a payer and a way out.",
    why="Without them the visits never start, or never end",
    source="Fam. Code § 3200.5 (memory)",
    mend="Complete parenting.supervision.",
)
def supervised_exit(review: Review) -> Iterator[Hit]:
    watch = review.facts.parenting.supervision
    if not custody_decided(review) or watch is None:
        return
    if watch.provider is None:
        yield Hit("parenting.supervision.provider", "No provider, and no way to choose one.")
    if watch.petitioner_percent is None and watch.kind != "nonprofessional":
        yield Hit("parenting.supervision.petitioner_percent", "No split of the cost.")
    if watch.review_on is None and watch.exit is None:
        yield Hit("parenting.supervision.exit", "Neither a review nor an event that ends it.")
