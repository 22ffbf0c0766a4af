"""What changed between two rounds: terms, clauses and why, paragraphs, form items, figures, offers."""

from __future__ import annotations

import json
import re
import shutil
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from support.scenarios import NAMES, drafted, facts_file
from typer.testing import CliRunner

from msadraft.cli import app
from msadraft.draft import Draft, draft
from msadraft.facts.load import read_text_case
from msadraft.facts.paths import get
from msadraft.rounds.compare import compare
from msadraft.rounds.read import Version, read_round
from msadraft.rounds.report import author_of, change_files
from msadraft.rounds.store import write_round
from msadraft.writers.changes import write_changes, write_changes_html

RUN = CliRunner()
PAIRS = [(name, a, b) for name in NAMES for a, b in ((1, 2), (2, 3))]


def run(*words: object, code: int = 0) -> str:
    done = RUN.invoke(app, [str(w) for w in words])
    assert done.exit_code == code, done.output
    assert "Traceback" not in done.output
    return done.output


@pytest.fixture(scope="module")
def versions(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, int], Version]:
    """Every round of every scenario, written and read back."""
    found = {}
    for name in NAMES:
        case = tmp_path_factory.mktemp(name)
        for n in (1, 2, 3):
            found[name, n] = read_round(write_round(drafted(name, n), case).folder)
    return found


def version(found: Draft, folder: Path) -> Version:
    return read_round(write_round(found, folder).folder)


@pytest.mark.parametrize(("name", "a", "b"), PAIRS)
def test_every_term_says_its_old_and_its_new_value(versions: Any, name: str, a: int, b: int) -> None:
    old, new = versions[name, a], versions[name, b]
    changes = compare(old, new)
    assert changes.terms
    assert len({t.path for t in changes.terms}) == len(changes.terms)
    for term in changes.terms:
        assert not term.path.startswith("negotiation")
        if term.difference:
            then, now = (get(v.facts, term.path) if _known(v, term.path) else None for v in (old, new))
            assert Decimal(term.difference.replace(",", "")) == (now or Decimal(0)) - (then or Decimal(0)), term


def _known(found: Version, path: str) -> bool:
    try:
        get(found.facts, path)  # type: ignore[arg-type]
    except LookupError:
        return False
    return True


@pytest.mark.parametrize(("name", "a", "b"), PAIRS)
def test_every_clause_change_has_a_reason_that_the_facts_bear_out(versions: Any, name: str, a: int, b: int) -> None:
    old, new = versions[name, a], versions[name, b]
    changes = compare(old, new)
    ids = [{c["id"] for c in v.chosen["chosen"]} for v in (old, new)]
    assert {i for c in changes.clauses for i in c.old} == ids[0] - ids[1]
    assert {i for c in changes.clauses for i in c.new} == ids[1] - ids[0]
    for change in changes.clauses:
        assert change.because or "record" in change.note, change
        assert all(cause.old != cause.new or cause.old == "(not shown)" for cause in change.because)


@pytest.mark.parametrize(("name", "a", "b"), PAIRS)
def test_every_paragraph_is_counted_once(versions: Any, name: str, a: int, b: int) -> None:
    old, new = versions[name, a], versions[name, b]
    changes = compare(old, new)
    before, after = set(old.numbering.by_id), set(new.numbering.by_id)
    assert {p.id for p in changes.came} == after - before
    assert {p.id for p in changes.went} == before - after
    reworded, renumbered = {p.id for p in changes.reworded}, {p.id for p in changes.renumbered}
    assert not reworded & renumbered
    for p in changes.renumbered:
        assert (p.old, p.new) == (old.numbering[p.id].full, new.numbering[p.id].full)
        assert p.old != p.new
    for node in (before & after) - reworded - renumbered:
        assert old.numbering[node].full == new.numbering[node].full or not new.numbering[node].label


@pytest.mark.parametrize(("name", "a", "b"), PAIRS)
def test_every_form_item_whose_pointer_moved_is_to_be_filled_again(versions: Any, name: str, a: int, b: int) -> None:
    old, new = versions[name, a], versions[name, b]
    listed = {(f.form, f.item) for f in compare(old, new).forms}
    pointers = [{(i["form"], i["item"]): i["pointer"] for i in v.items} for v in (old, new)]
    moved = {key for key in pointers[0].keys() | pointers[1].keys() if pointers[0].get(key) != pointers[1].get(key)}
    assert moved
    assert moved <= listed


@pytest.mark.parametrize("name", NAMES)
def test_a_version_compared_with_itself_has_no_change(versions: Any, name: str) -> None:
    changes = compare(versions[name, 3], versions[name, 3])
    assert not changes.any
    assert "Nothing changed." in write_changes(changes)


