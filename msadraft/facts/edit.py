"""Change the text of a facts file and leave every other byte of it as it is: comments, quotes, order, blank lines.

The result is what a person would have written by hand: a new fact stands at the place that the model gives it, in
block style with two spaces a level; what stands in braces or brackets stays there. Every result is read again: it
must say what was meant and nothing else, or EditError is raised and nothing has happened.

A path names a fact as in `paths`: `children.wren.born_on`, `spousal_support.to_petitioner.steps.0.amount`. Every
function takes a text and gives the new text; none of them knows of files.
"""

from __future__ import annotations

import json
import re
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from threading import Lock

from msadraft.facts.edit_text import CannotEditError, Document, Step
from msadraft.facts.paths import ROOT, Shape, UnknownPathError, field_at, fields_of
from msadraft.facts.yaml_tree import Tree, read_tree

_FILE = "case.yaml"
_BY_HAND = "Change it by hand in the file."


class EditError(Exception):
    """The text cannot be changed so.

    Attributes:
        path: the fact that was to be changed.
        why: what is in the way, as a sentence.
        mend: how to go on, as a sentence.
    """

    def __init__(self, path: str, why: str, mend: str = _BY_HAND) -> None:
        self.path, self.why, self.mend = path, why, mend
        super().__init__(path, why, mend)

    def __str__(self) -> str:
        return f"{self.path}\n  {self.why}\n  To mend: {self.mend}"


# --- what can be done ------------------------------------------------------------------------------------------------


def set_value(text: str, path: str, written: str) -> str:
    """Give the text with one fact set. Groups and map entries that are missing are made on the way.

    Args:
        written: the value as it is to be read; an empty one leaves the fact there as not given (`key:`).

    Raises:
        EditError: a list position lies beyond the end; a group stands at the path; the text cannot be read.
    """
    value = written or None
    return _edited(text, path, lambda tree, parts: _put(tree, parts, value), lambda d, p: _set(d, p, value, path))


def set_list(text: str, path: str, values: Sequence[str]) -> str:
    """Give the text with a list of plain values set, one value a line or in brackets as it stood.

    A new list stands in brackets if it fits on the line, as the scenarios write it.

    Raises:
        EditError: something else than such a list stands there; the text cannot be read.
    """
    wanted: list[Tree] = list(values)
    return _edited(
        text, path, lambda tree, parts: _put(tree, parts, wanted), lambda d, p: _set_list(d, p, list(values), path)
    )


def remove(text: str, path: str) -> str:
    """Give the text without a fact, map entry or list entry, and without the comment lines directly above it.

    A group or list that is left empty goes too. A map entry that is left empty keeps its short name, with nothing
    behind it, because other facts may refer to it.

    Raises:
        EditError: nothing stands at the path; the text cannot be read.
    """
    return _edited(text, path, _taken_out, lambda d, p: _remove(d, p))


def add_entry(text: str, path: str, key: str | None = None, values: Mapping[str, str] | None = None) -> str:
    """Give the text with a new last entry in the map (with `key`) or the list of records (without) at a path.

    Args:
        values: single facts of the entry, by key; they come in the order of the model. None: the key with nothing
            behind the colon; a list entry needs at least one.

    Raises:
        EditError: the key is taken; a list entry has no value; the text cannot be read.
    """
    if key is None and not values:
        raise EditError(path, "A new list entry needs at least one fact.", "Give one of its facts.")
    place = f"{path}.{key or '0'}"
    entry: Tree = None
    for name, written in (values or {}).items():
        entry = _put(entry, [name], written or None, place)
    parts = path.split(".")

    def plain(tree: Tree, _: Sequence[str]) -> Tree:
        holder = _at(tree, parts)
        if key is None:
            if isinstance(holder, dict):
                raise CannotEditError("There is a group here, not a list.")
            return _put(tree, [*parts, str(len(holder) if isinstance(holder, list) else 0)], entry)
        if isinstance(holder, list):
            raise CannotEditError("There is a list here, not a group of short names.")
        if isinstance(holder, dict) and key in holder:
            raise CannotEditError(f"The short name {key} is taken.")
        return _put(tree, [*parts, key], entry)

    def spliced(document: Document, _: Sequence[str]) -> str:
        chain = document.chain(parts)
        node = chain[-1][1]
        there = len(chain) > len(parts) and node is not None and node.id == "sequence"
        position = str(len(node.value)) if there else "0"
        return _set(document, [*parts, position if key is None else key], entry, f"{place}")

    return _edited(text, path, plain, spliced)


