"""The paper and the way back by keyboard alone, in Chromium: arrow keys, Enter, undo and redo."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect
from support.desk import RunningDesk, saved

from msadraft.desk.asks import anchor

pytestmark = pytest.mark.browser

ACTIVE = "document.activeElement"
STOPS = "#sheet [data-stop]"


def into_the_paper(page: Any) -> None:
    """From the top of the page by the second skip link."""
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    assert page.evaluate(f"{ACTIVE}.textContent") == "Skip to the agreement"
    page.keyboard.press("Enter")
    assert page.evaluate(f"{ACTIVE}.matches('{STOPS}')")


def step_to(page: Any, key: str, test: str, most: int = 120) -> None:
    for _ in range(most):
        if page.evaluate(test):
            return
        page.keyboard.press(key)
    raise AssertionError(f"{key} never came to {test}")


@pytest.mark.parametrize("path", ["/facts/marriage", "/agreement"])
def test_the_paper_is_one_stop_of_the_tab_key(browse: Any, looked_at: RunningDesk, path: str) -> None:
    page = browse(looked_at)
    page.goto(looked_at.base + path)
    inside = page.evaluate(
        "[...document.querySelectorAll('#sheet *')].filter((e) => e.tabIndex >= 0 && !e.matches('.scroll')).length"
    )
    assert inside == 1
    assert page.locator(STOPS).count() > 200
    into_the_paper(page)
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    here = page.evaluate(f"{ACTIVE}.textContent")
    page.keyboard.press("Shift+Tab")
    assert not page.evaluate(f"Boolean({ACTIVE}.closest('#sheet'))")
    page.keyboard.press("Tab")
    # one comes back to where one was
    assert page.evaluate(f"{ACTIVE}.textContent") == here


def test_from_a_value_to_its_fact(browse: Any, looked_at: RunningDesk) -> None:
    page = browse(looked_at)
    page.goto(f"{looked_at.base}/facts/case")
    into_the_paper(page)
    step_to(page, "ArrowDown", f"{ACTIVE}.closest('p')?.textContent.includes('Dates of the marriage')")
    step_to(page, "ArrowRight", f"{ACTIVE}.dataset.source === 'marriage.separated_on'")
    shown = page.evaluate(
        f"(() => {{ const s = getComputedStyle({ACTIVE}); return [s.outlineStyle, parseFloat(s.outlineWidth)]; }})()"
    )
    assert shown[0] == "solid"
    assert shown[1] >= 2
    seen = page.evaluate(f"(() => {{ const r = {ACTIVE}.getBoundingClientRect(); return r.top >= 0 && r.bottom <= innerHeight; }})()")  # fmt: skip
    assert seen
    assert page.evaluate(f"{ACTIVE}.getAttribute('role')") == "link"
    assert page.locator("#keys").bounding_box()["height"] > 10
    page.keyboard.press("Enter")
    page.wait_for_url("**/facts/marriage#*")
    assert page.evaluate(f"{ACTIVE}.id") == anchor("marriage.separated_on")


def test_from_a_paragraph_to_its_why_and_back(browse: Any, looked_at: RunningDesk) -> None:
    page = browse(looked_at)
    page.goto(f"{looked_at.base}/facts/case")
    into_the_paper(page)
    step_to(page, "ArrowDown", f"{ACTIVE}.closest('p')?.textContent.includes('Dates of the marriage')")
    number = page.evaluate(f"{ACTIVE}.textContent").strip()
    assert page.evaluate(f"{ACTIVE}.getAttribute('role')") == "button"
    page.keyboard.press("Enter")
    page.wait_for_selector("#why h2")
    expect(page.locator("#why")).to_be_focused()
    assert f"Why paragraph {number} is here" in page.inner_text("#why")
    assert "recital.marriage_dates" in page.inner_text("#why")
    page.keyboard.press("Escape")
    assert not page.locator("#why").is_visible()
    assert page.evaluate(f"{ACTIVE}.textContent").strip() == number
    # parts without a number have a mark of their own
    page.keyboard.press("End")
    step_to(page, "ArrowUp", f"{ACTIVE}.matches('.whymark')", 400)
    page.keyboard.press("Enter")
    page.wait_for_function("document.getElementById('why').textContent.includes('Clause')")


def test_a_screen_reader_hears_buttons_and_links_with_names(browse: Any, looked_at: RunningDesk) -> None:
    """What Chromium's accessibility tree says of the paper."""
    page = browse(looked_at)
    page.goto(f"{looked_at.base}/facts/marriage")
    sheet = page.get_by_role("group", name="The agreement")
    expect(sheet).to_have_accessible_description("Keys: ↑ ↓ from paragraph to paragraph, ← → from value to value, Enter for the fact of a value or the reason of a paragraph.")  # fmt: skip
    expect(sheet.get_by_role("button", name="1.3", exact=True)).to_have_accessible_description("Why it is here")
    expect(sheet.get_by_role("link", name="Carmel Valley, California").first).to_have_accessible_description("Goes to its fact")  # fmt: skip


