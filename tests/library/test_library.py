"""The clause library: the proofs of the lint, and that the lint itself can fail."""

from __future__ import annotations

from pathlib import Path

import pytest

from msadraft.library.lint import check_groups, check_names, check_pointers, check_reachable
from msadraft.library.load import LibraryError, read_library

LIBRARY = read_library()


@pytest.mark.parametrize("check", [check_names, check_groups, check_reachable, check_pointers])
def test_shipped_library_has_nothing_wrong(check: object) -> None:
    assert check(LIBRARY) == []  # type: ignore[operator]


def small(tmp_path: Path, **clauses: str) -> Path:
    """A clause folder with one article that holds the clauses given as front matter and body."""
    folder = tmp_path / "clauses"
    folder.mkdir()
    listed = ", ".join(f"a.{name}" for name in clauses)
    (folder / "contents.yaml").write_text(
        f"- section: article.facts\n  heading: Facts\n  clauses: [{listed}]\n", encoding="utf-8"
    )
    for name, text in clauses.items():
        front, _, body = text.partition("|")
        lines = "\n".join(part.strip() for part in front.split(";") if part.strip())
        (folder / f"{name}.md").write_text(
            f"---\nid: a.{name}\nheading: H\npurpose: p\n{lines}\n---\n{body}\n", encoding="utf-8"
        )
    return folder


def test_group_with_a_hole_is_reported(tmp_path: Path) -> None:
    library = read_library(base=small(
        tmp_path,
        one='one_of: g; when: parenting.legal_custody == "joint"|text',
        two='one_of: g; when: parenting.legal_custody == "joint_tiebreak"|text',
    ))  # fmt: skip
    assert any("no clause applies when parenting.legal_custody = not known" in p for p in check_groups(library))


def test_group_with_an_overlap_is_reported(tmp_path: Path) -> None:
    library = read_library(base=small(
        tmp_path, one="one_of: g; when: case.mediated|text", two="one_of: g; when: case.mediated is missing or case.mediated|text"
    ))  # fmt: skip
    assert any("a.one and a.two apply" in p for p in check_groups(library))


def test_sum_of_numbers_is_tried_on_both_sides(tmp_path: Path) -> None:
    library = read_library(base=small(
        tmp_path,
        one="one_of: g; when: parenting.distance_miles >= 100|text",
        two="one_of: g; when: not (parenting.distance_miles > 100)|text",
    ))  # fmt: skip
    assert any("a.one and a.two apply when parenting.distance_miles = 100" in p for p in check_groups(library))


def test_clause_that_no_case_reaches_is_reported(tmp_path: Path) -> None:
    library = read_library(
        base=small(tmp_path, one='when: case.path == "joint_petition" and not figures.joint_path|text')
    )
    assert any("no case can ever reach" in p for p in check_reachable(library))


def test_reference_that_can_dangle_is_reported(tmp_path: Path) -> None:
    library = read_library(base=small(tmp_path, one='|See {{ para("a.two") }}.', two="when: case.mediated|text"))
    assert any("refers to a.two, which is missing when case.mediated" in p for p in check_pointers(library))


@pytest.mark.parametrize("body", [
    '{% if has("a.two") %}See {{ para("a.two") }}.{% endif %}x',
    'x{% if case.mediated %} See {{ para("a.two") }}.{% endif %}',
    'x{{ para("a.two") if case.mediated else "" }}',
])  # fmt: skip
def test_guarded_reference_is_not_reported(tmp_path: Path, body: str) -> None:
    library = read_library(base=small(tmp_path, one=f"|{body}", two="when: case.mediated|text"))
    assert check_pointers(library) == []


def test_reference_to_a_conditional_label_is_reported(tmp_path: Path) -> None:
    library = read_library(base=small(
        tmp_path, one='|See {{ para("a.two/extra") }}.', two="|text\n\n{% if case.mediated %}\n[extra] more\n\n{% endif %}"
    ))  # fmt: skip
    assert any("the paragraph [extra] of a.two, which is not always there" in p for p in check_pointers(library))


@pytest.mark.parametrize(("text", "said"), [
    ("when: case.mediatd|text", "no fact or figure is called 'mediatd'"),
    ("|{{ figures.nothing }}", "no fact or figure is called 'nothing'"),
    ("|{% for c in figures.minor_children %}{{ c.nam.full }}{% endfor %}", "no fact or figure is called 'nam'"),
    ("|{{ unheard_of }}", "nothing is called 'unheard_of'"),
])  # fmt: skip
def test_unknown_name_is_reported_with_file_and_line(tmp_path: Path, text: str, said: str) -> None:
    library = read_library(base=small(tmp_path, one=text))
    assert any(said in p and "one.md:" in p for p in check_names(library))


@pytest.mark.parametrize(("text", "said"), [
    ("wen: always|text", "wen: extra inputs are not permitted"),
    ("for_each: parties|text", "for_each should read NAME in EXPRESSION"),
    ("law: [a: b]|text", "law.0"),
])  # fmt: skip
def test_bad_front_matter_is_an_error_with_its_line(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(LibraryError, match=said.replace("[", r"\[")):
        read_library(base=small(tmp_path, one=text))


def test_firm_folder_replaces_and_adds(tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    (own / "parties.md").write_text(
        "---\nid: recital.parties\nheading: Who\npurpose: p\n---\nOurs.\n", encoding="utf-8"
    )
    (own / "extra.md").write_text(
        "---\nid: firm.extra\nheading: Extra\npurpose: p\nafter: recital.parties\n---\nOurs.\n", encoding="utf-8"
    )
    library = read_library(own)
    assert library.replaced == ("recital.parties",)
    assert library.added == ("firm.extra",)
    first = library.sections[0].clauses
    assert first.index("firm.extra") == first.index("recital.parties") + 1


def test_firm_clause_without_a_place_is_an_error(tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    (own / "extra.md").write_text("---\nid: firm.extra\nheading: Extra\npurpose: p\n---\nOurs.\n", encoding="utf-8")
    with pytest.raises(LibraryError, match="needs `after:`"):
        read_library(own)
