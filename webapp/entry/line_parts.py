"""The parts of a line, whatever stands between them, decimal commas allowed."""

import csv
import re

from webapp.entry.fields import Unreadable

_WIDE_COMMA = re.compile(r",[ \u00a0]+")
_DIGITS = re.compile(r"[+-]?[0-9]+", re.ASCII)
_TIME = r"[0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]+)?)?(?: ?[ap]\.?m\.?)?"
_BLANKS = re.compile(
    rf"(?P<day>[^\s,]+)[ \u00a0]+(?P<time>{_TIME})?[ \u00a0]*"
    r"(?P<temperature>[+\-\u2212]?[0-9][0-9.,]*(?: ?°? ?[CF])?)[ \u00a0]+"
    r"(?P<humidity>[0-9][0-9.,]*(?: ?%)?)",
    re.IGNORECASE | re.ASCII,
)
_NUMBERS_AT_END = 4


def separator_of(line: str) -> str:
    """Tell what stands between the cells of a line: a tab, else a semicolon, else a comma."""
    return next((sign for sign in ("\t", ";") if sign in line), ",")


def parts_of(line: str) -> list[str]:
    """Take a line apart at its tabs, else semicolons, else commas, else blanks."""
    separator = separator_of(line)
    if separator != ",":
        return cells_of(line, separator)
    if "," not in line or _BLANKS.fullmatch(line.strip()):
        return _by_blanks(line.strip())
    if '"' in line:
        return cells_of(line, ",")
    wide = [part.strip() for part in _WIDE_COMMA.split(line.strip())]
    plain = [part.strip() for part in line.split(",")]
    if len(wide) < len(plain) and len(wide) > 2:  # noqa: PLR2004 - a time, and two figures
        return wide
    return _with_decimals(plain)


def cells_of(line: str, separator: str) -> list[str]:
    """Take a line of a table apart; cells may stand in quotation marks."""
    try:
        row = next(csv.reader([line], delimiter=separator, strict=True))
    except csv.Error:
        raise Unreadable("expected a closing quotation mark behind each opening one") from None
    return [cell.strip() for cell in row]


def _by_blanks(line: str) -> list[str]:
    found = _BLANKS.fullmatch(line)
    if found is None:
        return [line]
    return [part for part in found.groups() if part is not None]


def _with_decimals(parts: list[str]) -> list[str]:
    """Join what decimal commas tore apart: a time or a day and a time, then two numbers in four."""
    ahead = len(parts) - _NUMBERS_AT_END
    torn = parts[ahead:]
    if ahead in {1, 2} and all(_DIGITS.fullmatch(part) for part in torn):
        return [*parts[:ahead], f"{torn[0]}.{torn[1]}", f"{torn[2]}.{torn[3]}"]
    if ahead == 0 and all(_DIGITS.fullmatch(part) for part in parts[1:]):
        raise Unreadable(
            "cannot tell decimal commas from those between: put semicolons between, as "
            f"{parts[0]}; {parts[1]},{parts[2]}; {parts[3]}"
        )
    return parts
