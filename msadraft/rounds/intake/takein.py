"""Take an edited document in: what became of every paragraph, as changed facts and negotiated wording.

Works in steps: the draft that the document came from is written and read by the same reader as the document; units
are matched; each difference becomes a proposal; then the case is drafted with all proposals in memory and compared
with the edited document once more. What does not come out as edited is listed as left over, so nothing is lost.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from pathlib import Path

from msadraft.agreement import negotiated as wording
from msadraft.agreement.assemble import assemble
from msadraft.agreement.negotiated import Comment, Inserted, Kind, Negotiated, node_index, parts_of, slots
from msadraft.agreement.numbering import Numbering, NumberingError, number
from msadraft.draft import Draft
from msadraft.facts.load import read_text_case
from msadraft.facts.paths import UnknownPathError, field_at
from msadraft.facts.problems import FactsError
from msadraft.figures.compute import compute
from msadraft.library.environment import WordingError
from msadraft.library.select import select
from msadraft.rounds.intake import entries
from msadraft.rounds.intake.choose import differences, keep_only, named, order_left, rows_left
from msadraft.rounds.intake.guard import IntakeError, open_bytes
from msadraft.rounds.intake.match import Match, match
from msadraft.rounds.intake.read import Document, Mode, Span, fold, read_parts
from msadraft.rounds.intake.report import (
    FactChange,
    Follow,
    Gone,
    Leftover,
    NewText,
    Remarked,
    Rewording,
    Shift,
    TakenIn,
)
from msadraft.rounds.intake.save import changed_facts
from msadraft.rounds.intake.structure import Line, structure
from msadraft.rounds.intake.units import Base, Unit, link, located, short, units_of
from msadraft.rounds.intake.values import Read, plain_spaces, read_back
from msadraft.rounds.intake.words import Comparison, References, pieces_of
from msadraft.rounds.intake.words import compare as compare_words
from msadraft.tree import Agreement, Blank, Inline, Paragraph, Row, Section, Table, Text
from msadraft.writers.docx import document_parts
from msadraft.writers.inline import stop

_ROUND = re.compile(r"Round (\d+)")
_MOST_TRIALS = 4
_VOTES = 3
_UNFIT = "negotiated wording does not fit: "


@dataclass(slots=True)
class _Edit:
    """A matched unit whose words differ. For a row there is one comparison a cell."""

    base: Base
    unit: Unit
    how: Match
    comparisons: list[Comparison]
    cells_fit: bool = True


class OtherDraftError(IntakeError):
    """The document came from another draft than the one it is held against; `mark` says from which."""

    def __init__(self, mark: str, said: str) -> None:
        self.mark = mark
        super().__init__(said)


def take_in(found: Draft, content: bytes, name: str, mode: Mode = "accept", leave: Collection[str] = ()) -> TakenIn:
    """Compare an edited document with the draft that it came from.

    Args:
        found: the case as it is drafted now, which must be the draft that the document came from.
        content: the bytes of the document. `name` is what messages call it.
        mode: whether its tracked changes are accepted or rejected first.
        leave: keys of differences (see `choose.differences`) that are not taken in; they are listed as left over.

    Raises:
        IntakeError: the document cannot be used, is not ours, or came from another round; the differences that are
            taken in do not go together.
    """
    document = read_parts(open_bytes(content, name), name, mode)
    check_mark(document, found)
    return _Intake(found, document, mode).run(frozenset(leave))


def check_mark(document: Document, found: Draft) -> None:
    """Refuse a document that is not of this draft. Raises IntakeError."""
    name = document.name
    if not document.mark:
        raise IntakeError(
            f"{name}: this document was not drafted here, or has lost every mark of it (the map inside it, the property"
            " and the foot of the page); take the edits over by hand"
        )
    if not document.mark.endswith(found.fingerprint):
        raise OtherDraftError(
            document.mark,
            f"{name}: the document came from “{document.mark}”, but the case as it stands now drafts as"
            f" “… · {found.fingerprint}”. Edits can only be taken in against the draft they were made in: use the"
            " document of the last round, or set case.yaml and wording.yaml back to that round (they are kept in its"
            " folder) and take it in there",
        )


def save(found: Draft, taken: TakenIn) -> list[Path]:
    """Write the changed facts and the negotiated wording, and give the files that were written.

    Raises:
        IntakeError: case.yaml was changed meanwhile, or a file cannot be written.
    """
    case = found.case.path
    written: list[Path] = []
    try:
        if hashlib.sha256(case.read_bytes()).hexdigest() != found.case.digest:
            raise IntakeError(f"{case}: the file was changed meanwhile; run the command again")
        if wording.read_wording(case.parent).digest != found.negotiated.digest:
            raise IntakeError(
                f"{case.parent / wording.FILE_NAME}: the file was changed meanwhile; run the command again"
            )
        # The wording first: with the old facts it is only a conflict that drafting would show.
        texts = {case.parent / wording.FILE_NAME: taken.wording_text, case: taken.case_text}
        written = [file for file, text in texts.items() if text is not None]
        wording.save_files({file: text for file, text in texts.items() if text is not None})
    except OSError as error:
        raise IntakeError(f"{case.parent}: cannot be written ({error.strerror})") from error
    return written


class _Intake:
    def __init__(self, found: Draft, document: Document, mode: Mode) -> None:
        self.found, self.document = found, document
        label = document.mark.partition(" · ")[0]
        round_found = _ROUND.search(label)
        self.round = int(round_found[1]) if round_found else 0
        self.stamp = found.stamp(label)
        self.drafted = read_parts(document_parts(found.agreement, found.numbering, self.stamp), "draft")
        self.base = link(units_of(self.drafted), found.agreement, found.numbering)
        self.edited = units_of(document)
        self.references = References(found.numbering)
        self.library = dict(node_index(found.assembled))
        self.nodes = dict(node_index(found.agreement))
        self.matching = match(self.base, self.edited, found.numbering)
        self.of = {m.base: e for e, m in enumerate(self.matching.of) if m is not None}
        self.edits: list[_Edit] = []
        self.new: dict[int, str] = {}
        self.new_nodes: dict[str, Inserted] = {}
        self.new_rows: dict[str, Inserted] = {}
        self.rows_removed: dict[str, str] = {}
        self.covered: set[int] = set()
        self.kept_out: set[int] = set()
        self.remarks: dict[str, str] = {}
        self.refused: dict[str, str] = {}
        self.conflicts: tuple[wording.Conflict, ...] = ()
        self.made = found.negotiated
        self.out = TakenIn(document.mark, mode, tracked=document.tracked)

    def run(self, leave: frozenset[str] = frozenset()) -> TakenIn:
        self._find_edits()
        self._levels()
        lines = self._lines()
        self._rows()
        self._beside()
        agreement, numbering, facts = self._settle(lines)
        self._report_facts(facts, agreement, numbering)
        self._report_wording(facts)
        self._final_check(agreement, numbering, facts)
        if leave:
            self._choose(lines, facts, leave)
        return self.out

    def _choose(self, lines: list[Line], facts: Mapping[str, Read], leave: frozenset[str]) -> None:
        """Work out the files once more, without the differences that are not taken in."""
        name = self.document.name
        unknown = leave - {one.key for one in differences(self.out)}
        if unknown:
            raise IntakeError(
                f"{name}: there is no such difference any more ({min(unknown)}); take the document in again"
            )
        # A value whose fact stays is still named in new wording, and so shows what it showed before.
        taken = {path: read for path, read in facts.items() if path not in named(leave, "fact")}
        moved = [one.id for one in self.out.moved]
        order = order_left(lines, wording.flatten(self.found.agreement), leave, moved)
        self.new_rows = rows_left(self.new_rows, leave)
        self.rows_removed = {k: v for k, v in self.rows_removed.items() if k not in named(leave, "out")}
        self.edits = [edit for edit in self.edits if edit.base.id not in named(leave, "words")]
        try:
            text = changed_facts(self.found.case, {p: r.written for p, r in taken.items()}) if taken else None
            library = self._assembled(text)
            made = self._negotiated(library, order, facts)
            agreement, conflicts = wording.apply(library, made)
            numbering = number(agreement)
        except (FactsError, WordingError, NumberingError) as error:
            raise IntakeError(
                f"{name}: these differences do not go together: {error}. Take others in with them"
            ) from error
        self.out.case_text, self.out.wording_text = text, None
        self._keep_wording(made)
        told = {(c.node, c.why): (f"{_UNFIT}{c.why}", c.negotiated) for c in self.conflicts}
        solved = [told.pop(key) for key in told.keys() - {(c.node, c.why) for c in conflicts}]
        self.out.leftovers = [one for one in self.out.leftovers if (one.what, one.text) not in solved]
        for conflict in conflicts:
            if (conflict.node, conflict.why) not in told:
                self._left(None, conflict.node, f"{_UNFIT}{conflict.why}", conflict.negotiated)
        self._keep_follows(agreement, numbering)
        keep_only(self.out, leave)

    def _keep_follows(self, agreement: Agreement, numbering: Numbering) -> None:
        """Drop from the report what would only have followed a fact that stays."""
        parts = document_parts(agreement, numbering, self.stamp)
        now = {(b.id, b.unit.text) for b in link(units_of(read_parts(parts, "draft")), agreement, numbering)}
        self.out.follows = [
            one for one in self.out.follows
            if ((one.id, one.after) in now if one.after else one.id not in numbering)
        ]  # fmt: skip

    # what differs

    def _where(self, base: Base) -> str:
        if base.id in self.found.numbering:
            return self.found.numbering[base.id].full
        return "front page" if base.part == "front" else "end"

    def _find_edits(self) -> None:
        for e, found in enumerate(self.matching.of):
            if found is None:
                continue
            base, unit = self.base[found.base], self.edited[e]
            if unit.key == base.unit.key:
                continue
            if base.part in ("front", "signature", "closing", "place"):
                self.edits.append(self._fixed_edit(base, unit, found))
                continue
            self.edits.append(self._edit(base, unit, found))

    def _edit(self, base: Base, unit: Unit, found: Match) -> _Edit:
        node = base.node
        if isinstance(node, Paragraph):
            comparison = compare_words(
                node.heading, base.stop_words, node.content, unit.pars[0].spans, self.references, self._readable
            )
            return _Edit(base, unit, found, [comparison])
        made = [
            compare_words(
                (), "", part, unit.pars[n].spans if n < len(unit.pars) else (), self.references, self._readable
            )
            for n, part in enumerate(base.parts)
        ]
        return _Edit(base, unit, found, made, len(unit.pars) == len(base.parts) or not unit.is_row)

    def _fixed_edit(self, base: Base, unit: Unit, found: Match) -> _Edit:
        pieces = [piece if piece is not None else Text(text) for text, piece in located(base)]
        spans = [span for n, par in enumerate(unit.pars) for span in ([*([_TAB] if n else []), *par.spans])]
        return _Edit(base, unit, found, [compare_words((), "", pieces, spans, self.references, self._readable)])

    def _readable(self, source: str, old: str, new: str) -> bool:
        return read_back(self.found.case.facts, source, old, new) is not None

    # order and levels

    def _levels(self) -> None:
        votes: dict[tuple[str, int], dict[int, int]] = {}
        for e, found in enumerate(self.matching.of):
            shown = self.edited[e].pars[0].shown
            if found is None or shown is None or self.base[found.base].level < 0:
                continue
            tally = votes.setdefault((shown.definition, shown.level), {})
            level = self.base[found.base].level
            tally[level] = tally.get(level, 0) + 1
        # A paragraph that changed its level votes for the old one; so a vote counts only if several agree.
        self.level_of = {
            place: max(tally, key=lambda k: tally[k]) for place, tally in votes.items() if max(tally.values()) >= _VOTES
        }

    def _level(self, unit: Unit) -> int | None:
        """The level at which a unit is numbered in our lists: 0 is a heading; None is no number of ours."""
        shown = unit.pars[0].shown
        if shown is not None:
            level = self.level_of.get((shown.definition, shown.level))
            if level is not None:
                return level
        style = unit.pars[0].style.replace(" ", "").lower()
        if shown is None:
            return None
        return _STYLES.get(style)

    def _lines(self) -> list[Line]:
        lines: list[Line] = []
        taken: set[str] = set()
        seen_section = ended = False
        for e, unit in enumerate(self.edited):
            found = self.matching.of[e]
            base = self.base[found.base] if found else None
            if base is not None:
                ended = ended or base.part == "closing"
                if base.part == "signature" and base.id not in taken:
                    lines.append(Line(base.id, 0))
                    taken.add(base.id)
                elif base.is_node and not unit.is_row:
                    seen_section = seen_section or isinstance(base.node, Section)
                    level = base.level
                    if isinstance(base.node, Paragraph):
                        now = self._level(unit)
                        level = now if now else base.level
                        if now is None:
                            self._left(e, self._where(base), "its number was switched off; it keeps one", unit.text)
                        elif now == 0:
                            self._left(e, self._where(base), "it was made a heading; it stays a paragraph", unit.text)
                    lines.append(Line(base.id, max(0, level), isinstance(base.node, Section)))
                    taken.add(base.id)
                elif (base.is_node and isinstance(base.node, Row)) or base.part == "header":
                    table = self._table_of(base)
                    if table and table not in taken:
                        lines.append(Line(table, 0))
                        taken.add(table)
                continue
            if unit.is_row:
                continue
            if not unit.text:
                if unit.label:
                    self._left(e, unit.label, "an empty numbered paragraph; it takes a number but says nothing", "")
                self.covered.add(e)
                continue
            if not seen_section and self._level(unit) != 0:
                self._left(e, "front page", "new text on the front page", unit.text)
                continue
            seen_section = True
            lines.append(self._new_line(e, unit, ended))
        return self._with_the_unremovable(self._plain_depths(lines), taken)

    def _plain_depths(self, lines: list[Line]) -> list[Line]:
        """Unnumbered text that was put in between sub-paragraphs belongs to the paragraph around them."""
        inserted = {**self.found.negotiated.inserted, **self.new_nodes}
        following = 0
        out: list[Line] = []
        for line in reversed(lines):
            one = inserted.get(line.id)
            if one is not None and one.kind == "plain":
                line = replace(line, level=max(0, following - 1))
            elif line.section or line.level:
                following = line.level
            out.append(line)
        return out[::-1]

    def _new_line(self, e: int, unit: Unit, ended: bool) -> Line:
        level = self._level(unit)
        shown = unit.pars[0].shown
        heading, content = pieces_of(unit.pars[0].spans, self.references)
        digest = hashlib.sha256(f"{unit.key}\n{sum(n == unit.key for n in self._keys_before(e))}".encode()).hexdigest()
        node_id = f"negotiated.{digest[:8]}"
        while node_id in self.nodes or node_id in self.new_nodes:
            digest = hashlib.sha256(digest.encode()).hexdigest()
            node_id = f"negotiated.{digest[:8]}"
        kind: Kind = "plain" if level is None else "paragraph"
        if level == 0:
            kind = "exhibit" if unit.pars[0].style.replace(" ", "").lower() == "exhibitheading" else "article"
            heading, content = (*heading, *content), ()
            heading = tuple(replace(p, bold=False) if isinstance(p, Text) else p for p in heading)
        elif level is None:
            content = (*([*heading, Text(". ")] if heading else []), *content)
            heading = ()
            if shown is not None and shown.label:
                self._left(None, shown.label, "the number of pasted text is not kept; the text is", unit.text)
        self.new[e] = node_id
        self.new_nodes[node_id] = Inserted(
            "", kind, level or 0, wording.write_text(heading, {}), wording.write_text(content, {}), (), self.round
        )
        return Line(node_id, level or 0, level == 0)

    def _keys_before(self, e: int) -> Iterable[str]:
        return (self.edited[n].key for n in self.new if n < e)

    def _table_of(self, base: Base) -> str:
        if base.part == "header":
            return base.id
        return next((i for i, n in self.nodes.items() if isinstance(n, Table) and _has_row(n, base.id)), "")

    def _with_the_unremovable(self, lines: list[Line], taken: set[str]) -> list[Line]:
        """Put back what may not be taken out by an edit of a document: places to sign, and a table in part."""
        drafted = wording.flatten(self.found.agreement)
        out = list(lines)
        before = ""
        gone_from: dict[str, Base] = {b.id: b for b in self.base if b.is_node or b.part == "signature"}
        for entry in drafted:
            if entry.id in taken:
                before = entry.id
                continue
            node = entry.node
            base = gone_from.get(entry.id)
            if base is not None and base.part == "signature":
                at = next((n + 1 for n, line in enumerate(out) if line.id == before), len(out))
                out.insert(at, Line(entry.id, 0))
                self._left(None, self._where(base), "a place to sign was taken out; it stays", base.unit.text)
                self.kept_out.update(n for n, b in enumerate(self.base) if b.id == entry.id)
                before = entry.id
                continue
            if isinstance(node, Section) and not out:
                out.insert(0, Line(entry.id, 0, True))
                continue
            merged = ""
            if base is not None:
                at_base = self.base.index(base)
                into = self.matching.merged.get(at_base)
                found = self.matching.of[into] if into is not None else None
                merged = f"joined to {self._where(self.base[found.base])}" if found else ""
            text = base.unit.text if base is not None else ""
            self.out.removed.append(Gone(entry.id, self.found.numbering[entry.id].full, text, merged))
        if out and not out[0].section:
            first = next((x.id for x in drafted if x.depth == -1), "")
            if all(line.id != first for line in out):
                out.insert(0, Line(first, 0, True))
                self.out.removed = [g for g in self.out.removed if g.id != first]
                self._left(None, "1", "the first heading was taken out; it stays", "")
        return out

    # rows

    def _rows(self) -> None:
        tables: dict[int, list[tuple[int, Base | None]]] = {}
        for e, unit in enumerate(self.edited):
            if unit.is_row:
                found = self.matching.of[e]
                tables.setdefault(unit.table, []).append((e, self.base[found.base] if found else None))
        for rows in tables.values():
            owners = [self._table_of(b) for _, b in rows if b is not None and b.part in ("node", "header")]
            if not owners:
                for e, b in rows:
                    if b is None and self.edited[e].text.strip():
                        self._left(e, "table", "a new table cannot be taken in", self.edited[e].text)
                continue
            owner = max(set(owners), key=owners.count)
            table = self.nodes[owner]
            after = owner
            for e, b in rows:
                if b is not None:
                    after = b.id if b.part == "node" and self._table_of(b) == owner else after
                    continue
                unit = self.edited[e]
                if not unit.text.strip():
                    self.covered.add(e)
                elif isinstance(table, Table) and len(unit.pars) == len(table.header):
                    cells = tuple(
                        wording.write_text(entries.flat(pieces_of(par.spans, self.references)), {}) for par in unit.pars
                    )
                    digest = hashlib.sha256(f"{owner}\n{after}\n{unit.key}".encode()).hexdigest()
                    row_id = f"negotiated.{digest[:8]}"
                    self.new[e] = row_id
                    self.new_rows[row_id] = Inserted(after, "row", 0, "", "", cells, self.round)
                    after = row_id
                else:
                    self._left(e, self.found.numbering[owner].full, "a new row with other columns", unit.text)
        here = {b.id for e, b in ((e, b) for rows in tables.values() for e, b in rows) if b is not None}
        gone = {g.id for g in self.out.removed}
        for n, base in enumerate(self.base):
            if isinstance(base.node, Row) and base.id not in here:
                owner = self._table_of(base)
                if owner not in gone:
                    self.rows_removed[base.id] = wording.wording_hash(self.library.get(base.id, base.node))
                    self.out.removed.append(Gone(base.id, self._where(base), base.unit.text, "row of a table"))
            elif n not in self.of and base.id not in gone:
                what = {"header": "the head of a table", "place": "a place kept free"}.get(base.part, "")
                if base.is_node and isinstance(base.node, Table):
                    what = "the caption of a table"
                if what:
                    self._left(None, self._where(base), f"{what} was taken out; it stays", base.unit.text)
                    self.kept_out.add(n)

    # what stands beside the text

    def _beside(self) -> None:
        for n, base in enumerate(self.base):
            if n not in self.of and base.part in ("front", "closing") and base.unit.text:
                what = "text of the front page was taken out; it stays"
                if base.part == "closing":
                    what = "the closing line was taken out; it stays"
                self._left(None, self._where(base), what, base.unit.text)
                self.kept_out.add(n)
            elif n not in self.of and base.part == "signature" and base.id not in {x.id for x in self._missing_signs()}:
                self._left(None, self._where(base), "a line of a place to sign was taken out; it stays", base.unit.text)
                self.kept_out.add(n)
        # An office suite may write a head or foot twice or in another order, so their words are compared.
        drafted, edited = ({w for m in d.margins for w in m.split()} for d in (self.drafted, self.document))
        for text in self.document.margins:
            if set(text.split()) - drafted:
                self._left(None, "margin", "the head or foot of the page, or a footnote, was changed", text)
        if drafted - edited:
            words = " ".join(sorted(drafted - edited))
            self._left(None, "margin", "words of the head or foot of the page were taken out; they stay", words)
        for e, unit in enumerate(self.edited):
            found = self.matching.of[e]
            where = self._where(self.base[found.base]) if found else unit.label or "new text"
            for par in unit.pars:
                for other in dict.fromkeys(par.others):
                    self._left(None, where, "it cannot be taken in; put it in by hand", other)
                for comment in dict.fromkeys(par.comments):
                    remark = self.document.remarks.get(comment)
                    if remark is not None:
                        node_id = self.base[found.base].id if found else self.new.get(e, "")
                        self.out.comments.append(Remarked(node_id, where, remark.author, remark.date, remark.text))
            for name in unit.copied:
                entry = next((n for n in self.found.numbering.by_id.values() if n.bookmark == name), None)
                if entry is not None and e in self.new:
                    self.remarks[self.new[e]] = f"copied from {entry.full}"
        told = {(c.author, c.text) for c in self.out.comments}
        for remark in self.document.remarks.values():
            if (remark.author, remark.text) not in told:
                self.out.comments.append(Remarked("", "", remark.author, remark.date, remark.text))

    def _missing_signs(self) -> list[Base]:
        here = {self.base[b].id for b in self.of}
        return [b for b in self.base if b.part == "signature" and b.id not in here]

    def _left(self, e: int | None, where: str, what: str, text: str) -> None:
        if e is not None:
            self.covered.add(e)
        self.out.leftovers.append(Leftover(where, what, text))

    # settling on facts and wording

    def _candidates(self) -> tuple[dict[str, Read], dict[str, str]]:
        """The facts that the edited values say, and why some are not taken as facts."""
        reads: dict[str, list[Read]] = {}
        refused: dict[str, str] = {}
        edited_at: dict[str, int] = {}
        for edit in self.edits:
            for comparison in edit.comparisons:
                for value in comparison.values:
                    edited_at[value.source] = edited_at.get(value.source, 0) + 1
                    read = read_back(self.found.case.facts, value.source, value.old, value.new)
                    if read is not None:
                        reads.setdefault(read.path, []).append(read)
                    elif value.source.startswith("figures."):
                        refused[value.source] = "it is computed; look at the facts that it comes from"
                    else:
                        refused[value.source] = "the new words cannot be read as a value of this fact"
        printed = self._printed()
        out: dict[str, Read] = {}
        for path, all_reads in reads.items():
            if len({r.written for r in all_reads}) > 1:
                refused[path] = "it was changed to different values in different places"
                continue
            source = path if path in printed else f"{path.rpartition('.')[0]}.full"
            places = printed.get(source, 0)
            if _is_text(path) and len(all_reads) < places:
                refused[path] = (
                    f"it stands unchanged at {places - len(all_reads)} other places; change the fact if all are meant"
                )
                continue
            out[path] = all_reads[0]
        return out, refused

    def _printed(self) -> dict[str, int]:
        count: dict[str, int] = {}
        for base in self.base:
            pieces = [p for part in base.parts for p in part]
            if base.part in ("front", "signature"):
                pieces = [p for _, p in located(base) if p is not None]
            for piece in pieces:
                if isinstance(piece, Text | Blank) and piece.source:
                    count[piece.source] = count.get(piece.source, 0) + 1
        return count

    def _settle(self, lines: list[Line]) -> tuple[Agreement, Numbering, dict[str, Read]]:
        """Find the facts and the wording with which the case drafts as the document was edited."""
        facts, self.refused = self._candidates()
        for trial in range(_MOST_TRIALS):
            if trial == _MOST_TRIALS - 1:
                for path in facts:
                    self.refused[path] = "the agreement would not come out as edited"
                facts = {}
            try:
                text = changed_facts(self.found.case, {p: r.written for p, r in facts.items()}) if facts else None
                library = self._assembled(text)
            except FactsError as error:
                hit = {p.path for p in error.problems} & facts.keys() or set(facts)
                for path in hit:
                    self.refused[path] = f"the facts would not allow it: {error.problems[0].what}"
                    del facts[path]
                continue
            except WordingError:
                for path in facts:
                    self.refused[path] = "the agreement cannot be drafted with it"
                facts = {}
                continue
            made = self._negotiated(library, lines, facts)
            agreement, self.conflicts = wording.apply(library, made)
            try:
                numbering = number(agreement)
            except NumberingError as error:
                raise IntakeError(
                    f"{self.document.name}: its order of paragraphs cannot be numbered ({error})"
                ) from error
            wrong = self._not_as_expected(agreement, numbering, facts)
            if wrong and trial < _MOST_TRIALS - 1:
                for path in wrong:
                    self.refused[path] = "the paragraph would not come out as edited"
                    del facts[path]
                continue
            self.out.case_text = text
            self._keep_wording(made)
            return agreement, numbering, facts
        raise AssertionError("the last trial has no facts to refuse")

    def _assembled(self, text: str | None) -> Agreement:
        if text is None:
            return self.found.assembled
        case = read_text_case(text, self.found.case.path.name)
        figures = compute(case.facts)
        selection = select(self.found.library, case.facts, figures)
        return assemble(self.found.library, selection, case.facts)

    def _facts_of(self, comparison: Comparison, facts: Mapping[str, Read]) -> dict[int, str]:
        """The changed values of one comparison that are taken as facts, with the words they will be shown in."""
        out: dict[int, str] = {}
        for value in comparison.values:
            read = read_back(self.found.case.facts, value.source, value.old, value.new)
            if read is not None and read.path in facts and facts[read.path].written == read.written:
                out[value.piece] = read.shown
        return out

    def _negotiated(self, library: Agreement, lines: list[Line], facts: Mapping[str, Read]) -> Negotiated:
        old = self.found.negotiated
        known = frozenset(entry.id for entry in wording.flatten(self.found.agreement)) | frozenset(old.removed)
        made = structure(library, lines, known, self.new_nodes, old, self.round, self.new_rows, self.rows_removed)
        nodes = dict(node_index(library))
        reworded = dict(old.reworded)
        inserted = dict(made.inserted)
        for edit in self.edits:
            base = edit.base
            if not (base.is_node or base.part == "header") or not edit.cells_fit:
                continue
            parts = self._new_parts(edit, facts)
            if parts == entries.own_parts(base) or all(self._only_facts(c, facts) for c in edit.comparisons):
                continue
            if base.id in inserted:
                inserted[base.id] = entries.inserted_again(inserted[base.id], base, parts)
                continue
            node = nodes.get(base.id)
            if node is None:
                continue
            # Values are named by what the wording shows now; a fact that changes with them may show another value then.
            under = slots(p for part in parts_of(self.library.get(base.id, node)) for p in part)
            new = entries.reworded(base, parts, under, node, reworded.get(base.id), self.round)
            if entries.says_the_same(new, self.library.get(base.id, node), under):
                reworded.pop(base.id, None)
            else:
                reworded[base.id] = new
        # what is taken out needs no other words
        reworded = {node_id: entry for node_id, entry in reworded.items() if node_id not in made.removed}
        comments = [*old.comments]
        for remark in self.out.comments:
            one = Comment(remark.id, remark.author, remark.text, self.round)
            if one not in comments:
                comments.append(one)
        return replace(made, reworded=reworded, inserted=inserted, comments=tuple(comments))

    def _new_parts(self, edit: _Edit, facts: Mapping[str, Read]) -> tuple[tuple[Inline, ...], ...]:
        made = [c.wording(frozenset(self._facts_of(c, facts))) for c in edit.comparisons]
        if not isinstance(edit.base.node, Paragraph):
            return tuple((*heading, *content) for heading, content in made)
        heading, content = made[0]
        if heading and fold(
            entries.shown(heading) + stop(heading, self.found.numbering) + entries.shown(content)
        ) != fold(entries.shown((*heading, Text(edit.base.stop_words), *content))):
            comparison = edit.comparisons[0]
            comparison.without_heading()
            heading, content = comparison.wording(frozenset(self._facts_of(comparison, facts)))
        return heading, content

    def _not_as_expected(self, agreement: Agreement, numbering: Numbering, facts: Mapping[str, Read]) -> set[str]:
        """The facts in whose paragraphs the words do not come out as edited."""
        if not facts:
            return set()
        wrong: set[str] = set()
        references = References(numbering)
        nodes = dict(node_index(agreement))
        for edit in self.edits:
            for n, comparison in enumerate(edit.comparisons):
                shown = self._facts_of(comparison, facts)
                if not shown or not edit.base.is_node:
                    continue
                paths = {
                    r.path
                    for v in comparison.values
                    if v.piece in shown
                    for r in [read_back(self.found.case.facts, v.source, v.old, v.new)]
                    if r is not None
                }
                node = nodes.get(edit.base.id)
                if node is None:
                    wrong |= paths
                    continue
                now = entries.words_of(node, n, references, numbering)
                if now != comparison.expected(shown):
                    wrong |= paths
        return wrong & set(facts)

    def _keep_wording(self, made: Negotiated) -> None:
        self.made = made
        text = wording.write_wording(made) if made or self.found.negotiated.source else ""
        before = self.found.negotiated
        if replace(made, source="") != replace(before, source=""):
            self.out.wording_text = text

    # the report

    def _report_facts(self, facts: Mapping[str, Read], agreement: Agreement, numbering: Numbering) -> None:
        places: dict[str, list[str]] = {}
        remarks: dict[str, str] = {}
        shown_old: dict[str, tuple[str, str]] = {}
        for edit in self.edits:
            for comparison in edit.comparisons:
                for value in comparison.values:
                    read = read_back(self.found.case.facts, value.source, value.old, value.new)
                    if read is None or read.path not in facts:
                        continue
                    places.setdefault(read.path, []).append(self._where(edit.base))
                    shown_old.setdefault(read.path, (value.old, value.new))
                    if plain_spaces(read.shown) != plain_spaces(value.new):
                        remarks[read.path] = f"it will read: {plain_spaces(read.shown)}"
        for path, read in facts.items():
            old, new = shown_old[path]
            line = self.found.case.place(path).line
            self.out.facts.append(
                FactChange(
                    path, line, plain_spaces(old), plain_spaces(new), read.written,
                    tuple(dict.fromkeys(places[path])), remarks.get(path, ""),
                )
            )  # fmt: skip
        for conflict in self.conflicts:
            where = self.found.numbering[conflict.node].full if conflict.node in self.found.numbering else conflict.node
            self._left(None, where, f"{_UNFIT}{conflict.why}", conflict.negotiated)

    def _report_wording(self, facts: Mapping[str, Read]) -> None:
        for edit in self.edits:
            base = edit.base
            why = "; ".join(
                dict.fromkeys(
                    f"{v.source}: {self.refused[v.source]}"
                    for c in edit.comparisons
                    for v in c.values
                    if v.source in self.refused and v.piece not in self._facts_of(c, facts)
                )
            )
            if edit.how.how == "likeness":
                why = "; ".join(filter(None, (f"found by likeness ({edit.how.likeness:.0%}); check it", why)))
            if not (base.is_node or base.part == "header") or not edit.cells_fit:
                if not all(self._only_facts(c, facts) for c in edit.comparisons):
                    self._left(
                        self._index(edit.unit), self._where(base),
                        "this text is made by the program and cannot be reworded here" if edit.cells_fit
                        else "a row with other columns cannot be taken in",
                        f"{base.unit.text} → {edit.unit.text}",
                    )  # fmt: skip
                continue
            if all(self._only_facts(c, facts) for c in edit.comparisons):
                continue
            self.out.reworded.append(Rewording(base.id, self._where(base), base.unit.text, edit.unit.text, why))
        before = "the beginning"
        for e, unit in enumerate(self.edited):
            found = self.matching.of[e]
            if found is not None:
                before = self._where(self.base[found.base])
            elif e in self.new:
                remark = self.remarks.get(self.new[e], "") or self._split_from(e)
                self.out.inserted.append(NewText(self.new[e], unit.label, before, unit.text, remark))
        self._report_moves()

    def _index(self, unit: Unit) -> int:
        return next(n for n, one in enumerate(self.edited) if one is unit)

    def _only_facts(self, comparison: Comparison, facts: Mapping[str, Read]) -> bool:
        shown = self._facts_of(comparison, facts)
        before = [entries.token(p, self.references) for p in comparison.pieces]
        for value in comparison.values:
            if value.piece in shown:
                before[value.piece] = value.new
        return fold("".join(before)) == comparison.expected({})

    def _split_from(self, e: int) -> str:
        """Whether the new text stood in the paragraph before it."""
        text = self.edited[e].text
        for n in range(e - 1, -1, -1):
            found = self.matching.of[n]
            if found is not None:
                base = self.base[found.base]
                return f"split from {self._where(base)}" if len(text) > 20 and text in base.unit.text else ""
        return ""

    def _report_moves(self) -> None:
        old = self.found.negotiated
        for run in self.made.moved:
            if run in old.moved:
                continue
            for node_id in run.ids:
                if node_id in self.found.numbering and not any(
                    node_id in o.ids and o.after == run.after for o in old.moved
                ):
                    where = self.found.numbering[node_id].full
                    base = next((b for b in self.base if b.id == node_id), None)
                    text = base.unit.text if base else ""
                    self.out.moved.append(Shift(node_id, where, f"after {self._named(run.after)}", text))
        for node_id, level in self.made.levels.items():
            if old.levels.get(node_id) != level and node_id in self.found.numbering:
                base = next((b for b in self.base if b.id == node_id), None)
                before = f"level {self.found.numbering[node_id].level}"
                self.out.moved.append(Shift(node_id, before, f"level {level}", base.unit.text if base else ""))

    def _named(self, node_id: str) -> str:
        if not node_id:
            return "the beginning"
        return self.found.numbering[node_id].full if node_id in self.found.numbering else node_id

    # the last check: does the case draft as the document was edited?

    def _final_check(self, agreement: Agreement, numbering: Numbering, facts: Mapping[str, Read]) -> None:
        trial = self.base
        if facts or self.out.wording_text is not None:
            parts = document_parts(agreement, numbering, self.stamp)
            trial = link(units_of(read_parts(parts, "draft")), agreement, numbering)
        new_ids = {entry.id for entry in wording.flatten(agreement)} - set(self.nodes) - set(self.new_nodes)
        unedited = {n: self.base[m.base] for n, m in enumerate(self.matching.of) if m is not None}
        mine = [n for n, unit in enumerate(self.edited) if n not in self.covered and unit.text]
        theirs = [n for n, b in enumerate(trial) if b.unit.text]
        keys = [self.edited[n].key for n in mine]
        made = [trial[n].unit.key for n in theirs]
        moved_numbers = bool(facts) and bool(new_ids)
        for tag, i1, i2, j1, j2 in SequenceMatcher(None, keys, made, autojunk=False).get_opcodes():
            if tag == "equal":
                if not moved_numbers:
                    self._check_numbers(mine[i1:i2], [trial[n] for n in theirs[j1:j2]], numbering)
                continue
            here = {unedited[n].id: n for n in mine[i1:i2] if n in unedited and unedited[n].id}
            answered: set[int] = set()
            for n in theirs[j1:j2]:
                base = trial[n]
                same = here.get(base.id)
                was = unedited.get(same) if same is not None else None
                if same is not None and was is not None and self.edited[same].key == was.unit.key and facts:
                    self.out.follows.append(Follow(base.id, self._where(was), was.unit.text, base.unit.text))
                    answered.add(same)
                elif same is not None and was is not None and self._differs_by_facts(was, base, facts):
                    self.out.follows.append(Follow(base.id, self._where(was), self.edited[same].text, base.unit.text))
                    answered.add(same)
                elif base.id in new_ids:
                    shown = numbering[base.id].full if base.id in numbering else ""
                    self.out.follows.append(Follow(base.id, shown, "", base.unit.text))
                elif self._known_to_stay(base):
                    continue
                elif same is None or base.part in ("front", "closing"):
                    if facts and base.part in ("front", "signature", "closing", "header", "node"):
                        was_base = next((b for b in self.base if b.id == base.id and b.part == base.part), None)
                        text = was_base.unit.text if was_base else ""
                        self.out.follows.append(Follow(base.id, "", text, base.unit.text))
                    else:
                        self._left(
                            None, base.id, "the draft will hold this, but the edited document does not", base.unit.text
                        )
            for n in mine[i1:i2]:
                if n in answered:
                    continue
                was = unedited.get(n)
                if (
                    was is not None
                    and facts
                    and was.id
                    and was.id not in numbering
                    and self.edited[n].key == was.unit.key
                ):
                    self.out.follows.append(Follow(was.id, self._where(was), was.unit.text, ""))
                    continue
                where = self._where(was) if was else self.edited[n].label or "new text"
                drafted = next(
                    (trial[t].unit.text for t in theirs[j1:j2] if was is not None and trial[t].id == was.id), ""
                )
                text = f"{self.edited[n].text} → {drafted}" if drafted else self.edited[n].text
                self._left(None, where, "this does not come out as edited", text)

    def _differs_by_facts(self, was: Base, now: Base, facts: Mapping[str, Read]) -> bool:
        """Whether an edited unit differs from the draft only in a value whose words and figures disagreed."""
        for edit in self.edits:
            if edit.base.id != was.id or edit.base.part != was.part:
                continue
            if any(self._facts_of(c, facts) for c in edit.comparisons):
                expected = "\t".join(c.expected(self._facts_of(c, facts)) for c in edit.comparisons)
                return fold(expected) == fold(now.unit.key)
        return False

    def _known_to_stay(self, base: Base) -> bool:
        """Whether the draft keeps a unit that was already listed as left over."""
        stays = {(self.base[n].part, self.base[n].id, self.base[n].unit.key) for n in self.kept_out}
        listed = {
            (e.base.part, e.base.id, e.base.unit.key)
            for e in self.edits
            if not (e.base.is_node or e.base.part == "header") or not e.cells_fit
        }
        return (base.part, base.id, base.unit.key) in stays | listed

    def _check_numbers(self, mine: Sequence[int], trial: Sequence[Base], numbering: Numbering) -> None:
        for n, base in zip(mine, trial, strict=True):
            edited = self.edited[n].label
            if edited != base.unit.label and base.unit.label and not self._renumbered:
                self._left(
                    None, base.unit.label,
                    f"the document numbers it {edited or '(no number)'}; in the draft it is {base.unit.label}",
                    short(base.unit.text),
                )  # fmt: skip

    @property
    def _renumbered(self) -> bool:
        """Whether something left over takes or misses a number, so that later numbers differ and are not listed."""
        return any("number" in one.what for one in self.out.leftovers)


_TAB = Span("\t")
_STYLES = {
    "heading1": 0, "exhibitheading": 0, "para1": 1, "para2": 2, "para3": 3, "exhibitpara1": 1, "exhibitpara2": 2,
    "exhibitpara3": 3,
}  # fmt: skip


def _has_row(table: Table, row_id: str) -> bool:
    return any(row.id == row_id for row in table.rows) or (table.total is not None and table.total.id == row_id)


def _is_text(path: str) -> bool:
    try:
        shape = field_at(path).shape
    except UnknownPathError:
        return False
    return shape.form == "value" and shape.reader in ("text", "last_four")
