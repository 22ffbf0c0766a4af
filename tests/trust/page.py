"""What a run reached and found, as a summary for the terminal and as the page docs/trust.md."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import yaml

from trust import recipes
from trust.branches import CountingStore
from trust.results import FUZZING, MUTATION, kept
from trust.worked import CHECKS, FILE_EVERY, FOLDER_EVERY, TWICE_EVERY, Reached, library, possible_decisions, rule_ids

if TYPE_CHECKING:
    from trust.run import Result

HERE = Path(__file__).parent
REASONS = HERE / "not_reachable.yaml"
PAGE = HERE.parents[1] / "docs" / "trust.md"
Decision = tuple[str, str, str, str, str]


@dataclass(frozen=True)
class Part:
    """How much of one kind of thing was reached: names that were, names that were not, and reasons for those that cannot be."""

    title: str
    reached: frozenset[str]
    missed: tuple[str, ...]
    excused: tuple[str, ...]

    @property
    def due(self) -> int:
        """How many can be reached."""
        return len(self.reached) + len(self.missed)

    @property
    def percent(self) -> str:
        """The part reached of what can be, rounded down so that 100 means all."""
        return f"{int(1000 * len(self.reached) / self.due) / 10 if self.due else 100:g} %"


@dataclass(frozen=True)
class Coverage:
    """What a run reached. `stale` are reasons for things that were reached after all, or that no longer exist."""

    clauses: Part
    branches: Part
    inline: Part
    findings: Part
    forms: Part
    stale: tuple[str, ...]

    @property
    def parts(self) -> tuple[Part, ...]:
        """All parts."""
        return (self.clauses, self.branches, self.inline, self.findings, self.forms)

    @property
    def missed_wording(self) -> tuple[str, ...]:
        """What a run must not miss: clauses, branches of their wording; and reasons that are wrong."""
        return (*self.clauses.missed, *self.branches.missed, *self.inline.missed, *self.stale)


@cache
def not_reachable() -> dict[str, str]:
    """Why something cannot be reached, by its name."""
    found = yaml.safe_load(REASONS.read_text(encoding="utf-8")) or []
    return {name: entry["why"] for entry in found for name in entry["names"]}


def decision_name(decision: Decision) -> str:
    """A form item's decision in one line."""
    book, form, revision, item, box = decision
    return f"{form} {revision} item {item}: {box}" + (" (default without agreement)" if book == "default" else "")


def coverage(reached: Reached, store: CountingStore) -> Coverage:
    """Compare what was reached with what there is."""
    reasons = not_reachable()
    blocks = {b.name: n for n, b in enumerate(store.branches) if b.kind == "block"}
    inline = {b.name: n for n, b in enumerate(store.branches) if b.kind == "inline"}
    decisions = {decision_name(d): d for d in possible_decisions()}
    names = {n for n, b in enumerate(store.branches) if n in reached.branches}

    def part(title: str, there: Iterable[str], got: set[str]) -> Part:
        every = dict.fromkeys(there)
        left = [name for name in every if name not in got]
        return Part(
            title, frozenset(got & set(every)),
            tuple(n for n in left if n not in reasons), tuple(n for n in left if n in reasons),
        )  # fmt: skip

    parts = (
        part("clauses", library().clauses, set(reached.clauses)),
        part(
            "branches of the wording ({% if %}, {% elif %}, {% else %}, {% for %})",
            blocks,
            {n for n, k in blocks.items() if k in names},
        ),
        part("answers chosen inside a sentence", inline, {n for n, k in inline.items() if k in names}),
        part("review findings", rule_ids(), set(reached.findings)),
        part("decisions of form items", decisions, {n for n, d in decisions.items() if d in reached.forms}),
    )
    wrong = {name for p in parts for name in p.reached if name in reasons}
    known = {name for p in parts for name in (*p.reached, *p.missed, *p.excused)}
    stale = [f"the reason is wrong, a case reached it: {name}" for name in reasons if name in wrong]
    stale += [f"a reason is given for what does not exist: {name}" for name in reasons if name not in known]
    return Coverage(*parts, stale=tuple(stale))


