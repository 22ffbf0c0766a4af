"""The parties' own words in the facts: where they stand, and what a single sentence of them says.

These tests of wording are plain word searches. They find what is said openly; what is said in other words is left to
the person who reads the paper.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from msadraft.facts.base import Record
from msadraft.facts.model import Facts

_SENTENCE_END = re.compile(r"(?<=[.;!?])\s+")
_DENIES = re.compile(r"\b(no|not|never|nor|neither|none|nobody|without|cannot|nothing)\b|n['’]t\b", re.IGNORECASE)


def own_words(facts: Facts) -> Iterator[tuple[str, str]]:
    """Every text of the facts with its path, in the order of the facts; the notes on the negotiation never print."""
    return ((path, text) for path, text in _texts(facts, "") if not path.startswith("negotiation."))


def _texts(value: Any, path: str) -> Iterator[tuple[str, str]]:
    prefix = f"{path}." if path else ""
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, Record):
        for name in type(value).model_fields:
            yield from _texts(getattr(value, name), f"{prefix}{name}")
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _texts(inner, f"{prefix}{key}")
    elif isinstance(value, tuple):
        for index, inner in enumerate(value):
            yield from _texts(inner, f"{prefix}{index}")


def own_terms(facts: Facts) -> Iterator[tuple[str, str]]:
    """Every sentence of the terms that the parties wrote themselves: special terms and traded promises."""
    for n, term in enumerate(facts.case.special_terms):
        for sentence in sentences(term.body):
            yield f"case.special_terms.{n}.body", sentence
    for n, trade in enumerate(facts.case.traded_terms):
        yield f"case.traded_terms.{n}.given", trade.given
        yield f"case.traded_terms.{n}.in_return_for", trade.in_return_for


def sentences(text: str) -> list[str]:
    """The sentences of a text; parts of a list that end in a semicolon count as sentences."""
    return [part for part in _SENTENCE_END.split(text) if part.strip()]


def denies(sentence: str) -> bool:
    """Whether a sentence holds a word of denial, so that what it speaks of is rather forbidden than agreed."""
    return bool(_DENIES.search(sentence))


def speaks_of(sentence: str, *words: re.Pattern[str]) -> bool:
    """Whether every one of the patterns is found in the sentence."""
    return all(pattern.search(sentence) for pattern in words)


def pattern(source: str) -> re.Pattern[str]:
    """A pattern that takes capital and small letters alike."""
    return re.compile(source, re.IGNORECASE)
