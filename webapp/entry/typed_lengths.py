"""A length as it stands in a text: its number, its unit, the inches after its feet."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction


class Unit(Enum):
    """A unit of length and its millimetres."""

    MM = Fraction(1)
    CM = Fraction(10)
    M = Fraction(1000)
    IN = Fraction(254, 10)
    FT = Fraction(3048, 10)

    @property
    def sign(self) -> str:
        """How the unit is written behind a number."""
        return self.name.lower()

    @property
    def is_metric(self) -> bool:
        """Whether a fraction of it would be odd: nobody writes 3/4 mm."""
        return self in {Unit.MM, Unit.CM, Unit.M}


@dataclass(frozen=True)
class TypedLength:
    """A length as it was typed, and where in the text it ends."""

    amount: Fraction
    unit: Unit | None
    end: int
    is_fraction: bool = False
    is_mixed: bool = False
    more_inches: Fraction = Fraction(0)

    @property
    def is_quarters(self) -> bool:
        """Whether it names a thickness as the trade does: 4/4, 5/4, 8/4."""
        return self.unit is None and self.is_fraction and self.amount >= 1

    @property
    def is_count(self) -> bool:
        """Whether it is a plain whole number, which may count boards as well."""
        plain = self.unit is None and not self.is_fraction and not self.is_mixed
        return plain and self.amount.denominator == 1

    def mm(self, bare: Unit) -> Fraction:
        """Give millimetres; a number without a unit is in `bare`, a fraction then in inches."""
        unit = self.unit or bare
        if self.unit is None and (self.is_quarters or (self._is_broken and bare.is_metric)):
            unit = Unit.IN
        return self.amount * unit.value + self.more_inches * Unit.IN.value

    @property
    def _is_broken(self) -> bool:
        return self.is_fraction or self.is_mixed


_AMOUNT = re.compile(
    r"([0-9]{1,4})(?: ?- ?| )([0-9]{1,2})/([1-9][0-9]?)(?![0-9/])"
    r"|([0-9]{1,3})/([1-9][0-9]?)(?![0-9/])"
    r"|([0-9]{1,9}(?:[.,][0-9]{1,9})?|[.,][0-9]{1,9})(?![0-9/])",
    re.ASCII,
)
_NAMES = {
    Unit.MM: "millimetres|millimetre|millimeters|millimeter|mm",
    Unit.CM: "centimetres|centimetre|centimeters|centimeter|cm",
    Unit.M: "metres|metre|meters|meter|m",
    Unit.IN: "inches|inch|ins|in",
    Unit.FT: "feet|foot|ft",
}
_SIGNS = {'"': Unit.IN, "'": Unit.FT}
_BY_NAME = {name: unit for unit, names in _NAMES.items() for name in names.split("|")} | _SIGNS
# A name ends where its letters end, or at the x of "32mmx180mm".
_UNIT = re.compile(
    rf" ?(?:({'|'.join(_NAMES.values())})(?:(?![^\W\d_])|(?=x ?[0-9]))\.?|([\"']))", re.IGNORECASE
)
_AFTER_FEET = re.compile(r",? ?-? ?(?=[0-9.])")
_INCHES_IN_FOOT = 12


def scan_length(plain: str, start: int, *, bare_inches: bool = False) -> TypedLength | None:
    """Find the length that begins at a place of a text in plain signs; None where none does.

    With `bare_inches`, a last number after feet needs no unit: 8' 6.
    """
    found = _AMOUNT.match(plain, start)
    if found is None:
        return None
    amount, is_mixed, end = _amount(found)
    unit, end = _unit(plain, end)
    is_fraction = found[4] is not None
    if unit is not Unit.FT:
        return TypedLength(amount, unit, end, is_fraction=is_fraction, is_mixed=is_mixed)
    inches, end = _inches_after_feet(plain, end, bare_inches=bare_inches)
    return TypedLength(amount, unit, end, more_inches=inches)


def _amount(found: re.Match[str]) -> tuple[Fraction, bool, int]:
    whole, above, below, one_above, one_below, decimal = found.groups()
    if whole is not None:
        part = Fraction(int(above), int(below))
        if part < 1:
            return int(whole) + part, True, found.end()
        return Fraction(int(whole)), False, found.end(1)
    if one_above is not None:
        return Fraction(int(one_above), int(one_below)), False, found.end()
    return Fraction(decimal.replace(",", ".")), False, found.end()


def _unit(plain: str, start: int) -> tuple[Unit | None, int]:
    found = _UNIT.match(plain, start)
    if found is None:
        return None, start
    return _BY_NAME[(found[1] or found[2]).lower()], found.end()


def _inches_after_feet(plain: str, start: int, *, bare_inches: bool) -> tuple[Fraction, int]:
    between = _AFTER_FEET.match(plain, start)
    found = _AMOUNT.match(plain, between.end()) if between else None
    if found is None:
        return Fraction(0), start
    amount, _is_mixed, end = _amount(found)
    unit, end = _unit(plain, end)
    taken = (unit is Unit.IN or (unit is None and bare_inches)) and amount < _INCHES_IN_FOOT
    return (amount, end) if taken else (Fraction(0), start)
