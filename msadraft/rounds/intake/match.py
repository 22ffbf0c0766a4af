"""Find each drafted paragraph again in the edited document: by bookmark, then by its words, then by likeness.

A bookmark is the surest sign, but not an infallible one: a split leaves it twice, a merge puts two into one paragraph,
an Enter at the beginning leaves it in an empty paragraph, and some editors drop all of them. Words come next, in order,
because agreements hold clauses that mirror each other.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from msadraft.agreement.numbering import Numbering
from msadraft.rounds.intake.units import Base, Unit

ALIKE = 0.55
"""Least likeness at which a paragraph without a bookmark is taken for an edited form of another."""
_NEAR = 60
_WORD = re.compile(r"\w+|[^\w\s]")


@dataclass(frozen=True, slots=True)
class Match:
    """One edited unit and the drafted unit it comes from, with how it was found; likeness is 1 for the same words."""

    base: int
    how: str
    likeness: float


@dataclass(slots=True)
class Matching:
    """For every edited unit its match or None; for a drafted unit that was merged into another, where."""

    of: list[Match | None]
    merged: dict[int, int]


def likeness(one: str, other: str) -> float:
    """How alike two texts are, from 0 to 1: the share of their words that they have in common."""
    return _common(Counter(_WORD.findall(one)), Counter(_WORD.findall(other)))


def _common(one: Counter[str], other: Counter[str]) -> float:
    total = one.total() + other.total()
    return 2 * (one & other).total() / total if total else 1.0


def match(base: Sequence[Base], edited: Sequence[Unit], numbering: Numbering) -> Matching:
    """Match the units of a drafted document with those of its edited form."""
    result: list[Match | None] = [None] * len(edited)
    free = set(range(len(base)))
    merged = _by_bookmark(base, edited, result, free)
    _by_words(base, edited, result, free)
    _by_likeness(base, edited, result, free)
    return Matching(result, {b: e for b, e in merged.items() if b in free})


def _by_bookmark(
    base: Sequence[Base], edited: Sequence[Unit], result: list[Match | None], free: set[int]
) -> dict[int, int]:
    place = {name: n for n, b in enumerate(base) for name in b.unit.names}
    claims: dict[int, list[int]] = {}
    for e, unit in enumerate(edited):
        for name in unit.names:
            b = place.get(name)
            if b is not None and base[b].unit.is_row == unit.is_row:
                claims.setdefault(b, []).append(e)
    scores: list[tuple[float, int, int]] = []
    for b, claimants in claims.items():
        for e in claimants:
            same = base[b].unit.key == edited[e].key
            # An empty paragraph that kept the bookmark of a full one is no form of it.
            if not edited[e].text and base[b].unit.text:
                continue
            scores.append((2.0 if same else likeness(base[b].unit.text, edited[e].text), -e, b))
    merged: dict[int, int] = {}
    for score, minus_e, b in sorted(scores, key=lambda s: (-s[0], -s[1], s[2])):
        e = -minus_e
        if b not in free:
            continue
        if result[e] is None:
            result[e] = Match(b, "bookmark", min(score, 1.0))
            free.discard(b)
        else:
            merged[b] = e
    return merged


def _by_words(base: Sequence[Base], edited: Sequence[Unit], result: list[Match | None], free: set[int]) -> None:
    places: dict[tuple[bool, str], list[int]] = {}
    for b in sorted(free):
        places.setdefault((base[b].unit.is_row, base[b].unit.key), []).append(b)
    after = -1
    for e, unit in enumerate(edited):
        found = result[e]
        if found is not None:
            after = found.base
            continue
        candidates = places.get((unit.is_row, unit.key))
        if not candidates:
            continue
        at = min(bisect_left(candidates, after), len(candidates) - 1)
        b = candidates.pop(at)
        result[e] = Match(b, "words", 1.0)
        free.discard(b)
        after = b


def _by_likeness(base: Sequence[Base], edited: Sequence[Unit], result: list[Match | None], free: set[int]) -> None:
    """Between two neighbours that were found, the most alike are taken for each other, in order."""
    words: dict[int, Counter[str]] = {}
    e, low = 0, -1
    while e < len(edited):
        found = result[e]
        if found is not None or not edited[e].text:
            low = found.base if found is not None else low
            e += 1
            continue
        start = e
        while e < len(edited) and result[e] is None:
            e += 1
        following = result[e] if e < len(edited) else None
        high = following.base if following is not None else len(base)
        if high < low:
            high = min(len(base), low + 1 + 2 * (e - start))
        _pair(base, edited, result, free, range(start, e), range(low + 1, high), words)


def _pair(
    base: Sequence[Base],
    edited: Sequence[Unit],
    result: list[Match | None],
    free: set[int],
    gap: range,
    window: range,
    words: dict[int, Counter[str]],
) -> None:
    scores: list[tuple[float, int, int]] = []
    theirs = [b for b in window if b in free]
    if not theirs:
        return
    for n, e in enumerate(gap):
        mine = Counter(_WORD.findall(edited[e].text))
        # in a long gap only what stands about as far down is looked at, so that the work stays linear
        middle = n * len(theirs) // len(gap)
        for b in theirs[max(0, middle - _NEAR) : middle + _NEAR]:
            if base[b].unit.is_row != edited[e].is_row:
                continue
            if b not in words:
                words[b] = Counter(_WORD.findall(base[b].unit.text))
            small, large = sorted((mine.total(), words[b].total()))
            if 2 * small < ALIKE * (small + large):
                continue
            score = _common(mine, words[b])
            if score >= ALIKE:
                scores.append((score, e, b))
    taken: list[tuple[int, int]] = []
    for score, e, b in sorted(scores, key=lambda s: (-s[0], s[1], s[2])):
        if result[e] is not None or b not in free:
            continue
        if any((e < other_e) != (b < other_b) for other_e, other_b in taken):
            continue
        taken.append((e, b))
        result[e] = Match(b, "likeness", score)
        free.discard(b)
