"""Wording negotiated in one case: what it is, how `wording.yaml` holds it, and how it is put over the library's wording.

`wording.yaml` stands beside `case.yaml`:

    paragraphs:                         # other words for a paragraph, by its id
      "child_support.changes":
        replaces: "5d1c…"               # SHA-256 of the wording that these words replaced
        round: 2                        # the round whose document brought them
        heading: "Changes"              # a paragraph; an article or exhibit has only this
        text: "{child_support.payer} shall …"
      "property.table/asset:home":      # a row of a table: one text a cell. A table: `text` its caption, `cells` its header
        replaces: "…"
        cells: ["…", "…"]
    inserted:                           # new paragraphs; `after` names what stands before it ("" is the beginning)
      "negotiated.1f2e3d4c": {after: "child_support.changes", kind: paragraph, level: 1, text: "…", round: 2}
    removed:
      "child_support.security": {replaces: "…", round: 2}
    moved:                              # in one piece and this order; an article takes all of its paragraphs along
      - {after: "custody.swaps", ids: ["custody.travel"]}
    levels:                             # 1 to 3, where it is not the library's
      "custody.transport": 2
    comments:                           # kept for the review
      - {paragraph: "custody.swaps", author: "B. Example", text: "…", round: 2}

A text is literal, apart from braces: `{child_support.amount}` is the value of that fact as the replaced wording shows
it (`{child_support.amount#2}` the second time it shows it), so a later change of the fact still reaches it;
`{para custody.swaps}` is the number of that paragraph; `{b}…{/b}` is bold, `{i}…{/i}` italic; `{{` and `}}` are braces.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal

from msadraft.facts.problems import FactsError, Place, Problem, nearest_place
from msadraft.facts.written import quoted
from msadraft.facts.yaml_tree import read_tree
from msadraft.tree import (
    Agreement,
    Blank,
    Block,
    Inline,
    Paragraph,
    Plain,
    Reference,
    Row,
    Section,
    Table,
    Text,
    inlines,
    walk,
)

FILE_NAME = "wording.yaml"
MOST_BYTES = 2_000_000
CLAUSE = "negotiated"
Kind = Literal["article", "exhibit", "paragraph", "plain", "row"]
KINDS: tuple[Kind, ...] = ("article", "exhibit", "paragraph", "plain", "row")
_SLOT = re.compile(r"\{\{|\}\}|\{([^{}]+)\}|[{}]")
_HEAD = """\
# Negotiated wording of this case, by paragraph. `msadraft takein --apply` writes it; it may be edited by hand (comments
# are not kept). Texts are literal. {some.fact} is the value of that fact as the replaced wording shows it, {some.fact#2}
# the second time; {para ID} is a paragraph's number; {b}bold{/b}, {i}italic{/i}; {{ and }} are braces. `replaces` names
# the wording that was replaced: when that changes later, drafting says so and shows both texts.
"""


@dataclass(frozen=True, slots=True)
class Reworded:
    """Other words for one node. What the node does not have stays None: see the module's words."""

    replaces: str
    round: int = 0
    heading: str | None = None
    text: str | None = None
    cells: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class Inserted:
    """A new node and its place. `level` is 1 to 3 for a paragraph; for plain text it is that of the paragraph around it."""

    after: str
    kind: Kind = "paragraph"
    level: int = 0
    heading: str = ""
    text: str = ""
    cells: tuple[str, ...] = ()
    round: int = 0


@dataclass(frozen=True, slots=True)
class Removed:
    """A node that was taken out, and the wording it had."""

    replaces: str
    round: int = 0


@dataclass(frozen=True, slots=True)
class Moved:
    """Nodes that now stand in this order behind `after`."""

    after: str
    ids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Comment:
    """A remark that someone put into a document that came back."""

    paragraph: str
    author: str
    text: str
    round: int = 0


