"""The figures with their working: plain text of 100 columns for the screen, and plain data for programs."""

from __future__ import annotations

import dataclasses
import re
import textwrap
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from msadraft.figures.compute import Figures
from msadraft.figures.everything import Group
from msadraft.figures.figure import Figure, Step
from msadraft.figures.property.characterisation import WORDS as CHARACTERS
from msadraft.figures.property.working import number, places
from msadraft.figures.support_amounts import ESTIMATE
from msadraft.writers.data import plain_data

WIDTH = 100
CAUTION = f"The figures are a drafting aid and no legal advice. Local rules prevail. Of support: {ESTIMATE}"
TITLES = {
    "acknowledgment_due": "Acknowledgment of receipt due",
    "amended_joint_response_due": "Response to the amended joint petition due",
    "appeal_by": "Last day to appeal",
    "bonus_worksheet": "Support on irregular income",
    "cover_needed": "Life insurance that secures the unpaid support",
    "default_from": "First day on which default can be requested",
    "final_disclosure_due": "Final disclosure due",
    "half_length": "Support for half the length of the marriage would end",
    "marriage_length": "Length of the marriage",
    "may_be_dismissed_from": "First day on which the case may be dismissed for delay",
    "may_file_from": "First day on which a petition may be filed",
    "mediation_set_by": "Mediation to be set by",
    "new_trial_notice_by": "Last day for a notice of intention to move for a new trial",
    "note_schedule": "Level payment of the equalizing note",
    "parenting_time.petitioner_percent": "Petitioner's share of parenting time",
    "parenting_time.respondent_percent": "Respondent's share of parenting time",
    "partnership_ends": "Domestic partnership ends",
    "petitioner_disclosure_due": "Petitioner's preliminary disclosure due",
    "present_worth": "Present value of the support",
    "proof_of_service_by": "Proof of service due",
    "registration_contest_by": "Last day to contest the registration of an order",
    "registry_information_by": "Information for the child support registry due",
    "relief_for_mistake_by": "Last day to ask for relief from a mistake",
    "relief_no_notice_by": "Last day to ask for relief where no notice came in time",
    "relocation_notice_by": "Last day for notice of a move",
    "respondent_disclosure_due": "Respondent's preliminary disclosure due",
    "response_due": "Response due",
    "serve_by": "Last day to serve the petition",
    "service_complete": "Service complete",
    "spousal_tax": "Tax treatment of the support",
    "spousal_total": "Total of all steps of support",
    "status_ends": "Marital status ends",
    "status_from": "First day on which marital status can end",
    "summary_judgment_from": "First day of a judgment in a summary case",
    "temporary_support": "Temporary support by the county's own formula",
    "term_share": "Term of support as a share of the marriage",
    "trial_by": "Last day to bring the case to trial",
}
"""What a figure is called, where its name is made for programs."""

_MEASURES = re.compile(r"parenting_time\.measures\.\d+")
_GOES_ON = "goes on"
"""Result of a test that leaves its question to the next one."""
_LONG_TABLE, _SHOWN_AT_EACH_END = 14, 3
_INDENT, _GUTTER = 4, 2
_LEAST_WIDTH, _MOST_LABEL = 8, 34


def title_of(figure: Figure) -> str:
    """What a figure is called in plain words."""
    if _MEASURES.fullmatch(figure.name):
        return "Time with each parent"
    words = TITLES.get(figure.name) or figure.name
    return words[:1].upper() + words[1:]


def value_of(figure: Figure) -> str:
    """The value with its unit, as a person writes it; the exact value stays in the data."""
    value, unit = figure.value, figure.unit
    if value is None:
        return unit if figure.table else "not worked out"
    if isinstance(value, date):
        return _day(value)
    if isinstance(value, str):
        return CHARACTERS.get(value, value)
    if unit.startswith("dollars"):
        return _dollars(Decimal(value)) + unit.removeprefix("dollars")
    if unit == "percent":
        return f"{min(Decimal(value), places(Decimal(value), 4), key=lambda shown: len(str(shown)))}%"
    return f"{number(value)} {unit}".rstrip()


def screen_lines(groups: Sequence[Group]) -> list[str]:
    """Give every figure with its steps as lines for a terminal; the cautions of a group stand once, after it."""
    lines: list[str] = []
    for group in groups:
        lines += [group.title, "=" * len(group.title), ""]
        for figure in group.figures:
            lines += [*_heading(figure), *_working(figure), *_table(figure.table), ""]
        lines += _cautions(group)
    return [*lines, *textwrap.wrap(CAUTION, WIDTH)]


def figures_data(groups: Iterable[Group]) -> dict[str, Any]:
    """Give the same as plain data: groups, their figures, and the steps of each."""
    return {"groups": [_group_data(group) for group in groups], "caution": CAUTION}


def round_data(figures: Figures, groups: Iterable[Group], mark: str) -> dict[str, Any]:
    """What a round keeps: the simple figures by name, and all the working. The facts themselves are not repeated."""
    simple = {f.name: plain_data(getattr(figures, f.name)) for f in dataclasses.fields(figures) if f.name != "facts"}
    simple["ledger"].pop("figure")  # it stands among the working
    return {"mark": mark, "figures": simple, "working": [_group_data(group) for group in groups]}


def _group_data(group: Group) -> dict[str, Any]:
    return {"title": group.title, "figures": [_figure_data(figure) for figure in group.figures]}


