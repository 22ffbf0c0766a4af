"""The command line: it asks, shows and saves; it decides nothing.

Exit codes: 0 done; 1 done, but findings that stop signing are open; 2 the input cannot be used.
Heavy parts are imported inside the commands that need them, so that `--help` and completion stay quick.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

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
ClausesOption = Annotated[list[Path] | None, typer.Option("--clauses", help="A folder of the firm's own clauses; may be given again.")]


@contextmanager
def _said_clearly() -> Iterator[None]:
    """Turn every expected error into its message and exit code 2."""
    from msadraft.facts.problems import FactsError
    from msadraft.library.environment import WordingError
    from msadraft.library.load import LibraryError
    from msadraft.rounds.store import RoundError

    try:
        yield
    except (FactsError, LibraryError, WordingError, RoundError) as error:
        print(error, file=sys.stderr)
        raise typer.Exit(UNUSABLE) from None
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise typer.Exit(DONE) from None


def _drafted(case: Path, folders: list[Path] | None) -> Draft:
    from msadraft.draft import draft
    from msadraft.facts.load import read_case

    file = read_case(case)
    own = [file.path.parent / name for name in file.facts.clauses]
    return draft(file, *own, *(folders or ()))


def _print_json(data: Any) -> None:
    from msadraft.writers.data import write_json

    print(write_json(data), end="")


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
def _top(version: Annotated[bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")] = False) -> None:
    pass


@app.command()
def new(folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make.")]) -> None:
    """Make a case folder to fill in, with every fact explained."""
    from msadraft.facts.schema import write_schema
    from msadraft.facts.template import new_case

    case = folder / "case.yaml"
    if case.exists():
        print(f"{case}: there is a case already; choose another folder", file=sys.stderr)
        raise typer.Exit(UNUSABLE)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with open(os.open(case, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
            file.write(new_case())
        write_schema(folder / "case.schema.json")
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
    out: Annotated[Path | None, typer.Option("--out", help="Write the files straight into this folder instead of a round.")] = None,
    final: Annotated[bool, typer.Option("--final", help="Refuse while a finding stops signing.")] = False,
    clauses: ClausesOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Draft the next round: agreement, paragraph map and review notes. Nothing changed: the last round stands."""
    from msadraft.rounds.store import write_out, write_round

    with _said_clearly():
        found = _drafted(case, clauses)
        if final and found.stops:
            print(f"Not written: {len(found.stops)} findings stop signing. See: msadraft review {case}", file=sys.stderr)
            raise typer.Exit(OPEN)
        folder = case if case.is_dir() else case.parent
        number = found.case.facts.negotiation.round
        label = f"Round {number}" if number else "Draft"
        written = write_out(found, out, label) if out else write_round(found, folder)
        mark = found.stamp(written.label).mark
        counts = {s: sum(f.severity == s for f in found.findings) for s in ("stop", "warn", "note")}
        if as_json:
            _print_json({"folder": str(written.folder), "mark": mark, "new": written.fresh, "findings": counts})
        else:
            print(f"{written.folder}  {mark}" + ("" if written.fresh else "  (nothing changed; this round stands)"))
            print(f"{counts['stop']} stop, {counts['warn']} warn, {counts['note']} note. Details: {written.folder / 'review.md'}")
            for name in found.library.replaced:
                print(f"replaced by your own clause: {name}")
    raise typer.Exit(_exit_code(found))


