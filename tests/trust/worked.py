"""One case through the whole program, looked at by every check; and what it reached."""

from __future__ import annotations

import hashlib
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from facts.made_up import as_yaml

from msadraft.attachments.form_rules import ItemRule, rulebook
from msadraft.attachments.items import catalogue
from msadraft.attachments.packet import Packet, packet
from msadraft.attachments.paragraph_map import ParagraphMap
from msadraft.draft import Draft, draft
from msadraft.facts.load import CaseFile, read_text_case
from msadraft.facts.model import Facts
from msadraft.figures.everything import all_figures
from msadraft.figures.parenting.from_facts import read_plans
from msadraft.figures.parenting.plan import lay_out_days
from msadraft.library.load import Library, read_library
from msadraft.review.base import RULES
from msadraft.rounds.packet_files import packet_files
from msadraft.rounds.store import files_of
from msadraft.writers.calendar import calendar_files
from msadraft.writers.docx import write_docx
from msadraft.writers.html import write_html
from msadraft.writers.paragraph_map import write_json
from msadraft.writers.text import write_text
from msadraft.writers.workbook import write_workbook
from trust import checks
from trust.branches import CountingStore, count_branches
from trust.draw import Drawn, Tree
from trust.word_lists import Paper, read_paper

LABEL = "Round 1"
FILE_EVERY = 10
"""One case in so many goes through its facts file: written as YAML, read back, compared."""
TWICE_EVERY = 20
"""One case in so many is made twice in one process, from facts read anew, and compared byte by byte."""
FOLDER_EVERY = 40
"""One case in so many is written with every file of a round, of the packet and of the calendar."""
CHECKS = {
    "draw": "the case is made from its number",
    "runs through": "facts, figures, draft, review, map, packet and writers give a result and no error",
    "references": "each reference in the Word file shows the number of its paragraph, counted from the file alone",
    "map": "the paragraph map has every numbered paragraph once, with the number counted from the Word file",
    "worksheets": "worksheet lines point to paragraphs of this paper, and no answer is left unfilled",
    "ledger": "each item's parts make its whole, the sums are those of the lines, the payment leaves both equal to the cent",
    "unequal": "a division that ends unequal is meant so in the facts, or a finding says it",
    "schedule": "the amounts printed in the property schedule add up as printed",
    "calendar": "every minute and every night of two years is with exactly one parent, or reported as open",
    "money": "each amount printed is a fact, a figure or a step of one, or stands in the wording itself",
    "money source": "an amount that came from a fact or figure is that fact or figure, in figures and in words",
    "text": "the library's own words read clean: nothing unfilled, empty, doubled or unbalanced",
    "findings": "each finding names a fact that can exist, and says what, why and how to mend it",
    "file": "facts written to a file read back the same (one case in {file})",
    "twice": "the same facts give the same Word, HTML and map bytes (one case in {twice})",
    "folder": "all files of the round, the packet and the calendar are written (one case in {folder})",
}


@dataclass(frozen=True)
class Failure:
    """What one check found wrong in one case."""

    case: int
    check: str
    says: str


@dataclass
class Reached:
    """What cases reached: clauses, branches by number, findings, decisions of form items; and the cases themselves."""

    cases: int = 0
    clauses: Counter[str] = field(default_factory=Counter)
    branches: Counter[int] = field(default_factory=Counter)
    findings: Counter[str] = field(default_factory=Counter)
    forms: Counter[tuple[str, str, str, str, str]] = field(default_factory=Counter)
    done: Counter[str] = field(default_factory=Counter)
    seconds: Counter[str] = field(default_factory=Counter)

    def add(self, other: Reached) -> None:
        """Count another one's."""
        self.cases += other.cases
        for name in ("clauses", "branches", "findings", "forms", "done", "seconds"):
            getattr(self, name).update(getattr(other, name))


@cache
def library() -> Library:
    """The project's own clauses."""
    return read_library()


@cache
def counting() -> CountingStore:
    """What counts the branches in this process."""
    return count_branches(library())


def case_file(facts: Facts) -> CaseFile:
    """Facts as they come from a file."""
    return CaseFile(facts, {}, Path("case.yaml"), "", "")