def add_entries(text: str, path: str, entries: Sequence[tuple[str | None, Mapping[str, str]]]) -> str:
    """Give the text with several new last entries, as one change: what `add_entry` would make of them one by one.

    Args:
        entries: for each the short name (None in a list) and its single facts by key.

    Raises:
        EditError: a key is taken; a list entry has no value; the text cannot be read.
    """
    if not entries:
        return text
    text = add_entry(text, path, entries[0][0], entries[0][1] or None)
    made: list[tuple[str | None, Tree]] = []
    for key, values in entries[1:]:
        entry: Tree = None
        if key is None and not values:
            raise EditError(path, "A new list entry needs at least one fact.", "Give one of its facts.")
        for name, written in values.items():
            entry = _put(entry, [name], written or None, f"{path}.{key or '0'}")
        made.append((key, entry))

    def all_in(holder: Tree) -> Tree:
        if isinstance(holder, list):
            return [*holder, *(entry for _, entry in made)]
        assert isinstance(holder, dict)
        found = dict(holder)
        for key, entry in made:
            _free(found, key)
            found[key or ""] = entry
        return found

    def plain(tree: Tree, parts: Sequence[str]) -> Tree:
        def change(holder: Tree, part: str) -> Tree:
            if isinstance(holder, list):
                at = int(part)
                return [*holder[:at], all_in(holder[at]), *holder[at + 1 :]]
            assert isinstance(holder, dict)
            return {**holder, part: all_in(holder[part])}

        return _with_holder(tree, parts, change)

    return _edited(text, path, plain, lambda d, p: d.with_more(_whole(d, p), made, path)) if made else text


def copy_entry(text: str, path: str, key: str | None) -> str:
    """Give the text with an entry a second time: a map entry under a new key, a list entry (None) right after itself.

    The comment lines above the entry are not copied; those inside it are.

    Raises:
        EditError: there is no such entry; the key is taken or lacking; the text cannot be read.
    """

    def plain(holder: Tree, part: str) -> Tree:
        if isinstance(holder, list):
            if key is not None:
                raise CannotEditError("An entry of a list has no short name.")
            at = int(part)
            return [*holder[: at + 1], holder[at], *holder[at + 1 :]]
        assert isinstance(holder, dict)
        _free(holder, key)
        made: dict[str, Tree] = {}
        for name, value in holder.items():
            made[name] = value
            if name == part and key is not None:
                made[key] = value
        return made

    return _edited(
        text, path, lambda tree, parts: _with_holder(tree, parts, plain), lambda d, p: d.with_copy(_whole(d, p), key)
    )


def move_entry(text: str, path: str, to: int) -> str:
    """Give the text with an entry at another position of its map or list (counted from 0), with its own comments.

    Raises:
        EditError: there is no such entry or position; the text cannot be read.
    """

    def plain(holder: Tree, part: str) -> Tree:
        assert isinstance(holder, dict | list)
        if not 0 <= to < len(holder):
            raise CannotEditError(f"There is no position {to} among {len(holder)} entries.")
        if isinstance(holder, list):
            items = list(holder)
            items.insert(to, items.pop(int(part)))
            return items
        names = list(holder)
        names.remove(part)
        names.insert(to, part)
        return {name: holder[name] for name in names}

    return _edited(
        text, path, lambda tree, parts: _with_holder(tree, parts, plain), lambda d, p: d.moved(_whole(d, p), to)
    )


