"""Checks that need more than one record: what a short name points to must exist and be of the right kind.

They run on the plain tree of a facts file, so that they can speak even while other facts in it are still wrong.
What is merely unlikely or unwise (a separation before the marriage) is a finding of the review, not an error here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import chain, islice
from typing import Any

from msadraft.facts.explain import nearest
from msadraft.facts.model import Facts
from msadraft.facts.paths import field_at, fields_of, leaf_paths
from msadraft.facts.property import Asset
from msadraft.facts.scalars import read_day, read_key
from msadraft.facts.yaml_tree import shown

REFERENCES: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "case.petition_assets_listed.*": ("assets", ()),
    "case.petition_debts_listed.*": ("debts", ()),
    "case.petition_terms.assets_to_petitioner.*": ("assets", ()),
    "case.petition_terms.assets_to_respondent.*": ("assets", ()),
    "case.petition_terms.debts_to_petitioner.*": ("debts", ()),
    "case.petition_terms.debts_to_respondent.*": ("debts", ()),
    "case.joined_plans.*": ("assets", ("retirement",)),
    "children.*.accounts.*": ("assets", ("account",)),
    "parenting.groups.*.children.*": ("children", ()),
    "parenting.holidays.*.window.birthday_of": ("children", ()),
    "parenting.summer.window.birthday_of": ("children", ()),
    "child_support.per_child.*.child": ("children", ()),
    "child_support.security.*.policy": ("assets", ("policy",)),
    "child_support.adult.*.child": ("children", ()),
    "child_support.college.*.child": ("children", ()),
    "spousal_support.to_petitioner.security.*.policy": ("assets", ("policy",)),
    "spousal_support.to_respondent.security.*.policy": ("assets", ("policy",)),
    "assets.*.vehicle.loan": ("debts", ()),
    "assets.*.account.for_child": ("children", ()),
    "debts.*.secured_by": ("assets", ()),
    "debts.*.education_of_child": ("children", ()),
    "reimbursements.*.asset": ("assets", ()),
    "equalization.security.asset": ("assets", ()),
    "equalization.from_asset": ("assets", ()),
    "taxes.dependents.*.child": ("children", ()),
    "fees.from_asset": ("assets", ()),
    "estate.kept_designations.*.asset": ("assets", ()),
}
"""Every fact that names another record: the group it points into, and the kinds allowed (empty: any)."""

ONCE_EACH = ("child_support.per_child.*.child", "parenting.groups.*.children.*")
"""Facts of different entries in which the same short name may stand only once: a child has one share, one schedule."""

DAY_PAIRS = (("from_day", "to_day"), ("starts_on", "ends_on"), ("issued_on", "ends_on"))
"""Keys of one record of which the second day cannot lie before the first."""


MOST_SLIPS = 200


@dataclass(frozen=True, slots=True)
class Slip:
    """One contradiction: the path of the fact, what is wrong, how to mend it."""

    path: str
    what: str
    mend: str


def values_at(tree: Any, pattern: str) -> Iterator[tuple[str, Any]]:
    """Every value at a generic path, with its own path. What has the wrong shape is passed over."""
    found: list[tuple[str, Any]] = [("", tree)]
    for part in pattern.split("."):
        following: list[tuple[str, Any]] = []
        for path, value in found:
            prefix = f"{path}." if path else ""
            if part != "*":
                if isinstance(value, dict) and part in value:
                    following.append((f"{prefix}{part}", value[part]))
            elif isinstance(value, dict):
                following += [(f"{prefix}{key}", inner) for key, inner in value.items()]
            elif isinstance(value, (list, tuple)):
                following += [(f"{prefix}{index}", inner) for index, inner in enumerate(value)]
        found = following
    return iter(found)


def _group(tree: Any, name: str) -> dict[str, Any]:
    group = tree.get(name) if isinstance(tree, dict) else None
    return group if isinstance(group, dict) else {}


def _is_key(name: Any) -> bool:
    try:
        read_key(name)
    except ValueError:
        return False
    return True


def _references(tree: Any) -> Iterator[Slip]:
    for pattern, (target, kinds) in REFERENCES.items():
        group = _group(tree, target)
        for path, name in values_at(tree, pattern):
            if not _is_key(name):
                continue  # the models object to it
            if name not in group:
                close = nearest(name, list(group), 1)
                hint = f"Did you mean `{close[0]}`? " if close else ""
                listed = ", ".join(shown(str(key)) for key in list(group)[:12]) or "none yet"
                yield Slip(
                    path,
                    f"'{shown(name)}' is not a short name under `{target}:`.",
                    f"{hint}Use one that is there ({listed}), or add it.",
                )
                continue
            record = group[name]
            kind = record.get("kind") if isinstance(record, dict) else None
            if kinds and isinstance(kind, str) and kind not in kinds:
                yield Slip(
                    path, f"'{name}' is of kind {shown(kind)}, but {_one_of(kinds)} is meant here.",
                    f"Name an asset of kind {' or '.join(kinds)}, or correct `assets.{name}.kind`.",
                )  # fmt: skip


def _one_of(kinds: tuple[str, ...]) -> str:
    words = {"retirement": "a retirement plan", "policy": "an insurance policy", "account": "an account"}
    return " or ".join(words[kind] for kind in kinds)


def _repeats(tree: Any) -> Iterator[Slip]:
    """The same short name twice in one list, or a child with two shares or schedules."""
    for pattern in REFERENCES:
        if pattern in ONCE_EACH:
            yield from _repeated(values_at(tree, pattern))
        elif pattern.endswith(".*"):
            for list_path, items in values_at(tree, pattern.removesuffix(".*")):
                if isinstance(items, (list, tuple)):
                    yield from _repeated((f"{list_path}.{index}", item) for index, item in enumerate(items))


def _repeated(named: Iterator[tuple[str, Any]]) -> Iterator[Slip]:
    first: dict[str, str] = {}
    for path, name in named:
        if not isinstance(name, str):
            continue
        if name in first:
            yield Slip(
                path,
                f"'{shown(name)}' stands here a second time (first in `{first[name]}`).",
                "Keep it in one place only.",
            )
        else:
            first[name] = path


def _lookalikes(tree: Any) -> Iterator[Slip]:
    """Short names of one group that differ only by - and _ are too easy to mix up."""
    for target in ("children", "assets", "debts", "reimbursements"):
        first: dict[str, str] = {}
        for name in _group(tree, target):
            plain = str(name).replace("-", "_")
            if plain in first:
                yield Slip(
                    f"{target}.{name}",
                    f"'{shown(name)}' and '{shown(first[plain])}' differ only by - and _.",
                    "Give one of them another short name.",
                )
            else:
                first[plain] = str(name)


def _kinds(tree: Any) -> Iterator[Slip]:
    """A record for another kind inside an asset."""
    asset_kinds = fields_of(Asset)["kind"].shape.choices
    inner = [name for name, found in fields_of(Asset).items() if name in asset_kinds and found.shape.form == "record"]
    for path, asset in values_at(tree, "assets.*"):
        kind = asset.get("kind") if isinstance(asset, dict) else None
        if not isinstance(kind, str) or kind not in asset_kinds:
            continue
        for name in inner:
            if name != kind and asset.get(name) is not None:
                yield Slip(
                    f"{path}.{name}", f"`{name}:` is given, but this asset is of kind {kind}.",
                    f"Delete `{name}:`, or change `kind:` to {name}.",
                )  # fmt: skip


def _day(value: Any) -> date | None:
    try:
        return read_day(value)
    except ValueError:
        return None


def _days(tree: Any) -> Iterator[Slip]:
    """A last day before the first day of the same record."""
    paths = set(leaf_paths())
    for first_key, last_key in DAY_PAIRS:
        for pattern in leaf_paths():
            parent, _, key = pattern.rpartition(".")
            if key != first_key or f"{parent}.{last_key}" not in paths or field_at(pattern).shape.reader != "day":
                continue
            for path, record in values_at(tree, parent):
                if not isinstance(record, dict):
                    continue
                first, last = _day(record.get(first_key)), _day(record.get(last_key))
                if first and last and last < first:
                    yield Slip(
                        f"{path}.{last_key}", f"`{last_key}` ({last}) lies before `{first_key}` ({first}).",
                        "Correct one of the two days.",
                    )  # fmt: skip


def check_tree(tree: Any, most: int = MOST_SLIPS) -> tuple[Slip, ...]:
    """The contradictions in a plain tree of facts (groups, lists and text, or values already typed), at most `most`."""
    return tuple(islice(chain(_references(tree), _repeats(tree), _lookalikes(tree), _kinds(tree), _days(tree)), most))


def check_facts(facts: Facts) -> tuple[Slip, ...]:
    """The contradictions in facts that were put together or changed in the program."""
    return check_tree(facts.model_dump())
