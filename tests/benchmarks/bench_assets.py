"""How drafting grows with the number of assets: facts in, DOCX out, 125 to 1,000 assets, side by side in one run."""

from __future__ import annotations

import time
from pathlib import Path

from msadraft.agreement.assemble import assemble
from msadraft.agreement.numbering import number
from msadraft.facts.load import read_text_case
from msadraft.figures.compute import compute
from msadraft.library.load import read_library
from msadraft.library.select import select
from msadraft.writers.docx import write_docx
from msadraft.writers.stamp import Stamp

ROOT = Path(__file__).resolve().parents[2]
ASSET = """  account_{n}:
    kind: account
    label: the account number {n}
    value: {n}.25
    value_basis: statement
    goes_to: {to}
"""


def case_with(count: int) -> str:
    """The facts of the small scenario with `count` accounts more."""
    text = (ROOT / "scenarios" / "marrowby" / "round-3.yaml").read_text(encoding="utf-8")
    more = "".join(ASSET.format(n=n, to="petitioner" if n % 2 else "respondent") for n in range(1, count + 1))
    return text.replace("assets:\n", f"assets:\n{more}")


def main() -> None:
    """Print seconds and microseconds an asset for each size."""
    library = read_library()
    for count in (125, 125, 250, 500, 1000):
        start = time.perf_counter()
        facts = read_text_case(case_with(count)).facts
        selection = select(library, facts, compute(facts))
        agreement = assemble(library, selection, facts)
        write_docx(agreement, number(agreement), Stamp(mark="Benchmark", ready=True))
        spent = time.perf_counter() - start
        print(f"{count:5} assets: {spent:6.2f} s, {spent / count * 1000:5.2f} ms an asset")


if __name__ == "__main__":
    main()
