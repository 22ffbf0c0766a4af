"""What was found in an edited document: the report, as data and as lines for a terminal."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from msadraft.rounds.intake.read import Mode, Tracked
from msadraft.writers.data import plain_data, write_json

_MOST_FOLLOWS = 12
_WIDE = 110


@dataclass(frozen=True, slots=True)
class Follow:
    """Another place that changes with a fact: what it says now and what it will say. "" is: not there."""

    id: str
    number: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class FactChange:
    """A fact that the document changes. `places` are the numbers of the paragraphs where it was edited."""

    path: str
    line: int
    old: str
    new: str
    written: str
    places: tuple[str, ...]
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Rewording:
    """Negotiated wording of one node."""

    id: str
    number: str
    before: str
    after: str
    remark: str = ""


@dataclass(frozen=True, slots=True)
class NewText:
    """A new paragraph and its place."""

    id: str
    number: str
    after: str
    text: str
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Gone:
    """A node that was taken out."""

    id: str
    number: str
    text: str
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Shift:
    """A node that was moved, or set at another level."""

    id: str
    before: str
    after: str
    text: str


@dataclass(frozen=True, slots=True)
class Leftover:
    """A difference that cannot be taken in by itself: where, what it is, and the words concerned."""

    where: str
    what: str
    text: str


@dataclass(frozen=True, slots=True)
class Remarked:
    """A comment: by whom, at which paragraph, what it says."""

    id: str
    number: str
    author: str
    date: str
    text: str


@dataclass
class TakenIn:
    """Everything that was found. `case_text` and `wording_text` are the files as they would be saved; None: unchanged."""

    mark: str
    mode: Mode
    facts: list[FactChange] = field(default_factory=list)
    follows: list[Follow] = field(default_factory=list)
    reworded: list[Rewording] = field(default_factory=list)
    inserted: list[NewText] = field(default_factory=list)
    removed: list[Gone] = field(default_factory=list)
    moved: list[Shift] = field(default_factory=list)
    leftovers: list[Leftover] = field(default_factory=list)
    comments: list[Remarked] = field(default_factory=list)
    tracked: list[Tracked] = field(default_factory=list)
    case_text: str | None = None
    wording_text: str | None = None

    @property
    def edits(self) -> int:
        """How many differences were found."""
        return sum(
            len(part) for part in (self.facts, self.reworded, self.inserted, self.removed, self.moved, self.leftovers)
        )


def report_data(taken: TakenIn) -> dict[str, Any]:
    """Give the report as plain data."""
    names = ("facts", "follows", "reworded", "inserted", "removed", "moved", "leftovers", "comments", "tracked")
    return {
        "mark": taken.mark,
        "changes": taken.mode,
        "edits": taken.edits,
        **{name: plain_data(getattr(taken, name)) for name in names},
    }


def screen_lines(taken: TakenIn, only_tracked: bool = False) -> list[str]:
    """Give the report as lines. `only_tracked` lists the tracked changes and the comments, with their places."""
    if only_tracked:
        out = [f"{_counted(len(taken.tracked), 'tracked change')} in the document edited from {taken.mark}:"]
        out += [f"  {t.kind} by {t.author or 'unknown'} {t.date}: {t.text}  in: {t.near}" for t in taken.tracked]
        _section(out, "Comments", [f"{c.number or 'document'}, {c.author}: {c.text}" for c in taken.comments])
        return out
    out = [f"Edited from {taken.mark}: {_counted(taken.edits, 'difference')}."]
    if taken.tracked:
        done = "accepted" if taken.mode == "accept" else "rejected"
        out.append(f"{_counted(len(taken.tracked), 'tracked change')}, taken as {done}:")
        out += [f"  {t.kind} by {t.author or 'unknown'} {t.date}: {_short(t.text or t.near)}" for t in taken.tracked]
    _section(
        out, "Changed facts",
        [
            f"{f.path} (line {f.line}): {f.old or '(blank)'} → {f.new}  in {', '.join(f.places)}" + (f"  ({f.remark})" if f.remark else "")
            for f in taken.facts
        ],
    )  # fmt: skip
    follows = [
        f"{f.number}: {_short(f.before) or '(not there)'} → {_short(f.after) or '(gone)'}" for f in taken.follows
    ]
    if len(follows) > _MOST_FOLLOWS:
        follows = [*follows[:_MOST_FOLLOWS], f"… and {len(follows) - _MOST_FOLLOWS} more (see --json)"]
    _section(out, "These places follow the changed facts", follows)
    for r in taken.reworded:
        if r is taken.reworded[0]:
            out.append("Negotiated wording:")
        out += [
            f"  {r.number} ({r.id})" + (f"  {r.remark}" if r.remark else ""),
            f"    - {r.before}",
            f"    + {r.after}",
        ]
    _section(
        out, "New paragraphs",
        [f"after {n.after}: {n.text}" + (f"  ({n.remark})" if n.remark else "") for n in taken.inserted],
    )  # fmt: skip
    _section(
        out, "Taken out",
        [f"{g.number} ({g.id}): {_short(g.text)}" + (f"  ({g.remark})" if g.remark else "") for g in taken.removed],
    )  # fmt: skip
    _section(out, "Moved", [f"{m.before} ({m.id}) → {m.after}: {_short(m.text)}" for m in taken.moved])
    _section(out, "Comments", [f"{c.number or 'document'}, {c.author}: {c.text}" for c in taken.comments])
    _section(
        out, "Left over: take these over by hand", [f"{one.where}: {one.what}: {one.text}" for one in taken.leftovers]
    )
    return out


def report_files(taken: TakenIn, content: bytes) -> dict[str, bytes]:
    """Give the report as files, named after the round and the bytes of the document, never after its own name."""
    label = taken.mark.partition(" · ")[0].lower().replace(" ", "-")
    safe = "".join(sign for sign in label if sign.isalnum() or sign == "-") or "document"
    name = f"{safe}-{hashlib.sha256(content).hexdigest()[:8]}"
    lines = "\n".join(screen_lines(taken)) + "\n"
    return {f"{name}.txt": lines.encode(), f"{name}.json": write_json(report_data(taken)).encode()}


def _section(out: list[str], title: str, lines: Sequence[str]) -> None:
    if lines:
        out.append(f"{title}:")
        out += [f"  {line}" for line in lines]


def _short(text: str) -> str:
    return text if len(text) <= _WIDE else f"{text[: _WIDE - 2].rsplit(' ', 1)[0]} …"


def _counted(n: int, word: str) -> str:
    return f"{n} {word}{'' if n == 1 else 's'}"
