"""Read YAML text into plain groups, lists and text, and remember where each stood.

No scalar is given a type: `no`, `010` and `1:30` arrive as the text they are, and the fact's own type decides
later. Only an empty plain value, `~` or `null` means "not given". What a facts file has no use for (anchors, tags,
merge keys, several documents, directives) is refused, and so is what could exhaust the machine.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from msadraft.facts.problems import Place, Problem

Tree = dict[str, "Tree"] | list["Tree"] | str | None

DEEPEST = 20
MOST_NODES = 200_000
MOST_PROBLEMS = 200
MOST_OF_A_KIND = 20
"""After so many problems of one mechanical kind (tabs, hidden signs) the rest are not listed."""

_NOT_GIVEN = ("", "~", "null")
_HIDDEN = re.compile(
    "[^\t\n\r\x20-\x7e\xa0-\u2027\u202f-\u2065\u206a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
"""Control characters, line and paragraph separators, marks that turn the direction of text, and non-characters."""
_INDENT = re.compile("^[ \t\u00a0]+", re.MULTILINE)


@dataclass(slots=True)
class Reading:
    """What was read: the tree, the place of every path in it, and what was wrong on the way.

    `whole` tells whether the text was read to its end; if not, the tree lacks whatever stands after the last problem.
    """

    tree: Tree = None
    places: dict[str, Place] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    whole: bool = True


class _StopError(Exception):
    """Reading cannot go on after this problem."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem)
        self.problem = problem


@dataclass(slots=True)
class _Open:
    """A group or list that is being read. `path` is None inside something refused, which is read and dropped."""

    holds: dict[str, Tree] | list[Tree]
    path: str | None
    key: str | None = None
    key_due: bool = True
    key_place: Place | None = None
    dropped: bool = False
    seen: dict[str, Place] = field(default_factory=dict)


def _events(text: str) -> Iterator[Any]:
    """The events of the text, from the fast reader where it is there. Where both readers take a text they agree on it."""
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return iter(yaml.parse(text, Loader=loader))


def shown(text: str) -> str:
    """A piece of someone's text as it may appear in a message: one line, short, hidden signs made visible."""
    short = text if len(text) <= 60 else text[:57] + "..."
    return short if short.isprintable() else "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in short)


def _unfit_signs(text: str, file: str) -> Iterator[Problem]:
    """Signs that no facts file needs and that would hide, or would make line numbers differ between programs."""
    for count, match in enumerate(_HIDDEN.finditer(text)):
        if count == MOST_OF_A_KIND:
            return
        sign = ord(match.group())
        name = {0x2028: "line separator ", 0x2029: "paragraph separator ", 0xFEFF: "byte order mark "}.get(sign, "")
        yield Problem(
            _place_of(text, match.start(), file), "", f"There is a hidden sign here: {name}U+{sign:04X}.",
            "Delete it, and type a plain space or line break instead if one is needed.",
        )  # fmt: skip


def _place_of(text: str, offset: int, file: str) -> Place:
    before = text[:offset].replace("\r\n", "\n").replace("\r", "\n")
    return Place(file, before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1)


def _unfit_indents(text: str, file: str) -> Iterator[Problem]:
    count = 0
    for match in _INDENT.finditer(text):
        after = text[match.end() : match.end() + 1]
        offsets = [match.start() + at for at in (match.group().find("\t"), match.group().find("\u00a0")) if at >= 0]
        if not offsets or after in "\r\n#":
            continue
        count += 1
        if count > MOST_OF_A_KIND:
            return
        sign = "a tab" if text[min(offsets)] == "\t" else "a no-break space (often pasted from a web page)"
        yield Problem(
            _place_of(text, min(offsets), file), "", f"This line is indented with {sign}.",
            "Indent with ordinary spaces only, two for each level.",
        )  # fmt: skip


def _directive(text: str, file: str) -> Problem | None:
    for number, line in enumerate(re.split(r"\r\n|\r|\n", text), 1):
        if line.startswith("%"):
            return Problem(
                Place(file, number, 1),
                "",
                "A YAML directive (a line that begins with %) is not used here.",
                "Delete the line.",
            )
        if line.strip() and not line.lstrip().startswith("#"):
            break
    return None


def read_tree(text: str, file: str) -> Reading:
    """Read YAML text. Never raises for bad input: `problems` and `whole` tell."""
    reading = Reading()
    reading.problems += list(_unfit_signs(text, file)) or list(_unfit_indents(text, file))
    directive = _directive(text, file)
    if directive:
        reading.problems.append(directive)
    if reading.problems:
        reading.whole = False
        return reading
    # A tab elsewhere on a line is harmless, but YAML readers disagree about it.
    text = text.replace("\t", " ")
    try:
        _read_events(text, file, reading)
    except _StopError as stop:
        reading.problems.append(stop.problem)
        reading.whole = False
    return reading


