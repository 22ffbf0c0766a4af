"""Proofs about the clause library, over all combinations of facts and not by samples.

Conditions are run with stand-ins for the facts. Whenever a condition needs a fact that has no value yet, the run
is repeated once for every value that the fact can take (`explore`): every allowed word and "not known", yes and
no, an empty list and one with a record, a number on either side of each number that the conditions compare it
with. So every combination that the conditions can tell apart is tried.

What follows from other facts (`figures.default_path`) is worked out from them where a condition could see both;
other figures are taken as free, which can only report too much, never too little.
"""

from __future__ import annotations

import typing
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, time
from decimal import Decimal
from functools import cached_property
from typing import Any, Literal, get_args, get_origin

from jinja2 import TemplateError, nodes
from jinja2.environment import TemplateExpression
from pydantic import BaseModel

from msadraft.facts.model import Facts
from msadraft.facts.people import Child, Party
from msadraft.facts.property import Asset, Debt
from msadraft.facts.scalars import PartyRole
from msadraft.facts.support import SpousalSupport
from msadraft.facts.view import Records
from msadraft.figures.compute import Figures
from msadraft.library.clause import Clause
from msadraft.library.environment import WordingError, Words, environment, expression
from msadraft.library.load import Library
from msadraft.library.replaced import lost_topics

LIMIT = 200_000
RECORD_TYPES: dict[str, type[BaseModel]] = {"children": Child, "assets": Asset, "debts": Debt}
PATHS: dict[str, Callable[[Any], bool]] = {
    "figures.default_path": lambda path: path in ("default", "default_with_agreement"),
    "figures.true_default": lambda path: bool(path == "default"),
    "figures.joint_path": lambda path: bool(path == "joint_petition"),
}


class _NeededError(Exception):
    """A condition asked for a value that has not been chosen yet."""

    def __init__(self, key: str, values: tuple[Any, ...]) -> None:
        self.key, self.values = key, values


class TooManyError(Exception):
    """The conditions of one group read so many facts that all combinations cannot be tried."""


