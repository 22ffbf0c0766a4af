"""Cases made on purpose for what random cases seldom reach: a beginning, and the facts that are changed in it.

They stand in recipes.yaml and come first in every run, so that a short run reaches every branch too. `find` makes them: it
takes a drawn case that reaches a rare branch and takes away every change that the branch can do without.
"""

from __future__ import annotations

import gc
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from facts.made_up import plain
from pydantic import ValidationError

from msadraft.agreement.assemble import assemble, clause_blocks
from msadraft.facts.check import check_tree
from msadraft.facts.model import Facts
from msadraft.figures.compute import compute
from msadraft.library.environment import WordingError
from msadraft.library.select import select
from trust.draw import GONE, Change, Drawn, Tree, apply, bases, copied, drawn_case

FILE = Path(__file__).with_name("recipes.yaml")
BY_HAND = Path(__file__).with_name("by_hand.yaml")
RARE = 10
"""A branch that fewer drawn cases reach gets a recipe."""
MOST_TRIALS = 400
Recipe = dict[str, Any]


@cache
def read() -> tuple[Recipe, ...]:
    """The recipes: those made by hand, then those that were found."""
    return (*_listed(BY_HAND), *_listed(FILE))


def _listed(file: Path) -> list[Recipe]:
    """The recipes of a file, values as text."""
    if not file.exists():
        return []
    found: list[Recipe] = yaml.load(
        file.read_text(encoding="utf-8"), Loader=getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    )
    return found or []


def case(number: int, recipe: Recipe) -> Drawn:
    """The case of a recipe."""
    tree = copied(bases()[recipe["from"]])
    changes = [(path, copied(value)) for path, value in recipe.get("change", {}).items()]
    for path, value in changes:
        apply(tree, path, value)
    return Drawn(number, recipe["from"], changes, tree)


def facts_of(tree: Tree) -> Facts | None:
    """The facts of a tree; None if it cannot be read."""
    try:
        if check_tree(tree):
            return None
        return Facts.model_validate(tree)
    except ValidationError:
        return None


def differences(base: Any, tree: Any, path: str = "") -> Iterator[Change]:
    """The changes that make one tree of another, as small as they can be; a list is changed whole."""
    if isinstance(base, dict) and isinstance(tree, dict):
        for key in dict.fromkeys((*base, *tree)):
            here = f"{path}.{key}" if path else key
            if key not in tree:
                yield here, GONE
            elif key not in base and isinstance(tree[key], dict) and tree[key]:
                yield from differences({}, tree[key], here)
            elif key not in base or base[key] != tree[key]:
                yield from differences(base.get(key), tree[key], here)
    elif base != tree:
        yield path, tree


def made(base: str, changes: list[Change]) -> Tree:
    """A beginning with changes put on it."""
    tree = copied(bases()[base])
    for path, value in changes:
        apply(tree, path, copied(value))
    return tree


