"""The command line: it asks, shows and saves; it decides nothing.

Exit codes: 0 done; 1 done, but findings that stop signing are open; 2 the input cannot be used.
Heavy parts are imported inside the commands that need them, so that `--help` and completion stay quick.
"""

from __future__ import annotations

import gc
import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal, NoReturn

import typer

import msadraft

if TYPE_CHECKING:
    from msadraft.draft import Draft

DONE, OPEN, UNUSABLE = 0, 1, 2
HELP = """Draft a California marital settlement agreement from the facts in case.yaml.

A first case: `msadraft new my-case`, fill in my-case/case.yaml, then `msadraft review my-case` and
`msadraft draft my-case`. Each draft is kept as a round; the paragraph map beside it says which form item points to
which paragraph.

This is a drafting aid for practitioners, not legal advice. Local rules and the current official forms prevail.
"""

app = typer.Typer(help=HELP, no_args_is_help=True, pretty_exceptions_enable=False, rich_markup_mode=None)
clauses_app = typer.Typer(help="Look at the clause library.", no_args_is_help=True, rich_markup_mode=None)
app.add_typer(clauses_app, name="clauses")

CaseArg = Annotated[Path, typer.Argument(metavar="CASE", help="A case folder, or a facts file.")]
JsonFlag = Annotated[bool, typer.Option("--json", help="Give the result as JSON.")]
ClausesOption = Annotated[
    list[Path] | None,
    typer.Option("--clauses", metavar="DIR", help="A folder of the firm's own clauses; may be given again."),
]


@contextmanager
def _said_clearly() -> Iterator[None]:
    """Turn every expected error into its message and exit code 2."""
    from msadraft.facts.problems import FactsError
    from msadraft.library.environment import WordingError
    from msadraft.library.load import LibraryError
    from msadraft.rounds.errors import RoundError

    try:
        yield
    except (FactsError, LibraryError, WordingError, RoundError) as error:
        print(error, file=sys.stderr)
        raise typer.Exit(UNUSABLE) from None
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise typer.Exit(DONE) from None
    except OSError as error:
        print(f"{error.filename or 'the output'}: cannot be read or written ({error.strerror})", file=sys.stderr)
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise typer.Exit(UNUSABLE) from None


def _drafted(case: Path, folders: list[Path] | None) -> Draft:
    from msadraft.agreement.negotiated import read_wording
    from msadraft.draft import draft
    from msadraft.facts.load import read_case

    file = read_case(case)
    own = [file.path.parent / name for name in file.facts.clauses]
    return draft(file, *own, *(folders or ()), negotiated=read_wording(file.path.parent))


def _print_json(data: Any) -> None:
    from msadraft.writers.data import write_json

    _put(write_json(data))


def _put(text: str) -> None:
    """Give text that another program reads: UTF-8, whatever the terminal is set to."""
    sys.stdout.flush()
    if hasattr(sys.stdout, "buffer"):
        sys.stdout.buffer.write(text.encode())
    else:
        sys.stdout.write(text)


def _exit_code(found: Draft) -> int:
    return OPEN if found.stops else DONE


def _emphasis(text: str) -> str:
    plain = "NO_COLOR" in os.environ or not sys.stdout.isatty()
    return text if plain else f"\033[1m{text}\033[0m"


def _version(asked: bool) -> None:
    if asked:
        print(f"msadraft {msadraft.__version__}")
        raise typer.Exit(DONE)


