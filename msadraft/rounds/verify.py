"""Does a document, as it is now, still agree with a paragraph map? And a fresh map of a document that was edited.

The numbers come from the document's own list definitions, not from the engine: what a word processor shows is what
counts. Tracked changes are read as accepted, since that is how the document would be signed.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from msadraft.agreement.numbering import Number, Numbering
from msadraft.attachments.paragraph_map import ParagraphMap, paragraph_map
from msadraft.library.load import Library
from msadraft.rounds.intake.guard import IntakeError
from msadraft.rounds.intake.read import Document, Par, fold
from msadraft.rounds.intake.units import Unit, short, units_of
from msadraft.rounds.intake.words import References, pieces_of
from msadraft.tree import Agreement, Blank, Block, Caption, Inline, Paragraph, Plain, Reference, Section, Table, Text
from msadraft.writers.inline import BLANK, text_hash
from msadraft.writers.stamp import NOT_READY, Stamp

MOST_MAP_BYTES = 16 * 2**20
Status = Literal["right", "moved", "changed", "moved and changed", "gone"]
_BLANKS = re.compile(r"_{4,}")
_HEADINGS = {"heading1": "article", "exhibitheading": "exhibit"}
_CAPTION = Caption((), (), (), (), ())


@dataclass(frozen=True, slots=True)
class MapLine:
    """One row of a map that was read from a file."""

    id: str
    number: str
    bookmark: str
    heading: str
    text: str


@dataclass(frozen=True, slots=True)
class MapFile:
    """A map that was read from a file."""

    mark: str
    lines: tuple[MapLine, ...]


@dataclass(frozen=True, slots=True)
class Checked:
    """What became of one row: its number in the map and in the document, and the words that stand there now."""

    id: str
    status: Status
    number: str
    number_now: str
    text: str
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Stale:
    """A reference that does not show its target's number. `due` is "" if its target is gone."""

    where: str
    shown: str
    due: str
    text: str


@dataclass(frozen=True, slots=True)
class Verification:
    """The whole comparison. `mark_now` differs from `mark` if the document was edited after it was drafted."""

    mark: str
    mark_now: str
    map_mark: str
    rows: tuple[Checked, ...]
    stale: tuple[Stale, ...]
    references: int
    new: tuple[str, ...]
    tracked: int

    @property
    def same_mark(self) -> bool:
        """Whether the map carries the document's mark."""
        return bool(self.map_mark) and self.map_mark in (self.mark, self.mark_now)

    @property
    def agrees(self) -> bool:
        """Whether document and map belong together: every row right, every reference right, the same mark."""
        return self.same_mark and not self.stale and all(row.status == "right" for row in self.rows)


def read_map(path: Path) -> MapFile:
    """Read `paragraph-map.json` or `paragraph-map.csv`.

    Raises:
        IntakeError: it cannot be read, or is no such map.
    """
    try:
        if not path.is_file():
            raise IntakeError(f"{path}: there is no such file; name the paragraph map (JSON or CSV)")
        with open(path, "rb") as stream:
            content = stream.read(MOST_MAP_BYTES + 1)
    except OSError as error:
        raise IntakeError(f"{path}: the map cannot be read ({error.strerror})") from None
    if len(content) > MOST_MAP_BYTES:
        raise IntakeError(
            f"{path}: this is larger than any paragraph map; name paragraph-map.json or paragraph-map.csv"
        )
    try:
        text = content.decode("utf-8-sig")
        return _json_map(text) if text.lstrip().startswith("{") else _csv_map(text)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError, csv.Error):
        raise IntakeError(f"{path}: this is no paragraph map; name paragraph-map.json or paragraph-map.csv") from None


def _json_map(text: str) -> MapFile:
    data = json.loads(text)
    lines = tuple(
        MapLine(*(_text(row[k]) for k in ("id", "number", "bookmark", "heading", "text"))) for row in data["rows"]
    )
    return MapFile(_text(data["mark"]), lines)


def _csv_map(text: str) -> MapFile:
    rows: dict[str, MapLine] = {}
    mark = ""
    for row in csv.DictReader(io.StringIO(text)):
        values = {k: v.removeprefix("'") for k, v in row.items() if isinstance(v, str)}
        mark = mark or values["mark"]
        rows.setdefault(values["id"], MapLine(*(values[k] for k in ("id", "number", "bookmark", "heading", "text"))))
    if not mark:
        raise ValueError("no mark")
    return MapFile(mark, tuple(rows.values()))


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError(value)
    return value


