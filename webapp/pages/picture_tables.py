"""The numbers of a chart as tables, for those who cannot see or do not trust curves."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from webapp import wording

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from webapp.yard.picture_stack import PictureReading, StackPicture

MONTHS_AHEAD = 12
YEAR = np.timedelta64(365, "D")


@dataclass(frozen=True)
class MonthAhead:
    """What is likely on the first of a month."""

    on: date
    likely: str
    place_pct: float


@dataclass(frozen=True)
class ReadDay:
    """What the boards were read at on one day, in the order of the marks; empty where not read."""

    on: date
    cells: tuple[str, ...]


def months_ahead(picture: StackPicture, boards: Collection[str]) -> list[MonthAhead]:
    """Tell what is likely month by month, as far as the curves go."""
    curves = [picture.curves[mark] for mark in boards if mark in picture.curves]
    if not curves:
        return []
    firsts = [_first_of_month(picture.as_of, ahead) for ahead in range(1, MONTHS_AHEAD + 1)]
    last = picture.days[-1]
    days = [first for first in firsts if np.datetime64(first, "D") <= last]
    return [_month(picture, curves, on) for on in days]


def driest_ahead(picture: StackPicture) -> float:
    """Give the lowest moisture that the place takes wood to within a year; NaN where unknown."""
    today = np.datetime64(picture.as_of, "D")
    ahead = picture.equilibrium[(picture.days >= today) & (picture.days <= today + YEAR)]
    return float(ahead.min()) if len(ahead) else math.nan


def read_days(picture: StackPicture, marks: Sequence[str]) -> list[ReadDay]:
    """Lay the corrected readings out by day and board, newest first."""
    found: dict[date, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for reading in picture.readings:
        found[reading.on][reading.board].append(_cell(reading))
    return [
        ReadDay(on, tuple(" ".join(found[on][mark]) for mark in marks))
        for on in sorted(found, reverse=True)
    ]


def _month(
    picture: StackPicture, curves: Sequence[tuple[np.ndarray, np.ndarray, np.ndarray]], on: date
) -> MonthAhead:
    at = int(np.searchsorted(picture.days, np.datetime64(on, "D")))
    at = min(at, len(picture.days) - 1)
    return MonthAhead(
        on=on,
        likely=wording.percent_range(
            float(min(low[at] for _mean, low, _high in curves)),
            float(max(high[at] for _mean, _low, high in curves)),
        ),
        place_pct=float(picture.equilibrium[at]),
    )


def _first_of_month(day: date, ahead: int) -> date:
    months = day.year * 12 + day.month - 1 + ahead
    return date(months // 12, months % 12 + 1, 1)


def _cell(reading: PictureReading) -> str:
    number = wording.reading_percent(reading.corrected_pct).removesuffix(" %")
    if reading.over:
        return f">{number}"
    if reading.under:
        return f"<{number}"
    return f"{number}?" if reading.doubtful else number
