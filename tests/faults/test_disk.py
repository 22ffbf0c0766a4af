"""A full disk and a killed process, at each call to the disk: what was kept stays, what is written is whole, the rest is said."""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any
from unittest import mock

import pytest
from faults import disk
from rounds import edits, trips
from support.effort import examples
from support.scenarios import drafted, facts_file
from typer.testing import CliRunner

from msadraft import cli
from msadraft.agreement.negotiated import read_wording
from msadraft.desk.open_case import OpenCase
from msadraft.draft import Draft, draft
from msadraft.facts.load import read_case
from msadraft.facts.template import new_case
from msadraft.rounds import packet_files, store
from msadraft.rounds.errors import RoundError
from msadraft.rounds.intake import takein

pytestmark = pytest.mark.skipif(os.name == "nt", reason="forks, and ends processes with a signal")
RUN = CliRunner()
THOROUGH = bool(examples(0, 1))


@cache
def _edited() -> bytes:
    """A document that comes back with a changed amount and changed words, so that both files are written."""
    document = trips.document_of(drafted("marrowby", 2), 2)
    root = edits.body_of(document)
    for t in root.iter(edits.W + "t"):
        if (t.text or "").startswith("This agreement is the parties"):
            t.text = f"{t.text} Nothing else was promised."
        elif t.text == "Foundry":
            t.text = "Forge"
    for t in root.iter(edits.W + "t"):
        t.text = (t.text or "").replace("the cat Pickle", "the cat Gherkin").replace("Pickle", "Gherkin")
    return edits.with_body(document, root)


@dataclass
class Job:
    """A command, the files that must be whole afterwards, and how the folder begins."""

    name: str
    arguments: Callable[[Path], list[str]]
    begin: Callable[[Path], None] = lambda room: None


def _begin_out(room: Path) -> None:
    (room / "out").mkdir()
    for name in ("agreement.docx", "review.md", "paragraph-map.csv", "filing-list.csv", "map.json"):
        (room / "out" / name).write_bytes(b"the earlier one")


JOBS = (
    Job("draft", lambda room: ["draft", str(room / "case")]),
    Job("draft --out", lambda room: ["draft", str(room / "case"), "--out", str(room / "out")], _begin_out),
    Job(
        "packet --out",
        lambda room: ["packet", str(room / "case"), "--out", str(room / "out"), "--pages", "20"],
        _begin_out,
    ),
    Job(
        "map --out",
        lambda room: ["map", str(room / "case"), "--format", "json", "--out", str(room / "out" / "map.json")],
        _begin_out,
    ),
    Job("takein --apply", lambda room: ["takein", str(room / "case"), str(room / "edited.docx"), "--apply"]),
    Job("new", lambda room: ["new", str(room / "fresh")]),
)


def _begin(folder: Path, job: Job) -> Path:
    """The folder of a job, as it was in the beginning."""
    shutil.rmtree(folder, ignore_errors=True)
    (folder / "case").mkdir(parents=True)
    shutil.copyfile(facts_file("marrowby", 2), folder / "case" / "case.yaml")
    (folder / "edited.docx").write_bytes(_edited())
    job.begin(folder)
    return folder


