"""The answers about some drawn cases are those that were recorded; see recorded.py for what that shows and what not."""

from __future__ import annotations

import pytest

from trust.recorded import NUMBERS, recorded, said


@pytest.mark.parametrize("number", NUMBERS)
def test_nothing_else_changed(number: int) -> None:
    assert said(number).splitlines() == recorded()[number].splitlines()


def test_every_case_is_recorded_once() -> None:
    assert tuple(recorded()) == NUMBERS
