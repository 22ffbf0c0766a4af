"""The rooms in order: one page that reads as the table of contents of the whole."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from msadraft.agreement.assemble import assemble
from msadraft.agreement.numbering import Numbering, number
from msadraft.attachments.paragraph_map import ParagraphMap, paragraph_map
from msadraft.facts.load import CaseFile, read_case
from msadraft.figures.compute import Figures, compute
from msadraft.library.load import Library, read_library
from msadraft.library.select import Selection, select
from msadraft.review.base import Finding, Review
from msadraft.review.rules import review_case
from msadraft.tree import Agreement
from msadraft.writers.stamp import Stamp
from msadraft.writers.text import write_text


@dataclass(frozen=True)
class Draft:
    """One draft of one case, with everything that led to it."""

    case: CaseFile
    figures: Figures
    library: Library
    selection: Selection
    agreement: Agreement
    numbering: Numbering
    findings: tuple[Finding, ...]
    fingerprint: str

    @property
    def stops(self) -> tuple[Finding, ...]:
        """The findings that stop signing."""
        return tuple(f for f in self.findings if f.severity == "stop")

    def stamp(self, label: str) -> Stamp:
        """What marks every page: the round's label and the fingerprint of the content."""
        return Stamp(mark=f"{label} · {self.fingerprint}", ready=not self.stops)

    def map(self, label: str) -> ParagraphMap:
        """The paragraph map under the same mark."""
        return paragraph_map(self.agreement, self.numbering, answers(self.selection), self.stamp(label).mark)


def draft(case: CaseFile | Path, *firm_folders: Path) -> Draft:
    """Draft a case.

    Raises:
        FactsError: the facts cannot be used.
        LibraryError: a clause folder is wrong.
        WordingError: a clause asks for something that does not work.
    """
    file = read_case(case) if isinstance(case, Path) else case
    figures = compute(file.facts)
    library = read_library(*firm_folders)
    selection = select(library, file.facts, figures)
    agreement = assemble(library, selection, file.facts)
    numbering = number(agreement)
    findings = review_case(Review(file.facts, figures, selection, agreement, numbering))
    return Draft(file, figures, library, selection, agreement, numbering, findings, fingerprint(agreement, numbering))


def fingerprint(agreement: Agreement, numbering: Numbering) -> str:
    """Eight hexadecimal digits over the whole numbered text: the same text has the same fingerprint."""
    text = write_text(agreement, numbering, Stamp(mark="", ready=True))
    return hashlib.sha256(text.encode()).hexdigest()[:8]


def answers(selection: Selection) -> Mapping[str, tuple[str, ...]]:
    """Topics of the court forms that each clause instance in the paper answers; `instance/label` for one paragraph of it.

    `{key}` in a topic stands for the record's key: `spousal-support.{key}` is `spousal-support.petitioner` in the
    instance for the petitioner.
    """
    found: dict[str, tuple[str, ...]] = {}
    for chosen in selection.chosen:
        for entry in chosen.clause.answers:
            label, _, topic = entry.rpartition(":")
            key = f"{chosen.id}/{label.strip()}" if label else chosen.id
            topic = topic.strip().replace("{key}", str(chosen.item.key) if chosen.item is not None else "")
            found[key] = tuple(dict.fromkeys((*found.get(key, ()), topic)))
    return found
