"""Which line of the holiday form a holiday of the facts belongs on. The form was not read: its lines are from memory."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from msadraft.facts.view import View, path_of, plain

OTHER = "1-other"
BIRTHDAYS = "1-birthdays"
LINES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "1-newyear": ("new_years_day", "new_years_eve", "new_year", "new_years"),
        "1-mlk": ("martin_luther_king_day", "martin_luther_king", "mlk", "mlk_day"),
        "1-presidents": ("presidents_day", "presidents", "lincoln_day"),
        "1-spring": ("spring_break",),
        "1-easter-passover": ("easter", "orthodox_easter", "passover"),
        "1-mothersday": ("mothers_day",),
        "1-memorial": ("memorial_day",),
        "1-fathersday": ("fathers_day",),
        "1-july4": ("independence_day", "fourth_of_july", "july_4"),
        "1-labor": ("labor_day",),
        "1-fallholy": ("rosh_hashanah", "yom_kippur"),
        "1-columbus": ("indigenous_peoples_day", "columbus_day"),
        "1-halloween": ("halloween",),
        "1-veterans": ("veterans_day",),
        "1-thanksgiving": ("thanksgiving", "thanksgiving_day", "thanksgiving_weekend"),
        "1-winter": ("winter_break",),
        "1-christmas": ("christmas_eve", "christmas_day", "christmas", "hanukkah", "kwanzaa"),
    }
)
"""The named days and short names that belong on each line; birthdays have theirs, and all others share one."""


def line_of(holiday: View) -> str:
    """The line of a holiday: by the day it is computed from, else by its short name, with or without "weekend"."""
    window = plain(holiday).window  # read bare: where a holiday belongs is no ground of what is written there
    key = path_of(holiday).rpartition(".")[2]
    if "birthday" in key.split("_") or (window and (window.birthday_of or window.birthday_of_parent)):
        return BIRTHDAYS
    name = (window and window.named_day) or key.removesuffix("_weekend")
    return next((line for line, days in LINES.items() if name in days), OTHER)


def holidays_on(holidays: Iterable[View], line: str) -> list[View]:
    """The holidays that belong on a line of the form, in the order of the facts."""
    return [holiday for holiday in holidays if line_of(holiday) == line]
