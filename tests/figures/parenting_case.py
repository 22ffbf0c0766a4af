"""A made-up case with a whole parenting plan, changed by the tests as they need."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from msadraft.facts.model import Facts

BASE: dict[str, Any] = {
    "case": {"county": "Kern", "path": "response_filed", "signing_on": "2026-11-20"},
    "petitioner": {"name": {"first": "Ada", "last": "Reyes"}, "born_on": "1985-04-11"},
    "respondent": {"name": {"first": "Ben", "last": "Reyes"}},
    "marriage": {"married_on": "2010-05-01", "separated_on": "2024-01-01"},
    "children": {
        "wren": {"name": {"first": "Wren", "last": "Reyes"}, "born_on": "2018-06-14"},
        "robin": {"name": {"first": "Robin", "last": "Reyes"}, "born_on": "2021-02-28"},
    },
    "parenting": {
        "pattern": "custom_grid",
        "primary_home": "petitioner",
        "weeks_in_cycle": "2",
        "cycle_start": "2026-12-07",
        "handover_time": "18:00",
        "blocks": [
            {"week": "1", "from_day": "friday", "to_day": "sunday", "parent": "respondent"},
            {"week": "1", "from_day": "sunday", "to_week": "1", "to_day": "friday", "parent": "petitioner"},
        ],
        "order_of_precedence": ["holidays", "regular"],
    },
}
CHILDREN = ("wren", "robin")


def case(**parenting: Any) -> Facts:
    """The case with facts under `parenting` set; None takes one away."""
    data = deepcopy(BASE)
    for key, value in parenting.items():
        if value is None:
            data["parenting"].pop(key, None)
        else:
            data["parenting"][key] = value
    return Facts.model_validate(data)


def holiday(rule: str | None = "petitioner_even", **window: Any) -> dict[str, Any]:
    """A holiday with a window, from 9:00 to 18:00 unless it says otherwise."""
    times = {"from_time": "09:00", "to_time": "18:00", **window}
    return {**({"rule": rule} if rule else {}), "window": {k: v for k, v in times.items() if v is not None}}