def summary(result: Result, found: Coverage) -> str:
    """The run in some lines."""
    spent = result.reached.seconds
    out = [
        f"{result.reached.cases} cases (seed {result.seed}) in {result.seconds:.0f} s with {result.jobs} processes, "
        f"{1000 * result.seconds * result.jobs / max(1, result.reached.cases):.0f} ms of a process each",
        "processor time by part, ms a case: "
        + ", ".join(f"{k} {1000 * v / result.reached.cases:.1f}" for k, v in sorted(spent.items())),
        f"{result.echoed} cases made in another process too",
    ]
    for part in found.parts:
        out.append(
            f"{part.title}: {len(part.reached)} of {part.due} ({part.percent}); {len(part.excused)} cannot be reached, with a reason"
        )
        out += [f"    not reached: {name}" for name in part.missed[:40]]
        if len(part.missed) > 40:
            out.append(f"    and {len(part.missed) - 40} more")
    out += [f"    {line}" for line in found.stale]
    if result.office:
        out.append(result.office)
    out.append(f"{len(result.failures)} failures in {len({f.case for f in result.failures})} cases")
    out += [f"    case {f.case}: {f.check}: {f.says[:300]}" for f in result.failures[:60]]
    return "\n".join(out)


def write(result: Result, found: Coverage) -> None:
    """Write docs/trust.md."""
    PAGE.write_text("\n".join(_lines(result, found)) + "\n", encoding="utf-8")


def _lines(result: Result, found: Coverage) -> Iterator[str]:
    reached, drawn = result.reached, result.reached.cases - min(len(recipes.read()), result.reached.cases)
    yield "# What the random-case trial shows"
    yield ""
    yield (
        "The trial makes invented cases, takes each through the whole program, and looks at the result with checks that work "
        "their answers out again: from the facts, or from the bytes of the Word file. This page is written by the run itself. "
        "Like everything here it is about a drafting aid: it does not say that a draft is right for a case, and a licensed "
        "professional reads each draft before anybody signs."
    )
    yield ""
    yield "## This run"
    yield ""
    yield (
        f"{reached.cases:,} cases, seed {result.seed}: {reached.cases - drawn:,} made on purpose for what chance seldom "
        f"reaches (`tests/trust/recipes.yaml`), {drawn:,} drawn. "
        + (f"{len(result.failures):,} failures." if result.failures else "No check failed in any case.")
    )
    if result.office:
        yield ""
        yield result.office
    yield ""
    yield f"Measured: {result.seconds / 60:.0f} minutes with {result.jobs} processes."
    yield ""
    yield "## What is checked"
    yield ""
    yield "| check | what must hold | cases looked at | failures |"
    yield "| --- | --- | ---: | ---: |"
    for name, says in CHECKS.items():
        wrong = sum(f.check == name for f in result.failures)
        says = says.format(file=FILE_EVERY, twice=TWICE_EVERY, folder=FOLDER_EVERY)
        yield f"| {name} | {says} | {reached.done[name]:,} | {wrong:,} |"
    yield ""
    yield f"Of the cases made twice, {result.echoed:,} were made the second time in another process."
    yield ""
    yield "## What the cases reached"
    yield ""
    yield "| | reached | can be reached | part | cannot be reached |"
    yield "| --- | ---: | ---: | ---: | ---: |"
    for part in found.parts:
        title = part.title.replace("{% ", "`").replace(" %}", "`")
        yield f"| {title} | {len(part.reached):,} | {part.due:,} | {part.percent} | {len(part.excused):,} |"
    yield ""
    yield (
        "A branch is one way in which the wording of a clause can go on: the words under a condition, and the paper without "
        "them. A run that misses a clause or a branch fails. A decision of a form item is what the worksheet says of it (mark, "
        "write, leave, blank on purpose, by hand only), counted for each printing of a form, and again for a default without an "
        "agreement where that has rules of its own. What cannot be reached stands in `tests/trust/not_reachable.yaml` with a "
        "reason for each; a reason fails the run as soon as a case reaches what it excuses."
    )
    for part in (found.findings, found.forms):
        if part.missed:
            yield ""
            yield f"Not reached of {part.title}: " + "; ".join(part.missed) + "."
    reasons = not_reachable()
    excused = [name for part in found.parts for name in part.excused]
    if excused:
        yield ""
        yield "| cannot be reached because | how many |"
        yield "| --- | ---: |"
        for why in dict.fromkeys(reasons[name] for name in excused):
            yield f"| {' '.join(why.split())} | {sum(reasons[name] == why for name in excused)} |"
    yield from _fuzzing()
    yield from _mutation()
    yield ""
    yield LAST
    yield ""
    for line in LIMITS:
        yield f"- {line}"
    yield ""
    yield "## Doing it again"
    yield ""
    yield "    .venv/bin/python tests/trust/run.py --cases 20000 --jobs 2 --office 40 --write-docs"
    yield "    .venv/bin/python tests/trust/run.py --case 137 --shrink      # one case, with as few facts as still fail"
    yield ""
    yield (
        "A case is made from its number and the seed alone, so a failure can be looked at again on any computer with the same "
        "version of the program. The facts of the case are written to `case.yaml`."
    )
    if result.failures:
        yield ""
        yield "## Failures of this run"
        yield ""
        for failure in result.failures[:200]:
            yield f"- case {failure.case}, {failure.check}: {failure.says[:300]}"


