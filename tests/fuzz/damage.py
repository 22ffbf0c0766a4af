"""Small pieces of damage, drawn from a seeded random source: bytes, text, values, structure."""

from __future__ import annotations

import re
from random import Random

HIDDEN = (
    "\u202e",
    "\u202d",
    "\u2066",
    "\u2069",
    "\u2028",
    "\u2029",
    "\ufeff",
    "\x00",
    "\x07",
    "\x1b",
    "\x7f",
    "\x85",
    "\ufffe",
)
VALUES = (
    "1e9999", "NaN", ".nan", "-.inf", "-1", "-0.00", "0", "00", "1_000", "0x1F", "0o17", "1:30", "١٢٣", "１２", "999999999999.99",
    "999999999999999999999999", "1.005", "$1,850.00", "1,85", "$", "100", "100.0001", "50", "yes", "no", "on", "null", "~", "[]", "{}",
    "[[]]", "{a: b}", "[1, 2]", "''", '""', "'", '"', "|", ">", "- x", "? x", "!!python/object/apply:os.system [id]", "&a x", "*a",
    "<<: *a", "%YAML", "@x", "`x`", "2026-02-30", "0001-01-01", "9999-12-31", "2150-12-31", "2151-01-01", "1900-01-01", "2026-1-1",
    "11/30/2026", "24:00", "23:59", "7 pm", "both", "petitioner", "respondent", "{{ 7*7 }}", "{% raw %}", "<script>", "=1+1", "]]>",
    '"\\ud800"', '"\\x00"', '"\\u202e"', '"\\t"', "'a\\nb'", "..", "../../etc/passwd", "/dev/zero", "CON", "\U0001f600", "e\u0301", "\u00a0",
)  # fmt: skip
_LINE = re.compile(r"^(\s*(?:- )?)([\w-]+):(\s+)(\S.*)$")


def flip(data: bytes, random: Random) -> bytes:
    """Some bytes set to others."""
    out = bytearray(data)
    for _ in range(random.choice((1, 1, 2, 8, 64))):
        if out:
            out[random.randrange(len(out))] = random.choice(
                (random.randrange(256), random.choice(b"\n\r\t :-{}[]'\"#&*!|>%@`\x00\xff\x80"))
            )
    return bytes(out)


def truncate(data: bytes, random: Random) -> bytes:
    """Cut off, at the end or the beginning."""
    at = random.randrange(len(data) + 1)
    return data[:at] if random.random() < 0.8 else data[at:]


def insert(data: bytes, random: Random) -> bytes:
    """Foreign bytes put in."""
    at = random.randrange(len(data) + 1)
    what = random.choice(
        (
            random.randbytes(random.choice((1, 3, 40, 2000))),
            b"\x00",
            b"\xef\xbb\xbf",
            b"\r",
            b"\t",
            b"\xc0\xaf",
            b"\xed\xa0\x80",
        )
    )
    return data[:at] + what + data[at:]


def drop(data: bytes, random: Random) -> bytes:
    """A stretch taken out."""
    at = random.randrange(len(data) + 1)
    return data[:at] + data[at + random.choice((1, 2, 10, 200)) :]


def repeat(data: bytes, random: Random) -> bytes:
    """A stretch said again somewhere."""
    at, to = random.randrange(len(data) + 1), random.randrange(len(data) + 1)
    piece = data[at : at + random.choice((1, 20, 400, 4000))] * random.choice((1, 1, 2, 50))
    return data[:to] + piece + data[to:]


BYTES = (flip, truncate, insert, drop, repeat)


def encoded(text: str, random: Random) -> bytes:
    """The same text in another encoding, or with other line ends."""
    kind = random.choice(
        (
            "utf-16",
            "utf-16-le",
            "utf-32",
            "latin-1",
            "cp1252",
            "utf-8-sig",
            "crlf",
            "cr",
            "mixed",
            "ls",
            "nel",
            "utf-7",
            "cp037",
        )
    )
    if kind in ("crlf", "cr", "ls", "nel"):
        return text.replace("\n", {"crlf": "\r\n", "cr": "\r", "ls": "\u2028", "nel": "\x85"}[kind]).encode()
    if kind == "mixed":
        return "".join(line + random.choice(("\n", "\r\n", "\r")) for line in text.splitlines()).encode()
    return text.encode(kind, "replace")


