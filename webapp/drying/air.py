"""The air of every place through the years, and what a board lying in it for ever would hold.

A place is known by twelve monthly means, and by its own records where somebody kept them.
From these come, day by day, the equilibrium of the air and how fast wood dries in its
warmth; and from these, for any speed of drying, the *path*: the moisture of a board of
that speed which has always lain there. A thin board's path follows the seasons, a thick
board's hardly moves. What a board still has to lose is measured from its own path.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from webapp.wood.sorption import equilibrium_moisture_pct

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from webapp.drying.arrays import Array, Index


ACTIVATION_J_PER_MOL = 42_000.0
GAS_CONSTANT_J_PER_MOL_K = 8.314
REFERENCE_C = 20.0
KELVIN = 273.15
MONTHS = 12
HARMONICS = 3
DRIEST_RH_PCT, DAMPEST_RH_PCT = 3.0, 98.0
LONGEST_GAP_DAYS = 10.0
FADE_DAYS = 20.0
RUN_UP_DAYS = 800
# Natural logarithms of 1/day: from a baulk in the frost (20 years) to veneer in a desert (1 day).
LOG_RATES = np.arange(-9.0, 0.01, 0.1)


@dataclass(frozen=True)
class PlaceAir:
    """The air at one place.

    ``temperature_c`` [12] degC and ``rh_pct`` [12] percent are monthly means; the records
    are days since 1970-01-01 with the same two quantities, empty where there are none.
    """

    temperature_c: Array
    rh_pct: Array
    record_day: Array
    record_temperature_c: Array
    record_rh_pct: Array


def warmth(temperature_c: Array) -> Array:
    """How fast wood dries at a temperature, relative to 20 degC.

    Parameters
    ----------
    temperature_c : array
        Air temperature [degC], -30 to 60.

    Returns
    -------
    array
        Ratio of drying rates [-], 1 at 20 degC.

    Notes
    -----
    Arrhenius' law with 42 kJ/mol: the rate doubles over about 11 degC, as vapour pressure
    does at equal humidity (the latent heat of water is 44 kJ/mol near 20 degC) and as
    Buck found for the exchange of panels (twice as fast at 24 as at 12 degC, in The
    Structural Conservation of Panel Paintings, Getty Conservation Institute 1998).
    """
    inverse = 1.0 / (REFERENCE_C + KELVIN) - 1.0 / (np.asarray(temperature_c) + KELVIN)
    return np.asarray(np.exp(ACTIVATION_J_PER_MOL / GAS_CONSTANT_J_PER_MOL_K * inverse))


def year_fraction(day: Array) -> Array:
    """How far into its calendar year a day lies [0..1), leap years included."""
    date = np.asarray(day).astype("datetime64[D]")
    year = date.astype("datetime64[Y]")
    length = (year + 1).astype("datetime64[D]") - year.astype("datetime64[D]")
    into = date - year.astype("datetime64[D]")
    return np.asarray((into.astype(float) + 0.5) / length.astype(float))


def yearly_course(monthly: Array, fraction: Array) -> Array:
    """A smooth course through the year whose months have the given means.

    Parameters
    ----------
    monthly : array [12]
        Monthly means, any unit.
    fraction : array
        Time of the year [0..1).

    Returns
    -------
    array
        The quantity at those times, in the same unit.

    Notes
    -----
    Three harmonics of the monthly means, each raised by what averaging over a month takes
    from it (the sinc of a twelfth of its period).
    """
    middle = 2.0 * np.pi * (np.arange(MONTHS) + 0.5) / MONTHS
    course = np.full(np.shape(fraction), float(np.mean(monthly)))
    for n in range(1, HARMONICS + 1):
        raised = 2.0 / MONTHS / np.sinc(n / MONTHS)
        angle = 2.0 * np.pi * n * np.asarray(fraction)
        course += raised * (monthly @ np.cos(n * middle)) * np.cos(angle)
        course += raised * (monthly @ np.sin(n * middle)) * np.sin(angle)
    return course


def _daily_means(day: Array, values: Array) -> tuple[Array, Array]:
    """Mean of each recorded day, days rising."""
    days, which = np.unique(np.floor(day), return_inverse=True)
    return days, np.bincount(which, values) / np.bincount(which)


def _with_records(days: Array, normal: Array, record_day: Array, record: Array) -> Array:
    """The normal course moved to what was recorded, back at the normal after some weeks."""
    if len(record_day) == 0:
        return normal
    seen, mean = _daily_means(record_day, record)
    gaps = np.flatnonzero(np.diff(seen) > LONGEST_GAP_DAYS)
    # Forgotten some weeks after a record, or half way to the next where that comes sooner.
    fade = np.minimum(FADE_DAYS, (seen[gaps + 1] - seen[gaps]) / 2.0)
    forgotten = np.concatenate(
        [
            [seen[0] - FADE_DAYS],
            seen[gaps] + fade,
            seen[gaps + 1] - fade,
            [seen[-1] + FADE_DAYS],
        ]
    )
    knots = np.concatenate([seen, forgotten])
    anomaly = np.concatenate([mean - np.interp(seen, days, normal), np.zeros(len(forgotten))])
    order = np.argsort(knots, kind="stable")
    return np.asarray(normal + np.interp(days, knots[order], anomaly[order]))


@dataclass(frozen=True)
class AirCourses:
    """Daily courses of all places and the paths of boards of any speed.

    ``emc_pct`` and ``temperature_c`` [places, days]; ``warm_days`` [places, days + 1] is the
    sum of `warmth` up to the beginning of each day; ``path_pct`` [places, rates, days] the
    moisture of a board with that log rate that has always lain there. The first column is
    ``first_day`` (days since 1970-01-01).
    """

    first_day: int
    temperature_c: Array
    emc_pct: Array
    warm_days: Array
    path_pct: NDArray[np.float32]

    def with_emc(self, emc_pct: Array) -> AirCourses:
        """The same warmth with another course of equilibrium [places, days]."""
        paths = _paths(emc_pct, np.diff(self.warm_days, axis=1))
        return replace(self, emc_pct=emc_pct, path_pct=paths)

    def column(self, day: Array) -> Index:
        """Where a day stands in the courses, held inside them."""
        days = self.emc_pct.shape[1]
        return np.asarray(np.clip(np.floor(day) - self.first_day, 0, days - 1).astype(np.intp))

    def warm_days_until(self, place: Index, day: Array) -> Array:
        """Days of drying at 20 degC that the warmth up to a day amounts to [days]."""
        return np.asarray(self.warm_days[place, self.column(day)])

    def path(self, place: Index, day: Array, log_rate: Array) -> tuple[Array, Array]:
        """Moisture of the board that has always lain there, and its slope by log rate.

        Parameters
        ----------
        place, day, log_rate : arrays of one shape
            Index of the place; day since 1970-01-01; ln of the rate at 20 degC [1/day].

        Returns
        -------
        pair of arrays
            Moisture [percent], and its derivative by the log rate.
        """
        step = LOG_RATES[1] - LOG_RATES[0]
        position = np.clip((log_rate - LOG_RATES[0]) / step, 0.0, len(LOG_RATES) - 1.001)
        below = position.astype(np.intp)
        share = position - below
        column = self.column(day)
        low = self.path_pct[place, below, column].astype(float)
        high = self.path_pct[place, below + 1, column].astype(float)
        return low + share * (high - low), (high - low) / step


def _paths(emc_pct: Array, warm: Array) -> NDArray[np.float32]:
    """Paths of all rates at all places, exact for air that changes at midnight."""
    places, days = emc_pct.shape
    paths = np.empty((days, places, len(LOG_RATES)), dtype=np.float32)
    kept = np.exp(-np.exp(LOG_RATES)[None, None, :] * warm.T[:, :, None])
    year = min(days, 365)
    weight = warm[:, :year]
    slowest = (weight * emc_pct[:, :year]).sum(axis=1) / weight.sum(axis=1)
    held = np.repeat(slowest[:, None], len(LOG_RATES), axis=1)
    for day in range(days):
        paths[day] = held
        air = emc_pct[:, day, None]
        held = air + (held - air) * kept[day]
    return np.ascontiguousarray(paths.transpose(1, 2, 0))


def air_courses(places: Sequence[PlaceAir], first_day: float, last_day: float) -> AirCourses:
    """Work out the daily courses and paths of all places.

    Parameters
    ----------
    places : sequence of PlaceAir
        In the order in which boards name them by index.
    first_day, last_day : float
        Days since 1970-01-01 that will be asked for; two years of run-up are added, so that
        a path has forgotten where it began.

    Returns
    -------
    AirCourses
        Courses from the run-up's first to the last day.
    """
    begin, end = int(np.floor(first_day)) - RUN_UP_DAYS, int(np.ceil(last_day)) + 1
    days = np.arange(begin, end + 1, dtype=float)
    fraction = year_fraction(days)
    temperature = np.empty((len(places), len(days)))
    humidity = np.empty_like(temperature)
    for row, place in enumerate(places):
        normal_c = yearly_course(place.temperature_c, fraction)
        normal_rh = yearly_course(place.rh_pct, fraction)
        temperature[row] = _with_records(
            days, normal_c, place.record_day, place.record_temperature_c
        )
        humidity[row] = _with_records(days, normal_rh, place.record_day, place.record_rh_pct)
    emc = equilibrium_moisture_pct(temperature, np.clip(humidity, DRIEST_RH_PCT, DAMPEST_RH_PCT))
    warm = warmth(temperature)
    begun = np.concatenate([np.zeros((len(places), 1)), np.cumsum(warm, axis=1)], axis=1)
    return AirCourses(begin, temperature, emc, begun, _paths(emc, warm))
