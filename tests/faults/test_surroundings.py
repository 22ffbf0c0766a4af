"""Two writers at once, a clock set back, a terminal without Unicode, strange names of files and people."""

from __future__ import annotations

import hashlib
import io
import json
import os
import shutil
import subprocess
import sys
import time
import zipfile
from pathlib import Path
from unittest import mock

import pytest
from lxml import etree
from rounds import trips
from rounds.edits import W
from support.scenarios import drafted, facts_file

from msadraft.draft import Draft, draft
from msadraft.facts.load import read_text_case
from msadraft.facts.written import quoted
from msadraft.rounds.intake.takein import take_in
from msadraft.rounds.store import files_of, rounds_in
from msadraft.writers.docx.lint import lint

posix = pytest.mark.skipif(os.name == "nt", reason="names and locales of POSIX")
LINES = facts_file("marrowby", 2).read_text(encoding="utf-8")


def _command(*arguments: object, env: dict[str, str] | None = None, code: str = "") -> subprocess.Popen[bytes]:
    start = ["-c", f"{code}\nfrom msadraft.cli import main\nmain()"] if code else ["-m", "msadraft.cli"]
    settings = {k: v for k, v in os.environ.items() if not k.startswith(("LC_", "LANG", "PYTHON"))}
    return subprocess.Popen(
        [sys.executable, *start, *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**settings, **(env or {})},
    )


def _done(process: subprocess.Popen[bytes]) -> tuple[int, str, str]:
    out, err = process.communicate(timeout=120)
    assert b"Traceback" not in err, err.decode(errors="replace")[-1500:]
    return process.returncode, out.decode("utf-8", "replace"), err.decode("utf-8", "replace")


def _case(folder: Path, text: str = LINES) -> Path:
    folder.mkdir(parents=True)
    (folder / "case.yaml").write_text(text, encoding="utf-8")
    return folder


def _whole(folder: Path) -> bool:
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    return all(
        hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest for name, digest in manifest["files"].items()
    )


def test_two_processes_draft_the_same_case_at_once(tmp_path: Path) -> None:
    case = _case(tmp_path / "case")
    running = [_command("draft", case) for _ in range(2)]
    results = [_done(process) for process in running]
    assert any(code in (0, 1) for code, _, _ in results)
    for code, _, err in results:
        assert code in (0, 1) or "another msadraft" in err
    assert rounds_in(case) == [1]
    assert _whole(case / "rounds" / "01")
    assert sorted(p.name for p in case.iterdir()) == ["case.yaml", "rounds"]


def test_two_processes_write_to_the_same_folder_at_once(tmp_path: Path) -> None:
    cases = [_case(tmp_path / "one"), _case(tmp_path / "two", facts_file("marrowby", 3).read_text(encoding="utf-8"))]
    out = tmp_path / "out"
    results = [_done(process) for process in [_command("draft", case, "--out", out) for case in cases]]
    assert any(code in (0, 1) for code, _, _ in results)
    for code, _, err in results:
        assert code in (0, 1) or "another msadraft" in err
    assert _whole(out), "the files of two cases are mixed"
    assert not [p for p in out.iterdir() if p.name.startswith(".")]


def test_nothing_asks_the_clock() -> None:
    """A clock that fails when it is asked; `_strptime` and the like of the libraries may have it before."""
    found = drafted("marrowby", 2)
    usual = files_of(found, "Round 1")

    def asked(*_: object) -> float:
        raise AssertionError("the clock was asked")

    with mock.patch.multiple(time, time=asked, time_ns=asked, localtime=asked):
        assert files_of(draft(facts_file("marrowby", 2)), "Round 1") == usual


@pytest.mark.slow
def test_a_clock_set_back_changes_no_byte(tmp_path: Path) -> None:
    back = "import time, datetime\ntime.time = lambda: 5.0\ntime.time_ns = lambda: 5\ntime.localtime = lambda *a: time.gmtime(5)\n"
    usual, early = tmp_path / "usual", tmp_path / "early"
    case = _case(tmp_path / "case")
    assert _done(_command("draft", case, "--out", usual))[0] in (0, 1)
    assert _done(_command("draft", case, "--out", early, code=back))[0] in (0, 1)
    assert {p.name: p.read_bytes() for p in usual.iterdir()} == {p.name: p.read_bytes() for p in early.iterdir()}


