"""Read case.yaml into facts, or say everything that is wrong with it, line by line."""

from __future__ import annotations

import codecs
import hashlib
import os
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pydantic import ValidationError

from msadraft.facts.check import check_tree
from msadraft.facts.explain import explain
from msadraft.facts.model import Facts
from msadraft.facts.paths import ROOT, Shape, fields_of
from msadraft.facts.problems import FactsError, Place, Problem, nearest_place
from msadraft.facts.yaml_tree import MOST_PROBLEMS, Tree, read_tree

FILE_NAME = "case.yaml"
MOST_BYTES = 2_000_000


@dataclass(frozen=True)
class CaseFile:
    """Facts together with where each of them stands.

    Attributes:
        facts: the facts.
        places: for every path that is in the file, its place (the key; for a list item, the item).
        path: the file that was read.
        text: its text, without a byte order mark.
        digest: SHA-256 of its bytes, in hexadecimal.
    """

    facts: Facts
    places: Mapping[str, Place]
    path: Path
    text: str
    digest: str

    def place(self, path: str) -> Place:
        """Where a fact stands; if it is not in the file, where the nearest group around it stands."""
        return nearest_place(self.places, path, self.path.name)


def read_case(path: str | os.PathLike[str]) -> CaseFile:
    """Read the facts of a case.

    Args:
        path: the case folder, or the facts file itself.

    Raises:
        FactsError: the file cannot be read or used; it carries every problem found.
    """
    file = Path(path)
    try:
        if file.is_dir():
            file = _file_in(file)
        content = _bytes_of(file)
    except PermissionError:
        raise _file_error(
            file, f"The file {str(file)!r} may not be read by this user.", "Change the rights of the file or folder."
        ) from None
    except FileNotFoundError:
        raise _file_error(
            file, f"There is no file {str(file)!r}.", "Check the name; `msadraft new DIR` makes a new case folder."
        ) from None
    except (OSError, ValueError):
        raise _file_error(
            file, f"The file {str(file)!r} cannot be read.", "Check the name and that the disk can be read."
        ) from None
    return _read(_decode(content, file.name), file, hashlib.sha256(content).hexdigest())


def read_text_case(text: str, file_name: str = FILE_NAME) -> CaseFile:
    """Read facts from text. `file_name` is what messages call it. Raises FactsError like `read_case`."""
    try:
        content = text.encode()
    except UnicodeEncodeError as error:
        before = text[: error.start]
        place = Place(file_name, before.count("\n") + 1, error.start - (before.rfind("\n") + 1) + 1)
        raise FactsError(
            [Problem(place, "", "There is half a character here that cannot be read.", "Delete it and type it again.")]
        ) from None
    if len(content) > MOST_BYTES:
        raise _too_large(Path(file_name))
    return _read(text.removeprefix("\ufeff"), Path(file_name), hashlib.sha256(content).hexdigest())


def _file_in(folder: Path) -> Path:
    file = folder / FILE_NAME
    if file.exists():
        return file
    others = sorted(entry.name for entry in folder.iterdir() if entry.suffix.lower() in (".yaml", ".yml"))[:3]
    if others:
        mend = f"Rename the facts file to {FILE_NAME}, or name the file itself (found here: {', '.join(others)})."
    else:
        mend = "Check the folder; `msadraft new DIR` makes a new case folder."
    raise _file_error(file, f"There is no {FILE_NAME} in the folder {str(folder)!r}.", mend)


def _bytes_of(file: Path) -> bytes:
    # Look before opening: opening a pipe would wait for ever.
    if not stat.S_ISREG(os.stat(file).st_mode):
        raise _file_error(file, f"{str(file)!r} is not an ordinary file.", f"Name a case folder or a {FILE_NAME}.")
    with open(file, "rb") as stream:
        content = stream.read(MOST_BYTES + 1)
    if len(content) > MOST_BYTES:
        raise _too_large(file)
    return content


def _file_error(file: Path, what: str, mend: str) -> FactsError:
    return FactsError([Problem(Place(file.name or str(file), 0, 0), "", what, mend)])


