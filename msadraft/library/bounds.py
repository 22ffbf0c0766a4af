"""What a clause may cost and may reach: the sandbox of the clauses, with bounds on its work.

The sandbox of Jinja2 keeps a clause away from everything that is no fact, but lets it loop and grow without end. Here
loops and calls are counted, texts have a greatest length, and what clauses have no use for is not there: other files,
recursion of loops, chance, and the methods and filters that make a long text out of a short one.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from typing import Any

from jinja2 import TemplateRuntimeError, TemplateSyntaxError, nodes, pass_context
from jinja2.filters import FILTERS, do_replace, sync_do_join
from jinja2.sandbox import ImmutableSandboxedEnvironment
from jinja2.visitor import NodeTransformer

MOST_STEPS = 200_000
"""Passes of loops and calls, all together, while one clause is rendered or one condition decided."""
MOST_SIGNS = 1_000_000
"""Longest text that a clause may make, also on the way."""
MOST_BITS = 256
"""Longest whole number that a multiplication or a power may give."""
COMPILED_AS = "bounded-1"
"""Changes when the same source compiles to something else, so that what was kept before is passed over."""

RENDER_ERRORS = (
    TemplateRuntimeError,
    TemplateSyntaxError,
    AttributeError,
    TypeError,
    LookupError,
    ArithmeticError,
    ValueError,
    RecursionError,
    MemoryError,
)
"""What a clause can bring about by what it says."""

_NO_FILTERS = (
    "attr", "batch", "center", "e", "escape", "filesizeformat", "forceescape", "format", "indent", "pprint", "random", "safe",
    "slice", "striptags", "tojson", "urlencode", "urlize", "wordwrap", "xmlattr",
)  # fmt: skip
_NO_GLOBALS = ("cycler", "joiner", "lipsum")
_TEXT_METHODS = frozenset({
    "capitalize", "count", "endswith", "find", "isdigit", "isupper", "lower", "lstrip", "removeprefix", "removesuffix",
    "rstrip", "split", "splitlines", "startswith", "strip", "title", "upper",
})  # fmt: skip
_WORDS: dict[type[nodes.Node], str] = {
    nodes.Include: "include", nodes.Import: "import", nodes.FromImport: "import", nodes.Extends: "extends", nodes.Block: "block",
}  # fmt: skip


class BoundError(TemplateRuntimeError):
    """A clause does more than any clause needs."""


class _Spent(threading.local):
    steps = 0


_SPENT = _Spent()


def begin() -> None:
    """Count anew, for the next clause or condition."""
    _SPENT.steps = 0


def _step(times: int = 1) -> None:
    _SPENT.steps += times
    if _SPENT.steps > MOST_STEPS:
        raise BoundError(f"its loops and calls come to more than {MOST_STEPS:,} steps; loop over the facts only")


def _fits(length: int) -> None:
    if length > MOST_SIGNS:
        raise BoundError(f"it makes a text of more than {MOST_SIGNS:,} signs")


@pass_context
def _counted(_: Any, values: Any) -> Any:
    """What a loop runs over, each pass counted."""
    if isinstance(values, (list, tuple)):
        _step(len(values))
        return values
    return _each(values)


def _each(values: Iterable[Any]) -> Iterator[Any]:
    for value in values:
        _step()
        yield value


@pass_context
def _bounded(_: Any, text: Any) -> Any:
    """The outcome of `~`, which could double a text each time."""
    _fits(len(text))
    return text


@pass_context
def _replace(context: Any, text: str, old: str, new: str, count: int | None = None) -> str:
    _fits(len(str(text)) + (len(str(text)) + 1) * len(str(new)))
    return do_replace(context.eval_ctx, text, old, new, count)


@pass_context
def _join(context: Any, values: Iterable[Any], between: str = "", attribute: Any = None) -> str:
    listed = list(values)
    _fits(sum(len(v) for v in listed if isinstance(v, str)) + len(listed) * len(str(between)))
    return sync_do_join(context.eval_ctx, listed, between, attribute)


def _concat(parts: Iterable[str]) -> str:
    found = list(parts)
    _fits(sum(map(len, found)))
    return "".join(found)


class _Counting(NodeTransformer):
    """Puts the counters into what was parsed, and refuses what clauses do not use."""

    def visit_For(self, node: nodes.For) -> nodes.Node:  # noqa: N802  (the name that the visitor looks for)
        self.generic_visit(node)
        if node.recursive:
            raise TemplateSyntaxError("clauses do not use loops that call themselves", node.lineno)
        node.iter = nodes.Filter(node.iter, "_counted", [], [], None, None, lineno=node.lineno)
        return node

    def visit_Concat(self, node: nodes.Concat) -> nodes.Node:  # noqa: N802
        self.generic_visit(node)
        return nodes.Filter(node, "_bounded", [], [], None, None, lineno=node.lineno)

    def refuse(self, node: nodes.Node) -> nodes.Node:
        """Refuse what reaches beyond the clause."""
        raise TemplateSyntaxError(f"a clause stands alone; {_WORDS[type(node)]} is not used here", node.lineno)

    visit_Include = visit_Import = visit_FromImport = visit_Extends = visit_Block = refuse  # noqa: N815


class BoundedEnvironment(ImmutableSandboxedEnvironment):
    """The sandbox with its bounds."""

    intercepted_binops = frozenset({"*", "**", "%", "+"})
    concat = staticmethod(_concat)
    compiled_as = COMPILED_AS

    def __init__(self, **options: Any) -> None:
        """Open the sandbox and take out what could make much out of little."""
        super().__init__(**options)
        self.filters = {name: made for name, made in FILTERS.items() if name not in _NO_FILTERS}
        self.filters.update(_counted=_counted, _bounded=_bounded, replace=_replace, join=_join)
        for name in _NO_GLOBALS:
            self.globals.pop(name, None)

    def _generate(
        self, source: nodes.Template, name: str | None, filename: str | None, defer_init: bool = False
    ) -> str:
        # Here and not while parsing, because the lint reads the clauses as they are written.
        _Counting().visit(source)
        return super()._generate(source, name, filename, defer_init)

    def call(self, context: Any, obj: Any, /, *args: Any, **options: Any) -> Any:
        """Call something that a clause names, counted."""
        _step()
        return super().call(context, obj, *args, **options)

    def call_binop(self, context: Any, operator: str, left: Any, right: Any) -> Any:
        """Work out an operator of which the outcome could be endless."""
        if operator == "%" and isinstance(left, str):
            raise BoundError("clauses do not use % on a text")
        if operator in ("*", "**"):
            _bound_product(operator, left, right)
        found = super().call_binop(context, operator, left, right)
        if isinstance(found, (str, list, tuple)):
            _fits(len(found))
        return found

    def is_safe_attribute(self, obj: Any, attr: str, value: Any) -> bool:
        """Of a plain text only methods that give no longer one; of a number none."""
        if isinstance(obj, str):
            return attr in _TEXT_METHODS
        return not isinstance(obj, (int, float, bytes)) and super().is_safe_attribute(obj, attr, value)

    def wrap_str_format(self, value: Any) -> Any:
        """No way around `is_safe_attribute` for `format`."""
        return None


def _bound_product(operator: str, left: Any, right: Any) -> None:
    for one, other in ((left, right), (right, left)):
        if isinstance(one, (str, list, tuple)) and isinstance(other, int):
            _fits(len(one) * max(0, other))
    if isinstance(left, int) and isinstance(right, int):
        bits = left.bit_length() * abs(right) if operator == "**" else left.bit_length() + right.bit_length()
        if bits > MOST_BITS:
            raise BoundError("it makes a number that is larger than any sum of money")
