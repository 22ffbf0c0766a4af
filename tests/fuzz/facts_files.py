"""Facts files: damaged in every way, they are read or refused in words; what is read is drafted and reviewed."""

from __future__ import annotations

import re
import tempfile
from functools import cache
from pathlib import Path
from random import Random

from facts.made_up import MINIMAL
from fuzz import damage
from fuzz.measure import Count, expect
from support.scenarios import ROUNDS, facts_file

from msadraft.attachments.packet import packet
from msadraft.draft import Draft, draft
from msadraft.facts.load import CaseFile, read_case
from msadraft.facts.problems import FactsError
from msadraft.figures.everything import all_figures
from msadraft.figures.parenting.clock import CalendarError
from msadraft.library.load import Library, read_library
from msadraft.rounds.errors import RoundError
from msadraft.rounds.store import files_of
from msadraft.writers.calendar.files import calendar_files
from msadraft.writers.review import screen_lines
from msadraft.writers.workbook import write_workbook

KIND = "facts"
FULL = 10_000
MOST_SECONDS = 10.0
"""A case may take so long at most, with drafting, review and all papers of a round."""
MOST_MB = 400.0
"""And so much memory more than the process had before."""

_CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


@cache
def bases() -> tuple[str, ...]:
    """The texts that are damaged; the smallest valid case stands there more often, because less hides the damage."""
    return (*(facts_file(name, n).read_text(encoding="utf-8") for name, n in ROUNDS), *([MINIMAL] * 3))


@cache
def known() -> dict[str, list[str]]:
    return damage.learn(list(bases()))


@cache
def library() -> Library:
    return read_library()


def made(number: int) -> bytes:
    """The bytes of one case; the same number gives the same bytes."""
    random = Random(f"facts {number}")
    text = random.choice(bases())
    kinds = random.choices(
        (
            "value",
            "borrowed",
            "dates",
            "amounts",
            "less",
            "moved",
            "indented",
            "renamed",
            "trick",
            "doubled",
            "bytes",
            "encoded",
        ),
        (10, 26, 12, 9, 12, 6, 5, 6, 9, 5, 8, 4),
        k=random.choice((1, 1, 1, 2, 3)),
    )
    for kind in kinds:
        if kind in ("bytes", "encoded"):
            continue
        change = {
            "value": damage.value, "dates": damage.dates, "amounts": damage.amounts, "less": damage.less, "moved": damage.moved,
            "indented": damage.indented, "renamed": damage.renamed, "trick": damage.yaml_trick, "doubled": damage.doubled,
        }.get(kind)  # fmt: skip
        text = damage.borrowed(text, random, known()) if change is None else change(text, random)
    data = damage.encoded(text, random) if "encoded" in kinds else text.encode()
    for _ in range(kinds.count("bytes")):
        data = random.choice(damage.BYTES)(data, random)
    return data


def check_refusal(error: FactsError, content: bytes) -> None:
    """Each problem names the file, a line that is there, what is wrong and how to mend it, without hidden signs."""
    lines = len(re.split(b"\r\n|\r|\n", content))
    expect(error.problems, "refused without a word")
    for problem in error.problems:
        expect(problem.place.file == "case.yaml", f"names another file: {problem.place}")
        expect(0 <= problem.place.line <= lines + 1, f"line {problem.place.line} of {lines}")
        expect(problem.place.line or len(error.problems) == 1, f"no line: {problem.what}")
        for sentence in (problem.what, problem.mend):
            expect(sentence.strip() and sentence.rstrip()[-1] in ".?!)`", f"no sentence: {sentence[:200]!r}")
        expect(len(problem.what) < 1500, f"a message of {len(problem.what)} signs")
    said = str(error)
    hidden = _CONTROL.search(said)
    expect(
        hidden is None, f"hidden sign in a message: {said[max(0, (hidden.start() if hidden else 0) - 60) :][:120]!r}"
    )
    said.encode()


def read_bytes(content: bytes, folder: Path) -> CaseFile:
    """Read a facts file from the disk; it must be left as it is."""
    file = folder / "case.yaml"
    file.write_bytes(content)
    before = file.stat()
    try:
        return read_case(file)
    finally:
        after = file.stat()
        expect(file.read_bytes() == content and before.st_mtime_ns == after.st_mtime_ns, "the file was changed")
        expect([p.name for p in folder.iterdir()] == ["case.yaml"], "something was left in the folder")


def use(file: CaseFile, number: int, count: Count) -> None:
    """Draft and review a valid case; every eighth also goes through every paper."""
    found: Draft = draft(file, library=library())
    count.drafted += 1
    "\n".join(screen_lines(found.findings, file.place)).encode()
    for finding in found.findings:
        expect(finding.message and finding.mend, f"a finding without words: {finding.id}")
    if number % 8:
        return
    count.also("all papers written")
    all_figures(file.facts, found.figures)
    write_workbook(file.facts, found.figures)
    packet(found, "Round 1", pages=20)
    if not found.figures.true_default:
        files_of(found, "Round 1")
    try:
        calendar_files(file.facts, found.figures, ())
    except CalendarError:
        count.also("no calendar, said in words")


def judge(number: int, count: Count) -> str:
    """Judge one case."""
    content = made(number)
    with tempfile.TemporaryDirectory() as folder:
        try:
            file = read_bytes(content, Path(folder))
        except FactsError as error:
            check_refusal(error, content)
            return "refused"
    try:
        use(file, number, count)
    except RoundError as error:
        expect(str(error).strip(), "refused without a word")
        count.also("read, and a paper refused in words")
    return "accepted"
