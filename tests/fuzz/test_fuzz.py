"""A small sample of the damaged and hostile input, the same each time; `tests/fuzz/run.py` runs all of it.

Also: that the judges can fail at all, and the faults that the full runs have found.
"""

from __future__ import annotations

import io
import os
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any
from unittest import mock

import pytest
from fuzz import clause_folders, documents, facts_files, printed
from fuzz.measure import Count, WrongError
from fuzz.run import run
from rounds import edits, trips
from rounds.edits import W
from support.scenarios import drafted, facts_file
from typer.testing import CliRunner

from msadraft.cli import app
from msadraft.facts.load import read_text_case
from msadraft.facts.problems import FactsError, Place, Problem
from msadraft.library.bounds import BoundError, begin
from msadraft.library.environment import Pieces, WordingError, environment, expression
from msadraft.library.load import LibraryError, read_library
from msadraft.rounds.intake.guard import IntakeError, open_bytes
from msadraft.rounds.intake.read import read_parts
from msadraft.rounds.intake.takein import take_in
from msadraft.rounds.verify import map_of_document
from msadraft.writers.text import wrap

posix = pytest.mark.skipif(os.name == "nt", reason="links, pipes and signals of POSIX")
SAMPLES = {"facts": 25, "documents": 5, "clauses": 12, "printed": 2}


@posix
@pytest.mark.parametrize("kind", [*list(SAMPLES)[:3], pytest.param("printed", marks=pytest.mark.slow)])
def test_a_sample_comes_out_as_it_may(kind: str) -> None:
    found = run(kind, range(SAMPLES[kind]))
    assert found["failed"] == []
    assert found["tried"] == SAMPLES[kind] == found["accepted"] + found["refused_clearly"]
    assert found["accepted"] > 0


@pytest.mark.parametrize("module", [facts_files, documents, clause_folders, printed], ids=lambda m: m.KIND)
def test_a_case_is_the_same_each_time_and_others_are_others(module: Any) -> None:
    def as_data(made: Any) -> Any:
        return getattr(made, "data", made)

    assert as_data(module.made(5)) == as_data(module.made(5))
    assert as_data(module.made(5)) != as_data(module.made(6))


# --- that the judges can fail --------------------------------------------------------------------------------------


@pytest.mark.parametrize("problem", [
    Problem(Place("other.yaml", 1, 1), "", "Wrong.", "Mend it."), Problem(Place("case.yaml", 99, 1), "", "Wrong.", "Mend it."),
    Problem(Place("case.yaml", 1, 1), "", "Wrong.", ""), Problem(Place("case.yaml", 1, 1), "", "wrong \u202e sign.", "Mend it."),
])  # fmt: skip
def test_the_judge_of_refusals_is_not_content_with_everything(problem: Problem) -> None:
    with pytest.raises(WrongError):
        facts_files.check_refusal(FactsError([problem]), b"a: b\n")


def test_the_judge_of_documents_sees_words_that_are_lost() -> None:
    number = next(n for n in range(200) if documents.made(n).group == "words" and documents.made(n).tokens)
    count = Count("documents", 30.0, 400.0)
    with mock.patch.object(documents, "_all_words", return_value="nothing of note"):
        assert count.run(number, documents.judge) == "failed"
    assert "lost" in count.failures[0]["what"]


def test_the_judge_of_facts_sees_a_traceback_and_a_file_that_was_changed() -> None:
    count = Count("facts", 10.0, 400.0)
    number = next(n for n in range(200) if b"%" not in facts_files.made(n) and len(facts_files.made(n)) > 500)

    def breaks(path: Path) -> None:
        raise KeyError("inside")

    def writes(path: Path) -> None:
        path.write_bytes(b"changed")

    for spoilt, said in ((breaks, "KeyError"), (writes, "the file was changed")):
        with mock.patch.object(facts_files, "read_case", spoilt):
            assert count.run(number, facts_files.judge) == "failed"
        assert said in count.failures[-1]["what"]


@pytest.mark.parametrize(("name", "data"), [
    ("x.csv", b"a,=1+1\n"), ("x.html", b"<html><body><script>x</script></body></html>"), ("x.html", b"<html><body onload='x'>y</body></html>"),
    ("x.ics", b"BEGIN:VEVENT\r\nX-EVIL:1\r\nEND:VEVENT\r\n"),
])  # fmt: skip
def test_the_judge_of_papers_sees_what_does_something_by_itself(name: str, data: bytes) -> None:
    with pytest.raises(WrongError):
        printed.said(name, data)


@posix
def test_a_case_that_takes_too_long_is_a_failure() -> None:
    def slow(number: int, count: Count) -> str:
        while True:
            pass

    count = Count("slow", 0.2, 400.0)
    assert count.run(0, slow) == "failed"
    assert "TooLongError" in count.failures[0]["what"]


