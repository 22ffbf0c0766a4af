"""Mutants: small faults put into a source file, one at a time, by the operators of Cosmic Ray.

Left out, because what they make cannot be told apart or falls over by itself and would only flatter the score:

- decorators, annotations, docstrings, `strict=` of a zip: nothing that runs differs, or only for a program already wrong;
- decorators taken away: `@rule` would be missed by the first test, `@cache` by none;
- variables replaced by chance numbers;
- arithmetic replaced by anything but its nearest kin (money has no `<<`: a type error would kill the mutant, no test);
- `==` to `is`, and the signs `+` and `~` before a number.
"""

from __future__ import annotations

import ast
import difflib
import itertools
import random
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.operators.provider import OperatorProvider

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
    """Draw mutants of some files, in the order drawn; all of them if `count` is more than there are."""
    places = [(file, *place) for file in sorted(files) for place in _places((root / file).read_text(encoding="utf-8"))]
    random.Random(seed).shuffle(places)
    made = (_made(root, *place) for place in places)
    return list(itertools.islice((mutant for mutant in made if mutant), count))


def _places(source: str) -> list[tuple[str, int, int]]:
    """Operator, occurrence and line of each place where an operator has something to do."""
    tree = list(ast_nodes(get_ast(source)))
    found = []
    for name in OPERATORS:
        operator = OperatorProvider()[name]()
        positions = (position for node in tree for position in operator.mutation_positions(node))
        found += [(name, n, first[0]) for n, (first, _) in enumerate(positions)]
    return found


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


def function_at(source: str, line: int) -> str:
    """The innermost function or class at a line ("Figures.child_support"); empty at the top of a module."""
    names = []
    for node, name in _scopes(ast.parse(source), ""):
        if node.lineno <= line <= (node.end_lineno or node.lineno):
            names.append(name)
    return names[-1] if names else ""


def _scopes(node: ast.AST, above: str) -> Iterator[tuple[ast.FunctionDef | ast.ClassDef, str]]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef | ast.ClassDef):
            name = f"{above}.{child.name}" if above else child.name
            yield child, name
            yield from _scopes(child, name)
        else:
            yield from _scopes(child, above)


def lines_to_cover(source: str, line: int) -> list[set[int]]:
    """Lines whose tests may tell a mutant of `line`, the nearest first.

    A statement inside a function is run by tests. One at the top of a module runs when it is imported, so the lines that
    use the name it binds come next, then the whole of its class.
    """
    tree = ast.parse(source)
    ways = [{line}]
    inside = False
    for node in ast.walk(tree):
        if isinstance(node, ast.stmt) and node.lineno <= line <= (node.end_lineno or node.lineno):
            head = getattr(node, "body", None)
            last = head[0].lineno - 1 if isinstance(head, list) and head else node.end_lineno or node.lineno
            inside = inside or isinstance(node, ast.FunctionDef)
            if line <= max(last, node.lineno):
                ways.append(set(range(node.lineno, max(last, node.lineno) + 1)))
                bound = {n.id for n in ast.walk(node) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)}
                if isinstance(node, ast.FunctionDef):  # a default value in its head
                    ways.append(
                        {part.lineno for stmt in node.body for part in ast.walk(stmt) if isinstance(part, ast.stmt)}
                    )
                elif not inside:
                    uses = {n.lineno for n in ast.walk(tree) if isinstance(n, ast.Name) and n.id in bound}
                    fields = {n.lineno for n in ast.walk(tree) if isinstance(n, ast.Attribute) and n.attr in bound}
                    ways.append(uses | fields)
    if not inside:
        ways.append(set(range(1, len(source.splitlines()) + 1)))
    return ways
