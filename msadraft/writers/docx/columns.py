"""Widths of table columns, worked out from their text. All measures are twips."""

from __future__ import annotations

import re
from itertools import pairwise

_NARROW = frozenset("iljtfrI.,;:'!|()[]-/ \u00a0")
_WIDE = frozenset("mwMW@%\u2014")
_EAST_ASIAN = 0x2E80  # the first code point of the East Asian blocks, whose signs are a full em wide
_BREAKS = re.compile("[ \t\n]+")  # a no-break space holds its words together
_LONGEST = 9000
_WORD = 2600
_SMALLEST = 360


class _Ems(dict[str, float]):
    """The rough width of a letter in ems, kept once it was asked for."""

    def __missing__(self, sign: str) -> float:
        if sign in _NARROW:
            width = 0.33
        elif sign in _WIDE:
            width = 0.95
        elif sign.isupper():
            width = 0.72
        else:
            width = 0.5 if ord(sign) < _EAST_ASIAN else 1.0
        self[sign] = width
        return width


_EMS = _Ems()


def text_width(text: str, half_points: int) -> int:
    """Give the rough width of `text` in a bold serif face of `half_points`, in twips."""
    return round(sum(map(_EMS.__getitem__, text)) * half_points * 10)


def column_widths(
    columns: list[list[str]], stiff: list[bool], available: int, half_points: int, margins: int
) -> tuple[int, ...]:
    """Give whole widths that add up to `available`.

    Every column gets room for its longest word, a stiff one (amounts) for its longest cell; what is left is shared in
    proportion to what the columns would still like.
    """
    least, liked = [], []
    for texts, keep in zip(columns, stiff, strict=True):
        longest = min(max((text_width(text, half_points) for text in texts), default=0), _LONGEST)
        word = max((text_width(word, half_points) for text in texts for word in _BREAKS.split(text)), default=0)
        need = longest if keep and longest <= _WORD else min(word, longest)
        least.append(max(min(need, _WORD), _SMALLEST) + margins)
        liked.append(max(longest + margins, least[-1]))
    spare = available - sum(least)
    if spare < 0:
        return _shared(least, available)
    wishes = [like - low for like, low in zip(liked, least, strict=True)]
    if sum(wishes) <= spare:
        return _shared(liked, available)
    return tuple(low + extra for low, extra in zip(least, _shared(wishes, spare), strict=True))


def _shared(weights: list[int], available: int) -> tuple[int, ...]:
    """Share `available` in proportion to `weights`, to the last twip."""
    total = sum(weights)
    edges = [0]
    for weight in weights:
        edges.append(edges[-1] + weight)
    return tuple(right - left for left, right in pairwise(edge * available // total for edge in edges))