@dataclass
class Worked:
    """A case and what the program made of it."""

    facts: Facts
    draft: Draft
    map: ParagraphMap
    packet: Packet
    docx: bytes
    html: str
    text: str

    def digests(self) -> dict[str, str]:
        """Digests of the files."""
        parts = {
            "agreement.docx": self.docx,
            "agreement.html": self.html.encode(),
            "paragraph-map.json": write_json(self.map),
        }
        return {name: hashlib.sha256(data).hexdigest() for name, data in parts.items()}


class _Mapped:
    """A draft with the map that was made of it already, so that the packet need not make it again."""

    def __init__(self, found: Draft, made: ParagraphMap) -> None:
        self._found, self._made = found, made

    def __getattr__(self, name: str) -> Any:
        return getattr(self._found, name)

    def map(self, label: str) -> ParagraphMap:
        """The map."""
        return self._made


def work(facts: Facts) -> Worked:
    """Take facts through the whole program."""
    found = draft(case_file(facts), library=library())
    stamp = found.stamp(LABEL)
    all_figures(facts, found.figures)
    made = found.map(LABEL)
    return Worked(
        facts,
        found,
        made,
        packet(_Mapped(found, made), LABEL),
        write_docx(found.agreement, found.numbering, stamp),
        write_html(found.agreement, found.numbering, stamp),
        write_text(found.agreement, found.numbering, stamp),
    )


class Trial:
    """Checks cases one after the other and counts what they reach."""

    def __init__(self) -> None:
        self.reached = Reached()
        self.failures: list[Failure] = []
        self.store = counting()
        self.number = 0

    def case(self, drawn: Drawn, tree: Tree | None = None) -> dict[str, str]:
        """Check one case; give the digests of its files (nothing if it did not run through)."""
        self.number = drawn.number
        self.reached.cases += 1
        self.store.take()
        made: Worked | None = None
        with self.watched("runs through"):
            facts = Facts.model_validate(drawn.tree if tree is None else tree)
            with self.timed("program"):
                made = work(facts)
        if made is None:
            return {}
        self.count(made)
        digests = made.digests()
        for name, problems in self.checks(made):
            with self.watched(name), self.timed(f"check: {name}"):
                for says in problems(made):
                    self.failures.append(Failure(self.number, name, says))
        with self.timed("shares"):
            self.shares(made, drawn, digests)
        return digests

    def shares(self, made: Worked, drawn: Drawn, digests: dict[str, str]) -> None:
        """The checks that only a share of the cases goes through."""
        if drawn.number % FILE_EVERY == 1:
            with self.watched("file"):
                if read_text_case(as_yaml(made.facts)).facts != made.facts:
                    self.failures.append(Failure(self.number, "file", "the facts read back are not the facts written"))
        if drawn.number % TWICE_EVERY == 2:
            with self.watched("twice"):
                again = work(Facts.model_validate(drawn.tree)).digests()
                self.failures += [Failure(self.number, "twice", says) for says in checks.same_bytes(digests, again)]
        if drawn.number % FOLDER_EVERY == 3:
            with self.watched("folder"):
                files_of(made.draft, LABEL)
                packet_files(made.draft, made.packet, LABEL)
                if made.draft.figures.minor_children.keys:
                    calendar_files(made.facts, made.draft.figures)
                write_workbook(made.facts, made.draft.figures)

    def checks(self, made: Worked) -> Iterator[tuple[str, Callable[[Worked], Iterator[str]]]]:
        """The checks by name; those that read the Word file share one reading of it."""
        paper: list[Paper] = []

        def read(one: Worked) -> Paper:
            if not paper:
                paper.append(read_paper(one.docx))
            return paper[0]

        yield "references", lambda one: checks.references_true(read(one))
        yield "map", lambda one: checks.map_true(read(one), one.map.rows)
        yield (
            "worksheets",
            lambda one: checks.worksheets_true(one.packet, {n: e.full for n, e in one.draft.numbering.by_id.items()}),
        )
        yield "ledger", lambda one: checks.ledger_closes(one.facts, one.draft.figures.ledger)
        yield "unequal", _unequal
        yield "schedule", lambda one: checks.table_sums(read(one))
        yield "calendar", _calendar
        yield (
            "money",
            lambda one: checks.money_known(
                (line.text for line in read(one).lines), checks.known_amounts(one.facts, one.draft.figures)
            ),
        )
        yield "money source", lambda one: checks.money_at_its_source(one.draft.agreement, one.facts, _figures_of(one))
        yield "text", lambda one: checks.text_clean(one.draft.agreement, one.draft.numbering)
        yield "findings", lambda one: checks.findings_have_places(one.draft.findings)

    @contextmanager
    def watched(self, check: str) -> Iterator[None]:
        """Count a check as done; an error in it is a failure of the case."""
        self.reached.done[check] += 1
        try:
            yield
        except Exception as error:
            frames = [f for f in traceback.extract_tb(error.__traceback__) if "trust" not in f.filename]
            where = f"{Path(frames[-1].filename).name}:{frames[-1].name}" if frames else "the check"
            self.failures.append(Failure(self.number, check, f"{type(error).__name__} in {where}: {error}"))

    @contextmanager
    def timed(self, what: str) -> Iterator[None]:
        """Count the processor time."""
        began = time.process_time()
        try:
            yield
        finally:
            self.reached.seconds[what] += time.process_time() - began

    def count(self, made: Worked) -> None:
        """Count what the case reached."""
        self.reached.branches.update(self.store.take().keys())
        self.reached.clauses.update({c.clause.id for c in made.draft.selection.chosen})
        self.reached.findings.update({f.id for f in made.draft.findings})
        book = _book(made.facts.case.path)
        self.reached.forms.update(
            {
                (book, sheet.form, sheet.revision, line.item, line.box)
                for sheet in made.packet.worksheets
                for line in sheet.lines
                if line.ruled
            }
        )


