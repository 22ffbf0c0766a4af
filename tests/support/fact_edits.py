"""Random small edits of the facts of a case: an amount, a date, a choice, a yes or no, words, a record taken out."""

from __future__ import annotations

from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any

from hypothesis import strategies as st
from pydantic import ValidationError

from msadraft.agreement.assemble import assemble
from msadraft.facts.check import check_tree
from msadraft.facts.model import Facts
from msadraft.facts.paths import field_at
from msadraft.figures.compute import compute
from msadraft.library.load import Library
from msadraft.library.select import select
from msadraft.tree import Agreement

EDITS = st.tuples(st.integers(0, 100_000), st.integers(0, 1_000))
"""Which fact, and what becomes of it; both are taken modulo what there is."""
_FIXED = ("negotiation", "clauses")


def paper(facts: Facts, library: Library) -> Agreement:
    """The agreement of these facts."""
    return assemble(library, select(library, facts, compute(facts)), facts)


def edited_facts(facts: Facts, edits: list[tuple[int, int]]) -> Facts | None:
    """The facts with some edits; None if they are not valid then."""
    data = facts.model_dump()
    for which, what in edits:
        spots = list(_spots(data, ""))
        holder, key, path = spots[which % len(spots)]
        _change(holder, key, path, what)
    try:
        return None if list(check_tree(_as_written(data))) else Facts.model_validate(data)
    except (ValidationError, ValueError, KeyError, TypeError):
        return None


def _as_written(data: Any) -> Any:
    """The data without what is not given, as a file would hold it."""
    if isinstance(data, dict):
        return {k: _as_written(v) for k, v in data.items() if v is not None}
    if isinstance(data, list | tuple):
        return [_as_written(v) for v in data]
    return data


def _spots(data: Any, path: str) -> Any:
    for key, value in list(data.items()):
        here = f"{path}.{key}" if path else key
        if here in _FIXED:
            continue
        if isinstance(value, dict):
            if path in ("assets", "debts", "children"):
                yield data, key, here
            yield from _spots(value, here)
        elif isinstance(value, tuple | list):
            data[key] = list(value)
            for n, item in enumerate(data[key]):
                if isinstance(item, dict):
                    yield from _spots(item, f"{here}.{n}")
        else:
            yield data, key, here


def _change(holder: Any, key: str, path: str, what: int) -> None:
    value = holder[key]
    choices = field_at(path).shape.choices
    if isinstance(value, dict):
        del holder[key]
    elif choices:
        holder[key] = choices[what % len(choices)]
    elif isinstance(value, bool):
        holder[key] = not value
    elif isinstance(value, Decimal):
        holder[key] = value + Decimal(what) / 10 if what % 3 else Decimal(0)
    elif isinstance(value, int):
        holder[key] = value + what % 7
    elif isinstance(value, date):
        holder[key] = value + timedelta(days=what % 400)
    elif isinstance(value, time):
        holder[key] = time(what % 24, 0)
    elif isinstance(value, str) and field_at(path).shape.reader == "text":
        holder[key] = f"{value} and {what} more" if what % 2 else f"Other words, {what} & <more>"
