"""The JSON Schema takes and refuses what the loader does, as far as a schema can see it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from facts.made_up import MINIMAL, trees, without_dangling
from hypothesis import HealthCheck, given, settings
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML

from msadraft.facts.base import Record
from msadraft.facts.load import read_text_case
from msadraft.facts.paths import ROOT, fields_of
from msadraft.facts.problems import FactsError
from msadraft.facts.schema import json_schema, write_schema

VALIDATOR = Draft202012Validator(json_schema())


def as_editor(text: str) -> Any:
    """The text as a YAML 1.2 reader types it, as editors do; dates are text there."""
    reader = YAML(typ="safe", pure=True)
    return json.loads(json.dumps(reader.load(text), default=str))


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(json_schema())


TAKEN = [
    "",
    "children:\n",
    "children: {wren: {name: {first: Wren, last: 7}, of_both: no, born_on: 2015-04-01, due_on: }}\n",
    "child_support: {amount: 1850, payer: petitioner, declarations: {informed: true, no_coercion: 'Yes'}}\n",
    "child_support: {amount: '1,850.00'}\n",
    "child_support: {amount: 1850.5, guideline_inputs: {petitioner_time_percent: 35.71, respondent_time_percent: 64.29 %}}\n",
    "parenting: {pattern: 2255, handover_time: 18:00, reply_hours: 010, weekend_numbers: [1, 3]}\n",
    "parenting: {pattern: '223'}\n",
    "assets: {savings: {kind: account, label: Savings, last_four: 0042, account: {type: 529}}}\n",
    "estate:\n  waiver: none\n",
    "taxes: {joint_years: [2022, '2023'], filing: [{year: 2024, status: joint}]}\n",
    "negotiation: {round: 1, changes: [{path: child_support.amount, old: 1, new: 2, on: 2026-01-01}]}\n",
]

REFUSED = [
    "foo: 1\n",
    "children: []\n",
    "children: {Wren: {name: {first: Wren, last: Reyes}}}\n",
    "children: {wren: }\n",
    "children: {wren: {name: {first: Wren}}}\n",
    "children: {wren: {name: {first: Wren, last: }}}\n",
    "child_support: {payer: mother}\n",
    "child_support: {amount: lots}\n",
    "child_support: {amount: [1]}\n",
    "child_support: {amount: '1,85'}\n",
    "child_support: {declarations: {informed: maybe}}\n",
    "parenting: {handover_time: 6 pm}\n",
    "parenting: {pattern: 2256}\n",
    "parenting: {reply_hours: -1}\n",
    "parenting: {reply_hours: 1.5}\n",
    "equalization: {note: {rate: 101}}\n",
    "assets: {savings: {kind: account, label: Savings, last_four: 12345}}\n",
    "assets: {savings: {kind: account, label: ' '}}\n",
    "notices: {methods: mail}\n",
    "notices: {methods: [mail, fax]}\n",
    "fees: none\n",
    "parenting: {cycle_start: 6/1/2026}\n",
]


@pytest.mark.parametrize("extra", TAKEN)
def test_taken_by_both(extra: str) -> None:
    read_text_case(MINIMAL + extra)
    VALIDATOR.validate(as_editor(MINIMAL + extra))


@pytest.mark.parametrize("extra", REFUSED)
def test_refused_by_both(extra: str) -> None:
    with pytest.raises(FactsError):
        read_text_case(MINIMAL + extra)
    assert not VALIDATOR.is_valid(as_editor(MINIMAL + extra))


@pytest.mark.parametrize("line", ["  county: Kern\n", "  path: response_filed\n", "  married_on: 2010-05-01\n"])
def test_a_needed_fact_that_is_empty_or_gone(line: str) -> None:
    for text in (MINIMAL.replace(line, ""), MINIMAL.replace(line, line.partition(":")[0] + ":\n")):
        with pytest.raises(FactsError):
            read_text_case(text)
        assert not VALIDATOR.is_valid(as_editor(text))


@settings(deadline=None, max_examples=40, suppress_health_check=list(HealthCheck))
@given(trees(ROOT))
def test_what_the_loader_takes_the_schema_takes(tree: dict[str, Any]) -> None:
    text = yaml.safe_dump(without_dangling(tree), allow_unicode=True)
    read_text_case(text)
    VALIDATOR.validate(tree)


def test_every_fact_is_described_with_its_privacy() -> None:
    schema = json_schema()

    def check(record: type[Record], properties: dict[str, Any]) -> None:
        assert list(properties) == list(fields_of(record))
        for name, found in fields_of(record).items():
            assert properties[name]["x-privacy"] == found.privacy
            assert properties[name]["description"].startswith(found.says)
            inner = found.shape
            while inner.item is not None:
                inner = inner.item
            if inner.record is not None:
                check(inner.record, schema["$defs"][inner.record.__name__]["properties"])

    assert ROOT.record is not None
    check(ROOT.record, schema["properties"])


def test_writing_it(tmp_path: Path) -> None:
    write_schema(tmp_path / "case.schema.json")
    assert json.loads((tmp_path / "case.schema.json").read_text(encoding="utf-8")) == json_schema()