def _book(path: str) -> str:
    return "default" if path == "default" else "agreement"


def possible_decisions() -> dict[tuple[str, str, str, str, str], str]:
    """Every decision of every form item that has a rule, as (rulebook, form, printing, item, box), with its condition."""
    found: dict[tuple[str, str, str, str, str], str] = {}
    for book, path in (("agreement", ""), ("default", "default")):
        for (form, revision), rule in rulebook(path).rules.items():
            if rule.joins == "no" or rule.joins == "false":
                continue
            edition = catalogue().edition(form, revision)
            known = {item.item: item for item in edition.items}
            if rule.borrow:
                known |= {
                    i.item: i
                    for i in catalogue().edition(form, rule.borrow.revision).items
                    if i.item in rule.borrow.items
                }
            for name, item in rule.items.items():
                for box in _boxes(item, known[name].kind, known[name].use):
                    found[book, form, revision, name, box] = item.check
    return found


def _boxes(rule: ItemRule, kind: str, use: str) -> Iterator[str]:
    if rule.check != "always":
        yield "leave"
    if rule.check in ("no", "false"):
        return
    if rule.hand:
        yield "hand"
        if rule.hand_if == "always":
            return
    if rule.blank:
        yield "blank"
    elif use == "printed" and not rule.write:
        yield "printed"
    elif kind == "check":
        yield "check"
    else:
        yield "write"


def rule_ids() -> tuple[str, ...]:
    """Every finding that a review can have without negotiated wording."""
    return tuple(RULES)


def _unequal(made: Worked) -> Iterator[str]:
    ledger = made.draft.figures.ledger
    return checks.unequal_said(made.facts, ledger, (f.id for f in made.draft.findings), ledger.complete)


def _calendar(made: Worked) -> Iterator[str]:
    figures = made.draft.figures
    if not figures.minor_children.keys:
        return
    time_of = figures.parenting_time
    yield from checks.share_said(time_of)
    first, last = date(time_of.first_year, 1, 1), date(time_of.first_year + 1, 12, 31)
    for group, read in zip(time_of.groups, read_plans(made.facts, figures.minor_children.keys).plans, strict=True):
        if read.plan is not None:
            timeline = lay_out_days(read.plan, first, last)
            zone = made.facts.parenting.time_zone
            yield from checks.calendar_whole(
                timeline, group.measures, first, last, zone, (f.kind for f in group.faults)
            )


def _figures_of(made: Worked) -> Callable[[str], Any]:
    def look_up(path: str) -> Any:
        found: Any = made.draft.figures
        for part in path.split(".")[1:]:
            if isinstance(found, Mapping):
                found = found.get(part)
            elif isinstance(found, (tuple, list)):
                found = found[int(part)] if part.isdecimal() and int(part) < len(found) else None
            else:
                found = getattr(found, part, None)
        return found

    return look_up