@dataclass(frozen=True)
class Negotiated:
    """All negotiated wording of a case. `source` is the text of the file it was read from."""

    reworded: Mapping[str, Reworded] = field(default_factory=dict)
    inserted: Mapping[str, Inserted] = field(default_factory=dict)
    removed: Mapping[str, Removed] = field(default_factory=dict)
    moved: tuple[Moved, ...] = ()
    levels: Mapping[str, int] = field(default_factory=dict)
    comments: tuple[Comment, ...] = ()
    source: str = ""

    def __bool__(self) -> bool:
        return bool(self.reworded or self.inserted or self.removed or self.moved or self.levels or self.comments)

    @property
    def digest(self) -> str:
        """SHA-256 of the file's text; "" without a file."""
        return hashlib.sha256(self.source.encode()).hexdigest() if self.source else ""


NOTHING = Negotiated()


@dataclass(frozen=True, slots=True)
class Conflict:
    """Negotiated wording that no longer fits what lies under it.

    `hash_now` is what `replaces` would have to say for the negotiated words to stand; "" if they have no place at all.
    """

    node: str
    why: str
    negotiated: str
    present: str
    hash_now: str = ""


# --- the tiny format of a text -------------------------------------------------------------------------------------


def slots(pieces: Iterable[Inline]) -> dict[str, list[Inline]]:
    """Give the values that some pieces show, by the path of their fact, in order."""
    found: dict[str, list[Inline]] = {}
    for piece in pieces:
        if isinstance(piece, Text | Blank) and piece.source:
            found.setdefault(piece.source, []).append(piece)
    return found


def write_text(pieces: Iterable[Inline], under: Mapping[str, Sequence[Inline]]) -> str:
    """Give pieces in the format of the file. A value that `under` does not show just so becomes literal text."""
    out: list[str] = []
    style = (False, False)
    for piece in pieces:
        wanted = (piece.bold, piece.italic) if isinstance(piece, Text) else (False, False)
        name = _slot_name(piece, under)
        if name:
            wanted = (False, False)
        out.append(_turn(style, wanted))
        style = wanted
        if name:
            out.append(name)
        elif isinstance(piece, Text):
            out.append(piece.text.replace("{", "{{").replace("}", "}}"))
        elif isinstance(piece, Reference):
            out.append(f"{{para {piece.target}}}")
        else:
            out.append("{blank}")
    out.append(_turn(style, (False, False)))
    return "".join(out)


def _turn(style: tuple[bool, bool], wanted: tuple[bool, bool]) -> str:
    if style == wanted:
        return ""
    ends = ("{/i}" if style[1] else "") + ("{/b}" if style[0] else "")
    return ends + ("{b}" if wanted[0] else "") + ("{i}" if wanted[1] else "")


def _slot_name(piece: Inline, under: Mapping[str, Sequence[Inline]]) -> str:
    if not isinstance(piece, Text | Blank) or not piece.source:
        return ""
    for n, shown in enumerate(under.get(piece.source, ()), 1):
        if shown == piece:
            return f"{{{piece.source}}}" if n == 1 else f"{{{piece.source}#{n}}}"
    return ""


def read_text(text: str, under: Mapping[str, Sequence[Inline]]) -> tuple[tuple[Inline, ...], tuple[str, ...]]:
    """Give the pieces of a text, and the slots that `under` has no value for (they become blanks)."""
    out: list[Inline] = []
    missing: list[str] = []
    bold = italic = False
    at = 0

    def literal(words: str) -> None:
        last = out[-1] if out else None
        # As in the library's own wording: a value that brings its full stop takes the place of the one after it.
        if words.startswith(".") and isinstance(last, Text) and last.source and last.text.endswith("."):
            words = words[1:]
        if not words:
            return
        if isinstance(last, Text) and not last.source and (last.bold, last.italic) == (bold, italic):
            out[-1] = replace(last, text=last.text + words)
        else:
            out.append(Text(words, "", bold, italic))

    for match in _SLOT.finditer(text):
        literal(text[at : match.start()])
        at = match.end()
        name = match[1]
        if name is None:
            literal(match[0][0])
        elif name in ("b", "/b"):
            bold = name == "b"
        elif name in ("i", "/i"):
            italic = name == "i"
        elif name.startswith("para "):
            out.append(Reference(name[5:].strip()))
        elif name == "blank":
            out.append(Blank(""))
        else:
            path, _, count = name.partition("#")
            n = int(count) if count.isdecimal() else 1
            shown = under.get(path, ())
            if 0 < n <= len(shown):
                out.append(shown[n - 1])
            else:
                missing.append(name)
                out.append(Blank(path))
    literal(text[at:])
    return tuple(out), tuple(missing)