class StandIn:
    """Stands for one fact, record, list or figure whose value is still open."""

    __slots__ = ("_chosen", "_key", "_numbers", "_type")

    def __init__(self, key: str, kind: Any, chosen: dict[str, Any], numbers: tuple[Decimal, ...]) -> None:
        self._key, self._type, self._chosen, self._numbers = key, kind, chosen, numbers

    def _sub(self, name: str, kind: Any) -> StandIn:
        return StandIn(f"{self._key}.{name}" if self._key else name, kind, self._chosen, self._numbers)

    def _pick(self, what: str, values: tuple[Any, ...]) -> Any:
        key = f"{self._key}{what}"
        if key in PATHS and "case.path" in self._chosen:
            return PATHS[key](self._chosen["case.path"])
        if key not in self._chosen:
            raise _NeededError(key, values)
        return self._chosen[key]

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):
            raise AttributeError(name)
        if name == "key":
            kind = PartyRole if _unwrapped(self._type)[0] is Party else str
            return StandIn(f"{self._key}.key", kind, self._chosen, self._numbers)
        kind, _ = _unwrapped(self._type)
        if get_origin(kind) is dict:
            if name in ("values", "items", "keys"):
                return lambda: list(self)
            return self._sub(name, get_args(kind)[1])
        found = attribute_type(kind, name)
        if found is None:
            raise AttributeError(f"{self._key} has no fact {name!r}")
        return self._sub(name, found)

    def __getitem__(self, name: Any) -> StandIn:
        kind, _ = _unwrapped(self._type)
        return self._sub(f"[{getattr(name, '_key', name)}]", get_args(kind)[-1])

    def _is_many(self) -> bool:
        kind, _ = _unwrapped(self._type)
        return kind is Records or get_origin(kind) in (tuple, dict, list)

    def __iter__(self) -> Iterator[StandIn]:
        if self._pick("#", (False, True)):
            kind, _ = _unwrapped(self._type)
            item = record_type(self._key) if kind is Records else get_args(kind)[1 if get_origin(kind) is dict else 0]
            yield self._sub("*", item)

    def __len__(self) -> int:
        if not self._pick("#", (False, True)):
            return 0
        lengths = sorted({1, 2} | {int(p) for n in self._numbers for p in (n, n + 1) if 1 <= p < 100})
        return int(self._pick("#n", tuple(lengths)))

    def __contains__(self, item: Any) -> bool:
        wanted = item._key if isinstance(item, StandIn) else item
        return bool(self._pick("#", (False, True))) and bool(self._pick(f"∋{wanted}", (False, True)))

    def _value(self) -> Any:
        return self._pick("", domain(self._type, self._numbers))

    def __bool__(self) -> bool:
        if self._is_many():
            return bool(self._pick("#", (False, True)))
        kind, optional = _unwrapped(self._type)
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            return bool(self._pick("?", (False, True))) if optional else True
        return bool(self._value())

    def __eq__(self, other: object) -> bool:
        return bool(self._value() == (other._value() if isinstance(other, StandIn) else other))

    def __ne__(self, other: object) -> bool:
        return not self == other

    __hash__ = None  # type: ignore[assignment]

    def _ordered(self, other: Any, test: Callable[[Any, Any], bool]) -> bool:
        mine = self._value()
        theirs = other._value() if isinstance(other, StandIn) else other
        return mine is not None and theirs is not None and test(mine, theirs)

    def __lt__(self, other: Any) -> bool:
        return self._ordered(other, lambda a, b: a < b)

    def __le__(self, other: Any) -> bool:
        return self._ordered(other, lambda a, b: a <= b)

    def __gt__(self, other: Any) -> bool:
        return self._ordered(other, lambda a, b: a > b)

    def __ge__(self, other: Any) -> bool:
        return self._ordered(other, lambda a, b: a >= b)

    def _given(self) -> bool:
        if self._is_many() or (
            isinstance(_unwrapped(self._type)[0], type) and issubclass(_unwrapped(self._type)[0], BaseModel)
        ):
            return bool(self)
        return self._value() is not None


def _unwrapped(kind: Any) -> tuple[Any, bool]:
    """Take Optional and Annotated off a type; say whether None is allowed."""
    optional = False
    while True:
        origin = get_origin(kind)
        if origin is typing.Annotated:
            kind = get_args(kind)[0]
        elif origin is typing.Union or str(origin) == "<class 'types.UnionType'>":
            inner = [a for a in get_args(kind) if a is not type(None)]
            optional = optional or len(inner) < len(get_args(kind))
            kind = inner[0]
        else:
            return kind, optional


def attribute_type(kind: Any, name: str) -> Any:
    """The type of an attribute of a record, figure or property; None if there is none."""
    kind, _ = _unwrapped(kind)
    if isinstance(kind, type) and issubclass(kind, BaseModel) and name in kind.model_fields:
        info = kind.model_fields[name]
        hint = typing.get_type_hints(kind, include_extras=True)[name]
        return hint if info is not None else None
    if is_dataclass(kind) and name in {f.name for f in fields(kind)}:
        return typing.get_type_hints(kind)[name]
    member = getattr(kind, name, None)
    if isinstance(member, cached_property):
        return object  # worked out on demand; what is inside is not followed
    if kind is object:
        return object
    return typing.get_type_hints(member.fget).get("return") if isinstance(member, property) and member.fget else None


def record_type(path: str) -> type[BaseModel]:
    """The type of the records that a figure like `figures.homes` lists."""
    name = path.split(".")[-1]
    if "child" in name and name != "child_accounts":
        return Child
    return Debt if "debt" in name else Asset


