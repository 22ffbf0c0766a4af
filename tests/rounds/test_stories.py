"""Cases through their rounds, as people live them: draft, the other side edits, take in, draft again, compare, verify."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from rounds import edits
from support.effort import examples
from support.scenarios import facts_file
from typer.testing import CliRunner

from msadraft.cli import app

RUN = CliRunner()


def run(*words: object, codes: tuple[int, ...] = (0, 1)) -> str:
    """Run one command; its exit code must be one of `codes`."""
    done = RUN.invoke(app, [str(word) for word in words])
    assert done.exit_code in codes, f"{words}: {done.output}"
    return done.output


def digests(folder: Path) -> dict[str, str]:
    """The digest of every file below a folder."""
    return {
        str(file.relative_to(folder)): hashlib.sha256(file.read_bytes()).hexdigest()
        for file in sorted(folder.rglob("*"))
        if file.is_file()
    }


@pytest.mark.parametrize(("name", "seed"), [("marrowby", 8), ("dunmarsh", 12), ("varnell", 16)])
def test_story_of_a_case(name: str, seed: int, tmp_path: Path) -> None:
    case = tmp_path / name
    case.mkdir()
    for n in (1, 2, 3):
        shutil.copyfile(facts_file(name, n), case / "case.yaml")
        run("draft", case)
    rounds = case / "rounds"
    kept = digests(rounds)
    edited, script = edits.generated((rounds / "03" / "agreement.docx").read_bytes(), seed)
    assert script.told, "the script must change something"
    (case / "edited.docx").write_bytes(edited)
    before = (case / "case.yaml").read_bytes()
    report = run("takein", case, case / "edited.docx")
    assert "difference" in report
    assert (case / "case.yaml").read_bytes() == before, "without --apply nothing is written"
    run("takein", case, case / "edited.docx", "--apply")
    run("draft", case)
    assert (rounds / "04" / "redline-from-03.docx").is_file()
    assert (rounds / "04" / "changes-from-03.md").is_file()
    assert {k: v for k, v in digests(rounds).items() if not k.startswith("04")} == kept, (
        "a finished round never changes"
    )
    run("verify", rounds / "04" / "agreement.docx", rounds / "04" / "paragraph-map.json", codes=(0,))
    run("verify", case / "edited.docx", rounds / "03" / "paragraph-map.json", codes=(1,))
    run("compare", case, 3, 4, "--out", case / "compared")
    assert list((case / "compared").iterdir())


class CaseLife(RuleBasedStateMachine):
    """A case under any order of edits, drafts and documents taken in, against a simple model of what must be true.

    The model: the number of rounds, the digests of their files, and whether facts or wording changed since the last.
    """

    @initialize(name=st.sampled_from(("marrowby", "dunmarsh")))
    def begin(self, name: str) -> None:
        import tempfile

        self.temporary = tempfile.TemporaryDirectory()
        self.case = Path(self.temporary.name) / "case"
        self.case.mkdir()
        shutil.copyfile(facts_file(name, 3), self.case / "case.yaml")
        self.rounds: list[dict[str, str]] = []
        self.changed = True

    def folder(self, n: int) -> Path:
        return self.case / "rounds" / f"{n:02d}"

    @rule(cents=st.integers(100, 999_999))
    def change_an_amount(self, cents: int) -> None:
        facts = self.case / "case.yaml"
        text = facts.read_text(encoding="utf-8")
        new = re.sub(r"(\n  cards?:\n(?:    .*\n)*?    owing: )[\d,.]+", rf"\g<1>{cents / 100:.2f}", text)
        assert new != text or f"{cents / 100:.2f}" in text
        self.changed = self.changed or new != text
        facts.write_text(new, encoding="utf-8")

    @rule()
    def draft(self) -> None:
        output = run("draft", self.case)
        if self.changed:
            self.rounds.append(digests(self.folder(len(self.rounds) + 1)))
            self.changed = False
        else:
            assert "nothing changed" in output

    @rule(seed=st.integers(0, 400))
    def take_in(self, seed: int) -> None:
        if not self.rounds or self.changed:
            return
        document = (self.folder(len(self.rounds)) / "agreement.docx").read_bytes()
        edited, _ = edits.generated(document, seed)
        (self.case / "edited.docx").write_bytes(edited)
        before = digests(self.case)
        run("takein", self.case, self.case / "edited.docx", "--apply")
        after = digests(self.case)
        self.changed = any(before.get(name) != after.get(name) for name in ("case.yaml", "wording.yaml"))

    @rule()
    def compare(self) -> None:
        if len(self.rounds) > 1:
            data = json.loads(run("compare", self.case, len(self.rounds) - 1, len(self.rounds), "--json"))
            assert data["files"], "two different rounds must leave a redline and a report"
            assert data["changes"]

    @invariant()
    def finished_rounds_stand_as_they_were(self) -> None:
        if not hasattr(self, "case"):
            return
        found = sorted(p.name for p in (self.case / "rounds").iterdir() if p.is_dir()) if self.rounds else []
        assert found == [f"{n:02d}" for n in range(1, len(self.rounds) + 1)]
        for n, kept in enumerate(self.rounds, 1):
            assert digests(self.folder(n)) == kept

    def teardown(self) -> None:
        if hasattr(self, "temporary"):
            self.temporary.cleanup()


CaseLife.TestCase.settings = settings(
    max_examples=examples(6, 40),
    stateful_step_count=examples(6, 12),
    deadline=None,
    phases=[Phase.generate],
    derandomize=True,
    suppress_health_check=list(HealthCheck),
)
TestCaseLife = CaseLife.TestCase
