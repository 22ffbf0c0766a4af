"""Record the expected outlines, maps and findings, the schema of the scenarios, and the answers about drawn cases again.

Read the diff before you commit it.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support.scenarios import EXPECTED, FOLDER, ROUNDS, expected_file
from trust.recorded import record

from msadraft.facts.schema import write_schema


def main() -> None:
    """Write every expected file."""
    for name, n in ROUNDS:
        for kind, make in EXPECTED.items():
            file = expected_file(name, n, kind)
            file.parent.mkdir(exist_ok=True)
            file.write_text(make(name, n), encoding="utf-8")
    write_schema(FOLDER / "case.schema.json")
    record()
    print(f"recorded {len(ROUNDS) * len(EXPECTED) + 1} files; now read the diff")


if __name__ == "__main__":
    main()
