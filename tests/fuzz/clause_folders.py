"""Clause folders of a user's own that are damaged or hostile: drafted as they say, or refused with file and reason."""

from __future__ import annotations

import os
import signal
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random
from unittest import mock

from fuzz import damage
from fuzz.measure import Count, expect
from support.scenarios import ROOT, facts_file
from typer.testing import CliRunner

from msadraft.cli import app
from msadraft.library import compiled
from msadraft.library.environment import store

KIND = "clauses"
FULL = 1000
MOST_SECONDS = 10.0
"""A draft with the folder may take so long at most."""
LINT_EVERY = 100
"""The lint goes over all combinations of the facts, which alone takes some ten seconds."""
MOST_MB = 300.0
RUN = CliRunner()
SECRET = "only the owner may read this"

BODIES = (
    "{{ ''.__class__ }}", "{{ ''.__class__.__mro__[1].__subclasses__() }}", "{{ petitioner.__class__ }}", "{{ self.__init__.__globals__ }}",
    "{{ cycler.__init__.__globals__.os.popen('id').read() }}", "{{ lipsum.__globals__ }}", "{{ [].append(1) }}", "{{ {}.update(a=1) }}",
    "{{ petitioner._read() }}", "{{ petitioner._value }}", "{{ petitioner['__class__'] }}", "{{ petitioner | attr('__class__') }}",
    "{{ ''|attr('\\x5f\\x5fclass\\x5f\\x5f') }}", "{{ '%c' % 95 }}", "{{ '{0.__class__}'.format(petitioner) }}", "{{ _pieces.found }}", "{{ has.__globals__ }}",
    "{% for i in range(10**9) %}x{% endfor %}", "{% for i in range(99999) %}{% for j in range(99999) %}{% endfor %}{% endfor %}",
    "{% for i in range(99999) %}" + "word " * 400 + "{% endfor %}", "{{ 'a' * 10**9 }}", "{{ 10**10**10 }}", "{{ 2**100000 }}", "{{ 'a' | center(10**9) }}",
    "{{ 'a'.ljust(10**9) }}", "{{ '%1000000000d' % 1 }}", "{{ '{:>1000000000}'.format(1) }}", "{{ (5).to_bytes(10**9) }}", "{{ [1] * 10**9 }}",
    "{% set ns = namespace(x='aaaa') %}{% for i in range(200) %}{% set ns.x = ns.x ~ ns.x %}{% endfor %}x",
    "{% set ns = namespace(x='aaaa') %}{% for i in range(200) %}{% set ns.x = ns.x + ns.x %}{% endfor %}x",
    "{% set ns = namespace(x=9) %}{% for i in range(200) %}{% set ns.x = ns.x * ns.x %}{% endfor %}x",
    "{% set ns = namespace(x='aaaa') %}{% for i in range(200) %}{% set ns.x = ns.x | replace('a', 'aaaa') %}{% endfor %}x",
    "{% set ns = namespace(x='aaaa') %}{% for i in range(200) %}{% set ns.x = [ns.x, ns.x] | join(ns.x) %}{% endfor %}x",
    "{% set ns = namespace(x=[1]) %}{% for i in range(200) %}{% set ns.x = ns.x + ns.x %}{% endfor %}x",
    "{% set a %}" + "x" * 1000 + "{% endset %}{% set b %}{{ a }}{{ a }}{% endset %}x", "{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}",
    "{% macro m(n) %}{% if n %}{{ m(n-1) }}{{ m(n-1) }}{% endif %}{% endmacro %}{{ m(60) }}", "{% macro m() %}x{% endmacro %}{{ m() }}",
    "{% for i in [1] recursive %}{{ loop([1]) }}{% endfor %}", "{% call(x) petitioner() %}{% endcall %}",
    "{% include '/etc/passwd' %}", "{% include 'x.md' %}", "{% import 'x' as x %}", "{% from 'x' import y %}", "{% extends 'x' %}", "{% block x %}{% endblock %}",
    "{{ 1/0 }}", "{{ 1 // 0 }}", "{{ 'a' + 1 }}", "{{ none.x }}", "{{ nope }}", "{{ petitioner.nope }}", "{{ case.number | money }}", "{{ 3 | date }}", "{{ petitioner }}",
    "{{ True }}", "{{ 1.5 }}", "{{ [1,2] }}", "{{ {'a': 1} }}", "{{ para('nowhere') }}", "{{ para('recital.parties') }}", "{{ article('x') }}", "{{ exhibit('') }}",
    "{{ para(petitioner) }}", "{{ label('x') }}", "{{ party_of(1) }}", "{{ owns('') }}", "{{ owns(none) }}", "{{ child_named([]) }}", "{{ sign_here('x') }}", "{{ share_of(petitioner, 'x') }}",
    "{{ petitioner.name.first | replace('', 'x' * 1000) }}", "{{ range(99999) | list | join('x' * 1000) }}", "{{ range(99999) | sum }}", "{% set x = range(99999) | list %}{{ x | length }}",
    "{{ 'a' | phrase({}) }}", "{{ [petitioner] | names }}", "{{ [1] | first_names }}", "{{ '' | the }}", "{{ '' | capital }}", "{{ '\ue0005\ue001' }}", "\ue0000\ue001 x", "\ue00099\ue001",
    "{{ '{{ 7*7 }}' }}", "{% raw %}{{ x }}{% endraw %}", "{# x #}", "{{", "{%", "{% if %}", "{% endif %}", "{{ x", "{% for %}", "{{ (((((((( }}", "{{ " + "(" * 3000 + "1" + ")" * 3000 + " }}",
    "{{ " + "-" * 3000 + "1 }}", "{{ " + "1+" * 5000 + "1 }}", "{% if 1 %}" * 90 + "x" + "{% endif %}" * 90, "{% if 1 %}" * 3000 + "x" + "{% endif %}" * 3000,
    "<script>alert(1)</script> ]]> &amp; <b>bold</b>", "=1+1", "\u202eabc", "[Bad Label] x", "[a:b:c] x", "[] x", "[x] ", "- item", "- a\n  - b\n    - c\n      - d\n        - e\n          - f",
    "text\n\n- [x] a\n  - [x] b", "1. one\n2. two", "# heading", "```\ncode\n```", "> [notice] x\n> - y", "> x", "| a | b |\n|---|---|\n| 1 | 2 |", "Table: x\n\n| a | b |\n|---|---|\n| 1 | 2 |",
    "Table: x\n\n| a |\n|---|", "Table: x", "![x](y)", "[x](javascript:y)", "***" * 2000, "*a" * 20_000, "_" * 5000, "- " * 900 + "x", "> " * 900 + "x", "|" * 20_000, "\\" * 9000, "x" * 200_000,
    "word " * 100_000, "text\n\n" * 8000, "**h** text", "**only heading**", "\n\n\n", " ", "{{ '' }}", "\t\tx", "\r\n", "\r", "text\x00", "text\x07", "text \ufffe",
)  # fmt: skip
FRONTS = (
    "id: [", "id: &a x", "x: *a", "<<: *x", "id: x.y\nid: z.w", "when: 1/0", "when: range(99999) | list | length > 5", "when: petitioner.__class__", "when: nope",
    "when: ''.__class__.__mro__", "when: (((", "when: '}} {{ 1'", "when: '{% for %}'", "when: 10**10**9", "when: always and", "when: ''", "when: [1]", "when: 5", "when: true",
    "for_each: x in 5", "for_each: x in [1, 2]", "for_each: x in range(99999)", "for_each: x", "for_each: petitioner in parties", "for_each: x in children", "for_each: x in parties",
    "for_each: x in nope", "for_each: _pieces in parties", "for_each: x in 'abc'", "for_each: x in [petitioner, petitioner]", "one_of: spousal support outcome", "one_of: new group", "scope: nope",
    "scope: 1/0", "law: {a: b}", "law: 5", "law: [1, [2]]", "answers: [x]", "answers: ['nope: nope']", "answers: ['spousal-support.{key}']", "answers: 7", "caution: [x]", "kind: signature", "kind: other",
    "heading: '{{ 1/0 }}'", "heading: '{{ petitioner.__class__ }}'", "heading: \"{{ 'a' * 10**9 }}\"", "heading: '{%'", "heading: ''", "heading: \"\\ud800\"", "heading: \"\\u202e\"", "heading: \"{{ sign_here(petitioner) }}\"",
    "heading: 2026-01-01", "purpose: 1", "after: nope", "after: recital.parties", "body: x", "file: /etc/passwd", "body_line: 5", "extra: x", "date: 2026-01-01", "a: !!python/object/apply:os.system [id]", "? [a]\n: b",
    "a1: &a [x,x,x,x,x,x,x,x]\na2: &b [*a,*a,*a,*a,*a,*a,*a,*a]\na3: &c [*b,*b,*b,*b,*b,*b,*b,*b]\na4: &d [*c,*c,*c,*c,*c,*c,*c,*c]\na5: &e [*d,*d,*d,*d,*d,*d,*d,*d]\nlaw: [*e,*e,*e,*e,*e,*e,*e]",
    "law: " + "[" * 5000 + "]" * 5000, "law: " + "{a: " * 900 + "}" * 900, "purpose: '" + "x" * 300_000 + "'", "\x00", "\t- x", "---", "%YAML 9.9",
)  # fmt: skip
IDS = (
    "general.entire",
    "recital.parties",
    "debt.own_rule",
    "general.own_rule",
    "spousal_support.waived",
    "x",
    "A.B",
    "../x.y",
    "a.b/c",
    "exhibit.own",
)


