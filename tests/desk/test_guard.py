"""Who may talk to the desk: loopback only, with the token, from its own pages (OWASP on DNS rebinding and CSRF)."""

from __future__ import annotations

import http.client
import os
import re
import socket
import stat
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from support.desk import SCENARIOS, TOKEN, RunningDesk, start

from msadraft.desk import serve as serving
from msadraft.desk.guard import MOST_BYTES
from msadraft.desk.open_case import OpenCase


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


@pytest.fixture(scope="module")
def shut(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningDesk]:
    """A desk for what is refused or only shown: the tests share it, and nothing of it may have changed at the end."""
    folder = tmp_path_factory.mktemp("guard") / "case"
    folder.mkdir()
    facts = (SCENARIOS / "dunmarsh" / "round-3.yaml").read_bytes()
    (folder / "case.yaml").write_bytes(facts)
    desk, server, thread = start(folder)
    yield desk
    server.should_exit = True
    thread.join(5)
    assert (folder / "case.yaml").read_bytes() == facts
    assert {p.name for p in folder.iterdir() if not p.name.startswith(".")} == {"case.yaml"}
    assert [p.name for p in folder.parent.iterdir()] == ["case"]
    assert desk.case.unfinished == {}
    assert desk.case.undo_steps == []


def test_the_token_is_traded_for_a_cookie_that_scripts_and_other_sites_cannot_use(desk: RunningDesk) -> None:
    answer = ask(desk, f"/open?token={TOKEN}", known=False)
    assert (answer.status, answer.getheader("Location")) == (303, "/")
    cookie = answer.getheader("Set-Cookie") or ""
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie


@pytest.mark.parametrize("path", ["/open?token=wrong", "/open", "/open?token="])
def test_a_wrong_token_opens_nothing(shut: RunningDesk, path: str) -> None:
    answer = ask(shut, path, known=False)
    assert answer.status == 403
    assert answer.getheader("Set-Cookie") is None


@pytest.mark.parametrize("path", ["/", "/facts/case", "/static/desk.css", "/findings", "/rounds", "/packet"])
def test_nothing_is_shown_without_the_cookie(shut: RunningDesk, path: str) -> None:
    assert ask(shut, path, known=False).status == 403


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:1", "[::1]:80", ""])
def test_a_foreign_name_that_resolves_to_this_computer_is_refused(shut: RunningDesk, host: str) -> None:
    assert ask(shut, "/facts/case", Host=host).status in (400, 421)


@pytest.mark.parametrize("origin", [None, "null", "http://evil.example", "http://127.0.0.1:1", "https://127.0.0.1"])
def test_a_change_must_come_from_a_page_of_the_desk(desk: RunningDesk, origin: str | None) -> None:
    before = desk.case.text
    headers = {} if origin is None else {"Origin": origin}
    body = "path=marriage.separated_on&value=2024-01-01"
    assert ask(desk, "/put", "POST", body, **headers).status == 403
    assert desk.case.text == before
    assert ask(desk, "/put", "POST", body, Origin=desk.base).status == 200
    assert "separated_on: 2024-01-01" in desk.case.text


def test_too_large_a_request_is_refused_before_it_is_read(shut: RunningDesk) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", shut.port, timeout=20)
    connection.putrequest("POST", "/put")
    for name, value in (
        ("Cookie", f"msadraft-desk-{shut.port}={TOKEN}"),
        ("Origin", shut.base),
        ("Content-Length", str(MOST_BYTES + 1)),
    ):
        connection.putheader(name, value)
    connection.endheaders()
    assert connection.getresponse().status == 413


def test_pages_may_load_nothing_from_elsewhere_and_hold_no_script_or_style_of_their_own(shut: RunningDesk) -> None:
    answer = ask(shut, "/facts/parenting")
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
def test_no_path_reaches_outside(shut: RunningDesk, path: str) -> None:
    answer = ask(shut, path)
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


PAGES = ["/facts/case", "/facts/assets", "/facts/assets.home", "/findings", "/agreement", "/balance", "/calendar", "/support", "/rounds", "/takein", "/packet", "/changes", "/why?node=x", "/moved", "/static/desk.js", "/nowhere"]  # fmt: skip