@app.callback()
def _top(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    pass


@app.command()
def new(folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make.")]) -> None:
    """Make a case folder to fill in, with every fact explained."""
    from msadraft.facts.schema import schema_text
    from msadraft.facts.template import new_case
    from msadraft.rounds.disk import place_file

    case = folder / "case.yaml"
    try:
        if case.exists():
            print(f"{case}: there is a case already; choose another folder", file=sys.stderr)
            raise typer.Exit(UNUSABLE)
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        place_file(folder / "case.schema.json", schema_text().encode())
        place_file(case, new_case().encode())  # last: a folder without it is simply begun again
    except OSError as error:
        print(f"{folder}: cannot be written ({error.strerror}); choose another folder", file=sys.stderr)
        raise typer.Exit(UNUSABLE) from None
    print(f"{case} is ready to fill in. Then: msadraft review {folder}")


@app.command()
def review(case: CaseArg, clauses: ClausesOption = None, as_json: JsonFlag = False) -> None:
    """Show what stops signing, what needs a reason, and what is worth knowing, with line numbers."""
    from msadraft.writers.review import CAUTION, review_data, screen_lines

    with _said_clearly():
        found = _drafted(case, clauses)
        if as_json:
            _print_json(review_data(found.findings, found.case.place))
        else:
            for line in screen_lines(found.findings, found.case.place):
                print(_emphasis(line) if line.startswith("stop") else line)
            print(CAUTION)
    raise typer.Exit(_exit_code(found))


@app.command()
def draft(
    case: CaseArg,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="Write the files straight into this folder instead of a round."),
    ] = None,
    final: Annotated[bool, typer.Option("--final", help="Refuse while a finding stops signing.")] = False,
    clauses: ClausesOption = None,
    every: Annotated[
        bool, typer.Option("--all", help="CASE is a folder of case folders: draft each of them that changed.")
    ] = False,
    jobs: Annotated[
        int,
        typer.Option(
            "--jobs", metavar="N", min=0, max=256, help="With --all: how many at a time; 0 is one for each core."
        ),
    ] = 0,
    essentials: Annotated[
        bool, typer.Option("--essentials", help="With --all: one paper of each kind (DOCX, map as CSV, review notes).")
    ] = False,
    as_json: JsonFlag = False,
) -> None:
    """Draft the next round: agreement, paragraph map and review notes. Nothing changed: the last round stands."""
    if every:
        if out:
            print("--all writes each case's own next round; leave --out away", file=sys.stderr)
            raise typer.Exit(UNUSABLE)
        _draft_all(case, clauses, final, essentials, jobs, as_json)
    if jobs or essentials:
        print("--jobs and --essentials go with --all; one case is drafted in full, by one process", file=sys.stderr)
        raise typer.Exit(UNUSABLE)
    from msadraft.library.replaced import replacement_report
    from msadraft.rounds.store import write_out, write_round

    with _said_clearly():
        found = _drafted(case, clauses)
        if final and found.stops:
            print(
                f"Not written: {len(found.stops)} findings stop signing. See: msadraft review {case}", file=sys.stderr
            )
            raise typer.Exit(OPEN)
        folder = case if case.is_dir() else case.parent
        number = found.case.facts.negotiation.round
        label = f"Round {number}" if number else "Draft"
        written = write_out(found, out, label) if out else write_round(found, folder)
        mark = found.stamp(written.label).mark
        counts = {s: sum(f.severity == s for f in found.findings) for s in ("stop", "warn", "note")}
        if as_json:
            _print_json(
                {
                    "folder": str(written.folder),
                    "mark": mark,
                    "new": written.fresh,
                    "findings": counts,
                    "said": [*written.said, *replacement_report(found.library)],
                }
            )
        else:
            for line in written.said:
                print(line)
            print(f"{written.folder}  {mark}" + ("" if written.fresh else "  (nothing changed; this round stands)"))
            print(
                f"{counts['stop']} stop, {counts['warn']} warn, {counts['note']} note. Details: {written.folder / 'review.md'}"
            )
            for line in replacement_report(found.library):
                print(line)
    raise typer.Exit(_exit_code(found))


def _draft_all(
    folder: Path, clauses: list[Path] | None, final: bool, essentials: bool, jobs: int, as_json: bool
) -> NoReturn:
    from dataclasses import asdict

    from msadraft.rounds.many import cases_in, draft_many

    with _said_clearly():
        cases = cases_in(folder)
        outcomes = []
        try:
            with typer.progressbar(length=len(cases), label="Drafting", file=sys.stderr) as bar:
                for outcome in draft_many(cases, jobs, clauses or (), final, essentials):
                    outcomes.append(outcome)
                    bar.update(1)
        except KeyboardInterrupt:
            print(f"Stopped after {len(outcomes)} of {len(cases)} cases; what is done stays.", file=sys.stderr)
        outcomes.sort(key=lambda o: o.case)
        counts = {
            s: sum(o.state == s for o in outcomes) for s in ("drafted", "stands", "not ready", "unusable", "fault")
        }
        counts["left"] = len(cases) - len(outcomes)
        if as_json:
            _print_json({"counts": counts, "cases": [{**asdict(o), "case": str(o.case)} for o in outcomes]})
        else:
            for o in outcomes:
                if o.state not in ("drafted", "stands"):
                    print(f"{o.case}: {o.state}\n  " + o.says.replace("\n", "\n  "))
            print(", ".join(f"{n} {state}" for state, n in counts.items() if n))
            if counts["left"] or counts["unusable"]:
                print("Mend what is named above and run the same again: what is done is passed over.")
    failed = counts["unusable"] or counts["fault"] or counts["left"]
    raise typer.Exit(UNUSABLE if failed else OPEN if not all(o.ready for o in outcomes) else DONE)


