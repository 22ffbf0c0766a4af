"""`law` as a person uses it: a day, a case, and what is said when neither can be used."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from support.scenarios import facts_file
from typer.testing import CliRunner, Result

from msadraft.cli import app
from msadraft.facts.load import read_case
from msadraft.figures.compute import compute
from msadraft.law.parameters import names

RUN = CliRunner()


def run(*words: object, code: int = 0) -> Result:
    done = RUN.invoke(app, ["law", *(str(word) for word in words)])
    assert done.exit_code == code, done.output
    assert "Traceback" not in done.output
    return done


def test_a_day_gives_every_parameter_in_eighty_columns_without_colour() -> None:
    shown = run("--on", "2026-11-24").output
    lines = shown.splitlines()
    assert lines[0] == "The law on 2026-11-24, as far as the program has it"
    assert max(map(len, lines)) <= 80
    assert "\033" not in shown
    together = " ".join(shown.split())
    assert all(f"({name})" in together for name in names())


def test_a_case_gives_its_own_day_and_a_day_given_goes_before_it() -> None:
    case = facts_file("dunmarsh", 3)
    day = compute(read_case(case).facts).as_of
    assert run(case).output == run("--on", day).output
    assert run(case, "--on", "2024-08-31").output == run("--on", "2024-08-31").output


def test_json_holds_values_days_sources_and_changes() -> None:
    given = json.loads(run("--on", "2026-07-01", "--json").output)
    assert given["day"] == "2026-07-01"
    assert [one["name"] for one in given["parameters"]] == list(names())
    (wage,) = [one for one in given["parameters"] if one["name"] == "child_support/minimum_wage"]
    assert (wage["value"], wage["unit"], wage["since"], wage["until"]) == (
        "16.90",
        "dollars an hour",
        "2026-01-01",
        "2026-12-31",
    )
    assert (wage["checked"], wage["read_on"]) == ("reported", None)
    assert [(change["kind"], change["on"]) for change in wage["changes"]] == [("adjusted", "2027-01-01")]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "say for which day: --on 2026-11-30, or a case"),
        (["--on", "2026-02-30"], "--on: there is no day 2026-02-30"),
        (["--on", "soon"], "--on: 'soon' is not a date; write year-month-day"),
        (["--on", "9999-12-31"], "--on: 9999-12-31 lies outside the years 1900 to 2150"),
        (["nowhere"], "There is no file"),
        (["nowhere", "--on", "2026-01-01"], "There is no file"),
    ],
)
def test_what_cannot_be_used_is_said(
    words: list[str], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert said in run(*words, code=2).stderr
