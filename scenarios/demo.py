"""Draft the middle case through its three rounds, as a practitioner would, and say where the papers are.

After the last round it shows the first of the figures and makes the workbook and the parenting calendar.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

SCENARIO = Path(__file__).resolve().parent / "dunmarsh"
LINES_SHOWN = 24


def main(folder: Path) -> int:
    """Copy each round's facts into a case folder and draft it. Exit code 0 if all three rounds are there."""
    case = folder / "dunmarsh"
    if case.exists():
        shutil.rmtree(case)
    case.mkdir(parents=True)
    for n in (1, 2, 3):
        print(f"\nRound {n}")
        shutil.copyfile(SCENARIO / f"round-{n}.yaml", case / "case.yaml")
        code = _run("draft", case)
        if code not in (0, 1):
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
    print("\nWhat is where:")
    for n in (1, 2, 3):
        print(f"  {case / 'rounds' / f'{n:02d}'}")
        print("      agreement.docx, agreement.html, agreement.txt   the agreement")
        print("      paragraph-map.xlsx (also .csv, .json, .docx)    which form item points to which paragraph")
        print("      review.md                                       what stops signing, what is worth knowing")
        print("      figures.json                                    every figure with its working")
    print(f"  {case / 'calendar'}")
    print("      parenting-time-….svg                            the year as a picture; open it in a browser")
    print("      schedule.html                                   holidays and exchanges, to print")
    print("      petitioner.ics, respondent.ics                  for the parents' own calendars")
    print(f"\nWhy is a paragraph there?   {Path(sys.executable).parent / 'msadraft'} why {case} 4.1")
    return 0


def _command(*words: object) -> list[str]:
    return [sys.executable, "-m", "msadraft.cli", *map(str, words)]


def _run(*words: object) -> int:
    sys.stdout.flush()
    return subprocess.run(_command(*words), check=False).returncode


def _first_lines(*words: object) -> int:
    done = subprocess.run(_command(*words), check=False, stdout=subprocess.PIPE, text=True, encoding="utf-8")
    lines = done.stdout.splitlines()
    print("\n".join(f"  {line}".rstrip() for line in lines[:LINES_SHOWN]))
    print(f"  … {max(0, len(lines) - LINES_SHOWN)} more lines")
    return done.returncode


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1] if len(sys.argv) > 1 else "demo")))
