"""Dates and moments in the ISO order; another order is refused, and the refusal says which."""

import re
from datetime import UTC, date, datetime, time

from webapp.entry.fields import Unreadable

FIRST_YEAR, LAST_YEAR = 1900, 2199
_EXPECTED = "expected a date as year-month-day, such as 2024-05-31"
_ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
_ISO_MOMENT = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}[T ][0-9]{2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]{1,6})?)?"
    r"(?:Z|[+-][0-9]{2}:?[0-9]{2})?",
    re.ASCII,
)
_THREE_PARTS = re.compile(r"([0-9]{1,4})[./\- ]+([0-9]{1,2})[./\- ]+([0-9]{1,4})", re.ASCII)
_YEAR_DIGITS = 4
_MONTHS = 12


def day(text: str) -> date:
    """Read a date written year-month-day."""
    plain = text.strip()
    if not _ISO_DAY.fullmatch(plain):
        raise Unreadable(f"{_EXPECTED}; {_looks_like(plain)}")
    return _checked_day(plain)


def _checked_day(plain: str) -> date:
    try:
        found = date.fromisoformat(plain)
    except ValueError:
        raise Unreadable(f"{_EXPECTED}; {_no_such_day(plain)}") from None
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise Unreadable(f"expected a date from {FIRST_YEAR} to {LAST_YEAR}; found “{plain}”")
    return found


def moment(text: str) -> datetime:
    """Read a moment; without an offset it is in UTC, and a day alone stands for its noon in UTC."""
    plain = text.strip()
    if not _ISO_MOMENT.fullmatch(plain):
        # Noon, so that no time zone pushes the day's figure onto another day.
        return datetime.combine(day(plain), time(12), UTC)
    _checked_day(plain[:10])
    try:
        found = datetime.fromisoformat(plain)
        found = found.replace(tzinfo=found.tzinfo or UTC).astimezone(UTC)
    except (ValueError, OverflowError):
        raise Unreadable(
            f"expected a time such as 2024-05-31T09:30 or 2024-05-31T09:30+02:00; found “{plain}”"
        ) from None
    # Its day in UTC counts: that is how it is kept and written again.
    _checked_day(found.date().isoformat())
    return found


def day_text(value: date) -> str:
    """Write a date."""
    return value.isoformat()


def moment_text(value: datetime) -> str:
    """Write a moment in UTC."""
    return value.astimezone(UTC).replace(tzinfo=None).isoformat() + "Z"


def _looks_like(plain: str) -> str:
    parts = _THREE_PARTS.fullmatch(plain)
    if parts:
        return f"“{plain}” {_order_of(*parts.groups())}"
    if _ISO_MOMENT.fullmatch(plain):
        return f"“{plain}” is a date with a time of day: write {plain[:10]}"
    if re.fullmatch(r"[0-9]{8}", plain, re.ASCII):
        instead = _instead(plain[:4], plain[4:6], plain[6:])
        return f"“{plain}” looks like a date without hyphens{instead}"
    if re.fullmatch(r"[0-9]{5}", plain, re.ASCII):
        return f"“{plain}” looks like a spreadsheet's day number: give the cells a date format"
    if re.search(r"[^\W\d_]{3}", plain) and re.search(r"[0-9]", plain):
        return f"“{plain}” looks like a date with the month as a word"
    return f"found “{plain[:40]}”"


def _order_of(first: str, second: str, third: str) -> str:
    if len(first) == _YEAR_DIGITS:
        if int(second) > _MONTHS:
            return f"looks like year, day, month{_instead(first, third, second)}"
        return f"looks like year, month, day in another spelling{_instead(first, second, third)}"
    if int(first) > _MONTHS:
        return f"looks like day, month, year{_instead(third, second, first)}"
    if int(second) > _MONTHS:
        return f"looks like month, day, year{_instead(third, first, second)}"
    return "looks like day, month, year or month, day, year, and which cannot be told"


def _instead(year: str, month: str, day_of_month: str) -> str:
    if len(year) != _YEAR_DIGITS:
        return ""
    try:
        return f": write {date(int(year), int(month), int(day_of_month)).isoformat()}"
    except ValueError:
        return ", but there is no such day"


def _no_such_day(plain: str) -> str:
    year, month, day_of_month = plain.split("-")
    if int(month) > _MONTHS >= int(day_of_month) > 0:
        return f"“{plain}” looks like year, day, month{_instead(year, day_of_month, month)}"
    return f"there is no day {plain}"
