"""What a meter showed: `13.5`, `13,5`, `>30` or `>` over its range, `<6` or `<` under it."""

import re
from dataclasses import dataclass

from webapp.entry.fields import Unreadable, number_text, unreadable

HIGHEST_PCT = 250.0
MOST_HITS = 20
LONGEST_HIT = 24
_EXPECTED = (
    "a reading above 0 and at most 250 percent, such as 13.5 or 13,5, or >30 over range, <6 under"
)
_SHOWN = re.compile(r"([<>]?)\s*(?:([0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)\s*%?)?", re.ASCII)
_BLANK_AFTER_SIGN = re.compile(r"([<>])\s+")


@dataclass(frozen=True)
class ShownReading:
    """One hit: the text as typed and the number in it; over or under tell that it is a limit."""

    shown: str
    value: float | None
    over: bool = False
    under: bool = False


def shown_reading(text: str) -> ShownReading:
    """Read one hit."""
    plain = text.strip()
    parts = _SHOWN.fullmatch(plain) if len(plain) <= LONGEST_HIT else None
    if parts is None or not plain:
        raise unreadable(_EXPECTED + _one_hit(plain), text)
    sign, digits = parts.groups()
    value = None if digits is None else float(digits.replace(",", "."))
    if value is not None and not 0 < value <= HIGHEST_PCT:
        raise unreadable(_EXPECTED, text)
    return ShownReading(plain, value, over=sign == ">", under=sign == "<")


def _one_hit(plain: str) -> str:
    several = [_SHOWN.fullmatch(part) for part in plain.split()]
    return (
        "; one hit a row, numbered in the column hit" if len(several) > 1 and all(several) else ""
    )


def hits(text: str) -> tuple[ShownReading, ...]:
    """Read one hit or several, with blanks between them."""
    parts = _BLANK_AFTER_SIGN.sub(r"\1", text.strip().replace(" %", "%")).split()
    if len(parts) > MOST_HITS:
        raise Unreadable(f"expected at most {MOST_HITS} hits at one spot; found {len(parts)}")
    if len(parts) < 2:  # noqa: PLR2004 - a single hit keeps its text as typed
        return (shown_reading(text),)
    return tuple(shown_reading(part) for part in parts)


def same_reading(read: ShownReading) -> str:
    """Write a reading so that two spellings of it are alike (13,5 and 13.5)."""
    sign = ">" if read.over else "<" if read.under else ""
    return sign if read.value is None else sign + number_text(read.value)
