"""What the weather really was, as the boards themselves show it.

Months differ from their normals, and all boards of a place feel it together. Seen one by
one, a damp month looks like many small troubles; seen together, it is one thing. The
deviation of a place's equilibrium from its normal course is estimated at monthly knots
from what the fitted curves leave unexplained, each board responding at its own speed.

References
----------
.. [1] Station records 1997-2021 (KNMI, DWD, Hong Kong Observatory and others): monthly mean
   humidity varies from year to year by 3.5 to 6.5 points nearly everywhere, and 0.2 to 0.5
   of an anomaly carries over to the next month. At 75 % humidity a point of humidity is
   about a fifth of a point of equilibrium moisture (Wood Handbook, Eq. 4-5).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying import curve
from webapp.drying.air import LOG_RATES, AirCourses

if TYPE_CHECKING:
    from webapp.drying.arrays import Array, Flags
    from webapp.drying.fit import Posterior


ANOMALY_SD_PCT = 1.0
CARRY_OVER = 0.35
KNOT_DAYS = 30.4375
# One rate in five of the table is near enough for the response to a month.
COARSE = slice(None, None, 5)
# Beyond this excess a reading says more of the board than of the weather.
MOST_EXCESS_PCT = 10.0


def _knots(first_day: float, last_day: float) -> Array:
    """Monthly knots that cover the days asked for."""
    return np.arange(first_day - KNOT_DAYS, last_day + KNOT_DAYS, KNOT_DAYS)


def _hats(days: Array, knots: Array) -> Array:
    """Share of each knot in each day [days, knots]."""
    return np.maximum(1.0 - np.abs(days[:, None] - knots[None, :]) / KNOT_DAYS, 0.0)


def _responses(air: AirCourses, place: int, days: Array, knots: Array) -> Array:
    """Moisture of boards of coarse rates per point of anomaly [days, rates, knots]."""
    rates = np.exp(LOG_RATES[COARSE])
    warm = np.diff(air.warm_days[place])[air.column(days)]
    hats = _hats(days, knots)
    held = np.zeros((len(rates), len(knots)))
    out = np.empty((len(days), len(rates), len(knots)))
    for n in range(len(days)):
        out[n] = held
        kept = np.exp(-rates * warm[n])[:, None]
        held = hats[n] + (held - hats[n]) * kept
    return out


def _prior_precision(knots: int) -> Array:
    """Inverse covariance of a monthly anomaly that carries over in part."""
    lag = np.abs(np.subtract.outer(np.arange(knots), np.arange(knots)))
    return np.asarray(np.linalg.inv(ANOMALY_SD_PCT**2 * CARRY_OVER**lag))


@dataclass(frozen=True)
class FeltWeather:
    """How far the equilibrium of each place was from its normal course, month by month.

    ``knots`` [K] days since 1970-01-01; ``anomaly_pct`` [places, K] points of moisture.
    """

    knots: Array
    anomaly_pct: Array

    @classmethod
    def normal(cls, places: int, first_day: float, last_day: float) -> FeltWeather:
        """No deviation between two days."""
        knots = _knots(first_day, last_day)
        return cls(knots, np.zeros((places, len(knots))))

    def on(self, air: AirCourses) -> AirCourses:
        """The normal courses ``air`` moved by what was felt, normal outside the knots."""
        days = air.first_day + np.arange(air.emc_pct.shape[1], dtype=float)
        ends = np.concatenate(
            [[self.knots[0] - KNOT_DAYS], self.knots, [self.knots[-1] + KNOT_DAYS]]
        )
        moved = [
            np.interp(days, ends, np.concatenate([[0.0], anomaly, [0.0]]))
            for anomaly in self.anomaly_pct
        ]
        return air.with_emc(air.emc_pct + np.array(moved))


def _design(posterior: Posterior, place: int, knots: Array) -> tuple[Flags, Array]:
    """Readings that tell of a place's weather, and how each knot moves them."""
    error, drying, mode = posterior.error, posterior.curve, posterior.mode
    readings, air = error.readings, drying.air
    where = drying.segment_at(readings.board, readings.day)
    here = drying.segments.place[readings.board, where] == place
    fitted = posterior.fitted_pct()
    path, _ = drying.untroubled_path(mode.member, mode.group, readings.board, readings.day)
    used = here & error.is_number & (np.abs(fitted - path) < MOST_EXCESS_PCT)
    days = np.arange(knots[0], readings.day.max() + 1.0)
    response = _responses(air, place, days, knots)
    board = readings.board[used]
    log_rate = mode.group[drying.boards.stack[board], curve.RATE]
    log_rate = log_rate + mode.member[board, curve.OWN_RATE]
    coarse = LOG_RATES[COARSE]
    near = np.clip(np.rint((log_rate - coarse[0]) / (coarse[1] - coarse[0])), 0, len(coarse) - 1)
    column = np.rint(readings.day[used] - days[0]).astype(np.intp)
    return used, response[column, near.astype(np.intp)]


def felt_weather(posterior: Posterior, before: FeltWeather) -> FeltWeather:
    """Estimate the deviations of all places from a fit of all stacks of the yard.

    Parameters
    ----------
    posterior : Posterior
        The fit, in the air of ``before``.
    before : FeltWeather
        What was felt so far; the estimate improves on it.

    Returns
    -------
    FeltWeather
        One step closer: the maximum a posteriori with the boards' curves held.
    """
    readings = posterior.error.readings
    if len(readings) == 0:
        return before
    cost = posterior.error(posterior.fitted_pct())
    prior = _prior_precision(len(before.knots))
    anomaly = before.anomaly_pct.copy()
    for place in range(len(anomaly)):
        used, design = _design(posterior, place, before.knots)
        pull = design.T @ cost.slope[used] + prior @ anomaly[place]
        curvature = design.T @ (design * cost.curvature[used][:, None]) + prior
        anomaly[place] -= np.linalg.solve(curvature, pull)
    return FeltWeather(before.knots, anomaly)
