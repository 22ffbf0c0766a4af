"""A firm's own clause in place of one of ours: does it still answer every topic of the court forms that ours answers?

If it does not, a form item that pointed to the old clause has no paragraph any more, and nobody would notice until the
packet is filled in.
"""

from __future__ import annotations

from dataclasses import dataclass

from msadraft.library.clause import Clause
from msadraft.library.load import Library


@dataclass(frozen=True, slots=True)
class Lost:
    """A topic that a replaced clause answered and the clause in its place does not."""

    clause: str
    file: str
    topic: str

    def __str__(self) -> str:
        return (
            f"{self.file}: {self.clause} no longer answers {self.topic!r}, which the clause that it replaces answers; "
            f"add it to `answers:`, or answer it in another clause"
        )


def topics_of(clause: Clause) -> tuple[str, ...]:
    """The topics that a clause answers, without the labels of single paragraphs."""
    return tuple(dict.fromkeys(entry.rpartition(":")[2].strip() for entry in clause.answers))


def lost_topics(library: Library) -> tuple[Lost, ...]:
    """Give every topic that is lost by a replacement and that no clause added by the firm answers in its stead."""
    added = {topic for name in library.added for topic in topics_of(library.clauses[name])}
    found = []
    for name, original in library.originals.items():
        clause = library.clauses[name]
        kept = set(topics_of(clause)) | added
        found += [Lost(name, clause.file, topic) for topic in topics_of(original) if topic not in kept]
    return tuple(found)


def replacement_report(library: Library) -> tuple[str, ...]:
    """Say which clauses the firm's folders replace and add, and what is lost by it; a line each."""
    lines = [
        f"replaced by your own clause: {name} ({library.clauses[name].file})"
        for name in dict.fromkeys(library.replaced)
    ]
    lines += [f"added by you: {name} ({library.clauses[name].file})" for name in library.added]
    return (*lines, *(f"warning: {lost}" for lost in lost_topics(library)))