def domain(kind: Any, numbers: tuple[Decimal, ...]) -> tuple[Any, ...]:
    """Every value of a fact that conditions can tell apart."""
    kind, optional = _unwrapped(kind)
    none: tuple[Any, ...] = (None,) if optional else ()
    if get_origin(kind) is Literal:
        return (*get_args(kind), *none)
    if kind is bool:
        return (True, False, *none)
    if kind in (int, Decimal):
        points = sorted({p for n in (*numbers, Decimal(0)) for p in (n - 1, n, n + 1) if p >= 0})
        return (*(int(p) if kind is int else p for p in points), *none)
    if kind in (date, time, str):
        return ("some", *none)
    return (True, None) if kind is object else (True, *none)


def _numbers_in(sources: Iterator[str] | list[str]) -> tuple[Decimal, ...]:
    found: set[Decimal] = set()
    for source in sources:
        if source == "always":
            continue
        for node in environment().parse("{{ " + source + " }}").find_all(nodes.Const):
            if isinstance(node.value, (int, float)) and not isinstance(node.value, bool):
                found.add(Decimal(str(node.value)))
    return tuple(sorted(found))


def _names(chosen: dict[str, Any], numbers: tuple[Decimal, ...], bound: dict[str, tuple[str, Any]]) -> dict[str, Any]:
    def stand(key: str, kind: Any) -> StandIn:
        return StandIn(key, kind, chosen, numbers)

    hints = typing.get_type_hints(Facts, include_extras=True)
    names: dict[str, Any] = {name: stand(name, kind) for name, kind in hints.items() if name in Facts.model_fields}

    def support_to(role: Any) -> StandIn:
        return stand(f"support_to({getattr(role, '_key', role)})", SpousalSupport)

    def other(role: Any) -> StandIn:
        key = getattr(role, "_key", str(role))
        flipped = {
            "party": "other(party)",
            "other(party)": "party",
            "petitioner": "respondent",
            "respondent": "petitioner",
        }
        return stand(flipped.get(key, f"other({key})"), Party)

    def look_up(kind: type[BaseModel]) -> Callable[[Any], StandIn]:
        return lambda key: stand(f"{kind.__name__.lower()}({getattr(key, '_key', key)})", kind | None)

    names |= {
        "figures": stand("figures", Figures),
        "parties": [names["petitioner"], names["respondent"]],
        "words": Words("marriage", "dissolution"),
        "always": True,
        "support_to": support_to,
        "other": other,
        "party_of": lambda role: (
            role if getattr(role, "_key", "") in ("party", "petitioner", "respondent") else look_up(Party)(role)
        ),
        "child_named": look_up(Child),
        "asset_named": look_up(Asset),
        "debt_named": look_up(Debt),
    }
    return names | {name: stand(key, kind) for name, (key, kind) in bound.items()}


def explore(work: Callable[[dict[str, Any]], Any]) -> Iterator[tuple[dict[str, Any], Any]]:
    """Run `work` with every combination of values that it can tell apart; yield (values, result).

    Raises:
        TooManyError: more than `LIMIT` combinations.
    """
    open_choices: list[dict[str, Any]] = [{}]
    done = 0
    while open_choices:
        chosen = open_choices.pop()
        try:
            result = work(chosen)
        except _NeededError as needed:
            open_choices += [{**chosen, needed.key: value} for value in reversed(needed.values)]
            continue
        done += 1
        if done > LIMIT:
            raise TooManyError
        yield chosen, result


@dataclass(frozen=True)
class _Bound:
    """The loop variable of a clause: its name, and what it stands for."""

    name: str
    key: str
    kind: Any


def _bound(clause: Clause) -> _Bound | None:
    if not clause.for_each:
        return None
    source = clause.item_expression
    if source.startswith("parties"):
        return _Bound(clause.item_name, "party", Party)
    if source.startswith("figures."):
        return _Bound(
            clause.item_name, f"item of {record_type(source.split()[0]).__name__}", record_type(source.split()[0])
        )
    kind: Any = Facts
    for part in source.split(" ")[0].split("|")[0].split("."):
        kind = attribute_type(kind, part.removesuffix("()")) if part not in ("values()", "items()") else kind
    inner, _ = _unwrapped(kind)
    item = get_args(inner)[1 if get_origin(inner) is dict else 0]
    unwrapped, _ = _unwrapped(item)
    return _Bound(clause.item_name, f"item of {getattr(unwrapped, '__name__', 'text')}", item)


