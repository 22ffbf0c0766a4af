"""The repeating week: against shares worked out by hand, and properties that must always hold."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from review.cases import CHILD, facts

from msadraft.facts.parenting import Block
from msadraft.review.grid import DAYS, WEEK, read_grid, regular_shares

SIX = {"from_time": "18:00", "to_time": "18:00"}


def block(week: int, first: str, to_week: int, last: str, parent: str, **times: str) -> dict[str, Any]:
    return {
        "week": str(week),
        "from_day": first,
        "to_week": str(to_week),
        "to_day": last,
        "parent": parent,
        **(times or SIX),
    }


def grid(*blocks: dict[str, Any], weeks: int | None = None) -> Any:
    return read_grid("parenting.blocks", [Block.model_validate(b) for b in blocks], weeks, None)


# Fractions of a two-week cycle, figured by hand: hours of the respondent of 336, nights of 14.
PATTERNS = {
    "alternate weekends, Friday 18:00 to Sunday 18:00": (
        [block(1, "friday", 1, "sunday", "respondent"), block(1, "sunday", 1, "friday", "petitioner")],
        48, 2,
    ),
    "alternate weekends to Monday 8:00": (
        [
            block(1, "friday", 2, "monday", "respondent", from_time="18:00", to_time="08:00"),
            block(2, "monday", 1, "friday", "petitioner", from_time="08:00", to_time="18:00"),
        ],
        62, 3,
    ),
    "two, two, five, five": (
        [
            block(1, "monday", 1, "wednesday", "petitioner"), block(1, "wednesday", 1, "friday", "respondent"),
            block(1, "friday", 2, "wednesday", "petitioner"), block(2, "wednesday", 1, "monday", "respondent"),
        ],
        168, 7,
    ),
    "nine and five: alternate Wednesday to Monday": (
        [block(1, "wednesday", 2, "monday", "respondent"), block(2, "monday", 1, "wednesday", "petitioner")],
        120, 5,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", PATTERNS)
def test_shares_of_common_patterns(name: str) -> None:
    blocks, hours, nights = PATTERNS[name]
    found = grid(*blocks, weeks=2)
    assert found.complete
    assert found.hours_percent("respondent") == Decimal(100) * hours / 336
    assert found.nights_percent("respondent") == Decimal(100) * nights / 14
    assert found.hours_percent("petitioner") + found.hours_percent("respondent") == 100
    assert found.nights_percent("petitioner") + found.nights_percent("respondent") == 100


def test_gaps_and_overlaps_are_told_to_the_minute() -> None:
    found = grid(
        block(1, "monday", 1, "friday", "petitioner"),
        block(1, "friday", 1, "sunday", "respondent", from_time="17:30", to_time="18:00"),
    )
    assert [found.span(piece) for piece in found.gaps] == ["Sunday 18:00 to Monday 18:00"]
    assert [found.span(piece) for piece in found.overlaps] == ["Friday 17:30 to Friday 18:00"]
    assert not found.complete


def test_a_block_without_a_last_week_runs_into_the_next() -> None:
    weekend = {"week": "2", "from_day": "friday", "to_day": "monday", "parent": "respondent", **SIX}
    rest = block(1, "monday", 2, "friday", "petitioner")
    found = grid(weekend, rest, weeks=2)
    assert found.complete
    assert found.hours_percent("respondent") == Decimal(100) * 72 / 336


def test_blocks_that_cannot_be_placed_are_named() -> None:
    found = grid(
        block(3, "monday", 3, "friday", "petitioner"),
        {"from_day": "friday", "to_day": "monday", "parent": "respondent"},
        weeks=2,
    )
    assert (found.outside, found.untimed, found.complete) == ((0,), (1,), False)


def test_groups_are_averaged_by_child() -> None:
    """Fam. Code § 4055(b)(1)(D): with different schedules the percentage is the average over the children."""
    week = [
        {"week": "1", "from_day": "monday", "to_day": "monday", "to_week": "1", "parent": "petitioner", **SIX},
    ]
    half = [
        {"from_day": "monday", "from_time": "00:00", "to_day": "thursday", "to_time": "12:00", "parent": "petitioner"},
        {"from_day": "thursday", "from_time": "12:00", "to_day": "monday", "to_time": "00:00", "parent": "respondent"},
    ]
    case = facts(
        CHILD,
        {
            "children.al": {"name": {"first": "Al", "last": "Dunn"}, "born_on": "2018-01-01"},
            "children.bo": {"name": {"first": "Bo", "last": "Dunn"}, "born_on": "2019-01-01"},
            "parenting.groups": [{"children": ["may", "al"], "blocks": week}, {"children": ["bo"], "blocks": half}],
        },
    )
    shares = regular_shares(case, "respondent")
    assert shares is not None
    assert round(shares[0], 10) == round(Decimal(50) / 3, 10)


POINTS = st.lists(st.integers(0, 2 * WEEK - 1), min_size=2, max_size=12, unique=True).map(sorted)


@given(POINTS, st.randoms(use_true_random=False))
def test_a_closed_chain_of_blocks_has_no_gap(points: list[int], random: Any) -> None:
    """Any way of cutting two weeks into blocks, each beginning where the last ended, gives every minute to one parent."""

    def edge(minute: int, prefix: str) -> dict[str, str]:
        week, rest = divmod(minute, WEEK)
        day, clock = divmod(rest, 24 * 60)
        name = "week" if prefix == "from" else "to_week"
        return {
            name: str(week + 1),
            f"{prefix}_day": DAYS[day],
            f"{prefix}_time": f"{clock // 60:02d}:{clock % 60:02d}",
        }

    chain = [
        {**edge(first, "from"), **edge(last, "to"), "parent": random.choice(["petitioner", "respondent"])}
        for first, last in pairwise([*points, points[0]])
    ]
    found = grid(*chain, weeks=2)
    assert found.complete
    assert sum(piece.minutes for piece in found.pieces) == 2 * WEEK
    assert sum(piece.nights for piece in found.pieces) == 14
    assert sum(piece.minutes for piece in found.joined) == 2 * WEEK
    dropped = grid(*chain[1:], weeks=2)
    assert sum(piece.minutes for piece in dropped.gaps) == (points[1] - points[0])
