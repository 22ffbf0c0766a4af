"""Time and exactness of the redline, beside a general-purpose comparison library in the same run.

Run it by hand: `python tests/benchmarks/bench_redline.py`. The library is python-redlines with its Docxodus engine (MIT);
it is measured where `pip install "python-redlines[docxodus]"` was done. It is given the two clean documents; the own
writer starts from the two trees and writes their XML itself. Exactness is read by the rules of the standard
(tests/support/resolver.py). Nothing here is asserted; the ratios are what counts, since machines differ.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.bench_writer import long_agreement
from rounds.test_redline import mangled
from support.resolver import lines
from support.scenarios import NAMES, drafted

from msadraft.agreement.numbering import number
from msadraft.tree import Agreement
from msadraft.writers.docx import write_docx
from msadraft.writers.docx.redline import write_redline
from msadraft.writers.stamp import Stamp

STAMP = Stamp("Round 2 · 00000000", True)
DAY = date(2026, 11, 2)


def library() -> Callable[[bytes, bytes], bytes] | None:
    """Give a call that compares two documents with python-redlines, or None where it is not installed."""
    try:
        from python_redlines.engines import DocxodusEngine
    except ImportError:
        return None
    engine = DocxodusEngine()
    return lambda old, new: bytes(engine.run_redline("A. Drafter", original=old, modified=new)[0])


def milliseconds(call: Callable[[], object], times: int) -> float:
    """Give the median time of a warm call."""
    call()
    found = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        found.append((time.perf_counter() - start) * 1000)
    return statistics.median(found)


def wrong(made: bytes, old: bytes, new: bytes) -> str:
    """Count the paragraphs that are not those of the clean versions after accepting and after rejecting."""
    counts = []
    for decision, clean in (("accept", new), ("reject", old)):
        try:
            found, wanted = lines(made, decision), lines(clean)  # type: ignore[arg-type]
        except AssertionError as error:
            counts.append(f"not readable ({error})")
            continue
        a, b = [(x.style, x.text) for x in found], [(x.style, x.text) for x in wanted]
        counts.append(str(sum(x != y for x, y in zip(a, b, strict=False)) + abs(len(a) - len(b))))
    return f"paragraphs wrong after accept {counts[0]}, after reject {counts[1]}"


def versions() -> list[tuple[str, Agreement, Agreement]]:
    """The pairs that are measured: a long random paper with many edits, and the scenarios' first and last rounds."""
    long = long_agreement()
    pairs = [("a long paper with random edits", long, mangled(long, Random(1)))]
    return pairs + [
        (f"{name}, rounds 1 and 3", drafted(name, 1).agreement, drafted(name, 3).agreement) for name in NAMES
    ]


def compare() -> None:
    """Print both side by side."""
    other = library()
    if other is None:
        print('(python-redlines is not installed: pip install "python-redlines[docxodus]")')
    for title, old, new in versions():
        a, b = write_docx(old, number(old), STAMP), write_docx(new, number(new), STAMP)
        made = write_redline(old, new, STAMP, "A. Drafter", DAY)
        print(f"{title}: {len(number(old).by_id)} and {len(number(new).by_id)} nodes")
        own = milliseconds(lambda old=old, new=new: write_redline(old, new, STAMP, "A. Drafter", DAY), 7)  # type: ignore[misc]
        print(f"  own writer      {own:8.0f} ms             {wrong(made, a, b)}")
        if other:
            theirs = milliseconds(lambda a=a, b=b: other(a, b), 3)  # type: ignore[misc]
            print(f"  python-redlines {theirs:8.0f} ms  {theirs / own:6.1f} x own  {wrong(other(a, b), a, b)}")


def growth() -> None:
    """Print how the time grows with the length of the paper."""
    print("growth with the length of the paper")
    base = drafted("dunmarsh", 1).agreement, drafted("dunmarsh", 3).agreement
    first = 0.0
    for times in (1, 2, 4, 8):
        old, new = (repeated(agreement, times) for agreement in base)
        took = milliseconds(lambda old=old, new=new: write_redline(old, new, STAMP, "A. Drafter", DAY), 5)  # type: ignore[misc]
        first = first or took
        print(f"  {times} x the paper {took:8.0f} ms  {took / first / times:5.2f} of linear")


def repeated(agreement: Agreement, times: int) -> Agreement:
    """The same articles several times, each time under other ids; references point to the first."""
    from typing import Any

    def renamed(node: Any, n: int) -> Any:
        changes: dict[str, Any] = {"id": f"{node.id}~{n}"}
        for name in ("blocks", "children", "rows"):
            if getattr(node, name, None):
                changes[name] = tuple(renamed(child, n) for child in getattr(node, name))
        if getattr(node, "total", None):
            changes["total"] = renamed(node.total, n)
        return replace(node, **changes)

    articles = [s for s in agreement.sections if s.kind == "article"]
    exhibits = [s for s in agreement.sections if s.kind == "exhibit"]
    more = [renamed(section, n) for n in range(2, times + 1) for section in articles]
    return replace(agreement, sections=(*articles, *more, *exhibits))


if __name__ == "__main__":
    compare()
    growth()
