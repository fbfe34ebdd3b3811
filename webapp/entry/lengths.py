"""Lengths as people write them: 32, 3,2 cm, 1.2 m, 1 1/4 in, 5/4, 8' 6"; inside, millimetres."""

import math
import re

from webapp.entry.fields import Unreadable, number_text, unreadable
from webapp.entry.plain_signs import plain_signs
from webapp.entry.typed_lengths import TypedLength, Unit, scan_length

_GROUPED = re.compile(r"[0-9]{1,3}(?:[., '][0-9]{3})+(?![0-9])", re.ASCII)
_LONGEST = 60
_LONGEST_BARE_FEET = 40
_LARGE_MM = 1000
_SLIP_BELOW_MM = 12_500
_PLURAL = {
    Unit.MM: "millimetres",
    Unit.CM: "centimetres",
    Unit.M: "metres",
    Unit.IN: "inches",
    Unit.FT: "feet",
}
_OTHERS = {
    Unit.MM: (Unit.M, Unit.CM, Unit.IN),
    Unit.CM: (Unit.M, Unit.MM, Unit.IN),
    Unit.M: (Unit.MM, Unit.CM),
    Unit.IN: (Unit.MM,),
    Unit.FT: (Unit.IN, Unit.MM),
}


def length_mm(
    text: str, low_mm: float, high_mm: float, bare: Unit, *, quarters: bool = False
) -> float:
    """Read a length between two limits that both count in; a bare number is in `bare`.

    With `quarters`, 5/4 is the trade's name of a thickness of one and a quarter inch.
    """
    expected = _expected(low_mm, high_mm, bare)
    plain = plain_signs(text[: _LONGEST + 1]).removesuffix(".")
    typed = scan_length(plain, 0, bare_inches=True) if len(text) <= _LONGEST else None
    if typed is None or typed.end != len(plain):
        if _GROUPED.match(plain):
            expected += ", without a sign between the thousands"
        raise unreadable(expected, text)
    if typed.is_quarters and not quarters:
        raise unreadable(f"{expected}; quarters such as 5/4 are for a thickness", text)
    return checked_mm(typed, plain, low_mm, high_mm, bare)


def checked_mm(typed: TypedLength, text: str, low_mm: float, high_mm: float, bare: Unit) -> float:
    """Give the millimetres of a typed length; outside its limits ask for the likely slip."""
    if typed.unit is None and bare is Unit.FT and typed.amount > _LONGEST_BARE_FEET:
        raise Unreadable(f"expected the unit as well: {text} in, {text} ft or {text} mm")
    mm = float(typed.mm(bare))
    if low_mm <= mm <= high_mm:
        return mm
    refusal = unreadable(_expected(low_mm, high_mm, bare), text)
    raise Unreadable(f"{refusal}{_asked(typed, text, low_mm, high_mm, bare)}")


def _expected(low_mm: float, high_mm: float, bare: Unit) -> str:
    large = high_mm > _LARGE_MM
    examples = {
        Unit.IN: "7 1/2 in or 180 mm" if large else "1 1/4 in or 32 mm",
        Unit.FT: "8 ft 6 in or 2.4 m",
    }.get(bare, "1.2 m or 8 ft" if large else "3.2 cm or 1 1/4 in")
    # Rounded inwards, so that the limits named are themselves taken.
    parts = 1 if bare is Unit.MM else 10 if bare is Unit.FT else 100
    low = number_text(math.ceil(low_mm / float(bare.value) * parts) / parts)
    high = number_text(math.floor(high_mm / float(bare.value) * parts) / parts)
    return f"{_PLURAL[bare]} from {low} to {high}, or a length with its unit, such as {examples}"


def _asked(typed: TypedLength, text: str, low_mm: float, high_mm: float, bare: Unit) -> str:
    """Ask for the likely slip: a sign between thousands, or another unit than was typed."""
    unit = typed.unit or bare
    if typed.is_fraction or typed.is_mixed or typed.more_inches:
        return ""
    grouped = _GROUPED.match(text)
    if grouped and low_mm <= float(typed.amount * 1000 * unit.value) <= high_mm:
        return f"; was {float(typed.amount * 1000):g} {unit.sign} meant?"
    fitting = [
        other
        for other in _OTHERS[unit]
        if low_mm <= float(typed.amount * other.value) <= min(high_mm, _SLIP_BELOW_MM)
        and (other is not Unit.M or high_mm > _LARGE_MM)
    ]
    # Centimetres and inches are equally likely; after any other unit the rest fit by chance.
    meant = fitting[:2] if fitting[:1] == [Unit.CM] else fitting[:1]
    said = " or ".join(f"{float(typed.amount):.10g} {other.sign}" for other in meant)
    return f"; was {said} meant?" if said else ""
