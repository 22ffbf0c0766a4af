"""Compare two versions of a case: terms, clauses and why they turned, paragraphs, form items, figures, open offers.

Pure: two versions in, the changes out. A paragraph is followed by its id; its words are compared with every reference
taken as its target, so that a mere change of number is no change of words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from difflib import SequenceMatcher
from typing import Any

from msadraft.facts.base import Record
from msadraft.facts.model import Facts
from msadraft.facts.paths import UnknownPathError, describe, field_at, get
from msadraft.facts.view import NOT_GIVEN, said
from msadraft.rounds.chosen import is_kept_back
from msadraft.rounds.read import Version
from msadraft.tree import (
    Agreement,
    Blank,
    Block,
    Inline,
    Paragraph,
    Reference,
    Row,
    Section,
    Table,
    Text,
    inlines,
    walk,
)
from msadraft.writers.changes import (
    KEPT_BACK,
    Cause,
    Changes,
    ClauseChange,
    FigureMove,
    FormItem,
    Offer,
    Renumbered,
    Reworded,
    Term,
    Whole,
)
from msadraft.writers.inline import node_text, plain, row_text

_NOT_TERMS = ("negotiation",)
_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_OWN_FIGURES = ("as_of",)


def compare(old: Version, new: Version) -> Changes:
    """Say what changed from `old` to `new`."""
    terms = tuple(term_changes(old.facts, new.facts)) if old.facts and new.facts else ()
    reworded, renumbered, came, went = _paragraphs(old, new, {term.path for term in terms})
    return Changes(
        old_mark=old.mark,
        new_mark=new.mark,
        terms=terms,
        clauses=tuple(_clauses(old, new)),
        came=came,
        went=went,
        reworded=reworded,
        renumbered=renumbered,
        forms=tuple(_forms(old, new, {p.id for p in reworded})),
        figures=tuple(_figures(old.figures, new.figures)),
        offers=tuple(_offers(new.facts)) if new.facts else (),
        notes=tuple(_notes(old, new)),
    )


def _notes(old: Version, new: Version) -> Iterator[str]:
    for version in (old, new):
        if version.trouble:
            yield f"{version.label}: {version.trouble} Its terms are not compared."
    if old.engine != new.engine:
        yield f"The rounds were written by different versions of the program: {old.engine} and {new.engine}."
    if old.library != new.library:
        yield "The clause library is not the same in both rounds: words may have changed without a fact."
    a, b = old.agreement, new.agreement
    if (a.numbering, a.layout) != (b.numbering, b.layout):
        yield (
            f"Numbering or layout changed ({a.numbering}, {a.layout} to {b.numbering}, {b.layout}); the redline shows both "
            "versions in the new one."
        )


# Terms


def term_changes(old: Facts, new: Facts) -> Iterator[Term]:
    """Yield every fact that changed, in the order of the facts. Steps of the negotiation itself are no terms."""
    hidden = tuple(_hidden(old, new))
    for name in type(new).model_fields:
        if name in _NOT_TERMS:
            continue
        for term in _differences(getattr(old, name), getattr(new, name), name):
            kept_back = term.path.startswith(hidden) if hidden else False
            yield Term(term.path, term.says, KEPT_BACK, KEPT_BACK) if kept_back else term


def _hidden(old: Facts, new: Facts) -> Iterator[str]:
    """Yield where a party who keeps an address from the other can be found."""
    for role in ("petitioner", "respondent"):
        if getattr(old, role).address_hidden or getattr(new, role).address_hidden:
            yield from (f"{role}.{name}" for name in ("address", "phone", "email", "employer"))


def _differences(old: Any, new: Any, path: str) -> Iterator[Term]:
    if old == new:
        return
    if isinstance(old, Record) and isinstance(new, Record) and type(old) is type(new):
        for name in type(new).model_fields:
            yield from _differences(getattr(old, name), getattr(new, name), f"{path}.{name}")
    elif isinstance(old, dict) and isinstance(new, dict):
        for key in dict.fromkeys((*old, *new)):
            yield from _differences(old.get(key), new.get(key), f"{path}.{key}")
    elif _has_records(old) or _has_records(new):
        yield from _list_differences(old or (), new or (), path)
    else:
        yield _term(path, old, new)


def _has_records(value: Any) -> bool:
    return isinstance(value, tuple) and any(isinstance(item, Record) for item in value)


def _list_differences(old: Sequence[Any], new: Sequence[Any], path: str) -> Iterator[Term]:
    """Entries of a list have no names: those that are equal are passed over, the others pair off in order."""
    matcher = SequenceMatcher(None, [repr(item) for item in old], [repr(item) for item in new], autojunk=False)
    for kind, i, j, k, m in matcher.get_opcodes():
        if kind == "equal":
            continue
        for n in range(max(j - i, m - k)):
            was, now = (old[i + n] if i + n < j else None), (new[k + n] if k + n < m else None)
            yield from _differences(was, now, f"{path}.{k + n if now is not None else i + n}")


def _term(path: str, old: Any, new: Any) -> Term:
    try:
        says, reader = describe(path), field_at(path).shape.reader
    except UnknownPathError:
        says, reader = "", ""
    if is_kept_back(path):
        return Term(path, says, KEPT_BACK, KEPT_BACK)
    if reader != "money":
        return Term(path, says, _whole(old), _whole(new))
    return Term(path, says, _amount(old), _amount(new), _signed((new or Decimal(0)) - (old or Decimal(0))))


def _amount(value: Decimal | None) -> str:
    return NOT_GIVEN if value is None else f"{value:,.2f}"


def _whole(value: Any) -> str:
    """Give a value; of a group of facts everything that is given in it and may be shown."""
    if not isinstance(value, Record):
        return said(value)
    parts = []
    for name in type(value).model_fields:
        inner = getattr(value, name)
        info = type(value).model_fields[name]
        extra = info.json_schema_extra
        hidden = isinstance(extra, dict) and extra.get("privacy") in ("C", "D")
        if inner in (None, (), {}) or inner == info.default:
            continue
        text = KEPT_BACK if hidden else "; ".join(_whole(i) for i in inner) if _has_records(inner) else _whole(inner)
        parts.append(f"{name}: {text}" if not isinstance(inner, Record) else f"{name} ({text})")
    return ", ".join(parts) or "given"


def _signed(amount: Decimal) -> str:
    return f"{amount:+,.2f}" if amount else "0.00"


# Clauses


def _clauses(old: Version, new: Version) -> Iterator[ClauseChange]:
    before = {entry["id"]: entry for entry in old.chosen["chosen"]}
    after = {entry["id"]: entry for entry in new.chosen["chosen"]}
    went = [entry for key, entry in before.items() if key not in after]
    came = [entry for key, entry in after.items() if key not in before]
    then, now = _reads(old), _reads(new)
    by_group: dict[tuple[str, str], list[Any]] = {}
    for entry in came:
        if entry["one_of"]:
            by_group.setdefault((entry["one_of"], entry["item"]), []).append(entry)
    done: set[str] = set()
    for entry in went:
        others = by_group.get((entry["one_of"], entry["item"]), []) if entry["one_of"] else []
        done |= {other["id"] for other in others}
        kind = "replaced" if others else "dropped"
        yield _clause_change(kind, [entry], others, old, new, then, now)
    for entry in came:
        if entry["id"] not in done:
            yield _clause_change("added", [], [entry], old, new, then, now)


def _reads(version: Version) -> dict[str, str]:
    """Everything that any condition read in a version."""
    found: dict[str, str] = {}
    for entry in (*version.chosen["chosen"], *version.chosen["left_out"]):
        found.update(entry["read"])
    return found


def _clause_change(
    kind: str,
    went: Sequence[Mapping[str, Any]],
    came: Sequence[Mapping[str, Any]],
    old: Version,
    new: Version,
    then: Mapping[str, str],
    now: Mapping[str, str],
) -> ClauseChange:
    names = {entry["clause"] for entry in (*went, *came)}
    paths: dict[str, None] = {}
    for version in (old, new):
        for entry in (*version.chosen["chosen"], *version.chosen["left_out"]):
            if entry["clause"] in names:
                paths.update(dict.fromkeys(entry["read"]))
    causes = []
    for path in paths:
        was, is_now = _value_of(path, then, old), _value_of(path, now, new)
        if was != is_now:
            hidden = is_kept_back(path)
            causes.append(Cause(path, KEPT_BACK if hidden else was, KEPT_BACK if hidden else is_now))
    note = ""
    if not causes:
        items = ", ".join(dict.fromkeys(entry["item"] for entry in (*went, *came) if entry["item"]))
        same = old.library == new.library
        note = f"the record {items} came or went" if items else "" if same else "the clause library changed"
    ids = tuple(e["id"] for e in went), tuple(e["id"] for e in came)
    return ClauseChange(
        kind, *ids, tuple(causes), note or ("" if causes else "a fact that its condition passes on changed")
    )


def _value_of(path: str, read: Mapping[str, str], version: Version) -> str:
    if path in read:
        return read[path]
    head, _, rest = path.partition(".")
    if head == "figures":
        value: Any = version.figures.get("figures", {})
        for part in rest.split("."):
            value = value.get(part) if isinstance(value, dict) else None
        return said(value)
    if version.facts is None:
        return NOT_GIVEN
    try:
        return said(get(version.facts, path))
    except UnknownPathError:
        return NOT_GIVEN


# Paragraphs


@dataclass(frozen=True, slots=True)
class _Node:
    """One section, block or row: its words with references by target, the facts it shows, its words as read."""

    heading: str
    same_as: tuple[str, ...]
    sources: frozenset[str]
    words: str


def _nodes(version: Version) -> dict[str, _Node]:
    numbering = version.numbering
    found: dict[str, _Node] = {}
    for section in version.agreement.sections:
        heading = plain(section.heading, numbering)
        found[section.id] = _Node(heading, _key(section.heading), _sources(section.heading), heading)
        for block in walk(section.blocks):
            said_here = _own(block)
            own = plain(block.heading, numbering) if isinstance(block, Paragraph) and block.heading else ""
            found[block.id] = _Node(own, _key(said_here), _sources(said_here), node_text(block, numbering))
            if isinstance(block, Table):
                for row in (*block.rows, *((block.total,) if block.total else ())):
                    pieces = [piece for cell in row.cells for piece in cell]
                    if row.id:
                        caption = plain(block.caption, numbering)
                        found[row.id] = _Node(caption, _row_key(row), _sources(pieces), row_text(row, numbering))
    return found


def _own(block: Block) -> list[Inline]:
    if isinstance(block, Table):
        return [*block.caption, *(piece for cell in block.header for piece in cell)]
    return list(inlines(block))


def _row_key(row: Row) -> tuple[str, ...]:
    return tuple("".join(_key(cell)) for cell in row.cells)


def _key(pieces: Iterable[Inline]) -> tuple[str, ...]:
    """Give what makes words the same: text, blanks, and the targets of references."""
    out: list[str] = []
    text = ""
    for piece in pieces:
        if isinstance(piece, Text):
            text += piece.text
            continue
        out += [text, f"\0{piece.source}" if isinstance(piece, Blank) else f"\1{piece.target}"]
        text = ""
    return (*out, text)


def _sources(pieces: Iterable[Inline]) -> frozenset[str]:
    return frozenset(p.source for p in pieces if not isinstance(p, Reference) and p.source)


def _paragraphs(
    old: Version, new: Version, changed: set[str]
) -> tuple[tuple[Reworded, ...], tuple[Renumbered, ...], tuple[Whole, ...], tuple[Whole, ...]]:
    before, after = _nodes(old), _nodes(new)
    reworded, renumbered = [], []
    for node, now in after.items():
        was = before.get(node)
        if was is None:
            continue
        numbers = old.numbering[node].full, new.numbering[node].full
        if was.same_as != now.same_as:
            facts = tuple(sorted(s for s in was.sources | now.sources if _is_under(s, changed)))
            reworded.append(Reworded(node, now.heading, *numbers, was.words, now.words, facts))
        elif numbers[0] != numbers[1] and new.numbering[node].label:
            renumbered.append(Renumbered(node, now.heading, *numbers))
    came = [
        Whole(n, node.heading or node.words[:60], new.numbering[n].full) for n, node in after.items() if n not in before
    ]
    went = [
        Whole(n, node.heading or node.words[:60], old.numbering[n].full) for n, node in before.items() if n not in after
    ]
    return tuple(reworded), tuple(renumbered), tuple(came), tuple(went)


def _is_under(path: str, changed: set[str]) -> bool:
    return path in changed or any(path.startswith(f"{c}.") or c.startswith(f"{path}.") for c in changed)


# Form items


def _forms(old: Version, new: Version, reworded: set[str]) -> Iterator[FormItem]:
    """Yield the form items whose answer is no longer what it was: new, gone, pointing elsewhere, or to other words."""
    before = {(i["form"], i["item"]): i for i in old.items}
    after = {(i["form"], i["item"]): i for i in new.items}
    inside = _inside(new.agreement)
    lost = _inside(old.agreement)
    for key, now in after.items():
        was = before.get(key)
        reasons = []
        if was is None:
            reasons.append("answered now")
        else:
            if was["revision"] != now["revision"]:
                reasons.append(f"another revision of the form ({was['revision']} before)")
            if was["pointer"] != now["pointer"]:
                reasons.append("points elsewhere")
            if was["ids"] != now["ids"]:
                reasons.append("other paragraphs answer it")
            covered = {n for node in now["ids"] for n in inside.get(node, (node,))}
            earlier = {n for node in was["ids"] for n in lost.get(node, (node,))}
            if covered & reworded or (covered != earlier and was["ids"] == now["ids"]):
                numbers = [new.numbering[n].full for n in now["ids"] if _touched(n, inside, lost, reworded)]
                reasons.append(f"the words of {', '.join(numbers) or 'its paragraph'} changed")
        if reasons:
            yield FormItem(
                now["form"],
                now["revision"],
                now["item"],
                now["label"],
                was["pointer"] if was else "",
                now["pointer"],
                tuple(reasons),
            )
    for key, was in before.items():
        if key not in after:
            reasons = ["no longer answered by the paper"]
            yield FormItem(was["form"], was["revision"], was["item"], was["label"], was["pointer"], "", tuple(reasons))


def _touched(
    node: str, inside: Mapping[str, tuple[str, ...]], lost: Mapping[str, tuple[str, ...]], reworded: set[str]
) -> bool:
    covered = set(inside.get(node, (node,)))
    return bool(covered & reworded) or covered != set(lost.get(node, (node,)))


def _inside(agreement: Agreement) -> dict[str, tuple[str, ...]]:
    """For each section and block, the ids of all that stands in it, itself and its rows among them."""
    found: dict[str, tuple[str, ...]] = {}

    def visit(block: Block | Section) -> tuple[str, ...]:
        ids = [block.id]
        inner = block.blocks if isinstance(block, Section) else block.children if isinstance(block, Paragraph) else ()
        if isinstance(block, Table):
            ids += [row.id for row in (*block.rows, *((block.total,) if block.total else ())) if row.id]
        for child in inner:
            ids += visit(child)
        found[block.id] = tuple(ids)
        return found[block.id]

    for section in agreement.sections:
        visit(section)
    return found


# Figures


def _figures(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[FigureMove]:
    """Yield the figures that moved: those with a working by their titles, then the simple ones by their names."""
    before, after = _worked(old), _worked(new)
    for name in dict.fromkeys((*before, *after)):
        was, now = before.get(name), after.get(name)
        then_shown, now_shown = (entry["shown"] if entry else NOT_GIVEN for entry in (was, now))
        if then_shown != now_shown:
            a, b = (entry["value"] if entry else None for entry in (was, now))
            title = (now or was or {}).get("title", name)
            yield FigureMove(name, title, then_shown, now_shown, _gap(a, b))
    simple_before, simple_after = dict(_leaves(old.get("figures", {}))), dict(_leaves(new.get("figures", {})))
    for name in dict.fromkeys((*simple_before, *simple_after)):
        a, b = simple_before.get(name), simple_after.get(name)
        if a != b and name not in _OWN_FIGURES:
            kept_back = is_kept_back(f"figures.{name}")
            title = name.replace("_", " ").replace(".", ", ")
            if kept_back:
                yield FigureMove(name, title, KEPT_BACK, KEPT_BACK)
            else:
                yield FigureMove(name, title, said(a), said(b), _gap(a, b))


def _worked(data: Mapping[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for group in data.get("working", ()):
        for figure in group["figures"]:
            name = f"{group['title']}: {figure['name']}"
            count = sum(key.split(" #")[0] == name for key in found)
            found[f"{name} #{count + 1}" if count else name] = figure
    return found


def _leaves(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield the single values of plain data; entries of a list by their key where they have one."""
    if isinstance(value, dict):
        for name, inner in value.items():
            if name != "key":
                yield from _leaves(inner, f"{path}.{name}" if path else name)
    elif isinstance(value, list) and any(isinstance(item, dict) for item in value):
        for n, item in enumerate(value):
            name = item.get("key", n) if isinstance(item, dict) else n
            yield from _leaves(item, f"{path}.{name}")
    else:
        yield path, value