class _Read:
    """A document with its numbers: every unit, where each bookmark is, and in which section."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.units = units_of(document)
        self.place: dict[str, int] = {}
        self.section_at: list[str] = []
        section = ""
        for n, unit in enumerate(self.units):
            for name in unit.names:
                kept = self.place.get(name)
                # A split leaves a bookmark twice: the half that says what was drafted keeps it.
                if kept is None or (not self.units[kept].text and unit.text):
                    self.place[name] = n
            if self.kind(n) in ("article", "exhibit"):
                section = self.full(n)
            self.section_at.append(section)

    def kind(self, n: int) -> str:
        """Article, exhibit, or what the map inside the document says of a unit; "" is not known."""
        unit = self.units[n]
        for name in unit.names:
            node = self.document.nodes.get(name)
            if node is not None:
                return node.kind
        return _HEADINGS.get(unit.pars[0].style.replace(" ", "").lower(), "") if not unit.is_row else ""

    def full(self, n: int) -> str:
        """The number by which a unit is cited: its own, or that of its section."""
        shown = self.units[n].pars[0].shown
        if shown is not None and shown.full and not self.units[n].is_row:
            return shown.full
        return self.section_at[n] if n < len(self.section_at) else ""

    def words(self, n: int) -> str:
        """The text of a unit with the reference numbers that were drafted, so that a renumbering is no other text."""
        return "\t".join(fold("".join(self._drafted(par))) for par in self.units[n].pars)

    def _drafted(self, par: Par) -> Iterable[str]:
        for span in par.spans:
            labels = [self.document.nodes[r].label.rstrip(".") for r in span.refs if r in self.document.nodes]
            yield "".join(labels) if labels and len(labels) == len(span.refs) else span.text

    def words_now(self, n: int) -> str:
        """The text of a unit with the numbers that its references are due to show now."""
        return "\t".join(
            fold("".join((self.due(span.refs) if span.refs else "") or span.text for span in par.spans))
            for par in self.units[n].pars
        )

    def due(self, refs: tuple[str, ...]) -> str:
        """What a chain of number fields should show; "" if a target is gone."""
        labels = []
        for name in refs:
            target = self.place.get(name)
            shown = self.units[target].pars[0].shown if target is not None else None
            labels.append(shown.label.rstrip(".") if shown is not None else "")
        return "" if "" in labels else "".join(labels)

    def hash_fits(self, n: int, bookmark: str) -> bool | None:
        """Whether the words are those that were drafted; None if the document does not say what was drafted."""
        node = self.document.nodes.get(bookmark)
        if node is None or node.kind == "signature":
            return None
        return text_hash(self.words(n)) == node.hash

    def mark_now(self) -> str:
        """The mark of the document as it is: the printed one, with a sign of its content if it was edited."""
        if not self._edited():
            return self.document.mark
        digest = hashlib.sha256()
        for n, unit in enumerate(self.units):
            digest.update(f"{self.full(n)}\t{unit.key}\n".encode())
        return f"{self.document.mark or 'no round'}, edited {digest.hexdigest()[:8]}"

    def _edited(self) -> bool:
        nodes = self.document.nodes
        if not nodes or set(nodes) - self.place.keys():
            return True
        for n, unit in enumerate(self.units):
            if not unit.names and unit.label:
                return True
            for name in unit.names:
                node = nodes.get(name)
                if node is None or self.hash_fits(n, name) is False:
                    return True
                if node.label and node.number != self.full(n):
                    return True
        return False


def verify(document: Document, map_file: MapFile) -> Verification:
    """Compare a document as it is now with a map."""
    read = _Read(document)
    same_draft = document.mark == map_file.mark
    taken: set[int] = set()
    rows = []
    for line in map_file.lines:
        n = read.place.get(line.bookmark)
        remark = ""
        if n is None or (not read.units[n].text and line.text):
            n = next((k for k in range(len(read.units)) if k not in taken and _begins(read, k, line)), None)
            remark = "found by its words" if n is not None else ""
        if n is None:
            rows.append(Checked(line.id, "gone", line.number, "", short(line.text)))
            continue
        taken.add(n)
        fits = read.hash_fits(n, line.bookmark) if same_draft else None
        same_words = fits if fits is not None else _begins(read, n, line)
        now = read.full(n)
        status: Status = "right"
        if now != line.number:
            status = "moved" if same_words else "moved and changed"
        elif not same_words:
            status = "changed"
        rows.append(Checked(line.id, status, line.number, now, short(read.units[n].text), remark))
    known = {line.bookmark for line in map_file.lines}
    new = tuple(
        f"{read.full(n)} {short(unit.text)}"
        for n, unit in enumerate(read.units)
        if unit.label and n not in taken and not known & set(unit.names) and read.kind(n) not in ("article", "exhibit")
    )
    stale, count = _references(read)
    return Verification(
        document.mark, read.mark_now(), map_file.mark, tuple(rows), stale, count, new, len(document.tracked)
    )


def _begins(read: _Read, n: int, line: MapLine) -> bool:
    """Whether a unit begins with the words of a row, behind its run-in heading if it has one."""
    if read.units[n].is_row:
        return False
    # A map of the drafted paper names the numbers that were drafted, a fresh one those that are due now.
    return any(_text_begins(text, line) for text in (read.words(n), read.words_now(n)))


def _text_begins(text: str, line: MapLine) -> bool:
    text = _BLANKS.sub("____", text)
    begin = _BLANKS.sub("____", fold(line.text)).removesuffix(" …")
    heading = fold(line.heading)
    if not begin:
        return text.startswith(heading) if heading else not text
    if text.startswith(begin):
        return True
    return bool(heading) and text.startswith(heading) and text[len(heading) :].lstrip(".:;?! ").startswith(begin)


def _references(read: _Read) -> tuple[tuple[Stale, ...], int]:
    stale = []
    count = 0
    for n, unit in enumerate(read.units):
        for par in unit.pars:
            for span in par.spans:
                if not span.refs:
                    continue
                count += 1
                due = read.due(span.refs)
                if due != fold(span.text):
                    stale.append(Stale(read.full(n) or "front page", fold(span.text), due, short(unit.text)))
    return tuple(stale), count


def verification_data(found: Verification) -> dict[str, Any]:
    """Give the comparison as plain data."""
    return {
        "agrees": found.agrees,
        "mark": found.mark,
        "mark_now": found.mark_now,
        "map_mark": found.map_mark,
        "same_mark": found.same_mark,
        "rows": [
            {
                "id": r.id, "status": r.status, "number": r.number, "number_now": r.number_now, "text": r.text,
                "remark": r.remark,
            }
            for r in found.rows
        ],
        "stale_references": [{"where": s.where, "shown": s.shown, "due": s.due, "text": s.text} for s in found.stale],
        "references": found.references,
        "new_paragraphs": list(found.new),
        "tracked_changes": found.tracked,
    }  # fmt: skip


def screen_lines(found: Verification) -> list[str]:
    """Give the comparison as lines for a terminal."""
    counts: dict[str, int] = {}
    for row in found.rows:
        counts[row.status] = counts.get(row.status, 0) + 1
    head = "Document and map agree." if found.agrees else "Document and map do not agree: fill no form from this map."
    out = [head, f"  document: {found.mark_now or 'no mark'}", f"  map:      {found.map_mark or 'no mark'}"]
    out.append("  rows: " + ", ".join(f"{n} {status}" for status, n in counts.items()))
    out.append(f"  references: {found.references - len(found.stale)} of {found.references} show their target's number")
    if found.tracked:
        out.append(f"  {found.tracked} tracked changes are still open; they were read as accepted")
    for row in found.rows:
        if row.status != "right":
            now = f" → {row.number_now}" if row.number_now and row.number_now != row.number else ""
            out.append(f"  {row.status}: {row.number}{now} ({row.id}) {row.text}")
    out += [f"  new: {text}" for text in found.new]
    for s in found.stale:
        due = f"should show {s.due}" if s.due else "its target is gone"
        out.append(f"  reference in {s.where} shows {s.shown}, {due}: {s.text}")
    if not found.agrees:
        out.append("  A fresh map of this document: msadraft map FILE.docx")
    return out


def map_of_document(document: Document, library: Library) -> tuple[ParagraphMap, Stamp]:
    """Give a fresh map of a document as it is now, and the stamp to print it with.

    Form items come from the clauses that the document says its paragraphs are made of; a paragraph that somebody else
    added answers none.

    Raises:
        IntakeError: the document has no heading or numbered paragraph of ours.
    """
    read = _Read(document)
    numbers: dict[str, Number] = {}
    sections: list[tuple[Section, list[int]]] = []
    ids = _ids(read)
    levels = _levels(read)
    for n, unit in enumerate(read.units):
        kind = read.kind(n)
        label = unit.label
        if kind in ("article", "exhibit") or (not sections and label):
            section_kind: Literal["article", "exhibit"] = "exhibit" if kind == "exhibit" else "article"
            heading = (Text(unit.text),) if kind in ("article", "exhibit") else ()
            section_id = ids[n] if heading else "article"
            sections.append((Section(section_id, section_kind, heading, ()), []))
            numbers[section_id] = Number(section_id, _bookmark(unit), label, read.full(n), (section_id,), 0, section_id)
            if heading:
                continue
        if not sections or unit.is_row or not unit.text or not (unit.label or kind in ("table", "plain")):
            continue
        section = sections[-1][0]
        numbers[ids[n]] = Number(ids[n], _bookmark(unit), label, read.full(n), (ids[n],), levels.get(n, 1), section.id)
        sections[-1][1].append(n)
    # A bookmark can be left in a place that has no number, such as an empty paragraph; a reference to it is only text.
    known = {name: ids[n] for name, n in read.place.items() if ids[n] in numbers}
    if not any(places for _, places in sections):
        raise IntakeError(f"{document.name}: the document has no numbered paragraph, so there is nothing to map")
    made = tuple(
        Section(
            s.id,
            s.kind,
            s.heading,
            tuple(_block(read, n, ids[n], read.kind(n), known, levels.get(n, 1)) for n in places),
        )
        for s, places in sections
    )
    mark = read.mark_now()
    agreement = Agreement(document.title or "Settlement agreement", _CAPTION, made)
    answers = _answers(read, ids, library)
    ready = not any(NOT_READY in margin for margin in document.margins)
    return paragraph_map(agreement, Numbering(numbers), answers, mark), Stamp(mark, ready)


def _bookmark(unit: Unit) -> str:
    return unit.names[0] if unit.names else ""


def _ids(read: _Read) -> list[str]:
    out: list[str] = []
    taken: set[str] = set()
    for n, unit in enumerate(read.units):
        node_id = ""
        for name in unit.names:
            node = read.document.nodes.get(name)
            if node is not None and read.place[name] == n and node.id not in taken:
                node_id = node.id
                break
        node_id = node_id or f"added.{n + 1}"
        taken.add(node_id)
        out.append(node_id)
    return out


def _levels(read: _Read) -> dict[int, int]:
    """The level of every numbered unit: how many of its own counters its number shows."""
    out: dict[int, int] = {}
    for n, unit in enumerate(read.units):
        shown = unit.pars[0].shown
        if shown is not None and not unit.is_row:
            out[n] = 1 + shown.full.count("(")
    return out


def _block(read: _Read, n: int, node_id: str, kind: str, known: Mapping[str, str], level: int) -> Block:
    unit = read.units[n]
    clause = next((read.document.nodes[x].clause for x in unit.names if x in read.document.nodes), "")
    spans = unit.pars[0].spans
    heading, content = (_with_blanks(part) for part in pieces_of(spans, _Known(known)))
    if kind == "table":
        return Table(node_id, clause, (*heading, *content), (), (), ())
    if kind == "plain":
        return Plain(node_id, clause, (*heading, *content))
    return Paragraph(node_id, clause, level, content, heading)


def _with_blanks(pieces: tuple[Inline, ...]) -> tuple[Inline, ...]:
    """Give pieces with the lines that are still to be filled in as blanks."""
    out: list[Inline] = []
    for piece in pieces:
        if not isinstance(piece, Text) or BLANK not in piece.text:
            out.append(piece)
            continue
        for n, words in enumerate(piece.text.split(BLANK)):
            out += [Blank("")] if n else []
            out += [Text(words, "", piece.bold, piece.italic)] if words else []
    return tuple(out)


class _Known(References):
    """References by the bookmarks that the document holds."""

    def __init__(self, known: Mapping[str, str]) -> None:
        self.known = known

    def resolve(self, refs: tuple[str, ...]) -> tuple[Inline, ...] | None:
        """Give the reference to the last of a chain, whose number holds those before it."""
        target = self.known.get(refs[-1]) if refs else None
        return None if target is None else (Reference(target),)


def _answers(read: _Read, ids: list[str], library: Library) -> dict[str, tuple[str, ...]]:
    """The topics that the clauses of the document answer, by instance, as drafting has them."""
    out: dict[str, tuple[str, ...]] = {}
    for n, unit in enumerate(read.units):
        for name in unit.names:
            node = read.document.nodes.get(name)
            clause = library.clauses.get(node.clause) if node is not None and node.id == ids[n] else None
            if node is None or clause is None:
                continue
            instance = node.id.partition("/")[0]
            key = instance.removeprefix(f"{node.clause}:") if instance != node.clause else ""
            for entry in clause.answers:
                label, _, topic = entry.rpartition(":")
                where = f"{instance}/{label.strip()}" if label else instance
                topic = topic.strip().replace("{key}", key)
                out[where] = tuple(dict.fromkeys((*out.get(where, ()), topic)))
    return out
