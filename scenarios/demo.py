"""Draft the middle case through its three rounds, as a practitioner would, and say where the papers are."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

SCENARIO = Path(__file__).resolve().parent / "dunmarsh"


def main(folder: Path) -> int:
    """Copy each round's facts into a case folder and draft it. Exit code 0 if all three rounds are there."""
    case = folder / "dunmarsh"
    if case.exists():
        shutil.rmtree(case)
    case.mkdir(parents=True)
    for n in (1, 2, 3):
        print(f"\nRound {n}")
        shutil.copyfile(SCENARIO / f"round-{n}.yaml", case / "case.yaml")
        code = subprocess.run([sys.executable, "-m", "msadraft.cli", "draft", str(case)], check=False).returncode
        if code not in (0, 1):
            return code
    print("\nWhat is where:")
    for n in (1, 2, 3):
        print(f"  {case / 'rounds' / f'{n:02d}'}")
        print("      agreement.docx, agreement.html, agreement.txt   the agreement")
        print("      paragraph-map.xlsx (also .csv, .json, .docx)    which form item points to which paragraph")
        print("      review.md                                       what stops signing, what is worth knowing")
    print(f"\nWhy is a paragraph there?   {Path(sys.executable).parent / 'msadraft'} why {case} 4.1")
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1] if len(sys.argv) > 1 else "demo")))
