"""Mutants: small faults put into a source file, one at a time, by the operators of Cosmic Ray.

Left out, because what they make cannot be told apart or falls over by itself and would only flatter the score:

- decorators, annotations, docstrings, `strict=` of a zip: nothing that runs differs, or only for a program already wrong;
- decorators taken away: `@rule` would be missed by the first test, `@cache` by none;
- variables replaced by chance numbers;
- arithmetic replaced by anything but its nearest kin (money has no `<<`: a type error would kill the mutant, no test);
- `==` and `!=` with a word, such as a party or an outcome, to an order: words of a choice have none;
- the bare `*` of a signature; `==` to `is`, and the signs `+` and `~` before a number.
"""

from __future__ import annotations

import ast
import difflib
import hashlib
import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.operators.provider import OperatorProvider
from parso.tree import NodeOrLeaf

KIN = {
    "Add": ("Sub",), "Sub": ("Add",), "Mul": ("Div",), "Div": ("Mul", "FloorDiv"), "FloorDiv": ("Div", "Mul"),
    "Mod": ("FloorDiv",), "Pow": ("Mul",), "BitOr": ("BitAnd",), "BitAnd": ("BitOr",),
}  # fmt: skip
ORDER = {
    "Eq": ("NotEq", "LtE", "GtE"), "NotEq": ("Eq", "Lt", "Gt"), "Lt": ("LtE", "GtE"), "LtE": ("Lt", "Gt"),
    "Gt": ("GtE", "LtE"), "GtE": ("Gt", "Lt"), "Is": ("IsNot",), "IsNot": ("Is",),
}  # fmt: skip
OPERATORS = (
    *(f"ReplaceBinaryOperator_{a}_{b}" for a, others in KIN.items() for b in others),
    *(f"ReplaceComparisonOperator_{a}_{b}" for a, others in ORDER.items() for b in others),
    "ReplaceUnaryOperator_Delete_Not", "ReplaceUnaryOperator_USub_UAdd",
    "AddNot", "ReplaceTrueWithFalse", "ReplaceFalseWithTrue", "ReplaceAndWithOr", "ReplaceOrWithAnd",
    "ReplaceBreakWithContinue", "ReplaceContinueWithBreak", "ExceptionReplacer", "NumberReplacer", "ZeroIterationForLoop",
)  # fmt: skip

WORDS_HAVE_NO_ORDER = {
    f"ReplaceComparisonOperator_{a}_{b}" for a in ("Eq", "NotEq") for b in ("Lt", "LtE", "Gt", "GtE")
}


@dataclass(frozen=True)
class Mutant:
    """One fault: `before` and `after` are the lines that differ, without indentation; `within` names the function."""

    file: str
    operator: str
    occurrence: int
    line: int
    within: str
    before: str
    after: str
    code: str

    @property
    def diff(self) -> str:
        """The lines that differ, as a diff shows them."""
        lines = [f"- {part}" for part in self.before.splitlines()] + [f"+ {part}" for part in self.after.splitlines()]
        return "\n".join(lines)


def sample(root: Path, files: list[str], count: int, seed: int) -> list[Mutant]:
    """Draw mutants of some files, in the order drawn; all of them if `count` is more than there are.

    The draw is by a digest of the seed and the place, so a change in one file leaves the mutants of the others.
    """
    places = [(file, *place) for file in sorted(files) for place in _places((root / file).read_text(encoding="utf-8"))]
    places.sort(key=lambda place: hashlib.sha256(f"{seed} {place[0]} {place[1]} {place[2]}".encode()).digest())
    made = (_made(root, *place) for place in places)
    return list(itertools.islice((mutant for mutant in made if mutant), count))


def _places(source: str) -> list[tuple[str, int, int]]:
    """Operator, occurrence and line of each place where an operator has something to do."""
    tree = list(ast_nodes(get_ast(source)))
    found = []
    for name in OPERATORS:
        operator = OperatorProvider()[name]()
        positions = ((node, first) for node in tree for first, _ in operator.mutation_positions(node))
        found += [(name, n, first[0]) for n, (node, first) in enumerate(positions) if not _idle(name, node)]
    return found


def _idle(operator: str, node: NodeOrLeaf) -> bool:
    """Whether an operator would order words, or change the bare `*` of a signature."""
    if operator in WORDS_HAVE_NO_ORDER:
        return any(part.type in ("string", "fstring") for part in node.children[::2])  # type: ignore[attr-defined]
    return operator.startswith("ReplaceBinary") and node.parent is not None and node.parent.type == "parameters"


