"""The schedule to print: every holiday with its dates, and every exchange, as rows for an exhibit or a page of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from html import escape
from itertools import pairwise

from msadraft.figures.parenting.holidays import HolidayPlan
from msadraft.figures.parenting.plan import Plan, Timeline
from msadraft.figures.parenting.words import WEEKDAYS, clock_words, day_words
from msadraft.writers.calendar.names import OF_THE_SCHEDULE, Names

HOLIDAY_HEADER = ("Holiday", "Begins", "Ends", "With")
EXCHANGE_HEADER = ("Day", "Time", "The children go to", "Because of")
UNPRINTED = "on the birthday"
NOBODY = "nobody named"
PREVAILS = (
    "These days and hours are worked out from the schedule and the holidays of the agreement, and from the school dates as "
    "they were entered. Where they differ, the agreement and the school's published calendar prevail."
)


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    """One row: an id that stays the same when the table is made again, and the cells."""

    id: str
    cells: tuple[str, ...]


def holiday_rows(
    plan: Plan, first_year: int, last_year: int, names: Names, *, filed: bool = True
) -> tuple[ScheduleRow, ...]:
    """Every holiday that begins in the years given, in order of its beginning; halves are two rows.

    A paper that is filed (`filed`) does not print the date of a birthday. A holiday without dates in a year has no row
    for it; the timeline reports that as a fault.
    """
    rows: list[tuple[int, str, ScheduleRow]] = []
    for holiday in plan.holidays:
        for year in range(first_year, last_year + 1):
            turns = [
                turn for turn in holiday.turns(plan.zone, year) if first_year <= turn[4].first_day.year <= last_year
            ]
            for n, (begins, ends, parent, label, when) in enumerate(turns, 1):
                row = _holiday_row(plan, holiday, begins, ends, label, names.of(parent) if parent else NOBODY, filed)
                rows.append((begins, holiday.key, ScheduleRow(f"{holiday.key}:{when.first_day.year}:{n}", row)))
    return tuple(row for _, _, row in sorted(rows, key=lambda found: found[:2]))


def _holiday_row(
    plan: Plan, holiday: HolidayPlan, begins: int, ends: int, label: str, parent: str, filed: bool
) -> tuple[str, ...]:
    first, last = plan.zone.local(begins), plan.zone.local(ends)
    if filed and holiday.private_day:
        return label, f"{UNPRINTED} in {first.year}, {_clock(first)}", _clock(last), parent
    return label, f"{_day(first)}, {_clock(first)}", f"{_day(last)}, {_clock(last)}", parent


def exchange_rows(timeline: Timeline, plan: Plan, names: Names, *, filed: bool = True) -> tuple[ScheduleRow, ...]:
    """Every time the children go from one parent to the other, in order.

    A paper that is filed prints neither the day nor the reason of an exchange that a birthday brings about.
    """
    private = {holiday.path for holiday in plan.holidays if holiday.private_day} if filed else set()
    starting = {stay.first: stay for stay in timeline.stays}
    ending = {stay.last: stay for stay in timeline.stays}
    rows, counts = list[ScheduleRow](), dict[date, int]()
    for before, stay in pairwise(timeline.whole):
        if before.parent == stay.parent:
            continue
        begins = timeline.zone.local(stay.first)
        n = counts[begins.date()] = counts.get(begins.date(), 0) + 1
        new, old = starting[stay.first], ending[before.last]
        why = new.label or OF_THE_SCHEDULE.get(new.layer, "Agreed trade")
        if new.source in private or old.source in private:
            row_id, row = (
                f"exchange:{begins:%Y}:birthday:{len(rows)}",
                (UNPRINTED, "", names.of(stay.parent), "Birthday"),
            )
        else:
            row_id = f"exchange:{begins:%Y-%m-%d}:{n}"
            row = (_day(begins), _clock(begins), names.of(stay.parent), why)
        rows.append(ScheduleRow(row_id, row))
    return tuple(rows)


def _day(local: datetime) -> str:
    return f"{WEEKDAYS[local.weekday()]}, {day_words(local.date())}"


def _clock(local: datetime) -> str:
    return clock_words(local.hour * 60 + local.minute)


_STYLE = (
    "body{font:11pt/1.4 'Times New Roman',Times,serif;margin:1in auto;max-width:7.5in;color:#111;background:#fff}"
    "table{border-collapse:collapse;width:100%;margin:0 0 2em}caption{text-align:left;font-weight:bold;padding:.4em 0}"
    "th,td{border:1px solid #555;padding:.25em .5em;text-align:left;vertical-align:top}thead{display:table-header-group}"
    "h1{font-size:16pt;margin:0 0 .4em}tr{break-inside:avoid}"
    "@media print{body{margin:0;max-width:none;font-size:9.5pt;line-height:1.25}th,td{padding:.15em .5em}}"
)


def write_schedule_html(title: str, holidays: Sequence[ScheduleRow], exchanges: Sequence[ScheduleRow]) -> str:
    """A page to print with both tables: self-contained, without script. A table without rows is left out."""
    tables = [
        _table(caption, header, rows)
        for caption, header, rows in (
            ("Holidays and special days", HOLIDAY_HEADER, holidays),
            ("Exchanges", EXCHANGE_HEADER, exchanges),
        )
        if rows
    ]
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>{escape(title)}</title>\n'
        f"<style>{_STYLE}</style>\n</head>\n<body>\n<main>\n<h1>{escape(title)}</h1>\n<p>{escape(PREVAILS)}</p>\n{''.join(tables)}</main>\n</body>\n"
        "</html>\n"
    )


def _table(caption: str, header: tuple[str, ...], rows: Sequence[ScheduleRow]) -> str:
    head = "".join(f'<th scope="col">{escape(cell)}</th>' for cell in header)
    body = "".join(
        f'<tr id="{escape(row.id)}">{"".join(f"<td>{escape(cell)}</td>" for cell in row.cells)}</tr>\n' for row in rows
    )
    return f"<table>\n<caption>{escape(caption)}</caption>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{body}</tbody>\n</table>\n"
