"""Edits of a document as another word processor would leave them, made on its XML by hand.

Every edit is made twice: in the document that comes back (perhaps as a tracked change) and in a clean one that shows how
the text is meant to read, so that what is expected does not depend on the code under test.
"""

from __future__ import annotations

import copy
import io
import re
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random
from typing import Any

from lxml import etree

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
NUMBERED = ("Para1", "Para2", "Para3", "ExhibitPara1", "ExhibitPara2", "ExhibitPara3")
WORDS = (
    "The parties may agree otherwise in writing at any time.",
    "Each of them keeps a copy of every record that this rests on.",
    "Whoever is late tells the other as soon as that is known.",
    "A notice may be given by electronic mail to the last address known.",
    "This does not reach what was settled before the day of separation.",
)
FACTS = re.compile(r"\$[\d,]+\.\d\d")


@dataclass
class Script:
    """A document under edit. `told` holds, for each edit, words of which the report must show one."""

    edited: Any
    clean: Any
    random: Random
    told: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)
    touched: set[int] = field(default_factory=set)
    tracked: int = 0
    mode: str = "accept"


def parts(document: bytes) -> dict[str, bytes]:
    archive = zipfile.ZipFile(io.BytesIO(document))
    return {name: archive.read(name) for name in archive.namelist()}


