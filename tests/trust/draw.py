"""Draws cases. A case is made from a number alone: the same number gives the same case, in any process, in any order.

Drawing a whole case with Hypothesis takes about as long as drafting, reviewing and writing it, and its cases are very much
alike; so a case here is a list of changes of facts, drawn over the models with a plain random generator, and laid over the
facts of a scenario, over nearly empty facts, or over facts of which whole parts were drawn anew. The pools of names and
words are those of the random cases of the other tests.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from decimal import Decimal
from functools import cache
from typing import Any

from pydantic import ValidationError
from support.scenarios import ROUNDS, facts_file
from support.strategies import ASSETS, CHILDREN, DEBTS, NAMES, WORDS

from msadraft.attachments.form_rules import rulebook
from msadraft.facts.base import Record
from msadraft.facts.check import DAY_PAIRS, check_tree
from msadraft.facts.load import read_case
from msadraft.facts.model import Facts
from msadraft.facts.paths import ROOT, Shape, field_at, fields_of, leaf_paths
from trust.themes import THEMES, Anew

Tree = dict[str, Any]
Change = tuple[str, Any]
"""A path and the value that is put there; `GONE` takes away what is there."""

GONE = "(gone)"
NOT_DRAWN = ("clauses", "case.county_profile", "case.form_revisions", "negotiation")
"""Facts about files beside the case, which have tests of their own; printings of forms are drawn in their own way."""

PHRASES = (
    "within ten days after a written request", "the Riverside branch library", "as the school calendar says", "each June 1",
    "until the loan is paid", "the usual share", "It is paid as the bank asks.", "Both parents agree.", "a note of both", "by the end of the school year",
)  # fmt: skip
MONEYS = (
    "0",
    "0.01",
    "1",
    "99.99",
    "250",
    "500",
    "1000",
    "1234.56",
    "2500",
    "4800.50",
    "10000",
    "75000",
    "333333.33",
    "640000",
)
WHOLES = (0, 1, 2, 3, 5, 7, 10, 14, 15, 21, 30, 45, 60, 90, 120)
PERCENTS = ("0", "1", "10", "25", "33.33", "40", "50", "60", "66.6667", "100")
MINIMAL: Tree = {
    "case": {"county": "Kern", "path": "response_filed"},
    "petitioner": {"name": {"first": "Ada", "last": "Reyes"}},
    "respondent": {"name": {"first": "Ben", "last": "Reyes"}},
    "marriage": {"married_on": date(2010, 5, 1), "separated_on": date(2024, 1, 1)},
}


@dataclass
class Drawn:
    """A drawn case: where it began, what was changed, and the facts that came out."""

    number: int
    base: str
    changes: list[Change] = field(default_factory=list)
    tree: Tree = field(default_factory=dict)

    @property
    def facts(self) -> Facts:
        """The facts, read by the models."""
        return Facts.model_validate(self.tree)


def tree_of(facts: Facts) -> Tree:
    """The facts that were given, as a plain tree of typed values that can be changed."""
    return _loose(facts.model_dump(exclude_unset=True, exclude_none=True))  # type: ignore[no-any-return]


def _loose(value: Any) -> Any:
    if isinstance(value, dict):
        return {k: _loose(v) for k, v in value.items()}
    if isinstance(value, (tuple, list)):
        return [_loose(v) for v in value]
    return value


@cache
def bases() -> dict[str, Tree]:
    """Where a case may begin: each round of each scenario, and nearly empty facts."""
    found = {f"{name}-{n}": tree_of(read_case(facts_file(name, n)).facts) for name, n in ROUNDS}
    return {"empty": MINIMAL, **found}


@cache
def leaves() -> tuple[str, ...]:
    """The generic paths that are drawn."""
    return tuple(p for p in leaf_paths() if not p.startswith(NOT_DRAWN))


@cache
def printings() -> tuple[tuple[str, str], ...]:
    """Printings of forms that worksheets have rules for."""
    return tuple(rulebook().rules)


class Draw:
    """Draws one case from a random generator."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.tree: Tree = {}
        self.anchor = date(2026, 6, 15)

    def chance(self, part: float) -> bool:
        return self.rng.random() < part

    # Values

    def value(self, shape: Shape, path: str, depth: float) -> Any:
        """A value for one place; `depth` is the chance of each fact that may be left out. GONE if none is possible."""
        if shape.record is not None:
            return self.record(shape.record, path, depth)
        if shape.form == "map":
            return {}
        if shape.form == "list":
            assert shape.item is not None
            if shape.item.choices and self.chance(0.15):
                return list(shape.item.choices)
            found = [self.value(shape.item, f"{path}.*", depth) for _ in range(self.rng.choice((1, 1, 1, 2, 2, 3)))]
            found = [one for one in found if one != GONE]
            single = shape.item.reader in ("key", "choice")
            return list(dict.fromkeys(found)) if single else found
        if shape.choices:
            return self.rng.choice(shape.choices)
        name = path.rsplit(".", 1)[-1] if not path.endswith("*") else path.rsplit(".", 2)[-2]
        return getattr(self, f"_{shape.reader}")(name, path)

    def record(self, record: type[Record], path: str, depth: float) -> Any:
        made: Tree = {}
        for name, found in fields_of(record).items():
            here = f"{path}.{name}" if path else name
            if here.startswith(NOT_DRAWN) or here in ("children", "assets", "debts", "reimbursements"):
                continue
            if found.required or self.chance(depth):
                made[name] = self.value(found.shape, here, depth)
                if made[name] == GONE:
                    if found.required:
                        return GONE
                    del made[name]
        if path == "assets.*":
            self._one_kind(made)
        return made

    def _one_kind(self, asset: Tree) -> None:
        """Keep only the inner record of the asset's own kind, and usually give it one."""
        kinds = fields_of(field_at("assets.*").shape.record)["kind"].shape.choices  # type: ignore[arg-type]
        for kind in kinds:
            if kind != asset["kind"]:
                asset.pop(kind, None)
        kind = asset["kind"]
        inner = fields_of(field_at("assets.*").shape.record).get(kind)  # type: ignore[arg-type]
        if inner is not None and kind not in asset and self.chance(0.8):
            asset[kind] = self.value(inner.shape, f"assets.*.{kind}", 0.4)

    def _text(self, name: str, path: str) -> str:
        if name in ("first", "last", "middle"):
            return self.rng.choice(NAMES)
        if name == "from_month_day":
            return f"{self.rng.randint(1, 12):02d}-{self.rng.randint(1, 28):02d}"
        if name == "state":
            return self.rng.choice(("California", "Nevada", "Oregon"))
        if name == "county":
            return self.rng.choice(("Kern", "Sacramento"))
        if name == "time_zone":
            return self.rng.choice(("America/Los_Angeles", "America/Denver", "America/New_York"))
        if name == "language":
            return self.rng.choice(("English", "Spanish", "Hmong"))
        if path == "negotiation.changes.*.path":
            return "child_support.amount"
        return self.rng.choice(PHRASES) if self.chance(0.7) else self.rng.choice(WORDS)

    def _money(self, name: str, path: str) -> Decimal:
        if self.chance(0.3):
            return Decimal(self.rng.randint(0, 90_000_000)) / 100
        return Decimal(self.rng.choice(MONEYS)).quantize(Decimal("0.01"))

    def _percent(self, name: str, path: str) -> Decimal:
        return Decimal(self.rng.choice(PERCENTS)) if self.chance(0.8) else Decimal(self.rng.randint(0, 10_000)) / 100

    def _quantity(self, name: str, path: str) -> Decimal:
        return Decimal(self.rng.choice(("0", "1", "12", "96", "120.5", "240", "0.25", "1000", "3.00000001")))

    def _whole(self, name: str, path: str) -> int:
        rng = self.rng
        if name in ("year", "from_year", "joint_years"):
            return rng.randint(2021, 2030)
        if name == "month":
            return rng.randint(1, 12)
        if name == "day_of_month":
            return rng.randint(1, 31)
        if name in ("week", "to_week", "weeks_in_cycle", "cycle_weeks"):
            return rng.choice((1, 1, 1, 2, 2, 3, 4))
        if name in ("fallback_phase",):
            return rng.randint(1, 3)
        return rng.choice(WHOLES)

    def _day(self, name: str, path: str) -> date:
        rng = self.rng
        if name == "born_on":
            if path.startswith("children"):
                return date(2003, 1, 1) + timedelta(days=rng.randint(0, 8700))
            return date(1955, 1, 1) + timedelta(days=rng.randint(0, 16000))
        spread = rng.choice((5, 40, 200, 800, 3000))
        return self.anchor + timedelta(days=rng.randint(-spread, spread))

    def _clock(self, name: str, path: str) -> time:
        return time(self.rng.choice((0, 3, 7, 8, 9, 12, 15, 17, 18, 19, 20, 23)), self.rng.choice((0, 0, 0, 30, 45)))

    def _yes_no(self, name: str, path: str) -> bool:
        return self.chance(0.5)

    def _last_four(self, name: str, path: str) -> str:
        return f"{self.rng.randint(0, 9999):04d}"

    def _key(self, name: str, path: str) -> Any:
        groups = (
            tuple(self.tree.get("children", {})),
            tuple(self.tree.get("assets", {})),
            tuple(self.tree.get("debts", {})),
        )
        children, assets, debts = groups
        kinds = {key: asset.get("kind") for key, asset in self.tree.get("assets", {}).items()}
        if name in ("policy", "joined_plans", "accounts"):
            wanted = {"policy": "policy", "joined_plans": "retirement", "accounts": "account"}[name]
            pool = tuple(key for key, kind in kinds.items() if kind == wanted)
        elif name in ("birthday_of",):
            pool = children
        elif name == "from_asset":
            pool = tuple(k for k, kind in kinds.items() if kind == "account" or path.startswith("equalization"))
        elif name in ("child", "children", "for_child", "education_of_child"):
            pool = children
        elif name in ("loan", "petition_debts_listed", "debts_to_petitioner", "debts_to_respondent"):
            pool = debts
        else:
            pool = assets
        return self.rng.choice(pool) if pool else GONE

    # Changes

    def changes(self, count: int) -> Iterator[Change]:
        """Draw changes one by one, each over the tree as it is by then; they are put into the tree."""
        for _ in range(count):
            change = self.change()
            if change is not None:
                yield change[0], copied(change[1])
                apply(self.tree, *change)

    def theme(self, name: str) -> Iterator[Change]:
        """The facts of one subject, nearly all of them."""
        for path, options in THEMES[name].items():
            if self.chance(0.12):
                continue
            value = self.rng.choice(options)
            if isinstance(value, Anew):
                generic = _generic(path)
                value = self.value(field_at(generic).shape, generic, value.depth)
            else:
                value = _loose(value)
            apply(self.tree, path, value)
            if path.startswith("assets.") and path.endswith(".kind"):
                self._one_kind(_at(self.tree, path.rpartition(".")[0]))
            yield path, copied(value)

    def change(self) -> Change | None:
        rng = self.rng
        turn = rng.random()
        if turn < 0.02:
            form, revision = rng.choice(printings())
            return "case.form_revisions", [{"form": form, "revision": revision}]
        if turn < 0.10:
            return self.whole_part()
        path = rng.choice(leaves())
        here, shape = self.place(path)
        if here is None:
            return None
        if turn < 0.22:
            return here, GONE
        value = self.value(shape, path, 0.3)
        return None if value == GONE else (here, value)

    def whole_part(self) -> Change | None:
        """A whole record, list or short-named record anew."""
        path = self.rng.choice(parts())
        here, shape = self.place(path)
        if here is None:
            return None
        if self.chance(0.25):
            return here, GONE
        value = self.value(shape, path, self.rng.choice((0.15, 0.35, 0.6, 0.9)))
        return None if value == GONE else (here, value)

    def place(self, path: str) -> tuple[str | None, Shape]:
        """A place in the tree for a generic path; a record that is not there yet is named anew."""
        here: list[str] = []
        tree: Any = self.tree
        shape = ROOT
        parts_of = path.split(".")
        for n, part in enumerate(parts_of):
            if part == "*":
                key = self.entry(here, tree, shape, parts_of[n + 1] if n + 1 < len(parts_of) else "")
                if key is None:
                    return None, shape
                assert shape.item is not None
                shape, tree = shape.item, _child(tree, key)
                here.append(key)
            else:
                assert shape.record is not None
                shape, tree = fields_of(shape.record)[part].shape, _child(tree, part)
                here.append(part)
        return ".".join(here), shape

    def entry(self, here: list[str], tree: Any, shape: Shape, following: str) -> str | None:
        """The short name or the position of an entry of a map or a list, present or new."""
        rng = self.rng
        if shape.form == "list":
            count = len(tree) if isinstance(tree, list) else 0
            return str(rng.randint(0, min(count, 3)) if self.chance(0.3) or not count else rng.randrange(count))
        names = list(tree) if isinstance(tree, dict) else []
        group = here[0]
        if group == "assets" and following in set(ASSETS.values()):
            names = [key for key in names if tree[key].get("kind") == following]
            pool = tuple(key for key, kind in ASSETS.items() if kind == following)
        else:
            pool = {"assets": tuple(ASSETS), "children": CHILDREN, "debts": DEBTS}.get(group, ("one", "two", "three"))
        if names and self.chance(0.85):
            return rng.choice(names)
        return rng.choice(pool)


