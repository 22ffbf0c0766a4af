"""Widths of table columns, worked out from their text. All measures are twips."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise

# Widths of the letters of the typeface in thousandths of an em (published metrics of Times).
_THOUSANDTHS = {
    200: "|", 250: " ,.\u00a0", 278: "/:;\\ijlt", 333: "!'()-I[]`fr\u2018\u2019", 389: "Js", 408: '"', 444: "?acez\u201c\u201d",
    500: "#$*0123456789_bdghknopquvxy\u2013", 556: "FPS", 564: "+<=>", 611: "ELTZ", 667: "BCR", 722: "ADGHKNOQUVXYw",
    778: "&m", 833: "%", 889: "M", 921: "@", 944: "W", 1000: "\u2014",
}  # fmt: skip
_EAST_ASIAN = 0x2E80  # the first code point of the East Asian blocks, whose signs are a full em wide
_BOLD = 1.1
_BREAKS = re.compile("[ \t\n]+")  # a no-break space holds its words together
_LONGEST = 9000
_WORD = 2600
_SMALLEST = 360
_SHORT = 2100  # a date in full
_SLACK = 40  # for a face a little wider than the one measured


class _Ems(dict[str, float]):
    """The width of a letter in ems; a letter that is not in the table is taken as a wide one of its kind."""

    def __missing__(self, sign: str) -> float:
        width = 1.0 if ord(sign) >= _EAST_ASIAN else 0.722 if sign.isupper() else 0.5
        self[sign] = width
        return width


_EMS = _Ems({sign: width / 1000 for width, signs in _THOUSANDTHS.items() for sign in signs})


@lru_cache(maxsize=4096)  # mostly words, and most words come again
def text_width(text: str, half_points: int, *, bold: bool = True) -> int:
    """Give the width of `text` in type of `half_points`, in twips. Bold letters are a little wider; figures are not."""
    ems = sum(map(_EMS.__getitem__, text))
    if bold:
        ems += (_BOLD - 1) * sum(_EMS[sign] for sign in text if sign.isalpha())
    return round(ems * half_points * 10)


def lines_of(text: str, width: int, half_points: int, *, bold: bool = False) -> int:
    """Count the lines that `text` takes in a column `width` twips wide."""
    lines = 0
    space = text_width(" ", half_points, bold=bold)
    for part in text.split("\n"):
        lines, used = lines + 1, 0
        for word in part.split(" "):
            size = text_width(word, half_points, bold=bold)
            if used and used + space + size > width:
                lines, used = lines + 1, size
            else:
                used += size + (space if used else 0)
            while used > width:  # a word that is wider than its column is cut
                lines, used = lines + 1, used - width
    return lines


def column_widths(
    columns: list[list[str]], stiff: list[bool], available: int, half_points: int, margins: int
) -> tuple[int, ...]:
    """Give whole widths that add up to `available`. The first text of a column is its header.

    Every column gets room for its longest word, a stiff one (amounts) for its longest cell under the header. What is
    left goes to columns of short cells first, so that a date does not wrap, then to long cells, then to the headers.
    """
    least, cells, whole = [], [], []
    for texts, keep in zip(columns, stiff, strict=True):
        sizes = [text_width(text, half_points) for text in texts]
        cell = min(max(sizes[1:], default=0), _LONGEST)
        word = max((text_width(word, half_points) for text in texts for word in _BREAKS.split(text)), default=0)
        need = max(cell, word) if keep and cell <= _WORD else word
        least.append(max(min(need, _WORD) + _SLACK, _SMALLEST) + margins)
        cells.append(max(cell + _SLACK + margins, least[-1]))
        whole.append(max(min(max(sizes, default=0), _LONGEST) + _SLACK + margins, least[-1]))
    if sum(whole) <= available or sum(least) > available:
        return _shared(whole if sum(whole) <= available else least, available)
    short = [cell if cell <= _SHORT + margins else low for low, cell in zip(least, cells, strict=True)]
    widths = least
    for liked in (short, cells, whole):
        widths = _granted(widths, liked, available)
    return tuple(widths)


def _granted(widths: list[int], liked: list[int], available: int) -> list[int]:
    """Widen the columns to what they would like, or in proportion to that as far as it goes."""
    wishes = [like - width for width, like in zip(widths, liked, strict=True)]
    spare = available - sum(widths)
    if sum(wishes) > spare:
        wishes = list(_shared(wishes, spare))
    return [width + wish for width, wish in zip(widths, wishes, strict=True)]


def _shared(weights: list[int], available: int) -> tuple[int, ...]:
    """Share `available` in proportion to `weights`, to the last twip."""
    total = sum(weights)
    edges = [0]
    for weight in weights:
        edges.append(edges[-1] + weight)
    return tuple(right - left for left, right in pairwise(edge * available // total for edge in edges))
