"""How one value in case.yaml is read: every scalar arrives as text and is typed here.

A plain YAML reader would turn `no` into false, `010` into 8 and `1:30` into 90; here the fact's own type
decides. Money is Decimal dollars and cents. Each reader raises ValueError with what is wrong and how to mend
it; the loader adds file, line and key.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

_MONEY = r"-?\$?(?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)(?:\.[0-9]{1,2})?"
_DAY = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
_CLOCK = r"(?:[01]?[0-9]|2[0-3]):[0-5][0-9]"
_WHOLE = r"[0-9]{1,9}"
_PERCENT = r"[0-9]+(?:\.[0-9]{1,4})?"
_QUANTITY = r"[0-9]{1,15}(?:\.[0-9]{1,8})?"
_LAST_FOUR = r"[0-9A-Za-z]{1,4}"
_KEY = r"[a-z][a-z0-9_-]{0,30}"
_NOT_KEYS = ("true", "false", "null", "yes", "no", "on", "off")
"""Words that another YAML reader would take for something else than text."""
KEY_PATTERN = rf"^(?!(?:{'|'.join(_NOT_KEYS)})$){_KEY}$"
"""Short names, as a pattern for JSON Schema."""

_DASH = "[-\u2010-\u2015 .]"
_CARD_OR_TAX_NUMBER = re.compile(
    rf"(?<![\w+-])(?:\d{{3}}{_DASH}\d{{2}}{_DASH}\d{{4}}"
    # Not two dates in a row, nor a parcel number of the form 0123-456-78-0000 (some counties; from memory).
    r"|(?!(?:\d{4}-\d{2}-\d{2}|\d{4}-\d{3}-\d{2}-\d{4})(?!\d))(?:\d[ -]?){12,}\d)(?![\w-])"
)
_BARE_NINE = re.compile(r"(?<![\w$+-])(?<!\d[.,])\d{9}(?![\w-]|[.,]\d)")
_DIRECTION_SIGNS = re.compile("[\u2028-\u202e\u2066-\u2069]")
LARGEST_AMOUNT = Decimal("999999999999.99")


def _text(value: Any, what: str) -> str:
    if isinstance(value, str):
        return value.strip()
    kind = "a list" if isinstance(value, (list, tuple)) else "a group of keys" if isinstance(value, dict) else "empty"
    if value is not None and kind == "empty":
        kind = f"of another kind ({type(value).__name__})"
    raise ValueError(f"should be {what}, but is {kind}")


def _shown(text: str) -> str:
    """The text as a message quotes it: short, hidden signs made visible."""
    return repr(text if len(text) <= 60 else text[:57] + "...")


def _number(value: Any, what: str) -> str:
    """The text of a number; one that the program itself computed is written out in digits."""
    if isinstance(value, Decimal):
        if not value.is_finite():
            raise ValueError(f"should be {what}, but is not a number")
        return format(value, "f")
    return _text(value, what)


def read_text(value: Any) -> str:
    """Read free text. Refuses control characters and anything that looks like a full account or tax number."""
    text = unicodedata.normalize("NFC", _text(value, "text"))
    if not text:
        raise ValueError("should be text, but is empty; leave the key out if the fact is not known")
    for sign in "" if text.isprintable() else text:
        if unicodedata.category(sign) in ("Cc", "Cs", "Co", "Cn") and sign not in "\n\t":
            raise ValueError(f"contains the control character U+{ord(sign):04X}; remove it")
    hidden = _DIRECTION_SIGNS.search(text)
    if hidden:
        raise ValueError(f"contains the hidden sign U+{ord(hidden.group()):04X}; remove it")
    if _CARD_OR_TAX_NUMBER.search(text) or _BARE_NINE.search(text):
        raise ValueError(
            "looks like a full account or Social Security number; keep at most the last four digits "
            "(a parcel or telephone number is taken if written with its dashes)"
        )
    return text


def read_money(value: Any) -> Decimal:
    """Read dollars and cents: `1850`, `1,850.00` or `$1,850.00`. At most two decimals; negative with a leading minus."""
    text = _number(value, "an amount of money")
    if not isinstance(value, Decimal) and not re.fullmatch(_MONEY, text):
        raise ValueError(f"{_shown(text)} is not an amount of money; write dollars and cents like 1850.00 or 1,850.00")
    amount = Decimal(text.replace("$", "").replace(",", ""))
    if abs(amount) > LARGEST_AMOUNT:
        raise ValueError(f"{_shown(text)} is more than this program can divide; write at most {LARGEST_AMOUNT:,}")
    return amount.quantize(Decimal("0.01")) + 0  # adding 0 turns -0.00 into 0.00


def read_day(value: Any) -> date:
    """Read a calendar day, year first: 2026-11-30."""
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    text = _text(value, "a date")
    if not re.fullmatch(_DAY, text):
        raise ValueError(f"{_shown(text)} is not a date; write year-month-day, like 2026-11-30")
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise ValueError(
            f"there is no day {text}; check the month and the day (year-month-day, like 2026-11-30)"
        ) from None
    if not 1900 <= day.year <= 2150:
        raise ValueError(f"{text} lies outside the years 1900 to 2150; check the year")
    return day


def read_clock(value: Any) -> time:
    """Read a time of day on the 24-hour clock: 18:00. Whole minutes."""
    if isinstance(value, time):
        return value
    text = _text(value, "a time of day")
    if not re.fullmatch(_CLOCK, text):
        raise ValueError(
            f"{_shown(text)} is not a time of day; write hours and minutes on the 24-hour clock, like 18:00"
        )
    hours, minutes = text.split(":")
    return time(int(hours), int(minutes))


def read_whole(value: Any) -> int:
    """Read a whole number that is not negative."""
    text = str(value) if isinstance(value, int) and not isinstance(value, bool) else _text(value, "a whole number")
    if not re.fullmatch(_WHOLE, text):
        raise ValueError(f"{_shown(text)} is not a whole number; write digits only, like 45")
    return int(text)


def read_percent(value: Any) -> Decimal:
    """Read a percentage from 0 to 100, at most four decimals, with or without the sign."""
    text = _number(value, "a percentage")
    bare = text.removesuffix("%").strip()
    if not re.fullmatch(_PERCENT, bare) or Decimal(bare) > 100:
        raise ValueError(f"{_shown(text)} is not a percentage from 0 to 100; write it like 50 or 35.71")
    return Decimal(bare)


def read_quantity(value: Any) -> Decimal:
    """Read a quantity with up to eight decimals (shares, coins)."""
    text = _number(value, "a quantity")
    if not re.fullmatch(_QUANTITY, text):
        raise ValueError(f"{_shown(text)} is not a quantity; write digits with up to eight decimals, like 0.25000000")
    return Decimal(text)


def read_yes_no(value: Any) -> bool:
    """Read yes or no (true and false are taken too)."""
    if isinstance(value, bool):
        return value
    text = _text(value, "yes or no")
    if text.lower() in ("yes", "true"):
        return True
    if text.lower() in ("no", "false"):
        return False
    raise ValueError(f"{_shown(text)} is neither yes nor no; write yes or no")


def read_last_four(value: Any) -> str:
    """Read the last four digits or letters of a number; the full number never belongs in a filed paper."""
    text = _text(value, "the last four digits")
    if not re.fullmatch(_LAST_FOUR, text):
        # The text is not repeated: it may be the full number.
        raise ValueError("should be at most four digits or letters; write only the last four, like 4821")
    return text


def read_key(value: Any) -> str:
    """Read the short name of a record: lower-case letters, digits, hyphens and underscores, a letter first."""
    text = value if isinstance(value, str) else _text(value, "a short name")
    if text in _NOT_KEYS:
        raise ValueError(
            f"{_shown(text)} cannot be a short name, because other programs would read it as yes, no or nothing; use another"
        )
    if not re.fullmatch(_KEY, text):
        raise ValueError(
            f"{_shown(text)} is not a short name; use up to 31 lower-case letters, digits, - or _, a letter first, like joint_savings"
        )
    return text


def _written(pattern: str) -> str:
    """The pattern of a value in quotes, for JSON Schema; the readers pass over spaces around it."""
    return rf"^\s*{pattern}\s*$"


@dataclass(frozen=True, slots=True, eq=False)
class Reader:
    """How one kind of value is read, and what a JSON Schema says of it.

    pydantic calls the reader and nothing else: no second validator runs behind it, which keeps building the
    models quick.
    """

    read: Callable[[Any], Any]
    json_schema: dict[str, Any]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Give pydantic the reader as the whole validator."""
        return core_schema.no_info_plain_validator_function(self.read)


