"""Only some differences of an edited document are taken in; the others stay as drafted and are told."""

from __future__ import annotations

from functools import cache
from random import Random

import pytest
from rounds import edits, trips
from support.scenarios import ROUNDS, drafted

from msadraft.agreement.negotiated import flatten, node_index, wording_hash, words
from msadraft.draft import Draft
from msadraft.rounds.intake.choose import Difference, differences
from msadraft.rounds.intake.guard import IntakeError
from msadraft.rounds.intake.report import TakenIn, report_data, report_files
from msadraft.rounds.intake.takein import take_in

SEEDS = [*range(12), *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(12, 24))]
"""Each round of each scenario once, and between them every kind of difference; the slow ones are more of the same."""


@cache
def edited(seed: int) -> tuple[Draft, bytes, str]:
    name, n = ROUNDS[seed % len(ROUNDS)]
    found = drafted(name, n)
    document, script = edits.generated(trips.document_of(found, n), seed)
    return found, document, script.mode


def taken_in(seed: int, leave: set[str]) -> TakenIn:
    found, document, mode = edited(seed)
    return take_in(found, document, "edited.docx", mode, leave)  # type: ignore[arg-type]


@pytest.mark.parametrize("seed", SEEDS)
def test_without_any_difference_nothing_is_written_and_a_part_comes_out_as_if_only_it_were_edited(seed: int) -> None:
    whole = taken_in(seed, set())
    every = differences(whole)
    assert every
    left = taken_in(seed, {one.key for one in every})
    assert (left.case_text, left.wording_text) == (None, None)
    assert differences(left) == ()
    assert sum("by choice" in one.what for one in left.leftovers) == sum(len(one.pieces) for one in every)

    found = edited(seed)[0]
    leave = {one.key for one in every if Random(f"{seed} {one.key}").random() < 0.5}
    part = taken_in(seed, leave)
    assert {one.key for one in differences(part)} == {one.key for one in every} - leave
    after, full = trips.redrafted(found, part), trips.redrafted(found, whole)
    for one in every:
        assert _is_as_meant(one, one.key in leave, found, after, full), one.key


def _is_as_meant(one: Difference, left: bool, found: Draft, after: Draft, full: Draft) -> bool:
    kind, _, name = one.key.partition(" ")
    nodes = dict(node_index(after.agreement))
    meant = dict(node_index((found if left else full).agreement))
    match kind:
        case "fact":
            old, now, new = (_fact(one_draft, name) for one_draft in (found, after, full))
            return now == (old if left else new) and old != new
        case "new":
            return (name in nodes) != left
        case "out":
            return (name in nodes) == left
        case "words":
            return name not in nodes or wording_hash(nodes[name]) == wording_hash(meant[name])
        case _:
            return not left or _before(after, name, found) == _before(found, name, found)


def _fact(draft: Draft, path: str) -> str:
    value: object = draft.case.facts
    for part in path.split("."):
        value = value[int(part)] if isinstance(value, list | tuple) else value[part] if isinstance(value, dict) else getattr(value, part)  # fmt: skip
    return str(value)


def _before(draft: Draft, name: str, found: Draft) -> bool:
    """Whether a node that was not moved still stands behind the nodes of its own clause that stood before it."""
    order = [entry.id for entry in flatten(draft.agreement)]
    was = [entry.id for entry in flatten(found.agreement)]
    section = next(entry.id for entry in reversed(flatten(found.agreement)[: was.index(name) + 1]) if entry.depth == -1)
    return name in order and (section not in order or order.index(section) <= order.index(name))


def test_a_fact_that_stays_keeps_its_value_in_words_that_are_taken() -> None:
    found = drafted("dunmarsh", 3)
    document = trips.document_of(found, 3)
    root = edits.body_of(document)
    amount = next(t for t in root.iter(edits.W + "t") if "($1,418.29)" in (t.text or ""))
    amount.text = "one thousand five hundred dollars ($1,500.00)"
    line = next(p for p in amount.iterancestors(edits.W + "p"))
    last = list(line.iter(edits.W + "t"))[-1]
    last.text = f"{(last.text or '').rstrip('. ')}, without any deduction."
    content = edits.with_body(document, root)
    fact, wording = differences(take_in(found, content, "edited.docx"))
    assert (fact.key, wording.key.split(" ")[0]) == ("fact child_support.amount", "words")
    part = take_in(found, content, "edited.docx", leave={fact.key})
    assert part.case_text is None
    now = words(dict(node_index(trips.redrafted(found, part).agreement))[wording.key.split(" ")[1]])
    assert "($1,418.29)" in now
    assert "without any deduction" in now
    assert part.follows == []


def test_an_unknown_difference_is_refused() -> None:
    with pytest.raises(IntakeError, match="there is no such difference any more"):
        taken_in(0, {"fact case.nothing"})


def test_the_report_files_hold_what_was_left() -> None:
    every = differences(taken_in(1, set()))
    part = taken_in(1, {every[0].key})
    files = report_files(part, b"the document")
    text, data = sorted(files, key=lambda name: name.endswith(".json"))
    assert text.startswith("round-")
    assert "not taken in, by choice" in files[text].decode()
    assert len(report_data(part)["leftovers"]) == files[data].decode().count('"what"')
