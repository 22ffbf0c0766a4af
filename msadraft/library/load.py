"""Read the clause folder: `contents.yaml` gives the outline, and every clause is one file with front matter.

A firm's own folder is read after the project's: a clause with a known id replaces it, a new one says after
which clause it stands. Every error names file and line.
"""

from __future__ import annotations

import hashlib
import re
import stat
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

import yaml
from pydantic import ValidationError

from msadraft.library.clause import FOR_EACH, Clause, Section
from msadraft.library.environment import MARK_SIGNS, store

MOST_BYTES = 100_000
"""Largest clause file. The longest of our own holds 8 kB."""
MOST_DEPTH = 6
_HIDDEN = re.compile(f"[{MARK_SIGNS}\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufffe\uffff]")
"""Signs that no wording needs: they hide, turn the direction of text, or stand for the pieces that facts become."""
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class LibraryError(Exception):
    """Something in the clause folder is wrong. Each line names file, line, what is wrong and how to mend it."""

    def __init__(self, problems: list[str]) -> None:
        """Keep every problem, sorted."""
        self.problems = sorted(problems)
        super().__init__("\n".join(self.problems))


@dataclass(frozen=True)
class Library:
    """All clauses by id, and the outline. `replaced` and `added` say what a firm's own folder changed."""

    clauses: dict[str, Clause]
    sections: tuple[Section, ...]
    replaced: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    originals: dict[str, Clause] = field(default_factory=dict)

    @cached_property
    def digest(self) -> str:
        """A digest over every clause that can be chosen, and their order."""
        digest = hashlib.sha256()
        for clause_id, clause in self.clauses.items():
            digest.update(f"{clause_id}\0{clause.model_dump_json(exclude={'file'})}\0".encode())
        return digest.hexdigest()

    @cached_property
    def groups(self) -> dict[str, tuple[Clause, ...]]:
        """The clauses of each one_of group, in the order of the outline."""
        found: dict[str, list[Clause]] = {}
        for section in self.sections:
            for clause_id in section.clauses:
                clause = self.clauses[clause_id]
                if clause.one_of:
                    found.setdefault(clause.one_of, []).append(clause)
        return {name: tuple(members) for name, members in found.items()}


def shipped_folder() -> Path:
    """The project's own clause folder: beside the package in a checkout, inside it in an installed wheel."""
    package = Path(__file__).resolve().parent.parent
    inside, beside = package / "_clauses", package.parent / "clauses"
    return inside if inside.is_dir() else beside


def read_library(*firm_folders: Path, base: Path | None = None) -> Library:
    """Read the shipped clauses and then each firm folder.

    Raises:
        LibraryError: a file cannot be read, a key is unknown, an id stands twice, or the outline and the files differ.
    """
    problems: list[str] = []
    folder = base or shipped_folder()
    clauses = _read_folder(folder, problems)
    sections = _read_contents(folder / "contents.yaml", problems)
    replaced: list[str] = []
    added: list[str] = []
    originals: dict[str, Clause] = {}
    for own in firm_folders:
        if not own.is_dir():
            problems.append(f"{own}: this clause folder does not exist")
            continue
        for clause_id, clause in _read_folder(own, problems).items():
            if clause_id in clauses:
                replaced.append(clause_id)
                originals.setdefault(clause_id, clauses[clause_id])
            else:
                added.append(clause_id)
                sections = _placed(sections, clause, problems)
            clauses[clause_id] = clause
    listed = [clause_id for section in sections for clause_id in section.clauses]
    problems += [
        f"{folder / 'contents.yaml'}: {i} is listed, but no file has that id" for i in listed if i not in clauses
    ]
    problems += [f"{folder / 'contents.yaml'}: {i} is listed twice" for i in {i for i in listed if listed.count(i) > 1}]
    problems += [f"{c.file}:1: {i} is not listed in contents.yaml" for i, c in clauses.items() if i not in set(listed)]
    if problems:
        raise LibraryError(problems)
    return Library({i: clauses[i] for i in listed}, sections, tuple(replaced), tuple(added), originals)


def _read_folder(folder: Path, problems: list[str]) -> dict[str, Clause]:
    found: dict[str, Clause] = {}
    for path in sorted(folder.rglob("*.md")):
        if path.name == "README.md":
            continue
        clause = _read_clause(path, folder, problems)
        if clause is None:
            continue
        if clause.id in found:
            problems.append(f"{path}:2: the id {clause.id} stands already in {found[clause.id].file}")
        found[clause.id] = clause
    return found