def test_a_changed_amount_is_followed_to_the_form_and_the_figures(tmp_path: Path) -> None:
    text = facts_file("dunmarsh", 3).read_text(encoding="utf-8")
    found = draft(read_text_case(text))
    amount = found.case.facts.child_support.amount
    assert amount is not None
    changed, count = re.subn(rf"(?m)^  amount: {amount:,}$", f"  amount: {amount + 50}", text, count=1)
    assert count == 1
    before = version(found, tmp_path)
    changes = compare(before, version(draft(read_text_case(changed)), tmp_path))
    (term,) = changes.terms
    assert (term.path, term.difference) == ("child_support.amount", "+50.00")
    assert (term.old, term.new) == (f"{amount:,.2f}", f"{amount + 50:,.2f}")
    assert any("child_support.amount" in p.facts and f"${amount + 50:,.2f}" in p.new for p in changes.reworded)
    assert changes.renumbered == ()
    assert any(f.form == "FL-342" and any("words of" in reason for reason in f.reasons) for f in changes.forms)
    assert all(f.old == f.new for f in changes.forms), "no pointer moved"


def test_a_replaced_clause_says_which_condition_turned(versions: Any) -> None:
    changes = compare(versions["dunmarsh", 1], versions["dunmarsh", 3])
    (change,) = [c for c in changes.clauses if c.old == ("property.home.sale:home",)]
    assert change.kind == "replaced"
    assert change.new == ("property.home.buyout:home",)
    assert [(c.path, c.old, c.new) for c in change.because] == [("assets.home.real.plan", "sell", "buyout")]


def test_facts_that_never_print_are_named_without_their_values(tmp_path: Path) -> None:
    """A protective order is sensitive for someone's safety: the report says that something changed there, not what."""
    base = facts_file("marrowby", 3).read_text(encoding="utf-8")
    before = version(draft(read_text_case(base)), tmp_path)
    orders = base.replace(
        "\ncase:\n", "\ncase:\n  protective_orders:\n    - {kind: domestic_violence, number: DV12345}\n", 1
    )
    assert orders != base
    after = version(draft(read_text_case(orders)), tmp_path)
    changes = compare(before, after)
    report = write_changes(changes)
    assert "case.protective" in report.replace("\\", "")
    assert "DV12345" not in report
    assert "DV12345" not in json.dumps([str(t) for t in changes.terms])


def test_where_a_hidden_party_lives_is_not_told(tmp_path: Path) -> None:
    base = facts_file("marrowby", 3).read_text(encoding="utf-8")
    facts = draft(read_text_case(base)).case.facts
    assert facts.respondent.email
    hidden = base.replace("\nrespondent:\n", "\nrespondent:\n  address_hidden: yes\n", 1)
    assert hidden != base
    before = version(draft(read_text_case(hidden)), tmp_path)
    moved = hidden.replace(facts.respondent.email, "elsewhere@quiet.example", 1)
    report = write_changes(compare(before, version(draft(read_text_case(moved)), tmp_path)))
    assert "respondent.email" in report
    assert "elsewhere@quiet" not in report.replace("\\", "")
    assert facts.respondent.email not in report.replace("\\", "")


def test_open_offers_of_both_sides_are_listed_with_their_round(tmp_path: Path) -> None:
    text = facts_file("dunmarsh", 3).read_text(encoding="utf-8")
    offers = (
        "    - {path: child_support.amount, new: '1400.00', by: respondent, status: offered, round: 4}\n"
        "    - {path: child_support.amount, new: '1550.00', by: petitioner, status: offered, round: 4}\n"
        "    - {path: spousal_support.to_petitioner.amount, new: '900.00', by: petitioner, status: refused, round: 3}\n"
    )
    found = draft(read_text_case(text))
    now = found.case.facts.child_support.amount
    before = version(found, tmp_path)
    after = version(draft(read_text_case(with_offers(text, offers))), tmp_path)
    changes = compare(before, after)
    (offer,) = changes.offers
    assert (offer.petitioner, offer.respondent, offer.now, offer.round) == ("1550.00", "1400.00", str(now), "4")
    assert "Still open between the sides" in write_changes(changes)
    assert changes.terms == ()


def with_offers(text: str, offers: str) -> str:
    """The facts with these changes as the only ones of the negotiation."""
    kept = re.sub(r"(?m)^negotiation:.*\n(?:[ \t]+.*\n)*", "", text)
    return f"{kept.rstrip()}\nnegotiation:\n  changes:\n{offers}"