def wording_hash(node: Section | Block | Row) -> str:
    """SHA-256 of a node's own words: values count by their paths, references by their targets, not by what they show."""
    parts = [_form(part) for part in parts_of(node)]
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def parts_of(node: Section | Block | Row) -> tuple[tuple[Inline, ...], ...]:
    """Give the texts of one node, one after another: heading and content, caption and header, cells."""
    match node:
        case Section():
            return (node.heading,)
        case Paragraph():
            return (node.heading, node.content)
        case Plain():
            return (node.content,)
        case Table():
            return (node.caption, *node.header)
        case Row():
            return node.cells
        case _:
            return tuple((piece,) for piece in inlines(node))


def _form(pieces: tuple[Inline, ...]) -> str:
    out = []
    for piece in pieces:
        if isinstance(piece, Text | Blank) and piece.source:
            out.append(f"{{{piece.source}}}")
        elif isinstance(piece, Reference):
            out.append(f"{{para {piece.target}}}")
        elif isinstance(piece, Text):
            out.append(piece.text)
        else:
            out.append("{blank}")
    # Whether a full stop follows a value depends on the value ("at noon." but "at 6:00 p.m.").
    return re.sub(r"(\{[^{}]+\})\.", r"\1", " ".join("".join(out).split()))


# --- the tree as a list, and back ----------------------------------------------------------------------------------


@dataclass(slots=True)
class Entry:
    """One node of the tree in reading order. `depth` is -1 for a section, else the level of what it stands in."""

    id: str
    depth: int
    node: Section | Block


def flatten(agreement: Agreement) -> list[Entry]:
    """Give the sections and blocks in reading order, each without what stands under it."""
    out: list[Entry] = []

    def add(blocks: tuple[Block, ...], depth: int) -> None:
        for block in blocks:
            if isinstance(block, Paragraph):
                out.append(Entry(block.id, depth, replace(block, children=()) if block.children else block))
                add(block.children, depth + 1)
            else:
                out.append(Entry(block.id, depth, block))

    for section in agreement.sections:
        out.append(Entry(section.id, -1, section))
        add(section.blocks, 0)
    return out


def rebuild(agreement: Agreement, entries: Sequence[Entry]) -> Agreement:
    """Build the tree again. A paragraph too deep for where it stands is lifted to the deepest level possible there."""
    sections: list[tuple[Section, list[Any]]] = []
    stack: list[tuple[int, list[Any]]] = []
    for entry in entries:
        node = entry.node
        if isinstance(node, Section):
            sections.append((node, []))
            stack = [(0, sections[-1][1])]
            continue
        if not sections:
            continue
        depth = max(0, entry.depth)
        while len(stack) > 1 and stack[-1][0] > depth:
            stack.pop()
        level, holder = stack[-1]
        if isinstance(node, Paragraph):
            own: list[Any] = []
            holder.append((replace(node, level=level + 1), own))
            if level < 2:
                stack.append((level + 1, own))
            # the deepest level holds no children: what would stand there becomes a sibling
        else:
            holder.append((node, []))
    made = tuple(replace(section, blocks=_nested(blocks)) for section, blocks in sections)
    return replace(agreement, sections=tuple(s for s in made if s.blocks or s.heading))


def _nested(blocks: list[Any]) -> tuple[Block, ...]:
    return tuple(
        replace(node, children=_nested(own)) if isinstance(node, Paragraph) and own else node for node, own in blocks
    )


