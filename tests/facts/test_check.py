"""References between records, and what contradicts itself."""

from __future__ import annotations

from typing import Any

import pytest
from facts.made_up import MINIMAL

from msadraft.facts.check import DAY_PAIRS, REFERENCES, check_facts, check_tree, values_at
from msadraft.facts.load import read_text_case
from msadraft.facts.paths import field_at, leaf_paths
from msadraft.facts.yaml_tree import read_tree

FULL = """\
children:
  wren: {name: {first: Wren, last: Reyes}, accounts: [college_fund]}
  robin: {name: {first: Robin, last: Reyes}}
assets:
  home: {kind: real, label: home, real: {use: family_home}}
  truck: {kind: vehicle, label: truck, vehicle: {loan: truck_loan}}
  college_fund: {kind: account, label: college fund, account: {type: '529', for_child: wren}}
  pension: {kind: retirement, label: pension}
  life: {kind: policy, label: life insurance}
debts:
  truck_loan: {kind: auto, secured_by: truck}
  tuition_loan: {kind: student_loan, education_of_child: wren}
parenting:
  groups: [{children: [wren]}, {children: [robin]}]
  holidays: {wren_birthday: {window: {birthday_of: wren}}}
  summer: {window: {birthday_of: wren}}
child_support:
  per_child: [{child: wren, amount: 500}, {child: robin, amount: 400}]
  security: [{kind: insurance, policy: life}]
  adult: [{child: robin}]
  college: [{child: wren}]
spousal_support:
  to_petitioner: {security: [{kind: insurance, policy: life}]}
  to_respondent: {security: [{kind: insurance, policy: life}]}
reimbursements:
  payments: {kind: other, asset: home}
equalization: {security: {kind: deed_of_trust, asset: home}, from_asset: pension}
taxes: {dependents: [{child: wren, years: even}, {child: wren, years: odd}]}
fees: {from_asset: college_fund}
estate: {kept_designations: [{asset: life}]}
"""
CASE = MINIMAL.replace(
    "county: Kern",
    "county: Kern\n  petition_assets_listed: [home, truck]\n  petition_debts_listed: [truck_loan]\n  joined_plans: [pension]\n"
    "  petition_terms: {assets_to_petitioner: [home], assets_to_respondent: [truck], debts_to_petitioner: [truck_loan], "
    "debts_to_respondent: [truck_loan]}",
)


def full_tree(text: str = CASE + FULL) -> Any:
    return read_tree(text, "case.yaml").tree


def put(tree: Any, path: str, value: str) -> None:
    *groups, last = [int(part) if part.isdecimal() else part for part in path.split(".")]
    for part in groups:
        tree = tree[part]
    tree[last] = value


def test_every_short_name_in_the_models_is_checked() -> None:
    assert {path for path in leaf_paths() if field_at(path).shape.reader == "key"} == set(REFERENCES)
    for target, kinds in REFERENCES.values():
        assert field_at(target).shape.form == "map"
        assert set(kinds) <= set(field_at("assets.*.kind").shape.choices)


def test_a_case_that_uses_every_reference_is_whole() -> None:
    case = read_text_case(CASE + FULL)
    assert all(list(values_at(case.facts.model_dump(), pattern)) for pattern in REFERENCES)
    assert check_facts(case.facts) == ()


@pytest.mark.parametrize("pattern", REFERENCES)
def test_a_reference_to_nothing_is_found(pattern: str) -> None:
    tree = full_tree()
    path, _ = next(values_at(tree, pattern))
    put(tree, path, "nothing")
    (slip,) = check_tree(tree)
    assert slip.path == path
    assert "'nothing' is not a short name" in slip.what


@pytest.mark.parametrize("pattern", [pattern for pattern, (_, kinds) in REFERENCES.items() if kinds])
def test_a_reference_to_the_wrong_kind_is_found(pattern: str) -> None:
    tree = full_tree()
    path, _ = next(values_at(tree, pattern))
    put(tree, path, "truck")
    assert [slip.path for slip in check_tree(tree)] == [path]


def test_a_child_has_one_share_and_one_schedule() -> None:
    again = (
        (CASE + FULL)
        .replace("{child: robin, amount: 400}", "{child: wren, amount: 400}")
        .replace("{children: [robin]}", "{children: [wren]}")
    )
    found = check_tree(full_tree(again))
    assert [slip.path for slip in found] == ["parenting.groups.1.children.0", "child_support.per_child.1.child"]


def test_a_name_twice_in_one_list() -> None:
    tree = full_tree()
    tree["case"]["petition_assets_listed"] = ["home", "home"]
    assert [slip.path for slip in check_tree(tree)] == ["case.petition_assets_listed.1"]


@pytest.mark.parametrize("pair", DAY_PAIRS)
def test_days_of_one_record_in_the_wrong_order(pair: tuple[str, str]) -> None:
    first, last = pair
    parents = [path.rpartition(".")[0] for path in leaf_paths() if path.endswith(f".{first}")]
    parents = [
        path
        for path in parents
        if f"{path}.{last}" in leaf_paths() and field_at(f"{path}.{first}").shape.reader == "day"
    ]
    assert parents
    for parent in parents:
        record: object = {first: "2026-01-02", last: "2026-01-01"}
        for part in reversed(parent.split(".")):
            record = [record] if part == "*" else {part: record}
        assert [slip.path for slip in check_tree(record)] == [f"{parent.replace('*', '0')}.{last}"]


def test_the_same_day_is_in_order() -> None:
    assert (
        check_tree({"spousal_support": {"to_petitioner": {"starts_on": "2026-01-01", "ends_on": "2026-01-01"}}}) == ()
    )


def test_dates_across_records_are_left_to_the_review() -> None:
    assert read_text_case(MINIMAL.replace("2024-01-01", "2001-01-01")).facts.marriage.separated_on.year == 2001


@pytest.mark.parametrize(
    "tree",
    [
        None,
        "x",
        [],
        {"assets": []},
        {"assets": {"a": "x"}},
        {"case": {"joined_plans": "x"}},
        {"assets": {"a": {"kind": []}}},
    ],
)
def test_trees_of_the_wrong_shape_are_passed_over(tree: object) -> None:
    assert check_tree(tree) == ()
