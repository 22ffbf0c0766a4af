"""Changes of the text of a facts file: small examples by hand, and random changes against plain groups and lists."""

from __future__ import annotations

import copy
import re
from datetime import date, time
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from support.effort import examples

from msadraft.facts.edit import (
    EditError,
    add_entry,
    copy_entry,
    move_entry,
    remove,
    rename_entry,
    set_list,
    set_value,
)
from msadraft.facts.paths import UnknownPathError, field_at
from msadraft.facts.template import new_case
from msadraft.facts.yaml_tree import read_tree
from tests.support.scenarios import ROUNDS, facts_file
from tests.support.strategies import case_data

CASE = """\
# yaml-language-server: $schema=case.schema.json
# The facts.
case:
  county: Alameda   # where it was filed
  # the court's number
  number: 25FL004417

petitioner:
  name: {first: Ada, last: Vane}
  occupation: >-  # as she says it
    a teacher of
    music

# two children
children:
  # the elder
  wren:
    born_on: 2018-03-14
    lives_with: both
    # spoken of below
  ben:
    born_on: 2021-09-02

parenting:
  exchanges:
    - {place_kind: school, place: the school}
    # on other days
    - {place_kind: curbside, place: the home}
  travel:
    itinerary: [dates, places]
  conduct:
    - no_disparagement   # one
    - sober_hours

notices:
"""


def _changed(old: str, new: str) -> tuple[list[str], list[str]]:
    """The lines of the old text between what is the same above and below, and those of the new one."""
    a, b = old.splitlines(), new.splitlines()
    while a and b and a[0] == b[0]:
        del a[0], b[0]
    while a and b and a[-1] == b[-1]:
        del a[-1], b[-1]
    return a, b


@pytest.mark.parametrize(
    ("path", "written", "out", "put"),
    [
        ("case.county", "Marin", ["  county: Alameda   # where it was filed"], ["  county: Marin   # where it was filed"]),
        ("case.county", "Marin: north", ["  county: Alameda   # where it was filed"], ['  county: "Marin: north"   # where it was filed']),
        ("case.county", "", ["  county: Alameda   # where it was filed"], ["  county:   # where it was filed"]),
        ("case.branch", "Hall", [], ["  branch: Hall"]),
        ("case.signing_on", "2026-11-24", [], ["  signing_on: 2026-11-24"]),
        ("case.child_support_agency", "no", [], ["  child_support_agency: no"]),
        ("petitioner.name.middle", "Li, Ann", ["  name: {first: Ada, last: Vane}"], ['  name: {first: Ada, middle: "Li, Ann", last: Vane}']),
        ("petitioner.occupation", "a pilot", ["  occupation: >-  # as she says it", "    a teacher of", "    music"], ["  occupation: a pilot  # as she says it"]),
        ("petitioner.occupation", "a\nb", ["  occupation: >-  # as she says it", "    a teacher of", "    music"], ["  occupation: |-  # as she says it", "    a", "    b"]),
        ("petitioner.address.post_code", "94541", [], ["  address:", '    post_code: "94541"']),
        ("children.zoë.born_on", "2020-01-02", [], ['  "zoë":', "    born_on: 2020-01-02"]),
        ("children.ben.lives_with", "# both", [], ['    lives_with: "# both"']),
        ("parenting.exchanges.1.place", "a park", ["    - {place_kind: curbside, place: the home}"], ["    - {place_kind: curbside, place: a park}"]),
        ("parenting.exchanges.2.place", "a park", [], ["    - {place: a park}"]),
        ("parenting.travel.itinerary.2", "phone", ["    itinerary: [dates, places]"], ["    itinerary: [dates, places, phone]"]),
        ("parenting.conduct.0", "no_messages", ["    - no_disparagement   # one"], ["    - no_messages   # one"]),
        ("parenting.conduct.2", "no_more", [], ["    - no_more"]),
        ("parenting.dispute_steps.0.step", "propose", [], ["  dispute_steps:", "    - step: propose"]),
        ("notices.days", "5", [], ["  days: 5"]),
        ("notices.methods.0", "email", [], ["  methods: [email]"]),
        ("marriage.married_on", "2016-06-18", [], ["marriage:", "  married_on: 2016-06-18", ""]),
        ("fees.plan", "own", [], ["", "fees:", "  plan: own"]),
        ("spousal_support.to_petitioner.steps.0.amount", "1,850.00", [], ["spousal_support:", "  to_petitioner:", "    steps:", "      - amount: 1,850.00", ""]),
    ],
)  # fmt: skip
def test_one_fact_is_set(path: str, written: str, out: list[str], put: list[str]) -> None:
    made = set_value(CASE, path, written)
    gone, come = _changed(CASE, made)
    if gone != out:
        # An empty line or the same key above and below makes the place of a change ambiguous.
        assert sorted(come) == sorted([*put, *(line for line in gone if line not in out)])
    else:
        assert sorted(come) == sorted(put)
    assert "\n\n\n" not in made