# --- putting it over the library's wording -------------------------------------------------------------------------


def apply(agreement: Agreement, negotiated: Negotiated) -> tuple[Agreement, tuple[Conflict, ...]]:
    """Put negotiated wording over an assembled agreement.

    Nothing is lost in silence: where the wording underneath is no longer the one that was replaced, the negotiated
    words stand and a conflict is given; so it is where a new paragraph's place or a paragraph itself is gone.
    """
    if not negotiated:
        return agreement, ()
    conflicts: list[Conflict] = []
    entries = flatten(agreement)
    _reword(entries, negotiated, conflicts)
    _take_out(entries, negotiated, conflicts)
    for entry in entries:
        level = negotiated.levels.get(entry.id)
        if level and isinstance(entry.node, Paragraph):
            entry.depth = level - 1
    entries = place(entries, negotiated, conflicts)
    made = rebuild(agreement, entries)
    return _without_dangling(made, conflicts), tuple(conflicts)


def _reword(entries: list[Entry], negotiated: Negotiated, conflicts: list[Conflict]) -> None:
    left = dict(negotiated.reworded)

    def new(node: Any) -> Any:
        wanted = left.pop(node.id, None)
        return node if wanted is None else _reworded(node, wanted, conflicts)

    for entry in entries:
        node = entry.node
        if isinstance(node, Table):
            node = replace(
                node, rows=tuple(new(row) for row in node.rows), total=new(node.total) if node.total else None
            )
        entry.node = new(node)
    for node_id, wanted in left.items():
        text = "\n".join(t for t in (wanted.heading, wanted.text, *(wanted.cells or ())) if t)
        conflicts.append(Conflict(node_id, "the paragraph is not in the agreement any more", text, ""))


def _reworded(node: Any, wanted: Reworded, conflicts: list[Conflict]) -> Any:
    now = wording_hash(node)
    under = slots(piece for part in parts_of(node) for piece in part)
    missing: list[str] = []

    def read(text: str | None, present: tuple[Inline, ...]) -> tuple[Inline, ...]:
        if text is None:
            return present
        pieces, gone = read_text(text, under)
        missing.extend(gone)
        return pieces

    present = node
    if isinstance(node, Paragraph):
        node = replace(node, heading=read(wanted.heading, node.heading), content=read(wanted.text, node.content))
    elif isinstance(node, Section):
        node = replace(node, heading=read(wanted.heading, node.heading))
    elif isinstance(node, Plain):
        node = replace(node, content=read(wanted.text, node.content))
    elif isinstance(node, Table):
        header = _cells(wanted.cells, node.header, read)
        node = replace(node, caption=read(wanted.text, node.caption), header=header)
    elif isinstance(node, Row):
        node = replace(node, cells=_cells(wanted.cells, node.cells, read))
    if now != wanted.replaces:
        conflicts.append(Conflict(node.id, "the wording underneath has changed", words(node), words(present), now))
    elif missing:
        why = f"it names {', '.join(missing)}, which the wording underneath does not show"
        conflicts.append(Conflict(node.id, why, words(node), words(present), now))
    return node


def _cells(cells: tuple[str, ...] | None, present: Any, read: Any) -> Any:
    if cells is None:
        return present
    return tuple(read(text, present[n] if n < len(present) else ()) for n, text in enumerate(cells))


def words(node: Section | Block | Row) -> str:
    """The text of a node as a message shows it; a reference by the id of its target."""
    said = []
    for part in parts_of(node):
        line = "".join(
            p.text if isinstance(p, Text) else f"[{p.target}]" if isinstance(p, Reference) else "____" for p in part
        )
        if line:
            said.append(line)
    return " | ".join(said)


