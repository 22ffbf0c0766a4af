"""The desk's rounds, the edited document that is decided difference by difference, and the packet."""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from markupsafe import escape
from rounds import edits
from starlette.testclient import TestClient
from support.scenarios import facts_file

from msadraft.agreement.negotiated import read_wording
from msadraft.desk import handing_in
from msadraft.desk.asks import way_to
from msadraft.desk.guard import MOST_BYTES, PAPER_POLICY
from msadraft.desk.history import round_file
from msadraft.desk.open_case import OpenCase
from msadraft.desk.pages import desk_app
from msadraft.desk.redline import pieces, redline
from msadraft.draft import draft
from msadraft.facts.load import read_case
from msadraft.rounds.compare import compare
from msadraft.rounds.errors import RoundError
from msadraft.rounds.intake.guard import MOST_FILE_BYTES
from msadraft.rounds.read import read_round

PORT, TOKEN = 8123, "a-token-for-the-tests"
HOST = f"http://127.0.0.1:{PORT}"
DOCX = "application/vnd.openxmlformats-officedocument.wordprocessingml.document"
NEW_WORDS = "The parties tell each other of every change of address."


@dataclass
class Table:
    """A case on the desk, and a browser that has the cookie."""

    folder: Path
    case: OpenCase
    client: TestClient

    def get(self, path: str, status: int = 200) -> str:
        answer = self.client.get(path)
        assert answer.status_code == status, answer.text
        return answer.text

    def post(self, path: str, **fields: str) -> str:
        answer = self.client.post(path, data=fields, headers={"Origin": HOST})
        assert answer.status_code == 200, answer.text
        return answer.text

    def bring(self, content: bytes, name: str = "edited.docx", tracked: str = "accept") -> str:
        answer = self.client.post(
            "/takein", files={"document": (name, content, DOCX)}, data={"tracked": tracked}, headers={"Origin": HOST}
        )
        assert answer.status_code == 200, answer.text
        return answer.text


@pytest.fixture
def table(three_rounds: Path, tmp_path: Path) -> Iterator[Table]:
    folder = tmp_path / "case"
    shutil.copytree(three_rounds, folder)
    yield from _open(folder)


def _open(folder: Path) -> Iterator[Table]:
    case = OpenCase(folder)
    with TestClient(desk_app(case, TOKEN, PORT), base_url=HOST) as client:  # type: ignore[arg-type]
        client.get("/open", params={"token": TOKEN}, follow_redirects=False)
        yield Table(folder, case, client)


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Table]:
    (tmp_path / "case.yaml").write_text("case: {}\n", encoding="utf-8")
    yield from _open(tmp_path)


def edited(folder: Path, number: int = 3) -> bytes:
    """The document of a round with another amount, other words, a new paragraph and one taken out."""
    document = (folder / "rounds" / f"{number:02d}" / "agreement.docx").read_bytes()
    root = edits.body_of(document)
    for t in root.iter(edits.W + "t"):
        if "($1,418.29)" in (t.text or ""):
            t.text = "one thousand five hundred dollars ($1,500.00)"
            break
    numbered = [p for p in root.iter(edits.W + "p") if edits.style(p) in edits.NUMBERED]
    first = next(p for p in numbered if "This agreement is between" in text(p))
    list(first.iter(edits.W + "t"))[-1].text = ", as far as the law allows."
    new = edits.etree.fromstring(edits.etree.tostring(first))
    for child in list(new)[1:]:
        new.remove(child)
    edits.etree.SubElement(edits.etree.SubElement(new, edits.W + "r"), edits.W + "t").text = NEW_WORDS
    first.addnext(new)
    gone = next(p for p in numbered if text(p).startswith("Court review."))
    gone.getparent().remove(gone)
    return edits.with_body(document, root)


def text(p: Any) -> str:
    return "".join(t.text or "" for t in p.iter(edits.W + "t"))


