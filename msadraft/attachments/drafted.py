"""What the packet needs of a draft: the facts, what follows from them, and the numbered paper.

The packet stands before the draft in the order of imports, so it names what it uses here instead of the class.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Protocol

from msadraft.agreement.negotiated import Negotiated
from msadraft.agreement.numbering import Numbering
from msadraft.attachments.paragraph_map import ParagraphMap
from msadraft.facts.case import Case
from msadraft.facts.load import CaseFile
from msadraft.figures.compute import Figures
from msadraft.library.load import Library
from msadraft.library.select import Selection
from msadraft.tree import Agreement


class Found(Protocol):
    """One finding of the review."""

    @property
    def id(self) -> str:
        """The rule that found it."""

    @property
    def severity(self) -> str:
        """`stop`, `warn` or `note`."""

    @property
    def path(self) -> str:
        """The fact to mend."""

    @property
    def message(self) -> str:
        """What is wrong, in plain words."""

    @property
    def source(self) -> str:
        """The law or habit that it rests on."""

    @property
    def mend(self) -> str:
        """What to do about it."""


class Drafted(Protocol):
    """A draft of one case."""

    @property
    def case(self) -> CaseFile:
        """The facts, and where they stand."""

    @property
    def figures(self) -> Figures:
        """What follows from the facts."""

    @property
    def library(self) -> Library:
        """The clauses it was made from."""

    @property
    def selection(self) -> Selection:
        """The clauses in the paper."""

    @property
    def agreement(self) -> Agreement:
        """The paper."""

    @property
    def numbering(self) -> Numbering:
        """Its numbers."""

    @property
    def negotiated(self) -> Negotiated:
        """The negotiated wording put over the library's."""

    @property
    def findings(self) -> Sequence[Found]:
        """What the review found."""

    def map(self, label: str) -> ParagraphMap:
        """The paragraph map under that label."""


def packaging_of(case: Case) -> str:
    """How the terms reach the judgment: agreement_only, hybrid or forms_only; without an agreement only by forms."""
    return "forms_only" if case.path == "default" else case.packaging


def case_names(draft: Drafted, **more: Any) -> dict[str, Any]:
    """The names that conditions and texts of the packet can use: those of the clauses, and `more`."""
    return {**draft.selection.names, **more}