def _take_out(entries: list[Entry], negotiated: Negotiated, conflicts: list[Conflict]) -> None:
    def gone(node: Any) -> bool:
        wanted = negotiated.removed.get(node.id)
        if wanted is None:
            return False
        now = wording_hash(node)
        if now != wanted.replaces:
            why = "it was taken out, but its wording has changed since"
            conflicts.append(Conflict(node.id, why, "(taken out)", words(node), now))
        return True

    kept = []
    for entry in entries:
        node = entry.node
        if gone(node):
            continue
        if isinstance(node, Table):
            total = None if node.total is None or gone(node.total) else node.total
            entry.node = replace(node, rows=tuple(row for row in node.rows if not gone(row)), total=total)
        kept.append(entry)
    entries[:] = kept


def place(entries: list[Entry], negotiated: Negotiated, conflicts: list[Conflict]) -> list[Entry]:
    """Put the moved and the new nodes where they belong."""
    taken = _lift_out(entries, [node_id for run in negotiated.moved for node_id in run.ids])
    jobs: list[tuple[str, list[Entry], str]] = []
    for run in negotiated.moved:
        after = run.after
        for node_id in run.ids:
            if node_id in taken:
                jobs.append((after, taken[node_id], node_id))
                after = node_id
    rows: list[tuple[str, Inserted]] = []
    for node_id, new in negotiated.inserted.items():
        if new.kind == "row":
            rows.append((node_id, new))
        else:
            jobs.append((new.after, [_new_entry(node_id, new)], node_id))
    while jobs:
        waiting = []
        known = {entry.id: n for n, entry in enumerate(entries)}
        for after, run_entries, node_id in jobs:
            at = -1 if after == "" else known.get(after)
            if at is None:
                waiting.append((after, run_entries, node_id))
                continue
            at += 1
            if run_entries[0].depth == -1 and after and entries[at - 1].depth == -1:
                while at < len(entries) and entries[at].depth != -1:
                    at += 1
            entries[at:at] = run_entries
            known = {entry.id: n for n, entry in enumerate(entries)}
        if len(waiting) == len(jobs):
            for after, run_entries, node_id in waiting:
                why = f"what it stood after ({after}) is not in the agreement any more; it now stands at the end"
                conflicts.append(Conflict(node_id, why, words(run_entries[0].node), ""))
                entries.extend(run_entries)
            break
        jobs = waiting
    if rows:
        _place_rows(entries, rows, conflicts)
    return entries


def _lift_out(entries: list[Entry], ids: list[str]) -> dict[str, list[Entry]]:
    """Take nodes out, paragraphs before sections, so that a section does not carry a paragraph that leaves it."""
    taken: dict[str, list[Entry]] = {}
    wanted = set(ids)
    for entry in entries:
        if entry.id in wanted and entry.depth != -1:
            taken[entry.id] = [entry]
    entries[:] = [entry for entry in entries if entry.id not in taken]
    for node_id in ids:
        start = next((n for n, e in enumerate(entries) if e.id == node_id and e.depth == -1), None)
        if start is None:
            continue
        end = start + 1
        while end < len(entries) and entries[end].depth != -1:
            end += 1
        taken[node_id] = entries[start:end]
        del entries[start:end]
    return taken


def _new_entry(node_id: str, new: Inserted) -> Entry:
    heading, _ = read_text(new.heading, {})
    text, _ = read_text(new.text, {})
    if new.kind in ("article", "exhibit"):
        return Entry(node_id, -1, Section(node_id, new.kind, heading, ()))
    if new.kind == "plain":
        return Entry(node_id, new.level, Plain(node_id, CLAUSE, text))
    level = min(3, max(1, new.level))
    return Entry(node_id, level - 1, Paragraph(node_id, CLAUSE, level, text, heading))


def _place_rows(entries: list[Entry], rows: list[tuple[str, Inserted]], conflicts: list[Conflict]) -> None:
    for node_id, new in rows:
        row = Row(node_id, tuple(read_text(cell, {})[0] for cell in new.cells))
        for entry in entries:
            table = entry.node
            if not isinstance(table, Table):
                continue
            known = [r.id for r in table.rows]
            if new.after == table.id or new.after in known:
                at = known.index(new.after) + 1 if new.after in known else 0
                entry.node = replace(table, rows=(*table.rows[:at], row, *table.rows[at:]))
                break
        else:
            why = f"the row or table that it stood after ({new.after}) is not in the agreement any more"
            conflicts.append(Conflict(node_id, why, words(row), ""))


