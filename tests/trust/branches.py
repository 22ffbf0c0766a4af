"""Counts which branches of the clauses' wording a run reaches.

The trial compiles the clause bodies with marks in them: one call at the head of every branch of every `{% if %}` and
`{% for %}`, and around both answers of every inline `... if ... else ...`. An `{% else %}` that is
not written is a branch too: the paper without those words. The marks print nothing, so the paper is the same. Only the trial does this.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from jinja2 import Environment, Template, nodes

from msadraft.library import environment as environment_module
from msadraft.library.clause import Clause
from msadraft.library.compiled import CompiledStore
from msadraft.library.load import Library

MARKER = "_reached"
CHOSEN = "_reached_with"


@dataclass(frozen=True)
class Branch:
    """One branch: the clause, which test it belongs to (in the words of the clause) and how that test came out.

    `kind` is "block" for `{% if %}` and `{% for %}`, "inline" for an answer chosen inside an expression.
    """

    clause: str
    test: str
    outcome: str
    kind: str
    line: int

    @property
    def name(self) -> str:
        """A name that stays the same while lines move."""
        return f"{self.clause} | {self.test} | {self.outcome}"


class CountingStore(CompiledStore):
    """Compiles clause bodies with marks, and everything else as it is. Nothing is kept on disk."""

    def __init__(self, env: Environment, library: Library) -> None:
        super().__init__(env)
        self.entries = dict(self.entries)
        self.bodies = {clause.body: clause for clause in library.clauses.values()}
        self.branches: list[Branch] = []
        self.reached: Counter[int] = Counter()
        env.globals[MARKER] = self._mark
        env.globals[CHOSEN] = self._mark_with
        for body in self.bodies:
            self.template(body)

    def template(self, source: str) -> Template:
        """The template of a text; of a clause body with its marks."""
        clause = self.bodies.get(source)
        if clause is None:
            return super().template(source)
        return self._once(b"t", source, lambda: self._marked(clause))

    def keep(self) -> None:
        """Leave the user's cache alone."""

    def take(self) -> Counter[int]:
        """The branches reached since the last call."""
        found, self.reached = self.reached, Counter()
        return found

    def _mark(self, number: int) -> str:
        self.reached[number] += 1
        return ""

    def _mark_with(self, number: int, value: object) -> object:
        self.reached[number] += 1
        return value

    def _marked(self, clause: Clause) -> Template:
        parsed = self.environment.parse(clause.body)
        _Marker(self, clause, _tests_of(self.environment, clause.body)).run(parsed)
        code = self.environment.compile(parsed)
        return Template.from_code(self.environment, code, self.environment.globals)


def _tests_of(env: Environment, body: str) -> Iterator[tuple[str, int]]:
    """The words and the line of every if, elif and for, in the order of the text."""
    words: list[str] | None = None
    for line, kind, text in env.lex(body):
        if kind == "block_begin":
            words, begins = [], line
        elif kind == "block_end" and words is not None:
            said = " ".join("".join(words).split())
            if re.match(r"(if|elif|for)\b", said):
                yield said, begins
            words = None
        elif words is not None:
            words.append(text)


class _Marker:
    def __init__(self, store: CountingStore, clause: Clause, tests: Iterator[tuple[str, int]]) -> None:
        self.store, self.clause, self.tests = store, clause, tests
        self.names: Counter[str] = Counter()

    def run(self, tree: nodes.Template) -> None:
        self.body(tree.body)
        left = list(self.tests)
        if left:
            raise AssertionError(f"{self.clause.id}: tests without a branch: {left}")

    def body(self, body: list[nodes.Node]) -> None:
        for node in body:
            self.node(node)

    def node(self, node: nodes.Node) -> None:
        if isinstance(node, nodes.If):
            self.choice(node)
        elif isinstance(node, nodes.For):
            test, line = self.next_test()
            self.inline(node.iter)
            self.body(node.body)
            self.body(node.else_)
            node.body.insert(0, self.call(test, "some", line))
            if node.else_:
                node.else_.insert(0, self.call(test, "none", line))
        elif isinstance(node, nodes.AssignBlock):
            self.body(node.body)
        else:
            self.inline(node)

    def choice(self, node: nodes.If) -> None:
        arms: list[tuple[nodes.If, str, int]] = []
        for arm in (node, *node.elif_):
            test, line = self.next_test()
            self.inline(arm.test)
            self.body(arm.body)
            arms.append((arm, test, line))
        self.body(node.else_)
        for arm, test, line in arms:
            arm.body.insert(0, self.call(test, "yes", line))
        node.else_.insert(0, self.call(arms[-1][1], "no", arms[-1][2]))

    def next_test(self) -> tuple[str, int]:
        words, line = next(self.tests)
        return self.named(words), line

    def named(self, test: str) -> str:
        """The words of a test; one that stands in the clause again gets a count."""
        self.names[test] += 1
        return test if self.names[test] == 1 else f"{test} #{self.names[test]}"

    def inline(self, node: nodes.Node) -> None:
        """Put marks around the answers of inline choices below an expression."""
        for name, value in node.iter_fields():
            if isinstance(value, list):
                value[:] = [self.marked(one) if isinstance(one, nodes.Node) else one for one in value]
            elif isinstance(value, nodes.Node):
                setattr(node, name, self.marked(value))

    def marked(self, node: nodes.Node) -> nodes.Node:
        self.inline(node)
        if isinstance(node, nodes.CondExpr):
            test = self.named(f"inline if {_said(node.test)}")
            node.expr1 = self.value(test, "yes", node.expr1)
            if node.expr2 is not None:
                node.expr2 = self.value(test, "no", node.expr2)
        return node

    def line(self, line: int) -> int:
        return line + self.clause.body_line - 1

    def number(self, test: str, outcome: str, kind: str, line: int) -> nodes.Const:
        self.store.branches.append(Branch(self.clause.id, test, outcome, kind, self.line(line)))
        return nodes.Const(len(self.store.branches) - 1, lineno=line)

    def call(self, test: str, outcome: str, line: int) -> nodes.ExprStmt:
        number = self.number(test, outcome, "block", line)
        return nodes.ExprStmt(
            nodes.Call(nodes.Name(MARKER, "load", lineno=line), [number], [], None, None, lineno=line), lineno=line
        )

    def value(self, test: str, outcome: str, value: nodes.Expr) -> nodes.Call:
        line = value.lineno
        number = self.number(test, outcome, "inline", line)
        return nodes.Call(nodes.Name(CHOSEN, "load", lineno=line), [number, value], [], None, None, lineno=line)


def _said(node: nodes.Node) -> str:
    """The test of an inline choice in short words: its names and constants in order."""
    words: list[str] = []

    def walk(one: nodes.Node) -> None:
        match one:
            case nodes.Name():
                words.append(one.name)
            case nodes.Const():
                words.append(repr(one.value))
            case nodes.Getattr():
                walk(one.node)
                words[-1] += f".{one.attr}"
            case nodes.Not():
                words.append("not")
                walk(one.node)
            case nodes.Test():
                walk(one.node)
                words.append(f"is {one.name}")
            case _:
                if isinstance(one, nodes.Operand):
                    words.append(one.op)
                for child in one.iter_child_nodes():
                    walk(child)

    walk(node)
    return " ".join(words)


def count_branches(library: Library) -> CountingStore:
    """Make the program use marked clause bodies in this process, and give what counts them."""
    store = CountingStore(environment_module.environment.__wrapped__(), library)
    environment_module.store = lambda: store  # type: ignore[assignment]
    return store
