"""The Open XML schema, asked through a validator that is not ours."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from random import Random

import pytest
from writers import sample
from writers.strategies import PAPERS, STYLES, Paper, Style, random_agreement

from msadraft.agreement.numbering import number
from msadraft.tree import Agreement
from msadraft.writers.docx import write_docx

pytestmark = pytest.mark.office


def _errors(validator: list[str], folder: Path, data: bytes) -> list[str]:
    path = folder / "file.docx"
    path.write_bytes(data)
    out = subprocess.run([*validator, str(path)], capture_output=True, text=True, timeout=120)
    report = json.loads(out.stdout)
    return [f"{error['path']}: {error['description']}" for error in report["errors"]]


def _written(agreement: Agreement) -> bytes:
    return write_docx(agreement, number(agreement), sample.DRAFT)


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("paper", PAPERS)
def test_sample_follows_the_schema(style: Style, paper: Paper, validator: list[str], tmp_path: Path) -> None:
    assert _errors(validator, tmp_path, _written(sample.agreement(style, paper))) == []


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("seed", range(2))
def test_random_agreement_follows_the_schema(paper: Paper, seed: int, validator: list[str], tmp_path: Path) -> None:
    assert _errors(validator, tmp_path, _written(random_agreement(Random(seed), "continuous", paper))) == []


def test_hostile_text_follows_the_schema(validator: list[str], tmp_path: Path) -> None:
    assert _errors(validator, tmp_path, _written(sample.with_text("\x00<w:p>&\u202e王\ttab\nline" + "x" * 500))) == []


def test_validator_sees_a_fault(validator: list[str], tmp_path: Path) -> None:
    broken = _written(sample.agreement(rows=1)).replace(b"PK", b"XX", 1)
    assert _errors(validator, tmp_path, broken) != []
