"""Facts by dotted path: what a path means, who may see it, what it holds.

A path names one fact: `child_support.amount`, `children.wren.born_on`, `spousal_support.to_petitioner.steps.0.amount`
(list items count from 0). A generic path writes `*` for a short name or a list position: `children.*.born_on`.
Everything here is worked out once from the models, so that there is no second list to keep.
"""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Annotated, Any, Literal, Union, cast, get_args, get_origin

from msadraft.facts.base import Privacy, Record
from msadraft.facts.model import Facts
from msadraft.facts.scalars import Reader

HOW_TO_WRITE = {
    "text": "text",
    "money": "dollars and cents, like 1850.00",
    "day": "a date as year-month-day, like 2026-11-30",
    "clock": "a time on the 24-hour clock, like 18:00",
    "whole": "a whole number, like 45",
    "percent": "a percentage from 0 to 100, like 50 or 35.71",
    "quantity": "a number with up to eight decimals, like 0.25",
    "yes_no": "yes or no",
    "last_four": "at most the last four digits, like 4821",
    "key": "a short name, like joint_savings",
}
"""How a value of each kind is written, by the name of its reader in `scalars`."""


ANSWERS = {
    "ssi": "SSI", "ssdi": "SSDI", "va": "VA benefits", "medi_cal": "Medi-Cal", "calworks": "CalWORKs", "calfresh": "CalFresh",
    "tsp": "TSP", "uc": "UC", "ira": "IRA", "roth_ira": "Roth IRA", "sep_ira": "SEP IRA", "calpers": "CalPERS",
    "calstrs": "CalSTRS", "401k": "401(k)", "403b": "403(b)", "457b": "457(b)", "county_1937": "County plan (1937 Act)",
    "pension_private": "Private pension", "llc": "LLC", "s_corporation": "S corporation", "c_corporation": "C corporation",
    "2255": "2-2-5-5", "223": "2-2-3", "contribution_2640": "Contribution (Fam. Code § 2640)",
    "education_2641": "Education (Fam. Code § 2641)", "529": "529 plan", "stepup": "Step-up plan",
    "joint_tiebreak": "Joint, with a tie-break", "hug": "Hug formula", "nelson": "Nelson formula",
}  # fmt: skip
"""What a form shows for an answer whose own word would not do."""


class UnknownPathError(LookupError):
    """No fact has this path."""


@dataclass(frozen=True, slots=True)
class Shape:
    """What may stand in one place of the facts.

    Attributes:
        form: a record (fixed keys), a map (short names of one's own), a list, or a single value.
        record: the model, if a record.
        item: the shape of each entry, if a map or list.
        reader: kind of a single value (a key of `HOW_TO_WRITE`, or "choice").
        choices: the allowed values, if a choice.
        schema: JSON Schema of a single value, as an editor's YAML reader types it.
    """

    form: Literal["record", "map", "list", "value"]
    record: type[Record] | None = None
    item: Shape | None = None
    reader: str = ""
    choices: tuple[str, ...] = ()
    schema: Mapping[str, Any] | None = None

    @property
    def how_to_write(self) -> str:
        """In a few words, what is to be written here."""
        if self.form == "value":
            return "one of: " + ", ".join(self.choices) if self.choices else HOW_TO_WRITE[self.reader]
        return {"record": "a group of keys", "map": "a group of short names", "list": "a list"}[self.form]


@dataclass(frozen=True, slots=True)
class FactField:
    """One fact, or one entry of a list or map of facts.

    Attributes:
        name: the key; `*` for an entry.
        title: what a form calls it: the title that the model gives it, else its key in words.
        says: what it means.
        privacy: its own class, see `msadraft.facts.base.Privacy`; `privacy_of` also heeds the groups around it.
        unit: unit of a bare number, or empty.
        required: whether its group cannot do without it.
        default: what holds when it is not given.
        shape: what may stand there.
    """

    name: str
    title: str
    says: str
    privacy: Privacy
    unit: str
    required: bool
    default: Any
    shape: Shape

    @property
    def has_own_title(self) -> bool:
        """Whether the model gives it a title, because its key in words would not do."""
        return self.title != words(self.name)


def words(name: str) -> str:
    """A key of the facts as a person reads it: words, the first one with a capital."""
    text = name.replace("_", " ")
    return text[:1].upper() + text[1:]


def _shape(hint: Any) -> Shape:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        (hint,) = (part for part in get_args(hint) if part is not type(None))
        return _shape(hint)
    if origin is Annotated:
        (reader,) = (extra for extra in hint.__metadata__ if isinstance(extra, Reader))
        return Shape("value", reader=reader.read.__name__.removeprefix("read_"), schema=reader.json_schema)
    if origin is Literal:
        return Shape("value", reader="choice", choices=get_args(hint))
    if origin is tuple:
        return Shape("list", item=_shape(get_args(hint)[0]))
    if origin is dict:
        return Shape("map", item=_shape(get_args(hint)[1]))
    if isinstance(hint, type) and issubclass(hint, Record):
        return Shape("record", record=hint)
    raise TypeError(f"facts cannot hold {hint!r}")


