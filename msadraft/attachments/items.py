"""Items of the official court forms, as dated data: what each asks for and which topics of an agreement answer it.

The data are CSV files beside this module: `data/topics.csv` (the vocabulary), `data/forms.csv` (one line for each
form and printing) and one file of items for each printing. Labels and advice are in our own words; the printed form
controls. An item carries a confidence: "confirmed" (read in the official text and borne out by something else),
"single" (read in one copy of the official text) or "memory" (not read; show it only with a warning).

Two printings of one form stand side by side. A lookup takes the printing that is named, or the latest issued on or
before a day that the caller gives, or the latest known. Nothing here reads the clock.
"""

from __future__ import annotations

import csv
import functools
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from types import MappingProxyType
from typing import Literal, Protocol, cast, get_args

Kind = Literal["check", "text", "table", "amount", "date", "person"]
Use = Literal["cite", "check", "match", "printed", "facts", "blank"]
Confidence = Literal["confirmed", "single", "memory"]
Part = Literal[
    "judgment",
    "attachment",
    "proof",
    "support",
    "disclosure",
    "stipulation",
    "bifurcation",
    "temporary",
    "start",
    "guide",
]
Status = Literal["mandatory", "optional", "federal", ""]

USES: Mapping[Use, str] = MappingProxyType(
    {
        "cite": "The line takes words: write the pointer there, after any figure it asks for",
        "check": "A box to mark; the paragraph is the reason for the mark",
        "match": "The line takes its own words, and the paragraph must say the same",
        "printed": "Nothing to fill in; no paragraph may say otherwise",
        "facts": "Filled in from the facts of the case; no paragraph is cited",
        "blank": "Left empty on an agreed judgment, or left for the court",
    }
)
"""What the preparer does with an item, by its `use`."""

_KINDS, _USES = get_args(Kind), get_args(Use)
_CONFIDENCES: tuple[Confidence, ...] = get_args(Confidence)
_USES_OF_PARAGRAPHS = ("cite", "check", "match", "printed")
_TOPIC_COLUMNS = ("topic", "covers")
_FORM_COLUMNS = ("form", "revision", "part", "status", "title", "file", "source", "confirmed_by", "caution")
_ITEM_COLUMNS = ("item", "label", "kind", "use", "when", "answer", "topic", "cites", "confidence")
_TOPIC = re.compile(r"[a-z][a-z-]*(\.[a-z][a-z-]*)*")
_FILE = re.compile(r"[a-z0-9-]+_[a-z0-9-]+\.csv")


class FormDataError(ValueError):
    """The form data cannot be used. The text has a line for each problem: file, line, column, what and how to mend."""


class UnknownFormError(ValueError):
    """A form, a printing of it, or a topic was asked for that is not in the data."""


@dataclass(frozen=True, slots=True)
class FormItem:
    """One line or box of one printing of a form.

    `topic` says what the item is about; `cites` are the topics whose paragraphs it rests on or points to, empty
    when no paragraph is cited. `use` is explained by `USES`.
    """

    form: str
    revision: str
    item: str
    label: str
    kind: Kind
    use: Use
    when: str
    answer: str
    topic: str
    cites: tuple[str, ...]
    confidence: Confidence
    source: str

    @property
    def topics(self) -> tuple[str, ...]:
        """Every topic that the item touches, its own first."""
        return (self.topic, *(t for t in self.cites if t != self.topic))


@dataclass(frozen=True, slots=True)
class Edition:
    """One printing of one form. `issued` is None when the day of the printing is not known."""

    form: str
    revision: str
    part: Part
    status: Status
    title: str
    source: str
    caution: str
    issued: date | None
    items: tuple[FormItem, ...]


