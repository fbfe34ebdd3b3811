"""Millimetres written in a person's units, in such a way that they are read back the same."""

from webapp.entry.fields import number_text
from webapp.look import Units

_MM_PER_SIXTEENTH = 25.4 / 16
_IN_INCH = 16
_IN_FOOT = 12 * _IN_INCH
_MM_PER_M = 1000


def length_text(mm: float, units: Units, *, long: bool = False) -> str:
    """Write a length with its unit; a long one in metres, or in feet and inches.

    Metric sizes are written to a tenth of a millimetre, or as metres to a millimetre; inches to
    the nearest sixteenth.
    """
    if units is Units.INCH:
        return _inches(round(mm / _MM_PER_SIXTEENTH), long=long)
    if long and round(mm) >= _MM_PER_M:
        return f"{number_text(round(mm / _MM_PER_M, 3))} m"
    return f"{number_text(round(mm, 1))} mm"


def _inches(sixteenths: int, *, long: bool) -> str:
    feet, rest = divmod(sixteenths, _IN_FOOT) if long else (0, sixteenths)
    whole, part = divmod(rest, _IN_INCH)
    words = [str(whole)] if whole or not (part or feet) else []
    if part:
        below = _IN_INCH
        while part % 2 == 0:
            part, below = part // 2, below // 2
        words.append(f"{part}/{below}")
    inches = [f"{' '.join(words)} in"] if words else []
    return " ".join(([f"{feet} ft"] if feet else []) + inches)