def _clause(random: Random, clause_id: str) -> str:
    lines = {"id": clause_id, "heading": "Own", "purpose": "own words", "after": "general.entire"}
    front = "\n".join(f"{k}: {v}" for k, v in lines.items())
    if random.random() < 0.45:
        extra = random.choice(FRONTS)
        key = extra.partition(":")[0]
        front = "\n".join(line for line in front.split("\n") if not line.startswith(f"{key}:")) + "\n" + extra
    body = random.choice(BODIES) if random.random() < 0.75 else "Words of our own."
    if random.random() < 0.5:
        body = f"Words of our own. {body}"
    return f"---\n{front}\n---\n{body}\n"


def _shipped(random: Random) -> str:
    return random.choice(_shipped_files()).read_text(encoding="utf-8")


@cache
def _shipped_files() -> tuple[Path, ...]:
    return tuple(sorted((ROOT / "clauses").rglob("*.md")))


def made(number: int) -> dict[str, bytes | str]:
    """The files of a folder by name: bytes, or "-> target" for a link, "pipe", "folder", "closed" for a file without rights."""
    random = Random(f"clauses {number}")
    files: dict[str, bytes | str] = {}
    for n in range(random.choice((1, 1, 1, 2, 3))):
        kind = random.choice(("made", "made", "made", "made", "damaged", "shipped", "bytes", "special", "encoding"))
        name = f"own-{n}.md"
        if kind == "made":
            files[name] = _clause(random, random.choice(IDS)).encode("utf-8", "surrogatepass")
        elif kind == "damaged":
            text = random.choice((damage.value, damage.renamed, damage.indented, damage.less, damage.moved))(
                _shipped(random), random
            )
            files[name] = text.encode("utf-8", "surrogatepass")
        elif kind == "shipped":
            files[name] = _shipped(random).encode()
        elif kind == "bytes":
            files[name] = random.choice(damage.BYTES)(_shipped(random).encode(), random)
        elif kind == "encoding":
            files[name] = damage.encoded(_shipped(random), random)
        else:
            files[name] = random.choice(
                (
                    "-> /dev/zero",
                    "-> /etc/passwd",
                    "-> ../secret.txt",
                    "-> " + name,
                    "-> nowhere",
                    "pipe",
                    "folder",
                    "closed",
                    b"",
                    b"\xff\xfe" * 900,
                    b"---\n" * 50_000,
                    b"x" * 3_000_000,
                )
            )
    if random.random() < 0.1:
        files["deep/loop"] = "-> .."
    return files


