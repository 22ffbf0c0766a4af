"""A year of parenting time as one picture (SVG).

It can be read without colour: one parent's time is plain and the other's hatched, each stretch carries the parent's
letter, and a day on which the children change hands is divided at that hour. Every day has its words as a title, and
the whole picture has a title and a description.
"""

from __future__ import annotations

from bisect import bisect_right
from calendar import monthrange
from datetime import date
from html import escape

from msadraft.facts.scalars import PartyRole
from msadraft.figures.parenting.clock import CalendarError
from msadraft.figures.parenting.measures import measure
from msadraft.figures.parenting.plan import Timeline
from msadraft.figures.parenting.words import MONTHS, WEEKDAYS, clock_words
from msadraft.writers.calendar.names import Names

WIDTH, HEIGHT = 850, 1100
"""Hundredths of an inch: US Letter, upright."""
_LEFT, _TOP = 40, 128
_CELL_WIDTH, _CELL_HEIGHT = 35, 30
_MONTH_WIDTH, _MONTH_HEIGHT = 262, 236
_ROOMY, _NARROWEST = 11, 7
"""Width of a part of a day from which its letter has full size, and from which it has one at all."""
_FILLS = {"petitioner": "url(#petitioner)", "respondent": "url(#respondent)", None: "url(#nobody)"}
_STYLE = (
    "text{font-family:Arial,Helvetica,'Liberation Sans',sans-serif;fill:#14171c}"
    ".t{font-size:22px;font-weight:bold}.k{font-size:13px}.m{font-size:14px;font-weight:bold}"
    ".w{font-size:9px;text-anchor:middle}.d{font-size:8.5px;stroke:#fff;stroke-width:2.5px;paint-order:stroke}"
    ".p{font-size:12px;font-weight:bold;text-anchor:middle;stroke:#fff;stroke-width:3px;paint-order:stroke}"
    ".q{font-size:8.5px;font-weight:bold;text-anchor:middle;stroke:#fff;stroke-width:1.5px;paint-order:stroke}"
    ".c{fill:none;stroke:#4b515b;stroke-width:.7}.h{fill:none;stroke:#14171c;stroke-width:2.2}.f{font-size:11px}"
)
_PATTERNS = (
    '<pattern id="petitioner" width="8" height="8" patternUnits="userSpaceOnUse"><rect width="8" height="8" '
    'fill="#fffaf0"/></pattern>'
    '<pattern id="respondent" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#dbe7f6"/><line x1="0" y1="0" x2="0" y2="6" stroke="#5a7fae" stroke-width="2"/>'
    "</pattern>"
    '<pattern id="nobody" width="6" height="6" patternUnits="userSpaceOnUse"><rect width="6" height="6" fill="#fff"/>'
    '<path d="M0 0L6 6M6 0L0 6" stroke="#8f1616" stroke-width="1"/></pattern>'
)

Part = tuple[float, float, PartyRole | None, str, int]
"""Part of a day: from and to as parts of the day, who, of which schedule, and the minute at which it begins."""


def write_year_svg(timeline: Timeline, year: int, names: Names, *, title: str = "") -> str:
    """Draw one calendar year of a timeline.

    Raises:
        CalendarError: the timeline does not cover the year.
    """
    zone = timeline.zone
    if zone.at(date(year, 1, 1)) < timeline.first or timeline.last < zone.at(date(year + 1, 1, 1)):
        raise CalendarError(f"the calendar does not cover the year {year}")
    headline = title or f"Parenting time in {year}"
    body = [_legend(names, with_gaps=bool(timeline.gaps))]
    starts = [stay.first for stay in timeline.stays]
    for month in range(1, 13):
        column, row = (month - 1) % 3, (month - 1) // 3
        body.append(
            _month(timeline, starts, year, month, names, _LEFT + column * _MONTH_WIDTH, _TOP + row * _MONTH_HEIGHT)
        )
    words = _description(timeline, year, names)
    body.append(f'<text class="f" x="{_LEFT}" y="{HEIGHT - 20}">{escape(words)}</text>')
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
        f'role="img" aria-labelledby="title desc" lang="en"><title id="title">{escape(headline)}</title>'
        f'<desc id="desc">{escape(f"Twelve months with every day marked by parent. {words}")}</desc>'
        f'<style>{_STYLE}</style><defs>{_PATTERNS}</defs><rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>'
        f'<text class="t" x="{_LEFT}" y="58">{escape(headline)}</text>{"".join(body)}</svg>\n'
    )


def _description(timeline: Timeline, year: int, names: Names) -> str:
    """Nights, exchanges and open hours of the year in a sentence."""
    zone = timeline.zone
    first, last = zone.at(date(year, 1, 1)), zone.at(date(year + 1, 1, 1))
    stays = tuple(
        s._replace(first=max(s.first, first), last=min(s.last, last))
        for s in timeline.whole
        if s.first < last and s.last > first
    )
    found = measure(Timeline(zone, first, last, stays, (), (), stays))
    words = (
        f"Nights: {names.petitioner} {found.petitioner.nights}, {names.respondent} {found.respondent.nights}. "
        f"Exchanges: {found.exchanges}."
    )
    return words if not found.open_minutes else f"{words} Hours that nobody has: {round(found.open_minutes / 60)}."


