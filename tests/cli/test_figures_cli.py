"""`figures` and `calendar` as a person uses them: what is on the screen, what is in the files, and the exit codes."""

from __future__ import annotations

import dataclasses
import itertools
import json
import re
import shutil
import stat
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import icalendar
import pytest
from lxml import etree
from support.scenarios import ROUNDS, facts_file
from support.sheets import read_workbook
from typer.testing import CliRunner, Result

import msadraft.figures
from msadraft.cli import app
from msadraft.facts.load import read_case
from msadraft.figures.compute import Figures, compute
from msadraft.figures.everything import all_figures
from msadraft.figures.figure import Figure, Step
from msadraft.figures.support_amounts import ESTIMATE
from msadraft.writers.figures import CAUTION, TITLES, WIDTH, screen_lines, title_of, value_of

RUN = CliRunner()


def run(*words: object, code: int = 0) -> Result:
    done = RUN.invoke(app, [str(w) for w in words])
    assert done.exit_code == code, done.output
    assert "Traceback" not in done.output
    return done


# The working on the screen


@pytest.mark.parametrize(("name", "n"), ROUNDS)
def test_screen_is_readable_and_says_everything_once(name: str, n: int) -> None:
    facts = read_case(facts_file(name, n)).facts
    groups = all_figures(facts, compute(facts))
    shown = run("figures", facts_file(name, n)).output
    lines = shown.splitlines()
    assert max(map(len, lines)) <= WIDTH
    assert " ".join(shown.split()).endswith(" ".join(CAUTION.split()))
    assert " ".join(shown.split()).count("rule 5.275") == 1, "the caution of support stands once, at the end"
    together = " ".join(shown.split())
    for group in groups:
        assert f"{group.title} {'=' * len(group.title)}" in together
        for figure in group.figures:
            assert title_of(figure) in together
            for caution in set(figure.cautions) - {ESTIMATE}:
                assert together.count(" ".join(caution.split())) == 1, caution
    for figure in (f for g in groups for f in g.figures if f.value is not None):
        for step in figure.steps:
            for words in (step.what, step.formula, step.result, step.source):
                assert " ".join(words.split()) in together, figure.name


def test_no_title_is_a_name_for_programs() -> None:
    """Every name in the sources of the figures that reads like an identifier has a title in plain words."""
    folder = Path(msadraft.figures.__file__).parent
    names = {
        name
        for file in folder.rglob("*.py")
        for name in re.findall(r"(?:Figure|\.figure|_safe)\(\s*\"([a-z_.]+)\"", file.read_text(encoding="utf-8"))
    }
    assert {"serve_by", "note_schedule", "spousal_total"} <= names
    coded = {name for name in names if "_" in name or "." in name}
    assert coded <= set(TITLES), sorted(coded - set(TITLES))
    for name, n in ROUNDS:
        facts = read_case(facts_file(name, n)).facts
        for figure in (f for g in all_figures(facts, compute(facts)) for f in g.figures):
            assert not re.search(r"[a-z]_[a-z]|\w\.\w", title_of(figure)), figure.name
            assert title_of(figure)[:1].isupper()


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (Decimal("1234.5"), "dollars", "$1,234.50"),
        (Decimal("-0.23"), "dollars a month", "-$0.23 a month"),
        (Decimal("620"), "dollars a month, limit", "$620.00 a month, limit"),
        (Decimal("38.33043243243243243243243243"), "percent", "38.3304%"),
        (Decimal("46.40"), "percent", "46.40%"),
        (103, "months", "103 months"),
        (date(2027, 2, 1), "date", "Monday, February 1, 2027"),
        ("separate_petitioner", "", "the petitioner's separate property"),
        ("does not apply", "dollars a month, lowest of the range", "does not apply"),
        (None, "dollars", "not worked out"),
    ],
)
def test_values_are_shown_with_their_unit(value: Any, unit: str, shown: str) -> None:
    assert value_of(Figure("a figure", value, unit)) == shown


def test_long_words_are_wrapped_and_a_long_table_is_shortened() -> None:
    from msadraft.figures.everything import Group

    rows = tuple(
        {"number": n, "item": f"the thing number {n} {'of many ' * 12}", "amount": Decimal(n)} for n in range(30)
    )
    figure = Figure(
        "long " * 30,
        Decimal(1),
        "dollars",
        (Step("what " * 40, "formula " * 40, "result " * 40, "source " * 20),),
        (),
        (),
        rows,
    )
    lines = screen_lines((Group("A group", (figure,)),))
    assert max(map(len, lines)) <= WIDTH
    assert any("24 more rows" in line for line in lines)
    assert " ".join(" ".join(lines).split()).count("thing number") == 6


