"""A file that a page sends along: read within a limit, before the handler that works with it."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import PurePosixPath, PureWindowsPath
from typing import TYPE_CHECKING

from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

if TYPE_CHECKING:
    from msadraft.desk.pages import Desk

Brought = Callable[[Request, dict[str, str], bytes, str], Response]
"""A handler of the request, its fields, the bytes of the file and what messages call it; no file: no bytes and no name."""


def bringing(
    desk: Desk, field: str, most: int, work: Brought, most_text: int = 1_000_000
) -> Callable[[Request], Awaitable[Response]]:
    """Let a handler answer requests that bring a file along.

    Args:
        desk: the desk that tells errors to the person.
        field: the field of the form that holds the file.
        most: bytes after which one more is read and then none; the handler refuses what is longer than `most`.
        work: the handler.
        most_text: bytes that another field may have.
    """

    async def endpoint(request: Request) -> Response:
        try:
            form = await request.form(max_files=1, max_fields=8, max_part_size=most_text)
        except HTTPException as error:
            said = str(error.detail)
            return await desk.answered(lambda request, _: desk.told(request, said), request, {})
        given = form.get(field)
        content, name = b"", ""
        if isinstance(given, UploadFile):
            content = await given.read(most + 1)
            name = plain_name(given.filename or "") if content or given.filename else ""
            await given.close()
        return await desk.answered(lambda request, sent: work(request, sent, content, name), request, fields(form))

    return endpoint


def fields(form: FormData) -> dict[str, str]:
    """What a form sent, its files left out."""
    return {name: value for name, value in form.items() if isinstance(value, str)}


def plain_name(name: str) -> str:
    """What messages call a file: the last part of its name, shown signs only, not too long."""
    last = PureWindowsPath(PurePosixPath(name).name).name
    return "".join(sign for sign in last if sign.isprintable())[:80] or "The file"
