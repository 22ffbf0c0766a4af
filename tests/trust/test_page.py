"""docs/trust.md shows the runs of fuzzing and mutation testing that are kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from trust import page
from trust.results import FUZZING, MUTATION, kept


def test_the_page_shows_the_kept_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stands = page.PAGE.read_text(encoding="utf-8")
    copy = tmp_path / "trust.md"
    copy.write_text(stands, encoding="utf-8")
    monkeypatch.setattr(page, "PAGE", copy)
    page.refresh()
    assert copy.read_text(encoding="utf-8") == stands
    runs = [*kept(FUZZING), *kept(MUTATION)]
    assert runs
    assert all(f"| {run['tried']:,} |" in stands for run in runs)