LAST = "## What this does not show"


def refresh() -> None:
    """Put the kept runs of fuzzing and mutation testing on the page as it is, before its last part."""
    above, last, below = PAGE.read_text(encoding="utf-8").partition(f"\n{LAST}\n")
    for heading in (FUZZING_HEADING, MUTATION_HEADING):
        above = above.partition(f"\n{heading}\n")[0]
    kept_parts = "".join(f"{line}\n" for line in (*_fuzzing(), *_mutation()))
    PAGE.write_text(above.rstrip("\n") + "\n" + kept_parts + last + below, encoding="utf-8")


FUZZING_HEADING, MUTATION_HEADING = "## Damaged and hostile input", "## Small faults put into the program"
FUZZED = {
    "facts": "facts files with damaged bytes, structure or types, through the reader, and the whole program if accepted",
    "documents": "Word files damaged or edited, taken back in and verified; every changed paragraph is looked for in the report",
    "clauses": "folders of clauses that are wrong or hostile",
    "printed": "hostile text as names, labels and own words, through every paper",
}


def _fuzzing() -> Iterator[str]:
    runs = kept(FUZZING)
    if not runs:
        return
    yield ""
    yield FUZZING_HEADING
    yield ""
    yield (
        "The last full run of `tests/fuzz/run.py`, which may be of an earlier day than the trial. Each case must end in a result or in an error that says what is wrong, "
        "within its bounds of time and memory, and leave the case folder as it was."
    )
    yield ""
    yield "| what | tried | accepted | refused in words | failures | slowest | most memory |"
    yield "| --- | ---: | ---: | ---: | ---: | ---: | ---: |"
    for run in runs:
        yield (
            f"| {FUZZED[run['kind']]} | {run['tried']:,} | {run['accepted']:,} | {run['refused_clearly']:,} "
            f"| {run['failures']:,} | {run['slowest_ms'] / 1000:.1f} s | {run['peak_mb']:.0f} MB |"
        )


def _mutation() -> Iterator[str]:
    runs = kept(MUTATION)
    if not runs:
        return
    yield ""
    yield MUTATION_HEADING
    yield ""
    yield (
        "The last run of `tests/mutation/run.py`: one operator, number or condition is changed at a time, drawn by chance, and "
        "the tests that run the line must notice. A change that does the same as the program counts apart, with its reason in "
        "`tests/mutation/survivors.yaml`; one that no test runs counts against the score."
    )
    yield ""
    yield "| room | seed | tried | noticed | not noticed | not run | does the same | score |"
    yield "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |"
    for run in runs:
        yield (
            f"| {run['room']} | {run['seed']} | {run['tried']:,} | {run['killed'] + run['timed_out']:,} | {run['survived']:,} "
            f"| {run['not_covered']:,} | {run['explained']:,} | {run['score']} % |"
        )


LIMITS = (
    "It does not show that the law is stated right, that the wording is wise, or that the form data match the official forms: "
    "no check here reads a statute or a form. Those are other tests and the work of a reader.",
    "A figure that is wrong in the same way everywhere passes the check of money: the amount printed is that of the figure. "
    "Only the property ledger, its printed schedule and the parenting calendar are worked out a second time here; guideline "
    "support, taxes and pensions are tried against published examples in `tests/figures`.",
    "Cases are drawn from what the facts can hold, not from what people bring: many are stranger than life, and how often "
    "something was reached says nothing about how often it happens.",
    "A branch that was reached was reached in some cases, not with every other branch beside it.",
    "Facts that the reader refuses, firms' own clauses, negotiated wording, rounds and the desk are tried elsewhere.",
    "The numbers of the Word file are counted here by the rules of its format; a word processor is asked only for the sample "
    "named above.",
)