def test_what_is_swapped_can_be_walked_too(desks: Any, browse: Any, middle: Path) -> None:
    desk = desks(middle)
    page = browse(desk)
    page.goto(f"{desk.base}/facts/marriage")
    page.locator(f"#{anchor('marriage.separated_on')}").fill("2025-02-15")
    saved(page)
    page.wait_for_selector("#sheet .changed")
    value = page.locator("#sheet .changed [data-source='marriage.separated_on']").first
    assert value.get_attribute("role") == "link"
    assert page.locator(f"{STOPS}[tabindex='0']").count() == 1


def test_undo_stays_on_the_page_and_says_what_was_undone(desks: Any, browse: Any, middle: Path) -> None:
    desk = desks(middle)
    page = browse(desk)
    page.goto(f"{desk.base}/facts/marriage")
    page.locator(f"#{anchor('marriage.place')}").fill("Fresno, California")
    saved(page)
    page.goto(f"{desk.base}/findings")
    page.locator("#undo").focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert page.url.startswith(f"{desk.base}/findings")
    expect(page.locator("#told")).to_have_text("Undone: Marriage › Place, which now reads “Carmel Valley, California”.")
    expect(page.locator("#redo")).to_be_focused()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert page.url.startswith(f"{desk.base}/findings")
    expect(page.locator("#told")).to_contain_text("Done again: Marriage › Place")
    page.locator("#told a").click()
    page.wait_for_url("**/facts/marriage#*")
    # nothing is said any more once something else was changed
    page.locator(f"#{anchor('marriage.place')}").fill("Napa")
    saved(page)
    page.goto(f"{desk.base}/findings?now={desk.case.version - 1}")
    expect(page.locator("#told")).to_have_text("")


def test_undo_keeps_the_place_in_a_long_page_and_what_was_opened(desks: Any, browse: Any, middle: Path) -> None:
    desk = desks(middle)
    page = browse(desk)
    page.goto(f"{desk.base}/facts/parenting")
    page.locator("#show-all").click()
    page.locator(f"#{anchor('parenting.reply_hours')}").fill("47")
    saved(page)
    at = page.evaluate("scrollY")
    assert at > 500
    page.evaluate("document.activeElement.blur()")
    with page.expect_navigation():
        page.keyboard.press("Control+Z")
    expect(page.locator("#told")).to_contain_text("Undone: Parenting › Reply hours")
    assert abs(page.evaluate("scrollY") - at) < 60
    assert page.locator("#show-all").get_attribute("aria-pressed") == "true"


def test_undo_of_a_new_entry_goes_from_its_page_to_the_list(desks: Any, browse: Any, middle: Path) -> None:
    desk = desks(middle)
    page = browse(desk)
    page.goto(f"{desk.base}/facts/assets")
    page.locator("form.add input[name=key]").fill("boat")
    with page.expect_navigation():
        page.locator("form.add button").click()
    assert page.url.startswith(f"{desk.base}/facts/assets.boat")
    with page.expect_navigation():
        page.locator("#undo").click()
    assert page.url.partition("?")[0] == f"{desk.base}/facts/assets"
    assert "boat" not in desk.case.tree["assets"]
