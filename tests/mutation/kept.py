"""A plugin for pytest in the runs of the mutants: keep to the tests that were chosen, and write down how long each takes.

`MUTATION_KEEP` names a file with one test id a line, run in that order; `MUTATION_TIMES` one to write id, outcome and seconds.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "mutation", deadline=None, database=None, suppress_health_check=[HealthCheck.too_slow]
)  # a busy machine is not a fault found, and one mutant's failure is not replayed to the next
settings.load_profile("mutation")

_took: dict[str, list[object]] = {}


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave only what was chosen."""
    if file := os.environ.get("MUTATION_KEEP"):
        order = {name: n for n, name in enumerate(Path(file).read_text(encoding="utf-8").splitlines())}
        config.hook.pytest_deselected(items=[item for item in items if item.nodeid not in order])
        items[:] = sorted((item for item in items if item.nodeid in order), key=lambda item: order[item.nodeid])


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Add up set-up, call and tear-down; a test has passed when each of them has."""
    before = _took.get(report.nodeid, ["passed", 0.0])
    outcome = before[0] if report.passed else report.outcome
    _took[report.nodeid] = [outcome, float(str(before[1])) + report.duration]


def pytest_sessionfinish() -> None:
    """Write it down."""
    if file := os.environ.get("MUTATION_TIMES"):
        Path(file).write_text(json.dumps(_took), encoding="utf-8")
