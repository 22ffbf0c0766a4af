"""The papers that show what changed between two versions: the redline and the change report."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from msadraft.facts.model import Facts
from msadraft.rounds.compare import compare
from msadraft.rounds.disk import rounds_in, write_files
from msadraft.rounds.errors import RoundError
from msadraft.rounds.read import Version, read_round
from msadraft.writers.changes import Changes, write_changes, write_changes_html, write_changes_json
from msadraft.writers.docx.redline import write_redline
from msadraft.writers.stamp import Stamp

KINDS = ("redline", "md", "json", "html")
_SOMEBODY = "Drafting party"


def change_files(
    old: Version,
    new: Version,
    kinds: Collection[str] = KINDS,
    *,
    author: str = "",
    day: date | None = None,
    changes: Changes | None = None,
) -> dict[str, bytes]:
    """Give the papers by name, such as `redline-from-01.docx` and `changes-from-01.md`.

    Args:
        old: the earlier version.
        new: the later version.
        kinds: which of `KINDS` to make.
        author: who made the changes; left out, the one who drafts, as the facts say.
        day: the day of the changes; left out, the day the figures of the new version are taken as of.
        changes: the comparison, if it was made before.
    """
    found = changes or compare(old, new)
    name = old.label.rsplit(" ", 1)[-1].zfill(2)
    files: dict[str, bytes] = {}
    if "redline" in kinds:
        words = f"Redline of {new.label} against {old.label}. Paragraph numbers are final in the clean copy only."
        stamp = Stamp(mark=new.mark, ready=False, not_ready_text=words)
        when = day or date.fromisoformat(new.figures["figures"]["as_of"])
        author = author or (author_of(new.facts) if new.facts else _SOMEBODY)
        files[f"redline-from-{name}.docx"] = write_redline(old.agreement, new.agreement, stamp, author, when)
    for kind, write in (("md", write_changes), ("json", write_changes_json), ("html", write_changes_html)):
        if kind in kinds:
            files[f"changes-from-{name}.{kind}"] = write(found).encode()
    return files


def author_of(facts: Facts) -> str:
    """Give the name of the one who drafts, as the facts say; a general word if they do not."""
    name = None
    match facts.case.drafted_by:
        case "petitioner_counsel" if facts.petitioner.attorney:
            name = facts.petitioner.attorney.name
        case "respondent_counsel" if facts.respondent.attorney:
            name = facts.respondent.attorney.name
        case "document_assistant" if facts.case.preparer_block:
            name = facts.case.preparer_block.name
        case "neutral":
            name = facts.case.mediator
    return name or _SOMEBODY


@dataclass(frozen=True)
class Compared:
    """Two rounds compared, and the papers that say so. `ready`: nothing stops signing the later one."""

    changes: Changes
    folder: Path
    files: tuple[str, ...]
    ready: bool


def compare_rounds(
    case_folder: Path,
    earlier: int | None = None,
    later: int | None = None,
    out: Path | None = None,
    author: str = "",
    day: str = "",
) -> Compared:
    """Compare two rounds of a case and write the papers into `out`, or into `compare` in the case folder.

    Raises:
        RoundError: there are no such rounds, a round cannot be read, `day` is no day, or the papers cannot be written.
    """
    numbers = rounds_in(case_folder)
    if len(numbers) < 2:
        held = f"only round {numbers[0]}" if numbers else "no round"
        raise RoundError(f"{case_folder}: there is {held} to compare; `msadraft draft` writes the next one")
    new = numbers[-1] if later is None else later
    older = [n for n in numbers if n < new]
    if earlier is None and new in numbers and not older:
        raise RoundError(f"{case_folder}: there is no round before round {new}; the rounds are {_listed(numbers)}")
    old = older[-1] if earlier is None and older else earlier
    for n in (old, new):
        if n not in numbers:
            raise RoundError(f"{case_folder}: there is no round {n}; the rounds are {_listed(numbers)}")
    if old == new:
        raise RoundError(f"{case_folder}: round {old} cannot be compared with itself")
    try:
        when = date.fromisoformat(day) if day else None
    except ValueError:
        raise RoundError(f"--date: {day!r} is not a day; write it like 2026-11-30") from None
    before, after = (read_round(case_folder / "rounds" / f"{n:02d}") for n in (old, new))
    changes = compare(before, after)
    made = change_files(before, after, author=author, day=when, changes=changes)
    files = {f"round-{new:02d}-{name}": data for name, data in made.items()}
    folder = write_files(files, out or case_folder / "compare")
    return Compared(changes, folder, tuple(files), after.ready)


def _listed(numbers: list[int]) -> str:
    return ", ".join(map(str, numbers))
