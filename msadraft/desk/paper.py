"""The agreement on the page, in pieces that can be swapped alone, and what a change moved in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import msadraft
from msadraft.draft import Draft
from msadraft.figures.everything import all_figures
from msadraft.rounds.compare import compare
from msadraft.rounds.read import Version, version_of
from msadraft.writers.changes import Changes
from msadraft.writers.figures import round_data
from msadraft.writers.html import Unit, html_units

LABEL = "On the desk"


@dataclass(frozen=True)
class Swaps:
    """What a page that shows the old paper needs, to show the new one.

    `whole` says that paragraphs came or went, so that the paper is sent as a whole; `units` are the pieces that read
    differently now, in either case.
    """

    whole: bool
    units: tuple[Unit, ...]


def units(draft: Draft | None) -> tuple[Unit, ...]:
    """The pieces of a draft; none if there is no draft yet."""
    return html_units(draft.agreement, draft.numbering) if draft is not None else ()


def swaps(old: tuple[Unit, ...], new: tuple[Unit, ...]) -> Swaps:
    """Say which pieces to send."""
    shown: Mapping[str, str] = {unit.bookmark: unit.html for unit in old}
    changed = tuple(unit for unit in new if shown.get(unit.bookmark) != unit.html)
    return Swaps([u.bookmark for u in old] != [u.bookmark for u in new], changed)


def moved(before: Draft, after: Draft) -> Changes:
    """What the last change moved: terms, clauses that came or went and why, paragraphs, form items, figures."""
    return compare(_version(before), _version(after))


def _version(found: Draft) -> Version:
    figures = round_data(found.figures, all_figures(found.case.facts, found.figures), LABEL)
    items: Any = found.map(LABEL).as_dict()["items"]
    return version_of(found, LABEL, figures, items, found.library.digest, msadraft.__version__)
