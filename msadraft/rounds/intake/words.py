"""Compare the words of one paragraph with the pieces that it was drafted from.

The result tells which values were changed, and gives the new wording as pieces: a value that still stands keeps its
fact, a reference its target, and everything else is literal text.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from difflib import SequenceMatcher
from functools import partial

from msadraft.agreement.numbering import Numbering
from msadraft.rounds.intake.read import Span, fold
from msadraft.tree import Blank, Inline, Reference, Text
from msadraft.writers.inline import BLANK, clean

_TOKEN = re.compile(r"\ue000[^\ue001]*\ue001|\$?\d+(?:,\d{3})*(?:\.\d+)?|\w+|\s+|[^\w\s]")
_LONGEST_REST = 12
MOST_TOKENS = 6000
"""Beyond so many words a paragraph is not compared word by word; it counts as rewritten."""


@dataclass(slots=True)
class _Token:
    text: str
    raw: str
    bold: bool = False
    italic: bool = False
    refs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Value:
    """A value of the draft and the words that now stand in its place. `piece` counts the pieces of the paragraph."""

    piece: int
    source: str
    old: str
    new: str


@dataclass(slots=True)
class Comparison:
    """The words of one paragraph, before and after. Zones are 0 for a run-in heading and 1 for the text."""

    pieces: list[Inline]
    values: list[Value] = field(default_factory=list)
    _tokens: list[_Token] = field(default_factory=list)
    _starts: dict[int, tuple[int, int]] = field(default_factory=dict)
    _zone: tuple[int, int] = (0, 0)
    _resolve: Callable[[tuple[str, ...]], tuple[Inline, ...] | None] = lambda refs: None

    def wording(self, facts: frozenset[int] = frozenset()) -> tuple[tuple[Inline, ...], tuple[Inline, ...]]:
        """Give (heading, text). The changed values counted in `facts` stay values; others become literal."""
        heading_end, text_start = self._zone
        return self._emit(0, heading_end, facts, heading=True), self._emit(text_start, len(self._tokens), facts)

    def without_heading(self) -> None:
        """Take all words as text: what was the heading can no longer be told from it."""
        self._zone = (0, 0)

    def _emit(self, start: int, end: int, facts: frozenset[int], heading: bool = False) -> tuple[Inline, ...]:
        out: list[Inline] = []
        changed = {value.piece for value in self.values}
        at = start
        while at < end:
            piece, stop_at = self._starts.get(at, (-1, 0))
            if piece >= 0 and at < stop_at <= end and (piece not in changed or piece in facts):
                out.append(self.pieces[piece])
                at = stop_at
                continue
            token = self._tokens[at]
            at += 1
            resolved = self._resolve(token.refs) if token.refs else None
            if resolved is not None:
                last = out[-1] if out else None
                if isinstance(last, Text) and not last.source and last.text.endswith("\u00a0"):
                    # the writer keeps the word before a number together with it by itself
                    out[-1] = replace(last, text=f"{last.text[:-1]} ")
                out.extend(resolved)
                continue
            bold = token.bold and not heading
            last = out[-1] if out else None
            if isinstance(last, Text) and not last.source and (last.bold, last.italic) == (bold, token.italic):
                out[-1] = Text(last.text + token.raw, "", bold, token.italic)
            else:
                out.append(Text(token.raw, "", bold, token.italic))
        return trimmed(out)

    def expected(self, shown: dict[int, str]) -> str:
        """Give the words as they should come out, with the values counted in `shown` as they will be shown there."""
        out: list[str] = []
        at = 0
        while at < len(self._tokens):
            piece, stop_at = self._starts.get(at, (-1, 0))
            if piece in shown and stop_at > at:
                out.append(shown[piece])
                at = stop_at
            else:
                out.append(self._tokens[at].text)
                at += 1
        return fold("".join(out))


def trimmed(pieces: Sequence[Inline]) -> tuple[Inline, ...]:
    """Give pieces without white space at the two ends, and without empty ones."""
    out = list(pieces)
    while out and isinstance(out[0], Text) and not out[0].source and not out[0].text.strip():
        out.pop(0)
    while out and isinstance(out[-1], Text) and not out[-1].source and not out[-1].text.strip():
        out.pop()
    if out and isinstance(out[0], Text) and not out[0].source:
        out[0] = Text(out[0].text.lstrip(), "", out[0].bold, out[0].italic)
    if out and isinstance(out[-1], Text) and not out[-1].source:
        out[-1] = Text(out[-1].text.rstrip(), "", out[-1].bold, out[-1].italic)
    return tuple(piece for piece in out if not (isinstance(piece, Text) and not piece.text))


class References:
    """Turns the bookmarks of number fields into references, and back."""

    def __init__(self, numbering: Numbering) -> None:
        self.numbering = numbering
        self._by_bookmark = {entry.bookmark: node_id for node_id, entry in numbering.by_id.items()}

    def token(self, target: str) -> str:
        """Give the token of a reference, as the reader of documents makes it."""
        if target not in self.numbering:
            return target
        return f"\ue000{'+'.join(name for name, _ in self.numbering.shown(target))}\ue001"

    def resolve(self, refs: tuple[str, ...]) -> tuple[Inline, ...] | None:
        """Give the references that a run of fields shows; None if they are not a chain that we write."""
        out: list[Inline] = []
        at = 0
        while at < len(refs):
            for end in range(min(len(refs), at + 4), at, -1):
                target = self._by_bookmark.get(refs[end - 1])
                if target and tuple(name for name, _ in self.numbering.shown(target)) == refs[at:end]:
                    out.append(Reference(target))
                    at = end
                    break
            else:
                return None
        return tuple(out)


def compare(
    heading: Sequence[Inline],
    stop: str,
    content: Sequence[Inline],
    spans: Sequence[Span],
    references: References,
    readable: Callable[[str, str, str], bool] = lambda source, old, new: True,
) -> Comparison:
    """Compare the drafted pieces of a paragraph with its edited words.

    `readable` says whether new words can be read as the value of a fact (source, old words, new words). A comparison
    of words may cut a value short ("March 3" of "March 3, 2027" where a comma followed a blank); then more words are
    tried, up to where the paragraph goes on as drafted.
    """
    pieces: list[Inline | str] = [*heading, *([stop] if stop else []), *content]
    before: list[str] = []
    ranges: list[tuple[int, int]] = []
    for piece in pieces:
        start = len(before)
        before += _before(piece, references, bool(before) and before[-1] == " ")
        ranges.append((start, len(before)))
    ranges.append((len(before), len(before)))
    marks = [ranges[min(n, len(pieces))][0] for n in (len(heading), len(heading) + bool(stop))]
    after = _after(spans)
    starts, ends = _maps(before, [token.text for token in after])
    kept: list[Inline] = [Text(p) if isinstance(p, str) else p for p in pieces]
    result = Comparison(kept, _tokens=after, _resolve=references.resolve)
    for n, piece in enumerate(pieces):
        start, end = ranges[n]
        at, to = starts.get(start), ends.get(end)
        if isinstance(piece, str) or start == end or at is None or to is None or at > to:
            continue
        same = [token.text for token in after[at:to]] == before[start:end]
        if isinstance(piece, Text) and not piece.source:
            continue
        if same:
            result._starts[at] = (n, to)
        elif not isinstance(piece, Reference) and at < to:
            shown = "" if isinstance(piece, Blank) else piece.text
            to = _whole_value(before[end : end + 1], after, at, to, partial(readable, piece.source, shown))
            new = "".join(token.raw for token in after[at:to])
            result._starts[at] = (n, to)
            result.values.append(Value(n, piece.source, shown, new))
    result._zone = _zone(bool(heading), marks, ends)
    return result


def _whole_value(following: list[str], after: list[_Token], at: int, to: int, readable: Callable[[str], bool]) -> int:
    def words(end: int) -> str:
        return "".join(token.raw for token in after[at:end])

    if readable(words(to)):
        return to
    for end in range(to + 1, min(len(after), to + _LONGEST_REST) + 1):
        if [token.text for token in after[end : end + 1]] == following and readable(words(end)):
            return end
    return to


def _zone(has_heading: bool, marks: list[int], ends: dict[int, int]) -> tuple[int, int]:
    """Where the heading ends and the text starts in the new words; (0, 0) if there is no heading any more."""
    if not has_heading:
        return 0, 0
    heading_end, text_start = ends.get(marks[0]), ends.get(marks[1])
    if heading_end is None or text_start is None or text_start < heading_end:
        return 0, 0
    return heading_end, text_start


def _before(piece: Inline | str, references: References, after_space: bool) -> list[str]:
    if isinstance(piece, Reference):
        return [references.token(piece.target)]
    text = piece if isinstance(piece, str) else BLANK if isinstance(piece, Blank) else clean(piece.text)
    out: list[str] = []
    for token in _TOKEN.findall(text):
        word = " " if token.isspace() else token
        if word == " " and (out[-1] == " " if out else after_space):
            continue
        out.append(word)
    return out


def _after(spans: Sequence[Span]) -> list[_Token]:
    raw = ""
    owners: list[tuple[int, Span]] = []
    for span in spans:
        owners.append((len(raw), span))
        raw += f"\ue000{'+'.join(span.refs)}\ue001" if span.refs else clean(span.text)
    out: list[_Token] = []
    owner = 0
    for match in _TOKEN.finditer(raw):
        while owner + 1 < len(owners) and owners[owner + 1][0] <= match.start():
            owner += 1
        span = owners[owner][1] if owners else Span("")
        text = match[0]
        if text.isspace():
            if out and out[-1].text == " ":
                continue
            out.append(_Token(" ", "\u00a0" if text == "\u00a0" else " ", span.bold, span.italic))
        elif text.startswith("\ue000"):
            out.append(_Token(text, span.text, span.bold, span.italic, span.refs))
        else:
            out.append(_Token(text, text, span.bold, span.italic))
    while out and out[0].text == " ":
        out.pop(0)
    while out and out[-1].text == " ":
        out.pop()
    return out


def _maps(before: list[str], after: list[str]) -> tuple[dict[int, int], dict[int, int]]:
    """Map the places between tokens: as the start and as the end of a stretch. Places inside a change have no image."""
    starts: dict[int, int] = {}
    ends: dict[int, int] = {0: 0}
    if len(before) + len(after) > MOST_TOKENS:
        return {0: 0}, {0: 0, len(before): len(after)}
    for tag, i1, i2, j1, j2 in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if tag == "insert":
            continue
        starts[i1] = j1
        ends[i2] = j2
        if tag == "equal":
            for n in range(1, i2 - i1):
                starts[i1 + n] = ends[i1 + n] = j1 + n
    return starts, ends


def pieces_of(spans: Sequence[Span], references: References) -> tuple[tuple[Inline, ...], tuple[Inline, ...]]:
    """Give (heading, text) of a paragraph that was not drafted by us: bold words before other text are its heading."""
    bare = Comparison([], _tokens=_after(spans), _resolve=references.resolve)
    _, content = bare.wording()
    cut = 0
    while cut < len(content):
        piece = content[cut]
        if not (isinstance(piece, Text) and (piece.bold or not piece.text.strip())):
            break
        cut += 1
    if not 0 < cut < len(content):
        return (), content
    heading = trimmed([Text(p.text) for p in content[:cut] if isinstance(p, Text)])
    last = heading[-1] if heading else None
    rest = trimmed(content[cut:])
    # The writer puts the full stop after a run-in heading itself.
    if isinstance(last, Text) and last.text.endswith(".") and len(last.text) > 1 and rest:
        return (*heading[:-1], Text(last.text[:-1])), rest
    return (), content