@cache
def parts() -> tuple[str, ...]:
    """Generic paths of everything that holds more than one value: records, lists, short-named records."""
    found: dict[str, None] = {}

    def walk(shape: Shape, path: str) -> None:
        if path.startswith(NOT_DRAWN):
            return
        if shape.record is not None:
            if path and path not in ("case", "petitioner", "respondent", "marriage"):
                found[path] = None
            for name, inner in fields_of(shape.record).items():
                walk(inner.shape, f"{path}.{name}" if path else name)
        elif shape.item is not None:
            if shape.form == "list":
                found[path] = None
            walk(shape.item, f"{path}.*")

    walk(ROOT, "")
    return tuple(found)


def _child(tree: Any, key: str) -> Any:
    if isinstance(tree, dict):
        return tree.get(key)
    if isinstance(tree, list) and key.isdecimal() and int(key) < len(tree):
        return tree[int(key)]
    return None


def apply(tree: Tree, path: str, value: Any) -> None:
    """Put a value at a path, or take away what is there. Groups on the way are made where they are missing."""
    *above, last = path.split(".")
    holder: Any = tree
    shape = ROOT
    for part in above:
        shape = _inner(shape, part)
        following = _child(holder, part)
        if following is None:
            if value == GONE:
                return
            following = [] if shape.form == "list" else _begun(shape, part)
            _put(holder, part, following)
        holder = following
    if value != GONE:
        _put(holder, last, value)
    elif isinstance(holder, dict):
        holder.pop(last, None)
    elif isinstance(holder, list) and last.isdecimal() and int(last) < len(holder):
        del holder[int(last)]


