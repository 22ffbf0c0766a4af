"""An office suite accepts or rejects every change of a redline: its text, numbers and references are the clean paper's."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from random import Random
from types import ModuleType

import pytest
from rounds.test_redline import mangled
from support.effort import examples
from support.fact_edits import edited_facts, paper
from support.scenarios import NAMES, ROUNDS, drafted
from writers.strategies import random_agreement

from msadraft.agreement.numbering import number
from msadraft.tree import Agreement
from msadraft.writers.docx import write_docx
from msadraft.writers.docx.redline import write_redline
from msadraft.writers.stamp import Stamp

pytestmark = pytest.mark.office

STAMP = Stamp("Round 2 · 00000000", False, "Redline")
SECONDS = 1200.0
Pair = tuple[str, Agreement, Agreement]


def shown(path: Path) -> list[str]:
    """The lines of an exported text, each with its number. Empty lines are left out: the suite keeps the mark of a
    paragraph before a table that came or went."""
    return [" ".join(line.split()) for line in path.read_text(encoding="utf-8").splitlines() if line.strip("\ufeff \t")]


def check(suite: ModuleType, pairs: Sequence[Pair], folder: Path) -> int:
    """Compare for every pair what the suite shows after accepting and after rejecting with the clean papers."""
    files: dict[str, list[Path]] = {"redline": [], "old": [], "new": []}
    same: dict[bytes, Path] = {}
    for name, old, new in pairs:
        # A redline shows both versions in the layout and the numbering style of the new one.
        old = replace(old, layout=new.layout, numbering=new.numbering)
        made = {
            "redline": write_redline(old, new, STAMP, "A. Drafter", date(2026, 11, 2)),
            "old": write_docx(old, number(old), STAMP),
            "new": write_docx(new, number(new), STAMP),
        }
        for kind, content in made.items():
            # a clean paper that several pairs share is shown once
            path = same.setdefault(content, folder / f"{name}-{kind}.docx")
            path.write_bytes(content)
            files[kind].append(path)
    clean = list(dict.fromkeys(files["old"] + files["new"]))
    kept = dict(zip(clean, suite.settle(clean, "keep", folder, seconds=SECONDS), strict=True))
    wrong = []
    for decision, kind in (("accept", "new"), ("reject", "old")):
        found = suite.settle(files["redline"], decision, folder, seconds=SECONDS)
        for (name, _, _), (text, _), wanted in zip(pairs, found, files[kind], strict=True):
            a, b = shown(kept[wanted][0]), shown(text)
            assert len(a) > 10
            if a != b:
                gap = [line for line in difflib.unified_diff(a, b, lineterm="", n=0) if not line.startswith("@@")]
                wrong.append(f"{name} {decision}: " + "\n".join(gap[:6]))
    assert not wrong, "\n".join(wrong)
    return len(pairs)


@pytest.mark.parametrize("name", NAMES)
def test_scenario_pairs(suite: ModuleType, tmp_path: Path, name: str) -> None:
    rounds = {n: drafted(name, n).agreement for n in (1, 2, 3)}
    pairs = [(f"{name}-{a}{b}", rounds[a], rounds[b]) for a, b in ((1, 2), (2, 3), (1, 3), (3, 1))]
    assert check(suite, pairs, tmp_path) == 4


def test_random_trees(suite: ModuleType, tmp_path: Path) -> None:
    pairs: list[Pair] = []
    for seed in range(12):
        random = Random(seed)
        old = random_agreement(random, ("decimal", "continuous")[seed % 2], "plain")
        pairs.append((f"tree-{seed}", old, mangled(old, random)))
    assert check(suite, pairs, tmp_path) == 12


def fact_edits(count: int, seed: int) -> list[Pair]:
    """Pairs of a scenario round and the same with random edits of its facts, each with another text."""
    random, pairs = Random(seed), list[Pair]()
    while len(pairs) < count:
        found = drafted(*random.choice(ROUNDS))
        edits = [(random.randrange(100_000), random.randrange(1_000)) for _ in range(random.randint(1, 4))]
        facts = edited_facts(found.case.facts, edits)
        if facts is None or facts == found.case.facts:
            continue
        new = paper(facts, found.library)
        if new != found.agreement:
            pairs.append((f"facts-{len(pairs)}", found.agreement, new))
    return pairs


def test_random_fact_edits(suite: ModuleType, tmp_path: Path) -> None:
    count = examples(5, 8)
    assert check(suite, fact_edits(count, 1), tmp_path) == count


@pytest.mark.slow
@pytest.mark.skipif(examples(1, 0), reason="a hundred more of the same: with MSADRAFT_THOROUGH=1")
def test_a_hundred_random_fact_edits(suite: ModuleType, tmp_path: Path) -> None:
    assert check(suite, fact_edits(100, 2), tmp_path) == 100
