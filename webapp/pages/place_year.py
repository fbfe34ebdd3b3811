"""A place's year as a drawing: the moisture it keeps wood at, month by month."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp import wording
from webapp.drying.normal_year import normal_months_pct, normal_year_pct
from webapp.pages.small_curve import Frame, small_path
from webapp.yard.air_there import air_there

if TYPE_CHECKING:
    from datetime import date

    from webapp.drying.arrays import Array

_ = wording.translation.gettext
_MONTHS = 12
_EVERY_OTHER = tuple(map(wording.marked, ("Jan", "Mar", "May", "Jul", "Sep", "Nov")))
_GRID_PCT = 5.0
_ROOM_PCT = 0.5
# Within a point of moisture a year is told as one figure.
_FLAT_PCT = 1.0
# Left of it stand the figures, below it the months.
_SHEET = {"x": (44.0, 334.0), "y": (10.0, 166.0)}
WIDTH, HEIGHT = 340, 196


@dataclass(frozen=True)
class PlaceYear:
    """What the template of a year needs, in units of its drawing.

    ``rows`` are heights with their figures, ``columns`` the months' middles with their names, the
    ``now`` dot this month's; ``missing`` names months without air, ``small`` is the year as a
    small curve and ``months_pct`` the equilibrium by month.
    """

    months_pct: Array
    path: str
    small: str
    dots: list[tuple[float, float]]
    now: tuple[float, float] | None
    rows: list[tuple[float, str]]
    columns: list[tuple[float, str]]
    sentence: str
    missing: list[str]


def place_year(
    kind: str, air_of: str, temperature_c: Array, rh_pct: Array, today: date | None = None
) -> PlaceYear:
    """Draw what the yard will suppose of a place with these months, NaN where not yet typed."""
    inside = air_there(kind, air_of, temperature_c, rh_pct)
    year, months = normal_year_pct(*inside), normal_months_pct(*inside)
    low, high = _limits(np.concatenate([year, months]))
    frame = Frame(**_SHEET, along=(0.0, float(_MONTHS)), up=(low, high))
    middles = np.arange(_MONTHS) + 0.5
    points = [
        frame.at(at, pct) for at, pct in zip(middles, months, strict=True) if np.isfinite(pct)
    ]
    known = np.isfinite(temperature_c) & np.isfinite(rh_pct)
    return PlaceYear(
        months_pct=months,
        path=frame.path(np.linspace(0.0, _MONTHS, len(year)), year),
        small=small_path(year if known.all() else months),
        dots=points,
        now=frame.at(today.month - 0.5, months[today.month - 1]) if today and known.all() else None,
        rows=[(frame.at(0.0, pct)[1], f"{pct:g} %") for pct in _grid(low, high)],
        columns=[
            (frame.at(at, low)[0], _(word))
            for at, word in zip(middles[::2], _EVERY_OTHER, strict=True)
        ],
        sentence=_sentence(months),
        missing=[wording.month_word(int(month) + 1) for month in np.flatnonzero(~known)],
    )


def _limits(values: Array) -> tuple[float, float]:
    """Whole fives below and above the curve, ten points apart at least."""
    if not np.isfinite(values).any():
        return 5.0, 20.0
    low = np.floor((np.nanmin(values) - _ROOM_PCT) / _GRID_PCT) * _GRID_PCT
    high = np.ceil((np.nanmax(values) + _ROOM_PCT) / _GRID_PCT) * _GRID_PCT
    low = max(float(low), 0.0)
    return low, max(float(high), low + 2 * _GRID_PCT)


def _grid(low: float, high: float) -> list[float]:
    return [float(pct) for pct in np.arange(low, high + _GRID_PCT / 2, _GRID_PCT)]


def _sentence(months: Array) -> str:
    if np.isnan(months).any():
        return ""
    driest, dampest = int(months.argmin()), int(months.argmax())
    if months[dampest] - months[driest] < _FLAT_PCT:
        return _("This place keeps wood at about %s all year.") % wording.percent(
            float(months.mean())
        )
    return _("This place keeps wood at %(low)s in %(driest)s, at %(high)s in %(dampest)s.") % {
        "low": wording.percent(float(months[driest])),
        "driest": wording.month_word(driest + 1),
        "high": wording.percent(float(months[dampest])),
        "dampest": wording.month_word(dampest + 1),
    }