def test_the_desk_listens_on_the_loopback_address_alone(middle: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The socket that the command itself opens; a second look from this computer's own address in the network."""
    import uvicorn

    seen: list[tuple[str, int]] = []
    reached: list[str] = []

    def run(self: uvicorn.Server, sockets: list[socket.socket]) -> None:
        (listening,) = sockets
        assert listening.family == socket.AF_INET
        seen.append(listening.getsockname())
        for address in outward_addresses():
            with socket.socket() as other:
                other.settimeout(2)
                if other.connect_ex((address, seen[0][1])) == 0:
                    reached.append(address)

    said: list[str] = []
    monkeypatch.setattr(uvicorn.Server, "run", run)
    serving.serve(middle, browser=False, say=said.append)
    assert [address for address, _ in seen] == ["127.0.0.1"]
    assert reached == []
    tokens = re.findall(r"http://127\.0\.0\.1:\d+/open\?token=([\w-]+)", said[0])
    assert len(tokens) == 1
    assert len(tokens[0]) >= 40
    serving.serve(middle, browser=False, say=said.append)
    assert tokens[0] not in said[1]


def outward_addresses() -> set[str]:
    """This computer's addresses that others could reach; none where there is no network."""
    found = set()
    with suppress(OSError):
        found.update(info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET))
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking, suppress(OSError):
        asking.connect(("192.0.2.1", 9))  # an address for documentation; nothing is sent
        found.add(asking.getsockname()[0])
    return {str(one) for one in found if not str(one).startswith("127.")}