# The JSON Schema of each kind allows what an editor's YAML 1.2 reader makes of the unquoted value.
Words = Annotated[str, Reader(read_text, {"type": ["string", "number", "boolean"], "pattern": r"\S"})]
Money = Annotated[
    Decimal,
    Reader(read_money, {"type": ["number", "string"], "title": "dollars", "pattern": _written(_MONEY)}),
]
Day = Annotated[date, Reader(read_day, {"type": "string", "format": "date", "pattern": _written(_DAY)})]
Clock = Annotated[time, Reader(read_clock, {"type": "string", "pattern": _written(_CLOCK)})]
Whole = Annotated[
    int,
    Reader(
        read_whole, {"type": ["integer", "string"], "minimum": 0, "maximum": 999_999_999, "pattern": _written(_WHOLE)}
    ),
]
Percent = Annotated[
    Decimal,
    Reader(
        read_percent,
        {
            "type": ["number", "string"],
            "title": "percent, 0 to 100",
            "minimum": 0,
            "maximum": 100,
            "pattern": _written(_PERCENT + r"\s*%?"),
        },
    ),
]
Quantity = Annotated[
    Decimal,
    Reader(read_quantity, {"type": ["number", "string"], "minimum": 0, "pattern": _written(_QUANTITY)}),
]
YesNo = Annotated[
    bool,
    Reader(
        read_yes_no,
        {
            "anyOf": [
                {"enum": [True, False, "yes", "no"]},
                {
                    "type": "string",
                    "pattern": r"^\s*(?:[Yy][Ee][Ss]|[Nn][Oo]|[Tt][Rr][Uu][Ee]|[Ff][Aa][Ll][Ss][Ee])\s*$",
                },
            ]
        },
    ),
]
LastFour = Annotated[
    str,
    Reader(
        read_last_four, {"type": ["string", "integer"], "minimum": 0, "maximum": 9999, "pattern": _written(_LAST_FOUR)}
    ),
]
Key = Annotated[
    str,
    Reader(read_key, {"type": "string", "pattern": KEY_PATTERN}),
]
PartyRole = Literal["petitioner", "respondent"]