def _without_dangling(made: Agreement, conflicts: list[Conflict]) -> Agreement:
    """Turn references to what was taken out into blanks, each with a conflict, so that none points nowhere."""
    ids: set[str] = set()
    for section in made.sections:
        ids.add(section.id)
        for each in walk(section.blocks):
            ids.add(each.id)
            if isinstance(each, Table):
                ids.update(row.id for row in (*each.rows, *((each.total,) if each.total else ())))

    def pieces(node_id: str, content: tuple[Inline, ...]) -> tuple[Inline, ...]:
        if all(not isinstance(p, Reference) or p.target in ids for p in content):
            return content
        out: list[Inline] = []
        for piece in content:
            if isinstance(piece, Reference) and piece.target not in ids:
                why = f"it refers to {piece.target}, which was taken out"
                conflicts.append(Conflict(node_id, why, "", ""))
                out.append(Blank(""))
            else:
                out.append(piece)
        return tuple(out)

    def row(one: Row) -> Row:
        return replace(one, cells=tuple(pieces(one.id, cell) for cell in one.cells))

    def block(one: Block) -> Block:
        match one:
            case Paragraph():
                return replace(
                    one,
                    heading=pieces(one.id, one.heading),
                    content=pieces(one.id, one.content),
                    children=tuple(block(child) for child in one.children),
                )
            case Plain():
                return replace(one, content=pieces(one.id, one.content))
            case Table():
                return replace(
                    one,
                    caption=pieces(one.id, one.caption),
                    header=tuple(pieces(one.id, cell) for cell in one.header),
                    rows=tuple(row(r) for r in one.rows),
                    total=row(one.total) if one.total else None,
                )
            case _:
                return replace(one, statement=pieces(one.id, one.statement))

    targets = {p.target for s in made.sections for b in walk(s.blocks) for p in inlines(b) if isinstance(p, Reference)}
    targets |= {p.target for s in made.sections for p in s.heading if isinstance(p, Reference)}
    if targets <= ids:
        return made
    return replace(
        made,
        sections=tuple(
            replace(s, heading=pieces(s.id, s.heading), blocks=tuple(block(b) for b in s.blocks)) for s in made.sections
        ),
    )


# --- the file ------------------------------------------------------------------------------------------------------


