"""Negotiated wording: its file, how it is put over the library's wording, and when it no longer fits."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.scenarios import drafted

from msadraft.agreement import negotiated as wording
from msadraft.agreement.negotiated import Comment, Conflict, Inserted, Moved, Negotiated, Removed, Reworded
from msadraft.agreement.numbering import number
from msadraft.draft import draft
from msadraft.facts.load import read_text_case
from msadraft.facts.problems import FactsError
from msadraft.tree import Agreement, Blank, Caption, Inline, Paragraph, Plain, Reference, Row, Section, Table, Text
from msadraft.writers.inline import node_text

EMPTY = Caption((), (), (), (), ())


def _paragraph(node_id: str, level: int, text: str, *children: Paragraph, heading: str = "") -> Paragraph:
    head = (Text(heading),) if heading else ()
    return Paragraph(node_id, node_id, level, (Text(text),), head, children)


PAYS = Paragraph(
    "support.pays",
    "support.pays",
    1,
    (
        Text("Wren", "child_support.payer"),
        Text(" shall pay "),
        Text("$1,850.00", "child_support.amount"),
        Text(" a month, as paragraph "),
        Reference("support.ends"),
        Text(" says; that is "),
        Text("one thousand eight hundred fifty dollars ($1,850.00)", "child_support.amount"),
        Text(" in words."),
    ),
    (Text("Amount"),),
)
PAPER = Agreement(
    "MARITAL SETTLEMENT AGREEMENT",
    EMPTY,
    (
        Section("article.one", "article", (Text("Support"),), (
            PAYS,
            _paragraph("support.ends", 1, "It ends with the last duty.", _paragraph("support.ends/a", 2, "First."),
                       _paragraph("support.ends/b", 2, "Second."), _paragraph("support.ends/c", 2, "Third.")),
        )),
        Section("article.two", "article", (Text("Property"),), (
            _paragraph("property.home", 1, "The home is sold."),
            Table("property.table", "property.table", (Text("Assets"),), ((Text("Asset"),), (Text("Value"),)),
                  (Row("property.table/a", ((Text("Home"),), (Text("$9.00", "assets.home.value"),))),
                   Row("property.table/b", ((Text("Car"),), (Text("$3.00", "assets.car.value"),)))), ("left", "right")),
        )),
    ),
)  # fmt: skip


def _texts(agreement: Agreement) -> dict[str, str]:
    numbering = number(agreement)
    out = {}
    for node_id, node in wording.node_index(agreement):
        if isinstance(node, Paragraph | Plain):
            out[node_id] = f"{numbering[node_id].full} {node_text(node, numbering)}"
    return out


def _hash(node_id: str) -> str:
    return wording.wording_hash(dict(wording.node_index(PAPER))[node_id])


def test_nothing_negotiated_changes_nothing() -> None:
    assert wording.apply(PAPER, wording.NOTHING) == (PAPER, ())


def test_reworded_text_keeps_values_and_references() -> None:
    text = "{child_support.payer} owes {child_support.amount#2}, see {para support.ends}."
    new = Negotiated({PAYS.id: Reworded(_hash(PAYS.id), 2, "Sum", text)})
    made, conflicts = wording.apply(PAPER, new)
    assert conflicts == ()
    assert _texts(made)[PAYS.id] == (
        "1.1 Sum. Wren owes one thousand eight hundred fifty dollars ($1,850.00), see\u00a01.2."
    )
    (first, *_) = made.sections[0].blocks
    assert [p.source for p in first.content if isinstance(p, Text)] == [
        "child_support.payer", "", "child_support.amount", "", "",
    ]  # fmt: skip


def test_hash_counts_the_words_and_not_the_values() -> None:
    other = Paragraph(PAYS.id, PAYS.clause, 1, (Text("Ida", "child_support.payer"), *PAYS.content[1:]), PAYS.heading)
    assert wording.wording_hash(other) == wording.wording_hash(PAYS)
    changed = Paragraph(PAYS.id, PAYS.clause, 1, (*PAYS.content[:-1], Text(" in figures.")), PAYS.heading)
    assert wording.wording_hash(changed) != wording.wording_hash(PAYS)


def test_changed_wording_underneath_is_a_conflict_and_the_negotiated_words_stand() -> None:
    new = Negotiated({"property.home": Reworded("0" * 64, 2, "", "The home is kept.")})
    made, (conflict,) = wording.apply(PAPER, new)
    assert _texts(made)["property.home"] == "2.1 The home is kept."
    assert (conflict.negotiated, conflict.present) == ("The home is kept.", "The home is sold.")
    assert conflict.hash_now == _hash("property.home")
    mended = Negotiated({"property.home": Reworded(conflict.hash_now, 2, "", "The home is kept.")})
    assert wording.apply(PAPER, mended)[1] == ()


def test_wording_of_a_paragraph_that_is_gone_is_a_conflict() -> None:
    _, (conflict,) = wording.apply(PAPER, Negotiated({"gone": Reworded("0" * 64, 1, "", "Kept words.")}))
    assert conflict == Conflict("gone", "the paragraph is not in the agreement any more", "Kept words.", "")


def test_a_slot_without_a_value_is_a_conflict_and_a_blank() -> None:
    new = Negotiated({"property.home": Reworded(_hash("property.home"), 2, "", "Sold by {assets.home.sell_by}.")})
    made, (conflict,) = wording.apply(PAPER, new)
    assert "assets.home.sell_by" in conflict.why
    (home, _) = made.sections[1].blocks
    assert isinstance(home, Paragraph)
    assert Blank("assets.home.sell_by") in home.content


def test_inserted_removed_moved_and_levels() -> None:
    new = Negotiated(
        inserted={
            "negotiated.1": Inserted("support.ends/a", "paragraph", 2, "", "New one."),
            "negotiated.2": Inserted("negotiated.1", "plain", 2, "", "Between."),
            "negotiated.3": Inserted("support.pays", "article", 0, "Peace"),
            "negotiated.4": Inserted("negotiated.3", "paragraph", 1, "Head", "Body {{sic}}."),
        },
        removed={"support.ends/c": Removed(_hash("support.ends/c"), 2)},
        moved=(Moved("property.home", ("support.pays",)),),
        levels={"support.ends/b": 3},
    )
    made, conflicts = wording.apply(PAPER, new)
    assert conflicts == ()
    assert _texts(made) == {
        "support.ends": "1.1 It ends with the last duty.",
        "support.ends/a": "1.1(a) First.",
        "negotiated.1": "1.1(b) New one.",
        "negotiated.2": "1.1(b) Between.",
        "support.ends/b": "1.1(b)(i) Second.",
        "property.home": "2.1 The home is sold.",
        "support.pays": _texts(PAPER)["support.pays"].replace("1.2", "1.1").replace("1.1 A", "2.2 A"),
        "negotiated.4": "3.1 Head. Body {sic}.",
    }
    assert [s.id for s in made.sections] == ["article.one", "article.two", "negotiated.3"]
    assert [b.id for b in made.sections[1].blocks] == ["property.home", "support.pays"]
    assert [b.id for b in made.sections[2].blocks] == ["negotiated.4", "property.table"]


def test_an_article_moves_with_its_paragraphs() -> None:
    made, conflicts = wording.apply(PAPER, Negotiated(moved=(Moved("", ("article.two",)),)))
    assert conflicts == ()
    assert [s.id for s in made.sections] == ["article.two", "article.one"]
    assert made.sections[0].blocks == PAPER.sections[1].blocks


def test_a_paragraph_leaves_an_article_that_moves_too() -> None:
    new = Negotiated(moved=(Moved("", ("article.two",)), Moved("support.pays", ("property.home",))))
    made, _ = wording.apply(PAPER, new)
    assert [b.id for b in made.sections[1].blocks] == ["support.pays", "property.home", "support.ends"]


def test_rows_of_a_table() -> None:
    new = Negotiated(
        {"property.table/a": Reworded(_hash("property.table/a"), 1, cells=("House", "{assets.home.value}"))},
        {"negotiated.r": Inserted("property.table/a", "row", 0, cells=("Boat", "$1.00"))},
        {"property.table/b": Removed(_hash("property.table/b"), 1)},
    )
    made, conflicts = wording.apply(PAPER, new)
    table = made.sections[1].blocks[1]
    assert isinstance(table, Table)
    assert conflicts == ()
    assert [row.id for row in table.rows] == ["property.table/a", "negotiated.r"]
    assert table.rows[0].cells == ((Text("House"),), (Text("$9.00", "assets.home.value"),))


def test_a_reference_to_what_was_taken_out_becomes_a_blank_and_a_conflict() -> None:
    bare = Agreement(
        PAPER.title, EMPTY, (Section("a", "article", (Text("A"),), (PAYS, _paragraph("support.ends", 1, "End."))),)
    )
    digest = wording.wording_hash(bare.sections[0].blocks[1])
    made, (conflict,) = wording.apply(bare, Negotiated(removed={"support.ends": Removed(digest)}))
    assert conflict.node == PAYS.id
    assert "support.ends" in conflict.why
    assert not any(isinstance(p, Reference) for p in made.sections[0].blocks[0].content)  # type: ignore[union-attr]


def test_a_new_paragraph_whose_place_is_gone_is_kept_at_the_end() -> None:
    made, (conflict,) = wording.apply(PAPER, Negotiated(inserted={"n": Inserted("gone", "paragraph", 1, "", "Kept.")}))
    assert "gone" in conflict.why
    assert made.sections[-1].blocks[-1].id == "n"


pieces_strategy = st.lists(
    st.one_of(
        st.builds(Text, st.text(min_size=1, max_size=20), st.just(""), st.booleans(), st.booleans()),
        st.builds(Reference, st.sampled_from(["a.b", "c:d/e"])),
        st.sampled_from([Text("$5.00", "x.y"), Text("five", "x.y"), Blank("x.z"), Text("Ida", "p.q", True)]),
    ),
    max_size=8,
)


@given(pieces_strategy)
def test_every_text_reads_back_as_it_was(pieces: list[Inline]) -> None:
    under = wording.slots([Text("$5.00", "x.y"), Text("five", "x.y"), Blank("x.z"), Text("Ida", "p.q", True)])

    def flat(some: tuple[Inline, ...] | list[Inline]) -> list[object]:
        """Letter by letter, so that it does not matter how a text is cut."""
        out: list[object] = []
        for p in some:
            out += [(c, p.bold, p.italic) for c in p.text] if isinstance(p, Text) and not p.source else [p]
        return out

    back, missing = wording.read_text(wording.write_text(pieces, under), under)
    assert missing == ()
    assert flat(back) == flat(pieces)


@given(st.text(max_size=60), st.text(max_size=60))
def test_every_text_survives_the_file(text: str, other: str) -> None:
    try:
        (text + other).encode()
    except UnicodeEncodeError:
        text = other = "half a character"
    made = Negotiated(
        {"a.b/c:d": Reworded("f" * 64, 2, text, other), "row": Reworded("e" * 64, 0, cells=(text, other))},
        {"negotiated.1": Inserted("", "plain", 0, "", text, (), 3)},
        {"x": Removed("d" * 64, 1)},
        (Moved("a", ("b", "c")),),
        {"y": 3},
        (Comment("p", text, other, 1),) if other else (),
    )
    source = wording.write_wording(made)
    read = wording.read_wording_text(source)
    assert read.reworded == made.reworded
    assert [r.text for r in read.inserted.values()] == [text]
    assert (read.removed, read.moved, read.levels) == (made.removed, made.moved, made.levels)
    assert [c.text for c in read.comments] == [c.text for c in made.comments]
    assert wording.write_wording(read) == source


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("paragraphs:\n  a:\n    text: x\n", 2, "'replaces' is missing"),
        ("paragraphs:\n  a:\n    replaces: x\n    words: y\n", 4, "'words' is not known"),
        ("extra: 1\n", 1, "'extra' is not a part"),
        ("levels:\n  a: 7\n", 2, "1, 2 or 3"),
        ("inserted:\n  a: {after: b, kind: poem}\n", 2, "'poem' is not a kind"),
        ("moved:\n  a: b\n", 1, "should be a list"),
        ("paragraphs: [\n", 1, "cannot be read as YAML"),
        ("comments:\n  - {text: [x]}\n", 2, "should be a text"),
    ],
)
def test_a_wrong_file_is_refused_with_its_line(text: str, line: int, words: str) -> None:
    with pytest.raises(FactsError, match=words) as caught:
        wording.read_wording_text(text)
    assert caught.value.problems[0].place.line in (line, line + 1)
    assert caught.value.problems[0].place.file == "wording.yaml"


def test_the_file_beside_the_case_is_read_and_stops_show(tmp_path: Path) -> None:
    found = drafted("marrowby", 2)
    (tmp_path / "case.yaml").write_text(found.case.text, encoding="utf-8")
    node_id = next(i for i, n in wording.node_index(found.agreement) if isinstance(n, Paragraph) and "/" not in i)
    new = Negotiated(
        {node_id: Reworded("0" * 64, 2, "", "Other words.")}, comments=(Comment(node_id, "A. Lee", "Too short?", 2),)
    )
    wording.save_wording(tmp_path, wording.write_wording(new))
    assert (tmp_path / "wording.yaml").stat().st_mode & 0o077 == 0
    again = draft(tmp_path)
    stops = [f for f in again.findings if f.id == "negotiation.wording_conflict"]
    assert len(stops) == 1
    assert "Other words." in stops[0].message
    assert "A. Lee" in next(f for f in again.findings if f.id == "negotiation.comment").message
    assert again.fingerprint != found.fingerprint
    assert draft(read_text_case(found.case.text)).fingerprint == found.fingerprint
