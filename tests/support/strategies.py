"""Random cases drawn from the facts model itself, so that a new fact is covered the day it is added.

Every fact is given or left out at random; every allowed word is drawn; a short name always points to a record that
exists and is of a kind that may be named there. Names of people hold hostile signs now and then.
"""

from __future__ import annotations

import typing
from datetime import date, time
from decimal import Decimal
from functools import cache
from typing import Any, Literal, get_args, get_origin

from hypothesis import strategies as st
from pydantic import BaseModel

from msadraft.facts.model import Facts
from msadraft.facts.scalars import Reader

CHILDREN = ("ada", "ben", "cleo")
ASSETS = {
    "home": "real", "cabin": "real", "car": "vehicle", "checking": "account", "fund": "account", "plan_a": "retirement",
    "plan_b": "retirement", "shop": "business", "options": "stock_plan", "coins": "crypto", "novel": "work", "cat": "animal",
    "goods": "household", "photos": "digital", "life": "policy", "suit": "claim", "boat": "other",
}  # fmt: skip
DEBTS = ("mortgage", "card", "loan")
OWN_RECORD = {kind: kind for kind in ASSETS.values() if kind not in ("household", "digital", "other")}
NAMES = (
    "Ada",
    "Ben",
    "Çelik",
    "O'Dell",
    "*Star*",
    "{{ case }}",
    "[label]",
    "<b>",
    "=1+1",
    "山田",
    "מרים",
    "_x_",
    "Anne-Marie",
    "a | b",
)
WORDS = (
    "as agreed", "the regular place", "within ten days", "*not bold*", "{{ not a template }}", "# no heading", "- no list", "1. no list",
    "a | b | c", "<script>alert(1)</script>", "> no quote", "[x] no label", "ends with a stop.", "Ünïcödé — “quoted”",
)  # fmt: skip
DAYS = st.dates(date(2024, 1, 1), date(2031, 12, 31))
BIRTHDAYS = st.dates(date(2001, 1, 1), date(2026, 10, 1))


def _pool(name: str, children: tuple[str, ...], assets: tuple[str, ...], debts: tuple[str, ...]) -> tuple[str, ...]:
    """The short names that a reference called `name` may hold."""
    if name in ("child", "children", "for_child", "education_of_child"):
        return children
    if name in ("loan", "petition_debts_listed", "debts_to_petitioner", "debts_to_respondent"):
        return debts
    if name == "policy":
        return tuple(a for a in assets if ASSETS[a] == "policy")
    if name == "joined_plans":
        return tuple(a for a in assets if ASSETS[a] == "retirement")
    if name in ("accounts", "from_asset"):
        return tuple(a for a in assets if ASSETS[a] == "account")
    return assets


@cache
def _hints(model: type[BaseModel]) -> dict[str, Any]:
    return typing.get_type_hints(model, include_extras=True)


@cache
def _refers(model: type[BaseModel]) -> tuple[str, ...]:
    """The names of the facts in a record, and in the records inside it, that hold a short name."""
    found: set[str] = set()
    for name, hint in _hints(model).items():
        kind, reader = _bare(hint)
        while get_origin(kind) in (tuple, dict):
            kind, reader = _bare(get_args(kind)[get_origin(kind) is dict])
        if reader == "read_key":
            found.add(name)
        elif isinstance(kind, type) and issubclass(kind, BaseModel):
            found.update(_refers(kind))
    return tuple(sorted(found))


_MADE: dict[Any, st.SearchStrategy[dict[str, Any]] | None] = {}
"""The strategies made so far, by record and by the short names that it may refer to: making them is most of the work."""