@cache
def fields_of(record: type[Record]) -> Mapping[str, FactField]:
    """The facts of one record, by key, in the order of the model."""
    hints: dict[str, Any] = {}
    for kind in reversed(record.__mro__):
        hints |= vars(kind).get("__annotations__", {})  # no strings: the models carry no postponed annotations
    found = {}
    for name, info in record.model_fields.items():
        extra = cast("dict[str, Any]", info.json_schema_extra)
        found[name] = FactField(
            name=name,
            title=info.title or words(name),
            says=info.description or "",
            privacy=extra["privacy"],
            unit=extra.get("unit", ""),
            required=info.is_required(),
            default=None if info.is_required() else info.default,
            shape=_shape(hints[name]),
        )
    return types.MappingProxyType(found)


def answer_words(answer: str, record: type[Record] | None = None) -> str:
    """What a form shows for one of the answers of a choice.

    Args:
        answer: as it stands in the facts.
        record: the group of the fact. An answer that names a group in it, as the kind of an asset does, has its title.
    """
    if answer in ANSWERS:
        return ANSWERS[answer]
    inner = fields_of(record).get(answer) if record is not None else None
    if inner is not None and inner.shape.record is not None:
        return inner.title
    return words(answer) if answer.islower() else answer


ROOT = Shape("record", record=Facts)


def _steps(path: str) -> Iterator[FactField]:
    """The field reached by each part of a path, generic or concrete."""
    shape = ROOT
    above: FactField | None = None
    for part in path.split("."):
        if shape.record is not None:
            step = fields_of(shape.record).get(part)
        elif shape.item is not None and above is not None and (shape.form == "map" or part == "*" or part.isdecimal()):
            record = shape.item.record
            says = (record.__doc__ or "").strip().rstrip(".") if record else above.says
            step = FactField("*", words(part), says, above.privacy, above.unit, True, None, shape.item)
        else:
            step = None
        if step is None:
            raise UnknownPathError(f"no fact has the path {path!r} (nothing is called {part!r} there)")
        yield step
        above, shape = step, step.shape


@lru_cache(maxsize=8192)
def field_at(path: str) -> FactField:
    """The fact at a path. Raises UnknownPathError if there is none."""
    *_, last = _steps(path)
    return last


@lru_cache(maxsize=8192)
def privacy_of(path: str) -> Privacy:
    """The strictest privacy class on the way to a fact: inside a restricted group everything is restricted."""
    return max(step.privacy for step in _steps(path))


def describe(path: str) -> str:
    """What the fact at a path means, with its unit if the description does not say it."""
    found = field_at(path)
    return found.says if not found.unit or found.unit in found.says else f"{found.says} ({found.unit})"


def _leaves(shape: Shape, path: str) -> Iterator[str]:
    if shape.record is not None:
        for name, found in fields_of(shape.record).items():
            yield from _leaves(found.shape, f"{path}.{name}" if path else name)
    elif shape.item is not None:
        yield from _leaves(shape.item, f"{path}.*")
    else:
        yield path


@cache
def leaf_paths() -> tuple[str, ...]:
    """The generic path of every single value that the facts can hold, in the order of the models."""
    return tuple(_leaves(ROOT, ""))


def _keys(shape: Shape, path: str) -> Iterator[tuple[str, str]]:
    if shape.record is not None:
        for name, found in fields_of(shape.record).items():
            yield name, path
            yield from _keys(found.shape, f"{path}.{name}" if path else name)
    elif shape.item is not None:
        yield from _keys(shape.item, f"{path}.*")


@cache
def groups_with_key() -> Mapping[str, tuple[str, ...]]:
    """For each key of the facts, the generic paths of the groups in which it may stand ("" is the top)."""
    found: dict[str, list[str]] = {}
    for name, path in _keys(ROOT, ""):
        found.setdefault(name, []).append(path)
    return types.MappingProxyType({name: tuple(paths) for name, paths in found.items()})


def get(facts: Facts, path: str) -> Any:
    """The value of the fact at a path; None if it, or a group around it, was not given.

    Raises UnknownPathError if no fact can have this path, or a short name or list position in it does not exist.
    """
    value: Any = facts
    for part, step in zip(path.split("."), _steps(path), strict=True):
        if value is None:
            continue
        if isinstance(value, Record):
            value = getattr(value, part)
            continue
        try:
            value = value[part] if isinstance(value, dict) else value[int(part)]
        except (KeyError, IndexError, ValueError):
            raise UnknownPathError(f"{path!r}: there is no {part!r} ({step.says})") from None
    return value
