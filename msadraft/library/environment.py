"""The template language of the clauses: Jinja2 in its sandbox, with our filters and functions.

Facts are data. Whatever an expression yields is put into the text as a mark that stands for a finished piece
(text with its source, a blank, a reference, a place to sign); only the clause's own words are read as
Markdown afterwards. So no fact can act as markup or as a template, and every piece keeps its source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date, time
from decimal import Decimal
from functools import lru_cache
from typing import Any

from jinja2 import StrictUndefined, Template, TemplateError, pass_context
from jinja2.runtime import Context

from msadraft.facts.people import Party
from msadraft.facts.view import View, path_of, plain
from msadraft.library import wording
from msadraft.library.bounds import RENDER_ERRORS, BoundedEnvironment, begin
from msadraft.library.compiled import CompiledStore
from msadraft.tree import Blank, Inline, Reference, Text

MARK_SIGNS = "\ue000\ue001"
MARK = re.compile(f"{MARK_SIGNS[0]}([0-9]+){MARK_SIGNS[1]}")


class WordingError(Exception):
    """A clause asks for something that does not work: an unknown fact, a filter on the wrong kind of value."""


@dataclass(frozen=True, slots=True)
class SignHere:
    """A place to sign, to be set as a block of its own."""

    name: tuple[Inline, ...]
    capacity: tuple[Inline, ...]
    statement: tuple[Inline, ...] = ()
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Shown:
    """Finished pieces of text, as a filter gives them."""

    pieces: tuple[Inline, ...]

    def __str__(self) -> str:
        return "".join(p.text for p in self.pieces if isinstance(p, Text))


@dataclass(slots=True)
class Pieces:
    """The pieces put into one rendered text; a mark in the text is an index into them."""

    found: list[Inline | SignHere] = field(default_factory=list)

    def mark(self, piece: Inline | SignHere) -> str:
        """Keep a piece and give the mark that stands for it."""
        self.found.append(piece)
        return f"\ue000{len(self.found) - 1}\ue001"

    def of(self, text: str) -> list[str | Inline | SignHere]:
        """Split a text at its marks."""
        parts: list[str | Inline | SignHere] = []
        for n, part in enumerate(MARK.split(text)):
            if n % 2:
                parts.append(self.found[int(part)])
            elif part:
                parts.append(part)
        return parts


def _filter(of: Callable[..., str], *kinds: type) -> Callable[..., Shown]:
    """Make a filter of a wording function: None gives a blank, the path is kept, a wrong kind is an error."""

    def apply(value: Any, *args: Any) -> Shown:
        bare = plain(value)
        if bare is None:
            return Shown((Blank(path_of(value)),))
        if isinstance(bare, int) and not isinstance(bare, bool) and Decimal in kinds:
            bare = Decimal(bare)
        if not isinstance(bare, kinds) or isinstance(bare, bool):
            raise WordingError(f"{path_of(value) or bare!r} is not of a kind that this filter can show")
        return Shown((Text(of(bare, *(plain(a) for a in args)), path_of(value)),))

    return apply


def _capital(value: Any) -> Shown:
    """First letter large, for the start of a sentence."""
    first, *rest = _shown(value)
    if isinstance(first, Text) and first.text:
        first = Text(first.text[0].upper() + first.text[1:], first.source, first.bold, first.italic)
    return Shown((first, *rest))


def _the(value: Any) -> Shown:
    """A label with its article: "the" is put before it unless it brings an article or an owner of its own."""
    first, *rest = _shown(value)
    if isinstance(first, Text) and first.text:
        word = first.text.split()[0].lower()
        if word not in ("the", "a", "an", "all", "each", "any") and not word.endswith(("'s", "’s", "s'", "s’")):
            return Shown((Text("the "), first, *rest))
    return Shown((first, *rest))


def _shown(value: Any) -> tuple[Inline, ...]:
    """Turn any value that an expression can yield into finished pieces."""
    if isinstance(value, Shown):
        return value.pieces
    bare, path = plain(value), path_of(value)
    if bare is None:
        return (Blank(path),)
    if isinstance(bare, str):
        return (Text(bare, path),)
    if isinstance(bare, bool):
        raise WordingError(f"{path or bare} is yes or no and cannot be printed; say it in words")
    if isinstance(bare, int):
        return (Text(f"{bare:,}" if path else str(bare), path),)
    if isinstance(bare, date):
        return (Text(wording.day(bare), path),)
    if isinstance(bare, time):
        return (Text(wording.clock(bare), path),)
    raise WordingError(f"{path or bare!r} cannot be printed as it is; give it a filter such as money or percent")


@pass_context
def _finalize(context: Context, value: Any) -> str:
    if isinstance(value, SignHere):
        return context["_pieces"].mark(value)  # type: ignore[no-any-return]
    if isinstance(value, str) and MARK.search(value):
        return value  # a {% set %} block: its own words, with the marks already in it
    mark = context["_pieces"].mark
    return "".join([mark(piece) for piece in _shown(value) if not (isinstance(piece, Text) and not piece.text)])


def _joined(values: Iterable[Any], show: Callable[[Any], tuple[Inline, ...]], word: str) -> Shown:
    """Join several shown values into a list with commas and `word`, each keeping its source."""
    shown = [show(v) for v in values]
    pieces: list[Inline] = []
    for n, each in enumerate(shown):
        if n:
            last = n == len(shown) - 1
            comma = "," if len(shown) > 2 else ""
            pieces.append(Text(f"{comma} {word} " if last else ", "))
        pieces.extend(each)
    return Shown(tuple(pieces))


def _names(values: Iterable[Any], word: str = "and") -> Shown:
    """The full names of several children or parties, as a list: `figures.minor_children | names`."""
    return _joined(values, lambda v: _shown(v.name.full if isinstance(v, View) else v), word)


def _first_names(values: Iterable[Any], word: str = "and") -> Shown:
    """The first names of several children, as a list."""
    return _joined(values, lambda v: _shown(v.name.first), word)


def _labels(values: Iterable[Any], word: str = "and") -> Shown:
    """The labels of several assets, or plain values, as a list."""
    return _joined(
        values, lambda v: _shown(v.label if isinstance(plain(v), object) and hasattr(plain(v), "label") else v), word
    )


def _phrases(values: Iterable[Any], table: dict[str, str], word: str = "and") -> Shown:
    """Several allowed values of a fact in words, as a list: `x.end_events | phrases({...}, "or")`."""
    return _joined(values, lambda v: (Text(_look_up(table, v), path_of(v)),), word)


def _phrase(value: Any, table: dict[str, str]) -> Shown:
    """One allowed value of a fact in words: `x.rule | phrase({"both": "both parents"})`. Unknown value: an error."""
    if plain(value) is None:
        return Shown((Blank(path_of(value)),))
    return Shown((Text(_look_up(table, value), path_of(value)),))


def _look_up(table: dict[str, str], value: Any) -> str:
    try:
        return str(table[plain(value)])
    except KeyError:
        raise WordingError(f"no words are given for {plain(value)!r} of {path_of(value)}") from None


class Words:
    """Marriage or partnership words, so that one clause serves both: `words.spouse`, `words.spousal_support`."""

    def __init__(self, relationship: str, proceeding: str) -> None:
        """Choose the words by relationship ("marriage", "partnership", "both") and proceeding."""
        partners = relationship == "partnership"
        self.spouse = "partner" if partners else "spouse"
        self.spouses = "partners" if partners else "spouses"
        self.former_spouse = "former partner" if partners else "former spouse"
        self.surviving_spouse = "surviving partner" if partners else "surviving spouse"
        self.spousal = "partner" if partners else "spousal"
        self.spousal_support = "partner support" if partners else "spousal support"
        self.married = "registered as domestic partners" if partners else "married"
        self.marriage = {
            "marriage": "marriage",
            "partnership": "domestic partnership",
            "both": "marriage and domestic partnership",
        }[relationship]
        self.marital = "partnership" if partners else "marital"
        self.marital_status = "partnership status" if partners else "marital status"
        self.dissolution = {
            "dissolution": f"dissolution of {self.marriage}", "legal_separation": "legal separation", "nullity": f"nullity of {self.marriage}",
        }[proceeding]  # fmt: skip


def namespace(facts_view: View, figures_view: View, has: Callable[..., bool]) -> dict[str, Any]:
    """Everything that a clause can name, apart from its own loop variable."""
    root = {name: getattr(facts_view, name) for name in type(plain(facts_view)).model_fields}
    case = plain(facts_view).case
    petitioner, respondent = root["petitioner"], root["respondent"]
    by_role = {"petitioner": petitioner, "respondent": respondent}

    def party(role: Any) -> View:
        """The party with a role: `party_of(child_support.payer)`. Not known: an empty party."""
        bare = plain(role)
        if isinstance(bare, Party):
            return role  # type: ignore[no-any-return]
        return by_role[bare] if bare in by_role else View(None, path_of(role), facts_view._seen, facts_view._find)

    def other(role: Any) -> View:
        """The other party."""
        one = party(role)
        flipped: dict[str, View] = {"petitioner": respondent, "respondent": petitioner}
        return flipped.get(path_of(one), one)

    def label(role: Any) -> Shown:
        """What the agreement calls a party: the given name, or Petitioner and Respondent."""
        one = party(role)
        if plain(one) is None:
            return Shown((Blank(path_of(role)),))
        source = path_of(role) if not isinstance(plain(role), Party) else f"{path_of(one)}.name.first"
        text = (
            path_of(one).capitalize()
            if case.party_labels == "roles" or case.path == "default"
            else plain(one).name.first
        )
        return Shown((Text(text, source),))

    def role_label(role: Any) -> Shown:
        one = party(role)
        return (
            Shown((Blank(path_of(role)),))
            if plain(one) is None
            else Shown((Text(path_of(one).capitalize(), path_of(role)),))
        )

    def owns(value: Any) -> Shown:
        """Possessive of a party's label, or of any shown text."""
        is_party = plain(value) in by_role or isinstance(plain(value), Party)
        *first, last = label(value).pieces if is_party else _shown(value)
        return Shown((*first, Text(wording.possessive(last.text), last.source) if isinstance(last, Text) else last))

    def found(group: str) -> Callable[[Any], View]:
        def look_up(key: Any) -> View:
            bare = plain(key)
            records = plain(root[group])
            return (
                root[group][bare] if bare in records else View(None, path_of(key), facts_view._seen, facts_view._find)
            )

        return look_up

    def share_of(role: Any, petitioner_percent: Any) -> Shown:
        """A party's percentage, given the petitioner's: `share_of(respondent, x.petitioner_percent)`."""
        bare = plain(petitioner_percent)
        one = party(role)
        if bare is None or plain(one) is None:
            return Shown((Blank(path_of(petitioner_percent) or path_of(role)),))
        return Shown(
            (Text(wording.percent(bare if path_of(one) == "petitioner" else 100 - bare), path_of(petitioner_percent)),)
        )

    def support_to(role: Any) -> View:
        """Spousal support paid to a party."""
        return getattr(root["spousal_support"], f"to_{path_of(party(role))}")  # type: ignore[no-any-return]

    def sign_here(role: Any, capacity: Any = "", statement: Any = "", lines: Iterable[str] = ()) -> SignHere:
        one = party(role)
        return SignHere(
            _shown(one.name.full if plain(one) is not None else role),
            _shown(capacity or role_label(one)),
            _shown(statement) if statement else (),
            tuple(lines),
        )

    def sign_line(name: Any, capacity: Any, statement: Any = "", lines: Iterable[str] = ()) -> SignHere:
        return SignHere(_shown(name), _shown(capacity), _shown(statement) if statement else (), tuple(lines))

    return {
        **root,
        "figures": figures_view,
        "parties": [petitioner, respondent],
        "words": Words(case.relationship, case.proceeding),
        "always": True,
        "has": has,
        "para": lambda target, item=None: Shown((Reference(_target(target, item)),)),
        "article": lambda name: Shown((Reference(f"article.{plain(name)}"),)),
        "exhibit": lambda name: Shown((Reference(f"exhibit.{plain(name)}"),)),
        "party_of": party,
        "other": other,
        "label": label,
        "role": role_label,
        "owns": owns,
        "child_named": found("children"),
        "asset_named": found("assets"),
        "debt_named": found("debts"),
        "share_of": share_of,
        "support_to": support_to,
        "sign_here": sign_here,
        "sign_line": sign_line,
        "blank": lambda fact: Shown((Blank(path_of(fact)),)),
    }


