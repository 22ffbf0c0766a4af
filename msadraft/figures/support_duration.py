"""How long support lasts: the end for each child, and what is left each time a child ages out.

Legal ends come from `dates.support_end` (Fam. Code § 3901). With one share of time for all children, what is left
after a child ages out is exactly the guideline for the others (§ 4055(b)(8)); with different shares of time the
formula is run again on the average of those who remain.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.child_support import Run, guideline
from msadraft.figures.counting import short
from msadraft.figures.figure import Figure, Step
from msadraft.figures.support_amounts import ESTIMATE, SupportInputError, dollars

SOURCE = "Fam. Code § 3901"


@dataclass(frozen=True, slots=True)
class Stage:
    """A stretch during which the same children are supported.

    `from_day` is the first day, `to_day` the last day (None: no end known). `guideline` and `payer` are what the formula
    gives for these children on unchanged incomes, `agreed` the sum of their agreed parts; each None if not known.
    """

    from_day: date
    to_day: date | None
    children: tuple[str, ...]
    left: tuple[str, ...]
    guideline: Decimal | None
    payer: PartyRole | None
    agreed: Decimal | None


@dataclass(frozen=True, slots=True)
class Duration:
    """The stages in order, and the last day on which the duty ends for everybody (None if an end is not known)."""

    stages: tuple[Stage, ...]
    ends_on: date | None
    figure: Figure


def duration(
    starts_on: date,
    ends: Mapping[str, date],
    children: tuple[str, ...],
    run: Run | None = None,
    agreed: Mapping[str, Decimal] | None = None,
) -> Duration:
    """Set up the table of change dates.

    Args:
        starts_on: first day of the order.
        ends: the day on which the duty ends by law, by child; a child without one (not yet born) stays in every stage.
        children: the supported children.
        run: the guideline run for all of them, if incomes and times are known.
        agreed: agreed part of each child, if the order is divided that way.

    Raises:
        SupportInputError: no child.
    """
    if not children:
        raise SupportInputError("there is no supported child, so there is nothing that could end")
    changes = sorted({ends[key] for key in children if key in ends and ends[key] > starts_on})
    stages: list[Stage] = []
    now = tuple(key for key in children if key not in ends or ends[key] > starts_on)
    left: tuple[str, ...] = tuple(key for key in children if key not in now)
    day = starts_on
    for change in changes:
        stages.append(_stage(day, change, now, left, run, agreed))
        left = tuple(key for key in now if ends.get(key) == change)
        now, day = tuple(key for key in now if key not in left), change
    if now:
        stages.append(_stage(day, None, now, left, run, agreed))
    over = None if now or not changes else changes[-1]
    return Duration(tuple(stages), over, _figure(stages, ends, children, over, left, starts_on))


def _stage(
    day: date,
    change: date | None,
    now: tuple[str, ...],
    left: tuple[str, ...],
    run: Run | None,
    agreed: Mapping[str, Decimal] | None,
) -> Stage:
    amount, payer = None, None
    if run is not None:
        remaining = tuple(child for child in run.children if child.key in now)
        if len(remaining) == len(now):
            found = guideline(replace(run, children=remaining))
            amount, payer = found.amount, found.payer
    parts = sum((agreed[key] for key in now), Decimal("0.00")) if agreed and all(key in agreed for key in now) else None
    last = date.fromordinal(change.toordinal() - 1) if change else None
    return Stage(day, last, now, left, amount, payer, parts)


def _figure(
    stages: list[Stage],
    ends: Mapping[str, date],
    children: tuple[str, ...],
    over: date | None,
    left: tuple[str, ...],
    starts_on: date,
) -> Figure:
    steps = [
        Step(
            key,
            "18, or for a full-time high school student the end of 12th grade or 19, whichever is first",
            short(ends[key]),
            SOURCE,
        )
        for key in children
        if key in ends
    ]
    for stage in stages:
        what = (
            f"{', '.join(stage.left)} ended: support for {', '.join(stage.children)}"
            if stage.left
            else f"support for {', '.join(stage.children)}"
        )
        shown = dollars(stage.guideline) if stage.guideline is not None else "guideline not known"
        steps.append(Step(f"From {short(stage.from_day)}", what, shown, "Fam. Code § 4055(b)(4), (8)"))
    if over:
        steps.append(Step(f"From {short(over)}", f"{', '.join(left)} ended: no child is left", "0.00", SOURCE))
    cautions = [
        ESTIMATE,
        "The dates are estimates from the facts; the events decide. Incomes are taken as unchanged. Whether support for the "
        "month of a change is due in full is for the order to say (common practice).",
    ]
    if any(key not in ends for key in children):
        cautions.append("The end for a child whose birthday is not known is open.")
    if any(key in ends and ends[key] <= starts_on for key in children):
        cautions.append("Support for a child ends by law on or before the first day of the order.")
    table = tuple(
        {
            "from": stage.from_day,
            "to": stage.to_day,
            "children": stage.children,
            "left": stage.left,
            "guideline": stage.guideline,
            "payer": stage.payer,
            "agreed": stage.agreed,
        }
        for stage in stages
    )
    return Figure("End of child support", over, "day", tuple(steps), cautions=tuple(cautions), table=table)
