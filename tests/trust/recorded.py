"""What the program says of some drawn cases, as it was recorded: every figure, its working, and every finding.

Nobody worked these answers out by hand. They show that a change of the program changed nothing else; whether an answer is
right is the business of the tests against statutes, opinions and tables. A change of the models draws other cases: record
them again in a commit of its own (`make accept`), before or after what changes the answers.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from msadraft.draft import draft
from msadraft.figures.everything import all_figures
from msadraft.writers.data import plain_data
from msadraft.writers.figures import round_data
from trust.draw import drawn_case
from trust.worked import case_file, library

FILE = Path(__file__).with_name("recorded.txt")
NUMBERS = (
    11, 40, 43, 85, 96, 116, 142, 145, 147, 180, 199, 214, 226, 240, 241, 255, 274, 286, 289, 306, 320, 324, 329, 345, 362,
    439, 441, 464, 477, 478, 572, 580, 612, 619, 658, 663, 709, 779, 811, 889, 911, 971, 991, 1014, 1040, 1041, 1138, 1139,
)  # fmt: skip
"""Of the first 1,200 drawn cases those that say the most different things: steps, cautions and findings."""


def said(number: int) -> str:
    """Figures and findings of one drawn case, a line each; # is a digest of what would be too long."""
    case = case_file(drawn_case(number).facts)
    found = draft(case, library=library())
    groups = all_figures(case.facts, found.figures)
    lines = [f"plain {_digest(round_data(found.figures, (), '')['figures'])}"]
    for group in groups:
        lines += [f"{figure.name} = {figure.value}  {_digest(plain_data(figure))}" for figure in group.figures]
    lines += [f"{f.severity} {f.id} {f.path}  {_digest([f.message, f.why, f.source, f.mend])}" for f in found.findings]
    return "\n".join(lines)


def _digest(data: Any) -> str:
    return "#" + hashlib.sha256(json.dumps(data, ensure_ascii=False).encode()).hexdigest()[:8]


def recorded() -> dict[int, str]:
    """What stands in the file, by the number of the case."""
    return dict(_parts(FILE.read_text(encoding="utf-8")))


def _parts(text: str) -> Iterator[tuple[int, str]]:
    for part in text.split("case ")[1:]:
        number, _, lines = part.partition("\n")
        yield int(number), lines.strip("\n")


def record() -> None:
    """Write the file again."""
    FILE.write_text("\n\n".join(f"case {number}\n{said(number)}" for number in NUMBERS) + "\n", encoding="utf-8")
