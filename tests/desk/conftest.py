"""A desk that runs, and a browser in front of it."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from support.desk import SCENARIOS, RunningDesk, start

from msadraft.draft import draft
from msadraft.facts.load import read_case
from msadraft.rounds.store import write_round


@pytest.fixture
def desks() -> Iterator[Any]:
    """Start desks on folders; all are stopped at the end."""
    running = []

    def begin(folder: Path) -> RunningDesk:
        desk, server, thread = start(folder)
        running.append((server, thread))
        return desk

    yield begin
    for server, thread in running:
        server.should_exit = True
        thread.join(5)


@pytest.fixture
def middle(tmp_path: Path) -> Path:
    """The middle case, third round, in a case folder."""
    shutil.copy(SCENARIOS / "dunmarsh" / "round-3.yaml", tmp_path / "case.yaml")
    return tmp_path


@pytest.fixture(scope="session")
def three_rounds(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The middle case after three drafted rounds; not to be changed."""
    folder = tmp_path_factory.mktemp("rounds")
    for n in (1, 2, 3):
        shutil.copy(SCENARIOS / "dunmarsh" / f"round-{n}.yaml", folder / "case.yaml")
        write_round(draft(read_case(folder)), folder)
    return folder


def _bytes_of(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture(scope="session")
def looked_at(three_rounds: Path) -> Iterator[RunningDesk]:
    """A desk on the middle case after three rounds, for tests that only look: they share it, and nothing is written."""
    before = _bytes_of(three_rounds)
    desk, server, thread = start(three_rounds)
    yield desk
    server.should_exit = True
    thread.join(5)
    assert _bytes_of(three_rounds) == before, "a test that only looks has changed the case"


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """The system's Chromium."""
    from playwright.sync_api import sync_playwright

    program = next((p for name in ("chromium", "chromium-browser", "google-chrome") if (p := shutil.which(name))), None)
    if program is None:
        if os.environ.get("MSADRAFT_BROWSER") == "required":
            pytest.fail("Chromium is required and is not installed")
        pytest.skip("Chromium is not installed")
    with sync_playwright() as p:
        browser = p.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def browse(chromium: Any) -> Iterator[Any]:
    """Open a desk in a fresh page; it fails on any script error, console error or foreign request."""
    contexts, wrong = [], []

    def opened(desk: RunningDesk, context: Any = None) -> Any:
        if context is None:
            context = chromium.new_context(viewport={"width": 1280, "height": 900})
            contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: wrong.append(f"script: {error}"))
        page.on("console", lambda said: wrong.append(f"console: {said.text}") if said.type == "error" else None)
        page.on(
            "request", lambda r: None if r.url.startswith((desk.base, "data:")) else wrong.append(f"foreign: {r.url}")
        )
        page.goto(desk.address)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert wrong == []