def rename_entry(text: str, path: str, key: str) -> str:
    """Give the text with another short name for a map entry. Facts that refer to the old one are not changed.

    Raises:
        EditError: there is no such map entry; the key is taken; the text cannot be read.
    """

    def plain(holder: Tree, part: str) -> Tree:
        if not isinstance(holder, dict):
            raise CannotEditError("An entry of a list has no short name.")
        if key == part:
            return holder
        _free(holder, key)
        return {key if name == part else name: value for name, value in holder.items()}

    return _edited(
        text, path, lambda tree, parts: _with_holder(tree, parts, plain), lambda d, p: d.renamed(_whole(d, p), key)
    )


# --- one change, checked ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Known:
    """What a text says, and where the lines of its upper two levels of keys begin.

    Attributes:
        tree: what it says; it is never changed.
        starts: by one key or two: where the key begins.
    """

    tree: Tree
    starts: Mapping[tuple[str, ...], int]


_KEPT = 8
_known: OrderedDict[str, _Known] = OrderedDict()
"""The texts that were read last: the next change starts from the text that the last one gave."""


_keeping = Lock()


def _keep(text: str, known: _Known) -> None:
    with _keeping:
        _known[text] = known
        _known.move_to_end(text)
        while len(_known) > _KEPT:
            _known.popitem(last=False)


def _read(text: str) -> _Known:
    """Read a text. Raises EditError (without a path) if it has a problem."""
    found = _known.get(text)
    if found is not None:
        return found
    reading = read_tree(text, _FILE)
    if reading.problems:
        problem = reading.problems[0]
        raise EditError("", f"The file cannot be read at line {problem.place.line}: {problem.what}", problem.mend)
    lines = [0, *(match.end() for match in re.finditer("\n", text))]
    starts: dict[tuple[str, ...], int] = {}
    for top, group in reading.tree.items() if isinstance(reading.tree, dict) else ():
        for parts in ((top,), *((top, key) for key in (group if isinstance(group, dict) else ()))):
            place = reading.places[".".join(parts)]
            starts[parts] = lines[min(place.line, len(lines)) - 1] + place.column - 1
    made = _Known(reading.tree, starts)
    _keep(text, made)
    return made


def _edited(
    text: str,
    path: str,
    plain: Callable[[Tree, Sequence[str]], Tree],
    spliced: Callable[[Document, Sequence[str]], str],
) -> str:
    """Change the text with `spliced`; what it says then must be what `plain` makes of what it said before."""
    parts = path.split(".")
    ending = _line_ending(text)
    same = text if ending == "\n" else text.replace(ending, "\n")
    try:
        known = _read(same)
        wanted = plain(known.tree, parts)
        made = _edited_part(same, known, wanted, parts, spliced)
        if made is None:
            made = spliced(Document(same), parts)
            if json.dumps(_read(made).tree) != json.dumps(wanted):
                raise CannotEditError("The file would not say what is meant if this were changed here by itself.")
    except CannotEditError as error:
        raise EditError(path, str(error)) from None
    except EditError as error:
        raise EditError(path, error.why, error.mend) from None
    return made if ending == "\n" else made.replace("\n", ending)


def _edited_part(
    text: str, known: _Known, wanted: Tree, parts: Sequence[str], spliced: Callable[[Document, Sequence[str]], str]
) -> str | None:
    """Change the lines of one entry of the upper two levels, reading no others; None if that cannot be done.

    An entry in block style that begins on a line of its own means the same by itself as among its neighbours: only
    its column decides where it ends. That it is such an entry shows when its lines are read by themselves.
    """
    depth = min(2, len(parts) - 1)
    while depth and tuple(parts[:depth]) not in known.starts:
        depth -= 1
    entry = tuple(parts[:depth])
    goal = _at(wanted, entry)
    if not depth or not isinstance(goal, dict) or not goal:
        return None
    key = known.starts[entry]
    start = text.rfind("\n", 0, key) + 1
    end = min((at for name, at in known.starts.items() if at > key and len(name) <= depth), default=len(text))
    end = end if end == len(text) else text.rfind("\n", 0, end) + 1
    name = entry[-1]
    if text[start:key].strip() or end <= start or not _says(text[start:end], {name: _at(known.tree, entry)}):
        return None
    made = spliced(Document(text, (start, end, depth)), parts)
    longer = len(made) - len(text)
    tail = len(text) - end
    if made[:start] != text[:start] or made[len(made) - tail :] != text[end:]:
        return None
    if not _says(made[start : end + longer], {name: goal}):
        return None
    starts = {where: at + longer if at >= end else at for where, at in known.starts.items()}
    if depth == 1:
        starts = {where: at for where, at in starts.items() if where[0] != name or len(where) == 1}
    _keep(made, _Known(wanted, starts))
    return made