def _target(target: Any, item: Any) -> str:
    """The id of a paragraph: `property.home.buyout` with the item `home` and the label `price` is one string."""
    clause, slash, label = str(target).partition("/")
    key = f":{item.key!s}" if isinstance(item, View) else f":{item}" if item is not None else ""
    return f"{clause}{key}{slash}{label}"


def _is_given(value: Any) -> bool:
    """Whether a fact is known: a sum of 0 and a plain "no" are, an empty list is not."""
    if hasattr(value, "_given"):
        return bool(value._given())
    bare = value._read() if isinstance(value, View) else value  # noted as read: it decides
    return bare is not None and bare != () and bare != {}


class _ClauseEnvironment(BoundedEnvironment):
    """The sandbox, with a short way to facts: a `View` lets nobody see anything but facts, so it needs no second look."""

    def getattr(self, obj: Any, attribute: str) -> Any:
        if type(obj) is View and attribute[:1] != "_":
            try:
                return obj.__getattr__(attribute)
            except AttributeError:
                return super().getattr(obj, attribute)
        return super().getattr(obj, attribute)

    def getitem(self, obj: Any, argument: Any) -> Any:
        """An item; the name of a fact, as `selectattr` asks for it, is looked for among the facts at once."""
        if type(obj) is View and type(argument) is str and not isinstance(plain(obj), dict):
            return self.getattr(obj, argument)
        return super().getitem(obj, argument)