def fewest(base: str, changes: list[Change], holds: Callable[[Tree], bool], most: int = MOST_TRIALS) -> list[Change]:
    """As few of the changes as still make `holds` true, tried at most so often.

    Whole groups and records are left out first, since a record cannot do without some of its facts; then halves of what
    is left, quarters, and so on down to single changes.
    """
    trials = 0
    for depth in (1, 2, 3):
        for part in dict.fromkeys(".".join(path.split(".")[:depth]) for path, _ in changes):
            fewer = [change for change in changes if not f"{change[0]}.".startswith(f"{part}.")]
            if trials < most and len(fewer) < len(changes):
                trials += 1
                changes = fewer if holds(made(base, fewer)) else changes
    size = max(1, len(changes) // 2)
    while trials < most:
        place, left_out = 0, False
        while place < len(changes) and trials < most:
            fewer = changes[:place] + changes[place + size :]
            trials += 1
            if holds(made(base, fewer)):
                changes, left_out = fewer, True
            else:
                place += size
        if size == 1 and not left_out:
            break
        size = max(1, size // 2)
    return changes


def shrunk(drawn: Drawn, failing: set[str]) -> Tree:
    """The facts of a failing case with as few changes as still fail the same checks."""
    from trust.worked import Trial

    def holds(tree: Tree) -> bool:
        if facts_of(tree) is None:
            return False
        trial = Trial()
        trial.case(Drawn(drawn.number, drawn.base, [], tree))
        return failing <= {f.check for f in trial.failures}

    best, base = drawn.tree, drawn.base
    for start in dict.fromkeys((drawn.base, "empty")):
        changes = fewest(start, list(differences(bases()[start], drawn.tree)), holds, 250)
        if holds(made(start, changes)):
            best, base = made(start, changes), start
    for path, value in differences(bases()[base], best):
        print(f"  {path}: {_as_text(value)}")
    return best


def find(count: int, seed: int, first: int = 0) -> None:
    """Draw cases, and add recipes for branches that few of them reach and no recipe reaches yet."""
    from trust.page import not_reachable
    from trust.worked import counting, library

    store = counting()
    skip = {n for n, b in enumerate(store.branches) if b.name in not_reachable()}
    gc.disable()
    reached: Counter[int] = Counter()
    some: dict[int, int] = {}
    for number in range(first, first + count):
        if number % 20 == 0:
            gc.collect()
        store.take()
        _draft(drawn_case(number, seed).facts)
        for branch in store.take():
            reached[branch] += 1
            some.setdefault(branch, number)
        if number % 500 == 499:
            print(
                f"{number + 1 - first} drawn, {len(reached)} of {len(store.branches)} branches",
                file=sys.stderr,
                flush=True,
            )
    found = _listed(FILE)
    have: set[int] = set()
    for recipe in read():
        facts = facts_of(case(0, recipe).tree)
        if facts is not None:
            store.take()
            _draft(facts)
            have |= set(store.take())
    rare = [
        b for b in sorted(reached, key=lambda b: reached[b]) if reached[b] < RARE and b not in have and b not in skip
    ]
    print(f"{len(rare)} branches are rare", file=sys.stderr, flush=True)
    for branch in rare:
        if branch in have:
            continue
        recipe = _recipe(drawn_case(some[branch], seed), branch)
        store.take()
        _draft(case(0, recipe).facts)
        have |= set(store.take())
        found.append(recipe)
        _write(found)
        gc.collect()
    never = [b.name for n, b in enumerate(store.branches) if n not in reached and n not in have and n not in skip]
    print(f"{len(found)} recipes; never reached: {len(never)}", *never, sep="\n", file=sys.stderr)
    assert library()


def _draft(facts: Facts) -> None:
    from trust.worked import library

    assemble(library(), select(library(), facts, compute(facts)), facts)


def _recipe(drawn: Drawn, branch: int) -> Recipe:
    """The shortest recipe for a branch, from the case's own beginning or from nearly empty facts."""
    from trust.worked import counting, library

    store = counting()
    clause = store.branches[branch].clause

    def holds(tree: Tree) -> bool:
        facts = facts_of(tree)
        if facts is None:
            return False
        try:
            selection = select(library(), facts, compute(facts))
            store.take()
            for chosen in selection.chosen:
                if chosen.clause.id == clause:
                    clause_blocks(chosen, selection.names)
        except WordingError:
            return False
        return branch in store.take()

    start = "empty"
    changes = list(differences(bases()[start], drawn.tree))
    changes = fewest(start, changes, holds)
    changes = _restored(start, changes, holds)
    return {
        "for": store.branches[branch].name,
        "from": start,
        "change": {path: _as_text(value) for path, value in changes},
    }


def _as_text(value: Any) -> Any:
    """A value as it stands in a file."""
    if isinstance(value, list):
        return [_as_text(one) for one in value]
    return {key: _as_text(one) for key, one in value.items()} if isinstance(value, dict) else plain(value)


def _restored(base: str, changes: list[Change], holds: Callable[[Tree], bool]) -> list[Change]:
    """The changes with plain words in place of strange ones where those do as well."""
    out = list(changes)
    for n, (path, value) in enumerate(changes):
        if isinstance(value, str) and value != GONE and not value.isascii():
            plainer = [*out[:n], (path, "as agreed"), *out[n + 1 :]]
            if holds(made(base, plainer)):
                out = plainer
    return out


def _write(found: list[Recipe]) -> None:
    head = "# Cases made on purpose for what random cases seldom reach; written by `run.py --find`.\n"
    text = yaml.safe_dump(found, allow_unicode=True, sort_keys=False, width=120)
    FILE.write_text(head + text, encoding="utf-8")
    read.cache_clear()
