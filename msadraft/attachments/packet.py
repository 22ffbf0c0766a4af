"""The judgment packet of a draft: which forms, and for each item whether to mark it, what to write, and the pointer.

A worksheet tells a person how to fill in the official form by hand; it is not the form. Every answer comes from the
facts, the figures and the numbered paper of one version, and carries its mark. A line without a rule is shown with its
pointer, to be decided by eye.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Any, Literal

from msadraft.attachments.drafted import Drafted, case_names, packaging_of
from msadraft.attachments.filled import BLANK, Reads, decide, helpers, reading, write
from msadraft.attachments.form_rules import FormRule, ItemRule, RemarkRule, Rulebook, Severity, rulebook
from msadraft.attachments.items import Catalogue, Confidence, Edition, FormItem, Kind, UnknownFormError, Use, catalogue
from msadraft.attachments.paragraph_map import MapRow, ParagraphMap, pointer
from msadraft.attachments.terms import terms

Box = Literal["check", "write", "leave", "blank", "hand", "printed", "by_eye"]

BOXES: Mapping[Box, str] = MappingProxyType(
    {
        "check": "Mark",
        "write": "Write",
        "leave": "Leave",
        "blank": "Blank on purpose",
        "hand": "By hand only",
        "printed": "Printed",
        "by_eye": "Decide by eye",
    }
)
"""What each box says to the preparer."""

POINTERS: Mapping[Use, str] = MappingProxyType(
    {
        "cite": "See",
        "check": "Rests on",
        "match": "Must agree with",
        "printed": "Compare",
        "facts": "Compare",
        "blank": "Compare",
    }
)
"""How the pointer begins: only a line that takes words gets words to write."""

DONE: tuple[Box, ...] = ("check", "write", "printed", "hand")
"""Boxes of lines that carry a term of the agreement into the packet."""

BEHIND = ("judgment", "attachment")
"""Parts of the packet to which an agreement is attached: the judgment form and the forms behind it."""

BACKGROUND = ("caption", "case.dates", "children", "parentage", "signature", "attachments", "appearance")
"""Topics that say who and when and decide nothing, so that a form may stay silent about them."""

BY_DEFAULT = (
    "custody.legal", "custody.physical", "schedule.regular", "schedule.holidays", "child-support.amount",
    "child-support.addons", "child-support.health", "spousal-support.petitioner", "spousal-support.respondent",
    "spousal-support.reserved", "property.awards.petitioner", "property.awards.respondent", "debts.petitioner",
    "debts.respondent", "separate.petitioner", "separate.respondent", "fees", "name",
)  # fmt: skip
"""Topics that a judgment by default orders; the rest are words of an agreement, in whose place the law stands."""

BEYOND = (
    "path.default_exceeds", "path.default_asset_unlisted", "path.default_terms", "path.default_needs_agreement",
    "path.default_respondent_name", "path.default_unequal",
)  # fmt: skip
"""Findings that a default without agreement cannot be entered on these terms."""

NO_AGREEMENT = "Judgment by default, without an agreement"

PAGE_COUNT = ("FL-180", "5")
"""The line with the page count. An earlier version was not counted again, so it is left out of comparisons."""

CHECKLIST = "FL-182"
"""The checklist, which does not list itself."""

ASK_THE_FORM = "Not read from the form: compare this line with the form in hand before use."


class PacketError(ValueError):
    """The packet cannot be made from these facts. The text names the fact and how to mend it; `path` is its path."""

    def __init__(self, path: str, says: str) -> None:
        """Keep the path beside the text."""
        super().__init__(says)
        self.path = path


@dataclass(frozen=True, slots=True)
class Remark:
    """Something to heed about a line or a form. `stop`: do not file like this."""

    severity: Severity
    says: str
    mend: str = ""
    fact: str = ""


@dataclass(frozen=True, slots=True)
class WorksheetLine:
    """One item of one form.

    Attributes:
        box: what to do, see `BOXES`.
        answer: what to write, in lines; for an empty line the reason.
        pointer: the words that point to the agreement; on a printed line, the paragraphs to compare.
        ids: the paragraphs pointed to, in the order of the paper.
        topics: the topics that the pointer rests on.
        facts: the facts and figures that decided the line.
        missing: facts that are not known and leave a line in the answer.
        ruled: whether a rule decided the line.
    """

    item: str
    label: str
    kind: Kind
    use: Use
    box: Box
    answer: str
    pointer: str
    ids: tuple[str, ...]
    topics: tuple[str, ...]
    facts: tuple[str, ...]
    missing: tuple[str, ...]
    confidence: Confidence
    source: str
    advice: str
    remarks: tuple[Remark, ...]
    ruled: bool


@dataclass(frozen=True, slots=True)
class Worksheet:
    """One form of the packet; `who` is the spouse whose copy it is, or "", and `copy_of` says in which way it is theirs."""

    form: str
    revision: str
    title: str
    who: str
    status: str
    optional: bool
    why: str
    caution: str
    pages: int | None
    lines: tuple[WorksheetLine, ...]
    remarks: tuple[Remark, ...]
    copy_of: str = "copy"

    @property
    def name(self) -> str:
        """The form, with the spouse where each has a copy: "FL-141, petitioner"."""
        return f"{self.form}, {self.who}" if self.who else self.form


@dataclass(frozen=True)
class Packet:
    """The worksheets of one version. `uncovered` are topics that the agreement decides and no form item carries."""

    mark: str
    title: str
    paper: str
    path: str
    packaging: str
    ready: bool
    worksheets: tuple[Worksheet, ...]
    uncovered: tuple[str, ...]

    @cached_property
    def by_name(self) -> Mapping[str, Worksheet]:
        """The worksheets by form, and by "form, spouse" where each spouse has a copy."""
        return {sheet.name: sheet for sheet in self.worksheets}

    @property
    def forms(self) -> tuple[str, ...]:
        """The forms of the packet in order, each once."""
        return tuple(dict.fromkeys(sheet.form for sheet in self.worksheets))

    def line(self, name: str, item: str) -> WorksheetLine | None:
        """One line, by form (or "form, spouse") and item; None if it is not in the packet."""
        sheet = self.by_name.get(name)
        return next((line for line in sheet.lines if line.item == item), None) if sheet else None

    @property
    def remarks(self) -> tuple[tuple[Worksheet, WorksheetLine | None, Remark], ...]:
        """Every remark with its form and line, the gravest first."""
        found = [
            entry
            for sheet in self.worksheets
            for entry in (
                *((sheet, None, r) for r in sheet.remarks),
                *((sheet, line, r) for line in sheet.lines for r in line.remarks),
            )
        ]
        order = {"stop": 0, "warn": 1, "note": 2}
        return tuple(sorted(found, key=lambda entry: order[entry[2].severity]))

    @property
    def stops(self) -> tuple[tuple[Worksheet, WorksheetLine | None, Remark], ...]:
        """The remarks that stop filing."""
        return tuple(entry for entry in self.remarks if entry[2].severity == "stop")


def packet(
    draft: Drafted,
    label: str,
    *,
    pages: int | None = None,
    data: Catalogue | None = None,
    rules: Rulebook | None = None,
) -> Packet:
    """Make the packet of a draft.

    Args:
        draft: the draft.
        label: label of its round, for the mark.
        pages: pages of the printed agreement, where they were counted.
        data: form data other than the package's own.
        rules: rules other than the package's own.

    Raises:
        PacketError: a printing chosen in the facts is not known.
        WordingError: a rule asks for something that does not work.
    """
    return _Working(draft, label, pages, data or catalogue(), rules or rulebook(draft.case.facts.case.path)).packet()


class _Working:
    def __init__(self, draft: Drafted, label: str, pages: int | None, data: Catalogue, rules: Rulebook) -> None:
        self.draft, self.data, self.rules = draft, data, rules
        self.case = draft.case.facts.case
        # In a default without agreement the paper only tells which terms there are: nothing may point to it.
        self.no_paper = draft.figures.true_default
        self.beyond = tuple(
            Remark("stop", f"{f.message} ({f.source})", f.mend, f.path)
            for f in draft.findings
            if self.no_paper and f.id in BEYOND
        )
        self.packaging = packaging_of(self.case)
        self.map: ParagraphMap = draft.map(label)
        self.order = tuple(row.number for row in self.map.rows)
        self.seen = draft.selection.seen
        self.rows: dict[str, list[tuple[int, MapRow]]] = {}
        for n, row in enumerate(self.map.rows):
            for topic in row.topics:
                self.rows.setdefault(topic, []).append((n, row))
        self.joined: list[tuple[Edition, FormRule]] = []
        base = case_names(draft)
        self.names: dict[str, Any] = {
            **base,
            **helpers(base),
            "topic": lambda *topics: any(topic in self.rows for topic in topics),
            "joined": lambda form: any(edition.form == form for edition, _ in self.joined),
            "pages": pages,
            "packet_forms": lambda: ", ".join(edition.form for edition, _ in self.joined if edition.form != CHECKLIST),
            "terms": lambda topic, clause="": terms(draft, (row for _, row in self.rows.get(topic, ())), clause),
            "beyond": self.beyond,
        }

    def packet(self) -> Packet:
        with reading(self.seen):
            self.joined = [(edition, rule) for edition, rule in self.editions() if self.joins(rule)]
            self.names["pages_behind"] = lambda: self.pages_behind(self.names["pages"])
        sheets = tuple(sheet for edition, rule in self.joined for sheet in self.copies(edition, rule))
        carried = {t for sheet in sheets for line in sheet.lines if line.box in DONE for t in line.topics}
        told = [t for t in self.data.topics if t not in BACKGROUND and (t in BY_DEFAULT or not self.no_paper)]
        uncovered = tuple(t for t in told if t in self.rows and t not in carried)
        ready = not any(f.severity == "stop" for f in self.draft.findings)
        title, paper = (NO_AGREEMENT, "") if self.no_paper else (self.map.title, self.map.paper)
        return Packet(self.map.mark, title, paper, self.case.path, self.packaging, ready, sheets, uncovered)

    def editions(self) -> Iterator[tuple[Edition, FormRule]]:
        """One printing of each form that has rules: the one the facts choose, else the latest known."""
        chosen: dict[str, str] = {}
        for n, choice in enumerate(self.case.form_revisions):
            path = f"case.form_revisions.{n}"
            try:
                edition = self.data.edition(choice.form, choice.revision)
            except UnknownFormError as error:
                raise PacketError(f"{path}.revision", str(error)) from error
            if self.rules.of(edition) is None:
                raise PacketError(f"{path}.form", f"there are no worksheet rules for {choice.form} {choice.revision}")
            chosen[choice.form] = choice.revision
        for form in self.rules.forms():
            edition = self.data.edition(form, chosen.get(form))
            rule = self.rules.of(edition)
            if rule is not None:
                yield edition, rule

    def joins(self, rule: FormRule) -> bool:
        return decide(rule.joins, self.names, f"{rule.form} joins")

    def pages_behind(self, pages: int | None) -> str:
        """How many pages stand behind the judgment form, paper by paper, and in all if every count is known."""
        behind: list[tuple[str, int | None]] = []
        if self.packaging != "forms_only":
            behind.append(("Agreement with its exhibits", pages))
        behind += [(e.form, r.pages) for e, r in self.joined if e.part == "attachment" or e.form == "FL-192"]
        known = [count for _, count in behind if count is not None]
        lines = [f"{name}: {f'{n} pages' if n is not None else 'count them'}" for name, n in behind]
        in_all = [f"In all: {sum(known)} pages"] if len(known) == len(behind) else []
        return "\n".join((*in_all, *lines))

    def copies(self, edition: Edition, rule: FormRule) -> Iterator[Worksheet]:
        if not rule.each:
            yield self.sheet(edition, rule, "", self.names)
            return
        for role in ("petitioner", "respondent") if rule.each == "party" else (rule.each,):
            names = {**self.names, "party": self.names[role]}
            with reading(self.seen):
                due = decide(rule.only, names, f"{rule.form} only")
            if due:
                yield self.sheet(edition, rule, role, names)

    def sheet(self, edition: Edition, rule: FormRule, who: str, names: dict[str, Any]) -> Worksheet:
        lent = {i.item: i for i in self.lent(rule)}
        lines = tuple(
            self.line(item, rule.items.get(item.item), names, edition, item.item in lent)
            for item in (*lent.values(), *edition.items)
        )
        with reading(self.seen) as reads:
            why = write(rule.why, names, self.draft.numbering, reads, f"{rule.form} why").text
            remarks = tuple(self.remarks(rule.remarks, names, f"{rule.form}"))
        if edition.form == "FL-180":
            remarks = (*self.beyond, *remarks)
        return Worksheet(
            edition.form, edition.revision, edition.title, who, edition.status, rule.optional, why, edition.caution,
            rule.pages, lines, remarks, rule.copy_of,
        )  # fmt: skip

    def lent(self, rule: FormRule) -> Iterator[FormItem]:
        """Items that a printing shares with a later one and that its own data do not repeat."""
        if rule.borrow:
            other = self.data.edition(rule.form, rule.borrow.revision)
            yield from (item for item in other.items if item.item in rule.borrow.items)

    def line(
        self, item: FormItem, rule: ItemRule | None, names: dict[str, Any], edition: Edition, lent: bool
    ) -> WorksheetLine:
        where = f"{edition.form} {edition.revision} item {item.item}"
        names = {**names, "line_name": item.item}
        confidence: Confidence = "memory" if lent else item.confidence
        cites = item.cites if rule is None or rule.cites is None else rule.cites
        topics = tuple(dict.fromkeys((*cites, *(rule.also if rule else ()))))
        found = [row for _, row in sorted({n: row for t in topics for n, row in self.rows.get(t, ())}.items())]
        box: Box
        answer = ""
        missing: tuple[str, ...] = ()
        remarks: list[Remark] = []
        with reading(self.seen) as reads:
            if rule is None:
                box, answer = _without_rule(item)
                if self.no_paper and _of_a_paper(answer):
                    answer = "Left empty."
            else:
                box, answer, missing = self.decided(item, rule, bool(found), names, reads, where)
                remarks = list(self.remarks(rule.remarks, names, where))
        if confidence == "memory" and box != "leave":
            remarks.append(Remark("note", ASK_THE_FORM))
        if missing:
            remarks.append(Remark("warn", "Not known yet: " + ", ".join(missing) + ".", "", missing[0]))
        if box in ("check", "write") and topics and not found and item.use in ("cite", "check") and not self.no_paper:
            remarks.append(
                Remark(
                    "warn",
                    "The agreement has no paragraph on this, so there is nothing to point to.",
                    "Do not let the form say more than the agreement.",
                )
            )
        shown = found if box in (*DONE, "by_eye") else []
        reached = {topic for row in shown for topic in row.topics}
        # A line that needs no paragraph still carries its own topic.
        kept = tuple(t for t in topics if t in reached) or ((item.topic,) if box in ("check", "write") else ())
        advice = item.answer
        if self.no_paper:
            shown, advice = [], "" if _of_a_paper(advice) else advice
        return WorksheetLine(
            item.item, item.label, item.kind, item.use, box, answer, self.pointer(shown, item.use, edition), tuple(r.id for r in shown),
            kept, reads.shown, missing, confidence, item.source, advice, tuple(remarks), rule is not None,
        )  # fmt: skip

    def decided(
        self, item: FormItem, rule: ItemRule, found: bool, names: dict[str, Any], reads: Reads, where: str
    ) -> tuple[Box, str, tuple[str, ...]]:
        """The box, the answer and the facts missing in it."""
        if not decide(rule.check, names, where):
            return "leave", "", ()
        if rule.hand and decide(rule.hand_if, names, where):
            return "hand", write(rule.hand, names, self.draft.numbering, reads, where).text, ()
        if rule.blank:
            return "blank", write(rule.blank, names, self.draft.numbering, reads, where).text, ()
        text = write(rule.write, names, self.draft.numbering, reads, where)
        if item.use == "printed" and not rule.write:
            return "printed", "Nothing to fill in.", ()
        if item.kind == "check":
            return "check", text.text, text.missing
        if not text.text and not found:
            return "leave", "", ()
        return "write", text.text, text.missing

    def remarks(
        self, rules: Sequence[tuple[Severity, RemarkRule]], names: dict[str, Any], where: str
    ) -> Iterator[Remark]:
        for severity, rule in rules:
            if decide(rule.when, names, where):
                says = write(rule.says, names, self.draft.numbering, Reads(), where).text
                yield Remark(severity, says, rule.mend, rule.fact)

    def pointer(self, rows: Sequence[MapRow], use: Use, edition: Edition) -> str:
        """The words for the form where the line takes words; elsewhere what the mark rests on or must agree with."""
        words = pointer([row.number for row in rows], self.map.paper, self.order)
        begins = POINTERS[use]
        if self.packaging == "forms_only" or edition.part not in BEHIND:
            words = words.replace(" of the attached ", " of the ", 1)
        if self.packaging == "forms_only" and use == "cite":
            begins = "Write out"  # the agreement is not behind the form, so its words have to be
        return words.replace("See ", f"{begins} ", 1)


def _of_a_paper(text: str) -> bool:
    """Whether advice in the form data speaks of an agreement, or of a pointer to it."""
    return "agree" in text.lower() or "pointer" in text.lower()


def _without_rule(item: FormItem) -> tuple[Box, str]:
    if item.use == "printed":
        return "printed", "Nothing to fill in."
    if item.use == "blank":
        return "blank", item.answer
    return "by_eye", ""


@dataclass(frozen=True, slots=True)
class AnswerChange:
    """A line that was filled in one way for an earlier version and is due otherwise now.

    For a form that came or went whole there is one change with no item.
    """

    form: str
    item: str
    label: str
    before: str
    now: str


def changes(earlier: Packet, later: Packet) -> tuple[AnswerChange, ...]:
    """The worksheet answers that changed between two versions, in the order of the later packet, then what is gone."""
    found: list[AnswerChange] = []
    for name, sheet in later.by_name.items():
        before = earlier.by_name.get(name)
        if before is None:
            found.append(AnswerChange(name, "", sheet.title, "", "new in the packet: fill in the whole form"))
            continue
        old, new = _answers(before), _answers(sheet)
        found += [
            AnswerChange(name, item, (new.get(item) or old[item])[0], then, now)
            for item in dict.fromkeys((*new, *old))
            if (then := old.get(item, ("", ""))[1]) != (now := new.get(item, ("", ""))[1])
        ]
    found += [
        AnswerChange(name, "", sheet.title, "in the packet", "no longer in the packet")
        for name, sheet in earlier.by_name.items()
        if name not in later.by_name
    ]
    return tuple(found)


def _answers(sheet: Worksheet) -> dict[str, tuple[str, str]]:
    """The label of each line, and what is to be done, in words."""
    return {
        line.item: (line.label, said(line))
        for line in sheet.lines
        if line.box != "printed" and (sheet.form, line.item) != PAGE_COUNT
    }


def said(line: WorksheetLine) -> str:
    """A line in words: what to do, what to write, where it points."""
    parts = (BOXES[line.box], line.answer.replace("\n", "; "), line.pointer)
    return ": ".join(part for part in (parts[0], " ".join(part for part in parts[1:] if part)) if part)


__all__ = [
    "BLANK", "BOXES", "AnswerChange", "Box", "Packet", "PacketError", "Remark", "Worksheet", "WorksheetLine", "changes",
    "packet", "said",
]  # fmt: skip
