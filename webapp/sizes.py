"""Sizes, volumes, weights and days in words, as whoever looks likes them written."""

from __future__ import annotations

import math
import re
from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING

from webapp import wording
from webapp.entry.length_text import length_text
from webapp.look import Dates, Units
from webapp.wood.units import board_feet_from_m3, pounds_from_kg

if TYPE_CHECKING:
    from collections.abc import Sequence

_ = wording.translation.gettext

_DAY_OR_QUOTED = re.compile(r"“[^”]*”|(?<![\w-])[0-9]{4}-[0-9]{2}-[0-9]{2}(?![\w-])")
_TIMES, _TO = " × ", "–"


def size_words(mm: float, units: Units, *, long: bool = False) -> str:
    """Say a thickness or width, or the length of a board: "32 mm" or "1 1/4 in"."""
    return length_text(mm, units, long=long)


def span_words(low_mm: float, high_mm: float, units: Units) -> str:
    """Say a span of sizes: "26–27 mm" or "1 – 1 1/16 in"; one size where both read alike."""
    low, high = size_words(low_mm, units), size_words(high_mm, units)
    if low == high:
        return low
    number, unit = low.rsplit(" ", 1)
    wide = " " if " " in number or high.count(" ") > 1 else ""
    return f"{number}{wide}{_TO}{wide}{high}" if high.endswith(unit) else f"{low} {_TO} {high}"


def worked_out_span_words(low_mm: float, high_mm: float, units: Units) -> str:
    """Say sizes that were worked out: a millimetre is as fine as anybody knows them."""
    if units is Units.METRIC:
        low_mm, high_mm = round(low_mm), round(high_mm)
    return span_words(low_mm, high_mm, units)


def board_size_words(
    thickness_mm: float,
    width_mm: float | None,
    width_end_mm: float | None,
    length_mm: float | None,
    units: Units,
) -> str:
    """Say the size of a board as far as it is known: "27 × 180–210 mm × 2.4 m"."""
    sizes = [size_words(thickness_mm, units)]
    if width_mm:
        sizes.append(span_words(width_mm, width_end_mm or width_mm, units))
    if length_mm:
        sizes.append(size_words(length_mm, units, long=True))
    return _joined(sizes)


def volume_words(volume_m3: float, units: Units) -> str:
    """Say how much wood it is: "0.047 m³" or "20 bd ft"."""
    if units is Units.INCH:
        return _("%s bd ft") % _two_digits(float(board_feet_from_m3(volume_m3)))
    return _("%s m³") % _two_digits(volume_m3)


def weight_words(mass_kg: float, units: Units) -> str:
    """Say a weight as finely as one from tables is known: "9.6 kg" or "21 lb"."""
    if units is Units.INCH:
        return _("%s lb") % _two_digits(float(pounds_from_kg(mass_kg)), rough=True)
    return _("%s kg") % _two_digits(mass_kg, rough=True)


def day_words(day: date, dates: Dates) -> str:
    """Say a day: "3 May 2026", "May 3, 2026" or "2026-05-03"."""
    if dates is Dates.ISO:
        return day.isoformat()
    pattern = (
        _("%(month)s %(day)d, %(year)d")
        if dates is Dates.MONTH_FIRST
        else _("%(day)d %(month)s %(year)d")
    )
    return pattern % {"day": day.day, "month": wording.month_name(day, day), "year": day.year}


def with_days(sentence: str, dates: Dates) -> str:
    """Write the days of a sentence of ours as they are liked; what is quoted stays as it is."""
    if dates is Dates.ISO:
        return sentence
    return _DAY_OR_QUOTED.sub(lambda found: _liked(found[0], dates), sentence)


def _liked(found: str, dates: Dates) -> str:
    try:
        return day_words(date.fromisoformat(found), dates)
    except ValueError:
        return found


def _joined(sizes: Sequence[str]) -> str:
    """Join sizes with crosses; a unit that the next size shares is said once."""
    listed = list(sizes)
    for at, (one, following) in enumerate(pairwise(listed)):
        number, unit = one.rsplit(" ", 1)
        if following.endswith(f" {unit}") and " ft " not in following:
            listed[at] = number
    return _TIMES.join(listed)


def _two_digits(value: float, *, rough: bool = False) -> str:
    """Write two digits that count, and no fewer than all whole ones; `rough`: just two."""
    decimals = 1 - math.floor(math.log10(value)) if value > 0 else 0
    rounded = round(value, decimals if rough else max(decimals, 0))
    # Rounding may have carried: 9.97 is 10, which needs no tenth.
    decimals = 1 - math.floor(math.log10(rounded)) if rounded > 0 else 0
    return f"{rounded:.{max(decimals, 0)}f}"