def _too_large(file: Path) -> FactsError:
    return _file_error(
        file,
        f"The file is larger than {MOST_BYTES // 1_000_000} MB.",
        "A facts file holds a few hundred lines: check that it is the right file.",
    )


_OTHER_FILES = (
    (b"PK\x03\x04", "a word-processing, spreadsheet or zip file"),
    (b"\xd0\xcf\x11\xe0", "an older word-processing or spreadsheet file"),
    (b"%PDF", "a PDF"),
    (b"{\\rtf", "a rich-text file"),
)
_OTHER_CODES = (codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE, codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


def _decode(content: bytes, name: str) -> str:
    """The text of the bytes, which must be UTF-8, with or without a byte order mark."""
    for start, kind in _OTHER_FILES:
        if content.startswith(start):
            raise FactsError(
                [
                    Problem(
                        Place(name, 0, 0),
                        "",
                        f"This is {kind}, not a facts file.",
                        "Facts are plain text; make a new one with `msadraft new DIR`.",
                    )
                ]
            )
    as_utf8 = "Save the file as UTF-8 (in the editor's list of encodings)."
    if content.startswith(_OTHER_CODES) or b"\x00" in content[:200]:
        raise FactsError(
            [Problem(Place(name, 0, 0), "", "The file is saved as UTF-16 or UTF-32, not as UTF-8.", as_utf8)]
        )
    content = content.removeprefix(codecs.BOM_UTF8)
    try:
        return content.decode()
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        before = content[content.rfind(b"\n", 0, error.start) + 1 : error.start].decode(errors="replace")
        place = Place(name, line, len(before) + 1)
        raise FactsError(
            [Problem(place, "", "There is a character here that is not saved as UTF-8.", as_utf8)]
        ) from None


def _read(text: str, path: Path, digest: str) -> CaseFile:
    name = path.name or str(path)
    reading = read_tree(text, name)
    problems = list(reading.problems)
    if not reading.whole:
        raise FactsError(problems)
    if not isinstance(reading.tree, dict):
        problems.append(_not_a_group(reading.tree, name))
        raise FactsError(problems)
    places = reading.places

    def place(of: str) -> Place:
        return nearest_place(places, of, name)

    tree = without_empties(reading.tree, ROOT)
    problems += [Problem(place(slip.path), slip.path, slip.what, slip.mend) for slip in check_tree(tree)]
    facts: Facts | None = None
    unlisted = 0
    try:
        facts = Facts.model_validate(tree)
    except ValidationError as error:
        objections = sorted(error.errors(include_url=False), key=lambda one: place(".".join(map(str, one["loc"]))))
        problems += [explain(one, places, name) for one in objections[:MOST_PROBLEMS]]
        unlisted = max(0, len(objections) - MOST_PROBLEMS)
        problems.sort(key=lambda problem: problem.place)
    if problems or facts is None:
        raise FactsError(problems[:MOST_PROBLEMS], unlisted + max(0, len(problems) - MOST_PROBLEMS))
    return CaseFile(facts, MappingProxyType(places), path, text, digest)


def _not_a_group(tree: Tree, name: str) -> Problem:
    if tree is None:
        return Problem(
            Place(name, 1, 1),
            "",
            "The file holds no facts.",
            "Fill it in; `msadraft new DIR` makes a case folder in which every fact is explained.",
        )
    kind = "a list" if isinstance(tree, list) else "a single text"
    return Problem(
        Place(name, 1, 1),
        "",
        f"The file should be a group of keys like `case:` and `petitioner:`, but is {kind}.",
        "Begin each part with its key and a colon.",
    )


def without_empties(tree: Any, shape: Shape | None) -> Any:
    """The tree without the known keys that are empty: an empty fact is a fact not given.

    An empty list item or an empty entry under a short name is kept, so that it is reported and not lost.
    """
    if isinstance(tree, dict):
        if shape is None or shape.record is None:
            return {key: without_empties(value, shape.item if shape else None) for key, value in tree.items()}
        known = fields_of(shape.record)
        return {
            key: without_empties(value, known[key].shape if key in known else None)
            for key, value in tree.items()
            if value is not None or key not in known
        }
    if isinstance(tree, list):
        return [without_empties(value, shape.item if shape else None) for value in tree]
    return tree
