"""Tables of published and worked examples, read from YAML: days as dates, numbers as Decimal, yes and no as truth."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import yaml

EXAMPLES = Path(__file__).parent / "examples"
_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


def table(file: str, name: str) -> list[Any]:
    """The rows of one table of a file, as parameters whose test id is the row's own id."""
    data = yaml.load((EXAMPLES / file).read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    rows = [_typed(row) for row in data[name]["rows"]]
    assert rows, f"{file} has no rows in {name}"
    assert data[name]["source"], f"{file}: {name} names no source"
    ids = [str(row["id"]) for row in rows]
    assert len(set(ids)) == len(ids), f"{file}: {name} has an id twice"
    return [pytest.param(row, id=f"{name}-{row['id']}") for row in rows]


def _typed(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _typed(entry) for key, entry in value.items()}
    if isinstance(value, list):
        return [_typed(entry) for entry in value]
    if value in ("yes", "no"):
        return value == "yes"
    if _DAY.fullmatch(value):
        return date.fromisoformat(value)
    return Decimal(value) if _NUMBER.fullmatch(value) else value
