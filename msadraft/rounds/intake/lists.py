"""The numbers that a document shows, worked out from its own list definitions and from nothing else.

Follows ECMA-376 Part 1, section 17.9: a paragraph's list and level come from its own properties or from its style; a
level counts up, and begins again when a paragraph of an outer level has come; the pattern of a level shows its own
counter and those of outer levels.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_PLACE = re.compile(r"%([1-9])")
_ROMAN = (
    (1000, "m"), (900, "cm"), (500, "d"), (400, "cd"), (100, "c"), (90, "xc"), (50, "l"), (40, "xl"), (10, "x"),
    (9, "ix"), (5, "v"), (4, "iv"), (1, "i"),
)  # fmt: skip
LEVELS = 9
MOST_COUNT = 100_000


@dataclass(slots=True)
class Level:
    """One level of a list definition."""

    start: int = 1
    kind: str = "decimal"
    pattern: str = ""
    style: str = ""
    restart: int | None = None
    legal: bool = False


@dataclass(slots=True)
class ListUse:
    """One use of a list definition (`w:num`)."""

    definition: str
    levels: dict[int, Level] = field(default_factory=dict)
    starts: dict[int, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Shown:
    """The number of one paragraph: what stands in front of it, and how a person cites it."""

    label: str
    full: str
    level: int
    definition: str


def value(element: Any, name: str) -> str | None:
    """Give the `w:val` of a child, or None."""
    child = element.find(W + name) if element is not None else None
    return None if child is None else child.get(W + "val")


def whole(text: str | None, default: int) -> int:
    """Read a whole number that a document gives, within reason."""
    try:
        number = int(text) if text is not None and len(text) < 10 else default
    except ValueError:
        return default
    return number if abs(number) <= MOST_COUNT else default


class Lists:
    """The list definitions and the paragraph styles of one document."""

    def __init__(self, numbering: Any, styles: Any) -> None:
        """Read `word/numbering.xml` and `word/styles.xml`; either may be None."""
        self.definitions: dict[str, dict[int, Level]] = {}
        self.uses: dict[str, ListUse] = {}
        self.style_names: dict[str, str] = {}
        self._style_lists: dict[str, tuple[str | None, str | None]] = {}
        self._based_on: dict[str, str] = {}
        self._resolved: dict[str, tuple[str | None, int]] = {}
        self.default_style = ""
        if numbering is not None:
            self._read_numbering(numbering)
        if styles is not None:
            self._read_styles(styles)

    def _read_numbering(self, root: Any) -> None:
        links: dict[str, str] = {}
        named: dict[str, str] = {}
        for definition in root.iterfind(W + "abstractNum"):
            number = definition.get(W + "abstractNumId", "")
            self.definitions[number] = dict(self._level(level) for level in definition.iterfind(W + "lvl"))
            if (link := value(definition, "numStyleLink")) is not None:
                links[number] = link
            if (name := value(definition, "styleLink")) is not None:
                named[name] = number
        for number, link in links.items():
            if not self.definitions[number] and link in named:
                self.definitions[number] = self.definitions[named[link]]
        for use in root.iterfind(W + "num"):
            made = ListUse(value(use, "abstractNumId") or "")
            for override in use.iterfind(W + "lvlOverride"):
                depth = whole(override.get(W + "ilvl"), 0)
                if (start := value(override, "startOverride")) is not None:
                    made.starts[depth] = whole(start, 1)
                level = override.find(W + "lvl")
                if level is not None:
                    made.levels[depth] = self._level(level)[1]
            self.uses[use.get(W + "numId", "")] = made

    @staticmethod
    def _level(element: Any) -> tuple[int, Level]:
        restart = value(element, "lvlRestart")
        return whole(element.get(W + "ilvl"), 0), Level(
            whole(value(element, "start"), 1),
            value(element, "numFmt") or "decimal",
            value(element, "lvlText") or "",
            value(element, "pStyle") or "",
            None if restart is None else whole(restart, 0),
            element.find(W + "isLgl") is not None,
        )

    def _read_styles(self, root: Any) -> None:
        for style in root.iterfind(W + "style"):
            if style.get(W + "type") != "paragraph":
                continue
            style_id = style.get(W + "styleId", "")
            self.style_names[style_id] = value(style, "name") or style_id
            if style.get(W + "default") in ("1", "true"):
                self.default_style = style_id
            self._based_on[style_id] = value(style, "basedOn") or ""
            own = style.find(f"{W}pPr/{W}numPr")
            if own is not None:
                self._style_lists[style_id] = (value(own, "numId"), value(own, "ilvl"))

    def _of_style(self, style: str) -> tuple[str | None, int]:
        """The list and level that a style gives, by itself or through the style it is based on."""
        if style not in self._resolved:
            number: str | None = None
            depth: str | None = None
            seen: set[str] = set()
            at, owner = style, style
            while at and at not in seen:
                seen.add(at)
                own = self._style_lists.get(at)
                if own is not None:
                    depth = own[1] if depth is None else depth
                    if own[0] is not None:
                        number, owner = own[0], at
                        break
                at = self._based_on.get(at, "")
            linked = None
            if number is not None and number in self.uses:
                levels = self.definitions.get(self.uses[number].definition, {})
                linked = next((n for n, level in levels.items() if level.style == owner), None)
            self._resolved[style] = (number, linked if linked is not None else whole(depth, 0))
        return self._resolved[style]

    def of(self, style: str, own: Any) -> tuple[str, int] | None:
        """Give (list, level) of a paragraph with this style and this `w:numPr` of its own; None without a number."""
        number, depth = self._of_style(style or self.default_style)
        if own is not None:
            direct = value(own, "numId")
            if direct is not None:
                number = direct
                depth = 0
            level = value(own, "ilvl")
            if level is not None:
                depth = whole(level, 0)
        if number is None or number == "0" or number not in self.uses or not 0 <= depth < LEVELS:
            return None
        return number, depth

    def level(self, number: str, depth: int) -> Level:
        """Give the definition of one level of one list."""
        use = self.uses[number]
        return use.levels.get(depth) or self.definitions.get(use.definition, {}).get(depth) or Level()


class Counter:
    """Counts the lists of one document in reading order."""

    def __init__(self, lists: Lists) -> None:
        self.lists = lists
        self._counts: dict[str, dict[int, int]] = {}
        self._started: set[tuple[str, int]] = set()
        self._fulls: dict[str, dict[int, str]] = {}

    def next(self, number: str, depth: int) -> Shown:
        """Count one paragraph of a list and give its number."""
        use = self.lists.uses[number]
        counts = self._counts.setdefault(use.definition, {})
        level = self.lists.level(number, depth)
        if depth in use.starts and (number, depth) not in self._started:
            counts[depth] = use.starts[depth]
        else:
            counts[depth] = counts[depth] + 1 if depth in counts else level.start
        self._started.add((number, depth))
        for deeper in [n for n in counts if n > depth]:
            restart = self.lists.level(number, deeper).restart
            if restart is None or (restart and depth < restart):
                del counts[deeper]
        for outer in range(depth):
            # an outer level that has not come yet counts as begun
            counts.setdefault(outer, use.starts.get(outer, self.lists.level(number, outer).start))
        label = self._label(number, level, depth, counts)
        fulls = self._fulls.setdefault(use.definition, {})
        full = label.strip().rstrip(".")
        if not _shows_outer(level.pattern, depth):
            outer_full = next((fulls[n] for n in range(depth - 1, -1, -1) if n in fulls), "")
            full = outer_full + full
        for deeper in [n for n in fulls if n >= depth]:
            del fulls[deeper]
        fulls[depth] = full
        return Shown(label.strip(), full, depth, use.definition)

    def _label(self, number: str, level: Level, depth: int, counts: dict[int, int]) -> str:
        if level.kind in ("none", "bullet"):
            return _PLACE.sub("", level.pattern) if level.kind == "none" else ""

        def shown(match: re.Match[str]) -> str:
            at = int(match[1]) - 1
            if at > depth:
                return ""
            kind = "decimal" if level.legal else self.lists.level(number, at).kind
            return counted(counts.get(at, 1), kind)

        return _PLACE.sub(shown, level.pattern)


def _shows_outer(pattern: str, depth: int) -> bool:
    return depth == 0 or any(int(n) - 1 < depth for n in _PLACE.findall(pattern))


def counted(n: int, kind: str) -> str:
    """Show a counter: decimal, letters (a, b, … z, aa, bb) or Roman numerals; any other kind as a decimal."""
    if kind in ("lowerLetter", "upperLetter") and n > 0:
        text = chr(97 + (n - 1) % 26) * min(((n - 1) // 26 + 1), 40)
    elif kind in ("lowerRoman", "upperRoman") and 0 < n < 10_000:
        text, left = "", n
        for step, sign in _ROMAN:
            times, left = divmod(left, step)
            text += sign * times
    elif kind == "decimalZero":
        return f"{n:02d}"
    else:
        return str(n)
    return text.upper() if kind.startswith("upper") else text
