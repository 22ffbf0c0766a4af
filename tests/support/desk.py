"""A desk that runs in this process."""

from __future__ import annotations

import socket
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import uvicorn

from msadraft.desk.open_case import OpenCase
from msadraft.desk.pages import desk_app

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
TOKEN = "a-token-of-the-tests"


@dataclass
class RunningDesk:
    """A desk on a port of its own."""

    case: OpenCase
    base: str
    port: int

    @property
    def address(self) -> str:
        return f"{self.base}/open?token={TOKEN}"


def saved(page: Any) -> None:
    """Wait until everything typed has been answered."""
    from playwright.sync_api import expect

    expect(page.locator("#saved")).to_have_text("Saved", timeout=30_000)


def start(folder: Path, port: int = 0) -> tuple[RunningDesk, uvicorn.Server, threading.Thread]:
    listening = socket.socket()
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    listening.bind(("127.0.0.1", port))
    port = listening.getsockname()[1]
    case = OpenCase(folder)
    server = uvicorn.Server(uvicorn.Config(desk_app(case, TOKEN, port), log_level="error", ws="none"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    while not server.started:
        thread.join(0.02)
    return RunningDesk(case, f"http://127.0.0.1:{port}", port), server, thread
