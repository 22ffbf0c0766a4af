"""`msadraft packet`: the report, the files, the changes since a round, and what it refuses."""

from __future__ import annotations

import json
import stat
from pathlib import Path

import pytest
from support.scenarios import facts_file
from typer.testing import CliRunner

from msadraft.cli import app


def run(*arguments: str, code: int) -> str:
    done = CliRunner().invoke(app, list(arguments))
    assert done.exit_code == code, done.output
    return done.output


@pytest.fixture
def case(tmp_path: Path) -> Path:
    folder = tmp_path / "case"
    folder.mkdir()
    (folder / "case.yaml").write_text(facts_file("dunmarsh", 3).read_text(encoding="utf-8"), encoding="utf-8")
    return folder


def test_the_report_names_the_forms_and_the_checks(case: Path) -> None:
    said = run("packet", str(case), code=0)
    for form in ("FL-180", "FL-170", "FL-190", "FL-141, petitioner", "FL-195"):
        assert form in said
    assert "Checks before filing:" in said


def test_files_are_written_for_the_owner_only(case: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    run("packet", str(case), "--out", str(out), "--pages", "31", code=0)
    names = {path.name for path in out.iterdir()}
    assert {
        "worksheets.html",
        "worksheets.csv",
        "worksheets.json",
        "fl-180.docx",
        "filing-list.html",
        "filing-list.csv",
        "checks.csv",
        "summary.docx",
    } <= names
    assert all(stat.S_IMODE(path.stat().st_mode) == 0o600 for path in out.iterdir())
    data = json.loads((out / "worksheets.json").read_text(encoding="utf-8"))
    (pages,) = [i["answer"] for f in data["forms"] if f["form"] == "FL-180" for i in f["items"] if i["item"] == "5"]
    assert pages.startswith("Agreement with its exhibits: 31 pages")


def test_json_has_forms_filing_list_and_all_checks(case: Path) -> None:
    data = json.loads(run("packet", str(case), "--json", code=0))
    assert len(data["checks"]) == 94
    assert data["filing"]
    (judgment,) = [f for f in data["forms"] if f["form"] == "FL-180"]
    assert judgment["confidence"] == {"confirmed": 21, "single": 44, "memory": 0}
    assert sum(data["confidence"].values()) == sum(len(f["items"]) for f in data["forms"])
    (line,) = [i for i in judgment["items"] if i["item"] == "3"]
    assert (line["box"], line["answer"]) == ("write", "March 22, 2025")


def test_changes_since_a_round(case: Path) -> None:
    run("draft", str(case), code=0)
    same = run("packet", str(case), "--against", "1", code=0)
    assert "Changed since Round 1" in same
    assert same.rstrip().splitlines()[-1].endswith(": 0")
    file = case / "case.yaml"
    text = file.read_text(encoding="utf-8")
    assert text.count("    amount: 750.00\n") == 1
    file.write_text(text.replace("    amount: 750.00\n", "    amount: 800.00\n"), encoding="utf-8")
    said = run("packet", str(case), "--against", "1", code=0)
    assert "FL-195 item III" in said
    assert "$2,218.29" in said
    data = json.loads(run("packet", str(case), "--against", "1", "--json", code=0))
    assert {(c["form"], c["item"]) for c in data["since"]["changed"]} == {("FL-195", "III"), ("FL-195", "IV")}


def test_a_round_that_is_not_there_is_refused(case: Path) -> None:
    said = run("packet", str(case), "--against", "7", code=2)
    assert "there is no such round" in said


def test_an_unknown_printing_is_refused_with_its_line(case: Path) -> None:
    file = case / "case.yaml"
    text = file.read_text(encoding="utf-8")
    extra = "case:\n  form_revisions:\n    - {form: FL-341, revision: 1999-01-01}\n"
    file.write_text(text.replace("case:\n", extra, 1), encoding="utf-8")
    said = run("packet", str(case), code=2)
    line = next(n for n, row in enumerate(file.read_text(encoding="utf-8").splitlines(), 1) if "1999" in row)
    assert f"case.yaml:{line}: case.form_revisions.0.revision" in said
    assert "Traceback" not in said


def test_a_contradiction_stops(case: Path) -> None:
    file = case / "case.yaml"
    text = file.read_text(encoding="utf-8").replace("case:\n", "case:\n  packaging: hybrid\n", 1)
    file.write_text(text.replace("  method: withholding\n", "  method: transfer\n", 1), encoding="utf-8")
    said = run("packet", str(case), code=1)
    assert "FL-342, item 8" in said
