"""A new case.yaml to fill in: every fact that can be given, explained where it stands.

The text is made from the models. What is needed stands there empty; everything else stands behind `# ` and is switched
on by deleting those two signs on each line of it. Lines with `##` explain.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from msadraft.facts.base import Record
from msadraft.facts.model import Facts
from msadraft.facts.paths import FactField, Shape, fields_of
from msadraft.facts.schema import FILE_NAME as SCHEMA_FILE_NAME

MODELINE = f"# yaml-language-server: $schema={SCHEMA_FILE_NAME}"
WIDTH = 110

_INTRODUCTION = """\
The facts of one case. Fill in what stands open; the rest is switched on where it applies.
- A line that begins with ## explains the line below it.
- A line that begins with # and a key is a fact that may be given: delete the "# " before it (and before each line of its
  group), and write the value after the colon.
- Leave out, or leave empty, what is not known yet. An empty fact counts as not given.
- Dates: 2026-11-30. Times: 18:00. Money: 1850.00 or 1,850.00. Percentages: 50 or 35.71. Otherwise: yes or no, or words.
- Put text in quotes if it holds a colon followed by a space, a #, or begins with an unusual sign.
- Children, assets, debts and the like get a short name of your choice (wren, joint_savings); other facts refer to it.
- Never write a full account, card or Social Security number; the last four digits are enough.
- [B] personal, printed only where a paragraph needs it; [C] restricted, never printed in full; [D] bears on safety, never
  printed. What has no mark may stand in the filed paper.
Then run: msadraft review on this folder. It says what is still missing, with line numbers.
"""

_EXAMPLE_NAMES = {
    "children": "wren", "assets": "joint_savings", "debts": "gold_card", "reimbursements": "card_payments",
    "holidays": "winter_break", "grants": "grant_one",
}  # fmt: skip


def _explained(found: FactField) -> Iterator[str]:
    """The explanation of one fact: meaning, how it is written, what holds without it, whether needed, privacy."""
    shape = found.shape
    parts = [found.says.rstrip(".") + "."]
    if found.has_own_title and found.title.lower() not in found.says.lower():
        parts.insert(0, f"{found.title}:")
    is_list = shape.form == "list"
    value = shape.item if is_list and shape.item is not None else shape
    if value.choices:
        parts.append(f"{'Any of' if is_list else 'One of'}: {', '.join(value.choices)}.")
    elif found.unit:
        parts.append(f"Unit: {found.unit}.")
    elif value.form == "value" and (is_list or value.reader != "text"):
        parts.append(f"Write {'a list; each entry ' if is_list else ''}{value.how_to_write}.")
    if isinstance(found.default, bool):
        parts.append(f"If not given: {'yes' if found.default else 'no'}.")
    elif isinstance(found.default, (str, int)):
        parts.append(f"If not given: {found.default}.")
    if found.required:
        parts.append("Needed.")
    if found.privacy != "A":
        parts.append(f"[{found.privacy}]")
    lines = textwrap.wrap(" ".join(parts), WIDTH, break_long_words=False, break_on_hyphens=False)
    return (f"## {line}" for line in lines)


def _switched_off(lines: Iterator[str] | list[str]) -> Iterator[str]:
    return (f"# {line}" for line in lines)


def _indented(lines: Iterator[str] | list[str]) -> Iterator[str]:
    return (f"  {line}" for line in lines)


class _Writer:
    """Writes records; one that was explained before is not explained again."""

    def __init__(self) -> None:
        self.explained: dict[type[Record], str] = {}

    def record(self, record: type[Record], path: str) -> Iterator[str]:
        """The keys of a record, the needed ones open, the others switched off."""
        before = self.explained.get(record)
        self.explained.setdefault(record, path)
        fields = fields_of(record)
        for name, found in fields.items():
            if before is None or found.required:
                yield from self.field(name, found, f"{path}.{name}")
        if before is not None and any(not found.required for found in fields.values()):
            yield f"## All other keys that are explained under {before} can be given here too."

    def field(self, name: str, found: FactField, path: str) -> Iterator[str]:
        """One fact with its explanation."""
        yield from _explained(found)
        lines = list(self.written(name, found.shape, path))
        # A group at the top level stands open: everything in it is switched off anyway.
        is_open = found.required or ("." not in path and found.shape.form in ("record", "map"))
        yield from lines if is_open else _switched_off(lines)

    def written(self, name: str, shape: Shape, path: str) -> Iterator[str]:
        """The key with what stands under it: the keys of a group, or one example of an entry, switched off."""
        yield f"{name}:"
        if shape.record is not None:
            yield from _indented(self.record(shape.record, path))
        elif shape.form == "map" and shape.item is not None:
            example = _EXAMPLE_NAMES.get(name, "short_name")
            lines = list(self.written(example, shape.item, f"{path}.{example}"))
            yield from _indented(["## One entry as an example, under a short name. Write as many as there are."])
            yield from _indented(_switched_off(lines) if "." not in path else lines)
        elif shape.item is not None and shape.item.record is not None:
            lines = list(self.record(shape.item.record, f"{path}.0"))
            yield from _indented(["## One entry as an example, after a dash. Write as many as there are."])
            yield from _indented(["-", *_indented(lines)])


def new_case() -> str:
    """The text of a new facts file."""
    lines = [MODELINE, "#", *(f"## {line}" for line in _INTRODUCTION.splitlines())]
    writer = _Writer()
    for name, found in fields_of(Facts).items():
        lines += ["", *writer.field(name, found, name)]
    return "\n".join(line.rstrip() for line in lines) + "\n"