def read_wording(folder: Path) -> Negotiated:
    """Read the negotiated wording of the case in a folder; nothing if there is no such file.

    Raises:
        FactsError: the file is there but cannot be used; every problem names its line.
    """
    file = folder / FILE_NAME
    try:
        if not file.is_file():
            return NOTHING
        with open(file, "rb") as stream:
            content = stream.read(MOST_BYTES + 1)
    except OSError as error:
        raise _error(f"The file cannot be read ({error.strerror}).", "Check its rights.") from None
    if len(content) > MOST_BYTES:
        raise _error(f"The file is larger than {MOST_BYTES // 1_000_000} MB.", "Check that it is the right file.")
    try:
        return read_wording_text(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise _error("The file is not saved as UTF-8.", "Save it as UTF-8.") from None


def _error(what: str, mend: str, place: Place | None = None, path: str = "") -> FactsError:
    return FactsError([Problem(place or Place(FILE_NAME, 0, 0), path, what, mend)])


def read_wording_text(text: str) -> Negotiated:
    """Read negotiated wording from the text of its file. Raises FactsError like `read_wording`."""
    reading = read_tree(text, FILE_NAME)
    if reading.problems:
        raise FactsError(reading.problems)
    if reading.tree is None:
        return replace(NOTHING, source=text)
    problems: list[Problem] = []

    def wrong(path: str, what: str, mend: str) -> None:
        problems.append(Problem(nearest_place(reading.places, path, FILE_NAME), path, what, mend))

    reader = _Reader(wrong)
    found = reader.all(reading.tree)
    if problems:
        raise FactsError(problems)
    return replace(found, source=text)


_FIELDS = {
    "paragraphs": ("replaces", "round", "heading", "text", "cells"),
    "inserted": ("after", "kind", "level", "heading", "text", "cells", "round"),
    "removed": ("replaces", "round"),
    "moved": ("after", "ids"),
    "comments": ("paragraph", "author", "text", "round"),
}
_NEEDED = {
    "paragraphs": ("replaces",), "inserted": ("after", "kind"), "removed": ("replaces",), "moved": ("after", "ids"),
    "comments": ("text",),
}  # fmt: skip


class _Reader:
    def __init__(self, wrong: Any) -> None:
        self.wrong = wrong

    def all(self, tree: Any) -> Negotiated:
        if not isinstance(tree, dict):
            self.wrong("", "The file should be a group of keys.", "Begin with `paragraphs:`.")
            return NOTHING
        known = (*_FIELDS, "levels")
        for key in tree:
            if key not in known:
                self.wrong(key, f"{key!r} is not a part of this file.", f"Use one of: {', '.join(known)}.")
        group = {name: self.records(tree.get(name), name) for name in ("paragraphs", "inserted", "removed")}
        return Negotiated(
            {k: Reworded(**r) for k, r in group["paragraphs"].items()},
            {k: Inserted(**r) for k, r in group["inserted"].items()},
            {k: Removed(**r) for k, r in group["removed"].items()},
            tuple(Moved(**r) for r in self.items(tree.get("moved"), "moved")),
            self.levels(tree.get("levels")),
            tuple(
                Comment(**{"author": "", "paragraph": "", **r}) for r in self.items(tree.get("comments"), "comments")
            ),
        )

    def records(self, tree: Any, name: str) -> dict[str, dict[str, Any]]:
        if tree is None:
            return {}
        if not isinstance(tree, dict):
            self.wrong(name, f"{name!r} should be a group of paragraph ids.", "Write an id and a colon on each line.")
            return {}
        found = {key: self.record(value, f"{name}.{key}", name) for key, value in tree.items()}
        return {key: record for key, record in found.items() if record is not None}

    def items(self, tree: Any, name: str) -> list[dict[str, Any]]:
        if tree is None:
            return []
        if not isinstance(tree, list):
            self.wrong(name, f"{name!r} should be a list.", "Begin each item with a dash.")
            return []
        found = [self.record(value, f"{name}.{n}", name) for n, value in enumerate(tree)]
        return [record for record in found if record is not None]

    def record(self, tree: Any, path: str, name: str) -> dict[str, Any] | None:
        if not isinstance(tree, dict):
            self.wrong(path, "This should be a group of keys.", f"Give {', '.join(_NEEDED[name])}.")
            return None
        out: dict[str, Any] = {}
        good = True
        for key, value in tree.items():
            if key not in _FIELDS[name]:
                self.wrong(f"{path}.{key}", f"{key!r} is not known here.", f"Use: {', '.join(_FIELDS[name])}.")
                good = False
                continue
            read = self.value(key, value, f"{path}.{key}")
            if read is None:
                good = good and value is None
            else:
                out[key] = read
        for key in _NEEDED[name]:
            if key not in out and good:
                self.wrong(path, f"{key!r} is missing.", f"Add `{key}:`.")
                good = False
        return out if good else None

    def value(self, key: str, value: Any, path: str) -> Any:
        if key in ("ids", "cells"):
            if isinstance(value, list) and all(isinstance(v, str) or v is None for v in value):
                return tuple(v or "" for v in value)
            self.wrong(path, "This should be a list of texts.", "Write it in brackets: [..., ...].")
            return None
        if key in ("round", "level"):
            if isinstance(value, str) and value.isdecimal() and len(value) < 5:
                return int(value)
            self.wrong(path, "This should be a whole number.", "Write digits only.")
            return None
        if value is None:
            return "" if key == "after" else None
        if not isinstance(value, str):
            self.wrong(path, "This should be a text.", "Put it in quotes.")
            return None
        if key == "kind" and value not in KINDS:
            self.wrong(path, f"{value!r} is not a kind.", f"Use one of: {', '.join(KINDS)}.")
            return None
        return value

    def levels(self, tree: Any) -> dict[str, int]:
        if tree is None:
            return {}
        out: dict[str, int] = {}
        for key, value in tree.items() if isinstance(tree, dict) else ():
            if value in ("1", "2", "3"):
                out[key] = int(value)
            else:
                self.wrong(f"levels.{key}", "A level is 1, 2 or 3.", "Write one of these.")
        return out


def write_wording(negotiated: Negotiated) -> str:
    """Give the text of the file. The same wording gives the same text, and it reads back as what it was."""
    lines = [_HEAD]

    def group(name: str, entries: Mapping[str, Any], keys: tuple[str, ...]) -> None:
        if entries:
            lines.append(f"{name}:")
        for node_id, entry in entries.items():
            lines.append(f"  {quoted(node_id)}:")
            lines.extend(f"    {key}: {_value(getattr(entry, key))}" for key in keys if _said(entry, key))

    def listed(name: str, entries: tuple[Any, ...], keys: tuple[str, ...]) -> None:
        if entries:
            lines.append(f"{name}:")
        for entry in entries:
            shown = [f"{key}: {_value(getattr(entry, key))}" for key in keys if _said(entry, key)]
            lines.append("  - " + "\n    ".join(shown))

    group("paragraphs", negotiated.reworded, _FIELDS["paragraphs"])
    group("inserted", negotiated.inserted, _FIELDS["inserted"])
    group("removed", negotiated.removed, _FIELDS["removed"])
    listed("moved", negotiated.moved, _FIELDS["moved"])
    if negotiated.levels:
        lines.append("levels:")
        lines.extend(f"  {quoted(node_id)}: {level}" for node_id, level in negotiated.levels.items())
    listed("comments", negotiated.comments, _FIELDS["comments"])
    return "\n".join(lines) + "\n"


def _said(entry: Any, key: str) -> bool:
    value = getattr(entry, key)
    if isinstance(entry, Reworded):
        return value is not None and not (key == "round" and not value)
    return key in ("after", "kind", "replaces", "ids", "paragraph") or bool(value)


def _value(value: Any) -> str:
    if isinstance(value, tuple):
        return f"[{', '.join(quoted(v) for v in value)}]"
    return str(value) if isinstance(value, int) else quoted(value)


def save_wording(folder: Path, text: str) -> None:
    """Write the file beside the facts, in one step and for its owner alone.

    Raises:
        OSError: the folder cannot be written.
    """
    save_file(folder / FILE_NAME, text)


def save_file(file: Path, text: str) -> None:
    """Write a text in one step: aside, durable, then renamed. Raises OSError, and the file is as it was."""
    save_files({file: text})


def save_files(texts: Mapping[Path, str]) -> None:
    """Write texts that belong together: all of them aside and durable, and only then renamed, in their order.

    Raises:
        OSError: a file cannot be written; unless it was a rename that failed, all files are as they were.
    """
    parts = {file: file.with_name(f".{file.name}.part") for file in texts}
    try:
        for file, text in texts.items():
            with open(os.open(parts[file], os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as stream:
                stream.write(text.encode())
                stream.flush()
                os.fsync(stream.fileno())
        for file, part in parts.items():
            part.replace(file)
    except OSError:
        for part in parts.values():
            with suppress(OSError):
                part.unlink(missing_ok=True)
        raise


def node_index(agreement: Agreement) -> Iterator[tuple[str, Section | Block | Row]]:
    """Yield every node that wording can be negotiated for, with its id."""
    for section in agreement.sections:
        yield section.id, section
        for block in walk(section.blocks):
            yield block.id, block
            if isinstance(block, Table):
                for row in (*block.rows, *((block.total,) if block.total else ())):
                    yield row.id, row
