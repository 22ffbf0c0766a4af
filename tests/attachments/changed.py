"""Drafts of the scenarios with some facts changed."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from support.scenarios import drafted, facts_file

from msadraft.draft import Draft, draft
from msadraft.facts.load import CaseFile
from msadraft.facts.model import Facts

DEFAULT = (
    ("case.path", "default_with_agreement"),
    ("case.response_filed_on", None),
    ("case.appearance_on", None),
    ("respondent.notarized", True),
)
"""What turns a scenario into a default with an agreement."""


def redraft(name: str, n: int, *changes: tuple[str, Any], beside: Path | None = None) -> Draft:
    """The draft of a scenario's round with some facts changed, as if its file stood in the folder `beside`."""
    data = drafted(name, n).case.facts.model_dump()
    for path, value in changes:
        *groups, last = path.split(".")
        place = data
        for group in groups:
            place = place[group]
        place[last] = value
    folder = beside or facts_file(name, n).parent
    return of_facts(Facts.model_validate(data), folder / "case.yaml")


@cache
def kept(name: str, n: int, *changes: tuple[str, Any]) -> Draft:
    """The same, kept for other tests; the values can be hashed."""
    return redraft(name, n, *changes)


def of_facts(facts: Facts, file: Path = Path("case.yaml")) -> Draft:
    """The draft of facts that stand in no file."""
    return draft(CaseFile(facts, MappingProxyType({}), file, "", ""))
