"""Temperatures as people write them: 20, 68 °F, -5,5 C; inside, degrees Celsius."""

import re
from enum import Enum
from fractions import Fraction

from webapp.entry.fields import Unreadable, number_text, unreadable
from webapp.entry.plain_signs import plain_signs
from webapp.look import Units


class Scale(Enum):
    """Celsius or Fahrenheit."""

    C = "Celsius"
    F = "Fahrenheit"


_TEMPERATURE = re.compile(
    r"([+-]? ?(?:[0-9]{1,9}(?:[.,][0-9]{0,9})?|[.,][0-9]{1,9}))"
    r" ?(?:°|º|deg\.?|degrees?)? ?(c|celsius|℃|f|fahrenheit|℉)?",
    re.ASCII | re.IGNORECASE,
)
_SIGNS = {"c": Scale.C, "℃": Scale.C, "f": Scale.F, "℉": Scale.F}
_LONGEST = 40
_ZERO_F, _F_PER_C = 32, Fraction(9, 5)


def bare_scale(units: Units) -> Scale:
    """Give the scale of a number that stands without one."""
    return Scale.F if units is Units.INCH else Scale.C


def temperature_c(text: str, low_c: float, high_c: float, bare: Scale) -> float:
    """Read a temperature between two limits that both count in; a bare number is in `bare`."""
    ends = [f"{number_text(round(_in_scale(end, bare), 1))}" for end in (low_c, high_c)]
    expected = (
        f"degrees {bare.value} from {ends[0]} to {ends[1]}, or with their sign, as 20 °C or 68 °F"
    )
    found = _TEMPERATURE.fullmatch(plain_signs(text)) if len(text) <= _LONGEST else None
    if found is None:
        raise unreadable(expected, text)
    amount = Fraction(found[1].replace(" ", "").replace(",", "."))
    scale = _SIGNS[found[2][0].lower()] if found[2] else bare
    value = _celsius(amount, scale)
    if low_c <= value <= high_c:
        return value
    other = Scale.F if scale is Scale.C else Scale.C
    meant = low_c <= _celsius(amount, other) <= high_c
    asked = f"; was {number_text(float(amount))} °{other.name} meant?" if meant else ""
    raise Unreadable(f"{unreadable(expected, text)}{asked}")


def temperature_text(value_c: float, units: Units) -> str:
    """Write a temperature to a tenth of a degree in a person's scale."""
    scale = bare_scale(units)
    # Adding zero turns -0 into 0.
    return f"{number_text(round(_in_scale(value_c, scale), 1) + 0.0)} °{scale.name}"


def _celsius(amount: Fraction, scale: Scale) -> float:
    exact = (amount - _ZERO_F) / _F_PER_C if scale is Scale.F else amount
    return float(exact) + 0.0


def _in_scale(value_c: float, scale: Scale) -> float:
    return value_c * float(_F_PER_C) + _ZERO_F if scale is Scale.F else value_c
