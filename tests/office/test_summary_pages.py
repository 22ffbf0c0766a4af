"""The plain-language summary as an office suite lays it out."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType

import pytest
from support.scenarios import NAMES, drafted

from msadraft.attachments.summary import plain_summary
from msadraft.writers.summary import write_summary_docx


@pytest.mark.office
@pytest.mark.parametrize("name", NAMES)
def test_the_summary_has_two_or_three_pages(name: str, tmp_path: Path, suite: ModuleType) -> None:
    draft = drafted(name, 3)
    paper = tmp_path / "summary.docx"
    paper.write_bytes(write_summary_docx(plain_summary(draft, "Round 3"), draft.stamp("Round 3")))
    assert suite.page_count(paper) in (2, 3)
