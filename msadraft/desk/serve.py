"""Start the desk: one server for one case, on this computer alone."""

from __future__ import annotations

import secrets
import socket
import webbrowser
from collections.abc import Callable
from pathlib import Path

from msadraft.rounds.disk import write_file

ADDRESS = "127.0.0.1"


class DeskError(Exception):
    """The desk cannot be opened; the message says why and how to mend it."""


def serve(
    case: Path, *firm_folders: Path, port: int = 0, browser: bool = True, say: Callable[[str], None] = print
) -> None:
    """Open a case in the browser and answer until stopped.

    Args:
        case: the case folder or the facts file.
        firm_folders: the firm's own clauses.
        port: the port to listen on; 0 takes a free one.
        browser: whether to open the browser.
        say: prints the address.

    Raises:
        DeskError: the extra parts are not installed, or the port is taken.
        FactsError: the case cannot be read at all.
    """
    try:
        import uvicorn

        from msadraft.desk.pages import desk_app
    except ImportError as error:
        raise DeskError(
            f"The desk needs parts that are not installed ({error.name}). Install them with: pip install 'msadraft[desk]'"
        ) from error
    from msadraft.desk.open_case import OpenCase

    _begun(case)
    opened = OpenCase(case, *firm_folders)
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((ADDRESS, port))
        except OSError as error:
            raise DeskError(f"Port {port} cannot be used ({error.strerror}); choose another with --port") from error
        listening.listen(64)
        taken = listening.getsockname()[1]
        token = secrets.token_urlsafe(32)
        address = f"http://{ADDRESS}:{taken}/open?token={token}"
        say(
            f"{opened.file} is on the desk at\n\n    {address}\n\nOnly this computer can reach it. Stop it with Ctrl-C."
        )
        if browser:
            webbrowser.open(address)
        config = uvicorn.Config(
            desk_app(opened, token, taken), log_level="warning", access_log=False, server_header=False, ws="none"
        )
        uvicorn.Server(config).run(sockets=[listening])


def _begun(case: Path) -> None:
    """Begin a new case in a folder that is new or empty.

    Raises:
        DeskError: there is no case, and none can be begun there.
    """
    from msadraft.facts.load import FILE_NAME
    from msadraft.facts.schema import FILE_NAME as SCHEMA_NAME
    from msadraft.facts.schema import schema_text
    from msadraft.facts.template import MODELINE

    file = case if case.suffix in (".yaml", ".yml") else case / FILE_NAME
    if file.exists():
        return
    if file == case or (case.is_dir() and any(case.iterdir())):
        raise DeskError(
            f"{file}: there is no such case. Name a case folder, or a new folder to begin a case in: msadraft desk my-case"
        )
    try:
        case.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_file(file, f"{MODELINE}\n".encode(), durable=True)
        write_file(case / SCHEMA_NAME, schema_text().encode(), durable=True)
    except OSError as error:
        raise DeskError(f"{case}: cannot be written ({error.strerror}); choose another folder") from error