@lru_cache(maxsize=1)
def environment() -> BoundedEnvironment:
    """The one sandboxed Jinja2 environment of all clauses."""
    env = _ClauseEnvironment(
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        autoescape=False,
        finalize=_finalize,
        keep_trailing_newline=True,
        cache_size=0,
    )
    env.filters.update(
        money=_filter(wording.money, Decimal),
        money_words=_filter(wording.money_words, Decimal),
        date=_filter(wording.day, date),
        month_year=_filter(wording.month_year, date),
        year=_filter(wording.year, int),
        clock=_filter(wording.clock, time),
        percent=_filter(wording.percent, Decimal),
        quantity=_filter(wording.trim, Decimal),
        count=_filter(wording.count, int),
        number_words=_filter(wording.number_words, int),
        ordinal=_filter(wording.ordinal, int),
        capital=_capital,
        the=_the,
        names=_names,
        first_names=_first_names,
        labels=_labels,
        phrase=_phrase,
        phrases=_phrases,
    )
    env.tests["given"] = _is_given
    env.tests["missing"] = lambda value: not _is_given(value)
    return env


@lru_cache(maxsize=1)
def store() -> CompiledStore:
    """The compiled templates and conditions of this environment."""
    return CompiledStore(environment())


def expression(source: str) -> Callable[..., Any]:
    """Compile one condition."""
    begin()
    try:
        return store().expression(source)
    except (TemplateError, ValueError, RecursionError, MemoryError) as error:
        raise WordingError(f"the condition {source!r} cannot be read: {error}") from error


def template(source: str) -> Template:
    """Compile the text of one clause."""
    begin()
    return store().template(source)


def holds(source: str, names: dict[str, Any]) -> bool:
    """Whether a condition holds."""
    if source == "always":
        return True
    try:
        return bool(expression(source)(names))
    except RENDER_ERRORS as error:
        raise WordingError(f"the condition {source!r} cannot be decided: {error or type(error).__name__}") from error


def records_of(source: str, names: dict[str, Any]) -> list[View]:
    """The records that a for_each runs over."""
    try:
        found = list(expression(source)(names))
    except RENDER_ERRORS as error:
        raise WordingError(f"the list {source!r} cannot be made: {error or type(error).__name__}") from error
    if not all(isinstance(one, View) for one in found):
        raise WordingError(f"the list {source!r} holds something else than records of the facts")
    return found


__all__ = [
    "MARK",
    "Pieces",
    "Shown",
    "SignHere",
    "WordingError",
    "Words",
    "environment",
    "expression",
    "holds",
    "namespace",
    "records_of",
    "store",
    "template",
]
