"""A case that is open for editing: the text of its facts file, what was typed and does not fit yet, and the way back.

Every change goes to the disk before it is answered. What cannot be read as the fact it was typed for is kept in a file
beside the facts, so that case.yaml always holds only what the rest of the program can read. A change of the file by
somebody else is seen before each change here, and a value is only replaced by somebody who saw it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from threading import RLock
from typing import Any

from msadraft.agreement.negotiated import FILE_NAME as WORDING_NAME
from msadraft.agreement.negotiated import read_wording
from msadraft.draft import Draft, draft
from msadraft.facts import scalars
from msadraft.facts.edit import (
    EditError,
    add_entries,
    add_entry,
    copy_entry,
    move_entry,
    remove,
    rename_entry,
    set_list,
    set_value,
)
from msadraft.facts.load import FILE_NAME, CaseFile, read_case, read_text_case
from msadraft.facts.model import Facts
from msadraft.facts.paths import ROOT, Shape, UnknownPathError, field_at, fields_of
from msadraft.facts.problems import FactsError, Problem
from msadraft.facts.yaml_tree import read_tree
from msadraft.library.environment import WordingError
from msadraft.library.load import Library, LibraryError, read_library
from msadraft.rounds.disk import place_file
from msadraft.rounds.lock import writing

UNFINISHED_NAME = "unfinished.json"
MOST_UNDO = 200


class ConflictError(Exception):
    """The value was changed elsewhere after this page showed it. Carries what stands there now."""

    def __init__(self, now: str) -> None:
        self.now = now
        super().__init__(now)


@dataclass(frozen=True)
class Kept:
    """Something typed that cannot be used yet: the text, what is wrong with it, and how to mend it."""

    typed: str
    what: str
    mend: str


_OUTSIDE = (
    "From this page only what lies in the case folder can be named.",
    "Put a copy into the case folder, or name the place in case.yaml with a text editor.",
)


@dataclass(frozen=True)
class _Step:
    """One state to go back to."""

    text: str
    unfinished: Mapping[str, str]
    path: str
    said: str


@dataclass(frozen=True)
class _Reading:
    """A text of the facts file, and what it says."""

    text: str
    tree: dict[str, Any]
    case: CaseFile | None
    problems: tuple[Problem, ...]


class OpenCase:
    """One case on the desk. Its calls may come from several threads; each is done as a whole."""

    def __init__(self, path: Path, *firm_folders: Path) -> None:
        """Open a case folder or a facts file.

        Raises:
            FactsError: the file cannot be read at all.
        """
        self.file = path / FILE_NAME if path.is_dir() else path
        self.folder = self.file.parent
        self.firm_folders = firm_folders
        self.lock = RLock()
        self.text = ""
        self.digest = ""
        self.wording_digest = ""
        self.tree: dict[str, Any] = {}
        self.unfinished: dict[str, str] = self._read_unfinished()
        self.drafted: Draft | None = None
        self.before: Draft | None = None
        self.problems: tuple[Problem, ...] = ()
        self.trouble = ""
        self.undo_steps: list[_Step] = []
        self.redo_steps: list[_Step] = []
        self.version = 0
        self.last_reading: _Reading | None = None
        self.library: Library | None = None
        self.library_of: tuple[Path, ...] = ()
        self.refresh()

    # What stands in the file ------------------------------------------------------------------------------------

    def refresh(self, anew: bool = False) -> bool:
        """Look whether somebody else changed the facts or the negotiated wording; if so, or if `anew`, read them again.

        Says whether they were. What was done before such a change cannot be undone here any more: going back would take
        the other person's change away without a word.
        """
        with self.lock:
            data = self._on_disk()
            digest = hashlib.sha256(data).hexdigest()
            wording = self._wording_digest()
            if not anew and digest == self.digest and wording == self.wording_digest:
                return False
            if digest != self.digest:
                self.undo_steps, self.redo_steps = [], []
            self.text = data.decode("utf-8-sig")
            self.wording_digest = wording
            self.version += 1
            self._worked_out(digest)
            return True

    def _on_disk(self) -> bytes:
        """The bytes of the file. Raises FactsError, in the words of the reader, if they cannot be read as text."""
        try:
            data = self.file.read_bytes()
            data.decode("utf-8-sig")
        except (OSError, UnicodeDecodeError):
            read_case(self.file)
            raise
        return data

    def _wording_digest(self) -> str:
        try:
            return hashlib.sha256((self.folder / WORDING_NAME).read_bytes()).hexdigest()
        except FileNotFoundError:
            return ""

    def value(self, path: str) -> Any:
        """What stands at a path of the file as it is written: a text, a list, a group, or None."""
        found: Any = self.tree
        for part in path.split("."):
            if isinstance(found, dict):
                found = found.get(part)
            elif isinstance(found, list) and part.isdecimal() and int(part) < len(found):
                found = found[int(part)]
            else:
                return None
        return found

    def shown(self, path: str) -> str:
        """What a field at a path shows: what was typed and kept, or what the file says; a list as lines."""
        if path in self.unfinished:
            return self.unfinished[path]
        found = self.value(path)
        if isinstance(found, list):
            return "\n".join(str(one) for one in found)
        return "" if found is None or isinstance(found, dict) else str(found)

    def kept(self, path: str) -> Kept | None:
        """What was typed at a path and does not fit, with the reason."""
        if path not in self.unfinished:
            return None
        typed = self.unfinished[path]
        return self.objection(path, typed) or Kept(
            typed, "This does not go together with the other facts yet.", "Change it, or the facts that it contradicts."
        )

    # Changes ---------------------------------------------------------------------------------------------------

    def put(self, path: str, typed: str, was: str | None = None, turn: str = "", step: str = "") -> Kept | None:
        """Write one fact; an empty text takes it away. Gives what is wrong if it had to be kept aside.

        Changes of one fact in one `turn` (one stay of a person in its field) are undone as one, and so are
        the changes of several facts in one named `step`.

        Raises:
            ConflictError: the value is not the one that `was` says.
            EditError: the path is that of a group.
            UnknownPathError: no fact has this path.
        """
        field_at(path)
        together = step or (f"{turn} {path}" if turn else "")
        with self._changing():
            now = self.shown(path)
            if was is not None and now not in (was, typed):
                raise ConflictError(now)
            objection = self.objection(path, typed)
            unfinished = {p: t for p, t in self.unfinished.items() if p != path}
            if objection is not None:
                self._keep(path, self.text, {**unfinished, path: typed}, together)
                return objection
            try:
                text = self._written(self.text, path, typed)
            except EditError as error:
                self._keep(path, self.text, {**unfinished, path: typed}, together)
                return Kept(typed, error.why, error.mend)
            contradictions = self._contradictions(text, path)
            if contradictions:
                self._keep(path, self.text, {**unfinished, path: typed}, together)
                return Kept(typed, contradictions[0].what, contradictions[0].mend)
            self._keep(path, text, unfinished, together)
        return None

    def add(self, path: str, key: str = "", values: Mapping[str, str] | None = None) -> None:
        """Add an entry to a map (under a short name) or a list."""
        self._check_key(path, key)
        self._edit(path, lambda text: add_entry(text, path, key or None, values or None))

    def copy(self, path: str, key: str = "") -> None:
        """Copy an entry: under a new short name, or behind itself."""
        self._check_key(path, key)
        self._check_order(path)
        self._edit(path, lambda text: copy_entry(text, path, key or None))

    def take_away(self, path: str) -> None:
        """Remove a fact, a group or an entry, with what was typed in it."""
        self._check_order(path)
        self._edit(path, lambda text: remove(text, path), forget=path)

    def move(self, path: str, to: int) -> None:
        """Give an entry another place among its like."""
        self._check_order(path)
        self._edit(path, lambda text: move_entry(text, path, to))

    def rename(self, path: str, key: str) -> None:
        """Give an entry of a map another short name; the facts that refer to it follow."""
        self._check_key(path, key)
        old = path.rpartition(".")[2]

        def renamed(text: str) -> str:
            text = rename_entry(text, path, key)
            group = path.rpartition(".")[0]
            if any(old in self._keys(other) for other in _KEYED if other != group):
                return text  # the old name means something else too, so that what refers to it cannot be told
            for at in _references(read_tree(text, self.file.name).tree, ROOT, old):
                text = set_value(text, at, key)
            return text

        new = f"{path.rpartition('.')[0]}.{key}"
        kept = {new + p.removeprefix(path): t for p, t in self.unfinished.items() if p.startswith(path + ".")}
        self._edit(path, renamed, forget=path, keep=kept)

    def add_rows(self, path: str, rows: Sequence[Mapping[str, str]], keys: Sequence[str]) -> None:
        """Add many entries at once, as one step. A value that does not fit is kept with its entry.

        Args:
            path: a map or list of groups.
            rows: the single facts of each entry, by key.
            keys: the short names for a map; empty for a list.
        """
        kept: dict[str, str] = {}
        count = len(self.value(path) or ())

        def added(text: str) -> str:
            entries: list[tuple[str | None, dict[str, str]]] = []
            for n, row in enumerate(rows):
                key = keys[n] if keys else ""
                at = f"{path}.{key or count + n}"
                bad = {name for name, typed in row.items() if self.objection(f"{at}.{name}", typed) is not None}
                kept.update({f"{at}.{name}": row[name] for name in bad})
                entries.append((key or None, {k: v for k, v in row.items() if k not in bad and v}))
            return add_entries(text, path, entries)

        for key in keys:
            self._check_key(path, key)
        self._edit(path, added, keep=kept)

    def undo(self) -> str | None:
        """Go one change back. Gives the path that was changed; None if there is nothing to undo."""
        return self._step(self.undo_steps, self.redo_steps)

    def redo(self) -> str | None:
        """Do again what was undone."""
        return self._step(self.redo_steps, self.undo_steps)

    # Inside ----------------------------------------------------------------------------------------------------

    @contextmanager
    def _changing(self) -> Iterator[None]:
        with self.lock, writing(self.folder):
            self.refresh()
            yield

    def _edit(
        self, path: str, work: Callable[[str], str], forget: str = "", keep: Mapping[str, str] | None = None
    ) -> None:
        with self._changing():
            text = work(self.text)
            unfinished = {
                p: t
                for p, t in self.unfinished.items()
                if not forget or not (p == forget or p.startswith(forget + "."))
            }
            unfinished.update(keep or {})
            self._keep(path, text, unfinished, "")

    def _keys(self, path: str) -> frozenset[str]:
        value = self.value(path)
        return frozenset(value) if isinstance(value, dict) else frozenset()

    def _check_key(self, path: str, key: str) -> None:
        if key:
            try:
                scalars.read_key(key)
            except ValueError as error:
                raise EditError(path, f"{error}.", "Write a short name like joint_savings.") from None

    def _check_order(self, path: str) -> None:
        """What is kept for an entry of a list is kept by its position, so positions must not change under it."""
        group = path.rpartition(".")[0]
        if isinstance(self.value(group), list) and any(p.startswith(f"{group}.") for p in self.unfinished):
            raise EditError(path, "An entry of this list holds a value that cannot be read yet.", "Mend it first.")

    def objection(self, path: str, typed: str) -> Kept | None:
        """What keeps a text from being read as the fact at a path; None if nothing does.

        Raises:
            EditError: the path is that of a group.
        """
        shape = field_at(path).shape
        if not typed.strip():
            return None
        item = shape.item if shape.form == "list" and shape.item is not None else shape
        if item.form != "value":
            raise EditError(path, "This is a group of facts, not a single one.", "Fill in the facts inside it.")
        parts: Sequence[str] = (
            [line for line in typed.splitlines() if line.strip()] if shape.form == "list" else [typed.strip()]
        )
        names_file = path.partition(".")[0] == "clauses" or path == "case.county_profile"
        for part in parts:
            if item.choices:
                if part.strip() not in item.choices:
                    return Kept(typed, f"“{part.strip()}” is not one of the answers.", f"Choose {item.how_to_write}.")
                continue
            try:
                getattr(scalars, f"read_{item.reader}")(part.strip())
            except ValueError as error:
                said = str(error)
                return Kept(typed, said[:1].upper() + said[1:] + ".", f"Write {item.how_to_write}.")
            if names_file and not self._is_inside(part.strip()):
                return Kept(typed, *_OUTSIDE)
        return None

    def _is_inside(self, name: str) -> bool:
        """Whether a file named by a fact lies in the case folder, also after links are followed."""
        try:
            return (self.folder / name).resolve().is_relative_to(self.folder.resolve())
        except (OSError, RuntimeError, ValueError):  # a ring of links, or a name that no file can have
            return False

    def _contradictions(self, text: str, path: str) -> list[Problem]:
        """The problems that a change brings, apart from facts that are simply not there yet."""
        before = {(p.path, p.what) for p in self.problems}
        now = self._reading(text)
        return [p for p in now.problems if (p.path, p.what) not in before and _is_there(now.tree, p.path)]

    def _reading(self, text: str) -> _Reading:
        """A text read as tree and as facts; the last one is kept, because a change is judged and then worked out."""
        if self.last_reading is None or self.last_reading.text != text:
            tree = read_tree(text, self.file.name).tree
            case: CaseFile | None = None
            problems: tuple[Problem, ...] = ()
            try:
                case = replace(read_text_case(text, self.file.name), path=self.file)
            except FactsError as error:
                problems = error.problems
            self.last_reading = _Reading(text, tree if isinstance(tree, dict) else {}, case, problems)
        return self.last_reading

    def _keep(self, path: str, text: str, unfinished: dict[str, str], together: str) -> None:
        """Write the new state, and remember the old one; a run of changes to one field is one step back."""
        if text == self.text and unfinished == self.unfinished:
            return
        text, unfinished = self._fitted(text, unfinished)
        last = self.undo_steps[-1] if self.undo_steps else None
        if not (together and last is not None and last.path == together and not self.redo_steps):
            self.undo_steps = [*self.undo_steps[-MOST_UNDO:], _Step(self.text, dict(self.unfinished), together, path)]
        self.redo_steps = []
        self._store(text, unfinished)

    def _fitted(self, text: str, unfinished: dict[str, str]) -> tuple[str, dict[str, str]]:
        """Take up what was kept only because it did not go together with other facts, where it does now."""
        for path, typed in unfinished.items():
            if path in self.unfinished and self.objection(path, typed) is None:
                try:
                    fitted = self._written(text, path, typed)
                except EditError:
                    continue
                if not self._contradictions(fitted, path):
                    text, unfinished = fitted, {p: t for p, t in unfinished.items() if p != path}
        return text, unfinished

    def _written(self, text: str, path: str, typed: str) -> str:
        """A text with one fact as it was typed."""
        if not typed.strip():
            return remove(text, path) if _is_there(self._reading(text).tree, path) else text
        if field_at(path).shape.form == "list":
            return set_list(text, path, [line.strip() for line in typed.splitlines() if line.strip()])
        return set_value(text, path, typed.strip())

    def _step(self, steps: list[_Step], other: list[_Step]) -> str | None:
        with self._changing():
            if not steps:
                return None
            step = steps.pop()
            other.append(_Step(self.text, dict(self.unfinished), "", step.said))
            self._store(step.text, dict(step.unfinished))
            return step.said

    def _store(self, text: str, unfinished: dict[str, str]) -> None:
        # The facts first: a value that moves into them must not be nowhere if the program ends in between.
        changed = text != self.text
        if changed:
            place_file(self.file, text.encode(), durable=True)
            self.text = text
        if unfinished != self.unfinished:
            kept = json.dumps(unfinished, indent=1, ensure_ascii=False).encode()
            place_file(self.folder / UNFINISHED_NAME, kept, durable=True)
            if not unfinished:
                (self.folder / UNFINISHED_NAME).unlink(missing_ok=True)
            self.unfinished = unfinished
        if changed:
            self._worked_out(hashlib.sha256(text.encode()).hexdigest())
        self.version += 1

    def _read_unfinished(self) -> dict[str, str]:
        try:
            found = json.loads((self.folder / UNFINISHED_NAME).read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}
        kept = {}
        for path, typed in found.items() if isinstance(found, dict) else ():
            try:
                field_at(path)
            except UnknownPathError:
                continue
            kept[path] = str(typed)
        return kept

    def _clauses(self, own: Sequence[str]) -> Library:
        """The clause library; read again when the case names other folders, or a page is loaded anew."""
        folders = (*(self.folder / one for one in own), *self.firm_folders)
        if self.library is None or folders != self.library_of:
            self.library, self.library_of = read_library(*folders), folders
        return self.library

    def _worked_out(self, digest: str) -> None:
        """Work out everything that follows from the text."""
        self.digest = digest
        now = self._reading(self.text)
        self.tree, self.problems, self.trouble = now.tree, now.problems, ""
        if now.case is None:
            return
        try:
            own = now.case.facts.clauses
            drafted = draft(now.case, negotiated=read_wording(self.folder), library=self._clauses(own))
            self.before, self.drafted = self.drafted, drafted
        except FactsError as error:
            self.problems = error.problems
        except (LibraryError, WordingError) as error:
            self.trouble = str(error)


_KEYED = tuple(name for name, fact in fields_of(Facts).items() if fact.shape.form == "map")
"""The parts of the facts whose entries have short names."""


def _references(tree: Any, shape: Shape, key: str, path: str = "") -> Iterator[str]:
    """The places where a short name is referred to."""
    if isinstance(tree, dict):
        known = fields_of(shape.record) if shape.record is not None else {}
        for name, value in tree.items():
            inner = known[name].shape if name in known else shape.item
            if inner is not None:
                yield from _references(value, inner, key, f"{path}.{name}" if path else name)
    elif isinstance(tree, list) and shape.item is not None:
        for n, value in enumerate(tree):
            yield from _references(value, shape.item, key, f"{path}.{n}")
    elif shape.reader == "key" and tree == key:
        yield path


def _is_there(tree: Any, path: str) -> bool:
    for part in path.split(".") if path else ():
        if isinstance(tree, dict) and part in tree:
            tree = tree[part]
        elif isinstance(tree, list) and part.isdecimal() and int(part) < len(tree):
            tree = tree[int(part)]
        else:
            return False
    return True