def test_data_has_groups_figures_and_steps() -> None:
    found = json.loads(run("figures", facts_file("dunmarsh", 3), "--json").output)
    support = next(g for g in found["groups"] if g["title"] == "Child support")
    guideline = next(f for f in support["figures"] if f["name"] == "Guideline child support")
    assert guideline["value"] == "1418.29"
    assert guideline["unit"] == "dollars a month"
    assert guideline["steps"][-1]["result"] == "respondent: 1,418.29"
    assert set(guideline["steps"][0]) == {"what", "formula", "result", "source"}
    assert "child_support.guideline_inputs.petitioner_net" in guideline["facts"]
    note = found["groups"][-1]["figures"][0]
    assert (note["title"], len(note["table"])) == ("Level payment of the equalizing note", 36)
    assert found["caution"] == CAUTION


def test_workbook_is_written_for_its_owner_only(tmp_path: Path) -> None:
    target = tmp_path / "figures.xlsx"
    assert str(target) in run("figures", facts_file("dunmarsh", 3), "--xlsx", target).output
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    assert list(read_workbook(target.read_bytes())) == ["Property", "Note", "Child support", "Spousal support"]


def test_workbook_and_data_together_keep_the_data_clean(tmp_path: Path) -> None:
    done = run("figures", facts_file("marrowby", 3), "--json", "--xlsx", tmp_path / "f.xlsx")
    assert json.loads(done.stdout)["groups"]
    assert (tmp_path / "f.xlsx").exists()


def test_unusable_facts_and_places_are_said(tmp_path: Path) -> None:
    assert "To mend:" in run("figures", Path(__file__).parents[1] / "broken" / "day_impossible.yaml", code=2).output
    assert (
        "cannot be written"
        in run("figures", facts_file("marrowby", 3), "--xlsx", tmp_path / "no" / "f.xlsx", code=2).output
    )


def test_round_keeps_the_working_but_not_the_facts_again(tmp_path: Path) -> None:
    case = tmp_path / "case"
    case.mkdir()
    shutil.copyfile(facts_file("fennick", 3), case / "case.yaml")
    run("draft", case)
    kept = json.loads((case / "rounds" / "01" / "figures.json").read_text(encoding="utf-8"))
    assert set(kept) == {"mark", "figures", "working"}
    assert kept["mark"] == json.loads((case / "rounds" / "01" / "manifest.json").read_text(encoding="utf-8"))["mark"]
    facts = read_case(facts_file("fennick", 3)).facts
    groups = all_figures(facts, compute(facts))
    assert [g["title"] for g in kept["working"]] == [g.title for g in groups]
    assert sum(len(f["steps"]) for g in kept["working"] for f in g["figures"]) == sum(
        len(f.steps) for g in groups for f in g.figures
    )
    names = {f.name for f in dataclasses.fields(Figures)} - {"facts"}
    assert set(kept["figures"]) == names
    assert kept["figures"]["ledger"]["equalization"] == "2765.00"


# The calendar


def test_calendar_gives_a_picture_a_schedule_and_a_file_for_each_parent(tmp_path: Path) -> None:
    out = tmp_path / "calendar"
    shown = run("calendar", facts_file("dunmarsh", 3), "--out", out).output
    names = {"parenting-time-2027.svg", "parenting-time-2028.svg", "schedule.html", "petitioner.ics", "respondent.ics"}
    assert {p.name for p in out.iterdir()} == names
    assert {stat.S_IMODE(p.stat().st_mode) for p in out.iterdir()} == {0o600}
    assert stat.S_IMODE(out.stat().st_mode) == 0o700
    for name in names:
        assert str(out / name) in shown
    assert "Philippa 68.55% of the hours" in shown
    assert "Not placed: Vacation is not in the calendar" in shown
    assert "round-3.yaml:" in shown
    for year in (2027, 2028):
        root = etree.fromstring((out / f"parenting-time-{year}.svg").read_bytes())
        assert root[0].text == f"Wren and Caspian: parenting time in {year}"
    page = (out / "schedule.html").read_text(encoding="utf-8")
    assert "Winter break, first half" in page
    assert "Friday, December 17, 2027, 3:00" in page.replace("\u00a0", " ")
    assert "published calendar prevail" in page


