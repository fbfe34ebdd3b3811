"""Own air records as a drawing: the moisture that the air measured at a place keeps wood at."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np

from webapp import wording
from webapp.drying.air import LONGEST_GAP_DAYS
from webapp.drying.normal_year import normal_year_pct
from webapp.pages.curve_sheet import CurveSheet, columns_of, frame_of, rows_of
from webapp.pages.place_year import month_arrays
from webapp.wood.sorption import equilibrium_moisture_pct
from webapp.yard.air_there import air_there

if TYPE_CHECKING:
    from collections.abc import Sequence

    from webapp.drying.arrays import Array
    from webapp.records.place import AirThere, Place, PlaceMonth

_ = wording.translation.gettext
_EPOCH = date(1970, 1, 1)
_YEAR_DAYS = 365.25
_FEWEST_DAYS = 10
_LONGEST_DAYS = 750
_WORDS = 4
# Within a season the day is told, beyond it the year.
_SHORT_DAYS = 100


@dataclass(frozen=True)
class AirDrawing:
    """What was measured at a place: how often, from when to when, and the drawing of it."""

    count: int
    first: date
    last: date
    mean_pct: float
    sheet: CurveSheet


def air_drawing(
    place: Place, months: Sequence[PlaceMonth], records: Sequence[AirThere]
) -> AirDrawing | None:
    """Draw the records day by day over the usual year; only the last two years where more."""
    if not records:
        return None
    days = np.array([(one.at.date() - _EPOCH).days for one in records])
    seen, which = np.unique(days, return_inverse=True)
    temperature_c, rh_pct = (
        np.bincount(which, np.array(values)) / np.bincount(which)
        for values in zip(*((one.temperature_c, one.rh_pct) for one in records), strict=True)
    )
    emc = equilibrium_moisture_pct(temperature_c, rh_pct)
    return AirDrawing(
        count=len(records),
        first=_EPOCH + timedelta(days=int(seen[0])),
        last=_EPOCH + timedelta(days=int(seen[-1])),
        mean_pct=float(emc.mean()),
        sheet=_sheet(place, months, seen, emc),
    )


def _sheet(place: Place, months: Sequence[PlaceMonth], seen: Array, emc: Array) -> CurveSheet:
    last = float(seen[-1]) + 1.0
    first = max(float(seen[0]), last - _LONGEST_DAYS)
    # A day or two would else be a sheet without width.
    first = min(first, last - _FEWEST_DAYS)
    shown = seen >= first
    usual_days = np.linspace(first, last, 200)
    usual = _usual(place, months, usual_days)
    frame = frame_of(np.concatenate([emc[shown], usual]), (first, last))
    at, values = _with_gaps(seen[shown] + 0.5, emc[shown])
    ticks = np.linspace(first, last, _WORDS + 1)[:-1] + (last - first) / (2 * _WORDS)
    return CurveSheet(
        path=frame.path(at, values),
        usual=frame.path(usual_days, usual),
        rows=rows_of(frame),
        columns=columns_of(frame, ticks, [_day_words(tick, last - first) for tick in ticks]),
        label=_("Moisture that the air measured here keeps wood at, day by day."),
        dots=[frame.at(x, y) for x, y in zip(at, values, strict=True)] if len(at) == 1 else [],
    )


def _usual(place: Place, months: Sequence[PlaceMonth], days: Array) -> Array:
    """The normal year of the place, repeated over the days."""
    year = normal_year_pct(*air_there(place.kind, place.air_of, *month_arrays(months)))
    into = (days / _YEAR_DAYS) % 1.0
    fractions = (np.arange(len(year)) + 0.5) / len(year)
    return np.asarray(np.interp(into, fractions, year, period=1.0))


def _with_gaps(at: Array, values: Array) -> tuple[Array, Array]:
    """Put a missing value into every long gap, so that no line bridges it."""
    gaps = np.flatnonzero(np.diff(at) > LONGEST_GAP_DAYS) + 1
    return np.insert(at, gaps, at[gaps - 1]), np.insert(values, gaps, np.nan)


def _day_words(day: float, span: float) -> str:
    found = _EPOCH + timedelta(days=int(day))
    month = wording.month_word(found.month)[:3]
    return f"{found.day} {month}" if span < _SHORT_DAYS else f"{month} {found.year}"
