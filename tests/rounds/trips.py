"""The whole way round: draft, edit, take in, draft again, and what must hold afterwards."""

from __future__ import annotations

import dataclasses
import re
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cache

from rounds import edits
from support.scenarios import ROUNDS, drafted

from msadraft.agreement.negotiated import read_wording_text
from msadraft.draft import Draft, draft
from msadraft.facts.load import read_text_case
from msadraft.rounds.intake.report import TakenIn
from msadraft.rounds.intake.takein import take_in
from msadraft.writers.docx import write_docx


@dataclass
class Trip:
    """One edit script and what came of it."""

    script: edits.Script
    taken: TakenIn
    after: Draft
    problems: list[str]


def document_of(found: Draft, n: int) -> bytes:
    return write_docx(found.agreement, found.numbering, found.stamp(f"Round {n}"))


def redrafted(found: Draft, taken: TakenIn) -> Draft:
    """The case as it drafts with what was taken in, as after --apply."""
    case = read_text_case(taken.case_text) if taken.case_text is not None else found.case
    wording = read_wording_text(taken.wording_text) if taken.wording_text is not None else found.negotiated
    return draft(case, negotiated=wording)


def told(taken: TakenIn) -> str:
    """Everything that the report lists, as one text."""
    said = []
    for name in ("facts", "reworded", "inserted", "removed", "moved", "leftovers", "comments", "tracked"):
        said += [" ".join(str(v) for v in dataclasses.astuple(entry)) for entry in getattr(taken, name)]
    return " ".join(" ".join(said).split())


@cache
def edited(seed: int) -> tuple[bytes, edits.Script]:
    """A round of a scenario with the edits of one seed, and what they were."""
    name, n = ROUNDS[seed % len(ROUNDS)]
    return edits.generated(document_of(drafted(name, n), n), seed)


@cache
def trip(seed: int) -> Trip:
    name, n = ROUNDS[seed % len(ROUNDS)]
    return finish(drafted(name, n), n, *edited(seed))


def finish(found: Draft, n: int, document: bytes, script: edits.Script) -> Trip:
    """Take a document in, draft again, and compare with the clean document line by line."""
    taken = take_in(found, document, "edited.docx", "reject" if script.mode == "reject" else "accept")
    after = redrafted(found, taken)
    problems = []
    report = told(taken)
    for kind, words in script.told:
        if not any(" ".join(w.split()) in report for w in words):
            problems.append(f"not reported: {kind} {words}")
    listed = [" ".join(one.text.split()) for one in taken.leftovers]
    listed += [" ".join(text.split()) for f in taken.follows for text in (f.before, f.after) if text]
    wanted = edits.lines(script.clean)
    drafted_lines = edits.lines(edits.body_of(document_of(after, n)))
    for tag, i1, i2, j1, j2 in SequenceMatcher(None, wanted, drafted_lines, autojunk=False).get_opcodes():
        if tag != "equal":
            for line in wanted[i1:i2] + drafted_lines[j1:j2]:
                # a reference is known by its target here and by its number in the report
                pattern = ".{0,24}?".join(re.escape(part) for part in re.split("<_P_[^>]*>", line))
                if not any(re.search(pattern, text) for text in listed):
                    problems.append(f"lost: {line[:160]}")
    return Trip(script, taken, after, problems)