def _legend(names: Names, *, with_gaps: bool) -> str:
    out, x = [], _LEFT
    entries: tuple[tuple[PartyRole | None, str], ...] = (
        ("petitioner", names.petitioner), ("respondent", names.respondent), (None, "nobody (mend the schedule)"),
    )  # fmt: skip
    for parent, words in entries if with_gaps else entries[:2]:
        out.append(
            f'<rect x="{x}" y="78" width="26" height="20" fill="{_FILLS[parent]}"/><rect class="c" x="{x}" y="78" '
            f'width="26" height="20"/><text class="p" x="{x + 13}" y="93">{escape(names.letter(parent))}</text>'
            f'<text class="k" x="{x + 33}" y="93">{escape(words)}</text>'
        )
        x += 60 + 8 * len(words)
    out.append(
        f'<rect class="h" x="{x + 1}" y="79" width="24" height="18"/><text class="k" x="{x + 33}" y="93">'
        "holiday or vacation</text>"
    )
    return "".join(out)


def _month(timeline: Timeline, starts: list[int], year: int, month: int, names: Names, x: int, y: int) -> str:
    out = [f'<text class="m" x="{x}" y="{y}">{MONTHS[month - 1]}</text>']
    # Weeks begin on Sunday, as on a wall calendar.
    for n, name in enumerate((WEEKDAYS[6], *WEEKDAYS[:6])):
        out.append(f'<text class="w" x="{x + n * _CELL_WIDTH + _CELL_WIDTH / 2:g}" y="{y + 14}">{name[:3]}</text>')
    offset = (date(year, month, 1).weekday() + 1) % 7
    for day in range(1, monthrange(year, month)[1] + 1):
        place = offset + day - 1
        left, top = x + place % 7 * _CELL_WIDTH, y + 18 + place // 7 * _CELL_HEIGHT
        out.append(_day(timeline, starts, date(year, month, day), names, left, top))
    return "".join(out)


def _day(timeline: Timeline, starts: list[int], day: date, names: Names, left: int, top: int) -> str:
    parts = _parts(timeline, starts, day)
    drawn, letters = [], []
    for begin, end, parent in _by_parent(parts):
        x, width = left + begin * _CELL_WIDTH, (end - begin) * _CELL_WIDTH
        drawn.append(f'<rect x="{x:g}" y="{top}" width="{width:g}" height="{_CELL_HEIGHT}" fill="{_FILLS[parent]}"/>')
        if width >= _NARROWEST:
            style = "p" if width >= _ROOMY else "q"
            letters.append(
                f'<text class="{style}" x="{x + width / 2:g}" y="{top + 25}">{escape(names.letter(parent))}</text>'
            )
    special = any(layer in ("holidays", "vacation") for _, _, _, layer, _ in parts)
    frame = f'<rect class="c" x="{left}" y="{top}" width="{_CELL_WIDTH}" height="{_CELL_HEIGHT}"/>'
    if special:
        frame += f'<rect class="h" x="{left + 1.5:g}" y="{top + 1.5:g}" width="{_CELL_WIDTH - 3}" height="{_CELL_HEIGHT - 3}"/>'
    number = f'<text class="d" x="{left + 4}" y="{top + 11}">{day.day}</text>'
    return f"<g><title>{escape(_words(day, parts, names))}</title>{''.join(drawn)}{frame}{number}{''.join(letters)}</g>"


def _parts(timeline: Timeline, starts: list[int], day: date) -> list[Part]:
    """The parts of a local day by parent and schedule, in order; time that nobody has is a part too."""
    zone = timeline.zone
    begin, end = zone.at(day), zone.instant(day.toordinal() + 1, 0)
    out: list[Part] = []
    at = begin

    def add(until: int, parent: PartyRole | None, layer: str) -> None:
        nonlocal at
        if until > at:
            local = zone.local(at)
            minute = local.hour * 60 + local.minute
            out.append(((at - begin) / (end - begin), (until - begin) / (end - begin), parent, layer, minute))
            at = until

    n = max(0, bisect_right(starts, begin) - 1)
    while n < len(timeline.stays) and timeline.stays[n].first < end:
        stay = timeline.stays[n]
        add(min(stay.first, end), None, "")
        add(min(stay.last, end), stay.parent, stay.layer)
        n += 1
    add(end, None, "")
    return out


def _by_parent(parts: list[Part]) -> list[tuple[float, float, PartyRole | None]]:
    """The parts with neighbours of one parent put together."""
    out: list[tuple[float, float, PartyRole | None]] = []
    for begin, end, parent, _, _ in parts:
        if out and out[-1][2] == parent:
            out[-1] = (out[-1][0], end, parent)
        else:
            out.append((begin, end, parent))
    return out


def _words(day: date, parts: list[Part], names: Names) -> str:
    """The day in words: who has the children, and from when on the other."""
    said: list[str] = []
    before: object = object()
    for _, _, parent, _, minute in parts:
        if parent == before:
            continue
        said.append(names.of(parent) if not said else f"from {clock_words(minute)} {names.of(parent)}")
        before = parent
    return f"{WEEKDAYS[day.weekday()]}, {MONTHS[day.month - 1]} {day.day}: {', '.join(said)}".replace("\u00a0", " ")