def _inner(shape: Shape, part: str) -> Shape:
    if shape.record is not None:
        return fields_of(shape.record)[part].shape
    assert shape.item is not None
    return shape.item


def _begun(shape: Shape, key: str) -> Tree:
    """A new record, with its kind where its short name tells it."""
    return (
        {"kind": ASSETS[key]} if shape.record is not None and shape.record.__name__ == "Asset" and key in ASSETS else {}
    )


def _put(holder: Any, key: str, value: Any) -> None:
    if isinstance(holder, dict):
        holder[key] = value
    elif int(key) < len(holder):
        holder[int(key)] = value
    else:
        holder.append(value)


def mended(tree: Tree, draw: Draw) -> Facts | None:
    """The facts of a tree after what cannot be read in it was filled in or taken away; None if it stays unreadable.

    A file with such faults is refused with a message, which other tests look at; here whole cases are wanted.
    """
    for _ in range(8):
        slips = check_tree(tree)
        for slip in reversed(slips):
            _mend(tree, slip.path)
        try:
            facts = Facts.model_validate(tree)
        except ValidationError as error:
            for one in reversed(error.errors(include_url=False)):
                path = ".".join(map(str, one["loc"]))
                shape = _shape_at(path)
                if one["type"] == "missing" and shape is not None:
                    value = draw.value(shape, _generic(path), 0.3)
                    apply(tree, path if value != GONE else path.rpartition(".")[0], value)
                else:
                    apply(tree, path, GONE)
            continue
        if not slips:
            return facts
    return None


