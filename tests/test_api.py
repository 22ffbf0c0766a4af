"""The public interface: every name is there, is documented, is found twice alike, and costs nothing until it is used."""

from __future__ import annotations

import doctest
import inspect
import re
import subprocess
import sys
from pathlib import Path

import pytest

import msadraft

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "api.md"


def test_the_examples_of_the_page_hold(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    done = doctest.testfile(str(PAGE), module_relative=False, globs={"scenarios": ROOT / "scenarios"})
    assert done.failed == 0
    assert done.attempted > 40


def test_every_public_name_is_on_the_page_and_every_name_on_the_page_is_public() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert [name for name in msadraft.__all__ if not re.search(rf"`{name}\b|msadraft\.{name}\b", page)] == []
    assert set(re.findall(r"\bmsadraft\.(\w+)", page)) <= set(msadraft.__all__)


@pytest.mark.parametrize("name", msadraft.__all__)
def test_a_public_name_gives_the_same_documented_thing_each_time(name: str) -> None:
    found = getattr(msadraft, name)
    assert found is getattr(msadraft, name)
    assert not inspect.ismodule(found), "a module of the package has this name and would hide it"
    assert inspect.getdoc(found)
    assert name in dir(msadraft)


def test_no_public_name_is_that_of_a_module() -> None:
    modules = {p.name.removesuffix(".py") for p in (ROOT / "msadraft").iterdir()}
    assert modules & set(msadraft.__all__) == set()


def test_the_names_for_the_type_checker_are_those_that_are_given() -> None:
    assert sorted(msadraft.__all__) == list(msadraft.__all__)
    assert set(msadraft._HOMES) == set(msadraft.__all__)
    assert set(msadraft._NAMED_THERE) < set(msadraft.__all__)
    shown = re.findall(r"^    from (\S+) import (.+)$", (ROOT / "msadraft" / "__init__.py").read_text(), re.MULTILINE)
    typed = {
        part.split(" as ")[-1].strip(): (module, part.split(" as ")[0].strip())
        for module, names in shown
        for part in names.split(",")
    }
    given = {name: (home, msadraft._NAMED_THERE.get(name, name)) for name, home in msadraft._HOMES.items()}
    assert typed == given


def test_an_unknown_name_is_refused() -> None:
    with pytest.raises(AttributeError, match="msadraft has no drafts"):
        _ = msadraft.drafts


def test_importing_the_package_loads_nothing_else() -> None:
    code = "import sys, msadraft; print(sorted(m for m in sys.modules if m.split('.')[0] in WANTED))"
    wanted = ("msadraft", "pydantic", "lxml", "docx", "jinja2", "yaml", "typer")
    done = subprocess.run(
        [sys.executable, "-c", code.replace("WANTED", repr(wanted))],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    assert done.stdout.strip() == "['msadraft']"
