"""A firm's own clauses: what they replace, and whether a form item loses its answer by it."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from msadraft.cli import app
from msadraft.library.load import read_library
from msadraft.library.replaced import lost_topics, replacement_report, topics_of

SHIPPED = read_library()
CLAUSE = "general.incorporation"


def own(folder: Path, **clauses: str) -> Path:
    """A firm folder: each clause by its file name, as the lines of its front matter."""
    folder.mkdir()
    for name, front in clauses.items():
        (folder / f"{name}.md").write_text(f"---\n{front}---\nOur words about it.\n", encoding="utf-8")
    return folder


def front(clause_id: str, *answers: str, after: str = "") -> str:
    lines = f"id: {clause_id}\nheading: Ours\npurpose: our own words\nanswers: [{', '.join(answers)}]\n"
    return lines + (f"after: {after}\n" if after else "")


def test_a_replacement_that_answers_less_is_reported_with_its_file(tmp_path: Path) -> None:
    wanted = topics_of(SHIPPED.clauses[CLAUSE])
    assert wanted, "the clause of this test must answer something"
    library = read_library(own(tmp_path / "own", mine=front(CLAUSE)))
    lost = lost_topics(library)
    assert [(entry.clause, entry.topic) for entry in lost] == [(CLAUSE, topic) for topic in wanted]
    assert "mine.md" in str(lost[0])


def test_a_replacement_that_answers_the_same_is_fine(tmp_path: Path) -> None:
    library = read_library(own(tmp_path / "own", mine=front(CLAUSE, *topics_of(SHIPPED.clauses[CLAUSE]))))
    assert lost_topics(library) == ()
    assert replacement_report(library) == (f"replaced by your own clause: {CLAUSE} (own/mine.md)",)


def test_a_topic_may_move_to_a_clause_that_the_firm_adds(tmp_path: Path) -> None:
    topics = topics_of(SHIPPED.clauses[CLAUSE])
    more = front("firm.more", *topics, after=CLAUSE)
    library = read_library(own(tmp_path / "own", mine=front(CLAUSE), more=more))
    assert lost_topics(library) == ()
    assert "added by you: firm.more (own/more.md)" in replacement_report(library)


def test_labels_of_single_paragraphs_do_not_hide_a_topic() -> None:
    labelled = [c for c in SHIPPED.clauses.values() if any(":" in entry for entry in c.answers)]
    assert labelled
    for clause in labelled:
        assert all(":" not in topic and topic == topic.strip() for topic in topics_of(clause))


@pytest.mark.slow  # lints the whole library twice; make check lints it too
def test_clauses_lint_and_the_shipped_library_say_so(tmp_path: Path) -> None:
    assert lost_topics(SHIPPED) == ()
    done = CliRunner().invoke(app, ["clauses", "lint", "--clauses", str(own(tmp_path / "own", mine=front(CLAUSE)))])
    assert done.exit_code == 2
    assert f"{CLAUSE} no longer answers" in done.output