class _Builder:
    """Builds strategies for one choice of short names."""

    def __init__(self, children: tuple[str, ...], assets: tuple[str, ...], debts: tuple[str, ...]) -> None:
        self.names = (children, assets, debts)

    def record(
        self, model: type[BaseModel], **fixed: st.SearchStrategy[Any]
    ) -> st.SearchStrategy[dict[str, Any]] | None:
        """The fields of a record; None if it must name another record and there is none to name."""
        if fixed:
            return self._record(model, **fixed)
        key = (model, *(_pool(name, *self.names) for name in _refers(model)))
        if key not in _MADE:
            _MADE[key] = self._record(model)
        return _MADE[key]

    def _record(
        self, model: type[BaseModel], **fixed: st.SearchStrategy[Any]
    ) -> st.SearchStrategy[dict[str, Any]] | None:
        hints = _hints(model)
        required: dict[str, Any] = dict(fixed)
        optional: dict[str, Any] = {}
        for name, info in model.model_fields.items():
            if name in fixed:
                continue
            strategy = self.value(name, hints[name], info.is_required())
            if strategy is None and info.is_required():
                return None
            if strategy is None:
                continue
            (required if info.is_required() else optional)[name] = strategy
        return st.fixed_dictionaries(required, optional=optional)

    def whole(self, model: type[BaseModel], **fixed: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
        """The fields of a record that needs to name no other."""
        made = self.record(model, **fixed)
        assert made is not None, model
        return made

    def value(self, name: str, hint: Any, required: bool = False) -> st.SearchStrategy[Any] | None:
        kind, reader = _bare(hint)
        if reader == "read_key":
            pool = _pool(name, *self.names)
            return st.sampled_from(pool) if pool else None
        if get_origin(kind) is Literal:
            return st.sampled_from(get_args(kind))
        if get_origin(kind) is tuple:
            inner = self.value(name, get_args(kind)[0], True)
            if inner is None:
                return None
            unique = _bare(get_args(kind)[0])[1] == "read_key" or get_origin(_bare(get_args(kind)[0])[0]) is Literal
            return st.lists(inner, max_size=3, unique=True) if unique else st.lists(inner, max_size=2)
        if get_origin(kind) is dict:
            inner = self.value(name, get_args(kind)[1], True)
            return (
                st.dictionaries(st.sampled_from(("one", "two", "three")), inner, max_size=3)
                if inner is not None
                else None
            )
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            return self.record(kind)
        return {
            "read_money": st.decimals(0, 900_000, places=2, allow_nan=False),
            "read_percent": st.decimals(0, 100, places=2, allow_nan=False),
            "read_quantity": st.decimals(0, 400, places=4, allow_nan=False),
            "read_day": BIRTHDAYS if name == "born_on" else DAYS,
            "read_clock": st.times(time(6), time(21)).map(lambda t: t.replace(second=0, microsecond=0)),
            "read_whole": st.integers(0, 60),
            "read_yes_no": st.booleans(),
            "read_last_four": st.from_regex(r"[0-9]{4}", fullmatch=True),
            "read_text": st.sampled_from(NAMES if name in ("first", "last", "middle") else WORDS),
        }[reader]


def _bare(hint: Any) -> tuple[Any, str]:
    """Take Optional and Annotated off; name the reader of a scalar."""
    reader = ""
    while True:
        origin = get_origin(hint)
        if origin is typing.Annotated:
            reader = next((m.read.__name__ for m in get_args(hint)[1:] if isinstance(m, Reader)), reader)
            hint = get_args(hint)[0]
        elif origin is typing.Union or str(origin) == "<class 'types.UnionType'>":
            hint = next(a for a in get_args(hint) if a is not type(None))
        else:
            return hint, reader


@st.composite
def case_data(draw: st.DrawFn) -> dict[str, Any]:
    """The facts of a random valid case, as plain data."""
    children = tuple(draw(st.lists(st.sampled_from(CHILDREN), max_size=3, unique=True)))
    assets = tuple(draw(st.lists(st.sampled_from(tuple(ASSETS)), max_size=6, unique=True)))
    debts = tuple(draw(st.lists(st.sampled_from(DEBTS), max_size=3, unique=True)))
    build = _Builder(children, assets, debts)
    hints = _hints(Facts)
    data: dict[str, Any] = {}
    for name in Facts.model_fields:
        if name in ("children", "assets", "debts", "clauses"):
            continue
        strategy = build.value(name, hints[name], True)
        if strategy is not None and (Facts.model_fields[name].is_required() or draw(st.booleans())):
            data[name] = draw(strategy)
    married = draw(st.dates(date(1995, 1, 1), date(2023, 12, 31)))
    data["marriage"] |= {"married_on": married, "separated_on": draw(st.dates(married, date(2026, 6, 30)))}
    for name, group, keys in (("child", "children", children), ("asset", "assets", assets), ("debt", "debts", debts)):
        model = get_args(_bare(hints[group])[0])[1]
        data[group] = {key: draw(_one(build, name, model, key)) for key in keys}
    _drop_backwards(data)
    return data


def _one(build: _Builder, name: str, model: type[BaseModel], key: str) -> st.SearchStrategy[dict[str, Any]]:
    if name != "asset":
        born = {"born_on": BIRTHDAYS} if name == "child" and key != "cleo" else {}
        return build.whole(model, **born)
    kind = ASSETS[key]
    made = build.whole(model, kind=st.just(kind))
    return made.map(lambda data: {k: v for k, v in data.items() if k not in OWN_RECORD or k == kind})


def _drop_backwards(data: Any) -> None:
    """Put the two days of a span in order; a span that runs backwards cannot be read."""
    if isinstance(data, dict):
        for first, last in (("from_day", "to_day"),):
            if isinstance(data.get(first), date) and isinstance(data.get(last), date) and data[last] < data[first]:
                data[first], data[last] = data[last], data[first]
        for value in data.values():
            _drop_backwards(value)
    elif isinstance(data, list):
        for value in data:
            _drop_backwards(value)


def cases() -> st.SearchStrategy[Facts]:
    """Random valid facts."""
    return case_data().map(Facts.model_validate)


__all__ = ["Decimal", "case_data", "cases"]