def _says(text: str, tree: Tree) -> bool:
    """Whether a text can be read and says this, in this order."""
    reading = read_tree(text, _FILE)
    return not reading.problems and json.dumps(reading.tree) == json.dumps(tree)


def _line_ending(text: str) -> str:
    """The line ending of a text, if it is the same throughout; else a line feed, and the others stay as they are."""
    count = text.count("\n")
    if count and text.count("\r\n") == count == text.count("\r"):
        return "\r\n"
    return "\r" if not count and "\r" in text else "\n"


# --- the plain tree --------------------------------------------------------------------------------------------------


def _shape(path: str) -> Shape | None:
    try:
        return field_at(path).shape if path else ROOT
    except UnknownPathError:
        return None


def _index(keys: Sequence[str], path: str, key: str) -> int:
    """Where a new key of a group comes among those that are there: behind the nearest one before it in the model."""
    shape = _shape(path)
    ranks = {name: n for n, name in enumerate(fields_of(shape.record))} if shape and shape.record else {}
    if key not in ranks:
        return len(keys)
    earlier = [(ranks[name], n) for n, name in enumerate(keys) if ranks.get(name, len(ranks)) < ranks[key]]
    if earlier:
        return max(earlier)[1] + 1
    later = [(ranks[name], n) for n, name in enumerate(keys) if name in ranks]
    return min(later)[1] if later else len(keys)


def _put(tree: Tree, parts: Sequence[str], value: Tree, path: str = "") -> Tree:
    """The tree with a value at a path; what was there before is left as it is."""
    if not parts:
        if isinstance(tree, dict) or (isinstance(tree, list) and not isinstance(value, list)):
            raise CannotEditError("There is a group or a list here, not a single value.")
        return value
    part, rest = parts[0], parts[1:]
    below = f"{path}.{part}" if path else part
    if tree is None:
        tree = [] if part.isdecimal() else {}
    if isinstance(tree, list):
        if not part.isdecimal() or int(part) > len(tree):
            raise CannotEditError(f"The list has {len(tree)} entries; there is no position {part}.")
        at = int(part)
        return [*tree[:at], _put(tree[at] if at < len(tree) else None, rest, value, below), *tree[at + 1 :]]
    if isinstance(tree, str):
        raise CannotEditError("There is a single value in the place of the group.")
    if part in tree:
        return {**tree, part: _put(tree[part], rest, value, below)}
    items = list(tree.items())
    items.insert(_index(list(tree), path, part), (part, _put(None, rest, value, below)))
    return dict(items)


def _at(tree: Tree, parts: Sequence[str]) -> Tree:
    """What stands at a path; None if nothing does."""
    for part in parts:
        if isinstance(tree, list):
            tree = tree[int(part)] if part.isdecimal() and int(part) < len(tree) else None
        else:
            tree = tree.get(part) if isinstance(tree, dict) else None
    return tree


def _has(tree: Tree, part: str) -> bool:
    if isinstance(tree, list):
        return part.isdecimal() and int(part) < len(tree)
    return isinstance(tree, dict) and part in tree


def _with_holder(tree: Tree, parts: Sequence[str], change: Callable[[Tree, str], Tree]) -> Tree:
    """The tree with a change to the group or list that holds a path."""
    if not _has(tree, parts[0]):
        raise CannotEditError("There is no such entry.")
    if len(parts) == 1:
        return change(tree, parts[0])
    if isinstance(tree, list):
        at = int(parts[0])
        return [*tree[:at], _with_holder(tree[at], parts[1:], change), *tree[at + 1 :]]
    assert isinstance(tree, dict)
    return {**tree, parts[0]: _with_holder(tree[parts[0]], parts[1:], change)}