def _figure_data(figure: Figure) -> dict[str, Any]:
    data: dict[str, Any] = plain_data(figure)
    return {"name": data.pop("name"), "title": title_of(figure), "shown": value_of(figure), **data}


def _heading(figure: Figure) -> list[str]:
    title, value = title_of(figure), value_of(figure)
    dots = WIDTH - len(title) - len(value) - 2
    if dots > 2:
        return [f"{title} {'.' * dots} {value}"]
    return [*textwrap.wrap(f"{title}:", WIDTH), *textwrap.wrap(value, WIDTH, **_margin(2))]


def _working(figure: Figure) -> list[str]:
    """The steps. Where no test gave an answer, only what it would take."""
    if figure.value is None and figure.steps and all(step.result == _GOES_ON for step in figure.steps):
        unknown = dict.fromkeys(step.formula for step in figure.steps if "not known" in step.formula)
        open_words = "; ".join(unknown) or "the facts settle none of them"
        text = f"{len(figure.steps)} tests, none with an answer: {open_words}"
        return textwrap.wrap(text, WIDTH, **_margin(_INDENT))
    return _steps(figure.steps)


def _steps(steps: Iterable[Step]) -> list[str]:
    lines: list[str] = []
    for step in steps:
        lines += textwrap.wrap(step.what, WIDTH, **_margin(_INDENT))
        if step.formula:
            lines += _hanging("  ", step.formula)
        source = f"   ({step.source})" if step.source else ""
        if len(step.result) + len(source) + _INDENT + 4 <= WIDTH:
            lines += _hanging("= ", step.result + source)
        else:
            lines += [*_hanging("= ", step.result), *(_hanging("  ", source.strip()) if source else ())]
    return lines


def _hanging(sign: str, text: str) -> list[str]:
    first = " " * (_INDENT + 2) + sign
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=" " * len(first))


def _margin(spaces: int) -> dict[str, Any]:
    return {"initial_indent": " " * spaces, "subsequent_indent": " " * (spaces + 2)}


def _cautions(group: Group) -> list[str]:
    """Each caution of a group once, in order; that of support stands at the very end instead."""
    said = dict.fromkeys(caution for figure in group.figures for caution in figure.cautions if caution != ESTIMATE)
    lines = []
    for caution in said:
        owners = [title_of(f) for f in group.figures if caution in f.cautions]
        about = f"{owners[0]}: " if len(owners) == 1 and len(group.figures) > 1 else ""
        lines += textwrap.wrap(f"! {about}{caution}", WIDTH, subsequent_indent="  ")
    return [*lines, ""] if lines else []


# Tables


def _table(rows: Sequence[dict[str, Any]]) -> list[str]:
    """A table in columns; of a long one the first and the last rows."""
    if not rows:
        return []
    keys = [key for key in rows[0] if any(row[key] is not None for row in rows)]
    cells = [[key.replace("_", " ") for key in keys], *([_cell(row[key]) for key in keys] for row in rows)]
    plain = [all(_is_number(row[key]) for row in rows) for key in keys]
    short = len(rows) <= _LONG_TABLE
    head, tail = (cells, []) if short else (cells[: 1 + _SHOWN_AT_EACH_END], cells[-_SHOWN_AT_EACH_END:])
    shown = [*head, *tail]
    widths = [max(_LEAST_WIDTH, *(len(row[n]) for row in shown)) for n in range(len(keys))]
    room = WIDTH - _INDENT - _GUTTER * (len(keys) - 1)
    words = [n for n in range(len(keys)) if not plain[n]]
    if sum(widths) > room and words:
        widest = max(words, key=lambda n: widths[n])
        widths[widest] = max(_LEAST_WIDTH, min(_MOST_LABEL, room - (sum(widths) - widths[widest])))
    lines = [line for row in head for line in _row(row, widths, plain)]
    if tail:
        lines.append(f"{' ' * _INDENT}… {len(rows) - len(shown) + 1} more rows; --json and --xlsx have them all")
    return [*lines, *(line for row in tail for line in _row(row, widths, plain))]


def _row(cells: Sequence[str], widths: Sequence[int], right: Sequence[bool]) -> list[str]:
    """One row; what does not fit its column goes on below."""
    wrapped = [textwrap.wrap(cell, width) or [""] for cell, width in zip(cells, widths, strict=True)]
    lines = []
    for n in range(max(len(parts) for parts in wrapped)):
        texts = [parts[n] if n < len(parts) else "" for parts in wrapped]
        columns = [
            text.rjust(width) if as_number else text.ljust(width)
            for text, width, as_number in zip(texts, widths, right, strict=True)
        ]
        lines.append((" " * _INDENT + (" " * _GUTTER).join(columns)).rstrip())
    return lines


def _is_number(value: object) -> bool:
    return value is None or (isinstance(value, (int, Decimal)) and not isinstance(value, bool))


def _cell(value: object) -> str:
    if isinstance(value, Decimal):
        return f"{value:,f}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, (list, tuple)):
        return ", ".join(_cell(part) for part in value)
    return "" if value is None else f"{value}"


def _dollars(amount: Decimal) -> str:
    return f"{'-' if amount < 0 else ''}${abs(amount):,.2f}"


def _day(day: date) -> str:
    return f"{day:%A, %B} {day.day}, {day.year}"
