"""Take only some differences of an edited document in: which there are, and the order of paragraphs without the others."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from msadraft.agreement.negotiated import Entry, Inserted
from msadraft.rounds.intake.report import Leftover, TakenIn
from msadraft.rounds.intake.structure import Line


@dataclass(frozen=True, slots=True)
class Piece:
    """One place of a difference: where, what stood there, and what stands there now. "" is: nothing."""

    where: str
    before: str
    after: str
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Difference:
    """One difference to decide. `key` names it as long as the document and the draft are the same."""

    key: str
    kind: str
    pieces: tuple[Piece, ...]


KINDS = {
    "fact": "Changed facts",
    "words": "Negotiated wording",
    "new": "New paragraphs",
    "out": "Taken out",
    "place": "Moved",
}


def differences(taken: TakenIn) -> tuple[Difference, ...]:
    """Give what can be taken in or left, in the order of the report. What is left over is not among it."""
    found: dict[str, list[Piece]] = {}

    def add(kind: str, name: str, piece: Piece) -> None:
        found.setdefault(f"{kind} {name}", []).append(piece)

    for f in taken.facts:
        add("fact", f.path, Piece(", ".join(f.places), f.old, f.new, f.remark))
    for r in taken.reworded:
        add("words", r.id, Piece(r.number, r.before, r.after, r.remark))
    for n in taken.inserted:
        add("new", n.id, Piece(f"after {n.after}", "", n.text, n.remark))
    for g in taken.removed:
        add("out", g.id, Piece(g.number, g.text, "", g.remark))
    for m in taken.moved:
        add("place", m.id, Piece(m.before, m.text, m.text, m.after))
    return tuple(Difference(key, key.partition(" ")[0], tuple(pieces)) for key, pieces in found.items())


def named(leave: Collection[str], kind: str) -> set[str]:
    """The names of the differences of one kind among keys."""
    return {name for one, _, name in (key.partition(" ") for key in leave) if one == kind}


def order_left(
    lines: Sequence[Line], drafted: Sequence[Entry], leave: Collection[str], moved: Collection[str]
) -> list[Line]:
    """Give the order of an edited document as if some of its changes of order had not been made.

    Args:
        lines: the order of the document.
        drafted: the nodes in the order of the draft.
        leave: keys of the differences that are not taken in.
        moved: the ids of all nodes that the document moved.
    """
    fresh, back, still = named(leave, "new"), named(leave, "out"), named(leave, "place")
    out = [line for line in lines if line.id not in fresh]
    level_of = {entry.id: max(0, entry.depth + 1) for entry in drafted}
    out = [replace(line, level=level_of[line.id]) if line.id in still and line.id in level_of else line for line in out]
    runs = _lift(out, still)
    elsewhere = set(moved) - still
    for n, entry in enumerate(drafted):
        if entry.id in runs:
            run = runs[entry.id]
        elif entry.id in back:
            run = [Line(entry.id, level_of[entry.id], entry.depth == -1)]
        else:
            continue
        out[(at := _place(out, drafted, n, elsewhere)) : at] = run
    return out


def _lift(out: list[Line], ids: Collection[str]) -> dict[str, list[Line]]:
    """Take lines out that go back to their places; a section takes its paragraphs along."""
    runs: dict[str, list[Line]] = {}
    for line in [line for line in out if line.id in ids]:
        start = out.index(line)
        end = start + 1
        while line.section and end < len(out) and not out[end].section:
            end += 1
        runs[line.id] = out[start:end]
        del out[start:end]
    return runs


def _place(out: Sequence[Line], drafted: Sequence[Entry], n: int, elsewhere: Collection[str]) -> int:
    """Where a node of the draft goes: behind the nearest one before it that is still where it was."""
    places = {line.id: at for at, line in enumerate(out)}
    section = drafted[n].depth == -1
    for entry in reversed(drafted[:n]):
        if entry.id not in places or entry.id in elsewhere or (section and entry.depth != -1):
            continue
        at = places[entry.id] + 1
        while section and at < len(out) and not out[at].section:
            at += 1
        return at
    return 0


def rows_left(rows: Mapping[str, Inserted], leave: Collection[str]) -> dict[str, Inserted]:
    """New table rows without those that are left; a row behind such a one follows what stood before it."""
    gone = named(leave, "new")

    def anchor(after: str) -> str:
        while after in gone and after in rows:
            after = rows[after].after
        return after

    return {name: replace(row, after=anchor(row.after)) for name, row in rows.items() if name not in gone}


def keep_only(taken: TakenIn, leave: Collection[str]) -> None:
    """Move the differences that were not taken from their lists to what is left over, so that none is lost."""
    taken.leftovers += _as_leftovers(one for one in differences(taken) if one.key in leave)
    taken.facts = [f for f in taken.facts if f.path not in named(leave, "fact")]
    taken.reworded = [r for r in taken.reworded if r.id not in named(leave, "words")]
    taken.inserted = [n for n in taken.inserted if n.id not in named(leave, "new")]
    taken.removed = [g for g in taken.removed if g.id not in named(leave, "out")]
    taken.moved = [m for m in taken.moved if m.id not in named(leave, "place")]


def _as_leftovers(left: Iterable[Difference]) -> Iterable[Leftover]:
    for one in left:
        for piece in one.pieces:
            if one.kind == "place":
                yield Leftover(piece.where, f"not taken in, by choice: moved, {piece.remark}", piece.after)
            else:
                words = f"{piece.before or '(nothing)'} → {piece.after or '(nothing)'}"
                yield Leftover(piece.where, f"not taken in, by choice: {KINDS[one.kind].lower()}", words)
