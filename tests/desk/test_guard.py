"""Who may talk to the desk: loopback only, with the token, from its own pages (OWASP on DNS rebinding and CSRF)."""

from __future__ import annotations

import http.client
import os
import re
import stat
from pathlib import Path
from typing import Any

import pytest
from support.desk import TOKEN, RunningDesk

from msadraft.desk.guard import MOST_BYTES


def ask(
    desk: RunningDesk, path: str, method: str = "GET", body: str | None = None, known: bool = True, **headers: str
) -> http.client.HTTPResponse:
    connection = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=20)
    sent = {"Host": f"127.0.0.1:{desk.port}", **{k.replace("_", "-"): v for k, v in headers.items()}}
    if known:
        sent["Cookie"] = f"msadraft-desk-{desk.port}={TOKEN}"
    if body is not None:
        sent.setdefault("Content-Type", "application/x-www-form-urlencoded")
    connection.request(method, path, body, sent)
    return connection.getresponse()


@pytest.fixture
def desk(desks: Any, middle: Path) -> RunningDesk:
    return desks(middle)


def test_the_token_is_traded_for_a_cookie_that_scripts_and_other_sites_cannot_use(desk: RunningDesk) -> None:
    answer = ask(desk, f"/open?token={TOKEN}", known=False)
    assert (answer.status, answer.getheader("Location")) == (303, "/")
    cookie = answer.getheader("Set-Cookie") or ""
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie


@pytest.mark.parametrize("path", ["/open?token=wrong", "/open", "/open?token="])
def test_a_wrong_token_opens_nothing(desk: RunningDesk, path: str) -> None:
    answer = ask(desk, path, known=False)
    assert answer.status == 403
    assert answer.getheader("Set-Cookie") is None


@pytest.mark.parametrize("path", ["/", "/facts/case", "/static/desk.css", "/findings", "/rounds", "/packet"])
def test_nothing_is_shown_without_the_cookie(desk: RunningDesk, path: str) -> None:
    assert ask(desk, path, known=False).status == 403


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:1", "[::1]:80", ""])
def test_a_foreign_name_that_resolves_to_this_computer_is_refused(desk: RunningDesk, host: str) -> None:
    assert ask(desk, "/facts/case", Host=host).status in (400, 421)


@pytest.mark.parametrize("origin", [None, "null", "http://evil.example", "http://127.0.0.1:1", "https://127.0.0.1"])
def test_a_change_must_come_from_a_page_of_the_desk(desk: RunningDesk, origin: str | None) -> None:
    before = desk.case.text
    headers = {} if origin is None else {"Origin": origin}
    body = "path=marriage.separated_on&value=2024-01-01"
    assert ask(desk, "/put", "POST", body, **headers).status == 403
    assert desk.case.text == before
    assert ask(desk, "/put", "POST", body, Origin=desk.base).status == 200
    assert "separated_on: 2024-01-01" in desk.case.text


def test_too_large_a_request_is_refused_before_it_is_read(desk: RunningDesk) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=20)
    connection.putrequest("POST", "/put")
    for name, value in (
        ("Cookie", f"msadraft-desk-{desk.port}={TOKEN}"),
        ("Origin", desk.base),
        ("Content-Length", str(MOST_BYTES + 1)),
    ):
        connection.putheader(name, value)
    connection.endheaders()
    assert connection.getresponse().status == 413


def test_pages_may_load_nothing_from_elsewhere_and_hold_no_script_or_style_of_their_own(desk: RunningDesk) -> None:
    answer = ask(desk, "/facts/parenting")
    policy = answer.getheader("Content-Security-Policy") or ""
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    page = answer.read().decode()
    assert re.findall(r"""(?:src|href|hx-\w+)=["']https?:""", page) == []
    assert re.findall(r"<script(?![^>]*\bsrc=)", page) == []
    assert re.findall(r"""\sstyle=["']|<style""", page) == []
    assert re.findall(r"""\son\w+=["']""", page) == []


@pytest.mark.parametrize(
    "path",
    [
        "/static/../pages.py",
        "/static/%2e%2e/pages.py",
        "/rounds/../case.yaml",
        "/rounds/01/..%2f..%2fcase.yaml",
        "/facts/..%2fcase",
    ],
)
def test_no_path_reaches_outside(desk: RunningDesk, path: str) -> None:
    answer = ask(desk, path)
    assert answer.status in (400, 404)
    assert b"county" not in answer.read()


@pytest.mark.skipif(os.name == "nt", reason="POSIX rights")
def test_what_is_written_is_for_its_owner_alone(desk: RunningDesk) -> None:
    ask(desk, "/put", "POST", "path=marriage.separated_on&value=2024-13-01", Origin=desk.base)
    ask(desk, "/put", "POST", "path=marriage.place&value=Fresno", Origin=desk.base)
    for name in ("case.yaml", "unfinished.json"):
        assert stat.S_IMODE((desk.case.folder / name).stat().st_mode) == 0o600, name


def test_what_is_typed_comes_out_as_text(desk: RunningDesk) -> None:
    ask(desk, "/put", "POST", "path=marriage.place&value=%3Cscript%3Ealert(1)%3C/script%3E", Origin=desk.base)
    page = ask(desk, "/facts/marriage").read().decode()
    assert "&lt;script&gt;alert(1)" in page
    assert "<script>alert" not in page
