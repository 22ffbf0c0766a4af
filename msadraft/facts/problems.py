"""What is wrong in a facts file, said so that the person who filled it in can mend it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

MOST_PROBLEMS_SHOWN = 100


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A place in a file. Line and column count from 1; line 0 means the file as a whole."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


def nearest_place(places: Mapping[str, Place], path: str, file: str) -> Place:
    """The place of a path, or of the nearest group around it, or the beginning of the file."""
    while path:
        if path in places:
            return places[path]
        path = path.rpartition(".")[0]
    return Place(file, 1, 1)


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that keeps a file from being used.

    Attributes:
        place: where it stands.
        path: the fact concerned, as a dotted path (`child_support.amount`); empty for the file as a whole.
        what: what is wrong, as a sentence.
        mend: how to mend it, as a sentence.
    """

    place: Place
    path: str
    what: str
    mend: str

    def __str__(self) -> str:
        head = f"{self.place}  {self.path}" if self.path else str(self.place)
        return f"{head}\n  {self.what}\n  To mend: {self.mend}"


class FactsError(Exception):
    """The facts cannot be used. Carries every problem found, in the order of the file.

    Attributes:
        problems: the problems, sorted by line.
        unlisted: how many more were found beyond those carried (a very broken file).
    """

    def __init__(self, problems: Iterable[Problem], unlisted: int = 0) -> None:
        self.problems = tuple(sorted(problems, key=lambda problem: (problem.place, problem.path, problem.what)))
        self.unlisted = unlisted
        super().__init__(self.problems, unlisted)

    def __str__(self) -> str:
        shown = [str(problem) for problem in self.problems[:MOST_PROBLEMS_SHOWN]]
        more = len(self.problems) - len(shown) + self.unlisted
        if more:
            shown.append(f"… and {more} more. Mend these first, then look again.")
        return "\n\n".join(shown)
