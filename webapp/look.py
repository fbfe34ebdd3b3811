"""How a person likes sizes and days written; inside there is one system, millimetres and dates."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Units(StrEnum):
    """Millimetres, cubic metres and kilograms, or inches, board feet and pounds."""

    METRIC = "metric"
    INCH = "inch"


class Dates(StrEnum):
    """The order of a day's parts: "3 May 2026", "May 3, 2026" or "2026-05-03"."""

    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"
    ISO = "iso"


@dataclass(frozen=True)
class Look:
    """What one person has chosen."""

    units: Units = Units.METRIC
    dates: Dates = Dates.DAY_FIRST


PLAIN = Look()
"""What is shown where nobody has chosen."""
