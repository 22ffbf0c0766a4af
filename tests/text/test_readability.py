"""Reading grade of every clause (Flesch-Kincaid, by textstat), over all its variants; written to a report."""

from __future__ import annotations

import re
from pathlib import Path

import textstat

from msadraft.library.clause import Clause
from msadraft.library.load import read_library

HIGHEST = 14.0
REPORT = Path(__file__).resolve().parents[2] / "build" / "readability.txt"


def own_words(clause: Clause) -> str:
    """All of a clause's own words, every variant, with a short name where a fact stands."""
    text = re.sub(r"\{%.*?%\}", "\n", clause.body, flags=re.DOTALL)
    text = re.sub(r"\{\{.*?\}\}", "Ann", text, flags=re.DOTALL)
    lines = [re.sub(r"^[\s>-]*(?:\[[^\]]*\])?", "", line) for line in text.splitlines() if "|" not in line]
    sentences = [line.replace("*", "").strip(" ;,") for line in lines if len(line.split()) > 5]
    return " ".join(line if line.endswith((".", ":")) else f"{line}." for line in sentences)


def grades() -> dict[str, float]:
    """The grade of each clause that has words enough to be graded."""
    texts = {clause.id: own_words(clause) for clause in read_library().clauses.values()}
    return {i: textstat.flesch_kincaid_grade(text) for i, text in texts.items() if len(text.split()) >= 20}


def test_every_clause_reads_at_grade_14_or_below() -> None:
    found = grades()
    assert len(found) > 150
    REPORT.parent.mkdir(exist_ok=True)
    ordered = sorted(found.items(), key=lambda pair: -pair[1])
    mean = sum(found.values()) / len(found)
    lines = [
        f"{len(found)} clauses, mean grade {mean:.1f}\n",
        *(f"{grade:5.1f}  {clause}\n" for clause, grade in ordered),
    ]
    REPORT.write_text("".join(lines), encoding="utf-8")
    assert {clause: grade for clause, grade in found.items() if grade > HIGHEST} == {}
