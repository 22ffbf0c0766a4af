"""What is typed while the desk cannot save stays on the page, and is saved as soon as it can be."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect
from support.desk import saved, start

from msadraft.desk.asks import anchor
from msadraft.facts.load import read_case

pytestmark = pytest.mark.browser

HOLDER = """
import sys
from pathlib import Path
from msadraft.rounds.lock import writing
with writing(Path(sys.argv[1])):
    print("held", flush=True)
    sys.stdin.read()
"""
PLACE = anchor("marriage.place")


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the lock of the case in another process."""
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as holder:
        assert holder.stdout is not None
        assert holder.stdin is not None
        assert holder.stdout.readline().strip() == "held"
        yield
        holder.stdin.close()
        holder.wait(10)


def test_while_another_program_writes_to_the_case_nothing_typed_is_lost(desks: Any, browse: Any, middle: Path) -> None:
    desk = desks(middle)
    page = browse(desk)
    page.goto(f"{desk.base}/facts/marriage")
    with locked(middle):
        page.locator(f"#{PLACE}").fill("Fresno, California")
        expect(page.locator("#saved")).to_have_text("Not saved yet. Your text is still here.", timeout=10_000)
        expect(page.locator("#told")).to_contain_text("another msadraft")
        page.locator(f"#{PLACE}").press_sequentially(" (county)")
        assert "Fresno" not in (middle / "case.yaml").read_text()
        assert page.locator(f"#{PLACE}").input_value() == "Fresno, California (county)"
        # leaving waits too
        page.get_by_role("link", name="Findings").click()
        expect(page.locator("#saved")).to_contain_text("Not saved yet", timeout=10_000)
        assert page.url.endswith("/facts/marriage")
    page.wait_for_url("**/findings", timeout=15_000)
    assert read_case(middle).facts.marriage.place == "Fresno, California (county)"
    page.goto(f"{desk.base}/facts/marriage")
    expect(page.locator("#told")).to_have_text("")


def test_while_the_desk_does_not_answer_nothing_typed_is_lost(chromium: Any, middle: Path) -> None:
    desk, server, thread = start(middle)
    page = chromium.new_page()
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.goto(desk.address)
    page.goto(f"{desk.base}/facts/marriage")
    server.should_exit = True
    thread.join(10)
    assert not thread.is_alive()
    page.locator(f"#{PLACE}").fill("Fresno, California")
    said = "Not saved yet: the desk does not answer. Your text is still here."
    expect(page.locator("#saved")).to_have_text(said, timeout=10_000)
    page.locator(f"#{anchor('marriage.separated_on')}").fill("2025-02-15")
    page.wait_for_event("requestfailed", timeout=10_000)  # one more try of the page
    expect(page.locator("#saved")).to_have_text(said, timeout=10_000)
    page.get_by_role("button", name="Show every fact").click()
    assert page.locator(f"#{PLACE}").input_value() == "Fresno, California"
    assert "Fresno" not in (middle / "case.yaml").read_text()
    again, second, other = start(middle, desk.port)
    saved(page)
    facts = read_case(middle).facts.marriage
    assert (facts.place, facts.separated_on.isoformat()) == ("Fresno, California", "2025-02-15")
    assert again.case.unfinished == {}
    assert page.locator("#sheet").inner_text().count("Fresno") >= 1
    page.close()
    second.should_exit = True
    other.join(10)
    assert wrong == []


def test_a_press_that_the_desk_does_not_answer_is_said(chromium: Any, middle: Path) -> None:
    desk, server, thread = start(middle)
    page = chromium.new_page()
    page.goto(desk.address)
    page.goto(f"{desk.base}/facts/assets")
    server.should_exit = True
    thread.join(10)
    page.get_by_role("button", name="Remove The 2022 SUV").click()
    expect(page.locator("#told")).to_have_text("Not done: the desk does not answer. Nothing was changed.")
    assert "suv" in read_case(middle).facts.assets
    page.close()
