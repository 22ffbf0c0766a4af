"""The papers that the office suite is asked about: the scenarios in both numbering styles, and random cases."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings
from support.scenarios import ROUNDS, drafted, facts_file
from support.strategies import cases
from writers.strategies import PAPERS, STYLES

from msadraft.agreement.assemble import assemble
from msadraft.agreement.numbering import Numbering, number
from msadraft.draft import draft
from msadraft.facts.load import read_case
from msadraft.facts.model import Facts
from msadraft.figures.compute import compute
from msadraft.library.load import read_library
from msadraft.library.select import select
from msadraft.tree import Agreement
from msadraft.writers.docx import write_docx
from msadraft.writers.stamp import Stamp


@dataclass(frozen=True)
class Paper:
    """One agreement, its numbers, and the mark on its pages."""

    name: str
    agreement: Agreement
    numbering: Numbering
    stamp: Stamp

    def write(self, folder: Path) -> Path:
        path = folder / f"{self.name}.docx"
        path.write_bytes(write_docx(self.agreement, self.numbering, self.stamp))
        return path

    def labels(self) -> dict[str, str]:
        """The label that the paragraph of each bookmark has to show."""
        return {entry.bookmark: entry.label for entry in self.numbering.by_id.values()}


def with_choices(facts: Facts, **chosen: str) -> Facts:
    """The same facts with another numbering or layout."""
    return facts.model_copy(update={"case": facts.case.model_copy(update=chosen)})


@cache
def scenario_papers() -> tuple[Paper, ...]:
    """Every round of every scenario in both numbering styles."""
    out = []
    for name, n in ROUNDS:
        case = read_case(facts_file(name, n))
        for style in STYLES:
            found = draft(replace(case, facts=with_choices(case.facts, numbering=style)))
            out.append(Paper(f"{name}-{n}-{style}", found.agreement, found.numbering, found.stamp(f"Round {n}")))
    return tuple(out)


@cache
def own_papers() -> tuple[Paper, ...]:
    """Every round of every scenario just as its facts ask for it."""
    found = [(f"{name}-{n}", drafted(name, n), f"Round {n}") for name, n in ROUNDS]
    return tuple(Paper(name, made.agreement, made.numbering, made.stamp(label)) for name, made, label in found)


def random_papers(count: int) -> Iterator[Paper]:
    """Random cases, the same ones every time; the numbering styles and the layouts take turns."""
    drawn: list[Facts] = []

    @settings(
        max_examples=count, derandomize=True, phases=[Phase.generate], database=None, deadline=None,
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(cases())
    def draw(facts: Facts) -> None:
        drawn.append(facts)

    draw()
    library = read_library()
    for place, facts in enumerate(drawn):
        chosen = with_choices(facts, numbering=STYLES[place % 2], layout=PAPERS[place // 2 % 2])
        agreement = assemble(library, select(library, chosen, compute(chosen)), chosen)
        yield Paper(f"random-{place}", agreement, number(agreement), Stamp(f"Round 1 · {place:08x}", ready=False))
