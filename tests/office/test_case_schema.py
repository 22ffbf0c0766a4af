"""Every DOCX of every scenario follows the Open XML schema, as a validator that is not ours reads it."""

from __future__ import annotations

import json
import subprocess
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from support.scenarios import ROUNDS, drafted

from msadraft.writers.docx import write_docx
from msadraft.writers.paragraph_map import write_map_docx

pytestmark = pytest.mark.office


def test_every_scenario_document_follows_the_schema(validator: list[str], tmp_path: Path) -> None:
    paths = []
    for name, n in ROUNDS:
        found = drafted(name, n)
        stamp = found.stamp(f"Round {n}")
        for kind, data in (
            ("agreement", write_docx(found.agreement, found.numbering, stamp)),
            ("paragraph-map", write_map_docx(found.map(f"Round {n}"), stamp)),
        ):
            paths.append(tmp_path / f"{name}-{n}-{kind}.docx")
            paths[-1].write_bytes(data)
    assert len(paths) == 24

    def faults(path: Path) -> list[str]:
        out = subprocess.run([*validator, str(path)], capture_output=True, text=True, timeout=120)
        return [f"{path.name}: {e['path']}: {e['description']}" for e in json.loads(out.stdout)["errors"]]

    with ThreadPoolExecutor(2) as pool:
        wrong = [fault for found in pool.map(faults, paths) for fault in found]
    print(f"\n{len(paths)} documents read, {len(wrong)} faults")
    assert wrong == []