def _write(folder: Path, files: dict[str, bytes | str]) -> None:
    (folder.parent / "secret.txt").write_text(SECRET, encoding="utf-8")
    for name, what in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if isinstance(what, bytes):
            path.write_bytes(what)
        elif what.startswith("-> "):
            path.symlink_to(what[3:])
        elif what == "pipe":
            os.mkfifo(path)
        elif what == "folder":
            path.mkdir()
        else:
            path.write_bytes(b"---\n")
            path.chmod(0)


def _state(folder: Path) -> list[tuple[str, float]]:
    return sorted((str(p.relative_to(folder)), p.lstat().st_mtime) for p in folder.rglob("*"))


def judge(number: int, count: Count) -> str:
    """Draft a case with the folder, and now and then lint it."""
    with tempfile.TemporaryDirectory() as room:
        folder, case, cache_file = Path(room) / "clauses", Path(room) / "case", Path(room) / "cache" / "x.bin"
        folder.mkdir()
        case.mkdir()
        (case / "case.yaml").write_bytes(facts_file("marrowby", 3).read_bytes())
        _write(folder, made(number))
        before = _state(folder)
        done_by: list[Callable[[], list[str]]] = [
            lambda: ["draft", str(case), "--clauses", str(folder), "--out", str(Path(room) / "out")]
        ]
        if number % LINT_EVERY == 50:
            done_by.append(lambda: ["clauses", "lint", "--clauses", str(folder)])
            count.also("linted")
        outcome = "accepted"
        # what a hostile clause compiles to is not kept with the user's own
        with mock.patch.object(store(), "file", cache_file), mock.patch.object(compiled.CompiledStore, "keep"):
            for arguments in done_by:
                if arguments()[0] == "clauses":
                    count.untimed = True
                    signal.setitimer(signal.ITIMER_REAL, 300)
                done = RUN.invoke(app, arguments())
                if done.exception is not None and not isinstance(done.exception, SystemExit):
                    raise done.exception
                expect(done.exit_code in (0, 1, 2), f"exit code {done.exit_code}")
                if done.exit_code == 2:
                    outcome = "refused"
                    said = done.stdout if arguments()[0] == "clauses" and not done.stderr else done.stderr
                    expect(said.strip(), "refused without a word")
                    expect(
                        any(name in said for name in ("clauses/", "clauses\\", "own-", "clause ")),
                        f"names no clause: {said[:300]!r}",
                    )
                    expect(len(said) < 20_000, f"a message of {len(said)} signs")
                expect(SECRET not in done.output and "root:" not in done.output, "tells what stands in another file")
        expect(_state(folder) == before, "the clause folder was changed")
        out = Path(room) / "out"
        if (out / "agreement.txt").exists():
            text = (out / "agreement.txt").read_text(encoding="utf-8")
            count.also("papers looked through for what they may not hold")
            for word in (SECRET, "root:", "<class", "__globals__", "built-in"):
                expect(
                    word not in text or any(isinstance(w, bytes) and word.encode() in w for w in made(number).values()),
                    f"the paper says {word!r}",
                )
    return outcome