def _read_events(text: str, file: str, reading: Reading) -> None:
    import yaml

    last = Place(file, 1, 1)
    stack: list[_Open] = []
    nodes = documents = 0
    try:
        for event in _events(text):
            last = Place(file, event.start_mark.line + 1, event.start_mark.column + 1)
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    raise _StopError(
                        Problem(
                            last,
                            "",
                            "A second document begins here (a line with ---).",
                            "Keep everything in one document: delete the line ---.",
                        )
                    )
                continue
            if isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
                stack.pop()
                continue
            if not isinstance(
                event, (yaml.ScalarEvent, yaml.MappingStartEvent, yaml.SequenceStartEvent, yaml.AliasEvent)
            ):
                continue
            nodes += 1
            if nodes > MOST_NODES:
                raise _StopError(
                    Problem(
                        last,
                        "",
                        f"The file holds more than {MOST_NODES:,} values.",
                        "Split off what is not a fact of this case.",
                    )
                )
            _take(event, last, stack, reading)
    except yaml.MarkedYAMLError as error:
        raise _StopError(_syntax_problem(error, text, file)) from None
    except (yaml.YAMLError, ValueError, OverflowError):
        # Signs that an escape like "\ud800" stands for and that are no characters.
        raise _StopError(
            Problem(
                last,
                "",
                "This text, or the one after it, holds a character that cannot be read.",
                "Type the text again with plain characters.",
            )
        ) from None


def _take(event: Any, place: Place, stack: list[_Open], reading: Reading) -> None:
    """Put one value, or the beginning of a group or list, where it belongs."""
    import yaml

    problems = reading.problems
    parent = stack[-1] if stack else None
    if isinstance(event, yaml.AliasEvent):
        problems.append(
            Problem(place, _path(parent), "An alias (a value that begins with *) is not used here.", _QUOTE_OR_REPEAT)
        )
    elif event.anchor is not None:
        problems.append(
            Problem(place, _path(parent), "An anchor (a value that begins with &) is not used here.", _QUOTE_OR_REPEAT)
        )
    if getattr(event, "tag", None) is not None:
        problems.append(
            Problem(
                place,
                _path(parent),
                "A tag (a value that begins with !) is not used here.",
                "Put the text in quotes, or delete the tag.",
            )
        )

    scalar = isinstance(event, yaml.ScalarEvent)
    value: Tree
    if scalar:
        value = None if not event.style and event.value in _NOT_GIVEN else str(event.value)
    elif isinstance(event, yaml.MappingStartEvent):
        value = {}
    else:
        value = [] if isinstance(event, yaml.SequenceStartEvent) else None

    if parent is not None and isinstance(parent.holds, dict) and parent.key_due:
        _take_key(event, value, place, parent, problems)
        path: str | None = None
    else:
        path = _store(value, place, parent, reading)
    if isinstance(value, (dict, list)):
        if len(stack) >= DEEPEST:
            raise _StopError(
                Problem(
                    place,
                    (path or "").partition(".")[0],
                    f"Groups are nested more than {DEEPEST} deep here.",
                    "No fact lies so deep: check the indentation and the brackets.",
                )
            )
        stack.append(_Open(value, path))


_QUOTE_OR_REPEAT = "If it is text, put it in quotes; if the same facts are meant twice, write them out twice."


def _path(parent: _Open | None) -> str:
    if parent is None or parent.path is None:
        return ""
    if isinstance(parent.holds, list):
        return _under(parent.path, str(len(parent.holds)))
    return parent.path if parent.key_due or parent.key is None else _under(parent.path, parent.key)


def _under(path: str, part: str) -> str:
    return f"{path}.{part}" if path else part


def _take_key(event: Any, value: Tree, place: Place, parent: _Open, problems: list[Problem]) -> None:
    """Note a key; its value comes next. A refused key's value is read and dropped."""
    parent.key_due, parent.key_place, parent.dropped = False, place, False
    where = parent.path or ""
    if not isinstance(value, str):
        parent.key, parent.dropped = None, True
        if event.__class__.__name__ != "AliasEvent":
            kind = "empty" if value is None else "a list" if isinstance(value, list) else "a group"
            problems.append(
                Problem(
                    place,
                    where,
                    f"The key before this colon is {kind}.",
                    "Write one plain word as the key, like `county:`.",
                )
            )
        return
    parent.key = value
    if value == "<<" and not event.style:
        parent.dropped = True
        problems.append(Problem(place, where, "A merge key (<<) is not used here.", "Write the keys out."))
    elif value in parent.seen:
        parent.dropped = True
        if len(problems) >= MOST_PROBLEMS:
            return
        first = parent.seen[value]
        problems.append(
            Problem(
                place,
                _under(where, shown(value)),
                f"`{shown(value)}` is given twice: on line {first.line} and on line {place.line}.",
                "Keep one of the two.",
            )
        )
    else:
        parent.seen[value] = place