def test_a_new_group_comes_where_the_model_has_it_and_between_blank_lines() -> None:
    made = set_value(CASE, "marriage.married_on", "2016-06-18")
    assert "    music\n\nmarriage:\n  married_on: 2016-06-18\n\n# two children\nchildren:\n" in made
    made = set_value(CASE, "fees.plan", "own")
    assert made.endswith("\n    - sober_hours\n\nfees:\n  plan: own\n\nnotices:\n")


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("", "children:\n  wren:\n    born_on: 2020-01-01\n"),
        ("# only this\n", "# only this\n\nchildren:\n  wren:\n    born_on: 2020-01-01\n"),
        ("# only this", "# only this\n\nchildren:\n  wren:\n    born_on: 2020-01-01\n"),
        ("children:", "children:\n  wren:\n    born_on: 2020-01-01\n"),
        ("children: ~  # none yet\n", "children:  # none yet\n  wren:\n    born_on: 2020-01-01\n"),
        ("children: {}\n", "children:\n  wren:\n    born_on: 2020-01-01\n"),
        ("children:\n  wren:\n", "children:\n  wren:\n    born_on: 2020-01-01\n"),
        ("children: {wren: {lives_with: both}}", "children: {wren: {born_on: 2020-01-01, lives_with: both}}"),
        ("children: {ben: {lives_with: both}} # x", "children: {ben: {lives_with: both}, wren: {born_on: 2020-01-01}} # x"),
        ("children:\r\n  wren:\r\n    lives_with: both\r\n", "children:\r\n  wren:\r\n    born_on: 2020-01-01\r\n    lives_with: both\r\n"),
        ("children:\n  wren:\n    lives_with: both", "children:\n  wren:\n    born_on: 2020-01-01\n    lives_with: both"),
        ("children:\n  wren:\n    born_on: 2019-09-09", "children:\n  wren:\n    born_on: 2020-01-01"),
    ],
)  # fmt: skip
def test_every_state_of_the_file_is_met(text: str, made: str) -> None:
    assert set_value(text, "children.wren.born_on", "2020-01-01") == made


def test_a_switched_off_fact_of_a_new_file_is_written_where_it_is_explained() -> None:
    lines = set_value(new_case(), "case.branch", "Hall").splitlines()
    at = lines.index("  branch: Hall")
    assert lines[at - 1] == "  # branch:"
    assert lines[at - 2].startswith("  ## ")


def test_lists_are_set_in_the_style_they_stand_in() -> None:
    made = set_list(CASE, "parenting.conduct", ["no_disparagement", "no_messages", "sober_hours"])
    assert _changed(CASE, made) == ([], ["    - no_messages"])
    made = set_list(CASE, "parenting.conduct", ["sober_hours"])
    assert _changed(CASE, made) == (["    - no_disparagement   # one"], [])
    made = set_list(CASE, "parenting.travel.itinerary", ["phone"])
    assert _changed(CASE, made) == (["    itinerary: [dates, places]"], ["    itinerary: [phone]"])
    assert "  order_of_precedence: [holidays, regular]\n" in set_list(
        CASE, "parenting.order_of_precedence", ["holidays", "regular"]
    )
    long = [f"a_rather_long_word_{n}" for n in range(9)]
    assert "".join(f"    - {word}\n" for word in long) in set_list(CASE, "case.petition_relief", long)
    assert "  conduct: []\n" in set_list(CASE, "parenting.conduct", [])
    with pytest.raises(EditError):
        set_list(CASE, "parenting.exchanges", ["a"])
    with pytest.raises(EditError):
        set_list(CASE, "case.county", ["a"])


