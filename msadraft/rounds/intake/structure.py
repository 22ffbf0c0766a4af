"""Say how the order of the paragraphs in an edited document differs from the library's, as negotiated wording.

The result is worked out against the library's own tree, so that what was negotiated in earlier rounds and what came
now are one list: taken out, moved, new, set at another level.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from msadraft.agreement.negotiated import (
    Entry,
    Inserted,
    Moved,
    Negotiated,
    Removed,
    flatten,
    place,
    wording_hash,
)
from msadraft.tree import Agreement, Paragraph, Section


@dataclass(frozen=True, slots=True)
class Line:
    """One node as the edited document orders it: an id of the draft, or of a new node. Level 0 is a section's."""

    id: str
    level: int
    section: bool = False


def stable(positions: Sequence[int]) -> set[int]:
    """Give the places in a list of positions that form its longest rising run: what did not move."""
    tails: list[int] = []
    where: list[int] = []
    before: list[int] = [-1] * len(positions)
    for n, value in enumerate(positions):
        at = bisect_left(tails, value)
        before[n] = where[at - 1] if at else -1
        if at == len(tails):
            tails.append(value)
            where.append(n)
        else:
            tails[at] = value
            where[at] = n
    kept: set[int] = set()
    n = where[-1] if where else -1
    while n >= 0:
        kept.add(n)
        n = before[n]
    return kept


def structure(
    library: Agreement,
    lines: Sequence[Line],
    known: frozenset[str],
    new: Mapping[str, Inserted],
    old: Negotiated,
    round_number: int,
    rows: Mapping[str, Inserted],
    rows_removed: Mapping[str, str],
) -> Negotiated:
    """Give `old` with the order of `lines`.

    Args:
        library: the tree of the library's own wording that the result will be put over.
        lines: the nodes in the order of the edited document.
        known: ids that the draft had. A node of `library` that is not among them came with a changed fact and stays.
        new: the new nodes of `lines`; their places are worked out here.
        old: the wording negotiated so far.
        round_number: the round of the edited document.
        rows: new table rows. `rows_removed` are the rows taken out, with the hash of their wording.
    """
    entries = flatten(library)
    nodes = {entry.id: entry for entry in entries}
    order = _with_newcomers(entries, lines, known)
    wanted = [line.id for line in order]
    here = set(wanted)
    removed = {k: v for k, v in old.removed.items() if k not in nodes}  # rows, and clauses that are out for now
    for entry in entries:
        if entry.id not in here:
            before = old.removed.get(entry.id)
            removed[entry.id] = before or Removed(wording_hash(entry.node), round_number)
    for row_id, digest in rows_removed.items():
        removed[row_id] = old.removed.get(row_id) or Removed(digest, round_number)
    moved = _moves([e for e in entries if e.id in here], order, nodes)
    inserted: dict[str, Inserted] = {}
    for n, line in enumerate(order):
        if line.id in nodes:
            continue
        one = new.get(line.id) or old.inserted.get(line.id)
        if one is not None:
            level = line.level if one.kind in ("paragraph", "plain") else 0
            inserted[line.id] = replace(one, after=wanted[n - 1] if n else "", level=level)
    inserted.update({k: v for k, v in old.inserted.items() if v.kind == "row" and k not in rows_removed})
    for row_id in [k for k in removed if k in old.inserted]:
        del removed[row_id]
    inserted.update(rows)
    levels = {}
    for line in order:
        entry_here = nodes.get(line.id)
        if entry_here is not None and line.level and line.level != entry_here.depth + 1:
            levels[line.id] = line.level
    return replace(old, inserted=inserted, removed=removed, moved=tuple(moved), levels=levels)


def _with_newcomers(entries: list[Entry], lines: Sequence[Line], known: frozenset[str]) -> list[Line]:
    """The lines, without nodes that a changed fact has dropped, and with those that it has brought, in their place."""
    nodes = {entry.id for entry in entries}
    out = [line for line in lines if line.id in nodes or line.id not in known or line.id.startswith("negotiated.")]
    ids = {line.id for line in out}
    after = ""
    for entry in entries:
        if entry.id not in ids and entry.id not in known:
            at = next((n + 1 for n, line in enumerate(out) if line.id == after), 0)
            level = entry.depth + 1 if isinstance(entry.node, Paragraph) else 0
            out.insert(at, Line(entry.id, level, entry.depth == -1))
            ids.add(entry.id)
        if entry.id in ids:
            after = entry.id
    return out


def _moves(entries: list[Entry], order: Sequence[Line], nodes: Mapping[str, Entry]) -> list[Moved]:
    wanted = [line.id for line in order if line.id in nodes]
    sections = [i for i in wanted if isinstance(nodes[i].node, Section)]
    place_of = {e.id: n for n, e in enumerate(e for e in entries if e.depth == -1)}
    kept = stable([place_of[i] for i in sections])
    moved: list[Moved] = []
    for n, section in enumerate(sections):
        if n not in kept:
            moved.append(Moved(sections[n - 1] if n else "", (section,)))
    now = place([replace(e) for e in entries], Negotiated(moved=tuple(moved)), []) if moved else entries
    home: dict[str, tuple[str, int]] = {}
    section = ""
    for n, entry in enumerate(now):
        section = entry.id if entry.depth == -1 else section
        home[entry.id] = (section, n)
    groups: dict[str, list[str]] = {}
    section = ""
    for node_id in wanted:
        if nodes[node_id].depth == -1:
            section = node_id
        else:
            groups.setdefault(section, []).append(node_id)
    still: set[str] = set(sections)
    for section, ids in groups.items():
        own = [i for i in ids if home[i][0] == section]
        fixed = stable([home[i][1] for i in own])
        still.update(own[n] for n in fixed)
    run: list[str] = []
    after = ""
    before = ""
    for line in order:
        if line.id in nodes and line.id not in still:
            if not run:
                after = before
            run.append(line.id)
        elif run:
            moved.append(Moved(after, tuple(run)))
            run = []
        before = line.id
    if run:
        moved.append(Moved(after, tuple(run)))
    return moved