def _lines(text: str) -> list[str]:
    return text.split("\n")


def value(text: str, random: Random) -> str:
    """One value replaced by something else."""
    lines = _lines(text)
    places = [n for n, line in enumerate(lines) if _LINE.match(line)]
    if not places:
        return text
    n = random.choice(places)
    found = _LINE.match(lines[n])
    assert found is not None
    new = random.choice(
        (
            random.choice(VALUES),
            random.choice(VALUES),
            _long(random),
            random.choice(HIDDEN) + found[4],
            found[4] + random.choice(HIDDEN),
        )
    )
    lines[n] = f"{found[1]}{found[2]}:{found[3]}{new}"
    return "\n".join(lines)


def _long(random: Random) -> str:
    return random.choice(("x", "9", "word ", "{", "[", "é", "山", "'", "- ", "a: ")) * random.choice(
        (30, 300, 5000, 100_000)
    )


def borrowed(text: str, random: Random, known: dict[str, list[str]]) -> str:
    """One value replaced by one that stands under the same key elsewhere: often valid, seldom seen together."""
    lines = _lines(text)
    places = [n for n, line in enumerate(lines) if (m := _LINE.match(line)) and len(known.get(m[2], ())) > 1]
    for n in random.sample(places, min(len(places), random.choice((1, 1, 2, 5)))):
        found = _LINE.match(lines[n])
        assert found is not None
        lines[n] = f"{found[1]}{found[2]}:{found[3]}{random.choice(known[found[2]])}"
    return "\n".join(lines)


def learn(texts: list[str]) -> dict[str, list[str]]:
    """The values that stand under each key in some facts files."""
    known: dict[str, set[str]] = {}
    for text in texts:
        for line in _lines(text):
            found = _LINE.match(line)
            if found:
                known.setdefault(found[2], set()).add(found[4].split("  #")[0].rstrip())
    return {key: sorted(values) for key, values in known.items()}


def dates(text: str, random: Random) -> str:
    """Dates moved by days, years or decades."""
    shift = random.choice((-60, -19, -5, -1, 1, 5, 19, 60))
    some = random.random() < 0.7

    def moved(found: re.Match[str]) -> str:
        return found[0] if some and random.random() < 0.8 else f"{int(found[1]) + shift:04d}{found[2]}"

    return re.sub(r"\b((?:19|20)\d\d)(-\d\d-\d\d)\b", moved, text)


def amounts(text: str, random: Random) -> str:
    """Amounts made very large, tiny, zero, equal or negative."""
    new = random.choice(("0", "0.01", "999999999999.99", "1", "-5", "33.33", "1000000", "0.10"))
    return re.sub(r"(?<=: )\d+(?:\.\d\d)?(?=\s|$)", lambda m: new if random.random() < 0.15 else m[0], text)


def less(text: str, random: Random) -> str:
    """Lines or whole groups taken out."""
    lines = _lines(text)
    for _ in range(random.choice((1, 1, 2, 6))):
        if len(lines) > 2:
            start, end = _block(lines, random.randrange(len(lines)))
            del lines[start : end if random.random() < 0.6 else start + 1]
    return "\n".join(lines)


def _block(lines: list[str], start: int) -> tuple[int, int]:
    """A line with everything that is indented below it."""
    depth = len(lines[start]) - len(lines[start].lstrip())
    end = start + 1
    while end < len(lines) and (not lines[end].strip() or len(lines[end]) - len(lines[end].lstrip()) > depth):
        end += 1
    return start, end


def moved(text: str, random: Random) -> str:
    """A group put somewhere else, or said twice."""
    lines = _lines(text)
    start, end = _block(lines, random.randrange(len(lines)))
    block = lines[start:end]
    if random.random() < 0.5:
        del lines[start:end]
    to = random.randrange(len(lines) + 1)
    return "\n".join([*lines[:to], *block, *lines[to:]])


def indented(text: str, random: Random) -> str:
    """Indentation damaged."""
    lines = _lines(text)
    for _ in range(random.choice((1, 3, 20))):
        n = random.randrange(len(lines))
        lines[n] = (
            random.choice((" ", "  ", "\t", "\u00a0", "    ")) + lines[n]
            if random.random() < 0.6
            else lines[n][random.choice((1, 2)) :]
        )
    return "\n".join(lines)