@pytest.mark.parametrize("path", PAGES)
def test_every_answer_carries_the_policy_and_is_kept_nowhere(shut: RunningDesk, path: str) -> None:
    answer = ask(shut, path)
    policy = answer.getheader("Content-Security-Policy") or ""
    body = answer.read().decode()
    for part in ("default-src 'none'", "base-uri 'none'", "frame-ancestors 'self'", "form-action 'self'"):
        assert part in policy, part
    assert "unsafe" not in policy
    assert not re.search(r"https?:", policy)
    assert answer.getheader("X-Content-Type-Options") == "nosniff"
    assert answer.getheader("Cache-Control") == "no-store"
    assert answer.getheader("Referrer-Policy") == "same-origin"
    assert answer.getheader("Access-Control-Allow-Origin") is None
    assert TOKEN not in body
    if path.startswith("/static"):
        return
    assert re.findall(r"""(?:src|href|action|hx-(?:get|post))=["'](?:https?:)?//""", body) == []
    assert re.findall(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=[\"']", body) == []


@pytest.mark.parametrize("path", ["/put", "/add", "/paste", "/rows", "/undo", "/redo", "/remove", "/move", "/copy", "/rename", "/rounds", "/takein", "/takein/apply", "/packet", "/balance/move"])  # fmt: skip
@pytest.mark.parametrize("origin", [None, "http://evil.example"])
def test_no_change_at_all_comes_from_elsewhere(shut: RunningDesk, path: str, origin: str | None) -> None:
    before = sorted((p.name, p.stat().st_mtime_ns) for p in shut.case.folder.iterdir())
    headers = {} if origin is None else {"Origin": origin}
    assert ask(shut, path, "POST", "path=assets.home&page=case&to=1&key=x&rows=Label%0Ax", **headers).status == 403
    assert ask(shut, path, "POST", "path=assets.home", known=False, Origin=shut.base).status == 403
    assert sorted((p.name, p.stat().st_mtime_ns) for p in shut.case.folder.iterdir()) == before


@pytest.mark.parametrize("path", ["/put", "/add", "/paste", "/undo", "/remove", "/move", "/copy", "/rename", "/takein/apply", "/balance/move"])  # fmt: skip
def test_no_change_comes_by_a_link(shut: RunningDesk, path: str) -> None:
    assert ask(shut, path).status in (404, 405)


def test_a_request_that_does_not_say_its_length_is_refused(shut: RunningDesk) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", shut.port, timeout=20)
    connection.putrequest("POST", "/put")
    for name, value in (
        ("Cookie", f"msadraft-desk-{shut.port}={TOKEN}"),
        ("Origin", shut.base),
        ("Transfer-Encoding", "chunked"),
    ):
        connection.putheader(name, value)
    connection.endheaders()
    connection.send(b"5\r\npath=\r\n0\r\n\r\n")
    assert connection.getresponse().status == 413


@pytest.mark.parametrize(
    "path", ["../x", "/etc/passwd", "case.yaml", "..", "assets.../x", "assets.home/../../x", "__class__", "assets.home.__dict__", "case\x00"]
)  # fmt: skip
@pytest.mark.parametrize("where", ["/put", "/remove", "/copy", "/paste", "/add"])
def test_a_path_of_a_fact_is_never_a_path_of_a_file(shut: RunningDesk, path: str, where: str) -> None:
    from urllib.parse import urlencode

    before = {p.name: p.read_bytes() for p in shut.case.folder.iterdir() if p.is_file()}
    above = sorted(p.name for p in shut.case.folder.parent.iterdir())
    body = urlencode({"path": path, "value": "x", "rows": "Label\nx\n", "first": "label", "key": "x"})
    assert ask(shut, where, "POST", body, Origin=shut.base, HX_Request="true").status in (200, 404)
    assert {p.name: p.read_bytes() for p in shut.case.folder.iterdir() if p.is_file()} == before
    assert sorted(p.name for p in shut.case.folder.parent.iterdir()) == above


@pytest.mark.parametrize("seen", ["http://evil.example/facts/case", "//evil.example/", "https://127.0.0.1//evil.example/x", "javascript:alert(1)", "/facts/..%2f..%2fx"])  # fmt: skip
def test_undo_leads_nowhere_else_whatever_page_the_browser_names(desk: RunningDesk, seen: str) -> None:
    ask(desk, "/put", "POST", "path=marriage.place&value=Fresno", Origin=desk.base)
    to = ask(desk, "/undo", "POST", "", Origin=desk.base, HX_Current_URL=seen).getheader("HX-Redirect") or ""
    assert to.startswith("/")
    assert not to.startswith("//")
    assert "evil" not in to


@pytest.mark.skipif(os.name == "nt", reason="POSIX rights and links")
def test_a_folder_that_leads_elsewhere_is_not_written_to(desk: RunningDesk, tmp_path_factory: Any) -> None:
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    (desk.case.folder / "packet").symlink_to(elsewhere)
    answer = ask(desk, "/packet", "POST", "", Origin=desk.base)
    assert "leads elsewhere" in answer.read().decode()
    assert list(elsewhere.iterdir()) == []


@pytest.mark.skipif(os.name == "nt", reason="POSIX rights")
def test_everything_the_desk_writes_is_for_its_owner_alone(
    desks: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A new case, facts, what cannot be read, a round, the packet and the lock, under a mask that forbids nothing."""
    from msadraft.desk.serve import _begun

    before = os.umask(0)
    try:
        folder = tmp_path / "new" / "case"
        _begun(folder)
        (folder / "case.yaml").write_bytes((SCENARIOS / "dunmarsh" / "round-3.yaml").read_bytes())
        (folder / "case.yaml").chmod(0o644)
        desk = desks(folder)
        for path, body in (
            ("/put", "path=marriage.place&value=Fresno"),
            ("/put", "path=marriage.separated_on&value=2024-13-01"),
            ("/paste", "path=assets&rows=Kind%09Label%0Avehicle%09the+boat"),
            ("/undo", ""),
            ("/rounds", ""),
            ("/packet", ""),
        ):
            assert ask(desk, path, "POST", body, Origin=desk.base).status in (200, 204), path
    finally:
        os.umask(before)
    written = [folder, *folder.rglob("*")]
    names = {p.name for p in written}
    assert {"case.yaml", "case.schema.json", "unfinished.json", "agreement.docx", "manifest.json", "packet"} <= names
    open_to_others = [f"{p.relative_to(tmp_path)} {stat.S_IMODE(p.stat().st_mode):o}" for p in written if p.stat().st_mode & 0o077]  # fmt: skip
    assert open_to_others == []


@pytest.mark.parametrize(
    ("path", "typed"),
    [
        ("case.county_profile", "../elsewhere.yaml"), ("case.county_profile", "/etc/passwd"), ("clauses", "firm\n../other"),
        ("case.county_profile", "link/profile.yaml"), ("case.county_profile", "ring/profile.yaml"),
    ],
)  # fmt: skip
def test_a_fact_typed_here_names_no_file_outside_the_case_folder(middle: Path, path: str, typed: str) -> None:
    (middle / "link").symlink_to(middle.parent)
    (middle / "ring").symlink_to(middle / "ring")
    case = OpenCase(middle)
    before = (middle / "case.yaml").read_bytes()
    kept = case.put(path, typed)
    assert kept is not None
    assert "in the case folder" in kept.what
    assert (middle / "case.yaml").read_bytes() == before
    assert case.put("case.county_profile", "profile.yaml") is None