def _made(root: Path, file: str, operator: str, occurrence: int, line: int) -> Mutant | None:
    """The mutant of a place, or nothing if it is no program or does what the source does."""
    source = (root / file).read_text(encoding="utf-8")
    code = mutate_code(source, OperatorProvider()[operator](), occurrence)
    if code is None or _stripped(code) in ("", _stripped(source)):
        return None
    before, after = [], []
    for text in difflib.ndiff(source.splitlines(), code.splitlines()):
        if text.startswith("- "):
            before.append(text[2:].strip())
        elif text.startswith("+ "):
            after.append(text[2:].strip())
    return Mutant(
        file, operator, occurrence, line, function_at(source, line), "\n".join(before), "\n".join(after), code
    )


@cache
def _stripped(source: str) -> str:
    """The program without what does not run: empty if it is none."""
    try:
        tree = ast.parse(source)
    except SyntaxError:
        return ""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            node.decorator_list = []
        if isinstance(node, ast.FunctionDef):
            node.returns = None
        if isinstance(node, ast.arg):
            node.annotation = None
        if isinstance(node, ast.AnnAssign):
            node.annotation = ast.Constant(None)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "zip":
            node.keywords = []
    return ast.dump(tree)


@cache
def _tree(source: str) -> ast.Module:
    return ast.parse(source)


def function_at(source: str, line: int) -> str:
    """The innermost function or class at a line ("Figures.child_support"); empty at the top of a module."""
    names = []
    for node, name in _scopes_of(source):
        if node.lineno <= line <= (node.end_lineno or node.lineno):
            names.append(name)
    return names[-1] if names else ""


@cache
def _scopes_of(source: str) -> tuple[tuple[ast.FunctionDef | ast.ClassDef, str], ...]:
    return tuple(_scopes(_tree(source), ""))


def _scopes(node: ast.AST, above: str) -> Iterator[tuple[ast.FunctionDef | ast.ClassDef, str]]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef | ast.ClassDef):
            name = f"{above}.{child.name}" if above else child.name
            yield child, name
            yield from _scopes(child, name)
        else:
            yield from _scopes(child, above)


def lines_to_cover(source: str, line: int) -> list[set[int]]:
    """Lines whose tests run a mutated line, the nearest first: itself, its statement, the body of the function it heads.

    A line outside every body runs when the module is imported, by whichever test happens to come first: it is left out.
    """
    tree = _tree(source)
    inside = any(
        isinstance(node, ast.FunctionDef) and node.body[0].lineno <= line <= (node.end_lineno or line)
        for node in ast.walk(tree)
    )
    ways = [{line}] if inside else []
    for node in ast.walk(tree):
        if isinstance(node, ast.stmt) and node.lineno <= line <= _end_of_head(node):
            if inside:
                ways.append(set(range(node.lineno, _end_of_head(node) + 1)))
            if isinstance(node, ast.FunctionDef):  # a default value
                ways.append(
                    {part.lineno for stmt in node.body for part in ast.walk(stmt) if isinstance(part, ast.stmt)}
                )
    return ways


def names_bound(source: str, line: int) -> set[str]:
    """What a statement outside functions binds (such as a table): it runs on import, so tests are found by who uses it."""
    tree = _tree(source)
    around = [n for n in ast.walk(tree) if isinstance(n, ast.stmt) and n.lineno <= line <= (n.end_lineno or n.lineno)]
    if any(isinstance(node, ast.FunctionDef) for node in around):
        return set()
    stored = (n for node in around if line <= _end_of_head(node) for n in ast.walk(node) if isinstance(n, ast.Name))
    return {n.id for n in stored if isinstance(n.ctx, ast.Store)} | {
        n.name for n in around if isinstance(n, ast.ClassDef)
    }


def lines_using(source: str, names: set[str]) -> set[int]:
    """Lines on which one of some names is read."""
    tree = _tree(source)
    plain = {
        n.lineno for n in ast.walk(tree) if isinstance(n, ast.Name) and n.id in names and isinstance(n.ctx, ast.Load)
    }
    return plain | {n.lineno for n in ast.walk(tree) if isinstance(n, ast.Attribute) and n.attr in names}


def _end_of_head(node: ast.stmt) -> int:
    """The last line of a statement, without its body if it has one."""
    body = getattr(node, "body", None)
    return max(node.lineno, body[0].lineno - 1) if isinstance(body, list) and body else node.end_lineno or node.lineno
