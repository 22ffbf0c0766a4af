"""Draft the middle case through its three rounds, as a practitioner would, and say where the papers are.

After the last round it shows the first of the figures and makes the workbook, the parenting calendar and the packet.
Then the other side sends back the document with changes typed into it: they are taken in, drafted as a round of their
own with a redline, and the document is verified against the new map. The other cases go the same way, shorter.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

SCENARIOS = Path(__file__).resolve().parent
LINES_SHOWN = 24
DISCLOSURE = (
    "Nothing in this agreement gives up a preliminary",
    "Nothing in this agreement gives up or replaces a preliminary",
)
TYPED_BY_THE_OTHER_SIDE = {
    "dunmarsh": (
        ("$2,500.00", "$3,000.00"),
        ("Exchanges are brief and calm.", "Exchanges are brief, calm, and on time."),
    ),
    "marrowby": (DISCLOSURE,),
    "varnell": (("$2,500.00", "$3,000.00"), DISCLOSURE),
}


def main(folder: Path) -> int:
    """Walk through the case and say where everything is. Exit code 0 if every step did what it should."""
    case = folder / "dunmarsh"
    code = _three_rounds(case)
    if code:
        return code
    print("\nThe figures of round 3, as `figures` begins:\n")
    code = _first_lines("figures", case)
    if code:
        return code
    print("\nThe same with live formulas:")
    code = _run("figures", case, "--xlsx", case / "figures.xlsx")
    if code:
        return code
    print("\nThe parenting calendar:")
    code = _run("calendar", case, "--out", case / "calendar")
    if code not in (0, 1):
        return code
    print("\nThe judgment packet:")
    code = _run("packet", case, "--out", case / "packet")
    if code not in (0, 1):
        return code
    code = _edited_document(case)
    if code not in (0, 1):
        return code
    for name in ("marrowby", "varnell"):
        print(f"\nThe same story in the case {name}:")
        code = _three_rounds(folder / name) or _edited_document(folder / name)
        if code not in (0, 1):
            return code
    print("\nWhat is where:")
    print(f"  {case / 'rounds'}  (01, 02, 03, 04)")
    print("      agreement.docx, agreement.html, agreement.txt   the agreement")
    print("      paragraph-map.xlsx (also .csv, .json, .docx)    which form item points to which paragraph")
    print("      review.md                                       what stops signing, what is worth knowing")
    print("      figures.json                                    every figure with its working")
    print("      redline-from-….docx, changes-from-….md          what moved since the round before")
    print(f"  {case / 'packet'}")
    print(
        "      worksheets.html, filing-list.html, summary.html form by form, what to file, and a summary for the spouses"
    )
    print(f"  {case / 'calendar'}")
    print("      parenting-time-….svg                            the year as a picture; open it in a browser")
    print("      schedule.html                                   holidays and exchanges, to print")
    print("      petitioner.ics, respondent.ics                  for the parents' own calendars")
    print(f"\nWhy is a paragraph there?   {Path(sys.executable).parent / 'msadraft'} why {case} 4.1")
    return 0


def _three_rounds(case: Path) -> int:
    """Draft the three rounds of a scenario in a fresh case folder. 0 if all are there."""
    if case.exists():
        shutil.rmtree(case)
    case.mkdir(parents=True)
    for n in (1, 2, 3):
        print(f"\nRound {n}")
        shutil.copyfile(SCENARIOS / case.name / f"round-{n}.yaml", case / "case.yaml")
        code = _run("draft", case)
        if code not in (0, 1):
            return code
    return 0


def _edited_document(case: Path) -> int:
    """The other side's document: take it in, draft the fourth round, and verify the document against its map."""
    edited = case / "from-the-other-side.docx"
    _type_into(case / "rounds" / "03" / "agreement.docx", edited, TYPED_BY_THE_OTHER_SIDE[case.name])
    print("\nThe other side sends the document back with changes typed into it. What takein reads:\n")
    code = _run("takein", case, edited, "--apply")
    if code not in (0, 1):
        return code
    print("\nRound 4, with the changes in the facts and the wording:")
    code = _run("draft", case)
    if code not in (0, 1):
        return code
    print("\nDoes their document agree with the new map?")
    return _run("verify", edited, case / "rounds" / "04" / "paragraph-map.json")


def _type_into(document: Path, edited: Path, typed: tuple[tuple[str, str], ...]) -> None:
    """Copy a document with the other side's words typed over ours, as a word processor would save it."""
    with zipfile.ZipFile(document) as old, zipfile.ZipFile(edited, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "word/document.xml":
                for ours, theirs in typed:
                    data = data.replace(ours.encode(), theirs.encode(), 1)
            new.writestr(name, data)


def _command(*words: object) -> list[str]:
    return [sys.executable, "-m", "msadraft.cli", *map(str, words)]


def _run(*words: object) -> int:
    sys.stdout.flush()
    return subprocess.run(_command(*words), check=False).returncode  # noqa: S603  (this program itself, no shell)


def _first_lines(*words: object) -> int:
    command = _command(*words)
    done = subprocess.run(command, check=False, stdout=subprocess.PIPE, text=True, encoding="utf-8")  # noqa: S603  (as above)
    lines = done.stdout.splitlines()
    print("\n".join(f"  {line}".rstrip() for line in lines[:LINES_SHOWN]))
    print(f"  … {max(0, len(lines) - LINES_SHOWN)} more lines")
    return done.returncode


if __name__ == "__main__":
    words = [word for word in sys.argv[1:] if word != "--rounds"]
    target = Path(words[0] if words else "demo")
    sys.exit(_three_rounds(target / "dunmarsh") if "--rounds" in sys.argv else main(target))
