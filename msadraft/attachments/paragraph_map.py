"""The paragraph map: which numbered paragraph answers which item of which court form.

Takes an agreement, its numbering and the topics that each clause says it answers; gives rows in the order of the
paper and, turned round, the form items with every paragraph that answers them. Numbers are never typed: they come
from the numbering of the version that carries the same mark.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from msadraft.agreement.numbering import Numbering
from msadraft.attachments.items import Catalogue, Confidence, FormItem, UnknownFormError, Use, catalogue
from msadraft.tree import Agreement, Block, Inline, Paragraph, Plain, Reference, Section, Table, Text, walk

PARTS = ("judgment", "attachment", "proof", "support", "disclosure")
"""Parts of the data that a map covers unless forms are named: papers that go with an agreed judgment."""

PAPERS = {"settlement": "marital settlement agreement", "stipulated_judgment": "stipulated judgment"}
"""What a pointer calls each kind of paper."""

FIRST_WORDS = 12
_BLANK = "____"
_COUNT = re.compile(r"-\d+$")  # a label that is used again in its clause gets a count: "item-2"
_LAST_COUNTER = re.compile(r"(\d+|\([a-z]+\))$")


class MapError(ValueError):
    """The map cannot be made: a clause answers a topic that does not exist, or a form is not in the data."""


@dataclass(frozen=True, slots=True)
class FormAnswer:
    """One form item that one paragraph answers. `pointer` names that paragraph alone."""

    form: str
    revision: str
    item: str
    pointer: str
    confidence: Confidence
    label: str
    use: Use
    when: str


@dataclass(frozen=True, slots=True)
class MapRow:
    """One numbered paragraph (or an exhibit's table) and the form items that it answers.

    `number` is the full number as a person cites it; `text` is the beginning of the paragraph.
    """

    id: str
    number: str
    bookmark: str
    heading: str
    article: str
    clause: str
    text: str
    pointer: str
    topics: tuple[str, ...]
    forms: tuple[FormAnswer, ...]


@dataclass(frozen=True, slots=True)
class MapItem:
    """One form item with every paragraph that answers it; `ids` are the paragraphs in the order of the paper."""

    form: str
    revision: str
    item: str
    label: str
    use: Use
    when: str
    answer: str
    confidence: Confidence
    pointer: str
    ids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ParagraphMap:
    """The map of one version of one agreement. `mark` is that version's mark; `paper` is what pointers call it."""

    mark: str
    title: str
    paper: str
    rows: tuple[MapRow, ...]
    items: tuple[MapItem, ...]

    def answering(self, topic: str) -> tuple[MapRow, ...]:
        """Give the rows that answer `topic`; empty means that no form may point to the agreement for it."""
        return tuple(row for row in self.rows if topic in row.topics)

    def as_dict(self) -> dict[str, object]:
        """Give the map as plain lists and dictionaries, in the shape of `paragraph-map.json`."""
        return {
            "mark": self.mark,
            "title": self.title,
            "rows": [
                {
                    "id": row.id,
                    "number": row.number,
                    "bookmark": row.bookmark,
                    "heading": row.heading,
                    "article": row.article,
                    "clause": row.clause,
                    "text": row.text,
                    "forms": [
                        {
                            "form": a.form,
                            "revision": a.revision,
                            "item": a.item,
                            "pointer": a.pointer,
                            "confidence": a.confidence,
                            "label": a.label,
                            "use": a.use,
                            "when": a.when,
                        }
                        for a in row.forms
                    ],
                }
                for row in self.rows
            ],
            "items": [
                {
                    "form": i.form,
                    "revision": i.revision,
                    "item": i.item,
                    "label": i.label,
                    "pointer": i.pointer,
                    "confidence": i.confidence,
                    "use": i.use,
                    "when": i.when,
                    "ids": list(i.ids),
                }
                for i in self.items
            ],
        }


def paragraph_map(
    agreement: Agreement,
    numbering: Numbering,
    answers: Mapping[str, tuple[str, ...]],
    mark: str,
    paper: str = "",
    *,
    forms: Iterable[str | tuple[str, str]] | None = None,
    on: date | None = None,
    data: Catalogue | None = None,
) -> ParagraphMap:
    """Give the paragraph map of `agreement`.

    Args:
        agreement: the tree.
        numbering: its numbers.
        answers: for a clause id the topics that its level-1 paragraphs answer; for `clause id/label` those of the
            paragraphs with that label, whatever their level. The id of one instance of a repeated clause
            (`support.paid:petitioner`) may stand for the clause id.
        mark: the mark of this version.
        paper: what a pointer calls the paper, or a key of `PAPERS`; taken from the title when empty.
        forms: the forms of the packet, by name or by name and printing; None takes every form in `PARTS`.
        on: the day whose printings apply; None takes the latest known.
        data: form data other than the package's own.

    Raises:
        MapError: a topic does not exist, or a form or printing is not in the data.
    """
    source = data or catalogue()
    _refuse_unknown_topics(answers, source)
    paper = PAPERS.get(paper, paper) or paper_name(agreement.title)
    try:
        editions = source.chosen(forms, on)
    except UnknownFormError as error:
        raise MapError(str(error)) from error
    items = [i for e in editions if forms is not None or e.part in PARTS for i in e.items if i.cites]
    whole, labelled = _split(answers)
    found: list[tuple[str, Block, str, str, tuple[str, ...]]] = []
    headings: dict[str, str] = {}
    for section in agreement.sections:
        article = _shown(section.heading, numbering)
        for block, number, level in _blocks(section, numbering, whole):
            heading = _shown(block.heading, numbering) if isinstance(block, Paragraph) else ""
            headings.setdefault(block.clause, heading)
            topics = _topics_of(block, level, whole, labelled)
            found.append((article, block, number, heading or headings[block.clause], topics))
    places = _places(tuple(number for _, _, number, _, _ in found))
    citing = _by_topic(items)
    rows = tuple(_row(place, citing, numbering, paper) for place in found)
    return ParagraphMap(mark, agreement.title, paper, rows, tuple(_summary(items, rows, places, paper)))


def paper_name(title: str) -> str:
    """Give what a pointer calls a paper with this title: a stipulated judgment, or a marital settlement agreement."""
    return PAPERS["stipulated_judgment" if "judgment" in title.lower() else "settlement"]


def pointer(numbers: Iterable[str], paper: str, order: Sequence[str]) -> str:
    """Give the words that point to paragraphs: "See paragraphs 4.3 to 4.5 and 5.1 of the attached …".

    `order` lists all numbers of the paper in its own order. A range stands for three or more paragraphs of one level
    that follow each other with nothing between them, so it names exactly those. A paragraph whose parent is named
    as well is left out, since the parent includes it. "" when there is no number.

    Raises:
        MapError: a number is not in `order`.
    """
    return _pointer(numbers, paper, _places(tuple(order)))


def _pointer(numbers: Iterable[str], paper: str, places: Mapping[str, _Place]) -> str:
    named = _cited(numbers, places)
    paragraphs = [n for n in named if not n.startswith("Exhibit ")]
    exhibits = [n for n in named if n.startswith("Exhibit ")]
    ranges = _ranges(paragraphs, places)
    parts = [f"{a} to {b}" if a != b else a for a, b in ranges]
    spoken = []
    if parts:
        spoken.append(f"paragraph{'s' if len(paragraphs) > 1 else ''} {_joined(parts)}")
    if exhibits:
        spoken.append(_joined(exhibits))
    return f"See {' and '.join(spoken)} of the attached {paper}." if spoken else ""


def _pointer_to_one(number: str, paper: str) -> str:
    """What `pointer` says of one number, of which nothing need be found out."""
    return f"See {'' if number.startswith('Exhibit ') else 'paragraph '}{number} of the attached {paper}."


def cited(numbers: Iterable[str], order: Sequence[str]) -> list[str]:
    """Give `numbers` in the order of the paper, each once, without those whose parent is among them.

    Raises:
        MapError: a number is not in `order`.
    """
    return _cited(numbers, _places(tuple(order)))


def _cited(numbers: Iterable[str], places: Mapping[str, _Place]) -> list[str]:
    wanted = set(numbers)
    if missing := sorted(number for number in wanted if number not in places):
        raise MapError(f"paragraph {missing[0]} is not in this version of the paper")
    kept = sorted(wanted, key=lambda n: places[n].rank)
    return [n for n in kept if not any(n[:bracket] in wanted for bracket in _brackets(n))]


def _brackets(number: str) -> Iterator[int]:
    """Where the brackets of a number open: what stands before one is the number of a paragraph that includes it."""
    return (place for place, sign in enumerate(number) if sign == "(")


class _Place(NamedTuple):
    """Where a number stands: its rank in the paper, what its siblings share, and its rank among them."""

    rank: int
    family: str
    among: int


@functools.lru_cache(maxsize=8)
def _places(order: tuple[str, ...]) -> Mapping[str, _Place]:
    families: dict[str, int] = {}
    places: dict[str, _Place] = {}
    for rank, number in enumerate(dict.fromkeys(order)):
        # "4." for 4.3, "4.3" for 4.3(a), nothing for a paragraph counted straight through
        family = _LAST_COUNTER.sub("", number)
        places[number] = _Place(rank, family, families.get(family, 0))
        families[family] = families.get(family, 0) + 1
    return places


def _ranges(numbers: Sequence[str], places: Mapping[str, _Place]) -> list[tuple[str, str]]:
    runs: list[list[str]] = []
    for number in numbers:
        here, before = places[number], places[runs[-1][-1]] if runs else None
        if before and before.family == here.family and before.among + 1 == here.among:
            runs[-1].append(number)
        else:
            runs.append([number])
    pairs: list[tuple[str, str]] = []
    for run in runs:
        pairs += [(run[0], run[-1])] if len(run) > 2 else [(n, n) for n in run]
    return pairs


def _joined(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _refuse_unknown_topics(answers: Mapping[str, tuple[str, ...]], data: Catalogue) -> None:
    for key, topics in answers.items():
        for topic in topics:
            if topic not in data.topics:
                raise MapError(f"clause {key} answers {topic!r}, which is not a topic of the court forms")


def _split(
    answers: Mapping[str, tuple[str, ...]],
) -> tuple[dict[str, tuple[str, ...]], dict[str, dict[str, tuple[str, ...]]]]:
    """Part the answers of whole clauses (by clause) from those of single labels (by clause, then by label)."""
    whole: dict[str, tuple[str, ...]] = {}
    labelled: dict[str, dict[str, tuple[str, ...]]] = {}
    for key, topics in answers.items():
        clause, slash, label = key.partition("/")
        if slash:
            labelled.setdefault(clause, {})[label] = topics
        else:
            whole[clause] = topics
    return whole, labelled


def _blocks(
    section: Section, numbering: Numbering, whole: Mapping[str, tuple[str, ...]]
) -> Iterator[tuple[Block, str, int]]:
    """Yield (block, number, level) for each paragraph, and for an exhibit's table or text that stands for its clause.

    A table has no number of its own. Where a clause answers a topic with a table alone, as a schedule does, it is
    cited by its exhibit; inside an article such a clause has nothing to cite.
    """
    blocks = list(walk(section.blocks))
    spoken = {b.clause for b in blocks if isinstance(b, Paragraph)}
    for block in blocks:
        if isinstance(block, Paragraph):
            yield block, numbering[block.id].full, block.level
        elif (
            isinstance(block, Table | Plain)
            and section.kind == "exhibit"
            and (block.clause in whole or block.id.partition("/")[0] in whole)
            and block.clause not in spoken
        ):
            spoken.add(block.clause)
            yield block, numbering[section.id].full, 1


def _topics_of(
    block: Block,
    level: int,
    whole: Mapping[str, tuple[str, ...]],
    labelled: Mapping[str, Mapping[str, tuple[str, ...]]],
) -> tuple[str, ...]:
    instance, _, label = block.id.partition("/")
    topics: list[str] = []
    for key in dict.fromkeys((block.clause, instance)):
        if level == 1:
            topics += whole.get(key, ())
        topics += labelled.get(key, {}).get(_COUNT.sub("", label), ())
    return tuple(dict.fromkeys(topics))


def _by_topic(items: Sequence[FormItem]) -> Mapping[str, tuple[tuple[int, FormItem], ...]]:
    """The items that cite each topic, each with its place in the list of items."""
    found: dict[str, list[tuple[int, FormItem]]] = {}
    for n, item in enumerate(items):
        for topic in item.cites:
            found.setdefault(topic, []).append((n, item))
    return {topic: tuple(entries) for topic, entries in found.items()}


def _row(
    place: tuple[str, Block, str, str, tuple[str, ...]],
    citing: Mapping[str, tuple[tuple[int, FormItem], ...]],
    numbering: Numbering,
    paper: str,
) -> MapRow:
    article, block, number, heading, topics = place
    here = _pointer_to_one(number, paper)
    cited = sorted({n: item for topic in topics for n, item in citing.get(topic, ())}.items())
    forms = tuple(FormAnswer(i.form, i.revision, i.item, here, i.confidence, i.label, i.use, i.when) for _, i in cited)
    content: tuple[Inline, ...] = ()
    if isinstance(block, Table):
        content = block.caption
    elif isinstance(block, Paragraph | Plain):
        content = block.content
    return MapRow(
        block.id,
        number,
        numbering[block.id].bookmark,
        heading,
        article,
        block.clause,
        _beginning(_shown(content, numbering)),
        here,
        topics,
        forms,
    )


def _summary(
    items: Sequence[FormItem], rows: Sequence[MapRow], places: Mapping[str, _Place], paper: str
) -> Iterator[MapItem]:
    answering_rows: dict[str, list[int]] = {}
    for n, row in enumerate(rows):
        for topic in row.topics:
            answering_rows.setdefault(topic, []).append(n)
    for i in items:
        answering = [rows[n] for n in sorted({n for topic in i.cites for n in answering_rows.get(topic, ())})]
        if answering:
            yield MapItem(
                i.form,
                i.revision,
                i.item,
                i.label,
                i.use,
                i.when,
                i.answer,
                i.confidence,
                _pointer([row.number for row in answering], paper, places),
                tuple(row.id for row in answering),
            )


def _shown(content: tuple[Inline, ...], numbering: Numbering) -> str:
    if not content:
        return ""
    said = ""
    for piece in content:
        if isinstance(piece, Text):
            said += piece.text
        elif isinstance(piece, Reference):
            said += numbering[piece.target].full
        else:
            said += _BLANK
    return " ".join(said.split())


def _beginning(text: str) -> str:
    words = text.split(" ", FIRST_WORDS)
    return text if len(words) <= FIRST_WORDS else " ".join(words[:FIRST_WORDS]) + " …"