# --- what the full runs have found ---------------------------------------------------------------------------------


def _changed(change: Callable[[Any], object]) -> bytes:
    document = trips.document_of(drafted("marrowby", 2), 2)
    root = edits.body_of(document)
    change(root)
    return edits.with_body(document, root)


def _said_of(change: Callable[[Any], object]) -> str:
    return trips.told(take_in(drafted("marrowby", 2), _changed(change), "edited.docx"))


def _numbered(root: Any) -> Any:
    return next(p for p in root.iter(W + "p") if edits.style(p) == "Para1" and len(edits._text(p)) > 80)


def _after(p: Any, markup: str) -> None:
    from lxml import etree

    made = etree.fromstring(f'<x xmlns:w="{W[1:-1]}" xmlns:o="urn:other">{markup}</x>')
    for child in reversed(made):
        p.addnext(child)


def test_words_after_a_field_that_never_ends_are_told() -> None:
    def change(root: Any) -> None:
        p = _numbered(root)
        _after(
            p,
            '<w:p><w:r><w:fldChar w:fldCharType="begin"/></w:r></w:p><w:p><w:r><w:t>Zqafter the field.</w:t></w:r></w:p>',
        )

    assert "Zqafter the field." in _said_of(change)


def test_words_in_the_field_of_a_number_are_told() -> None:
    def change(root: Any) -> None:
        for one in root.iter(W + "r"):
            text, before = one.find(W + "t"), one.getprevious()
            if (
                text is not None
                and before is not None
                and before.find(W + "fldChar") is not None
                and "TOC" not in edits.style(one.getparent())
            ):
                text.text = f"{text.text} and zqmore words"
                return
        pytest.fail("no number field")

    assert "zqmore" in _said_of(change)


def test_a_table_of_contents_that_swallows_paragraphs_is_none() -> None:
    def change(root: Any) -> None:
        p = _numbered(root)
        p.find(W + "r").find(W + "t").text = "Zqchanged heading"
        ends = [f for f in root.iter(W + "fldChar") if f.get(W + "fldCharType") == "end"]
        toc_end = next(f for f in ends if edits.style(next(f.iterancestors(W + "p"))).startswith("TOC"))
        toc_end.getparent().remove(toc_end)
        _after(list(root.iter(W + "p"))[-1], '<w:p><w:r><w:fldChar w:fldCharType="end"/></w:r></w:p>')

    assert "Zqchanged heading" in _said_of(change)


@pytest.mark.parametrize("markup", [
    "<w:p><w:bdo w:val='rtl'><w:r><w:t>Zqword</w:t></w:r></w:bdo></w:p>", "<w:p><w:dir w:val='rtl'><w:r><w:t>Zqword</w:t></w:r></w:dir></w:p>",
    "<w:p><o:y><w:r><w:t>Zqword</w:t></w:r></o:y></w:p>", "<o:y><w:p><w:r><w:t>Zqword</w:t></w:r></w:p></o:y>",
    "<w:p><w:r><w:ruby><w:rubyBase><w:r><w:t>Zqword</w:t></w:r></w:rubyBase></w:ruby></w:r></w:p>",
])  # fmt: skip
def test_words_in_elements_that_are_seldom_seen_are_told(markup: str) -> None:
    assert "Zqword" in _said_of(lambda root: _after(_numbered(root), markup))


def test_a_reference_to_a_paragraph_that_was_emptied_does_not_break_the_fresh_map() -> None:
    document = trips.document_of(drafted("marrowby", 2), 2)
    root = edits.body_of(document)
    targets = {instr.text.split()[1] for instr in root.iter(W + "instrText") if " REF " in (instr.text or "")}
    for p in root.iter(W + "p"):
        if {b.get(W + "name") for b in p.iter(W + "bookmarkStart")} & targets and edits.style(p) == "Para1":
            for t in p.iter(W + "t"):
                t.text = ""
    found = read_parts(open_bytes(edits.with_body(document, root), "edited.docx"), "edited.docx")
    rows, _ = map_of_document(found, read_library())
    assert len(rows.rows) > 20


def test_a_zip_whose_list_points_before_its_beginning_is_refused_in_words() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("[Content_Types].xml", b"<x/>")
        archive.writestr("word/document.xml", b"<x/>")
    data = bytearray(out.getvalue())
    at = data.find(b"PK\x01\x02")
    data[at + 42 : at + 46] = (2**31 - 1).to_bytes(4, "little")
    with pytest.raises(IntakeError, match=r"damaged|no DOCX"):
        open_bytes(bytes(data[3:]) if data[3:].startswith(b"PK") else bytes(data), "edited.docx")
    with (
        mock.patch.object(zipfile.ZipFile, "open", side_effect=ValueError("negative seek value -1")),
        pytest.raises(IntakeError, match="damaged"),
    ):
        open_bytes(out.getvalue(), "edited.docx")


