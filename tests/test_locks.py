"""The locks: every part pinned with its hashes, nothing that names a host, and nothing in pyproject.toml left out."""

from __future__ import annotations

import importlib.util
import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / "requirements"
LOCKS = sorted(path.name for path in FOLDER.glob("*.lock"))
HASH = re.compile(r"--hash=sha256:[0-9a-f]{64}")


def pinned(text: str) -> dict[str, list[Requirement]]:
    """The parts of a lock by name; a part can stand there more than once, for different versions of Python.

    Raises:
        ValueError: a part is not pinned to one version, has no hash, or holds something else.
    """
    found: dict[str, list[Requirement]] = {}
    lines = "\n".join(line for line in text.splitlines() if not line.startswith("#"))
    for entry in filter(None, lines.replace("\\\n", " ").splitlines()):
        named, *hashes = entry.split("--hash=")
        part = Requirement(named.strip())
        if part.url or [one.operator for one in part.specifier] != ["=="]:
            raise ValueError(f"{named.strip()} is not pinned to one version")
        if not hashes or not all(HASH.fullmatch(f"--hash={value.strip()}") for value in hashes):
            raise ValueError(f"{named.strip()} has no hash, or holds something else")
        found.setdefault(canonicalize_name(part.name), []).append(part)
    return found


def wanted(*extras: str) -> list[Requirement]:
    """What pyproject.toml asks for, with the extras that an extra names in turn."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = list(map(Requirement, project["dependencies"]))
    for extra in extras:
        asked += map(Requirement, project["optional-dependencies"][extra])
    own = [part for part in asked if part.name == project["name"]]
    return [part for part in asked if part not in own] + [more for part in own for more in wanted(*part.extras)]


def read(name: str) -> dict[str, list[Requirement]]:
    return pinned((FOLDER / name).read_text(encoding="utf-8"))


def listed(name: str) -> list[Requirement]:
    lines = (FOLDER / name).read_text(encoding="utf-8").splitlines()
    return [Requirement(line) for line in lines if line and not line.startswith("#")]


def test_there_are_three_locks() -> None:
    assert LOCKS == ["release.lock", "run.lock", "test.lock"]


@pytest.mark.parametrize("name", LOCKS)
def test_every_part_is_pinned_with_hashes_and_no_host_is_named(name: str) -> None:
    text = (FOLDER / name).read_text(encoding="utf-8")
    assert len(read(name)) > 20
    assert "//" not in text
    assert not re.search(r"^\s*--(?!hash=)", text, re.MULTILINE), "no option of an index or a folder"


@pytest.mark.parametrize(
    ("name", "asked"),
    [
        ("run.lock", wanted("desk")),
        ("test.lock", [*wanted("test"), *listed("build.in")]),
        ("release.lock", listed("release.in")),
    ],
)
def test_whatever_is_asked_for_is_locked_at_a_version_that_will_do(name: str, asked: list[Requirement]) -> None:
    locked = read(name)
    missing = [str(part) for part in asked if canonicalize_name(part.name) not in locked]
    assert missing == [], "renew the locks: make lock"
    for part in asked:
        for one in locked[canonicalize_name(part.name)]:
            (pin,) = one.specifier
            assert part.specifier.contains(pin.version, prereleases=True), f"{one} does not satisfy {part}: make lock"


def test_tests_run_with_the_parts_that_are_released() -> None:
    tested = read("test.lock")
    for name, parts in read("run.lock").items():
        assert {str(part) for part in parts} == {str(part) for part in tested[name]}


@pytest.mark.parametrize(
    "line",
    [
        "pytest>=8 --hash=sha256:" + "0" * 64,
        "pytest==8.0",
        "pytest==8.0 --hash=md5:" + "0" * 32,
        "pytest @ https://example.org/pytest.whl --hash=sha256:" + "0" * 64,
        "pytest==8.0 --hash=sha256:" + "0" * 64 + " --index-url=https://example.org",
    ],
)
def test_what_is_not_pinned_is_refused(line: str) -> None:
    with pytest.raises(ValueError, match=r"is not pinned|has no hash"):
        pinned(line + "\n")


def test_the_copied_script_is_listed_with_its_version_and_hash() -> None:
    spec = importlib.util.spec_from_file_location("sbom", FOLDER / "sbom.py")
    assert spec is not None
    assert spec.loader is not None
    sbom = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(sbom)
    entry = sbom.copied(sbom.HTMX.read_bytes())
    assert re.fullmatch(r"2\.\d+\.\d+", entry["version"])
    assert entry["purl"].endswith(f"@{entry['version']}")
    assert entry["hashes"][0]["content"] != sbom.copied(sbom.HTMX.read_bytes() + b"\n")["hashes"][0]["content"]
    with pytest.raises(ValueError, match="does not say its version"):
        sbom.copied(b"var htmx")