def test_what_is_taken_out_takes_its_own_comments_along() -> None:
    gone, come = _changed(CASE, remove(CASE, "case.number"))
    assert (gone, come) == (["  # the court's number", "  number: 25FL004417"], [])
    made = remove(CASE, "children.wren")
    assert "children:\n  ben:\n" in made
    assert "the elder" not in made
    assert "spoken of" not in made
    assert "# two children" in made
    made = remove(CASE, "children")
    assert "    music\n\nparenting:\n" in made
    assert "itinerary" not in remove(CASE, "parenting.travel.itinerary")
    assert "travel" not in remove(set_list(CASE, "parenting.travel.itinerary", ["one"]), "parenting.travel.itinerary.0")
    assert remove("# head\ncase:\n  county: x\n", "case.county") == "# head\n"
    assert remove("a:\n  - b: 1\n    c: 2\n", "a.0.b") == "a:\n  - c: 2\n"
    assert remove("a: {b: 1, c: 2} # d\n", "a.b") == "a: {c: 2} # d\n"


def test_a_map_entry_that_is_left_empty_keeps_its_short_name() -> None:
    assert "  ben:\n\nparenting:\n" in remove(CASE, "children.ben.born_on")


def test_entries_are_added_at_the_end() -> None:
    assert "  ben:\n    born_on: 2021-09-02\n  zoe:\n\nparenting:\n" in add_entry(CASE, "children", "zoe")
    made = add_entry(CASE, "children", "zoe", {"lives_with": "both", "born_on": "2022-02-02"})
    assert "  zoe:\n    born_on: 2022-02-02\n    lives_with: both\n\n" in made
    made = add_entry(CASE, "parenting.exchanges", None, {"place": "a park", "place_kind": "other"})
    assert _changed(CASE, made) == ([], ["    - {place_kind: other, place: a park}"])
    assert made.index("the home}") < made.index("a park")
    assert "  filing:\n    - year: 2025\n      status: separate\n" in add_entry(
        CASE, "taxes.filing", None, {"status": "separate", "year": "2025"}
    )
    with pytest.raises(EditError, match="taken"):
        add_entry(CASE, "children", "ben")
    with pytest.raises(EditError, match="at least one"):
        add_entry(CASE, "parenting.exchanges")


def test_entries_are_copied_moved_and_renamed() -> None:
    made = copy_entry(CASE, "children.wren", "ada")
    assert _changed(CASE, made)[1] == [
        "  ada:",
        "    born_on: 2018-03-14",
        "    lives_with: both",
        "    # spoken of below",
    ]
    made = move_entry(CASE, "children.ben", 0)
    assert "children:\n  ben:\n    born_on: 2021-09-02\n  # the elder\n  wren:\n" in made
    assert made.endswith("    # spoken of below\n" + CASE[CASE.index("\nparenting:") :])
    assert move_entry(made, "children.wren", 0) == CASE
    made = move_entry(CASE, "parenting.exchanges.1", 0)
    assert (
        "  exchanges:\n    # on other days\n    - {place_kind: curbside, place: the home}\n    - {place_kind: school"
        in made
    )
    assert "itinerary: [places, dates]" in move_entry(CASE, "parenting.travel.itinerary.1", 0)
    assert _changed(CASE, copy_entry(CASE, "parenting.conduct.1", None)) == ([], ["    - sober_hours"])
    assert _changed(CASE, rename_entry(CASE, "children.ben", "bo")) == (["  ben:"], ["  bo:"])
    for wrong in (
        lambda: rename_entry(CASE, "children.ben", "wren"), lambda: copy_entry(CASE, "children.ben", "wren"),
        lambda: move_entry(CASE, "children.ben", 2), lambda: rename_entry(CASE, "children.nobody", "x"),
        lambda: copy_entry(CASE, "parenting.conduct.0", "x"),
    ):  # fmt: skip
        with pytest.raises(EditError):
            wrong()


