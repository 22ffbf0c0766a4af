"""A document that goes out, is edited elsewhere, and comes back: the whole way through the pages, in Chromium."""

from __future__ import annotations

import base64
import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect
from rounds import edits
from support.desk import SCENARIOS, RunningDesk

from msadraft.draft import draft
from msadraft.facts.load import read_case
from msadraft.rounds.store import write_round

pytestmark = pytest.mark.browser

DOCX = "application/vnd.openxmlformats-officedocument.wordprocessingml.document"
DROP = """([data, name, type]) => {
  const bytes = Uint8Array.from(atob(data), (sign) => sign.charCodeAt(0));
  const given = new DataTransfer();
  given.items.add(new File([bytes], name, { type }));
  const at = document.querySelector(".drop");
  for (const kind of ["dragover", "drop"]) {
    at.dispatchEvent(new DragEvent(kind, { bubbles: true, cancelable: true, dataTransfer: given }));
  }
}"""


def drop(page: Any, content: bytes, name: str, kind: str = DOCX) -> None:
    page.evaluate(DROP, [base64.b64encode(content).decode(), name, kind])


def edited(document: bytes) -> bytes:
    """Another amount of child support, and other words at the end of the first paragraph."""
    root = edits.body_of(document)
    amount = next(t for t in root.iter(edits.W + "t") if "($1,418.29)" in (t.text or ""))
    amount.text = "one thousand five hundred dollars ($1,500.00)"
    first = next(
        p for p in root.iter(edits.W + "p")
        if edits.style(p) in edits.NUMBERED and "This agreement is between" in "".join(p.itertext())
    )  # fmt: skip
    list(first.iter(edits.W + "t"))[-1].text = ", as far as the law allows."
    return edits.with_body(document, root)


def downloaded(page: Any, desk: Any, tmp_path: Path) -> bytes:
    """Draft the round on its page and save the document."""
    page.goto(f"{desk.base}/rounds")
    page.get_by_role("button", name="Draft").first.click()
    link = page.locator("a[href='/rounds/1/agreement.docx']").first
    expect(link).to_be_attached(timeout=30_000)
    with page.expect_download() as found:
        link.click()
    found.value.save_as(tmp_path / "out.docx")
    return (tmp_path / "out.docx").read_bytes()


@pytest.mark.parametrize("way", ["choose", "drop"])
def test_one_difference_is_accepted_and_one_is_left(
    desks: Any, browse: Any, middle: Path, tmp_path_factory: Any, way: str
) -> None:
    desk = desks(middle)
    page = browse(desk)
    before = (middle / "case.yaml").read_text()
    away = tmp_path_factory.mktemp("away")
    sent = downloaded(page, desk, away)
    assert sent == (middle / "rounds" / "01" / "agreement.docx").read_bytes()
    (away / "back.docx").write_bytes(edited(sent))

    page.goto(f"{desk.base}/takein")
    if way == "choose":
        page.locator("#document").set_input_files(away / "back.docx")
        page.get_by_role("button", name="Read the document").click()
    else:
        drop(page, (away / "back.docx").read_bytes(), "back.docx")
    expect(page.locator("#decide")).to_be_visible(timeout=30_000)
    assert (middle / "case.yaml").read_text() == before
    decisions = page.locator("ul.decisions li")
    assert decisions.count() == 2
    amount = decisions.filter(has_text="child_support.amount")
    words = decisions.filter(has_text="as far as the law allows")
    assert "1,500.00" in " ".join(amount.locator("ins").all_inner_texts())
    amount.get_by_role("checkbox").check()
    words.get_by_role("checkbox").uncheck()
    page.get_by_role("button", name="Apply what is accepted").click()
    expect(page.locator(".done")).to_contain_text("Taken in.", timeout=30_000)

    after = (middle / "case.yaml").read_text()
    old, new = before.splitlines(), after.splitlines()
    assert len(old) == len(new)
    changed = [(one, other) for one, other in zip(old, new, strict=True) if one != other]
    assert len(changed) == 1
    assert "amount:" in changed[0][0]
    assert "1418.29" in changed[0][0].replace(",", "")
    assert "1500" in changed[0][1].replace(",", "")
    assert str(read_case(middle).facts.child_support.amount) == "1500.00"
    assert not (middle / "wording.yaml").exists()
    # what was left is listed, on the page and in the report beside the case
    assert "as far as the law allows" in page.locator(".leftovers").first.inner_text()
    reports = list((middle / "takein").glob("*.json")) + list((middle / "takein").glob("*.md"))
    assert any("as far as the law allows" in report.read_text(encoding="utf-8") for report in reports)
    # the paper on the desk has the new amount, the round that went out is untouched
    page.goto(f"{desk.base}/agreement")
    assert "$1,500.00" in page.locator("#sheet").inner_text()
    assert (middle / "rounds" / "01" / "agreement.docx").read_bytes() == sent