def _mend(tree: Tree, path: str) -> None:
    """Put two days in order; else take away the value, or its record if the record cannot do without it."""
    above, _, key = path.rpartition(".")
    record = _at(tree, above)
    for first, last in DAY_PAIRS:
        if key == last and isinstance(record, dict) and isinstance(record.get(first), date) and last in record:
            record[first], record[last] = record[last], record[first]
            return
    shape = _shape_at(above)
    needed = shape is not None and shape.record is not None and fields_of(shape.record)[key].required
    apply(tree, above if needed else path, GONE)


def _at(tree: Tree, path: str) -> Any:
    found: Any = tree
    for part in path.split("."):
        found = _child(found, part)
    return found


def _generic(path: str) -> str:
    out: list[str] = []
    shape = ROOT
    for part in path.split("."):
        out.append(part if shape.record is not None else "*")
        shape = _inner(shape, part)
    return ".".join(out)


def _shape_at(path: str) -> Shape | None:
    shape = ROOT
    try:
        for part in path.split("."):
            shape = _inner(shape, part)
    except (KeyError, AssertionError):
        return None
    return shape


def copied(value: Any) -> Any:
    """A copy of a tree; its values cannot change."""
    if isinstance(value, dict):
        return {k: copied(v) for k, v in value.items()}
    if isinstance(value, list):
        return [copied(v) for v in value]
    return value


