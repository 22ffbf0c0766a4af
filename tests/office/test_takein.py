"""A document that an office suite opened and saved comes back as well: numbers, bookmarks and tracked changes read alike."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType

import pytest
from rounds import edits, trips
from support.effort import examples
from support.scenarios import ROUNDS, drafted

from msadraft.rounds.intake.guard import open_bytes
from msadraft.rounds.intake.read import read_document, read_parts
from msadraft.rounds.intake.takein import take_in
from msadraft.rounds.verify import read_map, verify
from msadraft.writers.paragraph_map import write_json

pytestmark = pytest.mark.office
FIRST = [*range(1000, 1007), 1019, *range(1008, 1012)]
"""One script for each round of each scenario, with every kind of edit between them."""
MORE = [seed for seed in range(1000, 1036) if seed not in FIRST] if examples(0, 1) else []
BATCHES = [FIRST, *(pytest.param(MORE[n : n + 12], marks=pytest.mark.slow) for n in range(0, len(MORE), 12))]


def _saved_again(suite: ModuleType, folder: Path, documents: list[bytes]) -> list[bytes]:
    paths = []
    for n, document in enumerate(documents):
        path = folder / f"edited-{n}.docx"
        path.write_bytes(document)
        paths.append(path)
    out = folder / "saved"
    out.mkdir()
    return [p.read_bytes() for p in suite.convert(paths, out, "docx:MS Word 2007 XML", "docx", seconds=300)]


def test_a_document_saved_by_an_office_suite_has_no_difference(suite: ModuleType, tmp_path: Path) -> None:
    cases = [(drafted(name, n), n) for name, n in ROUNDS[1::3]]
    for (found, n), saved in zip(
        cases, _saved_again(suite, tmp_path, [trips.document_of(f, n) for f, n in cases]), strict=True
    ):
        taken = take_in(found, saved, "saved.docx")
        assert taken.edits == 0
        file = tmp_path / "map.json"
        file.write_bytes(write_json(found.map(f"Round {n}")))
        assert verify(read_parts(open_bytes(saved, "saved.docx"), "saved.docx"), read_map(file)).agrees


@pytest.mark.parametrize("batch", BATCHES)
def test_edits_saved_by_an_office_suite_are_told_and_come_out(
    batch: list[int], suite: ModuleType, tmp_path: Path
) -> None:
    """One script a round, and two more with MSADRAFT_THOROUGH=1."""
    made = []
    for seed in batch:
        name, n = ROUNDS[seed % len(ROUNDS)]
        document, script = edits.generated(trips.document_of(drafted(name, n), n), seed)
        made.append((seed, name, n, document, script))
    assert len({kind for *_, script in made for kind, _ in script.told}) > 11, "few kinds of edits were tried"
    saved = _saved_again(suite, tmp_path, [document for *_, document, _ in made])
    wrong = {}
    for (seed, name, n, _, script), document in zip(made, saved, strict=True):
        problems = trips.finish(drafted(name, n), n, document, script).problems
        if problems:
            wrong[seed] = problems
    assert wrong == {}


def test_numbers_read_from_a_saved_document_are_those_the_suite_shows(suite: ModuleType, tmp_path: Path) -> None:
    for name, n in (("dunmarsh", 2), ("fennick", 2)):
        found = drafted(name, n)
        document, script = edits.generated(trips.document_of(found, n), 4)
        assert script.tracked == 0, "while changes are open a suite counts deleted paragraphs too"
        path = tmp_path / f"{name}.docx"
        path.write_bytes(document)
        shown = suite.labels(path)
        read = {bookmark: par for par in read_document(path).pars for bookmark in par.names}
        common = [b for b in read if b in shown]
        assert len(common) > 300
        wrong = {
            b: (shown[b], read[b].shown) for b in common if shown[b] != (read[b].shown.label if read[b].shown else "")
        }
        assert wrong == {}