def renamed(text: str, random: Random) -> str:
    """Keys misspelt, in capitals, doubled, or strange."""
    lines = _lines(text)
    places = [n for n, line in enumerate(lines) if re.match(r"\s*(?:- )?[\w-]+:", line)]
    for n in random.sample(places, min(len(places), random.choice((1, 1, 4, 60)))):
        key = re.match(r"(\s*(?:- )?)([\w-]+):", lines[n])
        assert key is not None
        new = random.choice((
            key[2][1:], key[2] + "x", key[2].upper(), "x" * 4000, "", "yes", "123", "a.b", "__class__", "山田", "?", "<<", '"a: b"',
            key[2].replace("_", "-"), "\u202eabc", "{{x}}", "- x", "model_config", "copy", "0",
        ))  # fmt: skip
        lines[n] = f"{key[1]}{new}:{lines[n][key.end() :]}"
    return "\n".join(lines)


def yaml_trick(text: str, random: Random) -> str:
    """What YAML can do and a facts file has no use for, and a lot of it."""
    n = random.choice((10, 1000, 30_000))
    piece = random.choice((
        "a: &a [x]\nb: *a\n", "? [a, b]\n: c\n", "--- \n", "...\n", "%YAML 1.2\n---\n", "!!binary aGVsbG8=\n", "x: !!set {a, b}\n",
        "bomb: &a [1]\nb1: &b [*a,*a,*a,*a,*a,*a,*a,*a,*a]\nb2: &c [*b,*b,*b,*b,*b,*b,*b,*b,*b]\nb3: [*c,*c,*c,*c]\n",
        "deep: " + "[" * n + "]" * n + "\n", "deep: " + "{a: " * n + "}" * n + "\n", "- " * n + "x\n",
        "".join(f"{' ' * k}k:\n" for k in range(min(n, 1500))), "".join(f"key{k}: x\n" for k in range(n)), "same: x\n" * n,
        "children:\n" + "".join(f"  c{k}: {{name: {{first: A, last: B}}, born_on: 2015-01-01}}\n" for k in range(min(n, 3000))),
        "assets:\n" + "".join(f"  a{k}: {{kind: vehicle, label: Car {k}}}\n" for k in range(min(n, 1000))),
        "text: |\n" + "  line\n" * n, "text: >-9\n  x\n", "text: \"" + "\\n" * n + "\"\n", "long: " + "a" * (n * 20) + "\n", "# " + "#" * (n * 20) + "\n",
        "\n" * n, "a: b: c\n", ": x\n", "-\n" * n, "[" * n, "{" * n, "'" + "''" * n, "x: [" + "," * n + "]\n", "\u2028" * 30, "\t" * n + "x: y\n",
        "k: *" + "a" * n + "\n", "k: &" + "a" * n + " x\n", "k: !" + "a" * n + " x\n", "'" + "k" * n + "': x\n", "\"" + "k" * 900 + "\": x\n",
    ))  # fmt: skip
    lines = _lines(text)
    to = random.choice((0, len(lines), random.randrange(len(lines) + 1)))
    return "\n".join([*lines[:to], piece.rstrip("\n"), *lines[to:]])


def doubled(text: str, random: Random) -> str:
    """An entry under a short name copied many times under new ones: many children, assets, debts."""
    lines = _lines(text)
    heads = [n for n, line in enumerate(lines) if re.fullmatch(r"(children|assets|debts):", line.rstrip())]
    if not heads:
        return text
    head = random.choice(heads)
    entries = [n for n in range(head + 1, _block(lines, head)[1]) if re.match(r"  [a-z][\w-]*:", lines[n])]
    if not entries:
        return text
    start, end = _block(lines, random.choice(entries))
    name = lines[start].strip().partition(":")[0]
    copies = []
    for k in range(random.choice((1, 3, 12))):
        copies += [lines[start].replace(name, f"{name[:20]}_{k}", 1), *lines[start + 1 : end]]
    return "\n".join([*lines[:end], *copies, *lines[end:]])