def _holds(source: str, chosen: dict[str, Any], numbers: tuple[Decimal, ...], bound: _Bound | None) -> bool:
    if source == "always":
        return True
    names = _names(chosen, numbers, {bound.name: (bound.key, bound.kind)} if bound else {})
    try:
        return bool(expression(source)(**names))
    except (TemplateError, AttributeError, TypeError, KeyError) as error:
        raise WordingError(str(error)) from error


def _in_words(chosen: dict[str, Any]) -> str:
    said = []
    for key, value in chosen.items():
        if key.endswith("#n"):
            said.append(f"{key[:-2]} has {value}")
        elif key.endswith("#"):
            said.append(f"{key[:-1]} is {'not empty' if value else 'empty'}")
        elif "∋" in key:
            path, _, item = key.partition("∋")
            said.append(f"{path} {'has' if value else 'lacks'} {item}")
        elif key.endswith("?"):
            said.append(f"{key[:-1]} is {'given' if value else 'not given'}")
        else:
            said.append(f"{key} = {'not known' if value is None else value}")
    return "; ".join(said) or "in every case"


def check_groups(library: Library, most: int = 3) -> list[str]:
    """Report every one_of group in which some combination has no clause, or two (at most `most` examples each)."""
    problems: list[str] = []
    for name, members in library.groups.items():
        sources = [m.when for m in members] + [members[0].scope]
        numbers = _numbers_in(sources)

        def count(
            chosen: dict[str, Any], members: tuple[Clause, ...] = members, numbers: tuple[Decimal, ...] = numbers
        ) -> tuple[str, ...] | None:
            if not _holds(members[0].scope, chosen, numbers, _bound(members[0])):
                return None
            return tuple(m.id for m in members if _holds(m.when, chosen, numbers, _bound(m)))

        if len({m.scope for m in members}) > 1 or len({m.for_each for m in members}) > 1:
            problems.append(
                f"{members[0].file}: group '{name}': all its clauses need the same scope and the same for_each"
            )
            continue
        wrong = 0
        try:
            for chosen, present in explore(count):
                if present is not None and len(present) != 1 and wrong < most:
                    wrong += 1
                    what = "no clause applies" if not present else f"{' and '.join(present)} apply"
                    problems.append(f"{members[0].file}: group '{name}': {what} when {_in_words(chosen)}")
        except TooManyError:
            problems.append(
                f"{members[0].file}: group '{name}': its conditions read too many facts to try all combinations; simplify them"
            )
        except WordingError as error:
            problems.append(f"{members[0].file}: group '{name}': {error}")
    return problems


def check_reachable(library: Library) -> list[str]:
    """Report every clause whose condition no combination of facts meets."""
    problems = []
    for clause in library.clauses.values():
        numbers = _numbers_in([clause.when])
        try:
            runs = explore(lambda chosen, c=clause, n=numbers: _holds(c.when, chosen, n, _bound(c)))  # type: ignore[misc]
            if not any(result for _, result in runs):
                problems.append(f"{clause.file}: no case can ever reach this clause; its condition is {clause.when}")
        except (WordingError, TooManyError) as error:
            problems.append(f"{clause.file}: when: {error}")
    return problems


Tests = tuple[nodes.Node, ...]


@dataclass(frozen=True)
class Pointer:
    """A reference in a clause's text: its target, the loop variable passed, and the tests it stands under."""

    target: str
    item: str
    tests: Tests
    line: int

    @property
    def guards(self) -> set[tuple[str, str]]:
        """The clauses whose presence was tested with has() around the reference."""
        return {guard for test in self.tests for guard in _guards(test)}


