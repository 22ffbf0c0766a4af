"""The rounds of a case on disk: numbered folders, each written aside and renamed into place in one step.

A finished round is never changed. A new one is made only if the facts, the negotiated wording, the clauses, the law data
or the program changed. Whatever ends the program, there is either the old state or the new one; a folder that was
written aside and never renamed is taken away by the next writer, which says so. Everything is created with owner-only
rights.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files as package_files
from pathlib import Path
from typing import Any

import msadraft
from msadraft.agreement.negotiated import Negotiated
from msadraft.draft import Draft
from msadraft.facts.load import CaseFile
from msadraft.figures.everything import all_figures
from msadraft.law.parameters import names as law_names
from msadraft.library.load import Library
from msadraft.library.replaced import lost_topics
from msadraft.rounds.chosen import selection_data
from msadraft.rounds.disk import rounds_in, sync, write_file, write_files
from msadraft.rounds.errors import RoundError
from msadraft.rounds.lock import writing
from msadraft.rounds.read import Version, read_round, version_of
from msadraft.writers.data import agreement_data, write_json, write_lines
from msadraft.writers.docx import write_docx
from msadraft.writers.figures import round_data
from msadraft.writers.html import write_html
from msadraft.writers.paragraph_map import write_csv, write_map_docx, write_xlsx
from msadraft.writers.paragraph_map import write_json as write_map_json
from msadraft.writers.review import write_review
from msadraft.writers.text import write_text

__all__ = [
    "RoundError",
    "Written",
    "current_round",
    "files_of",
    "rounds_in",
    "standing_round",
    "write_out",
    "write_round",
]

_ASIDE = re.compile(r"\.\d{2,}\.part")


@dataclass(frozen=True)
class Written:
    """A round on disk. `fresh` is False when nothing had changed and the earlier round stands.

    `said` is what a person should know: an unfinished folder that was taken away, an earlier round that cannot be read.
    """

    folder: Path
    label: str
    fresh: bool
    said: tuple[str, ...] = ()


@cache
def law_digest() -> str:
    """A digest over every dated parameter of the law."""
    digest = hashlib.sha256()
    folder = package_files("msadraft.law").joinpath("data")
    for name in law_names():
        digest.update(f"{name}\0".encode() + folder.joinpath(*f"{name}.yaml".split("/")).read_bytes())
    return digest.hexdigest()


def content_key(case: CaseFile, negotiated: Negotiated, library: Library) -> dict[str, str]:
    """What decides whether a round is the same as the one before."""
    return {
        "facts": case.digest,
        "wording": negotiated.digest,
        "clauses": library.digest,
        "law": law_digest(),
        "engine": msadraft.__version__,
    }


def files_of(draft: Draft, label: str, before: Version | None = None, *, essentials: bool = False) -> dict[str, bytes]:
    """All files of one round, by name. The same draft after the same round gives the same bytes.

    With `essentials` only one paper of each kind: the agreement as DOCX, the map as CSV, the review notes; the records of
    the round are always whole. What is left out can be made from the case at any time.
    """
    stamp = draft.stamp(label)
    paragraph_map = draft.map(label)
    tree, numbers = draft.agreement, draft.numbering
    figures = round_data(draft.figures, all_figures(draft.case.facts, draft.figures), stamp.mark)
    files: dict[str, bytes] = {
        "facts.yaml": draft.case.text.encode(),
        "agreement.docx": write_docx(tree, numbers, stamp),
        "agreement.json": write_lines(agreement_data(tree, numbers, stamp.mark), "sections").encode(),
        "paragraph-map.csv": write_csv(paragraph_map),
        "paragraph-map.json": write_map_json(paragraph_map),
        "review.md": write_review(draft.findings, draft.case.place, stamp.mark).encode(),
        "figures.json": write_lines(figures, "working").encode(),
        "selection.json": write_lines(selection_data(draft.selection), "chosen", "left_out").encode(),
    }
    if not essentials:
        files |= {
            "agreement.html": write_html(tree, numbers, stamp).encode(),
            "agreement.txt": write_text(tree, numbers, stamp).encode(),
            "paragraph-map.xlsx": write_xlsx(paragraph_map),
            "paragraph-map.docx": write_map_docx(paragraph_map, stamp),
        }
    if draft.negotiated.source:
        files["wording.yaml"] = draft.negotiated.source.encode()
    if before is not None:
        from msadraft.rounds.report import change_files  # late: a first round has nothing to compare

        items: Any = paragraph_map.as_dict()["items"]
        now = version_of(draft, label, figures, items, draft.library.digest, msadraft.__version__)
        files |= change_files(before, now, ("redline", "md"))
    manifest = {
        "mark": stamp.mark,
        "ready": stamp.ready,
        **content_key(draft.case, draft.negotiated, draft.library),
        "replaced_clauses": list(draft.library.replaced),
        "added_clauses": list(draft.library.added),
        "lost_topics": [str(lost) for lost in lost_topics(draft.library)],
        "files": {name: hashlib.sha256(data).hexdigest() for name, data in files.items()},
    }
    return {**files, "manifest.json": write_json(manifest).encode()}


def _refuse_without_agreement(draft: Draft) -> None:
    """Refuse to draft an agreement for a case whose route has none."""
    if draft.figures.true_default:
        place = draft.case.place("case.path")
        raise RoundError(
            f"{place.file}:{place.line}: case.path: default means that there is no agreement, so none is drafted for"
            " signature. Use `msadraft packet` for the judgment packet; `msadraft review` and `msadraft figures` work as"
            " well. If both will sign an agreement after all, set case.path to default_with_agreement."
        )


def write_round(draft: Draft, case_folder: Path, *, essentials: bool = False) -> Written:
    """Write the next round of a case, or name the last one if nothing changed; `essentials` as in `files_of`.

    Raises:
        RoundError: the folder cannot be written, another process is writing to it, or the route has no agreement.
    """
    _refuse_without_agreement(draft)
    with writing(case_folder):
        rounds = case_folder / "rounds"
        try:
            said = list(_cleaned(rounds))
            numbers = rounds_in(case_folder)
            last = rounds / f"{numbers[-1]:02d}" if numbers else None
            if last and _standing(last, draft.case, draft.negotiated, draft.library):
                return Written(last, f"Round {numbers[-1]}", fresh=False, said=tuple(said))
            before = _before(last, said) if last else None
            n = numbers[-1] + 1 if numbers else 1
            files = files_of(draft, f"Round {n}", before, essentials=essentials)
            if not rounds.is_dir():
                os.mkdir(rounds, 0o700)
                sync(case_folder)
            _place(files, rounds / f".{n:02d}.part", rounds / f"{n:02d}")
        except OSError as error:
            raise RoundError(
                f"{rounds}: the round cannot be written ({error.strerror}); the earlier rounds are untouched"
            ) from error
    return Written(rounds / f"{n:02d}", f"Round {n}", fresh=True, said=tuple(said))


def _place(files: Mapping[str, bytes], aside: Path, target: Path) -> None:
    """Write files into a folder aside, make each of them last, then give the folder its name in one step."""
    os.mkdir(aside, 0o700)
    for name, data in files.items():
        write_file(aside / name, data, durable=True)
    sync(aside)
    os.rename(aside, target)
    sync(target.parent)


def _cleaned(rounds: Path) -> list[str]:
    """Take away folders that an earlier writer did not finish, and say so. Call it with the case held for writing."""
    said = []
    unfinished = [p for p in rounds.iterdir() if _ASIDE.fullmatch(p.name)] if rounds.is_dir() else []
    for folder in sorted(unfinished):
        shutil.rmtree(folder)
        said.append(
            f"An earlier run was ended before its round was complete; its unfinished folder {folder} was removed."
        )
    return said


def _before(folder: Path, said: list[str]) -> Version | None:
    """Read the round before; if it cannot be read, the next one is written without a redline, and that is said."""
    try:
        return read_round(folder)
    except RoundError as error:
        said.append(f"No redline against {folder.name}: {error}")
        return None


def write_out(draft: Draft, out: Path, label: str) -> Written:
    """Write the files of a draft straight into a folder, each by rename, so that none is ever half written.

    Raises:
        RoundError: the route has no agreement.
    """
    _refuse_without_agreement(draft)
    return Written(write_files(files_of(draft, label), out), label, fresh=True)


def current_round(draft: Draft, case_folder: Path) -> int | None:
    """The number of the last round, if it holds just this draft."""
    numbers = rounds_in(case_folder)
    folder = case_folder / "rounds" / f"{numbers[-1]:02d}" if numbers else None
    return numbers[-1] if folder and _standing(folder, draft.case, draft.negotiated, draft.library) else None


def standing_round(
    case: CaseFile, negotiated: Negotiated, library: Library, case_folder: Path
) -> tuple[str, bool] | None:
    """The mark of the last round, and whether it was ready to sign, if a draft of just these would change nothing.

    Nothing is drafted for the answer. None: there is no round, or the next draft would be a new one.
    """
    numbers = rounds_in(case_folder)
    return _standing(case_folder / "rounds" / f"{numbers[-1]:02d}", case, negotiated, library) if numbers else None


def _standing(folder: Path, case: CaseFile, negotiated: Negotiated, library: Library) -> tuple[str, bool] | None:
    try:
        manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    same = all(manifest.get(name) == value for name, value in content_key(case, negotiated, library).items())
    return (str(manifest.get("mark", "")), manifest.get("ready") is True) if same else None
