"""Compiled clauses are kept between runs, and a store that cannot be trusted is passed over."""

from __future__ import annotations

import marshal
from datetime import date
from pathlib import Path

import pytest

from msadraft.library.compiled import CompiledStore
from msadraft.library.environment import environment


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "cache" / "clauses.bin"


def used(file: Path) -> CompiledStore:
    store = CompiledStore(environment(), file)
    assert store.expression("1 + 1 == 2")() is True
    assert "four" in store.template("four").render()
    store.keep()
    return store


def test_second_run_compiles_nothing(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    used(file)
    monkeypatch.setattr(type(environment()), "compile", lambda *_: pytest.fail("compiled again"))
    used(file)


def test_plain_data_is_read_once(file: Path) -> None:
    front = {"id": "a.b", "law": ["Fam. Code § 2550"], "answers": None}
    store = CompiledStore(environment(), file)
    assert store.data("source", lambda _: front) == front
    store.keep()
    assert CompiledStore(environment(), file).data("source", lambda _: pytest.fail("read again")) == front


def test_other_data_is_not_kept(file: Path) -> None:
    day = date(2026, 1, 31)
    store = CompiledStore(environment(), file)
    assert store.data("source", lambda _: day) == day
    store.keep()
    assert CompiledStore(environment(), file).data("source", lambda _: "read again") == "read again"


def test_damaged_entry_is_made_again(file: Path) -> None:
    store = used(file)
    store.entries = dict.fromkeys(store.entries, b"nonsense")
    store.fresh = True
    store.keep()
    used(file)


def test_entry_that_is_no_code_is_made_again(file: Path) -> None:
    store = used(file)
    store.entries = dict.fromkeys(store.entries, marshal.dumps("print"))
    store.fresh = True
    store.keep()
    used(file)


def test_changed_source_is_compiled(file: Path) -> None:
    used(file)
    store = CompiledStore(environment(), file)
    assert store.template("five").render() == "five"


def test_store_is_for_its_owner_alone(file: Path) -> None:
    used(file)
    assert file.stat().st_mode & 0o777 == 0o600
    assert file.parent.stat().st_mode & 0o777 == 0o700


@pytest.mark.parametrize("content", [b"", b"nonsense", b"\x00" * 40])
def test_damaged_store_is_passed_over(file: Path, content: bytes) -> None:
    used(file)
    file.write_bytes(content)
    used(file)


@pytest.mark.parametrize("which", ["file", "folder"])
def test_store_that_others_could_have_written_is_passed_over(file: Path, which: str) -> None:
    used(file)
    (file if which == "file" else file.parent).chmod(0o777)
    assert CompiledStore(environment(), file).entries == {}


def test_folder_that_cannot_be_written_is_no_error(tmp_path: Path) -> None:
    blocker = tmp_path / "blocker"
    blocker.write_text("", encoding="utf-8")
    used(blocker / "clauses.bin")