def _branches(node: nodes.If) -> Iterator[tuple[Tests, list[nodes.Node]]]:
    """The branches of an if, each with the tests that hold in it."""
    yield (node.test,), node.body
    failed: Tests = (nodes.Not(node.test),)
    for other in node.elif_:
        yield (*failed, other.test), other.body
        failed = (*failed, nodes.Not(other.test))
    yield failed, node.else_


def pointers(source: str) -> list[Pointer]:
    """Every para(), exhibit() and article() with a fixed target in a clause's body or heading."""
    found: list[Pointer] = []

    def visit(node: nodes.Node, tests: Tests) -> None:
        if isinstance(node, nodes.If):
            for holding, body in _branches(node):
                for child in body:
                    visit(child, (*tests, *holding))
            return
        if isinstance(node, nodes.CondExpr):
            visit(node.expr1, (*tests, node.test))
            if node.expr2 is not None:
                visit(node.expr2, (*tests, nodes.Not(node.test)))
            return
        if (
            isinstance(node, nodes.Call)
            and isinstance(node.node, nodes.Name)
            and node.args
            and isinstance(node.args[0], nodes.Const)
        ):
            prefix = {"para": "", "exhibit": "exhibit.", "article": "article."}.get(node.node.name)
            if prefix is not None:
                found.append(Pointer(f"{prefix}{node.args[0].value}", _item_name(node), tests, node.lineno))
        for child in node.iter_child_nodes():
            visit(child, tests)

    visit(environment().parse(source), ())
    return found


def label_places(body: str, label: str) -> list[Tests]:
    """The tests under which a label stands in a body, once for each place; a loop counts as a test of its list."""
    found: list[Tests] = []

    def visit(children: list[nodes.Node], tests: Tests) -> None:
        for node in children:
            if isinstance(node, nodes.If):
                for holding, inner in _branches(node):
                    visit(inner, (*tests, *holding))
            elif isinstance(node, nodes.For):
                visit(node.body, (*tests, node.iter))
            elif isinstance(node, nodes.Output) and any(
                f"[{label}]" in p.data for p in node.nodes if isinstance(p, nodes.TemplateData)
            ):
                found.append(tests)

    visit(environment().parse(body).body, ())
    return found


def _item_name(call: nodes.Call) -> str:
    if len(call.args) < 2:
        return ""
    second = call.args[1]
    if isinstance(second, nodes.Name):
        return str(second.name)
    return (
        f"other({second.args[0].name})"
        if isinstance(second, nodes.Call) and second.args and isinstance(second.args[0], nodes.Name)
        else "?"
    )


def _guards(test: nodes.Node) -> list[tuple[str, str]]:
    if isinstance(test, nodes.And):
        return [*_guards(test.left), *_guards(test.right)]
    if (
        isinstance(test, nodes.Call)
        and isinstance(test.node, nodes.Name)
        and test.node.name == "has"
        and isinstance(test.args[0], nodes.Const)
    ):
        return [(str(test.args[0].value), _item_name(test))]
    return []


def check_pointers(library: Library) -> list[str]:
    """Report every reference whose target can be missing from a paper that holds the reference."""
    problems: list[str] = []
    by_section = {s.section: [library.clauses[c] for c in s.clauses] for s in library.sections}
    for clause in library.clauses.values():
        for pointer in pointers(clause.heading + "\n" + clause.body if "{" in clause.heading else clause.body):
            where = f"{clause.file}:{pointer.line + clause.body_line - 1}"
            base, _, label = pointer.target.partition("/")
            if base in by_section:
                targets = by_section[base]
            elif base in library.clauses:
                targets = [library.clauses[base]]
            else:
                problems.append(f"{where}: refers to {base}, which is not in the library")
                continue
            if base in library.clauses and bool(targets[0].for_each) != bool(pointer.item):
                need = "needs" if targets[0].for_each else "does not take"
                problems.append(f"{where}: the reference to {base} {need} the record for which that clause stands")
                continue
            if label and not _surely_there(targets[0].body, label, pointer.tests):
                problems.append(f"{where}: refers to the paragraph [{label}] of {base}, which is not always there")
            guarded = {g for g, item in pointer.guards if item == pointer.item or g != base}
            if any(t.id in guarded for t in targets):
                continue
            missing = _counterexample(library, clause, targets, pointer.tests)
            if missing:
                problems.append(
                    f'{where}: refers to {base}, which is missing when {missing}; put it under has("{base}")'
                )
    return problems