@app.command(name="map")
def map_command(
    case: CaseArg,
    form: Annotated[Literal["csv", "json", "xlsx", "docx"], typer.Option("--format", help="Format of the map.")] = "csv",
    out: Annotated[Path | None, typer.Option("--out", help="File to write; needed for xlsx and docx.")] = None,
    clauses: ClausesOption = None,
) -> None:
    """Give the paragraph map: which form item points to which paragraph."""
    from msadraft.writers import paragraph_map as writers

    with _said_clearly():
        found = _drafted(case, clauses)
        number = found.case.facts.negotiation.round
        label = _label_of(found, case) or (f"Round {number}" if number else "Draft")
        rows = found.map(label)
        data = {
            "csv": lambda: writers.write_csv(rows),
            "json": lambda: writers.write_json(rows),
            "xlsx": lambda: writers.write_xlsx(rows),
            "docx": lambda: writers.write_map_docx(rows, found.stamp(label)),
        }[form]()
        if out:
            _save(out, data)
            print(f"{out}  {rows.mark}")
        elif form in ("csv", "json"):
            sys.stdout.write(data.decode())
        else:
            print(f"say where to write the {form} file: --out FILE.{form}", file=sys.stderr)
            raise typer.Exit(UNUSABLE)
    raise typer.Exit(_exit_code(found))


def _label_of(found: Draft, case: Path) -> str:
    """The label of the case's last round, if it holds just this draft."""
    from msadraft.rounds.store import current_round

    number = current_round(found, case if case.is_dir() else case.parent)
    return f"Round {number}" if number else ""


def _save(path: Path, data: bytes) -> None:
    part = path.with_name(f".{path.name}.part")
    try:
        with open(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
            file.write(data)
        part.replace(path)
    except OSError as error:
        print(f"{path}: cannot be written ({error.strerror})", file=sys.stderr)
        raise typer.Exit(UNUSABLE) from None


@app.command()
def why(
    case: CaseArg,
    paragraph: Annotated[str, typer.Argument(metavar="PARAGRAPH", help="A number such as 4.3(a), a paragraph id, or a clause id.")],
    clauses: ClausesOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Say why a paragraph is in the agreement, or why a clause is not: rule, facts, law, form items."""
    from msadraft.why import explain, screen

    with _said_clearly():
        found = _drafted(case, clauses)
        answer = explain(found, paragraph)
        if answer is None:
            print(f"{paragraph}: no paragraph has this number or id, and no clause has this id. See: msadraft map {case}", file=sys.stderr)
            raise typer.Exit(UNUSABLE)
        if as_json:
            _print_json(answer)
        else:
            print("\n".join(screen(answer)))


@clauses_app.command("list")
def clauses_list(clauses: ClausesOption = None, as_json: JsonFlag = False) -> None:
    """List every clause in the order of the outline."""
    from msadraft.library.load import read_library

    with _said_clearly():
        library = read_library(*(clauses or ()))
        if as_json:
            _print_json([{"section": s.section, "id": i, "purpose": library.clauses[i].purpose} for s in library.sections for i in s.clauses])
            return
        for section in library.sections:
            print(_emphasis(section.section))
            for clause_id in section.clauses:
                print(f"  {clause_id:<42} {library.clauses[clause_id].purpose}")


@clauses_app.command("show")
def clauses_show(
    clause_id: Annotated[str, typer.Argument(metavar="ID", help="Id of a clause.")], clauses: ClausesOption = None, as_json: JsonFlag = False
) -> None:
    """Show one clause: its rule, authority, caution and text."""
    from msadraft.library.load import read_library

    with _said_clearly():
        library = read_library(*(clauses or ()))
        clause = library.clauses.get(clause_id)
        if clause is None:
            from difflib import get_close_matches

            near = get_close_matches(clause_id, library.clauses, 3)
            print(f"{clause_id}: no clause has this id" + (f"; did you mean {' or '.join(near)}?" if near else ""), file=sys.stderr)
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
            print("\n".join(problems) if problems else f"{len(library.clauses)} clauses in {len(library.groups)} groups: nothing wrong.")
    raise typer.Exit(UNUSABLE if problems else DONE)


@app.command()
def schema(out: Annotated[Path | None, typer.Option("--out", help="File to write; the screen if left out.")] = None) -> None:
    """Write the JSON Schema of case.yaml, for editors that complete and check while you type."""
    from msadraft.facts.schema import json_schema

    text = json.dumps(json_schema(), ensure_ascii=False, indent=2) + "\n"
    if out:
        _save(out, text.encode())
    else:
        sys.stdout.write(text)


def main() -> None:
    """Run the command line."""
    app()


if __name__ == "__main__":
    main()
