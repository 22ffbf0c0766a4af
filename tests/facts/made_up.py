"""Facts made at random from the models, and the plain text form in which they stand in a file."""

from __future__ import annotations

from datetime import date, time
from decimal import Decimal
from typing import Any

import yaml
from hypothesis import strategies as st

from msadraft.facts.base import Record
from msadraft.facts.check import REFERENCES
from msadraft.facts.model import Facts
from msadraft.facts.paths import Shape, fields_of

MINIMAL = """\
case:
  county: Kern
  path: response_filed
petitioner:
  name: {first: Ada, last: Reyes}
respondent:
  name: {first: Ben, last: Reyes}
marriage:
  married_on: 2010-05-01
  separated_on: 2024-01-01
"""

NAMES = ("wren", "robin", "joint_savings", "gold-card")

_letters = st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=12)
WORDS = _letters.map(lambda text: f"x {text} y")
VALUES = {
    "text": WORDS,
    "money": st.decimals(Decimal("-9999.99"), Decimal("999999.99"), places=2).map(lambda amount: f"{amount:,}"),
    "day": st.dates(date(1900, 1, 1), date(2150, 12, 31)).map(str),
    "clock": st.times().map(lambda at: f"{at:%H:%M}"),
    "whole": st.integers(0, 999_999_999).map(str),
    "percent": st.decimals(0, 100, places=4).map(str),
    "quantity": st.decimals(0, 99_999, places=8).map(lambda number: f"{number:f}"),
    "yes_no": st.sampled_from(["yes", "no", "true", "False", "YES"]),
    "last_four": st.from_regex(r"[0-9A-Za-z]{1,4}", fullmatch=True),
    "key": st.sampled_from(NAMES),
}


@st.composite
def trees(draw: st.DrawFn, shape: Shape, path: str = "", chance: int = 4) -> Any:
    """A random plain tree that fits a shape; references to other records are left out."""
    if shape.record is not None:
        return draw(_record_trees(shape.record, path, chance))
    if shape.form == "map":
        assert shape.item is not None
        names = draw(st.lists(st.sampled_from(NAMES), max_size=2, unique=True))
        return {name: draw(trees(shape.item, f"{path}.*", chance)) for name in names}
    if shape.form == "list":
        assert shape.item is not None
        count = 0 if f"{path}.*" in REFERENCES else draw(st.integers(0, 2))
        return [draw(trees(shape.item, f"{path}.*", chance)) for _ in range(count)]
    return draw(st.sampled_from(shape.choices) if shape.choices else VALUES[shape.reader])


@st.composite
def _record_trees(draw: st.DrawFn, record: type[Record], path: str, chance: int) -> dict[str, Any]:
    tree: dict[str, Any] = {}
    days = ("from_day", "to_day", "starts_on", "ends_on", "issued_on")
    for name, found in fields_of(record).items():
        here = f"{path}.{name}" if path else name
        if here in REFERENCES and not found.required:
            continue
        if found.required or draw(st.integers(0, 9)) < chance:
            tree[name] = draw(trees(found.shape, here, 2))
            if found.shape.reader == "day" and name in days:
                tree[name] = "2020-06-01"
    if path == "assets.*":
        for name in [name for name in tree if name in fields_of(record)["kind"].shape.choices and name != tree["kind"]]:
            del tree[name]
    return tree


def without_dangling(tree: dict[str, Any]) -> dict[str, Any]:
    """Drop the records whose needed reference points to nothing."""
    for group, name in (
        ("child_support", "per_child"), ("child_support", "adult"), ("child_support", "college"), ("taxes", "dependents"),
        ("estate", "kept_designations"), ("parenting", "groups"),
    ):  # fmt: skip
        if isinstance(tree.get(group), dict):
            tree[group].pop(name, None)
    return tree


def plain(value: Any) -> Any:
    """Typed facts as the plain text that stands in a file."""
    if isinstance(value, Record):
        return {
            name: plain(getattr(value, name)) for name in type(value).model_fields if getattr(value, name) is not None
        }
    if isinstance(value, dict):
        return {name: plain(inner) for name, inner in value.items()}
    if isinstance(value, tuple):
        return [plain(inner) for inner in value]
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, time):
        return f"{value:%H:%M}"
    return str(value)


def as_yaml(facts: Facts) -> str:
    """Facts as the text of a file, every value in quotes or not as the YAML writer sees fit."""
    return yaml.safe_dump(plain(facts), allow_unicode=True, sort_keys=False, width=100)
