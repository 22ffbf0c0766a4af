"""The last full runs of fuzzing and of mutation testing, kept so that docs/trust.md can show them."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent
FUZZING, MUTATION = FOLDER / "fuzzing.json", FOLDER / "mutation.json"


def kept(file: Path) -> list[dict[str, Any]]:
    """What was kept, in the order of names; nothing if there was no run."""
    found: list[dict[str, Any]] = json.loads(file.read_text(encoding="utf-8")) if file.exists() else []
    return found


def keep(file: Path, key: str, runs: Iterable[dict[str, Any]]) -> None:
    """Put runs in the place of earlier ones that `key` names the same."""
    merged = {str(run[key]): run for run in (*kept(file), *runs)}
    file.write_text(json.dumps([merged[name] for name in sorted(merged)], indent=1) + "\n", encoding="utf-8")
