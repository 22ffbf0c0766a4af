"""The plain-text outline: the same for the same input, at most 100 columns, numbers and references in place."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from writers import sample
from writers.strategies import STYLES, Style, agreements

from msadraft.agreement.numbering import number
from msadraft.tree import Agreement, Paragraph, walk
from msadraft.writers import inline
from msadraft.writers.text import columns_of, wrap, write_text

KEPT = Path(__file__).parent / "kept"


def _text(agreement: Agreement) -> str:
    return write_text(agreement, number(agreement), sample.STAMP)


@pytest.mark.parametrize("style", STYLES)
def test_sample_reads_as_kept(style: Style) -> None:
    """The kept file is the reviewed reading of the sample; a change of it is to be looked at, line by line."""
    assert _text(sample.agreement(style, rows=3)) == (KEPT / f"sample-{style}.txt").read_text(encoding="utf-8")


@given(agreements())
@settings(max_examples=40, deadline=None)
def test_no_line_is_longer_than_100_columns(agreement: Agreement) -> None:
    text = _text(agreement)
    assert max(map(columns_of, text.split("\n"))) <= 100
    assert "\u00a0" not in text
    assert not any(line != line.rstrip() for line in text.split("\n"))


@given(agreements())
@settings(max_examples=40, deadline=None)
def test_every_paragraph_stands_there_with_its_number(agreement: Agreement) -> None:
    numbering = number(agreement)
    text = " ".join(_text(agreement).split())
    for section in agreement.sections:
        for block in walk(section.blocks):
            if isinstance(block, Paragraph):
                words = f"{numbering[block.id].label} {inline.node_text(block, numbering)}"
                assert " ".join(words.split()) in text


@pytest.mark.parametrize("words", ["<b>&amp;</b> {{ x }}", "שלום", "株式会社", "tab\tand\nline", "A" * 300])
def test_hostile_text_comes_out_literally(words: str) -> None:
    text = _text(sample.with_text(words))
    assert "".join(words.split()) in "".join(text.split())
    assert max(map(columns_of, text.split("\n"))) <= 100


def test_banner_stands_first_while_not_ready() -> None:
    agreement = sample.agreement(rows=1)
    assert write_text(agreement, number(agreement), sample.DRAFT).startswith("*** Draft. Points are still open")
    assert "***" not in _text(agreement)
    assert _text(agreement).endswith("[Round 3 · 7f3a91c2]\n")


@given(
    st.text(st.characters(codec="utf-8", exclude_characters="\u00a0", exclude_categories=("Cc", "Cs", "Zs"))),
    st.integers(2, 40),
)
def test_wrapping_loses_no_sign_and_keeps_the_width(text: str, width: int) -> None:
    lines = wrap(text, width)
    assert "".join(lines) == text
    assert all(columns_of(line) <= width for line in lines)


@given(
    st.lists(st.sampled_from(["a", "of", "child’s", "4.3\u00a0(a)", "“support”", "w" * 45, "x" * 9]), max_size=20),
    st.integers(1, 40),
)
def test_a_plain_line_wraps_as_any_other(words: list[str], width: int) -> None:
    """A combining sign that takes no column sends the same words the long way round."""
    assert wrap(" ".join(words), width) == [
        line.replace("\u0301", "") for line in wrap(" ".join(f"{word}\u0301" for word in words), width)
    ]


def test_a_long_line_with_one_wide_sign_is_wrapped() -> None:
    assert wrap("word " * 5_000 + "山", 99)[-1].endswith("山")


def test_wrapping_breaks_at_spaces_and_keeps_tied_words_together() -> None:
    assert wrap("see paragraph\u00a03.1 below", 14) == ["see", "paragraph 3.1", "below"]
    assert wrap("", 10) == [""]
    assert wrap("a\n\nb", 10) == ["a", "", "b"]