def boxes(page: str) -> dict[str, str]:
    """The checkboxes of the page of decisions: key of the difference to name of the box."""
    return {key: name for name, key in re.findall(r'name="(take-\d+)" value="([^"]+)"', page)}


def key_of(page: str) -> str:
    found = re.search(r'name="document" value="([0-9a-f]{64})"', page)
    assert found is not None
    return found[1]


# Rounds


def test_every_round_is_listed_with_its_mark_and_standing(table: Table) -> None:
    page = table.get("/rounds")
    for n in (1, 2, 3):
        manifest = json.loads((table.folder / f"rounds/{n:02d}/manifest.json").read_text(encoding="utf-8"))
        assert manifest["mark"] in page
    assert page.count("not ready to sign") == 2
    assert page.count("✓ ready to sign") == 1
    assert "are those of round 3" in page


def test_a_round_is_drafted_once_and_stands_while_nothing_changes(table: Table) -> None:
    assert "this round stands" in table.post("/rounds")
    assert not (table.folder / "rounds/04").exists()
    table.case.put("child_support.amount", "1500.00")
    assert "Round 4 · " in table.post("/rounds")
    assert "1500.00" in (table.folder / "rounds/04/facts.yaml").read_text(encoding="utf-8")


def test_a_draft_for_signature_is_refused_while_a_finding_stops_it(table: Table) -> None:
    (table.folder / "case.yaml").write_bytes(facts_file("dunmarsh", 1).read_bytes())
    assert "17 findings stop signing" in table.post("/rounds", final="yes")
    assert not (table.folder / "rounds/04").exists()
    assert "Round 4 · " in table.post("/rounds")


def test_files_of_a_round_come_as_they_are_on_the_disk(table: Table) -> None:
    for name in ("agreement.docx", "paragraph-map.xlsx", "redline-from-02.docx", "facts.yaml"):
        answer = table.client.get(f"/rounds/3/{name}")
        assert answer.content == (table.folder / "rounds/03" / name).read_bytes()
        assert answer.headers["content-disposition"].startswith(f'attachment; filename="round-03-{name}"')


def test_a_paper_is_shown_only_in_a_sandbox(table: Table) -> None:
    shown = table.client.get("/rounds/3/agreement.html?show=1")
    assert shown.headers["content-security-policy"] == PAPER_POLICY
    assert "sandbox" in shown.headers["content-security-policy"]
    assert "content-disposition" not in shown.headers
    assert '<iframe class="paper" src="/rounds/3/agreement.html?show=1"' in table.get("/rounds/3/read/agreement.html")
    assert "attachment" in table.client.get("/rounds/3/facts.yaml?show=1").headers["content-disposition"]


@pytest.mark.parametrize(
    "path",
    [
        "/rounds/3/..%2F..%2Fcase.yaml", "/rounds/3/..%2F02%2Ffacts.yaml", "/rounds/3/%2Fetc%2Fpasswd",
        "/rounds/3/.msadraft.lock", "/rounds/9/agreement.docx", "/rounds/3/case.yaml", "/rounds/0/agreement.docx",
        "/rounds/3/secret.txt",
    ],
)  # fmt: skip
def test_nothing_outside_the_manifest_is_given_out(table: Table, path: str) -> None:
    (table.folder / "rounds/03/secret.txt").write_text("not in the manifest", encoding="utf-8")
    answer = table.client.get(path)
    assert "attachment" not in answer.headers.get("content-disposition", "")
    assert "not in the manifest" not in answer.text
    assert "petitioner:" not in answer.text


