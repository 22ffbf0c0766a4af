"""What a review rule is, and how the rules are run.

A rule looks at the facts, the figures and the drafted tree, and yields a `Hit` for each place that is wrong.
It changes nothing. `stop` means: no signing copy while it is open. `warn`: a person should record a reason.
`note`: worth knowing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from msadraft.agreement.numbering import Numbering
from msadraft.facts.model import Facts
from msadraft.figures.compute import Figures
from msadraft.figures.ledger import Line
from msadraft.library.select import Selection
from msadraft.review.own_words import own_words
from msadraft.tree import Agreement, Blank, Block, Inline, Reference, Text, inlines, walk

Severity = Literal["stop", "warn", "note"]
ORDER: dict[Severity, int] = {"stop": 0, "warn": 1, "note": 2}


@dataclass(frozen=True)
class Review:
    """What a rule may look at."""

    facts: Facts
    figures: Figures
    selection: Selection
    agreement: Agreement
    numbering: Numbering

    @cached_property
    def present(self) -> frozenset[str]:
        """Ids of the clauses in the paper (with and without the record's key)."""
        return frozenset(i for c in self.selection.chosen for i in (c.id, c.clause.id))

    @cached_property
    def blocks(self) -> tuple[Block, ...]:
        """Every block of the paper."""
        return tuple(block for section in self.agreement.sections for block in walk(section.blocks))

    @cached_property
    def pieces(self) -> tuple[tuple[Block, Inline], ...]:
        """Every piece of text, blank and reference of the blocks, each with its block."""
        return tuple((block, piece) for block in self.blocks for piece in inlines(block))

    @cached_property
    def own_words(self) -> tuple[tuple[str, str], ...]:
        """Every text of the facts with its path; the notes on the negotiation never print."""
        return tuple(own_words(self.facts))

    @cached_property
    def asset_lines(self) -> Mapping[str, Line]:
        """The line of the ledger for each asset in it."""
        return {line.key: line for line in self.figures.ledger.lines if line.kind == "asset"}

    @cached_property
    def _said(self) -> dict[str, str]:
        return {}

    def text_of(self, clause_id: str) -> str:
        """The text of all paragraphs of one clause, blanks as lines, references as their numbers."""
        return "\n".join(self.words(block) for block in self.blocks if block.clause == clause_id)

    def words(self, block: Block) -> str:
        """The text of one block."""
        if block.id not in self._said:
            self._said[block.id] = "".join(self._word(piece) for piece in inlines(block))
        return self._said[block.id]

    def _word(self, piece: Text | Blank | Reference) -> str:
        if isinstance(piece, Text):
            return piece.text
        if isinstance(piece, Blank):
            return "____"
        return self.numbering[piece.target].full if piece.target in self.numbering else "?"


@dataclass(frozen=True, slots=True)
class Hit:
    """One place where a rule strikes: the path of the fact to mend, and what is special about this one."""

    path: str
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """One check. `message` is plain words for the user; `mend` says what to do about it."""

    id: str
    severity: Severity
    message: str
    why: str
    source: str
    mend: str
    find: Callable[[Review], Iterable[Hit]]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found, with its place in the facts."""

    id: str
    severity: Severity
    path: str
    message: str
    why: str
    source: str
    mend: str


RULES: dict[str, Rule] = {}


def rule(
    rule_id: str, severity: Severity, *, message: str, why: str, source: str, mend: str
) -> Callable[[Callable[[Review], Iterable[Hit]]], Callable[[Review], Iterable[Hit]]]:
    """Register a rule. The decorated function yields its hits."""

    def keep(find: Callable[[Review], Iterable[Hit]]) -> Callable[[Review], Iterable[Hit]]:
        if rule_id in RULES:
            raise ValueError(f"two rules are called {rule_id}")
        RULES[rule_id] = Rule(rule_id, severity, message, why, source, mend, find)
        return find

    return keep


def run(review: Review, rules: Iterable[Rule]) -> tuple[Finding, ...]:
    """Run the rules. Findings come sorted: stop before warn before note, then by rule and place."""
    found = [
        Finding(r.id, r.severity, hit.path, f"{r.message} {hit.detail}".strip(), r.why, r.source, r.mend)
        for r in rules
        for hit in r.find(review)
    ]
    return tuple(sorted(dict.fromkeys(found), key=lambda f: (ORDER[f.severity], f.id, f.path, f.message)))