def _surely_there(body: str, label: str, tests: Tests) -> bool:
    """Whether a label is there wherever the reference's own tests hold."""
    places = label_places(body, label)
    if any(all(test in tests for test in place) for place in places):
        return True
    one_each = {place[0] for place in places if len(place) == 1}
    return any(nodes.Not(test) in one_each for test in one_each)


def _counterexample(library: Library, clause: Clause, targets: list[Clause], tests: Tests) -> str:
    """Facts under which the clause is in and the reference's tests hold, but no target is; "" if there are none."""
    if any(t.when == "always" and not t.for_each for t in targets):
        return ""
    numbers = _numbers_in([clause.when, *(t.when for t in targets)])
    own = _bound(clause)

    def present(target: Clause, chosen: dict[str, Any]) -> bool:
        theirs = _bound(target)
        if theirs and own and theirs.kind == own.kind:
            theirs = _Bound(theirs.name, own.key, theirs.kind)
        return _holds(target.when, chosen, numbers, theirs)

    def passes(test: nodes.Node, chosen: dict[str, Any]) -> bool:
        names = _names(chosen, numbers, {own.name: (own.key, own.kind)} if own else {})
        names["has"] = lambda clause_id, item=None: present(library.clauses[clause_id], chosen)
        try:
            return bool(_compiled(test)(**names))
        except (TemplateError, AttributeError, TypeError, KeyError):
            return True  # it reads a loop variable: taken as passed, which can only report too much

    def missing(chosen: dict[str, Any]) -> bool:
        if not _holds(clause.when, chosen, numbers, own) or not all(passes(test, chosen) for test in tests):
            return False
        return not any(present(target, chosen) for target in targets)

    try:
        for chosen, result in explore(missing):
            if result:
                return _in_words(chosen)
    except (WordingError, TooManyError) as error:
        return f"(could not be decided: {error or 'too many facts'})"
    return ""


def _compiled(test: nodes.Node) -> Callable[..., Any]:
    """Compile one test of a template, as the environment compiles a condition."""
    assign = nodes.Assign(nodes.Name("result", "store", lineno=1), test, lineno=1)
    template = environment().from_string(nodes.Template([assign], lineno=1))
    return TemplateExpression(template, undefined_to_none=False)


def check_names(library: Library) -> list[str]:
    """Report every name in a condition or text that is neither a fact, a figure, nor a loop variable."""
    problems: list[str] = []
    for clause in library.clauses.values():
        bound = _bound(clause)
        scope = {bound.name: bound.kind} if bound else {}
        for source, first_line in (
            (f"{{{{ {clause.when} }}}}", 0),
            (f"{{{{ {clause.scope} }}}}", 0),
            (clause.heading, 0),
            (clause.body, clause.body_line),
        ):
            try:
                template = environment().parse(source)
            except TemplateError as error:
                problems.append(f"{clause.file}:{first_line + (getattr(error, 'lineno', 1) or 1) - 1}: {error}")
                continue
            problems += [
                f"{clause.file}:{first_line + line - 1 if first_line else 2}: {what}"
                for line, what in _unknown(template, scope)
            ]
    return problems


