"""Make the pictures of the README from the running program: the facts beside the paper, and the two-sided balance."""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from support.desk import SCENARIOS, start

DOCS = Path(__file__).resolve().parents[2] / "docs"


def main() -> None:
    """Write docs/desk-facts.png and docs/desk-property.png."""
    DOCS.mkdir(exist_ok=True)
    program = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    with tempfile.TemporaryDirectory() as name, sync_playwright() as p:
        folder = Path(name)
        shutil.copy(SCENARIOS / "dunmarsh" / "round-3.yaml", folder / "case.yaml")
        desk, server, thread = start(folder)
        browser = p.chromium.launch(executable_path=program, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 860})
        page.goto(desk.address)
        page.goto(f"{desk.base}/facts/marriage")
        page.locator("[data-fact='marriage.separated_on']").fill("2025-02-15")
        page.wait_for_selector("#moved h2")
        page.screenshot(path=DOCS / "desk-facts.png")
        page.goto(f"{desk.base}/balance")
        page.screenshot(path=DOCS / "desk-property.png")
        browser.close()
        server.should_exit = True
        thread.join(5)


if __name__ == "__main__":
    main()
