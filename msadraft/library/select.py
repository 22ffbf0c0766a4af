"""Choose the clauses of one case, and be able to say why each one is in or out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from msadraft.facts.model import Facts
from msadraft.facts.view import Seen, View
from msadraft.figures.compute import Figures
from msadraft.library.clause import Clause
from msadraft.library.environment import WordingError, holds, namespace, records_of
from msadraft.library.load import Library


@dataclass(frozen=True)
class Chosen:
    """One clause instance that is in the paper. `item` is its record when the clause repeats over records."""

    clause: Clause
    section: str
    item: View | None
    read: dict[str, Any]

    @property
    def id(self) -> str:
        """The clause's id, with the record's key where it repeats."""
        return f"{self.clause.id}:{self.item.key}" if self.item is not None else self.clause.id


@dataclass(frozen=True)
class LeftOut:
    """A clause that is not in the paper, and the facts that its condition read."""

    clause: Clause
    read: dict[str, Any]


@dataclass(frozen=True)
class Selection:
    """What was chosen, in the order of the outline, and what was left out."""

    chosen: tuple[Chosen, ...]
    left_out: tuple[LeftOut, ...]
    names: dict[str, Any] = field(repr=False)
    seen: Seen = field(repr=False)


class CaseNames:
    """The names that conditions and wording of one case can use, over one shared record of what was read."""

    def __init__(self, facts: Facts, figures: Figures) -> None:
        """Open the facts and figures of one case."""
        self.facts, self.figures, self.seen = facts, figures, Seen()
        self.present: set[str] = set()
        self.view = View(facts, "", self.seen, self.find)
        self.names = namespace(self.view, View(figures, "figures", self.seen, self.find), self.has)

    def find(self, path: str) -> Any:
        """The record at a path like `children.wren`."""
        group, _, key = path.partition(".")
        return getattr(self.facts, group).get(key)

    def has(self, clause_id: str, item: Any = None) -> bool:
        """Whether a clause is in the paper (for one record, where it repeats)."""
        wanted = (
            f"{clause_id}:{item.key}"
            if isinstance(item, View)
            else clause_id
            if item is None
            else f"{clause_id}:{item}"
        )
        return wanted in self.present

    def reading(self, work: Callable[[], Any]) -> tuple[Any, dict[str, Any]]:
        """Do `work` and give its result with the facts that it read."""
        kept, self.seen.values = self.seen.values, {}
        try:
            return work(), self.seen.values
        finally:
            self.seen.values = kept


def select(library: Library, facts: Facts, figures: Figures) -> Selection:
    """Decide every clause of the outline for one case.

    Raises:
        WordingError: a condition cannot be decided; the message names the clause and its file.
    """
    case = CaseNames(facts, figures)
    chosen: list[Chosen] = []
    left_out: list[LeftOut] = []
    for section in library.sections:
        for clause_id in section.clauses:
            clause = library.clauses[clause_id]
            try:
                found, read = case.reading(lambda clause=clause: _instances(clause, case))  # type: ignore[misc]
            except WordingError as error:
                raise WordingError(f"{clause.file}: {error}") from error
            chosen += [Chosen(clause, section.section, item, read) for item in found]
            if not found:
                left_out.append(LeftOut(clause, read))
    case.present |= {c.id for c in chosen} | {c.clause.id for c in chosen}
    return Selection(tuple(chosen), tuple(left_out), case.names, case.seen)


def _instances(clause: Clause, case: CaseNames) -> list[View | None]:
    if not clause.for_each:
        return [None] if holds(clause.when, case.names) else []
    items = records_of(clause.item_expression, case.names)
    return [item for item in items if holds(clause.when, {**case.names, clause.item_name: item})]
