"""Parsers of one text: each gives a checked value or raises Unreadable with what was expected."""

import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import numpy as np

LONGEST_MARK = 60
LONGEST_LINE = 200
LONGEST_TEXT = 4000
_LONGEST_FOUND = 40
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)", re.ASCII)
_GROUPED = re.compile(r"[+-]?[0-9]{1,3}(?:[., '\u00a0\u202f][0-9]{3})+(?:[.,][0-9]+)?", re.ASCII)
_UID = re.compile(r"[0-9a-f]{8}-?(?:[0-9a-f]{4}-?){3}[0-9a-f]{12}", re.ASCII | re.IGNORECASE)
_GUARDED = re.compile(r"'*[=+\-@\t\r]")
_ODD_SIGN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")
_YES = {"yes", "y", "true", "1"}
_NO = {"no", "n", "false", "0"}


class Unreadable(ValueError):
    """A text that cannot be taken; its message is a sentence that says what was expected."""


@dataclass(frozen=True)
class Kind:
    """How one kind of value is read from text and written back, always in the same way."""

    read: Callable[[str], Any]
    write: Callable[[Any], str]
    alike: Callable[[Any], str] | None = None


def unreadable(expected: str, text: str) -> Unreadable:
    """Make the refusal of a text, naming what was expected and what was found."""
    found = text if len(text) <= _LONGEST_FOUND else text[: _LONGEST_FOUND - 1] + "…"
    return Unreadable(f"expected {expected}; found “{found}”")


def number(text: str, low: float, high: float, unit: str) -> float:
    """Read a number with a decimal comma or point, between two limits that both count in."""
    expected = f"a number of {unit} from {number_text(low)} to {number_text(high)}"
    plain = text.strip().replace("\u2212", "-")
    if not _NUMBER.fullmatch(plain):
        if _GROUPED.fullmatch(plain):
            expected += ", without a sign between the thousands"
        raise unreadable(expected, text)
    # Adding zero turns -0 into 0, which would else be written with its sign.
    value = float(plain.replace(",", ".")) + 0.0
    if not low <= value <= high:
        raise unreadable(expected, text)
    return value


def percent(text: str, low: float, high: float) -> float:
    """Read a percentage; the sign itself may be there."""
    return number(text.strip().removesuffix("%").rstrip(), low, high, "percent")


def whole_number(text: str, low: int, high: int) -> int:
    """Read a count."""
    plain = text.strip()
    expected = f"a whole number from {low} to {high}"
    if not re.fullmatch(r"[0-9]{1,9}(?:[.,]0*)?", plain, re.ASCII):
        raise unreadable(expected, text)
    value = int(float(plain.replace(",", ".")))
    if not low <= value <= high:
        raise unreadable(expected, text)
    return value


def mark(text: str) -> str:
    """Read a mark or a name by which people tell things apart."""
    return _one_line(text, "a mark", LONGEST_MARK)


def line(text: str) -> str:
    """Read a short text of one line."""
    return _one_line(text, "a text of one line", LONGEST_LINE)


def note(text: str) -> str:
    """Read a free text, which may run over several lines."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    _refuse_odd_signs(plain, "a text")
    if len(plain) > LONGEST_TEXT:
        raise unreadable(f"a text of at most {LONGEST_TEXT} signs", text)
    return plain


def _one_line(text: str, what: str, longest: int) -> str:
    plain = unicodedata.normalize("NFC", text).strip()
    if not plain or len(plain) > longest or "\n" in plain or "\t" in plain:
        raise unreadable(f"{what} of 1 to {longest} signs", text)
    _refuse_odd_signs(plain, what)
    return plain


def _refuse_odd_signs(text: str, what: str) -> None:
    odd = _ODD_SIGN.search(text)
    if odd:
        code = f"U+{ord(odd[0]):04X}"
        raise Unreadable(f"expected {what}; found a sign that cannot be printed ({code})")


def choice(text: str, choices: Sequence[str]) -> str:
    """Read one of a few words, whatever the case, with a blank, hyphen or underscore between."""
    plain = _joined(text)
    for word in choices:
        if _joined(word) == plain:
            return word
    raise unreadable("one of " + ", ".join(choices), text)


def _joined(text: str) -> str:
    return re.sub(r"[\s_-]+", "_", text.strip().casefold())


def yes_or_no(text: str) -> bool:
    """Read yes or no."""
    plain = text.strip().casefold()
    if plain not in _YES | _NO:
        raise unreadable("yes or no", text)
    return plain in _YES


def uid(text: str) -> UUID:
    """Read the outer key of a record."""
    plain = text.strip()
    if not _UID.fullmatch(plain):
        raise unreadable("an id of 32 hexadecimal digits, as an export writes it, or nothing", text)
    return UUID(plain)


def number_text(value: float) -> str:
    """Write a number as short as it can be read back exactly: 13.5, 20, 0.00001."""
    return np.format_float_positional(value, trim="-")


def yes_or_no_text(value: bool) -> str:  # noqa: FBT001 - the value is what is written
    """Write yes or no."""
    return "yes" if value else "no"


def guard(text: str) -> str:
    """Put an apostrophe before a text that a spreadsheet would run as a formula."""
    return "'" + text if _GUARDED.match(text) else text


def unguard(text: str) -> str:
    """Take away the apostrophe that `guard` put there, and no other."""
    return text[1:] if text.startswith("'") and _GUARDED.match(text) else text
