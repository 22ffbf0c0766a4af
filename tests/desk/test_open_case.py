"""The case that is open: nothing typed is lost, comments stay, no update of somebody else is overwritten."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from msadraft.desk.open_case import UNFINISHED_NAME, ConflictError, OpenCase
from msadraft.facts.edit import EditError
from msadraft.facts.load import read_case
from msadraft.facts.problems import FactsError


def test_a_fact_is_on_the_disk_when_put_returns_and_all_comments_are_still_there(middle: Path) -> None:
    case = OpenCase(middle)
    comments = [line for line in case.text.splitlines() if line.lstrip().startswith("#")]
    assert case.put("marriage.separated_on", "2025-02-15") is None
    on_disk = (middle / "case.yaml").read_text()
    assert "separated_on: 2025-02-15" in on_disk
    assert [line for line in on_disk.splitlines() if line.lstrip().startswith("#")] == comments
    assert read_case(middle).facts.marriage.separated_on.isoformat() == "2025-02-15"


def test_a_value_that_cannot_be_read_is_kept_explained_and_survives_the_program(middle: Path) -> None:
    case = OpenCase(middle)
    kept = case.put("marriage.separated_on", "2025-02-31")
    assert kept is not None
    assert "no day" in kept.what
    assert read_case(middle).facts.marriage.separated_on.isoformat() == "2025-01-31"
    again = OpenCase(middle)
    assert again.shown("marriage.separated_on") == "2025-02-31"
    assert again.kept("marriage.separated_on") is not None
    assert again.put("marriage.separated_on", "2025-02-28") is None
    assert not (middle / UNFINISHED_NAME).exists()


def test_a_value_that_contradicts_other_facts_is_kept_beside_them(middle: Path) -> None:
    case = OpenCase(middle)
    kept = case.put("case.petition_assets_listed", "home\nno_such_asset")
    assert kept is not None
    assert case.shown("case.petition_assets_listed") == "home\nno_such_asset"
    assert "no_such_asset" in json.loads((middle / UNFINISHED_NAME).read_text())["case.petition_assets_listed"]
    read_case(middle)


def test_a_reference_typed_before_what_it_names_is_taken_up_once_that_is_there(middle: Path) -> None:
    case = OpenCase(middle)
    assert case.put("assets.suv.vehicle.loan", "new_loan") is not None
    case.add("debts", "new_loan")
    case.put("debts.new_loan.kind", "auto")
    assert case.unfinished == {}
    assert case.value("assets.suv.vehicle.loan") == "new_loan"


def test_undo_goes_back_step_by_step_and_redo_forward_again(middle: Path) -> None:
    case = OpenCase(middle)
    first = case.text
    case.put("marriage.place", "F", turn="1")
    case.put("marriage.place", "Fresno", turn="1")
    case.put("marriage.place", "Napa", turn="2")
    case.take_away("assets.suv")
    without = case.text
    for expected in ("Napa", "Fresno", None):
        case.undo()
        assert case.value("marriage.place") == (expected or "Carmel Valley, California")
    assert case.text == first
    assert case.undo() is None
    while case.redo() is not None:
        pass
    assert case.text == without


def test_two_windows_never_overwrite_each_other(middle: Path) -> None:
    one, other = OpenCase(middle), OpenCase(middle)
    was = other.shown("marriage.place")
    one.put("marriage.place", "Fresno", was)
    one.put("marriage.separated_on", "2025-02-15")
    with pytest.raises(ConflictError, match="Fresno"):
        other.put("marriage.place", "Napa", was)
    other.put("case.branch", "Gale Hall", other.shown("case.branch"))
    one.refresh()
    assert one.value("case.branch") == "Gale Hall"
    assert one.value("marriage.separated_on") == "2025-02-15"


def test_a_change_made_in_a_text_editor_is_seen(middle: Path) -> None:
    case = OpenCase(middle)
    file = middle / "case.yaml"
    file.write_text(file.read_text().replace("Carmel Valley", "Big Sur"))
    case.put("case.branch", "Gale Hall")
    assert "Big Sur" in file.read_text()
    assert case.shown("marriage.place") == "Big Sur, California"


def test_entries_are_added_copied_moved_renamed_and_removed(middle: Path) -> None:
    case = OpenCase(middle)
    case.add("assets", "boat")
    case.put("assets.boat.kind", "vehicle")
    case.put("assets.boat.label", "the boat")
    case.copy("assets.boat", "skiff")
    case.move("assets.skiff", 0)
    assert next(iter(case.tree["assets"])) == "skiff"
    case.rename("assets.home", "house")
    assert "house" in case.tree["assets"]
    assert "home" not in case.shown("case.petition_assets_listed").splitlines()
    assert "house" in case.shown("case.petition_assets_listed").splitlines() or not case.shown(
        "case.petition_assets_listed"
    )
    case.take_away("assets.skiff")
    assert "skiff" not in case.tree["assets"]
    with pytest.raises(EditError, match="short name"):
        case.add("assets", "My Boat")


def test_an_empty_file_can_be_filled_in(tmp_path: Path) -> None:
    (tmp_path / "case.yaml").write_text("# a new case\n")
    case = OpenCase(tmp_path)
    for path, typed in (
        ("case.county", "Napa"),
        ("case.path", "response_filed"),
        ("petitioner.name.first", "Ada"),
        ("petitioner.name.last", "Quill"),
        ("respondent.name.first", "Bo"),
        ("respondent.name.last", "Quill"),
        ("marriage.married_on", "2010-05-01"),
        ("marriage.separated_on", "2024-05-01"),
    ):
        assert case.drafted is None
        assert case.put(path, typed) is None
    assert case.drafted is not None
    assert case.text == (
        "# a new case\n\n"
        "case:\n  county: Napa\n  path: response_filed\n\n"
        "petitioner:\n  name:\n    first: Ada\n    last: Quill\n\n"
        "respondent:\n  name:\n    first: Bo\n    last: Quill\n\n"
        "marriage:\n  married_on: 2010-05-01\n  separated_on: 2024-05-01\n"
    )


def test_what_is_kept_moves_with_a_renamed_entry(middle: Path) -> None:
    case = OpenCase(middle)
    case.put("assets.suv.value", "lots")
    case.rename("assets.suv", "wagon")
    assert case.unfinished == {"assets.wagon.value": "lots"}


def test_entries_of_a_list_keep_their_places_while_a_value_of_one_is_kept(middle: Path) -> None:
    case = OpenCase(middle)
    case.put("taxes.filing.1.year", "soon")
    with pytest.raises(EditError, match="cannot be read yet"):
        case.take_away("taxes.filing.0")
    assert case.shown("taxes.filing.1.year") == "soon"


@pytest.mark.parametrize("data", [b"case:\n  branch: \xff\n", None])
def test_a_file_that_cannot_be_read_any_more_is_said_and_never_overwritten(middle: Path, data: bytes | None) -> None:
    case = OpenCase(middle)
    file = middle / "case.yaml"
    file.unlink()
    if data is not None:
        file.write_bytes(data)
    with pytest.raises(FactsError, match=r"case\.yaml"):
        case.put("marriage.place", "Fresno")
    assert (file.read_bytes() if data is not None else not file.exists()) == (data if data is not None else True)
    with pytest.raises(FactsError):
        OpenCase(middle)
