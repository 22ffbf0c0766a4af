"""The rooms in order: one page that reads as the table of contents of the whole."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from msadraft.agreement import negotiated as wording
from msadraft.agreement.assemble import assemble
from msadraft.agreement.negotiated import Conflict, Negotiated
from msadraft.agreement.numbering import Numbering, NumberingError, number
from msadraft.attachments.paragraph_map import MapError, ParagraphMap, paragraph_map
from msadraft.facts.load import CaseFile, read_case
from msadraft.figures.compute import Figures, compute
from msadraft.library.environment import WordingError
from msadraft.library.load import Library, read_library
from msadraft.library.select import Selection, select
from msadraft.review.base import ORDER, Finding, Review
from msadraft.review.rules import review_case
from msadraft.tree import Agreement, Blank, Inline, Reference, Text, inlines, walk
from msadraft.writers.stamp import Stamp


@dataclass(frozen=True)
class Draft:
    """One draft of one case, with everything that led to it.

    `assembled` is the tree of the library's own wording, before `negotiated` was put over it.
    """

    case: CaseFile
    figures: Figures
    library: Library
    selection: Selection
    agreement: Agreement
    numbering: Numbering
    findings: tuple[Finding, ...]
    fingerprint: str
    negotiated: Negotiated
    assembled: Agreement

    @property
    def stops(self) -> tuple[Finding, ...]:
        """The findings that stop signing."""
        return tuple(f for f in self.findings if f.severity == "stop")

    def stamp(self, label: str) -> Stamp:
        """What marks every page: the round's label and the fingerprint of the content."""
        return Stamp(mark=f"{label} · {self.fingerprint}", ready=not self.stops)

    def map(self, label: str) -> ParagraphMap:
        """The paragraph map under the same mark. Raises WordingError if a clause answers an unknown topic."""
        try:
            return paragraph_map(self.agreement, self.numbering, answers(self.selection), self.stamp(label).mark)
        except MapError as error:
            raise WordingError(str(error)) from error


def draft(
    case: CaseFile | Path,
    *firm_folders: Path,
    negotiated: Negotiated | None = None,
    library: Library | None = None,
) -> Draft:
    """Draft a case.

    Args:
        case: the facts, or the case folder or facts file to read them from.
        firm_folders: the firm's own clauses.
        negotiated: the negotiated wording; None takes `wording.yaml` beside the facts if `case` is a path, and none
            otherwise.
        library: the clauses, if they were read before; `firm_folders` are then not looked at.

    Raises:
        FactsError: the facts or the negotiated wording cannot be used.
        LibraryError: a clause folder is wrong.
        WordingError: a clause asks for something that does not work.
    """
    file = read_case(case) if isinstance(case, Path) else case
    if negotiated is None:
        negotiated = wording.read_wording(file.path.parent) if isinstance(case, Path) else wording.NOTHING
    figures = compute(file.facts)
    library = library or read_library(*firm_folders)
    selection = select(library, file.facts, figures)
    assembled = assemble(library, selection, file.facts)
    agreement, conflicts = wording.apply(assembled, negotiated)
    numbering = _numbered(agreement)
    findings = review_case(Review(file.facts, figures, selection, agreement, numbering))
    if negotiated:
        found = (*findings, *_conflict_findings(conflicts), *_comment_findings(negotiated))
        findings = tuple(sorted(found, key=lambda f: (ORDER[f.severity], f.id, f.path, f.message)))
    mark = fingerprint(agreement, numbering)
    return Draft(file, figures, library, selection, agreement, numbering, findings, mark, negotiated, assembled)


def _numbered(agreement: Agreement) -> Numbering:
    """Number the paper. Raises WordingError, with the clause, where clauses do not go together."""
    try:
        numbering = number(agreement)
    except NumberingError as error:
        raise WordingError(f"The clauses do not go together: {error}. Look at the clauses of your own.") from error
    for section in agreement.sections:
        for block in walk(section.blocks):
            for piece in inlines(block):
                if isinstance(piece, Reference) and piece.target not in numbering:
                    raise WordingError(
                        f"{block.clause}: refers to {piece.target!r}, which is not in this agreement."
                        " Check the name; a reference to a clause that can be absent stands under `has`."
                    )
    return numbering


def _conflict_findings(conflicts: Iterable[Conflict]) -> Iterable[Finding]:
    """A stop for each piece of negotiated wording that does not fit any more, with both texts."""
    for conflict in conflicts:
        now = (
            f"set its `replaces` to {conflict.hash_now} to keep the negotiated words, or " if conflict.hash_now else ""
        )
        texts = f" Negotiated: “{conflict.negotiated}”." if conflict.negotiated else ""
        texts += f" The wording underneath now: “{conflict.present}”." if conflict.present else ""
        yield Finding(
            "negotiation.wording_conflict",
            "stop",
            "",
            f"Negotiated wording of {conflict.node} does not fit: {conflict.why}.{texts}",
            "Words that were negotiated for other wording may now say something that nobody agreed to.",
            "common practice",
            f"Read both texts. In {wording.FILE_NAME}, {now}change or delete the entry.",
        )


def _comment_findings(negotiated: Negotiated) -> Iterable[Finding]:
    """A note for each remark that came with an edited document."""
    for comment in negotiated.comments:
        where = f" at {comment.paragraph}" if comment.paragraph else ""
        yield Finding(
            "negotiation.comment",
            "note",
            "",
            f"{comment.author or 'Someone'} remarked{where}: “{comment.text}”",
            "It came with a document that was taken in.",
            "common practice",
            f"Answer it; then delete it from `comments` in {wording.FILE_NAME}.",
        )


def fingerprint(agreement: Agreement, numbering: Numbering) -> str:
    """Eight hexadecimal digits over title, numbers and text: the same paper has the same fingerprint."""
    digest = hashlib.sha256(f"{agreement.title}\n{agreement.layout}\n".encode())
    for section in agreement.sections:
        digest.update(f"{numbering[section.id].full}\t{_words(section.heading, numbering)}\n".encode())
        for block in walk(section.blocks):
            digest.update(f"{numbering[block.id].full}\t{_words(inlines(block), numbering)}\n".encode())
    return digest.hexdigest()[:8]


def _words(pieces: Iterable[Inline], numbering: Numbering) -> str:
    """The text of some pieces: a blank by its source, a reference by its number."""
    said = []
    for piece in pieces:
        match piece:
            case Text():
                said.append(piece.text)
            case Blank():
                said.append(f"____{piece.source}")
            case Reference():
                said.append(numbering[piece.target].full if piece.target in numbering else piece.target)
    return "\x1f".join(said)


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