@app.command()
def compare(
    case: CaseArg,
    earlier: Annotated[
        int | None, typer.Argument(metavar="[FROM]", help="Number of the earlier round; the one before TO if left out.")
    ] = None,
    later: Annotated[
        int | None, typer.Argument(metavar="[TO]", help="Number of the later round; the last one if left out.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="Folder for the papers; CASE/compare if left out.")
    ] = None,
    author: Annotated[
        str, typer.Option("--author", metavar="NAME", help="Who made the changes; the drafter if left out.")
    ] = "",
    date: Annotated[
        str, typer.Option("--date", metavar="YYYY-MM-DD", help="Day of the changes; that of the figures if left out.")
    ] = "",
    as_json: JsonFlag = False,
) -> None:
    """Write the redline and the list of changes between two rounds: terms, clauses, form items to fill again."""
    from msadraft.rounds.report import compare_rounds
    from msadraft.writers.changes import screen_lines

    with _said_clearly():
        done = compare_rounds(case if case.is_dir() else case.parent, earlier, later, out, author, date)
        if as_json:
            _print_json({"folder": str(done.folder), "files": done.files, "changes": done.changes})
        else:
            for line in (*screen_lines(done.changes), "", *(str(done.folder / name) for name in done.files)):
                print(line)
    raise typer.Exit(DONE if done.ready else OPEN)


@app.command(name="map")
def map_command(
    case: Annotated[
        Path, typer.Argument(metavar="CASE", help="A case folder, a facts file, or an edited DOCX of the agreement.")
    ],
    form: Annotated[
        Literal["csv", "json", "xlsx", "docx"], typer.Option("--format", help="Format of the map.")
    ] = "csv",
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="File to write; needed for xlsx and docx.")
    ] = None,
    clauses: ClausesOption = None,
) -> None:
    """Give the paragraph map: which form item points to which paragraph."""
    from msadraft.writers import paragraph_map as writers

    code = DONE
    with _said_clearly():
        if case.suffix.lower() == ".docx":
            from msadraft.library.load import read_library
            from msadraft.rounds.intake.read import read_document
            from msadraft.rounds.verify import map_of_document

            rows, stamp = map_of_document(read_document(case), read_library(*(clauses or ())))
        else:
            found = _drafted(case, clauses)
            number = found.case.facts.negotiation.round
            label = _label_of(found, case) or (f"Round {number}" if number else "Draft")
            rows, stamp, code = found.map(label), found.stamp(label), _exit_code(found)
        data = {
            "csv": lambda: writers.write_csv(rows),
            "json": lambda: writers.write_json(rows),
            "xlsx": lambda: writers.write_xlsx(rows),
            "docx": lambda: writers.write_map_docx(rows, stamp),
        }[form]()
        if out:
            _save(out, data)
            print(f"{out}  {rows.mark}")
        elif form in ("csv", "json"):
            _put(data.decode())
        else:
            print(f"say where to write the {form} file: --out FILE.{form}", file=sys.stderr)
            raise typer.Exit(UNUSABLE)
    raise typer.Exit(code)


def _label_of(found: Draft, case: Path) -> str:
    """The label of the case's last round, if it holds just this draft."""
    from msadraft.rounds.store import current_round

    number = current_round(found, case if case.is_dir() else case.parent)
    return f"Round {number}" if number else ""


def _save(path: Path, data: bytes) -> None:
    from msadraft.rounds.disk import place_file

    try:
        place_file(path, data, f".{os.getpid()}")
    except OSError as error:
        print(f"{path}: cannot be written ({error.strerror})", file=sys.stderr)
        raise typer.Exit(UNUSABLE) from None