def drawn_case(number: int, seed: int = 0) -> Drawn:
    """The drawn case of a number.

    Two in three begin from a scenario and get a few or many changes; the rest have whole parts drawn anew, over a scenario
    or over nearly empty facts, at a density that is drawn too.
    """
    rng = random.Random(f"{seed}:{number}")
    draw = Draw(rng)
    kind = rng.random()
    base = rng.choice(tuple(bases())[1:]) if kind < 0.85 else "empty"
    draw.tree = copied(bases()[base])
    draw.anchor = draw.tree["case"].get("signing_on") or date(2026, 6, 15)
    found = Drawn(number, base)
    if kind >= 0.65:
        found.changes += list(_anew(draw, base == "empty"))
    while rng.random() < 0.4:
        found.changes += draw.theme(rng.choice(tuple(THEMES)))
    found.changes += draw.changes(min(60, int(rng.expovariate(1 / rng.choice((3, 10, 25)))) + 1))
    found.changes += _choices(draw)
    found.tree = draw.tree
    if mended(draw.tree, draw) is None:
        found = Drawn(number, base, [], copied(bases()[base]))
    return found


def _anew(draw: Draw, from_nothing: bool) -> Iterator[Change]:
    """Whole groups of facts drawn anew."""
    rng = draw.rng
    depth = rng.choice((0.1, 0.25, 0.4, 0.6, 0.85))
    for group, names, most in (("children", CHILDREN, 3), ("assets", tuple(ASSETS), 6), ("debts", DEBTS, 3)):
        if not from_nothing and draw.chance(0.6):
            continue
        for name in rng.sample(names, rng.randint(0, most)):
            shape = field_at(f"{group}.*").shape
            made = draw.value(shape, f"{group}.*", depth)
            if made == GONE:
                continue
            if group == "assets" and name in ASSETS:
                made = {key: value for key, value in made.items() if key not in set(ASSETS.values())}
                made |= {"kind": ASSETS[name]}
                draw._one_kind(made)
            apply(draw.tree, f"{group}.{name}", made)
            yield f"{group}.{name}", copied(made)
    for name in Facts.model_fields:
        if name in ("children", "assets", "debts", "clauses", "negotiation", "marriage") or draw.chance(
            0.3 if from_nothing else 0.7
        ):
            continue
        made = draw.value(field_at(name).shape, name, depth)
        if isinstance(made, dict) and name in ("case", "petitioner", "respondent"):
            made = {**draw.tree[name], **made}
        if name == "reimbursements":
            shape = field_at("reimbursements.*").shape
            made = {key: draw.value(shape, "reimbursements.*", depth) for key in ("one", "two")}
            made = {key: record for key, record in made.items() if record != GONE}
        apply(draw.tree, name, made)
        yield name, copied(made)


def _choices(draw: Draw) -> Iterator[Change]:
    """The looks of the paper, each combination in turn."""
    for path, values in (("case.numbering", ("decimal", "continuous")), ("case.layout", ("plain", "pleading"))):
        value = draw.rng.choice(values)
        apply(draw.tree, path, value)
        yield path, value
