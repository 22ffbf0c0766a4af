"""The paragraph map: which paragraph answers which form item, and the words that point to it."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from attachments.sample import ANSWERS, MARK, agreement
from msadraft.agreement.numbering import number
from msadraft.attachments.items import catalogue
from msadraft.attachments.paragraph_map import MapError, ParagraphMap, cited, paper_name, paragraph_map, pointer

PAPER = "marital settlement agreement"


def made(**options: object) -> ParagraphMap:
    tree = agreement()
    return paragraph_map(tree, number(tree), ANSWERS, MARK, **options)  # type: ignore[arg-type]


def pointers(paragraphs: ParagraphMap) -> dict[tuple[str, str], str]:
    return {(i.form, i.item): i.pointer for i in paragraphs.items}


def test_rows_follow_the_paper_and_carry_its_numbers() -> None:
    assert [(row.id, row.number) for row in made().rows] == [
        ("children.custody", "1.1"),
        ("children.schedule", "1.2"),
        ("children.schedule/summer", "1.2(a)"),
        ("children.schedule/school", "1.2(b)"),
        ("support.paid:petitioner", "2.1"),
        ("support.paid:petitioner/stay", "2.1(a)"),
        ("support.paid:petitioner/stay-2", "2.1(b)"),
        ("support.paid:petitioner/day", "2.1(c)"),
        ("support.paid:respondent", "2.2"),
        ("property.awards", "3.1"),
        ("property.awards/second", "3.2"),
        ("property.awards/third", "3.3"),
        ("names.back", "3.4"),
        ("property.more", "3.5"),
        ("property.list/table", "Exhibit A"),
    ]


def test_a_row_says_where_it_stands() -> None:
    tree = agreement()
    row = next(r for r in made().rows if r.id == "property.awards")
    assert row.bookmark == number(tree)["property.awards"].bookmark
    assert (row.heading, row.article, row.clause) == ("To Ona", "Property", "property.awards")
    assert row.text == "Ona receives the car, as 1.1 and ____ say."


def test_a_paragraph_without_heading_takes_that_of_its_clause() -> None:
    rows = {row.id: row for row in made().rows}
    assert rows["property.awards/second"].heading == "To Ona"
    assert rows["children.schedule/summer"].heading == "Ordinary weeks"
    assert rows["property.more"].heading == ""


def test_only_the_beginning_of_the_text_is_shown() -> None:
    row = next(r for r in made().rows if r.id == "children.schedule")
    assert row.text == "The children are with each parent for one week at a time, …"


def test_clause_topics_belong_to_level_one() -> None:
    rows = {row.id: row for row in made().rows}
    assert rows["children.schedule"].topics == ("schedule.regular",)
    assert rows["children.schedule/summer"].forms == ()
    assert {(a.form, a.item) for a in rows["children.schedule"].forms} == {
        ("FL-341", "8b"), ("FL-341", "8e"), ("FL-341", "8e(4)"), ("FL-341(A)", "7"), ("FL-170", "6c"),
    }  # fmt: skip


def test_label_topics_belong_to_their_paragraph_at_any_level() -> None:
    rows = {row.id: row for row in made().rows}
    assert rows["support.paid:petitioner/stay"].topics == ("wage-assignment",)
    assert rows["support.paid:petitioner/stay-2"].topics == ("wage-assignment",)
    assert rows["support.paid:petitioner/day"].topics == ()


def test_topics_of_one_instance_stay_with_it() -> None:
    rows = {row.id: row for row in made().rows}
    assert rows["support.paid:petitioner"].topics == ("spousal-support.petitioner",)
    assert rows["support.paid:respondent"].topics == ()


def test_each_row_points_to_itself_and_the_summary_to_all() -> None:
    paragraphs = made()
    own = {row.number: a.pointer for row in paragraphs.rows for a in row.forms if (a.form, a.item) == ("FL-345", "1c")}
    assert own == {n: f"See paragraph {n} of the attached {PAPER}." for n in ("3.1", "3.2", "3.3", "3.5")}
    summary = next(i for i in paragraphs.items if (i.form, i.item) == ("FL-345", "1c"))
    assert summary.pointer == f"See paragraphs 3.1 to 3.3 and 3.5 of the attached {PAPER}."
    assert summary.ids == ("property.awards", "property.awards/second", "property.awards/third", "property.more")


def test_a_schedule_that_is_a_table_alone_is_cited_by_its_exhibit() -> None:
    assert pointers(made())["FL-345", "1d"] == f"See Exhibit A of the attached {PAPER}."


def test_siblings_below_level_one() -> None:
    assert pointers(made())["FL-343", "5b"] == f"See paragraphs 2.1(a) and 2.1(b) of the attached {PAPER}."


def test_a_topic_without_a_paragraph_makes_no_pointer() -> None:
    paragraphs = made()
    assert paragraphs.answering("equalization") == ()
    assert ("FL-345", "3") not in pointers(paragraphs)
    assert [row.number for row in paragraphs.answering("name")] == ["3.4"]


def test_lines_that_stay_blank_or_come_from_facts_are_not_in_the_map() -> None:
    assert {i.use for i in made().items} <= {"cite", "check", "match", "printed"}


def test_temporary_orders_and_rival_stipulations_are_left_out_unless_named() -> None:
    # FL-344 is for temporary orders; FL-350 and FL-355 would settle the same things a second time
    assert not {"FL-344", "FL-347", "FL-350", "FL-355", "FL-100"} & {i.form for i in made().items}
    assert {i.form for i in made(forms=["FL-355"]).items} == {"FL-355"}


def test_the_printing_of_the_day_is_used() -> None:
    old = made(forms=["FL-341"], on=date(2020, 1, 1))
    assert {(i.revision, i.item) for i in old.items} == {("2016-07-01", "7e(4)"), ("2016-07-01", "13")}
    named = made(forms=[("FL-341", "2016-07-01")])
    assert named.items == old.items


def test_continuous_numbers() -> None:
    tree = agreement("continuous")
    paragraphs = paragraph_map(tree, number(tree), ANSWERS, MARK)
    # paragraphs: 1, 2 | 3, 4 | 5 to 9; the awards are 5, 6, 7 and 9
    assert pointers(paragraphs)["FL-345", "1c"] == f"See paragraphs 5 to 7 and 9 of the attached {PAPER}."


def test_paper_follows_the_title_or_the_caller() -> None:
    assert paper_name("Stipulated Judgment of Dissolution") == "stipulated judgment"
    tree = agreement(title="Stipulated Judgment")
    paragraphs = paragraph_map(tree, number(tree), ANSWERS, MARK)
    assert pointers(paragraphs)["FL-180", "4f"] == "See paragraph 3.4 of the attached stipulated judgment."
    assert pointers(made(paper="settlement")) == pointers(made())
    assert pointers(made(paper="agreement"))["FL-180", "4f"] == "See paragraph 3.4 of the attached agreement."


def test_confidence_and_condition_travel_with_every_item() -> None:
    known = {(i.form, i.revision, i.item): i for e in catalogue().editions for i in e.items}
    for item in made().items:
        source = known[item.form, item.revision, item.item]
        assert (item.confidence, item.when, item.label) == (source.confidence, source.when, source.label)


def test_shape_of_the_json() -> None:
    shape = made().as_dict()
    assert list(shape) == ["mark", "title", "rows", "items"]
    row = shape["rows"][0]  # type: ignore[index]
    assert list(row) == ["id", "number", "bookmark", "heading", "article", "clause", "text", "forms"]
    assert set(row["forms"][0]) >= {"form", "revision", "item", "pointer", "confidence"}


@pytest.mark.parametrize(
    ("answers", "forms", "words"),
    [
        ({"names.back": ("names",)}, None, "clause names.back answers 'names', which is not a topic"),
        (ANSWERS, ["FL-1"], "form 'FL-1' is not in the data"),
    ],
)
def test_what_cannot_be_mapped_is_named(answers: dict[str, tuple[str, ...]], forms: list[str], words: str) -> None:
    tree = agreement()
    with pytest.raises(MapError, match=re.escape(words)):
        paragraph_map(tree, number(tree), answers, MARK, forms=forms)


ORDER = (
    "1.1",
    "1.2",
    "1.2(a)",
    "1.2(b)",
    "1.2(c)",
    "1.2(c)(i)",
    "1.2(c)(ii)",
    "1.3",
    "1.4",
    "2.1",
    "2.2",
    "A-1",
    "Exhibit B",
)


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ([], ""),
        (["1.2"], f"See paragraph 1.2 of the attached {PAPER}."),
        (["1.3", "1.2"], f"See paragraphs 1.2 and 1.3 of the attached {PAPER}."),
        (["1.2", "1.3", "1.4", "2.1"], f"See paragraphs 1.2 to 1.4 and 2.1 of the attached {PAPER}."),
        (["1.1", "1.3", "2.1", "2.2"], f"See paragraphs 1.1, 1.3, 2.1 and 2.2 of the attached {PAPER}."),
        (["1.2(a)", "1.2(b)", "1.2(c)"], f"See paragraphs 1.2(a) to 1.2(c) of the attached {PAPER}."),
        (["1.2", "1.2(a)", "1.2(c)(i)"], f"See paragraph 1.2 of the attached {PAPER}."),
        (["1.2(c)(i)", "1.2(c)(ii)"], f"See paragraphs 1.2(c)(i) and 1.2(c)(ii) of the attached {PAPER}."),
        (["Exhibit B"], f"See Exhibit B of the attached {PAPER}."),
        (["1.1", "A-1", "Exhibit B"], f"See paragraphs 1.1 and A-1 and Exhibit B of the attached {PAPER}."),
    ],
)
def test_pointer(numbers: list[str], words: str) -> None:
    assert pointer(numbers, PAPER, ORDER) == words


def test_pointer_to_nothing_known() -> None:
    with pytest.raises(MapError, match=r"paragraph 9\.9 is not in this version"):
        pointer(["1.1", "9.9"], PAPER, ORDER)


def numbers_of(kind: str, articles: list[int]) -> list[str]:
    out: list[str] = []
    running = 0
    for article, count in enumerate(articles, 1):
        for i in range(1, count + 1):
            running += 1
            own = f"{article}.{i}" if kind == "decimal" else f"{running}"
            out.append(own)
            out += [f"{own}({letter})" for letter in "abcd"[: (i * article) % 5]]
    return out


def read_back(said: str, order: list[str]) -> list[str]:
    """Expand a pointer as a reader would: a range counts up its last number or letter, one by one."""
    listed = re.fullmatch(r"See paragraphs? (.*) of the attached agreement\.", said)
    assert listed
    out: list[str] = []
    for part in re.split(r", | and ", listed[1]):
        first, _, last = part.partition(" to ")
        out.append(first)
        while last and out[-1] != last:
            stem, counter = re.fullmatch(r"(.*?)(\d+|[a-z](?=\)))\)?", out[-1]).groups()  # type: ignore[union-attr]
            after = str(int(counter) + 1) if counter.isdigit() else chr(ord(counter) + 1) + ")"
            out.append(stem + after)
            assert out[-1] in order
    return out


@given(st.data())
def test_a_pointer_names_exactly_its_paragraphs(data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(["decimal", "continuous"]))
    order = numbers_of(kind, data.draw(st.lists(st.integers(0, 12), min_size=1, max_size=4).filter(any)))
    chosen = data.draw(st.lists(st.sampled_from(order), min_size=1))
    said = pointer(chosen, "agreement", order)
    assert read_back(said, order) == cited(chosen, order)
    assert ("paragraphs" in said) == (len(cited(chosen, order)) > 1)


@given(st.data())
def test_nothing_is_left_out_but_what_a_parent_includes(data: st.DataObject) -> None:
    order = numbers_of("decimal", data.draw(st.lists(st.integers(1, 6), min_size=1, max_size=3)))
    chosen = data.draw(st.lists(st.sampled_from(order), min_size=1))
    kept = cited(chosen, order)
    assert len(set(kept)) == len(kept)
    assert sorted(kept, key=order.index) == kept
    for one in set(chosen) - set(kept):
        assert any(one.startswith(other + "(") for other in kept)


def test_a_row_says_what_a_pointer_to_it_alone_says() -> None:
    tree = agreement()
    found = paragraph_map(tree, number(tree), ANSWERS, MARK)
    order = [row.number for row in found.rows]
    assert {row.number.startswith("Exhibit ") for row in found.rows} == {True, False}
    assert all(row.pointer == pointer([row.number], found.paper, order) for row in found.rows)