def _free(holder: dict[str, Tree], key: str | None) -> None:
    if key is None or key in holder:
        raise CannotEditError("A new short name is needed." if key is None else f"The short name {key} is taken.")


def _is_map_entry(parts: Sequence[str]) -> bool:
    shape = _shape(".".join(parts[:-1]))
    return shape is not None and shape.form == "map"


def _taken_out(tree: Tree, parts: Sequence[str]) -> Tree:
    """The tree without a path, and without what is left empty above it."""

    def change(holder: Tree, part: str) -> Tree:
        if isinstance(holder, list):
            return [*holder[: int(part)], *holder[int(part) + 1 :]]
        assert isinstance(holder, dict)
        return {name: value for name, value in holder.items() if name != part}

    made = _with_holder(tree, parts, change)
    above = parts[:-1]
    if _at(made, above):
        return made
    if not above:
        return None
    return _put(_emptied(made, above), above, None) if _is_map_entry(above) else _taken_out(made, above)


def _emptied(tree: Tree, parts: Sequence[str]) -> Tree:
    """The tree with nothing at a path that was a group."""

    def change(holder: Tree, part: str) -> Tree:
        assert isinstance(holder, dict)
        return {**holder, part: None}

    return _with_holder(tree, parts, change)


# --- the same in the text --------------------------------------------------------------------------------------------


def _whole(document: Document, parts: Sequence[str]) -> list[Step]:
    chain = document.chain(parts)
    if len(chain) <= len(parts):
        raise CannotEditError("There is no such entry.")
    return chain


def _set(document: Document, parts: Sequence[str], value: Tree, path: str) -> str:
    """The text with a value at a path: the value that stands there replaced, or a new entry."""
    chain = document.chain(parts)
    if len(chain) > len(parts):
        if isinstance(value, dict | list):
            raise CannotEditError("Something stands there already.")
        return document.with_value(chain, value, path)
    depth = len(chain) - 1
    rest = parts[depth:]
    node = chain[-1][1]
    nested = value
    for part in reversed(rest[1:]):
        nested = [nested] if part.isdecimal() else {part: nested}
    holder = ".".join(parts[:depth])
    here = f"{holder}.{rest[0]}" if holder else rest[0]
    is_map = node is not None and node.id == "mapping"
    if rest[0].isdecimal() and not is_map:
        return document.with_new(chain, len(node.value) if node.id == "sequence" else 0, None, nested, here)
    keys = [key.value for key, _ in node.value] if is_map else []
    return document.with_new(chain, _index(keys, holder, rest[0]), rest[0], nested, here)


def _set_list(document: Document, parts: Sequence[str], values: list[str], path: str) -> str:
    """The text with a list of plain values at a path; entries that stay the same keep their lines."""
    chain = document.chain(parts)
    if len(chain) <= len(parts):
        return _set(document, parts, list(values), path)
    node = chain[-1][1]
    if node.id == "scalar" or node.flow_style or not values:
        return document.with_list(chain, values, path)
    if any(item.id != "scalar" for item in node.value):
        raise CannotEditError("The list holds groups, not plain values.")
    old = [item.value for item in node.value]
    same = 0
    while same < min(len(old), len(values)) and old[same] == values[same]:
        same += 1
    tail = 0
    while tail < min(len(old), len(values)) - same and old[-1 - tail] == values[-1 - tail]:
        tail += 1
    both = min(len(old), len(values)) - tail
    for at in range(same, both):
        document = Document(document.with_value(document.chain([*parts, str(at)]), values[at], f"{path}.{at}"))
    for _ in range(both, len(old) - tail):
        document = Document(document.without(document.chain([*parts, str(both)])))
    for at in range(both, len(values) - tail):
        document = Document(document.with_new(document.chain(parts), at, None, values[at], f"{path}.{at}"))
    return document.text


def _remove(document: Document, parts: Sequence[str]) -> str:
    while True:
        chain = _whole(document, parts)
        holder = chain[-2][1]
        if len(holder.value) > 1 or len(parts) == 1:
            return document.without(chain)
        if _is_map_entry(parts[:-1]):
            return document.with_nothing(chain[:-1])
        parts = parts[:-1]