def _store(value: Tree, place: Place, parent: _Open | None, reading: Reading) -> str | None:
    """Put a value into the group or list being read; its path, or None if it is dropped."""
    if parent is None:
        reading.tree = value
        return ""
    if isinstance(parent.holds, list):
        path = None if parent.path is None else _under(parent.path, str(len(parent.holds)))
        parent.holds.append(value)
    else:
        parent.key_due = True
        if parent.dropped or parent.key is None:
            return None
        parent.holds[parent.key] = value
        path = None if parent.path is None else _under(parent.path, parent.key)
        place = parent.key_place or place
    if path is not None:
        reading.places[path] = place
    return path


def _line_above(lines: list[str], number: int) -> int:
    """The number of the nearest line above that is neither blank nor a comment; 0 if there is none."""
    for above in range(number - 1, 0, -1):
        text = lines[above - 1].strip()
        if text and not text.startswith("#"):
            return above
    return 0


def _syntax_problem(error: Any, text: str, file: str) -> Problem:
    """Say in plain words what a YAML reader stumbled over."""
    mark = error.problem_mark or error.context_mark
    place = Place(file, mark.line + 1, mark.column + 1) if mark else Place(file, 1, 1)
    said = f"{error.context or ''} {error.problem or ''}".lower()
    lines = re.split(r"\r\n|\r|\n", text)
    line = lines[place.line - 1] if place.line <= len(lines) else ""

    def at_context() -> Place:
        start = error.context_mark
        return Place(file, start.line + 1, start.column + 1) if start else place

    if "mapping values are not allowed" in said:
        if re.search(r":\s", line[: place.column - 1]):
            return Problem(
                place,
                "",
                "There is a second colon on this line, which YAML takes for another key.",
                'Put the whole value in quotes, like `label: "Home: 12 Elm Street"`.',
            )
        above = _line_above(lines, place.line)
        if above and re.match(r"\s*[\w-]+:[^\s:]", lines[above - 1]):
            return Problem(
                Place(file, above, lines[above - 1].index(":") + 1),
                "",
                "There is no space after this colon.",
                "Put a space between the colon and the value.",
            )
        return Problem(
            place,
            "",
            "This key does not fit under the line above it.",
            "Give the keys of one group the same number of spaces, and no value to the key above a group.",
        )
    if line.lstrip().startswith(":"):
        return Problem(
            place, "", "There is no key before this colon.", "Write one plain word as the key, like `county:`."
        )
    if "quoted scalar" in said and ("end of stream" in said or "document separator" in said):
        return Problem(
            at_context(),
            "",
            "The quotation mark that opens here is never closed.",
            "Close it with the same mark at the end of the text.",
        )
    if "escape" in said:
        return Problem(
            at_context(),
            "",
            "The double-quoted text that begins here holds a backslash that YAML does not understand.",
            "Use single quotes around the text, or write two backslashes.",
        )
    if "flow mapping" in said or "flow sequence" in said or "',' or" in said:
        return Problem(
            at_context(),
            "",
            "A bracket that opens here is not closed, or a comma is missing inside it.",
            "Close it, or put the text in quotes if no list is meant.",
        )
    if "cannot start any token" in said:
        sign = line[place.column - 1 : place.column]
        return Problem(place, "", f"A value cannot begin with the sign {sign!r}.", "Put the value in quotes.")
    if "simple key" in said or "expected ':'" in said:
        return Problem(
            at_context(),
            "",
            "This line is neither a key with a colon, nor an item with a dash.",
            "Write `key: value`; the colon needs a space after it. Text over several lines needs quotes or `|`.",
        )
    if "alias" in said or "anchor" in said or "tag" in said or "directive" in said:
        return Problem(
            place, "", "A value begins with a sign that YAML reserves (&, *, ! or %).", "Put the value in quotes."
        )
    if "block scalar" in said:
        return Problem(
            place,
            "",
            "The text block that begins with | or > is not written right.",
            "Write | alone after the key, and indent every line of the text below it by the same spaces.",
        )
    if "block sequence entries" in said:
        return Problem(
            place,
            "",
            "A dash for a list item cannot stand on this line.",
            "Put each item on a line of its own, under its key, or quote a value that begins with a dash.",
        )
    if "block" in said or "expected key" in said or "document start" in said:
        return Problem(
            place,
            "",
            "The indentation of this line does not fit the lines around it.",
            "Give the keys of one group the same number of spaces, and the items of one list the same dash column.",
        )
    return Problem(
        place,
        "",
        "This line cannot be read as YAML.",
        "Write `key: value`, indent with two spaces, and put unusual text in quotes.",
    )