def test_a_manifest_cannot_lead_outside_its_round(table: Table) -> None:
    manifest = table.folder / "rounds/03/manifest.json"
    data = json.loads(manifest.read_text(encoding="utf-8"))
    (table.folder / "outside.txt").write_text("outside", encoding="utf-8")
    (table.folder / "rounds/03/link.txt").symlink_to(table.folder / "outside.txt")
    digest = hashlib.sha256(b"outside").hexdigest()
    data["files"] |= {"../../outside.txt": digest, "link.txt": digest}
    manifest.write_text(json.dumps(data), encoding="utf-8")
    for name in ("..%2F..%2Foutside.txt", "link.txt"):
        assert table.client.get(f"/rounds/3/{name}").text.strip() != "outside"
    assert "has no file link.txt" in table.get("/rounds/3/link.txt")
    for name in ("../../outside.txt", "link.txt"):
        with pytest.raises(RoundError, match="has no file"):
            round_file(table.folder, 3, name)


def test_a_file_that_was_changed_after_its_round_is_not_given_out(table: Table) -> None:
    (table.folder / "rounds/02/agreement.txt").write_text("other words", encoding="utf-8")
    assert "was changed after the round was written" in table.get("/rounds/2/agreement.txt")


# Changes


def test_the_redline_reads_as_either_version(table: Table) -> None:
    before, after = (read_round(table.folder / f"rounds/{n:02d}") for n in (1, 3))
    changes = compare(before, after)
    shown = list(redline(before, after, changes))
    reworded = [p for p in shown if p.how == "reworded"]
    assert len(reworded) == len(changes.reworded)
    by_number = {(r.old_number, r.new_number): r for r in changes.reworded}
    matched = 0
    for p in reworded:
        one = by_number.get((p.old_number, p.number))
        if one is not None:
            matched += 1
            assert "".join("".join(x[0] + x[1] for x in p.pieces).split()) == "".join(one.old.split())
            assert "".join("".join(x[0] + x[2] for x in p.pieces).split()) == "".join(one.new.split())
    assert matched > 20
    assert sum(p.how == "came" for p in shown) == len(changes.came)
    assert sum(p.how == "went" for p in shown) == len(changes.went)


def test_pieces_name_only_the_words_that_changed() -> None:
    assert list(pieces("It is paid on the first day.", "It is paid on the tenth day.")) == [
        ("It is paid on the ", "", ""), ("", "first", "tenth"), (" day.", "", ""),
    ]  # fmt: skip


def test_the_page_of_changes_says_why_and_what_to_fill_again(table: Table) -> None:
    page = table.get("/changes?old=2&new=3")
    changes = compare(*(read_round(table.folder / f"rounds/{n:02d}") for n in (2, 3)))
    assert "<ins>" in page
    assert "<del>" in page
    for one in changes.clauses:
        assert all(name in page for name in (*one.old, *one.new))
        assert all(f">{escape(way_to(table.case, cause.path))}</a> went from" in page for cause in one.because)
    for item in changes.forms:
        assert f"{item.form} {item.item}" in page
    assert table.client.get("/changes/2/3/redline-from-02.docx").content[:2] == b"PK"
    assert "There is no paper" in table.get("/changes/2/3/case.yaml")
    assert "cannot be compared with itself" in table.get("/changes?old=2&new=2")


# The edited document


def test_only_the_differences_that_are_accepted_are_written(table: Table) -> None:
    page = table.bring(edited(table.folder))
    found = boxes(page)
    assert {key.split(" ")[0] for key in found} == {"fact", "words", "new", "out"}
    assert "Nothing is written yet" in page
    taken = [key for key in found if key.split(" ")[0] in ("fact", "new")]
    done = table.post("/takein/apply", document=key_of(page), **{found[key]: key for key in taken})
    assert "Taken in." in done
    wording = read_wording(table.folder)
    assert [one.text for one in wording.inserted.values()] == [NEW_WORDS]
    assert (dict(wording.reworded), dict(wording.removed)) == ({}, {})
    assert str(read_case(table.folder).facts.child_support.amount) == "1500.00"  # type: ignore[union-attr]
    assert done.count("not taken in, by choice") == 2
    assert "as far as the law allows" in done
    assert table.case.drafted is not None
    assert table.case.drafted.negotiated == wording
    assert "1,500.00" in table.get("/agreement")


