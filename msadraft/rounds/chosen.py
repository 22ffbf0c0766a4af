"""Which clauses are in a paper, which are out, and the facts that decided it, as plain data that a round keeps."""

from __future__ import annotations

from typing import Any

from msadraft.facts.paths import UnknownPathError, privacy_of
from msadraft.facts.view import said
from msadraft.library.select import Selection

SENSITIVE_FIGURES = ("figures.violence", "figures.abduction_risk")


def selection_data(selection: Selection) -> dict[str, Any]:
    """Give the selection: for each clause its rule, its group, and what its condition read."""
    chosen = [
        {
            "id": c.id,
            "clause": c.clause.id,
            "heading": c.clause.purpose,
            "when": c.clause.when,
            "one_of": c.clause.one_of or "",
            "item": str(c.item.key) if c.item is not None else "",
            "read": {path: said(value) for path, value in c.read.items()},
        }
        for c in selection.chosen
    ]
    left_out = [
        {
            "clause": c.clause.id,
            "when": c.clause.when,
            "one_of": c.clause.one_of or "",
            "read": {path: said(value) for path, value in c.read.items()},
        }
        for c in selection.left_out
    ]
    return {"chosen": chosen, "left_out": left_out}


def is_kept_back(path: str) -> bool:
    """Say whether a fact is never printed: restricted, or sensitive for someone's safety."""
    try:
        return path in SENSITIVE_FIGURES or privacy_of(path) in ("C", "D")
    except UnknownPathError:
        return False
