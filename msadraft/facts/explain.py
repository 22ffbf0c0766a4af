"""Turn what the models object to into problems that a person who does not program can mend."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from typing import Any

from msadraft.facts.paths import ROOT, FactField, Shape, describe, fields_of, groups_with_key
from msadraft.facts.problems import Place, Problem, nearest_place
from msadraft.facts.yaml_tree import shown

MOST_CHOICES_SHOWN = 20
MOST_NAMES_COMPARED = 300

SYNONYMS = {
    "ss": "spousal_support", "alimony": "spousal_support", "maintenance": "spousal_support", "cs": "child_support",
    "kids": "children", "kid": "children", "minors": "children", "custody": "parenting", "parenting_plan": "parenting",
    "visitation": "parenting", "property": "assets", "liabilities": "debts", "loans": "debts", "furniture": "household",
    "husband": "petitioner", "wife": "respondent", "spouse": "respondent", "tax": "taxes", "attorney_fees": "fees",
    "dob": "born_on", "date_of_birth": "born_on", "birth_date": "born_on", "birthdate": "born_on", "birthday": "born_on",
    "dom": "married_on", "date_of_marriage": "married_on", "marriage_date": "married_on", "wedding_date": "married_on",
    "dos": "separated_on", "date_of_separation": "separated_on", "separation_date": "separated_on",
    "given_name": "first", "first_name": "first", "surname": "last", "family_name": "last", "last_name": "last",
    "middle_name": "middle", "zip": "post_code", "zip_code": "post_code", "postal_code": "post_code",
    "case_number": "number", "bar": "bar_number", "ssn": "tax_id_last_four", "ssn_last_four": "tax_id_last_four",
    "vin": "vin_last_six", "balance": "owing", "awarded_to": "goes_to", "assigned": "assigned_to", "lender": "creditor",
    "start_date": "starts_on", "end_date": "ends_on", "monthly_amount": "amount", "gross_income": "gross_monthly_income",
    "net_income": "net_monthly_income", "aka": "also_known_as", "lawyer": "attorney", "schedule": "blocks",
}  # fmt: skip
"""Words of everyday practice, and the key that is meant. Used for suggestions only."""

Location = tuple[str | int, ...]


def _dotted(location: Sequence[str | int]) -> str:
    return ".".join(str(part) for part in location)


def _spoken(generic: str) -> str:
    """A generic path as it is shown to a person."""
    return generic.replace(".*", ".…") or "the top level"


def _walk(location: Location) -> tuple[list[str], Shape | None, FactField | None]:
    """Follow a location through the models: its generic path, the shape there, the last field met."""
    shape: Shape | None = ROOT
    last: FactField | None = None
    generic: list[str] = []
    for part in location:
        if shape is None:
            break
        if shape.record is not None:
            last = fields_of(shape.record).get(str(part))
            shape = last.shape if last else None
            generic.append(str(part))
        else:
            shape = shape.item
            generic.append("*")
    return generic, shape, last


def _sentence(text: str) -> str:
    text = text.strip()
    return text if text.endswith((".", "?", "`:")) else text + "."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def nearest(word: str, known: Sequence[str], count: int = 1) -> list[str]:
    """The known words most like the given one, best first; empty if none is close."""
    plain = word.strip().lower().replace(" ", "_").replace("-", "_")[:60]
    by_plain = {name.lower().replace(" ", "_"): name for name in known[:MOST_NAMES_COMPARED]}
    found = difflib.get_close_matches(plain, list(by_plain), count, 0.6)
    if len(plain) >= 3:
        found += [
            name for name in by_plain if name not in found and (name.startswith(plain) or plain.startswith(name + "_"))
        ]
    return [by_plain[match] for match in found[:count]]


def _kind_of(value: Any) -> str:
    if value is None:
        return "empty"
    if isinstance(value, list):
        return "a list"
    return "a group of keys" if isinstance(value, dict) else "a single value"


def unknown_key(location: Location) -> tuple[str, str]:
    """What to say about a key that does not exist where it stands: what, and how to mend."""
    key = str(location[-1])
    generic, shape, _ = _walk(location[:-1])
    fields = fields_of(shape.record) if shape is not None and shape.record is not None else {}
    allowed = list(fields)
    plain = _plain(key)
    inside = f"in `{_dotted(location[:-1])}`" if len(location) > 1 else "at the top level"
    what = f"`{shown(key)}` is not a fact that can stand {inside}."

    titled = {_plain(found.title): name for name, found in fields.items()}
    meant = titled.get(plain) or SYNONYMS.get(plain, plain)
    if meant in allowed:
        return what, f"Write `{meant}` instead."
    close = nearest(key, allowed)
    elsewhere = _elsewhere(meant, generic)
    hints = []
    if close and not (elsewhere and meant == key and _likeness(key, close[0]) < 0.85):
        hints.append(f"Did you mean `{close[0]}`?")
    if elsewhere:
        hints.append(f"`{meant}` belongs in {elsewhere}{': check the indentation' if meant == key else ''}.")
    if not hints:
        listed = (
            ", ".join(allowed) if len(allowed) <= MOST_CHOICES_SHOWN else ", ".join(allowed[:MOST_CHOICES_SHOWN]) + " …"
        )
        hints.append(f"Delete it, or use one of: {listed}.")
    return what, " ".join(hints)


def _plain(key: str) -> str:
    return key.strip().lower().replace(" ", "_").replace("-", "_")


def _likeness(one: str, other: str) -> float:
    return difflib.SequenceMatcher(None, one, other).ratio()


def _elsewhere(key: str, here: Sequence[str]) -> str:
    """Where else a key may stand, the places nearest to `here` first."""
    paths = [path.split(".") if path else [] for path in groups_with_key().get(key, ())]

    def distance(path: Sequence[str]) -> int:
        shared = 0
        for ours, theirs in zip(here, path, strict=False):
            if ours != theirs:
                break
            shared += 1
        return len(here) + len(path) - 2 * shared

    near = sorted(paths, key=distance)
    words = [f"`{_spoken('.'.join(path))}`" if path else "the top level" for path in near[:3]]
    return " or ".join(words) + (" or elsewhere" if len(near) > 3 else "")


def _missing(location: Location, is_there: bool) -> tuple[str, str]:
    _, shape, last = _walk(location)
    key = location[-1]
    says = f" Meaning: {describe(_generic(location))}." if last else ""
    what = f"`{key}` is needed, but is not given.{says}"
    group = f" to `{_dotted(location[:-1])}:`" if len(location) > 1 else ""
    start = f"fill in `{key}:`" if is_there else f"add `{key}:`{group}"
    if shape is not None and shape.record is not None:
        inner = [name for name, found in fields_of(shape.record).items() if found.required]
        return what, _capital(f"{start}, with at least {' and '.join(f'`{name}:`' for name in inner)} in it.")
    if shape is None or shape.reader == "text":
        return what, _capital(f"{start}, with the text after the colon.")
    return what, _capital(f"{start} with {_choices_in_words(shape)}.")


def _generic(location: Location) -> str:
    return ".".join(_walk(location)[0])


def _choices_in_words(shape: Shape) -> str:
    if len(shape.choices) <= MOST_CHOICES_SHOWN:
        return shape.how_to_write
    return f"one of the {len(shape.choices)} allowed names, such as {', '.join(shape.choices[:3])}"


def _choice(location: Location, value: Any) -> tuple[str, str]:
    _, shape, _ = _walk(location)
    choices = shape.choices if shape else ()
    if not isinstance(value, str):
        return f"This should be one word, but is {_kind_of(value)}.", _sentence(
            _capital(f"write {_choices_in_words(shape)}" if shape else "write one word")
        )
    if not value.strip():
        return "This should be one word, but is empty.", "Leave the key out if the fact is not known yet, or write " + (
            _choices_in_words(shape) if shape else "one"
        ) + "."
    close = nearest(value, choices)
    hint = f"Did you mean `{close[0]}`? " if close else ""
    if len(choices) <= MOST_CHOICES_SHOWN:
        return f"'{shown(value)}' is not among the allowed words.", f"{hint}Write one of: {', '.join(choices)}."
    others = nearest(value, choices, 4)[1:]
    if others:
        hint += f"Also near: {', '.join(others)}."
    elif not close:
        hint = f"Write one of the {len(choices)} allowed names, such as {', '.join(choices[:3])}."
    return f"'{shown(value)}' is not among the allowed names.", hint.strip()


def _shape_problem(location: Location, value: Any) -> tuple[str, str]:
    """A list, group or single value stands where another of the three is due."""
    _, shape, _ = _walk(location)
    key = location[-1] if location else ""
    is_item = isinstance(key, int)
    if shape is None:
        return "This cannot be read.", "Compare it with a new case made by `msadraft new`."
    if shape.form == "record" and value is None:
        item = "This item is empty" if is_item else f"`{key}` is named here, but nothing is said about it"
        return f"{item}.", "Fill it in, or delete the line."
    due = {"record": "a group of keys", "map": "a group of short names", "list": "a list", "value": "a single value"}[
        shape.form
    ]
    what = f"This should be {due}, but is {_kind_of(value)}."
    if shape.form == "list":
        inner = shape.item
        if inner is not None and inner.record is not None:
            return (
                what,
                f"Begin each entry with a dash under `{key}:`, like `- {next(iter(fields_of(inner.record)))}: …`.",
            )
        return what, f"Write each item on a line of its own under `{key}:`, with a dash before it."
    if shape.form == "map":
        return (
            what,
            f"Under `{key}:`, give each entry a short name of your choice and a colon, and its facts indented below it.",
        )
    keys = list(fields_of(shape.record))[:4] if shape.record is not None else []
    where = "after the dash" if is_item else f"under `{key}:`, indented"
    return what, f"Write keys with their values {where}, such as {', '.join(f'`{name}:`' for name in keys)}."


def _value(location: Location, message: str) -> tuple[str, str]:
    """A reader's own words: what is wrong, then after a semicolon how to mend it."""
    _, shape, _ = _walk(location)
    what, found, mend = message.partition("; ")
    if what.startswith("should "):
        what = "this " + what
    elif what.startswith(("contains ", "looks ")):
        what = "the text " + what
    if not found:
        mend = f"write {shape.how_to_write}" if shape else "correct it"
    return _sentence(_capital(what)), _sentence(_capital(mend))


def explain(error: Mapping[str, Any], places: Mapping[str, Place], file: str) -> Problem:
    """One objection of the models as a problem.

    Args:
        error: one entry of `pydantic.ValidationError.errors()`.
        places: the place of every path that is in the file.
        file: what the file is called in messages.
    """
    location: Location = tuple(error["loc"])
    kind = error["type"]
    if location and location[-1] == "[key]":
        location = location[:-1]
        what, mend = _value((), str(error["ctx"]["error"]))
        better = re.sub(r"[^a-z0-9]+", "_", str(location[-1]).lower()).strip("_")[:31]
        if re.match(r"[a-z]", better) and better != location[-1]:
            mend = f"Write `{better}`, here and wherever it is named. {mend}"
    elif kind == "extra_forbidden":
        what, mend = unknown_key(location)
    elif kind == "missing":
        what, mend = _missing(location, _dotted(location) in places)
    elif kind == "literal_error":
        what, mend = _choice(location, error["input"])
    elif kind == "value_error":
        what, mend = _value(location, str(error["ctx"]["error"]))
    else:
        what, mend = _shape_problem(location, error["input"])
    path = ".".join(shown(str(part)) for part in location)
    return Problem(nearest_place(places, _dotted(location), file), path, what, mend)
