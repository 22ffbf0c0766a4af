"""Who may talk to the desk: this browser, opened with the token, and nobody else.

The server is bound to the loopback address, but any page that this computer's browser shows could still try to reach it.
So the Host must be the loopback address (a foreign name that resolves to it is refused), a change must come from a page
of the desk itself (Origin), every request carries a secret cookie that only the opened address sets, and pages may load
nothing from elsewhere (Content-Security-Policy, https://www.w3.org/TR/CSP3/).
"""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

MOST_BYTES = 35_000_000
"""The largest request taken: the largest edited document (`rounds.intake.guard`) with the form around it."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; font-src 'self'; "
    "form-action 'self'; frame-src 'self'; frame-ancestors 'self'; base-uri 'none'"
)
PAPER_POLICY = "sandbox; default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'self'; base-uri 'none'"
"""For the papers of a case, which carry their own style and no script."""

_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=()"),
)


class Guard:
    """Stands before every request."""

    def __init__(self, app: App, token: str, port: int) -> None:
        self.app = app
        self.token = token
        self.hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        self.cookie = f"msadraft-desk-{port}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        headers = {name.lower(): value for name, value in scope["headers"]}
        host = headers.get(b"host", b"").decode("latin-1")
        if host not in self.hosts:
            await _refuse(send, 421, "This address is not the desk's.")
            return
        if scope["path"] == "/open":
            await self._open(scope, send)
            return
        if not self._knows(headers.get(b"cookie", b"").decode("latin-1")):
            await _refuse(send, 403, "Open the desk with the address that the command printed.")
            return
        if scope["method"] not in ("GET", "HEAD") and headers.get(b"origin", b"").decode("latin-1") != f"http://{host}":
            await _refuse(send, 403, "A change must come from a page of the desk.")
            return
        length = headers.get(b"content-length", b"0")
        if not length.isdigit() or int(length) > MOST_BYTES or b"transfer-encoding" in headers:
            await _refuse(send, 413, f"At most {MOST_BYTES // 1_000_000} megabytes can be taken.")
            return
        await self.app(scope, receive, self._sealed(send))

    async def _open(self, scope: Scope, send: Send) -> None:
        """Trade the token of the opened address for a cookie, so that the address does not keep it."""
        given = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("token", [""])[0]
        if not hmac.compare_digest(given.encode(), self.token.encode()):
            await _refuse(send, 403, "Open the desk with the address that the command printed.")
            return
        cookie = f"{self.cookie}={self.token}; Path=/; HttpOnly; SameSite=Strict"
        headers = [(b"location", b"/"), (b"set-cookie", cookie.encode()), *_HEADERS]
        await send({"type": "http.response.start", "status": 303, "headers": headers})
        await send({"type": "http.response.body", "body": b""})

    def _knows(self, cookies: str) -> bool:
        try:
            held = SimpleCookie(cookies).get(self.cookie)
        except CookieError:
            return False
        return held is not None and hmac.compare_digest(held.value.encode(), self.token.encode())

    def _sealed(self, send: Send) -> Send:
        async def sealed(message: Message) -> None:
            if message["type"] == "http.response.start":
                given = {name.lower() for name, _ in message["headers"]}
                own = [*_HEADERS, (b"content-security-policy", POLICY.encode())]
                message["headers"] = [*message["headers"], *((n, v) for n, v in own if n not in given)]
            await send(message)

        return sealed


async def _refuse(send: Send, status: int, said: str) -> None:
    headers = [(b"content-type", b"text/plain; charset=utf-8"), *_HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": f"{said}\n".encode()})
