"""Let coverage lead the search, in the readers that see foreign bytes first: facts files, clause files, documents.

    python tests/fuzz/guided.py facts --seconds 300

Needs the library atheris (`pip install -e ".[fuzz]"`), which is no part of the tests. What is found is kept beside --keep (a folder), and said as JSON
in the end: how many inputs were tried, and each one that came out as it may not. The seeds are the scenarios.
"""

from __future__ import annotations

import argparse
import base64
import json
import os
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

import atheris

sys.path[:] = [
    str(Path(__file__).resolve().parents[1]),
    *(p for p in sys.path if Path(p).resolve() != Path(__file__).resolve().parent),
]

with atheris.instrument_imports(include=["msadraft.facts", "msadraft.rounds.intake", "msadraft.library.load"]):
    from msadraft.facts import load
    from msadraft.facts.problems import FactsError
    from msadraft.facts.yaml_tree import read_tree
    from msadraft.library import load as clauses
    from msadraft.library.load import LibraryError
    from msadraft.rounds.intake import guard, read
    from msadraft.rounds.intake.guard import IntakeError

from fuzz.facts_files import bases, check_refusal  # noqa: E402  (after what is instrumented)
from fuzz.measure import expect  # noqa: E402

MOST_SECONDS = 10.0


def facts(data: bytes) -> None:
    """Read bytes as a facts file."""
    try:
        load._read(load._decode(data, "case.yaml"), Path("case.yaml"), "")
    except FactsError as error:
        check_refusal(error, data)


def tree(data: bytes) -> None:
    """Read bytes as YAML alone, which is quicker and goes deeper."""
    found = read_tree(data.decode(errors="replace"), "case.yaml")
    assert found.whole or found.problems, "nothing was read and nothing said"


def clause(data: bytes) -> None:
    """Read bytes as a clause file."""
    with tempfile.TemporaryDirectory() as room:
        (Path(room) / "own.md").write_bytes(data)
        problems: list[str] = []
        try:
            found = clauses._read_folder(Path(room), problems)
        except LibraryError:
            return
        assert found or problems, "nothing was read and nothing said"


def document(data: bytes) -> None:
    """Read bytes as the main part of a document of ours."""
    try:
        read.read_parts({**_parts(), "word/document.xml": data}, "edited.docx", "accept" if len(data) % 2 else "reject")
    except IntakeError as error:
        expect(str(error), "refused without a word")


def package(data: bytes) -> None:
    """Read bytes as a whole document."""
    try:
        read.read_parts(guard.open_bytes(data, "edited.docx"), "edited.docx")
    except IntakeError as error:
        expect(str(error), "refused without a word")


_KEPT: dict[str, bytes] = {}


def _parts() -> dict[str, bytes]:
    if not _KEPT:
        from fuzz.documents import original
        from rounds import edits

        _KEPT.update(edits.parts(original("marrowby", 1)))
    return _KEPT


def _seeds(target: str) -> list[bytes]:
    if target in ("facts", "tree"):
        return [text.encode() for text in bases()]
    if target == "clause":
        from support.scenarios import ROOT

        return [path.read_bytes() for path in sorted((ROOT / "clauses").rglob("*.md"))[::8]]
    from fuzz.documents import BASES, original

    if target == "package":
        return [original(*base) for base in BASES[:2]]
    whole = _parts()["word/document.xml"]
    head, _, rest = whole.partition(b"<w:body>")
    pieces = rest.split(b"</w:p>")
    return [
        head + b"<w:body>" + b"</w:p>".join(pieces[n : n + 8]) + b"</w:p></w:body></w:document>"
        for n in range(0, len(pieces) - 8, 24)
    ]


TARGETS: dict[str, Callable[[bytes], None]] = {
    "facts": facts,
    "tree": tree,
    "clause": clause,
    "document": document,
    "package": package,
}


def main() -> None:
    """Search for the given time."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("target", choices=TARGETS)
    parser.add_argument("--seconds", type=int, default=120, help="how long to search")
    parser.add_argument("--keep", type=Path, help="folder for the inputs that were found; a new one if left out")
    asked = parser.parse_args()
    corpus = asked.keep or Path(tempfile.mkdtemp(prefix="guided-"))
    corpus.mkdir(parents=True, exist_ok=True)
    for n, seed in enumerate(_seeds(asked.target)):
        (corpus / f"seed-{n}").write_bytes(seed)
    result: dict[str, Any] = {"target": asked.target, "tried": 0, "slowest_ms": 0.0, "failed": []}
    start = time.monotonic()
    seen: set[str] = set()

    def one(data: bytes) -> None:
        began = time.perf_counter()
        try:
            TARGETS[asked.target](data)
        except Exception as error:
            where = [f"{Path(f.filename).name}:{f.lineno}" for f in traceback.extract_tb(error.__traceback__)][-3:]
            what = f"{type(error).__name__} {' < '.join(reversed(where))}"
            if what not in seen:
                seen.add(what)
                result["failed"].append(
                    {"what": what, "said": str(error)[:300], "input": base64.b64encode(data[:4000]).decode()}
                )
        spent = (time.perf_counter() - began) * 1000
        if spent > MOST_SECONDS * 1000:
            result["failed"].append(
                {"what": f"took {spent:.0f} ms", "said": "", "input": base64.b64encode(data[:4000]).decode()}
            )
        result["tried"] += 1
        result["slowest_ms"] = max(result["slowest_ms"], round(spent, 1))
        if time.monotonic() - start > asked.seconds:
            print(json.dumps(result, indent=2), flush=True)
            os._exit(1 if result["failed"] else 0)

    atheris.Setup(
        [
            sys.argv[0],
            str(corpus),
            "-max_len=200000",
            "-rss_limit_mb=3000",
            f"-timeout={int(MOST_SECONDS) * 3}",
            "-verbosity=0",
            "-print_final_stats=0",
        ],
        one,
    )
    atheris.Fuzz()


if __name__ == "__main__":
    main()
