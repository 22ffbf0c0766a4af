"""Reading a facts file: what is taken, where things stand, and that nothing but FactsError ever comes out."""

from __future__ import annotations

import hashlib
import os
import re
import time
from pathlib import Path
from typing import Any

import pytest
import yaml
from facts.made_up import MINIMAL, as_yaml, trees, without_dangling
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from support.effort import examples

from msadraft.facts.explain import SYNONYMS
from msadraft.facts.load import MOST_BYTES, CaseFile, read_case, read_text_case
from msadraft.facts.model import Facts
from msadraft.facts.paths import ROOT, groups_with_key, leaf_paths
from msadraft.facts.problems import FactsError, Place, Problem
from msadraft.facts.yaml_tree import DEEPEST, MOST_NODES, read_tree

BROKEN = sorted((Path(__file__).parents[1] / "broken").glob("*.yaml"))


def problems_of(text: str) -> tuple[Problem, ...]:
    with pytest.raises(FactsError) as caught:
        read_text_case(text)
    return caught.value.problems


@pytest.fixture(params=["fast reader", "plain reader"])
def _both_readers(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    if request.param == "plain reader":
        monkeypatch.delattr(yaml, "CSafeLoader", raising=False)


def test_the_minimal_case_needs_few_facts() -> None:
    case = read_text_case(MINIMAL)
    given_facts = [path for path in case.places if path in leaf_paths()]
    assert len(given_facts) == 8
    assert case.facts.petitioner.name.full == "Ada Reyes"
    assert case.facts.children == {}
    assert case.facts.parenting.move_notice_days == 45


@pytest.mark.usefixtures("_both_readers")
@pytest.mark.parametrize("file", BROKEN, ids=lambda file: file.stem)
def test_broken_file_says_exactly_what_is_wrong(file: Path) -> None:
    with pytest.raises(FactsError) as caught:
        read_case(file)
    assert str(caught.value) + "\n" == file.with_suffix(".txt").read_text(encoding="utf-8")


def test_every_broken_file_has_its_message() -> None:
    assert len(BROKEN) > 60
    assert {file.stem for file in BROKEN} == {file.stem for file in BROKEN[0].parent.glob("*.txt")}


def test_folder_and_file_are_the_same_case(tmp_path: Path) -> None:
    content = ("\ufeff" + MINIMAL.replace("\n", "\r\n")).encode()
    (tmp_path / "case.yaml").write_bytes(content)
    by_folder, by_file = read_case(tmp_path), read_case(str(tmp_path / "case.yaml"))
    assert by_folder == by_file
    assert by_folder.facts == read_text_case(MINIMAL).facts
    assert by_folder.digest == hashlib.sha256(content).hexdigest()
    assert by_folder.path == tmp_path / "case.yaml"
    assert by_folder.places["marriage.married_on"] == Place("case.yaml", 9, 3)
    assert by_folder.text.startswith("case:")


def test_places_of_keys_items_and_what_is_not_there() -> None:
    case = read_text_case(MINIMAL + "notices:\n  methods: [mail,\n    email]\n  addresses:\n")
    assert case.place("notices.methods") == Place("case.yaml", 12, 3)
    assert case.place("notices.methods.0") == Place("case.yaml", 12, 13)
    assert case.place("notices.methods.1") == Place("case.yaml", 13, 5)
    assert case.places["notices.addresses"] == Place("case.yaml", 14, 3)
    assert case.place("notices.addresses.to_petitioner") == Place("case.yaml", 14, 3)
    assert case.place("child_support.amount") == Place("case.yaml", 1, 1)


@pytest.mark.usefixtures("_both_readers")
def test_values_are_taken_as_written() -> None:
    case = read_text_case(
        MINIMAL
        + "children:\n  n:\n    name: {first: No, last: Null, middle: 010}\n    of_both: no\n"
        + "parenting:\n  handover_time: 1:30\n  pattern: 2255\n  reply_hours: 010\n  primary_home: ~\n"
        + "child_support:\n  amount: '1,850'\n  payer:\n  deviation_note: \"~\"\n"
    )
    child = case.facts.children["n"]
    assert (child.name.first, child.name.middle, child.name.last) == ("No", "010", "Null")
    assert child.of_both is False
    parenting = case.facts.parenting
    assert (parenting.pattern, str(parenting.handover_time), parenting.reply_hours) == ("2255", "01:30:00", 10)
    assert parenting.primary_home is None
    assert str(case.facts.child_support.amount) == "1850.00"
    assert case.facts.child_support.payer is None
    assert case.facts.child_support.deviation_note == "~"


def test_an_empty_group_is_a_group_not_given() -> None:
    assert read_text_case(MINIMAL + "parenting:\nchildren: ~\nassets: null\n").facts == read_text_case(MINIMAL).facts


def test_all_problems_are_told_at_once() -> None:
    found = problems_of(
        MINIMAL.replace("Kern", "Kernn").replace("2010-05-01", "soon") + "case: {}\nfoo: 1\nfees: {from_asset: x}\n"
    )
    assert [(problem.place.line, problem.path) for problem in found] == [
        (2, "case.county"), (9, "marriage.married_on"), (11, "case"), (12, "foo"), (13, "fees.from_asset"),
    ]  # fmt: skip


def test_what_stands_before_a_syntax_error_is_told_too() -> None:
    found = problems_of("case:\n  county: Kern\n  county: Kern\n  path: 'x\n")
    assert [problem.place.line for problem in found] == [3, 4]


@pytest.mark.parametrize(
    ("name", "make", "says"),
    [
        ("nowhere", lambda path: None, "There is no file"),
        ("folder", lambda path: path.mkdir(), "There is no case.yaml in the folder"),
        ("pipe", lambda path: os.mkfifo(path), "is not an ordinary file"),
        ("large", lambda path: path.write_bytes(b"#" * (MOST_BYTES + 1)), "larger than 2 MB"),
        ("loop", lambda path: path.symlink_to(path), "cannot be read"),
        ("nul\0", lambda path: None, "cannot be read"),
        ("n" * 300, lambda path: None, "cannot be read"),
    ],
)  # fmt: skip
def test_files_that_cannot_be_read(tmp_path: Path, name: str, make: Any, says: str) -> None:
    path = tmp_path / name
    make(path)
    with pytest.raises(FactsError, match=says):
        read_case(path)


def test_a_folder_with_another_yaml_file_names_it(tmp_path: Path) -> None:
    (tmp_path / "facts.yml").write_text(MINIMAL)
    with pytest.raises(FactsError, match=r"found here: facts\.yml"):
        read_case(tmp_path)


def test_a_file_without_the_right_to_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "case.yaml").write_text(MINIMAL)

    def refuse(*_: object) -> None:
        raise PermissionError

    monkeypatch.setattr("msadraft.facts.load._bytes_of", refuse)
    with pytest.raises(FactsError, match="may not be read"):
        read_case(tmp_path)


