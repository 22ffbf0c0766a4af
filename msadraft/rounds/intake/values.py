"""Read a value back from the words that a clause shows it in: the inverse of the filters.

Which filter was used is not recorded, so each one that would show the present value in just these words is tried; its
inverse then reads the new words. A value is only proposed if it can be written into the facts.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal, InvalidOperation
from typing import Any

from msadraft.facts.model import Facts
from msadraft.facts.paths import UnknownPathError, field_at, get
from msadraft.library import wording

_MONEY = re.compile(r"\$?\s?((?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d{1,2})?)")
_MONEY_WORDS = re.compile(r"(.+?) dollars?(?: and (.+?) cents?)? \((\$[^)]*)\)")
_DAY = re.compile(r"([A-Za-z]+)\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})")
_NUMERIC_DAY = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})")
_ISO_DAY = re.compile(r"(\d{4})-(\d{2})-(\d{2})")
_CLOCK = re.compile(r"(\d{1,2})(?::(\d{2}))? ?([ap])\.? ?m\.?", re.IGNORECASE)
_PERCENT = re.compile(r"(\d{1,3}(?:\.\d{1,4})?) ?(?:%|percent)")
_COUNT = re.compile(r"(\S+) (.+)")
_ORDINAL = re.compile(r"(\d+)(?:st|nd|rd|th)")
_UNITS = {
    word: n
    for n, word in enumerate(
        [
            "zero",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ]
    )
}
_TENS = {
    w: 10 * n for n, w in enumerate(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], 2)
}
_SCALES = {"thousand": 1000, "million": 1_000_000, "billion": 1_000_000_000}
ROLES = ("petitioner", "respondent")


@dataclass(frozen=True, slots=True)
class Read:
    """A value read back: the path of its fact, how it is written in the facts, and how the clause will show it."""

    path: str
    written: str
    shown: str


@dataclass(frozen=True, slots=True)
class _Way:
    """One filter: how it shows a value, how words are read back, and how the value is written into the facts."""

    show: Callable[[Any], str]
    read: Callable[[str], Any]
    write: Callable[[Any], str]


def plain_spaces(text: str) -> str:
    """Give text with single plain spaces."""
    return " ".join(text.split())


def read_back(facts: Facts, path: str, old: str, new: str) -> Read | None:
    """Give the fact that `new` says, where `old` showed the fact at `path`; None if that cannot be told for sure."""
    old, new = plain_spaces(old), plain_spaces(new)
    if not new or path.startswith("figures."):
        return None
    if path.endswith(".name.full"):
        return _full_name(facts, path.removesuffix(".full"), old, new)
    try:
        shape = field_at(path).shape
        value = get(facts, path)
    except UnknownPathError:
        return None
    if shape.form != "value":
        return None
    for way in _ways(facts, shape.reader, shape.choices, old, value):
        if value is not None and plain_spaces(way.show(value)) != old:
            continue
        found = way.read(new)
        if found is not None and found != value:
            return Read(path, way.write(found), way.show(found))
    return None


def _ways(facts: Facts, kind: str, choices: tuple[str, ...], old: str, value: Any) -> Iterator[_Way]:
    if kind == "money":
        yield _Way(wording.money, read_money, _write_money)
        yield _Way(wording.money_words, lambda new: _read_money_words(old, new), _write_money)
    elif kind == "day":
        yield _Way(wording.day, read_day, lambda v: str(v.isoformat()))
    elif kind == "clock":
        yield _Way(wording.clock, read_clock, lambda v: f"{v.hour:02d}:{v.minute:02d}")
    elif kind == "percent":
        yield _Way(wording.percent, read_percent, wording.trim)
        yield _Way(wording.trim, _read_decimal, wording.trim)
        yield _Way(lambda v: wording.percent(100 - v), lambda new: _rest(read_percent(new)), wording.trim)
    elif kind == "quantity":
        yield _Way(wording.trim, _read_decimal, wording.trim)
    elif kind == "whole":
        yield _Way(lambda v: f"{v:,}", _read_whole, str)
        yield from _counted(old, value)
        yield _Way(wording.number_words, read_number_words, str)
        yield _Way(wording.ordinal, lambda new: _matched_int(_ORDINAL, new), str)
    elif kind == "choice":
        if set(choices) & set(ROLES):
            yield from _labels(facts, choices)
    elif kind in ("text", "last_four"):
        yield _Way(str, lambda new: new, str)
        yield _Way(_capital, lambda new: _like(str(value), new) if value else new, str)
        yield from (_with_article("the "), _with_article("The "))
        yield _Way(wording.possessive, lambda new: new[:-2] if new.endswith(("’s", "'s")) else None, str)


def _with_article(article: str) -> _Way:
    def read(new: str) -> str | None:
        return new.removeprefix(article) if new.startswith(article) else None

    return _Way(lambda value: article + str(value), read, str)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _like(model: str, text: str) -> str:
    """Give text with its first letter as small as that of `model`."""
    return text[:1].lower() + text[1:] if model[:1].islower() else text


def _write_money(value: Decimal) -> str:
    return format(value.quantize(Decimal("0.01")), "f")


def read_money(text: str) -> Decimal | None:
    """Read $1,850.00, 1850 or $1,850."""
    found = _MONEY.fullmatch(text.strip().removesuffix(" dollars"))
    return Decimal(found[1].replace(",", "")) if found else None


def _read_money_words(old: str, new: str) -> Decimal | None:
    """Read an amount in words and figures; where they disagree, the one of the two that was changed."""
    found = _MONEY_WORDS.fullmatch(new)
    if not found:
        return None
    figure = read_money(found[3])
    words = _dollars(found[1], found[2])
    if figure == words:
        return figure
    before = _MONEY_WORDS.fullmatch(old)
    if before is None:
        return None
    words_before, figure_before = _dollars(before[1], before[2]), read_money(before[3])
    if words == words_before:
        return figure
    return words if figure == figure_before else None


def _dollars(dollars: str, cents: str | None) -> Decimal | None:
    whole = read_number_words(dollars)
    part = read_number_words(cents) if cents else 0
    if whole is None or part is None or part > 99:
        return None
    return Decimal(whole) + Decimal(part) / 100


def read_number_words(text: str) -> int | None:
    """Read a whole number in words: "one thousand eight hundred fifty"."""
    total = current = 0
    seen = False
    for word in text.lower().replace("-", " ").replace(",", " ").split():
        if word == "and":
            continue
        if word in _UNITS:
            current += _UNITS[word]
        elif word in _TENS:
            current += _TENS[word]
        elif word == "hundred":
            current = max(1, current) * 100
        elif word in _SCALES:
            total, current = total + max(1, current) * _SCALES[word], 0
        else:
            return None
        seen = True
    return total + current if seen else None


def read_day(text: str) -> date | None:
    """Read November 30, 2026, 11/30/2026 or 2026-11-30."""
    try:
        if found := _DAY.fullmatch(text):
            months = [m.lower() for m in wording.MONTHS]
            at = [n for n, m in enumerate(months, 1) if m == found[1].lower() or m[:3] == found[1].lower()]
            return date(int(found[3]), at[0], int(found[2])) if at else None
        if found := _NUMERIC_DAY.fullmatch(text):
            return date(int(found[3]), int(found[1]), int(found[2]))
        if found := _ISO_DAY.fullmatch(text):
            return date(int(found[1]), int(found[2]), int(found[3]))
    except ValueError:
        return None
    return None


def read_clock(text: str) -> time | None:
    """Read 6:00 p.m., 6 pm, noon or midnight."""
    if text.lower() in ("noon", "midnight"):
        return time(12 if text.lower() == "noon" else 0)
    found = _CLOCK.fullmatch(text)
    if not found:
        return None
    hour, minute = int(found[1]), int(found[2] or 0)
    if not (1 <= hour <= 12 and minute < 60):
        return None
    return time(hour % 12 + (12 if found[3].lower() == "p" else 0), minute)


def read_percent(text: str) -> Decimal | None:
    """Read 50%, 35.71 % or 50 percent."""
    found = _PERCENT.fullmatch(text)
    return Decimal(found[1]) if found and Decimal(found[1]) <= 100 else None


def _rest(value: Decimal | None) -> Decimal | None:
    return None if value is None else 100 - value


def _read_decimal(text: str) -> Decimal | None:
    try:
        found = Decimal(text.replace(",", ""))
    except InvalidOperation:
        return None
    return found if found.is_finite() and found >= 0 else None


def _read_whole(text: str) -> int | None:
    bare = text.replace(",", "")
    return int(bare) if bare.isdecimal() and bare.isascii() and len(bare) < 10 else None


def _matched_int(pattern: re.Pattern[str], text: str) -> int | None:
    found = pattern.fullmatch(text)
    return int(found[1]) if found and len(found[1]) < 10 else None


def _counted(old: str, value: Any) -> Iterator[_Way]:
    """A count with its noun. The noun comes from the words themselves, since only the clause knows it."""
    parts = _COUNT.fullmatch(old)
    noun = parts[2] if parts else ""

    def show(n: int) -> str:
        one = noun.removesuffix("s") if value is not None and value != 1 else noun
        many = noun if value is not None and value != 1 else f"{noun}s"
        return wording.count(n, one, many)

    def read(new: str) -> int | None:
        found = _COUNT.fullmatch(new)
        if not found or (noun and found[2].removesuffix("s") != noun.removesuffix("s")):
            return None
        whole = _read_whole(found[1])
        return whole if whole is not None else read_number_words(found[1])

    yield _Way(show, read, str)


def _labels(facts: Facts, choices: tuple[str, ...]) -> Iterator[_Way]:
    """What the agreement calls a party, plain and possessive, from the role that the fact holds."""
    names = {"petitioner": facts.petitioner.name.first, "respondent": facts.respondent.name.first}
    sets = [names, {role: role.capitalize() for role in ROLES}]
    for called in sets:
        for ending in ("", "’s"):

            def show(value: Any, called: dict[str, str] = called, ending: str = ending) -> str:
                return called[value] + ending if value in called else ""

            def read(new: str, called: dict[str, str] = called, ending: str = ending) -> str | None:
                return next((r for r in ROLES if r in choices and called[r] + ending == new.replace("'", "’")), None)

            yield _Way(show, read, str)


def _full_name(facts: Facts, path: str, old: str, new: str) -> Read | None:
    """A full name: the one part of it that was changed."""
    parts: list[tuple[str, str]] = []
    for key in ("first", "middle", "last", "suffix"):
        try:
            value = get(facts, f"{path}.{key}")
        except UnknownPathError:
            continue
        if value:
            parts.append((key, value))
    if plain_spaces(" ".join(v for _, v in parts)) != old:
        return None
    for n, (key, _) in enumerate(parts):
        before = "".join(f"{v} " for _, v in parts[:n])
        after = "".join(f" {v}" for _, v in parts[n + 1 :])
        if new.startswith(before) and new.endswith(after) and len(new) > len(before) + len(after):
            changed = new[len(before) : len(new) - len(after)] if after else new[len(before) :]
            return Read(f"{path}.{key}", changed, new)
    return None
