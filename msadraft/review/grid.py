"""The repeating week of a parenting plan, to the minute: gaps, overlaps, and each parent's part.

Minutes count from Monday 00:00 of week 1. A block without its own time begins or ends at the usual hand-over time.
A block whose end is not after its beginning runs on into the following week, and from the last week of the cycle
into the first. Nothing here knows holidays or clock changes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import time
from decimal import Decimal
from itertools import pairwise
from typing import get_args

from msadraft.facts.model import Facts
from msadraft.facts.parenting import Block, Weekday
from msadraft.facts.scalars import PartyRole
from msadraft.figures.parenting.clock import DAY, NIGHT, WEEK
from msadraft.figures.parenting.from_facts import EQUAL_PATTERNS

DAYS: tuple[str, ...] = get_args(Weekday)


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the cycle between two changes: who has the children, and by which blocks."""

    first: int
    last: int
    parents: frozenset[PartyRole]
    blocks: tuple[int, ...]

    @property
    def minutes(self) -> int:
        """Length in minutes."""
        return self.last - self.first

    @property
    def nights(self) -> int:
        """Nights, counted at 3:00 in the morning."""
        return (self.last - NIGHT - 1) // DAY - (self.first - NIGHT - 1) // DAY


@dataclass(frozen=True, slots=True)
class Grid:
    """One cycle. `untimed` and `outside` are the positions of blocks that cannot be placed: no time, or no such week."""

    path: str
    weeks: int
    pieces: tuple[Piece, ...]
    untimed: tuple[int, ...]
    outside: tuple[int, ...]

    @property
    def gaps(self) -> tuple[Piece, ...]:
        """Where nobody has the children."""
        return tuple(piece for piece in self.joined if not piece.parents)

    @property
    def overlaps(self) -> tuple[Piece, ...]:
        """Where both parents have the children."""
        return tuple(piece for piece in self.joined if len(piece.parents) > 1)

    @property
    def complete(self) -> bool:
        """Whether every minute belongs to exactly one parent."""
        return not self.untimed and not self.outside and all(len(piece.parents) == 1 for piece in self.pieces)

    @property
    def joined(self) -> tuple[Piece, ...]:
        """The pieces with neighbours of the same parents put together, over the end of the cycle too."""
        out: list[Piece] = []
        for piece in self.pieces:
            if out and out[-1].parents == piece.parents:
                blocks = tuple(dict.fromkeys((*out[-1].blocks, *piece.blocks)))
                out[-1] = Piece(out[-1].first, piece.last, piece.parents, blocks)
            else:
                out.append(piece)
        if len(out) > 1 and out[0].parents == out[-1].parents:
            first, last = out[0], out.pop()
            blocks = tuple(dict.fromkeys((*last.blocks, *first.blocks)))
            out[0] = Piece(last.first - self.weeks * WEEK, first.last, first.parents, blocks)
        return tuple(out)

    def hours_percent(self, parent: PartyRole) -> Decimal:
        """A parent's part of the cycle by time, in percent, not rounded."""
        mine = sum(piece.minutes for piece in self.pieces if parent in piece.parents)
        return Decimal(100) * mine / (self.weeks * WEEK)

    def nights_percent(self, parent: PartyRole) -> Decimal:
        """A parent's part of the nights of the cycle, in percent, not rounded."""
        mine = sum(piece.nights for piece in self.pieces if parent in piece.parents)
        return Decimal(100) * mine / (self.weeks * 7)

    def when(self, minute: int) -> str:
        """A point of the cycle in words: "Wednesday 15:00 of week 2"."""
        week, rest = divmod(minute % (self.weeks * WEEK), WEEK)
        day, clock = divmod(rest, DAY)
        return f"{DAYS[day].capitalize()} {clock // 60:02d}:{clock % 60:02d}" + (
            f" of week {week + 1}" if self.weeks > 1 else ""
        )

    def span(self, piece: Piece) -> str:
        """A stretch in words."""
        if piece.minutes == self.weeks * WEEK:
            return "the whole cycle"
        return f"{self.when(piece.first)} to {self.when(piece.last)}"


