"""The redline: accepting every change gives the new version and rejecting every change the old one, read by other code."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from support.effort import examples
from support.fact_edits import EDITS, edited_facts, paper
from support.resolver import Line, lines
from support.scenarios import NAMES, ROUNDS, drafted
from writers.strategies import PAPERS, STYLES, random_agreement

from msadraft.agreement.numbering import number
from msadraft.tree import Agreement, Block, Paragraph, Plain, Reference, Row, Section, Table, Text, inlines, walk
from msadraft.writers.docx import write_docx
from msadraft.writers.docx.lint import lint
from msadraft.writers.docx.redline import hunks, staying, tokens_of, write_redline
from msadraft.writers.stamp import Stamp

STAMP = Stamp("Round 2 · 00000000", False, "Redline")
DAY = date(2026, 11, 2)
PAIRS = [(name, a, b) for name in NAMES for a, b in ((1, 2), (2, 3), (1, 3), (3, 1))]


def redline(old: Agreement, new: Agreement) -> bytes:
    return write_redline(old, new, STAMP, "A. Drafter & Co.", DAY)


def clean(agreement: Agreement) -> list[Line]:
    return lines(write_docx(agreement, number(agreement), STAMP))


def compared(line: Line) -> tuple[str, str]:
    return (line.style, line.text)


def check(old: Agreement, new: Agreement) -> bytes:
    """Check both directions, and that every reference has its target on the right paragraph afterwards."""
    made = redline(old, new)
    assert lint(made) == []
    old = replace(old, layout=new.layout, numbering=new.numbering)
    for decision, wanted in (("accept", clean(new)), ("reject", clean(old))):
        found = lines(made, decision)  # type: ignore[arg-type]
        assert list(map(compared, found)) == list(map(compared, wanted)), decision
        for a, b in zip(found, wanted, strict=True):
            assert set(b.bookmarks) <= set(a.bookmarks), (decision, b)
        if decision == "accept":
            assert [line.shown for line in found] == [line.shown for line in wanted]
    return made


@pytest.mark.parametrize(("name", "a", "b"), PAIRS)
def test_every_pair_of_scenario_rounds_resolves_both_ways(name: str, a: int, b: int) -> None:
    check(drafted(name, a).agreement, drafted(name, b).agreement)


@pytest.mark.parametrize(("name", "n"), ROUNDS[::3])
def test_equal_versions_have_no_change(name: str, n: int) -> None:
    agreement = drafted(name, n).agreement
    made = check(agreement, agreement)
    assert not any(mark in text(made) for mark in ("<w:ins ", "<w:del ", "<w:pPrChange "))


def text(document: bytes) -> str:
    import io
    import zipfile

    return zipfile.ZipFile(io.BytesIO(document)).read("word/document.xml").decode()


def test_same_input_gives_the_same_bytes() -> None:
    a, b = drafted("marrowby", 1).agreement, drafted("marrowby", 2).agreement
    assert redline(a, b) == redline(a, b)


def test_author_and_day_are_those_given() -> None:
    made = text(redline(drafted("marrowby", 1).agreement, drafted("marrowby", 2).agreement))
    assert 'w:author="A. Drafter &amp; Co."' in made
    assert {part[:10] for part in made.split('w:date="')[1:]} == {"2026-11-02"}


@settings(max_examples=examples(8, 100), deadline=None, suppress_health_check=list(HealthCheck))
@given(st.sampled_from(ROUNDS), st.lists(EDITS, min_size=1, max_size=4))
def test_random_fact_edits_resolve_both_ways(round_: tuple[str, int], edits: list[Any]) -> None:
    old = drafted(*round_)
    facts = edited_facts(old.case.facts, edits)
    assume(facts is not None and facts != old.case.facts)
    assert facts is not None
    new = paper(facts, old.library)
    assume(new != old.agreement)
    check(old.agreement, new)


# Trees that no clause would make: paragraphs moved, tables cut, levels changed.


def mangled(agreement: Agreement, random: Random) -> Agreement:
    """Delete, insert, move, reword and re-level blocks, and change tables; every reference keeps a target."""
    targets = {
        p.target for s in agreement.sections for b in walk(s.blocks) for p in inlines(b) if isinstance(p, Reference)
    }
    targets |= {p.target for s in agreement.sections for p in s.heading if isinstance(p, Reference)}
    fresh = iter(range(10_000))
    sections = [replace(s, blocks=_mangled(s.blocks, 1, targets, random, fresh)) for s in agreement.sections]
    random.shuffle(sections) if random.random() < 0.3 else None
    sections.sort(key=lambda s: s.kind)
    return replace(agreement, sections=tuple(sections))


def _mangled(
    blocks: tuple[Block, ...], level: int, targets: set[str], random: Random, fresh: Iterator[int]
) -> tuple[Block, ...]:
    out: list[Block] = []
    for block in blocks:
        inner = {b.id for b in walk((block,))} | ({row.id for row in block.rows} if isinstance(block, Table) else set())
        chance = random.random()
        if chance < 0.12 and not inner & targets:
            continue
        if chance < 0.24:
            out += _new(level, random, next(fresh))
        if isinstance(block, Paragraph):
            content = _reworded(block.content, random) if random.random() < 0.3 else block.content
            block = replace(
                block, content=content, children=_mangled(block.children, level + 1, targets, random, fresh)
            )
        elif isinstance(block, Table):
            block = _cut(block, targets, random, next(fresh))
        out.append(block)
    if random.random() < 0.3 and len(out) > 1:
        out.insert(random.randrange(len(out)), out.pop(random.randrange(len(out))))
    return tuple(out)


def _new(level: int, random: Random, n: int) -> list[Block]:
    words = (Text(f"Something new, number {n}, for ${random.randrange(9000)}.00 & more."),)
    made: list[Block] = [Paragraph(f"new.{n}", "new", level, words)]
    if random.random() < 0.5:
        rows = tuple(Row(f"new.{n}/row:{i}", ((Text(f"item {i}"),), (Text("$1.00"),))) for i in range(3))
        made.append(
            Table(
                f"new.{n}/table",
                "new",
                (Text("A new table"),),
                ((Text("What"),), (Text("Much"),)),
                rows,
                ("left", "right"),
            )
        )
    if random.random() < 0.3:
        made.append(Plain(f"new.{n}/plain", "new", (Text("Unnumbered words."),)))
    return made


def _reworded(content: tuple[Any, ...], random: Random) -> tuple[Any, ...]:
    out = []
    for piece in content:
        if isinstance(piece, Text) and piece.text.strip():
            words = piece.text.split(" ")
            at = random.randrange(len(words))
            if random.random() < 0.5:
                words[at] = random.choice(("other", "<b>", "$1,900.00", "a\tb", "a\nb", ""))
            else:
                words.insert(at, "and more of it")
            piece = replace(piece, text=" ".join(words))
        out.append(piece)
    return (*out, Text(" The end.")) if random.random() < 0.3 else tuple(out)


def _cut(table: Table, targets: set[str], random: Random, n: int) -> Table:
    rows = [row for row in table.rows if random.random() > 0.2 or row.id in targets]
    if random.random() < 0.3:
        random.shuffle(rows)
    if random.random() < 0.3:
        cells = tuple((Text(f"cell {n}"),) for _ in table.header)
        rows.insert(random.randrange(len(rows) + 1), Row(f"{table.id}/new:{n}", cells))
    if random.random() < 0.15:
        more = tuple(replace(row, cells=(*row.cells, (Text("x"),))) for row in rows)
        total = replace(table.total, cells=(*table.total.cells, (Text("x"),))) if table.total else None
        return replace(
            table, header=(*table.header, (Text("More"),)), rows=more, align=(*table.align, "left"), total=total
        )
    return replace(table, rows=tuple(rows))


@pytest.mark.parametrize("paper_kind", PAPERS)
@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("seed", range(8))
def test_random_trees_resolve_both_ways(style: Any, paper_kind: Any, seed: int) -> None:
    random = Random(seed)
    old = random_agreement(random, style, paper_kind)
    new = mangled(old, random)
    check(old, new)
    check(new, old)


def test_other_numbering_and_layout_are_shown_in_those_of_the_new_version() -> None:
    old = random_agreement(Random(3), "decimal", "plain")
    check(old, replace(old, numbering="continuous", layout="pleading"))


def test_sections_that_came_or_went_resolve_both_ways() -> None:
    old = drafted("dunmarsh", 3).agreement
    few = tuple(s for s in old.sections if s.kind == "article")[:2]
    pruned = replace(old, sections=tuple(_without_references(s) for s in few))
    check(old, pruned)
    check(pruned, old)


def _without_references(section: Section) -> Section:
    def cut(block: Any) -> Any:
        if isinstance(block, Paragraph):
            content = tuple(p for p in block.content if not isinstance(p, Reference))
            return replace(block, content=content, children=tuple(map(cut, block.children)))
        if isinstance(block, Plain):
            return replace(block, content=tuple(p for p in block.content if not isinstance(p, Reference)))
        return block

    return replace(section, blocks=tuple(map(cut, section.blocks)))


# Parts of it


@given(st.lists(st.integers(0, 30), unique=True), st.lists(st.integers(0, 30), unique=True))
def test_what_stays_keeps_its_order_and_is_as_much_as_can_be(a: list[int], b: list[int]) -> None:
    from difflib import SequenceMatcher

    old, new = list(map(str, a)), list(map(str, b))
    kept = staying(old, new)
    assert [key for key in old if key in kept] == [key for key in new if key in kept]
    assert len(kept) >= sum(
        block.size for block in SequenceMatcher(None, old, new, autojunk=False).get_matching_blocks()
    )


def run_of(words: str) -> str:
    return f'<w:r><w:t xml:space="preserve">{words}</w:t></w:r>'


@pytest.mark.parametrize(("old", "new", "gone", "come"), [
    ("pays $1,850.00 a month", "pays $1,900.00 a month", "$1,850.00", "$1,900.00"),
    ("on June 1 or later", "on July 15 or later", "June 1", "July 15"),
    ("the whole of it", "the whole of all of it", "", "of all "),
])  # fmt: skip
def test_changes_are_whole_words_and_amounts(old: str, new: str, gone: str, come: str) -> None:
    found = hunks(tuple(tokens_of(run_of(old))), tuple(tokens_of(run_of(new))))
    changed = [h for h in found if not h[0]]
    assert "".join(t.text for h in changed for t in h[1]).strip() == gone.strip()
    assert sorted("".join(t.text for h in changed for t in h[2]).split()) == sorted(come.split())


def test_a_paragraph_of_which_little_stays_is_shown_as_replaced() -> None:
    old, new = "Each party waives support for good.", "The court keeps power over money for a year."
    found = hunks(tuple(tokens_of(run_of(old))), tuple(tokens_of(run_of(new))))
    assert [h[0] for h in found] == [False]


def test_a_line_of_the_caption_that_came_moves_no_other() -> None:
    old = drafted("marrowby", 1).agreement
    new = replace(old, caption=replace(old.caption, branch=(Text("Family Relations Courthouse"),)))
    assert not old.caption.branch
    made = text(check(old, new))
    assert made.count("<w:del ") == 0
    assert made.count("<w:ins ") == 2


def test_a_moved_paragraph_is_signed_apart_and_its_references_follow() -> None:
    words = (Text("Alpha pays beta in full, as stated in paragraph "), Reference("s.c"), Text("."))
    a, b, c = (
        Paragraph("s.a", "x", 1, words),
        Paragraph("s.b", "x", 1, (Text("See paragraph "), Reference("s.a"))),
        Paragraph("s.c", "x", 1, (Text("Third."),)),
    )
    base = drafted("marrowby", 1).agreement
    old = replace(base, sections=(Section("s", "article", (Text("One"),), (a, b, c)),))
    made = text(check(old, replace(old, sections=(replace(old.sections[0], blocks=(b, c, a)),))))
    assert "A. Drafter &amp; Co. (moved)" in made
    assert made.count("_O_s_a") == 2, "its old copy, and the reference that pointed there"