def test_a_word_of_a_hundred_thousand_wide_signs_is_wrapped_at_once() -> None:
    lines = wrap("山" * 100_000, 76)
    assert "".join(lines) == "山" * 100_000
    assert {len(line) for line in lines[:-1]} == {38}
    assert wrap("a" * 10, 4) == ["aaaa", "aaaa", "aa"]
    assert wrap("one three fourfive", 5) == ["one", "three", "fourf", "ive"]
    assert wrap("山山", 1) == ["山", "山"]


def test_a_cycle_of_a_million_weeks_is_no_traceback(tmp_path: Path) -> None:
    text = facts_file("dunmarsh", 2).read_text(encoding="utf-8")
    assert "weeks_in_cycle: 2" in text
    case = read_text_case(text.replace("weeks_in_cycle: 2", "weeks_in_cycle: 1000000"))
    from msadraft.draft import draft
    from msadraft.figures.everything import all_figures

    found = draft(case)
    assert all_figures(case.facts, found.figures)


@pytest.mark.parametrize("source", [
    "{% for i in range(99999) %}{% for j in range(99999) %}{% endfor %}{% endfor %}", "{{ 'a' * 10**9 }}", "{{ 10**10**10 }}", "{{ '%1000000000d' % 1 }}",
    "{% macro m(n) %}{{ m(n) }}{{ m(n) }}{% endmacro %}{% for i in range(9) %}{{ m(1) }}{% endfor %}",
    "{% set ns = namespace(x='aaaa') %}{% for i in range(99) %}{% set ns.x = ns.x ~ ns.x %}{% endfor %}", "{{ range(99999) | list | join('x' * 1000) }}",
])  # fmt: skip
def test_a_clause_without_end_is_stopped(source: str) -> None:
    begin()
    with pytest.raises((BoundError, RecursionError)):
        environment().from_string(source).render(_pieces=None)


@pytest.mark.parametrize(
    "source",
    [
        "{{ 'a'.ljust(10**9) }}",
        "{{ '{:>1000000000}'.format(1) }}",
        "{{ (5).to_bytes(10**9) }}",
        "{% include 'x' %}",
        "{{ 'a' | center(10**9) }}",
        "{{ ''.__class__ }}",
    ],
)
def test_what_reaches_beyond_a_clause_is_not_there(source: str) -> None:
    from jinja2 import TemplateError

    with pytest.raises((TemplateError, WordingError)):
        environment().from_string(source).render(_pieces=Pieces())


def test_a_condition_without_end_is_refused() -> None:
    with pytest.raises((WordingError, BoundError)):
        expression("('a' * 10**9)")()


def _folder(tmp_path: Path, body: str, front: str = "") -> Path:
    folder = tmp_path / "clauses"
    folder.mkdir()
    lines = f"id: general.own\nheading: Own\npurpose: own\nafter: general.entire\n{front}"
    (folder / "own.md").write_text(f"---\n{lines}\n---\n{body}\n", encoding="utf-8")
    return folder


@pytest.mark.parametrize(("body", "front", "said"), [
    ("Words {{ para('nowhere') }}.", "", "nowhere"), ("Words {{ 1/0 }}.", "", "division by zero"), ("Words.", "answers: [nope]", "not a topic"),
    ("Words.", "law: &a [x]", "anchors"), ("Words.", "purpose: twice", "twice"), ("Words.", "law: [[[[[[[[x]]]]]]]]", "nests"), ("Words.", "for_each: x in [1, 2]", "something else than records"),
    ("Words \u202e.", "", "hidden sign"), ("- a\n  - b", "", "list must follow"), ("[general.entire] x", "", "not a label"),
])  # fmt: skip
def test_a_clause_that_does_not_work_is_refused_with_its_reason(
    tmp_path: Path, body: str, front: str, said: str
) -> None:
    case = tmp_path / "case"
    case.mkdir()
    (case / "case.yaml").write_bytes(facts_file("marrowby", 3).read_bytes())
    done = CliRunner().invoke(
        app, ["draft", str(case), "--clauses", str(_folder(tmp_path, body, front)), "--out", str(tmp_path / "out")]
    )
    assert done.exit_code == 2, done.output
    assert said in done.output


@posix
def test_what_is_no_ordinary_clause_file_is_not_opened(tmp_path: Path) -> None:
    folder = _folder(tmp_path, "Words.")
    os.mkfifo(folder / "pipe.md")
    (folder / "zero.md").symlink_to("/dev/zero")
    (folder / "large.md").write_bytes(b"x" * 200_000)
    with pytest.raises(LibraryError) as caught:
        read_library(folder)
    assert "pipe.md: is not an ordinary file" in str(caught.value)
    assert "zero.md: is not an ordinary file" in str(caught.value)
    assert "large.md: is larger than 100 kB" in str(caught.value)