def read_grid(path: str, blocks: Sequence[Block], weeks: int | None, handover: time | None) -> Grid:
    """Lay the blocks out. `weeks` not given: as many as the blocks name."""
    length = max(1, weeks or max((max(b.week, b.to_week or 0) for b in blocks), default=1))
    cycle = length * WEEK
    untimed = tuple(
        n for n, b in enumerate(blocks) if (b.from_time or handover) is None or (b.to_time or handover) is None
    )
    outside = tuple(n for n, b in enumerate(blocks) if not (1 <= b.week <= length and 1 <= (b.to_week or 1) <= length))
    runs: list[tuple[int, int, PartyRole, int]] = []
    for n, block in enumerate(blocks):
        if n in untimed or n in outside:
            continue
        first = _minute(block.week, block.from_day, block.from_time or handover)
        last = _minute(block.to_week or block.week, block.to_day, block.to_time or handover)
        if last <= first:
            last += WEEK if block.to_week is None else cycle
        runs.append((first, last, block.parent, n))
        if last > cycle:
            runs.append((first - cycle, last - cycle, block.parent, n))
    edges = sorted({0, cycle} | {min(max(edge, 0), cycle) for first, last, _, _ in runs for edge in (first, last)})
    pieces = []
    for first, last in pairwise(edges):
        there = [(parent, n) for start, end, parent, n in runs if start <= first and last <= end]
        pieces.append(Piece(first, last, frozenset(p for p, _ in there), tuple(dict.fromkeys(n for _, n in there))))
    return Grid(path, length, tuple(pieces), untimed, outside)


def _minute(week: int, day: str, clock: time | None) -> int:
    at = clock or time()
    return (week - 1) * WEEK + DAYS.index(day) * DAY + at.hour * 60 + at.minute


def grids(facts: Facts) -> Iterator[Grid]:
    """Every repeating schedule of the plan: the regular one, those of groups, phases and summer, if blocks are given."""
    plan = facts.parenting
    clock = plan.handover_time
    if plan.blocks:
        yield read_grid("parenting.blocks", plan.blocks, plan.weeks_in_cycle, clock)
    for n, group in enumerate(plan.groups):
        if group.blocks:
            yield read_grid(f"parenting.groups.{n}.blocks", group.blocks, plan.weeks_in_cycle, clock)
    for n, phase in enumerate(plan.phases):
        if phase.blocks:
            yield read_grid(f"parenting.phases.{n}.blocks", phase.blocks, phase.weeks_in_cycle, clock)
    if plan.summer and plan.summer.blocks:
        yield read_grid("parenting.summer.blocks", plan.summer.blocks, None, clock)


def regular_shares(facts: Facts, parent: PartyRole) -> tuple[Decimal, Decimal] | None:
    """A parent's part of the regular cycle in percent, by time and by nights; None while the plan does not tell.

    Groups of children with schedules of their own are averaged by child (Fam. Code § 4055(b)(1)(D)).
    """
    plan = facts.parenting
    own = [group for group in plan.groups if group.blocks]
    if own:
        found = [(len(g.children), read_grid("", g.blocks, plan.weeks_in_cycle, plan.handover_time)) for g in own]
        if len(own) < len(plan.groups) or not all(grid.complete for _, grid in found):
            return None
        count = sum(n for n, _ in found)
        if not count:
            return None
        return (
            sum((n * grid.hours_percent(parent) for n, grid in found), Decimal(0)) / count,
            sum((n * grid.nights_percent(parent) for n, grid in found), Decimal(0)) / count,
        )
    if plan.blocks:
        grid = read_grid("", plan.blocks, plan.weeks_in_cycle, plan.handover_time)
        return (grid.hours_percent(parent), grid.nights_percent(parent)) if grid.complete else None
    if plan.pattern in EQUAL_PATTERNS:
        return Decimal(50), Decimal(50)
    return None
