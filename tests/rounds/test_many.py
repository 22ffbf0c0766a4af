"""Many cases in one go: each its own unit, none stops another, and a second run takes up where one ended."""

from __future__ import annotations

import json
import multiprocessing
import shutil
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from support.scenarios import facts_file

from msadraft.rounds import many
from msadraft.rounds.errors import RoundError
from msadraft.rounds.lock import writing
from msadraft.rounds.many import cases_in, draft_many


def _clinic(folder: Path, *names: str) -> Path:
    for name in names:
        (folder / name).mkdir(parents=True)
        shutil.copy(facts_file("marrowby", 1), folder / name / "case.yaml")
    return folder


def _command(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "msadraft.cli", "draft", "--all", *words], capture_output=True, text=True, check=False
    )


def test_every_case_folder_is_found_and_no_round_in_it_is_taken_for_a_case(tmp_path: Path) -> None:
    _clinic(tmp_path, "b", "a", "2026/c", "a/rounds/01")
    assert cases_in(tmp_path) == (tmp_path / "2026" / "c", tmp_path / "a", tmp_path / "b")


@pytest.mark.parametrize("make", [False, True])
def test_a_folder_without_cases_is_refused_with_its_name(tmp_path: Path, make: bool) -> None:
    folder = tmp_path / "none"
    if make:
        folder.mkdir()
    with pytest.raises(RoundError, match="none: "):
        cases_in(folder)


def test_one_bad_case_stops_nobody_and_a_second_run_passes_over_what_is_done(tmp_path: Path) -> None:
    _clinic(tmp_path, "one", "two", "three")
    bad = tmp_path / "two" / "case.yaml"
    good = bad.read_text(encoding="utf-8")
    bad.write_text("petitioner: [", encoding="utf-8")

    first = _command(str(tmp_path), "--jobs", "2", "--json")
    told = json.loads(first.stdout)
    assert first.returncode == 2
    assert {Path(c["case"]).name: c["state"] for c in told["cases"]} == {
        "one": "drafted", "two": "unusable", "three": "drafted"
    }  # fmt: skip
    assert "case.yaml:" in next(c["says"] for c in told["cases"] if c["state"] == "unusable")
    alone = subprocess.run(
        [sys.executable, "-m", "msadraft.cli", "draft", str(tmp_path / "one"), "--json"], capture_output=True, text=True, check=False
    )  # fmt: skip
    assert json.loads(alone.stdout)["new"] is False, "the same round as the command for one case gives"

    bad.write_text(good, encoding="utf-8")
    second = _command(str(tmp_path), "--jobs", "2", "--json")
    counts = json.loads(second.stdout)["counts"]
    assert (counts["drafted"], counts["stands"]) == (1, 2)
    assert [p.name for p in sorted((tmp_path / "one" / "rounds").iterdir())] == ["01"]
    assert second.returncode == 1, "stops are open in these first facts"

    third = _command(str(tmp_path), "--jobs", "1", "--json")
    assert json.loads(third.stdout)["counts"]["stands"] == 3
    assert third.returncode == 1, "a round that stands is no more ready than it was"
    final = _command(str(tmp_path), "--jobs", "1", "--final", "--json")
    assert json.loads(final.stdout)["counts"]["not ready"] == 3


def test_the_papers_are_those_of_the_single_command(tmp_path: Path) -> None:
    _clinic(tmp_path / "many", "case")
    _clinic(tmp_path / "alone", "case")
    assert _command(str(tmp_path / "many"), "--jobs", "1").returncode == 1
    subprocess.run([sys.executable, "-m", "msadraft.cli", "draft", str(tmp_path / "alone" / "case")], check=False)
    one, other = (tmp_path / place / "case" / "rounds" / "01" for place in ("many", "alone"))
    assert {p.name: p.read_bytes() for p in one.iterdir()} == {p.name: p.read_bytes() for p in other.iterdir()}


def test_a_case_that_somebody_else_is_writing_to_is_left_to_them(tmp_path: Path) -> None:
    _clinic(tmp_path, "held", "free")
    with writing(tmp_path / "held"):
        found = {o.case.name: o for o in draft_many(cases_in(tmp_path), jobs=1)}
    assert found["free"].state == "drafted"
    assert found["held"].state == "unusable"
    assert "another msadraft" in found["held"].says