def by_confidence(items: Iterable[Confidence]) -> dict[Confidence, int]:
    """Count confidences: how many of some items are confirmed, read once, and from memory."""
    found = Counter(items)
    return {confidence: found[confidence] for confidence in _CONFIDENCES}


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All topics and all printings, with lookups."""

    topics: Mapping[str, str]
    editions: tuple[Edition, ...]
    _by_form: Mapping[str, tuple[Edition, ...]] = field(repr=False)

    def edition(self, form: str, revision: str | None = None, on: date | None = None) -> Edition:
        """Give the printing `revision` of `form`, or the latest issued on or before `on`, or the latest known.

        When `on` is before every known printing the earliest is given: nothing older is known.

        Raises:
            UnknownFormError: the form, or that printing of it, is not in the data.
        """
        known = self._by_form.get(form)
        if known is None:
            raise UnknownFormError(f"form {form!r} is not in the data; known forms: {', '.join(self._by_form)}")
        if revision is not None:
            for found in known:
                if found.revision == revision:
                    return found
            raise UnknownFormError(
                f"form {form} has no printing {revision!r}; known: {', '.join(e.revision for e in known)}"
            )
        if on is None:
            return known[-1]
        in_use = [e for e in known if e.issued is None or e.issued <= on]
        return in_use[-1] if in_use else known[0]

    def chosen(
        self, forms: Iterable[str | tuple[str, str]] | None = None, on: date | None = None
    ) -> tuple[Edition, ...]:
        """Give one printing of each form in `forms` (a name, or a name and its printing); None means every form.

        Raises:
            UnknownFormError: a form or printing is not in the data.
        """
        wanted = self._by_form if forms is None else forms
        return tuple(
            self.edition(f, on=on) if isinstance(f, str) else self.edition(f[0], f[1]) for f in dict.fromkeys(wanted)
        )

    def items_for(
        self, topic: str, forms: Iterable[str | tuple[str, str]] | None = None, on: date | None = None
    ) -> tuple[FormItem, ...]:
        """Give the items that touch `topic`, in the order of the data.

        Raises:
            UnknownFormError: the topic, a form or a printing is not in the data.
        """
        if topic not in self.topics:
            raise UnknownFormError(f"{topic!r} is not a topic of the court forms")
        return tuple(item for e in self.chosen(forms, on) for item in e.items if topic in item.topics)


class Folder(Protocol):
    """A folder of data: what `pathlib.Path` and the package's own resources have in common."""

    def joinpath(self, *names: str) -> Folder:
        """Give the file or folder of that name."""

    def read_text(self, encoding: str) -> str:
        """Give the text of the file."""


def items_for(
    topic: str, forms: Iterable[str | tuple[str, str]] | None = None, on: date | None = None
) -> tuple[FormItem, ...]:
    """Give the items of the package's own data that touch `topic`; see `Catalogue.items_for`."""
    return catalogue().items_for(topic, forms, on)


@functools.cache
def catalogue() -> Catalogue:
    """Give the package's own form data, read and checked once.

    Raises:
        FormDataError: the installed data are damaged.
    """
    from importlib import resources  # late: nothing else here needs it

    return read_catalogue(cast(Folder, resources.files("msadraft.attachments").joinpath("data")))


def read_catalogue(folder: Folder) -> Catalogue:
    """Read and check the form data in `folder`.

    Raises:
        FormDataError: with every problem found, one on a line.
    """
    problems: list[str] = []
    topics: dict[str, str] = {}
    for where, (topic, covers) in _lines(folder, "topics.csv", _TOPIC_COLUMNS, problems):
        if not _TOPIC.fullmatch(topic):
            problems.append(f"{where}: topic: {topic!r} is not made of lower-case words, hyphens and dots")
        if topic in topics:
            problems.append(f"{where}: topic: {topic!r} stands here for the second time; take one out")
        if not covers:
            problems.append(f"{where}: covers: empty; say in a few words what the topic covers")
        topics[topic] = covers
    editions = list(_editions(folder, topics, problems))
    if problems:
        raise FormDataError("\n".join(problems))
    by_form: dict[str, tuple[Edition, ...]] = {}
    for edition in editions:
        by_form[edition.form] = (*by_form.get(edition.form, ()), edition)
    for form, known in by_form.items():
        by_form[form] = tuple(sorted(known, key=lambda e: (e.issued or date.min, e.revision)))
    return Catalogue(MappingProxyType(topics), tuple(editions), MappingProxyType(by_form))