@pytest.mark.slow
def test_a_file_from_the_future_makes_no_new_round(tmp_path: Path) -> None:
    case = _case(tmp_path / "case")
    assert _done(_command("draft", case))[0] in (0, 1)
    os.utime(case / "case.yaml", (4102444800, 4102444800))
    assert "this round stands" in _done(_command("draft", case))[1]


@posix
@pytest.mark.parametrize("settings", [
    pytest.param({"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}, id="C", marks=pytest.mark.slow),
    pytest.param({"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": "ascii"}, id="ascii"),
    pytest.param({"LC_ALL": "C.UTF-8", "PYTHONIOENCODING": "latin-1"}, id="latin-1", marks=pytest.mark.slow),
])  # fmt: skip
def test_a_terminal_without_unicode(tmp_path: Path, settings: dict[str, str]) -> None:
    case = _case(tmp_path / "fälle", LINES.replace("Foundry Street", "Straße der Łódź 山田"))
    usual = files_of(draft(case), "Round 1")
    every = (
        ("draft", case),
        ("review", case),
        ("map", case),
        ("figures", case),
        ("packet", case),
        ("why", case, "1.1"),
        ("clauses", "list"),
        ("--help",),
    )
    for arguments in every[:1] if settings["LC_ALL"] == "POSIX" else every:
        code, out, err = _done(_command(*arguments, env=settings))
        assert code in (0, 1), err
        assert out
    for name in ("agreement.docx", "agreement.txt", "paragraph-map.csv", "review.md"):
        assert (case / "rounds" / "01" / name).read_bytes() == usual[name], name
    bad = _case(tmp_path / "bad", LINES.replace("first: Ines", "fürst: Ines"))
    code, _, err = _done(_command("review", bad, env=settings))
    assert code == 2
    assert "case.yaml:" in err


NAMES = (
    "CON",
    "NUL.txt",
    "case.",
    "case ",
    " case",
    "a:b",
    "a\\b",
    "con.case",
    "-x",
    "--out",
    "~",
    "a\nb",
    "山田",
    "שלום",
    "a\u202eb",
    "'quoted'",
    "$(x)",
    "*",
    "x" * 255,
    "é" * 127,
)


@posix
@pytest.mark.parametrize(
    "names", [pytest.param(NAMES[::9], id="some"), pytest.param(NAMES, id="all", marks=pytest.mark.slow)]
)
def test_strange_names_of_folders(tmp_path: Path, names: tuple[str, ...]) -> None:
    from typer.testing import CliRunner

    from msadraft.cli import app

    run = CliRunner()
    for name in names:
        case = _case(tmp_path / name)
        for arguments in (
            ["draft", str(case)],
            ["draft", str(tmp_path / name), "--out", str(tmp_path / "out" / name)],
            ["map", str(case), "--out", str(tmp_path / "out" / name / "map.csv")],
        ):
            done = run.invoke(app, arguments)
            assert done.exit_code in (0, 1), (name, done.output)
        assert rounds_in(case) == [1], name
        assert _whole(tmp_path / "out" / name), name
        assert (tmp_path / "out" / name / "map.csv").exists()
    for name in ("x" * 256, "\x00", "x/" * 3000, "é" * 128)[: 4 if names == NAMES else 2]:
        for arguments in (
            ["draft", str(tmp_path / "CON"), "--out", f"{tmp_path}/{name}"],
            ["new", f"{tmp_path}/{name}"],
            ["review", f"{tmp_path}/{name}"],
            ["map", str(tmp_path / "CON"), "--out", f"{tmp_path}/{name}"],
            ["takein", str(tmp_path / "CON"), f"{tmp_path}/{name}"],
            ["verify", f"{tmp_path}/{name}", "x"],
        ):
            done = run.invoke(app, arguments)
            assert done.exit_code == 2, (arguments, done.output, done.exception)
            assert done.output.strip()


PEOPLE = {
    "long": ("Maximiliana " * 18 + "Annabella", "Featherstonehaugh-" * 12 + "Smythe"),
    "right to left": ("מרים", "בן־דוד"),
    "Arabic": ("عبد الرحمن", "الأندلسي"),
    "Chinese": ("小龍", "李"),
    "Japanese": ("太郎", "山田"),
    "Thai": ("สมชาย", "ใจดี"),
    "combining": ("Zo\u0308e\u0301", "O\u0302\u0323"),
    "emoji": ("Ada 👩‍👧", "x"),
}


def _with_names(first: str, last: str) -> str:
    text = LINES.replace("Ines", "QFIRSTQ", 1)
    line = next(row for row in text.splitlines() if "QFIRSTQ" in row)
    before = next(row for row in LINES.splitlines() if "Ines" in row)
    family = (
        before.partition("last:")[2].strip().strip("}").strip()
        if "last:" in before
        else next(row for row in LINES.splitlines()[LINES.splitlines().index(before) :] if "last:" in row)
        .partition("last:")[2]
        .strip()
    )
    text = text.replace("QFIRSTQ", quoted(first), 1).replace(f"last: {family}", f"last: {quoted(last)}", 1)
    assert line
    return text


@pytest.mark.parametrize("kind", [
    pytest.param(kind, marks=() if kind in ("long", "right to left", "Chinese") else pytest.mark.slow) for kind in PEOPLE
])  # fmt: skip
def test_names_of_people_in_every_script(tmp_path: Path, kind: str) -> None:
    import unicodedata

    first, last = (unicodedata.normalize("NFC", name.strip()) for name in PEOPLE[kind])
    found = draft(read_text_case(_with_names(*PEOPLE[kind])))
    assert found.case.facts.petitioner.name.first == first
    files = files_of(found, "Round 1")
    document = files["agreement.docx"]
    with zipfile.ZipFile(io.BytesIO(document)) as archive:
        root = etree.fromstring(archive.read("word/document.xml"))
        fonts = etree.fromstring(archive.read("word/styles.xml"))
    words = " ".join("".join("".join(t.text or "" for t in p.iter(W + "t")) for p in root.iter(W + "p")).split())
    assert f"{first} {last}".replace(" ", "") in words.replace(" ", "")
    assert lint(document) == []
    # the styles name a font for each kind of script, so that no word processor has to guess
    named = next(fonts.iter(W + "rFonts"))
    assert {W + "ascii", W + "hAnsi", W + "cs", W + "eastAsia"} <= set(named.attrib)
    for name in ("agreement.txt", "agreement.html"):
        assert first.split()[0] in files[name].decode()
    # it comes back as it went out
    assert take_in(found, document, "same.docx").edits == 0


@pytest.fixture(scope="module")
def named_papers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Draft, Path, Path]]:
    """For each kind of name the draft, its document, and the text that LibreOffice writes of it, all in one process."""
    program = shutil.which("soffice")
    if program is None:
        pytest.skip("LibreOffice is not installed")
    folder = tmp_path_factory.mktemp("names")
    drafts = {kind: draft(read_text_case(_with_names(*PEOPLE[kind]))) for kind in PEOPLE}
    papers = {kind: folder / f"{kind.replace(' ', '-')}.docx" for kind in PEOPLE}
    for kind, paper in papers.items():
        paper.write_bytes(trips.document_of(drafts[kind], 1))
    subprocess.run(
        [program, f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", "txt:Text (encoded):UTF8", "--outdir", str(folder), *map(str, papers.values())],
        check=True, capture_output=True, timeout=600,
    )  # fmt: skip
    return {kind: (drafts[kind], paper, paper.with_suffix(".txt")) for kind, paper in papers.items()}


@pytest.mark.office
@pytest.mark.parametrize("kind", PEOPLE)
def test_an_office_suite_keeps_names_in_every_script(
    named_papers: dict[str, tuple[Draft, Path, Path]], kind: str
) -> None:
    found, source, shown = named_papers[kind]
    text = "".join(shown.read_text(encoding="utf-8-sig").split())
    name = found.case.facts.petitioner.name
    assert f"{name.first}{name.last}".replace(" ", "") in text
    folder = os.environ.get("MSADRAFT_VALIDATOR", "")
    if folder:
        command = Path(folder) / "node_modules" / ".bin" / "ooxml-validator"
        done = subprocess.run([str(command), str(source)], capture_output=True, text=True, timeout=120, check=False)
        assert json.loads(done.stdout)["errors"] == []


def test_the_unchanged_document_is_the_base_of_all_this() -> None:
    found = drafted("marrowby", 2)
    assert take_in(found, trips.document_of(found, 2), "same.docx").edits == 0