def test_only_final_papers_are_written_when_only_those_are_asked_for(tmp_path: Path) -> None:
    _clinic(tmp_path, "open")
    (found,) = draft_many(cases_in(tmp_path), jobs=1, final=True)
    assert found.state == "not ready"
    assert found.stops > 0
    assert not (tmp_path / "open" / "rounds").exists()


def _killing(stop: threading.Event, each: float, most: int) -> threading.Thread:
    """Kill up to `most` of the processes at work, one every `each` seconds."""

    def run() -> None:
        left = most
        while left and not stop.wait(each):
            for child in multiprocessing.active_children()[:1]:
                child.kill()
                left -= 1

    thread = threading.Thread(target=run)
    thread.start()
    return thread


def test_a_process_that_dies_loses_no_case(tmp_path: Path) -> None:
    _clinic(tmp_path, *"abcdef")
    stop = threading.Event()
    outcomes = draft_many(cases_in(tmp_path), jobs=2)
    found = [next(outcomes)]
    thread = _killing(stop, 0, 1)
    found += outcomes
    stop.set()
    thread.join()
    assert sorted(o.case.name for o in found) == list("abcdef")
    assert {o.state for o in found} <= {"drafted", "stands"}
    assert all([p.name for p in (o.case / "rounds").iterdir()] == ["01"] for o in found)


def test_a_case_whose_process_always_dies_is_named(tmp_path: Path) -> None:
    _clinic(tmp_path, "one")
    stop = threading.Event()
    thread = _killing(stop, 0.02, 1000)
    (found,) = draft_many(cases_in(tmp_path), jobs=1)
    stop.set()
    thread.join()
    assert found.state == "fault"
    assert "ended from outside" in found.says
    (again,) = draft_many(cases_in(tmp_path), jobs=1)
    assert again.state == "drafted"


def test_the_essentials_are_the_same_papers_and_a_round_that_the_next_one_is_compared_with(tmp_path: Path) -> None:
    _clinic(tmp_path, "whole", "spare")
    (whole,) = draft_many([tmp_path / "whole"], jobs=1)
    (spare,) = draft_many([tmp_path / "spare"], jobs=1, essentials=True)
    assert (spare.state, spare.says) == ("drafted", whole.says)
    files = {f.name: f.read_bytes() for f in (tmp_path / "spare" / "rounds" / "01").iterdir()}
    usual = {f.name: f.read_bytes() for f in (tmp_path / "whole" / "rounds" / "01").iterdir()}
    assert set(usual) - set(files) == {"agreement.html", "agreement.txt", "paragraph-map.docx", "paragraph-map.xlsx"}
    assert {name for name in files if files[name] != usual[name]} == {"manifest.json"}
    assert next(iter(draft_many([tmp_path / "spare"], jobs=1))).state == "stands"

    shutil.copy(facts_file("marrowby", 2), tmp_path / "spare" / "case.yaml")
    assert next(iter(draft_many([tmp_path / "spare"], jobs=1, essentials=True))).state == "drafted"
    assert (tmp_path / "spare" / "rounds" / "02" / "redline-from-01.docx").is_file()


@pytest.mark.parametrize("words", [["--jobs", "2"], ["--essentials"]])
def test_jobs_and_essentials_go_with_many_cases_only(tmp_path: Path, words: list[str]) -> None:
    _clinic(tmp_path, "one")
    command = [sys.executable, "-m", "msadraft.cli", "draft", str(tmp_path / "one"), *words]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "go with --all" in done.stderr
    assert not (tmp_path / "one" / "rounds").exists()


def test_a_case_that_cannot_be_read_is_no_fault_of_the_program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied", "wording.yaml")

    monkeypatch.setattr(many, "_drafted", refuse)
    found = many._outcome(tmp_path, many._Asked((), final=False, essentials=False))
    assert found.state == "unusable"
    assert "wording.yaml: cannot be read or written" in found.says