@app.command()
def packet(
    case: CaseArg,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="Folder for the worksheets; only a report if left out.")
    ] = None,
    against: Annotated[
        int | None, typer.Option("--against", metavar="ROUND", help="List the answers that changed since that round.")
    ] = None,
    pages: Annotated[
        int | None,
        typer.Option(
            "--pages", metavar="N", help="Pages of the printed agreement; counted with LibreOffice if left out."
        ),
    ] = None,
    clauses: ClausesOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Write the judgment packet: worksheets for the forms, the filing list with its checks, a plain summary.

    Exit code 1: done, but something stops signing or filing.
    """
    from msadraft.rounds.disk import write_files
    from msadraft.rounds.packet_files import (
        case_packet,
        changed_since,
        counted_pages,
        filing_data,
        filing_lines,
        packet_files,
    )
    from msadraft.writers.worksheets import change_lines, packet_data, screen_lines

    with _said_clearly():
        found = _drafted(case, clauses)
        number = found.case.facts.negotiation.round
        label = _label_of(found, case) or (f"Round {number}" if number else "Draft")
        made = case_packet(found, label, pages if pages is not None or not out else counted_pages(found, label))
        folder = case if case.is_dir() else case.parent
        since = changed_since(made, folder, against, clauses or ()) if against is not None else None
        files = packet_files(found, made, label) if out else {}
        if out:
            write_files(files, out)
        if as_json:
            more = {"since": since} if since else {}
            shown = {**packet_data(made, found.case.place), **filing_data(found, made), "files": list(files), **more}
            _print_json(shown)
        else:
            changed = change_lines(since.mark, since.changed, since.remade) if since else ()
            print("\n".join((*screen_lines(made), *filing_lines(found, made), *changed)))
            if out:
                print("\n".join(("", *(str(out / name) for name in files))))
    raise typer.Exit(OPEN if found.stops or made.stops else DONE)


@app.command()
def takein(
    case: CaseArg,
    edited: Annotated[Path, typer.Argument(metavar="EDITED.docx", help="The document as it came back.")],
    apply: Annotated[bool, typer.Option("--apply", help="Write the changed facts and the negotiated wording.")] = False,
    changes: Annotated[
        Literal["accept", "reject", "show"],
        typer.Option(help="Tracked changes: take them as accepted or rejected; show: list them, and write nothing."),
    ] = "accept",
    clauses: ClausesOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Read an edited document back as changed facts and negotiated wording. Without --apply it only reports.

    Exit code 1: something is left over, which has to be taken over by hand.
    """
    from msadraft.rounds.intake.guard import IntakeError, read_file
    from msadraft.rounds.intake.report import report_data, screen_lines
    from msadraft.rounds.intake.takein import save, take_in
    from msadraft.rounds.lock import writing

    with _said_clearly():
        if apply and changes == "show":
            raise IntakeError("--changes show only lists the tracked changes; with --apply say accept or reject")
        found = _drafted(case, clauses)
        taken = take_in(found, read_file(edited), edited.name, "reject" if changes == "reject" else "accept")
        written: list[Path] = []
        if apply:
            with writing(found.case.path.parent):
                written = save(found, taken)
        if as_json:
            _print_json({**report_data(taken), "written": [str(path) for path in written]})
        else:
            lines = screen_lines(taken, only_tracked=changes == "show")
            print("\n".join(lines))
            if apply:
                print("\n".join(f"written: {path}" for path in written) or "nothing to write")
            elif taken.edits and changes != "show":
                print(f"Nothing is written yet. To write it: msadraft takein {case} {edited} --apply")
    raise typer.Exit(OPEN if taken.leftovers else DONE)


@app.command()
def verify(
    document: Annotated[Path, typer.Argument(metavar="FILE.docx", help="The document as it is now.")],
    paragraph_map: Annotated[Path, typer.Argument(metavar="MAP", help="paragraph-map.json or paragraph-map.csv.")],
    as_json: JsonFlag = False,
) -> None:
    """Say whether a document still agrees with a paragraph map. Exit code 0: they agree; 1: they do not."""
    from msadraft.rounds import verify as checking
    from msadraft.rounds.intake.read import read_document

    with _said_clearly():
        found = checking.verify(read_document(document), checking.read_map(paragraph_map))
        if as_json:
            _print_json(checking.verification_data(found))
        else:
            print("\n".join(checking.screen_lines(found)))
    raise typer.Exit(DONE if found.agrees else OPEN)