def packed(named: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in named.items():
            archive.writestr(name, data)
    return out.getvalue()


def with_body(document: bytes, root: Any) -> bytes:
    return packed(
        {**parts(document), "word/document.xml": etree.tostring(root, xml_declaration=True, encoding="UTF-8")}
    )


def body_of(document: bytes) -> Any:
    return etree.fromstring(parts(document)["word/document.xml"])


def style(p: Any) -> str:
    found = p.find(f"{W}pPr/{W}pStyle")
    return "" if found is None else found.get(W + "val")


def lines(root: Any) -> list[str]:
    """The text of every paragraph but those of the contents; a number field by its target, white space folded."""
    out = []
    for p in root.iter(W + "p"):
        if style(p).startswith(("TOC", "Contents")):
            continue
        said, state, target = "", "", ""
        for node in p.iter(W + "t", W + "tab", W + "br", W + "fldChar", W + "instrText"):
            if node.tag == W + "fldChar":
                state = node.get(W + "fldCharType")
                if state == "end":
                    target = ""
            elif node.tag == W + "instrText":
                found = re.search(r"REF (\S+) \\n", node.text or "")
                if found:
                    target = found[1]
                    said += f"<{target}>"
            elif node.tag == W + "t":
                said += "" if target and state == "separate" else node.text or ""
            elif node.getparent().tag == W + "r":
                said += " "
        text = " ".join(said.split())
        if text:
            out.append(text)
    return out


def begin(document: bytes, random: Random, mode: str = "accept") -> Script:
    return Script(body_of(document), body_of(document), random, mode=mode)


# --- choosing places -----------------------------------------------------------------------------------------------


def _paragraphs(root: Any) -> list[Any]:
    return list(root.iter(W + "p"))


def _choose(script: Script, fits: Callable[[Any, int, list[Any]], bool]) -> tuple[Any, Any] | None:
    """A paragraph that was not touched yet, in the edited and in the clean document."""
    clean = {_number(p): p for p in _marked(script.clean)}
    places = _marked(script.edited)
    numbers = [
        n
        for n, p in enumerate(places)
        if _number(p) not in script.touched
        and _number(p) in clean
        and fits(p, n, places)
        and _alike(p, clean[_number(p)])
    ]
    if not numbers:
        return None
    n = script.random.choice(numbers)
    script.touched.add(_number(places[n]))
    return places[n], clean[_number(places[n])]


def _alike(edited: Any, clean: Any) -> bool:
    """Whether a paragraph stands between the same neighbours in both documents, free of tracked changes."""
    for here, there in ((edited, clean), (edited.getnext(), clean.getnext())):
        if (here is None) != (there is None):
            return False
        if here is not None and (here.get("n") != there.get("n") or _text(here) != _text(there)):
            return False
    return True


def _marked(root: Any) -> list[Any]:
    """Paragraphs that carry the count they had at the beginning, so that both documents can be walked side by side."""
    return [p for p in root.iter(W + "p") if p.get("n")]


def number_all(script: Script) -> None:
    for root in (script.edited, script.clean):
        for n, p in enumerate(root.iter(W + "p")):
            p.set("n", str(n))


def strip_counts(root: Any) -> None:
    for p in root.iter(W + "p"):
        p.attrib.pop("n", None)


def _number(p: Any) -> int:
    return int(p.get("n"))


def _is_numbered(p: Any, n: int, every: list[Any]) -> bool:
    return style(p) in NUMBERED


def _own_texts(p: Any) -> list[Any]:
    """Texts that are not the result of a field."""
    out, depth = [], 0
    for node in p.iter(W + "t", W + "fldChar"):
        if node.tag == W + "fldChar":
            depth += {"begin": 1, "end": -1}.get(node.get(W + "fldCharType"), 0)
        elif depth == 0:
            out.append(node)
    return out


def _level(p: Any) -> int:
    return int(style(p)[-1]) if style(p) in NUMBERED else 0


def _is_leaf(p: Any, n: int, every: list[Any]) -> bool:
    follows = every[n + 1] if n + 1 < len(every) else None
    return _is_numbered(p, n, every) and (follows is None or _level(follows) <= _level(p)) and not _before_table(p)


def _before_table(p: Any) -> bool:
    following = p.getnext()
    return following is None or following.tag != W + "p"


def _text(p: Any) -> str:
    return "".join(t.text or "" for t in p.iter(W + "t"))


# --- the edits -----------------------------------------------------------------------------------------------------


def _both(pair: tuple[Any, Any], change: Callable[[Any], None]) -> None:
    for p in pair:
        change(p)


def typo(script: Script) -> None:
    def fits(p: Any, n: int, every: list[Any]) -> bool:
        return _is_numbered(p, n, every) and any(re.search(r"\b[a-z]{6,}\b", t.text or "") for t in _own_texts(p))

    pair = _choose(script, fits)
    if pair is None:
        return
    texts = _own_texts(pair[0])
    n = script.random.choice([n for n, t in enumerate(texts) if re.search(r"\b[a-z]{6,}\b", t.text or "")])
    found = script.random.choice(list(re.finditer(r"\b[a-z]{6,}\b", texts[n].text)))
    word = found[0]
    wrong = word[:2] + word[3] + word[2] + word[4:]
    wrong = wrong if wrong != word else word + "x"

    def change(p: Any) -> None:
        t = _own_texts(p)[n]
        t.text = t.text[: found.start()] + wrong + t.text[found.end() :]

    _both(pair, change)
    script.told.append(("typo", (wrong,)))


def amount(script: Script) -> None:
    pair = _choose(
        script, lambda p, n, every: _is_numbered(p, n, every) and any(FACTS.search(t.text or "") for t in _own_texts(p))
    )
    if pair is None:
        return
    texts = _own_texts(pair[0])
    n = script.random.choice([n for n, t in enumerate(texts) if FACTS.search(t.text or "")])
    found = FACTS.search(texts[n].text)
    assert found is not None
    new = f"${script.random.randrange(100, 9000):,}.00"

    def change(p: Any) -> None:
        t = _own_texts(p)[n]
        t.text = t.text[: found.start()] + new + t.text[found.end() :]

    _both(pair, change)
    script.told.append(("amount", (new,)))


def insert(script: Script) -> None:
    pair = _choose(script, _is_leaf)
    if pair is None:
        return
    words = f"{script.random.choice(WORDS)} Nr {script.random.randrange(10**6)}."

    def change(p: Any) -> None:
        new = etree.SubElement(p.getparent(), W + "p")
        p.addnext(new)
        properties = etree.SubElement(etree.SubElement(new, W + "pPr"), W + "pStyle")
        properties.set(W + "val", style(p))
        etree.SubElement(etree.SubElement(new, W + "r"), W + "t").text = words

    _both(pair, change)
    script.told.append(("insert", (words,)))


def paste(script: Script) -> None:
    """Plain text from elsewhere, in two paragraphs without number, bookmark or style."""
    pair = _choose(script, _is_leaf)
    if pair is None:
        return
    first, second = (f"{w} Pasted {script.random.randrange(10**6)}." for w in script.random.sample(WORDS, 2))

    def change(p: Any) -> None:
        for words in (second, first):
            new = etree.SubElement(p.getparent(), W + "p")
            p.addnext(new)
            etree.SubElement(etree.SubElement(new, W + "r"), W + "t").text = words

    _both(pair, change)
    script.told += [("paste", (first,)), ("paste", (second,))]


def replaced_by_paste(script: Script) -> None:
    """A paragraph deleted and pasted again with one word more: its bookmark is gone."""
    pair = _choose(script, lambda p, n, every: _is_numbered(p, n, every) and len(_text(p)) > 80)
    if pair is None:
        return
    word = f"quietly{script.random.randrange(1000)}"

    def change(p: Any) -> None:
        for mark in [*p.iter(W + "bookmarkStart"), *p.iter(W + "bookmarkEnd")]:
            mark.getparent().remove(mark)
        t = _own_texts(p)[-1]
        t.text = (t.text or "") + f" {word}"
        t.set("{http://www.w3.org/XML/1998/namespace}space", "preserve")

    _both(pair, change)
    script.told.append(("replaced", (word,)))


def delete(script: Script) -> None:
    pair = _choose(script, lambda p, n, every: _is_leaf(p, n, every) and _level(p) >= 2)
    if pair is None:
        return
    text = " ".join(_text(pair[0]).split())
    _both(pair, lambda p: p.getparent().remove(p))
    script.told.append(("delete", (text[:40],)))


def reorder(script: Script) -> None:
    """A paragraph without sub-paragraphs goes behind its next sibling."""

    def fits(p: Any, n: int, every: list[Any]) -> bool:
        following = p.getnext()
        after = following.getnext() if following is not None else None
        return (
            _is_leaf(p, n, every) and following is not None and following.tag == W + "p" and style(following) == style(p)
            and following.get("n") is not None and _number(following) not in script.touched
            and after is not None and after.tag == W + "p" and _level(after) <= _level(p)
        )  # fmt: skip

    pair = _choose(script, fits)
    if pair is None:
        return
    script.touched.add(_number(pair[0].getnext()))
    text, other = (" ".join(_text(p).split())[:40] for p in (pair[0], pair[0].getnext()))
    _both(pair, lambda p: p.getnext().addnext(p))
    script.told.append(("reorder", (text, other)))


def article(script: Script) -> None:
    """A whole article goes before the one above it."""
    every = _marked(script.edited)
    heads = [n for n, p in enumerate(every) if style(p) == "Heading1"]
    if len(heads) < 5 or any(told[0] == "article" for told in script.told):
        return
    at = script.random.randrange(1, len(heads) - 2)
    numbers = [_number(every[heads[at + k]]) for k in (0, 1, 2)]
    texts = tuple(" ".join(_text(every[heads[at + k]]).split()) for k in (0, 1))
    for root in (script.edited, script.clean):
        first, second, end = (next(p for p in _marked(root) if _number(p) == n) for n in numbers)
        node = second
        while node is not end:
            following = node.getnext()
            first.addprevious(node)
            node = following
    script.told.append(("article", texts))


def cell(script: Script) -> None:
    pair = _choose(script, lambda p, n, every: style(p) in ("TableText", "ScheduleText") and bool(_own_texts(p)))
    if pair is None:
        return
    word = f"noted{script.random.randrange(1000)}"

    def change(p: Any) -> None:
        t = _own_texts(p)[-1]
        t.text = f"{t.text} {word}"

    _both(pair, change)
    script.told.append(("cell", (word,)))


def split(script: Script) -> None:
    def fits(p: Any, n: int, every: list[Any]) -> bool:
        texts = _own_texts(p)
        return _is_leaf(p, n, every) and bool(texts) and len((texts[-1].text or "").split()) > 8

    pair = _choose(script, fits)
    if pair is None:
        return
    words = (_own_texts(pair[0])[-1].text or "").split(" ")
    tail = " ".join(words[len(words) // 2 :])

    def change(p: Any) -> None:
        t = _own_texts(p)[-1]
        t.text = " ".join(words[: len(words) // 2])
        new = etree.SubElement(p.getparent(), W + "p")
        p.addnext(new)
        new.append(copy.deepcopy(p.find(W + "pPr")))
        etree.SubElement(etree.SubElement(new, W + "r"), W + "t").text = tail

    _both(pair, change)
    script.told.append(("split", (tail[:40],)))


def merge(script: Script) -> None:
    def fits(p: Any, n: int, every: list[Any]) -> bool:
        following = p.getnext()
        return (
            _is_leaf(p, n, every) and following is not None and following.tag == W + "p" and style(following) == style(p)
            and following.get("n") is not None and _number(following) not in script.touched
            and _is_leaf(following, n + 1, every)
        )  # fmt: skip

    pair = _choose(script, fits)
    if pair is None:
        return
    script.touched.add(_number(pair[0].getnext()))
    text = " ".join(_text(pair[0].getnext()).split())[:40]

    def change(p: Any) -> None:
        following = p.getnext()
        space = etree.SubElement(etree.SubElement(p, W + "r"), W + "t")
        space.text = " "
        for child in list(following):
            if child.tag != W + "pPr":
                p.append(child)
        following.getparent().remove(following)

    _both(pair, change)
    script.told.append(("merge", (text,)))


# --- tracked changes: the edited document holds the change, the clean one its outcome --------------------------------


def _change(script: Script, tag: str) -> Any:
    script.tracked += 1
    made = etree.Element(W + tag)
    made.set(W + "id", str(90000 + script.tracked))
    made.set(W + "author", "Opposing Counsel")
    made.set(W + "date", "2026-11-01T10:00:00Z")
    return made


def tracked_insert(script: Script) -> None:
    pair = _choose(script, _is_numbered)
    if pair is None:
        return
    words = f" as added {script.random.randrange(10**6)}"
    edited, clean = pair
    wrap = _change(script, "ins")
    t = etree.SubElement(etree.SubElement(wrap, W + "r"), W + "t")
    t.text = words
    edited.append(wrap)
    if script.mode == "accept":
        t = etree.SubElement(etree.SubElement(clean, W + "r"), W + "t")
        t.text = words
    script.told.append(("tracked insert", (words.strip(),)))


def tracked_delete(script: Script) -> None:
    pair = _choose(
        script, lambda p, n, every: _is_numbered(p, n, every) and len(p.findall(W + "r")) >= 1 and len(_text(p)) > 60
    )
    if pair is None:
        return
    edited, clean = pair
    run, clean_run = (
        next(r for r in reversed(p.findall(W + "r")) if r.find(W + "t") is not None) for p in (edited, clean)
    )
    text = run.find(W + "t").text
    wrap = _change(script, "del")
    run.addprevious(wrap)
    wrap.append(run)
    for t in run.findall(W + "t"):
        t.tag = W + "delText"
    if script.mode == "accept":
        clean_run.getparent().remove(clean_run)
    script.told.append(("tracked delete", (" ".join(text.split())[:30],)))


def tracked_paragraph(script: Script) -> None:
    pair = _choose(script, _is_leaf)
    if pair is None:
        return
    words = f"{script.random.choice(WORDS)} Tracked {script.random.randrange(10**6)}."
    edited, clean = pair
    new = etree.Element(W + "p")
    edited.addnext(new)
    properties = etree.SubElement(new, W + "pPr")
    etree.SubElement(properties, W + "pStyle").set(W + "val", style(edited))
    etree.SubElement(properties, W + "rPr").append(_change(script, "ins"))
    wrap = _change(script, "ins")
    new.append(wrap)
    etree.SubElement(etree.SubElement(wrap, W + "r"), W + "t").text = words
    if script.mode == "accept":
        plain = etree.Element(W + "p")
        clean.addnext(plain)
        etree.SubElement(etree.SubElement(plain, W + "pPr"), W + "pStyle").set(W + "val", style(edited))
        etree.SubElement(etree.SubElement(plain, W + "r"), W + "t").text = words
    script.told.append(("tracked paragraph", (words,)))


def tracked_removal(script: Script) -> None:
    pair = _choose(script, lambda p, n, every: _is_leaf(p, n, every) and _level(p) >= 2)
    if pair is None:
        return
    edited, clean = pair
    text = " ".join(_text(edited).split())[:40]
    properties = edited.find(W + "pPr")
    mark = properties.find(W + "rPr")
    if mark is None:
        mark = etree.SubElement(properties, W + "rPr")
    mark.insert(0, _change(script, "del"))
    for run in edited.findall(W + "r"):
        wrap = _change(script, "del")
        run.addprevious(wrap)
        wrap.append(run)
        for t in run.findall(W + "t"):
            t.tag = W + "delText"
        for t in run.findall(W + "instrText"):
            t.tag = W + "delInstrText"
    if script.mode == "accept":
        clean.getparent().remove(clean)
    script.told.append(("tracked removal", (text,)))


PLAIN = (typo, amount, insert, paste, replaced_by_paste, delete, reorder, article, cell, split, merge)
TRACKED = (tracked_insert, tracked_delete, tracked_paragraph, tracked_removal)


def generated(document: bytes, seed: int) -> tuple[bytes, Script]:
    """A script of one to five edits; every second one holds tracked changes, to be accepted or rejected."""
    random = Random(seed)
    script = begin(document, random, "reject" if seed % 4 == 3 else "accept")
    number_all(script)
    kinds = [random.choice(PLAIN) for _ in range(random.randint(1, 4))]
    if seed % 2:
        kinds += [random.choice(TRACKED) for _ in range(random.randint(1, 2))]
    random.shuffle(kinds)
    for kind in kinds:
        kind(script)
    for root in (script.edited, script.clean):
        strip_counts(root)
        for t in root.iter(W + "t", W + "delText"):
            # without it a word processor may drop the blanks at the two ends (XML 1.0, section 2.10)
            t.set("{http://www.w3.org/XML/1998/namespace}space", "preserve")
    return with_body(document, script.edited), script
