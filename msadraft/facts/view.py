"""A fact together with the place it came from.

Conditions and wording never touch the models directly: they see a `View`, which behaves like its value in
comparisons and loops, and remembers the path (`child_support.amount`). That path travels with the value into
the agreement, so that a preview leads back to the fact and an edited document can be read back. A fact that
is not known is a View of None: it is false, and printing it gives a blank.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator, Mapping
from datetime import date, time
from decimal import Decimal
from functools import cache, cached_property
from typing import Any

from pydantic import BaseModel

NOT_GIVEN = "not given"


@dataclasses.dataclass(frozen=True, slots=True)
class Records:
    """Some records of one group of facts, by short name: how a figure says "these children"."""

    group: str
    keys: tuple[str, ...]


@dataclasses.dataclass(slots=True)
class Seen:
    """The facts that were read, in order, with their values."""

    values: dict[str, Any] = dataclasses.field(default_factory=dict)

    def note(self, path: str, value: Any) -> None:
        """Remember one fact that was read."""
        self.values.setdefault(path, value)


def plain(value: Any) -> Any:
    """Give the bare value of a View, or the value itself."""
    return value._value if isinstance(value, View) else value


class View:
    """One value and its path. See the module's words."""

    __slots__ = ("_find", "_path", "_seen", "_value")

    def __init__(self, value: Any, path: str, seen: Seen, find: Callable[[str], Any]) -> None:
        """Wrap `value` found at `path`; `find` looks up any other path of the same case."""
        self._value, self._path, self._seen, self._find = value, path, seen, find

    def _under(self, value: Any, name: str) -> View:
        path = f"{self._path}.{name}" if self._path else name
        return value if isinstance(value, View) else View(value, path, self._seen, self._find)

    def __getattr__(self, name: str) -> View:
        if name.startswith("_"):
            raise AttributeError(name)
        value = self._value
        if name == "key" and "key" not in getattr(value, "__dataclass_fields__", ()):
            return self._under(self._path.rsplit(".", 1)[-1], "key")
        if value is None:
            return self._under(None, name)
        if isinstance(value, dict):
            if name in value:
                return self._under(value[name], name)
            raise AttributeError(f"{self._path} has no record {name!r}")
        if _holds(type(value), name):  # type: ignore[arg-type]  # mypy takes a class for something that cannot be a key
            return self._under(getattr(value, name), name)
        raise AttributeError(f"{self._path} has no fact {name!r}")

    def __getitem__(self, key: Any) -> View:
        name, value = plain(key), self._value
        if value is None:
            return self._under(None, str(name))
        return self._under(value[name], str(name))

    def __iter__(self) -> Iterator[View]:
        value = self._read()
        if isinstance(value, Records):
            return (
                View(self._find(f"{value.group}.{k}"), f"{value.group}.{k}", self._seen, self._find) for k in value.keys
            )
        if isinstance(value, dict):
            return (self._under(v, str(k)) for k, v in value.items())
        return (self._under(v, str(i)) for i, v in enumerate(value or ()))

    def _read(self) -> Any:
        self._seen.note(self._path, self._value)
        return self._value

    def __len__(self) -> int:
        value = self._read()
        return len(value.keys if isinstance(value, Records) else value or ())

    def __bool__(self) -> bool:
        value = self._read()
        if isinstance(value, Records):
            return bool(value.keys)
        return True if isinstance(value, BaseModel) else bool(value)

    def __contains__(self, item: Any) -> bool:
        value, wanted = self._read(), plain(item)
        return wanted in (value.keys if isinstance(value, Records) else value or ())

    def __eq__(self, other: object) -> bool:
        return bool(self._read() == plain(other))

    def __ne__(self, other: object) -> bool:
        return not self == other

    def __hash__(self) -> int:
        return hash(self._value)

    def _ordered(self, other: Any) -> tuple[Any, Any] | None:
        mine, theirs = self._read(), plain(other)
        if mine is None or theirs is None:
            return None
        return (mine, Decimal(theirs) if isinstance(mine, Decimal) and isinstance(theirs, int) else theirs)

    def __lt__(self, other: Any) -> bool:
        pair = self._ordered(other)
        return pair is not None and bool(pair[0] < pair[1])

    def __le__(self, other: Any) -> bool:
        pair = self._ordered(other)
        return pair is not None and bool(pair[0] <= pair[1])

    def __gt__(self, other: Any) -> bool:
        pair = self._ordered(other)
        return pair is not None and bool(pair[0] > pair[1])

    def __ge__(self, other: Any) -> bool:
        pair = self._ordered(other)
        return pair is not None and bool(pair[0] >= pair[1])

    def __str__(self) -> str:
        return "" if self._value is None else str(self._value)

    def __repr__(self) -> str:
        return f"View({self._path}={self._value!r})"


@cache
def _holds(kind: type, name: str) -> bool:
    """Whether values of a kind have a fact or a figure of that name. Asked thousands of times for one paper."""
    return (
        (issubclass(kind, BaseModel) and name in kind.model_fields)
        or isinstance(getattr(kind, name, None), (property, cached_property))
        or name in getattr(kind, "__dataclass_fields__", ())
    )


def said(value: Any) -> str:
    """Give a value as a reader writes it; of a group of facts only that it is given, or whom it names."""
    match value:
        case None | "":
            return NOT_GIVEN
        case bool():
            return "yes" if value else "no"
        case Decimal():
            return format(value, "f")
        case date():
            return value.isoformat()
        case time():
            return value.isoformat(timespec="minutes")
        case Records():
            return ", ".join(value.keys) or "none"
        case BaseModel():
            return "given"
        case Mapping():
            return ", ".join(map(str, value)) or "none"
        case tuple() | list():
            return ", ".join(said(item) for item in value) or "none"
        case _:
            return str(value)


def path_of(value: Any) -> str:
    """Give the path of a View, or "" for anything else."""
    return value._path if isinstance(value, View) else ""
