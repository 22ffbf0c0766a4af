"""What the pages of rounds, edited documents and the packet share: the draft as it is now, and files for the browser."""

from __future__ import annotations

import mimetypes
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from starlette.responses import Response

from msadraft.desk.guard import PAPER_POLICY
from msadraft.desk.open_case import OpenCase
from msadraft.draft import Draft
from msadraft.facts.problems import FactsError
from msadraft.library.environment import WordingError
from msadraft.library.load import LibraryError
from msadraft.rounds.errors import RoundError
from msadraft.rounds.store import current_round

_TYPES = {
    ".docx": "application/vnd.openxmlformats-officedocument.wordprocessingml.document",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".yaml": "text/yaml; charset=utf-8",
    ".md": "text/markdown; charset=utf-8",
    ".csv": "text/csv; charset=utf-8",
}


@contextmanager
def clearly() -> Iterator[None]:
    """Turn the errors that the command line would print into what the desk says at the top of the page."""
    try:
        yield
    except (FactsError, LibraryError, WordingError) as error:
        raise RoundError(str(error)) from error


def again(case: OpenCase) -> None:
    """Work the case out anew, although its facts file is the same."""
    case.refresh(anew=True)


def look(case: OpenCase) -> None:
    """Work the case out anew if its facts or its negotiated wording changed."""
    with clearly():
        case.refresh()


def blocked(case: OpenCase) -> str:
    """Why there is no draft of the facts as they stand; "" if there is one."""
    if case.problems:
        n = len(case.problems)
        return f"{n} {'facts are' if n > 1 else 'fact is'} still needed or cannot be read, so the agreement cannot be drafted yet."
    if case.trouble:
        return f"The agreement cannot be drafted: {case.trouble}"
    return "" if case.drafted is not None else "The agreement cannot be drafted yet."


def drafted(case: OpenCase) -> Draft:
    """The draft of the facts as they stand. Raises RoundError if there is none."""
    look(case)
    why = blocked(case)
    if why or case.drafted is None:
        raise RoundError(why)
    return case.drafted


def label(case: OpenCase, found: Draft) -> str:
    """What a paper of the draft is called: the round that holds just it, or the round that the facts name."""
    stands = current_round(found, case.folder)
    number = stands or found.case.facts.negotiation.round
    return f"Round {number}" if number else "Draft"


def own_folder(folder: Path) -> Path:
    """A folder beside the case that is written to. Raises RoundError if it is a link, which could lead anywhere."""
    if folder.is_symlink():
        raise RoundError(f"{folder} leads elsewhere; take it away, then try again.")
    return folder


def file(data: bytes, name: str, show: bool = False) -> Response:
    """A file for the browser: saved under a name, or a page shown in a frame where it can do nothing."""
    suffix = name[name.rfind(".") :] if "." in name else ""
    kind = _TYPES.get(suffix) or mimetypes.guess_type(name)[0] or "application/octet-stream"
    if show and suffix == ".html":
        return Response(data, media_type="text/html; charset=utf-8", headers={"Content-Security-Policy": PAPER_POLICY})
    safe = "".join(sign if sign.isascii() and (sign.isalnum() or sign in "-._") else "_" for sign in name)
    header = f"attachment; filename=\"{safe}\"; filename*=UTF-8''{quote(name, safe='')}"
    return Response(
        data, media_type=kind, headers={"Content-Disposition": header, "Content-Security-Policy": PAPER_POLICY}
    )
