"""The text of every agreement reads clean: scenarios, and cases drawn at random from the facts model."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from support.effort import examples
from support.scenarios import ROUNDS, drafted
from support.strategies import cases
from support.text_checks import faults, lines

from msadraft.agreement.assemble import assemble
from msadraft.agreement.numbering import dangling, number
from msadraft.facts.model import Facts
from msadraft.figures.compute import compute
from msadraft.library.load import read_library
from msadraft.library.select import select

LIBRARY = read_library()
SLOW_TO_DRAW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]
PHASES = [Phase.explicit, Phase.generate]  # a drafted case is too large to shrink in useful time


@pytest.mark.parametrize(("name", "n"), ROUNDS)
def test_scenario_text_has_no_fault(name: str, n: int) -> None:
    found = drafted(name, n)
    wrong = [f"{i}: {', '.join(faults(t))}: {t}" for i, t in lines(found.agreement, found.numbering) if faults(t)]
    assert wrong == []


@given(cases())
@settings(
    max_examples=examples(12, 200), deadline=None, suppress_health_check=SLOW_TO_DRAW, derandomize=True, phases=PHASES
)
def test_any_case_drafts_with_every_reference_closed_and_clean_words(facts: Facts) -> None:
    selection = select(LIBRARY, facts, compute(facts))
    agreement = assemble(LIBRARY, selection, facts)
    numbering = number(agreement)
    assert dangling(agreement, numbering) == []
    wrong = [
        f"{i}: {', '.join(faults(t))}: {t}" for i, t in lines(agreement, numbering, own_words_only=True) if faults(t)
    ]
    assert wrong == []


@given(cases())
@settings(
    max_examples=examples(8, 50), deadline=None, suppress_health_check=SLOW_TO_DRAW, derandomize=True, phases=PHASES
)
def test_groups_have_exactly_one_clause_in_any_case(facts: Facts) -> None:
    selection = select(LIBRARY, facts, compute(facts))
    for name, members in LIBRARY.groups.items():
        present = [c.id for c in selection.chosen if c.clause in members]
        if members[0].for_each:
            keys = [i.partition(":")[2] for i in present]
            assert len(keys) == len(set(keys)), name
        else:
            assert len(present) <= 1, name
