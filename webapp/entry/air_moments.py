"""When the air was measured, as loggers write it; the order of day and month is never guessed."""

import re
from datetime import datetime
from enum import StrEnum

from webapp.entry import kinds
from webapp.entry.fields import Unreadable


class DayOrder(StrEnum):
    """In which order a day's numbers stand."""

    YEAR_FIRST = "year_first"
    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"


_CLOCK = (
    r"(?P<hour>[0-9]{1,2}):(?P<minute>[0-9]{2})(?::(?P<second>[0-9]{2})(?:\.[0-9]{1,9})?)?"
    r"(?: ?(?P<half>[ap])\.?m\.?)?"
)
_DAY = r"(?P<a>[0-9]{1,4})(?P<sign>[./-])(?P<b>[0-9]{1,2})(?P=sign)(?P<c>[0-9]{1,4})"
_MOMENT = re.compile(
    rf"{_DAY}(?:(?:[T ]|, ?){_CLOCK})? ?(?P<zone>Z|UTC|[+-][0-9]{{2}}:?[0-9]{{2}})?",
    re.ASCII | re.IGNORECASE,
)
_TIME = re.compile(_CLOCK, re.ASCII | re.IGNORECASE)
_YEAR_DIGITS = 4
_NOON = 12


def is_time(text: str) -> bool:
    """Tell whether a text is a time of day."""
    return _TIME.fullmatch(text.strip()) is not None


def air_moment(text: str, order: DayOrder) -> datetime:
    """Read when the air was measured; a day alone stands for its noon, a bare time is in UTC."""
    found = _MOMENT.fullmatch(" ".join(text.split()))
    if found is None:
        return _by_the_book(text)
    a, b, c = found["a"], found["b"], found["c"]
    if len(a) == _YEAR_DIGITS:
        year, month, day = a, b, c
    elif len(c) != _YEAR_DIGITS:
        return _by_the_book(text)
    elif order is DayOrder.YEAR_FIRST:
        raise Unreadable(f"the day in “{text}” does not begin with the year: say how days stand")
    else:
        day, month, year = (a, b, c) if order is DayOrder.DAY_FIRST else (b, a, c)
    iso = f"{year}-{month:0>2}-{day:0>2}"
    if found["hour"] is None:
        return _by_the_book(iso)
    hour = _hour(int(found["hour"]), found["half"], text)
    zone = (found["zone"] or "").upper().replace("UTC", "Z")
    return _by_the_book(f"{iso}T{hour:02}:{found['minute']}:{found['second'] or '00'}{zone}")


def _hour(hour: int, half: str | None, text: str) -> int:
    if half is None:
        return hour
    if not 1 <= hour <= _NOON:
        raise Unreadable(f"expected an hour from 1 to 12 before am or pm; found “{text}”")
    return hour % _NOON + (_NOON if half.casefold() == "p" else 0)


def _by_the_book(text: str) -> datetime:
    moment: datetime = kinds.MOMENT.read(text)
    return moment