@pytest.mark.parametrize(
    ("text", "path"),
    [
        (CASE, "children"),
        (CASE, "children.wren"),
        (CASE, "case.county.name"),
        (CASE, "parenting.conduct.5"),
        (CASE, "parenting.exchanges.1"),
        ("a: [1, 2\n", "a.0"),
        ("a: 1\na: 2\n", "a"),
        ("just words\n", "a.b"),
    ],
)
def test_what_cannot_be_changed_says_so(text: str, path: str) -> None:
    with pytest.raises(EditError) as error:
        set_value(text, path, "x")
    assert error.value.path == path
    assert error.value.why.endswith(".")
    assert error.value.mend.endswith(".")


@settings(max_examples=examples(100, 300), deadline=None)
@given(
    st.text(st.characters(exclude_categories=["Cs", "Cc", "Cn"], include_characters="\n\t"), max_size=40) | st.text("a: #-'\"|>{}[],\n", max_size=12),
    st.sampled_from(["case.county", "petitioner.name.first", "petitioner.occupation", "parenting.conduct.0", "parenting.conduct.2", "fees.plan"]),
)  # fmt: skip
def test_any_text_can_be_a_value(written: str, path: str) -> None:
    made = set_value(CASE, path, written)
    assert _value(read_tree(made, "x").tree, path.split(".")) == (written or None)
    assert set_value(made, path, written) == made


# --- random changes --------------------------------------------------------------------------------------------------


def _value(tree: Any, parts: list[str]) -> Any:
    for part in parts:
        tree = tree[int(part)] if isinstance(tree, list) else tree[part]
    return tree


def _written(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, time):
        return value.strftime("%H:%M")
    assert isinstance(value, str | int | date | Decimal)
    return str(value)


def _leaves(data: Any, path: str = "") -> Any:
    """Every single value of a random case with its path."""
    for key, value in data.items():
        here = f"{path}.{key}" if path else key
        if isinstance(value, dict):
            yield from _leaves(value, here)
        elif isinstance(value, list | tuple):
            yield from _leaves({str(n): item for n, item in enumerate(value)}, here)
        elif value is not None:
            yield here, _written(value)


def _with_notes(text: str) -> str:
    """The text with a comment of its own above every third key that has a line of its own."""
    places = read_tree(text, "x").places
    lines: list[str] = text.splitlines(keepends=True)
    spots = {
        place.line: place.column
        for path, place in places.items()
        if path not in ("", "case") and not lines[place.line - 1][: place.column - 1].strip()
    }
    made = []
    for number, line in enumerate(lines, 1):
        if number in spots and number % 3 == 0:
            made.append(f"{' ' * (spots[number] - 1)}# note {number}\n")
        made.append(line)
    return "".join(made)


def _owners(text: str) -> dict[str, str]:
    """The path below each of these comments."""
    at = {place.line: path for path, place in reversed(read_tree(text, "x").places.items())}
    lines = text.splitlines()
    return {line.strip(): at.get(n + 1, "") for n, line in enumerate(lines, 1) if line.strip().startswith("# note ")}


def _set_plain(tree: dict[str, Any], parts: list[str], value: Any) -> bool:
    """Set a value; False if a list position is missing or a group stands in the way, and nothing is set."""
    here: Any = tree
    for part, following in zip(parts, [*parts[1:], None], strict=True):
        if isinstance(here, list):
            if int(part) > len(here):
                return False
            if int(part) == len(here):
                here.append(None)
            key: Any = int(part)
        elif isinstance(here, dict):
            key = part
        else:
            return False
        if following is None:
            if isinstance(here, dict) and isinstance(here.get(key), dict | list):
                return False
            here[key] = value
            return True
        if (here[key] if isinstance(here, list) else here.get(key)) is None:
            here[key] = [] if following.isdecimal() else {}
        here = here[key]
    return True


def _remove_plain(tree: dict[str, Any], parts: list[str]) -> None:
    holder = _value(tree, parts[:-1])
    del holder[int(parts[-1]) if isinstance(holder, list) else parts[-1]]
    if not holder and len(parts) > 1:
        try:
            is_entry = field_at(".".join(parts[:-2])).shape.form == "map"
        except UnknownPathError:
            is_entry = False
        if is_entry:
            _value(tree, parts[:-2])[parts[-2]] = None
        else:
            _remove_plain(tree, parts[:-1])