MADE: dict[tuple[str, str], Any] = {}


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same place for all tests, so that what is drafted there is drafted once."""
    return tmp_path_factory.mktemp("disk") / "room"


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Draft once and make the files once: it is the disk that is tested here."""
    made = MADE

    def once(key: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(found: Draft, *rest: Any, **how: Any) -> Any:
            place = (key, found.case.digest + found.negotiated.digest)
            if place not in made:
                made[place] = real(found, *rest, **how)
            return made[place]

        return call

    def drafted_once(case: Path, *_: Any) -> Draft:
        file = read_case(case)
        place = ("draft", file.digest + read_wording(file.path.parent).digest + str(file.path))
        if place not in made:
            made[place] = draft(case)
        return made[place]  # type: ignore[no-any-return]

    monkeypatch.setattr(cli, "_drafted", drafted_once)
    monkeypatch.setattr(store, "files_of", once("round", store.files_of))
    monkeypatch.setattr(packet_files, "packet_files", once("packet", packet_files.packet_files))
    monkeypatch.setattr(takein, "take_in", once("takein", takein.take_in))
    monkeypatch.setattr(packet_files, "case_packet", once("case packet", packet_files.case_packet))


def _run(job: Job, room: Path) -> tuple[int, str]:
    done = RUN.invoke(cli.app, job.arguments(room))
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done.exit_code, done.output


def _whole(job: Job, before: dict[str, bytes], after: dict[str, bytes], wanted: dict[str, bytes]) -> None:
    """Every file that was there is there, old or new; every new one is whole; nothing else but what is plainly unfinished."""
    for name, data in after.items():
        if name.rpartition("/")[2].startswith(".") or "/." in name:
            continue
        assert data in (before.get(name), wanted.get(name)), (
            f"{job.name}: {name} is neither the earlier one nor the new one"
        )
    assert before.keys() <= after.keys(), f"{job.name}: lost {before.keys() - after.keys()}"


def _counts(total: int, shift: int = 0) -> range:
    """Each call with MSADRAFT_THOROUGH=1, four of them otherwise."""
    return range(1, total + 1) if THOROUGH else range(1 + shift, total + 1, max(2, total // 4))


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.name)
@pytest.mark.parametrize("code", [
    pytest.param(errno.ENOSPC, id="full"), pytest.param(errno.EACCES, id="no right", marks=pytest.mark.slow),
    pytest.param(errno.EIO, id="broken", marks=pytest.mark.slow),
])  # fmt: skip
def test_a_disk_that_fails_at_any_call(room: Path, job: Job, code: int) -> None:
    _begin(room, job)
    before = disk.state(room)
    total = disk.calls_of(lambda: _run(job, room))
    wanted = disk.state(room)
    assert total >= 4
    assert wanted != before
    said_so = 0
    for count in _counts(total, code % 3):
        _begin(room, job)
        (exit_code, output), name = disk.fails_at(count, lambda: _run(job, room), code)
        after = disk.state(room)
        _whole(job, before, after, wanted)
        if exit_code == 2:
            said_so += 1
            assert os.strerror(code) in output, f"call {count}, {name}: {output!r}"
            assert job.name != "takein --apply" or name == "replace" or after == before, (
                f"call {count}, {name}: one file was written"
            )
            assert not [p for p in after if p.endswith(".part") and "/rounds/" not in p], (
                f"call {count}, {name}: litter {list(after)}"
            )
        else:
            assert {k: v for k, v in after.items() if not k.endswith(".lock")} == wanted, (
                f"call {count}, {name}: exit code {exit_code}, not everything is there"
            )
        again = _run(job, room)
        assert (
            again[0] in (0, 1)
            or (job.name == "takein --apply" and "came from" in again[1])
            or "there is a case already" in again[1]
        ), again
        if again[0] != 2:
            assert {k: v for k, v in disk.state(room).items() if not k.endswith((".part", ".lock"))} == wanted, (
                f"after call {count}, {name}"
            )
    assert said_so > 0


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.name)
def test_killed_at_any_call(room: Path, job: Job) -> None:
    _begin(room, job)
    before = disk.state(room)
    total = disk.calls_of(lambda: _run(job, room))
    wanted = disk.state(room)
    for count in _counts(total):
        _begin(room, job)
        assert disk.killed_at(count, lambda: _run(job, room))
        _whole(job, before, disk.state(room), wanted)
        again = _run(job, room)
        left = {k: v for k, v in disk.state(room).items() if not k.endswith((".part", ".lock"))}
        if again[0] == 2:
            assert job.name in ("takein --apply", "new"), again
            assert "came from" in again[1] or "there is a case already" in again[1]
            assert job.name != "new" or left == wanted
        else:
            assert left == wanted, f"after call {count}"


def test_takein_writes_both_files_here() -> None:
    from msadraft.rounds.intake.takein import take_in

    taken = take_in(drafted("marrowby", 2), _edited(), "edited.docx")
    assert taken.case_text is not None
    assert taken.wording_text is not None


def _typed(room: Path) -> OpenCase:
    case = OpenCase(room)
    case.put("marriage.separated_on", "2026-02-31")  # cannot be read: kept aside
    case.put("marriage.place", "Fresno")
    return case


@pytest.fixture(scope="module")
def desk_total(tmp_path_factory: pytest.TempPathFactory) -> int:
    room = tmp_path_factory.mktemp("desk")
    (room / "case.yaml").write_text(new_case(), encoding="utf-8")
    return disk.calls_of(lambda: _typed(room))


@pytest.mark.parametrize("how", ["full", "killed"])
def test_the_desk_keeps_what_it_answered_for(tmp_path: Path, desk_total: int, how: str) -> None:
    for count in _counts(desk_total):
        room = tmp_path / f"{how}-{count}"
        room.mkdir()
        (room / "case.yaml").write_text(new_case(), encoding="utf-8")
        old = (room / "case.yaml").read_text(encoding="utf-8")
        if how == "killed":
            assert disk.killed_at(count, lambda room=room: _typed(room))  # type: ignore[misc]
        else:
            case = OpenCase(room)
            answered: list[str] = []
            refused: list[str] = []

            def work(case: OpenCase = case, answered: list[str] = answered, refused: list[str] = refused) -> None:
                for path, typed in (("marriage.separated_on", "2026-02-31"), ("marriage.place", "Fresno")):
                    try:
                        case.put(path, typed)
                        answered.append(path)
                    except (
                        OSError,
                        RoundError,
                    ) as error:  # any other is a failure; what the page says of it is the page's
                        refused.append(str(error))

            disk.fails_at(count, work)
            assert all(os.strerror(errno.ENOSPC) in said for said in refused), refused
            again = OpenCase(room)
            for path in answered:
                assert again.shown(path) == {"marriage.separated_on": "2026-02-31", "marriage.place": "Fresno"}[path], (
                    count,
                    path,
                )
            assert case.text == (room / "case.yaml").read_text(encoding="utf-8"), (
                "the desk shows something else than the file says"
            )
            case.put("marriage.place", "Napa")
        now = OpenCase(room)
        text = (room / "case.yaml").read_text(encoding="utf-8")
        assert text == old or "Fresno" in text or "Napa" in text
        now.put("marriage.place", "Fresno")
        assert OpenCase(room).shown("marriage.place") == "Fresno"


def _small_disk(size: str) -> Path | None:
    """A real disk of a few kilobytes; None where this user may not make one."""
    folder = Path(tempfile.gettempdir()) / f"small-disk-{os.getpid()}-{size}"
    folder.mkdir(exist_ok=True)
    if (
        shutil.which("mount") is None
        or subprocess.run(
            ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)], capture_output=True, check=False
        ).returncode
    ):
        folder.rmdir()
        return None
    return folder


