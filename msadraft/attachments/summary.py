"""The agreement in plain words for the spouses: short lines, each tied to its paragraph. No part of the agreement.

The lines are data (`data/packet/summary.yaml`). A line stands only if its paragraph is in the paper. Where the words
of that paragraph are not the library's, the line says so, because it was written for those.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

import yaml

from msadraft.attachments.drafted import Drafted, case_names
from msadraft.attachments.filled import BLANK, Reads, decide, write
from msadraft.facts.view import View, path_of, plain
from msadraft.library.environment import records_of

OPEN = "(not filled in yet)"
OWN_WORDS = "The words here were made for this case. Read them."
HEADING = "Your agreement in plain words"
CAUTIONS = (
    "This summary is not part of the agreement. It is not signed and not filed. Where the two differ, the agreement counts.",
    "It leaves much out. Read the whole agreement. The number beside each line says where to look.",
    "It is not legal advice. If a point is not clear to you, ask a lawyer before you sign.",
)


@dataclass(frozen=True, slots=True)
class SummaryItem:
    """One entry of a list, with the paragraph of its own if it has one."""

    text: str
    number: str
    node: str


@dataclass(frozen=True, slots=True)
class SummaryLine:
    """One line: what it says, the number of its paragraph, and that paragraph's id."""

    text: str
    number: str
    node: str
    items: tuple[SummaryItem, ...] = ()
    own_words: bool = False


@dataclass(frozen=True, slots=True)
class SummarySection:
    """Some lines under a heading."""

    title: str
    lines: tuple[SummaryLine, ...]


@dataclass(frozen=True, slots=True)
class Summary:
    """The whole summary of one version. `mark` is that version's mark; `names` are the two spouses."""

    mark: str
    title: str
    names: tuple[str, str]
    cautions: tuple[str, ...]
    sections: tuple[SummarySection, ...]

    @property
    def prose(self) -> str:
        """All of its own sentences, for measuring how hard they are to read: headings and lists are left out."""
        lines = [line.text for section in self.sections for line in section.lines if not line.text.endswith(":")]
        return " ".join((*self.cautions, *lines))


def plain_summary(draft: Drafted, label: str) -> Summary:
    """Give the summary of a draft, under the mark that `label` gives it."""
    minors, supported = (len(found.keys) for found in (draft.figures.minor_children, draft.figures.supported_children))
    names = case_names(
        draft,
        one_child=minors == 1,
        the_children="the child" if minors == 1 else "the children",
        the_supported="the child" if supported == 1 else "the children",
    )
    facts = draft.case.facts
    partners = facts.case.relationship == "partnership"
    changed = _changed(draft)
    order = {node: n for n, node in enumerate(draft.numbering.by_id)}
    sections = []
    for entry in _data():
        found = [line for rule in entry["lines"] for line in _lines(rule, draft, names, changed)]
        lines = tuple(sorted(found, key=lambda line: order[line.node]))
        if lines:
            title = entry.get("partners") if partners else None
            sections.append(SummarySection(str(title or entry["title"]), lines))
    return Summary(
        draft.map(label).mark,
        HEADING,
        (facts.petitioner.name.full, facts.respondent.name.full),
        CAUTIONS,
        tuple(sections),
    )


@functools.cache
def _data() -> tuple[Mapping[str, Any], ...]:
    text = resources.files("msadraft.attachments").joinpath("data", "packet", "summary.yaml")
    return tuple(yaml.safe_load(text.read_text(encoding="utf-8")))


def _changed(draft: Drafted) -> frozenset[str]:
    """Ids of paragraphs, and of clauses, whose words are not the library's own."""
    negotiated = draft.negotiated
    return frozenset((*negotiated.reworded, *draft.library.originals))


def _lines(
    rule: Mapping[str, Any], draft: Drafted, names: Mapping[str, Any], changed: frozenset[str]
) -> Iterator[SummaryLine]:
    for own in _loop(rule, "for_each", names):
        key = _key(rule, own)
        node = _first([str(name).replace("{key}", key) for name in rule["at"]], draft)
        where = f"summary.yaml: {rule['at'][0]}"
        if not node or not decide(str(rule.get("when", "always")), own, where):
            continue
        items = tuple(_items(rule, draft, own, key, node, where)) if "each" in rule else ()
        if "each" in rule and not items:
            continue
        special = _is_changed(node, changed)
        text = _say(str(rule["say"]), own, draft, where)
        if special:
            text = f"{text.removesuffix(':')}{'' if text.endswith(('.', '!')) else '.'} {OWN_WORDS}"
        yield SummaryLine(text, draft.numbering[node].full, node, () if special else items, special)


def _items(
    rule: Mapping[str, Any], draft: Drafted, names: Mapping[str, Any], key: str, node: str, where: str
) -> Iterator[SummaryItem]:
    for own in _loop(rule, "each", names):
        item = _record_key(own[str(rule["each"]).split(" in ")[0].strip()])
        place = str(rule.get("item_at", node)).replace("{key}", key).replace("{item}", item)
        if place not in draft.numbering:
            continue  # the paper lists it elsewhere, or not at all
        text = _say(str(rule["item"]), own, draft, where)
        yield SummaryItem(text[:1].upper() + text[1:], draft.numbering[place].full, place)


def _loop(rule: Mapping[str, Any], word: str, names: Mapping[str, Any]) -> Iterable[dict[str, Any]]:
    """The names of each turn of a loop; one turn without a loop."""
    if word not in rule:
        return [dict(names)]
    name, _, source = str(rule[word]).partition(" in ")
    return [{**names, name.strip(): record} for record in records_of(source.strip(), dict(names))]


def _key(rule: Mapping[str, Any], names: Mapping[str, Any]) -> str:
    if "for_each" not in rule:
        return ""
    name = str(rule.get("key", str(rule["for_each"]).partition(" in ")[0])).strip()
    head, _, rest = name.partition(".")
    record = names[head]
    return str(plain(getattr(record, rest))) if rest else _record_key(record)


def _record_key(record: Any) -> str:
    """The short name of a record: the last part of its path."""
    return path_of(record).rpartition(".")[2] if isinstance(record, View) else ""


def _first(ids: Iterable[str], draft: Drafted) -> str:
    return next((name for name in ids if name in draft.numbering), "")


def _is_changed(node: str, changed: frozenset[str]) -> bool:
    instance = node.partition("/")[0]
    clause = instance.partition(":")[0]
    return node in changed or clause in changed or any(name.startswith(f"{node}/") for name in changed)


def _say(source: str, names: dict[str, Any], draft: Drafted, where: str) -> str:
    said = write(source, names, draft.numbering, Reads(), where).text
    return " ".join(said.replace(BLANK, OPEN).split())