def test_the_largest_file_is_read(tmp_path: Path) -> None:
    text = MINIMAL + "#" * (MOST_BYTES - len(MINIMAL))
    assert read_text_case(text).facts == read_text_case(MINIMAL).facts
    with pytest.raises(FactsError, match="larger than"):
        read_text_case(text + "#")


def test_the_deepest_nesting() -> None:
    assert read_tree("[" * DEEPEST + "]" * DEEPEST, "x").whole
    beyond = read_tree("[" * (DEEPEST + 1) + "]" * (DEEPEST + 1), "x")
    assert not beyond.whole
    assert "nested more than 20 deep" in beyond.problems[0].what


def test_the_most_values() -> None:
    assert read_tree("- a\n" * (MOST_NODES - 1), "x").whole  # the list itself counts too
    assert "more than 200,000 values" in read_tree("- a\n" * MOST_NODES, "x").problems[0].what


@pytest.mark.parametrize(
    "text",
    ["[" * 900_000, "{" * 900_000, "- " * 400_000, "? " * 400_000, "!" * 900_000, "&a " * 300_000, '"' * 900_000,
     "\t" * 900_000, " " * 900_000, "a\n" * 500_000, "a: 1\n" * 90_000, "".join(f"assets{i}: 1\n" for i in range(60_000)),
     "case: {joined_plans: [" + "a," * 90_000 + "]}", "case: {number: '" + "1 2-" * 200_000 + "x'}"],
    ids=lambda text: text[:12].strip() or "blank",
)  # fmt: skip
def test_hostile_files_are_refused_quickly(text: str) -> None:
    start = time.process_time()
    found = problems_of(text)
    assert time.process_time() - start < 5
    assert 0 < len(found) <= 200
    assert len(str(FactsError(found))) < 50_000