def test_calendar_files_of_both_parents_cover_the_two_years_exactly(tmp_path: Path) -> None:
    run("calendar", facts_file("dunmarsh", 3), "--out", tmp_path)
    edges = []
    for parent in ("petitioner", "respondent"):
        events = icalendar.Calendar.from_ical((tmp_path / f"{parent}.ics").read_bytes()).walk("VEVENT")
        edges += [(event.decoded("dtstart"), event.decoded("dtend")) for event in events]
    edges.sort()
    assert all(one[1] == two[0] for one, two in itertools.pairwise(edges))
    assert edges[0][0].date() == date(2027, 1, 1)
    assert edges[-1][1].date() == date(2029, 1, 1)


def test_years_can_be_chosen(tmp_path: Path) -> None:
    run("calendar", facts_file("fennick", 3), "--out", tmp_path, "--year", 2027)
    assert sorted(p.name for p in tmp_path.glob("*.svg")) == ["parenting-time-2027.svg"]
    assert "Lark" in (tmp_path / "schedule.html").read_text(encoding="utf-8")


def test_year_without_school_dates_says_what_is_not_placed(tmp_path: Path) -> None:
    shown = run("calendar", facts_file("dunmarsh", 3), "--out", tmp_path, "--year", 2029).output
    assert "Not placed: Winter break has no dates for 2029" in shown
    assert "Not placed: Spring break has no dates for 2029" in shown


def test_holiday_that_nobody_has_is_said_and_has_its_exit_code(tmp_path: Path) -> None:
    shown = run("calendar", facts_file("dunmarsh", 1), "--out", tmp_path, code=1).output
    assert "Nobody has the holiday: Winter break: nobody has it in 2027." in shown
    data = json.loads(run("calendar", facts_file("dunmarsh", 1), "--out", tmp_path, "--json", code=1).output)
    assert [f["kind"] for f in data["faults"]] == ["not_placed", "nobody"]
    assert data["faults"][1]["path"] == "parenting.holidays.winter_break"
    assert data["faults"][1]["line"] > 100


@pytest.mark.parametrize(
    ("name", "n", "words"),
    [("varnell", 3, "no minor children"), ("marrowby", 3, "no minor children"), ("fennick", 1, "no days and times")],
)
def test_case_without_a_calendar_says_why(tmp_path: Path, name: str, n: int, words: str) -> None:
    out = tmp_path / "calendar"
    assert words in run("calendar", facts_file(name, n), "--out", out, code=2).output
    assert not out.exists()


def test_year_out_of_range_is_said(tmp_path: Path) -> None:
    assert (
        "out of range" in run("calendar", facts_file("dunmarsh", 3), "--out", tmp_path, "--year", 99999, code=2).output
    )


def test_place_of_exchange_is_left_out_where_there_is_violence(tmp_path: Path) -> None:
    run("calendar", facts_file("fennick", 3), "--out", tmp_path)
    assert b"LOCATION" not in (tmp_path / "petitioner.ics").read_bytes()


def test_children_with_schedules_of_their_own_get_pictures_of_their_own(tmp_path: Path) -> None:
    text = facts_file("dunmarsh", 3).read_text(encoding="utf-8")
    own = (
        "  groups:\n    - children: [wren]\n      primary_home: respondent\n      blocks:\n"
        '        - {from_day: monday, from_time: "08:30", to_day: friday, to_time: "08:30", parent: respondent}\n'
        '        - {from_day: friday, from_time: "08:30", to_day: monday, to_time: "08:30", parent: petitioner}\n'
    )
    case = tmp_path / "case.yaml"
    case.write_text(text.replace("  distance_miles: 6\n", f"  distance_miles: 6\n{own}"), encoding="utf-8")
    out = tmp_path / "calendar"
    run("calendar", case, "--out", out, "--year", 2027)
    assert {p.name for p in out.iterdir()} == {
        "parenting-time-2027-1.svg", "parenting-time-2027-2.svg", "schedule-1.html",
        "schedule-2.html", "petitioner.ics", "respondent.ics",
    }  # fmt: skip
    events = icalendar.Calendar.from_ical((out / "petitioner.ics").read_bytes()).walk("VEVENT")
    assert {str(e["summary"]) for e in events} == {"Caspian with Philippa", "Wren with Philippa"}
    assert len({str(e["uid"]) for e in events}) == len(events)


def test_same_facts_give_the_same_calendar(tmp_path: Path) -> None:
    for folder in ("one", "two"):
        run("calendar", facts_file("dunmarsh", 3), "--out", tmp_path / folder)
    for file in (tmp_path / "one").iterdir():
        assert file.read_bytes() == (tmp_path / "two" / file.name).read_bytes(), file.name
