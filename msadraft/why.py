"""Why a paragraph stands in the agreement, or why a clause does not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from msadraft.agreement.numbering import Number
from msadraft.draft import Draft
from msadraft.facts.view import said
from msadraft.library.select import Chosen
from msadraft.tree import Paragraph, Text, inlines, walk


@dataclass(frozen=True)
class Answer:
    """The reasons: the rule and the facts it read, what the text shows, the authority, and the form items."""

    paragraph: str
    number: str
    clause: str
    file: str
    included: bool
    purpose: str
    rule: str
    read: dict[str, Any]
    shown: tuple[str, ...]
    law: tuple[str, ...]
    caution: str
    forms: tuple[str, ...]

    @property
    def read_words(self) -> dict[str, str]:
        """What the rule read, by path, as a reader writes it."""
        return {path: said(value) for path, value in self.read.items()}


def explain(found: Draft, wanted: str) -> Answer | None:
    """Look up a paragraph by its number, its id, or the id of its clause. None: there is no such thing."""
    name = wanted.strip().removeprefix("paragraph ").strip()
    numbers = {n.full: n for n in reversed(list(found.numbering.by_id.values())) if n.label}
    number = numbers.get(name) or found.numbering.by_id.get(name)
    for chosen in found.selection.chosen:
        if (number and _holds(found, chosen, number)) or (not number and name in (chosen.id, chosen.clause.id)):
            return _included(found, chosen, number or found.numbering.by_id.get(chosen.id))
    for out in found.selection.left_out:
        if out.clause.id == name:
            c = out.clause
            return Answer(
                "", "", c.id, c.file, False, c.purpose, c.when, _shareable(out.read), (), c.law, c.caution, ()
            )
    return None


def _holds(found: Draft, chosen: Chosen, number: Number) -> bool:
    return number.id == chosen.id or number.id.startswith(f"{chosen.id}/")


def _included(found: Draft, chosen: Chosen, number: Number | None) -> Answer:
    c = chosen.clause
    rows = [row for row in found.map("").rows if number and row.id == number.id]
    forms = tuple(f"{a.form} item {a.item}: {a.pointer}" for row in rows for a in row.forms)
    rule = c.when if not c.for_each else f"{c.when}  (for each {c.for_each})"
    return Answer(
        number.id if number else chosen.id,
        number.full if number else "",
        c.id,
        c.file,
        True,
        c.purpose,
        rule,
        _shareable(chosen.read),
        _shown(found, number.id if number else chosen.id),
        c.law,
        c.caution,
        forms,
    )


def _shown(found: Draft, node_id: str) -> tuple[str, ...]:
    """The facts and figures whose values stand in one paragraph, in reading order."""
    for section in found.agreement.sections:
        for block in walk(section.blocks):
            if block.id == node_id and isinstance(block, Paragraph):
                return tuple(dict.fromkeys(p.source for p in inlines(block) if isinstance(p, Text) and p.source))
    return ()


def _shareable(read: dict[str, Any]) -> dict[str, Any]:
    """What was read, without groups of facts, and without what bears on somebody's safety."""
    from msadraft.facts.base import Record
    from msadraft.facts.paths import UnknownPathError, privacy_of

    shown: dict[str, Any] = {}
    for path, value in read.items():
        try:
            hidden = not path.startswith("figures") and privacy_of(path) == "D"
        except UnknownPathError:
            hidden = False
        shown[path] = "(kept private)" if hidden else "given" if isinstance(value, Record) else value
    return shown


def screen(answer: Answer) -> list[str]:
    """The answer as lines for a terminal."""
    head = (
        f"Paragraph {answer.number} ({answer.paragraph})"
        if answer.included
        else f"{answer.clause} is not in the agreement"
    )
    lines = [
        head,
        f"  clause:  {answer.clause}  {answer.file}",
        f"  purpose: {answer.purpose}",
        f"  rule:    {answer.rule}",
    ]
    lines += [f"  read:    {path} = {words}" for path, words in answer.read_words.items()]
    lines += [f"  shows:   {path}" for path in answer.shown]
    lines += [f"  law:     {law}" for law in answer.law]
    lines += [f"  form:    {form}" for form in answer.forms]
    if answer.caution:
        lines.append(f"  caution: {answer.caution}")
    return lines
