"""The rounds on disk: one writer, nothing half written whatever ends the program, nothing changed afterwards."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from support.effort import examples
from support.scenarios import drafted, facts_file
from typer.testing import CliRunner

from msadraft.cli import app
from msadraft.draft import Draft, draft
from msadraft.rounds import store
from msadraft.rounds.errors import RoundError
from msadraft.rounds.lock import LOCK_NAME, writing
from msadraft.rounds.read import read_round
from msadraft.rounds.store import rounds_in, write_round

CALLS = ("open", "write", "fsync", "close", "mkdir", "rename", "unlink", "rmdir", "ftruncate")
RUN = CliRunner()
posix = pytest.mark.skipif(os.name == "nt", reason="ends the process with a signal")


def filled(folder: Path, name: str = "marrowby", n: int = 1) -> Path:
    folder.mkdir(exist_ok=True)
    shutil.copyfile(facts_file(name, n), folder / "case.yaml")
    return folder


def state(case: Path) -> dict[str, str]:
    """Every finished round's files by path, as digests."""
    return {
        str(p.relative_to(case)): hashlib.sha256(p.read_bytes()).hexdigest()
        for n in rounds_in(case)
        for p in sorted((case / "rounds" / f"{n:02d}").rglob("*"))
    }


def ended_at(count: int, work: Callable[[], object]) -> bool:
    """Do `work` in a child process that is killed at its `count`-th call to the disk; say whether it was killed.

    A write is killed after half of its bytes, every other call before it is done or, each second time, right after it.
    """
    child = os.fork()
    if child == 0:
        seen = 0

        def wrapped(name: str, real: Any) -> Any:
            def call(*args: Any, **options: Any) -> Any:
                nonlocal seen
                seen += 1
                if seen == count:
                    if name == "write":
                        real(args[0], bytes(args[1])[: len(args[1]) // 2])
                    elif count % 2:
                        real(*args, **options)
                    os.kill(os.getpid(), signal.SIGKILL)
                return real(*args, **options)

            return call

        try:
            for name in CALLS:
                setattr(os, name, wrapped(name, getattr(os, name)))
            work()
        except BaseException:
            os._exit(3)
        os._exit(0)
    status = os.waitpid(child, 0)[1]
    assert os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 0, "the child failed by itself"
    return os.WIFSIGNALED(status)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Work out the files of each round once: the disk is what is tested here."""
    real, made = store.files_of, dict[tuple[str, str], dict[str, bytes]]()

    def files(found: Draft, label: str, before: object = None, **how: bool) -> dict[str, bytes]:
        key = (found.case.digest, label)
        if key not in made:
            made[key] = real(found, label)
        return made[key]

    monkeypatch.setattr(store, "files_of", files)
    monkeypatch.setattr(store, "read_round", lambda folder: None)


@posix
def test_killed_at_any_call_leaves_the_old_state_or_the_new(tmp_path: Path, quick: None) -> None:
    """At every third call, and at each with MSADRAFT_THOROUGH=1."""
    first, second = drafted("marrowby", 1), drafted("marrowby", 2)
    whole = filled(tmp_path / "whole")
    write_round(first, whole)
    old = state(whole)
    begun = shutil.copytree(whole, tmp_path / "begun")
    write_round(second, whole)
    new = state(whole)
    assert len(new) > len(old) > 10

    seen: set[str] = set()
    unfinished = 0
    step = examples(3, 1)
    for count in range(1, 1000, step):
        case = shutil.copytree(begun, tmp_path / f"case-{count}")
        killed = ended_at(count, lambda case=case: write_round(second, case))  # type: ignore[misc]
        after = state(case)
        assert after in (old, new), count
        seen.add("old" if after == old else "new")
        left = [p.name for p in (case / "rounds").iterdir() if p.name.startswith(".")]
        written = write_round(second, case)
        assert bool(left) == any(f"{name} was removed" in line for name in left for line in written.said)
        unfinished += bool(left)
        assert state(case) == new
        assert written.fresh == (after == old)
        assert sorted(p.name for p in (case / "rounds").iterdir()) == ["01", "02"]
        shutil.rmtree(case)
        if not killed:
            break
    else:
        pytest.fail("the work never came to its end")
    assert count > 40
    assert seen == {"old", "new"}
    assert unfinished > 20 // step


@posix
def test_killed_while_the_first_round_is_made(tmp_path: Path, quick: None) -> None:
    first = drafted("marrowby", 1)
    for count in range(1, 12):
        case = filled(tmp_path / f"case-{count}")
        assert ended_at(count, lambda case=case: write_round(first, case))  # type: ignore[misc]
        assert rounds_in(case) == []
        assert write_round(first, case).fresh
        assert rounds_in(case) == [1]


@posix
def test_killed_while_it_cleans_is_cleaned_by_the_next(tmp_path: Path, quick: None) -> None:
    first = drafted("marrowby", 1)
    for count in range(1, 14):
        case = filled(tmp_path / f"case-{count}")
        aside = case / "rounds" / ".01.part"
        aside.mkdir(parents=True)
        for n in range(4):
            (aside / f"file-{n}").write_text("half", encoding="utf-8")
        ended_at(count, lambda case=case: write_round(first, case))  # type: ignore[misc]
        write_round(first, case)
        assert sorted(p.name for p in (case / "rounds").iterdir()) == ["01"]


def test_the_command_says_what_it_cleaned(tmp_path: Path) -> None:
    case = filled(tmp_path / "case")
    (case / "rounds" / ".01.part").mkdir(parents=True)
    output = RUN.invoke(app, ["draft", str(case)]).output
    assert "unfinished folder" in output
    assert ".01.part was removed" in output


def test_a_second_writer_is_refused_and_changes_nothing(tmp_path: Path) -> None:
    case = filled(tmp_path / "case")
    with writing(case):
        done = RUN.invoke(app, ["draft", str(case)])
        assert done.exit_code == 2
        assert f"another msadraft (process {os.getpid()}) is writing" in done.output
        assert not (case / "rounds").exists()
    assert not (case / LOCK_NAME).exists()
    assert RUN.invoke(app, ["draft", str(case)]).exit_code == 1
    assert rounds_in(case) == [1]


@posix
def test_the_lock_of_a_killed_process_does_not_hold(tmp_path: Path) -> None:
    child = os.fork()
    if child == 0:
        with writing(tmp_path):
            os.kill(os.getpid(), signal.SIGKILL)
    os.waitpid(child, 0)
    assert (tmp_path / LOCK_NAME).exists()
    with writing(tmp_path):
        assert (tmp_path / LOCK_NAME).read_text(encoding="ascii") == f"{os.getpid()}\n"


@posix
def test_of_many_writers_at_once_each_round_is_whole(tmp_path: Path, quick: None) -> None:
    case = filled(tmp_path / "case")
    drafts = [drafted("marrowby", n) for n in (1, 2, 3)]
    children = []
    for found in drafts * 3:
        child = os.fork()
        if child == 0:
            while True:
                try:
                    write_round(found, case)
                    os._exit(0)
                except RoundError:
                    continue
                except BaseException:
                    os._exit(3)
        children.append(child)
    assert all(os.waitpid(child, 0)[1] == 0 for child in children)
    numbers = rounds_in(case)
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(numbers) >= 3
    assert not [p for p in (case / "rounds").iterdir() if p.name.startswith(".")]
    for n in numbers:
        folder = case / "rounds" / f"{n:02d}"
        manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
        for name, digest in manifest["files"].items():
            assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest


def test_manifest_names_what_the_round_was_made_of(tmp_path: Path) -> None:
    case = filled(tmp_path / "case")
    write_round(drafted("marrowby", 1), case)
    manifest = json.loads((case / "rounds" / "01" / "manifest.json").read_text(encoding="utf-8"))
    assert {"mark", "ready", "facts", "wording", "clauses", "law", "engine", "files"} <= manifest.keys()
    assert manifest["facts"] == hashlib.sha256((case / "case.yaml").read_bytes()).hexdigest()


def test_negotiated_wording_is_kept_with_the_round_and_makes_a_new_one(tmp_path: Path) -> None:
    case = filled(tmp_path / "case")
    write_round(draft(case), case)
    words = "inserted:\n  negotiated.one: {after: general.entire, kind: paragraph, level: 1, text: Said once more., round: 1}\n"
    (case / "wording.yaml").write_text(words, encoding="utf-8")
    written = write_round(draft(case), case)
    assert written.fresh
    assert (written.folder / "wording.yaml").read_text(encoding="utf-8") == words
    assert "Said once more." in (written.folder / "agreement.txt").read_text(encoding="utf-8")
    assert not write_round(draft(case), case).fresh


def test_the_next_round_holds_the_redline_and_the_changes(tmp_path: Path) -> None:
    case = filled(tmp_path / "case")
    write_round(drafted("marrowby", 1), case)
    folder = write_round(drafted("marrowby", 2), case).folder
    assert {"redline-from-01.docx", "changes-from-01.md"} <= {p.name for p in folder.iterdir()}
    assert "From Round 1" in (folder / "changes-from-01.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["marrowby", "dunmarsh", "varnell", "fennick"])
def test_a_round_is_read_back_as_it_was_written(tmp_path: Path, name: str) -> None:
    found: Draft = drafted(name, 2)
    folder = write_round(found, filled(tmp_path / "case", name, 2)).folder
    version = read_round(folder)
    assert version.agreement == found.agreement
    assert version.numbering == found.numbering
    assert version.facts == found.case.facts
    assert version.label == "Round 1"
    assert version.ready is (not found.stops)


@pytest.mark.parametrize(("spoil", "said"), [
    (lambda f: (f / "agreement.json").write_text("{}", encoding="utf-8"), "was changed after the round was written"),
    (lambda f: (f / "figures.json").unlink(), "cannot be read"),
    (lambda f: (f / "manifest.json").write_text("[", encoding="utf-8"), "manifest of this round cannot be read"),
    (lambda f: (f / "manifest.json").unlink(), "there is no such round"),
    (lambda f: (f / "manifest.json").write_text('{"files": {}, "mark": "x"}', encoding="utf-8"), "older version"),
])  # fmt: skip
def test_a_spoilt_round_is_said_in_words_and_does_not_stop_the_next(
    tmp_path: Path, spoil: Callable[[Path], object], said: str
) -> None:
    case = filled(tmp_path / "case")
    folder = write_round(drafted("marrowby", 1), case).folder
    spoil(folder)
    with pytest.raises(RoundError, match=said):
        read_round(folder)
    written = write_round(drafted("marrowby", 2), case)
    assert written.fresh
    assert any("No redline against 01" in line for line in written.said)
    assert not (written.folder / "redline-from-01.docx").exists()


@posix
def test_a_folder_without_rights_is_said_in_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    case = filled(tmp_path / "case")

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "mkdir", refuse)
    with pytest.raises(RoundError, match=r"cannot be written \(Permission denied\); the earlier rounds are untouched"):
        write_round(drafted("marrowby", 1), case)
    assert not (case / LOCK_NAME).exists()
