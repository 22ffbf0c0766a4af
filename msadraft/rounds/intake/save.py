"""Change facts in the text of case.yaml and leave every other byte of it as it is: comments, order, quotes, blank lines."""

from __future__ import annotations

from collections.abc import Mapping

from msadraft.facts.edit import EditError, set_value
from msadraft.facts.load import CaseFile
from msadraft.facts.problems import FactsError, Problem


def changed_facts(case: CaseFile, changes: Mapping[str, str]) -> str:
    """Give the text of the facts file with some facts changed. `changes` maps the path of a fact to its new value.

    A fact that is not in the file yet is put where the model has its place.

    Raises:
        FactsError: a place of the file cannot take the value; the file would not say what was meant.
    """
    text = case.text
    for path, written in changes.items():
        try:
            text = set_value(text, path, written)
        except EditError:
            raise FactsError(
                [Problem(case.place(path), path, "This fact cannot be changed here by itself.", "Change it by hand.")]
            ) from None
    return text
