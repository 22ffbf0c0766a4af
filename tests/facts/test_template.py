"""The new case: loads with nothing but what is needed filled in, and explains every fact."""

from __future__ import annotations

import re

import pytest

from msadraft.facts.load import read_text_case
from msadraft.facts.paths import ROOT, Shape, fields_of, leaf_paths
from msadraft.facts.problems import FactsError
from msadraft.facts.template import MODELINE, new_case
from msadraft.facts.yaml_tree import read_tree

FILLED = {
    "case.county": "Kern", "case.path": "response_filed", "petitioner.name.first": "Ada", "petitioner.name.last": "Reyes",
    "respondent.name.first": "Ben", "respondent.name.last": "Reyes", "marriage.married_on": "2010-05-01",
    "marriage.separated_on": "2024-01-01",
}  # fmt: skip


def fill(text: str) -> str:
    lines = text.split("\n")
    places = read_tree(text, "case.yaml").places
    for path, value in FILLED.items():
        lines[places[path].line - 1] += f" {value}"
    return "\n".join(lines)


def switched_on(text: str) -> str:
    """Every fact switched on: all the signs before keys and dashes taken away."""
    lines = []
    for line in text.removeprefix(MODELINE).split("\n"):
        while not line.lstrip("# ").startswith("#") and (found := re.match(r"((?:  )*)# (?=[ #a-z-])", line)):
            line = found.group(1) + line[found.end() :]
        lines.append(line)
    return "\n".join(lines)


def test_first_line_tells_editors_the_schema() -> None:
    assert new_case().splitlines()[0] == MODELINE == "# yaml-language-server: $schema=case.schema.json"


def test_untouched_it_says_what_is_missing() -> None:
    with pytest.raises(FactsError) as caught:
        read_text_case(new_case())
    assert [problem.path for problem in caught.value.problems] == list(FILLED)
    assert all("is needed, but is not given" in problem.what for problem in caught.value.problems)


def test_it_loads_with_the_needed_facts_filled_in() -> None:
    assert len(FILLED) <= 25
    facts = read_text_case(fill(new_case())).facts
    assert facts.marriage.married_on.year == 2010
    assert facts.assets == {}


def test_every_fact_can_be_switched_on() -> None:
    reading = read_tree(switched_on(new_case()), "case.yaml")
    assert reading.whole
    assert reading.problems == []
    shown = set()

    def walk(shape: Shape, tree: object) -> None:
        if shape.record is not None and isinstance(tree, dict):
            assert set(tree) <= set(fields_of(shape.record))
            for key, value in tree.items():
                shown.add((shape.record, key))
                walk(fields_of(shape.record)[key].shape, value)
        elif shape.item is not None and isinstance(tree, (dict, list)):
            for value in tree.values() if isinstance(tree, dict) else tree:
                walk(shape.item, value)

    walk(ROOT, reading.tree)
    records: set[object] = set()

    def collect(shape: Shape) -> None:
        if shape.record is not None and shape.record not in records:
            records.add(shape.record)
            for key, found in fields_of(shape.record).items():
                assert (shape.record, key) in shown, f"{shape.record.__name__}.{key} is not explained"
                collect(found.shape)
        elif shape.item is not None:
            collect(shape.item)

    collect(ROOT)
    assert len(records) > 100
    assert len(leaf_paths()) > 900


def test_every_explanation_is_there() -> None:
    text = " ".join(re.sub(r"^(?:# |  )*## ?", "", line) for line in new_case().splitlines())
    seen: set[object] = set()

    def walk(shape: Shape) -> None:
        if shape.record is not None and shape.record not in seen:
            seen.add(shape.record)
            for found in fields_of(shape.record).values():
                assert found.says.rstrip(".") + "." in text
                walk(found.shape)
        elif shape.item is not None:
            walk(shape.item)

    walk(ROOT)
    assert len(seen) > 100


def test_one_group_can_be_switched_on_by_taking_away_one_sign() -> None:
    lines = fill(new_case()).split("\n")
    start = next(i for i, line in enumerate(lines) if line.startswith("  # wren:"))
    for i in range(start, len(lines)):
        if not lines[i].startswith("  # "):
            break
        lines[i] = "  " + lines[i][4:]
    text = "\n".join(lines)
    with pytest.raises(FactsError) as caught:
        read_text_case(text)
    assert [problem.path for problem in caught.value.problems] == [
        "children.wren.name.first",
        "children.wren.name.last",
    ]
