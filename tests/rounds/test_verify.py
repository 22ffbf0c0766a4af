"""Whether a document and a map still belong together, told from the document's own list numbering."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from lxml import etree
from rounds import edits, trips
from rounds.edits import W
from support.scenarios import ROUNDS, drafted
from typer.testing import CliRunner

from msadraft.cli import app
from msadraft.library.load import Library, read_library
from msadraft.rounds.intake.guard import IntakeError, open_bytes
from msadraft.rounds.intake.lists import Counter, Lists
from msadraft.rounds.intake.read import Document, read_parts
from msadraft.rounds.verify import MapFile, Verification, map_of_document, read_map, verify
from msadraft.tree import Paragraph, Reference, inlines, walk
from msadraft.writers.paragraph_map import write_csv, write_json


@pytest.fixture(scope="module")
def library() -> Library:
    return read_library()


def _read(document: bytes) -> Document:
    return read_parts(open_bytes(document, "file.docx"), "file.docx")


def _map(tmp_path: Path, name: str, n: int, csv: bool = False) -> MapFile:
    rows = drafted(name, n).map(f"Round {n}")
    file = tmp_path / ("map.csv" if csv else "map.json")
    file.write_bytes(write_csv(rows) if csv else write_json(rows))
    return read_map(file)


def _checked(tmp_path: Path, change: Callable[[Any], object]) -> Verification:
    document = trips.document_of(drafted("marrowby", 2), 2)
    root = edits.body_of(document)
    change(root)
    return verify(_read(edits.with_body(document, root)), _map(tmp_path, "marrowby", 2))


@pytest.mark.parametrize(("name", "n"), ROUNDS)
def test_a_fresh_document_agrees_with_its_map_in_both_formats(name: str, n: int, tmp_path: Path) -> None:
    document = _read(trips.document_of(drafted(name, n), n))
    for csv in (False, True):
        found = verify(document, _map(tmp_path, name, n, csv))
        assert found.agrees, [r for r in found.rows if r.status != "right"][:3]
        assert found.mark_now == found.mark == found.map_mark
        assert found.references > 20
        assert found.new == ()


@pytest.mark.parametrize(("name", "n"), ROUNDS)
def test_the_map_of_an_unedited_document_is_the_map_of_the_draft(name: str, n: int, library: Library) -> None:
    found = drafted(name, n)
    own = found.map(f"Round {n}")
    made, stamp = map_of_document(_read(trips.document_of(found, n)), library)
    assert made.items == own.items
    assert made.mark == own.mark
    assert stamp.ready == (not found.stops)
    # whether a run-in heading was written with its full stop cannot be read from the page
    assert [replace(r, heading=r.heading.rstrip(".")) for r in made.rows] == [
        replace(r, heading=r.heading.rstrip(".")) for r in own.rows
    ]


def _line(root: Any, fits: Callable[[Any, int, list[Any]], bool]) -> Any:
    every = list(root.iter(W + "p"))
    return next(p for n, p in enumerate(every) if fits(p, n, every))


def test_a_changed_word_far_into_a_paragraph_is_seen(tmp_path: Path) -> None:
    def change(root: Any) -> None:
        line = _line(root, lambda p, n, every: edits.style(p) == "Para1" and len(edits._text(p)) > 200)
        edits._own_texts(line)[-1].text += " and more"

    found = _checked(tmp_path, change)
    assert [r.status for r in found.rows if r.status != "right"] == ["changed"]
    assert not found.agrees
    assert "edited" in found.mark_now
    assert found.same_mark


def test_an_inserted_paragraph_moves_those_after_it_and_their_references(tmp_path: Path) -> None:
    def change(root: Any) -> None:
        line = _line(root, lambda p, n, every: edits.style(p) == "Para1")
        new = etree.Element(W + "p")
        line.addprevious(new)
        etree.SubElement(etree.SubElement(new, W + "pPr"), W + "pStyle").set(W + "val", "Para1")
        etree.SubElement(etree.SubElement(new, W + "r"), W + "t").text = "First of all."

    found = _checked(tmp_path, change)
    moved = [r for r in found.rows if r.status == "moved"]
    assert ("1.1", "1.2") in [(r.number, r.number_now) for r in moved]
    assert {r.number.split(".")[0].split("(")[0] for r in moved} == {"1"}
    assert found.new == ("1.1 First of all.",)
    targets = {s.due for s in found.stale}
    assert all(due.startswith("1.") for due in targets)
    agreement = drafted("marrowby", 2).agreement
    numbering = drafted("marrowby", 2).numbering
    into_first = sum(
        1 for s in agreement.sections for b in walk(s.blocks) if isinstance(b, Paragraph) for p in inlines(b)
        if isinstance(p, Reference) and numbering[p.target].full.startswith("1.")
    )  # fmt: skip
    assert len(found.stale) == into_first > 0


def test_a_deleted_paragraph_is_gone_and_references_to_it_are_named(tmp_path: Path) -> None:
    agreement, numbering = drafted("marrowby", 2).agreement, drafted("marrowby", 2).numbering
    referred = {
        p.target for s in agreement.sections for b in walk(s.blocks) if isinstance(b, Paragraph) for p in inlines(b)
        if isinstance(p, Reference)
    }  # fmt: skip
    target = next(
        b for s in agreement.sections for b in walk(s.blocks)
        if isinstance(b, Paragraph) and b.id in referred and not b.children
    )  # fmt: skip

    def change(root: Any) -> None:
        mark = next(m for m in root.iter(W + "bookmarkStart") if m.get(W + "name") == numbering[target.id].bookmark)
        mark.getparent().getparent().remove(mark.getparent())

    found = _checked(tmp_path, change)
    assert [r.id for r in found.rows if r.status == "gone"] == [target.id]
    assert any(s.due == "" and s.shown == numbering[target.id].full for s in found.stale)


def test_a_typed_over_reference_is_seen(tmp_path: Path) -> None:
    def change(root: Any) -> None:
        in_result = False
        for node in root.iter(W + "fldChar", W + "instrText", W + "t"):
            if node.tag == W + "instrText":
                in_result = "REF _P_" in (node.text or "")
            elif node.tag == W + "t" and in_result:
                node.text = "99.9"
                return

    found = _checked(tmp_path, change)
    assert [s.shown for s in found.stale] == ["99.9"]
    assert all(r.status == "right" for r in found.rows)
    assert not found.agrees


def test_a_paragraph_without_its_bookmark_is_found_by_its_words(tmp_path: Path) -> None:
    def change(root: Any) -> None:
        line = _line(root, lambda p, n, every: edits.style(p) == "Para2" and len(edits._text(p)) > 60)
        for mark in [*line.iter(W + "bookmarkStart"), *line.iter(W + "bookmarkEnd")]:
            mark.getparent().remove(mark)

    found = _checked(tmp_path, change)
    assert [r.remark for r in found.rows if r.remark] == ["found by its words"]
    assert all(r.status == "right" for r in found.rows)


def test_a_map_of_another_round_does_not_agree(tmp_path: Path) -> None:
    found = verify(_read(trips.document_of(drafted("marrowby", 2), 2)), _map(tmp_path, "marrowby", 1))
    assert not found.same_mark
    assert not found.agrees


def test_a_fresh_map_of_an_edited_document_agrees_with_it(tmp_path: Path, library: Library) -> None:
    for seed in (0, 4, 8, 12):
        name, n = ROUNDS[seed % len(ROUNDS)]
        document, _ = edits.generated(trips.document_of(drafted(name, n), n), seed)
        read = _read(document)
        file = tmp_path / "fresh.json"
        made, _ = map_of_document(read, library)
        file.write_bytes(write_json(made))
        found = verify(read, read_map(file))
        assert [r for r in found.rows if r.status != "right"] == []
        assert found.same_mark
        assert found.mark_now != found.mark
        assert not verify(read, _map(tmp_path, name, n)).agrees


@pytest.mark.parametrize(
    "content", [b"", b"{}", b"[1]", b'{"mark": 1, "rows": []}', b"a,b\n1,2\n", b"\xff\xfe\x00", b"{" * 50_000]
)
def test_what_is_no_map_is_refused(content: bytes, tmp_path: Path) -> None:
    file = tmp_path / "map.json"
    file.write_bytes(content)
    with pytest.raises(IntakeError, match="no paragraph map"):
        read_map(file)


def test_the_commands(tmp_path: Path) -> None:
    document = trips.document_of(drafted("marrowby", 2), 2)
    (tmp_path / "a.docx").write_bytes(document)
    (tmp_path / "map.json").write_bytes(write_json(drafted("marrowby", 2).map("Round 2")))
    run = CliRunner()
    said = run.invoke(app, ["verify", str(tmp_path / "a.docx"), str(tmp_path / "map.json")])
    assert said.exit_code == 0
    assert "agree" in said.output
    (tmp_path / "b.docx").write_bytes(edits.generated(document, 4)[0])
    said = run.invoke(app, ["verify", str(tmp_path / "b.docx"), str(tmp_path / "map.json"), "--json"])
    assert said.exit_code == 1
    assert json.loads(said.output)["agrees"] is False
    said = run.invoke(app, ["map", str(tmp_path / "b.docx"), "--format", "json"])
    assert said.exit_code == 0
    (tmp_path / "fresh.json").write_text(said.output, encoding="utf-8")
    assert "edited" in json.loads(said.output)["mark"]
    fresh = run.invoke(app, ["verify", str(tmp_path / "b.docx"), str(tmp_path / "fresh.json"), "--json"])
    assert [r for r in json.loads(fresh.output)["rows"] if r["status"] != "right"] == []
    for form in ("xlsx", "docx"):
        assert (
            run.invoke(
                app, ["map", str(tmp_path / "b.docx"), "--format", form, "--out", str(tmp_path / f"m.{form}")]
            ).exit_code
            == 0
        )
    assert run.invoke(app, ["verify", str(tmp_path / "gone.docx"), str(tmp_path / "map.json")]).exit_code == 2
    assert run.invoke(app, ["verify", str(tmp_path / "a.docx"), str(tmp_path / "gone.json")]).exit_code == 2


# ECMA-376 Part 1, section 17.9: how a list counts.
_LISTS = (
    f'<w:numbering xmlns:w="{W[1:-1]}">'
    '<w:abstractNum w:abstractNumId="1">'
    '<w:lvl w:ilvl="0"><w:start w:val="1"/><w:numFmt w:val="upperRoman"/><w:lvlText w:val="ARTICLE %1."/></w:lvl>'
    '<w:lvl w:ilvl="1"><w:start w:val="1"/><w:numFmt w:val="decimal"/><w:isLgl/><w:lvlText w:val="%1.%2"/></w:lvl>'
    '<w:lvl w:ilvl="2"><w:start w:val="1"/><w:numFmt w:val="lowerLetter"/><w:lvlText w:val="(%3)"/></w:lvl>'
    '<w:lvl w:ilvl="3"><w:start w:val="1"/><w:numFmt w:val="lowerLetter"/><w:lvlRestart w:val="0"/><w:lvlText w:val="[%4]"/></w:lvl>'
    '</w:abstractNum><w:num w:numId="5"><w:abstractNumId w:val="1"/></w:num>'
    '<w:num w:numId="6"><w:abstractNumId w:val="1"/><w:lvlOverride w:ilvl="0"><w:startOverride w:val="7"/></w:lvlOverride></w:num>'
    "</w:numbering>"
)


def test_lists_count_as_the_standard_says() -> None:
    counter = Counter(Lists(etree.fromstring(_LISTS), None))
    steps = [
        (0, "ARTICLE I."),
        (1, "1.1"),
        (2, "(a)"),
        (3, "[a]"),
        (2, "(b)"),
        (3, "[b]"),
        (1, "1.2"),
        (2, "(a)"),
        (0, "ARTICLE II."),
        (1, "2.1"),
    ]
    assert [counter.next("5", depth).label for depth, _ in steps] == [label for _, label in steps]
    assert counter.next("6", 0).label == "ARTICLE VII."
    assert counter.next("6", 0).label == "ARTICLE VIII."
