"""Conditions and answers of form items, as dated data: one YAML file for each printing of a form.

A file says when its form joins the packet and, item by item, when a box is marked and what is written. Conditions and
texts are Jinja, as in the clauses, over the same names (`msadraft.attachments.filled` adds a few). An item without a
rule stays a line to be decided by eye. A later printing is a new file beside the old one.

A default without agreement has a rulebook of its own: the files in `rules/default/` stand over those of the same
printing. A key of such a file takes the place of the same key underneath; of `items` only the items that it names.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any, Literal, cast

import yaml
from pydantic import BaseModel, ConfigDict, ValidationError

from msadraft.attachments.items import Catalogue, Edition, Folder, FormDataError, UnknownFormError, catalogue

Severity = Literal["stop", "warn", "note"]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class RemarkRule(_Strict):
    """Something to say beside a line or a form, if `when` holds. `fact` is the fact to mend."""

    says: str
    when: str = "always"
    mend: str = ""
    fact: str = ""


class ItemRule(_Strict):
    """How one item is decided.

    Attributes:
        check: condition under which the box is marked or the line is filled in.
        write: text of the answer.
        blank: why the line stays empty on purpose.
        hand: why this program never fills the line in; `hand_if` limits that to a condition.
        cites: topics to point to instead of the item's own; empty for none.
        also: topics to point to besides.
        stop, warn, note: remarks.
    """

    check: str = "always"
    write: str = ""
    blank: str = ""
    hand: str = ""
    hand_if: str = "always"
    cites: tuple[str, ...] | None = None
    also: tuple[str, ...] = ()
    stop: tuple[RemarkRule, ...] = ()
    warn: tuple[RemarkRule, ...] = ()
    note: tuple[RemarkRule, ...] = ()

    @property
    def remarks(self) -> tuple[tuple[Severity, RemarkRule], ...]:
        """All remarks with their severity, the gravest first."""
        return (
            *(("stop", r) for r in self.stop), *(("warn", r) for r in self.warn), *(("note", r) for r in self.note),
        )  # fmt: skip


class Borrowed(_Strict):
    """Items taken over from another printing of the same form, where the data of this printing do not repeat them."""

    revision: str
    items: tuple[str, ...]


class FormRule(_Strict):
    """One printing of one form: when it joins, and its items.

    Attributes:
        joins: condition under which the form is in the packet.
        why: why it is there, in a sentence (a text with facts in it).
        each: "party" for one copy for each spouse, "petitioner" for that spouse's copy alone.
        only: which spouses have a copy, as a condition about `party`.
        copy_of: in which way a copy is its spouse's, for the heading: "copy" gives "petitioner's copy".
        optional: whether a packet may do without it.
        pages: pages of the printed form, where known.
    """

    form: str
    revision: str
    joins: str
    why: str
    each: Literal["", "party", "petitioner"] = ""
    only: str = "always"
    copy_of: str = "copy"
    optional: bool = False
    pages: int | None = None
    borrow: Borrowed | None = None
    stop: tuple[RemarkRule, ...] = ()
    warn: tuple[RemarkRule, ...] = ()
    note: tuple[RemarkRule, ...] = ()
    items: dict[str, ItemRule]

    @property
    def remarks(self) -> tuple[tuple[Severity, RemarkRule], ...]:
        """All remarks about the form as a whole."""
        return (
            *(("stop", r) for r in self.stop), *(("warn", r) for r in self.warn), *(("note", r) for r in self.note),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Rulebook:
    """All rules, by form and printing, in the order of the form data."""

    rules: Mapping[tuple[str, str], FormRule]

    def forms(self) -> tuple[str, ...]:
        """The forms that have rules in some printing."""
        return tuple(dict.fromkeys(form for form, _ in self.rules))

    def joins(self, form: str) -> str:
        """The condition under which a form is in the packet, by its latest printing with rules."""
        return [rule.joins for (name, _), rule in self.rules.items() if name == form][-1]

    def of(self, edition: Edition) -> FormRule | None:
        """The rules of one printing; None if there are none."""
        return self.rules.get((edition.form, edition.revision))


@cache
def rulebook(path: str = "") -> Rulebook:
    """The package's own rules for a route to judgment (a value of case.path), read and checked once.

    Raises:
        FormDataError: the installed data are damaged.
    """
    from importlib import resources  # late: nothing else here needs it

    if path and path != "default":
        return rulebook()
    folder = cast(Folder, resources.files("msadraft.attachments").joinpath("rules", path))
    return read_rules(folder, catalogue(), rulebook() if path else None)


def read_rules(folder: Folder, data: Catalogue, under: Rulebook | None = None) -> Rulebook:
    """Read and check the rules in `folder` against the form data; `under` are rules that these stand over.

    Raises:
        FormDataError: with every problem found, one on a line.
    """
    problems: list[str] = []
    found: dict[tuple[str, str], FormRule] = {}
    for edition in data.editions:
        name = file_name(edition)
        base = _without_paper(under.of(edition)) if under else None
        try:
            text = folder.joinpath(name).read_text(encoding="utf-8")
        except FileNotFoundError:
            if base:
                found[edition.form, edition.revision] = base
            continue
        try:
            read = yaml.load(text, Loader=_LOADER)  # noqa: S506  (this loader makes text, lists and mappings only)
            rule = FormRule.model_validate(_over(base, read or {}))
        except yaml.YAMLError as error:
            problems.append(f"{name}: cannot be read as YAML: {' '.join(str(error).split())}")
            continue
        except ValidationError as error:
            problems += [f"{name}: {'.'.join(map(str, e['loc']))}: {e['msg']}" for e in error.errors()]
            continue
        problems += [f"{name}: {problem}" for problem in _problems(rule, edition, data)]
        found[edition.form, edition.revision] = rule
    if problems:
        raise FormDataError("\n".join(problems))
    return Rulebook(MappingProxyType(found))


def _without_paper(rule: FormRule | None) -> FormRule | None:
    """A rule without its notes on the words of the agreement: where there is none they have nothing to say."""
    if rule is None:
        return None
    items = {name: item.model_copy(update={"note": _kept(item.note)}) for name, item in rule.items.items()}
    return rule.model_copy(update={"note": _kept(rule.note), "items": items})


def _kept(notes: tuple[RemarkRule, ...]) -> tuple[RemarkRule, ...]:
    return tuple(note for note in notes if "agreement" not in note.says)


def _over(base: FormRule | None, own: Any) -> Any:
    """The keys of one file over those of the rule underneath; items one by one."""
    if base is None or not isinstance(own, dict) or not isinstance(own.get("items", {}), dict):
        return own
    return {**base.model_dump(), **own, "items": {**base.model_dump()["items"], **own.get("items", {})}}


_LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
"""Every scalar as text: a key such as 4e(1) or no stays what it is."""


def file_name(edition: Edition) -> str:
    """The name of the file with the rules of a printing: that of its items, with another ending."""
    form = edition.form.lower().replace("(", "").replace(")", "")
    revision = edition.revision if edition.issued or edition.revision == "unconfirmed" else "omb-2023-09-30"
    return f"{form}_{revision}.yaml"


def _problems(rule: FormRule, edition: Edition, data: Catalogue) -> Iterator[str]:
    if (rule.form, rule.revision) != (edition.form, edition.revision):
        yield f"form, revision: {rule.form} {rule.revision} is not {edition.form} {edition.revision}"
    known = {item.item for item in edition.items}
    if rule.borrow:
        try:
            lent = {item.item for item in data.edition(rule.form, rule.borrow.revision).items}
        except UnknownFormError as error:
            yield f"borrow: {error}"
            return
        yield from (f"borrow: {name!r} is not an item there" for name in rule.borrow.items if name not in lent)
        known |= set(rule.borrow.items)
    for name, item in rule.items.items():
        if name not in known:
            yield f"items.{name}: the form has no such item; its items are in the data of this printing"
        for topic in (*(item.cites or ()), *item.also):
            if topic not in data.topics:
                yield f"items.{name}: {topic!r} is not a topic of the court forms"
        if item.blank and (item.write or item.hand):
            yield f"items.{name}: either blank, or write, or hand"
