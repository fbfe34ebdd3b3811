"""A place's year as a drawing: the moisture it keeps wood at, month by month."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp import wording
from webapp.drying.normal_year import normal_months_pct, normal_year_pct
from webapp.pages.curve_sheet import CurveSheet, columns_of, frame_of, rows_of
from webapp.pages.small_curve import small_path
from webapp.yard.air_there import air_there

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from webapp.drying.arrays import Array
    from webapp.records.place import PlaceMonth

_ = wording.translation.gettext
_MONTHS = 12
_EVERY_OTHER = tuple(map(wording.marked, ("Jan", "Mar", "May", "Jul", "Sep", "Nov")))
# Within a point of moisture a year is told as one figure.
_FLAT_PCT = 1.0


@dataclass(frozen=True)
class PlaceYear:
    """The equilibrium by month, the year as a sheet and as a small curve, and in words.

    ``missing`` names the months whose air is not known; then there is no curve and no sentence.
    """

    months_pct: Array
    sheet: CurveSheet
    small: str
    sentence: str
    missing: list[str]

    def percent_in(self, month: int) -> float:
        """Give the equilibrium of a month, 1 to 12."""
        return float(self.months_pct[month - 1])

    def percent_words(self, month: int) -> str:
        """Say the equilibrium of a month, 1 to 12; nothing where it is not known."""
        return wording.percent(self.percent_in(month)) if self._knows(month) else ""

    def _knows(self, month: int) -> bool:
        return bool(np.isfinite(self.months_pct[month - 1]))


def month_arrays(months: Sequence[PlaceMonth]) -> tuple[Array, Array]:
    """Lay the months of a place out, January first, NaN where one is missing."""
    temperature_c, rh_pct = np.full(_MONTHS, np.nan), np.full(_MONTHS, np.nan)
    for month in months:
        temperature_c[month.month - 1] = month.temperature_c
        rh_pct[month.month - 1] = month.rh_pct
    return temperature_c, rh_pct


def place_year(
    kind: str, air_of: str, temperature_c: Array, rh_pct: Array, today: date | None = None
) -> PlaceYear:
    """Draw what the yard will suppose of a place with these months, NaN where not yet typed."""
    inside = air_there(kind, air_of, temperature_c, rh_pct)
    year, months = normal_year_pct(*inside), normal_months_pct(*inside)
    missing = np.flatnonzero(~(np.isfinite(temperature_c) & np.isfinite(rh_pct)))
    sentence = _sentence(months)
    return PlaceYear(
        months_pct=months,
        sheet=_sheet(year, months, sentence, today),
        small=small_path(months if len(missing) else year),
        sentence=sentence,
        missing=[wording.month_word(int(month) + 1) for month in missing],
    )


def _sheet(year: Array, months: Array, sentence: str, today: date | None) -> CurveSheet:
    frame = frame_of(np.concatenate([year, months]), (0.0, float(_MONTHS)))
    middles = np.arange(_MONTHS) + 0.5
    points = {
        month: frame.at(middles[month], months[month])
        for month in range(_MONTHS)
        if np.isfinite(months[month])
    }
    title = _("Moisture this place keeps wood at, through the year.")
    return CurveSheet(
        path=frame.path(np.linspace(0.0, _MONTHS, len(year)), year),
        rows=rows_of(frame),
        columns=columns_of(frame, middles[::2], [_(word) for word in _EVERY_OTHER]),
        label=f"{title} {sentence}".strip(),
        dots=list(points.values()),
        now=points.get(today.month - 1) if today and len(points) == _MONTHS else None,
    )


def _sentence(months: Array) -> str:
    if np.isnan(months).any():
        return ""
    driest, dampest = int(months.argmin()), int(months.argmax())
    if months[dampest] - months[driest] < _FLAT_PCT:
        mean = float(months.mean())
        return _("This place keeps wood at about %s all year.") % wording.percent(mean)
    return _("This place keeps wood at %(low)s in %(driest)s, at %(high)s in %(dampest)s.") % {
        "low": wording.percent(float(months[driest])),
        "driest": wording.month_word(driest + 1),
        "high": wording.percent(float(months[dampest])),
        "dampest": wording.month_word(dampest + 1),
    }
