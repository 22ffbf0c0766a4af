"""Questions from the models of the facts: labels, help, units and answers are those of the models, not a second list.

Which questions matter now is not a list either. A question matters when its fact is given, when its group cannot do
without it, when a rule of the clause library looked at it to decide what stands in the paper, when the paper shows a
blank for it, or when a finding or a problem leads to it. Everything else is there too, a click away.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from msadraft.desk.open_case import Kept, OpenCase
from msadraft.facts.base import Record
from msadraft.facts.paths import (
    ANSWERS,
    ROOT,
    FactField,
    Shape,
    UnknownPathError,
    answer_words,
    field_at,
    fields_of,
    words,
)
from msadraft.tree import Blank, inlines, walk


@dataclass(frozen=True)
class Question:
    """One fact to be given."""

    path: str
    label: str
    says: str
    unit: str
    kind: str
    answers: tuple[tuple[str, str], ...]
    value: str
    default: str
    required: bool
    matters: bool
    kept: Kept | None
    how: str
    sensitive: bool
    remarks: tuple[Remark, ...] = ()

    @property
    def anchor(self) -> str:
        """Its id on the page."""
        return anchor(self.path)

    @property
    def chosen(self) -> frozenset[str]:
        """The answers of a list that are given."""
        return frozenset(self.value.splitlines())


@dataclass(frozen=True)
class Remark:
    """A finding or problem that leads to this fact."""

    severity: str
    text: str
    mend: str


@dataclass(frozen=True)
class Entry:
    """One entry of a list: where it is filled in, and in a few words what it is."""

    path: str
    name: str
    says: str
    key: str
    open_remarks: int


@dataclass(frozen=True)
class Entries:
    """A list of groups: children, assets, holidays."""

    path: str
    label: str
    says: str
    keyed: bool
    matters: bool
    entries: tuple[Entry, ...]
    columns: tuple[str, ...]
    first: Question | None = None


@dataclass(frozen=True)
class Group:
    """Questions that belong together."""

    path: str
    label: str
    says: str
    parts: tuple[Question | Group | Entries, ...]
    matters: bool
    depth: int

    def questions(self) -> Iterator[Question]:
        """Every question of it, in order."""
        for part in self.parts:
            if isinstance(part, Question):
                yield part
            elif isinstance(part, Group):
                yield from part.questions()

    @property
    def hidden(self) -> int:
        """How many questions of it do not matter now."""
        return sum(not q.matters for q in self.questions())


@dataclass(frozen=True)
class Topic:
    """One page of the facts: a top-level part of them."""

    path: str
    label: str
    given: int
    stops: int


@dataclass(frozen=True)
class Sight:
    """What the present paper, the findings and the problems look at."""

    read: frozenset[str]
    blanks: frozenset[str]
    remarks: Mapping[str, tuple[Remark, ...]] = field(default_factory=dict)

    def looks_at(self, path: str) -> bool:
        """Whether a rule, a blank or a remark leads to exactly this place."""
        return path in self.read or path in self.blanks or path in self.remarks


def anchor(path: str) -> str:
    """The id of the field of a fact on a page."""
    return "q-" + path.replace(".", "--")


def called(case: OpenCase, path: str) -> str:
    """What a person calls the place at a path: the title of a fact, the name of an entry."""
    group = path.rpartition(".")[0]
    if not group:
        return field_at(path).title
    shape = field_at(group).shape
    if shape.form in ("map", "list"):
        return _entry_name(case, path)[0]
    return field_at(path).title


_NAMING = ("label", "title", "name", "creditor")
"""The facts by which an entry is called, if one of them is given, before its short name."""


def _entry_name(case: OpenCase, path: str) -> tuple[str, str]:
    """What an entry is called, and the fact that says so ("" if it is called by its short name or number).

    An entry of a map has one of the naming facts, or its short name; one of a list has its first fact, or its number.
    """
    group, _, key = path.rpartition(".")
    shape = field_at(group).shape
    value = case.value(path)
    keyed = shape.form == "map"
    record = shape.item.record if shape.item is not None else None
    if isinstance(value, dict) and record is not None:
        for name in (*_NAMING, *(() if keyed else fields_of(record))):
            said = _said(name, value.get(name), record)
            if said:
                return said[:1].upper() + said[1:], name
    return words(key) if keyed else str(int(key) + 1) if key.isdecimal() else key, ""


def _said(name: str, value: Any, record: type[Record]) -> str:
    """A single fact, or a name, in a few words; "" for anything else."""
    fact = fields_of(record).get(name)
    if isinstance(value, dict) and name == "name":
        return " ".join(str(part) for part in value.values() if isinstance(part, str))
    if not isinstance(value, str) or fact is None or fact.shape.form != "value":
        return ""
    if fact.shape.choices:
        shown = answer_words(value, record)
        return shown if value in ANSWERS or not value.islower() else shown[:1].lower() + shown[1:]
    return f"{value} {fact.unit}" if fact.unit and value[-1:].isdigit() else value


def way_to(case: OpenCase, path: str) -> str:
    """A path in words: the names of all that it leads through."""
    try:
        parts = path.split(".")
        return " › ".join(called(case, ".".join(parts[: n + 1])) for n in range(len(parts)))
    except UnknownPathError:
        return path


def sight(case: OpenCase) -> Sight:
    """Gather what the paper of a case looks at now."""
    remarks: dict[str, list[Remark]] = {}
    read: set[str] = set()
    blanks: set[str] = set()
    for problem in case.problems:
        remarks.setdefault(problem.path, []).append(Remark("stop", problem.what, problem.mend))
    drafted = case.drafted
    if drafted is not None:
        for looked in [c.read for c in drafted.selection.chosen] + [c.read for c in drafted.selection.left_out]:
            read.update(path for path in looked if not path.startswith("figures"))
        for section in drafted.agreement.sections:
            for block in walk(section.blocks):
                blanks.update(piece.source for piece in inlines(block) if isinstance(piece, Blank))
        if not case.problems:
            for finding in drafted.findings:
                if finding.path:
                    remarks.setdefault(finding.path, []).append(Remark(finding.severity, finding.message, finding.mend))
    return Sight(frozenset(read), frozenset(blanks), {path: tuple(found) for path, found in remarks.items()})


def topics(case: OpenCase, seen: Sight) -> tuple[Topic, ...]:
    """The pages of the facts in the order of the models, which is that of a first talk with the client."""
    found = []
    for name, fact in fields_of(_root()).items():
        stops = sum(
            sum(r.severity == "stop" for r in remarks)
            for path, remarks in seen.remarks.items()
            if path == name or path.startswith(f"{name}.")
        )
        found.append(Topic(name, fact.title, _count(case.tree.get(name)), stops))
    return tuple(found)


def needed(case: OpenCase) -> tuple[tuple[str, str], ...]:
    """The facts without which nothing can be drafted and that are not given: path and meaning."""
    return tuple(_needed(case, ROOT, ""))


def _needed(case: OpenCase, shape: Shape, path: str) -> Iterator[tuple[str, str]]:
    if shape.record is None:
        return
    for name, fact in fields_of(shape.record).items():
        if fact.required:
            at = f"{path}.{name}" if path else name
            if fact.shape.record is not None:
                yield from _needed(case, fact.shape, at)
            elif case.value(at) is None:
                yield at, f"{field_at(at.split('.')[0]).title}: {fact.says}"


def page(case: OpenCase, path: str, seen: Sight) -> Group | Entries | Question:
    """The questions of one place of the facts.

    Raises:
        UnknownPathError: no fact has this path.
    """
    return _Asking(case, seen).part(path, field_at(path), 0)


def _root() -> type[Record]:
    assert ROOT.record is not None
    return ROOT.record


def _count(value: Any) -> int:
    if isinstance(value, dict):
        return sum(_count(one) for one in value.values())
    if isinstance(value, list):
        return sum(_count(one) for one in value)
    return 0 if value is None else 1


class _Asking:
    """Builds the questions of one page."""

    def __init__(self, case: OpenCase, seen: Sight) -> None:
        self.case = case
        self.seen = seen

    def part(self, path: str, fact: FactField, depth: int) -> Question | Group | Entries:
        shape = fact.shape
        if shape.record is not None:
            return self.group(path, fact, depth)
        if shape.form in ("map", "list") and shape.item is not None and shape.item.form != "value":
            return self.entries(path, fact)
        return self.question(path, fact)

    def group(self, path: str, fact: FactField, depth: int) -> Group:
        assert fact.shape.record is not None
        parts = tuple(
            self.part(f"{path}.{name}", inner, depth + 1) for name, inner in fields_of(fact.shape.record).items()
        )
        return Group(
            path,
            called(self.case, path),
            fact.says,
            parts,
            depth == 0 or any(p.matters for p in parts),
            depth,
        )

    def entries(self, path: str, fact: FactField) -> Entries:
        value = self.case.value(path)
        keyed = fact.shape.form == "map"
        items: list[tuple[str, Any]] = []
        if isinstance(value, dict):
            items = list(value.items())
        elif isinstance(value, list):
            items = [(str(n), one) for n, one in enumerate(value)]
        counted: dict[str, int] = {}
        for at, remarks in self.seen.remarks.items():
            if at.startswith(f"{path}."):
                key = at[len(path) + 1 :].split(".")[0]
                counted[key] = counted.get(key, 0) + sum(r.severity == "stop" for r in remarks)
        entries = tuple(self.entry(path, key, one, keyed, counted.get(key, 0)) for key, one in items)
        matters = bool(entries) or "." not in path or self._matters(path)
        first = None if keyed else self._first(path, fact.shape, len(entries))
        columns: tuple[str, ...] = ("Short name",) if keyed else ()
        if fact.shape.item is not None and fact.shape.item.record is not None:
            inner = fields_of(fact.shape.item.record)
            columns += tuple(one.title for one in inner.values() if one.shape.form == "value")
        return Entries(path, fact.title, fact.says, keyed, matters, entries, columns, first)

    def entry(self, path: str, key: str, value: Any, keyed: bool, open_remarks: int) -> Entry:
        """One line of a list."""
        at = f"{path}.{key}"
        name, said_by = _entry_name(self.case, at)
        shape = field_at(path).shape
        says = str(value) if isinstance(value, str) else ""
        if isinstance(value, dict) and shape.item is not None and shape.item.record is not None:
            record = shape.item.record
            said = [_said(one, typed, record) for one, typed in value.items() if one != said_by]
            says = ", ".join([one for one in said if one][:3])
        return Entry(at, name, says, key if keyed and said_by else "", open_remarks)

    def _first(self, path: str, shape: Shape, count: int) -> Question | None:
        """The question that a new entry of a list begins with: a list holds no entry without a fact."""
        if shape.item is None or shape.item.record is None:
            return None
        inner = fields_of(shape.item.record)
        simple = [(n, f) for n, f in inner.items() if f.shape.form == "value"]
        name, fact = next(((n, f) for n, f in simple if f.required), simple[0])
        return self.question(f"{path}.{count}.{name}", fact)

    def question(self, path: str, fact: FactField) -> Question:
        shape = fact.shape
        item = shape.item if shape.form == "list" and shape.item is not None else shape
        record = _record_of(path)
        answers = tuple((one, answer_words(one, record)) for one in item.choices)
        if item.reader == "yes_no":
            answers = (("yes", "Yes"), ("no", "No"))
        value = self.case.shown(path)
        kind = _kind(shape, item, value)
        default = fact.default
        written = (
            ""
            if default is None or default == ()
            else ("yes" if default else "no")
            if isinstance(default, bool)
            else str(default)
        )
        return Question(
            path,
            fact.title,
            fact.says,
            fact.unit,
            kind,
            answers,
            _as_answer(value) if item.reader == "yes_no" else value,
            answer_words(written, record) if answers else written,
            fact.required,
            fact.required or value != "" or self._matters(path),
            self.case.kept(path),
            item.how_to_write,
            fact.privacy in ("C", "D"),
            self.seen.remarks.get(path, ()),
        )

    def _matters(self, path: str) -> bool:
        """Whether the paper looks at this fact, or at a group around it that is not there yet."""
        if self.seen.looks_at(path):
            return True
        group = path.rpartition(".")[0]
        while "." in group:
            if self.case.value(group) is not None:
                return False
            if group in self.seen.read:
                return True
            group = group.rpartition(".")[0]
        return False


def _kind(shape: Shape, item: Shape, value: str) -> str:
    if shape.form == "list":
        return "marks" if item.choices else "lines"
    if item.choices or item.reader == "yes_no":
        return "choice"
    if item.reader == "day":
        return "day"
    if item.reader == "text":
        return "long" if len(value) > 60 or "\n" in value else "text"
    return "number" if item.reader in ("money", "whole", "percent", "quantity") else "text"


def _as_answer(value: str) -> str:
    lower = value.strip().lower()
    return "yes" if lower in ("yes", "true") else "no" if lower in ("no", "false") else value


def _record_of(path: str) -> type[Record] | None:
    group = path.rpartition(".")[0]
    return field_at(group).shape.record if group else None