BASES = {number: _with_notes(facts_file(*number).read_text(encoding="utf-8")) for number in ROUNDS}
KINDS = ("set", "set", "set", "remove", "copy", "move", "rename", "list", "add")
STEPS = st.lists(
    st.tuples(st.sampled_from(KINDS), st.integers(0, 100_000), st.integers(0, 100)), min_size=1, max_size=8
)


@settings(
    max_examples=examples(20, 200),
    deadline=None,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(st.sampled_from(ROUNDS), case_data(), STEPS, st.booleans())
def test_random_changes_say_the_same_as_on_plain_groups_and_lists(
    base: tuple[str, int], data: dict[str, Any], steps: list[tuple[str, int, int]], crlf: bool
) -> None:
    text = BASES[base].replace("\n", "\r\n") if crlf else BASES[base]
    tree: Any = read_tree(text, "x").tree
    leaves = list(_leaves(data))
    for number, (kind, which, what) in enumerate(steps):
        new = f"new_{number}"
        owners = _owners(text)
        wanted = copy.deepcopy(tree)
        paths = [path for path in read_tree(text, "x").places if path]
        path = paths[which % len(paths)]
        parts = path.split(".")
        holder = _value(wanted, parts[:-1])
        in_map = isinstance(holder, dict)
        allowed: set[str] = set()
        if kind == "set":
            path, written = leaves[which % len(leaves)]
            if not _set_plain(wanted, path.split("."), written):
                with pytest.raises(EditError):
                    set_value(text, path, written)
                continue
            made = set_value(text, path, written)
        elif kind == "remove":
            _remove_plain(wanted, parts)
            made = remove(text, path)
            now = read_tree(made, "x").places
            allowed = {note for note, below in owners.items() if below not in now or re.search(r"\.\d", below)}
        elif kind == "copy":
            if in_map:
                holder[new] = copy.deepcopy(holder[parts[-1]])
            else:
                holder.insert(int(parts[-1]), copy.deepcopy(holder[int(parts[-1])]))
            made = copy_entry(text, path, new if in_map else None)
            # The notes inside would stand there twice.
            made_notes = [line.strip() for line in made.splitlines() if line.strip().startswith("# note ")]
            assert set(made_notes) == set(owners)
            assert read_tree(made, "x").tree == wanted
            continue
        elif kind == "move":
            to = what % len(holder)
            if in_map:
                names = [name for name in holder if name != parts[-1]]
                names.insert(to, parts[-1])
                values = {name: holder[name] for name in names}
                holder.clear()
                holder.update(values)
            else:
                holder.insert(to, holder.pop(int(parts[-1])))
            made = move_entry(text, path, to)
            if in_map:
                assert list(_value(read_tree(made, "x").tree, parts[:-1])) == list(holder)
        elif kind == "rename":
            if not in_map:
                continue
            holder[new] = holder.pop(parts[-1])
            made = rename_entry(text, path, new)
        elif kind == "list":
            lists = [p for p in paths if isinstance(_value(tree, p.split(".")), list)]
            path = lists[which % len(lists)]
            values_ = [f"word {n}" for n in range(what % 5)]
            if any(isinstance(item, dict | list) for item in _value(tree, path.split("."))) and values_:
                continue
            if not values_ or len(values_) == 3:
                values_ = [*(item for item in _value(tree, path.split(".")) if isinstance(item, str)), *values_]
            _value(wanted, path.split(".")[:-1])[path.split(".")[-1]] = list(values_)
            if any(isinstance(item, dict | list) for item in _value(tree, path.split("."))):
                continue
            made = set_list(text, path, values_)
        else:
            wanted["assets"] = wanted.get("assets") or {}
            wanted["assets"][new] = {"kind": "other", "label": "a thing: # new"}
            made = add_entry(text, "assets", new, {"label": "a thing: # new", "kind": "other"})
        found = read_tree(made, "x")
        assert not found.problems
        assert found.tree == wanted
        assert made.count("\r\n") == (made.count("\n") if crlf else 0)
        after = _owners(made)
        assert set(owners) - set(after) <= allowed, (kind, path)
        assert set(after) <= set(owners)
        if kind in ("set", "add"):
            assert after == owners, (kind, path)
        if kind == "remove":
            assert not allowed & {n for n in after if not re.search(r"\.\d", owners[n])}, path
        text, tree = made, found.tree