def test_the_report_with_what_is_left_over_is_kept_beside_the_case_and_the_document_is_not(table: Table) -> None:
    page = table.bring(edited(table.folder), "../../../Answer of the other side.docx")
    assert "Answer of the other side.docx" in page
    assert "../.." not in page
    table.post("/takein/apply", document=key_of(page))
    kept = sorted((table.folder / handing_in.REPORTS).iterdir())
    assert [path.suffix for path in kept] == [".json", ".txt"]
    assert all(path.stat().st_mode & 0o077 == 0 for path in kept)
    left = json.loads(kept[0].read_text(encoding="utf-8"))["leftovers"]
    assert len([one for one in left if one["what"].startswith("not taken in, by choice")]) == 4
    assert not list(table.folder.parent.rglob("*other side*"))
    assert not (table.folder / "wording.yaml").exists()
    assert str(read_case(table.folder).facts.child_support.amount) == "1418.29"  # type: ignore[union-attr]


@pytest.mark.skipif(os.name == "nt", reason="POSIX rights and links")
def test_the_report_is_for_its_owner_alone_and_never_written_through_a_link(table: Table, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (table.folder / "takein").symlink_to(elsewhere)
    before = table.case.text
    page = table.bring(edited(table.folder))
    assert "leads elsewhere" in table.post("/takein/apply", document=key_of(page))
    assert list(elsewhere.iterdir()) == []
    assert (table.folder / "case.yaml").read_text() == before
    (table.folder / "takein").unlink()
    table.post("/takein/apply", document=key_of(page))
    reports = list((table.folder / "takein").iterdir())
    assert reports
    assert [p.name for p in [table.folder / "takein", *reports] if p.stat().st_mode & 0o077] == []


def test_facts_that_changed_meanwhile_stop_the_document(table: Table) -> None:
    page = table.bring(edited(table.folder))
    found = boxes(page)
    before = table.folder / "case.yaml"
    before.write_text(before.read_text(encoding="utf-8") + "# looked at again\n", encoding="utf-8")
    now = before.read_bytes()
    done = table.post("/takein/apply", document=key_of(page), **{name: key for key, name in found.items()})
    assert "changed after the document was read" in done
    assert before.read_bytes() == now
    assert not (table.folder / "wording.yaml").exists()


def test_what_a_choice_mends_is_not_left_over(table: Table) -> None:
    document = (table.folder / "rounds/03/agreement.docx").read_bytes()
    root = edits.body_of(document)
    gone = next(p for p in root.iter(edits.W + "p") if text(p).startswith("Joint legal custody."))
    gone.getparent().remove(gone)
    page = table.bring(edits.with_body(document, root))
    assert "which was taken out" in page
    done = table.post("/takein/apply", document=key_of(page))
    assert "which was taken out" not in done
    assert done.count("not taken in, by choice") == 1


def test_undo_does_not_reach_behind_a_document(table: Table) -> None:
    table.case.put("child_support.amount", "1419.00")
    table.case.put("child_support.amount", "1418.29")
    page = table.bring(edited(table.folder))
    table.post("/takein/apply", document=key_of(page), **{name: key for key, name in boxes(page).items()})
    assert table.case.undo() is None
    assert str(read_case(table.folder).facts.child_support.amount) == "1500.00"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"", "the file is empty"), (b"%PDF-1.7", "this is a PDF"), (b"PK\x03\x04cut", "damaged or cut off")],
)
def test_a_document_that_cannot_be_used_is_refused_in_the_words_of_takein(
    table: Table, content: bytes, said: str
) -> None:
    assert said in table.bring(content)
    assert not (table.folder / handing_in.REPORTS).exists()


def test_a_document_of_another_round_is_refused(table: Table) -> None:
    assert "Edits can only be taken in against the draft they were made in" in table.bring(
        edited_of_first(table.folder)
    )


def edited_of_first(folder: Path) -> bytes:
    return (folder / "rounds/01/agreement.docx").read_bytes()


