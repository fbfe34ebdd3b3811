"""How far a corrected reading may lie from the moisture of the board, and what that costs.

References
----------
.. [1] James, W. L. 1988. Electric moisture meters for wood. FPL-GTR-6 (nothing consistent
   above about 30 percent; half a point to a point below 15 with the right correction).
.. [2] Lange, K. L., Little, R. J. A. and Taylor, J. M. G. 1989. Robust statistical modeling
   using the t distribution. J. Amer. Statist. Assoc. 84(408):881-896.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from scipy.special import log_ndtr

if TYPE_CHECKING:
    from webapp.drying.arrays import Array, Flags
    from webapp.drying.stacks import Readings


SMALLEST_SD_PCT = 0.75
EXACT_UP_TO_PCT = 14.0
SD_GROWTH = 0.15
LARGEST_SD_PCT = 2.6
# Above this a meter tells less and less, and at last only "wet" [1]_.
FADING_FROM_PCT, FADING_OVER_PCT = 24.0, 5.0
TAIL_DEGREES = 4.0
# A slip (wrong board, wrong key, wet surface) now and then turns even an over-range display wrong.
SLIP_SHARE = 0.02
LIMIT_SD_PCT = 4.0
UNDER_SD_PCT = 1.0
# Rain on the face or a slip of the finger: "over range" on a board some twelve points drier.
WRONG_SIDE_SD_PCT = 3.0
HIGHEST_NUMBER_PCT = 30.0


class Cost(NamedTuple):
    """Negative log-likelihood of each reading, its slope and curvature by moisture."""

    cost: Array
    slope: Array
    curvature: Array


def reading_sd_pct(moisture_pct: Array, extra_sd: Array) -> Array:
    """Standard deviation of one reading.

    Parameters
    ----------
    moisture_pct : array
        Moisture of the board, or the reading itself [percent].
    extra_sd : array
        What the corrections add [points of moisture].

    Returns
    -------
    array
        0.75 point up to 14 %, growing to 2.6 points near fibre saturation [1]_.
    """
    grown = SMALLEST_SD_PCT + SD_GROWTH * np.maximum(moisture_pct - EXACT_UP_TO_PCT, 0.0)
    return np.asarray(np.hypot(np.minimum(grown, LARGEST_SD_PCT), extra_sd))


def shown_for(moisture_pct: Array) -> tuple[Array, Array]:
    """What a meter makes of a moisture: true to 24 %, fading into "wet" above.

    Returns
    -------
    pair of arrays
        Expected reading [percent], never above 29, and its derivative by moisture.
    """
    above = np.maximum(moisture_pct - FADING_FROM_PCT, 0.0)
    kept = np.exp(-above / FADING_OVER_PCT)
    faded = FADING_FROM_PCT + FADING_OVER_PCT * (1.0 - kept)
    return np.where(above > 0.0, faded, moisture_pct), kept


def _number_cost(error: Array, sd: Array) -> Cost:
    """Student's t with four degrees of freedom [2]_: a gross slip pulls ever less."""
    spread = TAIL_DEGREES * sd**2
    weight = (TAIL_DEGREES + 1.0) / (spread + error**2)
    cost = 0.5 * (TAIL_DEGREES + 1.0) * np.log1p(error**2 / spread) + np.log(sd)
    return Cost(cost, weight * error, weight)


def _beyond_cost(margin: Array, sd: float) -> Cost:
    """Censored: moisture is beyond the limit by ``margin``, unless it was a slip."""
    z = margin / sd
    log_inside = log_ndtr(z)
    log_all = np.logaddexp(np.log(SLIP_SHARE), np.log1p(-SLIP_SHARE) + log_inside)
    hazard = np.exp(-0.5 * z**2 - 0.5 * np.log(2.0 * np.pi) - log_inside)
    share = np.exp(np.log1p(-SLIP_SHARE) + log_inside - log_all)
    slope = -share * hazard / sd
    curvature = share * np.maximum(hazard * (hazard + z), 0.0) / sd**2
    return Cost(-log_all, slope, curvature)


class ReadingError:
    """The cost of all readings of a fit, as a function of the boards' moisture.

    A number that the meter could not have told (above 30 %) is taken as "over range". The
    spread of each reading is set by the reading itself at first and by the fitted curve
    later (`at_moisture`), and held while one fit runs.
    """

    def __init__(self, readings: Readings, sd_pct: Array | None = None) -> None:
        """Sort readings into numbers and limits."""
        self.readings = readings
        number = ~(readings.over | readings.under)
        over = readings.over | (number & (readings.value_pct > HIGHEST_NUMBER_PCT))
        self.over, self.under = np.flatnonzero(over), np.flatnonzero(readings.under)
        self.limit_pct = np.minimum(readings.value_pct, HIGHEST_NUMBER_PCT)
        own = reading_sd_pct(self.limit_pct, readings.extra_sd)
        self.sd_pct = own if sd_pct is None else sd_pct

    def at_moisture(self, moisture_pct: Array) -> ReadingError:
        """The same readings with the spread that belongs to the fitted moisture."""
        return ReadingError(self.readings, reading_sd_pct(moisture_pct, self.readings.extra_sd))

    def __call__(self, moisture_pct: Array) -> Cost:
        """Cost, slope and curvature of each reading at a moisture [percent]."""
        shown, kept = shown_for(moisture_pct)
        number = _number_cost(shown - self.limit_pct, self.sd_pct)
        cost, slope, curvature = number.cost, number.slope * kept, number.curvature * kept**2
        margin = moisture_pct - self.limit_pct
        for rows, sign, sd in ((self.over, 1.0, LIMIT_SD_PCT), (self.under, -1.0, UNDER_SD_PCT)):
            beyond = _beyond_cost(sign * margin[rows], sd)
            cost[rows], slope[rows] = beyond.cost, sign * beyond.slope
            curvature[rows] = beyond.curvature
        return Cost(cost, slope, curvature)

    def surprise(self, moisture_pct: Array) -> Array:
        """How many standard deviations each reading lies from the curve (limits: the wrong way)."""
        shown, _ = shown_for(moisture_pct)
        away = (self.limit_pct - shown) / self.sd_pct
        beyond = self.limit_pct - moisture_pct
        away[self.over] = np.maximum(beyond[self.over], 0.0) / WRONG_SIDE_SD_PCT
        away[self.under] = np.minimum(beyond[self.under], 0.0) / UNDER_SD_PCT
        return away

    @property
    def is_number(self) -> Flags:
        """Which readings are numbers a meter can tell."""
        number = np.ones(len(self.readings), dtype=bool)
        number[self.over] = number[self.under] = False
        return number
