"""The rounds of a case on disk: numbered folders, each written aside and renamed into place in one step.

A finished round is never changed. A new one is made only if the facts, the clauses or the program changed.
Everything is created with owner-only rights.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import msadraft
from msadraft.draft import Draft
from msadraft.library.load import Library
from msadraft.writers.data import agreement_data, write_json
from msadraft.writers.docx import write_docx
from msadraft.writers.html import write_html
from msadraft.writers.paragraph_map import write_csv, write_map_docx, write_xlsx
from msadraft.writers.paragraph_map import write_json as write_map_json
from msadraft.writers.review import write_review
from msadraft.writers.text import write_text


class RoundError(Exception):
    """The round cannot be written or read; the message says why and what to do."""


@dataclass(frozen=True)
class Written:
    """A round on disk. `fresh` is False when nothing had changed and the earlier round stands."""

    folder: Path
    label: str
    fresh: bool


def rounds_in(case_folder: Path) -> list[int]:
    """The numbers of the finished rounds of a case, in order."""
    folder = case_folder / "rounds"
    if not folder.is_dir():
        return []
    return sorted(int(p.name) for p in folder.iterdir() if p.is_dir() and re.fullmatch(r"\d{2,}", p.name))


def library_digest(library: Library) -> str:
    """A digest over every clause that can be chosen, and their order."""
    digest = hashlib.sha256()
    for clause_id, clause in library.clauses.items():
        digest.update(f"{clause_id}\0{clause.model_dump_json(exclude={'file'})}\0".encode())
    return digest.hexdigest()


def content_key(draft: Draft) -> dict[str, str]:
    """What decides whether a round is the same as the one before."""
    return {"facts": draft.case.digest, "clauses": library_digest(draft.library), "engine": msadraft.__version__}


def files_of(draft: Draft, label: str) -> dict[str, bytes]:
    """All files of one round, by name. The same draft gives the same bytes."""
    stamp = draft.stamp(label)
    paragraph_map = draft.map(label)
    tree, numbers = draft.agreement, draft.numbering
    files: dict[str, bytes] = {
        "facts.yaml": draft.case.text.encode(),
        "agreement.docx": write_docx(tree, numbers, stamp),
        "agreement.html": write_html(tree, numbers, stamp).encode(),
        "agreement.txt": write_text(tree, numbers, stamp).encode(),
        "agreement.json": write_json(agreement_data(tree, numbers, stamp.mark)).encode(),
        "paragraph-map.csv": write_csv(paragraph_map),
        "paragraph-map.json": write_map_json(paragraph_map),
        "paragraph-map.xlsx": write_xlsx(paragraph_map),
        "paragraph-map.docx": write_map_docx(paragraph_map, stamp),
        "review.md": write_review(draft.findings, draft.case.place, stamp.mark).encode(),
        "figures.json": write_json(draft.figures).encode(),
    }
    manifest = {
        "mark": stamp.mark,
        "ready": stamp.ready,
        **content_key(draft),
        "replaced_clauses": list(draft.library.replaced),
        "added_clauses": list(draft.library.added),
        "files": {name: hashlib.sha256(data).hexdigest() for name, data in files.items()},
    }
    return {**files, "manifest.json": write_json(manifest).encode()}


def write_round(draft: Draft, case_folder: Path) -> Written:
    """Write the next round of a case, or name the last one if nothing changed.

    Raises:
        RoundError: the folder cannot be written.
    """
    numbers = rounds_in(case_folder)
    if numbers and _same(case_folder / "rounds" / f"{numbers[-1]:02d}", draft):
        return Written(case_folder / "rounds" / f"{numbers[-1]:02d}", f"Round {numbers[-1]}", fresh=False)
    n = numbers[-1] + 1 if numbers else 1
    target = case_folder / "rounds" / f"{n:02d}"
    aside = case_folder / "rounds" / f".{n:02d}.part"
    try:
        target.parent.mkdir(mode=0o700, exist_ok=True)
        if aside.exists():
            shutil.rmtree(aside)
        aside.mkdir(mode=0o700)
        for name, data in files_of(draft, f"Round {n}").items():
            _write(aside / name, data)
        _sync(aside)
        aside.rename(target)
        _sync(target.parent)
    except OSError as error:
        raise RoundError(f"{target}: the round cannot be written ({error.strerror}); the earlier rounds are untouched") from error
    return Written(target, f"Round {n}", fresh=True)


def write_out(draft: Draft, out: Path, label: str) -> Written:
    """Write the files of a draft straight into a folder, each by rename, so that none is ever half written."""
    try:
        out.mkdir(mode=0o700, parents=True, exist_ok=True)
        for name, data in files_of(draft, label).items():
            part = out / f".{name}.part"
            _write(part, data)
            part.replace(out / name)
        _sync(out)
    except OSError as error:
        raise RoundError(f"{out}: cannot be written ({error.strerror}); choose another folder with --out") from error
    return Written(out, label, fresh=True)


def current_round(draft: Draft, case_folder: Path) -> int | None:
    """The number of the last round, if it holds just this draft."""
    numbers = rounds_in(case_folder)
    return numbers[-1] if numbers and _same(case_folder / "rounds" / f"{numbers[-1]:02d}", draft) else None


def _same(folder: Path, draft: Draft) -> bool:
    try:
        manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    key: Mapping[str, str] = content_key(draft)
    return all(manifest.get(name) == value for name, value in key.items())


def _write(path: Path, data: bytes) -> None:
    with open(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _sync(folder: Path) -> None:
    """Make a rename durable; folders cannot be synced on Windows, where the rename alone must do."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
