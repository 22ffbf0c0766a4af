"""The commands as a person uses them: exit codes, files, rights, and clear words when something is wrong."""

from __future__ import annotations

import json
import shutil
import stat
from pathlib import Path

import pytest
from support.scenarios import facts_file
from typer.testing import CliRunner

from msadraft.cli import app

RUN = CliRunner()
FILES = {
    "facts.yaml", "agreement.docx", "agreement.html", "agreement.txt", "agreement.json", "paragraph-map.csv", "paragraph-map.json",
    "paragraph-map.xlsx", "paragraph-map.docx", "review.md", "figures.json", "selection.json", "manifest.json",
}  # fmt: skip


@pytest.fixture
def case(tmp_path: Path) -> Path:
    folder = tmp_path / "case"
    folder.mkdir()
    shutil.copyfile(facts_file("marrowby", 3), folder / "case.yaml")
    return folder


def run(*words: object, code: int = 0) -> str:
    done = RUN.invoke(app, [str(w) for w in words])
    assert done.exit_code == code, done.output
    assert "Traceback" not in done.output
    return done.output


def test_new_case_says_what_is_missing(tmp_path: Path) -> None:
    run("new", tmp_path / "mine")
    output = run("review", tmp_path / "mine", code=2)
    assert "case.yaml:" in output
    assert "case.county" in output
    assert "To mend:" in output


def test_new_never_overwrites_a_case(case: Path) -> None:
    before = (case / "case.yaml").read_bytes()
    assert "there is a case already" in run("new", case, code=2)
    assert (case / "case.yaml").read_bytes() == before


def test_draft_writes_a_round_that_only_its_owner_can_read(case: Path) -> None:
    run("draft", case)
    folder = case / "rounds" / "01"
    assert {p.name for p in folder.iterdir()} == FILES
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert {stat.S_IMODE(p.stat().st_mode) for p in folder.iterdir()} == {0o600}


def test_draft_makes_a_new_round_only_if_something_changed(case: Path) -> None:
    run("draft", case)
    assert "nothing changed" in run("draft", case)
    facts = case / "case.yaml"
    facts.write_text(facts.read_text(encoding="utf-8").replace("796.92", "800.00"), encoding="utf-8")
    run("draft", case, code=1)
    assert sorted(p.name for p in (case / "rounds").iterdir()) == ["01", "02"]


def test_same_facts_give_the_same_bytes(case: Path, tmp_path: Path) -> None:
    run("draft", case, "--out", tmp_path / "one")
    run("draft", case, "--out", tmp_path / "two")
    for name in FILES:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes(), name


def test_final_refuses_while_a_finding_stops_signing(tmp_path: Path) -> None:
    folder = tmp_path / "case"
    folder.mkdir()
    shutil.copyfile(facts_file("marrowby", 1), folder / "case.yaml")
    assert "stop signing" in run("draft", folder, "--final", code=1)
    assert not (folder / "rounds").exists()


def test_mark_is_the_same_on_every_paper_of_a_round(case: Path) -> None:
    mark = json.loads(run("draft", case, "--json"))["mark"]
    folder = case / "rounds" / "01"
    assert mark.startswith("Round 1 · ")
    assert json.loads((folder / "paragraph-map.json").read_text(encoding="utf-8"))["mark"] == mark
    for name in ("agreement.txt", "agreement.html", "paragraph-map.csv", "review.md", "manifest.json"):
        assert mark in (folder / name).read_text(encoding="utf-8"), name


def test_map_of_a_drafted_round_carries_its_mark(case: Path) -> None:
    mark = json.loads(run("draft", case, "--json"))["mark"]
    assert json.loads(run("map", case, "--format", "json"))["mark"] == mark
    assert "--out" in run("map", case, "--format", "xlsx", code=2)


def test_review_gives_lines_that_hold_the_fact(tmp_path: Path) -> None:
    facts = tmp_path / "case.yaml"
    shutil.copyfile(facts_file("dunmarsh", 2), facts)
    found = json.loads(run("review", facts, "--json", code=1))
    lines = facts.read_text(encoding="utf-8").splitlines()
    for finding in found:
        assert 1 <= finding["line"] <= len(lines), finding
        assert finding["why"]
        assert finding["mend"]
        assert finding["source"]


def test_why_explains_a_number_an_id_and_an_absent_clause(case: Path) -> None:
    assert "recital.parties" in run("why", case, "1.1")
    assert "recital.parties" in run("why", case, "recital.parties")
    assert "is not in the agreement" in run("why", case, "custody.findings")
    assert "no paragraph has this number" in run("why", case, "99.9", code=2)


def test_clauses_can_be_listed_and_shown() -> None:
    assert "recital.parties" in run("clauses", "list")
    assert "purpose:" in run("clauses", "show", "recital.parties")
    assert "did you mean recital.parties" in run("clauses", "show", "recital.partys", code=2)


def test_schema_is_json() -> None:
    assert json.loads(run("schema"))["properties"]["case"]


def test_scenario_schema_is_current() -> None:
    kept = json.loads((facts_file("dunmarsh", 1).parents[1] / "case.schema.json").read_text(encoding="utf-8"))
    assert kept == json.loads(run("schema")), "run: msadraft schema --out scenarios/case.schema.json"


@pytest.mark.parametrize(
    "words", [("review", "nowhere"), ("draft", "nowhere"), ("map", "nowhere"), ("why", "nowhere", "1.1")]
)
def test_missing_case_is_said_in_words(words: tuple[str, ...]) -> None:
    assert "nowhere" in run(*words, code=2)


def test_folder_that_cannot_be_written_is_said_in_words(case: Path, tmp_path: Path) -> None:
    blocker = tmp_path / "file"
    blocker.write_text("", encoding="utf-8")
    assert "cannot be written" in run("draft", case, "--out", blocker / "deeper", code=2)


def test_firm_clauses_are_reported(case: Path, tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    (own / "mine.md").write_text(
        "---\nid: general.further_acts\nheading: More papers\npurpose: p\nanswers: [execution]\n---\nEach party shall sign further papers.\n",
        encoding="utf-8",
    )
    assert "general.further_acts" in run("draft", case, "--clauses", own)
    assert "does not exist" in run("draft", case, "--clauses", tmp_path / "none", code=2)
