"""An installed wheel finds its clauses and scenarios from any folder."""

from __future__ import annotations

import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.slow
def test_wheel_drafts_from_a_different_folder(tmp_path: Path) -> None:
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "-w", str(tmp_path), str(ROOT)], check=True
    )
    wheel = next(tmp_path.glob("msadraft-*.whl"))
    names = zipfile.ZipFile(wheel).namelist()
    assert any(n.startswith("msadraft/_clauses/") for n in names)
    assert any(n.startswith("msadraft/_scenarios/") for n in names)
    venv.create(tmp_path / "env", with_pip=True)
    python = tmp_path / "env" / ("Scripts" if os.name == "nt" else "bin") / "python"
    subprocess.run([str(python), "-m", "pip", "install", "--quiet", str(wheel)], check=True)
    place = tmp_path / "elsewhere"
    place.mkdir()
    (place / "case.yaml").write_bytes((ROOT / "scenarios" / "marrowby" / "round-3.yaml").read_bytes())
    done = subprocess.run(
        [str(python), "-m", "msadraft.cli", "draft", "case.yaml"],
        cwd=place,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert (place / "rounds" / "01" / "agreement.docx").is_file()
