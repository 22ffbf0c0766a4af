"""A copy of the tree in a temporary folder: which tests run which lines there, and what they say of a mutant."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from coverage import CoverageData

from mutation.mutants import Mutant, lines_to_cover, lines_using, names_bound

ROOT = Path(__file__).resolve().parents[2]
FIRST = 25
"""So many tests are asked at first, the quickest; a mutant they do not see is shown to the others."""
MOST_SECONDS = 60.0
"""The others run for no longer than this, by what they took without a fault."""
LEFT_OUT = shutil.ignore_patterns(
    ".venv*", ".git", "*_cache", ".hypothesis", "__pycache__", "build", "dist", "demo", "desk-demo", "*.png"
)
MEMORY = 4 * 2**30
COVERED = ("msadraft/figures", "msadraft/agreement", "msadraft/review")
DEPENDS_ON = ("tree.py", "draft.py", "facts", "law", "figures", "library", "agreement", "attachments", "review")


@dataclass
class Tests:
    """Which tests run a line, and the seconds each took."""

    lines: dict[str, dict[int, set[str]]] = field(default_factory=lambda: defaultdict(lambda: defaultdict(set)))
    seconds: dict[str, float] = field(default_factory=dict)
    not_passed: list[str] = field(default_factory=list)

    def add(self, found: dict[str, dict[str, object]]) -> None:
        """Take in what one test file gave."""
        for name, test in found.items():
            if test["outcome"] != "passed":
                if test["outcome"] == "failed":
                    self.not_passed.append(name)
                continue
            self.seconds[name] = float(str(test["seconds"]))
            for file, lines in test["lines"].items():  # type: ignore[attr-defined]
                for line in lines:
                    self.lines[file][line].add(name)

    def of(self, mutant: Mutant, root: Path) -> list[str]:
        """The tests that run the mutated line, or use what it binds where it runs on import; the quickest first."""
        source = (root / mutant.file).read_text(encoding="utf-8")
        found: set[str] = set()
        for way in lines_to_cover(source, mutant.line):
            found = found or self._running(mutant.file, way)
        names = names_bound(source, mutant.line)
        if not found and names:
            places = [file for folder in COVERED for file in (root / folder).rglob("*.py")]
            texts = {str(file.relative_to(root)): file.read_text(encoding="utf-8") for file in places}
            for text in texts.values():  # what reads it on import too, such as a class with a default value
                for line in lines_using(text, names):
                    names = names | (set() if lines_to_cover(text, line) else names_bound(text, line))
            for place, text in texts.items():
                for line in lines_using(text, names):
                    ways = (self._running(place, way) for way in lines_to_cover(text, line))
                    found |= next(filter(None, ways), set())
            for file in {name.partition("::")[0] for name in self.seconds}:
                if lines_using((root / file).read_text(encoding="utf-8"), names):
                    found |= {name for name in self.seconds if name.partition("::")[0] == file}
        return sorted(found, key=lambda name: (self.seconds[name], name))

    def _running(self, file: str, lines: set[int]) -> set[str]:
        return {name for line in lines for name in self.lines[file].get(line, ())}


class Copy:
    """The tree copied once; each mutant is written there, tried, and taken back."""

    def __init__(self, cache: Path) -> None:
        """Copy the tree as it is now; `cache` keeps what was measured, by the content of the files."""
        self.folder = Path(tempfile.mkdtemp(prefix="mutation-"))
        self.root = self.folder / "tree"
        self.cache = cache
        shutil.copytree(ROOT, self.root, ignore=LEFT_OUT)
        self._run(["-m", "compileall", "-q", "msadraft"], 300, keep_bytecode=True)
        code, out = self._run(["-c", "import msadraft; print(msadraft.__file__)"], 60)
        if code or not out.strip().startswith(str(self.root)):
            raise SystemExit(f"the copy does not import its own program: {out}")

    def close(self) -> None:
        """Take the copy away."""
        shutil.rmtree(self.folder, ignore_errors=True)

    def tests(self, folders: tuple[str, ...]) -> Tests:
        """Run the test files with coverage, one by one; a file that was measured before, among the same others, is not run."""
        found = Tests()
        files = sorted(
            {
                file
                for name in folders
                for file in ([self.root / name] if name.endswith(".py") else (self.root / name).rglob("test_*.py"))
            }
        )
        common = self._digest()
        for file in files:
            name = str(file.relative_to(self.root))
            key = hashlib.sha256(common + name.encode() + file.read_bytes()).hexdigest()
            kept = self.cache / f"{key}.json"
            if not kept.is_file():
                print(f"coverage of {name}", file=sys.stderr, flush=True)
                kept.parent.mkdir(parents=True, exist_ok=True)
                kept.write_text(json.dumps(self._measured(name)), encoding="utf-8")
            found.add(json.loads(kept.read_text(encoding="utf-8")))
        return found

    def _digest(self) -> bytes:
        """Of everything the tests stand on: the program up to the review, its data, and the helpers of the tests."""
        digest = hashlib.sha256()
        roots = [
            *(self.root / "msadraft" / part for part in DEPENDS_ON),
            self.root / "clauses",
            self.root / "scenarios",
        ]
        files = [file for root in roots for file in ([root] if root.is_file() else root.rglob("*"))]
        files += [
            file
            for file in (self.root / "tests").rglob("*.py")
            if not file.name.startswith("test_") and "mutation" not in file.parts
        ]
        for file in sorted(file for file in files if file.is_file() and file.suffix != ".pyc"):
            digest.update(str(file.relative_to(self.root)).encode() + b"\0" + file.read_bytes() + b"\0")
        return digest.digest()

    def _measured(self, name: str) -> dict[str, dict[str, object]]:
        """For each test of a file: its outcome, its seconds, and the lines it runs."""
        times, data_file = self.folder / "times.json", self.folder / "coverage"
        times.unlink(missing_ok=True)
        self._run(
            ["-m", "pytest", name, "-q", "-p", "no:cacheprovider", "-p", "mutation.kept", "--hypothesis-seed=0", "-m", "not office and not slow and not browser",
             *(f"--cov={part}" for part in COVERED), "--cov-context=test", "--cov-report="],
            1800, {"MUTATION_TIMES": str(times), "COVERAGE_FILE": str(data_file)}, keep_bytecode=True,
        )  # fmt: skip
        took = json.loads(times.read_text(encoding="utf-8")) if times.is_file() else {}
        found: dict[str, dict[str, object]] = {
            test: {"outcome": outcome, "seconds": seconds, "lines": {}} for test, (outcome, seconds) in took.items()
        }
        data = CoverageData(basename=str(data_file))
        data.read()
        for file in data.measured_files():
            by_test: dict[str, list[int]] = defaultdict(list)
            for line, contexts in data.contexts_by_lineno(file).items():
                for test in {context.rpartition("|")[0] for context in contexts} - {""}:
                    by_test[test].append(line)
            for test, lines in by_test.items():
                if test in found:
                    found[test]["lines"][str(Path(file).relative_to(self.root))] = lines  # type: ignore[index]
        data.close()
        data_file.unlink(missing_ok=True)
        return found

    def outcome(self, mutant: Mutant, tests: Tests) -> str:
        """ "killed", "survived", "timed out" or "not covered"."""
        source = (self.root / mutant.file).read_text(encoding="utf-8")
        chosen = tests.of(mutant, self.root)
        if not chosen:
            return "not covered"
        rest, total = [], 0.0
        for name in chosen[FIRST:]:
            total += tests.seconds[name]
            if total <= MOST_SECONDS:
                rest.append(name)
        try:
            (self.root / mutant.file).write_text(mutant.code, encoding="utf-8")
            self._forget(mutant.file)
            said = self._asked(chosen[:FIRST], tests)
            return self._asked(rest, tests) if said == "survived" and rest else said
        finally:
            (self.root / mutant.file).write_text(source, encoding="utf-8")
            self._forget(mutant.file)

    def unharmed(self, mutant: Mutant, tests: Tests) -> bool:
        """Whether the tests that are asked first about a mutant pass without it."""
        chosen = tests.of(mutant, self.root)[:FIRST]
        return not chosen or self._asked(chosen, tests) == "survived"

    def _asked(self, names: list[str], tests: Tests) -> str:
        keep = self.folder / "keep.txt"
        keep.write_text("\n".join(names), encoding="utf-8")
        files = sorted({name.partition("::")[0] for name in names})
        limit = 45 + 8 * sum(tests.seconds[name] for name in names) + _start_seconds(self)
        code, out = self._run(
            ["-m", "pytest", *files, "-x", "-q", "-p", "no:cacheprovider", "-p", "no:randomly", "-p", "mutation.kept", "-p", "no:cov", "--hypothesis-seed=0", "--tb=no"],
            limit, {"MUTATION_KEEP": str(keep)},
        )  # fmt: skip
        if code is None:
            return "timed out"
        if code in (0, 5):  # 5: the fault took the chosen tests themselves away, and nobody failed
            return "survived"
        if code in (1, 2):  # 2: a file of tests could not even be read in
            return "killed"
        if code < 0 or "MemoryError" in out:
            return "killed"
        raise SystemExit(f"pytest ended with {code}: {out[-2000:]}")

    def _forget(self, file: str) -> None:
        """Throw away what Python compiled of a file: a change within one second, of the same length, would go unseen."""
        path = self.root / file
        for compiled in (path.parent / "__pycache__").glob(f"{path.stem}.*.pyc"):
            compiled.unlink()

    def _run(
        self, arguments: list[str], limit: float, more: dict[str, str] | None = None, keep_bytecode: bool = False
    ) -> tuple[int | None, str]:
        """Exit code and output of Python in the copy; no code if it took too long."""
        environment = {
            **os.environ, "PYTHONPATH": f"{self.root}{os.pathsep}{self.root / 'tests'}", "XDG_CACHE_HOME": str(self.folder / "cache"), **(more or {}),
        }  # fmt: skip
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        if not keep_bytecode:
            environment["PYTHONDONTWRITEBYTECODE"] = "1"
        process = subprocess.Popen(
            [sys.executable, *arguments], cwd=self.root, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
            text=True, start_new_session=True, preexec_fn=_modest,
        )  # fmt: skip
        try:
            out, _ = process.communicate(timeout=limit)
        except subprocess.TimeoutExpired:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            process.communicate()
            return None, ""
        return process.returncode, out


def _modest() -> None:
    """In the new process: step back behind others, and take no endless memory."""
    os.nice(10)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))


@cache
def _start_seconds(copy: Copy) -> float:
    """What it takes to read in the program and the tools of the tests, several times over."""
    start = time.monotonic()
    copy._run(["-c", "import pytest, hypothesis, msadraft.draft, msadraft.review.rules"], 300)
    return 4 * (time.monotonic() - start)
