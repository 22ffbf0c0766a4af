"""How long taking in an edited document takes, and how that grows with its length.

Run: python tests/benchmarks/bench_takein.py
The budget is one second for 40 pages, and time in proportion to the length. Times are medians; `draft` is what the
command does before (reading the facts and drafting), `take in` the rest.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from rounds import edits, trips
from support.scenarios import drafted, facts_file

from msadraft.agreement.numbering import number
from msadraft.draft import Draft, draft, fingerprint
from msadraft.rounds.intake.takein import take_in
from msadraft.tree import Agreement, Block, Paragraph, Section
from msadraft.writers import office

RUNS = 7
BUDGET = 1.0
FACTORS = (1, 2, 4)


def median(work: Callable[[], object]) -> float:
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def longer(found: Draft, factor: int) -> Draft:
    """The same agreement several times over, under other ids."""

    def block(one: Block, k: int) -> Block:
        if isinstance(one, Paragraph):
            return replace(one, id=f"{one.id}/x{k}", children=tuple(block(c, k) for c in one.children))
        return replace(one, id=f"{one.id}/x{k}")

    def section(one: Section, k: int) -> Section:
        kept = tuple(b for b in one.blocks if isinstance(b, Paragraph))
        return replace(one, id=f"{one.id}/x{k}", blocks=tuple(block(b, k) for b in kept))

    sections = [*found.agreement.sections]
    for k in range(1, factor):
        sections += [section(s, k) for s in found.agreement.sections if s.kind == "article"]
    tree: Agreement = replace(found.agreement, sections=tuple(s for s in sections if s.blocks))
    numbering = number(tree)
    return replace(found, agreement=tree, assembled=tree, numbering=numbering, fingerprint=fingerprint(tree, numbering))


def main() -> int:
    """Measure and compare with the budget."""
    found = drafted("varnell", 3)
    document = trips.document_of(found, 3)
    pages = 0
    if office.available():
        import tempfile

        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "a.docx"
            path.write_bytes(document)
            pages = office.page_count(path)
    edited, script = edits.generated(document, 18)
    print(f"varnell, round 3: {pages or '?'} pages; edits: {', '.join(kind for kind, _ in script.told)}")
    print(f"draft     {median(lambda: draft(facts_file('varnell', 3))):.3f} s")
    wording = median(lambda: take_in(found, edited, "edited.docx", "accept"))
    print(f"take in   {wording:.3f} s")
    with_fact = facts_edit(found)
    facts = median(lambda: take_in(found, with_fact, "edited.docx", "accept"))
    print(f"take in   {facts:.3f} s  (a fact changed, so the case is drafted once more)")
    per_paragraph = []
    for factor in FACTORS:
        long = longer(found, factor)
        data = trips.document_of(long, 3)
        changed, _ = edits.generated(data, 18)
        took = median(lambda long=long, changed=changed: take_in(long, changed, "edited.docx", "accept"))  # type: ignore[misc]
        count = len(edits.lines(edits.body_of(data)))
        per_paragraph.append(took / count)
        print(f"{count:6d} paragraphs  {took:.3f} s  {1000 * took / count:.3f} ms each")
    ratio = per_paragraph[-1] / per_paragraph[0]
    print(f"time a paragraph at {FACTORS[-1]} times the length: {ratio:.2f} of that at once the length")
    good = max(wording, facts) < BUDGET and ratio < 1.5
    print("within the budget" if good else "OVER THE BUDGET")
    return 0 if good else 1


def facts_edit(found: Draft) -> bytes:
    """The document with one amount changed that comes from a fact."""
    document = trips.document_of(found, 3)
    for seed in range(500):
        edited, script = edits.generated(document, seed * 4)
        if any(kind == "amount" for kind, _ in script.told) and take_in(found, edited, "edited.docx").facts:
            return edited
    raise SystemExit("no edit of a fact was found")


if __name__ == "__main__":
    sys.exit(main())