def _editions(folder: Folder, topics: Mapping[str, str], problems: list[str]) -> Iterator[Edition]:
    seen: set[tuple[str, str]] = set()
    for where, cells in _lines(folder, "forms.csv", _FORM_COLUMNS, problems):
        form, revision, part, status, title, file, source, confirmed_by, caution = cells
        before = len(problems)
        problems += _empty(where, {"form": form, "revision": revision, "title": title, "source": source})
        problems += _outside(where, "part", part, get_args(Part))
        problems += _outside(where, "status", status, get_args(Status))
        if (form, revision) in seen:
            problems.append(f"{where}: revision: {form} {revision} stands here for the second time; take one out")
        if not _FILE.fullmatch(file):
            problems.append(f"{where}: file: {file!r} is not a name such as fl-180_2012-07-01.csv")
        seen.add((form, revision))
        if len(problems) > before:
            continue
        sources = {"confirmed": f"{source}; {confirmed_by}" if confirmed_by else source}
        items = tuple(_items(folder, file, form, revision, source, sources, topics, problems))
        yield Edition(
            form, revision, cast(Part, part), cast(Status, status), title, source, caution, _issued(revision), items
        )


def _items(
    folder: Folder,
    file: str,
    form: str,
    revision: str,
    source: str,
    sources: Mapping[str, str],
    topics: Mapping[str, str],
    problems: list[str],
) -> Iterator[FormItem]:
    seen: set[str] = set()
    for where, cells in _lines(folder, f"items/{file}", _ITEM_COLUMNS, problems):
        item, label, kind, use, when, answer, topic, cited, confidence = cells
        cites = tuple(cited.split())
        problems += _empty(where, {"item": item, "label": label, "when": when, "answer": answer})
        problems += _outside(where, "kind", kind, _KINDS)
        problems += _outside(where, "use", use, _USES)
        problems += _outside(where, "confidence", confidence, _CONFIDENCES)
        problems += _outside(where, "topic", topic, topics)
        for name in cites:
            problems += _outside(where, "cites", name, topics)
        if len(set(cites)) != len(cites):
            problems.append(f"{where}: cites: a topic is named twice")
        if cites and use not in _USES_OF_PARAGRAPHS:
            problems.append(f"{where}: cites: must be empty where use is {use!r}")
        if not cites and use in ("cite", "check", "match"):
            problems.append(f"{where}: cites: empty; name a topic, or make use 'facts' or 'blank'")
        if item in seen:
            problems.append(f"{where}: item: {form} {revision} has item {item!r} twice; take one out")
        seen.add(item)
        yield FormItem(
            form,
            revision,
            item,
            label,
            cast(Kind, kind),
            cast(Use, use),
            when,
            answer,
            topic,
            cites,
            cast(Confidence, confidence),
            sources.get(confidence, source),
        )


def _lines(folder: Folder, name: str, columns: tuple[str, ...], problems: list[str]) -> Iterator[tuple[str, list[str]]]:
    """Yield (file and line, cells) for each line of one file that has the right number of cells."""
    try:
        text = folder.joinpath(*name.split("/")).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        problems.append(f"{name}: cannot be read ({error}); put the file back as it was delivered")
        return
    reader = csv.reader(text.splitlines(), strict=True)
    try:
        if tuple(next(reader, ())) != columns:
            problems.append(f"{name}:1: the first line must be {','.join(columns)}")
            return
        for cells in reader:
            where = f"{name}:{reader.line_num}"
            if len(cells) != len(columns):
                problems.append(
                    f"{where}: {len(cells)} cells where {len(columns)} are due; look for a comma outside quotes"
                )
                continue
            if any(cell != cell.strip() for cell in cells):
                problems.append(f"{where}: a cell begins or ends with a space; take it out")
            yield where, cells
    except csv.Error as error:
        problems.append(f"{name}:{reader.line_num}: {error}; look for a quote that is not closed")


def _empty(where: str, cells: Mapping[str, str]) -> list[str]:
    return [f"{where}: {column}: empty; every line needs one" for column, value in cells.items() if not value]


def _outside(where: str, column: str, value: str, allowed: Iterable[str]) -> list[str]:
    if value in allowed:
        return []
    names = list(allowed)
    listed = ", ".join(repr(name) for name in names) if len(names) < 12 else "the names in topics.csv"
    return [f"{where}: {column}: {value!r} is not one of {listed}"]


def _issued(revision: str) -> date | None:
    try:
        return date.fromisoformat(revision)
    except ValueError:
        return None
