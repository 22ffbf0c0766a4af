"""The four scenarios and their rounds, and what is expected of them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from msadraft.draft import Draft, draft
from msadraft.writers.paragraph_map import form_list
from msadraft.writers.text import write_text

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "scenarios"
NAMES = ("marrowby", "dunmarsh", "varnell", "fennick")
ROUNDS = tuple((name, n) for name in NAMES for n in (1, 2, 3))


def facts_file(name: str, n: int) -> Path:
    """The facts of one round."""
    return FOLDER / name / f"round-{n}.yaml"


@cache
def drafted(name: str, n: int) -> Draft:
    """The draft of one round."""
    return draft(facts_file(name, n))


def outline(name: str, n: int) -> str:
    """The numbered text of one round."""
    found = drafted(name, n)
    return write_text(found.agreement, found.numbering, found.stamp(f"Round {n}"))


def map_lines(name: str, n: int) -> str:
    """The paragraph map of one round, a line a paragraph: number, id, form items."""
    rows = drafted(name, n).map(f"Round {n}").rows
    return "\n".join(f"{row.number:<12} {row.id}  {form_list(row)}".rstrip() for row in rows) + "\n"


def finding_lines(name: str, n: int) -> str:
    """The findings of one round, a line each."""
    found = drafted(name, n)
    return "\n".join(f"{f.severity:<5} {f.id:<40} {f.path}" for f in found.findings) + "\n"


EXPECTED = {"outline.txt": outline, "map.txt": map_lines, "findings.txt": finding_lines}


def expected_file(name: str, n: int, kind: str) -> Path:
    """Where the expected text of one round is kept."""
    return FOLDER / name / "expected" / f"round-{n}.{kind}"