def _read_clause(path: Path, folder: Path, problems: list[str]) -> Clause | None:
    try:
        text = _text(path)
    except UnicodeDecodeError:
        problems.append(f"{path}: is not saved as UTF-8; save it so (in the editor's list of encodings)")
        return None
    except OSError as error:
        problems.append(f"{path}: cannot be read ({error.strerror})")
        return None
    except ValueError as error:
        problems.append(f"{path}: {error}")
        return None
    parts = re.match(r"---\n(.*?\n)---\n(.*)\Z", text, re.DOTALL)
    if not parts:
        problems.append(f"{path}:1: does not begin with front matter between two lines of three hyphens")
        return None
    try:
        front = store().data(parts[1], _parsed)
        if not isinstance(front, dict):
            raise ValueError("the front matter is not a list of keys")
        clause = Clause(
            **front, body=parts[2], file=str(path.relative_to(folder.parent)), body_line=parts[1].count("\n") + 3
        )
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        problems.append(f"{path}:{mark.line + 2 if mark else 2}: {getattr(error, 'problem', error)}")
        return None
    except ValidationError as error:
        for e in error.errors():
            key = ".".join(str(k) for k in e["loc"])
            problems.append(f"{path}:{_line_of(parts[1], key)}: {key}: {e['msg'].lower()}")
        return None
    except (TypeError, ValueError) as error:
        problems.append(f"{path}:2: {error}")
        return None
    if clause.for_each is not None and not FOR_EACH.fullmatch(clause.for_each):
        problems.append(f"{path}:{_line_of(parts[1], 'for_each')}: for_each should read NAME in EXPRESSION")
    return clause


def _text(path: Path) -> str:
    """The text of a clause file. Raises ValueError, with the reason, for what is no such file."""
    # Look before opening: opening a pipe would wait for ever, and a device has no end.
    if not stat.S_ISREG(path.stat().st_mode):
        raise ValueError("is not an ordinary file")
    with open(path, "rb") as stream:
        content = stream.read(MOST_BYTES + 1)
    if len(content) > MOST_BYTES:
        raise ValueError(f"is larger than {MOST_BYTES // 1000} kB; no clause is so long")
    text = content.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    hidden = _HIDDEN.search(text)
    if hidden:
        line = text.count("\n", 0, hidden.start()) + 1
        raise ValueError(f"line {line} holds the hidden sign U+{ord(hidden.group()):04X}; delete it")
    return text


def _parsed(text: str) -> Any:
    """The front matter as data. Raises ValueError for what could grow without end, or says a key twice."""
    depth, keys, key_due = 0, set(), True
    for event in yaml.parse(text, Loader=_LOADER):
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None) is not None:
            raise ValueError("anchors and aliases (& and *) are not used in front matter; put the text in quotes")
        if isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
            depth -= 1
        elif isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
            depth += 1
            if depth > MOST_DEPTH:
                raise ValueError(f"the front matter nests more than {MOST_DEPTH} deep")
        if depth == 1 and isinstance(event, (yaml.ScalarEvent, yaml.MappingEndEvent, yaml.SequenceEndEvent)):
            if key_due and isinstance(event, yaml.ScalarEvent):
                if event.value in keys:
                    raise ValueError(f"the key {event.value!r} is given twice; keep one")
                keys.add(event.value)
            key_due = not key_due
    return yaml.load(text, Loader=_LOADER)  # noqa: S506  (the safe loader, in C where it is there)


def _line_of(front: str, key: str) -> int:
    name = key.split(".")[0]
    for n, line in enumerate(front.splitlines(), start=2):
        if line.startswith(f"{name}:"):
            return n
    return 2


def _read_contents(path: Path, problems: list[str]) -> tuple[Section, ...]:
    try:
        return tuple(Section(**entry) for entry in store().data(path.read_text(encoding="utf-8"), _parsed))
    except (OSError, yaml.YAMLError, ValidationError, TypeError) as error:
        problems.append(f"{path}: {error}")
        return ()


def _placed(sections: tuple[Section, ...], clause: Clause, problems: list[str]) -> tuple[Section, ...]:
    for section in sections:
        if clause.after in section.clauses:
            spot = section.clauses.index(clause.after) + 1
            longer = (*section.clauses[:spot], clause.id, *section.clauses[spot:])
            return tuple(s.model_copy(update={"clauses": longer}) if s is section else s for s in sections)
    problems.append(f"{clause.file}:2: a new clause needs `after:` with the id of the clause that it follows")
    return sections