@app.command()
def why(
    case: CaseArg,
    paragraph: Annotated[
        str, typer.Argument(metavar="PARAGRAPH", help="A number such as 4.3(a), a paragraph id, or a clause id.")
    ],
    clauses: ClausesOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Say why a paragraph is in the agreement, or why a clause is not: rule, facts, law, form items."""
    from msadraft.why import explain, screen

    with _said_clearly():
        found = _drafted(case, clauses)
        answer = explain(found, paragraph)
        if answer is None:
            print(
                f"{paragraph}: no paragraph has this number or id, and no clause has this id. See: msadraft map {case}",
                file=sys.stderr,
            )
            raise typer.Exit(UNUSABLE)
        if as_json:
            _print_json(answer)
        else:
            print("\n".join(screen(answer)))


@app.command()
def figures(
    case: CaseArg,
    as_json: JsonFlag = False,
    xlsx: Annotated[
        Path | None,
        typer.Option(
            "--xlsx", metavar="FILE", help="Write a workbook with live formulas instead of showing the working."
        ),
    ] = None,
) -> None:
    """Show every figure with its working, step by step; or write them as data or as a workbook."""
    from msadraft.facts.load import read_case
    from msadraft.figures.compute import compute
    from msadraft.figures.everything import all_figures
    from msadraft.writers.figures import figures_data, screen_lines

    with _said_clearly():
        facts = read_case(case).facts
        found = compute(facts)
        if xlsx:
            from msadraft.writers.workbook import write_workbook

            _save(xlsx, write_workbook(facts, found))
            print(f"{xlsx}  framed cells are inputs; the rest follows", file=sys.stderr if as_json else sys.stdout)
        if as_json:
            _print_json(figures_data(all_figures(facts, found)))
        elif not xlsx:
            print("\n".join(screen_lines(all_figures(facts, found))))


@app.command()
def calendar(
    case: CaseArg,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for the files.")],
    year: Annotated[
        list[int] | None,
        typer.Option(
            "--year",
            metavar="YEAR",
            help="A calendar year; may be given again. Without it: the two years of the figures.",
        ),
    ] = None,
    as_json: JsonFlag = False,
) -> None:
    """Write the parenting calendar: a picture of each year, the schedule to print, a calendar file for each parent.

    Exit code 1: done, but the schedule has gaps or overlaps, or a holiday that nobody has.
    """
    from msadraft.facts.load import read_case
    from msadraft.figures.compute import compute
    from msadraft.figures.parenting.clock import CalendarError
    from msadraft.rounds.disk import write_files
    from msadraft.writers.calendar.files import FAULT_WORDS, calendar_files

    with _said_clearly():
        file = read_case(case)
        try:
            made = calendar_files(file.facts, compute(file.facts), year or ())
        except CalendarError as error:
            print(f"{file.path}: no calendar: {error}", file=sys.stderr)
            raise typer.Exit(UNUSABLE) from None
        places = [(fault, file.place(fault.path)) for fault in made.faults]
        told = [f"{FAULT_WORDS[f.kind]}: {f.what} ({place.file}:{place.line}, {f.path})" for f, place in places]
        if not made.files:
            print("\n".join([f"{file.path}: no calendar can be made:", *told]), file=sys.stderr)
            raise typer.Exit(UNUSABLE)
        write_files(made.files, out)
        if as_json:
            faults = [{"kind": f.kind, "path": f.path, "line": place.line, "what": f.what} for f, place in places]
            _print_json({"folder": str(out), "files": list(made.files), "shares": made.shares, "faults": faults})
        else:
            print("\n".join([*(str(out / name) for name in made.files), *made.shares, *told]))
    raise typer.Exit(OPEN if made.to_mend else DONE)


@clauses_app.command("list")
def clauses_list(clauses: ClausesOption = None, as_json: JsonFlag = False) -> None:
    """List every clause in the order of the outline."""
    from msadraft.library.load import read_library

    with _said_clearly():
        library = read_library(*(clauses or ()))
        if as_json:
            _print_json(
                [
                    {"section": s.section, "id": i, "purpose": library.clauses[i].purpose}
                    for s in library.sections
                    for i in s.clauses
                ]
            )
            return
        for section in library.sections:
            print(_emphasis(section.section))
            for clause_id in section.clauses:
                print(f"  {clause_id:<42} {library.clauses[clause_id].purpose}")


@clauses_app.command("show")
def clauses_show(
    clause_id: Annotated[str, typer.Argument(metavar="ID", help="Id of a clause.")],
    clauses: ClausesOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Show one clause: its rule, authority, caution and text."""
    from msadraft.library.load import read_library

    with _said_clearly():
        library = read_library(*(clauses or ()))
        clause = library.clauses.get(clause_id)
        if clause is None:
            from difflib import get_close_matches

            near = get_close_matches(clause_id, library.clauses, 3)
            print(
                f"{clause_id}: no clause has this id"
                + (f"; did you mean {' or '.join(near)}?" if near else ". See: msadraft clauses list"),
                file=sys.stderr,
            )
            raise typer.Exit(UNUSABLE)
        data = clause.model_dump(exclude={"body_line"})
        if as_json:
            _print_json(data)
            return
        for key in ("id", "purpose", "when", "for_each", "one_of", "scope", "law", "answers", "caution", "file"):
            if data[key]:
                value = data[key] if isinstance(data[key], str) else "; ".join(data[key])
                print(f"{key}: {value}")
        print(f"\n{clause.heading}\n\n{clause.body.strip()}")


@clauses_app.command("lint")
def clauses_lint(clauses: ClausesOption = None, as_json: JsonFlag = False) -> None:
    """Prove the library: exactly one clause of each group, every clause reachable, no reference that can dangle."""
    from msadraft.library.lint import lint
    from msadraft.library.load import read_library

    with _said_clearly():
        library = read_library(*(clauses or ()))
        problems = lint(library)
        if as_json:
            _print_json({"clauses": len(library.clauses), "groups": len(library.groups), "problems": problems})
        else:
            print(
                "\n".join(problems)
                if problems
                else f"{len(library.clauses)} clauses in {len(library.groups)} groups: nothing wrong."
            )
    raise typer.Exit(UNUSABLE if problems else DONE)


@app.command(name="law")
def law_command(
    case: Annotated[Path | None, typer.Argument(metavar="[CASE]", help="A case, whose day is then taken.")] = None,
    on: Annotated[str, typer.Option("--on", metavar="YYYY-MM-DD", help="The day; that of the case if left out.")] = "",
    as_json: JsonFlag = False,
) -> None:
    """List the figures set by law on a day: value, since when, until when, source, and what will change."""
    from msadraft.facts.load import read_case
    from msadraft.facts.scalars import read_day
    from msadraft.figures.compute import signing_day
    from msadraft.law.listing import listing, listing_data, screen_lines

    with _said_clearly():
        day = signing_day(read_case(case).facts) if case else None
        if on:
            try:
                day = read_day(on)
            except ValueError as error:
                print(f"--on: {error}", file=sys.stderr)
                raise typer.Exit(UNUSABLE) from None
        if day is None:
            print("say for which day: --on 2026-11-30, or a case whose day is taken", file=sys.stderr)
            raise typer.Exit(UNUSABLE)
        found = listing(day)
        if as_json:
            _print_json(listing_data(day, found))
        else:
            print("\n".join(screen_lines(day, found, _emphasis)))


@app.command()
def schema(
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="File to write; the screen if left out.")
    ] = None,
) -> None:
    """Write the JSON Schema of case.yaml, for editors that complete and check while you type."""
    from msadraft.facts.schema import schema_text

    text = schema_text()
    if out:
        _save(out, text.encode())
    else:
        _put(text)