def test_a_case_of_a_thousand_assets_is_read_quickly() -> None:
    assets = "".join(
        f"  asset_{i}:\n    kind: account\n    label: Checking account number {i}\n    titled: both\n    value: 1,850.00\n"
        f"    value_on: 2026-01-01\n    goes_to: split\n    petitioner_percent: 50\n    last_four: {1000 + i}\n"
        for i in range(1000)
    )
    start = time.process_time()
    case = read_text_case(MINIMAL + "assets:\n" + assets)
    assert time.process_time() - start < 1
    assert len(case.facts.assets) == 1000


json_like = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=20)
    | st.sampled_from(["no", "010", "1:30", "2026-01-01"]),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.sampled_from(sorted(groups_with_key())) | st.text(max_size=8), inner, max_size=5)
    ),
    max_leaves=30,
)


def read_or_refuse(read: Any) -> CaseFile | None:
    try:
        case = read()
    except FactsError as error:
        refused = error
    else:
        assert isinstance(case, CaseFile)
        return case
    assert refused.problems
    assert all(problem.what and problem.mend for problem in refused.problems)
    return None


@given(json_like)
def test_any_tree_is_read_or_refused(tree: Any) -> None:
    read_or_refuse(lambda: read_text_case(yaml.safe_dump(tree, allow_unicode=True)))


@given(st.dictionaries(st.sampled_from(sorted(leaf_paths())), json_like, max_size=6))
def test_any_value_anywhere_is_read_or_refused(values: dict[str, Any]) -> None:
    tree: dict[str, Any] = yaml.safe_load(MINIMAL)
    for path, value in values.items():
        *groups, last = path.replace("*", "wren").split(".")
        inner = tree
        for group in groups:
            inner = inner.setdefault(group, {}) if isinstance(inner, dict) else {}
        if isinstance(inner, dict):
            inner[last] = value
    read_or_refuse(lambda: read_text_case(yaml.safe_dump(tree, allow_unicode=True)))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "case.yaml"
    file.write_bytes(content)
    read_or_refuse(lambda: read_case(file))


YAML_BITS = st.lists(
    st.sampled_from(["a", "b", ": ", ":", "- ", "-", "\n", "\n  ", "\n    ", " ", "'", '"', "[", "]", "{", "}", ", ", "#", " #", "|", ">",
                     "&x", "*x", "!t", "? ", "%", "@", "\t", "---\n", "...\n", "<<", "~", "\\x", "\\u", "\r\n", "\u00e9", "=", "`"]),
    max_size=25,
).map("".join)  # fmt: skip


@given(YAML_BITS)
def test_both_yaml_readers_agree(text: str) -> None:
    fast = read_tree(text, "x")
    with pytest.MonkeyPatch.context() as patch:
        patch.delattr(yaml, "CSafeLoader", raising=False)
        plain = read_tree(text, "x")
    taken = [reading.whole and not reading.problems for reading in (fast, plain)]
    if all(taken):
        assert (fast.tree, fast.places) == (plain.tree, plain.places)
    # One is stricter than the other inside brackets and about a comment glued to | or >; neither reads something else.
    if not re.search(r"[\[{]|[|>][-+0-9]*#", text):
        assert taken[0] == taken[1]


@settings(max_examples=examples(40, 200), deadline=None, suppress_health_check=list(HealthCheck))
@given(trees(ROOT))
def test_facts_survive_being_written_and_read(tree: dict[str, Any]) -> None:
    facts = Facts.model_validate(without_dangling(tree))
    assert read_text_case(as_yaml(facts)).facts == facts


def test_suggested_words_exist() -> None:
    assert set(SYNONYMS.values()) <= set(groups_with_key()) | {"petitioner", "respondent"}
    assert not set(SYNONYMS) & {name for name, groups in groups_with_key().items() if "" in groups}


def test_very_many_problems_are_cut_short_in_print() -> None:
    error = FactsError([Problem(Place("x", line, 1), "a", "Wrong.", "Mend it.") for line in range(150)], unlisted=7)
    assert str(error).endswith("… and 57 more. Mend these first, then look again.")
    assert error.problems[0].place.line == 0