def _unknown(node: nodes.Node, scope: dict[str, Any]) -> Iterator[tuple[int, str]]:
    if isinstance(node, nodes.For):
        yield from _unknown(node.iter, scope)
        inner = dict(scope)
        kind = _type_of(node.iter, scope)
        if isinstance(node.target, nodes.Name):
            inner[node.target.name] = _item_type(node.iter, kind)
        inner["loop"] = None
        for child in (*node.body, *node.else_):
            yield from _unknown(child, inner)
        return
    if isinstance(node, nodes.Assign) and isinstance(node.target, nodes.Name):
        yield from _unknown(node.node, scope)
        scope[node.target.name] = _type_of(node.node, scope)
        return
    if isinstance(node, nodes.Getattr):
        kind = _type_of(node.node, scope)
        if kind is not None and node.attr != "key" and _attribute(kind, node.attr) is _MISSING:
            yield node.lineno, f"no fact or figure is called {node.attr!r} there"
    if isinstance(node, nodes.Name) and node.ctx == "load" and node.name not in scope and node.name not in _GLOBALS:
        yield node.lineno, f"nothing is called {node.name!r}"
    for child in node.iter_child_nodes():
        yield from _unknown(child, scope)


_MISSING = object()
_GLOBALS = {
    *Facts.model_fields, "figures", "parties", "words", "always", "has", "para", "article", "exhibit", "party_of", "other", "label",
    "role", "owns", "child_named", "asset_named", "debt_named", "share_of", "support_to", "sign_here", "sign_line", "blank", "range",
    "dict", "loop", "namespace",
}  # fmt: skip
_RETURNS: dict[str, Any] = {
    "support_to": SpousalSupport, "party_of": Party, "other": Party, "child_named": Child, "asset_named": Asset, "debt_named": Debt,
}  # fmt: skip


def _attribute(kind: Any, name: str) -> Any:
    bare, _ = _unwrapped(kind)
    if get_origin(bare) is dict:
        return None if name in ("values", "items", "keys") else get_args(bare)[1]
    if kind is Words or bare is Words:
        return str if name in vars(Words("marriage", "dissolution")) else _MISSING
    if not (isinstance(bare, type) and (issubclass(bare, BaseModel) or is_dataclass(bare))):
        return None
    found = attribute_type(bare, name)
    return _MISSING if found is None else found


def _type_of(node: nodes.Node, scope: dict[str, Any]) -> Any:
    """The type of an expression, or None where it cannot be told."""
    if isinstance(node, nodes.Name):
        if node.name in scope:
            return scope[node.name]
        if node.name in Facts.model_fields:
            return typing.get_type_hints(Facts, include_extras=True)[node.name]
        return {"figures": Figures, "words": Words}.get(node.name)
    if isinstance(node, nodes.Getattr):
        kind = _type_of(node.node, scope)
        if kind is None or node.attr == "key":
            return None
        found = _attribute(kind, node.attr)
        return None if found is _MISSING else found
    if isinstance(node, nodes.Call) and isinstance(node.node, nodes.Name):
        return _RETURNS.get(node.node.name)
    if isinstance(node, nodes.Getitem):
        kind, _ = _unwrapped(_type_of(node.node, scope))
        return get_args(kind)[-1] if get_origin(kind) is dict else None
    return None


def _item_type(source: nodes.Node, kind: Any) -> Any:
    if isinstance(source, nodes.Name) and source.name == "parties":
        return Party
    bare, _ = _unwrapped(kind)
    if bare is Records and isinstance(source, nodes.Getattr):
        return record_type(source.attr)
    if get_origin(bare) is tuple:
        return get_args(bare)[0]
    if get_origin(bare) is dict:
        return get_args(bare)[1]
    return None


def lint(library: Library) -> list[str]:
    """Everything that is wrong with a clause library, a line each; empty if nothing is."""
    return [
        *check_names(library),
        *check_groups(library),
        *check_reachable(library),
        *check_pointers(library),
        *map(str, lost_topics(library)),
    ]