def test_a_final_refuses_a_term_that_only_one_side_accepts(tmp_path: Path) -> None:
    case = tmp_path / "case"
    case.mkdir()
    text = facts_file("dunmarsh", 3).read_text(encoding="utf-8")
    now = draft(read_text_case(text)).case.facts.child_support.amount
    offer = f"    - {{path: child_support.amount, old: '1', new: '{now}', by: petitioner, status: STATUS, round: 3}}\n"
    for status, code in (("offered", 1), ("refused", 1), ("accepted", 0)):
        (case / "case.yaml").write_text(with_offers(text, offer.replace("STATUS", status)), encoding="utf-8")
        output = run("draft", case, "--final", code=code)
        assert ("Not written" in output) is bool(code), status
        assert (case / "rounds").exists() is not bool(code)
    assert "only one side" not in run("review", case)


# The command


@pytest.fixture
def case(tmp_path: Path) -> Path:
    folder = tmp_path / "case"
    folder.mkdir()
    for n in (1, 2, 3):
        shutil.copyfile(facts_file("marrowby", n), folder / "case.yaml")
        write_round(drafted("marrowby", n), folder)
    return folder


def test_compare_writes_four_papers_beside_the_rounds_and_changes_none(case: Path) -> None:
    before = {p: p.read_bytes() for p in (case / "rounds").rglob("*") if p.is_file()}
    output = run("compare", case)
    assert "From Round 2" in output
    names = {p.name for p in (case / "compare").iterdir()}
    assert names == {
        f"round-03-{n}"
        for n in ("redline-from-02.docx", "changes-from-02.md", "changes-from-02.json", "changes-from-02.html")
    }
    assert {p: p.read_bytes() for p in (case / "rounds").rglob("*") if p.is_file()} == before
    assert all(p.stat().st_mode & 0o077 == 0 for p in (case / "compare").iterdir())


def test_compare_takes_rounds_author_date_and_folder(case: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    found = json.loads(
        run("compare", case, 1, 3, "--out", out, "--author", "B. Example", "--date", "2026-12-01", "--json")
    )
    assert found["changes"]["terms"]
    body = Path(found["folder"], "round-03-redline-from-01.docx").read_bytes()
    import io
    import zipfile

    text = zipfile.ZipFile(io.BytesIO(body)).read("word/document.xml").decode()
    assert 'w:author="B. Example" w:date="2026-12-01T' in text


def test_compare_exits_with_1_while_the_later_round_cannot_be_signed(case: Path) -> None:
    run("compare", case, 1, 2, code=1)


@pytest.mark.parametrize(("words", "said"), [
    ((1, 9), "there is no round 9; the rounds are 1, 2, 3"),
    ((2, 2), "cannot be compared with itself"),
    ((1, 2, "--date", "June"), "'June' is not a day"),
])  # fmt: skip
def test_compare_says_what_is_wrong(case: Path, words: tuple[object, ...], said: str) -> None:
    assert said in run("compare", case, *words, code=2)


def test_compare_without_two_rounds_says_how_to_make_them(tmp_path: Path) -> None:
    folder = tmp_path / "case"
    folder.mkdir()
    assert "no round to compare" in run("compare", folder, code=2)


def test_author_is_the_one_who_drafts() -> None:
    facts = drafted("dunmarsh", 3).case.facts
    assert facts.petitioner.attorney
    for who, name in (("petitioner_counsel", facts.petitioner.attorney.name), ("party", "Drafting party")):
        case = facts.case.model_copy(update={"drafted_by": who})
        assert author_of(facts.model_copy(update={"case": case})) == name


def test_reports_hold_hostile_words_as_words(versions: Any) -> None:
    from dataclasses import replace

    old, new = versions["marrowby", 1], versions["marrowby", 2]
    changes = compare(old, new)
    evil = replace(changes.terms[0], old="<script>alert(1)</script> | *x*", new="[a](javascript:b)")
    changes = replace(changes, terms=(evil,))
    page = write_changes_html(changes)
    assert "<script>" not in page
    assert "&lt;script&gt;" in page
    row = next(line for line in write_changes(changes).splitlines() if "alert" in line)
    assert len(re.findall(r"(?<!\\)\|", row)) == 6
    assert "\\[a\\](javascript:b)" in row


def test_papers_name_the_round_they_start_from(versions: Any) -> None:
    made = change_files(versions["marrowby", 1], versions["marrowby", 2])
    assert set(made) == {"redline-from-01.docx", "changes-from-01.md", "changes-from-01.json", "changes-from-01.html"}