def test_a_document_too_large_is_refused_before_it_is_read(table: Table) -> None:
    answer = table.client.post(
        "/takein", files={"document": ("big.docx", b"PK" + bytes(MOST_BYTES), DOCX)}, headers={"Origin": HOST}
    )
    assert answer.status_code == 413
    # What the desk lets in and no reader takes is refused by name.
    assert "big.docx: the file is larger than 32 MB" in table.bring(b"PK" + bytes(MOST_FILE_BYTES), "big.docx")


def test_a_form_without_a_document_and_one_with_two_say_so(table: Table) -> None:
    empty = (
        b'--b\r\nContent-Disposition: form-data; name="document"; filename=""\r\n'
        b"Content-Type: application/octet-stream\r\n\r\n\r\n--b--\r\n"
    )
    headers = {"Origin": HOST, "Content-Type": "multipart/form-data; boundary=b"}
    assert "No document came along" in table.client.post("/takein", content=empty, headers=headers).text
    two = [("document", (f"{name}.docx", b"PK", DOCX)) for name in "ab"]
    assert "Too many files" in table.client.post("/takein", files=two, headers={"Origin": HOST}).text


def test_an_upload_from_elsewhere_is_refused(table: Table) -> None:
    for origin in ("http://other.example", "null", ""):
        answer = table.client.post(
            "/takein", files={"document": ("a.docx", b"PK", DOCX)}, headers={"Origin": origin}
        )  # fmt: skip
        assert answer.status_code == 403


# The packet


def test_every_worksheet_and_check_is_on_the_page(table: Table) -> None:
    page = table.get("/packet")
    found = draft(read_case(table.folder))
    from msadraft.rounds.packet_files import case_packet, filing_data

    made = case_packet(found, "Round 3")
    assert page.count('<details class="worksheet"') == len(made.worksheets)
    assert page.count('<table class="lines">') == len(made.worksheets)
    data = filing_data(found, made)
    assert all(row["check"] in page for row in data["checks"])
    assert all(row["done on"] in page for row in data["filing"] if row["kind"] == "step")


def test_the_first_checks_are_those_that_stop_filing(table: Table) -> None:
    (table.folder / "case.yaml").write_bytes(facts_file("dunmarsh", 1).read_bytes())
    page = table.get("/packet")
    order = re.findall(r'<li class="(stop|warn|note)">', page[page.index('id="checks"') :])
    assert "stop" in order
    assert order.index("stop") == 0
    assert "✗ not ready to file" in page


def test_the_packet_is_written_beside_the_case_and_given_out(table: Table, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("msadraft.writers.office.available", lambda: False)
    page = table.post("/packet")
    names = {path.name for path in (table.folder / "packet").iterdir()}
    assert {"worksheets.html", "filing-list.html", "summary.html"} <= names
    assert any(name.endswith(".docx") and "180" in name for name in names)
    for name in names:
        assert f'href="/packet/{name}"' in page
    data = (table.folder / "packet/worksheets.csv").read_bytes()
    assert table.client.get("/packet/worksheets.csv").content == data
    assert table.client.get("/packet/summary.html?show=1").headers["content-security-policy"] == PAPER_POLICY
    assert "has no file" in table.get("/packet/case.yaml")
    assert table.client.get("/packet/..%2Fcase.yaml").status_code == 404


def test_answers_that_changed_since_a_round_are_listed(table: Table) -> None:
    assert "No answer changed" in table.get("/packet?against=3")
    assert "Changed since Round 2 · " in table.get("/packet?against=2")
    assert "There is no round 8" in table.get("/packet?against=8")


@pytest.mark.parametrize("path", ["/rounds", "/takein", "/packet"])
def test_a_case_that_cannot_be_drafted_says_so_and_leads_to_the_facts(empty: Table, path: str) -> None:
    page = empty.get(path)
    assert "cannot be drafted yet" in page
    assert 'href="/facts/case">go to the facts' in page