@pytest.mark.parametrize("size", ["24k", "64k", "200k"])
def test_a_real_disk_that_is_full(size: str) -> None:
    room = _small_disk(size)
    if room is None:
        pytest.skip("no small disk may be mounted here")
    try:
        job = JOBS[0]
        (room / "case").mkdir()
        shutil.copyfile(facts_file("marrowby", 2), room / "case" / "case.yaml")
        exit_code, output = _run(job, room)
        assert exit_code == 2
        assert os.strerror(errno.ENOSPC) in output
        assert (room / "case" / "case.yaml").read_bytes() == facts_file("marrowby", 2).read_bytes()
        assert store.rounds_in(room / "case") == []
    finally:
        subprocess.run(["umount", str(room)], check=True)
        room.rmdir()


def test_a_full_disk_behind_the_output_is_said(tmp_path: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("needs /dev/full")
    with open("/dev/full", "w") as out:
        done = subprocess.run(
            [sys.executable, "-m", "msadraft.cli", "figures", str(facts_file("marrowby", 3))],
            stdout=out,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert os.strerror(errno.ENOSPC) in done.stderr


def test_a_folder_that_may_only_be_read(room: Path) -> None:
    """As an ordinary user, because root may write everywhere."""
    _begin(room, JOBS[0])
    real = os.open

    def refuse(path: Any, flags: int, *more: Any, **options: Any) -> int:
        if flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT) and str(path).startswith(str(room)):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
        return real(path, flags, *more, **options)

    before = disk.state(room)
    with (
        mock.patch.object(os, "open", refuse),
        mock.patch.object(os, "mkdir", side_effect=PermissionError(errno.EACCES, os.strerror(errno.EACCES))),
    ):
        for job in JOBS:
            exit_code, output = _run(job, room)
            assert exit_code == 2, job.name
            assert os.strerror(errno.EACCES) in output, job.name
        assert RUN.invoke(cli.app, ["review", str(room / "case")]).exit_code in (0, 1)
    assert disk.state(room) == before
