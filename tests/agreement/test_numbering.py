"""Numbers of the tree: what a person cites, what a word processor shows, and that ids outlive both."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from writers import sample
from writers.strategies import agreements

from msadraft.agreement.numbering import NumberingError, bookmark, dangling, letter, number, roman
from msadraft.tree import Agreement, Block, Paragraph, Plain, Reference, Row, Section, Table, Text, walk


def _section(*blocks: Block, kind: str = "article", node_id: str = "one") -> Section:
    return Section(node_id, "exhibit" if kind == "exhibit" else "article", (Text("Heading"),), blocks)


def _paragraph(node_id: str, level: int = 1, *children: Block) -> Paragraph:
    return Paragraph(node_id, node_id, level, (Text("Text."),), (), children)


def _agreement(*sections: Section, style: str = "decimal") -> Agreement:
    numbering = "continuous" if style == "continuous" else "decimal"
    return Agreement("Title", sample.caption(), sections, numbering)  # type: ignore[arg-type]


def _table(node_id: str, *rows: str) -> Table:
    return Table(
        node_id, "c", (Text("Caption"),), ((Text("Head"),),), tuple(Row(r, ((Text("x"),),)) for r in rows), ("left",)
    )


def _paragraphs(agreement: Agreement) -> Iterator[Paragraph]:
    for section in agreement.sections:
        yield from (block for block in walk(section.blocks) if isinstance(block, Paragraph))


def _numerals() -> dict[str, int]:
    """Count in roman numerals by a rule of its own: the patterns of units, tens, hundreds and thousands side by side."""
    units = ("", "i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix")
    tens = ("", "x", "xx", "xxx", "xl", "l", "lx", "lxx", "lxxx", "xc")
    hundreds = ("", "c", "cc", "ccc", "cd", "d", "dc", "dcc", "dccc", "cm")
    return {n // 1000 * "m" + hundreds[n // 100 % 10] + tens[n // 10 % 10] + units[n % 10]: n for n in range(1, 4000)}


def test_decimal_numbers_follow_article_paragraph_letter_and_roman() -> None:
    deep = _paragraph("a", 1, _paragraph("b", 2), _paragraph("c", 2, _paragraph("d", 3), _paragraph("e", 3)))
    numbers = number(_agreement(_section(node_id="first"), _section(_paragraph("z"), deep, node_id="second")))
    assert [numbers[i].full for i in ("first", "second", "z", "a", "b", "c", "d", "e")] == [
        "1", "2", "2.1", "2.2", "2.2(a)", "2.2(b)", "2.2(b)(i)", "2.2(b)(ii)",
    ]  # fmt: skip
    assert [numbers[i].label for i in ("second", "a", "c", "e")] == ["2.", "2.2", "(b)", "(ii)"]
    assert numbers["e"].chain == ("a", "c", "e")
    assert numbers.shown("e") == ((bookmark("a"), "2.2"), (bookmark("c"), "(b)"), (bookmark("e"), "(ii)"))


def test_continuous_paragraphs_run_on_under_lettered_articles() -> None:
    first = _section(_paragraph("a"), _paragraph("b", 1, _paragraph("c", 2)), node_id="one")
    second = _section(_paragraph("d", 1, _paragraph("e", 2)), node_id="two")
    numbers = number(_agreement(first, second, style="continuous"))
    assert [numbers[i].full for i in ("one", "a", "b", "c", "two", "d", "e")] == [
        "A",
        "1",
        "2",
        "2(a)",
        "B",
        "3",
        "3(a)",
    ]
    assert numbers["d"].label == "3."


@pytest.mark.parametrize("style", ["decimal", "continuous"])
def test_exhibits_have_letters_and_numbers_of_their_own(style: str) -> None:
    exhibits = [_section(_paragraph(f"p{n}"), kind="exhibit", node_id=f"x{n}") for n in range(28)]
    numbers = number(_agreement(_section(_paragraph("body")), *exhibits, style=style))
    assert (numbers["x0"].full, numbers["p0"].full) == ("Exhibit A", "A-1")
    assert (numbers["x27"].full, numbers["p27"].full) == ("Exhibit BB", "BB-1")


def test_table_rows_and_notices_are_cited_by_the_paragraph_before_them() -> None:
    blocks = (_paragraph("p", 1, _table("inner", "inner.row")), _table("outer", "outer.row", ""), Plain("n", "c", ()))
    numbers = number(_agreement(_section(*blocks)))
    assert {numbers[i].full for i in ("inner", "inner.row", "outer", "outer.row", "n")} == {"1.1"}
    assert {numbers[i].label for i in ("inner", "inner.row", "outer", "outer.row", "n")} == {""}
    assert "" not in numbers


@pytest.mark.parametrize(("kind", "full"), [("article", "1"), ("exhibit", "Exhibit A")])
def test_table_before_any_paragraph_is_cited_by_its_section(kind: str, full: str) -> None:
    numbers = number(_agreement(_section(_table("t", "r"), _paragraph("p"), kind=kind)))
    for node in ("t", "r"):
        assert (numbers[node].full, numbers[node].chain, numbers[node].level) == (full, ("one",), 0)
        assert "".join(text for _, text in numbers.shown(node)) == full


@pytest.mark.parametrize(
    "blocks",
    [(_paragraph("a", 2),), (_paragraph("a", 1, _paragraph("b", 3)),), (_paragraph("a", 1, _paragraph("b", 1)),)],
)
def test_skipped_level_is_an_error(blocks: tuple[Block, ...]) -> None:
    with pytest.raises(NumberingError, match="has level"):
        number(_agreement(_section(*blocks)))


def test_fourth_level_is_an_error() -> None:
    deep = _paragraph("a", 1, _paragraph("b", 2, _paragraph("c", 3, _paragraph("d", 4))))
    with pytest.raises(NumberingError, match="'d' has level 4"):
        number(_agreement(_section(deep)))


def test_same_id_twice_is_an_error() -> None:
    with pytest.raises(NumberingError, match="the id 'a'"):
        number(_agreement(_section(_paragraph("a"), _table("t", "a"))))


def test_letters_count_as_a_word_processor_letters_a_list() -> None:
    assert [letter(n) for n in (1, 26, 27, 28, 52, 53)] == ["a", "z", "aa", "bb", "zz", "aaa"]


def test_roman_numerals_agree_with_a_table_built_another_way() -> None:
    assert {roman(n): n for n in range(1, 4000)} == _numerals()


def test_bookmark_names_fit_a_word_processor() -> None:
    # Microsoft's implementer notes for ECMA-376 Part 4, section 2.13.6.2: at most 40 characters.
    for node_id in ("a", "support.child:first-born/" * 9, "état.civil", "…"):
        assert re.fullmatch(r"_P_[a-z0-9_]*_[0-9a-f]{8}", bookmark(node_id))
        assert len(bookmark(node_id)) <= 40
    assert bookmark("long" * 20 + "1") != bookmark("long" * 20 + "2")


def test_long_bookmark_names_use_all_forty_characters() -> None:
    assert len(bookmark("support.child:first-born/" * 9)) == 40


def test_two_ids_of_one_bookmark_name_are_an_error() -> None:
    # Found by trying: the same words, and the same first 32 bits of the hash.
    first, second = "a.:../::.///.b", "a././.://:://b"
    assert bookmark(first) == bookmark(second)
    with pytest.raises(NumberingError, match="one bookmark name"):
        number(_agreement(_section(_paragraph(first), _paragraph(second))))


def test_reference_to_nothing_is_listed_with_its_place() -> None:
    paragraph = replace(_paragraph("p"), content=(Reference("nowhere"), Reference("p")))
    section = replace(_section(paragraph), heading=(Reference("lost"),))
    agreement = _agreement(section)
    assert dangling(agreement, number(agreement)) == [("one", "lost"), ("p", "nowhere")]


@given(agreements())
@settings(max_examples=60, deadline=None)
def test_shown_numbers_join_to_the_cited_number(agreement: Agreement) -> None:
    numbers = number(agreement)
    for node_id, entry in numbers.by_id.items():
        assert "".join(text for _, text in numbers.shown(node_id)) == entry.full
        assert entry.full


@given(agreements())
@settings(max_examples=60, deadline=None)
def test_no_two_paragraphs_share_a_number(agreement: Agreement) -> None:
    numbers = number(agreement)
    cited = [numbers[p.id].full for p in _paragraphs(agreement)]
    assert len(cited) == len(set(cited))


@given(agreements())
@settings(max_examples=60, deadline=None)
def test_siblings_count_from_one_without_a_gap(agreement: Agreement) -> None:
    numbers = number(agreement)
    numerals, running = _numerals(), 0
    for section in agreement.sections:

        def check(blocks: tuple[Block, ...], start: int) -> int:
            count = start
            for block in blocks:
                if isinstance(block, Paragraph):
                    count += 1
                    own = re.sub(r"^.*[-.](?=\d)", "", numbers[block.id].label.rstrip(".")).strip("()")
                    place = numerals[own] if block.level == 3 else ord(own) - 96 if block.level == 2 else int(own)
                    assert place == count
                    check(block.children, 0)
            return count

        through = agreement.numbering == "continuous" and section.kind == "article"
        end = check(section.blocks, running if through else 0)
        running = end if through else running


@given(agreements())
@settings(max_examples=40, deadline=None)
def test_new_first_article_moves_numbers_but_no_bookmark(agreement: Agreement) -> None:
    before = number(agreement)
    after = number(
        replace(agreement, sections=(_section(_paragraph("fresh"), node_id="fresh.article"), *agreement.sections))
    )
    exhibits = {section.id for section in agreement.sections if section.kind == "exhibit"}
    for node_id, entry in before.by_id.items():
        assert after[node_id].bookmark == entry.bookmark
        if entry.section in exhibits:
            assert after[node_id].full == entry.full
        elif entry.full.isalpha():  # a lettered article
            assert after[node_id].full == chr(ord(entry.full) + 1)
        else:
            assert after[node_id].full == re.sub(r"^\d+", lambda found: str(int(found[0]) + 1), entry.full)