def test_a_document_of_another_case_is_refused_and_nothing_is_written(
    desks: Any, browse: Any, middle: Path, tmp_path_factory: Any
) -> None:
    other = tmp_path_factory.mktemp("other")
    shutil.copy(SCENARIOS / "marrowby" / "round-1.yaml", other / "case.yaml")
    write_round(draft(read_case(other)), other)
    mark = json.loads((other / "rounds" / "01" / "manifest.json").read_text())["mark"]
    desk = desks(middle)
    page = browse(desk)
    page.goto(f"{desk.base}/takein")
    before = sorted((p.name, p.read_bytes()) for p in middle.iterdir() if p.is_file())
    drop(page, (other / "rounds" / "01" / "agreement.docx").read_bytes(), "theirs.docx")
    refused = page.get_by_role("alert")
    expect(refused).to_contain_text("belongs to another case", timeout=30_000)
    expect(refused).to_contain_text(f"theirs.docx: the document came from “{mark}”")
    assert page.locator("#decide").count() == 0
    assert sorted((p.name, p.read_bytes()) for p in middle.iterdir() if p.is_file()) == before


def test_a_file_that_misses_its_place_does_not_take_the_page_away(browse: Any, looked_at: RunningDesk) -> None:
    page = browse(looked_at)
    page.goto(f"{looked_at.base}/takein")
    stopped = page.evaluate(
        """() => { const given = new DataTransfer(); given.items.add(new File(["x"], "x.txt"));
        const drop = new DragEvent("drop", { bubbles: true, cancelable: true, dataTransfer: given });
        document.body.dispatchEvent(drop); return drop.defaultPrevented; }"""
    )
    assert stopped


@pytest.mark.parametrize("way", ["choose", "drop"])
def test_a_sheet_is_looked_at_then_added_and_taken_back_by_one_undo(
    desks: Any, browse: Any, middle: Path, tmp_path_factory: Any, way: str
) -> None:
    import openpyxl

    file = tmp_path_factory.mktemp("sheet") / "assets.xlsx"
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (["Short name", "Kind", "Label", "Value"], ["boat", "vehicle", "the boat", 12000], [None, "vehicle", "the kayak", "lots"]):  # fmt: skip
        sheet.append(row)
    book.save(file)
    desk = desks(middle)
    page = browse(desk)
    before = desk.case.text
    page.goto(f"{desk.base}/facts/assets")
    page.locator("details.paste summary").click()
    if way == "choose":
        page.locator(".paste input[type=file]").set_input_files(file)
    else:
        drop(page, file.read_bytes(), "assets.xlsx", "")
    look = page.locator(".look")
    expect(look).to_contain_text("2 entries to add")
    expect(look).to_contain_text("Row 3, Value: “lots”")
    assert desk.case.text == before
    # what stands in the box can still be changed, and is looked at again
    box = page.locator(".paste textarea")
    box.fill(box.input_value().replace("lots", "900"))
    page.get_by_role("button", name="Look at these rows first").click()
    expect(look).not_to_contain_text("lots")
    # a second file does not push out what stands there
    page.locator(".paste input[type=file]").set_input_files(file)
    expect(page.locator("#told")).to_contain_text("There are rows in the box already")
    assert "900" in page.locator(".paste textarea").input_value()
    with page.expect_navigation():
        page.get_by_role("button", name="Add these rows").click()
    assert desk.case.unfinished == {}
    assert read_case(middle).facts.assets["kayak"].value == 900
    with page.expect_navigation():
        page.locator("#undo").click()
    assert desk.case.text == before
    expect(page.locator("#told")).to_contain_text("Undone: Assets")