@app.command()
def desk(
    case: Annotated[
        Path, typer.Argument(metavar="[CASE]", help="Case folder or facts file; a new folder begins a new case.")
    ] = Path("."),
    port: Annotated[
        int, typer.Option("--port", metavar="N", min=0, max=65535, help="Port to listen on; 0 takes a free one.")
    ] = 0,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the browser.")] = True,
    clauses: ClausesOption = None,
) -> None:
    """Fill in, draft, negotiate and pack a case in the browser, on this computer only."""
    from msadraft.desk.serve import DeskError, serve

    gc.enable()  # this command goes on
    with _said_clearly():
        try:
            serve(case, *(clauses or ()), port=port, browser=browser)
        except DeskError as error:
            print(error, file=sys.stderr)
            raise typer.Exit(UNUSABLE) from None


@contextmanager
def _said_clearly_at_the_end() -> Iterator[None]:
    """What is still to be shown may find nobody who reads it, or a full disk behind it."""
    try:
        yield
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        print(f"the output cannot be written ({error.strerror})", file=sys.stderr)
        sys.exit(UNUSABLE)


def main() -> None:
    """Run the command line."""
    gc.disable()  # a command ends soon, and what it makes lives to its end: looking for garbage is a tenth of its time
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")  # a terminal without a sign shows its code
    try:
        app()
    finally:
        with _said_clearly_at_the_end():
            sys.stdout.flush()


if __name__ == "__main__":
    main()
