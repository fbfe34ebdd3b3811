"""The equilibrium of a place through a year of its normal air, as every fit supposes it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from webapp.drying.air import DAMPEST_RH_PCT, DRIEST_RH_PCT, MONTHS, yearly_course
from webapp.wood.sorption import equilibrium_moisture_pct

if TYPE_CHECKING:
    from webapp.drying.arrays import Array

DAYS = 360
"""Points of a drawn year: thirty a month."""


def normal_year_pct(temperature_c: Array, rh_pct: Array) -> Array:
    """Give the equilibrium through a year, evenly from the first of January on.

    Parameters
    ----------
    temperature_c, rh_pct : array [12]
        Monthly means where the wood lies [degC], [percent].

    Returns
    -------
    array [360]
        Equilibrium moisture [percent], thirty points a month; all NaN unless every month is known.

    Notes
    -----
    The same course that `air.air_courses` follows day by day where nothing was recorded.

    References
    ----------
    .. [1] Wood Handbook, Eq. 4-5, through `webapp.wood.sorption`.
    """
    fraction = (np.arange(DAYS) + 0.5) / DAYS
    humidity = np.clip(yearly_course(rh_pct, fraction), DRIEST_RH_PCT, DAMPEST_RH_PCT)
    return equilibrium_moisture_pct(yearly_course(temperature_c, fraction), humidity)


def normal_months_pct(temperature_c: Array, rh_pct: Array) -> Array:
    """Give the equilibrium of each month, as near as the months known allow.

    Parameters
    ----------
    temperature_c, rh_pct : array [12]
        Monthly means where the wood lies [degC], [percent], NaN where not known.

    Returns
    -------
    array [12]
        Means of `normal_year_pct` by month [percent]; where a month is missing, of each month's
        mean air alone, and NaN for the missing ones.

    References
    ----------
    .. [1] Wood Handbook, Eq. 4-5, through `webapp.wood.sorption`.
    """
    year = normal_year_pct(temperature_c, rh_pct)
    if np.isnan(year).any():
        humidity = np.clip(rh_pct, DRIEST_RH_PCT, DAMPEST_RH_PCT)
        return equilibrium_moisture_pct(temperature_c, humidity)
    return np.asarray(year.reshape(MONTHS, -1).mean(axis=1))
