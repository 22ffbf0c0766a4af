"""A cold `msadraft draft` of the largest scenario beside the bare import of the libraries it needs, in one run.

Prints medians and the ratio, and the same of the fastest runs; there is no limit here, because a shared machine is
noisy. The store of compiled clauses is one of its own, filled by a first run that is not counted: a developer's store
also holds every earlier wording. Run: make bench
"""

from __future__ import annotations

import compileall
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
RUNS = 9
LIBRARIES = "import pydantic, yaml, jinja2.sandbox, markdown_it, typer, dateutil.relativedelta, docx, xlsxwriter.workbook, num2words"
MODEL = "\nclass M(pydantic.BaseModel):\n    x: int = 0\n"


def once(command: list[str], environment: dict[str, str]) -> tuple[float, float]:
    """Wall and processor seconds of one run of a command in a new process."""
    start, before = time.perf_counter(), os.times()
    done = subprocess.run(
        command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, env=environment
    )
    if done.returncode not in (0, 1):  # 1: drafted, but findings stop signing
        raise SystemExit(f"{' '.join(command)} failed:\n{done.stderr}")
    after = os.times()
    spent = after.children_user + after.children_system - before.children_user - before.children_system
    return time.perf_counter() - start, spent


def main() -> None:
    """Time both, one after the other, so that noise falls on both."""
    largest = max((ROOT / "scenarios").glob("*/round-3.yaml"), key=lambda p: p.stat().st_size)
    compileall.compile_dir(str(ROOT / "msadraft"), quiet=2)  # as an installed package is
    with tempfile.TemporaryDirectory() as out:
        bare = [sys.executable, "-c", LIBRARIES + MODEL]
        ours = [sys.executable, "-m", "msadraft.cli", "draft", str(largest), "--out", out]
        own = {**os.environ, "XDG_CACHE_HOME": f"{out}/cache", "LOCALAPPDATA": f"{out}/cache"}
        once(bare, own), once(ours, own)
        pairs = [(once(bare, own), once(ours, own)) for _ in range(RUNS)]
    print(largest.parent.name)
    for n, kind in enumerate(("wall", "processor")):
        for word, of in (("median", statistics.median), ("least", min)):
            floor, draft = (of([run[n] for run in column]) * 1000 for column in zip(*pairs, strict=True))
            print(
                f"  {kind:<9} {word:<6} bare import {floor:5.0f} ms, cold draft {draft:5.0f} ms, ratio {draft / floor:.2f}"
            )


if __name__ == "__main__":
    main()