def _gap(old: Any, new: Any) -> str:
    """Give new less old where both are numbers."""
    try:
        if all(isinstance(v, int | str) and not isinstance(v, bool) and _NUMBER.fullmatch(str(v)) for v in (old, new)):
            gap = Decimal(str(new)) - Decimal(str(old))
            return f"{gap:+,}" if gap else "0"
    except InvalidOperation:
        return ""
    return ""


# Offers


def _offers(facts: Facts) -> Iterator[Offer]:
    """Yield the facts on which an offer is open: the last offer of each side that was neither accepted nor refused."""
    last: dict[str, dict[str, Any]] = {}
    for change in facts.negotiation.changes:
        sides = last.setdefault(change.path, {})
        if change.status == "offered":
            sides[change.by or "either"] = change
        elif change.status == "accepted":
            sides.clear()
        else:
            sides.pop(change.by or "either", None)
    for path, sides in last.items():
        if not sides:
            continue
        hidden = is_kept_back(path)
        try:
            says, now = describe(path), said(get(facts, path))
        except UnknownPathError:
            says, now = "", NOT_GIVEN
        offers = [
            "" if role not in sides else KEPT_BACK if hidden else sides[role].new or NOT_GIVEN
            for role in ("petitioner", "respondent")
        ]
        if "either" in sides:
            offers[0] = offers[0] or f"{KEPT_BACK if hidden else sides['either'].new or NOT_GIVEN} (side not named)"
        rounds = sorted({change.round for change in sides.values() if change.round is not None})
        shown = KEPT_BACK if hidden else now
        yield Offer(path, says, offers[0], offers[1], shown, ", ".join(map(str, rounds)))
